//! Gauss–Newton with step control, for squares and for a robust loss,
//! and the cofactor matrix at the end.
//!
//! In a free network the normal matrix N is singular: a shift and a turn change no measure.
//! With an orthonormal basis G of that null space, (N + sGGᵀ)⁻¹ = N⁺ + GGᵀ/s, and the step of
//! least length is the solution with N + sGGᵀ. These are inner constraints without a bordered
//! matrix (K.-R. Koch, Parameter Estimation and Hypothesis Testing in Linear Models,
//! on the free network; from memory).

use nalgebra::{Cholesky, DMatrix, DVector, Dyn, SymmetricEigen};

use super::equations::{Model, State, length, minus};
use super::result::NetworkDatum;
use crate::numeric::{End, Problem, Schedule, Step, descend};

/// Iterations allowed. Usual networks take 4 to 6; one with a reading that is wrong by tens
/// of metres converges linearly and takes some dozens.
const MAX_ITERATIONS: usize = 200;
/// A step that moves no mark by more than this ends the search, m: Gauss–Newton gains two to
/// four digits per step, so the remaining error is below a picometre.
const STEP_TOLERANCE_M: f64 = 1e-10;
/// Smallest accepted pivot of the normal matrix, scaled to a unit diagonal. A singular matrix
/// has a pivot of about 1e-15 by rounding; a mark known 10⁵ times worse than its measures has 1e-11.
const PIVOT_LIMIT: f64 = 1e-13;
/// How many times damping grows before a step is given up.
const MAX_DAMPINGS: usize = 30;
/// The least damping that is tried, as a share of the diagonal.
const LEAST_DAMPING: f64 = 1e-5;

/// Dampings tried for a step that uses the second derivatives of the distances.
const BENT_DAMPINGS: [f64; 5] = [0.0, 1e-3, 1e-2, 0.1, 1.0];

/// What fixes the network's position and orientation.
pub(super) fn datum(model: &Model, s: &State) -> NetworkDatum {
    let mut first = None;
    for m in (0..model.marks()).filter(|&m| model.anchored(m)) {
        match first {
            None => first = Some(m),
            // Two marks within a millimetre of each other give no direction.
            Some(f) if length(minus(s.at[m], s.at[f])) > 1e-3 => return NetworkDatum::Held,
            Some(_) => {}
        }
    }
    if first.is_some() { NetworkDatum::Pivot } else { NetworkDatum::Free }
}

/// Orthonormal basis of the motions that change no measure, one per column.
pub(super) fn motions(model: &Model, s: &State) -> DMatrix<f64> {
    let free: Vec<(usize, usize)> =
        model.column.iter().enumerate().filter_map(|(m, c)| c.map(|c| (m, c))).collect();
    let n = free.len().max(1) as f64;
    let (centre, shifts) = match datum(model, s) {
        NetworkDatum::Held => return DMatrix::zeros(model.unknowns, 0),
        NetworkDatum::Pivot => {
            let pivot = (0..model.marks()).find(|&m| model.anchored(m)).unwrap_or(0);
            (s.at[pivot], 0)
        }
        NetworkDatum::Free => {
            let sum = free.iter().fold([0.0, 0.0], |a, &(m, _)| [a[0] + s.at[m][0], a[1] + s.at[m][1]]);
            ([sum[0] / n, sum[1] / n], 2)
        }
    };
    let mut g = DMatrix::zeros(model.unknowns, shifts + 1);
    for &(m, c) in &free {
        for axis in 0..shifts {
            g[(c + axis, axis)] = 1.0;
        }
        let d = minus(s.at[m], centre);
        g[(c, shifts)] = -d[1];
        g[(c + 1, shifts)] = d[0];
    }
    // A turn about the centre of the free marks is already orthogonal to both shifts.
    for mut column in g.column_iter_mut() {
        let norm = column.norm();
        if norm > 0.0 {
            column /= norm;
        }
    }
    g
}

/// A factorised normal matrix.
pub(super) struct Normal {
    cholesky: Cholesky<f64, Dyn>,
    /// One over the square roots of the diagonal.
    scale: DVector<f64>,
    g: DMatrix<f64>,
    shift: f64,
}

