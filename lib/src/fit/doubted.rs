//! The fit of a survey whose measures may contradict each other: fitted, tested, and
//! fitted anew without what is wrong or with wider doubt of it.

use super::conflict::Doubts;
use super::ground_fit::once;
use super::sources::Commons;
use super::span;
use super::system::Span;
use super::{Fit, FitError, FitOptions};
use crate::survey::LocalSurvey;

/// Most contradictions that are told of and worked round in one survey.
const MOST_CONFLICTS: usize = 6;

/// Fits a ground: curve, goals and their spread.
///
/// A survey of several sources is adjusted as one, each measure at its own standard
/// deviation. A measure that contradicts the rest is named in [`Fit::conflicts`], with
/// what was done about it. Tape notebooks must have been [settled](super::settle).
///
/// End A is whichever end the arithmetic met first; the caller turns the fit so
/// that A is the end it should be.
///
/// # Errors
/// [`FitError`], in words that say what to do.
pub fn ground(survey: &LocalSurvey, options: &FitOptions) -> Result<Fit, FitError> {
    let mut doubts = Doubts::default();
    if !survey.spans.is_empty() {
        let without = Doubts { left_out: (0..survey.spans.len()).collect(), ..Doubts::default() };
        let bare = LocalSurvey { spans: Vec::new(), ..survey.clone() };
        // Where the rest makes no ground by itself, the lengths are needed and taken as they are.
        if let Ok((fit, _)) = once(&bare, options, &without) {
            let end = options.end_width_m;
            doubts.screen(survey, |wing_to_wing| predicted(&fit, wing_to_wing, end));
        }
    }
    for _ in 0..=MOST_CONFLICTS {
        let (mut fit, tested) = match once(survey, options, &doubts) {
            Ok(found) => found,
            Err(_) if doubts.give_up(survey) => continue,
            Err(e) => return Err(e),
        };
        let commons = Commons::of(survey, options, &doubts.widened);
        if !doubts.take(&tested, &commons, survey) {
            fit.conflicts = doubts.conflicts;
            return Ok(fit);
        }
    }
    Err(FitError::Contradictory { conflicts: doubts.conflicts.into_iter().map(|c| c.text).collect() })
}

/// A length of a fitted ground and its standard deviation, by its spread's axes.
fn predicted(fit: &Fit, wing_to_wing: bool, end_width_m: f64) -> Option<(f64, f64)> {
    let kind = if wing_to_wing { Span::WingToWing } else { Span::GoalToGoal };
    let of = |o: &crate::boundary::Outline| {
        let mut p = o.parameters();
        for i in [4, 7] {
            p[i] = (90.0 - p[i]).to_radians();
        }
        span::length(kind, &p, end_width_m)
    };
    let value = of(&fit.outline)?;
    let pairs = fit.spread.pairs(&fit.outline).ok()?;
    let sum: f64 = pairs.iter().filter_map(|(hi, lo)| Some((0.5 * (of(hi)? - of(lo)?)).powi(2))).sum();
    Some((value, sum.sqrt()))
}
