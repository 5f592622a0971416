//! The kinds of error, and of smoothness, that a line may have, and the likelihood of each.
//!
//! A kind of error has a correlation time τ and a share of white noise, and is rough or smooth. Smooth errors
//! come from a receiver that filters its fixes; they look like a line's own bends, and one lap can't tell the
//! two apart. For each kind the exact restricted likelihood of the group's fixes is computed. Its scale is
//! integrated out under a prior that is uniform in the logarithm, and the curve's free parameters under
//! uniform priors (D. A. Harville, Bayesian inference for variance components using only error contrasts,
//! Biometrika 61, 1974; citation from memory):
//!
//! ln L = ln Γ(ν/2) − ½ν ln(π RSS) − ½ ln|V| − ½ ln|JᵀV⁻¹J|, ν = n − p
//!
//! A freeform line's offsets c have a Gaussian prior of standard deviation A with the
//! precision P/A² (see [`Smooth`](super::form::Smooth)), so with A = ασ
//!
//! ln L = ln Γ(ν/2) − ½ν ln(π RSS) − ½ ln|V| − ½ (ln|G + P/α²| + ln|EᵀQE| − ln|Q|), ν = n − 5
//!
//! where G = BᵀV⁻¹B, RSS includes cᵀPc/α², and Q is the process's precision over α². As A goes to 0 it
//! becomes the ellipse's own likelihood, so the two can be compared.
//!
//! Where the method states a standard deviation of its fixes, the prior of the scale is centred on it
//! (evaluated at each kind's own best scale), and the scale is at least a fifth of it: the integral is cut
//! off there.
//!
//! **The priors are tuned constants**, frozen: rough and smooth equally likely, τ log-uniform over
//! [`TAUS_S`], the white share over [`WHITES`], one atom of white noise only, and A log-normal about
//! [`OFFSETS_M`]. With only shorter τ, intervals would fall below 95 %; with more weight on long τ, they
//! would become too wide to be of use.

use std::f64::consts::{PI, TAU};

use nalgebra::DVector;
use statrs::function::gamma::{gamma_lr, ln_gamma};

use super::form::log_det;
use super::linear::{Linear, Sums};
use crate::numeric::Memory;

/// Correlation times of the error, s.
const TAUS_S: [f64; 12] = [1.0, 2.0, 3.0, 5.0, 9.0, 16.0, 28.0, 50.0, 85.0, 140.0, 240.0, 400.0];
/// Shares of the variance that may be white.
const WHITES: [f64; 8] = [0.01, 0.03, 0.08, 0.15, 0.3, 0.5, 0.7, 0.9];
/// Prior weight of the white-only atom.
const WHITE_ONLY: f64 = 0.1;
/// Typical offset of a freeform line from its best ellipse, m, and the standard deviation
/// of its logarithm: half of them within 0.3 and 1.6 m.
pub(super) const OFFSETS_M: (f64, f64) = (0.7, 1.2);
/// The grid of the offsets' standard deviations, m.
const LADDER: (f64, f64, i32) = (0.05, 2.0, 9);
/// How well a method's stated standard deviation holds, as that of its logarithm: two thirds of
/// walks within 0.55 and 1.8 of it.
const STATED_TO: f64 = 0.6;
/// The least standard deviation of a walk, as a share of the stated one: a filtered receiver's errors may
/// look as smooth as a line's own bends, but are no smaller for that.
const LEAST_OF_STATED: f64 = 0.2;
/// The least likely kinds that make up this share together are left out.
const NEGLIGIBLE: f64 = 0.002;

/// One kind of error, with its likelihood by the group's fixes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Kind {
    pub(super) memory: Memory,
    pub(super) tau_s: f64,
    pub(super) white: f64,
    /// The group's variance.
    pub(super) variance: f64,
    /// Logarithm of likelihood × prior.
    pub(super) log_weight: f64,
    /// Which smoothness a freeform line has, and its offsets' standard deviation, m.
    pub(super) smooth: Option<(usize, f64)>,
    /// ln |G + P/α²| over the variance. It serves to separate the likelihood of the other measures.
    pub(super) log_det: f64,
}

