//! A call, and the table of calls, as text and JSON.

use serde_json::{Value, json};

use super::Paper;
use super::json::pretty;
use super::lines::{Sheet, left};
use crate::rules::{CALLS, CallRow, LAST_DISPOSAL_IN};

fn row(out: &mut Sheet, label: &str, text: &str) {
    out.wrap(text, &left(label, 8));
}

fn source(r: &CallRow) -> String {
    if r.source == r.standing.text() {
        r.source.to_owned()
    } else {
        format!("{} ({})", r.source, r.standing.text())
    }
}

fn one(out: &mut Sheet, r: &CallRow) {
    row(out, "WHEN", r.when);
    row(out, "CALL", &r.decision.words().to_uppercase());
    for (i, step) in r.signal.iter().enumerate() {
        let label = left(if i == 0 { "SIGNAL" } else { "" }, 8);
        out.wrap(step, &format!("{label}{}. ", i + 1));
    }
    row(out, "SOURCE", &source(r));
}

/// What is said below every call.
const NOTE: &str =
    "The Laws in force and the controlling body rule; rows marked from memory or common practice are no law.";

/// One call.
#[must_use]
pub fn call_text(r: &CallRow, paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    one(&mut out, r);
    row(&mut out, "NOTE", NOTE);
    out.text()
}

/// The whole table: the first row that fits is the call.
#[must_use]
pub fn calls_text(paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    calls_on(&mut out);
    out.text()
}

/// The table on a sheet that has more on it.
pub(super) fn calls_on(out: &mut Sheet) {
    out.wrap("CALLS: read from the top; the first that fits", "");
    for r in &CALLS {
        out.rule('-');
        one(out, r);
    }
    out.rule('=');
    for (i, l) in LAST_DISPOSAL_IN.iter().enumerate() {
        let text = format!(
            "{} since {}, {} ({}, {})",
            l.competition,
            l.since,
            l.extent,
            l.source,
            l.standing.text()
        );
        row(out, if i == 0 { "LAST D." } else { "" }, &text);
    }
    row(out, "NOTE", NOTE);
}

pub(super) fn value(r: &CallRow) -> Value {
    json!({
        "id": r.id,
        "when": r.when,
        "decision": r.decision.words(),
        "signal": r.signal,
        "source": r.source,
        "standing": r.standing.text(),
    })
}

/// One call as JSON.
#[must_use]
pub fn call_json(r: &CallRow) -> String {
    pretty(&json!({ "schema": 1, "call": value(r), "cautions": [NOTE] }))
}

/// The table as JSON.
#[must_use]
pub fn calls_json() -> String {
    pretty(&json!({
        "schema": 1,
        "calls": CALLS.iter().map(value).collect::<Vec<_>>(),
        "last_disposal_in": LAST_DISPOSAL_IN.iter().map(|l| json!({
            "competition": l.competition,
            "since": l.since,
            "extent": l.extent,
            "source": l.source,
            "standing": l.standing.text(),
        })).collect::<Vec<_>>(),
        "cautions": [NOTE],
    }))
}
