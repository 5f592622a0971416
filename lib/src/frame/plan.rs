//! The position and direction of the ground frame in the local plane.

use super::{Ground, Local};
use crate::geometry::{Point, Vector};
use crate::units::{Bearing, Invalid, TrueBearing};

/// The transformation between the local plane and the ground frame: the ground's
/// centre, and the bearing of +x, which points to end A.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    centre: Point<Local>,
    axis: TrueBearing,
}

impl Plan {
    /// A plan from the ground's centre and the bearing of +x.
    ///
    /// # Errors
    /// [`Invalid::NotFinite`] if a coordinate of the centre is NaN or infinite.
    pub fn new(centre: Point<Local>, axis: TrueBearing) -> Result<Self, Invalid> {
        crate::units::finite("centre", centre.x)?;
        crate::units::finite("centre", centre.y)?;
        Ok(Self { centre, axis })
    }

    /// Midpoint of the two goal-line centres.
    #[must_use]
    pub fn centre(&self) -> Point<Local> {
        self.centre
    }

    /// Bearing of +x, from the centre to end A.
    #[must_use]
    pub fn axis(&self) -> TrueBearing {
        self.axis
    }

    /// Does +x point to the end nearer true north, or to the eastern end where both are
    /// level? That end becomes end A when a venue is registered.
    #[must_use]
    pub fn points_north(&self) -> bool {
        let (east, north) = self.axis.step();
        // Within a fifth of a second of arc of due east counts as due east: no survey fixes an axis better.
        if north.abs() < 1e-6 { east > 0.0 } else { north > 0.0 }
    }

    /// A point of the local plane, in the ground frame.
    #[must_use]
    pub fn to_ground(&self, p: Point<Local>) -> Point<Ground> {
        let (s, c) = self.axis.step();
        let d = p - self.centre;
        // +x is (s, c) in (east, north); +y is a quarter turn to its left, (−c, s).
        Point::new(s * d.x + c * d.y, -c * d.x + s * d.y)
    }

    /// A point of the ground frame, in the local plane.
    #[must_use]
    pub fn to_local(&self, p: Point<Ground>) -> Point<Local> {
        let v = self.local_vector(Vector::new(p.x, p.y));
        self.centre + v
    }

    fn local_vector(&self, v: Vector<Ground>) -> Vector<Local> {
        let (s, c) = self.axis.step();
        Vector::new(s * v.x - c * v.y, c * v.x + s * v.y)
    }

    /// The bearing of a direction on the ground.
    ///
    /// # Errors
    /// [`Invalid::NotFinite`] for a vector that is not finite.
    pub fn bearing(&self, direction: Vector<Ground>) -> Result<TrueBearing, Invalid> {
        let v = self.local_vector(direction);
        Bearing::of_step(v.x, v.y)
    }

    /// The unit vector of a bearing.
    #[must_use]
    pub fn direction(&self, bearing: TrueBearing) -> Vector<Ground> {
        // The angle counter-clockwise from +x is the axis's bearing minus the bearing.
        Vector::at_angle((self.axis.degrees() - bearing.degrees()).to_radians())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(deg: f64) -> Plan {
        Plan::new(Point::new(10.0, 20.0), TrueBearing::from_degrees(deg).unwrap()).unwrap()
    }

    #[test]
    fn facing_north_left_is_west() {
        let p = plan(0.0);
        let west = p.to_ground(Point::new(9.0, 20.0));
        assert!((west.x).abs() < 1e-12 && (west.y - 1.0).abs() < 1e-12);
        assert!((p.bearing(Vector::new(0.0, 1.0)).unwrap().degrees() - 270.0).abs() < 1e-12);
    }

    #[test]
    fn end_a_is_the_northern_or_else_the_eastern() {
        for (deg, want) in
            [(0.0, true), (89.0, true), (90.0, true), (91.0, false), (270.0, false), (271.0, true)]
        {
            assert_eq!(plan(deg).points_north(), want, "{deg}");
        }
    }

    #[test]
    fn there_and_back_and_directions_agree() {
        let p = plan(37.0);
        let q = Point::<Ground>::new(12.5, -30.0);
        let back = p.to_ground(p.to_local(q));
        assert!(back.distance_to(q) < 1e-12);
        for deg in [0.0, 90.0, 211.0] {
            let b = TrueBearing::from_degrees(deg).unwrap();
            assert!(p.bearing(p.direction(b)).unwrap().turn_to(b).abs() < 1e-12);
        }
    }
}
