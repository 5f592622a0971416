//! An oval of four circular arcs, as set out with a tape from four pegs.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::curve::{ClosedCurve, counted, names};
use super::{Foot, Plane, Point, Vector};
use crate::units::{Invalid, finite, within};

/// Two end arcs and two side arcs, tangent where they meet, symmetric about both axes.
///
/// Its parameter is the direction of its outward normal, radians counter-clockwise
/// from the long axis. Points, lengths and areas have closed forms in it. The
/// curvature jumps at the four joints.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FourArc<F: Plane> {
    centre: Point<F>,
    semi_major: f64,
    semi_minor: f64,
    end_radius: f64,
    /// Long axis, radians counter-clockwise from +x, in [0, π).
    turn: f64,
    long: Vector<F>,
    /// Radius of the side arcs, which follows from tangency.
    side_radius: f64,
    /// Direction of the normal at the first joint, radians from the long axis, in [0, π/2].
    joint: f64,
}

/// One arc: its centre in the oval's own axes, its radius, and the directions of the normal at its ends.
#[derive(Debug, Clone, Copy)]
struct Arc {
    centre: (f64, f64),
    radius: f64,
    from: f64,
    to: f64,
}

/// A direction within this of a joint, radians, counts as the joint. It covers the
/// rounding of a few turns, and is less than a nanometre of arc.
const AT_JOINT: f64 = 1e-12;

impl<F: Plane> FourArc<F> {
    /// An oval from its centre, two semi-axes in either order, the radius of the arcs at
    /// the ends of the longer one, and the direction of the *first* semi-axis in degrees
    /// counter-clockwise from +x.
    ///
    /// The side arcs' radius follows: R = ((a − r)² + b² − r²) / 2(b − r), since the
    /// centres of two arcs that touch are R − r apart, (a − r)² + (R − b)² = (R − r)².
    ///
    /// # Errors
    /// [`Invalid`] when a number is not finite, a semi-axis is not positive, or the
    /// end radius is not between zero and the shorter semi-axis.
    pub fn new(
        centre: Point<F>,
        semi_axes_m: [f64; 2],
        end_radius_m: f64,
        turn_deg: f64,
    ) -> Result<Self, Invalid> {
        Self::from_radians(centre, semi_axes_m, end_radius_m, finite("turn", turn_deg)?.to_radians())
    }

