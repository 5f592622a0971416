//! The kick-in after a behind: its mark, and the area kept clear.

use crate::boundary::End;
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::Oval;

/// A kick-in at one end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KickIn {
    /// The middle of the kick-off line, the farthest place from goal that the ball is kicked from.
    pub from: Point<Ground>,
    /// Where the player on the mark stands.
    pub mark: Point<Ground>,
    /// Corners of the protected area, anticlockwise from the goal line. It is as wide as the scoring end and
    /// reaches out to the mark.
    pub protected: [Point<Ground>; 4],
}

impl KickIn {
    /// How far the mark is from the goal line's middle, m.
    #[must_use]
    pub fn mark_out_m(&self, oval: &Oval) -> f64 {
        let end = if self.mark.x >= 0.0 { End::A } else { End::B };
        self.mark.distance_to(oval.goal(end))
    }

    /// How wide the protected area is, along the goal line, m.
    #[must_use]
    pub fn area_wide_m(&self) -> f64 {
        self.protected[0].distance_to(self.protected[1])
    }

    /// Is a place inside the protected area, or on its edge?
    #[must_use]
    pub fn keeps_clear(&self, p: Point<Ground>) -> bool {
        // Opposite corners.
        let [a, _, c, _] = self.protected;
        let within = |v: f64, s: f64, t: f64| (s.min(t)..=s.max(t)).contains(&v);
        within(p.x, a.x, c.x) && within(p.y, a.y, c.y)
    }
}

/// The kick-in at an end, with the mark that the rule set gives.
///
/// Since 2021 the mark is 15 m from the kick-off line, so 24 m from the goal line, and the protected area
/// reaches as far. In 2019 the mark was at 10 m, and the area 19.2 × 19 m (AFL kick-in sheet).
#[must_use]
pub fn kick_in(oval: &Oval, end: End) -> KickIn {
    let r = oval.rules();
    let goal = end.sign() * oval.half_length_m();
    let out = |m: f64| goal - end.sign() * m;
    let depth = r.goal_square_depth_m.value;
    let far = out(r.kick_in_mark_from_goal_m());
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
    use crate::ground::outline_for_tests;
    use crate::rules::RuleSet;

    #[test]
    fn nineteen_metres_out_in_2019_and_twenty_four_since_2021() {
        for (rules, metres) in [(RuleSet::laws_2019(), 19.0), (RuleSet::laws(), 24.0)] {
            let o = Oval::new(&outline_for_tests(165.0, 135.0), rules).unwrap();
            for end in End::BOTH {
                let k = kick_in(&o, end);
                assert!((k.mark.distance_to(o.goal(end)) - metres).abs() < 1e-12);
                assert!((k.from.distance_to(o.goal(end)) - 9.0).abs() < 1e-12);
                assert!((ring_area(&k.protected) - 19.2 * metres).abs() < 1e-9, "anticlockwise");
                assert!(k.keeps_clear(k.mark) && k.keeps_clear(k.from) && !k.keeps_clear(Point::ORIGIN));
                assert!(!k.keeps_clear(Point::new(end.sign() * 75.0, 9.7)));
            }
        }
    }
}
