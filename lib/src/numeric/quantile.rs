//! Quantiles of the distributions that the intervals and tests use.

use statrs::distribution::{ChiSquared, ContinuousCDF, FisherSnedecor, Normal, StudentsT};

/// The p-quantile of the standard normal distribution.
#[must_use]
pub(crate) fn normal_quantile(p: f64) -> f64 {
    Normal::new(0.0, 1.0).map_or(f64::NAN, |n| n.inverse_cdf(p))
}

/// The p-quantile of Student's t with `dof` degrees of freedom; NaN when `dof <= 0`.
#[must_use]
pub(crate) fn t_quantile(p: f64, dof: f64) -> f64 {
    if dof > 1e7 {
        return normal_quantile(p);
    }
    StudentsT::new(0.0, 1.0, dof).map_or(f64::NAN, |t| t.inverse_cdf(p))
}

/// Probability that Student's t with `dof` degrees of freedom is below `x`; NaN when `dof <= 0`
/// or `x` is NaN.
#[must_use]
pub(crate) fn t_cdf(x: f64, dof: f64) -> f64 {
    if x.is_nan() {
        return f64::NAN;
    }
    if dof > 1e7 {
        return Normal::new(0.0, 1.0).map_or(f64::NAN, |n| n.cdf(x));
    }
    StudentsT::new(0.0, 1.0, dof).map_or(f64::NAN, |t| t.cdf(x))
}

/// The p-quantile of χ² with `dof` degrees of freedom; NaN when `dof <= 0`.
#[must_use]
pub(crate) fn chi2_quantile(p: f64, dof: f64) -> f64 {
    ChiSquared::new(dof).map_or(f64::NAN, |d| d.inverse_cdf(p))
}

/// The p-quantile of F with `over` degrees of freedom in the numerator and `under` in the denominator; NaN
/// when one of them is not positive.
#[must_use]
pub(crate) fn f_quantile(p: f64, over: f64, under: f64) -> f64 {
    FisherSnedecor::new(over, under).map_or(f64::NAN, |d| d.inverse_cdf(p))
}

/// The p-quantile of τ, a residual over its own estimated standard deviation, with `dof` degrees
/// of freedom: τ = t√f / √(f − 1 + t²), with t of f − 1 degrees; NaN when `dof <= 1`.
///
/// A. J. Pope, The statistics of residuals and the detection of outliers, NOAA TR NOS 65 NGS 1, 1976.
#[must_use]
pub(crate) fn tau_quantile(p: f64, dof: f64) -> f64 {
    let t = t_quantile(p, dof - 1.0);
    t * dof.sqrt() / (dof - 1.0 + t * t).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantile_and_probability_are_inverse() {
        for dof in [1.0, 5.0, 30.0, 1500.0, 1e9] {
            for p in [0.025, 0.5, 0.9, 0.975] {
                assert!((t_cdf(t_quantile(p, dof), dof) - p).abs() < 1e-9, "{dof} {p}");
            }
        }
        assert!(t_quantile(0.975, 0.0).is_nan());
    }

    /// χ² with two degrees of freedom and F(2, n) have quantiles in closed form: −2 ln(1 − p), and the
    /// solution x of 1 − (1 + 2x/n)^(−n/2) = p.
    #[test]
    fn two_degrees_of_freedom_in_closed_form() {
        for p in [0.025f64, 0.5, 0.95, 0.999] {
            let chi2: f64 = -2.0 * f64::ln_1p(-p);
            // The quantile is found by search; 1e-9 is far below what any critical value needs.
            assert!((chi2_quantile(p, 2.0) - chi2).abs() < 1e-9 * (1.0 + chi2), "{p}");
            for n in [1.0, 3.0, 14.0, 200.0] {
                let f = 0.5 * n * ((1.0 - p).powf(-2.0 / n) - 1.0);
                assert!(
                    (f_quantile(p, 2.0, n) - f).abs() < 1e-9 * (1.0 + f),
                    "{p} {n}: {} {f}",
                    f_quantile(p, 2.0, n)
                );
            }
        }
        assert!(chi2_quantile(0.5, 0.0).is_nan() && f_quantile(0.5, 2.0, -1.0).is_nan());
        assert!(tau_quantile(0.5, 1.0).is_nan());
    }
}
