//! One cubic piece of a spline: its length, its area, and its nearest and farthest points.

use super::{Plane, Vector};

/// One cubic piece, c₀ + c₁u + c₂u² + c₃u³, measured from the base ellipse's centre, u from 0 to 1.
#[derive(Debug, Clone, Copy)]
pub(super) struct Span<F: Plane> {
    c: [Vector<F>; 4],
    /// Middle of its chord.
    pub(super) middle: Vector<F>,
    /// From the first end to the last.
    chord: Vector<F>,
    /// Upper bound of the distance between the piece and its chord, metres.
    sag: f64,
    /// Upper bound of the distance between a point of the piece and the chord's middle, metres.
    pub(super) radius: f64,
    /// Lower bound of the squared length of the first derivative.
    least_speed2: f64,
    /// Upper bound of the length of the second derivative.
    most_bend: f64,
    /// Length of the curve before the piece, metres.
    pub(super) arc: f64,
    /// Length of the piece, metres.
    pub(super) length: f64,
}

/// Positive nodes and their weights of Gauss–Legendre quadrature on [−1, 1], Abramowitz and
/// Stegun table 25.4, n = 8: for lengths, whose integrand is a square root.
const GAUSS_8: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362_0),
    (0.525_532_409_916_329_0, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_5),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_3),
];
/// The positive node with n = 3: exact up to degree 5, which covers an area's integrand.
const GAUSS_3: f64 = 0.774_596_669_241_483_4;
/// Steps allowed to Newton's method within a shrinking bracket; 3 or 4 are usual.
const STEPS: usize = 60;
/// A Newton step this small, in spans, leaves an error of its square, which is negligible.
const SMALL: f64 = 1e-8;
/// Parts that a span is searched in where a point may have more than one foot on it.
const PARTS: u32 = 8;

impl<F: Plane> Span<F> {
    pub(super) fn new(p: [Vector<F>; 4]) -> Self {
        let c = [
            (p[0] + p[1] * 4.0 + p[2]) * (1.0 / 6.0),
            (p[2] - p[0]) * 0.5,
            (p[0] - p[1] * 2.0 + p[2]) * 0.5,
            (p[3] - p[0] + (p[1] - p[2]) * 3.0) * (1.0 / 6.0),
        ];
        let end = (p[1] + p[2] * 4.0 + p[3]) * (1.0 / 6.0);
        let chord = end - c[0];
        // The second derivative is linear along the piece, so it is longest at an end. A curve
        // departs from its chord by at most an eighth of that length.
        let most_bend = (c[2] * 2.0).length().max((c[2] * 2.0 + c[3] * 6.0).length());
        let sag = most_bend / 8.0;
        // The first derivative is a weighted mean of the three legs of the control polygon, so
        // along the chord it is at least the least of theirs.
        let way = chord.unit().unwrap_or(Vector::new(0.0, 0.0));
        let least = (0..3).map(|i| (p[i + 1] - p[i]).dot(way)).fold(f64::INFINITY, f64::min).max(0.0);
        let mut span = Self {
            c,
            middle: c[0] + chord * 0.5,
            chord,
            sag,
            radius: 0.5 * chord.length() + sag,
            least_speed2: least * least,
            most_bend,
            arc: 0.0,
            length: 0.0,
        };
        span.length = span.length_to(1.0);
        span
    }

    pub(super) fn at(&self, u: f64) -> Vector<F> {
        self.c[0] + (self.c[1] + (self.c[2] + self.c[3] * u) * u) * u
    }

    pub(super) fn first(&self, u: f64) -> Vector<F> {
        self.c[1] + (self.c[2] * 2.0 + self.c[3] * (3.0 * u)) * u
    }

    pub(super) fn second(&self, u: f64) -> Vector<F> {
        self.c[2] * 2.0 + self.c[3] * (6.0 * u)
    }

    fn speed(&self, u: f64) -> f64 {
        let d = self.first(u);
        d.dot(d).sqrt()
    }

    /// Length from the piece's start to `u`.
    pub(super) fn length_to(&self, u: f64) -> f64 {
        let h = 0.5 * u;
        h * GAUSS_8.iter().map(|&(x, w)| w * (self.speed(h - h * x) + self.speed(h + h * x))).sum::<f64>()
    }

    /// Inverse of [`Span::length_to`], for a length within the piece.
    pub(super) fn at_length(&self, s: f64) -> f64 {
        let (mut lo, mut hi) = (0.0, 1.0);
        let mut u = s / self.length;
        for _ in 0..STEPS {
            let miss = self.length_to(u) - s;
            if miss > 0.0 {
                hi = u
            } else {
                lo = u
            }
            let next = u - miss / self.speed(u);
            if (next - u).abs() <= SMALL {
                return next.clamp(0.0, 1.0);
            }
            u = if next > lo && next < hi { next } else { 0.5 * (lo + hi) };
        }
        u
    }

