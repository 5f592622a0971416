//! The phone page: one file that needs no script and no reception, with everything that a card says and an answer
//! for every spot.
//!
//! The words are those of the text cards, part by part, so that no page can say anything else. Names from files pass
//! the same escapes as on a terminal and then the template's, and a policy in the page allows neither scripts nor
//! anything from elsewhere.

mod rows;

use askama::Template;
use base64::Engine;
use sha2::{Digest, Sha256};

use self::rows::{Kind, Row, rows};
use super::call_text::calls_on;
use super::card_short::short_parts;
use super::card_text::{STAY_INSIDE, back_of_line, points, wide_of_line};
use super::lines::Sheet;
use super::match_day::match_day_on;
use super::moment_text::lay_out;
use super::spot_text::throw_in_on;
use super::words::{day, end_name, practised, quarter, side_name, spot_name};
use super::{Paper, card_json, page_svg};
use crate::boundary::{End, Side};
use crate::briefing::{Briefing, MomentAnswer, SpotRow};
use crate::ground::NamedSpot;
use crate::page::{Id, Paper as Size, plan};
use crate::units::Invalid;
use crate::units::print::for_terminal;
use crate::venue::Venue;

/// The page's only style sheet; its policy allows no other.
const STYLE: &str = include_str!("../../../templates/venue.css");

/// A line of the picker: a side of the ground and its two ends.
struct Line {
    name: String,
    ends: [String; 2],
}

/// A row of the picker: one named spot at every end of every line.
struct Pick {
    name: String,
    cells: Vec<Cell>,
}

struct Cell {
    /// The wing is one place for both ends.
    both: bool,
    link: Option<Link>,
}

struct Link {
    id: String,
    /// What is shown: how far wide.
    text: String,
    /// Which spot it is.
    title: String,
}

/// A part of the page with a name.
struct Part {
    id: String,
    title: String,
    rows: Vec<Row>,
}

#[derive(Template)]
#[template(path = "venue.html")]
struct VenuePage {
    name: String,
    day: String,
    ends: String,
    style: &'static str,
    style_hash: String,
    contents: Vec<(&'static str, &'static str)>,
    back: String,
    lines: Vec<Line>,
    picker: Vec<Pick>,
    answers: Vec<Part>,
    card: Vec<Row>,
    plan: String,
    face: Vec<Row>,
    phases: Vec<Part>,
    calls: Vec<Row>,
    match_day: Vec<Row>,
    cautions: Vec<String>,
    json: String,
}

