//! The linearised equations of an adjustment. The fixes whose errors share an unknown scale (the group) are
//! kept apart from the other equations.

use std::sync::Arc;

use nalgebra::{DMatrix, DVector};

use super::clock::Clock;
use super::form::{Form, Smooth};
use super::observation::Observation;
use super::system::{Seen, System};
use crate::numeric::{Memory, Sight, Whitened, whiten};

/// The rounding of a fix's coordinates, m. A curve that passes its points more closely than that fits them no
/// better, and a scatter of 0 would make it infinitely likely.
const ROUNDING_M: f64 = 1e-7;
/// How far below zero rounding may take the remainder of a sum of squares, as a share of the sum.
const CANCELLED: f64 = 1e-9;

/// The fixes whose errors share an unknown scale, which is estimated from their residuals.
#[derive(Clone, Copy)]
pub(super) enum Group<'a> {
    /// The fixes of walks, with the times of a clock. Their errors are autocorrelated.
    Walks(&'a Clock),
    /// All points of the line, independent of each other.
    Line,
    /// None: every measure has its own standard deviation.
    None,
}

/// The equations, linearised at one set of parameters.
pub(super) struct Linear {
    sights: Vec<Sight>,
    /// Row and residual of each fix of the group, m.
    rows: Vec<f64>,
    /// Residual and row of every other equation, over its standard deviation.
    pub(super) others: Vec<(f64, Vec<f64>)>,
    /// Number of parameters.
    pub(super) columns: usize,
    /// Number of the curve's parameters.
    pub(super) curve: usize,
    /// Number of the curve's parameters that have no prior.
    pub(super) free: usize,
    /// Priors of a freeform line, and the values of its offsets.
    pub(super) smooths: Option<Arc<Vec<Smooth>>>,
    pub(super) offsets: DVector<f64>,
    /// Sum of the logarithms of the standard deviations that equations of the line were divided by.
    pub(super) log_sd: f64,
    /// Sum of squares that the rounding of the group's coordinates alone gives.
    rounding: f64,
    /// The stated standard deviation of the group's fixes, m; 0 where none is stated.
    pub(super) stated_sd: f64,
}

/// The group's normal equations for a scale of one. The curve's parameters come first.
pub(super) struct Sums {
    /// JᵀV⁻¹J.
    pub(super) normal: DMatrix<f64>,
    /// JᵀV⁻¹r.
    pub(super) right: DVector<f64>,
    /// rᵀV⁻¹r.
    pub(super) square: f64,
    /// ln |V|.
    pub(super) log_det: f64,
}

impl Linear {
    /// `None` where the parameters make no curve or the group's fixes are too few.
    pub(super) fn at(p: &[f64], system: &System, group: Group<'_>) -> Option<Self> {
        let (smooths, curve) = match &system.form {
            Form::Freeform(f) => (Some(f.smooths.clone()), system.form.count()),
            form => (None, form.count()),
        };
        let mut l = Self {
            sights: Vec::new(),
            rows: Vec::new(),
            others: Vec::new(),
            columns: p.len(),
            curve,
            free: system.form.free(),
            smooths,
            offsets: DVector::from_column_slice(&p[..curve]),
            log_sd: 0.0,
            rounding: 0.0,
            stated_sd: if let Group::Walks(clock) = group { clock.stated_sd_m } else { 0.0 },
        };
        let mut times = match group {
            Group::Walks(clock) => clock.times_s.as_slice(),
            _ => &[],
        }
        .iter();
        system.each_equation(p, |seen, r, g| match (seen, group) {
            (Seen::Smooth, _) => {}
            (Seen::Fix { sd, normal, source }, Group::Walks(clock)) if clock.runs(source) => {
                let time = times.next().copied().unwrap_or(f64::NAN);
                l.sights.push(Sight { time, nx: normal.x, ny: normal.y });
                // Undo the division by the standard deviation: the scale is free here.
                l.rows.extend(g.iter().map(|v| v * sd));
                l.rows.push(r * sd);
                l.rounding += ROUNDING_M * ROUNDING_M;
            }
            (Seen::Fix { sd, normal, .. }, Group::Line) => {
                l.log_sd += sd.ln();
                l.rounding += (ROUNDING_M / sd).powi(2);
                let time = l.sights.len() as f64;
                l.sights.push(Sight { time, nx: normal.x, ny: normal.y });
                l.rows.extend_from_slice(g);
                l.rows.push(r);
            }
            _ => {
                l.log_sd += match seen {
                    Seen::Fix { sd, .. } => sd.ln(),
                    Seen::Other(i) => match system.observations[i] {
                        Observation::LineAtPost { sd, .. } => sd.ln(),
                        _ => 0.0,
                    },
                    _ => 0.0,
                };
                l.others.push((r, g.to_vec()));
            }
        })?;
        let n = l.sights.len();
        let enough = match group {
            Group::None => n == 0,
            Group::Line => n >= l.free + 3,
            Group::Walks(clock) => n >= l.free + 3 && n == clock.times_s.len(),
        };
        enough.then_some(l)
    }

    /// Number of fixes in the group.
    pub(super) fn fixes(&self) -> usize {
        self.sights.len()
    }

    /// Degrees of freedom of the group's scale; 0 where there is no group.
    pub(super) fn dof(&self) -> f64 {
        self.sights.len().saturating_sub(self.free) as f64
    }

    /// The group's sum of squares after a solution, at least that of the rounding. `None` where cancellation
    /// left no significant digits.
    pub(super) fn left_over(&self, square: f64, explained: f64) -> Option<f64> {
        let left = square - explained;
        (left.is_finite() && left > -CANCELLED * square).then(|| left.max(self.rounding))
    }

    /// The group's sums for an error with correlation time `tau_s` and the share `white` of its variance
    /// white; for all columns, or for the curve's alone.
    pub(super) fn sums(&self, memory: Memory, tau_s: f64, white: f64, all: bool) -> Option<Sums> {
        let k = if all { self.columns } else { self.curve };
        if self.sights.is_empty() {
            let (normal, right) = (DMatrix::zeros(k, k), DVector::zeros(k));
            return Some(Sums { normal, right, square: 0.0, log_det: 0.0 });
        }
        let mut kept = Vec::new();
        let rows = if k == self.columns {
            &self.rows
        } else {
            kept.reserve_exact((k + 1) * self.sights.len());
            for row in self.rows.chunks_exact(self.columns + 1) {
                kept.extend_from_slice(&row[..k]);
                kept.extend(row.last());
            }
            &kept
        };
        let Whitened { products, log_det } = whiten(&self.sights, rows, k + 1, memory, tau_s, white)?;
        let at = |i: usize, j: usize| products[i * (k + 1) + j];
        Some(Sums {
            normal: DMatrix::from_fn(k, k, at),
            right: DVector::from_fn(k, |i, _| at(i, k)),
            square: at(k, k),
            log_det,
        })
    }
}
