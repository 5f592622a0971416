//! A call, the table of calls, the signals, and what passes between umpires, as JSON.

use serde::Serialize;

use super::call_text::NOTE;
use super::json::{SCHEMA, pretty};
use crate::rules::{CALLS, CallRow, EXCHANGES, LAST_DISPOSAL_IN, SIGNALS};

/// One call.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct CallTold {
    id: &'static str,
    when: &'static str,
    decision: &'static str,
    /// Ids of the signals, in order.
    signals: Vec<&'static str>,
    /// How each is given.
    signal: Vec<&'static str>,
    source: &'static str,
    standing: &'static str,
}

/// A signal.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SignalRow {
    id: &'static str,
    how: &'static str,
    source: &'static str,
    standing: &'static str,
}

/// What passes between umpires.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ExchangeRow {
    id: &'static str,
    with: &'static str,
    way: &'static str,
    when: &'static str,
    what: &'static str,
    source: &'static str,
    standing: &'static str,
}

/// Calls, signals and exchanges, of a document that has more in it.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct CallsRow {
    calls: Vec<CallTold>,
    signals: Vec<SignalRow>,
    exchanges: Vec<ExchangeRow>,
}

/// A competition with a law of the last disposal.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct LastDisposalRow {
    competition: &'static str,
    since: u16,
    extent: &'static str,
    source: &'static str,
    standing: &'static str,
}

/// One call: `call --json`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct CallDocument {
    schema: u32,
    call: CallTold,
    cautions: [&'static str; 1],
}

/// The table of calls: `call --table --json`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct CallsDocument {
    schema: u32,
    #[serde(flatten)]
    calls: CallsRow,
    last_disposal_in: Vec<LastDisposalRow>,
    cautions: [&'static str; 1],
}

fn told(r: &CallRow, throw_ins: bool) -> CallTold {
    CallTold {
        id: r.id,
        when: r.when,
        decision: r.decision.words_where(throw_ins),
        signals: r.signals_where(throw_ins).map(|s| s.id).collect(),
        signal: r.signals_where(throw_ins).map(|s| s.how).collect(),
        source: r.source,
        standing: r.standing.text(),
    }
}

/// Calls, signals and exchanges under rules that have throw-ins or have none.
pub(super) fn calls(throw_ins: bool) -> CallsRow {
    let signals = SIGNALS.iter().filter(|s| throw_ins || !s.is_throw());
    let exchanges = EXCHANGES.iter().filter(|e| throw_ins || !e.is_of_throw_ins());
    CallsRow {
        calls: CALLS.iter().map(|r| told(r, throw_ins)).collect(),
        signals: signals
            .map(|s| SignalRow { id: s.id, how: s.how, source: s.source, standing: s.standing.text() })
            .collect(),
        exchanges: exchanges
            .map(|e| ExchangeRow {
                id: e.id,
                with: e.with.words(),
                way: e.way.words(),
                when: e.when,
                what: e.what,
                source: e.source,
                standing: e.standing.text(),
            })
            .collect(),
    }
}

/// One call as JSON, under rules that have throw-ins or have none.
#[must_use]
pub fn call_json(r: &CallRow, throw_ins: bool) -> String {
    pretty(&CallDocument { schema: SCHEMA, call: told(r, throw_ins), cautions: [NOTE] })
}

/// The table as JSON.
#[must_use]
pub fn calls_json() -> String {
    let last = LAST_DISPOSAL_IN.iter().map(|l| LastDisposalRow {
        competition: l.competition,
        since: l.since,
        extent: l.extent,
        source: l.source,
        standing: l.standing.text(),
    });
    pretty(&CallsDocument {
        schema: SCHEMA,
        calls: calls(true),
        last_disposal_in: last.collect(),
        cautions: [NOTE],
    })
}