/// The phone page of a venue, one file; `line`: the official's who runs that line all day.
///
/// # Errors
/// [`Invalid`] where the plan can't be drawn: a number of the venue has no place on a page.
pub fn card_html(
    venue: &Venue,
    b: &Briefing,
    phases: &[(&'static str, MomentAnswer)],
    line: Option<Side>,
) -> Result<String, Invalid> {
    let [one, two] = short_parts(venue, b, line);
    let throw_ins = venue.document.rules.throw_ins;
    let plan = plan(venue, b, Size::A5)?.linked(&answer_of);
    let page = VenuePage {
        name: for_terminal(&venue.document.name).to_string(),
        day: day(b.day),
        ends: ends(venue, b),
        style: STYLE,
        style_hash: base64::engine::general_purpose::STANDARD.encode(Sha256::digest(STYLE)),
        contents: CONTENTS.into(),
        back: practised(venue.document.practice.back_m.value),
        lines: Side::BOTH
            .map(|side| Line { name: side_name(venue, side), ends: End::BOTH.map(|e| end_name(venue, e)) })
            .into(),
        picker: picker(venue, b),
        answers: b
            .spots
            .iter()
            .map(|(side, end, name, row)| answer(venue, (*side, *end, *name), row))
            .collect(),
        // Its heading is the page's own.
        card: rows(one).into_iter().skip_while(|r| r.label != "WATCH").collect(),
        plan: page_svg(&plan),
        face: rows(two),
        phases: phases.iter().map(|(title, a)| phase(venue, title, a)).collect(),
        calls: on_a_sheet(|out| calls_on(out, throw_ins)),
        match_day: on_a_sheet(match_day_on),
        cautions: b.cautions.iter().map(|c| for_terminal(c).to_string()).collect(),
        // A script of data ends at the first `</script`: none is left in it.
        json: card_json(venue, b, phases).replace('<', "\\u003c"),
    };
    // Plain values written into memory: there is nothing in it that could fail.
    Ok(page.render().unwrap_or_default())
}

/// What the page has, for its foot.
const CONTENTS: [(&str, &str); 6] = [
    ("spots", "Spots"),
    ("card", "Card"),
    ("plan-part", "Plan"),
    ("face", "Face"),
    ("phases", "Phases"),
    ("calls", "Calls"),
];

/// A spot of the plan leads to its answer.
fn answer_of(of: &Id) -> Option<Id> {
    Id::new(format!("answer-{}", of.name().strip_prefix("spot-")?)).ok()
}

/// The ends and the sides with their points of the compass.
fn ends(venue: &Venue, b: &Briefing) -> String {
    let [ends, sides] = points(venue, b);
    let ends = ends.map(|(name, point)| format!("{name} end{point}"));
    let sides = sides.map(|(name, point)| format!("{name} side{point}"));
    [ends, sides].concat().join(", ")
}

fn on_a_sheet(lay: impl FnOnce(&mut Sheet)) -> Vec<Row> {
    // In few columns every table is a list.
    let mut out = Sheet::new(Paper::new(Paper::LEAST, false));
    lay(&mut out);
    rows(out.parts())
}

/// The id of a spot's answer, the same for every venue.
fn answer_id(side: Side, end: End, name: NamedSpot) -> String {
    let side = if side == Side::Left { "left" } else { "right" };
    let end = if end == End::A { "a" } else { "b" };
    match name {
        NamedSpot::Wing => format!("answer-{side}-wing"),
        NamedSpot::GoalRange => format!("answer-{side}-{end}-range"),
        _ => format!("answer-{side}-{end}-{}", name.name().replace(' ', "-")),
    }
}

fn spot_title(venue: &Venue, (side, end, name): (Side, End, NamedSpot)) -> String {
    match name {
        NamedSpot::Wing => format!("{} {}", side_name(venue, side), spot_name(venue, name)),
        _ => format!("{} {}", quarter(venue, end, side), spot_name(venue, name)),
    }
}

fn picker(venue: &Venue, b: &Briefing) -> Vec<Pick> {
    let cell = |side: Side, end: End, name: NamedSpot| Cell {
        both: name == NamedSpot::Wing,
        link: b.row(side, end, name).map(|row| Link {
            id: answer_id(side, end, name),
            text: wide_words(row),
            title: spot_title(venue, (side, end, name)),
        }),
    };
    let row = |name: NamedSpot| Pick {
        name: spot_name(venue, name).into_owned(),
        cells: match name {
            NamedSpot::Wing => Side::BOTH.map(|side| cell(side, End::A, name)).into(),
            _ => Side::BOTH.iter().flat_map(|&s| End::BOTH.map(|e| cell(s, e, name))).collect(),
        },
    };
    venue.ground.oval().named_spots().into_iter().map(row).collect()
}

/// How far wide one stands at a spot, in a word or two.
fn wide_words(row: &SpotRow) -> String {
    if row.stand.kind.is_at_post() {
        return "post".to_owned();
    }
    match back_of_line(&[row]) {
        Some(stay) if stay == STAY_INSIDE => "stay in".to_owned(),
        Some(back) => format!("{}, {back} back", wide_of_line(&[row])),
        None => wide_of_line(&[row]),
    }
}

fn answer(venue: &Venue, at: (Side, End, NamedSpot), row: &SpotRow) -> Part {
    Part {
        id: answer_id(at.0, at.1, at.2),
        title: spot_title(venue, at),
        rows: on_a_sheet(|out| throw_in_on(out, venue, row, true)),
    }
}

fn phase(venue: &Venue, title: &str, a: &MomentAnswer) -> Part {
    let id: String = title.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    Part {
        id: format!("phase-{id}").replace("--", "-"),
        title: title.to_owned(),
        rows: on_a_sheet(|out| lay_out(out, venue, a)),
    }
}

#[cfg(test)]
mod tests;
