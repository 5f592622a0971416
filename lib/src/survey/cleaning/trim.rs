//! What a person cuts off both ends of a walk before it is cleaned, by time or by metres walked: the way
//! from the pavilion and back, where the steps do not see it by themselves.

use std::fmt;
use std::str::FromStr;

use super::Found;
use super::track::{Clock, Fix};
use super::way::Way;
use crate::survey::Cleaning;
use crate::units::{Problem, print};

/// Longest cut at one end: nobody stands or strays longer, a mistyped number does.
const LONGEST_S: f64 = 14_400.0;
const LONGEST_M: f64 = 5_000.0;

/// How much is cut off one end of a walk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cut {
    /// So many seconds by the fixes' own times.
    Seconds(f64),
    /// So many metres of way, as it was walked.
    Metres(f64),
}

impl Cut {
    fn check(self) -> Result<Self, Problem> {
        let (value, most, unit) = match self {
            Self::Seconds(v) => (v, LONGEST_S, "s"),
            Self::Metres(v) => (v, LONGEST_M, "m"),
        };
        if (0.0..=most).contains(&value) {
            return Ok(self);
        }
        Err(Problem::new(format!("{value} {unit} is not between 0 and {most} {unit}"))
            .hint("120 s, 3 min or 40 m at an end of the walk"))
    }

    fn is_nothing(self) -> bool {
        matches!(self, Self::Seconds(v) | Self::Metres(v) if v <= 0.0)
    }
}

impl fmt::Display for Cut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Seconds(v) => write!(f, "{} s", print::plain(*v)),
            Self::Metres(v) => write!(f, "{} m", print::plain(*v)),
        }
    }
}

/// `120 s`, `120s`, `3 min`, `40 m`.
impl FromStr for Cut {
    type Err = Problem;

    fn from_str(text: &str) -> Result<Self, Problem> {
        let text = text.trim();
        let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len());
        let (number, unit) = text.split_at(end);
        let cut: Option<fn(f64) -> Self> = match unit.trim() {
            "s" => Some(Self::Seconds),
            "min" => Some(|v| Self::Seconds(60.0 * v)),
            "m" => Some(Self::Metres),
            _ => None,
        };
        match (number.parse::<f64>(), cut) {
            (Ok(v), Some(cut)) => cut(v).check(),
            _ => Err(Problem::new(format!("{} is no time or length to cut off", print::quoted(text)))
                .hint("120 s, 3 min or 40 m, with the unit")),
        }
    }
}

/// How much is cut off both ends of each walk.
///
/// # Examples
/// ```
/// use ovalpeg::survey::{Cut, Trim};
/// let both: Trim = "120 s".parse()?;
/// assert_eq!(both, Trim::new(Cut::Seconds(120.0), Cut::Seconds(120.0))?);
/// let each: Trim = "3 min, 40 m".parse()?;
/// assert_eq!((each.start(), each.end()), (Cut::Seconds(180.0), Cut::Metres(40.0)));
/// assert!("40".parse::<Trim>().is_err());
/// # Ok::<(), ovalpeg::units::Problem>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trim {
    start: Cut,
    end: Cut,
}

impl Trim {
    /// What is cut off the start and off the end.
    ///
    /// # Errors
    /// A [`Problem`] for what is negative, no number, or longer than four hours or 5,000 m.
    pub fn new(start: Cut, end: Cut) -> Result<Self, Problem> {
        Ok(Self { start: start.check()?, end: end.check()? })
    }

    /// What is cut off the start.
    #[must_use]
    pub fn start(&self) -> Cut {
        self.start
    }

    /// What is cut off the end.
    #[must_use]
    pub fn end(&self) -> Cut {
        self.end
    }
}

/// As it is read back: `180 s, 40 m`.
impl fmt::Display for Trim {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {}", self.start, self.end)
    }
}

/// One cut for both ends, or one for each with a comma between.
impl FromStr for Trim {
    type Err = Problem;

    fn from_str(text: &str) -> Result<Self, Problem> {
        let (start, end) = text.split_once(',').unwrap_or((text, text));
        Self::new(start.parse()?, end.parse()?)
    }
}

/// What is cut off a walk, and what can't be: seconds, where its fixes have no times.
pub(super) fn find(fixes: &[Fix], trim: Trim) -> Vec<Found> {
    let end = Found { at_start: false, ..cut(fixes, trim.end, true) };
    let start = Found { at_start: true, ..cut(fixes, trim.start, false) };
    let mut out = Vec::new();
    if !trim.start.is_nothing() {
        out.push(start);
    }
    if !trim.end.is_nothing() {
        out.push(end);
    }
    out
}

