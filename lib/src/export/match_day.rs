//! What a pair does before the match and at each break, as text and JSON.

use serde::Serialize;

use super::call_text::source_words;
use super::lines::{Sheet, left};
use crate::rules::{DayItem, DayPart, MATCH_DAY};

/// Columns before the text.
const LABEL: usize = 8;

/// Before the match and at each break, on a sheet that has more on it.
pub(super) fn match_day_on(out: &mut Sheet) {
    out.rule('=');
    let mut sources: Vec<String> = Vec::new();
    for part in DayPart::ALL {
        out.wrap(&part.words().to_uppercase(), "");
        let mut before = "";
        for d in MATCH_DAY.iter().filter(|d| d.part == part) {
            let label = if d.topic == before { String::new() } else { d.topic.to_uppercase() };
            out.wrap(d.what, &left(&label, LABEL));
            before = d.topic;
            let source = source_words(d.source, d.standing);
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
    }
    out.wrap(&format!("({})", sources.join("; ")), "");
}

/// One thing to do, and where it comes from.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct MatchDayRow {
    id: &'static str,
    part: &'static str,
    topic: &'static str,
    what: &'static str,
    source: &'static str,
    standing: &'static str,
}

/// The same as data.
pub(super) fn match_day() -> Vec<MatchDayRow> {
    let row = |d: &DayItem| MatchDayRow {
        id: d.id,
        part: d.part.words(),
        topic: d.topic,
        what: d.what,
        source: d.source,
        standing: d.standing.text(),
    };
    MATCH_DAY.iter().map(row).collect()
}
