//! Finds measures that contradict each other: which ones, by how much, and which is most likely wrong.
//!
//! Every length of the whole ground and everything that a source may be off by as a
//! whole is an observation ℓ with its standard deviation σ. Its residual v has the
//! variance σ² − g C gᵀ, C being the covariance of the adjusted parameters; w = v over
//! its square root is standard normal as long as nothing contradicts (W. Baarda, A
//! Testing Procedure for Use in Geodetic Networks, Delft 1968), and v divided by the
//! redundancy r = 1 − g C gᵀ/σ² is the error of the measure.
//!
//! Where only one condition connects several measures, all of them have the same |w|, and no arithmetic can
//! tell which is wrong. Then the ± is widened to include both possibilities.

use super::observation::Observation;
use super::sources::{Common, Commons};
use super::system::{Seen, System};
use super::walk::Part;
use crate::survey::{LocalSurvey, Role};
use crate::units::print::{fixed, for_terminal};

/// Critical value of w: one chance in a thousand (Baarda 1968, 3.29; from memory).
pub(super) const CRITICAL: f64 = 3.29;
/// From this w on a measure is doubtful: one chance in a hundred. Nothing is left out for that, but the ± is
/// widened to include both possibilities.
const DOUBTFUL: f64 = 2.58;
/// The same for a post, wider: paint, plumb and the choice of face often add up to more than chance makes of
/// their 5 cm.
const CRITICAL_OF_A_POST: f64 = 4.0;
/// A common error of a source is no suspect at more than this many of its standard deviations, as long as a
/// single measure explains as much: a receiver's scale is not 4 % wrong, a tape was misread.
const ABSURD: f64 = 50.0;
/// From this w on a length is suspected where no ground can be fitted with it.
const SUSPECT: f64 = 2.0;
/// Two statistics nearer than this ratio can't be told apart.
const TOLD_APART: f64 = 0.95;
/// Least redundancy at which a measure is tested. A smaller one may be rounding alone (a tape to a millimetre
/// beside a walk to 2 m has 2.5e-7).
const LEAST_REDUNDANCY: f64 = 1e-8;
/// The standard deviation of a scale that is set free, as a ratio.
const FREE_SCALE: f64 = 0.1;
/// The standard deviation of a place or an offset that is set free, m.
const FREE_M: f64 = 10.0;

/// A measure or a common error that may be wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Suspect {
    /// A post, by its index in the survey.
    Post(usize),
    /// A measured length, by its number in the survey.
    Span(usize),
    /// A common error of a source or a tape.
    Common(Common),
}

impl Suspect {
    /// The standardised residual from which it is doubted.
    fn limit(self) -> f64 {
        if matches!(self, Self::Post(_)) { CRITICAL_OF_A_POST } else { DOUBTFUL }
    }

    fn order(self) -> usize {
        match self {
            Self::Post(_) | Self::Span(_) => 0,
            Self::Common(Common::Scale { .. }) => 1,
            Self::Common(Common::Offset { .. }) => 2,
            Self::Common(Common::Place { .. }) => 3,
            Self::Common(Common::Tape { .. }) => 4,
        }
    }
}

/// A suspect with its statistics.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Tested {
    pub(super) suspect: Suspect,
    /// Standardised residual.
    pub(super) w: f64,
    /// Its error, in metres or as a ratio.
    pub(super) off: f64,
}

/// A contradiction among the measures, for a report.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    /// The measures that may be wrong, the likeliest first.
    pub suspects: Vec<String>,
    /// The contradiction as a sentence, with what was done about it.
    pub text: String,
    /// Standardised residual: the residual over its standard deviation.
    pub standardised: f64,
    /// Is the first suspect more likely wrong than the others?
    pub told_apart: bool,
}

/// An adjusted system to test, with its lengths, posts and common errors.
pub(super) struct Trial<'a> {
    pub(super) system: &'a System,
    pub(super) commons: &'a Commons,
    pub(super) spans: &'a [(usize, f64)],
    pub(super) span_places: &'a [usize],
    /// Each post's observation, and its index in the survey.
    pub(super) posts: &'a [(usize, usize)],
    pub(super) shape: usize,
}

