//! Short side and long side: which behind post is nearer along the line.

use crate::boundary::End;
use crate::ground::{Ground, Oval, Spot, SpotRef};
use crate::rules::Practice;
use crate::units::Measured;

/// The direction along the line in which the nearer behind post lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShortSide {
    /// Toward this end.
    Toward(End),
    /// The two distances differ by too little to matter, or by less than their uncertainty.
    Either,
}

impl ShortSide {
    /// The short side's end; `preferred` where it is [`Self::Either`].
    #[must_use]
    pub fn or(self, preferred: End) -> End {
        match self {
            Self::Toward(end) => end,
            Self::Either => preferred,
        }
    }
}

/// Distances along the line from a spot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sides {
    /// Which is short.
    pub short: ShortSide,
    /// Along the line to end A's behind post.
    pub to_a: Measured,
    /// Along the line to end B's behind post.
    pub to_b: Measured,
    /// The distance to end A's post in lengths of a kick.
    pub kicks_a: f64,
    /// As `kicks_a`, for end B.
    pub kicks_b: f64,
    /// Where the short side changes: half the line's length, m from either post.
    pub swap_m: f64,
}

/// The sides at a spot: `Either` where the two distances differ by less than 5 m
/// or two standard deviations of their difference.
#[must_use]
pub fn sides(ground: &Ground, practice: &Practice, reference: SpotRef) -> Option<Sides> {
    let range = practice.goal_range_m.value;
    let [to_a, to_b, difference] = ground.measure_all(|o: &Oval| {
        let Lengths { to_a, to_b, difference } = Lengths::of(&o.spot_held(reference, range).ok()?);
        Some([to_a, to_b, difference])
    })?;
    Some(sides_of(practice, &Lengths { to_a, to_b, difference }))
}

/// What [`sides`] measures of a spot, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lengths<T> {
    /// Along the line to end A's post.
    pub to_a: T,
    /// Along the line to end B's post.
    pub to_b: T,
    /// How much longer the way to end A is.
    pub difference: T,
}

impl Lengths<f64> {
    /// On one oval.
    #[must_use]
    pub fn of(s: &Spot) -> Self {
        Self { to_a: s.to_a_m, to_b: s.to_b_m, difference: s.to_a_m - s.to_b_m }
    }
}

/// The sides of a spot whose lengths are measured already.
#[must_use]
pub fn sides_of(practice: &Practice, lengths: &Lengths<Measured>) -> Sides {
    let Lengths { to_a, to_b, difference } = *lengths;
    let close = difference.value().abs() < practice.either_m.value.max(2.0 * difference.sd());
    let kick = practice.kick_m.value;
    Sides {
        short: if close {
            ShortSide::Either
        } else if difference.value() < 0.0 {
            ShortSide::Toward(End::A)
        } else {
            ShortSide::Toward(End::B)
        },
        kicks_a: to_a.value() / kick,
        kicks_b: to_b.value() / kick,
        swap_m: 0.5 * (to_a.value() + to_b.value()),
        to_a,
        to_b,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::{Side, Spread};
    use crate::ground::outline_for_tests;
    use crate::rules::RuleSet;

    #[test]
    fn either_within_five_metres_of_the_swap() {
        let g = Ground::new(&outline_for_tests(165.0, 135.0), &Spread::none(), RuleSet::laws()).unwrap();
        let half = 0.5 * g.oval().boundary().line_length_m(Side::Left);
        let at = |m: f64| {
            sides(&g, &Practice::default(), SpotRef::FromPost { side: Side::Left, end: End::A, metres: m })
                .unwrap()
        };
        // The difference is twice the distance from the swap.
        assert_eq!(at(half - 2.4).short, ShortSide::Either);
        assert_eq!(at(half - 2.6).short, ShortSide::Toward(End::A));
        assert_eq!(at(half + 2.6).short, ShortSide::Toward(End::B));
        assert!((at(50.0).kicks_a - 1.0).abs() < 1e-9);
    }

    #[test]
    fn either_where_the_survey_cannot_tell() {
        let mut spread = Spread::none();
        // A standard deviation of 3 m in where the whole ground lies along its axis. From a fixed place each
        // distance changes by 3 m, and their difference by 6 m.
        spread.add_axis([0.0, 3.0, 0.0, 0.0, 0.0, 0.0, 3.0, 0.0, 0.0]);
        let g = Ground::new(&outline_for_tests(165.0, 135.0), &spread, RuleSet::laws()).unwrap();
        let half = 0.5 * g.oval().boundary().line_length_m(Side::Left);
        let local = g.oval().plan().to_local(
            g.oval()
                .spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres: half - 4.0 }, 25.0)
                .unwrap()
                .point,
        );
        let s = sides(&g, &Practice::default(), SpotRef::NearLocal(local)).unwrap();
        assert_eq!(s.short, ShortSide::Either);
    }
}
