//! The common errors of sources and tapes as adjusted, and the measured lengths beside those of the ground.

use super::form::Form;
use super::observation::Span;
use super::report::{Shift, SpanFit};
use super::sources::{Common, Commons, Known};
use super::span;
use crate::survey::LocalSurvey;

/// The adjusted common errors of each source.
pub(super) fn shifts(
    commons: &Commons,
    full: &[f64],
    covariance: &nalgebra::DMatrix<f64>,
    shape: usize,
) -> Vec<Shift> {
    let mut list = Vec::new();
    for (&Known { what, sd: allowed_sd, .. }, at) in commons.list.iter().zip(commons.first(shape)) {
        let parts = if matches!(what, Common::Place { .. }) { 2 } else { 1 };
        for i in at..at + parts {
            let sd = covariance[(i, i)].max(0.0).sqrt();
            list.push(Shift { what, north: i > at, value: full[i], sd, allowed_sd });
        }
    }
    list
}

/// Each measured length beside the same length of the adjusted ground.
pub(super) fn spans(
    survey: &LocalSurvey,
    used: &[(usize, f64)],
    form: &Form,
    shape: &[f64],
    end_width_m: f64,
) -> Vec<SpanFit> {
    survey
        .spans
        .iter()
        .enumerate()
        .filter_map(|(index, s)| {
            let kind = if s.wing_to_wing { Span::WingToWing } else { Span::GoalToGoal };
            Some(SpanFit {
                index,
                adjusted_m: span::length(kind, form, shape, end_width_m)?,
                used: used.iter().any(|u| u.0 == index),
            })
        })
        .collect()
}
