//! Which markings of its rule set a ground has: a centre square, if it fits; arcs, or what takes their place.
//!
//! This is decided once, for the nominal oval, and kept for every oval within the uncertainty, so that no ±
//! depends on a marking that comes and goes.

use crate::boundary::{Boundary, End, Side};
use crate::frame::Ground as GroundFrame;
use crate::geometry::Point;
use crate::rules::RuleSet;

/// The centre square of a ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Square {
    /// It fits.
    Fits {
        /// Half its side, m.
        half_m: f64,
    },
    /// A corner is too near the line or outside it, so the square is treated as absent.
    DoesNotFit {
        /// Half its side, m.
        half_m: f64,
        /// How far inside the line the worst corner is, m; negative outside.
        inside_m: f64,
    },
    /// The rule set has none.
    NotInTheRules,
}

/// What separates each end of a ground from its middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Parting {
    /// The rule set's arc.
    Arc {
        /// Its radius about the goal line's midpoint, m.
        radius_m: f64,
    },
    /// The circle of goal range about the same point, in place of an arc. It is not painted.
    GoalRange {
        /// Its radius, m.
        radius_m: f64,
        /// Radius of the arc that would come too near the ground's centre, m;
        /// `None` where the rule set has none.
        arc_m: Option<f64>,
    },
    /// A straight line across the ground, where the rule set has zones and no arcs.
    ZoneLine {
        /// Distance from the goal line, m.
        depth_m: f64,
    },
}

/// The square and the parting of an oval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Layout {
    pub(super) square: Square,
    pub(super) parting: Parting,
}

/// Allowance for the rounding of a distance that is compared with a limit, m.
const EVEN_M: f64 = 1e-9;

impl Layout {
    /// The layout of a ground. The practice of `rules` must already be that of a ground of this length.
    pub(super) fn of(boundary: &Boundary, half_length: f64, rules: &RuleSet) -> Self {
        let practice = &rules.practice;
        let square = rules.square_side_m.given().map_or(Square::NotInTheRules, |side| {
            let half_m = 0.5 * side;
            let inside_m = [(half_m, half_m), (-half_m, half_m), (-half_m, -half_m), (half_m, -half_m)]
                .map(|(x, y)| -boundary.outside_m(Point::new(x, y)))
                .into_iter()
                .fold(f64::INFINITY, f64::min);
            // A corner past a goal line does not fit either.
            let inside_m = inside_m.min(half_length - half_m);
            if inside_m >= practice.square_inside_m.value - EVEN_M {
                Square::Fits { half_m }
            } else {
                Square::DoesNotFit { half_m, inside_m }
            }
        });
        let range_m = practice.goal_range_m.value;
        let parting = match (rules.arc_radius_m.given(), rules.zone_depth_m.given()) {
            (Some(radius_m), _) if half_length - radius_m > practice.arc_centre_m.value + EVEN_M => {
                Parting::Arc { radius_m }
            }
            (None, Some(depth_m)) if depth_m < half_length => Parting::ZoneLine { depth_m },
            (arc_m, _) => Parting::GoalRange { radius_m: range_m, arc_m },
        };
        Self { square, parting }
    }
}

impl Parting {
    /// One word, for data.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Arc { .. } => "arc",
            Self::GoalRange { .. } => "goal-range",
            Self::ZoneLine { .. } => "zone",
        }
    }

    /// Chainage where it meets the boundary line of a side.
    pub(super) fn end_m(
        self,
        boundary: &Boundary,
        side: Side,
        end: End,
        goal: Point<GroundFrame>,
    ) -> Option<f64> {
        match self {
            Self::Arc { radius_m } | Self::GoalRange { radius_m, .. } => {
                boundary.circle_crossing_m(side, end, goal, radius_m)
            }
            Self::ZoneLine { depth_m } => {
                let x = goal.x - end.sign() * depth_m;
                Some(boundary.nearest(boundary.level_with(side, x)).chainage_m)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::Oval;
    use crate::ground::outline_for_tests;

    fn oval(length: f64, width: f64, rules: RuleSet) -> Oval {
        Oval::new(&outline_for_tests(length, width), rules).unwrap()
    }

    #[test]
    fn a_square_fits_three_metres_inside_the_line() {
        // Common practice, no source: a corner at least 3 m inside.
        for (length, width, fits) in
            [(90.0, 60.0, false), (100.0, 80.0, true), (110.0, 80.0, true), (135.0, 110.0, true)]
        {
            let o = oval(length, width, RuleSet::laws());
            assert_eq!(o.square_half_m().is_some(), fits, "{length} {width}");
        }
        let o = oval(90.0, 60.0, RuleSet::laws());
        let Square::DoesNotFit { half_m, inside_m } = o.square() else { panic!() };
        let corner = Point::new(25.0, 25.0);
        assert!((o.boundary().outside_m(corner) + inside_m).abs() < 1e-6 && half_m == 25.0);
        // Exactly as far inside as it needs to be, and slightly less.
        let mut rules = RuleSet::laws();
        rules.practice.set("square_inside_m", inside_m.max(0.0));
        assert!(oval(90.0, 60.0, rules.clone()).square_half_m().is_some());
        rules.practice.set("square_inside_m", inside_m + 1e-6);
        assert!(oval(90.0, 60.0, rules).square_half_m().is_none());
        assert_eq!(oval(100.0, 50.0, RuleSet::nine_a_side()).square(), Square::NotInTheRules);
    }

    #[test]
    fn an_arc_whose_top_is_too_near_the_centre_is_goal_ranges_circle() {
        // Common practice, no source: within 5 m of the centre, so at L ≤ 110 m.
        for (length, arc) in [(90.0, false), (100.0, false), (110.0, false), (110.1, true), (165.0, true)] {
            let o = oval(length, 80.0, RuleSet::laws());
            let range = f64::min(25.0, 0.2 * length);
            let want = if arc {
                Parting::Arc { radius_m: 50.0 }
            } else {
                Parting::GoalRange { radius_m: range, arc_m: Some(50.0) }
            };
            assert_eq!(o.parting(), want, "{length}");
            let r = o.arc_radius_m().unwrap();
            assert!((o.arc_top_m() - (0.5 * length - r)).abs() < 1e-9);
            for side in Side::BOTH {
                let at = o.boundary().at(o.arc_end_m(side, End::B).unwrap()).point;
                assert!((at.distance_to(o.goal(End::B)) - r).abs() < 1e-8);
            }
        }
    }

    #[test]
    fn nine_a_side_is_parted_by_zone_lines() {
        let o = oval(100.0, 50.0, RuleSet::nine_a_side());
        assert_eq!(o.parting(), Parting::ZoneLine { depth_m: 30.0 });
        assert!((o.arc_top_m() - 20.0).abs() < 1e-9 && o.arc_radius_m().is_none());
        for end in End::BOTH {
            let at = o.boundary().at(o.arc_end_m(Side::Left, end).unwrap()).point;
            assert!((at.x - end.sign() * 20.0).abs() < 1e-6, "{}", at.x);
        }
        let inside = |x: f64| o.within_end_m(Point::new(x, 5.0), End::A);
        assert!(inside(20.1) > 0.0 && inside(19.9) < 0.0);
    }

    #[test]
    fn without_arcs_and_zones_goal_range_is_all_there_is() {
        let mut rules = RuleSet::nine_a_side();
        rules.zone_depth_m = rules.square_side_m;
        let o = oval(100.0, 50.0, rules);
        assert_eq!(o.parting(), Parting::GoalRange { radius_m: 20.0, arc_m: None });
    }
}
