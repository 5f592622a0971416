//! Every kind of question about a registered venue.

use ovalpeg::boundary::{End, Side};
use ovalpeg::briefing::{
    Briefing, MomentAnswer, MomentQuery, ZoneSizes, answer as answer_of, bearings, briefing, cautions_beside,
    phase_sheet, spot_row,
};
use ovalpeg::export::{
    CARD_COLUMNS, Paper, SHORT_COLUMNS, call_json, call_text, calls_json, calls_text, card, card_json,
    long_card, moment_json, moment_text, phase_sheet_json, phase_sheet_text, rule_sets_json, rule_sets_text,
    rules_json, rules_text, short_card, stations_json, stations_text, throw_in_json, throw_in_text,
};
use ovalpeg::geometry::Point;
use ovalpeg::ground::{Arcs, SpotRef};
use ovalpeg::officiate::{Crew, Moment, Phase, ball_over};
use ovalpeg::rules::{LastDisposal, Off, Sure, Told};
use ovalpeg::units::print::measured_roughly;
use ovalpeg::units::{Call, Day};
use ovalpeg::venue::{Venue, Where, open, read_place, read_side};

use crate::Files;

pub(crate) fn answer(files: &Files, words: &[&str]) -> Result<String, String> {
    let (wide, narrow) = (Paper::new(CARD_COLUMNS, false), Paper::new(SHORT_COLUMNS, false));
    match words {
        ["calls"] => return Ok(calls_text(wide)),
        ["calls-json"] => return Ok(calls_json()),
        ["rule-sets"] => return Ok(rule_sets_text(&[], "the page", wide)),
        ["rule-sets-json"] => return Ok(rule_sets_json(&[])),
        _ => {}
    }
    let venue = venue_of(files)?;
    let rules = &venue.document.rules;
    match words {
        ["rules"] => return Ok(rules_text(rules, wide)),
        ["rules-json"] => return Ok(rules_json(rules)),
        ["over", x, y, off] => return over(&venue, [x, y], off, wide),
        _ => {}
    }
    let [name, day, rest @ ..] = words else { return Err("a question and a day".to_owned()) };
    let day: Day = day.parse().map_err(text)?;
    let b = briefing(&venue, day);
    let zones = || ZoneSizes::of(&venue.ground);
    Ok(match (*name, rest) {
        ("card", []) => card(&venue, &b, wide),
        ("long", []) => long_card(&venue, &b, zones().as_ref(), wide),
        ("short", []) => short_card(&venue, &b, None, narrow),
        ("short", [side]) => short_card(&venue, &b, Some(side_of(&venue, side)?), narrow),
        ("json", []) => card_json(&venue, &b, &sheet(&venue, &b)),
        ("sheet", []) => phase_sheet_text(&venue, &sheet(&venue, &b), &cautions(&venue, &b), wide),
        ("sheet-json", []) => phase_sheet_json(&venue, &sheet(&venue, &b), &cautions(&venue, &b)),
        ("stations", []) => stations_text(&venue, &beside(&venue, b), wide),
        ("stations-json", []) => {
            let query = MomentQuery::new(Moment::new(Phase::Bounce, Point::ORIGIN));
            let found = answer_of(&venue, b.declination.as_ref(), &query).map_err(text)?;
            stations_json(&venue, &found, &beside(&venue, b), zones().as_ref())
        }
        ("play", [x, y, time]) => {
            moment_text(&venue, &moment(&venue, day, [x, y], time)?, &cautions(&venue, &b), wide)
        }
        ("play-json", [x, y, time]) => {
            moment_json(&venue, &moment(&venue, day, [x, y], time)?, &cautions(&venue, &b))
        }
        ("throw-in" | "throw-in-json", place) => {
            let (declination, cautions) = bearings(&venue, day);
            let cautions = cautions_beside(&venue, cautions);
            let spot = spot(&venue, &place.join(" "))?;
            let row = spot_row(&venue, declination.as_ref(), spot, End::A, false).map_err(text)?;
            if *name == "throw-in" {
                throw_in_text(&venue, &row, &cautions, true, wide)
            } else {
                throw_in_json(&venue, day, &row, &cautions)
            }
        }
        _ => return Err(format!("no question: {}", words.join(" "))),
    })
}

