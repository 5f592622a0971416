//! Answers every kind of question about a registered venue as values, from which a page could draw.

use ovalpeg::boundary::End;
use ovalpeg::briefing::{
    Briefing, MomentAnswer, MomentQuery, SpotRow, ZoneSizes, answer as answer_of, briefing, cautions_beside,
    phase_sheet, spot_row,
};
use ovalpeg::geometry::Point;
use ovalpeg::ground::{Arcs, SpotRef};
use ovalpeg::officiate::{Crew, Moment, Phase, ball_over};
use ovalpeg::rules::{
    CALLS, CallRow, EXCHANGES, LAST_DISPOSAL_IN, LastDisposal, MATCH_DAY, Off, RuleSet, SIGNALS, Sure, Told,
};
use ovalpeg::units::{Call, Day};
use ovalpeg::venue::{Venue, Where, open, read_place};

use crate::Files;

/// The answer; `None` where the words are no question of this module.
pub(crate) fn answer(files: &Files, words: &[&str]) -> Option<Result<String, String>> {
    Some(match words {
        ["calls"] => whole(&(CALLS, SIGNALS, EXCHANGES, LAST_DISPOSAL_IN)),
        ["rule-sets"] => whole(&RuleSet::all()),
        ["rules"] => venue_of(files).and_then(|v| whole(&v.document.rules)),
        ["over", x, y, off] => venue_of(files).and_then(|v| whole(&call(&v, [x, y], off)?)),
        ["card", day] => on_a_day(files, day, |v, b| whole(&(v, sheet(v, &b), b, MATCH_DAY))),
        ["sheet", day] => on_a_day(files, day, |v, b| whole(&(sheet(v, &b), cautions(v, &b)))),
        ["stations", day] => {
            on_a_day(files, day, |v, b| whole(&(bounce(v, &b)?, ZoneSizes::of(&v.ground), beside(v, b))))
        }
        ["play", day, x, y, time] => {
            on_a_day(files, day, |v, b| whole(&(moment(v, &b, [x, y], time)?, cautions(v, &b))))
        }
        ["throw-in", day, place @ ..] => {
            on_a_day(files, day, |v, b| whole(&(throw_in(v, &b, &place.join(" "))?, cautions(v, &b))))
        }
        _ => return None,
    })
}

/// Keeps the whole of an answer alive, so that the compiler removes no part of it as unused: a page might
/// show any part.
fn whole<T>(answer: &T) -> Result<String, String> {
    std::hint::black_box(answer);
    Ok(String::new())
}

/// Answers a question about the venue on a day.
pub(crate) fn on_a_day(
    files: &Files,
    day: &str,
    told: impl FnOnce(&Venue, Briefing) -> Result<String, String>,
) -> Result<String, String> {
    let venue = venue_of(files)?;
    let day: Day = day.parse().map_err(text)?;
    let b = briefing(&venue, day);
    told(&venue, b)
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

pub(crate) fn cautions(venue: &Venue, b: &Briefing) -> Vec<String> {
    cautions_beside(venue, b.cautions.clone())
}

pub(crate) fn beside(venue: &Venue, mut b: Briefing) -> Briefing {
    b.cautions = cautions_beside(venue, b.cautions);
    b
}

pub(crate) fn sheet(venue: &Venue, b: &Briefing) -> Vec<(&'static str, MomentAnswer)> {
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

/// The stations at a centre bounce.
pub(crate) fn bounce(venue: &Venue, b: &Briefing) -> Result<MomentAnswer, String> {
    let query = MomentQuery::new(Moment::new(Phase::Bounce, Point::ORIGIN));
    answer_of(venue, b.declination.as_ref(), &query).map_err(text)
}

/// The stations of four officials, with the ball in play at a place and a time of day.
pub(crate) fn moment(venue: &Venue, b: &Briefing, at: [&str; 2], time: &str) -> Result<MomentAnswer, String> {
    let [x, y] = numbers(at)?;
    let mut query = MomentQuery::new(Moment::new(Phase::Play, Point::new(x, y)));
    query.crew = Crew::Four;
    if let Some(zone) = &venue.document.match_times.zone {
        query.when = Some(zone.instant(b.day, time.parse().map_err(text)?, 0).map_err(text)?);
    }
    answer_of(venue, b.declination.as_ref(), &query).map_err(text)
}

/// A throw-in at a chainage, or at a place in words.
pub(crate) fn throw_in(venue: &Venue, b: &Briefing, place: &str) -> Result<SpotRow, String> {
    spot_row(venue, b.declination.as_ref(), spot(venue, place)?, End::A, false).map_err(text)
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

/// The call, as a row of the table of calls, for a ball at this place that left a player in this way.
pub(crate) fn call(venue: &Venue, at: [&str; 2], off: &str) -> Result<&'static CallRow, String> {
    let [x, y] = numbers(at)?;
    let (oval, d, at) = (venue.ground.oval(), &venue.document, Point::new(x, y));
    let across = d.practice.ball_across_m.value;
    let found = ball_over(&venue.ground, oval.plan().to_local(at), 0.5 * across)
        .ok_or("behind a scoring end: that is the goal umpire's")?;
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
    told.call().map_err(|open| format!("it hangs on {} more", open.len()))
}
