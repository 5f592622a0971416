//! The reading that is most likely wrong: the one without which the sum of squares is least.
//!
//! A gross error bends a network with few checks so much that residuals and their linear
//! statistics, −v/r, point at good readings. So the network is fitted again without each
//! suspect, from several starts, and the sums of squares are compared. Where they differ
//! little, the suspects can't be told apart. The error of a reading is the reading minus the
//! value computed from all the others.

use super::equations::{Kind, Model, State};
use super::hands::Hands;
use super::least_squares::{Loss, robust_score, settle, sum_of_squares};
use super::motion::{mirror, reflected};
use super::result::{Blunder, Observed};
use super::start;
use super::statistics::{Linear, critical, degrees};
use crate::numeric::chi2_quantile;

/// Two sums of squares that differ by less may differ by chance: χ²₁ at 0.999.
const ALIKE: f64 = 10.83;
/// The chance that readings without blunders leave a larger sum.
const CHANCE: f64 = 0.001;
/// With up to this many readings, each is left out in turn.
const ALL: usize = 80;
/// With more readings, this many with the largest statistics are left out in turn, and up to as many
/// more whose statistics can't be told from the largest.
const SOME: usize = 12;
/// With more unknowns than this, a fit takes tens of milliseconds. Such a network has enough ties
/// that its robust start is near the truth and linear statistics hold.
const LARGE: usize = 150;
/// The number of suspects in a large network.
const FEW: usize = 4;
/// Steps allowed to a fit without a reading; from a good start it takes 4 to 10.
const STEPS: usize = 60;
/// The number of suspects whose marks are folded over, those with the least sum first.
const FOLDED: usize = 16;
/// The number of suspects whose network is constructed again, those with the least sum first.
const BUILT: usize = 6;
/// Robust steps after a fold.
const FOLD_STEPS: usize = 12;
/// What a broken side adds to a sum of squares: more than chance, less than a gross error.
const SIDE: f64 = 30.0;
/// A tape's scale can't be wrong by more standard deviations than this.
const SCALE_LIMIT: f64 = 10.0;
/// Up to this many degrees of freedom, one error must explain the whole misfit.
const FEW_CHECKS: usize = 8;
/// How many of the best figures found without one suspect are tried for the other suspects.
const POOL: usize = 4;

/// The judgement of a network's readings.
pub(super) struct Judged {
    /// The state from the readings that can be trusted.
    pub(super) state: State,
    /// The state from all readings together, by least squares.
    pub(super) squares: State,
    pub(super) blunder: Option<Blunder>,
}

#[derive(Clone)]
struct Fit {
    state: State,
    sum: f64,
}

struct Suspect {
    index: usize,
    without: Model,
    fit: Fit,
}

fn sum(model: &Model, hands: &Hands, s: &State) -> f64 {
    sum_of_squares(model, s) + SIDE * hands.broken(&s.at) as f64
}

/// Least squares from a start.
fn fit(model: &Model, hands: &Hands, from: &State) -> Fit {
    let from_here = |s: &State| {
        let state = settle(model, s, Loss::Squares, STEPS).state;
        let sum = sum(model, hands, &state);
        // NaN counts as worse than any sum.
        Fit { state, sum: if sum.is_nan() { f64::INFINITY } else { sum } }
    };
    let mut best = from_here(from);
    if hands.broken(&best.state.at) > 0 {
        // The sides may require the mirror image.
        let other = from_here(&mirror(model, &best.state));
        keep(&mut best, other);
    }
    best
}

fn keep(best: &mut Fit, other: Fit) {
    if other.sum < best.sum {
        *best = other;
    }
}

/// Least squares from several starts, and after a robust search from each where that is not enough.
fn fit_from(model: &Model, hands: &Hands, starts: &[&State], enough: f64) -> Fit {
    let mut best = Fit { state: starts[0].clone(), sum: f64::INFINITY };
    for s in starts {
        keep(&mut best, fit(model, hands, s));
        if best.sum <= enough {
            return best;
        }
    }
    for s in starts {
        let robust = settle(model, s, Loss::Robust, STEPS).state;
        keep(&mut best, fit(model, hands, &robust));
        if best.sum <= enough {
            break;
        }
    }
    best
}