    /// The swept area ½∫ S × S′ from `a` to `b`, about the base ellipse's centre.
    pub(super) fn swept(&self, a: f64, b: f64) -> f64 {
        let (m, h) = (0.5 * (a + b), 0.5 * (b - a));
        let f = |u: f64| self.at(u).cross(self.first(u));
        0.5 * h * (8.0 / 9.0 * f(m) + 5.0 / 9.0 * (f(m - h * GAUSS_3) + f(m + h * GAUSS_3)))
    }

    /// Can any point of the piece be nearer to `q` than `least`?
    pub(super) fn near(&self, q: Vector<F>, least: f64) -> bool {
        let away = q - self.middle;
        let t = (away.dot(self.chord) / self.chord.dot(self.chord)).clamp(-0.5, 0.5);
        let gap = away - self.chord * t;
        let reach = least + self.sag;
        gap.dot(gap) < reach * reach
    }

    /// Half the derivative of the squared distance to `q`, and the derivative of that.
    fn slope(&self, q: Vector<F>, u: f64) -> (f64, f64) {
        let (away, d) = (self.at(u) - q, self.first(u));
        (away.dot(d), d.dot(d) + away.dot(self.second(u)))
    }

    /// The foot in `lo..=hi`, where the slope rises through zero once.
    fn root(&self, q: Vector<F>, lo: f64, hi: f64, start: f64) -> f64 {
        let (mut lo, mut hi, mut u) = (lo, hi, start);
        for _ in 0..STEPS {
            let (slope, rise) = self.slope(q, u);
            if slope > 0.0 {
                hi = u
            } else {
                lo = u
            }
            let next = u - slope / rise;
            if (next - u).abs() <= SMALL && rise > 0.0 {
                return next.clamp(lo, hi);
            }
            u = if rise > 0.0 && next > lo && next < hi { next } else { 0.5 * (lo + hi) };
        }
        u
    }

    /// The parameter in `lo..=hi` of the nearest point to `q`, with the squared distance.
    pub(super) fn nearest(&self, q: Vector<F>, lo: f64, hi: f64) -> (f64, f64) {
        let seen = |u: f64| {
            let gap = self.at(u) - q;
            (u, gap.dot(gap))
        };
        let away = (q - self.middle).length() + self.radius;
        if away * self.most_bend < self.least_speed2 {
            // The squared distance is convex along the whole piece, so there is one foot.
            let start = (0.5 + (q - self.middle).dot(self.chord) / self.chord.dot(self.chord)).clamp(lo, hi);
            return seen(if self.slope(q, lo).0 >= 0.0 {
                lo
            } else if self.slope(q, hi).0 <= 0.0 {
                hi
            } else {
                self.root(q, lo, hi, start)
            });
        }
        let least = |a: (f64, f64), b: (f64, f64)| if a.1 <= b.1 { a } else { b };
        let mut best = least(seen(lo), seen(hi));
        let step = (hi - lo) / f64::from(PARTS);
        let mut before = self.slope(q, lo).0;
        for i in 1..=PARTS {
            let b = lo + step * f64::from(i);
            let now = self.slope(q, b).0;
            if before < 0.0 && now > 0.0 {
                best = least(best, seen(self.root(q, b - step, b, b - 0.5 * step)));
            }
            before = now;
        }
        best
    }

    /// The parameter in `lo..=hi` of the farthest point in the direction of `way`, with its reach:
    /// an end, or an extremum of the cubic.
    pub(super) fn farthest(&self, way: Vector<F>, lo: f64, hi: f64) -> (f64, f64) {
        let [_, b, c, d] = self.c.map(|v| v.dot(way));
        let reach = |u: f64| (u, self.at(u).dot(way));
        let most = |a: (f64, f64), b: (f64, f64)| if a.1 >= b.1 { a } else { b };
        let mut best = most(reach(lo), reach(hi));
        // Solves b + 2cu + 3du² = 0, in the form that keeps its digits where d is almost zero.
        let root = (c * c - 3.0 * b * d).max(0.0).sqrt();
        let sum = -(c + root.copysign(c));
        for u in [sum / (3.0 * d), b / sum] {
            if u > lo && u < hi {
                best = most(best, reach(u));
            }
        }
        best
    }
}

#[cfg(test)]
mod tests {
    use super::super::contract::ellipse;
    use super::super::spline::Spline;
    use super::*;

    #[test]
    fn lengths_hold_under_a_finer_rule() {
        let offsets: Vec<f64> = (0..64).map(|i| (f64::from(i) * 1.7).sin()).collect();
        let s = Spline::new(ellipse([83.3, 67.5], 10.0), &offsets).unwrap();
        for span in s.spans() {
            // The same rule on a sixteenth of the piece at a time.
            let h = 1.0 / 32.0;
            let fine: f64 = (0..16)
                .map(|i| {
                    let m = (f64::from(i) + 0.5) / 16.0;
                    GAUSS_8
                        .iter()
                        .map(|&(x, w)| w * (span.speed(m - h * x) + span.speed(m + h * x)))
                        .sum::<f64>()
                        * h
                })
                .sum();
            assert!((span.length - fine).abs() < 1e-9, "{} {}", span.length, fine);
        }
    }
}
