//! From adjusted parameters to an outline's nine, their covariance and spread.

use std::f64::consts::FRAC_PI_2;

use nalgebra::DMatrix;

use super::curve_fit::PARAMETERS;
use super::{FitError, Noise};
use crate::boundary::{Outline, Spread};
use crate::numeric::Covariance;

/// Puts the longer axis first: an adjustment may end with the axes exchanged.
pub(super) fn long_axis_first(mut p: Vec<f64>, mut m: DMatrix<f64>) -> (Vec<f64>, DMatrix<f64>) {
    if p[2] < p[3] {
        p.swap(2, 3);
        p[4] += FRAC_PI_2;
        m.swap_rows(2, 3);
        m.swap_columns(2, 3);
    }
    (p, m)
}

/// Radians counter-clockwise from east to degrees of bearing, in a covariance.
pub(super) fn in_degrees(m: &DMatrix<f64>, angles: &[usize]) -> Option<Covariance> {
    let k = m.nrows();
    let unit = |i: usize| if angles.contains(&i) { -1f64.to_degrees() } else { 1.0 };
    let rows: Vec<f64> = (0..k)
        .flat_map(|i| (0..k).map(move |j| (i, j)))
        .map(|(i, j)| m[(i, j)] * unit(i) * unit(j))
        .collect();
    Covariance::from_rows(k, &rows)
}

/// Half the length of an ellipse whose goal lines are where it is `end` wide
/// across its first axis, and its derivatives by the two semi-axes.
pub(super) fn half_length(a: f64, b: f64, end: f64) -> Option<[f64; 3]> {
    let h = 0.5 * end;
    let q = 1.0 - (h / b) * (h / b);
    (q > 0.0).then(|| {
        let root = q.sqrt();
        [a * root, root, a * h * h / (b * b * b * root)]
    })
}

/// Gradients of length and width by the parameters, for the interval's ratio.
pub(super) fn length_and_width(p: &[f64], shape: usize, end: f64) -> Vec<Vec<f64>> {
    let k = p.len();
    let mut length = vec![0.0; k];
    let mut width = vec![0.0; k];
    let (long, short) = if p[2] >= p[3] { (2, 3) } else { (3, 2) };
    width[short] = 2.0;
    if shape == 9 {
        length[8] = 2.0;
    } else if let Some([_, by_a, by_b]) = half_length(p[long], p[short], end) {
        length[long] = 2.0 * by_a;
        length[short] = 2.0 * by_b;
    }
    vec![length, width]
}

/// Nine parameters and their covariance, radians: as adjusted, or with the goals
/// that follow from the ellipse (Σ₉ = T Σ₅ Tᵀ).
pub(super) fn nine(p: &mut Vec<f64>, m: DMatrix<f64>, end: f64) -> Option<([f64; 9], DMatrix<f64>)> {
    if p.len() == 9 {
        return Some((<[f64; 9]>::try_from(p.as_slice()).ok()?, m));
    }
    let [half, by_a, by_b] = half_length(p[2], p[3], end)?;
    let mut t = DMatrix::zeros(9, PARAMETERS);
    for i in 0..PARAMETERS {
        t[(i, i)] = 1.0;
    }
    t[(5, 0)] = 1.0;
    t[(6, 1)] = 1.0;
    t[(7, 4)] = 1.0;
    t[(8, 2)] = by_a;
    t[(8, 3)] = by_b;
    let turn = p[4];
    p.extend_from_slice(&[p[0], p[1], turn, half]);
    Some((<[f64; 9]>::try_from(p.as_slice()).ok()?, &t * m * t.transpose()))
}

pub(super) fn outline_of(p: &[f64; 9]) -> Result<Outline, FitError> {
    let mut q = *p;
    q[4] = 90.0 - p[4].to_degrees();
    q[7] = 90.0 - p[7].to_degrees();
    Outline::from_parameters(&q).map_err(|e| FitError::Posts(e.into()))
}

/// Errors that residuals can't show, each an axis of its own: the whole line off
/// by a steady distance, and the whole survey off in scale.
pub(super) fn unseen_errors(spread: &mut Spread, p: &[f64; 9], end: f64, noise: &Noise, goals_follow: bool) {
    off_the_line(spread, p, end, noise.line_offset_sd_m, goals_follow);
    let k = noise.scale_sd;
    let mut step = [0.0; 9];
    for i in [2, 3, 8] {
        step[i] = k * p[i];
    }
    // About the goals' midpoint, so that the curve's centre moves with its distance from there.
    step[0] = k * (p[0] - p[5]);
    step[1] = k * (p[1] - p[6]);
    spread.add_axis(step);
}

/// The whole line farther out or in than the curve, by this one standard deviation, m.
pub(super) fn off_the_line(spread: &mut Spread, p: &[f64; 9], end: f64, sd_m: f64, goals_follow: bool) {
    let mut step = [0.0; 9];
    step[2] = sd_m;
    step[3] = sd_m;
    if goals_follow && let Some([_, by_a, by_b]) = half_length(p[2], p[3], end) {
        step[8] = sd_m * (by_a + by_b);
    }
    spread.add_axis(step);
}
