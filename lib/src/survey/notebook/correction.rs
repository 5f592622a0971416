//! Corrections of a taped length: what is added to a reading for slope, temperature and
//! the tape's standard length. All are small, so their order does not matter.

/// Correction for temperature, L·α·(T − T₀): a warm tape has expanded and reads short.
pub(super) fn temperature_m(length_m: f64, expansion: f64, temperature_c: f64, standard_c: f64) -> f64 {
    length_m * expansion * (temperature_c - standard_c)
}

/// Correction for standard length, L·(true − nominal)/nominal: the tape's true length at
/// standard temperature differs from the printed one.
pub(super) fn standard_m(length_m: f64, true_m: f64, nominal_m: f64) -> f64 {
    length_m * (true_m - nominal_m) / nominal_m
}

/// Correction for slope, √(L² − h²) − L, where the ends differ in height by h = `rise_m`.
/// `None` when the rise is as long as the tape.
pub(super) fn rise_m(length_m: f64, rise_m: f64) -> Option<f64> {
    // As −h²/(√(L² − h²) + L), since a difference of two nearly equal lengths would lose digits.
    let level = (length_m * length_m - rise_m * rise_m).sqrt();
    (rise_m.abs() < length_m).then(|| -rise_m * rise_m / (level + length_m))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_corrections() {
        // B. C. Punmia, Surveying vol. 1 (printed answer 0.0031 from memory): 20 m, 6.2e-6 per °F, 55 to 80 °F.
        assert!((temperature_m(20.0, 6.2e-6, 80.0, 55.0) - 0.0031).abs() < 1e-12);
        // civilnoteppt.com: 30 m with a rise of 0.7 m; printed 0.00817.
        assert!((rise_m(30.0, 0.7).unwrap() + 0.008_167_778_543_437_976).abs() < 1e-12);
        // NPTEL 105107122, example 9-6: 120 m with a rise of 3 % of that; printed 119.946.
        assert!((120.0 + rise_m(120.0, 0.03 * 120.0).unwrap() - 119.945_987_844_529_43).abs() < 1e-9);
        // J. Mahun, Open Access Surveying Library, Distances E.4 (data published, answers computed): feet and °F.
        assert!((standard_m(436.48, 100.004, 100.0) - 0.017_459_2).abs() < 1e-9);
        assert!((temperature_m(436.48, 6.5e-6, 50.0, 70.0) + 0.056_742_4).abs() < 1e-9);
        assert_eq!(rise_m(1.0, 2.0), None);
    }
}
