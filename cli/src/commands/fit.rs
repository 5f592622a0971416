//! `ovalpeg fit`.

use anyhow::{Context, Result, anyhow, bail};
use ovalpeg::briefing::Summary;
use ovalpeg::export::{REPORT_COLUMNS, curve_json, curve_report, fit_json, fit_report};
use ovalpeg::fit::{Fit, curve, ground};
use ovalpeg::ground::Ground;
use ovalpeg::rules::RuleSet;
use ovalpeg::survey::LocalSurvey;
use ovalpeg::units::Problem;
use ovalpeg::venue::ground_trouble;

use super::prepare::{prepare, sources};
use crate::args::FitArgs;
use crate::output::{self, Width};
use crate::survey_args::{Loaded, SurveyArgs};

pub(super) fn run(args: &FitArgs, width: Width) -> Result<()> {
    let paper = width.paper(REPORT_COLUMNS, false);
    let loaded = args.survey.load()?;
    let rules = args.survey.rule_set(&args.venues.venues)?;
    let mut prepared = prepare(&args.survey, &loaded, None, &rules)?;
    let sources = sources(&loaded);
    if args.curve_only {
        if loaded.sources.len() > 1 || !prepared.books.is_empty() {
            bail!(
                "--curve-only fits the points of one file as they are: leave it out to adjust {} as one",
                loaded.name()
            );
        }
        let c = curve(&prepared.survey, &args.survey.fit_options(&rules, &loaded))
            .with_context(|| format!("no curve could be fitted to {}", loaded.name()))?;
        let told = prepared.told(&sources);
        return output::print(&if args.json {
            curve_json(&told, &c)
        } else {
            curve_report(&told, &c, paper)
        });
    }
    let north = |fit: &Fit| fit.outline.plan().points_north();
    let Fitted { fit, summary, unsound } = fitted(&args.survey, &rules, &loaded, &prepared.survey, north)?;
    prepared.warnings.extend(unsound);
    let told = prepared.told(&sources);
    output::print(&if args.json {
        fit_json(&told, &fit, &summary)
    } else {
        fit_report(&told, &fit, &summary, paper)
    })
}

/// A ground as fitted.
pub(super) struct Fitted {
    pub(super) fit: Fit,
    pub(super) summary: Summary,
    /// Why it is no ground to keep, if so.
    pub(super) unsound: Vec<Problem>,
}

/// Fits a ground and turns it so that `keep` holds of its end A.
pub(super) fn fitted(
    args: &SurveyArgs,
    rules: &RuleSet,
    loaded: &Loaded,
    local: &LocalSurvey,
    keep: impl Fn(&Fit) -> bool,
) -> Result<Fitted> {
    let context = || format!("no ground could be fitted to {}", loaded.name());
    let mut fit = ground(local, &args.fit_options(rules, loaded)).with_context(context)?;
    if !keep(&fit) {
        fit = fit.end_for_end()?;
    }
    let ground = Ground::new(&fit.outline, &fit.spread, rules.clone())
        .map_err(|e| anyhow!("within its uncertainty {e}"))
        .with_context(context)?;
    Ok(Fitted { fit, summary: Summary::of(&ground), unsound: ground_trouble(&ground) })
}
