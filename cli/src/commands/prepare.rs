//! What a report says about a survey's files.

use ovalpeg::export::{FitSource, FitTold};
use ovalpeg::solve::Prepared;
use ovalpeg::units::Problem;

pub(super) fn sources(prepared: &Prepared) -> Vec<FitSource<'_>> {
    prepared
        .sources()
        .map(|(source, survey)| FitSource {
            file: source.name(),
            format: survey.format.id(),
            points: survey.observations.len(),
        })
        .collect()
}

/// What a report says about a survey; `sources` comes from [`sources`].
pub(super) fn told<'a>(
    prepared: &'a Prepared,
    sources: &'a [FitSource<'a>],
    warnings: &'a [Problem],
) -> FitTold<'a> {
    FitTold { sources, survey: prepared.survey(), steps: prepared.steps(), books: prepared.books(), warnings }
}
