//! The orthogonal-distance optimum: damped Gauss–Newton on the equations of a
//! [`System`](super::system::System).

use nalgebra::{DMatrix, DVector};

use super::system::{System, WITH_GOALS};
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

/// Parameters whose places are moved.
fn moved(p: &[f64], shape: usize, by: Vector<Local>) -> Vec<f64> {
    let mut q = p.to_vec();
    for i in if shape == WITH_GOALS { &[0, 5][..] } else { &[0] } {
        q[*i] += by.x;
        q[*i + 1] += by.y;
    }
    q
}

/// An adjusted set of parameters.
#[derive(Debug, Clone)]
pub(super) struct Adjusted {
    pub(super) parameters: Vec<f64>,
    /// How many of them are the shape's: 5, or 9 with goals.
    pub(super) shape: usize,
    /// JᵀWJ at the optimum, in the parameters' own units.
    pub(super) normal: DMatrix<f64>,
    /// Weighted sum of squares.
    pub(super) sum: f64,
    /// Scalar equations in all.
    pub(super) equations: usize,
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
fn unit_m(p: &[f64], shape: usize, normal: &DMatrix<f64>, i: usize) -> f64 {
    match i {
        4 => p[2].max(p[3]),
        7 if shape == WITH_GOALS => p[8],
        i if i >= shape && normal[(i, i)] > 0.0 => normal[(i, i)].sqrt(),
        _ => 1.0,
    }
}

/// The optimum from a start.
///
/// # Errors
/// [`NoOptimum`].
pub(super) fn adjust(start: &[f64], system: &System, reach_m: f64) -> Result<Adjusted, NoOptimum> {
    let k = start.len();
    let shape = system.shape();
    // About a whole metre near the curve's centre, so that map coordinates of
    // millions of metres cost no digits; taking a whole metre off is exact.
    let origin = Vector::new(start[0].round(), start[1].round());
    let system = &system.moved(-origin);
    let mut p = moved(start, shape, -origin);
    let finished = |p: Vec<f64>, n: Normal| finished(moved(&p, shape, origin), shape, n);
    let mut here = normal(&p, system).ok_or(NoOptimum::Unbounded)?;
    // Nearly none: the direct start is good, and a rejected step brings it in.
    let mut damping = 1e-9;
    let mut last_step = f64::INFINITY;
    for _ in 0..MAX_ITERATIONS {
        let unit: Vec<f64> = (0..k).map(|i| unit_m(&p, shape, &here.matrix, i)).collect();
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
            let size = p[2].abs().max(p[3].abs());
            let step_m = step.amax();
            let usable = q[2] > 0.0 && q[3] > 0.0 && q.iter().all(|v| v.is_finite());
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
                    if step_m <= STEP_ACCURACY * size || stagnates {
                        return Ok(finished(p, here));
                    }
                    break;
                }
                _ => {
                    if step_m <= STEP_ACCURACY * size {
                        return Ok(finished(p, here));
                    }
                    damping = (damping * 10.0).max(1e-12);
                }
            }
        }
        if p[2].max(p[3]) > 50.0 * reach_m {
            return Err(NoOptimum::Unbounded);
        }
        if !accepted {
            // No downhill step of any size: the optimum to the last digit.
            return Ok(finished(p, here));
        }
    }
    Err(NoOptimum::DidNotConverge { after: MAX_ITERATIONS, last_step_m: last_step })
}

fn finished(parameters: Vec<f64>, shape: usize, n: Normal) -> Adjusted {
    Adjusted { parameters, shape, normal: n.matrix, sum: n.sum, equations: n.equations }
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
        let unit: Vec<f64> = (0..k).map(|i| unit_m(&self.parameters, self.shape, &self.normal, i)).collect();
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
    use super::super::system::{Observation, Of, ellipse_of};
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
