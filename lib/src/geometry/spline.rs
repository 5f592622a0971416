//! A freeform oval: a periodic uniform cubic B-spline, given by offsets from a base ellipse.
//!
//! It is C², so tangent and curvature are continuous. Where four control points in a row
//! are collinear, a piece of the curve is exactly straight. It has no corners: an oval
//! that a fence cuts off is a [`CutEllipse`](super::CutEllipse).

use std::f64::consts::TAU;
use std::sync::Arc;

use super::curve::ClosedCurve;
use super::span::Span;
use super::{Ellipse, Foot, Plane, Point, Vector};
use crate::units::{Invalid, finite, within};

/// A periodic uniform cubic B-spline whose control points are those of the base
/// ellipse, each moved along the ellipse's outward normal by an offset.
///
/// The control points lie at equal steps of the base's *eccentric angle* from the
/// end of its long axis. At those the control polygon that interpolates an ellipse has
/// a closed form, and the spans are shortest where an oval bends most. With 64 offsets
/// of zero the curve is within 0.03 mm of the base.
///
/// The curve's parameter counts spans, from 0 to the number of offsets; at a whole
/// number k the curve is next to control point k. An adjustment may change only the
/// offsets: the base is fixed.
#[derive(Debug, Clone)]
pub struct Spline<F: Plane> {
    base: Ellipse<F>,
    made: Arc<Made<F>>,
}

/// What is computed from the base and the offsets; clones share it.
#[derive(Debug)]
struct Made<F: Plane> {
    offsets: Vec<f64>,
    /// The base's outward normals that the control points move along.
    normals: Vec<Vector<F>>,
    /// Control points, from the base's centre.
    controls: Vec<Vector<F>>,
    spans: Vec<Span<F>>,
    /// For each span a disc that contains it. They are stored apart,
    /// because every search runs over all of them.
    discs: Vec<Disc<F>>,
    perimeter: f64,
}

#[derive(Debug, Clone, Copy)]
struct Disc<F: Plane> {
    middle: Vector<F>,
    radius: f64,
}

impl<F: Plane> PartialEq for Spline<F> {
    fn eq(&self, other: &Self) -> bool {
        self.base == other.base && self.made.offsets == other.made.offsets
    }
}

impl<F: Plane> Spline<F> {
    /// The default number of offsets of a freeform oval: a control point every 7 m or so.
    pub const OFFSETS: usize = 64;

    /// A spline from its base and the offsets, metres outward, in equal steps of the
    /// base's eccentric angle from the end of its long axis.
    ///
    /// # Errors
    /// [`Invalid`] when the number of offsets is odd or not within 8 to 512, one is not
    /// finite, or the control polygon turns back, seen from the base's centre, or turns by
    /// a right angle or more at one point. Without such turns the polygon runs round the
    /// centre once, and so does the curve.
    pub fn new(base: Ellipse<F>, offsets_m: &[f64]) -> Result<Self, Invalid> {
        let k = offsets_m.len();
        within("number of offsets", k as f64, 8.0, 512.0)?;
        if !k.is_multiple_of(2) {
            // A base turned by half a turn is the same ellipse, so its control points must coincide too.
            return Err(Invalid::Impossible { what: "the number of a freeform's offsets is odd" });
        }
        for d in offsets_m {
            finite("offset", *d)?;
        }
        let step = TAU / k as f64;
        // At equal steps of angle, the control polygon that interpolates a circle is the
        // circle's points times 3/(2 + cos step), and an ellipse is a stretched circle.
        let out = 3.0 / (2.0 + step.cos());
        let (a, b) = (base.semi_major_m(), base.semi_minor_m());
        let angles = (0..k).map(|i| (step * i as f64).sin_cos());
        let normals: Vec<Vector<F>> = angles
            .clone()
            .map(|(s, c)| {
                let n = base.plane_step(b * c, a * s);
                n * (1.0 / n.length())
            })
            .collect();
        let controls: Vec<Vector<F>> = angles
            .zip(&normals)
            .zip(offsets_m)
            .map(|(((s, c), n), d)| base.plane_step(out * a * c, out * b * s) + *n * *d)
            .collect();
        let at = |i: usize| controls[i % k];
        for i in 0..k {
            let (before, after) = (at(i + 1) - at(i), at(i + 2) - at(i + 1));
            // A line through the centre meets the curve no more often than it meets the polygon.
            // So where the polygon runs round once, the curve does too. With turns of less than
            // a right angle, the curve's derivative is never zero.
            if at(i).cross(at(i + 1)) <= 0.0 || before.dot(after) <= 0.0 {
                return Err(Invalid::Impossible { what: "a freeform's offsets make it turn back on itself" });
            }
        }
        let mut perimeter = 0.0;
        let spans: Vec<Span<F>> = (0..k)
            .map(|i| {
                let mut span = Span::new([at(i + k - 1), at(i), at(i + 1), at(i + 2)]);
                span.arc = perimeter;
                perimeter += span.length;
                span
            })
            .collect();
        let discs = spans.iter().map(|s| Disc { middle: s.middle, radius: s.radius }).collect();
        let offsets = offsets_m.to_vec();
        Ok(Self { base, made: Arc::new(Made { offsets, normals, controls, spans, discs, perimeter }) })
    }

