//! The statistics of the residuals: redundancy numbers, standardised residuals, detectable
//! errors, the global test, and the tests for the reading that is most likely wrong.
//!
//! W. Baarda, A testing procedure for use in geodetic networks, 1968; A. J. Pope, The
//! statistics of residuals and the detection of outliers, NOAA TR NOS 65 NGS 1, 1976.

use nalgebra::DMatrix;

use super::equations::{Model, Row, State};
use super::least_squares::{Normal, motions};
use super::result::{Adjusted, GlobalTest, Verdict};
use crate::numeric::{chi2_quantile, normal_quantile, tau_quantile};

/// Significance level: chance of suspecting a good reading, two-sided (Baarda 1968 takes 0.001; from memory).
pub(super) const ALPHA: f64 = 0.001;
/// Chance of suspecting any reading at all in a notebook without blunders.
const FAMILY: f64 = 0.05;
/// Power: chance of finding an error of the detectable size (Baarda 1968 takes 0.8; from memory).
const POWER: f64 = 0.8;
/// A redundancy below this is rounding: no other reading checks this one.
const UNCHECKED: f64 = 1e-6;
/// With a correlation of this or more, two test statistics can't be told apart.
const TWINS: f64 = 0.99;

/// δ₀: how far an error must shift its test statistic, in standard deviations, to be found with [`POWER`].
pub(super) fn non_centrality() -> f64 {
    normal_quantile(1.0 - ALPHA / 2.0) + normal_quantile(POWER)
}

/// Degrees of freedom.
pub(super) fn degrees(model: &Model, s: &State) -> usize {
    (model.obs.len() + motions(model, s).ncols()).saturating_sub(model.unknowns)
}

/// Redundancy number of a reading: one minus the variance of its adjusted value over that of the reading.
fn redundancy(row: &Row, q: &DMatrix<f64>, sd: f64) -> f64 {
    (1.0 - row.through(q, row) / (sd * sd)).clamp(0.0, 1.0)
}

/// The reference standard deviation m₀ (of an observation of unit weight); `None` without degrees of freedom.
pub(super) fn unit_weight(sum_of_squares: f64, dof: usize) -> Option<f64> {
    (dof > 0).then(|| (sum_of_squares / dof as f64).sqrt())
}

/// All observations at an adjusted state, with their statistics.
pub(super) fn rows(model: &Model, s: &State, q: &DMatrix<f64>, m0: Option<f64>) -> Vec<Adjusted> {
    let delta = non_centrality();
    (0..model.obs.len())
        .map(|i| {
            let (o, row) = (&model.obs[i], model.row(i, s));
            let v = row.reads - o.value;
            let r = redundancy(&row, q, o.sd);
            let checked = (r > UNCHECKED).then_some(r);
            let w = checked.map(|r| v / (o.sd * r.sqrt()));
            Adjusted {
                what: o.what,
                read_m: o.value,
                sd_m: o.sd,
                adjusted_m: row.reads,
                adjusted_sd_m: row.through(q, &row).max(0.0).sqrt(),
                residual_m: v,
                redundancy: r,
                w,
                tau: w.and_then(|w| m0.filter(|m| *m > 0.0).map(|m| w / m)),
                detectable_m: checked.map(|r| delta * o.sd / r.sqrt()),
                error_m: checked.map(|r| -v / r),
            }
        })
        .collect()
}

/// The global test.
pub(super) fn global(sum_of_squares: f64, dof: usize) -> GlobalTest {
    if dof == 0 {
        return GlobalTest { sum_of_squares, low: 0.0, high: 0.0, verdict: Verdict::Untested };
    }
    let (low, high) = (chi2_quantile(0.025, dof as f64), chi2_quantile(0.975, dof as f64));
    let verdict = if sum_of_squares > high {
        Verdict::TooLarge
    } else if sum_of_squares < low {
        Verdict::TooSmall
    } else {
        Verdict::Agrees
    };
    GlobalTest { sum_of_squares, low, high, verdict }
}

