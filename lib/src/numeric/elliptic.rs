//! Legendre's elliptic integrals of the second kind, with the parameter m = k².
//!
//! The complete one uses the arithmetic-geometric mean (Abramowitz and Stegun 1964,
//! 17.6), the incomplete one Carlson's symmetric forms (B. C. Carlson,
//! Numerical computation of real or complex elliptic integrals, Numerical
//! Algorithms 10, 1995, pp. 13–26: the duplication theorem, eqs 2.1–2.17).

use std::f64::consts::{FRAC_PI_2, PI};

/// Steps allowed. The arithmetic-geometric mean squares its error at each step, and
/// Carlson's duplication quarters it; both need fewer than 30 from any pair of doubles.
const MAX_STEPS: usize = 60;

/// Complete integral of the second kind, E(m). NaN outside `0 <= m <= 1`.
#[must_use]
pub(crate) fn complete_e(m: f64) -> f64 {
    if !(0.0..=1.0).contains(&m) {
        return f64::NAN;
    }
    if m == 1.0 {
        return 1.0;
    }
    // E = K·(1 − Σ 2^(n−1) c_n²), A&S 17.6.4.
    let (mut a, mut g, mut sum, mut power) = (1.0f64, (1.0 - m).sqrt(), 0.5 * m, 0.5);
    for _ in 0..MAX_STEPS {
        let c = 0.5 * (a - g);
        (a, g) = (0.5 * (a + g), (a * g).sqrt());
        power *= 2.0;
        sum += power * c * c;
        // The next c is c²/4a, which no longer counts. Stop here: a and g may settle one bit
        // apart, and the doubling `power` would raise that bit to 1e-15 of the sum.
        if c.abs() <= 1e-9 * a {
            break;
        }
    }
    FRAC_PI_2 / a * (1.0 - sum)
}

/// Carlson's R_F(x, y, z).
fn carlson_f(x: f64, y: f64, z: f64) -> f64 {
    let (mut x, mut y, mut z) = (x, y, z);
    for _ in 0..MAX_STEPS {
        let mean = (x + y + z) / 3.0;
        let (dx, dy, dz) = (1.0 - x / mean, 1.0 - y / mean, 1.0 - z / mean);
        if dx.abs().max(dy.abs()).max(dz.abs()) < 1.5e-3 {
            // Fifth-order series: the error is below eps⁶ ≈ 1e-17.
            let (e2, e3) = (dx * dy + dy * dz + dz * dx, dx * dy * dz);
            return (1.0 - e2 / 10.0 + e3 / 14.0 + e2 * e2 / 24.0 - 3.0 * e2 * e3 / 44.0) / mean.sqrt();
        }
        let lambda = (x * y).sqrt() + (y * z).sqrt() + (z * x).sqrt();
        (x, y, z) = (0.25 * (x + lambda), 0.25 * (y + lambda), 0.25 * (z + lambda));
    }
    f64::NAN
}

/// Carlson's R_D(x, y, z).
fn carlson_d(x: f64, y: f64, z: f64) -> f64 {
    let (mut x, mut y, mut z) = (x, y, z);
    let (mut sum, mut factor) = (0.0, 1.0);
    for _ in 0..MAX_STEPS {
        let mean = (x + y + 3.0 * z) / 5.0;
        let (dx, dy, dz) = (1.0 - x / mean, 1.0 - y / mean, 1.0 - z / mean);
        if dx.abs().max(dy.abs()).max(dz.abs()) < 1.0e-3 {
            let (ea, eb) = (dx * dy, dz * dz);
            let (ec, ed, ee) = (ea - eb, ea - 6.0 * eb, ea + ea - 6.0 * eb + 2.0 * (ea - eb));
            // Carlson 1995 as arranged in Press et al., Numerical Recipes, 6.11 (function rd).
            let series = 1.0
                + ed * (-3.0 / 14.0 + 9.0 / 88.0 * ed - 4.5 / 26.0 * dz * ee)
                + dz * (ee / 6.0 + dz * (-9.0 / 22.0 * ec + dz * 3.0 / 26.0 * ea));
            return 3.0 * sum + factor * series / (mean * mean.sqrt());
        }
        let lambda = (x * y).sqrt() + (y * z).sqrt() + (z * x).sqrt();
        sum += factor / (z.sqrt() * (z + lambda));
        factor *= 0.25;
        (x, y, z) = (0.25 * (x + lambda), 0.25 * (y + lambda), 0.25 * (z + lambda));
    }
    f64::NAN
}

