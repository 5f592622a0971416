//! Parts of the line that were not surveyed, and how well the line is known there.
//!
//! The fitted curve continues over a gap, but its own ± does not allow for what may lie there. The line may
//! depart from the curve as much as lines of real grounds do. This is modelled by the Gaussian process of a
//! freeform line (see [`Smooth`](super::form::Smooth)) with offsets of typical size, under the condition that
//! it is 0 at the nearest points on either side of the gap.

use nalgebra::{DMatrix, DVector};

use super::kinds::OFFSETS_M;
use crate::boundary::{Boundary, Outline, Side, Spread};
use crate::frame::Local;
use crate::geometry::{ClosedCurve as _, Point};
use crate::units::Measured;

/// A stretch without points counts as a gap from this length on, m (common practice, no source).
const LEAST_M: f64 = 20.0;
/// A gap must also be this many times as long as the survey's usual step.
const TIMES: f64 = 3.0;
/// Correlation length of departures along the line, m.
const LENGTH_M: f64 = 30.0;
/// Number of intervals in the search for a line's farthest place from the goal axis, about 1 m each.
const WIDEST: u32 = 200;
/// Number of points on each side of a gap at which the line is taken to be known.
const HOLDING: usize = 4;

/// A part of a boundary line without points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unsurveyed {
    /// Its length along the line, m.
    pub length_m: f64,
    /// Its middle.
    pub middle: Point<Local>,
    /// Bearing from the curve's centre to its middle, degrees.
    pub bearing_deg: f64,
    /// Standard deviation of the line at the middle, square to it, m.
    pub sd_m: f64,
}

impl Unsurveyed {
    /// How far off the line may be there, m, about nought, where the spread's intervals are so many times
    /// its standard deviations.
    #[must_use]
    pub fn off_line(&self, ratio: f64) -> Option<Measured> {
        Measured::new(0.0, self.sd_m, ratio * self.sd_m).ok()
    }
}

/// A gap on one line, by the distance along it from its first post.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    pub(super) side: Side,
    from: f64,
    to: f64,
    /// The survey's usual step.
    step: f64,
}

impl Stretch {
    /// Variance of the line about the curve at a place of the stretch, m²; zero outside it.
    pub(super) fn variance_at(&self, s: f64) -> f64 {
        if s <= self.from || s >= self.to {
            return 0.0;
        }
        let places: Vec<f64> = (0..HOLDING)
            .flat_map(|i| {
                let back = self.step * i as f64;
                [self.from - back, self.to + back]
            })
            .collect();
        let together = |d: f64| {
            let x = 3f64.sqrt() * d.abs() / LENGTH_M;
            (1.0 + x) * (-x).exp()
        };
        let n = places.len();
        // A little variance is added at each point, so that the matrix stays invertible where points are
        // close.
        let k =
            DMatrix::from_fn(n, n, |i, j| together(places[i] - places[j]) + if i == j { 1e-6 } else { 0.0 });
        let to = DVector::from_fn(n, |i, _| together(places[i] - s));
        let held = k.cholesky().map_or(0.0, |k| to.dot(&k.solve(&to)));
        OFFSETS_M.0.powi(2) * (1.0 - held).max(0.0)
    }
}

/// Gaps in both boundary lines between `points`. Points on the goal lines must not be among them.
pub(super) fn stretches(outline: &Outline, boundary: &Boundary, points: &[Point<Local>]) -> Vec<Stretch> {
    let mut found = Vec::new();
    let mut places = [Vec::new(), Vec::new()];
    for p in points {
        let near = boundary.nearest(outline.plan().to_ground(*p));
        let first = crate::boundary::End::A;
        let s =
            boundary.to_post_m(near.chainage_m, if near.side == Side::Left { first } else { first.other() });
        places[usize::from(near.side == Side::Right)].extend(s);
    }
    places.iter_mut().for_each(|list| list.sort_by(f64::total_cmp));
    let mut steps: Vec<f64> = places.iter().flat_map(|list| list.windows(2).map(|w| w[1] - w[0])).collect();
    steps.sort_by(f64::total_cmp);
    let usual = steps.get(steps.len() / 2).copied().unwrap_or(0.0);
    for (side, list) in Side::BOTH.into_iter().zip(&places) {
        let length = boundary.line_length_m(side);
        let ends = [0.0].into_iter().chain(list.iter().copied()).chain([length]).collect::<Vec<f64>>();
        for pair in ends.windows(2) {
            if pair[1] - pair[0] > LEAST_M.max(TIMES * usual) {
                found.push(Stretch { side, from: pair[0], to: pair[1], step: usual.max(1.0) });
            }
        }
    }
    found
}

