//! The orthogonal-distance optimum: damped Gauss–Newton on the equations of a
//! [`System`](super::system::System).

use nalgebra::{DMatrix, DVector};

use super::form::Form;
use super::system::System;
use crate::frame::Local;
use crate::geometry::Vector;

/// Iterations allowed. A walk of an oval takes 4 to 8; the hardest published
/// case (Gander's eight points) about 60.
const MAX_ITERATIONS: usize = 500;
/// Done when a step moves nothing by more than this part of the ellipse's size.
const STEP_ACCURACY: f64 = 1e-13;
/// Or when steps as small as this no longer shrink, m: a tape to a centimetre beside a
/// walk to metres leaves that much to rounding.
const STAGNATION_M: f64 = 1e-9;

/// Curves of pieces have kinks in their second derivative, and steps there shrink slower
/// than by squares: done when one moves nothing by more than this, m.
const PIECES_ACCURACY_M: f64 = 1e-7;
/// And they go round kinks for ever where two are equally good: the best by then serves.
const PIECES_ITERATIONS: usize = 40;

/// Parameters whose places are moved.
fn moved(p: &[f64], system: &System, by: Vector<Local>) -> Vec<f64> {
    let mut q = p.to_vec();
    for i in system.form.moves().iter().copied().chain(system.goals()) {
        q[i] += by.x;
        q[i + 1] += by.y;
    }
    q
}

/// An adjusted set of parameters.
#[derive(Debug, Clone)]
pub(super) struct Adjusted {
    pub(super) parameters: Vec<f64>,
    /// How many of them are the curve's and the goals'.
    pub(super) shape: usize,
    /// JᵀWJ at the optimum, in the parameters' own units.
    pub(super) normal: DMatrix<f64>,
    /// Weighted sum of squares.
    pub(super) sum: f64,
    /// Scalar equations in all.
    pub(super) equations: usize,
    units: Units,
}

/// Why there is no optimum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum NoOptimum {
    /// The ellipse grew without bound: the points bend away from closing.
    Unbounded,
    /// The bound on iterations was reached.
    DidNotConverge { after: usize, last_step_m: f64 },
}

/// Normal matrix, JᵀWr, weighted sum of squares, count of equations.
struct Normal {
    matrix: DMatrix<f64>,
    right: DVector<f64>,
    sum: f64,
    equations: usize,
}

fn normal(p: &[f64], system: &System) -> Option<Normal> {
    let k = p.len();
    // Upper triangle, row by row: this is the inner loop of every fit.
    let mut m = vec![0.0f64; k * k];
    let mut right = vec![0.0f64; k];
    let (mut sum, mut count) = (0.0, 0usize);
    let fine = system.each_equation(p, |_, r, row| {
        for (i, &g) in row.iter().enumerate() {
            if g == 0.0 {
                continue;
            }
            right[i] += g * r;
            for (into, h) in m[i * k + i..(i + 1) * k].iter_mut().zip(&row[i..]) {
                *into += g * h;
            }
        }
        sum += r * r;
        count += 1;
    });
    (fine.is_some() && sum.is_finite()).then(|| Normal {
        matrix: DMatrix::from_fn(k, k, |i, j| if i <= j { m[i * k + j] } else { m[j * k + i] }),
        right: DVector::from_vec(right),
        sum,
        equations: count,
    })
}

/// What a unit of each parameter of the shape moves on the ground, m: angles turn the
/// ellipse's size. A source's own parameters are ratios and metres, held by standard
/// deviations from a millionth to fifty, so their unit is what the equations know of
/// them: without it the weakest would drown in the rounding of the strongest.
fn unit_m(p: &[f64], system: &Units, normal: &DMatrix<f64>, i: usize) -> f64 {
    if system.directions.contains(&i) {
        return system.size_m(p);
    }
    match system.goals {
        Some(from) if i == from + 2 => p[from + 3],
        _ if i >= system.shape && normal[(i, i)] > 0.0 => normal[(i, i)].sqrt(),
        _ => 1.0,
    }
}

