//! The chain: which points of a line follow each other smoothly round the curve.
//!
//! In order along the walk or round the curve, the distances of the points from an ellipse change slowly: by
//! the points' own scatter, by the drift of their error, and by the line's departure from the ellipse. A
//! blunder is a point that must be skipped for this to hold. The chain is the cheapest way round. Skipping a
//! point costs one unit (at most one per metre of line, so that dense surveys weigh no more), and a break
//! between neighbours that are too far apart costs more. Dynamic programming finds it in one pass through the
//! points.

use super::steady::{MAD, median};

/// The most points that a link may skip, plus one. With a fifth of the points blunders at random, a run of a
/// dozen comes up once in 10^8.
const LOOK: usize = 32;
/// What a break costs, in points skipped.
const BREAK: f64 = 8.0;
/// What a link at the limit costs: less than the half point that would make skipping pay.
const STRAINED: f64 = 0.2;
/// A step of more than this many of its standard deviations is too long.
const SIGMAS: f64 = 5.0;
/// How fast a line's departure from the ellipse may change along it, m per m: pockets of 3 m in 80 m of line
/// rise at 0.24 in places, a side cut by 5 m at 0.34 in its corner.
const SLOPE: f64 = 0.2;
/// The length of line between two points counts for at most this many times the usual spacing.
const MOST_GAPS: f64 = 3.0;
/// Least step that is too long, m.
const LEAST_M: f64 = 0.3;
/// Lags, in points, over which the steps' scatter is read.
const LAGS: [usize; 6] = [1, 2, 4, 8, 16, 32];

/// Standard deviation of the difference between two points' distances from the ellipse, as a function of the
/// length of line between them.
#[derive(Debug, Clone)]
pub(super) struct Steps {
    /// Length of line and standard deviation, m, both ascending.
    table: Vec<(f64, f64)>,
}

impl Steps {
    /// Estimates the table from the points that `good` holds.
    pub(super) fn of(round: &Round<'_>, good: &[bool]) -> Self {
        let r = round.r;
        let kept: Vec<usize> = (0..r.len()).filter(|&i| good[i]).collect();
        let mut table: Vec<(f64, f64)> = Vec::new();
        for lag in LAGS.into_iter().filter(|&lag| lag < kept.len()) {
            let pairs = || (lag..kept.len()).map(|i| (kept[i - lag], kept[i]));
            let gap = median(&mut pairs().map(|(i, j)| round.gap(i, j)).collect::<Vec<_>>());
            let size = median(&mut pairs().map(|(i, j)| (r[j] - r[i]).abs()).collect::<Vec<_>>());
            if let (Some(gap), Some(size)) = (gap, size) {
                let before = table.last().map_or(0.0, |t| t.1);
                // A second lap comes back to the first: lengths that no longer grow end the table.
                if table.last().is_some_and(|t| gap <= t.0) {
                    break;
                }
                table.push((gap, (MAD * size).max(before)));
            }
        }
        Self { table }
    }

    /// Standard deviation over `gap` metres of line.
    pub(super) fn sd(&self, gap: f64) -> f64 {
        let after = self.table.partition_point(|t| t.0 < gap);
        let (Some(hi), lo) = (self.table.get(after), after.checked_sub(1).map(|i| self.table[i])) else {
            return self.table.last().map_or(0.0, |t| t.1);
        };
        match lo {
            Some(lo) if hi.0 > lo.0 => lo.1 + (hi.1 - lo.1) * (gap - lo.0) / (hi.0 - lo.0),
            _ => hi.1,
        }
    }

    /// Usual length of line between neighbours, m.
    pub(super) fn spacing(&self) -> f64 {
        self.table.first().map_or(f64::INFINITY, |t| t.0)
    }

    /// The longest allowed step over `gap` metres of line, m.
    pub(super) fn limit(&self, gap: f64) -> f64 {
        SIGMAS * self.sd(gap) + SLOPE * gap + LEAST_M
    }
}

/// Points of one source in the order in which they follow each other: as walked, or round the curve.
#[derive(Clone, Copy)]
pub(super) struct Round<'a> {
    /// Length of line to each, m.
    pub(super) s: &'a [f64],
    /// Distance from the ellipse, m.
    pub(super) r: &'a [f64],
    /// Standard deviation of each over the median one, at least 1.
    pub(super) unsure: &'a [f64],
    /// Length of the whole line, m.
    pub(super) around: f64,
}

/// Which points the chain holds, from the anchor once round to the anchor again, and the points before which
/// it breaks.
pub(super) struct Chain {
    pub(super) holds: Vec<bool>,
    pub(super) breaks: Vec<usize>,
}

