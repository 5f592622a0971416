//! The orthogonal-distance optimum of a [`System`](super::system::System)'s equations.

use nalgebra::{DMatrix, DVector};

use super::form::Form;
use super::system::System;
use crate::frame::Local;
use crate::geometry::Vector;
use crate::numeric::{End, Problem, Schedule, Step, descend};

/// Iterations allowed. A walk of an oval takes 4 to 8; the hardest published
/// case (Gander's eight points) about 60.
const MAX_ITERATIONS: usize = 500;
/// Converged when a step moves nothing by more than this share of the ellipse's size.
const STEP_ACCURACY: f64 = 1e-13;
/// Converged also when steps as small as this no longer shrink, m. With a tape good to a centimetre beside a
/// walk good to metres, rounding is this large.
const STAGNATION_M: f64 = 1e-9;

/// For curves of several pieces, converged when a step moves nothing by more than this, m. Their second
/// derivatives are discontinuous, so convergence is slower than quadratic.
const PIECES_ACCURACY_M: f64 = 1e-7;
/// For curves of several pieces the search may also cycle between two equally good places. After this many
/// iterations the best so far is taken.
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

/// How far a unit of each parameter moves the shape on the ground, m; for an angle it is the ellipse's size.
/// A source's own parameters are ratios and metres with standard deviations from a millionth to fifty. So
/// they are scaled by their diagonal in the normal matrix: otherwise rounding of the strongest would swamp
/// the weakest.
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

/// The parts of a system from which the units of its parameters follow.
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
    let units = Units::of(system);
    // About a whole metre near the curve's centre, so that map coordinates of
    // millions of metres cost no digits; taking a whole metre off is exact.
    let about = system.form.about(start).0;
    let origin = Vector::new(about.x.round(), about.y.round());
    let system = &system.moved(-origin).ok_or(NoOptimum::Unbounded)?;
    let p = moved(start, system, -origin);
    let finished = |p: Vec<f64>, n: Normal| Adjusted {
        parameters: moved(&p, system, origin),
        shape: units.shape,
        normal: n.matrix,
        sum: n.sum,
        equations: n.equations,
        units: units.clone(),
    };
    let whole = matches!(system.form, Form::Ellipse);
    let search = Search { system, units: &units, whole, reach_m };
    let here = normal(&p, system).ok_or(NoOptimum::Unbounded)?;
    let schedule = Schedule {
        // Nearly none: the direct start is good, and a rejected step brings it in.
        first: 1e-9,
        least: 1e-12,
        none_below: 1e-11,
        whole_below: f64::INFINITY,
        most_steps: if whole { MAX_ITERATIONS } else { PIECES_ITERATIONS },
        // Each rejection multiplies the damping by ten; 30 reach any step there is.
        most_dampings: 30,
    };
    let found = descend(&search, search.at(p, here), schedule);
    match found.end {
        End::Lost => Err(NoOptimum::Unbounded),
        End::Bound if whole => {
            Err(NoOptimum::DidNotConverge { after: MAX_ITERATIONS, last_step_m: found.last_size })
        }
        End::Settled | End::Level | End::Stuck | End::Bound => Ok(finished(found.at.p, found.at.normal)),
    }
}

/// The search for an optimum, in metres on the ground.
struct Search<'a> {
    system: &'a System,
    units: &'a Units,
    whole: bool,
    reach_m: f64,
}

/// The state of a search: its parameters and the normal equations there.
struct At {
    p: Vec<f64>,
    normal: Normal,
    /// How far a unit of each parameter moves the shape, m. The normal equations below are in metres by
    /// these, so that one damping suits all parameters.
    unit: Vec<f64>,
    scaled: DMatrix<f64>,
    right: DVector<f64>,
}

impl Search<'_> {
    fn at(&self, p: Vec<f64>, normal: Normal) -> At {
        let k = p.len();
        let unit: Vec<f64> = (0..k).map(|i| unit_m(&p, self.units, &normal.matrix, i)).collect();
        let scaled = DMatrix::from_fn(k, k, |i, j| normal.matrix[(i, j)] / (unit[i] * unit[j]));
        let right = DVector::from_fn(k, |i, _| -normal.right[i] / unit[i]);
        At { p, normal, unit, scaled, right }
    }
}

impl Problem for Search<'_> {
    type At = At;

    fn step(&self, at: &At, damping: f64) -> Option<Step<At>> {
        let k = at.p.len();
        let mean = at.scaled.trace() / k as f64;
        let damped = &at.scaled + DMatrix::identity(k, k) * (damping * mean);
        let step = damped.cholesky()?.solve(&at.right);
        let q: Vec<f64> = (0..k).map(|i| at.p[i] + step[i] / at.unit[i]).collect();
        let sizes = matches!(self.system.form, Form::Freeform(_)) || (q[2] > 0.0 && q[3] > 0.0);
        let usable = sizes && q.iter().all(|v| v.is_finite());
        // Near the optimum the sum no longer tells better from worse: a shrinking step is then accepted as
        // long as the sum does not grow beyond its rounding.
        let most = at.normal.sum * (1.0 + 1e-13) + f64::MIN_POSITIVE;
        let there = if usable { normal(&q, self.system) } else { None };
        let next = there.filter(|there| there.sum <= most).map(|there| self.at(q, there));
        Some(Step { size: step.amax(), next })
    }

    fn small(&self, at: &At, size: f64) -> bool {
        size <= if self.whole { STEP_ACCURACY * self.units.size_m(&at.p) } else { PIECES_ACCURACY_M }
    }

    fn rounding(&self, size: f64) -> bool {
        size < STAGNATION_M
    }

    fn lost(&self, at: &At) -> bool {
        self.units.size_m(&at.p) > 50.0 * self.reach_m
    }
}

impl Adjusted {
    /// Degrees of freedom.
    pub(super) fn dof(&self) -> f64 {
        self.equations as f64 - self.parameters.len() as f64
    }

    /// (JᵀWJ)⁻¹. Directions that nothing fixes are left at 0, and `free` counts them. A circle's turn is one.
    pub(super) fn cofactor(&self) -> (DMatrix<f64>, usize) {
        let k = self.parameters.len();
        if k > self.shape {
            // Sources' own parameters have prior standard deviations, so none is free. But one that only its
            // prior holds is ten orders of magnitude weaker than those that points hold, and would be taken
            // for free below. So scale to a unit diagonal first, and then invert the whole matrix.
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
