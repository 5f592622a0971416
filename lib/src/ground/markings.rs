//! The lines painted on a ground, under its rule set.

use super::{Oval, Parting};
use crate::boundary::{End, Side};
use crate::frame::Ground as GroundFrame;
use crate::geometry::Point;
use crate::rules::RuleSet;

/// The shape of a marking, in the ground frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mark {
    /// A post.
    Post(Point<GroundFrame>),
    /// A straight line.
    Segment(Point<GroundFrame>, Point<GroundFrame>),
    /// A circle.
    Circle {
        /// Its centre.
        centre: Point<GroundFrame>,
        /// Its radius, m.
        radius_m: f64,
    },
    /// An arc, counter-clockwise from one end to the other.
    Arc {
        /// Its centre.
        centre: Point<GroundFrame>,
        /// Its radius, m.
        radius_m: f64,
        /// Where it starts.
        from: Point<GroundFrame>,
        /// Where it ends.
        to: Point<GroundFrame>,
    },
    /// A stretch of the boundary, from one chainage to another.
    Along {
        /// Start, m.
        from_m: f64,
        /// End, m.
        to_m: f64,
    },
}

/// A marking with its name and the source of its size.
#[derive(Debug, Clone, PartialEq)]
pub struct Marking {
    /// The Laws' word for it.
    pub name: &'static str,
    /// The end that it is at; `None` in the middle.
    pub end: Option<End>,
    /// The side that it is on; `None` for both or neither.
    pub side: Option<Side>,
    /// Its shape.
    pub mark: Mark,
    /// The source of its size.
    pub source: &'static str,
}

impl Oval {
    /// Every marking: posts, goal and behind lines, goal squares, arcs up to the boundary or
    /// zone lines, the centre square if there is one, circles and dividing line, and the
    /// interchange area on the side `interchange`.
    ///
    /// An arc that cuts the square is kept whole: no law was found against it.
    #[must_use]
    pub fn markings(&self, interchange: Side) -> Vec<Marking> {
        let mut out = Vec::new();
        for end in End::BOTH {
            self.goal_end(end, &mut out);
            if let Parting::ZoneLine { .. } = self.parting() {
                self.zone_line(end, &mut out);
            }
        }
        self.middle(&mut out);
        if let (Some(wing), Some(long)) = (self.wing_m(interchange), self.rules().interchange_m.given()) {
            let half = 0.5 * long;
            out.push(Marking {
                name: "interchange area",
                end: None,
                side: Some(interchange),
                mark: Mark::Along { from_m: wing - half, to_m: wing + half },
                source: self.rules().interchange_m.source,
            });
        }
        out
    }

    fn goal_end(&self, end: End, out: &mut Vec<Marking>) {
        let r = self.rules();
        let x = end.sign() * self.half_length_m();
        let mut push =
            |name, side, mark, source| out.push(Marking { name, end: Some(end), side, mark, source });
        let gap = r.post_gap_m.source;
        for side in Side::BOTH {
            push("goal post", Some(side), Mark::Post(self.goal_post(side, end)), gap);
            push("behind post", Some(side), Mark::Post(self.behind_post(side, end)), gap);
        }
        push(
            "goal line",
            None,
            Mark::Segment(self.goal_post(Side::Left, end), self.goal_post(Side::Right, end)),
            gap,
        );
        for side in Side::BOTH {
            push(
                "behind line",
                Some(side),
                Mark::Segment(self.goal_post(side, end), self.behind_post(side, end)),
                gap,
            );
        }
        let depth = r.goal_square_depth_m;
        let inner = x - end.sign() * depth.value;
        let y = 0.5 * r.post_gap_m.value;
        push("kick-off line", None, Mark::Segment(Point::new(inner, y), Point::new(inner, -y)), depth.source);
        for side in Side::BOTH {
            let y = side.sign() * y;
            push(
                "goal square",
                Some(side),
                Mark::Segment(Point::new(x, y), Point::new(inner, y)),
                depth.source,
            );
        }
        if let (Parting::Arc { .. }, Some(left), Some(right)) =
            (self.parting(), self.arc_end_m(Side::Left, end), self.arc_end_m(Side::Right, end))
        {
            let (l, r2) = (self.boundary().at(left).point, self.boundary().at(right).point);
            // Counter-clockwise, the arc at end A runs from left to right,
            // and the one at end B from right to left.
            let (from, to) = if end == End::A { (l, r2) } else { (r2, l) };
            let arc = r.arc_radius_m;
            push(
                // The arc of the Laws is known by its radius.
                if arc.value == RuleSet::laws().arc_radius_m.value { "50 m arc" } else { "arc" },
                None,
                Mark::Arc { centre: self.goal(end), radius_m: arc.value, from, to },
                arc.source,
            );
        }
    }

