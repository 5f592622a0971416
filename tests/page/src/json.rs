//! Answers the questions of `questions` as JSON.

use ovalpeg::briefing::ZoneSizes;
use ovalpeg::export::{
    call_json, calls_json, card_json, moment_json, phase_sheet_json, rule_sets_json, rules_json,
    stations_json, throw_in_json,
};

use crate::Files;
use crate::questions::{beside, bounce, call, cautions, moment, on_a_day, sheet, throw_in, venue_of};

/// The answer; `None` where the words are no question of this module.
pub(crate) fn answer(files: &Files, words: &[&str]) -> Option<Result<String, String>> {
    Some(match words {
        ["calls-json"] => Ok(calls_json()),
        ["rule-sets-json"] => Ok(rule_sets_json(&[])),
        ["rules-json"] => venue_of(files).map(|v| rules_json(&v.document.rules)),
        ["over-json", x, y, off] => {
            venue_of(files).and_then(|v| Ok(call_json(call(&v, [x, y], off)?, v.document.rules.throw_ins)))
        }
        [name @ ("card-json" | "sheet-json" | "stations-json"), day] => on_a_day(files, day, |v, b| {
            Ok(match *name {
                "card-json" => card_json(v, &b, &sheet(v, &b)),
                "sheet-json" => phase_sheet_json(v, &sheet(v, &b), &cautions(v, &b)),
                _ => stations_json(v, &bounce(v, &b)?, &beside(v, b), ZoneSizes::of(&v.ground).as_ref()),
            })
        }),
        ["play-json", day, x, y, time] => {
            on_a_day(files, day, |v, b| Ok(moment_json(v, &moment(v, &b, [x, y], time)?, &cautions(v, &b))))
        }
        ["throw-in-json", day, place @ ..] => on_a_day(files, day, |v, b| {
            let row = throw_in(v, &b, &place.join(" "))?;
            Ok(throw_in_json(v, b.day, &row, &cautions(v, &b)))
        }),
        _ => return None,
    })
}