impl Trial<'_> {
    /// Tests every measured length and common error in each part of a mixture, and averages by weight.
    /// Without autocorrelated errors there is one part. `unit` is the standard deviation of unit weight where
    /// that is over 1.
    ///
    /// Each part is tested by itself: a measure much better than the rest has a redundancy of one in ten
    /// thousand, which would be lost in the mixture's own spread.
    pub(super) fn test(&self, parts: &[Part], unit: f64) -> Vec<Tested> {
        let mut all: Vec<Tested> = Vec::new();
        for part in parts {
            for (k, t) in self.test_one(part, unit).into_iter().enumerate() {
                match all.get_mut(k) {
                    Some(sum) => {
                        sum.w += part.weight * t.w;
                        sum.off += part.weight * t.off;
                    }
                    None => all.push(Tested { w: part.weight * t.w, off: part.weight * t.off, ..t }),
                }
            }
        }
        all
    }

    fn test_one(&self, part: &Part, unit: f64) -> Vec<Tested> {
        let first = self.commons.first(self.shape);
        let mut found = Vec::new();
        let _ = self.system.each_equation(&part.base, |seen, at_base, row| {
            // Along the tangent: the step's curvature would drown a residual of millimetres.
            let v = at_base + row.iter().zip(&part.step).map(|(g, s)| g * s).sum::<f64>();
            let Seen::Other(at) = seen else { return };
            let (suspect, sd) = match self.system.observations[at] {
                Observation::Span { sd, .. } => {
                    let Some(k) = self.span_places.iter().position(|&p| p == at) else { return };
                    (Suspect::Span(self.spans[k].0), sd)
                }
                Observation::Post { sd, .. } => {
                    let Some((_, index)) = self.posts.iter().find(|p| p.0 == at) else { return };
                    (Suspect::Post(*index), sd)
                }
                Observation::Prior { parameter, sd, .. } => {
                    let Some(k) = first.iter().rposition(|&f| f <= parameter) else { return };
                    (Suspect::Common(self.commons.list[k].what), sd)
                }
                _ => return,
            };
            // In units of the observation's own standard deviation.
            let g = nalgebra::DVector::from_column_slice(row);
            let redundancy = 1.0 - (g.transpose() * &part.covariance * &g)[(0, 0)];
            let shows = redundancy > LEAST_REDUNDANCY;
            let (w, off) =
                if shows { (v / redundancy.sqrt() / unit, v / redundancy * sd) } else { (0.0, 0.0) };
            found.push(Tested { suspect, w, off });
        });
        found
    }
}

/// The measures that are left out or given a wider standard deviation, as contradictions are found.
#[derive(Debug, Clone, Default)]
pub(super) struct Doubts {
    /// Lengths left out.
    pub(super) left_out: Vec<usize>,
    /// Lengths with a wider standard deviation.
    pub(super) wider: Vec<(usize, f64)>,
    /// Common errors with a wider one.
    pub(super) widened: Vec<(Common, f64)>,
    /// Posts left out.
    pub(super) posts_out: Vec<usize>,
    /// Posts with a wider standard deviation.
    pub(super) posts_wider: Vec<(usize, f64)>,
    pub(super) conflicts: Vec<Conflict>,
    /// Each length's number and its difference from the prediction of the rest: in metres, and in standard
    /// deviations.
    pub(super) misses: Vec<(usize, f64, f64)>,
}

impl Doubts {
    /// Lengths that are used, with their standard deviations.
    pub(super) fn spans(&self, survey: &LocalSurvey) -> Vec<(usize, f64)> {
        (0..survey.spans.len())
            .filter(|i| !self.left_out.contains(i))
            .map(|i| (i, self.wider.iter().find(|w| w.0 == i).map_or(survey.spans[i].sd_m, |w| w.1)))
            .collect()
    }

    /// Gives up lengths where no ground can be fitted with them: those that were kept with a wider standard
    /// deviation, or else the one that contradicts the rest the most. `false` where none is suspect.
    pub(super) fn give_up(&mut self, survey: &LocalSurvey) -> bool {
        let mut doubtful: Vec<usize> = self.wider.drain(..).map(|w| w.0).collect();
        self.widened.clear();
        if doubtful.is_empty() {
            let left = self.misses.iter().filter(|m| m.2 > SUSPECT && !self.left_out.contains(&m.0));
            doubtful.extend(left.max_by(|a, b| a.2.total_cmp(&b.2)).map(|m| m.0));
        }
        for &i in &doubtful {
            let (off, w) = self.misses.iter().find(|m| m.0 == i).map_or((0.0, 0.0), |m| (m.1, m.2));
            let t = Tested { suspect: Suspect::Span(i), w, off };
            let name = named(&t, survey);
            // Remove the message that it was kept.
            self.conflicts.retain(|c| c.told_apart || !c.suspects.contains(&name));
            self.conflicts.push(Conflict {
                text: format!(
                    "no ground comes of {name} beside the rest, against which it is {}, {} times what its ± allows: it is left out",
                    off_by(&t),
                    fixed(w, 1)
                ),
                suspects: vec![name],
                standardised: w,
                told_apart: false,
            });
        }
        self.left_out.extend(&doubtful);
        !doubtful.is_empty()
    }

