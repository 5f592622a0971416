//! Off the line and back on it elsewhere: a way round a bench, to a person at the fence, or a way to the
//! line that [`super::laps`] does not see.
//!
//! A walk that goes round is held against a smooth closed curve of its own: its distance from a middle as
//! a sum of six waves round, fitted so that what lies far off, for the walk's own scatter, has no weight. A
//! stretch that goes well off that curve, for the walk's own scatter, and about which the way bends as no oval does, is set aside from
//! where it leaves to where it is back. A line that is nowhere hollow has no such bend, whatever its corners,
//! so the curve need not follow them. See `README.md`.
//!
//! Not found: a detour within some 5 m of the line, one up to 9 m off that leaves and comes back at so flat
//! an angle that the way hardly bends, and one that takes the place of more than a sixth of it.

use nalgebra::{DMatrix, DVector};

use super::track::{Fix, quantile};
use super::way::{Sample, Way};
use super::{Found, off_line};
use crate::frame::Local;
use crate::geometry::Point;

/// Waves round the curve: the last is 75 m long on a ground of 450 m, which a detour of 30 m can't bend.
const WAVES: usize = 6;
/// How large each wave may well be, m, from the third on: the first moves the curve, the second makes it
/// long. Ovals with a flat side have a third and a fourth of two metres.
const USUAL_M: [f64; 4] = [3.0, 3.0, 1.0, 1.0];
/// Variance of a sample as one of many whose error is common, m²: a phone's 1.5 m over some 14 samples.
const SAMPLE_M2: f64 = 30.0;
/// Waves, how far off a sample has no weight any more, m, and how often weights and curve take turns.
/// First absolute distances count, which no fourth of the samples can carry away.
const STAGES: [(usize, f64, usize); 3] = [(2, f64::INFINITY, 10), (4, 10.0, 8), (WAVES, 7.0, 8)];
/// On a walk of little scatter a sample has no weight any more from nearer on, down to this, m: a curve that
/// bends half the way to a detour then lets go of it. By the walk's own robust standard deviation: 3.6 m at
/// 0.8 m, 6 m at 1 m, and as above from 1.1 m on, where a curve that misses corners must not lose them.
const NARROWEST_M: f64 = 3.5;
const NARROWS: (f64, f64) = (12.0, -6.0);
const NARROWED_TIMES: usize = 8;
/// Distances below this are alike where absolute distances count, m.
const ALIKE_M: f64 = 1.0;
/// Directions in which there must be samples: of 72, five sixths.
const SECTORS: usize = 72;
const SECTORS_SEEN: usize = 60;
/// A length and how many robust standard deviations of the walk's own scatter; the greater counts.
#[derive(Debug, Clone, Copy)]
struct Least {
    metres: f64,
    sds: f64,
}

impl Least {
    const fn of(metres: f64, sds: f64) -> Self {
        Self { metres, sds }
    }

    fn holds(self, m: f64, sd_m: f64) -> bool {
        m >= self.metres.max(self.sds * sd_m)
    }
}

/// How far off the curve a stretch goes, in the walk and at its ends or beside what another step set aside,
/// where the way to the line was cut short.
const OFF: Least = Least::of(5.0, 3.3);
const OFF_AT_END: Least = Least::of(3.5, 2.2);
/// Where it begins and ends.
const EDGE: Least = Least::of(1.5, 1.2);
/// How far the way bends as no oval does about a stretch outside, inside and at an end: of simulated walks of
/// the line alone at 1.5 m, corners where the curve misses 5 m bend by 2.8 m and 2.6 of these or less, or by
/// 2.3 m and 4.2.
const BEND_OUT: Least = Least::of(3.0, 3.3);
const BEND_IN: Least = Least::of(2.2, 2.2);
const BEND_AT_END: Least = Least::of(1.5, 1.5);
/// So far off hardly any bend is asked for: those walks go 6.5 m off.
const FAR: Least = Least::of(8.0, 6.0);
const BEND_IF_FAR_M: f64 = 2.0;
/// Way to either side of the farthest place in which the bend is looked for, m: a leg and a piece of line.
const BEND_WITHIN_M: f64 = 60.0;
/// How often the curve is fitted anew without what was found: no simulated walk needs more.
const PASSES: usize = 4;
/// A robust standard deviation is the median of absolute distances by this.
const FROM_MEDIAN: f64 = 1.4826;