/// Judges the readings of a network, from its robust start.
pub(super) fn judge(model: &Model, hands: &Hands, start: State, estimated: bool) -> Judged {
    let dof = degrees(model, &start);
    let mut full = fit(model, hands, &start);
    let Some(critical) = critical(model.obs.len(), dof, estimated) else {
        return Judged { state: start, squares: full.state, blunder: None };
    };
    let large = model.unknowns > LARGE;
    let Some(linear) = Linear::new(model, &start) else {
        return Judged { state: start, squares: full.state, blunder: None };
    };
    let enough = chi2_quantile(1.0 - CHANCE, dof as f64);
    let of_squares = if large { None } else { Linear::new(model, &full.state) };
    let is_sound = |l: &Linear, sum: f64| {
        let scale = if estimated { (l.sum / dof as f64).sqrt() } else { 1.0 };
        l.largest() <= critical * scale && (estimated || sum <= enough)
    };
    // Judged by the readings alone: where they agree with each other and a side does not, the side is wrong.
    let by_readings = sum_of_squares(model, &full.state);
    if is_sound(&linear, by_readings) && of_squares.as_ref().is_none_or(|l| is_sound(l, by_readings)) {
        return Judged { state: full.state.clone(), squares: full.state, blunder: None };
    }
    let mut suspects = suspects(model, &linear, large);
    // Without a reading there is one degree of freedom less.
    let enough_left = if dof > 1 { chi2_quantile(1.0 - CHANCE, (dof - 1) as f64) } else { 1e-3 };
    let mut list: Vec<Suspect> = suspects
        .drain(..)
        .map(|index| {
            let without = model.without(index);
            let fit = if large {
                fit(&without, hands, &start)
            } else {
                fit_from(&without, hands, &[&start, &full.state], enough_left)
            };
            Suspect { index, without, fit }
        })
        .collect();
    if !large {
        search(model, hands, &mut list, &mut full, [enough, enough_left], estimated || dof > FEW_CHECKS);
    }
    decide(model, &list, full, dof, critical, estimated)
}

/// Looks for better figures without each suspect, until one leaves a sum that chance allows; then tries
/// that figure for the other suspects.
fn search(
    model: &Model,
    hands: &Hands,
    list: &mut [Suspect],
    full: &mut Fit,
    [enough, enough_left]: [f64; 2],
    braced: bool,
) {
    let done = |list: &[Suspect]| list.iter().any(|s| s.fit.sum <= enough_left);
    let spread = |list: &mut [Suspect], full: &mut Fit| {
        let pool = pool(list);
        for p in &pool {
            keep(full, fit_from(model, hands, &[p], enough));
        }
        for s in list.iter_mut() {
            for p in &pool {
                if s.fit.sum > enough_left {
                    keep(&mut s.fit, fit_from(&s.without, hands, &[p], enough_left));
                }
            }
        }
    };
    for effort in Effort::ALL {
        // With enough checks, one omission that leaves a sum by chance is the blunder. Where the standard
        // deviations are estimated, chance can't be told, and the cheaper rounds have to do.
        if braced && (done(list) || effort == Effort::Build) {
            break;
        }
        if done(list) && effort == Effort::Build {
            break;
        }
        let most = match effort {
            Effort::Few => ALL,
            Effort::Fold => FOLDED,
            Effort::Build => BUILT,
        };
        list.sort_by(|a, b| a.fit.sum.total_cmp(&b.fit.sum).then(a.index.cmp(&b.index)));
        for s in list.iter_mut().filter(|s| s.fit.sum > enough_left).take(most) {
            match effort {
                Effort::Fold => fold_over(&s.without, hands, &mut s.fit, enough_left),
                Effort::Few | Effort::Build => {
                    let found = start::find(&s.without, hands, Some(&s.fit.state), effort == Effort::Build);
                    keep(&mut s.fit, fit(&s.without, hands, &found));
                }
            }
        }
        spread(list, full);
    }
}

/// How hard to search: few constructions, marks folded over one by one, many constructions.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Effort {
    Few,
    Fold,
    Build,
}

impl Effort {
    const ALL: [Self; 3] = [Self::Few, Self::Fold, Self::Build];
}