/// The damped normal matrix with the motions added, scaled to a unit diagonal;
/// then the scale, the motions, and their factor s.
fn scaled(
    model: &Model,
    s: &State,
    matrix: &DMatrix<f64>,
    damping: f64,
) -> (DMatrix<f64>, DVector<f64>, DMatrix<f64>, f64) {
    let g = motions(model, s);
    let n = model.unknowns;
    let shift = matrix.diagonal().sum() / n.max(1) as f64;
    let mut a = matrix.clone();
    a.gemm(shift, &g, &g.transpose(), 1.0);
    for i in 0..n {
        a[(i, i)] += damping * matrix[(i, i)].max(1e-6 * shift);
    }
    let scale = DVector::from_fn(n, |i, _| if a[(i, i)] > 0.0 { 1.0 / a[(i, i)].sqrt() } else { 1.0 });
    for j in 0..n {
        for i in 0..n {
            a[(i, j)] *= scale[i] * scale[j];
        }
    }
    (a, scale, g, shift)
}

impl Normal {
    /// Factorises a normal matrix; `None` where it has no inverse.
    pub(super) fn new(model: &Model, s: &State, matrix: &DMatrix<f64>, damping: f64) -> Option<Self> {
        let (a, scale, g, shift) = scaled(model, s, matrix, damping);
        let cholesky = Cholesky::new(a)?;
        let smallest = cholesky.l_dirty().diagonal().iter().fold(f64::INFINITY, |m, d| m.min(d * d));
        // Written so that NaN fails too. Without unknowns `smallest` is infinite.
        if smallest > PIVOT_LIMIT { Some(Self { cholesky, scale, g, shift }) } else { None }
    }

    pub(super) fn solve(&self, right: &DVector<f64>) -> DVector<f64> {
        let inner = self.cholesky.solve(&right.component_mul(&self.scale));
        inner.component_mul(&self.scale)
    }

    /// The cofactor matrix N⁺, which has the smallest trace over the marks.
    pub(super) fn cofactors(&self) -> DMatrix<f64> {
        let mut q = self.cholesky.inverse();
        let n = q.nrows();
        for j in 0..n {
            for i in 0..n {
                q[(i, j)] *= self.scale[i] * self.scale[j];
            }
        }
        q.gemm(-1.0 / self.shift, &self.g, &self.g.transpose(), 1.0);
        q
    }
}

/// The motion that is least determined, as the change of each unknown; it names the mark that is loose.
pub(super) fn weakest_motion(model: &Model, s: &State) -> Option<DVector<f64>> {
    let (matrix, _) = model.normal(s, |_| 1.0);
    let (a, scale, _, _) = scaled(model, s, &matrix, 0.0);
    let eigen = SymmetricEigen::try_new(a, f64::EPSILON, 10_000)?;
    let (least, _) = eigen.eigenvalues.argmin();
    Some(eigen.eigenvectors.column(least).component_mul(&scale))
}

/// The loss function.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Loss {
    /// Sum of squares.
    Squares,
    /// Cauchy's, Σ c² ln(1 + (u/c)²), in which a gross error counts little. The width c follows the
    /// median misfit down from a poor start, and ends at [`LEAST_WIDTH`].
    Robust,
}

/// Width of the robust loss at a good fit, standard deviations: 2.4 keeps 95 % of the
/// efficiency of least squares under normal errors (P. W. Holland and R. E. Welsch,
/// Communications in Statistics A6, 1977: Cauchy 2.385; from memory).
const LEAST_WIDTH: f64 = 2.385;

fn width(model: &Model, s: &State) -> f64 {
    let mut misfits: Vec<f64> = (0..model.obs.len()).map(|i| model.misfit(i, s).abs()).collect();
    misfits.sort_by(f64::total_cmp);
    let median = misfits.get(misfits.len() / 2).copied().unwrap_or(0.0);
    (2.0 * median).max(LEAST_WIDTH)
}

