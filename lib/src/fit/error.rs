//! Why a survey can't be fitted, in words that a club volunteer understands.

use crate::geometry::Model;
use crate::units::print::{compass_point, count, fixed};
use crate::units::{Remedy, Setting};

/// What the posts of a survey did for its goal axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Posts {
    /// There are none.
    None,
    /// There are some, and none could be used.
    Unused,
    /// They are in the fit.
    Used,
}

/// Why there is no fit.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum FitError {
    /// Fewer different points than the shape has parameters, or just as many.
    TooFewPoints {
        /// Points of the line in the file.
        have: usize,
        /// Different ones among them.
        different: usize,
        /// How many are needed.
        need: usize,
    },
    /// The points lie along a straight line.
    OnALine,
    /// A point lies far from the rest.
    FarApart {
        /// Where in the file.
        place: String,
        /// How far from the middle of the rest, m.
        distance_m: f64,
        /// How far a point may be, m.
        limit_m: f64,
    },
    /// A coordinate is not a number.
    NotFinite {
        /// Where in the file.
        place: String,
    },
    /// The points bend away from closing: a hyperbola.
    NotAnOval,
    /// No ellipse of any size is best: the points hardly bend, or bend the wrong way.
    Open,
    /// Too large a part of the boundary was not surveyed.
    Gap {
        /// The gap as seen from the centre, degrees.
        gap_deg: f64,
        /// The largest gap accepted, degrees.
        limit_deg: f64,
        /// Bearing from the centre where it starts, going clockwise.
        from_deg: f64,
        /// Bearing from the centre where it ends.
        to_deg: f64,
    },
    /// Nearly round and no posts: nothing tells which way the goals face.
    NoAxis {
        /// Standard deviation of the axis, degrees; `None` when nothing fixes it.
        sd_deg: Option<f64>,
        /// The largest accepted, degrees.
        limit_deg: f64,
        /// What the posts did.
        posts: Posts,
    },
    /// One point lies so far off that no ground can be trusted.
    Blunder {
        /// Where in the file.
        place: String,
        /// How far from the line through the other points, m.
        distance_m: f64,
    },
    /// The curve is too small to have goal lines.
    TooSmall {
        /// Its width, m.
        width_m: f64,
        /// Width of a scoring end, m.
        end_width_m: f64,
    },
    /// The scatter is so large for the size that the points follow no oval.
    Scattered {
        /// Root mean square residual, m.
        rms_m: f64,
        /// Semi-minor axis, m.
        semi_minor_m: f64,
    },
    /// The posts and the line don't belong to one ground.
    Posts(crate::boundary::BoundaryError),
    /// The curve that fits the points best makes no ground.
    NoGround(crate::boundary::BoundaryError),
    /// The parameters one standard deviation away from the best fit make no ground.
    HardlyFixed {
        /// Points on the line.
        points: usize,
    },
    /// No curve of the shape that was asked for fits the points.
    NotThisShape {
        /// The shape.
        shape: Model,
        /// What it lacks, as in "no stretch of the line is straight".
        why: &'static str,
    },
    /// The computation failed: a matrix could not be factored, or a choice alternated for ever.
    NoAnswer {
        /// What could not be computed, as in "the standard deviations of the tape network's marks".
        what: &'static str,
    },
    /// The measures contradict each other in too many ways.
    Contradictory {
        /// Each contradiction, as a sentence.
        conflicts: Vec<String>,
    },
    /// The limit on iterations was reached.
    DidNotConverge {
        /// Iterations.
        after: usize,
        /// Last step, m.
        last_step_m: f64,
    },
}

impl FitError {
    /// A hint on how to mend it, if there is one.
    #[must_use]
    pub fn settled_by(&self) -> Option<Remedy> {
        match self {
            Self::TooSmall { .. } => Some(Remedy::say(Setting::CurveAlone)),
            _ => None,
        }
    }
}