/// What the units of the parameters are taken from.
#[derive(Debug, Clone)]
pub(super) struct Units {
    form: Form,
    directions: &'static [usize],
    goals: Option<usize>,
    shape: usize,
}

impl Units {
    fn of(system: &System) -> Self {
        let (form, goals, shape) = (system.form.clone(), system.goals(), system.shape());
        Self { directions: form.directions(), form, goals, shape }
    }

    fn size_m(&self, p: &[f64]) -> f64 {
        self.form.about(p).1
    }
}

/// The optimum from a start.
///
/// # Errors
/// [`NoOptimum`].
pub(super) fn adjust(start: &[f64], system: &System, reach_m: f64) -> Result<Adjusted, NoOptimum> {
    let k = start.len();
    let units = Units::of(system);
    // About a whole metre near the curve's centre, so that map coordinates of
    // millions of metres cost no digits; taking a whole metre off is exact.
    let about = system.form.about(start).0;
    let origin = Vector::new(about.x.round(), about.y.round());
    let system = &system.moved(-origin).ok_or(NoOptimum::Unbounded)?;
    let mut p = moved(start, system, -origin);
    let finished = |p: Vec<f64>, n: Normal| Adjusted {
        parameters: moved(&p, system, origin),
        shape: units.shape,
        normal: n.matrix,
        sum: n.sum,
        equations: n.equations,
        units: units.clone(),
    };
    let whole = matches!(system.form, Form::Ellipse);
    let iterations = if whole { MAX_ITERATIONS } else { PIECES_ITERATIONS };
    let mut here = normal(&p, system).ok_or(NoOptimum::Unbounded)?;
    // Nearly none: the direct start is good, and a rejected step brings it in.
    let mut damping = 1e-9;
    let mut last_step = f64::INFINITY;
    for _ in 0..iterations {
        let unit: Vec<f64> = (0..k).map(|i| unit_m(&p, &units, &here.matrix, i)).collect();
        // In metres on the ground, so that one damping suits all.
        let scaled = DMatrix::from_fn(k, k, |i, j| here.matrix[(i, j)] / (unit[i] * unit[j]));
        let right = DVector::from_fn(k, |i, _| -here.right[i] / unit[i]);
        let mean = scaled.trace() / k as f64;
        let mut accepted = false;
        // Each rejection multiplies the damping by ten; 30 reach any step there is.
        for _ in 0..30 {
            let damped = &scaled + DMatrix::identity(k, k) * (damping * mean);
            let Some(factor) = damped.cholesky() else {
                damping = (damping * 10.0).max(1e-12);
                continue;
            };
            let step = factor.solve(&right);
            let q: Vec<f64> = (0..k).map(|i| p[i] + step[i] / unit[i]).collect();
            let accuracy_m = if whole { STEP_ACCURACY * units.size_m(&p) } else { PIECES_ACCURACY_M };
            let step_m = step.amax();
            let sizes = matches!(system.form, Form::Freeform(_)) || (q[2] > 0.0 && q[3] > 0.0);
            let usable = sizes && q.iter().all(|v| v.is_finite());
            let there = if usable { normal(&q, system) } else { None };
            match there {
                // Near the optimum the sum no longer tells better from worse: a
                // shrinking step is then accepted as long as the sum does not grow
                // beyond its rounding.
                Some(there) if there.sum <= here.sum * (1.0 + 1e-13) + f64::MIN_POSITIVE => {
                    p = q;
                    here = there;
                    accepted = true;
                    let stagnates = step_m < STAGNATION_M && step_m > 0.5 * last_step;
                    last_step = step_m;
                    damping = if damping < 1e-11 { 0.0 } else { damping * 0.1 };
                    if step_m <= accuracy_m || stagnates {
                        return Ok(finished(p, here));
                    }
                    break;
                }
                _ => {
                    if step_m <= accuracy_m {
                        return Ok(finished(p, here));
                    }
                    damping = (damping * 10.0).max(1e-12);
                }
            }
        }
        if units.size_m(&p) > 50.0 * reach_m {
            return Err(NoOptimum::Unbounded);
        }
        if !accepted {
            // No downhill step of any size: the optimum to the last digit.
            return Ok(finished(p, here));
        }
    }
    if !whole {
        return Ok(finished(p, here));
    }
    Err(NoOptimum::DidNotConverge { after: MAX_ITERATIONS, last_step_m: last_step })
}

