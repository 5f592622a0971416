//! What a ground has of its rule set, in words: nothing is said of what it has not.

use super::words::{end_name, practised, side_name};
use crate::boundary::{End, Side};
use crate::briefing::ZoneSizes;
use crate::ground::{Arcs, Parting, Square, Zones};
use crate::officiate::{Counts, Start, StartBy};
use crate::rules::{RuleSet, Standing};
use crate::units::Measured;
use crate::units::print::{fixed, measured_roughly, plain};
use crate::venue::Venue;

fn whole(m: f64) -> String {
    fixed(m, 0)
}

/// `: check your league`, where nobody who runs the game here has said so.
pub(super) fn check_league(standing: Standing) -> &'static str {
    if standing.is_preset() { ": check your league" } else { "" }
}

/// The square and the arcs that the rule set has and the ground has no room for: the square's side and the
/// arcs' radius, m.
fn no_room(venue: &Venue) -> (Option<f64>, Option<f64>) {
    let oval = venue.ground.oval();
    let square = match oval.square() {
        Square::DoesNotFit { half_m, .. } => Some(2.0 * half_m),
        Square::Fits { .. } | Square::NotInTheRules => None,
    };
    let arcs = match oval.parting() {
        Parting::GoalRange { arc_m, .. } => arc_m,
        Parting::Arc { .. } | Parting::ZoneLine { .. } => None,
    };
    (square, arcs)
}

/// Why there is no square or no arc to line up on, where the rule set has one and the ground has not; empty
/// where it has.
pub(super) fn missing(venue: &Venue) -> String {
    let (square, arcs) = no_room(venue);
    let square = square.map(|side| format!("A square of {} m does not fit here", plain(side)));
    let arcs = arcs.map(|r| format!("no arcs here: {} m ones would all but meet", plain(r)));
    match (square, arcs) {
        (Some(square), Some(arcs)) => format!("{square}, and there are {arcs}."),
        (Some(square), None) => format!("{square}."),
        (None, Some(arcs)) => format!("There are {arcs}."),
        (None, None) => String::new(),
    }
}

/// The same in a few words, before a place.
pub(super) fn missing_short(venue: &Venue) -> &'static str {
    match no_room(venue) {
        (Some(_), Some(_)) => "no square or arcs fit here: ",
        (Some(_), None) => "no square fits here: ",
        (None, Some(_)) => "no arcs fit here: ",
        (None, None) => "",
    }
}

/// The start stations where square and arc do not both give them, and why; `None`: they do.
pub(super) fn elsewhere(venue: &Venue, s: &Start) -> Option<String> {
    let place = elsewhere_place(venue, s)?;
    Some(format!("{} {place}", missing(venue)).trim_start().to_owned())
}

/// As [`elsewhere`], without why.
pub(super) fn elsewhere_place(venue: &Venue, s: &Start) -> Option<String> {
    let oval = venue.ground.oval();
    let level = match oval.parting() {
        Parting::Arc { .. } => "the arc's top".to_owned(),
        Parting::ZoneLine { .. } => format!("the zone line, {} m from the centre", whole(oval.arc_top_m())),
        Parting::GoalRange { radius_m, .. } => format!(
            "a place {} m out from the goal line, {} m from the centre",
            whole(radius_m),
            whole(oval.arc_top_m())
        ),
    };
    Some(match (s.by, oval.parting()) {
        (StartBy::OwnLine, _) => format!("On your own line, level with {level}."),
        (
            StartBy::SquareSide { y_m, beyond_corner_m },
            Parting::GoalRange { .. } | Parting::ZoneLine { .. },
        ) => {
            let outside = practised(y_m - oval.square_half_m()?);
            if beyond_corner_m < 0.5 {
                format!("At the square's corner, {outside} m outside its side.")
            } else {
                format!(
                    "{outside} m outside the square's side and {} m past its corner.",
                    whole(beyond_corner_m)
                )
            }
        }
        (StartBy::SquareSide { .. }, Parting::Arc { .. }) => return None,
    })
}

