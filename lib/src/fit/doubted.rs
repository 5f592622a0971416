//! The fit of a survey: which shape its line has, and what in it contradicts the rest.
//! It is fitted, tested, and fitted anew without what is wrong or with wider doubt of it.

use super::choice::{Candidate, Choice, simplest, weigh, widen, widen_half_widths};
use super::conflict::Doubts;
use super::curve_fit::{Screened, screen};
use super::gaps::{of_half_widths, stretches, unsurveyed};
use super::ground_fit::{Once, once};
use super::readings::readings;
use super::report::FoundRun;
use super::sources::Commons;
use super::span;
use super::system::Span;
use super::{Fit, FitError, FitOptions, Why};
use crate::geometry::Model;
use crate::survey::LocalSurvey;

/// A stretch that a shape passes within this share of what it stands off is part of that shape.
const EXPLAINED: f64 = 0.25;
/// Most contradictions that are told of and worked round in one survey.
const MOST_CONFLICTS: usize = 6;

/// Fits a ground: curve, goals and their spread.
///
/// The shape is the one that [`FitOptions::shape`] asks for, or the simplest that the survey
/// does not rule out: see [`Choice`]. A survey of several sources is adjusted as one, each
/// measure at its own standard deviation. A measure that contradicts the rest is named in
/// [`Fit::conflicts`], with what was done about it. Tape notebooks must have been
/// [settled](super::settle).
///
/// End A is whichever end the arithmetic met first; the caller turns the fit so
/// that A is the end it should be.
///
/// # Errors
/// [`FitError`], in words that say what to do.
pub fn ground(survey: &LocalSurvey, options: &FitOptions) -> Result<Fit, FitError> {
    let mut fit = of_any_shape(survey, options)?;
    // A shape with a straight side of its own has it explained.
    let explained = |r: &FoundRun| {
        matches!(fit.choice.model, Model::FourArc | Model::CutEllipse) && {
            let on = fit.curve.residuals.iter().filter(|p| r.points.contains(&p.index));
            on.fold(0.0, |most: f64, p| most.max(p.residual_m.abs())) < EXPLAINED * r.most_m.abs()
        }
    };
    let unexplained: Vec<FoundRun> = fit.curve.runs.iter().filter(|r| !explained(r)).cloned().collect();
    fit.curve.runs = unexplained;
    fit.readings = readings(&fit, survey, options, |less| of_any_shape(less, options));
    Ok(fit)
}

/// The fit with every point of the line that stands with its neighbours.
fn of_any_shape(survey: &LocalSurvey, options: &FitOptions) -> Result<Fit, FitError> {
    let screened = screen(survey)?;
    if let Some(model) = options.shape {
        let mut taken = settled(survey, &screened, options, model, None, None)?.0;
        tell_gaps(&mut taken, survey, options);
        return Ok(taken.fit);
    }
    // The line tells its shape. Lengths might contradict it, so they are asked afterwards.
    let bare = LocalSurvey { spans: Vec::new(), ..survey.clone() };
    let none = Doubts::default();
    let mut tried: Vec<(Model, Option<Once>)> = Vec::new();
    let mut crossing: Option<Vec<usize>> = None;
    for model in Model::ALL {
        let found = once(&bare, &screened, options, &none, model, crossing.as_deref()).ok();
        if let (Some(o), None) = (&found, &crossing) {
            let aside = o.fit.curve.set_aside.iter();
            crossing = Some(aside.filter(|a| a.why == Why::OnGoalLine).map(|a| a.index).collect());
        }
        tried.push((model, found));
    }
    let weigh_all = |tried: &[(Model, Option<Once>)]| -> Vec<Candidate> {
        weigh(&tried.iter().map(|(m, o)| (*m, o.as_ref())).collect::<Vec<_>>())
    };
    let mut candidates = weigh_all(&tried);
    let mut model = simplest(&candidates);
    // With no lengths to ask, the fit is made already.
    let made = tried.iter_mut().find(|t| t.0 == model && survey.spans.is_empty()).and_then(|t| t.1.take());
    let (mut taken, doubts) = match settled(survey, &screened, options, model, crossing.as_deref(), made) {
        // No ground of that shape comes of it with the lengths: an ellipse may, or says why not.
        Err(_) if model != Model::Ellipse => {
            model = Model::Ellipse;
            settled(survey, &screened, options, model, None, None)?
        }
        found => found?,
    };
    if !survey.spans.is_empty() || !doubts.conflicts.is_empty() {
        // The other shapes with the same measures.
        tried = candidates
            .iter()
            .map(|c| {
                let again = c.model != model && c.weight > 0.0;
                (
                    c.model,
                    again
                        .then(|| once(survey, &screened, options, &doubts, c.model, crossing.as_deref()).ok())
                        .flatten(),
                )
            })
            .collect();
        candidates
            .iter_mut()
            .filter(|c| c.model == model)
            .for_each(|c| c.rms_m = Some(taken.fit.curve.rms_m));
    }
    let others: Vec<(f64, &Once)> = tried
        .iter()
        .zip(&candidates)
        .filter(|((m, _), _)| *m != model)
        .filter_map(|((_, o), c)| Some((c.weight, o.as_ref()?)))
        .collect();
    widen(&mut taken, &others, options.end_width_m);
    tell_gaps(&mut taken, survey, options);
    taken.fit.choice = Choice { model, forced: false, candidates };
    Ok(taken.fit)
}

