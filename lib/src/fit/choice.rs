//! Chooses the shape of a line by the likelihood of the survey under each shape.
//!
//! Every shape is fitted. Its likelihood is averaged over the possible kinds of error and, for a freeform
//! line, over its smoothness: see [`kinds`](super::kinds). The errors of a line are autocorrelated, so a
//! shape gains nothing from a stretch that is shorter than their correlation length. All shapes are equally
//! likely a priori. The simplest one that is not [`TOLD_APART`] times less likely than the likeliest is
//! chosen.
//!
//! Shapes that the survey can't tell apart widen the ±. Length, widths and perimeter are averaged over the
//! shapes by their weights, and the chosen shape's spread is widened until its intervals hold 95 % of that
//! average.

use super::Fit;
use super::chosen::{Candidate, TOLD_APART};
use super::form::{Cut, Form};
use super::ground_fit::Once;
use super::observation::GOALS;
use super::starts::Try;
use crate::boundary::{Outline, Side, Spread};
use crate::frame::Local;
use crate::geometry::{ClosedCurve as _, Ellipse, Model, Point, Shape, Vector};
use crate::numeric::{find_root, normal_quantile, t_cdf};

/// Most times that a freeform line may be likelier than the best other shape on one lap of a walk.
const ONE_LAP_ODDS: f64 = 0.95 * TOLD_APART;
/// The probability that a taped length is wrong unnoticed: a shape that it contradicts keeps this share of
/// its weight.
const WRONG: f64 = 0.01;
/// How much more widths scatter than a walk's ± says, where the shape is chosen from the same fixes. Their
/// errors are autocorrelated, so the shape follows some of the error: the more, the longer its correlation
/// time is as a share of the lap. The factor is 1 plus this constant times that share. On simulated walks
/// with a correlation time of 60 s of 328 s the width's root mean square error was 1.1 to 1.25 of its ±, at
/// 20 s about 1.05; a tuned constant.
const BY_WALK: f64 = 1.7;
/// The least weight of a possible shape in the average of the widths. With equal weights a priori the
/// averages hold the truth as often as they claim over all grounds together, but less often on a ground with
/// a straight side, which many walks take for an ellipse. Measured on such grounds, in the table of the
/// documentation; a tuned constant.
const LEAST_OF_WIDTHS: f64 = 0.2;
/// Number of draws of a cut ellipse's widths.
const DRAWS: usize = 512;
/// Shapes of a smaller weight than this are left out of the ±.
const NEGLIGIBLE: f64 = 1e-3;

/// A fit that was tried, and its weight among all fits.
pub(super) struct Tried {
    pub(super) of: Try,
    /// The fit; `None` where it failed.
    pub(super) once: Option<Once>,
    pub(super) weight: f64,
}

impl Tried {
    /// Logarithm of its evidence (marginal likelihood), where that could be computed.
    fn log_evidence(&self) -> Option<f64> {
        self.once.as_ref().map(|o| o.log_evidence).filter(|e| e.is_finite())
    }
}

/// Weighs fits by their evidence. Fits that failed, or whose evidence could not be computed, get weight 0.
pub(super) fn weigh(tried: &mut [Tried]) {
    let best = tried.iter().filter_map(Tried::log_evidence).fold(f64::NEG_INFINITY, f64::max);
    for t in tried.iter_mut() {
        t.weight = t.log_evidence().map_or(0.0, |e| (e - best).exp());
    }
    // Whatever bends a freeform line shows on one lap, an autocorrelated error may explain them too, so its
    // weight is limited. A second lap tells shape and error apart.
    let others = tried.iter().filter(|t| t.of.model != Model::Freeform).map(|t| t.weight);
    let most = ONE_LAP_ODDS * others.fold(0.0, f64::max);
    for t in tried.iter_mut() {
        if t.of.model == Model::Freeform && most > 0.0 && t.once.as_ref().is_some_and(|o| o.one_lap) {
            t.weight = t.weight.min(most);
        }
    }
    let total: f64 = tried.iter().map(|t| t.weight).sum::<f64>().max(f64::MIN_POSITIVE);
    tried.iter_mut().for_each(|t| t.weight /= total);
}