/// Carlson's R_F(x, y, z) and R_D(x, y, z) at once: both use the same duplication steps, and the square
/// roots of those are most of the work.
fn carlson_f_and_d(x: f64, y: f64, z: f64) -> (f64, f64) {
    let (mut x, mut y, mut z) = (x, y, z);
    let (mut sum, mut factor) = (0.0, 1.0);
    for _ in 0..MAX_STEPS {
        let mean = (x + y + z) / 3.0;
        let apart = (x - mean).abs().max((y - mean).abs()).max((z - mean).abs());
        // R_D uses a mean nearer to z, and the departures from it are at most 6/5 as large.
        if apart < 0.8e-3 * mean {
            let (f, d) = (carlson_f(x, y, z), carlson_d(x, y, z));
            return (f, 3.0 * sum + factor * d);
        }
        let (rx, ry, rz) = (x.sqrt(), y.sqrt(), z.sqrt());
        let lambda = rx * ry + ry * rz + rz * rx;
        sum += factor / (rz * (z + lambda));
        factor *= 0.25;
        (x, y, z) = (0.25 * (x + lambda), 0.25 * (y + lambda), 0.25 * (z + lambda));
    }
    (f64::NAN, f64::NAN)
}

/// Splits φ into whole half-turns and a remainder in `[-π/2, π/2]`.
fn split(phi: f64) -> (f64, f64) {
    let turns = (phi / PI).round();
    (turns, phi - turns * PI)
}

/// 1 − m sin² φ from s = sin φ and c = cos φ, as a sum of positive terms:
/// the difference loses digits where m is near 1.
fn delta_squared(s: f64, c: f64, m: f64) -> f64 {
    c * c + (1.0 - m) * s * s
}

/// Incomplete integral of the second kind, E(φ | m), φ in radians, any size.
#[must_use]
pub(crate) fn incomplete_e(phi: f64, m: f64) -> f64 {
    let (turns, rest) = split(phi);
    let (s, c) = rest.sin_cos();
    let whole = if turns == 0.0 { 0.0 } else { 2.0 * turns * complete_e(m) };
    let q = delta_squared(s, c, m);
    // DLMF 19.25.10: a sum of positive terms, where 19.25.9 is a difference of large ones as m nears 1.
    // c >= 0, because the remainder lies within a quarter turn of 0.
    let (f, d) = carlson_f_and_d(c * c, 1.0, q);
    let sum = (1.0 - m) * f + m * c.max(0.0) / q.sqrt();
    whole + s * (sum + m * (1.0 - m) / 3.0 * s * s * d)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn second_method_simpson() {
        // Simpson's rule on 20,000 intervals is good to 1e-14 here.
        for (phi, m) in [(0.4, 0.3), (1.2, 0.9), (1.5, 0.5), (2.9, 0.7), (-0.8, 0.2)] {
            let n = 20_000;
            let h = phi / f64::from(n);
            let f = |t: f64| (1.0 - m * t.sin().powi(2)).sqrt();
            let simpson: f64 = (0..n)
                .map(|i| {
                    let t = h * f64::from(i);
                    h / 6.0 * (f(t) + 4.0 * f(t + h / 2.0) + f(t + h))
                })
                .sum();
            assert!((incomplete_e(phi, m) - simpson).abs() < 1e-12, "{phi} {m}");
        }
    }

    #[test]
    fn ends_meet_the_complete_integrals() {
        for m in [0.0, 0.3, 0.9, 0.99] {
            assert!((incomplete_e(FRAC_PI_2, m) - complete_e(m)).abs() < 1e-14);
        }
        assert!(complete_e(1.1).is_nan());
    }

    /// Recomputed values; the arguments are those of Abramowitz and Stegun 1964,
    /// Table 17.1 (and DLMF chapter 19).
    #[test]
    fn complete_integrals() {
        // m, E.
        let rows = [
            (0.0, FRAC_PI_2),
            (0.1, 1.5307576368977632),
            (0.2, 1.4890350580958529),
            (0.25, 1.4674622093394272),
            (0.3, 1.4453630644126652),
            (0.4, 1.3993921388974322),
            (0.5, 1.3506438810476755),
            (0.6, 1.2984280350469132),
            (0.7, 1.2416705679458228),
            (0.75, 1.2110560275684595),
            (0.8, 1.1784899243278385),
            (0.9, 1.1047747327040733),
            (0.99, 1.0159935450252239),
        ];
        for (m, e) in rows {
            // A dozen roundings of numbers of size 1.
            assert!((complete_e(m) - e).abs() < 1e-14, "E({m})");
        }
    }

    /// Recomputed values; the arguments are those of Abramowitz and Stegun 1964,
    /// Tables 17.5 and 17.6, where m = sin² α.
    #[test]
    fn incomplete_integrals() {
        // φ and α in degrees, E.
        let rows: [(f64, f64, f64); 9] = [
            (30.0, 30.0, 0.517881934859938),
            (30.0, 60.0, 0.5060920724657259),
            (45.0, 30.0, 0.7671959857111227),
            (45.0, 45.0, 0.7481865041776614),
            (60.0, 30.0, 1.007555555144472),
            (60.0, 60.0, 0.9183932943163253),
            (75.0, 45.0, 1.1634584552708496),
            (90.0, 60.0, 1.2110560275684594),
            (20.0, 80.0, 0.34223649534844114),
        ];
        for (phi, alpha, e) in rows {
            let m = alpha.to_radians().sin().powi(2);
            // Two dozen roundings of numbers of size 1, and the rounding of sin² α.
            assert!((incomplete_e(phi.to_radians(), m) - e).abs() < 1e-14, "E({phi}° | {alpha}°)");
        }
    }
}
