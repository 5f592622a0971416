//! An ellipse cut by a straight chord, such as an oval with a road along one side.

use std::f64::consts::TAU;

use super::curve::{ClosedCurve, counted, names};
use super::{Ellipse, Foot, Plane, Point, Vector};
use crate::numeric::sort_by;
use crate::units::{Invalid, finite, within};

/// The part of an ellipse on the inner side of a chord, closed by the chord, with a
/// true corner at either end of the chord.
///
/// Its parameter is the ellipse's eccentric angle, radians. Over the angles of the part
/// that is cut off, the parameter grows evenly along the chord.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutEllipse<F: Plane> {
    ellipse: Ellipse<F>,
    /// Direction of the chord's outward normal, radians in [0, 2π).
    direction: f64,
    outward: Vector<F>,
    /// Distance of the chord from the ellipse's centre.
    distance: f64,
    /// Eccentric angle where the kept part starts, which is the end of the chord.
    start: f64,
    /// Eccentric angle that the kept part spans; the chord has the rest of the turn.
    kept: f64,
    /// Start and end of the chord, anticlockwise.
    chord: [Point<F>; 2],
    chord_length: f64,
    arc_start: f64,
    arc_kept: f64,
}

/// A parameter within this of a corner, radians, counts as the corner. It covers the
/// rounding of a few turns, and is less than a nanometre of the line.
const AT_CORNER: f64 = 1e-12;
/// Within this of a corner, metres, the direction from the corner to a point is mere rounding.
const ON_CORNER: f64 = 1e-9;

impl<F: Plane> CutEllipse<F> {
    /// A cut ellipse from the whole ellipse, the direction of the chord's outward normal in degrees
    /// counter-clockwise from +x, and the chord's distance from the ellipse's centre.
    ///
    /// # Errors
    /// [`Invalid`] when a number is not finite, or the chord is not between the centre
    /// and the curve: it misses the ellipse, or cuts off more than half of it.
    pub fn new(ellipse: Ellipse<F>, normal_deg: f64, distance_m: f64) -> Result<Self, Invalid> {
        Self::from_radians(ellipse, finite("direction of the cut", normal_deg)?.to_radians(), distance_m)
    }

    fn from_radians(ellipse: Ellipse<F>, direction: f64, distance_m: f64) -> Result<Self, Invalid> {
        let wrapped = finite("direction of the cut", direction)?.rem_euclid(TAU);
        let direction = if wrapped >= TAU { 0.0 } else { wrapped };
        let outward = Vector::at_angle(direction);
        let reach = ellipse.support_m(outward);
        // A chord nearer to the curve than this is shorter than a centimetre.
        let distance = within("distance of the cut", distance_m, 0.0, reach * (1.0 - 1e-9))?;
        // Along the outward normal, the ellipse's coordinate is reach·cos(t − t₀).
        let half = (distance / reach).acos();
        let start = (ellipse.farthest_parameter(outward) + half).rem_euclid(TAU);
        let kept = TAU - 2.0 * half;
        let chord = [ellipse.at_parameter(start + kept), ellipse.at_parameter(start)];
        let arc_start = ellipse.arc(start);
        Ok(Self {
            ellipse,
            direction,
            outward,
            distance,
            start,
            kept,
            chord,
            chord_length: chord[0].distance_to(chord[1]),
            arc_start,
            arc_kept: ellipse.arc(start + kept) - arc_start,
        })
    }

    /// The whole ellipse.
    #[must_use]
    pub fn ellipse(&self) -> &Ellipse<F> {
        &self.ellipse
    }

    /// Direction of the chord's outward normal, degrees counter-clockwise from +x, in [0, 360).
    #[must_use]
    pub fn normal_deg(&self) -> f64 {
        self.direction.to_degrees()
    }

    /// Distance of the chord from the ellipse's centre, metres.
    #[must_use]
    pub fn distance_m(&self) -> f64 {
        self.distance
    }

    /// The chord's two ends, which are the corners, in anticlockwise order.
    #[must_use]
    pub fn chord(&self) -> [Point<F>; 2] {
        self.chord
    }

    /// How far a parameter lies past the start of the kept part, radians in [0, 2π).
    fn past_start(&self, t: f64) -> f64 {
        let w = (t - self.start).rem_euclid(TAU);
        if w >= TAU { 0.0 } else { w }
    }