/// The stretches of a walk that are off its own closed curve; without any where it does not go round. `cut`
/// says before which fixes a way off the line was set aside, of which these may be the rest.
pub(super) fn find(fixes: &[Fix], cut: &[bool]) -> Vec<Found> {
    let way = Way::of(fixes);
    let Some(mut curve) = Curve::of(&way.samples) else { return Vec::new() };
    let mut found = Vec::new();
    for _ in 0..PASSES {
        let before = found;
        found = curve.departures(fixes, cut, &way.samples, &before);
        if found == before {
            break;
        }
        // Once more without what was found, which bent the curve.
        let within = |s: &&Sample| !found.iter().any(|d| (d.from..d.end).contains(&s.fix));
        let rest: Vec<Sample> = way.samples.iter().filter(within).copied().collect();
        match curve.without(&rest) {
            Some(better) => curve = better,
            None => break,
        }
    }
    found.iter().map(|d| off_line(fixes, d.from, d.end, d.far_m)).collect()
}

/// A stretch off the curve: the fixes from `from` to before `end`.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Departure {
    from: usize,
    end: usize,
    far_m: f64,
}

/// A closed curve as its distance from a middle by direction.
struct Curve {
    middle: Point<Local>,
    /// Constant, then cosine and sine of each wave.
    waves: DVector<f64>,
}

/// The waves at a direction.
fn row(angle: f64, waves: usize) -> impl Iterator<Item = f64> {
    std::iter::once(1.0).chain((1..=waves).flat_map(move |k| {
        let (s, c) = (k as f64 * angle).sin_cos();
        [c, s]
    }))
}

impl Curve {
    /// Through a walk's samples; `None` where it does not go round.
    fn of(samples: &[Sample]) -> Option<Self> {
        let middle = |pick: fn(&Sample) -> f64| {
            let mut all: Vec<f64> = samples.iter().map(pick).collect();
            Some((quantile(&mut all, 0.02)? + quantile(&mut all, 0.98)?) / 2.0)
        };
        let middle = Point::new(middle(|s| s.at.x)?, middle(|s| s.at.y)?);
        let mut curve = Self { middle, waves: DVector::zeros(1 + 2 * WAVES) };
        let polar = curve.polar(samples);
        let mut seen = [false; SECTORS];
        for (angle, _) in &polar {
            // Within the sectors by the remainder, so the cast is exact.
            let sector = (angle / std::f64::consts::TAU).rem_euclid(1.0) * SECTORS as f64;
            seen[(sector as usize).min(SECTORS - 1)] = true;
        }
        if seen.iter().filter(|s| **s).count() < SECTORS_SEEN {
            return None;
        }
        let mut radii: Vec<f64> = polar.iter().map(|p| p.1).collect();
        curve.waves[0] = quantile(&mut radii, 0.5)?;
        for (waves, cutoff_m, times) in STAGES {
            for _ in 0..times {
                curve.waves = curve.refitted(&polar, waves, cutoff_m)?;
            }
        }
        curve.narrowed(&polar)
    }

    /// The curve anew, with weights that end as near as the walk's scatter lets them.
    fn narrowed(mut self, polar: &[(f64, f64)]) -> Option<Self> {
        let (waves, widest_m, _) = STAGES[STAGES.len() - 1];
        for _ in 0..NARROWED_TIMES {
            let sd_m = self.scatter_m(polar);
            let cutoff_m = (NARROWS.0 * sd_m + NARROWS.1).clamp(NARROWEST_M, widest_m);
            self.waves = self.refitted(polar, waves, cutoff_m)?;
        }
        Some(self)
    }

