//! The walk round on arrival, in words.

use super::lines::TIE;
use super::watch_words::place;
use super::words::{end_name, hazard_name, landmark_name, side_name};
use crate::boundary::Side;
use crate::briefing::{Briefing, Stop, StopLook};
use crate::ground::NamedSpot;
use crate::units::print::fixed;
use crate::venue::Venue;

/// From where and which way, then each thing with its place, in order.
pub(super) fn arrive_words(venue: &Venue, b: &Briefing, line: Option<Side>) -> String {
    let walk = &b.walk_round;
    let mut parts = Vec::new();
    for side in [walk.first, walk.first.other()].into_iter().filter(|s| line.is_none_or(|l| *s == l)) {
        // One goes down the first line and comes back up the other.
        let from = end_name(venue, if side == walk.first { walk.from } else { walk.from.other() });
        let stops: Vec<String> =
            walk.stops.iter().filter(|s| s.side == side).map(|s| stop(venue, s)).collect();
        let stops = if stops.is_empty() { "pace the run-off".to_owned() } else { stops.join("; ") };
        parts.push(match line {
            Some(_) => format!("your line from {from}: {stops}"),
            None => format!("{} line from {from}: {stops}", side_name(venue, side)),
        });
    }
    let mut text = parts.join(". Then the ");
    if line.is_none() {
        text.insert_str(0, "walk round, the ");
    }
    format!("{text}. Benches and covers clear of the line?")
}

/// The things alone, in the order of the walk, for one who has just read where they stand.
pub(super) fn arrive_short(venue: &Venue, b: &Briefing, line: Option<Side>) -> String {
    let walk = &b.walk_round;
    let mut parts = Vec::new();
    for side in [walk.first, walk.first.other()].into_iter().filter(|s| line.is_none_or(|l| *s == l)) {
        let from = end_name(venue, if side == walk.first { walk.from } else { walk.from.other() });
        let stops: Vec<String> = walk
            .stops
            .iter()
            .filter(|s| s.side == side && !matches!(s.look, StopLook::Find(_)))
            .map(|s| {
                let at = format!("{}{TIE}{}{TIE}m", end_name(venue, s.end), fixed(s.from_post_m, 0));
                match s.look {
                    StopLook::Hazard(i) => format!("{} {at}", hazard_name(venue, i)),
                    _ => format!("fence {at}"),
                }
            })
            .collect();
        if !stops.is_empty() {
            let side = if line.is_none() { format!("{} ", side_name(venue, side)) } else { String::new() };
            parts.push(format!("{side}from {from}: {}", stops.join(", ")));
        }
    }
    if parts.is_empty() { "pace the run-off".to_owned() } else { parts.join(". ") }
}

/// `SILO flank 61 m: tap`.
fn stop(venue: &Venue, s: &Stop) -> String {
    let at = place(venue, s.side, s.end, s.near, Some(s.side));
    let mut metres = format!("{}{TIE}m", fixed(s.from_post_m, 0));
    if s.near == Some(NamedSpot::Wing) {
        // Either post may be meant.
        metres = format!("{} {metres}", end_name(venue, s.end));
    }
    match s.look {
        StopLook::Find(i) => format!("{} post: find {}", end_name(venue, s.end), landmark_name(venue, i)),
        StopLook::Pace(m) => format!("{at} from {metres}: pace the fence, {}{TIE}m", fixed(m, 1)),
        StopLook::Hazard(i) => format!("{at} {metres}: {}", hazard_name(venue, i)),
    }
}