/// A shape's fit with every contradiction taken in, and what was doubted. `made`: the fit
/// with no doubts, where it was made.
fn settled(
    survey: &LocalSurvey,
    screened: &Screened<'_>,
    options: &FitOptions,
    model: Model,
    crossing: Option<&[usize]>,
    mut made: Option<Once>,
) -> Result<(Once, Doubts), FitError> {
    let mut doubts = Doubts::default();
    if !survey.spans.is_empty() {
        let without = Doubts { left_out: (0..survey.spans.len()).collect(), ..Doubts::default() };
        let bare = LocalSurvey { spans: Vec::new(), ..survey.clone() };
        // Where the rest makes no ground by itself, the lengths are needed and taken as they are.
        if let Ok(found) = once(&bare, screened, options, &without, model, crossing) {
            doubts.screen(survey, |wing_to_wing| predicted(&found.fit, wing_to_wing));
        }
    }
    for _ in 0..=MOST_CONFLICTS {
        let mut found =
            match made.take().map_or_else(|| once(survey, screened, options, &doubts, model, crossing), Ok) {
                Ok(found) => found,
                Err(_) if doubts.give_up(survey) => continue,
                Err(e) => return Err(e),
            };
        let commons = Commons::of(survey, options, &doubts.widened);
        if !doubts.take(&found.tested, &commons, survey) {
            found.fit.conflicts.clone_from(&doubts.conflicts);
            return Ok((found, doubts));
        }
    }
    Err(FitError::Contradictory { conflicts: doubts.conflicts.into_iter().map(|c| c.text).collect() })
}

/// Parts of the line without points, and what they hide of the widths.
fn tell_gaps(taken: &mut Once, survey: &LocalSurvey, options: &FitOptions) {
    let fit = &taken.fit;
    let Ok(boundary) = fit.outline.boundary(options.end_width_m) else { return };
    let posts = fit.posts.iter().filter(|p| p.behind).map(|p| p.index);
    let points: Vec<_> =
        fit.curve.residuals.iter().map(|r| r.index).chain(posts).map(|i| survey.points[i].at).collect();
    let found = stretches(&fit.outline, &boundary, &points);
    let told = unsurveyed(&fit.outline, &boundary, &fit.spread, &found);
    let hidden = of_half_widths(&boundary, &found);
    widen_half_widths(taken, hidden);
    taken.fit.unsurveyed = told;
}

/// A length of a fitted ground and its standard deviation, by its spread's axes.
fn predicted(fit: &Fit, wing_to_wing: bool) -> Option<(f64, f64)> {
    let kind = if wing_to_wing { Span::WingToWing } else { Span::GoalToGoal };
    let of = |o: &crate::boundary::Outline| span::of_outline(kind, o);
    let value = of(&fit.outline)?;
    let pairs = fit.spread.pairs(&fit.outline).ok()?;
    let sum: f64 = pairs.iter().filter_map(|(hi, lo)| Some((0.5 * (of(hi)? - of(lo)?)).powi(2))).sum();
    Some((value, sum.sqrt()))
}
