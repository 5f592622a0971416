//! The fixes of a walk share their error. Generalised least squares, averaged
//! over how long the error lasts and how much of it is white.
//!
//! Error in the plane: isotropic Ornstein–Uhlenbeck (standard deviation, τ) plus
//! white, seen along the normal, so cov(rᵢ, rⱼ) = σ²((1 − w) e^(−|Δt|/τ) nᵢ·nⱼ + w δᵢⱼ).
//! Time is open even where the path closes: see [`clock`](super::clock).
//!
//! For each τ and w the exact restricted likelihood, the scale integrated out
//! (D. A. Harville, Bayesian inference for variance components using only error
//! contrasts, Biometrika 61, 1974; citation from memory):
//!
//! ln L = −½ ln|V| − ½ ln|JᵀV⁻¹J| − ½(n − p) ln RSS
//!
//! over the n fixes of the walks and the ellipse's p = 5 parameters. Posts, tapes and
//! other sources then join at their own standard deviations: sharing the walk's free scale, they would be taken
//! for as rough as the walk, and their near-zero residuals would make the walk look fine.
//!
//! The estimate is the mean over the grid weighted by L × prior; the interval that
//! of the mixture of t distributions with n − p degrees of freedom.
//!
//! **The prior is a tuned constant**, frozen: τ log-uniform over [`TAUS_S`], w over
//! [`WHITES`], and one white-only atom. Shorter τ only, and intervals fall below
//! 95 %; more weight on long τ, and they grow beyond use.
//!
//! Several laps are one walk; several walks have errors of one kind, and nothing else in common.
//!
//! Not yet: choosing this model by evidence where no method was named.

use nalgebra::{DMatrix, DVector};

use super::clock::Clock;
use super::report::WalkError;
use super::system::{ELLIPSE, Seen, System};
use crate::numeric::{Sight, find_root, t_cdf, whiten};

/// How long the error may last, s.
const TAUS_S: [f64; 12] = [1.0, 2.0, 3.0, 5.0, 9.0, 16.0, 28.0, 50.0, 85.0, 140.0, 240.0, 400.0];
/// Shares of the variance that may be white.
const WHITES: [f64; 8] = [0.01, 0.03, 0.08, 0.15, 0.3, 0.5, 0.7, 0.9];
/// Prior weight of the white-only atom.
const WHITE_ONLY: f64 = 0.1;

/// The mixture's answer.
pub(super) struct Walk {
    pub(super) parameters: Vec<f64>,
    pub(super) covariance: DMatrix<f64>,
    /// 95 % half-width over standard deviation, the worst of the functions asked for.
    pub(super) ratio: f64,
    pub(super) error: WalkError,
    /// The mixture's parts, each a plain adjustment.
    pub(super) parts: Vec<Part>,
}

/// One adjustment of a mixture: weight, where it was linearised, the step from there,
/// and the covariance.
pub(super) struct Part {
    pub(super) weight: f64,
    pub(super) base: Vec<f64>,
    pub(super) step: Vec<f64>,
    pub(super) covariance: DMatrix<f64>,
}

struct Term {
    weight: f64,
    step: DVector<f64>,
    covariance: DMatrix<f64>,
    tau_s: f64,
    white: f64,
    sd_m: f64,
}

