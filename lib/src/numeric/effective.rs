//! How many independent values a correlated series is worth.

/// Effective number of values of a mean: n²/ΣΣρ, the correlation of two values being
/// `running · e^(−Δt/lasts)` and that of a value with itself 1.
///
/// Times must not go back. In one pass: each value's correlation with all before it is the last
/// one's, and the last itself, faded. `lasts = 0`: no two are correlated.
#[must_use]
pub fn effective_number(times: &[f64], lasts: f64, running: f64) -> f64 {
    let n = times.len() as f64;
    let (mut before, mut sum) = (0.0, 0.0);
    for pair in times.windows(2) {
        let fade = if lasts > 0.0 { (-(pair[1] - pair[0]) / lasts).exp() } else { 0.0 };
        before = fade * (before + 1.0);
        sum += before;
    }
    if n > 0.0 { n * n / (n + 2.0 * running * sum) } else { 0.0 }
}

/// That of `n` values of a series whose neighbours have the correlation `rho`:
/// n²/(n + 2Σ(n − k)ρᵏ) (G. V. Bayley and J. M. Hammersley 1946).
#[must_use]
pub fn effective_of_neighbours(n: u32, rho: f64) -> f64 {
    let (mut power, mut sum) = (1.0, 0.0);
    for k in 1..n {
        power *= rho;
        sum += f64::from(n - k) * power;
    }
    let n = f64::from(n);
    n * n / (n + 2.0 * sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn even_times_are_a_series_of_neighbours() {
        let times: Vec<f64> = (0..80).map(|i| 3.0 * f64::from(i)).collect();
        let rho = (-3.0f64 / 20.0).exp();
        // One sum in two orders.
        assert!((effective_number(&times, 20.0, 1.0) - effective_of_neighbours(80, rho)).abs() < 1e-10);
        assert_eq!(effective_number(&times, 0.0, 1.0), 80.0);
        assert_eq!(effective_number(&[], 5.0, 1.0), 0.0);
    }

    #[test]
    fn a_long_dense_walk_is_worth_one_for_each_two_durations() {
        // The integral of the correlation either way is twice its duration.
        let times: Vec<f64> = (0..20_000).map(|i| 0.5 * f64::from(i)).collect();
        let got = effective_number(&times, 20.0, 1.0);
        // 10,000 s; the ends add one duration of 20 in 10,000, half a percent at most.
        assert!((got / (10_000.0 / 40.0) - 1.0).abs() < 5e-3, "{got}");
    }
}
