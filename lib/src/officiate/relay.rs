//! After a goal: how the ball gets back to the middle.

use super::path::{Group, NoWay, Way, way_round};
use super::play::positions_at_posts;
use super::start::start;
use crate::boundary::{End, Side};
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::{Oval, Surroundings};
use crate::rules::Practice;

/// The ball's way back, and both officials'.
#[derive(Debug, Clone, PartialEq)]
pub struct Relay {
    /// Whose official collects the ball and carries it first.
    pub first: Side,
    /// Where the ball changes hands, both running, 1 to 2 m apart: 10 m out from the goal square.
    pub hand_over: Point<Ground>,
    /// Where the field umpire takes it: at the centre circle, on the side agreed.
    pub field_umpire: Point<Ground>,
    /// The first carrier: from the behind post to the goal line's middle, to the hand-over, past the
    /// short corner, to the start station there.
    pub first_way: Way,
    /// How much of it is with the ball, m.
    pub first_carries_m: f64,
    /// The second carrier: from the behind post to the hand-over, to the field umpire, past the long
    /// corner, to the start station there.
    pub second_way: Way,
    /// How much of it is with the ball, m.
    pub second_carries_m: f64,
}

/// The relay after a goal at an end.
///
/// `first` is the side whose official collects; the field umpire waits on the side `umpire`. Both ways
/// keep clear of `groups`; of two as short, the one away from the field umpire is taken.
///
/// # Errors
/// [`NoWay`] where the groups leave none.
pub fn relay(
    oval: &Oval,
    around: &Surroundings,
    practice: &Practice,
    end: End,
    first: Side,
    umpire: Side,
    groups: &[Group],
) -> Result<Relay, NoWay> {
    let r = oval.rules();
    let s = start(oval, around, practice);
    let half = oval.square_half_m();
    let depth = r.goal_square_depth_m.value + practice.relay_wait_m.value;
    let hand_over = Point::new(end.sign() * (oval.half_length_m() - depth), 0.0);
    let field_umpire = Point::new(0.0, umpire.sign() * 0.5 * r.outer_circle_diameter_m.value);
    let posts = positions_at_posts(oval, around, practice, end);
    let from = |side: Side| posts[usize::from(side == Side::Right)];
    let corner = |side: Side, end: End| half.map(|h| Point::new(end.sign() * h, side.sign() * h));
    // Where nothing is painted the square's corner, paced, is the way's end; without a square the line.
    let level = |side: Side, end: End| oval.boundary().level_with(side, end.sign() * oval.arc_top_m());
    let station = |side: Side, end: End| {
        s.map_or_else(|| corner(side, end).unwrap_or_else(|| level(side, end)), |s| s.station(side, end))
    };
    let past = |side: Side, end: End| corner(side, end).into_iter().chain([station(side, end)]);
    let through = |points: &[Point<Ground>]| -> Result<Vec<Way>, NoWay> {
        points.windows(2).map(|w| way_round(w[0], w[1], groups, field_umpire)).collect()
    };
    let joined = |legs: Vec<Way>| {
        let mut legs = legs.into_iter();
        let first = legs.next().unwrap_or_else(|| Way::straight(hand_over, hand_over));
        legs.fold(first, Way::then)
    };
    let second = first.other();
    let one: Vec<_> = [from(first), oval.goal(end), hand_over].into_iter().chain(past(first, end)).collect();
    let two: Vec<_> =
        [from(second), hand_over, field_umpire].into_iter().chain(past(second, end.other())).collect();
    let (one, two) = (through(&one)?, through(&two)?);
    Ok(Relay {
        first,
        hand_over,
        field_umpire,
        first_carries_m: one[1].length_m,
        second_carries_m: two[1].length_m,
        first_way: joined(one),
        second_way: joined(two),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::oval_for_tests as oval;

    fn at(o: &Oval, groups: &[Group]) -> Relay {
        relay(o, &Surroundings::default(), &Practice::default(), End::B, Side::Left, Side::Right, groups)
            .unwrap()
    }

    #[test]
    fn by_its_definition_on_a_free_ground() {
        let o = oval(165.0, 135.0);
        let r = at(&o, &[]);
        // Common practice, no source: 10 m out from the goal square, so 19 m from the goal line.
        assert!((r.hand_over.distance_to(o.goal(End::B)) - 19.0).abs() < 1e-12);
        assert!((r.first_carries_m - 19.0).abs() < 1e-12);
        // From 63.5 m out to the circle's edge, 5 m off the axis.
        assert!((r.second_carries_m - 63.5f64.hypot(5.0)).abs() < 1e-12);
        let end_of = |w: &Way| *w.points.last().unwrap();
        assert!(end_of(&r.first_way).distance_to(Point::new(-32.5, 25.5)) < 1e-12);
        assert!(end_of(&r.second_way).distance_to(Point::new(32.5, -25.5)) < 1e-12);
        // Diagonally opposite, and past the square's corners.
        assert!(r.first_way.points.contains(&Point::new(-25.0, 25.0)));
        assert!(r.second_way.points.contains(&Point::new(25.0, -25.0)));
    }

    #[test]
    fn keeps_clear_of_players() {
        let o = oval(165.0, 135.0);
        let huddle = Group { at: Point::new(-30.0, -2.0), radius_m: 6.0 };
        let r = at(&o, &[huddle]);
        assert!(r.second_carries_m > at(&o, &[]).second_carries_m);
        for p in &r.second_way.points {
            assert!(p.distance_to(huddle.at) >= huddle.radius_m - 1e-9);
        }
    }
}