/// The critical value of the largest statistic: by chance it is exceeded in one of twenty notebooks without
/// blunders (C. E. Bonferroni's bound). It is never less than Baarda's; `None` where nothing can be tested.
pub(super) fn critical(readings: usize, dof: usize, estimated: bool) -> Option<f64> {
    let one_side = (ALPHA / 2.0).min(FAMILY / (2.0 * readings.max(1) as f64));
    if estimated {
        // With one degree of freedom τ is 1 whatever was read.
        (dof >= 2).then(|| tau_quantile(1.0 - one_side, dof as f64))
    } else {
        (dof >= 1).then(|| normal_quantile(1.0 - one_side))
    }
}

/// The tests in the linear approximation about a state: what least squares would find
/// if the observation equations were linear.
pub(super) struct Linear {
    rows: Vec<Row>,
    q: DMatrix<f64>,
    /// Each reading's w; `None` where no other reading checks it.
    pub(super) w: Vec<Option<f64>>,
    spread: Vec<f64>,
    /// Sum of squared standardised residuals.
    pub(super) sum: f64,
}

impl Linear {
    /// `None` where the normal matrix has no inverse.
    pub(super) fn new(model: &Model, s: &State) -> Option<Self> {
        let (matrix, right) = model.normal(s, |_| 1.0);
        let q = Normal::new(model, s, &matrix, 0.0)?.cofactors();
        let step = &q * right;
        let rows: Vec<Row> = (0..model.obs.len()).map(|i| model.row(i, s)).collect();
        let (mut w, mut spread, mut sum) = (Vec::new(), Vec::new(), 0.0);
        for (row, o) in rows.iter().zip(&model.obs) {
            let moved: f64 = row.entries().iter().map(|&(c, slope)| slope * step[c]).sum();
            let v = row.reads + moved - o.value;
            sum += (v / o.sd).powi(2);
            let r = redundancy(row, &q, o.sd);
            spread.push(o.sd * r.sqrt());
            w.push((r > UNCHECKED).then(|| v / (o.sd * r.sqrt())));
        }
        Some(Self { rows, q, w, spread, sum })
    }

    /// The largest |w|.
    pub(super) fn largest(&self) -> f64 {
        self.w.iter().flatten().fold(0.0, |m, w| w.abs().max(m))
    }

    /// Readings in order of |w|, the largest first; equals keep their order.
    pub(super) fn ranked(&self) -> Vec<usize> {
        let size = |i: usize| self.w[i].map_or(-1.0, f64::abs);
        let mut list: Vec<usize> = (0..self.w.len()).collect();
        list.sort_by(|&a, &b| size(b).total_cmp(&size(a)));
        list
    }

    /// Are two readings' statistics so correlated that they can't be told apart?
    pub(super) fn twins(&self, i: usize, j: usize) -> bool {
        if self.w[i].is_none() || self.w[j].is_none() {
            return false;
        }
        let between = self.rows[i].through(&self.q, &self.rows[j]) / (self.spread[i] * self.spread[j]);
        between.abs() >= TWINS
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verdicts_lie_either_side_of_the_quantiles() {
        // χ²₁₀ from 3.247 to 20.483 (NIST/SEMATECH e-Handbook 1.3.6.7.4).
        assert_eq!(global(3.2, 10).verdict, Verdict::TooSmall);
        assert_eq!(global(3.3, 10).verdict, Verdict::Agrees);
        assert_eq!(global(20.4, 10).verdict, Verdict::Agrees);
        assert_eq!(global(20.5, 10).verdict, Verdict::TooLarge);
        assert_eq!(global(0.0, 0).verdict, Verdict::Untested);
    }

    #[test]
    fn more_readings_want_a_larger_statistic() {
        // Baarda's 3.29 up to 50 readings. Beyond, for 1000 readings, the normal quantile at 1 − 0.05/2000:
        // 4.0556 (computed by another program).
        assert!((critical(20, 9, false).unwrap() - 3.290_526_731_491_925_5).abs() < 1e-9);
        assert!((critical(1000, 600, false).unwrap() - 4.055_626_981).abs() < 1e-6);
        assert!(critical(20, 0, false).is_none() && critical(20, 1, true).is_none());
    }

    #[test]
    fn the_detectable_shift_is_baardas() {
        // 4.13 in print (Baarda 1968; from memory).
        assert!((non_centrality() - 4.132_147_965_064_84).abs() < 1e-12);
    }
}
