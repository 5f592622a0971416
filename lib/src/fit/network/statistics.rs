//! What the residuals say: redundancy numbers, standardised residuals, what could be
//! found, the global test, and the reading that is most likely wrong.
//!
//! W. Baarda, A testing procedure for use in geodetic networks, 1968; A. J. Pope, The
//! statistics of residuals and the detection of outliers, NOAA TR NOS 65 NGS 1, 1976.

use nalgebra::DMatrix;

use super::adjust::motions;
use super::equations::{Model, Row, State};
use super::result::{Adjusted, Blunder, GlobalTest, Verdict};
use crate::numeric::{chi2_quantile, normal_quantile, tau_quantile};

/// Chance of suspecting a good reading, two-sided (Baarda 1968 takes 0.001; from memory).
pub(super) const ALPHA: f64 = 0.001;
/// Chance of finding an error of the detectable size (Baarda 1968 takes 0.8; from memory).
const POWER: f64 = 0.8;
/// A redundancy below this is rounding: nothing checks the reading.
const UNCHECKED: f64 = 1e-6;
/// Correlation of two test statistics from which they can't be told apart.
const TWINS: f64 = 0.99;

/// δ₀: by how many standard deviations of its test statistic an error must move it to be found with [`POWER`].
pub(super) fn non_centrality() -> f64 {
    normal_quantile(1.0 - ALPHA / 2.0) + normal_quantile(POWER)
}

/// Degrees of freedom.
pub(super) fn degrees(model: &Model, s: &State) -> usize {
    (model.obs.len() + motions(model, s).ncols()).saturating_sub(model.unknowns)
}

/// Redundancy number of a reading, and the variance of its adjusted value over its own.
fn redundancy(row: &Row, q: &DMatrix<f64>, sd: f64) -> f64 {
    (1.0 - row.through(q, row) / (sd * sd)).clamp(0.0, 1.0)
}

/// Σ of squares over the degrees of freedom, as a standard deviation of unit weight.
pub(super) fn unit_weight(sum_of_squares: f64, dof: usize) -> Option<f64> {
    (dof > 0).then(|| (sum_of_squares / dof as f64).sqrt())
}

/// All observations at an adjusted state.
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

/// The reading that is most likely wrong, by the linear test about a state.
///
/// About the robust state, not the least-squares one: an error of tens of metres bends the
/// least-squares network so much that its derivatives mean nothing, while about a state near the
/// truth the theory holds for errors of any size.
pub(super) fn blunder(model: &Model, s: &State, q: &DMatrix<f64>, estimated: bool) -> Option<Blunder> {
    let n = model.obs.len();
    let all: Vec<Row> = (0..n).map(|i| model.row(i, s)).collect();
    let (_, right) = model.normal(s, |_| 1.0);
    let step = q * right;
    let mut sum = 0.0;
    let tests: Vec<Option<(f64, f64, f64)>> = all
        .iter()
        .zip(&model.obs)
        .map(|(row, o)| {
            let moved: f64 = row.entries().iter().map(|&(c, slope)| slope * step[c]).sum();
            let v = row.reads + moved - o.value;
            sum += (v / o.sd).powi(2);
            let r = redundancy(row, q, o.sd);
            (r > UNCHECKED).then(|| (v / (o.sd * r.sqrt()), v, r))
        })
        .collect();
    let dof = degrees(model, s);
    let (scale, critical) = if estimated {
        // With one degree of freedom τ is 1 whatever was read.
        if dof < 2 {
            return None;
        }
        (unit_weight(sum, dof)?, tau_quantile(1.0 - ALPHA / 2.0, dof as f64))
    } else {
        (1.0, normal_quantile(1.0 - ALPHA / 2.0))
    };
    let (worst, (w, v, r)) = tests
        .iter()
        .enumerate()
        .filter_map(|(i, t)| t.map(|t| (i, t)))
        .reduce(|a, b| if b.1.0.abs() > a.1.0.abs() { b } else { a })?;
    let statistic = w / scale;
    if statistic.abs() <= critical {
        return None;
    }
    let spread = model.obs[worst].sd * r.sqrt();
    let alike = (0..n)
        .filter(|&j| j != worst)
        .filter(|&j| {
            let Some((other, _, r)) = tests[j] else { return false };
            let between = all[worst].through(q, &all[j]) / (spread * model.obs[j].sd * r.sqrt());
            // Statistics of correlation ρ differ by chance by √(2(1 − |ρ|)), one standard deviation.
            let chance = (2.0 * (1.0 - between.abs()).max(0.0)).sqrt();
            between.abs() >= TWINS || w.abs() - other.abs() < chance
        })
        .map(|j| model.obs[j].what)
        .collect();
    let o = &model.obs[worst];
    Some(Blunder { what: o.what, read_m: o.value, too_long_m: -v / r, statistic, critical, alike })
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
    fn the_detectable_shift_is_baardas() {
        // 4.13 in print (Baarda 1968; from memory).
        assert!((non_centrality() - 4.132_147_965_064_84).abs() < 1e-12);
    }
}
