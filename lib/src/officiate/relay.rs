//! The relay after a goal: two officials carry the ball back to the centre, one after the other.

use super::Crew;
use super::hand_over::clear_place;
use super::path::{Group, NoWay, Way, check_groups, way_round};
use super::play::positions_at_posts;
use super::scene::Scene;
use super::start::start;
use crate::boundary::{End, Side};
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::Oval;

/// The ball's way back to the centre, and the ways of both officials.
#[derive(Debug, Clone, PartialEq)]
pub struct Relay {
    /// Whose official collects the ball and carries it first.
    pub first: Side,
    /// Where the ball changes hands, both running, 1 to 2 m apart: 10 m out from the goal square.
    pub hand_over: Point<Ground>,
    /// Where the field umpire takes the ball: at the centre circle, on the side agreed.
    pub field_umpire: Point<Ground>,
    /// The first carrier's way: from the behind post to the goal line's middle, to the hand-over, past the
    /// short corner, to the start station there.
    pub first_way: Way,
    /// How far the first carrier runs with the ball, m.
    pub first_carries_m: f64,
    /// The second carrier's way: from the behind post to the hand-over, to the field umpire, past the long
    /// corner, to the start station there.
    pub second_way: Way,
    /// How far the second carrier runs with the ball, m.
    pub second_carries_m: f64,
    /// What changes because groups of players are in the way.
    pub in_the_way: Vec<InTheWay>,
}

impl Relay {
    /// The end where the goal was.
    #[must_use]
    pub fn end(&self) -> End {
        if self.hand_over.x >= 0.0 { End::A } else { End::B }
    }

    /// How far out from the goal line the hand-over is, m.
    #[must_use]
    pub fn hand_over_out_m(&self, oval: &Oval) -> f64 {
        oval.half_length_m() - self.hand_over.x.abs()
    }

    /// The side of the circle on which the field umpire waits; `None` at the centre.
    #[must_use]
    pub fn field_umpire_side(&self) -> Option<Side> {
        match self.field_umpire.y {
            0.0 => None,
            y if y > 0.0 => Some(Side::Left),
            _ => Some(Side::Right),
        }
    }

    /// The way of a side's official.
    #[must_use]
    pub fn way_of(&self, side: Side) -> &Way {
        if self.first == side { &self.first_way } else { &self.second_way }
    }
}

/// How a group of players changes a relay. Groups are numbered from 0.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum InTheWay {
    /// It stands on the hand-over, which moves.
    HandOverMoves {
        /// Which group.
        group: usize,
        /// How far the hand-over moves, m.
        by_m: f64,
    },
    /// It stands on the hand-over, which moves farther than the practice's limit for such a move.
    HandOverFar {
        /// Which group.
        group: usize,
        /// How far the hand-over moves, m.
        by_m: f64,
    },
    /// It stands on the hand-over, which stays: no place of the ground is clear of the groups.
    HandOverStays {
        /// Which group.
        group: usize,
    },
    /// It stands on this side's corner of the square: the way goes round the group and misses the corner.
    OnCorner {
        /// Which group.
        group: usize,
        /// Whose corner.
        side: Side,
    },
    /// It stands on this side's start station, which stays.
    OnStation {
        /// Which group.
        group: usize,
        /// Whose station.
        side: Side,
    },
}

/// A goal, and who does what after it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Goal {
    /// The end where it was scored.
    pub end: End,
    /// Whose official collects the ball.
    pub collects: Side,
    /// On which side of the circle the field umpire waits for it.
    pub umpire: Side,
    /// How many officials.
    pub crew: Crew,
}