/// The likelihood of every kind on the grid, from the group's fixes and the curve's parameters alone: posts
/// and tapes have standard deviations in metres, which a walk's error must not rescale. `running` says
/// whether errors may be autocorrelated; `among` restricts the correlation times and white shares.
pub(super) fn kinds(l: &Linear, running: bool, among: Option<&[Kind]>) -> Vec<Kind> {
    // A freeform line has dozens of columns, and every second step of each grid loses little.
    let every = if l.smooths.is_some() { 2 } else { 1 };
    let (taus, whites) = (TAUS_S.iter().step_by(every), WHITES.iter().step_by(every));
    let memories = [Memory::Rough, Memory::Smooth];
    let each = (1.0 - WHITE_ONLY) / (memories.len() * taus.len() * whites.len()) as f64;
    let grid: Vec<(Memory, f64, f64, f64)> = if running {
        let lasting = memories.into_iter().flat_map(|memory| {
            let whites = whites.clone();
            taus.clone().flat_map(move |&tau| whites.clone().map(move |&white| (memory, tau, white, each)))
        });
        lasting.chain([(Memory::Rough, 0.0, 1.0, WHITE_ONLY)]).collect()
    } else {
        vec![(Memory::Rough, 0.0, 1.0, 1.0)]
    };
    let mut list = Vec::new();
    for (memory, tau_s, white, prior) in grid {
        if among.is_some_and(|a| !a.iter().any(|k| (k.memory, k.tau_s, k.white) == (memory, tau_s, white))) {
            continue;
        }
        let Some(sums) = l.sums(memory, tau_s, white, false) else { continue };
        let kind =
            Kind { memory, tau_s, white, variance: 1.0, log_weight: prior.ln(), smooth: None, log_det: 0.0 };
        match &l.smooths {
            None => list.extend(plain(l, &sums, kind)),
            Some(smooths) => (0..smooths.len()).for_each(|s| list.extend(smooth(l, &sums, kind, s))),
        }
    }
    let best = list.iter().map(|k| k.log_weight).fold(f64::NEG_INFINITY, f64::max);
    let mut odds: Vec<f64> = list.iter().map(|k| (k.log_weight - best).exp()).collect();
    odds.sort_by(f64::total_cmp);
    let total: f64 = odds.iter().sum();
    let mut left = 0.0;
    let least = odds.iter().find(|o| {
        left += **o;
        left > NEGLIGIBLE * total
    });
    let least = least.map_or(f64::NEG_INFINITY, |o| o.ln());
    list.retain(|k| k.log_weight - best >= least);
    list
}

/// The likelihood of one kind of error where all parameters of the curve are free.
fn plain(l: &Linear, sums: &Sums, kind: Kind) -> Option<Kind> {
    if l.fixes() == 0 {
        return Some(kind);
    }
    let factor = sums.normal.clone().cholesky()?;
    let rss = l.left_over(sums.square, sums.right.dot(&factor.solve(&sums.right)))?;
    with_scale(l, sums.log_det, log_det(&factor), l.curve, rss, kind)
}

/// Integrates the scale out. `order` is the number of parameters in `log_det_g`.
fn with_scale(
    l: &Linear,
    log_det_v: f64,
    log_det_g: f64,
    order: usize,
    rss: f64,
    kind: Kind,
) -> Option<Kind> {
    let dof = l.dof();
    (rss > 0.0 && rss.is_finite() && dof > 0.0).then(|| {
        let least = (LEAST_OF_STATED * l.stated_sd).powi(2);
        let variance = (rss / dof).max(least);
        let large_enough = if least > 0.0 { log_chi2_below(rss / least, dof) } else { 0.0 };
        let log_likelihood = ln_gamma(0.5 * dof) - 0.5 * (dof * (PI * rss).ln() + log_det_v + log_det_g)
            + large_enough
            + as_stated(variance.sqrt(), l.stated_sd);
        Kind {
            variance,
            log_weight: kind.log_weight + log_likelihood,
            log_det: log_det_g - order as f64 * variance.ln(),
            ..kind
        }
    })
}

/// Logarithm of the prior of a standard deviation, given the one that the method states.
fn as_stated(sd: f64, stated: f64) -> f64 {
    if stated > 0.0 { -0.5 * ((sd / stated).ln() / STATED_TO).powi(2) } else { 0.0 }
}

/// Logarithm of the probability that χ² with `dof` degrees of freedom is below `x`. It is the share of the
/// integral over the scale that is left when the scale has a lower limit. Far below the mean the first term
/// of the series is used, h^a e^(−h)/Γ(a + 1) with h = x/2 and a = dof/2; it is good to a part in a hundred.
fn log_chi2_below(x: f64, dof: f64) -> f64 {
    let (half, a) = (0.5 * x, 0.5 * dof);
    if half < 0.01 * a {
        a * half.ln() - half - ln_gamma(a + 1.0)
    } else {
        gamma_lr(a, half).max(f64::MIN_POSITIVE).ln()
    }
}