/// Multiplies the fits' weights by the evidence of measures other than the line. `adds` holds its logarithm
/// for each fit.
pub(super) fn weigh_anew(tried: &mut [Tried], adds: &[Option<f64>]) {
    let adds: Vec<Option<f64>> = adds.iter().map(|a| a.filter(|a| a.is_finite())).collect();
    let best = adds.iter().flatten().copied().fold(f64::NEG_INFINITY, f64::max);
    if !best.is_finite() {
        return;
    }
    for (t, adds) in tried.iter_mut().zip(adds) {
        t.weight *= adds.map_or(0.0, |a| (a - best).exp().max(WRONG));
    }
    let total: f64 = tried.iter().map(|t| t.weight).sum::<f64>().max(f64::MIN_POSITIVE);
    tried.iter_mut().for_each(|t| t.weight /= total);
}

/// The likeliest fit of a shape. A cut along a side is the simplest place of a cut, so it is taken unless it
/// is ruled out.
pub(super) fn likeliest(tried: &[Tried], model: Model) -> Option<&Tried> {
    let most = |along: bool| {
        tried
            .iter()
            .filter(|t| t.of.model == model && t.once.is_some() && (!along || t.of.cut() != Cut::Anywhere))
            .max_by(|a, b| a.weight.total_cmp(&b.weight))
    };
    let best = most(false);
    most(true).filter(|t| best.is_some_and(|b| t.weight * TOLD_APART >= b.weight)).or(best)
}

/// The shapes with their weights, the simplest first.
pub(super) fn candidates(tried: &[Tried]) -> Vec<Candidate> {
    Model::ALL
        .into_iter()
        .filter(|m| tried.iter().any(|t| t.of.model == *m))
        .map(|model| Candidate {
            model,
            weight: weight_of(tried, model),
            rms_m: likeliest(tried, model).and_then(|t| Some(t.once.as_ref()?.fit.curve.rms_m)),
        })
        .collect()
}

/// A shape's weight: 0 where no such curve fits, `None` where it could not be compared.
fn weight_of(tried: &[Tried], model: Model) -> Option<f64> {
    let fits = || tried.iter().filter(|t| t.of.model == model && t.once.is_some());
    let compared = fits().next().is_none() || fits().any(|t| t.log_evidence().is_some());
    compared.then(|| fits().map(|t| t.weight).sum())
}

/// The simplest shape that is not ruled out; where none could be compared, the simplest that fits.
pub(super) fn simplest(candidates: &[Candidate]) -> Model {
    let fit = || candidates.iter().filter(|c| c.rms_m.is_some());
    let best = fit().filter_map(|c| c.weight).reduce(f64::max);
    let found = match best {
        Some(best) => fit().find(|c| c.weight.is_some_and(|w| w * TOLD_APART >= best)),
        None => fit().next(),
    };
    found.map_or(Model::Ellipse, |c| c.model)
}

/// Number of sizes that are averaged: length, the two half-widths, width and perimeter, m.
const SIZES: usize = 5;

fn sizes(outline: &Outline, end_width_m: f64) -> Option<[f64; SIZES]> {
    let b = outline.boundary(end_width_m).ok()?;
    let (left, right) = (b.half_width_m(Side::Left), b.half_width_m(Side::Right));
    Some([2.0 * outline.half_length_m(), left, right, left + right, b.perimeter_m()])
}

/// Sizes and their standard deviations, and draws of the widths where their distribution is not normal.
struct Sized {
    values: [f64; SIZES],
    sds: [f64; SIZES],
    draws: Vec<Widths>,
    /// Factor on the widths' standard deviations for a walk's autocorrelated errors.
    by_walk: f64,
}

