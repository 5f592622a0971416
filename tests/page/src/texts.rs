//! Answers the questions of `questions` as the cards and texts that the program prints.

use ovalpeg::briefing::ZoneSizes;
use ovalpeg::export::{
    CARD_COLUMNS, LIST_COLUMNS, Paper, SHORT_COLUMNS, call_text, calls_text, card, long_card, moment_text,
    phase_sheet_text, rule_sets_text, rules_text, short_card, stations_text, throw_in_text,
};
use ovalpeg::venue::read_side;

use crate::Files;
use crate::questions::{beside, call, cautions, moment, on_a_day, sheet, text, throw_in, venue_of};

/// The answer; `None` where the words are no question of this module.
pub(crate) fn answer(files: &Files, words: &[&str]) -> Option<Result<String, String>> {
    let wide = Paper::new(CARD_COLUMNS, false);
    Some(match words {
        ["calls-text"] => Ok(calls_text(wide)),
        ["rule-sets-text"] => Ok(rule_sets_text(&[], "the page", Paper::new(LIST_COLUMNS, false))),
        ["rules-text"] => {
            venue_of(files).map(|v| rules_text(&v.document.rules, Paper::new(LIST_COLUMNS, false)))
        }
        ["over-text", x, y, off] => venue_of(files)
            .and_then(|v| Ok(call_text(call(&v, [x, y], off)?, v.document.rules.throw_ins, wide))),
        [name @ ("card-text" | "long-text" | "sheet-text" | "stations-text"), day] => {
            on_a_day(files, day, |v, b| {
                Ok(match *name {
                    "card-text" => card(v, &b, wide),
                    "long-text" => long_card(v, &b, ZoneSizes::of(&v.ground).as_ref(), wide),
                    "sheet-text" => phase_sheet_text(v, &sheet(v, &b), &cautions(v, &b), wide),
                    _ => stations_text(v, &beside(v, b), wide),
                })
            })
        }
        ["short-text", day, side @ ..] => on_a_day(files, day, |v, b| {
            let side =
                side.first().map(|name| read_side(&v.document.names, name).map_err(text)).transpose()?;
            Ok(short_card(v, &b, side, Paper::new(SHORT_COLUMNS, false)))
        }),
        ["play-text", day, x, y, time] => on_a_day(files, day, |v, b| {
            Ok(moment_text(v, &moment(v, &b, [x, y], time)?, &cautions(v, &b), wide))
        }),
        ["throw-in-text", day, place @ ..] => on_a_day(files, day, |v, b| {
            let row = throw_in(v, &b, &place.join(" "))?;
            Ok(throw_in_text(v, &row, &cautions(v, &b), true, wide))
        }),
        _ => return None,
    })
}