/// The relay after a goal.
///
/// The *short corner* is the square's corner on a carrier's side toward the goal scored, the *long corner*
/// the one toward the other end. The second carrier goes on past the long corner. Where `crew` has two on
/// that line the partner is at the long corner already, and the second carrier goes back past the short
/// corner.
///
/// Both carriers' ways keep clear of `groups`. Of two equally short ways, the one away from the field umpire
/// is taken. If a group stands on the hand-over, that place moves. If a group stands on a corner of the
/// square, the way round it misses that corner. A group on a start station, at a post or in front of goal
/// changes nothing, since the runner has to be there.
///
/// # Errors
/// [`NoWay`] where the groups leave none, or stand where the field umpire waits.
pub fn relay(scene: Scene<'_>, goal: &Goal, groups: &[Group]) -> Result<Relay, NoWay> {
    let Scene { oval, practice, .. } = scene;
    check_groups(groups)?;
    let Goal { end, collects: first, umpire, crew } = *goal;
    let second_to = if crew.is_pair(first.other()) { end } else { end.other() };
    let r = oval.rules();
    let depth = r.goal_square_depth_m.value + practice.relay_wait_m.value;
    let wanted = Point::new(end.sign() * (oval.half_length_m() - depth), 0.0);
    // Without a square there is no circle either: then the field umpire is at the ground's centre.
    let off = oval.square_half_m().map_or(0.0, |_| oval.centre_circle_m());
    let field_umpire = Point::new(0.0, umpire.sign() * off);
    let on = |p: Point<Ground>| groups.iter().position(|g| p.distance_to(g.at) < g.radius_m - ON_EDGE_M);
    if let Some(group) = on(field_umpire) {
        return Err(NoWay::OnFieldUmpire { group });
    }
    let mut in_the_way = Vec::new();
    let mut hand_over = wanted;
    if let Some(group) = on(wanted) {
        match clear_place(oval, practice, end, wanted, field_umpire, groups) {
            Some(p) => {
                hand_over = p;
                let by_m = p.distance_to(wanted);
                in_the_way.push(if by_m <= practice.hand_over_shift_m.value {
                    InTheWay::HandOverMoves { group, by_m }
                } else {
                    InTheWay::HandOverFar { group, by_m }
                });
            }
            None => in_the_way.push(InTheWay::HandOverStays { group }),
        }
    }
    let posts = positions_at_posts(scene, end);
    let from = |side: Side| posts[usize::from(side == Side::Right)];
    let s = start(scene);
    let half = oval.square_half_m();
    let corner = |side: Side, end: End| half.map(|h| Point::new(end.sign() * h, side.sign() * h));
    // Where nothing is painted there are no start stations: then the way ends at the square's corner, which
    // can be paced, or without a square on the line.
    let level = |side: Side, end: End| oval.boundary().level_with(side, end.sign() * oval.arc_top_m());
    let station = |side: Side, end: End| {
        s.map_or_else(|| corner(side, end).unwrap_or_else(|| level(side, end)), |s| s.station(side, end))
    };
    let second = first.other();
    for (side, to) in [(first, end), (second, second_to)] {
        if let Some(group) = corner(side, to).and_then(on) {
            in_the_way.push(InTheWay::OnCorner { group, side });
        }
        if let Some(group) = on(station(side, to)) {
            in_the_way.push(InTheWay::OnStation { group, side });
        }
    }
    let home = |side: Side, to: End| {
        corner(side, to).filter(|c| on(*c).is_none()).into_iter().chain([station(side, to)])
    };
    let through = |points: Vec<Point<Ground>>| -> Result<Vec<Way>, NoWay> {
        points.windows(2).map(|w| leg(w[0], w[1], groups, field_umpire)).collect()
    };
    let one = [from(first), oval.goal(end), hand_over].into_iter().chain(home(first, end)).collect();
    let two = [from(second), hand_over, field_umpire].into_iter().chain(home(second, second_to)).collect();
    let (one, two) = (through(one)?, through(two)?);
    Ok(Relay {
        first,
        hand_over,
        field_umpire,
        first_carries_m: one[1].length_m,
        second_carries_m: two[1].length_m,
        first_way: joined(one),
        second_way: joined(two),
        in_the_way,
    })
}

/// Tolerance for rounding, m: a place this little inside a group is on its edge.
const ON_EDGE_M: f64 = 1e-9;

/// One leg of a way, round all groups except those that contain one of its two places.
fn leg(
    from: Point<Ground>,
    to: Point<Ground>,
    groups: &[Group],
    field_umpire: Point<Ground>,
) -> Result<Way, NoWay> {
    let inside = |g: &Group| [from, to].iter().any(|p| p.distance_to(g.at) < g.radius_m - ON_EDGE_M);
    let others: Vec<Group> = groups.iter().filter(|g| !inside(g)).copied().collect();
    way_round(from, to, &others, field_umpire)
}