    fn from_radians(centre: Point<F>, axes: [f64; 2], end_radius: f64, turn: f64) -> Result<Self, Invalid> {
        finite("centre", centre.x)?;
        finite("centre", centre.y)?;
        finite("turn", turn)?;
        let [a, b] = axes;
        within("semi-axis", a, f64::MIN_POSITIVE, 1e9)?;
        within("semi-axis", b, f64::MIN_POSITIVE, 1e9)?;
        let (a, b, turn) = if a >= b { (a, b, turn) } else { (b, a, turn + FRAC_PI_2) };
        // At r = b the sides would be straight and their radius infinite.
        let r = within("end radius", end_radius, 1e-9 * b, b * (1.0 - 1e-9))?;
        let wrapped = turn.rem_euclid(PI);
        let turn = if wrapped >= PI { 0.0 } else { wrapped };
        let side_radius = ((a - r) * (a - r) + (b - r) * (b + r)) / (2.0 * (b - r));
        // R − b = (a − b)(a + b − 2r) / 2(b − r), without the cancellation.
        let below = (a - b) * (a + b - 2.0 * r) / (2.0 * (b - r));
        let joint = below.atan2(a - r);
        Ok(Self {
            centre,
            semi_major: a,
            semi_minor: b,
            end_radius: r,
            turn,
            long: Vector::at_angle(turn),
            side_radius,
            joint,
        })
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

    /// Radius of the two end arcs, metres.
    #[must_use]
    pub fn end_radius_m(&self) -> f64 {
        self.end_radius
    }

    /// Radius of the two side arcs, metres.
    #[must_use]
    pub fn side_radius_m(&self) -> f64 {
        self.side_radius
    }

    /// Direction of the long axis, degrees counter-clockwise from +x, in [0, 180).
    #[must_use]
    pub fn turn_deg(&self) -> f64 {
        self.turn.to_degrees()
    }

    /// The four centres that the arcs are struck from: first those of the end arcs, on
    /// the long axis (the one in the axis's direction first), then those of the side
    /// arcs (the one of the arc to the left of the long axis first).
    #[must_use]
    pub fn centres(&self) -> [Point<F>; 4] {
        let arcs = self.arcs();
        [0, 2, 1, 3].map(|i| self.out(arcs[i].centre))
    }

    /// A point given in the oval's own axes, in the plane.
    fn out(&self, (u, v): (f64, f64)) -> Point<F> {
        self.centre + self.long * u + self.long.to_left() * v
    }

    /// The arcs in order of their normals from 0. The end arc across direction
    /// 0 comes as two halves, first and last.
    fn arcs(&self) -> [Arc; 5] {
        let (r, side, j) = (self.end_radius, self.side_radius, self.joint);
        let (along, below) = (self.semi_major - r, side - self.semi_minor);
        let arc = |centre, radius, from, to| Arc { centre, radius, from, to };
        [
            arc((along, 0.0), r, 0.0, j),
            arc((0.0, -below), side, j, PI - j),
            arc((-along, 0.0), r, PI - j, PI + j),
            arc((0.0, below), side, PI + j, TAU - j),
            arc((along, 0.0), r, TAU - j, TAU),
        ]
    }

    /// The arc that a direction in [0, 2π) falls on; at a joint, the later one.
    fn arc_at(&self, w: f64) -> Arc {
        let arcs = self.arcs();
        let i = arcs.iter().position(|a| w < a.to).unwrap_or(arcs.len() - 1);
        arcs[i]
    }

    fn wrapped(t: f64) -> f64 {
        let w = t.rem_euclid(TAU);
        if w >= TAU { 0.0 } else { w }
    }

    /// The arc just after a parameter (`bias` > 0) or just before it (`bias` < 0).
    fn arc_beside(&self, t: f64, bias: f64) -> Arc {
        self.arc_at(Self::wrapped(t + bias))
    }

    /// Parameters and distances of the points in `from..=to` where the
    /// curve is perpendicular to the line to `p`.
    fn square_to(&self, p: Point<F>, from: f64, to: f64) -> impl Iterator<Item = (f64, f64)> {
        let d = p - self.centre;
        let (u, v) = (self.long.dot(d), self.long.cross(d));
        self.arcs().into_iter().flat_map(move |arc| {
            let (x, y) = (u - arc.centre.0, v - arc.centre.1);
            let (away, angle) = (x.hypot(y), y.atan2(x));
            // The far side of the same circle may be on this arc too.
            [(angle, (away - arc.radius).abs()), (angle + PI, away + arc.radius)].into_iter().filter_map(
                move |(t, distance)| {
                    let w = Self::wrapped(t);
                    let on = w >= arc.from - AT_JOINT && w <= arc.to + AT_JOINT;
                    let t = from + (w - from).rem_euclid(TAU);
                    (on && t <= to).then_some((t, distance))
                },
            )
        })
    }
}

impl<F: Plane> ClosedCurve<F> for FourArc<F> {
    fn period(&self) -> f64 {
        TAU
    }

    fn at_parameter(&self, t: f64) -> Point<F> {
        let arc = self.arc_at(Self::wrapped(t));
        let (s, c) = t.sin_cos();
        self.out((arc.centre.0 + arc.radius * c, arc.centre.1 + arc.radius * s))
    }

    fn derivative(&self, t: f64) -> Vector<F> {
        self.tangent(t) * self.arc_beside(t, AT_JOINT).radius
    }

    fn curvature(&self, t: f64) -> f64 {
        1.0 / self.arc_beside(t, AT_JOINT).radius
    }

