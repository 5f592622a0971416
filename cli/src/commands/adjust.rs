//! `ovalpeg adjust`.

use anyhow::{Result, bail};
use ovalpeg::export::{REPORT_COLUMNS, network_json, network_report};
use ovalpeg::solve::prepare;
use ovalpeg::units::Problem;

use crate::args::AdjustArgs;
use crate::output::{self, Width};
use crate::survey_args::unsolved;
use crate::words::worded;

pub(super) fn run(args: &AdjustArgs, width: Width) -> Result<()> {
    let rules = args.survey.rule_set(&args.venues.venues)?;
    let prepared = prepare(args.survey.sources()?, &args.survey.solving(rules)).map_err(unsolved)?;
    let books = prepared.books();
    let warnings: Vec<Problem> = prepared.warnings().iter().map(worded).collect();
    if books.is_empty() {
        bail!(
            "{} holds no tape notebook with measures between marks: `ovalpeg fit` fits points",
            prepared.name()
        );
    }
    if args.json {
        return output::print(&network_json(books, &warnings));
    }
    let names: Vec<&str> = prepared.sources().map(|(source, _)| source.name()).collect();
    let paper = width.paper(REPORT_COLUMNS, false);
    let mut text = String::new();
    for (i, book) in books.iter().enumerate() {
        let name = names.get(book.source).copied().unwrap_or("");
        let last = i + 1 == books.len();
        text += &network_report(name, book, if last { &warnings } else { &[] }, paper);
    }
    output::print(&text)
}