    /// Deals with the worst contradiction; `false` where there is none.
    pub(super) fn take(&mut self, tested: &[Tested], commons: &Commons, survey: &LocalSurvey) -> bool {
        let mut worst: Vec<Tested> =
            tested.iter().copied().filter(|t| t.w.abs() > t.suspect.limit()).collect();
        worst.sort_by(|a, b| b.w.abs().total_cmp(&a.w.abs()));
        let Some(strongest) = worst.first().map(|t| t.w.abs()) else { return false };
        // A scale off by thousands of its standard deviations is no suspect where a tape was misread.
        let absurd = |t: &Tested| matches!(t.suspect, Suspect::Common(c) if commons.list.iter().any(|k| k.what == c && t.off.abs() > ABSURD * k.sd));
        let single = |t: &Tested| !matches!(t.suspect, Suspect::Common(_)) && t.w.abs() > 0.5 * strongest;
        if worst.iter().any(single) {
            worst.retain(|t| !absurd(t));
        }
        let Some(first) = worst.first().copied() else { return false };
        // The suspects that can't be told from the first. A place has two components and is named once.
        let mut same: Vec<Tested> = Vec::new();
        for t in worst.iter().filter(|t| t.w.abs() >= TOLD_APART * first.w.abs()) {
            if !same.iter().any(|s| s.suspect == t.suspect) {
                same.push(*t);
            }
        }
        // Only rounding would decide their order. So put measures first, then common errors of sources.
        same.sort_by_key(|t| t.suspect.order());
        // A tape's scale and a reading of that tape are the same doubt, so keep one.
        if same.iter().any(|t| matches!(t.suspect, Suspect::Span(_))) {
            same.retain(|t| !matches!(t.suspect, Suspect::Common(Common::Tape { .. })));
        }
        let sure = first.w.abs() > CRITICAL;
        let told_apart = sure && same.len() == 1;
        for t in &same {
            match t.suspect {
                Suspect::Post(i) if told_apart => self.posts_out.push(i),
                Suspect::Post(i) => {
                    self.posts_wider.retain(|w| w.0 != i);
                    self.posts_wider.push((i, t.off.abs()));
                }
                Suspect::Span(i) if told_apart => self.left_out.push(i),
                Suspect::Span(i) => {
                    self.wider.retain(|w| w.0 != i);
                    self.wider.push((i, t.off.abs()));
                }
                Suspect::Common(c) => {
                    let free = if matches!(c, Common::Scale { .. } | Common::Tape { .. }) {
                        FREE_SCALE
                    } else {
                        FREE_M
                    };
                    self.widened.retain(|w| w.0 != c);
                    self.widened.push((c, if told_apart { free } else { t.off.abs() }));
                }
            }
        }
        let suspects: Vec<String> = same.iter().map(|t| named(t, survey)).collect();
        let text = sentence(&same, &suspects, survey, sure);
        self.conflicts.push(Conflict { suspects, text, standardised: first.w.abs(), told_apart });
        true
    }
}

/// A length that misses the prediction of the rest by this much, and by this many of its standard deviations,
/// is left out before it is tried: it would distort the ground beyond recognition.
const HOPELESS_M: f64 = 10.0;
const HOPELESS: f64 = 6.0;

