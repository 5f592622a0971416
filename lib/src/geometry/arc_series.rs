//! Arc length of an ellipse as a sum of sines. For the shapes of grounds it is a few times
//! faster than elliptic integrals.
//!
//! With n = (a − b)/(a + b), the derivative of arc length s by the eccentric angle t is
//!
//! ds/dt = √(a² sin² t + b² cos² t) = ½(a + b) |1 − n e^{2it}|
//!
//! The binomial series of √(1 − n e^{2it}) has the coefficients c₀ = 1, c_j = c_{j−1} (j − 3/2) n/j.
//! Multiplied by its conjugate, it gives
//!
//! ds/dt = ½(a + b)(A₀ + Σ A_k cos 2kt), A₀ = Σ c_j², A_k = 2 Σ c_j c_{j+k}
//!
//! So s is linear in t, plus sines of 2kt with amplitudes ½(a + b) A_k/2k, which shrink as n^k
//! (F. W. Bessel, Astronomische Nachrichten 4, 1825, from memory;
//! checked against the elliptic integral in the tests).

/// Terms kept: the truncation error is below 3e-13 m for a semi-axis of 80 m where n is [`MOST_N`].
const TERMS: usize = 16;
/// The largest n, where b/a is two thirds; flatter ellipses converge too slowly.
const MOST_N: f64 = 0.2;

/// Amplitudes of the sines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ArcSeries([f64; TERMS]);

impl ArcSeries {
    /// The series of an ellipse by its semi-axes, the longer first; `None` where it converges too slowly.
    pub(super) fn of(a: f64, b: f64) -> Option<Self> {
        let n = (a - b) / (a + b);
        if n.is_nan() || n > MOST_N {
            return None;
        }
        let mut c = [1.0; 2 * TERMS];
        for j in 1..c.len() {
            c[j] = c[j - 1] * (j as f64 - 1.5) * n / j as f64;
        }
        let mut amplitudes = [0.0; TERMS];
        for (i, amplitude) in amplitudes.iter_mut().enumerate() {
            let k = i + 1;
            let product: f64 = c[..TERMS].iter().zip(&c[k..]).map(|(p, q)| p * q).sum();
            *amplitude = 0.5 * (a + b) * product / k as f64;
        }
        Some(Self(amplitudes))
    }

    /// The arc length from the long axis to the eccentric angle `t`, less its linear part in t, m.
    pub(super) fn over_even(&self, t: f64) -> f64 {
        // Clenshaw's recurrence for Σ aₖ sin kx.
        let (s, c) = (2.0 * t).sin_cos();
        let (mut first, mut second) = (0.0, 0.0);
        for amplitude in self.0.iter().rev() {
            (first, second) = (amplitude + 2.0 * c * first - second, first);
        }
        first * s
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numeric::{complete_e, incomplete_e};
    use std::f64::consts::PI;

    #[test]
    fn equals_the_elliptic_integral() {
        // Second method: Carlson's forms.
        for (a, b) in [(80.0, 80.0), (83.35, 67.5), (80.0, 65.0), (92.5, 65.0), (75.0, 50.1)] {
            let series = ArcSeries::of(a, b).unwrap();
            let m = (a - b) * (a + b) / (a * a);
            let quarter = a * complete_e(m);
            for i in -50..150 {
                let t = f64::from(i) * 0.1;
                let want = a * incomplete_e(t - 0.5 * PI, m) + quarter;
                let got = quarter * t / (0.5 * PI) + series.over_even(t);
                // Rounding of a few hundred metres, and the truncation error.
                assert!((got - want).abs() < 1e-12 * (1.0 + want.abs()) + 3e-13, "{a} {b} {t} {got} {want}");
            }
        }
        assert!(ArcSeries::of(80.0, 50.0).is_none());
    }
}