    /// The base ellipse.
    #[must_use]
    pub fn base(&self) -> &Ellipse<F> {
        &self.base
    }

    /// The offsets, metres outward.
    #[must_use]
    pub fn offsets_m(&self) -> &[f64] {
        &self.made.offsets
    }

    /// The control points, those of a standard periodic uniform cubic B-spline.
    #[must_use]
    pub fn control_points(&self) -> Vec<Point<F>> {
        self.made.controls.iter().map(|&c| self.base.centre() + c).collect()
    }

    /// The base's outward unit normals that the control points move along.
    #[must_use]
    pub fn control_normals(&self) -> &[Vector<F>] {
        &self.made.normals
    }

    /// A parameter as whole laps, the index of the span, and the parameter within the span.
    fn place(&self, t: f64) -> (f64, usize, f64) {
        let k = self.made.spans.len();
        let laps = (t / k as f64).floor();
        let within = (t - laps * k as f64).max(0.0);
        let i = (within as usize).min(k - 1);
        (laps, i, within - i as f64)
    }

    #[cfg(test)]
    pub(super) fn spans(&self) -> &[Span<F>] {
        &self.made.spans
    }

    fn span(&self, t: f64) -> (&Span<F>, f64) {
        let (_, i, u) = self.place(t);
        (&self.made.spans[i], u)
    }

    /// The spans of `from..=to`: each with the parameter where it starts, and the ends of the part within it.
    fn pieces(&self, from: f64, to: f64) -> impl Iterator<Item = (&Span<F>, f64, f64, f64)> {
        let spans = &self.made.spans;
        let first = from.floor();
        // Two laps cover any part of a lap, wherever it starts.
        let count = (to.ceil() - first).clamp(1.0, 2.0 * spans.len() as f64) as usize;
        let index = (first.rem_euclid(spans.len() as f64) as usize).min(spans.len() - 1);
        let laps = spans[index..].iter().chain(spans).chain(spans);
        laps.take(count).enumerate().map(move |(i, span)| {
            let start = first + i as f64;
            (span, start, (from - start).clamp(0.0, 1.0), (to - start).clamp(0.0, 1.0))
        })
    }

    /// Weights of control points `i − 1` to `i + 2` at `u` along span `i`.
    fn weights(u: f64) -> [f64; 4] {
        let v = 1.0 - u;
        [
            v * v * v / 6.0,
            (4.0 + u * u * (3.0 * u - 6.0)) / 6.0,
            (4.0 + v * v * (3.0 * v - 6.0)) / 6.0,
            u * u * u / 6.0,
        ]
    }

    /// The four control points that determine the curve at a parameter, with their weights.
    #[must_use]
    pub fn basis(&self, t: f64) -> [(usize, f64); 4] {
        let (_, i, u) = self.place(t);
        let k = self.made.spans.len();
        let w = Self::weights(u);
        [0, 1, 2, 3].map(|j| ((i + k + j - 1) % k, w[j]))
    }
}

impl<F: Plane> ClosedCurve<F> for Spline<F> {
    fn period(&self) -> f64 {
        self.made.spans.len() as f64
    }

    fn at_parameter(&self, t: f64) -> Point<F> {
        let (span, u) = self.span(t);
        self.base.centre() + span.at(u)
    }

    fn derivative(&self, t: f64) -> Vector<F> {
        let (span, u) = self.span(t);
        span.first(u)
    }

    fn curvature(&self, t: f64) -> f64 {
        self.at_once(t).2
    }

    fn at_once(&self, t: f64) -> (Point<F>, Vector<F>, f64) {
        let (span, u) = self.span(t);
        let d = span.first(u);
        let speed2 = d.dot(d);
        let curvature = d.cross(span.second(u)) / (speed2 * speed2.sqrt());
        (self.base.centre() + span.at(u), d, curvature)
    }