    /// How far samples lie off the curve: one robust standard deviation, m.
    fn scatter_m(&self, polar: &[(f64, f64)]) -> f64 {
        let mut off: Vec<f64> = polar.iter().map(|&(a, r)| self.off_at(a, r).abs()).collect();
        FROM_MEDIAN * quantile(&mut off, 0.5).unwrap_or(0.0)
    }

    fn polar(&self, samples: &[Sample]) -> Vec<(f64, f64)> {
        samples.iter().map(|s| s.at - self.middle).map(|v| (v.y.atan2(v.x), v.length())).collect()
    }

    /// The curve anew through some of the samples.
    fn without(&self, rest: &[Sample]) -> Option<Self> {
        let polar = self.polar(rest);
        let mut curve = Self { middle: self.middle, waves: self.waves.clone() };
        let (waves, cutoff_m, times) = STAGES[STAGES.len() - 1];
        for _ in 0..times {
            curve.waves = curve.refitted(&polar, waves, cutoff_m)?;
        }
        curve.narrowed(&polar)
    }

    /// Where a walk departs from this curve. What a curve that it bent showed before needs no bend again.
    fn departures(
        &self,
        fixes: &[Fix],
        cut: &[bool],
        samples: &[Sample],
        known: &[Departure],
    ) -> Vec<Departure> {
        let sd_m = self.scatter_m(&self.polar(samples));
        let off: Vec<f64> = fixes.iter().map(|f| self.off_m(f.at)).collect();
        let mut out = Vec::new();
        let mut from = 0;
        while from < off.len() {
            // A stretch on one side.
            let side = off[from].signum();
            let end = (from..off.len()).find(|&k| !EDGE.holds(off[k] * side, sd_m)).unwrap_or(off.len());
            if end == from {
                from += 1;
                continue;
            }
            let farthest = (from..end).max_by(|&a, &b| off[a].abs().total_cmp(&off[b].abs())).unwrap_or(from);
            let far_m = off[farthest].abs();
            let cut_short = (from..=end).any(|k| cut.get(k).copied().unwrap_or(false));
            let at_end = from == 0 || end == off.len() || cut_short;
            if if at_end { OFF_AT_END } else { OFF }.holds(far_m, sd_m) {
                let outside = side > 0.0;
                let bend_m = self.bend_m(samples, farthest, outside);
                let seen = known.iter().any(|d| d.from < end && from < d.end);
                let bends = if outside { BEND_OUT } else { BEND_IN }.holds(bend_m, sd_m);
                let bends_at_end = at_end && BEND_AT_END.holds(bend_m, sd_m);
                let far = FAR.holds(far_m, sd_m) && (at_end || bend_m >= BEND_IF_FAR_M);
                if seen || bends || bends_at_end || far {
                    out.push(Departure { from, end, far_m });
                }
            }
            from = end;
        }
        out
    }

    /// How far, m, the way bends about a fix as no oval does: outside, how deep a hollow it leaves between
    /// the line and the fix, the deeper of the two; inside, how far the fix lies within its neighbours' chords.
    fn bend_m(&self, samples: &[Sample], fix: usize, outside: bool) -> f64 {
        let Some(last) = samples.len().checked_sub(1) else { return 0.0 };
        let tip = samples.partition_point(|s| s.fix < fix).min(last);
        let near = |k: &usize| (samples[*k].along_m - samples[tip].along_m).abs() <= BEND_WITHIN_M;
        let before: Vec<usize> = (0..tip).rev().take_while(near).collect();
        let after: Vec<usize> = (tip + 1..samples.len()).take_while(near).collect();
        // How far one sample lies inward of the chord of two others.
        let depth = |k: usize, a: usize, b: usize| {
            let (a, b) = (samples[a].at, samples[b].at);
            let Some(along) = (b - a).unit() else { return 0.0 };
            let right = along.to_right();
            let out = if right.dot(a - self.middle) > 0.0 { right } else { along.to_left() };
            (a - samples[k].at).dot(out)
        };
        if outside {
            // At most 30 samples a side, but over gaps.
            let hollow = |part: &[usize]| {
                (0..part.len())
                    .flat_map(|far| (0..far).map(move |k| (k, far)))
                    .map(|(k, far)| depth(part[k], part[far], tip))
                    .fold(0.0, f64::max)
            };
            return hollow(&before).max(hollow(&after));
        }
        let chords = before.iter().flat_map(|&a| after.iter().map(move |&b| (a, b)));
        chords.map(|(a, b)| depth(tip, a, b)).fold(0.0, f64::max)
    }

