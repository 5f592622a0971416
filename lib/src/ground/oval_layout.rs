//! What an oval says of its centre square, and of what parts its ends from the middle.

use super::{Oval, Parting, Square};
use crate::boundary::End;
use crate::frame::Ground as GroundFrame;
use crate::geometry::Point;
use crate::rules::Sourced;

impl Oval {
    /// The centre square, and if there is none why.
    #[must_use]
    pub fn square(&self) -> Square {
        self.layout.square
    }

    /// Half the centre square's side, m; `None` where the rule set has none or it does not fit.
    #[must_use]
    pub fn square_half_m(&self) -> Option<f64> {
        match self.layout.square {
            Square::Fits { half_m } => Some(half_m),
            Square::DoesNotFit { .. } | Square::NotInTheRules => None,
        }
    }

    /// What parts an end from the middle: the arc, or what takes its place.
    #[must_use]
    pub fn parting(&self) -> Parting {
        self.layout.parting
    }

    /// Radius of the arc or of the circle in its place, m; `None` where a straight line parts the ground.
    #[must_use]
    pub fn arc_radius_m(&self) -> Option<f64> {
        match self.layout.parting {
            Parting::Arc { radius_m } | Parting::GoalRange { radius_m, .. } => Some(radius_m),
            Parting::ZoneLine { .. } => None,
        }
    }

    /// Radius of the outermost centre circle, m; nought where the rule set has none.
    #[must_use]
    pub fn centre_circle_m(&self) -> f64 {
        let r = self.rules();
        let circles = [r.outer_circle_diameter_m, r.inner_circle_diameter_m];
        circles.into_iter().find_map(Sourced::given).map_or(0.0, |across| 0.5 * across)
    }

    /// From the centre along the goal axis to the top of the arc, of the circle in its place, or to the zone
    /// line, m.
    #[must_use]
    pub fn arc_top_m(&self) -> f64 {
        let out = match self.layout.parting {
            Parting::Arc { radius_m } | Parting::GoalRange { radius_m, .. } => radius_m,
            Parting::ZoneLine { depth_m } => depth_m,
        };
        self.half_length_m() - out
    }

    /// From the middle of an end's goal line: how far a place is within its arc, the circle in the arc's
    /// place or its zone, m; negative outside.
    pub(super) fn within_end_m(&self, p: Point<GroundFrame>, end: End) -> f64 {
        match self.layout.parting {
            Parting::Arc { radius_m } | Parting::GoalRange { radius_m, .. } => {
                radius_m - p.distance_to(self.goal(end))
            }
            Parting::ZoneLine { depth_m } => depth_m - (self.half_length_m() - end.sign() * p.x),
        }
    }
}