    fn arc(&self, t: f64) -> f64 {
        let (laps, i, u) = self.place(t);
        let span = &self.made.spans[i];
        laps * self.made.perimeter + span.arc + span.length_to(u)
    }

    fn parameter_at_arc(&self, s: f64) -> f64 {
        let (spans, around) = (&self.made.spans, self.made.perimeter);
        let laps = (s / around).floor();
        let left = s - laps * around;
        let i = spans.partition_point(|span| span.arc <= left).saturating_sub(1);
        let u = spans[i].at_length((left - spans[i].arc).clamp(0.0, spans[i].length));
        laps * spans.len() as f64 + i as f64 + u
    }

    fn perimeter_m(&self) -> f64 {
        self.made.perimeter
    }

    fn area_m2(&self) -> f64 {
        self.made.spans.iter().map(|span| span.swept(0.0, 1.0)).sum()
    }

    fn swept_area(&self, from: f64, to: f64) -> f64 {
        let about_centre: f64 = self.pieces(from, to).map(|(span, _, a, b)| span.swept(a, b)).sum();
        let c = self.base.centre();
        let chord = self.at_parameter(to) - self.at_parameter(from);
        about_centre + 0.5 * Vector::new(c.x, c.y).cross(chord)
    }

    fn foot(&self, p: Point<F>) -> Foot<F> {
        let t = self.nearest_whole(p - self.base.centre());
        let (span, u) = self.span(t);
        let (point, d) = (self.base.centre() + span.at(u), span.first(u).to_right());
        let normal = d * (1.0 / d.dot(d).sqrt());
        Foot::at(point, normal, (p - point).dot(normal), if t >= self.period() { 0.0 } else { t })
    }

    fn nearest_between(&self, p: Point<F>, from: f64, to: f64) -> f64 {
        let q = p - self.base.centre();
        let mut best = (from, f64::INFINITY);
        for (span, start, a, b) in self.pieces(from, to) {
            if span.near(q, best.1.sqrt()) {
                look(span, start, q, a, b, &mut best);
            }
        }
        best.0
    }

    fn farthest_parameter(&self, u: Vector<F>) -> f64 {
        self.farthest_in(u, 0.0, self.period())
    }

    fn farthest_between(&self, u: Vector<F>, from: f64, to: f64) -> Point<F> {
        self.at_parameter(self.farthest_in(u, from, to))
    }

    fn is_convex(&self) -> bool {
        false
    }

    fn normal_motion(&self, foot: &Foot<F>) -> Vec<f64> {
        let mut motion = vec![0.0; self.made.offsets.len()];
        for (i, weight) in self.basis(foot.parameter()) {
            motion[i] += weight * self.made.normals[i].dot(foot.normal);
        }
        motion
    }

    fn parameters(&self) -> Vec<f64> {
        self.made.offsets.clone()
    }

    fn parameter_names(&self) -> Vec<String> {
        (0..self.made.offsets.len()).map(|i| format!("offset_{i}_m")).collect()
    }

    fn with_parameters(&self, parameters: &[f64]) -> Result<Self, Invalid> {
        let want = self.made.offsets.len();
        if parameters.len() != want {
            return Err(Invalid::WrongCount { what: "a freeform's offsets", got: parameters.len(), want });
        }
        Self::new(self.base, parameters)
    }
}

/// Updates `best` (parameter and squared distance) if a span that starts at `start`
/// comes nearer to `q` within its part `a..=b`.
fn look<F: Plane>(span: &Span<F>, start: f64, q: Vector<F>, a: f64, b: f64, best: &mut (f64, f64)) {
    let (u, d2) = span.nearest(q, a, b);
    if d2 < best.1 {
        *best = (start + u, d2);
    }
}

impl<F: Plane> Spline<F> {
    /// Parameter of the nearest point of the whole curve to `q`. It searches the span with
    /// the nearest middle first, then every other span that may hold a nearer point.
    fn nearest_whole(&self, q: Vector<F>) -> f64 {
        let made = &*self.made;
        let distance2 = |disc: &Disc<F>| {
            let gap = q - disc.middle;
            gap.dot(gap)
        };
        let mut first = (0, f64::INFINITY);
        for (i, disc) in made.discs.iter().enumerate() {
            let far = distance2(disc);
            if far < first.1 {
                first = (i, far);
            }
        }
        let mut best = (0.0, f64::INFINITY);
        look(&made.spans[first.0], first.0 as f64, q, 0.0, 1.0, &mut best);
        let mut least = best.1.sqrt();
        for (i, disc) in made.discs.iter().enumerate() {
            let reach = least + disc.radius;
            if distance2(disc) < reach * reach && i != first.0 && made.spans[i].near(q, least) {
                look(&made.spans[i], i as f64, q, 0.0, 1.0, &mut best);
                least = best.1.sqrt();
            }
        }
        best.0
    }

