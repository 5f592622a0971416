//! Where a station is, in words that can be found on the grass.

use super::card_text::{quarter, start_words};
use crate::boundary::{End, Side};
use crate::briefing::Placed;
use crate::frame::Ground;
use crate::geometry::Point;
use crate::officiate::{Reason, StandKind, Start, Station};
use crate::units::print::{fixed, for_terminal, measured_roughly};
use crate::venue::Venue;

/// A place so near the line is told along it, m.
const BESIDE_M: f64 = 3.0;
/// A place nearer to the line than this is on it, m.
pub(super) const ON_M: f64 = 0.25;

pub(super) fn end_name(venue: &Venue, e: End) -> String {
    for_terminal(venue.document.names.end(e)).to_uppercase()
}

pub(super) fn side_name(venue: &Venue, s: Side) -> String {
    for_terminal(venue.document.names.side(s)).to_uppercase()
}

/// `42 m from the centre toward SILO, then 13 m to the ROAD side`.
pub(super) fn on_the_grass(venue: &Venue, p: Point<Ground>) -> String {
    let (along, across) = (fixed(p.x.abs(), 0), fixed(p.y.abs(), 0));
    let end = end_name(venue, if p.x >= 0.0 { End::A } else { End::B });
    let side = side_name(venue, if p.y >= 0.0 { Side::Left } else { Side::Right });
    match (along.as_str(), across.as_str()) {
        ("0", "0") => "the centre".to_owned(),
        ("0", _) => format!("{across} m from the centre straight to the {side} side"),
        (_, "0") => format!("{along} m from the centre straight toward {end}"),
        _ => format!("{along} m from the centre toward {end}, then {across} m to the {side} side"),
    }
}

/// Just outside the square's side line, or where it is carried on: that can be found on the grass.
fn beside_the_square(venue: &Venue, s: &Station) -> Option<String> {
    let clear = venue.document.practice.square_clear_m.value;
    let half = venue.ground.oval().square_half_m()?;
    if !venue.document.surroundings.painted.square || (s.point.y.abs() - half - clear).abs() > 0.01 {
        return None;
    }
    let side = side_name(venue, s.side);
    let end = end_name(venue, if s.point.x >= 0.0 { End::A } else { End::B });
    let outside = match fixed(clear, 1).as_str() {
        "0.5" => "½ m".to_owned(),
        other => format!("{other} m"),
    };
    let (from_middle, past) = (fixed(s.point.x.abs(), 0), fixed(s.point.x.abs() - half, 0));
    Some(if s.point.x.abs() > half {
        format!(
            "{outside} outside the square's {side} side line carried on toward {end}, {past} m past the corner"
        )
    } else if from_middle == "0" {
        format!("{outside} outside the middle of the square's {side} side line")
    } else {
        format!(
            "{outside} outside the square's {side} side line, {from_middle} m from its middle toward {end}"
        )
    })
}

/// Where a station is; `start`: how the start stations lie, at a bounce.
pub(super) fn place(venue: &Venue, start: Option<&Start>, p: &Placed) -> String {
    let s = &p.station;
    let beside = beside_the_square(venue, s);
    match s.reason {
        Reason::Post | Reason::Watch(StandKind::Post) => {
            let end = if s.point.x >= 0.0 { End::A } else { End::B };
            let post = venue.ground.oval().behind_post(s.side, end);
            format!(
                "at the {} behind post, {} m behind it",
                end_name(venue, end),
                fixed(s.point.distance_to(post), 1)
            )
        }
        Reason::Start => {
            let end = if s.point.x >= 0.0 { End::A } else { End::B };
            let words = start_words(venue, start);
            let mut words = words.trim_end_matches('.').to_owned();
            if let Some(first) = words.get_mut(..1) {
                first.make_ascii_lowercase();
            }
            format!("{}: {words}", quarter(venue, end, s.side))
        }
        _ if s.reason == Reason::In && beside.is_some() => beside.unwrap_or_default(),
        _ if p.outside_line.value().abs() <= BESIDE_M => {
            let length = venue.ground.oval().boundary().line_length_m(s.side);
            let from_a = p.from_a.value();
            let (end, metres) =
                if from_a <= 0.5 * length { (End::A, from_a) } else { (End::B, length - from_a) };
            let out = p.outside_line.value();
            let out = if out.abs() < ON_M {
                String::new()
            } else if out > 0.0 {
                format!(", {} outside it", measured_roughly(&p.outside_line, "m", 1))
            } else {
                format!(", {} m inside it", fixed(-out, 1))
            };
            format!(
                "{} m along the line from the {} behind post{out}",
                fixed(metres, 0),
                end_name(venue, end)
            )
        }
        _ => on_the_grass(venue, s.point),
    }
}

/// With an article, where a name is not one of a row: `the scoreboard`, `gate 3`.
pub(super) fn the(name: &str) -> String {
    let numbered = name.rsplit(' ').next().is_some_and(|last| last.starts_with(|c: char| c.is_ascii_digit()));
    if numbered { name.to_owned() } else { format!("the {name}") }
}
