//! An ellipse: its points, arc lengths, area, and the nearest point to any point.

use std::f64::consts::{PI, TAU};

use super::arc_series::ArcSeries;
use super::curve::{ClosedCurve, counted, names};
use super::{Foot, Plane, Point, Vector};
use crate::numeric::{complete_e, incomplete_e};
use crate::units::{Invalid, finite, within};

/// An ellipse in the plane `F`.
///
/// The semi-major axis is never the shorter one. The long axis is a line, so its
/// direction is known modulo half a turn. The ellipse does not know which axis
/// carries the goals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ellipse<F: Plane> {
    centre: Point<F>,
    semi_major: f64,
    semi_minor: f64,
    /// Long axis, radians counter-clockwise from +x, in [0, π).
    turn: f64,
    /// Unit vector of the long axis; stored because every point needs it.
    long: Vector<F>,
    /// A quarter of the perimeter; stored because every arc length needs it.
    quarter: f64,
    /// The series for the arc length, where it converges fast enough.
    series: Option<ArcSeries>,
}

/// Steps allowed to Newton's method for the nearest point. From its starting
/// value it converges monotonically and quadratically. It took 10 steps at most for
/// grounds, and a few dozen for a very thin ellipse and a point next to its axis.
const FOOT_STEPS: usize = 100;
/// Steps allowed to invert the arc length: Newton within a shrinking bracket.
const ARC_STEPS: usize = 60;

/// Squared eccentricity, the parameter of the elliptic integrals. It is computed as
/// (a−b)(a+b)/a², because 1 − b²/a² loses digits where a and b are nearly equal.
fn squared_eccentricity(a: f64, b: f64) -> f64 {
    (a - b) * (a + b) / (a * a)
}

impl<F: Plane> Ellipse<F> {
    /// An ellipse from its centre, two semi-axes in either order, and the direction of
    /// the *first* in degrees counter-clockwise from +x.
    ///
    /// # Errors
    /// [`Invalid`] when a number is not finite or a semi-axis is not positive.
    pub fn new(centre: Point<F>, semi_axes_m: [f64; 2], turn_deg: f64) -> Result<Self, Invalid> {
        Self::from_radians(centre, semi_axes_m, finite("turn", turn_deg)?.to_radians())
    }

    /// As [`Ellipse::new`], in radians.
    pub(crate) fn from_radians(centre: Point<F>, axes: [f64; 2], turn: f64) -> Result<Self, Invalid> {
        finite("centre", centre.x)?;
        finite("centre", centre.y)?;
        finite("turn", turn)?;
        let [a, b] = axes;
        within("semi-axis", a, f64::MIN_POSITIVE, 1e9)?;
        within("semi-axis", b, f64::MIN_POSITIVE, 1e9)?;
        let (major, minor, turn) = if a >= b { (a, b, turn) } else { (b, a, turn + 0.5 * PI) };
        let wrapped = turn.rem_euclid(PI);
        let turn = if wrapped >= PI { 0.0 } else { wrapped };
        let long = Vector::at_angle(turn);
        let quarter = major * complete_e(squared_eccentricity(major, minor));
        let series = ArcSeries::of(major, minor);
        Ok(Self { centre, semi_major: major, semi_minor: minor, turn, long, quarter, series })
    }

    /// The centre.
    #[must_use]
    pub fn centre(&self) -> Point<F> {
        self.centre
    }

    /// Half the longest diameter, metres.
    #[must_use]
    pub fn semi_major_m(&self) -> f64 {
        self.semi_major
    }

    /// Half the shortest diameter, metres.
    #[must_use]
    pub fn semi_minor_m(&self) -> f64 {
        self.semi_minor
    }

    /// Direction of the long axis, degrees counter-clockwise from +x, in [0, 180).
    #[must_use]
    pub fn turn_deg(&self) -> f64 {
        self.turn.to_degrees()
    }

    /// Direction of the long axis, radians in [0, π).
    pub(crate) fn turn_rad(&self) -> f64 {
        self.turn
    }

