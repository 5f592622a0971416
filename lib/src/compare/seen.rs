//! Numbers of an oval in the old ground's plane, with the old ground's end A.

use crate::boundary::{Boundary, End, Side};
use crate::frame::{Ground as GroundFrame, Local, LocalPlane, Plan};
use crate::geometry::{Point, Vector};
use crate::ground::Oval;
use crate::units::Bearing;

/// How to convert one ground's ovals to the old ground's plane and ends.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sight {
    /// Are its ends named the other way about than the old ground's?
    pub(super) turned: bool,
    /// Its plane and the old ground's, where they differ.
    pub(super) planes: Option<[LocalPlane; 2]>,
}

/// A place on the old ground's line at which the offsets of both grounds' lines are measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Station {
    pub(super) side: Side,
    /// Metres along the line from end A's behind post.
    pub(super) from_a_m: f64,
    pub(super) chainage_m: f64,
    pub(super) point: Point<GroundFrame>,
    pub(super) normal: Vector<GroundFrame>,
}

/// The greatest number of steps along a normal. Each step leaves (1 − cos ε) of the miss, where ε is the
/// angle between the two lines, so three are enough for any two surveys of one ground.
const STEPS: usize = 20;
/// The search stops when the line is nearer than this, m.
const NEAR_M: f64 = 1e-10;

impl Sight {
    pub(super) const PLAIN: Self = Self { turned: false, planes: None };

    /// Both goal-line midpoints in the old ground's plane, end A first: east and north of each.
    pub(super) fn goals(&self, oval: &Oval) -> Option<[Point<Local>; 2]> {
        let ends = if self.turned { [End::B, End::A] } else { [End::A, End::B] };
        let [a, b] = ends.map(|e| {
            let p = oval.plan().to_local(oval.goal(e));
            match &self.planes {
                None => Some(p),
                Some([from, to]) => to.to_local(&from.to_geodetic(p)?),
            }
        });
        Some([a?, b?])
    }

    /// Its ground frame in the old ground's plane.
    pub(super) fn plan(&self, oval: &Oval) -> Option<Plan> {
        let [a, b] = self.goals(oval)?;
        let axis = a - b;
        Plan::new(b.midpoint(a), Bearing::of_step(axis.x, axis.y).ok()?).ok()
    }

    /// The old ground's side as this one calls it.
    fn side(&self, side: Side) -> Side {
        if self.turned { side.other() } else { side }
    }

    /// Length, width and the two half-widths, m.
    pub(super) fn sizes(&self, oval: &Oval) -> [f64; 4] {
        let b = oval.boundary();
        let half = |side| b.half_width_m(self.side(side));
        [oval.length_m(), b.width_m(), half(Side::Left), half(Side::Right)]
    }

    /// How much farther out than the station its line is, along the station's normal, m, with the grounds
    /// superimposed by their goals; NaN where the normal does not meet its line.
    pub(super) fn offset(&self, b: &Boundary, station: &Station) -> f64 {
        let sign = if self.turned { -1.0 } else { 1.0 };
        let start = Point::new(sign * station.point.x, sign * station.point.y);
        let normal = station.normal * sign;
        let mut out = 0.0;
        for _ in 0..STEPS {
            let here = b.nearest(start + normal * out);
            if here.side != self.side(station.side) {
                return f64::NAN;
            }
            out -= here.signed_distance_m;
            if here.signed_distance_m.abs() < NEAR_M {
                return out;
            }
        }
        f64::NAN
    }
}