impl Sized {
    fn of(Fit { outline, spread, walk, .. }: &Fit, end_width_m: f64) -> Option<Self> {
        let values = sizes(outline, end_width_m)?;
        let sds = spread.sds_of(outline, |o| sizes(o, end_width_m).unwrap_or([f64::NAN; SIZES])).ok()?;
        let lasts = walk.as_ref().map_or(0.0, |w| (w.lasts_m / values[4]).clamp(0.0, 1.0));
        let by_walk = 1.0 + BY_WALK * lasts;
        let draws = widths_of_a_cut(outline, spread, by_walk);
        sds.iter().all(|sd| sd.is_finite()).then_some(Self { values, sds, draws, by_walk })
    }
}

/// Left half-width, right half-width and width, m.
type Widths = [f64; 3];

/// Which of [`Widths`] a size is.
fn width_of(size: usize) -> Option<usize> {
    (1..=3).contains(&size).then(|| size - 1)
}

/// Draws of the widths of a cut ellipse. They are the farther of the chord's two ends, so
/// they bend sharply where the chord lies along the axis, and steps one at a time see one end only.
fn widths_of_a_cut(outline: &Outline, spread: &Spread, more: f64) -> Vec<Widths> {
    let Shape::CutEllipse(_) = outline.shape() else { return Vec::new() };
    let p = outline.parameters();
    let wider = more * spread.ratio() / normal_quantile(0.975);
    let axes = spread.axes();
    // Evenly spread over the axes' unit cube: k·g^−j for the g of g^(n+1) = g + 1 (M. Roberts,
    // The unreasonable effectiveness of quasirandom sequences, 2018; from memory).
    let n = axes.len();
    let g = (0..50).fold(2f64, |g, _| (1.0 + g).powf(1.0 / (n as f64 + 1.0)));
    (1..=DRAWS)
        .filter_map(|k| {
            let mut q = p.clone();
            for (j, axis) in axes.iter().enumerate() {
                let u = (0.5 + k as f64 * g.powi(-(j as i32 + 1))).fract();
                let z = wider * normal_quantile(u.clamp(1e-6, 1.0 - 1e-6));
                q.iter_mut().zip(axis).for_each(|(to, step)| *to += z * step);
            }
            let drawn = outline.with_parameters(&q).or_else(|_| {
                // So far out that nothing is cut off.
                let whole = Ellipse::<Local>::new(Point::new(q[0], q[1]), [q[2], q[3]], 90.0 - q[4])?;
                q[6] = whole.support_m(Vector::at_angle((90.0 - q[5]).to_radians())) * (1.0 - 1e-6);
                outline.with_parameters(&q)
            });
            drawn.ok().map(|o| widths(&o))
        })
        .collect()
}

/// Widths about the goal axis.
fn widths(outline: &Outline) -> Widths {
    let (plan, shape) = (outline.plan(), outline.shape());
    let left = Vector::at_angle((90.0 - plan.axis().degrees()).to_radians()).to_left();
    let [left, right] = [left, left * -1.0]
        .map(|way| (shape.at_parameter(shape.farthest_parameter(way)) - plan.centre()).dot(way));
    [left, right, left + right]
}

