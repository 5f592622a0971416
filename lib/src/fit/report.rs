//! The results of a fit: the curve and outline, their uncertainty, and what was found on the way.

use super::misfit::{self, Departure, Residual};
use super::walk_error::WalkError;
use super::{Choice, Common, Conflict, Unsurveyed};
use crate::boundary::{AxisFrom, Outline, Spread};
use crate::frame::Local;
use crate::geometry::Ellipse;
use crate::numeric::Covariance;
use crate::survey::Cleaning;
use crate::units::{Measured, Problem};

/// A fitted curve with its textbook covariance.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// The ellipse, in the survey's plane.
    pub ellipse: Ellipse<Local>,
    /// Covariance of x, y, semi-major, semi-minor (m) and the bearing of the long
    /// axis (degrees): s₀²(JᵀWJ)⁻¹.
    pub covariance: Covariance,
    /// Standard deviation of unit weight: metres where no point brought a
    /// standard deviation, else a pure number that is 1 when they were right.
    pub s0: f64,
    /// Degrees of freedom.
    pub dof: f64,
    /// Do the points fix the direction of the long axis? They don't on a circle.
    pub axis_fixed: bool,
    /// Root mean square residual of the points used, m.
    pub rms_m: f64,
    /// Residuals of the points used, in the survey's order.
    pub residuals: Vec<Residual>,
    /// Points of the line that were not used.
    pub set_aside: Vec<SetAside>,
    /// Stretches that depart from the rest of the line, longest first. Their points are used.
    pub runs: Vec<FoundRun>,
    /// Largest gap seen from the centre, scoring ends left out, degrees.
    pub gap_deg: f64,
    /// What the user should know.
    pub warnings: Vec<Problem>,
}

/// A point that was not used, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct SetAside {
    /// Index in the survey.
    pub index: usize,
    /// Why.
    pub why: Why,
}

/// Why a point was not used.
#[derive(Debug, Clone, PartialEq)]
pub enum Why {
    /// It repeats another point to the last digit.
    Repeats {
        /// Where that other point is in the file.
        of: String,
    },
    /// A step of track cleaning set it aside.
    Cleaned(Cleaning),
    /// It lies on a goal line, where the boundary is not.
    OnGoalLine,
    /// It lies off its neighbours on the line: mistyped, or a spike.
    OffTheRest {
        /// How far, m.
        distance_m: f64,
    },
    /// A post whose side can't be told.
    UnclearPost,
    /// A post that is not where the line or the other posts put it.
    PostOutOfPlace,
}

impl std::fmt::Display for Why {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Repeats { of } => write!(f, "repeats {of}"),
            Self::Cleaned(step) => write!(f, "track cleaning ({})", step.id()),
            Self::OnGoalLine => f.write_str("on a goal line, not the boundary"),
            Self::OffTheRest { distance_m } => {
                write!(f, "stands {} m off its neighbours", crate::units::print::fixed(*distance_m, 1))
            }
            Self::PostOutOfPlace => f.write_str("a post out of its place"),
            Self::UnclearPost => f.write_str("a post whose side can't be told"),
        }
    }
}

/// A stretch that departs from the rest of the line: a detour, or a real kink. Its points are used.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundRun {
    /// Index in the survey of its first point, in the order walked.
    pub from: usize,
    /// Index in the survey of its last point.
    pub to: usize,
    /// Indices of all its points, in the order walked.
    pub points: Vec<usize>,
    /// Length of line, m.
    pub length_m: f64,
    /// Mean distance from the ellipse through the other points, m, positive outside.
    pub mean_m: f64,
    /// Largest distance from it on the side of the mean, m, with the mean's sign.
    pub most_m: f64,
}

/// A surveyed post and how far it stands from its adjusted place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PostFit {
    /// Index in the survey.
    pub index: usize,
    /// Is it a behind post?
    pub behind: bool,
    /// Distance from its adjusted place, m.
    pub miss_m: f64,
}

/// A stretch that departs from the rest of the line, with the ground's size with and without it.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The stretch; its points are used.
    pub run: FoundRun,
    /// Bearing from the curve's centre to its middle, degrees.
    pub bearing_deg: f64,
    /// Length and width with it.
    pub with: [Option<Measured>; 2],
    /// Length and width without it; `None` where no ground can be fitted to the rest.
    pub without: [Option<Measured>; 2],
    /// The same as a sentence.
    pub text: String,
}

/// A fitted ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The curve.
    pub curve: Curve,
    /// Curve and goals together.
    pub outline: Outline,
    /// Their uncertainty, including the errors that residuals can't show.
    pub spread: Spread,
    /// What fixed the goal axis.
    pub axis_from: AxisFrom,
    /// Surveyed posts.
    pub posts: Vec<PostFit>,
    /// The walk's error, where the survey is a walk.
    pub walk: Option<WalkError>,
    /// Systematic error of each source, where several were adjusted together.
    pub shifts: Vec<Shift>,
    /// Measured lengths of the whole ground.
    pub spans: Vec<SpanFit>,
    /// Measures that contradict each other.
    pub conflicts: Vec<Conflict>,
    /// Where the line departs from the curve, by the sources without autocorrelated errors.
    pub departures: Vec<Departure>,
    /// Parts of the line without points.
    pub unsurveyed: Vec<Unsurveyed>,
    /// Stretches that depart from the rest of the line, each with the ground's size with and without it.
    pub readings: Vec<Reading>,
    /// Which shape was chosen, and why.
    pub choice: Choice,
}

/// The systematic error that was found for one source or one tape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// The error's kind and source.
    pub what: Common,
    /// True for the northern part of a shift in place; false for the eastern part, and for every other kind
    /// of error.
    pub north: bool,
    /// Metres, or a ratio.
    pub value: f64,
    /// Its standard deviation after the adjustment.
    pub sd: f64,
    /// Its standard deviation before the adjustment.
    pub allowed_sd: f64,
}

/// A measured length beside the ground's own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpanFit {
    /// Its number in the survey.
    pub index: usize,
    /// The same length of the adjusted ground, m.
    pub adjusted_m: f64,
    /// Was it used?
    pub used: bool,
}

impl Fit {
    /// The same fit with its ends exchanged.
    ///
    /// # Errors
    /// Never for a fit that was made.
    pub fn end_for_end(mut self) -> Result<Self, crate::units::Invalid> {
        self.outline = self.outline.end_for_end()?;
        Ok(self)
    }

    /// How far the worst of the posts is from its place, m; nought without posts.
    #[must_use]
    pub fn worst_post_m(&self) -> f64 {
        self.posts.iter().map(|p| p.miss_m).fold(0.0, f64::max)
    }
}

impl Shift {
    /// Half the 95 % interval of the value.
    #[must_use]
    pub fn half_width(&self) -> f64 {
        Measured::normal(self.value, self.sd).map_or(f64::NAN, |m| m.half_width())
    }

    /// Does it stand out from its own doubt?
    #[must_use]
    pub fn stands_out(&self) -> bool {
        self.value.abs() >= 2.0 * self.sd
    }
}

impl Curve {
    /// Points that lie much farther off the line than the rest do, largest first: mistyped points, or spikes.
    /// Empty where there are more than a tenth of the points: then the shape is wrong, not the points.
    #[must_use]
    pub fn blunders(&self) -> Vec<Residual> {
        misfit::blunders(&self.residuals)
    }

    /// The largest residual in size.
    #[must_use]
    pub fn largest(&self) -> Option<Residual> {
        self.residuals.iter().copied().max_by(|a, b| a.residual_m.abs().total_cmp(&b.residual_m.abs()))
    }
}