impl Adjusted {
    /// Degrees of freedom.
    pub(super) fn dof(&self) -> f64 {
        self.equations as f64 - self.parameters.len() as f64
    }

    /// (JᵀWJ)⁻¹, with directions that nothing fixes left at nought and said:
    /// `free` counts them. A circle's turn is such a direction.
    pub(super) fn cofactor(&self) -> (DMatrix<f64>, usize) {
        let k = self.parameters.len();
        if k > self.shape {
            // Sources' own parameters have standard deviations of their own, so nothing is
            // free; but what only those hold is weaker by ten orders than what points do,
            // and would be taken for free below. To unit diagonal first, then inverted whole.
            let unit: Vec<f64> = (0..k).map(|i| self.normal[(i, i)].max(f64::MIN_POSITIVE).sqrt()).collect();
            let scaled = DMatrix::from_fn(k, k, |i, j| self.normal[(i, j)] / (unit[i] * unit[j]));
            if let Some(factor) = scaled.cholesky() {
                let inverse = factor.inverse();
                return (DMatrix::from_fn(k, k, |i, j| inverse[(i, j)] / (unit[i] * unit[j])), 0);
            }
        }
        let unit: Vec<f64> = (0..k).map(|i| unit_m(&self.parameters, &self.units, &self.normal, i)).collect();
        let scaled = DMatrix::from_fn(k, k, |i, j| self.normal[(i, j)] / (unit[i] * unit[j]));
        let Some(eigen) = nalgebra::SymmetricEigen::try_new(scaled, f64::EPSILON, 10_000) else {
            return (DMatrix::zeros(k, k), k);
        };
        let largest = eigen.eigenvalues.amax();
        let mut inverse = DMatrix::zeros(k, k);
        let mut free = 0;
        for i in 0..k {
            let value = eigen.eigenvalues[i];
            if value > 1e-12 * largest {
                let v = eigen.eigenvectors.column(i);
                inverse += v * v.transpose() * (1.0 / value);
            } else {
                free += 1;
            }
        }
        (DMatrix::from_fn(k, k, |i, j| inverse[(i, j)] / (unit[i] * unit[j])), free)
    }
}

#[cfg(test)]
mod tests {
    use super::super::form::ellipse_of;
    use super::super::observation::{Observation, Of};
    use super::*;
    use crate::geometry::Point;

    fn points(list: &[[f64; 2]]) -> System {
        let on = |&[x, y]: &[f64; 2]| Observation::OnLine {
            at: Point::new(x, y),
            sd: 1.0,
            inside: 0.0,
            of: Of::default(),
        };
        System::of(list.iter().map(on).collect(), 19.2)
    }

    #[test]
    fn ganders_eight_points() {
        // Gander, Golub and Strebel 1994 (published to four decimals; recomputed): a
        // hard test of convergence, the standard error of the long axis is 8.9.
        let o = points(&[[1., 7.], [2., 6.], [5., 8.], [7., 7.], [9., 5.], [3., 7.], [6., 2.], [8., 4.]]);
        let a = adjust(&[5.06, 5.07, 3.78, 2.64, -0.386], &o, 8.0).unwrap();
        let e = ellipse_of(&a.parameters).unwrap();
        assert!((e.semi_major_m() - 6.518_722_302_526_588).abs() < 1e-7, "{}", e.semi_major_m());
        assert!((a.sum - 1.373_305_539_779_2).abs() < 1e-10);
    }
}