/// Widens the chosen fit's spread until its intervals hold 95 % of the average over all fits.
pub(super) fn widen(taken: &mut Once, others: &[(f64, &Once)], end_width_m: f64) {
    let Some(own) = Sized::of(&taken.fit, end_width_m) else { return };
    let taken_weight = 1.0 - others.iter().map(|o| o.0).sum::<f64>();
    let normal = normal_quantile(0.975);
    let mut parts: Vec<(f64, Sized, f64)> = Vec::new();
    let mut models: Vec<Model> = Vec::new();
    for (weight, o) in others.iter().filter(|o| o.0 > NEGLIGIBLE) {
        let Some(sized) = Sized::of(&o.fit, end_width_m) else { continue };
        parts.push((*weight, sized, o.fit.spread.ratio() / normal));
        models.push(o.fit.choice.model);
    }
    if parts.is_empty() && own.draws.is_empty() {
        return;
    }
    let ratio = taken.fit.spread.ratio();
    parts.push((taken_weight.max(0.0), own, ratio / normal));
    models.push(taken.fit.choice.model);
    let floored = floored(&parts.iter().map(|p| p.0).collect::<Vec<_>>(), &models);
    let plain: Vec<f64> = parts.iter().map(|p| p.0).collect();
    // The variance that each size still lacks.
    let wanted = |i: usize| {
        let centre = parts[parts.len() - 1].1.values[i];
        let weights = if width_of(i).is_some() { &floored } else { &plain };
        let total: f64 = weights.iter().sum();
        let within = |half: f64| {
            parts
                .iter()
                .zip(weights)
                .map(|((_, s, wider), weight)| {
                    if let (Some(which), false) = (width_of(i), s.draws.is_empty()) {
                        let within = s.draws.iter().filter(|d| (d[which] - centre).abs() <= half).count();
                        return weight / total * within as f64 / s.draws.len() as f64;
                    }
                    let by_walk = if width_of(i).is_some() { s.by_walk } else { 1.0 };
                    let sd = (s.sds[i] * wider * by_walk).max(1e-9);
                    let below = |x: f64| t_cdf((x - s.values[i]) / sd, f64::INFINITY);
                    weight / total * (below(centre + half) - below(centre - half))
                })
                .sum::<f64>()
        };
        let most = parts
            .iter()
            .map(|(_, s, wider)| (s.values[i] - centre).abs() + 10.0 * s.sds[i] * wider)
            .fold(1e-6, f64::max);
        find_root(|h| within(h) - 0.95, 0.0, most, 1e-6).map_or(0.0, |half| (half / ratio).powi(2))
    };
    let wanted: Vec<f64> = (0..SIZES).map(wanted).collect();
    let steps = Steps::of(taken);
    let mut has = parts[parts.len() - 1].1.sds.map(|s| s * s);
    let width_known_to = wanted[3].max(has[3]).sqrt();
    let mut lack = |i: usize, step: Vec<f64>, most: f64, once: &mut Once| {
        let lacks = (wanted[i] - has[i]).min(most * most);
        if lacks > 0.0 {
            let before = once.fit.spread.clone();
            // Where so large a step gives no valid ground, take a smaller one.
            for halved in 0..4 {
                let by = lacks.sqrt() * 0.5f64.powi(halved);
                once.fit.spread.add_axis(step.iter().map(|s| s * by).collect::<Vec<f64>>());
                let now = once
                    .fit
                    .spread
                    .sds_of(&once.fit.outline, |o| sizes(o, end_width_m).unwrap_or([f64::NAN; SIZES]));
                if let Ok(now) = now {
                    has = now.map(|s| s * s);
                    return;
                }
                once.fit.spread = before.clone();
            }
        }
    };
    // If the half-widths lack variance but their sum doesn't, the variance goes into the position of the axis
    // between them, so that a taped width keeps its ±.
    let any = f64::INFINITY;
    lack(0, steps.length(), any, taken);
    lack(3, steps.width(), any, taken);
    lack(1, steps.sideways(), any, taken);
    lack(2, steps.sideways(), any, taken);
    // Moving the line outward by 1 m lengthens the perimeter by 2π and the width by 2. Move it no farther
    // than the width's own ±, so that a taped width stays known. The perimeter's ± may then be a little too
    // small.
    lack(4, steps.outward(), std::f64::consts::PI * width_known_to, taken);
}

/// The weights, raised so that every shape that is not ruled out has at least the least weight.
fn floored(weights: &[f64], models: &[Model]) -> Vec<f64> {
    let of = |m: Model| weights.iter().zip(models).filter(|(_, n)| **n == m).map(|(w, _)| w).sum::<f64>();
    let all: f64 = weights.iter().sum();
    let best = Model::ALL.into_iter().map(of).fold(0.0, f64::max);
    weights
        .iter()
        .zip(models)
        .map(|(w, m)| {
            let model = of(*m);
            let least = LEAST_OF_WIDTHS * all;
            if model * TOLD_APART >= best && model > 0.0 && model < least { w * least / model } else { *w }
        })
        .collect()
}

