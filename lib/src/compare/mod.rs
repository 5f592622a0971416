#![doc = include_str!("README.md")]

mod change;
mod family;
mod known;
mod line;
mod same;
mod seen;

pub use change::{Change, Displacement};
pub use known::Known;
pub use same::{Gap, MOVED_M, TURNED_DEG, gap};

use crate::boundary::{End, Side};
use crate::frame::{LocalPlane, Plan};
use crate::ground::{Effects, Ground, NamedSpot, Oval};
use crate::numeric::chi2_quantile;
use crate::units::Measured;
use change::Ledger;
use line::{stations, stretches};
use seen::{Sight, Station};

/// The greatest probability of a false alarm among all tests of one comparison together: one in twenty.
pub const FALSE_ALARMS: f64 = 0.05;

/// The planes in which the two grounds lie.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Planes {
    /// Both in the same plane.
    #[default]
    One,
    /// Each in a plane of its own, both with a place on the Earth.
    Two {
        /// The old ground's.
        old: LocalPlane,
        /// The new ground's.
        new: LocalPlane,
    },
    /// In two planes that can't be related: place and turn can't be compared.
    Apart,
}

/// What is known besides the two grounds.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CompareOptions {
    /// The planes in which they lie.
    pub planes: Planes,
    /// Steady error of the old survey's place in each of east and north, one standard deviation, m.
    pub old_place_sd_m: f64,
    /// The same for the new survey.
    pub new_place_sd_m: f64,
    /// How far the old survey's line departs from the shape that was fitted to it, root mean square, m: see
    /// [`misfit_m`].
    pub old_misfit_m: f64,
    /// The same for the new survey.
    pub new_misfit_m: f64,
}

/// How far a line departs from its fitted shape beyond its points' own scatter, root mean square, m. It is 0
/// where residuals as great come by chance in more than one of twenty surveys of `points` points with this
/// standard deviation (a χ² test).
#[must_use]
pub fn misfit_m(rms_m: f64, point_sd_m: f64, points: usize) -> f64 {
    let excess = rms_m * rms_m - point_sd_m * point_sd_m;
    let n = points as f64;
    let by_chance = chi2_quantile(0.95, n) * point_sd_m * point_sd_m;
    if excess > 0.0 && n * rms_m * rms_m > by_chance { excess.sqrt() } else { 0.0 }
}

/// The comparison of two surveys of one ground; every difference is new minus old.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Is the new ground's end A the old one's end B? Everything here uses the old ground's ends.
    pub end_for_end: bool,
    /// Where the ground lies; `None` where the planes can't be related.
    pub place: Option<PlaceChange>,
    /// Length from goal line to goal line, m.
    pub length: Change,
    /// Overall width, m.
    pub width: Change,
    /// Half-width on the old ground's left, m.
    pub half_width_left: Change,
    /// Half-width on its right, m.
    pub half_width_right: Change,
    /// The line at stations along the old one: the left line from end A, then the right line from end A.
    pub line: Vec<StationChange>,
    /// Stretches of line with significant changes, the greatest change first.
    pub stretches: Vec<Stretch>,
    /// The significance level of each test, which keeps all together to [`FALSE_ALARMS`].
    pub p_of_each: f64,
}

/// How a ground's place changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlaceChange {
    /// The centre: midway between the goals.
    pub centre: Displacement,
    /// The middle of end A's goal line.
    pub goal_a: Displacement,
    /// The middle of end B's goal line.
    pub goal_b: Displacement,
    /// True bearing of the goal axis to end A, degrees; the difference positive clockwise.
    pub axis_deg: Change,
}

/// The change of the line at one station, with both grounds superimposed by their goals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationChange {
    /// Which line.
    pub side: Side,
    /// Metres along the old line from end A's behind post.
    pub from_a_m: f64,
    /// Metres along the old line to end B's behind post.
    pub to_b_m: f64,
    /// Chainage on the old ground, m.
    pub chainage_m: f64,
    /// How much farther out the new line is, measured square to the old one, m.
    pub outward: Measured,
    /// The least difference that would have been significant here, m.
    pub least_m: f64,
    /// The probability of so great a difference by chance alone.
    pub p: f64,
    /// Is the difference significant?
    pub found: bool,
}

impl StationChange {
    /// The end whose behind post is nearer along the old line, and the metres from that post.
    #[must_use]
    pub fn from_post(&self) -> (End, f64) {
        if self.from_a_m <= self.to_b_m { (End::A, self.from_a_m) } else { (End::B, self.to_b_m) }
    }
}

