//! Generalised least squares for walks, whose fixes have autocorrelated errors. The result is averaged over
//! the correlation time and the white share of the error and, for a freeform line, over its smoothness.
//!
//! The error in the plane is an isotropic process (standard deviation, τ) plus white noise, and only its part
//! along the normal matters: cov(rᵢ, rⱼ) = σ²((1 − w) ρ(|Δt|) nᵢ·nⱼ + w δᵢⱼ), with ρ either e^(−|Δt|/τ) or
//! smooth, see [`whiten`](crate::numeric::whiten). The end of a lap is correlated with its start by time and
//! not by place: see [`clock`](super::clock).
//!
//! The likelihood of each kind of error comes from the walks' fixes alone ([`kinds`](super::kinds)). Posts,
//! tapes and other sources then join at their own standard deviations. If they shared the walk's free scale,
//! they would be taken to be as rough as the walk, and their small residuals would make the walk look good.
//!
//! The estimate is the mean over the kinds weighted by likelihood × prior; the interval
//! that of the mixture of t distributions with n − p degrees of freedom.
//!
//! Several laps are one walk. Several walks have errors of the same kind, but independent of each other.

use std::f64::consts::TAU;

use nalgebra::{DMatrix, DVector};
use std::ops::AddAssign as _;

use super::form::log_det;
use super::kinds::{Kind, kinds};
use super::linear::{Group, Linear, Sums};

use super::system::System;
use super::walk_error::WalkError;
use crate::numeric::{Memory, find_root, t_cdf};

/// The most linearisations of a line; an ellipse needs two, a freeform line three.
const ROUNDS: usize = 6;
/// Converged when a round moves nothing by more than this share of its standard deviation.
const SETTLED: f64 = 0.02;
/// Degrees of freedom where no scale was estimated from residuals.
const KNOWN: f64 = 1e6;

/// The result for the mixture.
pub(super) struct Walk {
    pub(super) parameters: Vec<f64>,
    pub(super) covariance: DMatrix<f64>,
    /// 95 % half-width over standard deviation, the largest of the functions asked for.
    pub(super) ratio: f64,
    /// The group's standard deviation of unit weight.
    pub(super) scale: f64,
    /// The walk's error, where errors may be autocorrelated.
    pub(super) error: Option<WalkError>,
    /// The mixture's parts, each a plain adjustment.
    pub(super) parts: Vec<Part>,
    /// Logarithm of the marginal likelihood: averaged over the kinds of error by their priors, and over the
    /// parameters with flat priors.
    pub(super) log_evidence: f64,
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
    kind: Kind,
    weight: f64,
    step: DVector<f64>,
    covariance: DMatrix<f64>,
    /// Logarithm of the likelihood of all observations outside the group, given the group.
    log_rest: f64,
}

/// Generalised least squares, starting from an ordinary least-squares optimum.
///
/// `gradients` gives the linear functions (length, width) whose intervals set the ratio. `alone` gives the
/// parameters by the line alone, where other measures move them: a tape that is wrong by twelve metres must
/// not make the walk look so rough that the two agree. The result is `None` when the observations are too few
/// or no term of the grid can be computed.
pub(super) fn average(
    start: &[f64],
    alone: Option<&[f64]>,
    system: &System,
    group: Group<'_>,
    gradients: impl Fn(&[f64]) -> Vec<Vec<f64>>,
) -> Option<Walk> {
    let running = matches!(group, Group::Walks(_));
    let given = match alone {
        Some(free) => Some(kinds(&Linear::at(free, system, group)?, running, None)),
        None => None,
    };
    let k = start.len();
    let mut p = start.to_vec();
    let mut found = None;
    let mut likely: Option<Vec<Kind>> = None;
    for round in 0..ROUNDS {
        let linear = Linear::at(&p, system, group)?;
        let list = match &given {
            Some(kinds) => kinds.clone(),
            // The first round shows which kinds are too unlikely to matter.
            None => kinds(&linear, running, likely.as_deref()),
        };
        if round == 0 {
            likely = Some(list.clone());
        }
        let terms = terms(&linear, &list)?;
        let shift = mean(&terms, k);
        let moved = (0..k)
            .map(|i| {
                let variance: f64 = terms.iter().map(|t| t.weight * t.covariance[(i, i)]).sum();
                shift[i].abs() / variance.max(f64::MIN_POSITIVE).sqrt()
            })
            .fold(0.0, f64::max);
        // Linearise at least twice: at the ordinary optimum, then at the mean of the mixture.
        let last = round + 1 == ROUNDS || (round > 0 && moved < SETTLED);
        found = Some((terms, shift.clone(), linear.fixes(), linear.dof()));
        if last {
            break;
        }
        for (value, step) in p.iter_mut().zip(shift.iter()) {
            *value += step;
        }
    }
    let (terms, shift, fixes, dof) = found?;
    let dof = if fixes == 0 { KNOWN } else { dof };
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
    let average = |f: fn(&Kind) -> f64| terms.iter().map(|t| t.weight * f(&t.kind)).sum::<f64>();
    let error = match group {
        Group::Walks(clock) => {
            let log_tau = average(|k| if k.tau_s > 0.0 { k.tau_s.ln() } else { 0.0 });
            let lasting: f64 = terms.iter().filter(|t| t.kind.tau_s > 0.0).map(|t| t.weight).sum();
            let lasts_s = if lasting > 0.0 { (log_tau / lasting).exp() } else { 0.0 };
            Some(WalkError {
                sd_m: average(|k| k.variance.sqrt()),
                lasts_s,
                lasts_m: lasts_s * clock.pace_m_s,
                white_share: average(|k| k.white),
                white_only_weight: 1.0 - lasting,
                fixes,
            })
        }
        _ => None,
    };
    Some(Walk {
        scale: average(|k| k.variance.sqrt()),
        log_evidence: log_sum(terms.iter().map(|t| t.kind.log_weight + t.log_rest)),
        parameters: p,
        covariance,
        ratio,
        error,
        parts,
    })
}