/// The likelihoods of one kind of error for a freeform line of one smoothness, one for each size of the
/// offsets.
fn smooth(l: &Linear, sums: &Sums, kind: Kind, which: usize) -> Vec<Kind> {
    let Some(smooth) = l.smooths.as_ref().and_then(|s| s.get(which)) else { return Vec::new() };
    let count = l.smooths.as_ref().map_or(1, |s| s.len()) as f64;
    let (least, ratio, steps) = LADDER;
    // The group's scale turns metres into its unit. It is not known yet, but the residuals from a very free
    // line give it well enough to place the grid of sizes.
    let unit = if l.fixes() == 0 { 1.0 } else { scale_of(l, sums, which).unwrap_or(1.0) };
    let pull = &smooth.precision * &l.offsets;
    let size = l.offsets.dot(&pull);
    let mut list = Vec::new();
    for step in 0..steps {
        let ratio_a = least * ratio.powi(step) / unit;
        let over = 1.0 / (ratio_a * ratio_a);
        let Some(factor) = (&sums.normal + &smooth.precision * over).cholesky() else { continue };
        let right: DVector<f64> = &sums.right + &pull * over;
        let explained = right.dot(&factor.solve(&right));
        let Some(rss) = l.left_over(sums.square + size * over, explained) else { continue };
        // EᵀQE has five columns, and Q has all.
        let order = l.curve as f64 - 5.0;
        let volume = smooth.log_volume + 2.0 * order * ratio_a.ln();
        let found = if l.fixes() == 0 {
            Some(Kind { log_weight: kind.log_weight - 0.5 * volume, ..kind })
        } else {
            with_scale(l, sums.log_det + volume, log_det(&factor), l.curve, rss, kind)
        };
        list.extend(found.map(|k| {
            let a = ratio_a * k.variance.sqrt();
            let off = (a / OFFSETS_M.0).ln() / OFFSETS_M.1;
            let density = -0.5 * off * off - (OFFSETS_M.1 * TAU.sqrt()).ln();
            Kind {
                log_weight: k.log_weight + density + ratio.ln().ln() - count.ln(),
                smooth: Some((which, a)),
                ..k
            }
        }));
    }
    list
}

/// The group's scale by the residuals from a line with a very weak prior on its smoothness.
fn scale_of(l: &Linear, sums: &Sums, which: usize) -> Option<f64> {
    let smooth = l.smooths.as_ref()?.get(which)?;
    let typical = sums.normal.trace() / smooth.precision.trace();
    let over = 1e-3 * typical;
    let factor = (&sums.normal + &smooth.precision * over).cholesky()?;
    let pull = &smooth.precision * &l.offsets * over;
    let right = &sums.right + &pull;
    let rss = l.left_over(sums.square + l.offsets.dot(&pull), right.dot(&factor.solve(&right)))?;
    (l.dof() > 0.0).then(|| (rss / l.dof()).sqrt())
}

#[cfg(test)]
mod tests {
    use super::super::form::{Form, Freeform};
    use super::super::linear::Group;
    use super::super::observation::{Observation, Of};
    use super::super::system::System;
    use super::*;
    use crate::geometry::{ClosedCurve, Ellipse, Point};

    /// 90 points of an ellipse with a made-up scatter of some 0.1 m.
    fn system(form: Form) -> System {
        let e = Ellipse::new(Point::new(1.0, 2.0), [80.0, 65.0], 20.0).unwrap();
        let points = (0..90).map(|i| {
            let t = f64::from(i) * 0.07;
            let off = 0.1 * ((f64::from(i * i) * 1.3).sin() + (f64::from(i) * 2.9).cos());
            let at = e.at_parameter(t) + e.normal(t) * off;
            Observation::OnLine { at, sd: 1.0, inside: 0.0, of: Of::default() }
        });
        System { form, ..System::of(points.collect(), 19.2) }
    }