    /// Coordinates of a point in the ellipse's own axes.
    fn own(&self, p: Point<F>) -> (f64, f64) {
        let d = p - self.centre;
        (self.long.dot(d), self.long.cross(d))
    }

    /// Unit vector of the long axis.
    pub(super) fn long(&self) -> Vector<F> {
        self.long
    }

    /// A vector given in the ellipse's own axes, in the plane.
    pub(super) fn plane_step(&self, u: f64, v: f64) -> Vector<F> {
        self.long * u + self.long.to_left() * v
    }

    /// The point at an eccentric angle, which is not the direction from the centre.
    pub(crate) fn at_parameter(&self, t: f64) -> Point<F> {
        let (s, c) = t.sin_cos();
        self.centre + self.plane_step(self.semi_major * c, self.semi_minor * s)
    }

    /// Derivative of the point with respect to the eccentric angle.
    pub(crate) fn derivative(&self, t: f64) -> Vector<F> {
        let (s, c) = t.sin_cos();
        self.plane_step(-self.semi_major * s, self.semi_minor * c)
    }

    /// Curvature at an eccentric angle, per metre; positive everywhere.
    pub(crate) fn curvature(&self, t: f64) -> f64 {
        let speed = self.derivative(t).length();
        self.semi_major * self.semi_minor / (speed * speed * speed)
    }