pub(crate) fn text(e: impl std::fmt::Display) -> String {
    e.to_string()
}

/// The venue whose files were handed over.
pub(crate) fn venue_of(files: &Files) -> Result<Venue, String> {
    let get = |name: &str| files.get(name).cloned().ok_or_else(|| format!("there is no {name}"));
    let document = String::from_utf8(get("venue.toml")?).map_err(text)?;
    open(&document, get).map_err(text)
}

fn side_of(venue: &Venue, name: &str) -> Result<Side, String> {
    read_side(&venue.document.names, name).map_err(text)
}

fn cautions(venue: &Venue, b: &Briefing) -> Vec<String> {
    cautions_beside(venue, b.cautions.clone())
}

fn beside(venue: &Venue, mut b: Briefing) -> Briefing {
    b.cautions = cautions_beside(venue, b.cautions);
    b
}

fn sheet(venue: &Venue, b: &Briefing) -> Vec<(&'static str, MomentAnswer)> {
    let answered = |(title, moment)| {
        let found = answer_of(venue, b.declination.as_ref(), &MomentQuery::new(moment)).ok()?;
        Some((title, found))
    };
    phase_sheet(venue).into_iter().filter_map(answered).collect()
}

fn numbers(words: [&str; 2]) -> Result<[f64; 2], String> {
    let one = |w: &str| w.parse::<f64>().map_err(text);
    Ok([one(words[0])?, one(words[1])?])
}

/// The ball in play at a place and a time of day, for two officials and for four.
fn moment(venue: &Venue, day: Day, at: [&str; 2], time: &str) -> Result<MomentAnswer, String> {
    let [x, y] = numbers(at)?;
    let mut query = MomentQuery::new(Moment::new(Phase::Play, Point::new(x, y)));
    query.crew = if time == "-" { Crew::Two } else { Crew::Four };
    if let Some(zone) = venue.document.match_times.zone.as_ref().filter(|_| time != "-") {
        query.when = Some(zone.instant(day, time.parse().map_err(text)?, 0).map_err(text)?);
    }
    let (declination, _) = bearings(venue, day);
    answer_of(venue, declination.as_ref(), &query).map_err(text)
}

fn spot(venue: &Venue, place: &str) -> Result<SpotRef, String> {
    if let Ok(chainage) = place.parse() {
        return Ok(SpotRef::Chainage(chainage));
    }
    Ok(match read_place(venue, place, None).map_err(text)?.at {
        Where::Spot(reference) => reference,
        Where::Ground(p) => SpotRef::Near(p),
        Where::Local(p) => SpotRef::NearLocal(p),
    })
}

/// Is a ball at this place over the line, and the call where it left a player in this way.
fn over(venue: &Venue, at: [&str; 2], off: &str, paper: Paper) -> Result<String, String> {
    let [x, y] = numbers(at)?;
    let (oval, d, at) = (venue.ground.oval(), &venue.document, Point::new(x, y));
    let across = d.practice.ball_across_m.value;
    let found =
        ball_over(&venue.ground, oval.plan().to_local(at), 0.5 * across).ok_or("behind a scoring end")?;
    let told = Told {
        wholly_over: Some(match found.out {
            Call::Yes => Sure::Yes,
            Call::No => Sure::No,
            Call::TooClose => Sure::Unsure,
        }),
        off: Off::ALL.into_iter().find(|o| o.id() == off),
        touched: Some(Sure::No),
        bounced: Some(Sure::No),
        behind_post: Some(false),
        between_arcs: Some(oval.arcs(oval.boundary().nearest(at).point) == Arcs::Between),
        law: Some(d.rules.last_disposal).filter(|law| *law != LastDisposal::NotStated),
        shepherded: Some(false),
        insufficient_intent: Some(false),
    };
    let row = told.call().map_err(|open| format!("it hangs on {open:?}"))?;
    let near = measured_roughly(&found.clear_m, "m", 2);
    Ok(format!("{near}\n{}{}\n", call_text(row, d.rules.throw_ins, paper), call_json(row, d.rules.throw_ins)))
}
