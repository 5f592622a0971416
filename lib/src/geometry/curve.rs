//! The interface that every closed curve implements, whatever its shape.

use super::{Foot, Plane, Point, Vector};

/// A closed curve with a parameter that grows anticlockwise along it.
///
/// The parameter repeats after [`ClosedCurve::period`]. Each shape decides what it
/// measures: an angle, or the spans of a spline. At a corner, and where the curvature
/// jumps, derivatives and curvature are the limits from above, where the curve goes
/// on; [`ClosedCurve::arriving`] gives the limits from below.
///
/// The numbers that an adjustment may change are [`ClosedCurve::parameters`]: metres
/// and, for directions, radians counter-clockwise from +x.
pub trait ClosedCurve<F: Plane>: Sized {
    /// The change of the parameter over one whole lap.
    fn period(&self) -> f64;

    /// The point at a parameter; any number of laps is accepted.
    fn at_parameter(&self, t: f64) -> Point<F>;

    /// Derivative of the point with respect to the parameter.
    fn derivative(&self, t: f64) -> Vector<F>;

    /// Curvature, per metre, positive where the curve bends inward as an oval does.
    fn curvature(&self, t: f64) -> f64;

    /// Point, derivative and curvature at once.
    #[inline]
    fn at_once(&self, t: f64) -> (Point<F>, Vector<F>, f64) {
        (self.at_parameter(t), self.derivative(t), self.curvature(t))
    }

    /// Derivative and curvature where the curve arrives at a parameter: the limits from below.
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

    /// Arc length from a fixed origin to a parameter, metres; it keeps growing from lap to lap.
    fn arc(&self, t: f64) -> f64;

    /// Inverse of [`ClosedCurve::arc`].
    fn parameter_at_arc(&self, s: f64) -> f64;

    /// Length of the whole curve, metres.
    fn perimeter_m(&self) -> f64;

    /// Enclosed area, square metres.
    fn area_m2(&self) -> f64;

    /// ½∫(x dy − y dx) from one parameter to a later one, about the plane's origin, square metres.
    fn swept_area(&self, from: f64, to: f64) -> f64;

    /// The nearest point of the whole curve to `p`. The parameters of
    /// any two feet are less than a period apart.
    fn foot(&self, p: Point<F>) -> Foot<F>;

    /// Does `p` lie inside the curve or on it?
    fn holds(&self, p: Point<F>) -> bool {
        self.foot(p).signed_distance_m <= 0.0
    }

    /// Parameter of the nearest point to `p` on the part `from..=to` of the curve.
    fn nearest_between(&self, p: Point<F>, from: f64, to: f64) -> f64 {
        nearest_by_scan(from, to, |t| self.at_parameter(t).distance_to(p))
    }

    /// Parameter of the farthest point in the direction of `u`.
    fn farthest_parameter(&self, u: Vector<F>) -> f64;

    /// The farthest point in the direction of `u` on the part `from..=to`.
    ///
    /// The default is for convex curves: the answer is either the farthest point of the
    /// whole curve or an end of the part.
    fn farthest_between(&self, u: Vector<F>, from: f64, to: f64) -> Point<F> {
        let t = from + (self.farthest_parameter(u) - from).rem_euclid(self.period());
        let ends = [self.at_parameter(from), self.at_parameter(to)];
        let reach = |p: Point<F>| p.x * u.x + p.y * u.y;
        let end = if reach(ends[0]) >= reach(ends[1]) { ends[0] } else { ends[1] };
        if t <= to { self.at_parameter(t) } else { end }
    }

    /// Full extent of the curve along `u`, metres.
    fn extent_m(&self, u: Vector<F>) -> f64 {
        let (far, near) = (self.farthest_parameter(u), self.farthest_parameter(-u));
        (self.at_parameter(far) - self.at_parameter(near)).dot(u)
    }

    /// Is the curve convex: does every chord between two of its points lie inside it?
    fn is_convex(&self) -> bool {
        true
    }

    /// Derivative of the curve's outward motion at a foot by each of its
    /// [`ClosedCurve::parameters`]: n·∂f/∂q. The signed distance of the point that
    /// the foot belongs to changes by the negative of this.
    fn normal_motion(&self, foot: &Foot<F>) -> Vec<f64>;

    /// The numbers that define the shape, in the order of [`ClosedCurve::parameter_names`].
    fn parameters(&self) -> Vec<f64>;

    /// Names of the parameters, with their units.
    fn parameter_names(&self) -> Vec<String>;

    /// The same kind of curve with other parameters.
    ///
    /// # Errors
    /// [`Invalid`](crate::units::Invalid) when their number is wrong or they make no curve.
    fn with_parameters(&self, parameters: &[f64]) -> Result<Self, crate::units::Invalid>;
}

/// Samples of the distance along a part before the nearest is refined. A curve without
/// bumps would need only a tenth of these.
const SCAN: u32 = 64;
/// Golden-section steps: each keeps 0.618 of the bracket, and 60 leave 1e-13 of it.
const SECTIONS: usize = 60;

/// The parameter in `from..=to` with the least distance: the best of a scan, refined by golden section.
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

/// The parameters as an array of the length that the shape needs.
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