    fn arriving(&self, t: f64) -> (Vector<F>, f64) {
        let radius = self.arc_beside(t, -AT_JOINT).radius;
        (self.tangent(t) * radius, 1.0 / radius)
    }

    fn tangent(&self, t: f64) -> Vector<F> {
        self.normal(t).to_left()
    }

    fn normal(&self, t: f64) -> Vector<F> {
        let (s, c) = t.sin_cos();
        self.long * c + self.long.to_left() * s
    }

    fn arc(&self, t: f64) -> f64 {
        let w = Self::wrapped(t);
        let laps = ((t - w) / TAU).round();
        let within: f64 =
            self.arcs().iter().map(|a| a.radius * (w.clamp(a.from, a.to.max(a.from)) - a.from)).sum();
        laps * self.perimeter_m() + within
    }

    fn parameter_at_arc(&self, s: f64) -> f64 {
        let around = self.perimeter_m();
        let laps = (s / around).floor();
        let mut left = s - laps * around;
        for arc in self.arcs() {
            let length = arc.radius * (arc.to - arc.from);
            if left < length {
                return laps * TAU + arc.from + left / arc.radius;
            }
            left -= length;
        }
        (laps + 1.0) * TAU
    }

    fn perimeter_m(&self) -> f64 {
        4.0 * (self.end_radius * self.joint + self.side_radius * (FRAC_PI_2 - self.joint))
    }

    /// Two sectors for each pair of arcs, less the rhombus of the four centres, which both pairs cover.
    fn area_m2(&self) -> f64 {
        let (r, side, j) = (self.end_radius, self.side_radius, self.joint);
        let rhombus = 2.0 * (self.semi_major - r) * (side - self.semi_minor);
        2.0 * (r * r * j + side * side * (FRAC_PI_2 - j)) - rhombus
    }

    fn swept_area(&self, from: f64, to: f64) -> f64 {
        let arcs = self.arcs();
        let mut area = 0.0;
        let first = (from / TAU).floor();
        // A part of up to one lap touches two laps at most.
        let laps = ((to / TAU).floor() - first).clamp(0.0, 1e6) as u32;
        for lap in 0..=laps {
            for arc in &arcs {
                let base = (first + f64::from(lap)) * TAU;
                let (a, b) = ((base + arc.from).max(from), (base + arc.to).min(to));
                if b > a {
                    let c = self.out(arc.centre);
                    let chord =
                        (Vector::<F>::at_angle(self.turn + b) - Vector::at_angle(self.turn + a)) * arc.radius;
                    area +=
                        0.5 * (arc.radius * arc.radius * (b - a) + Vector::<F>::new(c.x, c.y).cross(chord));
                }
            }
        }
        area
    }

    fn foot(&self, p: Point<F>) -> Foot<F> {
        let least = |a: (f64, f64), b: (f64, f64)| if a.1 <= b.1 { a } else { b };
        let t = self.square_to(p, 0.0, TAU).reduce(least).map_or(0.0, |(t, _)| t);
        let (point, normal) = (self.at_parameter(t), self.normal(t));
        Foot::at(point, normal, (p - point).dot(normal), Self::wrapped(t))
    }

    fn nearest_between(&self, p: Point<F>, from: f64, to: f64) -> f64 {
        let ends = [from, to].map(|t| (t, self.at_parameter(t).distance_to(p)));
        let least = |a: (f64, f64), b: (f64, f64)| if a.1 <= b.1 { a } else { b };
        ends.into_iter().chain(self.square_to(p, from, to)).reduce(least).map_or(from, |(t, _)| t)
    }

    fn farthest_parameter(&self, u: Vector<F>) -> f64 {
        self.long.cross(u).atan2(self.long.dot(u))
    }