fn cut(fixes: &[Fix], cut: Cut, at_end: bool) -> Found {
    let found = |drop: Vec<usize>| Found::new(Cleaning::Trim, drop);
    match cut {
        Cut::Seconds(seconds) => {
            let clock = Clock::of(fixes);
            let elapsed = clock.elapsed();
            let total = elapsed.last().copied().unwrap_or(0.0);
            let gone = |t: f64| if at_end { total - t < seconds } else { t < seconds };
            let drop = (0..fixes.len()).filter(|&i| clock.timed && gone(elapsed[i])).collect();
            found(drop).seconds(Some(seconds))
        }
        Cut::Metres(metres) => {
            // By the way's samples, so that the wandering of a phone that stands makes little of it.
            let samples = Way::of(fixes).samples;
            let total = samples.last().map_or(0.0, |s| s.along_m);
            let drop: Vec<usize> = if at_end {
                let last = samples.iter().rev().find(|s| total - s.along_m >= metres);
                (last.map_or(0, |s| s.fix + 1)..fixes.len()).collect()
            } else {
                let first = samples.iter().find(|s| s.along_m >= metres);
                (0..first.map_or(fixes.len(), |s| s.fix)).collect()
            };
            found(drop).metres(metres)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::planted::{Kit, Oval, Steps};
    use super::super::{CleanOptions, clean};
    use super::*;
    use crate::frame::LocalPlane;
    use crate::numeric::Draws;
    use crate::survey::{LocalSurvey, Observed};

    /// A minute of standing 30 m off the line, the way there, a lap, and the way back.
    fn walk(timed: bool) -> Vec<Observed> {
        let oval = Oval::ellipse(160.0, 130.0);
        let pavilion = oval.at(0.0) + oval.outward(0.0) * 30.0;
        let mut steps = Steps::new();
        steps.straight(pavilion, oval.at(0.0), Cleaning::Approach);
        steps.line(&oval, 0.0, oval.length_m(), None);
        steps.straight(oval.at(0.0), pavilion, Cleaning::Approach);
        steps.stand(60.0);
        let kit = Kit { every_s: 1.0, pace: 1.5, sd_m: 0.0, white_m: 0.02, tau_s: 20.0, timed, apart_m: 0.0 };
        steps.recorded(kit, &mut Draws::of_many(3)).points
    }

    fn trimmed(points: Vec<Observed>, trim: &str) -> (Vec<usize>, Vec<String>) {
        let mut options = CleanOptions { steps: Vec::new(), walked: true, ..CleanOptions::default() };
        options.trim = Some(trim.parse().unwrap());
        let cleaned = clean(LocalSurvey::new(LocalPlane::own(), points), &options);
        let gone = (0..cleaned.survey.points.len())
            .filter(|&i| cleaned.survey.points[i].cleaned == Some(Cleaning::Trim))
            .collect();
        (gone, cleaned.report.into_iter().map(|s| s.sentence).filter(|s| s.contains("asked")).collect())
    }

    #[test]
    fn a_walk_is_cut_by_seconds_or_metres_at_both_ends() {
        let points = walk(true);
        let n = points.len();
        let (gone, said) = trimmed(points.clone(), "20 s, 80 s");
        // A fix each second: those before 20 s, and those within 80 s of the last.
        assert_eq!(gone, (0..20).chain(n - 80..n).collect::<Vec<_>>());
        assert_eq!(
            said,
            [
                "20 s at the start, 20 fixes, from Track 1, point 1: cut off, as asked".to_owned(),
                format!("80 s at the end, 80 fixes, from Track 1, point {}: cut off, as asked", n - 79),
            ]
        );
        // 30 m at 1.5 m a fix are 20 fixes; a sample is 2 m, and standing makes no way.
        let (gone, _) = trimmed(points, "30 m");
        let at_start = gone.iter().filter(|&&i| i < n / 2).count();
        assert!((18..=23).contains(&at_start), "{at_start}");
        assert!((78..=83).contains(&(gone.len() - at_start)), "{}", gone.len() - at_start);
    }

    #[test]
    fn seconds_of_a_walk_without_times_are_said_to_be_untold() {
        let (gone, said) = trimmed(walk(false), "20 s");
        assert!(gone.is_empty());
        assert_eq!(said.len(), 2);
        assert!(
            said[0].contains("20 s at the start: nothing is cut off, as the fixes have no times"),
            "{said:?}"
        );
        // All of it may be asked for.
        let points = walk(true);
        let n = points.len();
        assert_eq!(trimmed(points, "4000 m").0.len(), n);
    }

    #[test]
    fn what_is_no_cut_is_refused() {
        for (text, want) in [
            ("-3 s", "is no time"),
            ("40", "is no time"),
            ("5 h", "is no time"),
            ("14401 s", "between 0 and 14400 s"),
            ("", "is no time"),
        ] {
            let e = text.parse::<Trim>().unwrap_err().to_string();
            assert!(e.contains(want), "{text}: {e}");
        }
        for bad in [Cut::Metres(f64::NAN), Cut::Seconds(-1.0), Cut::Metres(f64::INFINITY)] {
            assert!(Trim::new(bad, Cut::Metres(0.0)).is_err());
        }
    }
}
