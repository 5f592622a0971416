//! The orthogonal-distance optimum: damped Gauss–Newton on the signed distances
//! from the points to the curve, with any number of further observations of the
//! goals in the same adjustment.
//!
//! The derivative of a signed distance d = n·(p − f) by a parameter q is
//! −n·∂f/∂q at the fixed foot (the foot's own slide along the curve is square to
//! n), so the Jacobian is exact (Gander, Golub and Strebel 1994, section 4; Ahn,
//! Rauh and Warnecke, Pattern Recognition 34, 2001, 2283–2303).
//!
//! Parameters: centre x, y; semi-axes; turn of the first axis (radians from +x);
//! and with goals: their midpoint x, y; turn of the axis to end A; half-length.

use nalgebra::{DMatrix, DVector};

use crate::frame::Local;
use crate::geometry::{Ellipse, Point, Vector};

/// Iterations allowed. A walk of an oval takes 4 to 8; the hardest published
/// case (Gander's eight points) about 60.
const MAX_ITERATIONS: usize = 500;
/// Done when a step moves nothing by more than this part of the ellipse's size.
const STEP_ACCURACY: f64 = 1e-13;

/// One observation with its standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Observation {
    /// A point on the line.
    OnLine { at: Point<Local>, sd: f64 },
    /// A surveyed post: `end` ±1 along the goal axis, `offset` left of it.
    Post { at: Point<Local>, end: f64, offset: f64, sd: f64 },
    /// The line passes this place of the goals.
    LineAtPost { end: f64, offset: f64, sd: f64 },
}

impl Observation {
    fn moved(self, by: Vector<Local>) -> Self {
        match self {
            Self::OnLine { at, sd } => Self::OnLine { at: at + by, sd },
            Self::Post { at, end, offset, sd } => Self::Post { at: at + by, end, offset, sd },
            Self::LineAtPost { .. } => self,
        }
    }
}

/// Parameters whose places are moved.
fn moved(p: &[f64], by: Vector<Local>) -> Vec<f64> {
    let mut q = p.to_vec();
    for i in [0, 5] {
        if let Some([x, y]) = q.get_mut(i..i + 2).and_then(|s| <&mut [f64; 2]>::try_from(s).ok()) {
            *x += by.x;
            *y += by.y;
        }
    }
    q
}