    fn farthest_in(&self, way: Vector<F>, from: f64, to: f64) -> f64 {
        let mut best = (from, f64::NEG_INFINITY);
        let size = way.length();
        for (span, start, a, b) in self.pieces(from, to) {
            if span.middle.dot(way) + span.radius * size > best.1 {
                let (u, reach) = span.farthest(way, a, b);
                if reach > best.1 {
                    best = (start + u, reach);
                }
            }
        }
        best.0
    }
}

#[cfg(test)]
mod tests {
    use super::super::contract::{Test, ellipse, straightened};
    use super::*;

    #[test]
    fn no_offsets_give_the_base() {
        for axes in [[83.3, 67.5], [92.0, 55.0], [70.0, 70.0]] {
            let base = ellipse(axes, 25.0);
            let s = Spline::new(base, &[0.0; Spline::<Test>::OFFSETS]).unwrap();
            for i in 0..1000 {
                let p = s.at_parameter(0.064 * f64::from(i));
                assert!(base.foot(p).signed_distance_m.abs() < 1e-4);
            }
            assert!((s.perimeter_m() - base.perimeter_m()).abs() < 1e-3);
            // At the knots the curve meets the base.
            let knot = base.at_parameter(TAU / 64.0 * 5.0);
            assert!(s.at_parameter(5.0).distance_to(knot) < 1e-12);
        }
    }

    #[test]
    fn four_control_points_in_line_make_a_straight() {
        let base = ellipse([83.3, 67.5], 0.0);
        let mut offsets = vec![0.0; 64];
        straightened(base, &mut offsets, 11..=21);
        let s = Spline::new(base, &offsets).unwrap();
        // Points 11 to 21 determine the spans from parameter 12 to 20.
        assert!(s.at_parameter(12.0).distance_to(s.at_parameter(20.0)) > 60.0);
        let along = s.tangent(12.0);
        for i in 0..=80 {
            let t = 12.0 + 0.1 * f64::from(i);
            // Straight to the rounding of 100 m.
            assert!((s.at_parameter(t) - s.at_parameter(12.0)).cross(along).abs() < 1e-11);
            assert!(s.curvature(t).abs() < 1e-12);
        }
        assert!(s.curvature(8.0) > 1e-3);
    }

    #[test]
    fn curvature_is_continuous_at_the_knots() {
        let offsets: Vec<f64> = (0..64).map(|i| (f64::from(i) * 1.7).sin()).collect();
        let s = Spline::new(ellipse([83.3, 67.5], 10.0), &offsets).unwrap();
        for i in 1..64 {
            let t = f64::from(i);
            // The third derivative is about 1 m, and the samples are 1e-9 of a span either side.
            assert!((s.curvature(t - 1e-9) - s.curvature(t + 1e-9)).abs() < 1e-8);
        }
        assert!((s.curvature(0.0) - s.curvature(64.0 - 1e-9)).abs() < 1e-8);
    }

    #[test]
    fn offsets_that_make_no_oval_are_refused() {
        let base = ellipse([83.3, 67.5], 0.0);
        let mut spike = vec![0.0; 64];
        spike[9] = 40.0;
        for offsets in [vec![0.0; 7], vec![0.0; 9], vec![0.0; 6], vec![0.0; 514], vec![f64::NAN; 64], spike] {
            assert!(Spline::new(base, &offsets).is_err(), "{}", offsets.len());
        }
        assert!(Spline::new(base, &[0.0; 8]).is_ok());
    }

    #[test]
    fn the_basis_sums_to_one() {
        let s = Spline::new(ellipse([83.3, 67.5], 0.0), &[0.0; 16]).unwrap();
        for i in 0..100 {
            let sum: f64 = s.basis(0.16 * f64::from(i)).iter().map(|b| b.1).sum();
            assert!((sum - 1.0).abs() < 1e-14);
        }
        assert_eq!(s.basis(0.0)[0].0, 15);
    }
}