/// Generalised least squares from an ordinary optimum. `gradients` are the linear
/// functions (length, width) whose interval sets the ratio. `alone`: where the line
/// alone has the parameters, when other measures hold them elsewhere; a tape twelve metres
/// wrong must not make the walk look rough enough to agree with it. `None` when the
/// observations are too few or no term of the grid can be computed.
pub(super) fn average(
    start: &[f64],
    alone: Option<&[f64]>,
    system: &System,
    clock: &Clock,
    gradients: impl Fn(&[f64]) -> Vec<Vec<f64>>,
) -> Option<Walk> {
    let mut p = start.to_vec();
    let given = match alone {
        Some(free) => Some(kinds(&Linear::at(free, system, clock)?)),
        None => None,
    };
    let at = |p: &[f64]| {
        let linear = Linear::at(p, system, clock)?;
        match &given {
            Some(kinds) => terms(&linear, kinds),
            None => terms(&linear, &kinds(&linear)),
        }
    };
    // Linearised twice: at the ordinary optimum, then at the mean of the mixture.
    let first = at(&p)?;
    for (value, step) in p.iter_mut().zip(mean(&first, start.len()).iter()) {
        *value += step;
    }
    let terms = at(&p)?;
    let k = p.len();
    let dof = clock.times_s.len() as f64 - ELLIPSE as f64;
    let shift = mean(&terms, k);
    let mut covariance = DMatrix::zeros(k, k);
    for t in &terms {
        let off = &t.step - &shift;
        // Variance of t is dof/(dof − 2) times its squared scale.
        covariance += (&t.covariance * (dof / (dof - 2.0).max(1.0)) + &off * off.transpose()) * t.weight;
    }
    let ratio = gradients(&p)
        .iter()
        .filter_map(|g| half_width_ratio(&terms, &DVector::from_column_slice(g), &covariance, dof))
        .fold(1.96, f64::max);
    let parts = terms
        .iter()
        .map(|t| Part {
            weight: t.weight,
            base: p.clone(),
            step: t.step.as_slice().to_vec(),
            covariance: t.covariance.clone(),
        })
        .collect();
    for (value, step) in p.iter_mut().zip(shift.iter()) {
        *value += step;
    }
    let average = |f: fn(&Term) -> f64| terms.iter().map(|t| t.weight * f(t)).sum::<f64>();
    let log_tau = average(|t| if t.tau_s > 0.0 { t.tau_s.ln() } else { 0.0 });
    let running: f64 = terms.iter().filter(|t| t.tau_s > 0.0).map(|t| t.weight).sum();
    let error = WalkError {
        sd_m: average(|t| t.sd_m),
        lasts_s: if running > 0.0 { (log_tau / running).exp() } else { 0.0 },
        lasts_m: if running > 0.0 { (log_tau / running).exp() * clock.pace_m_s } else { 0.0 },
        white_share: average(|t| t.white),
        white_only_weight: 1.0 - running,
        fixes: clock.times_s.len(),
    };
    Some(Walk { parameters: p, covariance, ratio, error, parts })
}

fn mean(terms: &[Term], k: usize) -> DVector<f64> {
    terms.iter().fold(DVector::zeros(k), |sum, t| sum + &t.step * t.weight)
}

/// The equations at `p`, the walks' apart from the rest.
struct Linear {
    sights: Vec<Sight>,
    /// Row and residual of each fix, m.
    rows: Vec<f64>,
    /// Residual and row of everything else, over its standard deviation.
    others: Vec<(f64, Vec<f64>)>,
    columns: usize,
}

impl Linear {
    fn at(p: &[f64], system: &System, clock: &Clock) -> Option<Self> {
        let mut l = Self { sights: Vec::new(), rows: Vec::new(), others: Vec::new(), columns: p.len() };
        let mut times = clock.times_s.iter();
        system.each_equation(p, |seen, r, g| match seen {
            Seen::Fix { sd, normal, source } if clock.runs(source) => {
                let time = times.next().copied().unwrap_or(f64::NAN);
                l.sights.push(Sight { time, nx: normal.x, ny: normal.y });
                // Undo the division by the standard deviation: the scale is free here.
                l.rows.extend(g.iter().map(|v| v * sd));
                l.rows.push(r * sd);
            }
            _ => l.others.push((r, g.to_vec())),
        })?;
        let n = l.sights.len();
        (n >= ELLIPSE + 3 && n == clock.times_s.len()).then_some(l)
    }

    fn dof(&self) -> f64 {
        (self.sights.len() - ELLIPSE) as f64
    }
}

/// One kind of error that a walk may have: how long it lasts, how much of it is white,
/// and as its fixes show it the variance and the logarithm of likelihood × prior.
#[derive(Clone, Copy)]
struct Kind {
    tau_s: f64,
    white: f64,
    variance: f64,
    log_weight: f64,
}