/// An adjusted set of parameters: 5, or 9 with goals.
#[derive(Debug, Clone)]
pub(super) struct Adjusted {
    pub(super) parameters: Vec<f64>,
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

pub(super) fn ellipse_of(p: &[f64]) -> Option<Ellipse<Local>> {
    Ellipse::from_radians(Point::new(p[0], p[1]), [p[2], p[3]], p[4]).ok()
}

/// Signed distance of `at` from the ellipse and its gradient by the five parameters.
pub(super) fn distance(
    p: &[f64],
    ellipse: &Ellipse<Local>,
    at: Point<Local>,
) -> (f64, [f64; 5], Vector<Local>) {
    let foot = ellipse.foot(at);
    let n = foot.normal;
    let (s, c) = p[4].sin_cos();
    // The foot in the axes of the *parameters*, whose first need not be the longer.
    let r = foot.point - Point::new(p[0], p[1]);
    let (u, v) = (c * r.x + s * r.y, -s * r.x + c * r.y);
    let along = Vector::<Local>::new(c, s);
    let across = Vector::<Local>::new(-s, c);
    let gradient = [
        -n.x,
        -n.y,
        -n.dot(along) * (u / p[2]),
        -n.dot(across) * (v / p[3]),
        // ∂f/∂turn is the radius vector turned a quarter.
        -n.dot(r.to_left()),
    ];
    (foot.signed_distance_m, gradient, n)
}

/// Where the goals put a post: midpoint + end·half·u + offset·v.
pub(super) fn post_place(p: &[f64], end: f64, offset: f64) -> Point<Local> {
    let u = Vector::at_angle(p[7]);
    Point::new(p[5], p[6]) + u * (end * p[8]) + u.to_left() * offset
}

/// Calls `emit(observation, residual, gradient)` for every scalar equation, each
/// over its standard deviation; `None` when the parameters are no ellipse.
pub(super) fn each_equation(
    p: &[f64],
    observations: &[Observation],
    mut emit: impl FnMut(&Observation, f64, &[f64; 9]),
) -> Option<()> {
    let ellipse = ellipse_of(p)?;
    for o in observations {
        match *o {
            Observation::OnLine { at, sd } => {
                let (d, g, _) = distance(p, &ellipse, at);
                let mut row = [0.0; 9];
                for (r, g) in row.iter_mut().zip(g) {
                    *r = g / sd;
                }
                emit(o, d / sd, &row);
            }
            Observation::Post { at, end, offset, sd } => {
                let u = Vector::<Local>::at_angle(p[7]);
                let miss = at - post_place(p, end, offset);
                let turn = u.to_left() * (end * p[8]) - u * offset;
                let along = u * end;
                let row = |unit: Vector<Local>| {
                    [
                        0.0,
                        0.0,
                        0.0,
                        0.0,
                        0.0,
                        -unit.x / sd,
                        -unit.y / sd,
                        -unit.dot(turn) / sd,
                        -unit.dot(along) / sd,
                    ]
                };
                emit(o, miss.x / sd, &row(Vector::new(1.0, 0.0)));
                emit(o, miss.y / sd, &row(Vector::new(0.0, 1.0)));
            }
            Observation::LineAtPost { end, offset, sd } => {
                let u = Vector::<Local>::at_angle(p[7]);
                let at = post_place(p, end, offset);
                let (d, g, n) = distance(p, &ellipse, at);
                let mut row = [0.0; 9];
                for (r, g) in row.iter_mut().zip(g) {
                    *r = g / sd;
                }
                let turn = u.to_left() * (end * p[8]) - u * offset;
                row[5] = n.x / sd;
                row[6] = n.y / sd;
                row[7] = n.dot(turn) / sd;
                row[8] = n.dot(u * end) / sd;
                emit(o, d / sd, &row);
            }
        }
    }
    Some(())
}

/// Normal matrix, JᵀWr, weighted sum of squares, count of equations.
struct Normal {
    matrix: DMatrix<f64>,
    right: DVector<f64>,
    sum: f64,
    equations: usize,
}

fn normal(p: &[f64], observations: &[Observation]) -> Option<Normal> {
    let k = p.len();
    // Upper triangle in a fixed array: this is the inner loop of every fit.
    let mut m = [[0.0f64; 9]; 9];
    let mut right = [0.0f64; 9];
    let (mut sum, mut count) = (0.0, 0usize);
    let fine = each_equation(p, observations, |_, r, row| {
        for i in 0..k {
            right[i] += row[i] * r;
            for j in i..k {
                m[i][j] += row[i] * row[j];
            }
        }
        sum += r * r;
        count += 1;
    });
    (fine.is_some() && sum.is_finite()).then(|| Normal {
        matrix: DMatrix::from_fn(k, k, |i, j| if i <= j { m[i][j] } else { m[j][i] }),
        right: DVector::from_fn(k, |i, _| right[i]),
        sum,
        equations: count,
    })
}

/// What a unit of each parameter moves on the ground, m: angles turn the ellipse's size.
fn unit_m(p: &[f64], i: usize) -> f64 {
    match i {
        4 => p[2].max(p[3]),
        7 => p[8],
        _ => 1.0,
    }
}

/// The optimum from a start.
///
/// # Errors
/// [`NoOptimum`].
pub(super) fn adjust(
    start: &[f64],
    observations: &[Observation],
    reach_m: f64,
) -> Result<Adjusted, NoOptimum> {
    let k = start.len();
    // About a whole metre near the curve's centre, so that map coordinates of
    // millions of metres cost no digits; taking a whole metre off is exact.
    let origin = Vector::new(start[0].round(), start[1].round());
    let near: Vec<Observation> = observations.iter().map(|o| o.moved(-origin)).collect();
    let observations = near.as_slice();
    let mut p = moved(start, -origin);
    let finished = |p: Vec<f64>, n: Normal| finished(moved(&p, origin), n);
    let mut here = normal(&p, observations).ok_or(NoOptimum::Unbounded)?;
    // Nearly none: the direct start is good, and a rejected step brings it in.
    let mut damping = 1e-9;
    let mut last_step = f64::INFINITY;
    for _ in 0..MAX_ITERATIONS {
        let unit: Vec<f64> = (0..k).map(|i| unit_m(&p, i)).collect();
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
            let there = if usable { normal(&q, observations) } else { None };
            match there {
                // Near the optimum the sum no longer tells better from worse: a
                // shrinking step is then accepted as long as the sum does not grow
                // beyond its rounding.
                Some(there) if there.sum <= here.sum * (1.0 + 1e-13) + f64::MIN_POSITIVE => {
                    p = q;
                    here = there;
                    accepted = true;
                    last_step = step_m;
                    damping = if damping < 1e-11 { 0.0 } else { damping * 0.1 };
                    if step_m <= STEP_ACCURACY * size {
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

fn finished(parameters: Vec<f64>, n: Normal) -> Adjusted {
    Adjusted { parameters, normal: n.matrix, sum: n.sum, equations: n.equations }
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
        let unit: Vec<f64> = (0..k).map(|i| unit_m(&self.parameters, i)).collect();
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
    use super::*;

    fn points(list: &[[f64; 2]]) -> Vec<Observation> {
        list.iter().map(|&[x, y]| Observation::OnLine { at: Point::new(x, y), sd: 1.0 }).collect()
    }

    #[test]
    fn the_jacobian_is_the_derivative() {
        let p = [3.0, -2.0, 60.0, 75.0, 0.4, 2.0, -1.0, 0.5, 58.0];
        let all = [
            Observation::OnLine { at: Point::new(70.0, 20.0), sd: 0.5 },
            Observation::Post { at: Point::new(55.0, 25.0), end: 1.0, offset: 9.6, sd: 0.1 },
            Observation::LineAtPost { end: -1.0, offset: -9.6, sd: 0.2 },
        ];
        let values = |p: &[f64]| {
            let mut out = Vec::new();
            each_equation(p, &all, |_, r, row| out.push((r, *row))).unwrap();
            out
        };
        let here = values(&p);
        for k in 0..9 {
            let h = 1e-5;
            let (mut lo, mut hi) = (p, p);
            lo[k] -= h;
            hi[k] += h;
            let (lo, hi) = (values(&lo), values(&hi));
            for i in 0..here.len() {
                let numeric = (hi[i].0 - lo[i].0) / (2.0 * h);
                // Central difference: h² and rounding, times the weights.
                assert!((numeric - here[i].1[k]).abs() < 1e-5 * (1.0 + numeric.abs()), "{i} {k}");
            }
        }
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
