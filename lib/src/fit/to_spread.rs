//! From adjusted parameters to an outline's, their covariance and spread.

use std::f64::consts::FRAC_PI_2;

use nalgebra::DMatrix;

use super::follow::follow;
use super::form::Form;
use super::observation::{GOALS, Span};
use super::{Noise, span};
use crate::boundary::{BoundaryError, Outline, Spread};
use crate::frame::Plan;
use crate::geometry::{ClosedCurve as _, Point};
use crate::numeric::Covariance;
use crate::units::{Bearing, Invalid};

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

/// Gradients of length and width by the parameters of curve and goals, for the interval's ratio.
pub(super) fn length_and_width(form: &Form, p: &[f64], shape: usize, end: f64) -> Vec<Vec<f64>> {
    [Span::GoalToGoal, Span::WingToWing]
        .into_iter()
        .filter_map(|kind| {
            let (_, mut gradient) = span::length_and_gradient(kind, form, &p[..shape], end)?;
            gradient.resize(p.len(), 0.0);
            Some(gradient)
        })
        .collect()
}

/// Parameters of an outline and their covariance, radians: as adjusted, or with the goals
/// that follow from the curve (T Σ Tᵀ).
pub(super) fn with_goals(form: &Form, p: &mut Vec<f64>, m: DMatrix<f64>, end: f64) -> Option<DMatrix<f64>> {
    let k = form.count();
    if p.len() == k + GOALS {
        return Some(m);
    }
    let followed = follow(form, p, end)?;
    let mut t = DMatrix::zeros(k + GOALS, k);
    t.view_mut((0, 0), (k, k)).fill_with_identity();
    t.view_mut((k, 0), (GOALS, k)).copy_from(&followed.by);
    p.extend(followed.goals);
    Some(&t * m * t.transpose())
}

/// The outline of the parameters of curve and goals.
///
/// # Errors
/// Why they give none.
pub(super) fn outline_of(form: &Form, p: &[f64]) -> Result<Outline, BoundaryError> {
    let k = form.count();
    let Some(curve) = form.curve(p) else {
        return Err(Invalid::Impossible { what: "its sizes are none" }.into());
    };
    let made = Bearing::from_degrees(90.0 - p[k + 2].to_degrees())
        .and_then(|axis| Plan::new(Point::new(p[k], p[k + 1]), axis))
        .and_then(|plan| Outline::new(curve, plan, p[k + 3]));
    Ok(made?)
}

/// Which parameters of an outline are directions.
pub(super) fn directions(form: &Form) -> Vec<usize> {
    form.directions().iter().copied().chain([form.count() + 2]).collect()
}

/// Adds the errors that residuals can't show, each as an axis of its own: a constant offset of the whole
/// line, and a scale error of the whole survey.
pub(super) fn unseen_errors(
    spread: &mut Spread,
    form: &Form,
    p: &[f64],
    end: f64,
    noise: &Noise,
    follows: bool,
) {
    off_the_line(spread, form, p, end, noise.line_offset_sd_m, follows);
    let k = form.count();
    let s = noise.scale_sd;
    let mut step = vec![0.0; p.len()];
    // About the goals' midpoint, so that the curve's centre moves with its distance from there.
    let middle = Point::new(p[k], p[k + 1]);
    match form {
        Form::Freeform(f) => {
            for (i, to) in step[..k].iter_mut().enumerate() {
                let t = std::f64::consts::TAU * i as f64 / k as f64;
                let normal = f.base.normal(t);
                *to = s * (normal.dot(f.base.at_parameter(t) - middle) + p[i]);
            }
        }
        _ => {
            for &i in form.sizes() {
                step[i] = s * p[i];
            }
            step[0] = s * (p[0] - middle.x);
            step[1] = s * (p[1] - middle.y);
        }
    }
    step[k + 3] = s * p[k + 3];
    spread.add_axis(step);
}

/// Adds an error that moves the whole line out or in, with this standard deviation, m.
pub(super) fn off_the_line(spread: &mut Spread, form: &Form, p: &[f64], end: f64, sd_m: f64, follows: bool) {
    let k = form.count();
    let mut step = vec![0.0; p.len()];
    for &i in form.sizes() {
        step[i] = sd_m;
    }
    if follows && let Some(f) = follow(form, &p[..k], end) {
        for g in 0..GOALS {
            step[k + g] = (0..k).map(|i| f.by[(g, i)] * step[i]).sum();
        }
    }
    spread.add_axis(step);
}