    /// Parameter where the chord starts, in [0, 2π).
    fn chord_start(&self) -> f64 {
        (self.start + self.kept).rem_euclid(TAU)
    }

    /// Does the parameter that lies `past` radians after the start lie on the chord?
    fn on_chord(&self, past: f64) -> bool {
        past >= self.kept
    }

    fn chord_share(&self, past: f64) -> f64 {
        (past - self.kept) / (TAU - self.kept)
    }

    /// Derivative and curvature at a parameter, on the piece that holds `t + bias`.
    fn beside(&self, t: f64, bias: f64) -> (Vector<F>, f64) {
        if self.on_chord(self.past_start(t + bias)) {
            ((self.chord[1] - self.chord[0]) * (1.0 / (TAU - self.kept)), 0.0)
        } else {
            (self.ellipse.derivative(t), self.ellipse.curvature(t))
        }
    }

    /// The foot of `p` at the chord's start (0) or end (1).
    fn corner_foot(&self, which: usize, p: Point<F>) -> Foot<F> {
        let point = self.chord[which];
        let t = if which == 0 { self.chord_start() } else { self.start };
        let d = self.ellipse.derivative(t);
        let of_ellipse = d.to_right() * (1.0 / d.length());
        let between = of_ellipse + self.outward;
        let away = p - point;
        let distance = away.length();
        // The corner points outward, so it is the nearest point only for points outside.
        match away.unit() {
            Some(normal) if distance > ON_CORNER => Foot::at(point, normal, distance, t),
            _ => {
                let normal = between.unit().unwrap_or(self.outward);
                Foot::at(point, normal, away.dot(normal), t)
            }
        }
    }
}

impl<F: Plane> ClosedCurve<F> for CutEllipse<F> {
    fn period(&self) -> f64 {
        TAU
    }

    fn at_parameter(&self, t: f64) -> Point<F> {
        let past = self.past_start(t);
        if self.on_chord(past) {
            self.chord[0] + (self.chord[1] - self.chord[0]) * self.chord_share(past)
        } else {
            self.ellipse.at_parameter(t)
        }
    }

    fn derivative(&self, t: f64) -> Vector<F> {
        self.beside(t, AT_CORNER).0
    }

    fn curvature(&self, t: f64) -> f64 {
        self.beside(t, AT_CORNER).1
    }

    fn arriving(&self, t: f64) -> (Vector<F>, f64) {
        self.beside(t, -AT_CORNER)
    }

    fn corners(&self) -> Vec<f64> {
        vec![self.start, self.chord_start()]
    }

    fn arc(&self, t: f64) -> f64 {
        let past = self.past_start(t);
        let laps = ((t - self.start - past) / TAU).round();
        let within = if self.on_chord(past) {
            self.arc_kept + self.chord_length * self.chord_share(past)
        } else {
            self.ellipse.arc(self.start + past) - self.arc_start
        };
        laps * self.perimeter_m() + within
    }

    fn parameter_at_arc(&self, s: f64) -> f64 {
        let around = self.perimeter_m();
        let laps = (s / around).floor();
        let left = s - laps * around;
        let past = if left < self.arc_kept {
            self.ellipse.parameter_at_arc(self.arc_start + left) - self.start
        } else {
            self.kept + (left - self.arc_kept) / self.chord_length * (TAU - self.kept)
        };
        self.start + past + laps * TAU
    }

    fn perimeter_m(&self) -> f64 {
        self.arc_kept + self.chord_length
    }

    /// The ellipse less the segment that is cut off: a circle's segment, stretched by both semi-axes.
    fn area_m2(&self) -> f64 {
        let cut = TAU - self.kept;
        let product = self.ellipse.semi_major_m() * self.ellipse.semi_minor_m();
        self.ellipse.area_m2() - 0.5 * product * (cut - cut.sin())
    }

