//! Nonlinear least squares of any function: damped Gauss–Newton.
//!
//! The fits of boundaries have their own loop, which knows their parameters' units; this one is for
//! functions of a few numbers.

use nalgebra::{DMatrix, DVector};

/// Steps allowed.
const MOST_STEPS: usize = 500;
/// Damping up to which a step is nearly a whole one.
const WHOLE: f64 = 1e-2;
/// Done when a step changes no parameter by more than this part of it.
const SETTLED: f64 = 1e-12;

/// Why no optimum was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoFit {
    /// The bound on steps was reached.
    DidNotConverge {
        /// Steps taken.
        after: usize,
    },
    /// The function is not finite at the start, or nothing fixes a parameter, or there are no
    /// more residuals than parameters.
    Singular,
}

/// An optimum.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// Parameters.
    pub parameters: Vec<f64>,
    /// Their standard deviations, s₀²(JᵀJ)⁻¹.
    pub sds: Vec<f64>,
    /// Sum of squared residuals.
    pub sum: f64,
}

/// Least squares of `residuals`, which gives for parameters every residual with its gradient.
///
/// # Errors
/// [`NoFit`].
///
/// # Examples
/// ```
/// use ovalpeg::numeric::least_squares;
/// let y = [1.0, 2.0, 4.1];
/// let fit = least_squares(&[0.0, 0.0], |p| {
///     y.iter().enumerate().map(|(i, y)| (p[0] + p[1] * i as f64 - y, vec![1.0, i as f64])).collect()
/// });
/// assert!((fit.unwrap().parameters[1] - 1.55).abs() < 1e-9);
/// ```
pub fn least_squares(
    start: &[f64],
    residuals: impl Fn(&[f64]) -> Vec<(f64, Vec<f64>)>,
) -> Result<Fitted, NoFit> {
    let k = start.len();
    let mut p = start.to_vec();
    let sum = |rows: &[(f64, Vec<f64>)]| rows.iter().map(|r| r.0 * r.0).sum::<f64>();
    let mut rows = residuals(&p);
    let mut here = sum(&rows);
    if !here.is_finite() || rows.len() <= k {
        return Err(NoFit::Singular);
    }
    let mut damping = 1e-3;
    for after in 0..MOST_STEPS {
        let (trial, before) = (damping, here);
        let j = DMatrix::from_fn(rows.len(), k, |i, c| rows[i].1[c]);
        let r = DVector::from_fn(rows.len(), |i, _| rows[i].0);
        // Columns to length one: parameters may differ by ten orders.
        let unit: Vec<f64> = (0..k).map(|c| j.column(c).norm().max(f64::MIN_POSITIVE)).collect();
        let scaled = DMatrix::from_fn(rows.len(), k, |i, c| j[(i, c)] / unit[c]);
        // By orthogonal factors: the normal equations would lose half the digits.
        let mut tall = scaled.clone().resize_vertically(rows.len() + k, 0.0);
        for c in 0..k {
            tall[(rows.len() + c, c)] = f64::sqrt(damping);
        }
        let right = (-&r).resize_vertically(rows.len() + k, 0.0);
        let qr = tall.qr();
        let step = qr.r().solve_upper_triangular(&(qr.q().transpose() * right)).ok_or(NoFit::Singular)?;
        let q: Vec<f64> = (0..k).map(|c| p[c] + step[c] / unit[c]).collect();
        let there = residuals(&q);
        let next = sum(&there);
        let small = (0..k).all(|c| (q[c] - p[c]).abs() <= SETTLED * p[c].abs().max(1e-300));
        if next.is_finite() && next <= here {
            (p, rows, here) = (q, there, next);
            damping = (damping * 0.1).max(1e-30);
        } else {
            damping *= 10.0;
        }
        // Heavy damping makes any step small, which is no optimum unless it still gains, or a
        // whole step would gain less than the sum's own rounding.
        let level = || (scaled.clone().qr().q().transpose() * &r).norm_squared() <= f64::EPSILON * before;
        if small && (here < before || trial <= WHOLE || level()) {
            return finished(p, &rows, here).ok_or(NoFit::Singular);
        }
        if after + 1 == MOST_STEPS {
            return Err(NoFit::DidNotConverge { after: MOST_STEPS });
        }
    }
    Err(NoFit::DidNotConverge { after: MOST_STEPS })
}

fn finished(parameters: Vec<f64>, rows: &[(f64, Vec<f64>)], sum: f64) -> Option<Fitted> {
    let (n, k) = (rows.len(), parameters.len());
    let unit: Vec<f64> = (0..k)
        .map(|c| rows.iter().map(|r| r.1[c] * r.1[c]).sum::<f64>().sqrt().max(f64::MIN_POSITIVE))
        .collect();
    let j = DMatrix::from_fn(n, k, |i, c| rows[i].1[c] / unit[c]);
    let inverse = j.qr().r().try_inverse()?;
    let s2 = sum / n.saturating_sub(k).max(1) as f64;
    let sds = (0..k).map(|c| (inverse.row(c).norm_squared() * s2).sqrt() / unit[c]).collect();
    Some(Fitted { parameters, sds, sum })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wrong_gradient_is_no_optimum_and_too_few_residuals_are_refused() {
        let wrong = least_squares(&[1.0], |p| vec![(p[0], vec![-1.0]), (p[0] - 0.001, vec![-1.0])]);
        assert_eq!(wrong, Err(NoFit::DidNotConverge { after: MOST_STEPS }));
        assert_eq!(least_squares(&[1.0], |p| vec![(p[0], vec![1.0])]), Err(NoFit::Singular));
    }
}
