//! A call, the table of calls, the signals, and what passes between umpires, as JSON.

use serde_json::{Map, Value, json};

use super::call_text::NOTE;
use super::json::pretty;
use crate::rules::{CALLS, CallRow, EXCHANGES, LAST_DISPOSAL_IN, SIGNALS};

fn value(r: &CallRow) -> Value {
    json!({
        "id": r.id,
        "when": r.when,
        "decision": r.decision.words(),
        "signals": r.signals.iter().map(|s| s.id).collect::<Vec<_>>(),
        "signal": r.signals.iter().map(|s| s.how).collect::<Vec<_>>(),
        "source": r.source,
        "standing": r.standing.text(),
    })
}

/// Calls, signals and exchanges, as members of an object that has more in it.
pub(super) fn calls() -> Map<String, Value> {
    let mut out = Map::new();
    out.insert("calls".into(), json!(CALLS.iter().map(value).collect::<Vec<_>>()));
    let signals = SIGNALS
        .iter()
        .map(|s| json!({ "id": s.id, "how": s.how, "source": s.source, "standing": s.standing.text() }));
    out.insert("signals".into(), json!(signals.collect::<Vec<_>>()));
    let exchanges = EXCHANGES.iter().map(|e| {
        json!({
            "id": e.id,
            "with": e.with.words(),
            "way": e.way.words(),
            "when": e.when,
            "what": e.what,
            "source": e.source,
            "standing": e.standing.text(),
        })
    });
    out.insert("exchanges".into(), json!(exchanges.collect::<Vec<_>>()));
    out
}

/// One call as JSON.
#[must_use]
pub fn call_json(r: &CallRow) -> String {
    pretty(&json!({ "schema": 1, "call": value(r), "cautions": [NOTE] }))
}

/// The table as JSON.
#[must_use]
pub fn calls_json() -> String {
    let mut out = Map::new();
    out.insert("schema".into(), json!(1));
    out.extend(calls());
    let last = LAST_DISPOSAL_IN.iter().map(|l| {
        json!({
            "competition": l.competition,
            "since": l.since,
            "extent": l.extent,
            "source": l.source,
            "standing": l.standing.text(),
        })
    });
    out.insert("last_disposal_in".into(), json!(last.collect::<Vec<_>>()));
    out.insert("cautions".into(), json!([NOTE]));
    pretty(&Value::Object(out))
}