/// Widens the half-widths by the variances, left and right, that a gap in the survey hides.
pub(super) fn widen_half_widths(once: &mut Once, variances: [f64; 2]) {
    let steps = Steps::of(once);
    for (variance, left) in variances.into_iter().zip([1.0, -1.0]) {
        let sd = variance.sqrt();
        once.fit.spread.add_axis(steps.side(left).iter().map(|s| s * sd).collect::<Vec<f64>>());
    }
}

/// Steps of the parameters that change one size by a metre.
struct Steps {
    form: Form,
    count: usize,
    /// Unit vector of the goal axis.
    axis: Vector<Local>,
    /// Turn of the first semi-axis.
    turn: f64,
    /// Direction of the cut, if there is one.
    cut: Option<Vector<Local>>,
}

impl Steps {
    fn of(once: &Once) -> Self {
        let (k, p) = (once.form.count(), &once.parameters);
        Self {
            form: once.form.clone(),
            count: k,
            axis: Vector::at_angle(p[k + 2]),
            turn: p.get(4).copied().unwrap_or(0.0),
            cut: matches!(once.form, Form::CutEllipse(_)).then(|| Vector::at_angle(p[5])),
        }
    }

    fn none(&self) -> Vec<f64> {
        vec![0.0; self.count + GOALS]
    }

    /// The line moved outward where its normal has a share of `way`, by the square of that share.
    fn pushed(&self, way: Vector<Local>, both: bool) -> Vec<f64> {
        let mut step = self.none();
        match &self.form {
            Form::Freeform(f) => {
                for (i, to) in step[..self.count].iter_mut().enumerate() {
                    let t = std::f64::consts::TAU * i as f64 / self.count as f64;
                    let share = f.base.normal(t).dot(way);
                    if both || share > 0.0 {
                        *to = share * share;
                    }
                }
            }
            _ => {
                if let Some(share) = self.cut.map(|c| c.dot(way)).filter(|s| !both && *s > 0.5f64.sqrt()) {
                    // The chord alone: the rest of the line stays, and the perimeter with it.
                    step[6] = share;
                    return step;
                }
                let first = Vector::at_angle(self.turn);
                let i = if way.dot(first).abs() > 0.5f64.sqrt() { 2 } else { 3 };
                step[i] = if both { 1.0 } else { 0.5 };
                if !both {
                    step[0] = 0.5 * way.x;
                    step[1] = 0.5 * way.y;
                }
                // A cut goes with the side that it lies on.
                if let (Some(cut), true) = (self.cut, both) {
                    step[6] = cut.dot(way).powi(2);
                }
            }
        }
        step
    }

    /// The step that lengthens the ground by a metre, half at each end.
    fn length(&self) -> Vec<f64> {
        let mut step = self.pushed(self.axis, true).iter().map(|s| 0.5 * s).collect::<Vec<f64>>();
        step[self.count + 3] = 0.5;
        step
    }

    fn side(&self, left: f64) -> Vec<f64> {
        self.pushed(self.axis.to_left() * left, false)
    }

    /// The curve moved to the left of the axis.
    fn sideways(&self) -> Vec<f64> {
        let left = self.axis.to_left();
        let mut step = self.none();
        match &self.form {
            Form::Freeform(f) => {
                for (i, to) in step[..self.count].iter_mut().enumerate() {
                    let t = std::f64::consts::TAU * i as f64 / self.count as f64;
                    *to = f.base.normal(t).dot(left);
                }
            }
            _ => (step[0], step[1]) = (left.x, left.y),
        }
        step
    }

    fn width(&self) -> Vec<f64> {
        if let Some(share) = self.cut.map(|c| c.dot(self.axis.to_left()).abs()).filter(|s| *s > 0.5f64.sqrt())
        {
            // The chord alone: the rest of the line stays, and the perimeter with it.
            let mut step = self.none();
            step[6] = share;
            return step;
        }
        self.pushed(self.axis.to_left(), true).iter().map(|s| 0.5 * s).collect()
    }

    /// The step outward all round that lengthens the perimeter by a metre.
    fn outward(&self) -> Vec<f64> {
        let mut step = self.none();
        for &i in self.form.sizes() {
            step[i] = 1.0 / std::f64::consts::TAU;
        }
        step
    }
}