    #[test]
    fn a_freeform_line_without_offsets_is_as_likely_as_its_ellipse() {
        let e = Ellipse::new(Point::new(1.0, 2.0), [80.0, 65.0], 20.0).unwrap();
        let p = [1.0, 2.0, 80.0, 65.0, 20f64.to_radians()];
        let ellipse = Linear::at(&p, &system(Form::Ellipse), Group::Line).unwrap();
        let alone = kinds(&ellipse, false, None)[0].log_weight;
        let free =
            Linear::at(&[0.0; 64], &system(Form::Freeform(Box::new(Freeform::off(e).unwrap()))), Group::Line)
                .unwrap();
        let sums = free.sums(Memory::Rough, 0.0, 1.0, false).unwrap();
        let smooth = &free.smooths.as_ref().unwrap()[0];
        // α of 1e-3: offsets of a tenth of a millimetre.
        let over = 1e6;
        let factor = (&sums.normal + &smooth.precision * over).cholesky().unwrap();
        let rss = sums.square - sums.right.dot(&factor.solve(&sums.right));
        let volume = smooth.log_volume + 2.0 * 59.0 * 1e-3f64.ln();
        let kind = Kind {
            memory: Memory::Rough,
            tau_s: 0.0,
            white: 1.0,
            variance: 1.0,
            log_weight: 0.0,
            smooth: None,
            log_det: 0.0,
        };
        let held = with_scale(&free, sums.log_det + volume, log_det(&factor), 64, rss, kind).unwrap();
        // The five moves are those of the ellipse at the control points, smoothed by the spline:
        // 1 in 1,000 each, and half the logarithm of five of their squares.
        assert!((held.log_weight - alone).abs() < 0.05, "{} {alone}", held.log_weight);
    }

    #[test]
    fn likelihoods_are_those_of_the_dense_covariance() {
        // Second method: y ~ N(0, V + A²BKBᵀ) with the five moves free, all in dense matrices.
        let e = Ellipse::new(Point::new(1.0, 2.0), [80.0, 65.0], 20.0).unwrap();
        let s = system(Form::Freeform(Box::new(Freeform::off(e).unwrap())));
        let l = Linear::at(&[0.0; 64], &s, Group::Line).unwrap();
        let list = kinds(&l, false, None);
        let (a, b) = (list[0], *list.last().unwrap());
        let dense = |k: &Kind| {
            let (which, a) = k.smooth.unwrap();
            let smooth = &l.smooths.as_ref().unwrap()[which];
            let n = l.fixes();
            let mut rows = Vec::new();
            let mut r = Vec::new();
            s.each_equation(&[0.0; 64], |seen, miss, row| {
                if matches!(seen, super::super::system::Seen::Fix { .. }) {
                    rows.extend_from_slice(row);
                    r.push(miss);
                }
            })
            .unwrap();
            let basis = nalgebra::DMatrix::from_row_slice(n, 64, &rows);
            let y = DVector::from_vec(r);
            // The projection of the process off the moves has the generalised inverse of P.
            let eigen = smooth.precision.clone().symmetric_eigen();
            let mut inverse = nalgebra::DMatrix::zeros(64, 64);
            let mut null = Vec::new();
            for i in 0..64 {
                let v = eigen.eigenvectors.column(i);
                if eigen.eigenvalues[i] > 1e-9 {
                    inverse += v * v.transpose() / eigen.eigenvalues[i];
                } else {
                    null.push(v.into_owned());
                }
            }
            let null = nalgebra::DMatrix::from_columns(&null);
            let alpha2 = a * a / k.variance;
            let v = nalgebra::DMatrix::identity(n, n) + &basis * inverse * basis.transpose() * alpha2;
            let j = &basis * null;
            let v = v.cholesky().unwrap();
            let vj = v.solve(&j);
            let g = (j.transpose() * &vj).cholesky().unwrap();
            let b = vj.transpose() * &y;
            let rss = y.dot(&v.solve(&y)) - b.dot(&g.solve(&b));
            let dof = (n - 5) as f64;
            (ln_gamma(0.5 * dof) - 0.5 * (dof * (PI * rss).ln() + log_det(&v) + log_det(&g)), rss / dof)
        };
        let ((la, va), (lb, vb)) = (dense(&a), dense(&b));
        let prior = |k: &Kind| {
            let off = (k.smooth.unwrap().1 / OFFSETS_M.0).ln() / OFFSETS_M.1;
            -0.5 * off * off
        };
        // Differences, since the moves' own scale is a constant that the dense form leaves out.
        let same_length = a.smooth.unwrap().0 == b.smooth.unwrap().0;
        if same_length {
            assert!(((a.log_weight - prior(&a) - b.log_weight + prior(&b)) - (la - lb)).abs() < 1e-5);
        }
        assert!((va / a.variance - 1.0).abs() < 1e-8 && (vb / b.variance - 1.0).abs() < 1e-8);
        assert!(list.len() > 3);
    }
}