/// A stretch of line that moved relative to the goals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Which line.
    pub side: Side,
    /// The end whose behind post is nearer to its middle.
    pub end: End,
    /// Metres along the old line from that post to its near end.
    pub from_m: f64,
    /// Metres along the old line from that post to its far end.
    pub to_m: f64,
    /// Is it the whole line from post to post?
    pub whole_line: bool,
    /// The greatest change, m, positive outward.
    pub most: Measured,
    /// The place of the greatest change: metres along the old line from the post of `end`.
    pub most_at_m: f64,
    /// Its chainage on the old ground, m.
    pub most_chainage_m: f64,
    /// The named spot nearest to that place, and its end.
    pub near: (NamedSpot, End),
}

/// Why two grounds can't be compared.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum CompareError {
    /// They are too far apart, or face too different directions, to be one ground.
    AnotherGround(Gap),
    /// One of the planes has no place on Earth.
    NoPlace,
    /// On an oval within a survey's uncertainty a number can't be computed.
    TooRough,
}

impl std::fmt::Display for CompareError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::AnotherGround(gap) => gap.fmt(f),
            Self::NoPlace => f.write_str("one of the two has no place on the Earth"),
            Self::TooRough => f.write_str("one of the surveys is too rough to be compared"),
        }
    }
}

impl std::error::Error for CompareError {}

impl Comparison {
    /// Do the measurements show any change?
    #[must_use]
    pub fn changed(&self) -> bool {
        let sizes = [&self.length, &self.width, &self.half_width_left, &self.half_width_right];
        let place = self
            .place
            .iter()
            .any(|p| p.axis_deg.found || [&p.centre, &p.goal_a, &p.goal_b].iter().any(|d| d.found));
        place || sizes.iter().any(|c| c.found) || self.line.iter().any(|s| s.found)
    }
}

/// Compares two surveys of one ground, whose errors are independent of each other.
///
/// # Errors
/// [`CompareError`] where they can't be two surveys of one ground, or one is too rough.
///
/// # Examples
/// ```
/// use ovalpeg::boundary::{Outline, Spread};
/// use ovalpeg::compare::{CompareOptions, compare};
/// use ovalpeg::ground::Ground;
/// use ovalpeg::rules::RuleSet;
/// let mut spread = Spread::none();
/// spread.add_axis([0.0, 0.0, 0.02, 0.02, 0.0, 0.0, 0.0, 0.0, 0.02]);
/// let ground = |half_length: f64, semi_major: f64| {
///     let o = Outline::from_parameters(&[0.0, 0.0, semi_major, 67.5, 12.0, 0.0, 0.0, 12.0, half_length])?;
///     Ok::<_, Box<dyn std::error::Error>>(Ground::new(&o, &spread, RuleSet::laws())?)
/// };
/// let (old, new) = (ground(82.5, 83.35)?, ground(83.0, 83.85)?);
/// assert!(!compare(&old, &old, &CompareOptions::default())?.changed());
/// let found = compare(&old, &new, &CompareOptions::default())?;
/// assert!(found.length.found && (found.length.difference.value() - 1.0).abs() < 1e-9);
/// assert!(!found.width.found);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn compare(old: &Ground, new: &Ground, options: &CompareOptions) -> Result<Comparison, CompareError> {
    use CompareError::{NoPlace, TooRough};
    let apart = options.planes == Planes::Apart;
    let before = Sight::PLAIN;
    let mut after = match options.planes {
        Planes::Two { old, new } => Sight { planes: Some([new, old]), ..Sight::PLAIN },
        Planes::One | Planes::Apart => Sight::PLAIN,
    };
    let was = before.plan(old.oval()).ok_or(TooRough)?;
    if !apart {
        let now = after.plan(new.oval()).ok_or(NoPlace)?;
        let gap = gap(&was, &now);
        if gap.is_another_ground() {
            return Err(CompareError::AnotherGround(gap));
        }
        after.turned = gap.end_for_end;
    }
    let asked = Asked { was, apart, places: stations(old.oval()) };
    let effects = |ground: &Ground, sight: &Sight| ground.effects(|o| asked.of(sight, o)).ok_or(TooRough);
    let (then, now): (Effects, Effects) = (effects(old, &before)?, effects(new, &after)?);
    let ledger = Ledger::new(
        &then,
        &now,
        [old.ratio(), new.ratio()],
        [options.old_place_sd_m, options.new_place_sd_m],
        asked.misfits(options.old_misfit_m.hypot(options.new_misfit_m)),
    );
    // Leave out a station whose normal does not meet the line on every oval.
    let kept: Vec<usize> = (0..asked.places.len()).filter(|i| ledger.is_finite(asked.first() + i)).collect();
    let mut single: Vec<usize> = (0..SIZES).collect();
    single.extend((!apart).then_some(TURN));
    single.extend(kept.iter().map(|i| asked.first() + i));
    let p_of_each = ledger.p_of_each(&single, if apart { 0 } else { 3 }, FALSE_ALARMS);
    let size = |i: usize| ledger.change(i, p_of_each).ok_or(TooRough);
    let place = asked.place(&ledger, p_of_each)?;
    let line = asked.line(&ledger, p_of_each, old, &kept)?;
    Ok(Comparison {
        end_for_end: after.turned,
        place,
        length: size(0)?,
        width: size(1)?,
        half_width_left: size(2)?,
        half_width_right: size(3)?,
        stretches: stretches(old.oval(), &line),
        line,
        p_of_each,
    })
}

