//! What the rule set of a venue says of play, in the words of a card.

use super::words::practised;
use crate::ground::Parting;
use crate::rules::{LastDisposal, Restart};
use crate::units::print::fixed;
use crate::venue::Venue;

/// A free kick for the last disposal between the arcs?
pub(super) fn last_disposal(venue: &Venue) -> &'static str {
    match venue.document.rules.last_disposal {
        LastDisposal::BetweenArcs => "YES",
        LastDisposal::No => "NO",
        LastDisposal::NotStated => "ask",
    }
}

/// The same with who says so.
pub(super) fn last_disposal_of_the_league(venue: &Venue) -> String {
    match venue.document.rules.last_disposal {
        LastDisposal::NotStated => "ask the league".to_owned(),
        _ => format!("{} (league)", last_disposal(venue)),
    }
}

/// Where such a law would hold: between the arcs, or what takes their place; `None` where the rules have none.
pub(super) fn last_disposal_place(venue: &Venue) -> Option<String> {
    match venue.ground.oval().parting() {
        Parting::Arc { .. } => Some("between arcs".to_owned()),
        Parting::GoalRange { radius_m, arc_m: Some(_) } => {
            Some(format!("over {} m from both goals", fixed(radius_m, 0)))
        }
        Parting::GoalRange { arc_m: None, .. } | Parting::ZoneLine { .. } => None,
    }
}

/// Inside an arc, or what takes its place: where the partner of the thrower goes to the post.
pub(super) fn in_the_arc(venue: &Venue) -> &'static str {
    match venue.ground.oval().parting() {
        Parting::Arc { .. } => "in the arc",
        Parting::GoalRange { .. } => "near goal",
        Parting::ZoneLine { .. } => "in the end zone",
    }
}

/// Where to after a behind: the end of the arc, or of what takes its place.
pub(super) fn after_a_behind(venue: &Venue) -> String {
    let oval = venue.ground.oval();
    match oval.parting() {
        Parting::Arc { .. } if venue.document.surroundings.painted.arcs => "arc end".to_owned(),
        Parting::Arc { radius_m } | Parting::GoalRange { radius_m, .. } => {
            format!("line {} m from goal", fixed(radius_m, 0))
        }
        Parting::ZoneLine { .. } => "end of the zone line".to_owned(),
    }
}

/// The kick-in's mark from the goal line. A preset's number is the top competition's of its year.
pub(super) fn kick_in_mark(venue: &Venue) -> String {
    let r = &venue.document.rules;
    let check = if r.kick_in_mark_m.standing.is_preset() { ": check your league" } else { "" };
    format!("mark {} m from goal{check}", practised(r.kick_in_mark_from_goal_m()))
}

/// How play restarts.
pub(super) fn restart(venue: &Venue) -> String {
    let r = &venue.document.rules;
    match r.restart {
        Restart::Either => format!("{}: check your league", r.restart.words()),
        _ => format!("by {}", r.restart.words()),
    }
}

/// Both in a line, as short as can be.
pub(super) fn kick_in_short(venue: &Venue) -> String {
    let r = &venue.document.rules;
    let mark = practised(r.kick_in_mark_from_goal_m());
    match (r.restart, r.kick_in_mark_m.standing.is_preset()) {
        (Restart::Either, true) => format!("mark {mark} m out, ask league"),
        (Restart::Either, false) => format!("mark {mark} m out"),
        (restart, _) => format!("mark {mark} m. RESTART {}", restart.words()),
    }
}