/// Who counts whom at the start; `None` where the rules say nothing of it.
pub(super) fn count_words(rules: &RuleSet, start: &Start, c: &Counts) -> Option<String> {
    let parts: Vec<String> = [
        (c.in_arc, "inside each arc"),
        (c.in_goal_square, "of them in the goal square"),
        (c.in_square, "in the square"),
        (c.on_wing, "on each wing"),
        (c.in_end_zone, "in each end zone"),
        (c.in_middle_zone, "in the middle zone"),
    ]
    .iter()
    .filter_map(|(n, place)| Some(format!("{} {place}", (*n)?)))
    .collect();
    if parts.is_empty() {
        return None;
    }
    let own: Vec<&str> = [
        c.in_arc.map(|_| "the arc of the own end"),
        c.in_end_zone.map(|_| "the own end's zone"),
        c.on_wing.map(|_| "the own side's wing"),
    ]
    .into_iter()
    .flatten()
    .collect();
    let mut text = format!("{}, both teams together", parts.join(", "));
    let watches = "watches the square's side line";
    match (own.is_empty(), start.painted.square) {
        (false, true) => text += &format!(". Each official counts {}, and {watches}", own.join(" and ")),
        (false, false) => text += &format!(". Each official counts {}", own.join(" and ")),
        (true, true) => text += &format!(". Each official {watches}"),
        (true, false) => {}
    }
    let said = [
        rules.start_in_arc,
        rules.start_in_goal_square,
        rules.start_in_square,
        rules.start_on_wing,
        rules.start_in_end_zone,
        rules.start_in_middle_zone,
    ];
    let preset = said.into_iter().find(|n| n.given().is_some() && n.standing.is_preset());
    Some(text + preset.map_or("", |n| check_league(n.standing)))
}

/// Between the arcs, or inside which; by goal range or zone lines where those part the ground.
pub(super) fn arcs_words(venue: &Venue, arcs: Arcs) -> String {
    match (venue.ground.oval().parting(), arcs) {
        (Parting::Arc { .. }, Arcs::Between) => "between the arcs".to_owned(),
        (Parting::Arc { .. }, Arcs::Inside(end)) => format!("inside the {} arc", end_name(venue, end)),
        (Parting::GoalRange { radius_m, .. }, Arcs::Between) => {
            format!("over {} m from both goals", whole(radius_m))
        }
        (Parting::GoalRange { radius_m, .. }, Arcs::Inside(end)) => {
            format!("within {} m of the {} goal", whole(radius_m), end_name(venue, end))
        }
        (Parting::ZoneLine { .. }, Arcs::Between) => "in the middle zone".to_owned(),
        (Parting::ZoneLine { .. }, Arcs::Inside(end)) => format!("in the {} end zone", end_name(venue, end)),
    }
}

/// The zones that a ball is in.
pub(super) fn zone_words(venue: &Venue, z: &Zones) -> String {
    let oval = venue.ground.oval();
    let mut list: Vec<String> = [(z.arc_a, End::A), (z.arc_b, End::B)]
        .into_iter()
        .filter(|(inside, _)| *inside)
        .map(|(_, end)| arcs_words(venue, Arcs::Inside(end)))
        .collect();
    if z.square {
        list.push("in the square".to_owned());
    }
    if let Some(side) = z.wing {
        list.push(format!("on the {} wing", side_name(venue, side)));
    }
    match (list.is_empty(), z.in_play, oval.parting(), oval.square_half_m()) {
        (false, ..) => list.join(", "),
        (true, false, ..) => "over the boundary".to_owned(),
        (true, true, Parting::Arc { .. }, Some(_)) => "outside arcs, square and wings".to_owned(),
        (true, true, _, Some(_)) => "outside square and wings".to_owned(),
        (true, true, _, None) => arcs_words(venue, Arcs::Between),
    }
}

/// Areas of the zones that the ground has.
pub(super) fn zone_sizes_words(venue: &Venue, z: &ZoneSizes) -> String {
    let area = |m: &Measured| measured_roughly(m, "m²", 1);
    let mut parts: Vec<String> = [(End::A, &z.arc_a), (End::B, &z.arc_b)]
        .into_iter()
        .map(|(end, m)| format!("{} {}", arcs_words(venue, Arcs::Inside(end)), area(m)))
        .collect();
    for (side, m) in [(Side::Left, &z.wing_left), (Side::Right, &z.wing_right)] {
        parts.extend(m.as_ref().map(|m| format!("{} wing {}", side_name(venue, side), area(m))));
    }
    parts.join("; ")
}