fn total(model: &Model, s: &State, width: Option<f64>) -> f64 {
    (0..model.obs.len())
        .map(|i| {
            let u2 = model.misfit(i, s).powi(2);
            match width {
                None => u2,
                Some(c) => c * c * (u2 / (c * c)).ln_1p(),
            }
        })
        .sum()
}

/// How badly a state fits the measures, with little weight on gross errors: Σ ln(1 + u²). One
/// gross error costs some 15 to 25, a wrongly folded network many times that.
pub(super) fn robust_score(model: &Model, s: &State) -> f64 {
    (0..model.obs.len()).map(|i| model.misfit(i, s).powi(2).ln_1p()).sum()
}

/// Sum of squared misfits.
pub(super) fn sum_of_squares(model: &Model, s: &State) -> f64 {
    total(model, s, None)
}

/// Where a search ended.
pub(super) struct Settled {
    pub(super) state: State,
    pub(super) iterations: usize,
    /// Length of the last step, m.
    pub(super) last_step_m: f64,
    /// Whether the search ended at an optimum.
    pub(super) converged: bool,
}

/// Finds the optimum near a state, in at most `most` steps (and never more than [`MAX_ITERATIONS`]).
pub(super) fn settle(model: &Model, start: &State, loss: Loss, most: usize) -> Settled {
    if model.unknowns == 0 {
        return Settled { state: start.clone(), iterations: 0, last_step_m: 0.0, converged: true };
    }
    let search = Search { model, loss };
    let schedule = Schedule {
        first: 0.0,
        least: LEAST_DAMPING,
        none_below: LEAST_DAMPING,
        whole_below: 1e-3,
        most_steps: most.min(MAX_ITERATIONS),
        most_dampings: MAX_DAMPINGS,
    };
    let found = descend(&search, search.at(start.clone()), schedule);
    Settled {
        state: found.at.state,
        iterations: found.steps,
        last_step_m: found.last_size,
        converged: matches!(found.end, End::Settled | End::Level),
    }
}

/// The search for the optimum of a network.
struct Search<'a> {
    model: &'a Model,
    loss: Loss,
}

/// Where a search stands.
struct At {
    state: State,
    matrix: DMatrix<f64>,
    right: DVector<f64>,
    /// Width of the robust loss here; `None` for squares.
    width: Option<f64>,
    total: f64,
    extent_m: f64,
}

impl Search<'_> {
    fn at(&self, state: State) -> At {
        let width = (self.loss == Loss::Robust).then(|| width(self.model, &state));
        let factor = |u: f64| width.map_or(1.0, |c| 1.0 / (1.0 + (u / c).powi(2)));
        let (matrix, right) = self.model.normal(&state, factor);
        let (total, extent_m) = (total(self.model, &state, width), self.model.extent(&state));
        At { state, matrix, right, width, total, extent_m }
    }

    fn try_step(&self, at: &At, matrix: &DMatrix<f64>, damping: f64) -> Option<Step<At>> {
        let step = Normal::new(self.model, &at.state, matrix, damping)?.solve(&at.right);
        let size = step_size(self.model, &step, at.extent_m);
        let next = self.model.moved(&at.state, &step);
        // Near the optimum the sum changes only by rounding, which must not stop the last step.
        let most = at.total * (1.0 + 1e-12) + 1e-15;
        let down = size.is_finite() && total(self.model, &next, at.width) <= most;
        Some(Step { size, next: down.then(|| self.at(next)) })
    }
}

impl Problem for Search<'_> {
    type At = At;

    fn step(&self, at: &At, damping: f64) -> Option<Step<At>> {
        self.try_step(at, &at.matrix, damping)
    }

    /// A robust search is only a start for a search by squares, so a micrometre is enough.
    fn small(&self, _: &At, size: f64) -> bool {
        size <= if self.loss == Loss::Robust { 1e-6 } else { STEP_TOLERANCE_M }
    }

    /// Uses the second derivatives of the distances. Away from the optimum they may outweigh the rest, so the
    /// step is damped until it goes downhill.
    fn curved(&self, at: &At) -> Option<(At, f64)> {
        if self.loss != Loss::Squares {
            return None;
        }
        let mut bent = at.matrix.clone();
        self.model.add_bend(&at.state, &mut bent);
        BENT_DAMPINGS.iter().find_map(|d| {
            let step = self.try_step(at, &bent, *d)?;
            Some((step.next?, step.size))
        })
    }
}