    /// The zone line at an end, from boundary line to boundary line.
    fn zone_line(&self, end: End, out: &mut Vec<Marking>) {
        let [left, right] =
            Side::BOTH.map(|side| self.boundary().level_with(side, end.sign() * self.arc_top_m()));
        out.push(Marking {
            name: "zone line",
            end: Some(end),
            side: None,
            mark: Mark::Segment(left, right),
            source: self.rules().zone_depth_m.source,
        });
    }

    fn middle(&self, out: &mut Vec<Marking>) {
        let r = self.rules();
        let mut push = |name, mark, source| out.push(Marking { name, end: None, side: None, mark, source });
        if let Some(s) = self.square_half_m() {
            let corners = [Point::new(s, s), Point::new(-s, s), Point::new(-s, -s), Point::new(s, -s)];
            for i in 0..4 {
                push(
                    "centre square",
                    Mark::Segment(corners[i], corners[(i + 1) % 4]),
                    r.square_side_m.source,
                );
            }
        }
        for d in [r.inner_circle_diameter_m, r.outer_circle_diameter_m] {
            if let Some(across) = d.given() {
                push(
                    "centre circle",
                    Mark::Circle { centre: Point::ORIGIN, radius_m: 0.5 * across },
                    d.source,
                );
            }
        }
        if let Some(long) = r.dividing_line_m.given() {
            let half = 0.5 * long;
            push(
                "dividing line",
                Mark::Segment(Point::new(0.0, half), Point::new(0.0, -half)),
                r.dividing_line_m.source,
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::oval::tests::{outline as outline_for_tests, oval};
    use crate::rules::RuleSet;

    #[test]
    fn counts_and_check_diagonals() {
        let o = oval(165.0, 135.0);
        let all = o.markings(Side::Left);
        let count = |name: &str| all.iter().filter(|m| m.name == name).count();
        assert_eq!((count("goal post"), count("behind post")), (4, 4));
        assert_eq!((count("goal line"), count("behind line"), count("kick-off line")), (2, 4, 2));
        assert_eq!((count("50 m arc"), count("centre square"), count("centre circle")), (2, 4, 2));
        assert_eq!(count("interchange area"), 1);
        // Check diagonals: centre square 70.711 m, goal square 11.044 m (derived).
        let square: Vec<_> = all.iter().filter(|m| m.name == "centre square").collect();
        let (Mark::Segment(a, _), Mark::Segment(c, _)) = (square[0].mark, square[2].mark) else { panic!() };
        assert!((a.distance_to(c) - 70.711).abs() < 5e-4);
        let kick = all.iter().find(|m| m.name == "kick-off line").unwrap();
        let Mark::Segment(k, _) = kick.mark else { panic!() };
        assert!((k.distance_to(o.goal_post(Side::Right, End::A)) - 11.044).abs() < 1e-3);
    }

    #[test]
    fn what_a_ground_has_not_is_not_marked() {
        let named = |length, width, rules| {
            let o = Oval::new(&outline_for_tests(length, width), rules).unwrap();
            let mut names: Vec<&str> = o.markings(Side::Left).iter().map(|m| m.name).collect();
            names.dedup();
            names
        };
        let nine = named(100.0, 50.0, RuleSet::nine_a_side());
        assert!(
            nine.contains(&"zone line") && !nine.contains(&"50 m arc") && !nine.contains(&"centre square")
        );
        // Neither square nor arcs fit on 90 × 60 m. On 100 × 80 m the square fits.
        let small = named(90.0, 60.0, RuleSet::laws());
        assert!(["zone line", "50 m arc", "centre square"].iter().all(|n| !small.contains(n)));
        let junior = named(100.0, 80.0, RuleSet::laws());
        assert!(junior.contains(&"centre square") && !junior.contains(&"50 m arc"));
    }

    #[test]
    fn arcs_run_inside_the_ground_from_line_to_line() {
        let o = oval(165.0, 135.0);
        for m in o.markings(Side::Left).iter().filter(|m| m.name == "50 m arc") {
            let Mark::Arc { centre, from, to, radius_m } = m.mark else { panic!() };
            assert!((from.distance_to(centre) - radius_m).abs() < 1e-8);
            // Halfway along, counter-clockwise, the arc is on the centre's side of the goal.
            let (a, b) = (from - centre, to - centre);
            let a0 = a.y.atan2(a.x);
            let sweep = (b.y.atan2(b.x) - a0).rem_euclid(std::f64::consts::TAU);
            let top = centre.x + radius_m * (a0 + 0.5 * sweep).cos();
            assert!(top.abs() < o.half_length_m());
        }
    }
}
