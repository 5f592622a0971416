//! An oval as the comparison sees it: in the old ground's plane, its end A the old one's.

use crate::boundary::{Boundary, End, Side};
use crate::frame::{Ground as GroundFrame, Local, LocalPlane, Plan};
use crate::geometry::{Point, Vector};
use crate::ground::Oval;
use crate::units::Bearing;

/// How one ground's ovals are looked at.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sight {
    /// Its ends are named the other way about than the old ground's.
    pub(super) turned: bool,
    /// From its plane into the old ground's, where these are two.
    pub(super) planes: Option<[LocalPlane; 2]>,
}

/// A place on the old ground's line from which both grounds' lines are looked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Station {
    pub(super) side: Side,
    /// Metres along the line from end A's behind post.
    pub(super) from_a_m: f64,
    pub(super) chainage_m: f64,
    pub(super) point: Point<GroundFrame>,
    pub(super) normal: Vector<GroundFrame>,
}

/// Steps of the search along a normal: each leaves (1 − cos ε) of the miss, ε the angle between
/// the two lines, so three do for any two surveys of one ground.
const STEPS: usize = 20;
/// A distance of the line that is as good as none, m.
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

    /// Where its ground frame lies in the old ground's plane.
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

    /// How much farther out than the station its line lies, along the station's normal, seen from
    /// its own goals; NaN where its line does not come that way.
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
