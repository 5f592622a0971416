//! The way round the centre square: during play no official runs through it.
//!
//! The square with half a metre added all round is convex. So where it blocks the straight way between two
//! places outside it, the shortest way goes by its corners, one way round or the other.

use super::path::Way;
use crate::frame::Ground;
use crate::geometry::Point;

/// Tolerance for rounding, m: a place this near the square's edge is on it.
const EDGE_M: f64 = 1e-9;

/// The shortest way between two places that stays outside the square about the centre with sides of
/// 2 `half_m`; of two equally short, the anticlockwise one. From or to a place inside it, the straight way.
pub(super) fn round_square(half_m: f64, from: Point<Ground>, to: Point<Ground>) -> Way {
    let within = |p: Point<Ground>| p.x.abs().max(p.y.abs()) < half_m - EDGE_M;
    let straight = Way::straight(from, to);
    if within(from) || within(to) || !crosses(half_m, from, to) {
        return straight;
    }
    let corners = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)]
        .map(|(x, y): (f64, f64)| Point::new(x * half_m, y * half_m));
    // One, two or three corners in a row, from each corner either way round.
    let mut best: Option<Way> = None;
    for first in 0..4usize {
        for count in 1..=3usize {
            for turn in [1, 3] {
                let mut points = vec![from];
                points.extend((0..count).map(|k| corners[(first + turn * k) % 4]));
                points.push(to);
                if points.windows(2).any(|w| crosses(half_m, w[0], w[1])) {
                    continue;
                }
                let length_m = points.windows(2).map(|w| w[0].distance_to(w[1])).sum();
                if best.as_ref().is_none_or(|b| length_m < b.length_m - EDGE_M) {
                    best = Some(Way { points, length_m });
                }
            }
        }
    }
    best.unwrap_or(straight)
}

/// Does the way between two places go through the inside of the square? (W.-D. Liang and B. A. Barsky,
/// ACM Transactions on Graphics 3, 1984, for the clipping; from memory.)
fn crosses(half_m: f64, from: Point<Ground>, to: Point<Ground>) -> bool {
    let (mut enter, mut leave) = (0.0f64, 1.0f64);
    for (at, step) in [(from.x, to.x - from.x), (from.y, to.y - from.y)] {
        let edge = half_m - EDGE_M;
        if step.abs() < 1e-15 {
            if at.abs() >= edge {
                return false;
            }
            continue;
        }
        let (a, b) = ((-edge - at) / step, (edge - at) / step);
        enter = enter.max(a.min(b));
        leave = leave.min(a.max(b));
    }
    enter < leave
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn straight_where_the_square_is_not_in_the_way() {
        let w = round_square(25.5, Point::new(-40.0, 26.0), Point::new(40.0, 26.0));
        assert_eq!(w.points.len(), 2);
        // Along its very edge.
        let w = round_square(25.5, Point::new(-40.0, 25.5), Point::new(40.0, 25.5));
        assert_eq!(w.points.len(), 2);
    }

    #[test]
    fn over_one_corner_and_over_two() {
        // From beside the left side's middle to beyond end A: over the corner between them.
        let w = round_square(25.5, Point::new(0.0, 30.0), Point::new(30.0, 0.0));
        assert_eq!(w.points[1..w.points.len() - 1], [Point::new(25.5, 25.5)]);
        // From one side to the other: over both corners of one end, 51 m apart.
        let w = round_square(25.5, Point::new(5.0, 40.0), Point::new(5.0, -40.0));
        assert_eq!(w.points[1..3], [Point::new(25.5, 25.5), Point::new(25.5, -25.5)]);
        let leg = 20.5f64.hypot(14.5);
        assert!((w.length_m - (2.0 * leg + 51.0)).abs() < 1e-12);
    }

    #[test]
    fn never_through_it_and_never_shorter_than_straight() {
        for i in 0..360u32 {
            for j in [7u32, 90, 133, 180, 211, 299] {
                let at = |deg: u32, r: f64| {
                    let (s, c) = f64::from(deg).to_radians().sin_cos();
                    Point::<Ground>::new(c * r, s * r)
                };
                let (a, b) = (at(i, 45.0), at(i + j, 60.0));
                let w = round_square(25.5, a, b);
                assert!(w.length_m >= a.distance_to(b) - 1e-9);
                for p in w.points.windows(2) {
                    for k in 0..=50u32 {
                        let q = p[0] + (p[1] - p[0]) * (f64::from(k) / 50.0);
                        assert!(q.x.abs().max(q.y.abs()) > 25.5 - 1e-6, "{a:?} {b:?} {q:?}");
                    }
                }
            }
        }
    }
}