/// The gaps as a report shows them. Their standard deviations include the curve's own uncertainty at the
/// middle.
pub(super) fn unsurveyed(
    outline: &Outline,
    boundary: &Boundary,
    spread: &Spread,
    found: &[Stretch],
) -> Vec<Unsurveyed> {
    let pairs = spread.pairs(outline).unwrap_or_default();
    let centre = outline.shape().centre();
    found
        .iter()
        .map(|s| {
            let half = 0.5 * (s.from + s.to);
            let first = crate::boundary::End::A;
            let end = if s.side == Side::Left { first } else { first.other() };
            let at = boundary.at(boundary.chainage_from_post_m(s.side, end, half));
            let middle = outline.plan().to_local(at.point);
            let own: f64 = pairs
                .iter()
                .map(|(hi, lo)| {
                    let of = |o: &Outline| o.shape().foot(middle).signed_distance_m;
                    (0.5 * (of(hi) - of(lo))).powi(2)
                })
                .sum();
            let v = middle - centre;
            Unsurveyed {
                length_m: s.to - s.from,
                middle,
                bearing_deg: v.x.atan2(v.y).to_degrees().rem_euclid(360.0),
                sd_m: (own + s.variance_at(half)).sqrt(),
            }
        })
        .collect()
}

/// What the gaps add to the variances of the left and right half-widths: the variance at the place of each
/// line that is farthest from the goal axis.
pub(super) fn of_half_widths(boundary: &Boundary, found: &[Stretch]) -> [f64; 2] {
    Side::BOTH.map(|side| {
        let first = crate::boundary::End::A;
        let end = if side == Side::Left { first } else { first.other() };
        let across =
            |s: &f64| boundary.at(boundary.chainage_from_post_m(side, end, *s)).point.y * side.sign();
        let length = boundary.line_length_m(side);
        let far = (0..=WIDEST)
            .map(|i| length * f64::from(i) / f64::from(WIDEST))
            .max_by(|a, b| across(a).total_cmp(&across(b)))
            .unwrap_or(0.0);
        found.iter().filter(|s| s.side == side).map(|s| s.variance_at(far)).sum()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn oval() -> (Outline, Boundary) {
        let half = 80.0 * (1.0 - (9.6f64 / 65.0).powi(2)).sqrt();
        let o = Outline::from_parameters(&[0.0, 0.0, 80.0, 65.0, 20.0, 0.0, 0.0, 20.0, half]).unwrap();
        let b = o.boundary(19.2).unwrap();
        (o, b)
    }

    fn points(o: &Outline, b: &Boundary, keep: impl Fn(Side, f64) -> bool) -> Vec<Point<Local>> {
        let mut list = Vec::new();
        for i in 0..300 {
            let c = b.perimeter_m() * f64::from(i) / 300.0;
            let p = b.at(c);
            if let crate::boundary::Place::Line(side) = p.place
                && keep(side, p.point.x)
            {
                list.push(o.plan().to_local(p.point));
            }
        }
        list
    }

    #[test]
    fn a_gap_is_found_with_its_length_and_grows_to_its_middle() {
        let (o, b) = oval();
        assert!(stretches(&o, &b, &points(&o, &b, |_, _| true)).is_empty());
        let found = stretches(&o, &b, &points(&o, &b, |side, x| side == Side::Left || x.abs() > 30.0));
        let [gap] = found[..] else { panic!("{found:?}") };
        assert_eq!(gap.side, Side::Right);
        // 60 m of wing, the steps of 1.5 m at its ends, and a line that bends by 1 m in 30.
        let length = gap.to - gap.from;
        assert!((60.0..64.5).contains(&length), "{length}");
        let at = |share: f64| gap.variance_at(gap.from + share * length).sqrt();
        assert!(at(0.05) < at(0.25) && at(0.25) < at(0.5) && (at(0.5) - at(0.5001)).abs() < 1e-3);
        // Held on both sides it is better known than grounds at large, and far worse than a walk's end.
        assert!((0.2..OFFSETS_M.0).contains(&at(0.5)), "{}", at(0.5));
        assert_eq!(gap.variance_at(gap.to + 1.0), 0.0);
        let [left, right] = of_half_widths(&b, &found);
        assert!(left == 0.0 && (right.sqrt() - at(0.5)).abs() < 0.02);
        let told = unsurveyed(&o, &b, &Spread::none(), &found);
        // The right of an axis that bears 20°.
        assert!((told[0].bearing_deg - 110.0).abs() < 1.0 && (told[0].sd_m - at(0.5)).abs() < 1e-9);
    }

    #[test]
    fn a_sparse_survey_has_no_gaps_between_its_points() {
        let (o, b) = oval();
        let some: Vec<_> = points(&o, &b, |_, _| true).into_iter().step_by(20).collect();
        assert!(stretches(&o, &b, &some).is_empty());
    }
}
