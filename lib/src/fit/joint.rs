//! One adjustment of a chosen set of line points together with everything else that the survey holds, each
//! measure at its own standard deviation.

use nalgebra::DMatrix;

use super::curve_fit::{fit_points, no_fit, on_line, reach, sds};
use super::form::{Cut, Form, ellipse_of};
use super::geometric::{Adjusted, adjust};
use super::goals::{line_at_posts, near_the_line, start_of_goals};
use super::observation::{Observation, Of, Span};
use super::places::Indexed;
use super::posts::{Assigned, assign};
use super::screened::PARAMETERS;
use super::sources::Commons;
use super::starts::{CutSearch, Try, starts};
use super::system::{Block, System};
use super::{FitError, FitOptions, SetAside};
use crate::frame::Local;
use crate::geometry::{ClosedCurve as _, Ellipse, Model, Point, Vector};
use crate::survey::{LocalSurvey, Observed, Role};
use crate::units::Problem;

/// Above this ratio of scatter to stated standard deviations, the stated ones of a single source are not
/// believed. Below it the difference may be chance, or a slightly optimistic claim.
const LINE_MISFIT: f64 = 1.5;
/// Rounds of weighing each source's line anew by its own scatter: the second changes little.
const WEIGHING_ROUNDS: usize = 3;
/// Fewest points of a source from which its scatter is estimated.
const SCATTER_LEAST: usize = 8;

/// The input that all adjustments of one survey share.
pub(super) struct Setting<'a> {
    pub(super) survey: &'a LocalSurvey,
    pub(super) options: &'a FitOptions,
    pub(super) commons: &'a Commons,
    /// Measured lengths that are used: number and standard deviation.
    pub(super) spans: Vec<(usize, f64)>,
    /// Posts with another standard deviation than their own: index and standard deviation.
    pub(super) post_sds: &'a [(usize, f64)],
    /// The shape of the curve, and which of its starts is tried.
    pub(super) tried: Try,
    pub(super) search: &'a CutSearch,
}

/// A form with the parameters to start from.
pub(super) type Start = (Form, Vec<f64>);

/// An adjustment with the system that was adjusted.
pub(super) struct Attempt {
    pub(super) adjusted: Adjusted,
    /// The ellipse that fits the line alone.
    pub(super) alone: Adjusted,
    /// The unit of weight in metres where not all points have a known standard deviation; else 1.
    pub(super) unit_m: f64,
    pub(super) assigned: Option<Assigned>,
    pub(super) system: System,
    /// For each span of [`Setting::spans`], its observation in the system.
    pub(super) span_places: Vec<usize>,
    /// Each post's observation in the system, and its index in the survey.
    pub(super) post_places: Vec<(usize, usize)>,
}

/// A system, and the indices of its lengths and posts among the observations.
struct Built {
    system: System,
    span_places: Vec<usize>,
    post_places: Vec<(usize, usize)>,
}

