//! Weights that a point far off has little of, and their constants.

/// Huber's constant: as precise as the mean's 95 % where errors are normal (P. J. Huber 1964;
/// P. W. Holland and R. E. Welsch 1977).
pub const HUBER_95: f64 = 1.345;
/// Tukey's bisquare constant, likewise (A. E. Beaton and J. W. Tukey 1974; Holland and Welsch 1977).
pub const TUKEY_95: f64 = 4.685;
/// Standard deviation of a normal over the median of its absolute values: 1/Φ⁻¹(3/4) (F. R. Hampel 1974).
pub const SD_OVER_MEDIAN: f64 = 1.482_602_218_505_602;

/// Huber's weight of a residual in units of the scatter: 1 up to `k`, then k/|r|.
#[must_use]
pub fn huber_weight(r: f64, k: f64) -> f64 {
    if r.abs() <= k { 1.0 } else { k / r.abs() }
}

/// Tukey's bisquare weight: (1 − (r/c)²)², nought beyond `c`.
#[must_use]
pub fn tukey_weight(r: f64, c: f64) -> f64 {
    let u = r / c;
    if u.abs() >= 1.0 { 0.0 } else { (1.0 - u * u).powi(2) }
}

/// Efficiency of an estimate with these weights where errors are normal: (E ψ′)²/E ψ², ψ = r·weight,
/// E ψ′ being E rψ there (Stein's identity), by Simpson's rule over ±`reach`.
#[must_use]
pub fn normal_efficiency(weight: impl Fn(f64) -> f64, reach: f64) -> f64 {
    const STEPS: u32 = 40_000;
    let h = 2.0 * reach / f64::from(STEPS);
    let (mut slope, mut square) = (0.0, 0.0);
    for i in 0..=STEPS {
        let r = -reach + h * f64::from(i);
        let simpson = if i == 0 || i == STEPS { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
        let density = simpson * h / 3.0 * (-0.5 * r * r).exp() / std::f64::consts::TAU.sqrt();
        let psi = r * weight(r);
        slope += density * r * psi;
        square += density * psi * psi;
    }
    slope * slope / square
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_fall_off_as_they_should() {
        assert_eq!((huber_weight(1.0, 1.345), huber_weight(-2.69, 1.345)), (1.0, 0.5));
        assert_eq!((tukey_weight(0.0, 4.685), tukey_weight(5.0, 4.685)), (1.0, 0.0));
        assert!((tukey_weight(2.3425, 4.685) - 0.5625).abs() < 1e-15);
        // All weights alike are the mean's.
        assert!((normal_efficiency(|_| 1.0, 12.0) - 1.0).abs() < 1e-9);
    }
}
