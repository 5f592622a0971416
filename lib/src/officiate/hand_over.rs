//! Where the ball changes hands after a goal when players stand at the usual place, the hand-over H.
//!
//! The answer is the nearest place to H that is half a metre clear of every group. The clear part of the
//! ground is bounded by a circle round each group and by the goal square. So the nearest place is either the
//! projection of H onto a circle, or a point where two circles, or a circle and the goal square, intersect.
//! A point that lies on an edge of the square alone is never the nearest: H is outside the square, so a step
//! along that edge or off it is clear and nearer to H.

use super::path::Group;
use crate::boundary::End;
use crate::frame::Ground;
use crate::geometry::{Point, Vector};
use crate::ground::Oval;
use crate::rules::Practice;

/// Distances that differ by less than this are equal, m.
const ALIKE_M: f64 = 1e-6;
/// Tolerance for rounding, m: a place that touches a circle is clear of it.
const TOUCH_M: f64 = 1e-9;

/// The nearest clear place to the hand-over `at`; `None` where no place of the ground is clear.
pub(super) fn clear_place(
    oval: &Oval,
    practice: &Practice,
    end: End,
    at: Point<Ground>,
    umpire: Point<Ground>,
    groups: &[Group],
) -> Option<Point<Ground>> {
    let keep = practice.group_clear_m.value;
    let circles: Vec<Group> =
        groups.iter().map(|g| Group { at: g.at, radius_m: g.radius_m + keep }).collect();
    let square = GoalSquare::of(oval, end);
    let clear = |p: Point<Ground>| {
        p.is_finite()
            && circles.iter().all(|c| p.distance_to(c.at) >= c.radius_m - TOUCH_M)
            && oval.boundary().contains(p)
            && !square.holds(p)
    };
    let mut found: Vec<Point<Ground>> = Vec::new();
    for (i, c) in circles.iter().enumerate() {
        found.extend(projections(c, at));
        for other in &circles[i + 1..] {
            found.extend(meeting(c, other));
        }
        found.extend(square.meets(c));
    }
    found.retain(|p| clear(*p));
    // Among equally near places, take the one nearest the goal axis, then the one farthest from the umpire.
    let order = |p: &Point<Ground>| (p.distance_to(at), p.y.abs(), -p.distance_to(umpire));
    found.into_iter().reduce(|best, p| {
        let (a, b) = (order(&best), order(&p));
        let better = if (a.0 - b.0).abs() > ALIKE_M {
            b.0 < a.0
        } else if (a.1 - b.1).abs() > ALIKE_M {
            b.1 < a.1
        } else {
            b.2 < a.2
        };
        if better { p } else { best }
    })
}

/// The point of a circle nearest to `p`. From the circle's centre all are equally near: then the four points
/// on the x and y axes through the centre stand for them.
fn projections(c: &Group, p: Point<Ground>) -> Vec<Point<Ground>> {
    match (p - c.at).unit().filter(|_| p.distance_to(c.at) > ALIKE_M) {
        Some(u) => vec![c.at + u * c.radius_m],
        None => [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)]
            .map(|(x, y)| c.at + Vector::new(x, y) * c.radius_m)
            .to_vec(),
    }
}

/// Where two circles intersect.
fn meeting(a: &Group, b: &Group) -> Vec<Point<Ground>> {
    let v = b.at - a.at;
    let d = v.length();
    let Some(u) = v.unit() else { return Vec::new() };
    let along = (d * d + a.radius_m * a.radius_m - b.radius_m * b.radius_m) / (2.0 * d);
    let across = a.radius_m * a.radius_m - along * along;
    if across < 0.0 {
        return Vec::new();
    }
    let n = Vector::new(-u.y, u.x) * across.sqrt();
    vec![a.at + u * along + n, a.at + u * along - n]
}

/// The goal square: the x of its two ends, and half its width.
struct GoalSquare {
    far_x: f64,
    near_x: f64,
    half: f64,
}

impl GoalSquare {
    fn of(oval: &Oval, end: End) -> Self {
        let r = oval.rules();
        let near_x = end.sign() * oval.half_length_m();
        let far_x = near_x - end.sign() * r.goal_square_depth_m.value;
        Self { far_x, near_x, half: 0.5 * r.post_gap_m.value }
    }

    fn holds(&self, p: Point<Ground>) -> bool {
        let (lo, hi) = (self.far_x.min(self.near_x), self.far_x.max(self.near_x));
        p.y.abs() < self.half - TOUCH_M && p.x > lo + TOUCH_M && p.x < hi - TOUCH_M
    }

