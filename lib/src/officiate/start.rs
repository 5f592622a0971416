//! Start stations for two officials: the bounce and every restart.

use crate::boundary::{End, Side};
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::{ArcAndSquare, Oval};
use crate::rules::Practice;

/// The start stations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Metres from the centre along the goal axis.
    pub x_m: f64,
    /// Metres from the goal axis.
    pub y_m: f64,
    /// Metres goal-side of the square's corner; 0 where the arc's top lies inside the square.
    pub beyond_corner_m: f64,
    /// On a short ground, the angle from the station to the arc's top, degrees
    /// from the square's end edge.
    pub arc_top_angle_deg: Option<f64>,
    /// How arc and square lie.
    pub arc_and_square: ArcAndSquare,
}

impl Start {
    /// The station on one side toward one end; the partner's has the other side and the other end.
    #[must_use]
    pub fn station(&self, side: Side, end: End) -> Point<Ground> {
        Point::new(end.sign() * self.x_m, side.sign() * self.y_m)
    }

    /// Both diagonals, each the two officials' stations.
    #[must_use]
    pub fn diagonals(&self) -> [[(Side, End); 2]; 2] {
        [[(Side::Left, End::A), (Side::Right, End::B)], [(Side::Right, End::A), (Side::Left, End::B)]]
    }
}

/// |x| = max(L/2 − R, S/2), |y| = S/2 + 0.5, diagonally opposite.
#[must_use]
pub fn start(oval: &Oval, practice: &Practice) -> Start {
    let r = oval.rules();
    let s = 0.5 * r.square_side_m.value;
    let top = oval.half_length_m() - r.arc_radius_m.value;
    Start {
        x_m: top.max(s),
        y_m: s + practice.square_clear_m.value,
        beyond_corner_m: (top - s).max(0.0),
        arc_top_angle_deg: (top < s).then(|| ((s - top) / s).atan().to_degrees()),
        arc_and_square: oval.arc_and_square(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::oval_for_tests as oval;

    #[test]
    fn level_with_the_arc_top_outside_the_square() {
        let s = start(&oval(158.0, 128.0), &Practice::default());
        assert!((s.x_m - 29.0).abs() < 1e-9 && (s.beyond_corner_m - 4.0).abs() < 1e-9);
        assert!((s.y_m - 25.5).abs() < 1e-12);
        assert!(s.arc_top_angle_deg.is_none());
        let [[(a, e), (b, f)], _] = s.diagonals();
        let (p, q) = (s.station(a, e), s.station(b, f));
        assert!((p.x + q.x).abs() < 1e-12 && (p.y + q.y).abs() < 1e-12);
    }

    #[test]
    fn a_short_ground_gives_the_angle_to_the_arc_top() {
        // From the definitions: 14.6° at L = 137 m.
        let s = start(&oval(137.0, 112.0), &Practice::default());
        assert!((s.x_m - 25.0).abs() < 1e-12);
        assert!((s.arc_top_angle_deg.unwrap() - 14.6).abs() < 0.05);
    }
}