fn joined(legs: Vec<Way>) -> Way {
    let mut legs = legs.into_iter();
    let first = legs.next().unwrap_or_else(|| Way::straight(Point::ORIGIN, Point::ORIGIN));
    legs.fold(first, Way::then)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::Oval;
    use crate::ground::Surroundings;
    use crate::ground::oval_for_tests as oval;
    use crate::rules::Practice;

    fn by_crew(o: &Oval, crew: Crew, groups: &[Group]) -> Relay {
        let (around, practice) = (Surroundings::default(), Practice::default());
        let goal = Goal { end: End::B, collects: Side::Left, umpire: Side::Right, crew };
        relay(Scene { oval: o, around: &around, practice: &practice }, &goal, groups).unwrap()
    }

    fn at(o: &Oval, groups: &[Group]) -> Relay {
        by_crew(o, Crew::Two, groups)
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

    #[test]
    fn a_group_on_the_hand_over_moves_it_and_says_so() {
        let o = oval(165.0, 135.0);
        let crowd = Group { at: Point::new(-63.5, 2.0), radius_m: 6.0 };
        let r = at(&o, &[crowd]);
        // Half a metre off the group, straight away from its middle.
        assert!(r.hand_over.distance_to(Point::new(-63.5, -4.5)) < 1e-9);
        assert_eq!(r.in_the_way, [InTheWay::HandOverMoves { group: 0, by_m: 4.5 }]);
    }

    #[test]
    fn a_group_on_a_start_station_is_told_and_the_station_stays() {
        let o = oval(165.0, 135.0);
        let crowd = Group { at: Point::new(-32.5, 27.0), radius_m: 4.0 };
        let r = at(&o, &[crowd]);
        assert_eq!(r.in_the_way, [InTheWay::OnStation { group: 0, side: Side::Left }]);
        assert!(r.first_way.points.last().unwrap().distance_to(Point::new(-32.5, 25.5)) < 1e-12);
    }

    #[test]
    fn only_a_group_on_the_field_umpire_is_refused() {
        let o = oval(165.0, 135.0);
        let ask = |x: f64, y: f64| {
            let crowd = [Group { at: Point::new(x, y), radius_m: 3.0 }];
            let (around, practice) = (Surroundings::default(), Practice::default());
            let goal = Goal { end: End::B, collects: Side::Left, umpire: Side::Right, crew: Crew::Two };
            relay(Scene { oval: &o, around: &around, practice: &practice }, &goal, &crowd)
        };
        assert_eq!(ask(0.0, -4.0).unwrap_err(), NoWay::OnFieldUmpire { group: 0 });
        // At a post, before goal, on a corner of the square, on either station.
        for (x, y) in [(-82.5, 9.6), (-82.5, 0.0), (-25.0, 25.0), (25.0, -25.0), (-32.5, 25.5), (32.5, -25.5)]
        {
            assert!(ask(x, y).is_ok(), "{x} {y}");
        }
    }

    #[test]
    fn of_two_on_a_line_the_partner_has_the_far_station() {
        let o = oval(165.0, 135.0);
        let end_of = |w: &Way| *w.points.last().unwrap();
        let four = by_crew(&o, Crew::Four, &[]);
        assert!(end_of(&four.first_way).distance_to(Point::new(-32.5, 25.5)) < 1e-12);
        assert!(end_of(&four.second_way).distance_to(Point::new(-32.5, -25.5)) < 1e-12);
        // Alone on the line, the second carrier is the only one to go to the other end.
        let three = by_crew(&o, Crew::Three(Side::Left), &[]);
        assert!(end_of(&three.second_way).distance_to(Point::new(32.5, -25.5)) < 1e-12);
    }

    #[test]
    fn a_crowd_too_wide_to_look_past_is_still_gone_round() {
        let o = oval(165.0, 135.0);
        let crowd = Group { at: Point::new(-63.5, 0.0), radius_m: 25.0 };
        let r = at(&o, &[crowd]);
        let [InTheWay::HandOverFar { group: 0, by_m }] = r.in_the_way[..] else {
            panic!("{:?}", r.in_the_way)
        };
        assert!(by_m > 20.0 && r.hand_over.distance_to(crowd.at) >= 25.5 - 1e-9);
        // After the hand-over neither way leads through the crowd.
        let after = |w: &Way| {
            let points = w.points.iter().skip_while(|p| p.distance_to(r.hand_over) > 1e-9);
            points.map(|p| p.distance_to(crowd.at)).collect::<Vec<_>>()
        };
        for way in [&r.first_way, &r.second_way] {
            assert!(after(way).len() > 1 && after(way).iter().all(|d| *d >= 25.0 - 1e-9), "{:?}", after(way));
        }
    }

    #[test]
    fn a_group_on_a_corner_is_told() {
        let o = oval(165.0, 135.0);
        let r = at(&o, &[Group { at: Point::new(-25.0, 25.0), radius_m: 3.0 }]);
        assert_eq!(r.in_the_way, [InTheWay::OnCorner { group: 0, side: Side::Left }]);
    }
}