fn mean(terms: &[Term], k: usize) -> DVector<f64> {
    terms.iter().fold(DVector::zeros(k), |sum, t| sum + &t.step * t.weight)
}

/// Logarithm of a sum of exponentials.
pub(super) fn log_sum(list: impl Iterator<Item = f64> + Clone) -> f64 {
    let best = list.clone().fold(f64::NEG_INFINITY, f64::max);
    if best.is_finite() { best + list.map(|l| (l - best).exp()).sum::<f64>().ln() } else { best }
}

/// Solves for all parameters with each kind of error. The group has the kind's variance, the other
/// observations have their own.
fn terms(l: &Linear, kinds: &[Kind]) -> Option<Vec<Term>> {
    let k = l.columns;
    let mut others = (DMatrix::zeros(k, k), DVector::zeros(k), 0.0);
    for (r, row) in &l.others {
        // Rows are mostly zeros.
        let set: Vec<(usize, f64)> = row.iter().copied().enumerate().filter(|(_, v)| *v != 0.0).collect();
        for &(i, a) in &set {
            others.1[i] += a * r;
            for &(j, b) in &set {
                others.0[(i, j)] += a * b;
            }
        }
        others.2 += r * r;
    }
    let mut list: Vec<Term> = Vec::new();
    let mut sums: Option<((Memory, f64, f64), Sums)> = None;
    for kind in kinds {
        let same = sums.as_ref().is_some_and(|s| s.0 == (kind.memory, kind.tau_s, kind.white));
        if !same {
            sums = l
                .sums(kind.memory, kind.tau_s, kind.white, true)
                .map(|s| ((kind.memory, kind.tau_s, kind.white), s));
        }
        let Some((_, s)) = &sums else { continue };
        let mut g = &s.normal / kind.variance + &others.0;
        let mut b = &s.right / kind.variance + &others.1;
        let mut square = s.square / kind.variance + others.2;
        if let (Some((which, sd)), Some(smooths)) = (kind.smooth, &l.smooths) {
            let over = &smooths.get(which)?.precision / (sd * sd);
            let pull = &over * &l.offsets;
            square += l.offsets.dot(&pull);
            let n = l.curve;
            g.view_mut((0, 0), (n, n)).add_assign(&over);
            b.rows_mut(0, n).add_assign(&pull);
        }
        let Some(factor) = g.cholesky() else { continue };
        let step = -factor.solve(&b);
        // At the group's own optimum its weighted sum of squares equals its degrees of freedom.
        let rest = square + b.dot(&step) - if l.fixes() > 0 { l.dof() } else { 0.0 };
        let free = if l.fixes() > 0 { k - l.curve } else { k - l.curve + l.free };
        let log_rest = 0.5 * (free as f64 * TAU.ln() + kind.log_det - log_det(&factor) - rest) - l.log_sd;
        list.push(Term { kind: *kind, weight: 0.0, step, covariance: factor.inverse(), log_rest });
    }
    let best = list.iter().map(|t| t.kind.log_weight).fold(f64::NEG_INFINITY, f64::max);
    let weigh = |t: &Term| {
        // Without a group, only the other observations show which kind it is.
        t.kind.log_weight - best + if l.fixes() > 0 { 0.0 } else { t.log_rest }
    };
    let total = log_sum(list.iter().map(weigh));
    let weights: Vec<f64> = list.iter().map(|t| (weigh(t) - total).exp()).collect();
    list.iter_mut().zip(weights).for_each(|(t, weight)| t.weight = weight);
    (!list.is_empty() && total.is_finite()).then_some(list)
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
