//! What every closed curve of this room answers, whatever its shape.

use super::{Foot, Plane, Point, Vector};

/// A closed curve, run anticlockwise by a parameter of its own.
///
/// The parameter grows anticlockwise and repeats after [`ClosedCurve::period`];
/// what it measures is the shape's business (an angle, or spans of a spline). At a
/// corner, and where the curvature jumps, directions are those in which the curve
/// goes on: the limits from above. [`ClosedCurve::arriving`] gives the others.
///
/// The numbers of a shape that an adjustment may move ([`ClosedCurve::parameters`])
/// are metres and, for directions, radians counter-clockwise from +x.
pub trait ClosedCurve<F: Plane>: Sized {
    /// After this much of its parameter the curve is closed.
    fn period(&self) -> f64;

    /// The point at a parameter; any number of laps is accepted.
    fn at_parameter(&self, t: f64) -> Point<F>;

    /// Derivative of the point by the parameter.
    fn derivative(&self, t: f64) -> Vector<F>;

    /// Curvature, per metre, positive where the curve bends inward as an oval does.
    fn curvature(&self, t: f64) -> f64;

    /// Point, derivative and curvature at once.
    #[inline]
    fn at_once(&self, t: f64) -> (Point<F>, Vector<F>, f64) {
        (self.at_parameter(t), self.derivative(t), self.curvature(t))
    }

    /// Derivative and curvature as the curve comes to a parameter: the limits from below.
    fn arriving(&self, t: f64) -> (Vector<F>, f64) {
        (self.derivative(t), self.curvature(t))
    }

    /// Parameters of the corners in [0, period).
    fn corners(&self) -> Vec<f64> {
        Vec::new()
    }

    /// Unit tangent, anticlockwise.
    fn tangent(&self, t: f64) -> Vector<F> {
        let d = self.derivative(t);
        d * (1.0 / d.length())
    }

    /// Outward unit normal.
    fn normal(&self, t: f64) -> Vector<F> {
        self.tangent(t).to_right()
    }

    /// Length of arc from a fixed origin to a parameter, metres; grows over the laps.
    fn arc(&self, t: f64) -> f64;

    /// Inverse of [`ClosedCurve::arc`].
    fn parameter_at_arc(&self, s: f64) -> f64;

    /// Length of the whole curve, metres.
    fn perimeter_m(&self) -> f64;

    /// Area within, square metres.
    fn area_m2(&self) -> f64;

    /// ½∫(x dy − y dx) from one parameter to a later one, about the plane's origin, square metres.
    fn swept_area(&self, from: f64, to: f64) -> f64;

    /// The nearest point of the whole curve. The parameters of any two feet are less than a period apart.
    fn foot(&self, p: Point<F>) -> Foot<F>;

    /// Does `p` lie within, or on, the curve?
    fn holds(&self, p: Point<F>) -> bool {
        self.foot(p).signed_distance_m <= 0.0
    }

    /// Parameter in `from..=to` of the nearest point of that part of the curve.
    fn nearest_between(&self, p: Point<F>, from: f64, to: f64) -> f64 {
        nearest_by_scan(from, to, |t| self.at_parameter(t).distance_to(p))
    }

    /// Parameter of the farthest point in the direction of `u`.
    fn farthest_parameter(&self, u: Vector<F>) -> f64;

    /// The farthest point in the direction of `u` of the part in `from..=to`.
    ///
    /// Unless a shape knows better: that of a convex curve, whose part is farthest at
    /// the whole's farthest point or at one of its own ends.
    fn farthest_between(&self, u: Vector<F>, from: f64, to: f64) -> Point<F> {
        let t = from + (self.farthest_parameter(u) - from).rem_euclid(self.period());
        let ends = [self.at_parameter(from), self.at_parameter(to)];
        let reach = |p: Point<F>| p.x * u.x + p.y * u.y;
        let end = if reach(ends[0]) >= reach(ends[1]) { ends[0] } else { ends[1] };
        if t <= to { self.at_parameter(t) } else { end }
    }

    /// Extent in the direction of `u` and against it together, metres.
    fn extent_m(&self, u: Vector<F>) -> f64 {
        let (far, near) = (self.farthest_parameter(u), self.farthest_parameter(-u));
        (self.at_parameter(far) - self.at_parameter(near)).dot(u)
    }

    /// Is every chord between two points of the curve within it?
    fn is_convex(&self) -> bool {
        true
    }

    /// How far the curve moves outward at a foot for a step of one in each of its
    /// [`ClosedCurve::parameters`]: n·∂f/∂q. The signed distance of the place that
    /// the foot belongs to falls by as much.
    fn normal_motion(&self, foot: &Foot<F>) -> Vec<f64>;

    /// The numbers that fix the shape, in the order of [`ClosedCurve::parameter_names`].
    fn parameters(&self) -> Vec<f64>;

    /// Names of the parameters, with their units.
    fn parameter_names(&self) -> Vec<String>;

    /// The same kind of curve with other parameters.
    ///
    /// # Errors
    /// [`Invalid`](crate::units::Invalid) when their number is wrong or they make no curve.
    fn with_parameters(&self, parameters: &[f64]) -> Result<Self, crate::units::Invalid>;
}

/// Samples of the distance along a part before the nearest is refined: on a
/// curve of one bend a tenth of these would do.
const SCAN: u32 = 64;
/// Golden sections: each keeps 0.618 of the bracket, 60 leave 1e-13 of it.
const SECTIONS: usize = 60;

/// The parameter in `from..=to` with the least distance: the best of a scan, refined.
pub(super) fn nearest_by_scan(from: f64, to: f64, distance: impl Fn(f64) -> f64) -> f64 {
    let step = (to - from) / f64::from(SCAN);
    let least = |a: f64, b: f64| if distance(a) <= distance(b) { a } else { b };
    let best = (0..=SCAN).map(|i| from + step * f64::from(i)).reduce(least).unwrap_or(from);
    let (mut lo, mut hi) = ((best - step).max(from), (best + step).min(to));
    let ratio = 0.5 * (5f64.sqrt() - 1.0);
    for _ in 0..SECTIONS {
        let (a, b) = (hi - ratio * (hi - lo), lo + ratio * (hi - lo));
        if distance(a) <= distance(b) { hi = b } else { lo = a }
    }
    least(least(from, to), 0.5 * (lo + hi))
}

/// The parameters as an array of the length that a shape has.
pub(super) fn counted<const N: usize>(
    what: &'static str,
    parameters: &[f64],
) -> Result<[f64; N], crate::units::Invalid> {
    <[f64; N]>::try_from(parameters).map_err(|_| crate::units::Invalid::WrongCount {
        what,
        got: parameters.len(),
        want: N,
    })
}

pub(super) fn names(list: &[&str]) -> Vec<String> {
    list.iter().map(|&name| name.to_owned()).collect()
}