    fn swept_area(&self, from: f64, to: f64) -> f64 {
        let mut area = 0.0;
        let first = ((from - self.start) / TAU).floor();
        // A part of up to one lap touches two laps at most.
        let laps = (((to - self.start) / TAU).floor() - first).clamp(0.0, 1e6) as u32;
        for lap in 0..=laps {
            let base = self.start + (first + f64::from(lap)) * TAU;
            let (a, b) = (base.max(from), (base + self.kept).min(to));
            if b > a {
                area += ClosedCurve::swept_area(&self.ellipse, a, b);
            }
            let (a, b) = ((base + self.kept).max(from), (base + TAU).min(to));
            if b > a {
                let on_chord = |t: f64| {
                    self.chord[0]
                        + (self.chord[1] - self.chord[0])
                            * ((t - base - self.kept) / (TAU - self.kept)).clamp(0.0, 1.0)
                };
                let (p, q) = (on_chord(a), on_chord(b));
                area += 0.5 * (p.x * q.y - p.y * q.x);
            }
        }
        area
    }

    /// The nearer of two points: the foot on the whole ellipse,
    /// if it was not cut off, and the foot on the chord.
    ///
    /// No other point of the kept arc can be nearest. From inside, where the ellipse's
    /// foot was cut off, the line to it crosses the chord, so the chord is nearer than
    /// all of the ellipse. From outside, a convex set has exactly one nearest point.
    fn foot(&self, p: Point<F>) -> Foot<F> {
        let along = (self.chord[1] - self.chord[0]) * (1.0 / self.chord_length);
        let s = (p - self.chord[0]).dot(along);
        let chord = if s <= 0.0 {
            self.corner_foot(0, p)
        } else if s >= self.chord_length {
            self.corner_foot(1, p)
        } else {
            let t = (self.start + self.kept + s / self.chord_length * (TAU - self.kept)).rem_euclid(TAU);
            let out = (p - self.chord[0]).dot(self.outward);
            Foot::at(self.chord[0] + along * s, self.outward, out, t)
        };
        let whole = self.ellipse.foot(p);
        let t = whole.parameter().rem_euclid(TAU);
        let kept = !self.on_chord(self.past_start(t));
        if kept && whole.signed_distance_m.abs() <= p.distance_to(chord.point) {
            Foot::at(whole.point, whole.normal, whole.signed_distance_m, t)
        } else {
            chord
        }
    }

    fn nearest_between(&self, p: Point<F>, from: f64, to: f64) -> f64 {
        // Each smooth piece is scanned by itself: at a corner the distance has a kink.
        let mut cuts = vec![from];
        for corner in self.corners() {
            let t = from + (corner - from).rem_euclid(TAU);
            if t < to {
                cuts.push(t);
            }
        }
        cuts.push(to);
        sort_by(&mut cuts, f64::total_cmp);
        let distance = |t: f64| self.at_parameter(t).distance_to(p);
        cuts.windows(2)
            .map(|w| super::curve::nearest_by_scan(w[0], w[1], distance))
            .reduce(|a, b| if distance(a) <= distance(b) { a } else { b })
            .unwrap_or(from)
    }

    fn farthest_parameter(&self, u: Vector<F>) -> f64 {
        let t = self.ellipse.farthest_parameter(u);
        if !self.on_chord(self.past_start(t)) {
            return t;
        }
        let reach = |i: usize| (self.chord[i] - self.ellipse.centre()).dot(u);
        if reach(0) >= reach(1) { self.start + self.kept } else { self.start }
    }

    fn normal_motion(&self, foot: &Foot<F>) -> Vec<f64> {
        let (n, t) = (foot.normal, foot.parameter());
        let away = foot.point - self.ellipse.centre();
        // How far the chord moves along its own normal, by each parameter of h − n₀·(p − c),
        // with its distance h and normal n₀.
        let o = self.outward;
        let of_chord = [o.x, o.y, 0.0, 0.0, 0.0, -o.to_left().dot(away), 1.0];
        // How far the ellipse moves along its own normal.
        let d = self.ellipse.derivative(t);
        let e = d.to_right() * (1.0 / d.length());
        let ((s, c), long) = (t.sin_cos(), self.ellipse.long());
        let of_ellipse = [e.x, e.y, c * long.dot(e), s * long.cross(e), away.to_left().dot(e), 0.0, 0.0];
        let past = self.past_start(t);
        let at_corner = past < AT_CORNER || (past - self.kept).abs() < AT_CORNER || TAU - past < AT_CORNER;
        if at_corner {
            // The corner stays on both curves: with n = α e + β o it moves by α times the ellipse's
            // motion plus β times the chord's.
            let det = e.cross(o);
            let (alpha, beta) = (n.cross(o) / det, e.cross(n) / det);
            of_ellipse.iter().zip(of_chord).map(|(x, y)| alpha * x + beta * y).collect()
        } else if self.on_chord(past) {
            of_chord.to_vec()
        } else {
            of_ellipse.to_vec()
        }
    }

