//! Floor 4: the adjustment of a tape notebook. It finds the coordinates of the marks, their
//! covariance, and the reading that is most likely wrong.
//! A *tie* is a taped distance between two marks.
//!
//! 1. `check` refuses impossible values and marks with too few measures.
//! 2. `start`, `place` and `mds` find approximate coordinates from the measures alone,
//!    robust against a gross error.
//! 3. `shape` and `sides` refuse marks that are free to move, that are badly determined,
//!    or that fit as well in another place.
//! 4. `equations` and `least_squares` do weighted least squares by Gauss–Newton.
//! 5. `statistics` and `culprit` test the residuals; `clean` sets blunders aside.

mod check;
mod clean;
mod culprit;
mod equations;
mod error;
mod hands;
mod least_squares;
mod mds;
mod motion;
mod place;
mod result;
mod shape;
mod sides;
mod start;
mod statistics;
#[cfg(test)]
mod support;
#[cfg(test)]
mod tests;
mod words;

pub use clean::{CleanNetwork, Stopped, adjust_without_blunders};
pub use error::NetworkError;
pub use result::{
    Adjusted, Blunder, ErrorEllipse, GlobalTest, Network, NetworkDatum, NetworkMark, Observed, TapeScale,
    Verdict,
};
pub use words::blunder_in_words;

use nalgebra::DMatrix;

use equations::{Model, State};
use hands::Hands;
use least_squares::{Loss, Normal, datum, settle, sum_of_squares};

use crate::frame::Local;
use crate::geometry::Point;
use crate::numeric::Covariance;
use crate::survey::Notebook;

/// How to adjust a notebook.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NetworkOptions {
    /// Whether to estimate the reference standard deviation from the residuals and test with τ. Then only the
    /// proportions of the given standard deviations count.
    /// Otherwise they are taken as they are, and the test is w.
    pub estimate_variance: bool,
    /// The largest error ellipse accepted, as its longer axis over the median standard deviation of the
    /// mark's measures. Two ties that cross at an angle γ give about √2/γ. A ratio of 30 is a crossing of
    /// 2.7°, where an error of 0.1 m in a reading moves the mark by metres. Infinity accepts all.
    pub shape_limit: f64,
}

impl Default for NetworkOptions {
    fn default() -> Self {
        Self { estimate_variance: false, shape_limit: 30.0 }
    }
}

/// Adjusts a notebook's marks by weighted least squares.
///
/// The observations are distances, chainages and offsets, observed coordinates, and the scale of each tape
/// whose scale is unknown. Measures from goal to goal and wing to wing are not between marks, and are left to
/// the caller. A tape that is too long by the ratio k reads a distance d as d(1 − k).
///
/// # Errors
/// [`NetworkError`], which names the mark or the line of the notebook, and says what to do about it.
///
/// # Examples
/// ```
/// use ovalpeg::network::{NetworkOptions, adjust};
/// use ovalpeg::survey::{Mark, Measure, Notebook, Quantity, Role};
/// let mark = |name: &str| Mark {
///     name: name.into(), role: Role::Unused, at: None, at_sd_m: None, place: "page 1".into(),
/// };
/// let tie = |from, to, read: f64| Measure {
///     quantity: Quantity::Distance { from, to },
///     read_m: read, value_m: read, sd_m: 0.01, tape: None, place: "page 1".into(),
/// };
/// let book = Notebook {
///     marks: ["A", "B", "C", "D"].map(mark).to_vec(),
///     measures: vec![
///         tie(0, 1, 40.0), tie(1, 2, 30.0), tie(2, 3, 40.0), tie(3, 0, 30.0),
///         tie(0, 2, 50.0), tie(1, 3, 50.02),
///     ],
///     ..Notebook::default()
/// };
/// let found = adjust(&book, &NetworkOptions::default())?;
/// assert_eq!(found.dof, 1);
/// assert!(found.hand_assumed, "nothing tells this figure from its mirror image");
/// assert!(found.blunder.is_none());
/// # Ok::<(), ovalpeg::network::NetworkError>(())
/// ```
pub fn adjust(book: &Notebook, options: &NetworkOptions) -> Result<Network, NetworkError> {
    finish(book, options, prepare(book, options, &[], None)?)
}

/// A network with approximate coordinates for every mark, which passed all the checks.
struct Prepared {
    model: Model,
    /// The state from the readings that can be trusted.
    state: State,
    /// The state from all readings, where least squares starts.
    squares: State,
    datum: NetworkDatum,
    hand_assumed: bool,
    blunder: Option<Blunder>,
}

