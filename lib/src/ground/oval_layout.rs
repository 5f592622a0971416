//! An oval's centre square, and the arc or line that separates each end from the middle.

use super::{Oval, Parting, Square};
use crate::boundary::End;
use crate::frame::Ground as GroundFrame;
use crate::geometry::Point;
use crate::rules::Sourced;

impl Oval {
    /// The centre square, or why there is none.
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

    /// What separates each end from the middle: the arc, or what takes its place.
    #[must_use]
    pub fn parting(&self) -> Parting {
        self.layout.parting
    }

    /// Radius of the arc or of the circle in its place, m; `None` where a zone line takes its place.
    #[must_use]
    pub fn arc_radius_m(&self) -> Option<f64> {
        match self.layout.parting {
            Parting::Arc { radius_m } | Parting::GoalRange { radius_m, .. } => Some(radius_m),
            Parting::ZoneLine { .. } => None,
        }
    }

    /// Radius of the outermost centre circle, m; zero where the rule set has none.
    #[must_use]
    pub fn centre_circle_m(&self) -> f64 {
        let r = self.rules();
        let circles = [r.outer_circle_diameter_m, r.inner_circle_diameter_m];
        circles.into_iter().find_map(Sourced::given).map_or(0.0, |across| 0.5 * across)
    }

    /// Distance from the centre along the goal axis to the arc, the circle in its place, or the zone line, m.
    #[must_use]
    pub fn arc_top_m(&self) -> f64 {
        let out = match self.layout.parting {
            Parting::Arc { radius_m } | Parting::GoalRange { radius_m, .. } => radius_m,
            Parting::ZoneLine { depth_m } => depth_m,
        };
        self.half_length_m() - out
    }

    /// How far a point is inside an end's arc, the circle in the arc's place,
    /// or its zone, m; negative outside.
    pub(super) fn within_end_m(&self, p: Point<GroundFrame>, end: End) -> f64 {
        match self.layout.parting {
            Parting::Arc { radius_m } | Parting::GoalRange { radius_m, .. } => {
                radius_m - p.distance_to(self.goal(end))
            }
            Parting::ZoneLine { depth_m } => depth_m - (self.half_length_m() - end.sign() * p.x),
        }
    }
}
