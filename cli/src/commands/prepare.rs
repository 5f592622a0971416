//! From files to a survey that can be fitted: read, brought into one plane, walks
//! cleaned, notebooks settled.

use anyhow::{Context, Result};
use ovalpeg::export::{FitSource, FitTold};
use ovalpeg::fit::{SettledBook, settle};
use ovalpeg::frame::LocalPlane;
use ovalpeg::rules::RuleSet;
use ovalpeg::survey::{LocalSurvey, Step};
use ovalpeg::units::Problem;

use crate::survey_args::{Loaded, SurveyArgs};

/// A survey ready to be fitted, and what there is to tell of it.
pub(super) struct Prepared {
    pub(super) survey: LocalSurvey,
    pub(super) steps: Vec<Step>,
    pub(super) books: Vec<SettledBook>,
    pub(super) warnings: Vec<Problem>,
}

impl Prepared {
    /// What an export tells; `sources` from [`sources`].
    pub(super) fn told<'a>(&'a self, sources: &'a [FitSource<'a>]) -> FitTold<'a> {
        FitTold {
            sources,
            survey: &self.survey,
            steps: &self.steps,
            books: &self.books,
            warnings: &self.warnings,
        }
    }
}

pub(super) fn sources(loaded: &Loaded) -> Vec<FitSource<'_>> {
    loaded
        .sources
        .iter()
        .map(|s| FitSource {
            file: &s.name,
            format: s.survey.format.id(),
            points: s.survey.observations.len(),
        })
        .collect()
}

/// Everything in one plane (the survey's own, or the one given), cleaned and settled.
pub(super) fn prepare(
    args: &SurveyArgs,
    loaded: &Loaded,
    plane: Option<LocalPlane>,
    rules: &RuleSet,
) -> Result<Prepared> {
    let (local, steps) = args.local(loaded, plane)?;
    let settled = settle(local, &args.fit_options(rules, loaded))
        .with_context(|| format!("the survey {} can't be used", loaded.name()))?;
    Ok(Prepared {
        survey: settled.survey,
        steps,
        books: settled.books,
        warnings: loaded.warnings.iter().cloned().chain(settled.warnings).collect(),
    })
}