    /// Area, square metres.
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        PI * self.semi_major * self.semi_minor
    }

    /// Perimeter, metres: 4 a E(m).
    ///
    /// # Examples
    /// ```
    /// # use ovalpeg::{frame::Local, geometry::{Ellipse, Point}};
    /// let e = Ellipse::<Local>::new(Point::ORIGIN, [80.0, 65.0], 0.0)?;
    /// assert!((e.perimeter_m() - 456.7504733861266).abs() < 1e-9);
    /// # Ok::<(), ovalpeg::units::Invalid>(())
    /// ```
    #[must_use]
    pub fn perimeter_m(&self) -> f64 {
        4.0 * self.quarter
    }

    /// Arc length from the end of the long axis to the point whose eccentric angle is
    /// `eccentric_deg`, counter-clockwise, metres; negative for negative angles.
    #[must_use]
    pub fn arc_from_vertex_m(&self, eccentric_deg: f64) -> f64 {
        self.arc(eccentric_deg.to_radians())
    }

    /// As [`Ellipse::arc_from_vertex_m`], in radians.
    ///
    /// ds = √(a² sin² t + b² cos² t) dt = a √(1 − m sin² φ) dφ with φ = t − π/2
    /// measured from the minor axis (DLMF 19.30.2). Where [`ArcSeries`] converges fast, it is used instead.
    pub(crate) fn arc(&self, t: f64) -> f64 {
        if let Some(series) = &self.series {
            return self.quarter * (t / (0.5 * PI)) + series.over_even(t);
        }
        let m = squared_eccentricity(self.semi_major, self.semi_minor);
        self.semi_major * incomplete_e(t - 0.5 * PI, m) + self.quarter
    }

    /// The eccentric angle at arc length `s` from the vertex: inverse of [`Ellipse::arc`].
    pub(crate) fn parameter_at_arc(&self, s: f64) -> f64 {
        let around = self.perimeter_m();
        let (mut lo, mut hi) = ((s / around).floor() * TAU, (s / around).floor() * TAU + TAU);
        let mut t = self.guess_at_arc(s / around * TAU);
        for _ in 0..ARC_STEPS {
            let miss = self.arc(t) - s;
            if miss > 0.0 {
                hi = t;
            } else {
                lo = t;
            }
            // s(t) = ∫|r'| with |r'|² = a² sin² + b² cos², so |r'|' = (a² − b²) sin cos/|r'|.
            // Solving miss + |r'|δ + ½|r'|'δ² = 0 up to terms in δ³ gives
            // δ = −step·(1 + ½ (|r'|'/|r'|) step).
            let rate = self.derivative(t).length();
            let (sin, cos) = t.sin_cos();
            let bend = (self.semi_major - self.semi_minor) * (self.semi_major + self.semi_minor) * sin * cos
                / (rate * rate);
            let step = miss / rate;
            let step = step * (1.0 + 0.5 * bend * step);
            // Each step cubes the error, so after a step this small none is left.
            if step.abs() <= 1e-5 {
                return t - step;
            }
            let next = t - step;
            t = if next > lo && next < hi { next } else { 0.5 * (lo + hi) };
        }
        t
    }

    /// First guess for the eccentric angle at `even`/2π of the perimeter, with an error of some
    /// 3 n⁷ radians, n = (a − b)/(a + b): 1e-6 on most ovals. C. F. F. Karney, Algorithms for
    /// geodesics, Journal of Geodesy 87, 2013, eq. 21
    /// (from memory; checked against the root in the tests).
    fn guess_at_arc(&self, even: f64) -> f64 {
        let n = (self.semi_major - self.semi_minor) / (self.semi_major + self.semi_minor);
        let q = n * n;
        let terms = [
            n * (1.0 / 2.0 + q * (-9.0 / 32.0 + q * 205.0 / 1536.0)),
            q * (5.0 / 16.0 + q * (-37.0 / 96.0 + q * 1335.0 / 4096.0)),
            q * n * (29.0 / 96.0 - q * 75.0 / 128.0),
            q * q * (539.0 / 1536.0 - q * 2391.0 / 2560.0),
            q * q * n * 3467.0 / 7680.0,
            q * q * q * 38081.0 / 61440.0,
        ];
        // Clenshaw's recurrence for the sum of sines of multiples of 2·even.
        let (s, c) = (2.0 * even).sin_cos();
        let (mut first, mut second) = (0.0, 0.0);
        for term in terms.iter().rev() {
            (first, second) = (term + 2.0 * c * first - second, first);
        }
        even + first * s
    }

    /// The nearest point to `p`.
    ///
    /// Where two points are equally near (from the long axis near the centre, or from the
    /// centre), the result is the one with the eccentric angle in [0, π).
    ///
    /// D. Eberly, Distance from a Point to an Ellipse (2013), eqs 6–9: in the
    /// first quadrant the foot is (r₀z₀/(s + r₀), z₁/(s + 1)) in units of the
    /// axes, where s is the largest root of g(s) = (r₀z₀/(s+r₀))² + (z₁/(s+1))² − 1.
    /// g is convex and falling there, so one Newton step from anywhere ends at the root
    /// or left of it, and from the left Newton's method climbs to it without overshooting.
    #[must_use]
    pub fn foot(&self, p: Point<F>) -> Foot<F> {
        let (u, v) = self.own(p);
        let (a, b) = (self.semi_major, self.semi_minor);
        let (x, y) = (u.abs(), v.abs());
        let (cos_t, sin_t) = if y > 0.0 {
            // w = s + 1 replaces s, so that no digits are lost next to the long axis, where w
            // is tiny; `excess` is r₀ − 1 = (a² − b²)/b².
            let excess = (a - b) * (a + b) / (b * b);
            let (n0, z1) = ((a / b) * (x / b), y / b);
            let step = |w: f64| {
                let (p0, p1) = (n0 / (w + excess), z1 / w);
                let g = (p0 - 1.0) * (p0 + 1.0) + p1 * p1;
                w + g / (2.0 * (p0 * p0 / (w + excess) + p1 * p1 / w))
            };
            // `least` is left of the root: one term of g alone is already 1 there. For a point on
            // the curve w is 1, so for points near it one step from 1 ends next to the root.
            let least = z1.max(n0 - excess);
            let near = step(1.0);
            let mut w = if near > least { near } else { least };
            for _ in 0..FOOT_STEPS {
                let next = step(w);
                // The steps climb until rounding stops them.
                if next.partial_cmp(&w) != Some(std::cmp::Ordering::Greater) {
                    break;
                }
                w = next;
            }
            (n0 / (w + excess), z1 / w)
        } else {
            // On the long axis: within (a² − b²)/a of the centre the foot is no longer the vertex.
            let reach = (a - b) * (a + b);
            let c = if a * x < reach { a * x / reach } else { 1.0 };
            (c, ((1.0 - c) * (1.0 + c)).max(0.0).sqrt())
        };
        let (c, s) = (cos_t.copysign(u), if v < 0.0 { -sin_t } else { sin_t });
        let point = self.centre + self.plane_step(a * c, b * s);
        let out = self.plane_step(b * c, a * s);
        let normal = out * (1.0 / out.length());
        Foot::eccentric(point, normal, (p - point).dot(normal), [c, s])
    }

    /// Half-extent of the ellipse in the direction of the unit vector `u`, metres:
    /// the largest (p − centre)·u.
    #[must_use]
    pub fn support_m(&self, u: Vector<F>) -> f64 {
        let (along, across) = (self.long.dot(u), self.long.cross(u));
        (self.semi_major * along).hypot(self.semi_minor * across)
    }

    /// Eccentric angle of the farthest point in the direction of `u`.
    pub(crate) fn farthest_parameter(&self, u: Vector<F>) -> f64 {
        let (along, across) = (self.long.dot(u), self.long.cross(u));
        (self.semi_minor * across).atan2(self.semi_major * along)
    }
}

