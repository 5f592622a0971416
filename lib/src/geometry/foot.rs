//! The nearest point of a curve to a given point.

use super::{Plane, Point, Vector};

/// The nearest point of a curve to a given point (the foot of its perpendicular).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foot<F: Plane> {
    /// The nearest point.
    pub point: Point<F>,
    /// Outward unit normal there; at a corner, the direction to the given point.
    pub normal: Vector<F>,
    /// Distance, metres, positive outside.
    pub signed_distance_m: f64,
    at: At,
}

/// Where on its curve a foot is.
#[derive(Debug, Clone, Copy, PartialEq)]
enum At {
    /// Cosine and sine of an ellipse's eccentric angle: few callers want the angle itself.
    Eccentric(f64, f64),
    /// The parameter itself.
    Parameter(f64),
}

impl<F: Plane> Foot<F> {
    pub(super) fn at(point: Point<F>, normal: Vector<F>, signed_distance_m: f64, parameter: f64) -> Self {
        Self { point, normal, signed_distance_m, at: At::Parameter(parameter) }
    }

    /// A foot on an ellipse, from the cosine and sine of the eccentric angle.
    pub(super) fn eccentric(
        point: Point<F>,
        normal: Vector<F>,
        signed_distance_m: f64,
        [c, s]: [f64; 2],
    ) -> Self {
        Self { point, normal, signed_distance_m, at: At::Eccentric(c, s) }
    }

    /// The curve's parameter at the point; for an ellipse the eccentric angle, radians in (-π, π].
    #[must_use]
    pub fn parameter(&self) -> f64 {
        match self.at {
            At::Eccentric(c, s) => s.atan2(c),
            At::Parameter(t) => t,
        }
    }
}