impl Doubts {
    /// Compares each length with a ground that was fitted without any. `predicted` gives that ground's value
    /// and standard deviation for a kind of length. Where two lengths of one kind contradict each other, the
    /// one that is clearly farther from the prediction is left out.
    pub(super) fn screen(&mut self, survey: &LocalSurvey, predicted: impl Fn(bool) -> Option<(f64, f64)>) {
        let w_of = |i: usize| -> Option<(f64, f64)> {
            let s = &survey.spans[i];
            let (value, sd) = predicted(s.wing_to_wing)?;
            let off = s.value_m - value;
            Some((off, off.abs() / sd.hypot(s.sd_m)))
        };
        for i in 0..survey.spans.len() {
            let Some((off, w)) = w_of(i) else { continue };
            self.misses.push((i, off, w));
            let s = &survey.spans[i];
            // Of the lengths of the same kind that contradict it, the one nearest to the prediction, if that
            // is nearer than this one.
            let other = (0..survey.spans.len())
                .filter(|&k| k != i && survey.spans[k].wing_to_wing == s.wing_to_wing)
                .filter(|&k| {
                    let o = &survey.spans[k];
                    (o.value_m - s.value_m).abs() > CRITICAL * o.sd_m.hypot(s.sd_m)
                })
                .filter_map(|k| w_of(k).map(|(_, w)| (k, w)))
                .filter(|(_, w_other)| *w_other < w)
                .min_by(|a, b| a.1.total_cmp(&b.1));
            let hopeless = off.abs() > HOPELESS_M && w > HOPELESS;
            let against = match other {
                Some((k, w_other)) if w > DOUBTFUL && w - w_other > 1.0 => Some(k),
                _ if hopeless => None,
                _ => continue,
            };
            self.left_out.push(i);
            let t = Tested { suspect: Suspect::Span(i), w, off };
            let name = named(&t, survey);
            let rest = against.map_or_else(String::new, |k| {
                format!("{} and ", named(&Tested { suspect: Suspect::Span(k), w: 0.0, off: 0.0 }, survey))
            });
            self.conflicts.push(Conflict {
                text: format!(
                    "{name} is {} against {rest}everything else, {} times what its ± allows: it is left out",
                    off_by(&t),
                    fixed(w, 1)
                ),
                suspects: vec![name],
                standardised: w,
                told_apart: true,
            });
        }
    }
}

fn named(t: &Tested, survey: &LocalSurvey) -> String {
    match t.suspect {
        Suspect::Post(i) => {
            let p = &survey.points[i];
            let kind = if p.role == Role::BehindPost { "behind post" } else { "goal post" };
            format!("the {kind} at {}", for_terminal(&p.place))
        }
        Suspect::Span(i) => {
            let s = &survey.spans[i];
            format!(
                "the {} m from {} ({})",
                fixed(s.value_m, 2),
                if s.wing_to_wing { "wing to wing" } else { "goal to goal" },
                for_terminal(&s.place)
            )
        }
        Suspect::Common(c) => c.in_words(survey),
    }
}

/// The error of a suspect in plain words.
fn off_by(t: &Tested) -> String {
    match t.suspect {
        Suspect::Post(_) => format!("{} m out of its place", fixed(t.off.abs(), 2)),
        Suspect::Span(_) => {
            format!("{} m too {}", fixed(t.off.abs(), 2), if t.off > 0.0 { "long" } else { "short" })
        }
        Suspect::Common(Common::Scale { .. }) => {
            format!("{} % too {}", fixed(t.off.abs() * 100.0, 2), if t.off > 0.0 { "large" } else { "small" })
        }
        Suspect::Common(Common::Tape { .. }) => {
            format!("{} % too {}", fixed(t.off.abs() * 100.0, 2), if t.off > 0.0 { "long" } else { "short" })
        }
        Suspect::Common(Common::Place { .. }) => format!("{} m off", fixed(t.off.abs(), 1)),
        Suspect::Common(Common::Offset { .. }) => {
            format!("{} m {}", fixed(t.off.abs(), 2), if t.off > 0.0 { "outside it" } else { "inside it" })
        }
    }
}

fn sentence(same: &[Tested], names: &[String], survey: &LocalSurvey, sure: bool) -> String {
    let w = fixed(same[0].w.abs(), 1);
    if !sure && same.len() == 1 {
        return format!(
            "{} is {} against everything else, {w} times what its ± allows: more than chance likes, too little to be sure. Both readings are kept within the ±: measure it again",
            names[0],
            off_by(&same[0])
        );
    }
    if same.len() == 1 {
        let done = match same[0].suspect {
            Suspect::Post(_) | Suspect::Span(_) => "it is left out",
            Suspect::Common(_) => "it is taken from the rest",
        };
        return format!(
            "{} is {} against everything else, {w} times what its ± allows: {done}",
            names[0],
            off_by(&same[0])
        );
    }
    let each: Vec<String> = same.iter().zip(names).map(|(t, n)| format!("{n} ({})", off_by(t))).collect();
    let what = if survey.spans.is_empty() { "the sources" } else { "the measures" };
    format!(
        "{what} contradict each other, {w} times what their ± allow. One of these {} wrong, and nothing here tells which: {}. Both readings are kept within the ±: one more measure would tell",
        if sure { "is" } else { "may be" },
        each.join("; ")
    )
}
