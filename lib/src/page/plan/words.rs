//! What a plan says, in few words: names as printed, and what WATCH says of each thing without its place, for the
//! plan shows that.

use crate::boundary::{End, Side};
use crate::briefing::{Advice, Briefing, Lies, SpotRow, Thing};
use crate::ground::NamedSpot;
use crate::officiate::StandKind;
use crate::units::print::{fixed, halves};
use crate::venue::Venue;

/// A name longer than this is cut wherever a plan says it.
const LONGEST: usize = 60;

fn short(name: &str) -> String {
    if name.chars().count() <= LONGEST {
        return name.to_owned();
    }
    name.chars().take(LONGEST).chain(['…']).collect()
}

pub(super) fn end_name(venue: &Venue, end: End) -> String {
    short(&venue.document.names.end(end).to_uppercase())
}

pub(super) fn side_name(venue: &Venue, side: Side) -> String {
    short(&venue.document.names.side(side).to_uppercase())
}

pub(super) fn quarter(venue: &Venue, end: End, side: Side) -> String {
    format!("{}/{}", end_name(venue, end), side_name(venue, side))
}

pub(super) fn hazard_name(venue: &Venue, index: usize) -> String {
    short(&venue.document.surroundings.hazards[index].name)
}

pub(super) fn landmark_name(venue: &Venue, index: usize) -> String {
    short(&venue.document.surroundings.landmarks[index].name)
}

pub(super) fn spot_name(venue: &Venue, name: NamedSpot) -> String {
    name.label(venue.document.practice.goal_range_m.value).into_owned()
}

/// `SILO/ROAD pocket`, `ROAD wing`.
pub(super) fn place_of(venue: &Venue, side: Side, end: End, name: NamedSpot) -> String {
    match name {
        NamedSpot::Wing => format!("{} wing", side_name(venue, side)),
        _ => format!("{} {}", quarter(venue, end, side), spot_name(venue, name)),
    }
}

/// Metres as they are told of room: never rounded up.
fn room(m: f64) -> String {
    fixed((m * 10.0 + 1e-9).floor() / 10.0, 1)
}

/// A place of a hazard known worse than this is told as about so far, m.
const ROUGH_M: f64 = 0.25;

/// What WATCH says of a row, without its place: `pit cover`, `1.6 m out`.
pub(super) fn watched(venue: &Venue, thing: &Thing) -> (String, String) {
    match thing {
        Thing::Hazard { index, at } => {
            let off = match at.as_ref().map(|at| (at.lies(), at.middle_out.half_width() > ROUGH_M)) {
                None => "near the line".to_owned(),
                Some((Lies::Off(m), false)) => format!("{} m out", fixed(m, 1)),
                Some((Lies::Off(m), true)) => format!("about {} m out", fixed(m, 0)),
                Some((Lies::On, _)) => "on the line".to_owned(),
                Some((Lies::Inside, _)) => "inside the line".to_owned(),
            };
            (hazard_name(venue, *index), off)
        }
        Thing::Fence { distance_m, along, .. } => {
            let all = if along.is_empty() { " all round" } else { "" };
            ("fence".to_owned(), format!("{} m{all}", room(*distance_m)))
        }
        Thing::MayBeNear { .. } => ("fence".to_owned(), "may be too near: pace it".to_owned()),
        Thing::NotSurveyed => ("run-off not surveyed".to_owned(), String::new()),
    }
}

/// Where a row of WATCH is, for one that has no label on the plan.
pub(super) fn where_watched(venue: &Venue, thing: &Thing) -> Option<String> {
    let at = |side: Side, end: End, near: Option<NamedSpot>| match near {
        Some(name) => place_of(venue, side, end, name),
        None => quarter(venue, end, side),
    };
    match thing {
        Thing::Hazard { at: Some(w), .. } => Some(at(w.side, w.end, w.near)),
        Thing::Fence { along, .. } => {
            let s = along.first()?;
            Some(at(s.side, s.end().unwrap_or(End::A), s.near))
        }
        Thing::MayBeNear { spots, .. } => spots.first().map(|&(side, end, name)| at(side, end, Some(name))),
        Thing::Hazard { at: None, .. } | Thing::NotSurveyed => None,
    }
}

/// The figure at a spot, and what is said beside it: `1½`, `9½ back`.
pub(super) fn figure(venue: &Venue, row: &SpotRow) -> (String, String) {
    let stand = row.stand_long.as_ref().unwrap_or(&row.stand);
    let long = if row.stand_long.is_some() { "LONG SIDE" } else { "" };
    let usual = venue.document.practice.back_m.value;
    let back = |m: f64| {
        if Advice::told_m(m) < Advice::told_m(usual) { halves(Advice::told_m(m)) } else { String::new() }
    };
    let wide = halves(stand.outside_line_m);
    match stand.kind {
        StandKind::Post if row.spot.from_post_m < 0.5 => (wide, String::new()),
        StandKind::Post => (String::new(), "at post".to_owned()),
        StandKind::BesidePost => (String::new(), "beside post".to_owned()),
        StandKind::NoPlace => (String::new(), "STAY INSIDE".to_owned()),
        StandKind::Tangent { back_m } | StandKind::AlongLine { back_m, .. } => {
            let beside = match (long, back(back_m)) {
                ("", back) if back.is_empty() => String::new(),
                ("", back) => format!("{back} back"),
                (long, back) if back.is_empty() => long.to_owned(),
                (long, back) => format!("{long} {back} back"),
            };
            (wide, beside)
        }
    }
}

/// What to face at a spot: the landmark, and how far the line to face lies to its right or left.
pub(super) fn facing(venue: &Venue, row: &SpotRow) -> Option<(String, String)> {
    let b = row.backsight.as_ref()?;
    let off = match b.half_fists {
        0 => String::new(),
        n => format!("{}f {}", halves(f64::from(n) * 0.5), if b.off_deg > 0.0 { "R" } else { "L" }),
    };
    Some((landmark_name(venue, b.landmark), off))
}

/// What is seen, for one who can't see it.
pub(super) fn described(venue: &Venue, b: &Briefing) -> String {
    let throw_ins = venue.document.rules.throw_ins;
    let mut said = format!(
        "Plan of {}, {} end at the top and {} side at the left.",
        short(&venue.document.name),
        end_name(venue, End::A),
        side_name(venue, Side::Left)
    );
    for (side, end, name, row) in &b.spots {
        said.push_str(&format!(" {}.", spot_said(venue, (*side, *end, *name), row, throw_ins)));
    }
    said
}

/// A spot in a sentence: `SILO/ROAD pocket: 2 m wide; face gum stump`.
pub(super) fn spot_said(
    venue: &Venue,
    (side, end, name): (Side, End, NamedSpot),
    row: &SpotRow,
    throw_ins: bool,
) -> String {
    let (wide, beside) = figure(venue, row);
    let mut said = format!("{}:", place_of(venue, side, end, name));
    match (wide.as_str(), beside.as_str()) {
        ("", beside) => said.push_str(&format!(" {beside}")),
        (wide, "") if name == NamedSpot::Post => said.push_str(&format!(" {wide} m behind it")),
        (wide, "") => said.push_str(&format!(" {wide} m wide")),
        (wide, beside) => said.push_str(&format!(" {wide} m wide, {beside}")),
    }
    if throw_ins {
        match facing(venue, row) {
            Some((name, off)) if off.is_empty() => said.push_str(&format!("; face {name}")),
            Some((name, off)) => said.push_str(&format!("; face {name}, {off}")),
            None => said.push_str("; nothing to face"),
        }
    }
    said
}
