//! A rehearsal: lays out everything that a venue can print, before the venue is written. A card that can't be
//! laid out must be noticed now and not on the morning of a match.

use anyhow::{Context, Result, bail};
use ovalpeg::boundary::Side;
use ovalpeg::briefing::{MomentQuery, When, ZoneSizes, answer, bearings, briefing, phase_sheet};
use ovalpeg::export::{
    CARD_COLUMNS, Paper, REPORT_COLUMNS, SHORT_COLUMNS, card, card_json, long_card, phase_sheet_json,
    phase_sheet_text, short_card, stations_json, stations_text, throw_in_json, throw_in_text,
};
use ovalpeg::page::{Paper as PagePaper, plan};
use ovalpeg::units::Day;
use ovalpeg::venue::Venue;

/// Lays out every page of a venue and throws it away.
///
/// # Errors
/// Where a page would print NaN or an infinity.
pub(super) fn rehearse(venue: &Venue, day: Day) -> Result<()> {
    let page = plan(venue, &briefing(venue, day), PagePaper::A5);
    let drawn = page.context("the plan can't be drawn: survey more of the line, or the posts")?;
    let own = own_words(venue);
    let title = ("the plan", drawn.description().to_owned());
    for (face, text) in faces(venue, day).into_iter().chain([title]) {
        if let Some(word) = words(&text).find(|w| is_no_number(w) && !own.contains(&w.to_lowercase())) {
            bail!("{face} would say '{word}' where a number belongs: survey more of the line, or the posts");
        }
    }
    Ok(())
}

fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_alphanumeric())
}

/// Is it NaN or an infinity, as Rust or other languages write it?
fn is_no_number(word: &str) -> bool {
    ["NaN", "NAN", "inf", "INF", "infinity"].contains(&word)
}

/// The words that people wrote in the venue file, in lower case. They are printed as written, and a silo may
/// be called "Inf".
fn own_words(venue: &Venue) -> Vec<String> {
    let d = &venue.document;
    let around = &d.surroundings;
    let names = around.landmarks.iter().map(|l| &l.name).chain(around.hazards.iter().map(|h| &h.name));
    let marks = around.other_marks.iter().map(|m| &m.name).chain(d.configurations.iter().map(|c| &c.name));
    let record = d.record.measured_by.iter().chain(&d.record.approved_by);
    let reported = d.reported.iter().flat_map(|r| [&r.what, &r.by].into_iter().chain(&r.place).chain(&r.how));
    let all = names.chain(&d.names.ends).chain(&d.names.sides).chain(&d.help).chain(&d.notes);
    let all = all.chain(marks).chain(record).chain(reported);
    all.chain([&d.id, &d.name]).flat_map(|t| words(t)).map(str::to_lowercase).collect()
}

fn faces(venue: &Venue, day: Day) -> Vec<(&'static str, String)> {
    let (declination, cautions) = bearings(venue, day);
    let declination = declination.as_ref();
    let mut out = Vec::new();
    for night in [false, true] {
        let b = briefing(venue, When { day, night, start: None });
        let mut phases = Vec::new();
        for (title, moment) in phase_sheet(venue) {
            let query = MomentQuery { night, ..MomentQuery::new(moment) };
            phases.extend(answer(venue, declination, &query).ok().map(|a| (title, a)));
        }
        let zones = ZoneSizes::of(&venue.ground);
        let zones = zones.as_ref();
        for ascii in [false, true] {
            for columns in [Paper::LEAST, SHORT_COLUMNS, CARD_COLUMNS, REPORT_COLUMNS] {
                let paper = Paper::new(columns, ascii);
                out.push(("the card", card(venue, &b, paper)));
                out.push(("the long card", long_card(venue, &b, zones, paper)));
                for line in [None, Some(Side::Left), Some(Side::Right)] {
                    out.push(("the short card", short_card(venue, &b, line, paper)));
                }
                out.push(("the stations", stations_text(venue, &b, paper)));
                out.push(("the sheet of phases", phase_sheet_text(venue, &phases, &cautions, paper)));
            }
        }
        if let Some((_, first)) = phases.first() {
            out.push(("the stations as JSON", stations_json(venue, first, &b, zones)));
        }
        out.push(("the phases as JSON", phase_sheet_json(venue, &phases, &cautions)));
        out.push(("the card as JSON", card_json(venue, &b, &phases)));
        for (.., row) in &b.spots {
            out.push((
                "a throw-in",
                throw_in_text(venue, row, &cautions, true, Paper::new(CARD_COLUMNS, false)),
            ));
            out.push(("a throw-in as JSON", throw_in_json(venue, day, row, &cautions)));
        }
    }
    out
}