impl Round<'_> {
    /// Length of line between two points, the shorter way round, m.
    pub(super) fn gap(&self, i: usize, j: usize) -> f64 {
        let d = (self.s[i] - self.s[j]).abs();
        d.min(self.around - d)
    }

    /// The point least likely to be an outlier: like its neighbours, and near the ellipse.
    fn anchor(&self, scatter_m: f64) -> usize {
        const BESIDE: usize = 4;
        let n = self.r.len();
        let unlike = |i: usize| {
            let mut beside: Vec<f64> = (1..=BESIDE.min(n / 2))
                .flat_map(|k| [self.r[(i + k) % n], self.r[(i + n - k) % n]])
                .collect();
            let off = (self.r[i] - median(&mut beside).unwrap_or(0.0)).abs();
            off * self.unsure[i] + (self.r[i].abs() - scatter_m).max(0.0)
        };
        let each: Vec<f64> = (0..n).map(unlike).collect();
        (0..n).min_by(|&i, &j| each[i].total_cmp(&each[j])).unwrap_or(0)
    }

    /// The cheapest chain.
    pub(super) fn chain(&self, steps: &Steps, scatter_m: f64) -> Chain {
        let n = self.r.len();
        let anchor = self.anchor(scatter_m);
        let at = |k: usize| (anchor + k) % n;
        // Skipping a point costs the line that it stands for: half the gap on each side, at most a metre in
        // all.
        let worth = |k: usize| {
            let i = at(k);
            (0.5 * (self.gap(i, at(k + 1)) + self.gap(i, at(k + n - 1)))).clamp(0.01, 1.0)
        };
        let worths: Vec<f64> = (0..n).map(worth).collect();
        let mut skipped = vec![0.0; n + 1];
        for k in 1..=n {
            skipped[k] = skipped[k - 1] + worths.get(k).copied().unwrap_or(0.0);
        }
        let mut cost = vec![0.0; n + 1];
        let mut from: Vec<(usize, bool)> = vec![(0, false); n + 1];
        for i in 1..=n {
            let mut best = (f64::INFINITY, 0, false);
            for j in (i.saturating_sub(LOOK)..i).rev() {
                // The cost of skipping all points between.
                let over = skipped[i - 1] - skipped[j];
                // An outlier may lie far off along the line too. Don't allow it the drift of that distance.
                let far = MOST_GAPS * (i - j) as f64 * steps.spacing();
                let limit =
                    steps.limit(self.gap(at(i), at(j)).min(far)) * self.unsure[at(i)].max(self.unsure[at(j)]);
                let d = (self.r[at(i)] - self.r[at(j)]).abs() / limit;
                let broken = d > 1.0;
                let weight = worths[i % n].min(worths[j]);
                let c = cost[j] + over + if broken { BREAK } else { STRAINED * weight * d * d };
                if c < best.0 {
                    best = (c, j, broken);
                }
            }
            cost[i] = best.0;
            from[i] = (best.1, best.2);
        }
        let mut holds = vec![false; n];
        let mut breaks = Vec::new();
        let mut i = n;
        // Each step goes back by one point at least, so n bound it.
        for _ in 0..n {
            if i == 0 {
                break;
            }
            holds[at(i % n)] = true;
            if from[i].1 {
                breaks.push(at(i % n));
            }
            i = from[i].0;
        }
        breaks.sort_unstable();
        Chain { holds, breaks }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 100 points 4 m apart whose distance swings slowly by 2 m; `wrong` moves some.
    fn held(wrong: &[(usize, f64)]) -> (Vec<usize>, Vec<usize>) {
        let s: Vec<f64> = (0..100).map(|i| 4.0 * f64::from(i)).collect();
        let mut r: Vec<f64> = (0..100).map(|i| 2.0 * (f64::from(i) * 0.0628).sin()).collect();
        wrong.iter().for_each(|&(i, by)| r[i] += by);
        let round = Round { s: &s, r: &r, unsure: &[1.0; 100], around: 400.0 };
        let steps = Steps::of(&round, &[true; 100]);
        let c = round.chain(&steps, 1.0);
        ((0..100).filter(|&i| !c.holds[i]).collect(), c.breaks)
    }

    #[test]
    fn spikes_single_and_in_groups_are_skipped_and_nothing_else() {
        assert_eq!(held(&[]), (vec![], vec![]));
        let wrong = [(0, 30.0), (17, -6.0), (40, 9.0), (41, 12.0), (42, -50.0), (99, 7.0)];
        assert_eq!(held(&wrong), (vec![0, 17, 40, 41, 42, 99], vec![]));
    }

    #[test]
    fn what_runs_on_is_followed_by_breaks_at_its_ends() {
        let wrong: Vec<(usize, f64)> = (30..60).map(|i| (i, 15.0)).collect();
        assert_eq!(held(&wrong), (vec![], vec![30, 60]));
    }

    #[test]
    fn steps_grow_with_the_line_between() {
        let s: Vec<f64> = (0..200).map(f64::from).collect();
        let r: Vec<f64> = s.iter().map(|v| 0.05 * v).collect();
        let round = Round { s: &s, r: &r, unsure: &[1.0; 200], around: 1000.0 };
        let steps = Steps::of(&round, &[true; 200]);
        // All steps over 4 m are 0.2 m: 1.4826 times that.
        assert!((steps.sd(4.0) - 0.2 * MAD).abs() < 1e-12);
        assert!((steps.sd(6.0) - 0.3 * MAD).abs() < 1e-12);
        assert!((steps.sd(1000.0) - 1.6 * MAD).abs() < 1e-12);
    }
}
