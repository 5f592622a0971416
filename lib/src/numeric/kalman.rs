//! One Kalman pass over observations of an autocorrelated plane vector, for
//! generalised least squares in linear time.
//!
//! Observation i sees y_i = n_i·e(t_i) + white, where e is an isotropic process in the
//! plane with variance `1 − white` in each component, and the white part has variance
//! `white`. The autocorrelation of the process is either e^(−|Δt|/τ) (Ornstein–Uhlenbeck: a
//! rough path), or (1 + x) e^(−x) with x = 2|Δt|/τ (Matérn of order 3/2: a smooth path, as of a
//! filtered receiver). The integral of either from zero to infinity is τ.
//!
//! The pass whitens any number of columns at once. The innovations v divided by √S are the
//! columns times a square root of V⁻¹, so their products are the products with V⁻¹, and
//! Σ ln S is ln det V (P. J. Harrison and C. F. Stevens 1976; A. C. Harvey, Forecasting,
//! Structural Time Series Models and the Kalman Filter, 1989, section 3.4; the state form of
//! Matérn processes: J. Hartikainen and S. Särkkä 2010; citations from memory).
//!
//! The state of each component is its value, and its rate divided by 2/τ; both have the
//! process's variance. A step of x multiplies them by e^(−x) [[1 + x, x], [−x, 1 − x]]. The
//! rough process uses the value alone.

/// One observation of the process: its time and the unit vector of the component that it observes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Sight {
    /// Time, in the unit of the process's `tau`; not earlier than the previous observation.
    pub(crate) time: f64,
    /// First component of the unit vector.
    pub(crate) nx: f64,
    /// Second component.
    pub(crate) ny: f64,
}

/// Products of whitened columns.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Whitened {
    /// Aᵀ V⁻¹ A for the columns A, row by row.
    pub(crate) products: Vec<f64>,
    /// ln det V.
    pub(crate) log_det: f64,
}

/// The form of a process's autocorrelation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Memory {
    /// Exponential: the path is rough.
    Rough,
    /// That of a Matérn process of order 3/2: the path is smooth.
    Smooth,
}

/// Size of the state: x, its rate, y, its rate.
const STATES: usize = 4;
type State = [f64; STATES];

/// Whitens `columns` values per observation (row by row in `rows`).
///
/// `tau = 0` is a white process. Returns `None` when the counts don't match, or when a
/// variance is not positive (as with no white part and two observations at one time).
#[must_use]
pub(crate) fn whiten(
    sights: &[Sight],
    rows: &[f64],
    columns: usize,
    memory: Memory,
    tau: f64,
    white: f64,
) -> Option<Whitened> {
    if columns == 0 || rows.len() != sights.len() * columns {
        return None;
    }
    let signal = 1.0 - white;
    let mut mean = vec![[0.0; STATES]; columns];
    let mut p = [[0.0; STATES]; STATES];
    for (i, row) in p.iter_mut().enumerate() {
        row[i] = signal;
    }
    let mut products = vec![0.0; columns * columns];
    let mut log_det = 0.0;
    let mut innovation = vec![0.0; columns];
    let mut before = sights.first().map_or(0.0, |s| s.time);
    for (sight, row) in sights.iter().zip(rows.chunks_exact(columns)) {
        let step = step(memory, tau, sight.time - before);
        before = sight.time;
        p = predicted(&p, &step, signal);
        // P h, with h = (nx, 0, ny, 0).
        let ph: State = std::array::from_fn(|i| p[i][0] * sight.nx + p[i][2] * sight.ny);
        let s = ph[0] * sight.nx + ph[2] * sight.ny + white;
        if s.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater) {
            return None;
        }
        let over = 1.0 / s;
        let gain: State = ph.map(|v| v * over);
        let [[a, b], [c, d]] = step;
        for ((m, v), y) in mean.iter_mut().zip(&mut innovation).zip(row) {
            let moved = [a * m[0] + b * m[1], c * m[0] + d * m[1], a * m[2] + b * m[3], c * m[2] + d * m[3]];
            *v = y - (sight.nx * moved[0] + sight.ny * moved[2]);
            *m = std::array::from_fn(|i| moved[i] + gain[i] * *v);
        }
        for (row, k) in p.iter_mut().zip(gain) {
            for (entry, h) in row.iter_mut().zip(ph) {
                *entry -= k * h;
            }
        }
        log_det += s.ln();
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

/// The transition matrix of a component's value and rate over a time `dt`.
fn step(memory: Memory, tau: f64, dt: f64) -> [[f64; 2]; 2] {
    if tau <= 0.0 {
        return [[0.0; 2]; 2];
    }
    match memory {
        Memory::Rough => [[(-dt / tau).exp(), 0.0], [0.0, 0.0]],
        Memory::Smooth => {
            let x = 2.0 * dt / tau;
            let fade = (-x).exp();
            [[fade * (1.0 + x), fade * x], [-fade * x, fade * (1.0 - x)]]
        }
    }
}

/// The predicted covariance A P Aᵀ + signal (1 − A Aᵀ), where A applies `step` to both components.
fn predicted(p: &[State; STATES], step: &[[f64; 2]; 2], signal: f64) -> [State; STATES] {
    let [[a, b], [c, d]] = *step;
    let turn =
        |v: State| [a * v[0] + b * v[1], c * v[0] + d * v[1], a * v[2] + b * v[3], c * v[2] + d * v[3]];
    // Rows, then columns of the symmetric product.
    let rows = p.map(turn);
    let column = |j: usize| -> State { turn(std::array::from_fn(|i| rows[i][j])) };
    let columns: [State; STATES] = std::array::from_fn(column);
    let lost = [[1.0 - a * a - b * b, -a * c - b * d], [-a * c - b * d, 1.0 - c * c - d * d]];
    std::array::from_fn(|i| {
        std::array::from_fn(|j| {
            let same = i / 2 == j / 2;
            columns[j][i] + if same { signal * lost[i % 2][j % 2] } else { 0.0 }
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    #[test]
    fn equals_the_dense_inverse() {
        // Second method: build the whole of V and invert it.
        let sights: Vec<Sight> = (0..25)
            .map(|i| {
                let a = f64::from(i) * 0.37;
                Sight { time: f64::from(i * i) * 0.05, nx: a.cos(), ny: a.sin() }
            })
            .collect();
        let column = |k: usize, i: usize| ((i * (k + 2)) as f64 * 0.7).sin() + k as f64;
        let rows: Vec<f64> = (0..25).flat_map(|i| (0..3).map(move |k| column(k, i))).collect();
        use Memory::{Rough, Smooth};
        for (memory, tau, white) in [
            (Rough, 4.0, 0.2),
            (Rough, 0.5, 0.7),
            (Rough, 0.0, 1.0),
            (Smooth, 4.0, 0.2),
            (Smooth, 9.0, 0.01),
            (Smooth, 0.0, 1.0),
        ] {
            let w = whiten(&sights, &rows, 3, memory, tau, white).unwrap();
            let v = DMatrix::from_fn(25, 25, |i, j| {
                let (a, b) = (sights[i], sights[j]);
                let apart = (a.time - b.time).abs();
                let fade = if tau > 0.0 && memory == Rough {
                    (-apart / tau).exp()
                } else if tau > 0.0 {
                    (1.0 + 2.0 * apart / tau) * (-2.0 * apart / tau).exp()
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
