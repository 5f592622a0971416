//! The test whether two surveys can be of one ground.

use crate::frame::Plan;
use crate::units::print::fixed;

/// The greatest angle between the goal axes of two surveys of one ground, degrees.
pub const TURNED_DEG: f64 = 30.0;
/// The greatest distance between their centres, m: a traced image may be tens of metres out of place.
pub const MOVED_M: f64 = 60.0;

/// How far apart two grounds are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Distance between the centres, m.
    pub moved_m: f64,
    /// Angle between the goal axes, however their ends are named: 0 to 90 degrees.
    pub turned_deg: f64,
    /// Are their ends A at opposite ends?
    pub end_for_end: bool,
}

impl Gap {
    /// Are they too far apart to be one ground?
    #[must_use]
    pub fn is_another_ground(&self) -> bool {
        self.turned_deg > TURNED_DEG || self.moved_m > MOVED_M
    }
}

impl std::fmt::Display for Gap {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "the centres lie {} m apart, and the goal axes {}° (of one ground: at most {} m and {}°)",
            fixed(self.moved_m, 0),
            fixed(self.turned_deg, 0),
            fixed(MOVED_M, 0),
            fixed(TURNED_DEG, 0)
        )
    }
}

/// The gap between two grounds in one plane.
#[must_use]
pub fn gap(old: &Plan, new: &Plan) -> Gap {
    let turn = old.axis().turn_to(new.axis()).abs();
    let end_for_end = turn > 90.0;
    Gap {
        moved_m: old.centre().distance_to(new.centre()),
        turned_deg: if end_for_end { 180.0 - turn } else { turn },
        end_for_end,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;
    use crate::units::TrueBearing;

    #[test]
    fn ends_named_the_other_way_about_are_no_turn() {
        let plan = |x: f64, deg: f64| {
            Plan::new(Point::new(x, 0.0), TrueBearing::from_degrees(deg).unwrap()).unwrap()
        };
        for (deg, turned, end_for_end) in
            [(10.0, 0.0, false), (195.0, 5.0, true), (350.0, 20.0, false), (110.0, 80.0, true)]
        {
            let g = gap(&plan(3.0, 10.0), &plan(7.0, deg));
            assert!((g.moved_m - 4.0).abs() < 1e-12 && (g.turned_deg - turned).abs() < 1e-9, "{deg}");
            assert_eq!(g.end_for_end, end_for_end, "{deg}");
            assert_eq!(g.is_another_ground(), turned > 30.0, "{deg}");
        }
        assert!(gap(&plan(0.0, 0.0), &plan(60.5, 0.0)).is_another_ground());
    }
}
