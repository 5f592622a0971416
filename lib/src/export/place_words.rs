//! Where a station is, in words that can be found on the grass.

use super::layout_words::elsewhere_place;
use super::start_words::start_words;
pub(super) use super::words::{end_name, side_name};
use super::words::{practised, quarter, small, tenths};
use crate::boundary::{End, Side};
use crate::briefing::{FromPost, ON_THE_LINE_M, Placed};
use crate::frame::Ground;
use crate::geometry::Point;
use crate::officiate::{Reason, StandKind, Start, Station};
use crate::units::print::{fixed, measured_roughly};
use crate::venue::Venue;

/// A place so near the line is told along it, m.
const BESIDE_M: f64 = 3.0;

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

/// `SILO/ROAD, 61 m from the post along the line`: beside which part of the line a place is.
pub(super) fn beside_the_line(venue: &Venue, p: Point<Ground>) -> String {
    let (side, from) = FromPost::beside(venue.ground.oval(), p);
    format!("{}, {} m from the post along the line", quarter(venue, from.end, side), fixed(from.metres, 0))
}

/// Just outside the square's side line: that can be found on the grass.
fn beside_the_square(venue: &Venue, s: &Station) -> Option<String> {
    let clear = venue.document.practice.square_clear_m.value;
    let half = venue.ground.oval().square_half_m()?;
    let beside = (s.point.y.abs() - half - clear).abs() <= 0.01 && s.point.x.abs() <= half + 0.01;
    if !venue.document.surroundings.painted.square || !beside {
        return None;
    }
    let side = side_name(venue, s.side);
    let end = end_name(venue, if s.point.x >= 0.0 { End::A } else { End::B });
    let outside = format!("{} m", practised(clear));
    let from_middle = fixed(s.point.x.abs(), 0);
    Some(if from_middle == "0" {
        format!("{outside} outside the middle of the square's {side} side line")
    } else {
        format!(
            "{outside} outside the square's {side} side line, {from_middle} m from its middle toward {end}"
        )
    })
}

/// Where a station is; `start`: how the start stations lie, at a bounce. What can be seen on the grass
/// comes first, metres after it.
pub(super) fn place(venue: &Venue, start: Option<&Start>, p: &Placed) -> String {
    let s = &p.station;
    let end = if s.point.x >= 0.0 { End::A } else { End::B };
    let post = || end_name(venue, end);
    match s.reason {
        Reason::Post | Reason::Watch(StandKind::Post) => {
            let behind = venue.ground.oval().behind_post(s.side, end);
            format!("at the {} behind post, {} m behind it", post(), tenths(s.point.distance_to(behind)))
        }
        Reason::BesidePost | Reason::Watch(StandKind::BesidePost) => {
            format!("on the line, a step from the {} behind post: there is no room behind it", post())
        }
        Reason::NoPlace => {
            format!("no safe place at the {} behind post: keep clear of it, on the ground", post())
        }
        Reason::Watch(StandKind::NoPlace) => "no safe place outside the line: stay inside it".to_owned(),
        Reason::Start => {
            // Why there is no square or arc is said once, of the phase.
            let words =
                start.and_then(|s| elsewhere_place(venue, s)).unwrap_or_else(|| start_words(venue, start));
            format!("{}: {}", quarter(venue, end, s.side), small(words.trim_end_matches('.')))
        }
        Reason::Level => format!("level with the ball, on the line ({})", along_the_line(venue, p)),
        Reason::In => format!("level with the ball, {}", inward(venue, p)),
        Reason::Ahead | Reason::AheadIn => {
            let ahead = fixed(venue.document.practice.set_kick_m.value, 0);
            let there = if s.reason == Reason::Ahead {
                format!("on the line ({})", along_the_line(venue, p))
            } else {
                inward(venue, p)
            };
            format!("{ahead} m ahead of the kick, {there}")
        }
        _ if p.outside_line.value().abs() <= BESIDE_M => along_the_line(venue, p),
        _ => on_the_grass(venue, s.point),
    }
}

/// Nearer to the line than this nobody would say that it is in from it, m.
const ON_LINE_M: f64 = 0.5;

/// In from the line: beside the square where that is, else metres in.
fn inward(venue: &Venue, p: &Placed) -> String {
    let oval = venue.ground.oval();
    beside_the_square(venue, &p.station).unwrap_or_else(|| {
        let side = side_name(venue, p.station.side);
        let inside = fixed(-p.outside_line.value(), 0);
        let painted = venue.document.surroundings.painted.square;
        match oval.square_half_m() {
            _ if -p.outside_line.value() < ON_LINE_M => {
                format!("on the {side} line ({})", along_the_line(venue, p))
            }
            Some(half) if painted && p.station.point.x.abs() > half => format!(
                "on the straight way from the square's corner out to the {side} line ({inside} m in from it)"
            ),
            Some(_) if !painted => format!(
                "{inside} m in from the {side} line, {} m off the goal axis (no square is painted)",
                fixed(p.station.point.y.abs(), 0)
            ),
            _ => format!("{inside} m in from the {side} line"),
        }
    })
}

/// Metres along the line from the nearer post, and how far outside or inside it.
fn along_the_line(venue: &Venue, p: &Placed) -> String {
    let FromPost { end, metres } = p.from_post(venue.ground.oval());
    let out = p.outside_line.value();
    let out = if out.abs() < ON_THE_LINE_M {
        String::new()
    } else if out > 0.0 {
        format!(", {} outside it", measured_roughly(&p.outside_line, "m", 1))
    } else {
        format!(", {} m inside it", fixed(-out, 1))
    };
    match fixed(metres, 0).as_str() {
        "0" => format!("at the {} behind post{out}", end_name(venue, end)),
        metres => format!("{metres} m along the line from the {} behind post{out}", end_name(venue, end)),
    }
}

/// With an article, where a name is not one of a row: `the scoreboard`, `gate 3`.
pub(super) fn the(name: &str) -> String {
    let numbered = name.rsplit(' ').next().is_some_and(|last| last.starts_with(|c: char| c.is_ascii_digit()));
    if numbered { name.to_owned() } else { format!("the {name}") }
}
