//! One Kalman pass over observations of a fading plane vector, for generalised
//! least squares in linear time.
//!
//! Observation i sees y_i = n_i·e(t_i) + white, where e is an isotropic
//! Ornstein–Uhlenbeck process in the plane with variance `1 − white` in each
//! component and correlation exp(−Δt/τ), and the white part has variance
//! `white · variance_i`. The pass whitens any number of columns at once: the
//! innovations v over √S are the columns times a square root of V⁻¹, so their
//! products are the products by V⁻¹, and Σ ln S is ln det V (P. J. Harrison and
//! C. F. Stevens 1976; A. C. Harvey, Forecasting, Structural Time Series Models
//! and the Kalman Filter, 1989, section 3.4; citations from memory).

/// One observation of the process: its time and the unit vector it sees along.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sight {
    /// Time, in the unit of the process's `tau`; not before the one before it.
    pub time: f64,
    /// First component of the unit vector.
    pub nx: f64,
    /// Second component.
    pub ny: f64,
}

/// Products of whitened columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Whitened {
    /// Aᵀ V⁻¹ A for the columns A, row by row.
    pub products: Vec<f64>,
    /// ln det V.
    pub log_det: f64,
}

/// Whitens `columns` values per observation (row by row in `rows`).
///
/// `tau = 0` is a white process. `None` when the counts don't match, or when a
/// variance is not positive (no white part and two observations at one time).
#[must_use]
pub fn whiten(sights: &[Sight], rows: &[f64], columns: usize, tau: f64, white: f64) -> Option<Whitened> {
    if columns == 0 || rows.len() != sights.len() * columns {
        return None;
    }
    let signal = 1.0 - white;
    let mut mean = vec![[0.0f64; 2]; columns];
    let (mut pxx, mut pxy, mut pyy) = (signal, 0.0, signal);
    let mut products = vec![0.0; columns * columns];
    let mut log_det = 0.0;
    let mut innovation = vec![0.0; columns];
    let mut before = sights.first().map_or(0.0, |s| s.time);
    for (sight, row) in sights.iter().zip(rows.chunks_exact(columns)) {
        let fade = if tau > 0.0 { (-(sight.time - before) / tau).exp() } else { 0.0 };
        before = sight.time;
        let gain = (1.0 - fade * fade) * signal;
        pxx = fade * fade * pxx + gain;
        pyy = fade * fade * pyy + gain;
        pxy *= fade * fade;
        let (px, py) = (pxx * sight.nx + pxy * sight.ny, pxy * sight.nx + pyy * sight.ny);
        let s = px * sight.nx + py * sight.ny + white;
        if s.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater) {
            return None;
        }
        let (kx, ky) = (px / s, py / s);
        for ((m, v), y) in mean.iter_mut().zip(&mut innovation).zip(row) {
            m[0] *= fade;
            m[1] *= fade;
            *v = y - (sight.nx * m[0] + sight.ny * m[1]);
            m[0] += kx * *v;
            m[1] += ky * *v;
        }
        pxx -= kx * px;
        pyy -= ky * py;
        pxy -= kx * py;
        log_det += s.ln();
        let over = 1.0 / s;
        for i in 0..columns {
            let weighted = innovation[i] * over;
            let row = &mut products[i * columns + i..(i + 1) * columns];
            for (product, v) in row.iter_mut().zip(&innovation[i..]) {
                *product += weighted * v;
            }
        }
    }
    for i in 0..columns {
        for j in 0..i {
            products[i * columns + j] = products[j * columns + i];
        }
    }
    Some(Whitened { products, log_det })
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    #[test]
    fn equals_the_dense_inverse() {
        // Second method: build V whole and invert it.
        let sights: Vec<Sight> = (0..25)
            .map(|i| {
                let a = f64::from(i) * 0.37;
                Sight { time: f64::from(i * i) * 0.05, nx: a.cos(), ny: a.sin() }
            })
            .collect();
        let column = |k: usize, i: usize| ((i * (k + 2)) as f64 * 0.7).sin() + k as f64;
        let rows: Vec<f64> = (0..25).flat_map(|i| (0..3).map(move |k| column(k, i))).collect();
        for (tau, white) in [(4.0, 0.2), (0.5, 0.7), (0.0, 1.0)] {
            let w = whiten(&sights, &rows, 3, tau, white).unwrap();
            let v = DMatrix::from_fn(25, 25, |i, j| {
                let (a, b) = (sights[i], sights[j]);
                let fade = if tau > 0.0 {
                    (-(a.time - b.time).abs() / tau).exp()
                } else {
                    f64::from(u8::from(i == j))
                };
                (1.0 - white) * fade * (a.nx * b.nx + a.ny * b.ny) + if i == j { white } else { 0.0 }
            });
            let chol = v.cholesky().unwrap();
            let log_det = 2.0 * chol.l().diagonal().iter().map(|d| d.ln()).sum::<f64>();
            assert!((w.log_det - log_det).abs() < 1e-9);
            for p in 0..3 {
                for q in 0..3 {
                    let (a, b) = (
                        DVector::from_fn(25, |i, _| column(p, i)),
                        DVector::from_fn(25, |i, _| column(q, i)),
                    );
                    let want = a.dot(&chol.solve(&b));
                    assert!((w.products[p * 3 + q] - want).abs() < 1e-8 * (1.0 + want.abs()));
                }
            }
        }
    }
}
