//! The fit of a survey: the shape of its line, and the measures that contradict the rest. The survey is
//! fitted and tested, and then fitted again without the wrong measures or with wider standard deviations for
//! them.

use super::choice::{Tried, candidates, likeliest, simplest, weigh, weigh_anew, widen, widen_half_widths};
use super::chosen::Choice;
use super::conflict::Doubts;
use super::gaps::{of_half_widths, stretches, unsurveyed};
use super::ground_fit::{Once, once};
use super::observation::Span;
use super::readings::readings;
use super::report::FoundRun;
use super::screened::{Screened, screen};
use super::sources::Commons;
use super::span;
use super::starts::{Try, same_cut};
use super::{Fit, FitError, FitOptions, Why};
use crate::geometry::Model;
use crate::survey::LocalSurvey;

/// A stretch off the robust ellipse counts as part of the fitted shape if that passes within this share of
/// the stretch's distance.
const EXPLAINED: f64 = 0.25;
/// The most contradictions that are reported and dealt with in one survey.
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
    // A shape with a straight side of its own may explain such a stretch.
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

/// The fit to the screened line, by whichever shape is chosen.
fn of_any_shape(survey: &LocalSurvey, options: &FitOptions) -> Result<Fit, FitError> {
    let screened = screen(survey)?;
    // The line alone decides the shape first. Lengths might contradict it, so they are added afterwards.
    let bare = LocalSurvey { spans: Vec::new(), ..survey.clone() };
    let none = Doubts::default();
    let mut tried: Vec<Tried> = Vec::new();
    let mut crossing: Option<Vec<usize>> = None;
    let mut why = None;
    for of in Try::all().filter(|t| options.shape.is_none_or(|m| m == t.model)) {
        let once = match once(&bare, &screened, options, &none, of, crossing.as_deref()) {
            Ok(found) if is_new(&found, of, &tried) => Some(found),
            Ok(_) => None,
            Err(e) => {
                why.get_or_insert(e);
                None
            }
        };
        if let (Some(o), None) = (&once, &crossing) {
            let aside = o.fit.curve.set_aside.iter();
            crossing = Some(aside.filter(|a| a.why == Why::OnGoalLine).map(|a| a.index).collect());
        }
        tried.push(Tried { of, once, weight: 0.0 });
    }
    weigh(&mut tried);
    let by_line: Vec<Option<f64>> = tried.iter().map(|t| Some(t.once.as_ref()?.log_evidence)).collect();
    let mut list = candidates(&tried);
    let model = options.shape.unwrap_or_else(|| simplest(&list));
    let mut of = likeliest(&tried, model).map_or(Try { model, start: 0 }, |t| t.of);
    // Without measured lengths the fit is made already, or has failed.
    let here = tried.iter_mut().find(|t| t.of == of);
    let made = here.filter(|_| survey.spans.is_empty()).and_then(|t| t.once.take());
    if let (None, Some(e), true) = (&made, why, survey.spans.is_empty()) {
        return Err(e);
    }
    let (mut taken, doubts) = match settled(survey, &screened, options, of, crossing.as_deref(), made) {
        // With the lengths, no ground of that shape can be fitted. Try an ellipse; if that fails too, its
        // error says why.
        Err(_) if options.shape.is_none() && model != Model::Ellipse => {
            of = Try { model: Model::Ellipse, start: 0 };
            settled(survey, &screened, options, of, None, None)?
        }
        found => found?,
    };
    if !survey.spans.is_empty() || !doubts.conflicts.is_empty() {
        // The other shapes with the same measures.
        for t in tried.iter_mut().filter(|t| t.of != of && t.weight > 0.0) {
            t.once = once(survey, &screened, options, &doubts, t.of, crossing.as_deref()).ok();
        }
        // The likelihood of the other measures under each shape is what they add to the line's log evidence.
        let now = |t: &Tried| {
            if t.of == of { Some(taken.log_evidence) } else { t.once.as_ref().map(|o| o.log_evidence) }
        };
        let adds: Vec<Option<f64>> =
            tried.iter().zip(&by_line).map(|(t, line)| Some(now(t)? - (*line)?)).collect();
        weigh_anew(&mut tried, &adds);
        for c in &mut list {
            let of_it = tried.iter().filter(|t| t.of.model == c.model);
            c.weight = c.weight.map(|_| of_it.map(|t| t.weight).sum());
            if c.model == of.model {
                c.rms_m = Some(taken.fit.curve.rms_m);
            }
        }
    }
    let others: Vec<(f64, &Once)> =
        tried.iter().filter(|t| t.of != of).filter_map(|t| Some((t.weight, t.once.as_ref()?))).collect();
    widen(&mut taken, &others, options.end_width_m);
    tell_gaps(&mut taken, survey, options);
    taken.fit.choice = Choice { model: of.model, forced: options.shape.is_some(), candidates: list };
    Ok(taken.fit)
}

/// Is this another cut than those that were found before it?
fn is_new(found: &Once, of: Try, tried: &[Tried]) -> bool {
    found.fit.choice.model != Model::CutEllipse
        || !tried
            .iter()
            .filter(|t| t.of.model == Model::CutEllipse && t.of.cut() == of.cut())
            .filter_map(|t| t.once.as_ref())
            .any(|o| same_cut(&found.parameters, &o.parameters))
}

/// A shape's fit with every contradiction dealt with, and the measures that were doubted. `made` is the fit
/// without doubts, where it was made already.
fn settled(
    survey: &LocalSurvey,
    screened: &Screened<'_>,
    options: &FitOptions,
    of: Try,
    crossing: Option<&[usize]>,
    mut made: Option<Once>,
) -> Result<(Once, Doubts), FitError> {
    let mut doubts = Doubts::default();
    if !survey.spans.is_empty() {
        let without = Doubts { left_out: (0..survey.spans.len()).collect(), ..Doubts::default() };
        let bare = LocalSurvey { spans: Vec::new(), ..survey.clone() };
        // Where no ground can be fitted without the lengths, they are needed and are used as they are.
        if let Ok(found) = once(&bare, screened, options, &without, of, crossing) {
            doubts.screen(survey, |wing_to_wing| predicted(&found.fit, wing_to_wing));
        }
    }
    for _ in 0..=MOST_CONFLICTS {
        let mut found =
            match made.take().map_or_else(|| once(survey, screened, options, &doubts, of, crossing), Ok) {
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

/// Reports the parts of the line without points, and adds their variance to the half-widths.
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

/// A length of a fitted ground, and its standard deviation from the spread.
fn predicted(fit: &Fit, wing_to_wing: bool) -> Option<(f64, f64)> {
    let kind = if wing_to_wing { Span::WingToWing } else { Span::GoalToGoal };
    let of = |o: &crate::boundary::Outline| span::of_outline(kind, o);
    let value = of(&fit.outline)?;
    let pairs = fit.spread.pairs(&fit.outline).ok()?;
    let sum: f64 = pairs.iter().filter_map(|(hi, lo)| Some((0.5 * (of(hi)? - of(lo)?)).powi(2))).sum();
    Some((value, sum.sqrt()))
}