    fn parameters(&self) -> Vec<f64> {
        let mut all = ClosedCurve::parameters(&self.ellipse);
        all.extend([self.direction, self.distance]);
        all
    }

    fn parameter_names(&self) -> Vec<String> {
        names(&["x_m", "y_m", "semi_major_m", "semi_minor_m", "turn_rad", "cut_normal_rad", "cut_distance_m"])
    }

    fn with_parameters(&self, parameters: &[f64]) -> Result<Self, Invalid> {
        let [x, y, a, b, turn, direction, distance] = counted("a cut ellipse", parameters)?;
        Self::from_radians(Ellipse::from_radians(Point::new(x, y), [a, b], turn)?, direction, distance)
    }
}

#[cfg(test)]
mod tests {
    use super::super::contract::{Test, ellipse};
    use super::*;

    #[test]
    fn a_cut_circle_has_closed_forms() {
        let circle: Ellipse<Test> = Ellipse::new(Point::new(5.0, 1.0), [50.0, 50.0], 0.0).unwrap();
        // A chord at 30 m from the centre of a circle of 50 m: half of it is 40 m.
        let c = CutEllipse::new(circle, 90.0, 30.0).unwrap();
        let [first, last] = c.chord();
        assert!(first.distance_to(Point::new(45.0, 31.0)) < 1e-12);
        assert!(last.distance_to(Point::new(-35.0, 31.0)) < 1e-12);
        let half = 0.6f64.acos();
        assert!((c.perimeter_m() - (80.0 + 50.0 * (TAU - 2.0 * half))).abs() < 1e-10);
        let segment = 2500.0 * half - 30.0 * 40.0;
        assert!((c.area_m2() - (2500.0 * std::f64::consts::PI - segment)).abs() < 1e-9);
    }

    #[test]
    fn a_corner_is_the_foot_of_a_whole_wedge() {
        let c = CutEllipse::new(ellipse([83.3, 67.5], 33.0), 123.0, 60.0).unwrap();
        for (corner, t) in c.chord().into_iter().zip([c.start + c.kept, c.start]) {
            let (before, after) = (c.arriving(t).0.to_right().unit().unwrap(), c.normal(t));
            for share in [0.05, 0.5, 0.95] {
                let way = (before * (1.0 - share) + after * share).unit().unwrap();
                let foot = c.foot(corner + way * 4.0);
                assert!(foot.point.distance_to(corner) < 1e-12);
                assert!((foot.signed_distance_m - 4.0).abs() < 1e-12);
                assert!((foot.normal - way).length() < 1e-12);
            }
            let on = c.foot(corner);
            assert!(on.signed_distance_m.abs() < 1e-12 && on.normal.dot(before) > 0.5);
        }
    }

    #[test]
    fn directions_at_a_corner_are_those_of_either_piece() {
        let c = CutEllipse::new(ellipse([83.3, 67.5], 33.0), 123.0, 60.0).unwrap();
        let [first, last] = c.chord();
        let along = (last - first).unit().unwrap();
        let (start, end) = (c.start + c.kept, c.start + TAU);
        assert!((c.tangent(start) - along).length() < 1e-12 && c.curvature(start) == 0.0);
        assert!((c.arriving(end).0.unit().unwrap() - along).length() < 1e-12);
        assert!(c.arriving(start).1 > 0.0 && c.curvature(end) > 0.0);
    }

    #[test]
    fn a_chord_that_misses_is_refused() {
        let e = ellipse([83.3, 67.5], 0.0);
        assert!(CutEllipse::new(e, 90.0, 67.6).is_err());
        assert!(CutEllipse::new(e, 90.0, 67.5).is_err());
        assert!(CutEllipse::new(e, 90.0, -1.0).is_err());
        assert!(CutEllipse::new(e, f64::NAN, 60.0).is_err());
        assert!(CutEllipse::new(e, 90.0, 67.4).is_ok());
    }
}