impl std::fmt::Display for FitError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::TooFewPoints { have, different, need } => {
                let same = if different < have {
                    format!(", only {different} of them different")
                } else {
                    String::new()
                };
                write!(
                    f,
                    "{} on the line{same}: too few. An oval has five dimensions to find, so give at least {need} points, spread right round",
                    count(*have, "point")
                )
            }
            Self::OnALine => f.write_str(
                "the points lie along a straight line, so they can't show an oval: survey right round the ground",
            ),
            Self::FarApart { place, distance_m, limit_m } => write!(
                f,
                "{place}: this point lies {} km from the rest; a ground fits within {} m. Mistyped, or another ground?",
                fixed(distance_m / 1000.0, 1),
                fixed(*limit_m, 0)
            ),
            Self::NotFinite { place } => write!(f, "{place}: a coordinate is not a number"),
            Self::NotAnOval => f.write_str(
                "the points bend away instead of closing into an oval (a hyperbola or an open curve fits them better): is this one boundary line, surveyed right round?",
            ),
            Self::Open => f.write_str(
                "no oval is best for these points: they hardly bend, or too little of the boundary was surveyed. Survey right round the ground",
            ),
            Self::Gap { gap_deg, limit_deg, from_deg, to_deg } => write!(
                f,
                "no points from the {} clockwise round to the {}: a gap of {}° seen from the middle, and at most {}° can be bridged. Survey that part too",
                compass_point(*from_deg),
                compass_point(*to_deg),
                fixed(*gap_deg, 0),
                fixed(*limit_deg, 0)
            ),
            Self::NoAxis { sd_deg, limit_deg, posts } => {
                let known = match sd_deg {
                    Some(sd) => format!("known to {}° only, {}° is needed", fixed(sd.min(90.0), 1), fixed(*limit_deg, 0)),
                    None => "not fixed at all".to_owned(),
                };
                match posts {
                    Posts::Used => write!(
                        f,
                        "line and posts together don't tell which way the goals face (the axis is {known}): survey the posts at both ends, and say how well line and posts are known"
                    ),
                    Posts::None => write!(
                        f,
                        "the ground is so nearly round that its points can't tell which way the goals face (the axis is {known}): survey the posts too, and name them 'goal post' and 'behind post'"
                    ),
                    Posts::Unused => write!(
                        f,
                        "the ground is so nearly round that its line can't tell which way the goals face (the axis is {known}), and its posts could not be used: are they of this ground, typed rightly, and some goal and some behind posts?"
                    ),
                }
            }
            Self::Blunder { place, distance_m } => write!(
                f,
                "{place}: this point lies {} m off the line that the rest make, and spoils it. Mistyped, or a spike? Mend it, or take it out",
                fixed(*distance_m, 1)
            ),
            Self::TooSmall { width_m, end_width_m } => write!(
                f,
                "the curve is {} m wide, too small to have goal lines of {} m: are the coordinates in metres?",
                fixed(*width_m, 1),
                fixed(*end_width_m, 1)
            ),
            Self::Scattered { rms_m, semi_minor_m } => write!(
                f,
                "the points lie {} m off the best oval of half-width {} m: they are not one boundary line",
                fixed(*rms_m, 1),
                fixed(*semi_minor_m, 1)
            ),
            Self::Contradictory { conflicts } => {
                f.write_str("the measures contradict each other in too many ways for one ground:")?;
                conflicts.iter().try_for_each(|c| write!(f, "\n  {c}"))
            }
            Self::Posts(e) => write!(f, "{e}: were the posts named rightly?"),
            Self::NoGround(e) => {
                write!(f, "the curve that suits these points best makes no ground: {e}. Survey right round the ground, and the posts")
            }
            Self::HardlyFixed { points } => write!(
                f,
                "{} on the line hardly fix a ground: one standard deviation off the best there is none. Survey more points, right round, or the posts, or say how well they are known",
                count(*points, "point")
            ),
            Self::NotThisShape { shape, why } => {
                write!(f, "{} does not suit these points: {why}. Leave the shape open, or ask for another", shape.in_words())
            }
            Self::NoAnswer { what } => write!(
                f,
                "there is no answer for {what}: the measures hardly fix it, or contradict each other. Look for mistyped ones, or add more"
            ),
            Self::DidNotConverge { after, last_step_m } => write!(
                f,
                "no best oval was found in {after} steps (the last moved it by {last_step_m:.2e} m): the points hardly fix one"
            ),
        }
    }
}

impl std::error::Error for FitError {}