    /// The curve through samples, each with the weight that its distance from this one gives it.
    fn refitted(&self, polar: &[(f64, f64)], waves: usize, cutoff_m: f64) -> Option<DVector<f64>> {
        let n = 1 + 2 * waves;
        let (mut matrix, mut right) = (DMatrix::<f64>::zeros(n, n), DVector::<f64>::zeros(n));
        for k in 3..=waves {
            let precision = SAMPLE_M2 / USUAL_M[k - 3].powi(2);
            for i in [2 * k - 1, 2 * k] {
                matrix[(i, i)] += precision;
            }
        }
        for &(angle, radius) in polar {
            let off = self.off_at(angle, radius);
            let weight = if cutoff_m.is_finite() {
                // Tukey's biweight.
                (1.0 - (off / cutoff_m).powi(2)).max(0.0).powi(2)
            } else {
                1.0 / off.abs().max(ALIKE_M)
            };
            if weight > 0.0 {
                let row = DVector::from_iterator(n, row(angle, waves));
                matrix.ger(weight, &row, &row, 1.0);
                right.axpy(weight * radius, &row, 1.0);
            }
        }
        let solved = matrix.cholesky()?.solve(&right);
        let fits = solved.iter().all(|v| v.is_finite());
        fits.then(|| DVector::from_fn(1 + 2 * WAVES, |i, _| solved.get(i).copied().unwrap_or(0.0)))
    }

    /// About how far off the curve, m, positive outside.
    fn off_at(&self, angle: f64, radius: f64) -> f64 {
        let there: f64 = row(angle, WAVES).zip(self.waves.iter()).map(|(a, w)| a * w).sum();
        // Along the curve the radius changes by so much a radian.
        let slope: f64 = (1..=WAVES)
            .map(|k| {
                let (s, c) = (k as f64 * angle).sin_cos();
                k as f64 * (self.waves[2 * k] * c - self.waves[2 * k - 1] * s)
            })
            .sum();
        (radius - there) * there / there.hypot(slope).max(1e-9)
    }