/// The numbers that are computed for both grounds, in this order: [`SIZES`], then [`PLACE`] unless the planes
/// are apart, then the line's offset at each station.
struct Asked {
    was: Plan,
    apart: bool,
    places: Vec<Station>,
}

impl Asked {
    /// The index of the first station.
    fn first(&self) -> usize {
        if self.apart { SIZES } else { SIZES + PLACE }
    }

    /// The numbers of one oval.
    fn of(&self, sight: &Sight, oval: &Oval) -> Option<Vec<f64>> {
        let mut out = sight.sizes(oval).to_vec();
        if !self.apart {
            let [a, b] = sight.goals(oval)?;
            let c = b.midpoint(a);
            // Relative to the old centre and axis, so that differences lose no digits.
            let o = self.was.centre();
            out.push(self.was.axis().turn_to(sight.plan(oval)?.axis()));
            out.extend([c, a, b].iter().flat_map(|p| [p.x - o.x, p.y - o.y]));
        }
        out.extend(self.places.iter().map(|s| sight.offset(oval.boundary(), s)));
        Some(out)
    }

    /// The standard deviation that a line off its fitted shape adds to each number: once to each half-width
    /// and station, and for two sides to the width.
    fn misfits(&self, misfit_m: f64) -> Vec<f64> {
        (0..self.first() + self.places.len())
            .map(|i| match i {
                1 => 2f64.sqrt() * misfit_m,
                2 | 3 => misfit_m,
                _ if i >= self.first() => misfit_m,
                _ => 0.0,
            })
            .collect()
    }

    /// How the place changed; `None` where each ground has a plane of its own.
    fn place(&self, ledger: &Ledger, p_of_each: f64) -> Result<Option<PlaceChange>, CompareError> {
        if self.apart {
            return Ok(None);
        }
        let by = |i: usize| ledger.displacement(i, p_of_each).ok_or(CompareError::TooRough);
        let axis = ledger.change(TURN, p_of_each).and_then(|c| c.turned_from(self.was.axis()));
        Ok(Some(PlaceChange {
            centre: by(TURN + 1)?,
            goal_a: by(TURN + 3)?,
            goal_b: by(TURN + 5)?,
            axis_deg: axis.ok_or(CompareError::TooRough)?,
        }))
    }

    /// How the line changed at the stations in `kept`.
    fn line(
        &self,
        ledger: &Ledger,
        p_of_each: f64,
        old: &Ground,
        kept: &[usize],
    ) -> Result<Vec<StationChange>, CompareError> {
        let one = |&i: &usize| {
            let c = ledger.change(self.first() + i, p_of_each).ok_or(CompareError::TooRough)?;
            let s = &self.places[i];
            Ok(StationChange {
                side: s.side,
                from_a_m: s.from_a_m,
                to_b_m: old.oval().boundary().line_length_m(s.side) - s.from_a_m,
                chainage_m: s.chainage_m,
                outward: c.difference,
                least_m: c.least,
                p: c.p,
                found: c.found,
            })
        };
        kept.iter().map(one).collect()
    }
}

/// How many sizes there are: length, width and two half-widths.
const SIZES: usize = 4;
/// How many numbers of the place follow: the turn, and east and north of the centre and both goals.
const PLACE: usize = 7;
/// The index of the turn.
const TURN: usize = SIZES;

#[cfg(test)]
mod tests;