/// Every kind on the grid: how long, how white and how large, from the walks alone and
/// by the ellipse's five parameters. What posts and tapes say in metres must not be
/// rescaled by a walk's error.
fn kinds(l: &Linear) -> Vec<Kind> {
    let each = (1.0 - WHITE_ONLY) / (TAUS_S.len() * WHITES.len()) as f64;
    let grid = TAUS_S
        .iter()
        .flat_map(|&tau| WHITES.iter().map(move |&white| (tau, white, each)))
        .chain([(0.0, 1.0, WHITE_ONLY)]);
    let (k, dof) = (l.columns, l.dof());
    let mut list = Vec::new();
    for (tau_s, white, prior) in grid {
        let Some(w) = whiten(&l.sights, &l.rows, k + 1, tau_s, white) else { continue };
        let at = |i: usize, j: usize| w.products[i * (k + 1) + j];
        let g = DMatrix::from_fn(ELLIPSE, ELLIPSE, at);
        let b = DVector::from_fn(ELLIPSE, |i, _| at(i, k));
        let Some(factor) = g.cholesky() else { continue };
        let rss = at(k, k) - b.dot(&factor.solve(&b));
        if rss.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater) {
            continue;
        }
        let log_det_g = 2.0 * factor.l_dirty().diagonal().iter().map(|d| d.ln()).sum::<f64>();
        let log_likelihood = -0.5 * (w.log_det + log_det_g + dof * rss.ln());
        list.push(Kind { tau_s, white, variance: rss / dof, log_weight: log_likelihood + prior.ln() });
    }
    list
}

/// All parameters for each kind of error, the walks at its variance and the rest at its own.
fn terms(l: &Linear, kinds: &[Kind]) -> Option<Vec<Term>> {
    let k = l.columns;
    let mut list = Vec::new();
    for kind in kinds {
        let Some(w) = whiten(&l.sights, &l.rows, k + 1, kind.tau_s, kind.white) else { continue };
        let at = |i: usize, j: usize| w.products[i * (k + 1) + j];
        let mut g = DMatrix::from_fn(k, k, |i, j| at(i, j) / kind.variance);
        let mut b = DVector::from_fn(k, |i, _| at(i, k) / kind.variance);
        for (r, row) in &l.others {
            let row = DVector::from_column_slice(row);
            g += &row * row.transpose();
            b += &row * *r;
        }
        let Some(factor) = g.cholesky() else { continue };
        let step = -factor.solve(&b);
        list.push((
            kind.log_weight,
            Term {
                weight: 0.0,
                step,
                covariance: factor.inverse(),
                tau_s: kind.tau_s,
                white: kind.white,
                sd_m: kind.variance.sqrt(),
            },
        ));
    }
    let best = list.iter().map(|(l, _)| *l).fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = list.iter().map(|(l, _)| (l - best).exp()).sum();
    let terms: Vec<Term> = list
        .into_iter()
        .map(|(l, mut t)| {
            t.weight = (l - best).exp() / total;
            t
        })
        .collect();
    (!terms.is_empty() && total.is_finite()).then_some(terms)
}

/// Half the width of the mixture's 95 % interval for gᵀp, over its standard deviation.
fn half_width_ratio(terms: &[Term], g: &DVector<f64>, covariance: &DMatrix<f64>, dof: f64) -> Option<f64> {
    let sd = (g.transpose() * covariance * g)[(0, 0)].sqrt();
    let parts: Vec<(f64, f64, f64)> = terms
        .iter()
        .map(|t| (t.weight, g.dot(&t.step), (g.transpose() * &t.covariance * g)[(0, 0)].sqrt()))
        .collect();
    let centre: f64 = parts.iter().map(|(w, m, _)| w * m).sum();
    let below = |x: f64| parts.iter().map(|(w, m, s)| w * t_cdf((x - m) / s, dof)).sum::<f64>();
    let widest = parts.iter().map(|p| p.2).fold(sd, f64::max) * 20.0;
    let lo = find_root(|x| below(x) - 0.025, centre - widest, centre, 1e-6 * sd).ok()?;
    let hi = find_root(|x| below(x) - 0.975, centre, centre + widest, 1e-6 * sd).ok()?;
    let ratio = 0.5 * (hi - lo) / sd;
    ratio.is_finite().then_some(ratio)
}