impl<F: Plane> ClosedCurve<F> for Ellipse<F> {
    fn period(&self) -> f64 {
        TAU
    }

    fn at_parameter(&self, t: f64) -> Point<F> {
        Self::at_parameter(self, t)
    }

    fn derivative(&self, t: f64) -> Vector<F> {
        Self::derivative(self, t)
    }

    fn curvature(&self, t: f64) -> f64 {
        Self::curvature(self, t)
    }

    fn arc(&self, t: f64) -> f64 {
        Self::arc(self, t)
    }

    fn parameter_at_arc(&self, s: f64) -> f64 {
        Self::parameter_at_arc(self, s)
    }

    fn perimeter_m(&self) -> f64 {
        Self::perimeter_m(self)
    }

    fn area_m2(&self) -> f64 {
        Self::area_m2(self)
    }

    fn swept_area(&self, from: f64, to: f64) -> f64 {
        let (p, q, c) = (Self::at_parameter(self, from), Self::at_parameter(self, to), self.centre);
        0.5 * (self.semi_major * self.semi_minor * (to - from) + c.x * (q.y - p.y) - c.y * (q.x - p.x))
    }

    fn foot(&self, p: Point<F>) -> Foot<F> {
        Self::foot(self, p)
    }

    fn farthest_parameter(&self, u: Vector<F>) -> f64 {
        Self::farthest_parameter(self, u)
    }

    fn extent_m(&self, u: Vector<F>) -> f64 {
        2.0 * self.support_m(u)
    }

    fn normal_motion(&self, foot: &Foot<F>) -> Vec<f64> {
        let (n, (s, c)) = (foot.normal, foot.parameter().sin_cos());
        let turn = (foot.point - self.centre).to_left().dot(n);
        vec![n.x, n.y, c * self.long.dot(n), s * self.long.cross(n), turn]
    }

    fn parameters(&self) -> Vec<f64> {
        vec![self.centre.x, self.centre.y, self.semi_major, self.semi_minor, self.turn]
    }

    fn parameter_names(&self) -> Vec<String> {
        names(&["x_m", "y_m", "semi_major_m", "semi_minor_m", "turn_rad"])
    }