    fn normal_motion(&self, foot: &Foot<F>) -> Vec<f64> {
        let n = foot.normal;
        let t = foot.parameter();
        let (along, across) = (t.cos().abs(), t.sin().abs());
        let turn = (foot.point - self.centre).to_left().dot(n);
        let (a, b, r) = (self.semi_major, self.semi_minor, self.end_radius);
        // An arc with centre c and radius ρ moves outward by n·dc + dρ. An end arc has c = a − r
        // along the long axis and ρ = r. A side arc has c = b − R across it and ρ = R,
        // where R depends on a, b and r.
        let w = Self::wrapped(t);
        let j = self.joint;
        let on_side = (w > j && w < PI - j) || (w > PI + j && w < TAU - j);
        let [by_a, by_b, by_r] = if on_side {
            let (side, gap) = (self.side_radius, b - r);
            let dr = [(a - r) / gap, (b - side) / gap, (side - a) / gap];
            let kept = 1.0 - across;
            [dr[0] * kept, dr[1] * kept + across, dr[2] * kept]
        } else {
            [along, 0.0, 1.0 - along]
        };
        vec![n.x, n.y, by_a, by_b, turn, by_r]
    }

    fn parameters(&self) -> Vec<f64> {
        vec![self.centre.x, self.centre.y, self.semi_major, self.semi_minor, self.turn, self.end_radius]
    }

    fn parameter_names(&self) -> Vec<String> {
        names(&["x_m", "y_m", "semi_major_m", "semi_minor_m", "turn_rad", "end_radius_m"])
    }

    fn with_parameters(&self, parameters: &[f64]) -> Result<Self, Invalid> {
        let [x, y, a, b, turn, r] = counted("a four-arc oval", parameters)?;
        Self::from_radians(Point::new(x, y), [a, b], r, turn)
    }
}

#[cfg(test)]
mod tests {
    use super::super::contract::Test;
    use super::*;

    fn oval(axes: [f64; 2], r: f64) -> Result<FourArc<Test>, Invalid> {
        FourArc::new(Point::new(1.0, 2.0), axes, r, 30.0)
    }

    #[test]
    fn a_known_oval() {
        // A 3-4-5 triangle: the centres (30, 0) and (0, ∓40) are 50 apart,
        // so r = 25 gives R = 75, a = 55 and b = 35.
        let o = oval([55.0, 35.0], 25.0).unwrap();
        assert!((o.side_radius_m() - 75.0).abs() < 1e-12);
        let j = (40.0f64 / 30.0).atan();
        assert!((o.perimeter_m() - 4.0 * (25.0 * j + 75.0 * (FRAC_PI_2 - j))).abs() < 1e-12);
        let [end, _, side, _] = o.centres();
        assert!((end.distance_to(side) - 50.0).abs() < 1e-12);
        assert!((o.at_parameter(j).distance_to(side) - 75.0).abs() < 1e-12);
        assert!((o.curvature(j) - 1.0 / 75.0).abs() < 1e-15);
        assert!((o.arriving(j).1 - 1.0 / 25.0).abs() < 1e-15);
    }

    #[test]
    fn equal_axes_are_a_circle_whatever_the_end_radius() {
        let o = oval([50.0, 50.0], 20.0).unwrap();
        assert!((o.perimeter_m() - 100.0 * PI).abs() < 1e-10);
        assert!((o.area_m2() - 2500.0 * PI).abs() < 1e-9);
        assert!((o.foot(Point::new(1.0, 2.0)).signed_distance_m + 50.0).abs() < 1e-10);
    }

    #[test]
    fn an_end_radius_outside_its_range_is_refused() {
        for r in [0.0, -3.0, 35.0, 40.0, f64::NAN] {
            assert!(oval([55.0, 35.0], r).is_err(), "{r}");
        }
        assert!(oval([55.0, 0.0], 5.0).is_err());
        // The longer axis is the semi-major one, whichever was given first.
        assert_eq!(oval([35.0, 55.0], 25.0).unwrap().semi_major_m(), 55.0);
        assert!((oval([35.0, 55.0], 25.0).unwrap().turn_deg() - 120.0).abs() < 1e-12);
    }
}