/// Folds single marks over the lines between their neighbours while that helps.
fn fold_over(model: &Model, hands: &Hands, best: &mut Fit, enough: f64) {
    // Many folds in a row are rarely needed.
    const ROUNDS: usize = 2;
    // Pairs of neighbours tried for a mark.
    const PAIRS: usize = 6;
    for _ in 0..ROUNDS {
        let before = best.sum;
        for m in (0..model.marks()).filter(|&m| model.column[m].is_some()) {
            let mut near: Vec<usize> =
                model.touching[m].iter().flat_map(|&i| model.obs[i].marks()).filter(|&o| o != m).collect();
            near.sort_unstable();
            near.dedup();
            let pairs = (0..near.len()).flat_map(|j| (0..j).map(move |i| (i, j)));
            for (i, j) in pairs.take(PAIRS) {
                let line = [best.state.at[near[i]], best.state.at[near[j]]];
                let start =
                    settle(model, &reflected(&best.state, line, &[m]), Loss::Robust, FOLD_STEPS).state;
                // Only a figure that is not much worse after a few robust steps is worth a full fit.
                if robust_score(model, &start) < robust_score(model, &best.state) + 5.0 {
                    keep(best, fit(model, hands, &start));
                }
                if best.sum <= enough {
                    return;
                }
            }
        }
        if best.sum > 0.9 * before {
            return;
        }
    }
}

/// The readings to leave out in turn.
fn suspects(model: &Model, linear: &Linear, large: bool) -> Vec<usize> {
    let n = model.obs.len();
    if n <= ALL {
        return (0..n).collect();
    }
    let ranked = linear.ranked();
    let size = |i: usize| linear.w[i].map_or(0.0, |w| w * w);
    let most = if large { FEW } else { SOME };
    // Where the linear statistics hold, a reading far below the largest is not a suspect.
    let least = if large { 0.5 * size(ranked[0]) - ALIKE } else { f64::NEG_INFINITY };
    let mut out: Vec<usize> = ranked.iter().copied().take(most).filter(|&i| size(i) >= least).collect();
    if !large {
        let twins = ranked.iter().copied().skip(most).filter(|&j| linear.twins(ranked[0], j));
        out.extend(twins.take(SOME));
    }
    out
}

/// The figures with the least sums of squares, no two of them alike.
fn pool(list: &[Suspect]) -> Vec<State> {
    let mut order: Vec<&Suspect> = list.iter().collect();
    order.sort_by(|a, b| a.fit.sum.total_cmp(&b.fit.sum));
    let mut out: Vec<State> = Vec::new();
    for s in order {
        let far =
            |t: &State| t.at.iter().zip(&s.fit.state.at).any(|(p, q)| (p[0] - q[0]).hypot(p[1] - q[1]) > 1.0);
        if out.len() < POOL && out.iter().all(far) {
            out.push(s.fit.state.clone());
        }
    }
    out
}

/// Is a figure without a reading possible: no tape's scale far out, no negative length?
fn can_be(model: &Model, s: &Suspect) -> bool {
    let tapes = model.obs.iter().all(|o| match o.kind {
        Kind::Scale(t) => s.fit.state.k[t].abs() <= SCALE_LIMIT * o.sd,
        _ => true,
    });
    let o = &model.obs[s.index];
    let length = !matches!(o.kind, Kind::Distance(..)) || model.reads(o, &s.fit.state) > 0.0;
    tapes && length && s.fit.sum.is_finite()
}

fn decide(model: &Model, list: &[Suspect], full: Fit, dof: usize, critical: f64, estimated: bool) -> Judged {
    let mut order: Vec<&Suspect> = list.iter().filter(|s| can_be(model, s)).collect();
    order.sort_by(|a, b| a.fit.sum.total_cmp(&b.fit.sum));
    let none = |full: Fit| Judged { state: full.state.clone(), squares: full.state, blunder: None };
    let Some(best) = order.first() else { return none(full) };
    let gain = (full.sum - best.fit.sum).max(0.0);
    let (before, after) =
        if estimated { (full.sum / dof as f64, best.fit.sum / (dof - 1).max(1) as f64) } else { (1.0, 1.0) };
    let size = if before > 0.0 { (gain / before).sqrt() } else { 0.0 };
    if size <= critical {
        return none(full);
    }
    // With few checks, if no single omission brings the sum down to chance, there are two errors, or the
    // right figure was not found. Then the best suspect can't be told from the rest.
    let lost = !estimated
        && dof <= FEW_CHECKS
        && best.fit.sum > chi2_quantile(1.0 - CHANCE, (dof - 1).max(1) as f64);
    let alike: Vec<Observed> = order[1..]
        .iter()
        .filter(|s| lost || s.fit.sum - best.fit.sum <= ALIKE * after)
        .map(|s| model.obs[s.index].what)
        .collect();
    let o = &model.obs[best.index];
    let too_long_m = o.value - model.reads(o, &best.fit.state);
    let statistic = if too_long_m > 0.0 { -size } else { size };
    let blunder = Blunder { what: o.what, read_m: o.value, too_long_m, statistic, critical, alike };
    Judged { state: best.fit.state.clone(), squares: full.state, blunder: Some(blunder) }
}