/// Everything before the least-squares step.
fn prepare(
    book: &Notebook,
    options: &NetworkOptions,
    set_aside: &[usize],
    warm: Option<&State>,
) -> Result<Prepared, NetworkError> {
    check::values(book)?;
    let model = Model::new(book, set_aside);
    check::reach(book, &model)?;
    let hands = Hands::new(book, &model);
    let state = start::find(&model, &hands, warm, true);
    let datum = datum(&model, &state);
    shape::nothing_is_loose(book, &model, &state)?;
    let culprit::Judged { state, squares, blunder } =
        culprit::judge(&model, &hands, state, options.estimate_variance);
    shape::all_are_fixed_well(book, &model, &state, options.shape_limit)?;
    sides::no_part_has_two_places(book, &model, &hands, &state)?;
    let before = state.clone();
    let (state, hand_assumed) = sides::image(book, &model, &hands, state, datum)?;
    let squares = if state == before { squares } else { motion::mirror(&model, &squares) };
    hands.check(book, &state.at)?;
    Ok(Prepared { model, state, squares, datum, hand_assumed, blunder })
}

/// The final least-squares adjustment and its statistics.
fn finish(book: &Notebook, options: &NetworkOptions, prepared: Prepared) -> Result<Network, NetworkError> {
    let settled = settle(&prepared.model, &prepared.squares, Loss::Squares, usize::MAX);
    let failed = || NetworkError::DidNotConverge {
        after: settled.iterations,
        last_step_m: settled.last_step_m,
        worst: prepared.worst_in_words(book),
    };
    if !settled.converged {
        return Err(failed());
    }
    let model = &prepared.model;
    let mut state = settled.state.clone();
    if let Some(motion) = motion::to_datum(model, &state, prepared.datum) {
        for p in &mut state.at {
            *p = motion.place(*p);
        }
    }
    let (matrix, _) = model.normal(&state, |_| 1.0);
    let q = if model.unknowns == 0 {
        DMatrix::zeros(0, 0)
    } else {
        Normal::new(model, &state, &matrix, 0.0).ok_or_else(failed)?.cofactors()
    };
    let sum = sum_of_squares(model, &state);
    let dof = statistics::degrees(model, &state);
    let m0 = statistics::unit_weight(sum, dof);
    let covariance = covariance(model, &q).ok_or_else(failed)?;
    Ok(Network {
        marks: marks(model, &state, &covariance),
        observations: statistics::rows(model, &state, &q, m0),
        tapes: tapes(model, &state, &q),
        covariance,
        datum: prepared.datum,
        hand_assumed: prepared.hand_assumed,
        dof,
        m0,
        estimated: options.estimate_variance,
        global: statistics::global(sum, dof),
        blunder: prepared.blunder.clone(),
        iterations: settled.iterations,
    })
}

fn covariance(model: &Model, q: &DMatrix<f64>) -> Option<Covariance> {
    let n = 2 * model.marks();
    let index = |i: usize| model.column[i / 2].map(|c| c + i % 2);
    let mut rows = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..n {
            if let (Some(a), Some(b)) = (index(i), index(j)) {
                rows[i * n + j] = q[(a, b)];
            }
        }
    }
    Covariance::from_rows(n, &rows)
}

fn marks(model: &Model, s: &State, covariance: &Covariance) -> Vec<NetworkMark> {
    s.at.iter()
        .enumerate()
        .map(|(m, p)| {
            let (i, j) = (2 * m, 2 * m + 1);
            NetworkMark {
                at: Point::<Local>::new(p[0] + model.origin[0], p[1] + model.origin[1]),
                sd_x_m: covariance.sd(i),
                sd_y_m: covariance.sd(j),
                ellipse: ErrorEllipse::new(covariance.get(i, i), covariance.get(j, j), covariance.get(i, j)),
            }
        })
        .collect()
}

fn tapes(model: &Model, s: &State, q: &DMatrix<f64>) -> Vec<TapeScale> {
    model
        .scale_column
        .iter()
        .enumerate()
        .filter_map(|(tape, c)| {
            c.map(|c| TapeScale {
                tape,
                too_long: s.k[tape],
                sd: q[(c, c)].max(0.0).sqrt(),
                with_marks: (0..2 * model.marks())
                    .map(|i| model.column[i / 2].map_or(0.0, |column| q[(column + i % 2, c)]))
                    .collect(),
            })
        })
        .collect()
}
