//! Short side and long side.

use crate::boundary::End;
use crate::ground::{Ground, Oval, Spot, SpotRef};
use crate::rules::Practice;
use crate::units::Measured;

/// Which way along the line the nearer behind post is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShortSide {
    /// Toward this end.
    Toward(End),
    /// The two differ by too little, or by less than is known.
    Either,
}

impl ShortSide {
    /// The end to go by, with a preference where it is either.
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
    /// Kicks to each post: the distance over the length of a kick.
    pub kicks_a: f64,
    /// As `kicks_a`, for end B.
    pub kicks_b: f64,
    /// Where the sides swap over: half the line, m from either post.
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
        // The whole ground off along its axis by 3 m, one sd: seen from a fixed place
        // each distance changes by 3 m, their difference by 6 m.
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