    /// Where a circle intersects the lines through the square's far end and its two sides.
    fn meets(&self, c: &Group) -> Vec<Point<Ground>> {
        let mut all = Vec::new();
        let root = |off: f64| c.radius_m * c.radius_m - off * off;
        let depth = root(self.far_x - c.at.x);
        if depth >= 0.0 {
            all.extend([-1.0, 1.0].map(|s| Point::new(self.far_x, c.at.y + s * depth.sqrt())));
        }
        for y in [-self.half, self.half] {
            let width = root(y - c.at.y);
            if width >= 0.0 {
                all.extend([-1.0, 1.0].map(|s| Point::new(c.at.x + s * width.sqrt(), y)));
            }
        }
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::oval_for_tests as oval;

    fn place(groups: &[Group]) -> Option<Point<Ground>> {
        let o = oval(165.0, 135.0);
        clear_place(&o, &Practice::default(), End::A, Point::new(63.5, 0.0), Point::new(0.0, 5.0), groups)
    }

    fn group(x: f64, y: f64, radius_m: f64) -> Group {
        Group { at: Point::new(x, y), radius_m }
    }

    #[test]
    fn half_a_metre_off_the_group_straight_away_from_its_middle() {
        // Middle 3 m to one side, radius 5: out on the other side, 5.5 m from the middle.
        let p = place(&[group(63.5, 3.0, 5.0)]).unwrap();
        assert!(p.distance_to(Point::new(63.5, -2.5)) < 1e-9);
    }

    #[test]
    fn from_the_very_middle_along_the_goal_axis_away_from_the_umpire() {
        // Both places on the axis are equally near; the one toward goal is farther from the umpire.
        let p = place(&[group(63.5, 0.0, 5.0)]).unwrap();
        assert!(p.distance_to(Point::new(69.0, 0.0)) < 1e-9);
        // H is 10 m out from the goal square, so 12 m toward goal is inside it: then the other way.
        let p = place(&[group(63.5, 0.0, 11.5)]).unwrap();
        assert!(p.distance_to(Point::new(51.5, 0.0)) < 1e-9);
    }

    #[test]
    fn between_two_groups_where_their_circles_meet() {
        // Circles of 5.5 m about (63.5, ±4): they meet at x = 63.5 ± √(5.5² − 4²).
        let p = place(&[group(63.5, 4.0, 5.0), group(63.5, -4.0, 5.0)]).unwrap();
        let x = 63.5 + (5.5f64 * 5.5 - 16.0).sqrt();
        assert!(p.distance_to(Point::new(x, 0.0)) < 1e-9, "{p:?}");
    }

    #[test]
    fn by_brute_force_no_place_is_nearer() {
        let o = oval(165.0, 135.0);
        let (p, h) = (Practice::default(), Point::new(63.5, 0.0));
        let groups = [group(62.0, 1.0, 6.0), group(68.0, -4.0, 5.0), group(57.0, -6.0, 4.0)];
        let found = place(&groups).unwrap();
        let square = GoalSquare::of(&o, End::A);
        let mut best = f64::INFINITY;
        for i in -200..=200 {
            for j in -200..=200 {
                let q: Point<Ground> = Point::new(h.x + f64::from(i) * 0.1, f64::from(j) * 0.1);
                let clear = groups.iter().all(|g| q.distance_to(g.at) >= g.radius_m + p.group_clear_m.value);
                if clear && !square.holds(q) && o.boundary().contains(q) {
                    best = best.min(q.distance_to(h));
                }
            }
        }
        // The best point of a 0.1 m grid is at most 0.1 m · √2 / 2 farther.
        assert!(found.distance_to(h) <= best && best - found.distance_to(h) < 0.08, "{found:?} {best}");
    }

    #[test]
    fn the_edge_of_a_wide_crowd_is_farther_than_one_looks() {
        // Half a metre off the group, along the axis toward the middle.
        let found = place(&[group(63.5, 0.0, 25.0)]).unwrap();
        assert!(found.distance_to(Point::new(38.0, 0.0)) < 1e-9, "{found:?}");
        assert!(25.5 > Practice::default().hand_over_shift_m.value);
        // A crowd over the whole ground leaves no clear place.
        assert_eq!(place(&[group(0.0, 0.0, 100.0)]), None);
    }
}