    /// About how far a place lies off the curve, m, positive outside.
    fn off_m(&self, at: Point<Local>) -> f64 {
        let v = at - self.middle;
        self.off_at(v.y.atan2(v.x), v.length())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An ellipse 160 × 130 m cut straight 8 m inside its widest, and what is done at its flat side's middle.
    fn walk(detour: &[(f64, f64)]) -> Vec<Fix> {
        let flat = 57.0;
        let lap = |from: f64, to: f64| {
            let n = 600;
            (0..=n).map(move |i| {
                let t = from + (to - from) * f64::from(i) / f64::from(n);
                (80.0 * t.cos(), (65.0 * t.sin()).min(flat))
            })
        };
        let quarter = std::f64::consts::FRAC_PI_2;
        let corners: Vec<(f64, f64)> = lap(-3.0 * quarter, -quarter)
            .chain(lap(-quarter, quarter).filter(|(x, y)| *y < flat || *x > 20.0))
            .chain(detour.iter().copied())
            .chain(lap(quarter, 1.2 * quarter).filter(|(x, _)| *x < -5.0))
            .collect();
        let mut fixes = Vec::new();
        for w in corners.windows(2) {
            let (a, b) = (Point::new(w[0].0, w[0].1), Point::new(w[1].0, w[1].1));
            let n = (a.distance_to(b) / 1.4).ceil().max(1.0) as usize;
            for k in 0..n {
                let at = a + (b - a) * (k as f64 / n as f64);
                fixes.push(Fix { at, time_s: None, path: 0, index: fixes.len() });
            }
        }
        fixes
    }

    #[test]
    fn the_corners_of_a_flat_side_are_no_detour() {
        assert_eq!(find(&walk(&[]), &[]), []);
    }

    #[test]
    fn a_way_round_something_is_set_aside_from_where_it_leaves_to_where_it_is_back() {
        // Round a bench, outside and inside: 12 m off the flat side at 57 m, over 30 m of it.
        for off_m in [12.0, -12.0] {
            let fixes = walk(&[(18.0, 57.0), (16.0, 57.0 + off_m), (0.0, 57.0 + off_m), (-3.0, 57.0)]);
            let found = find(&fixes, &[]);
            let dropped: Vec<usize> = found.iter().flat_map(|f| f.drop.clone()).collect();
            let away = |f: &Fix| f.at.y > 0.0 && f.at.x.abs() < 30.0 && (f.at.y - 57.0).abs() > 6.0;
            let kept = fixes.iter().enumerate().filter(|(i, f)| away(f) && !dropped.contains(i));
            assert_eq!(kept.count(), 0, "{off_m}");
            // Of the line itself a few metres go with it at either side, and no more.
            let line =
                dropped.iter().filter(|i| (fixes[**i].at.y - 57.0).abs() < 1.0 || fixes[**i].at.y < 0.0);
            assert!(line.count() < 8, "{off_m}");
        }
    }

    #[test]
    fn a_small_detour_does_not_bend_the_curve_to_itself() {
        // 7.5 m outside at once, over 30 m of the line: with weights that end at 7 m the curve follows it.
        let mut fixes = walk(&[(18.0, 57.0), (18.0, 64.5), (-12.0, 64.5), (-12.5, 57.0)]);
        // The line that it takes the place of is not walked.
        fixes.retain(|f| (f.at.y - 57.0).abs() > 1e-9 || f.at.x > 17.0 || f.at.x < -12.0);
        let dropped: Vec<usize> = find(&fixes, &[]).iter().flat_map(|f| f.drop.clone()).collect();
        let away = |f: &Fix| f.at.y > 63.0;
        let kept = fixes.iter().enumerate().filter(|(i, f)| away(f) && !dropped.contains(i));
        assert_eq!(kept.count(), 0);
    }

    #[test]
    fn the_rest_of_a_way_that_was_cut_short_is_set_aside() {
        // A way out and back, of which what lies more than 5.2 m off was found before.
        let whole = walk(&[(18.0, 57.0), (8.0, 77.0), (6.0, 77.0), (-3.0, 57.0)]);
        let away = |f: &Fix| f.at.y > 40.0 && f.at.x.abs() < 30.0 && f.at.y - 57.0 > 5.2;
        let fixes: Vec<Fix> = whole.into_iter().filter(|f| !away(f)).collect();
        let cut: Vec<bool> =
            std::iter::once(false).chain(fixes.windows(2).map(|w| w[1].index > w[0].index + 1)).collect();
        assert_eq!(cut.iter().filter(|c| **c).count(), 1);
        assert_eq!(find(&fixes, &[]), []);
        let found = find(&fixes, &cut);
        assert_eq!(found.len(), 1);
        let rest = |i: &usize| fixes[*i].at.y > 59.0;
        assert_eq!(found[0].drop.iter().filter(|i| rest(i)).count(), (0..fixes.len()).filter(rest).count());
    }
}
