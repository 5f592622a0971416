//! `ovalpeg adjust`.

use anyhow::{Result, bail};
use ovalpeg::export::{REPORT_COLUMNS, network_json, network_report};

use super::prepare::prepare;
use crate::args::AdjustArgs;
use crate::output::{self, Width};

pub(super) fn run(args: &AdjustArgs, width: Width) -> Result<()> {
    let loaded = args.survey.load()?;
    let rules = args.survey.rule_set(&args.venues.venues)?;
    let prepared = prepare(&args.survey, &loaded, None, &rules)?;
    if prepared.books.is_empty() {
        bail!(
            "{} holds no tape notebook with measures between marks: `ovalpeg fit` fits points",
            loaded.name()
        );
    }
    if args.json {
        return output::print(&network_json(&prepared.books, &prepared.warnings));
    }
    let paper = width.paper(REPORT_COLUMNS, false);
    let mut text = String::new();
    for (i, book) in prepared.books.iter().enumerate() {
        let name = loaded.sources.get(book.source).map_or("", |s| s.name.as_str());
        let last = i + 1 == prepared.books.len();
        text += &network_report(name, book, if last { &prepared.warnings } else { &[] }, paper);
    }
    output::print(&text)
}