/// The largest move of a mark, m; a change of a tape's scale counts by its effect at the network's edge.
fn step_size(model: &Model, step: &DVector<f64>, extent: f64) -> f64 {
    let marks = model.column.iter().flatten().map(|&c| step[c].hypot(step[c + 1]));
    let scales = model.scale_column.iter().flatten().map(|&c| step[c].abs() * extent);
    marks.chain(scales).fold(0.0, |m, v| if v > m || v.is_nan() { v } else { m })
}

#[cfg(test)]
mod tests {
    use super::super::support::{book, place, ties};
    use super::*;

    const SQUARE: [[f64; 2]; 4] = [[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]];
    const ALL: [(usize, usize); 6] = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)];

    fn braced() -> Model {
        let mut b = book(4);
        ties(&mut b, &SQUARE, &ALL);
        Model::new(&b, &[])
    }

    fn state(at: &[[f64; 2]]) -> State {
        State { at: at.to_vec(), k: vec![] }
    }

    #[test]
    fn the_motions_are_felt_by_no_measure() {
        let model = braced();
        let s = state(&SQUARE);
        let (n, _) = model.normal(&s, |_| 1.0);
        let g = motions(&model, &s);
        assert_eq!(g.ncols(), 3);
        // Entries of N are 1/0.02² = 2500; the tolerance is the rounding of a few of them.
        assert!((&n * &g).amax() < 1e-10, "{}", (&n * &g).amax());
        assert!((g.transpose() * &g - DMatrix::identity(3, 3)).amax() < 1e-14);
    }

    #[test]
    fn cofactors_are_the_pseudo_inverse() {
        let model = braced();
        let s = state(&SQUARE);
        let (n, _) = model.normal(&s, |_| 1.0);
        let q = Normal::new(&model, &s, &n, 0.0).unwrap().cofactors();
        let other = n.pseudo_inverse(1e-6).unwrap();
        // Entries are some 1e-4 m²; both methods lose a few digits to the condition of N (about 10).
        assert!((q - other).amax() < 1e-15);
    }

    #[test]
    fn a_bad_start_still_settles_on_the_square() {
        let model = braced();
        let start = state(&[[3.0, -9.0], [30.0, 8.0], [55.0, 21.0], [-9.0, 44.0]]);
        for loss in [Loss::Squares, Loss::Robust] {
            let found = settle(&model, &start, loss, 100);
            assert!(found.converged);
            assert!(sum_of_squares(&model, &found.state) < 1e-9);
        }
    }

    #[test]
    fn a_mark_on_a_single_tie_has_no_inverse() {
        let mut b = book(5);
        let mut at = SQUARE.to_vec();
        at.push([60.0, 0.0]);
        ties(&mut b, &at, &ALL);
        ties(&mut b, &at, &[(1, 4)]);
        let model = Model::new(&b, &[]);
        let s = state(&at);
        let (n, _) = model.normal(&s, |_| 1.0);
        assert!(Normal::new(&model, &s, &n, 0.0).is_none());
        let weak = weakest_motion(&model, &s).unwrap();
        let c = model.column[4].unwrap();
        // It swings across its tie, and moves more than any other mark.
        assert!(weak[c + 1].abs() > 0.9 * weak.amax());
    }

    #[test]
    fn what_is_held_needs_no_motion() {
        let mut b = book(4);
        ties(&mut b, &SQUARE, &ALL);
        place(&mut b, 0, SQUARE[0], Some(0.0));
        let model = Model::new(&b, &[]);
        assert_eq!(motions(&model, &state(&SQUARE)).ncols(), 1);
        place(&mut b, 2, SQUARE[2], Some(0.5));
        let model = Model::new(&b, &[]);
        assert_eq!(motions(&model, &state(&SQUARE)).ncols(), 0);
    }
}
