//! A stretch that departs from the rest of the line may be a detour or the line itself. This module works out
//! the ground's size both ways: with the stretch and without it.

use super::report::{FoundRun, Reading};
use super::{Fit, FitError, FitOptions};
use crate::boundary::Outline;
use crate::survey::{LocalSurvey, Role};
use crate::units::Measured;
use crate::units::print::{PlusMinus, compass_point, fixed, for_terminal, measured};

/// Most stretches for which this is done, the longest first.
const MOST: usize = 2;

/// The ground's size with and without each stretch. `again` fits the survey that has a stretch left out.
pub(super) fn readings(
    fit: &Fit,
    survey: &LocalSurvey,
    options: &FitOptions,
    again: impl Fn(&LocalSurvey) -> Result<Fit, FitError>,
) -> Vec<Reading> {
    let end = options.end_width_m;
    fit.curve
        .runs
        .iter()
        .take(MOST)
        .map(|run| {
            let mut less = survey.clone();
            for &i in &run.points {
                less.points[i].role = Role::Unused;
            }
            let without = again(&less).map_or([None, None], |f| sizes(&f, end));
            let with = sizes(fit, end);
            let middle = run.points.get(run.points.len() / 2).copied().unwrap_or(run.from);
            let v = survey.points[middle].at - fit.outline.shape().centre();
            let bearing_deg = v.x.atan2(v.y).to_degrees().rem_euclid(360.0);
            let text = text(run, bearing_deg, survey, &with, &without);
            Reading { run: run.clone(), bearing_deg, with, without, text }
        })
        .collect()
}

/// Length and width with their intervals.
fn sizes(fit: &Fit, end_width_m: f64) -> [Option<Measured>; 2] {
    let width = |o: &Outline| o.boundary(end_width_m).map_or(f64::NAN, |b| b.width_m());
    let of = |f: &dyn Fn(&Outline) -> f64| {
        let sd = fit.spread.sd_of(&fit.outline, f).ok()?;
        Measured::new(f(&fit.outline), sd, fit.spread.ratio() * sd).ok()
    };
    [of(&|o| 2.0 * o.half_length_m()), of(&width)]
}

fn text(
    run: &FoundRun,
    bearing_deg: f64,
    survey: &LocalSurvey,
    with: &[Option<Measured>; 2],
    without: &[Option<Measured>; 2],
) -> String {
    let size = |m: &[Option<Measured>; 2]| {
        let one = |m: &Option<Measured>| {
            m.as_ref().map_or("not for sure".to_owned(), |m| measured(m, "m", PlusMinus::Unicode))
        };
        format!("{} by {}", one(&m[0]), one(&m[1]))
    };
    let place = |i: usize| for_terminal(&survey.points[i].place);
    let rest = if without[0].is_some() { size(without) } else { "no ground by itself".to_owned() };
    format!(
        "{} m of line to the {} of the centre ({} to {}) stand {} m {} the rest: walked round something, or the line itself? With them the ground is {}, without them {}",
        fixed(run.length_m, 0),
        compass_point(bearing_deg),
        place(run.from),
        place(run.to),
        fixed(run.most_m.abs(), 1),
        if run.most_m > 0.0 { "outside" } else { "inside" },
        size(with),
        rest
    )
}
