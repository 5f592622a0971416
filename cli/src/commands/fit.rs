//! `ovalpeg fit`.

use anyhow::Result;
use ovalpeg::briefing::Summary;
use ovalpeg::export::{FitTold, REPORT_COLUMNS, curve_json, curve_report, fit_json, fit_report};
use ovalpeg::solve::{Doubted, Solved, prepare};
use ovalpeg::units::Problem;
use ovalpeg::venue::ground_trouble;

use crate::args::FitArgs;
use crate::output::{self, Width};
use crate::survey_args::unsolved;
use crate::words::worded;

pub(super) fn run(args: &FitArgs, width: Width) -> Result<()> {
    let paper = width.paper(REPORT_COLUMNS, false);
    let rules = args.survey.rule_set(&args.venues.venues)?;
    let options = args.survey.solving(rules);
    let prepared = prepare(args.survey.sources()?, &options).map_err(unsolved)?;
    if args.curve_only {
        let c = prepared.curve().map_err(unsolved)?;
        let mut warnings: Vec<Problem> = prepared.warnings().iter().map(worded).collect();
        warnings.extend(prepared.doubts().iter().map(as_warning));
        let told = FitTold::of(&prepared, &warnings);
        return output::print(&if args.json {
            curve_json(&told, &c)
        } else {
            curve_report(&told, &c, paper)
        });
    }
    let solved = prepared.solve().map_err(unsolved)?;
    let mut warnings = warnings_of(&solved);
    warnings.extend(ground_trouble(solved.ground()));
    let told = FitTold::of(solved.prepared(), &warnings);
    let summary = Summary::of(solved.ground());
    output::print(&if args.json {
        fit_json(&told, solved.fit(), &summary)
    } else {
        fit_report(&told, solved.fit(), &summary, paper)
    })
}

/// The warnings about a survey, and its doubts as warnings.
pub(super) fn warnings_of(solved: &Solved) -> Vec<Problem> {
    solved.prepared().warnings().iter().map(worded).chain(solved.doubts().iter().map(as_warning)).collect()
}

fn as_warning(d: &Doubted) -> Problem {
    worded(&d.problem)
}
