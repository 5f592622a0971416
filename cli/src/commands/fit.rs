//! `ovalpeg fit`.

use anyhow::{Context, Result, anyhow, bail};
use ovalpeg::briefing::Summary;
use ovalpeg::export::{REPORT_COLUMNS, curve_json, curve_report, fit_json, fit_report};
use ovalpeg::fit::{Fit, curve, ground};
use ovalpeg::ground::Ground;
use ovalpeg::rules::RuleSet;
use ovalpeg::survey::LocalSurvey;

use super::prepare::{prepare, sources};
use crate::args::FitArgs;
use crate::output::{self, Width};
use crate::survey_args::{Loaded, SurveyArgs};

pub(super) fn run(args: &FitArgs, width: Width) -> Result<()> {
    let paper = width.paper(REPORT_COLUMNS, false);
    let loaded = args.survey.load()?;
    let rules = args.survey.rule_set(&args.venues.venues)?;
    let prepared = prepare(&args.survey, &loaded, None, &rules)?;
    let sources = sources(&loaded);
    let told = prepared.told(&sources);
    if args.curve_only {
        if loaded.sources.len() > 1 || !prepared.books.is_empty() {
            bail!(
                "--curve-only fits the points of one file as they are: leave it out to adjust {} as one",
                loaded.name()
            );
        }
        let c = curve(&prepared.survey, &args.survey.fit_options(&rules, &loaded))
            .map_err(|e| anyhow!("{e}"))
            .with_context(|| format!("no curve could be fitted to {}", loaded.name()))?;
        return output::print(&if args.json {
            curve_json(&told, &c)
        } else {
            curve_report(&told, &c, paper)
        });
    }
    let (fit, summary) =
        fitted(&args.survey, &rules, &loaded, &prepared.survey, |fit| Ok(fit.outline.plan().points_north()))?;
    output::print(&if args.json {
        fit_json(&told, &fit, &summary)
    } else {
        fit_report(&told, &fit, &summary, paper)
    })
}

/// Fits a ground and turns it so that `keep` holds of its end A.
pub(super) fn fitted(
    args: &SurveyArgs,
    rules: &RuleSet,
    loaded: &Loaded,
    local: &LocalSurvey,
    keep: impl Fn(&Fit) -> Result<bool>,
) -> Result<(Fit, Summary)> {
    let context = || format!("no ground could be fitted to {}", loaded.name());
    let mut fit =
        ground(local, &args.fit_options(rules, loaded)).map_err(|e| anyhow!("{e}")).with_context(context)?;
    if !keep(&fit)? {
        fit = fit.end_for_end()?;
    }
    let ground = Ground::new(&fit.outline, &fit.spread, rules.clone())
        .map_err(|e| anyhow!("within its uncertainty {e}"))
        .with_context(context)?;
    let summary = Summary::of(&ground);
    Ok((fit, summary))
}
