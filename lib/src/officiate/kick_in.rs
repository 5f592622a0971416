//! The kick-in after a behind: its mark, and the area kept clear.

use crate::boundary::End;
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::Oval;

/// A kick-in at one end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KickIn {
    /// The kick-off line's middle, where it is kicked from at the farthest.
    pub from: Point<Ground>,
    /// The mark: so far out from the kick-off line.
    pub mark: Point<Ground>,
    /// Corners of the protected area, anticlockwise from the goal line: the scoring end wide, and
    /// out to the mark.
    pub protected: [Point<Ground>; 4],
}

impl KickIn {
    /// Is a place inside, or on, the protected area?
    #[must_use]
    pub fn keeps_clear(&self, p: Point<Ground>) -> bool {
        // Opposite corners.
        let [a, _, c, _] = self.protected;
        let within = |v: f64, s: f64, t: f64| (s.min(t)..=s.max(t)).contains(&v);
        within(p.x, a.x, c.x) && within(p.y, a.y, c.y)
    }
}

/// The kick-in at an end: the mark 10 m from the kick-off line, so 19 m from the goal line; the
/// protected area 19.2 × 19 m (AFL kick-in sheet, 2019).
#[must_use]
pub fn kick_in(oval: &Oval, end: End) -> KickIn {
    let r = oval.rules();
    let goal = end.sign() * oval.half_length_m();
    let out = |m: f64| goal - end.sign() * m;
    let depth = r.goal_square_depth_m.value;
    let far = out(depth + r.kick_in_mark_m.value);
    let half = 0.5 * r.end_width_m();
    let (y0, y1) = (-end.sign() * half, end.sign() * half);
    KickIn {
        from: Point::new(out(depth), 0.0),
        mark: Point::new(far, 0.0),
        protected: [Point::new(goal, y0), Point::new(goal, y1), Point::new(far, y1), Point::new(far, y0)],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::ring_area;
    use crate::ground::oval_for_tests as oval;

    #[test]
    fn nineteen_metres_out_and_as_wide_as_the_end() {
        let o = oval(165.0, 135.0);
        for end in End::BOTH {
            let k = kick_in(&o, end);
            assert!((k.mark.distance_to(o.goal(end)) - 19.0).abs() < 1e-12);
            assert!((k.from.distance_to(o.goal(end)) - 9.0).abs() < 1e-12);
            assert!((ring_area(&k.protected) - 19.2 * 19.0).abs() < 1e-9, "anticlockwise");
            assert!(k.keeps_clear(k.mark) && k.keeps_clear(k.from) && !k.keeps_clear(Point::ORIGIN));
            assert!(!k.keeps_clear(Point::new(end.sign() * 75.0, 9.7)));
        }
    }
}
