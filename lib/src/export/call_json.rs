//! A call, the table of calls, the signals, and what passes between umpires, as JSON.

use serde_json::{Map, Value, json};

use super::call_text::{NOTE, signals_of};
use super::json::pretty;
use crate::rules::{CALLS, CallRow, EXCHANGES, LAST_DISPOSAL_IN, SIGNALS};

fn value(r: &CallRow, throw_ins: bool) -> Value {
    json!({
        "id": r.id,
        "when": r.when,
        "decision": r.decision.words_where(throw_ins),
        "signals": signals_of(r, throw_ins).map(|s| s.id).collect::<Vec<_>>(),
        "signal": signals_of(r, throw_ins).map(|s| s.how).collect::<Vec<_>>(),
        "source": r.source,
        "standing": r.standing.text(),
    })
}

/// Calls, signals and exchanges, as members of an object that has more in it.
pub(super) fn calls(throw_ins: bool) -> Map<String, Value> {
    let mut out = Map::new();
    out.insert("calls".into(), json!(CALLS.iter().map(|r| value(r, throw_ins)).collect::<Vec<_>>()));
    let signals = SIGNALS
        .iter()
        .filter(|s| throw_ins || !s.is_throw())
        .map(|s| json!({ "id": s.id, "how": s.how, "source": s.source, "standing": s.standing.text() }));
    out.insert("signals".into(), json!(signals.collect::<Vec<_>>()));
    let exchanges = EXCHANGES.iter().filter(|e| throw_ins || !e.is_of_throw_ins()).map(|e| {
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

/// One call as JSON, under rules that have throw-ins or have none.
#[must_use]
pub fn call_json(r: &CallRow, throw_ins: bool) -> String {
    pretty(&json!({ "schema": 1, "call": value(r, throw_ins), "cautions": [NOTE] }))
}

/// The table as JSON.
#[must_use]
pub fn calls_json() -> String {
    let mut out = Map::new();
    out.insert("schema".into(), json!(1));
    out.extend(calls(true));
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