impl Setting<'_> {
    /// Adjusts a choice of line points and the posts. `near`: where an earlier choice had
    /// its optimum.
    pub(super) fn attempt(
        &self,
        line: &[Indexed<'_>],
        posts: &[Indexed<'_>],
        near: Option<&Start>,
        set_aside: &mut Vec<SetAside>,
        warnings: &mut Vec<Problem>,
    ) -> Result<Attempt, FitError> {
        let options = self.options;
        let points: Vec<Point<Local>> = line.iter().map(|p| p.1.at).collect();
        let (mut line_sds, known) = sds(line, options);
        let start = self.start(line, posts, &line_sds)?;
        let s0 = (start.sum / start.dof().max(1.0)).sqrt();
        let ellipse = ellipse_of(&start.parameters).ok_or(FitError::Open)?;
        let assigned =
            if posts.is_empty() { None } else { self.assigned(posts, &ellipse, set_aside, warnings) };
        let single = self.commons.is_empty();
        let whole = self.tried.model == Model::Ellipse;
        if whole && single && assigned.is_none() && self.survey.shared.is_empty() {
            let system = System::of(on_line(line, &line_sds, options), options.end_width_m);
            let alone = start.clone();
            return Ok(Attempt {
                adjusted: start,
                alone,
                unit_m: 1.0,
                assigned: None,
                system,
                span_places: Vec::new(),
                post_places: Vec::new(),
            });
        }
        // The posts have standard deviations in metres, so the line needs them too. Without stated ones it
        // gets its scatter; with them, no less than its scatter, since a line that is no ellipse must not
        // make the posts seem rougher. (For another shape this is done once it is fitted, below.)
        if !known {
            line_sds = vec![s0.max(1e-4); line_sds.len()];
        } else if whole && single && s0 > LINE_MISFIT {
            line_sds.iter_mut().for_each(|sd| *sd *= s0);
        }
        let mut tried = match near {
            _ if whole => vec![(Form::Ellipse, start.parameters.clone())],
            Some(near) => vec![near.clone()],
            None => starts(self.tried, &ellipse, &on_line(line, &line_sds, options), self.search),
        };
        for round in 0..WEIGHING_ROUNDS {
            let Built { mut system, span_places, post_places } =
                self.system(line, &line_sds, assigned.as_ref(), &ellipse)?;
            // The error where there is no start, as when no stretch of the line looks like a straight side.
            let mut best: Result<(Adjusted, Form), FitError> = Err(FitError::NotThisShape {
                shape: self.tried.model,
                why: "there is nowhere on the line to look for it",
            });
            for (form, first) in &tried {
                system.form = form.clone();
                system.known(form.known(&start.parameters));
                let mut p = first.clone();
                if let Some(a) = &assigned {
                    p.extend(start_of_goals(&start, a));
                }
                p.extend(vec![0.0; self.commons.count()]);
                let sum = best.as_ref().map_or(f64::INFINITY, |b| b.0.sum);
                match adjust(&p, &system, reach(&points)) {
                    Ok(found) if found.sum < sum => best = Ok((found, form.clone())),
                    Err(e) if best.is_err() => best = Err(no_fit(e, &points)),
                    _ => {}
                }
            }
            let (adjusted, form) = best?;
            tried = vec![(form.clone(), adjusted.parameters[..form.count()].to_vec())];
            system.known(form.known(&start.parameters));
            system.form = form;
            let again = !(single && whole) && round + 1 < WEIGHING_ROUNDS;
            if !(again && self.weigh(&system, &adjusted, line, &mut line_sds, known)) {
                let alone = start;
                let unit_m = if known { 1.0 } else { line_sds.first().copied().unwrap_or(1.0) };
                return Ok(Attempt { adjusted, alone, unit_m, assigned, system, span_places, post_places });
            }
        }
        Err(FitError::NoAnswer { what: "the weights of the sources" })
    }

    /// The ellipse of the line alone. With hardly any line, the behind posts help: they are on it.
    fn start(
        &self,
        line: &[Indexed<'_>],
        posts: &[Indexed<'_>],
        line_sds: &[f64],
    ) -> Result<Adjusted, FitError> {
        let mut points: Vec<Point<Local>> = line.iter().map(|p| p.1.at).collect();
        let mut observations = on_line(line, line_sds, self.options);
        if points.len() <= PARAMETERS {
            let sd = line_sds.first().copied().unwrap_or(1.0);
            for p in posts.iter().filter(|p| p.1.role == Role::BehindPost) {
                points.push(p.1.at);
                observations.push(Observation::OnLine { at: p.1.at, sd, inside: 0.0, of: Of::observed(p.1) });
            }
        }
        fit_points(&points, observations)
    }

    /// Number of parameters of the curve.
    fn count(&self) -> usize {
        match self.tried.model {
            Model::Ellipse => Form::Ellipse.count(),
            Model::FourArc => Form::FourArc.count(),
            Model::CutEllipse => Form::CutEllipse(Cut::Anywhere).count(),
            Model::Freeform => crate::geometry::Spline::<Local>::OFFSETS,
        }
    }

    /// Does this point share its weight matrix with others of its network?
    fn is_shared(&self, index: usize) -> bool {
        self.survey
            .shared
            .iter()
            .any(|s| s.points.first().is_some_and(|f| *f <= index) && s.points.contains(&index))
    }

    fn assigned(
        &self,
        posts: &[Indexed<'_>],
        ellipse: &Ellipse<Local>,
        set_aside: &mut Vec<SetAside>,
        warnings: &mut Vec<Problem>,
    ) -> Option<Assigned> {
        let sd_of = |o: &Observed| {
            o.sd_m.unwrap_or_else(|| {
                self.options.noise_of(o.source).point_sd_m.unwrap_or(0.0).hypot(self.options.post_sd_m)
            })
        };
        let posts = near_the_line(posts, ellipse, set_aside, warnings);
        if posts.is_empty() {
            return None;
        }
        assign(&posts, ellipse.centre(), 0.5 * self.options.end_width_m, sd_of, set_aside, warnings)
    }

    fn system(
        &self,
        line: &[Indexed<'_>],
        line_sds: &[f64],
        assigned: Option<&Assigned>,
        ellipse: &Ellipse<Local>,
    ) -> Result<Built, FitError> {
        let options = self.options;
        let all = on_line(line, line_sds, options);
        let own = line.iter().zip(&all).filter(|(p, _)| !self.is_shared(p.0)).map(|(_, o)| *o);
        let mut system = System::of(own.collect(), options.end_width_m);
        let mut posts = Vec::new();
        let mut post_places = Vec::new();
        if let Some(a) = assigned {
            posts = a
                .posts
                .iter()
                .map(|p| {
                    (
                        p.index,
                        Observation::Post {
                            at: p.at,
                            end: p.end,
                            offset: p.offset,
                            sd: self.post_sds.iter().find(|w| w.0 == p.index).map_or(p.sd, |w| w.1.max(p.sd)),
                            of: p.of,
                        },
                    )
                })
                .collect();
            for (index, post) in posts.iter().filter(|(i, _)| !self.is_shared(*i)) {
                post_places.push((system.observations.len(), *index));
                system.observations.push(*post);
            }
            system.observations.extend(line_at_posts(line_sds, options));
        }
        let mut span_places = Vec::new();
        for &(i, sd) in &self.spans {
            let s = &self.survey.spans[i];
            span_places.push(system.observations.len());
            system.observations.push(Observation::Span {
                kind: if s.wing_to_wing { Span::WingToWing } else { Span::GoalToGoal },
                value: s.value_m,
                sd,
                tape: s.tape.map(|t| t.0),
            });
        }
        // The form of the curve is not chosen yet; its numbers come first all the same.
        let shape = self.count() + if assigned.is_some() { super::observation::GOALS } else { 0 };
        self.commons.join(&mut system, shape);
        let members: Vec<(usize, Observation)> =
            line.iter().map(|p| p.0).zip(all.iter().copied()).chain(posts).collect();
        for s in &self.survey.shared {
            system.blocks.push(self.block(s, &members, ellipse)?);
        }
        Ok(Built { system, span_places, post_places })
    }

    /// Points of one network, with the covariance of their misses: A Σ Aᵀ + the paint's
    /// and the peg's own, A holding the line's normal for a point on it.
    fn block(
        &self,
        shared: &crate::survey::Shared,
        all: &[(usize, Observation)],
        ellipse: &Ellipse<Local>,
    ) -> Result<Block, FitError> {
        let mut members = Vec::new();
        // Which coordinate pair, along which unit vector, with what variance of its own.
        let mut rows: Vec<(usize, Vector<Local>, f64)> = Vec::new();
        for (k, index) in shared.points.iter().enumerate() {
            let Some((_, o)) = all.iter().find(|(i, _)| i == index) else { continue };
            match *o {
                Observation::OnLine { at, .. } => {
                    rows.push((k, ellipse.foot(at).normal, self.options.mark_sd_m))
                }
                Observation::Post { .. } => {
                    rows.push((k, Vector::new(1.0, 0.0), self.options.post_sd_m));
                    rows.push((k, Vector::new(0.0, 1.0), self.options.post_sd_m));
                }
                _ => continue,
            }
            members.push(*o);
        }
        let c = |i: usize, j: usize| shared.covariance.get(i, j);
        let matrix = DMatrix::from_fn(rows.len(), rows.len(), |i, j| {
            let ((k, a, sd), (l, b, _)) = (rows[i], rows[j]);
            let common = a.x * (c(2 * k, 2 * l) * b.x + c(2 * k, 2 * l + 1) * b.y)
                + a.y * (c(2 * k + 1, 2 * l) * b.x + c(2 * k + 1, 2 * l + 1) * b.y);
            common + if i == j { sd * sd } else { 0.0 }
        });
        let what = "the standard deviations of a tape network's marks";
        let factor = matrix.cholesky().ok_or(FitError::NoAnswer { what })?.unpack();
        let tapes = shared
            .tapes
            .iter()
            .map(|t| {
                let at = |k: usize| Vector::<Local>::new(t.moves[2 * k], t.moves[2 * k + 1]);
                (t.tape, t.too_long, rows.iter().map(|(k, unit, _)| unit.dot(at(*k))).collect())
            })
            .collect();
        Ok(Block { members, factor, tapes })
    }

    /// Weighs each source's line by its own scatter, where that is more than its
    /// standard deviations say (or where they say nothing). Did anything change?
    fn weigh(
        &self,
        system: &System,
        adjusted: &Adjusted,
        line: &[Indexed<'_>],
        line_sds: &mut [f64],
        known: bool,
    ) -> bool {
        let p = &adjusted.parameters;
        let Some(curve) = system.form.curve(p) else { return false };
        let sources = line.iter().map(|p| p.1.source + 1).max().unwrap_or(0);
        let mut sums = vec![(0.0, 0usize); sources];
        for (point, sd) in line.iter().zip(line_sds.iter()) {
            // A network's marks are weighed by its covariance.
            if self.is_shared(point.0) {
                continue;
            }
            let (o, inside) = (point.1, self.options.noise_of(point.1.source).inside_m);
            let r =
                curve.foot(system.put_right(p, &curve, Of::observed(o), inside, o.at)).signed_distance_m / sd;
            sums[o.source].0 += r * r;
            sums[o.source].1 += 1;
        }
        let times: Vec<f64> = sums
            .iter()
            .map(|&(sum, n)| {
                let scatter = (sum / n.max(1) as f64).sqrt();
                let tells = n >= SCATTER_LEAST && (scatter > LINE_MISFIT || !known);
                if tells && scatter > 0.0 { scatter } else { 1.0 }
            })
            .collect();
        for (p, sd) in line.iter().zip(line_sds.iter_mut()) {
            *sd = (*sd * times[p.1.source]).max(1e-4);
        }
        times.iter().any(|t| (t - 1.0).abs() > 0.05)
    }
}
