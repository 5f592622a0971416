//! What a ground has of its rule set, in words: nothing is said of what it has not.

use super::words::practised;
use crate::boundary::{End, Side};
use crate::briefing::ZoneSizes;
use crate::ground::Parting;
use crate::officiate::{Counts, Start, StartBy};
use crate::units::Measured;
use crate::units::print::{fixed, for_terminal, measured_roughly};
use crate::venue::Venue;

/// The start stations where square and arc do not both give them; `None`: they do.
pub(super) fn elsewhere(venue: &Venue, s: &Start) -> Option<String> {
    let oval = venue.ground.oval();
    let metres = |m: f64| fixed(m, 0);
    let level = match oval.parting() {
        Parting::Arc { .. } => "the arc's top".to_owned(),
        Parting::ZoneLine { .. } => {
            format!("the zone line, {} m from the centre", metres(oval.arc_top_m()))
        }
        Parting::GoalRange { radius_m, .. } => format!(
            "a place {} m from the centre ({} m from the goal line)",
            metres(oval.arc_top_m()),
            metres(radius_m)
        ),
    };
    match (s.by, oval.parting()) {
        (StartBy::OwnLine, _) => Some(format!("On your own line, level with {level}.")),
        (StartBy::SquareSide { y_m, beyond_corner_m }, Parting::GoalRange { .. }) => {
            let outside = practised(y_m - oval.square_half_m()?);
            Some(if beyond_corner_m < 0.5 {
                format!("At the square's corner, {outside} m outside its side.")
            } else {
                format!(
                    "{outside} m outside the square's side and {} m past its corner.",
                    metres(beyond_corner_m)
                )
            })
        }
        (StartBy::SquareSide { .. }, _) => None,
    }
}

/// Who counts whom at the start; `None` where the rules say nothing of it.
pub(super) fn count_words(start: &Start, c: &Counts) -> Option<String> {
    let parts: Vec<String> =
        [(c.in_arc, "inside each arc"), (c.in_square, "in the square"), (c.on_wing, "on each wing")]
            .iter()
            .filter_map(|(n, place)| Some(format!("{} {place}", (*n)?)))
            .collect();
    if parts.is_empty() {
        return None;
    }
    let own: Vec<&str> =
        [c.in_arc.map(|_| "the arc of the own end"), c.on_wing.map(|_| "the own side's wing")]
            .into_iter()
            .flatten()
            .collect();
    let mut text = format!("{}, both teams together", parts.join(", "));
    if !own.is_empty() {
        text += &format!(". Each official counts {}", own.join(" and "));
    }
    if start.painted.square {
        text += if own.is_empty() {
            ". Watch the square's side line"
        } else {
            ", and watches the square's side line"
        };
    }
    Some(text)
}

/// Areas of the zones that the ground has.
pub(super) fn zone_sizes_words(venue: &Venue, z: &ZoneSizes) -> String {
    let names = &venue.document.names;
    let name = |text: &str| for_terminal(text).to_uppercase();
    let area = |m: &Measured| measured_roughly(m, "m²", 1);
    let (a, b) = (name(names.end(End::A)), name(names.end(End::B)));
    let mut text = match venue.ground.oval().parting() {
        Parting::Arc { .. } => {
            format!("inside the {a} arc {}, the {b} arc {}", area(&z.arc_a), area(&z.arc_b))
        }
        Parting::ZoneLine { .. } => {
            format!("{a} end zone {}, {b} end zone {}", area(&z.arc_a), area(&z.arc_b))
        }
        Parting::GoalRange { radius_m, .. } => format!(
            "within {} m of the {a} goal {}, of the {b} goal {}",
            fixed(radius_m, 0),
            area(&z.arc_a),
            area(&z.arc_b)
        ),
    };
    if let (Some(left), Some(right)) = (&z.wing_left, &z.wing_right) {
        text += &format!(
            "; {} wing {}, {} wing {}",
            name(names.side(Side::Left)),
            area(left),
            name(names.side(Side::Right)),
            area(right)
        );
    }
    text
}