    fn with_parameters(&self, parameters: &[f64]) -> Result<Self, Invalid> {
        let [x, y, a, b, turn] = counted("an ellipse", parameters)?;
        Self::from_radians(Point::new(x, y), [a, b], turn)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, Clone, Copy, PartialEq)]
    struct Test;
    impl Plane for Test {}

    fn e(a: f64, b: f64, turn: f64) -> Ellipse<Test> {
        Ellipse::new(Point::new(3.0, -2.0), [a, b], turn).unwrap()
    }

    #[test]
    fn the_long_axis_is_the_long_one_whichever_came_first() {
        let x = e(60.0, 80.0, 10.0);
        assert_eq!((x.semi_major_m(), x.semi_minor_m()), (80.0, 60.0));
        assert!((x.turn_deg() - 100.0).abs() < 1e-12);
        assert!(Ellipse::<Test>::new(Point::ORIGIN, [0.0, 1.0], 0.0).is_err());
    }

    #[test]
    fn the_foot_is_square_to_the_curve_and_nothing_is_nearer() {
        for (a, b) in [(83.3, 67.5), (80.0, 79.99), (50.0, 5.0), (70.0, 70.0)] {
            let x = e(a, b, 33.0);
            for i in 0..40 {
                for r in [0.0, 1e-9, 0.3, 0.8, 0.999, 1.0, 1.2, 3.0] {
                    let t = f64::from(i) * 0.17;
                    let p = x.centre() + (x.at_parameter(t) - x.centre()) * r;
                    let foot = x.foot(p);
                    // The gap is along the normal, to the rounding of 100 m.
                    let gap = p - foot.point;
                    assert!(gap.cross(foot.normal).abs() < 1e-9, "{a} {b} {i} {r}");
                    let nearest_sample = (0..720)
                        .map(|k| x.at_parameter(f64::from(k) * TAU / 720.0).distance_to(p))
                        .fold(f64::INFINITY, f64::min);
                    assert!(gap.length() <= nearest_sample + 1e-9, "{a} {b} {i} {r}");
                }
            }
        }
    }

    #[test]
    fn arc_and_parameter_are_inverse() {
        let x = e(92.0, 55.0, 0.0);
        for i in -20..40 {
            let t = f64::from(i) * 0.31;
            // 1e-12 is the rounding of a sum of a few hundred metres.
            assert!((x.parameter_at_arc(x.arc(t)) - t).abs() < 1e-12, "{t}");
        }
        assert!((x.arc(TAU) - x.perimeter_m()).abs() < 1e-11);
    }

    #[test]
    fn the_guess_is_near_the_root() {
        for b in [65.0, 50.0, 79.0] {
            let x = e(80.0, b, 0.0);
            // The first term left out is about 3 n⁷; the rest is rounding.
            let limit = 3.3 * ((80.0 - b) / (80.0 + b)).powi(7) + 1e-13;
            for i in 0..100 {
                let t = f64::from(i) * 0.0628;
                let guess = x.guess_at_arc(x.arc(t) / x.perimeter_m() * TAU);
                assert!((guess - t).abs() < limit, "{b} {t} {guess}");
            }
        }
        // The root is found however flat the ellipse is.
        let flat = e(80.0, 0.5, 0.0);
        for i in 0..100 {
            let t = f64::from(i) * 0.0628;
            assert!((flat.arc(flat.parameter_at_arc(flat.arc(t))) - flat.arc(t)).abs() < 1e-9, "{t}");
        }
    }

    #[test]
    fn curvature_at_the_vertices_has_a_closed_form() {
        let x = e(80.0, 65.0, 12.0);
        assert!((x.curvature(0.0) - 80.0 / (65.0 * 65.0)).abs() < 1e-15);
        assert!((x.curvature(0.5 * PI) - 65.0 / (80.0 * 80.0)).abs() < 1e-15);
    }

    #[test]
    fn support_is_the_extent() {
        let x = e(80.0, 65.0, 25.0);
        let u = Vector::new(0.6, 0.8);
        let most = (0..7200)
            .map(|k| (x.at_parameter(f64::from(k) * TAU / 7200.0) - x.centre()).dot(u))
            .fold(0.0, f64::max);
        // Sampling at 0.05° misses the top by at most 80·(0.0004)²/2 m.
        assert!((x.support_m(u) - most).abs() < 1e-5);
        let top = x.at_parameter(x.farthest_parameter(u));
        assert!(((top - x.centre()).dot(u) - x.support_m(u)).abs() < 1e-12);
    }
}
