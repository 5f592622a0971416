//! What to watch out for: the first thing on a card.

use super::SpotRow;
use crate::boundary::{End, Side};
use crate::ground::{NamedSpot, SpotRef};
use crate::officiate::{Limit, StandKind};
use crate::units::print::{count, fixed};
use crate::venue::Venue;

/// One thing to watch out for: a line, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Watch {
    /// What and where.
    pub what: String,
    /// What to do, if anything beyond knowing it.
    pub action: Option<String>,
}

/// A named spot of a card with its row.
pub(super) struct Named<'a> {
    pub(super) side: Side,
    pub(super) end: End,
    pub(super) name: NamedSpot,
    pub(super) row: &'a SpotRow,
}

/// A hazard this far from the line or nearer is named, m: twice the run-off that new grounds should have.
const NEAR_LINE_M: f64 = 10.0;

pub(super) fn watches(venue: &Venue, spots: &[Named<'_>]) -> Vec<Watch> {
    let mut out = Vec::new();
    run_off(venue, spots, &mut out);
    let said = corridors(venue, spots, &mut out);
    hazards(venue, &said, &mut out);
    if !venue.document.surroundings.fence.is_known() {
        out.push(Watch {
            what: "Run-off not surveyed".into(),
            action: Some("look behind before you back away, everywhere".into()),
        });
    }
    out
}

/// The fence itself, where it is nearer than the rule set's figure.
fn run_off(venue: &Venue, spots: &[Named<'_>], out: &mut Vec<Watch>) {
    let warn = venue.document.rules.run_off_warn_m;
    let oval = venue.ground.oval();
    let fence = &venue.document.surroundings.fence;
    if let Some(all) = fence.distance_m.filter(|d| *d < warn.value) {
        out.push(Watch {
            what: format!("Fence {} m all round (under {} m)", fixed(all, 1), fixed(warn.value, 0)),
            action: None,
        });
    }
    for t in fence.tight.iter().filter(|t| t.distance_m < warn.value) {
        let at = oval.boundary().nearest(oval.plan().to_ground(t.at));
        let place = nearest_spot(venue, at.chainage_m);
        // A corridor that it cuts says so itself, with what to do.
        let cut =
            spots.iter().any(|s| matches!(s.row.stand.limit, Some(Limit::Fence(f)) if f == t.distance_m));
        if !cut {
            out.push(Watch { what: format!("{place}: fence {} m", fixed(t.distance_m, 1)), action: None });
        }
    }
}

/// Backing-away corridors that are cut short, or may be.
/// Says which hazards it named.
fn corridors(venue: &Venue, spots: &[Named<'_>], out: &mut Vec<Watch>) -> Vec<usize> {
    let mut said = Vec::new();
    let names = &venue.document.names;
    let back = venue.document.practice.back_m.value;
    // Grouped by what limits and what is left, so that a tight fence all round is one line.
    let mut groups: Vec<(String, String, Vec<String>)> = Vec::new();
    for s in spots {
        let place = if s.name == NamedSpot::Wing {
            format!("{} wing", names.side(s.side))
        } else {
            format!("{}/{} {}", names.end(s.end), names.side(s.side), s.name.name())
        };
        let (what, action) = match (s.row.stand.limit, s.row.stand.kind) {
            (Some(limit), kind) => {
                let what = match limit {
                    Limit::Fence(f) => format!("fence {} m", fixed(f, 1)),
                    Limit::Hazard(i) => {
                        said.push(i);
                        off_the_line(venue, i)
                    }
                };
                let action = match kind {
                    // Down to half a metre, never up.
                    StandKind::Tangent { back_m } => {
                        format!("go back {} m only, not {}", half_metres_down(back_m), fixed(back, 0))
                    }
                    // Something small near the spot blocks the way back, not the place to stand.
                    StandKind::AlongLine { back_m, off_tangent_deg }
                        if matches!(limit, Limit::Hazard(_)) && off_tangent_deg < 1.0 =>
                    {
                        format!("step round it: {} m back is clear", fixed(back_m, 0))
                    }
                    StandKind::AlongLine { back_m, off_tangent_deg } => format!(
                        "back {} m along the line, {} m out: your eyes are {}° off it",
                        fixed(back_m, 0),
                        half_metres_down(s.row.stand.outside_line_m),
                        fixed(off_tangent_deg, 0)
                    ),
                    StandKind::Post => "no room behind the post".to_owned(),
                };
                (what, action)
            }
            (None, _) => match s.row.spare_run_off {
                Some(spare) if spare.lo95() < 0.0 => (
                    "the fence may be too near".to_owned(),
                    format!(
                        "{} m to spare \u{b1} {}: pace it",
                        fixed(spare.value(), 1),
                        fixed(spare.half_width(), 1)
                    ),
                ),
                _ => continue,
            },
        };
        match groups.iter_mut().find(|(w, a, _)| *w == what && *a == action) {
            Some((_, _, places)) => places.push(place),
            None => groups.push((what, action, vec![place])),
        }
    }
    for (what, action, places) in groups {
        let shown = if places.len() > 4 { count(places.len(), "named spot") } else { places.join(", ") };
        out.push(Watch { what: format!("{shown}: {what}"), action: Some(action) });
    }
    said
}

fn half_metres_down(m: f64) -> String {
    let half = (m * 2.0 + 1e-9).floor() / 2.0;
    fixed(half, if half.fract() == 0.0 { 0 } else { 1 })
}

/// A hazard with how far its edge is from the line: `tap 1.3 m off the line`.
fn off_the_line(venue: &Venue, hazard: usize) -> String {
    let h = &venue.document.surroundings.hazards[hazard];
    let oval = venue.ground.oval();
    let middle = oval.boundary().nearest(oval.plan().to_ground(h.at)).signed_distance_m;
    if middle.abs() <= h.radius_m + 0.05 {
        format!("{} ON the line", h.name)
    } else if middle < 0.0 {
        format!("{} INSIDE the line", h.name)
    } else {
        format!("{} {} m off the line", h.name, fixed(middle - h.radius_m, 1))
    }
}

fn hazards(venue: &Venue, said: &[usize], out: &mut Vec<Watch>) {
    let oval = venue.ground.oval();
    for (i, h) in venue.document.surroundings.hazards.iter().enumerate() {
        let n = oval.boundary().nearest(oval.plan().to_ground(h.at));
        if n.signed_distance_m <= NEAR_LINE_M && !said.contains(&i) {
            let what = format!("{}: {}", nearest_spot(venue, n.chainage_m), off_the_line(venue, i));
            out.push(Watch { what, action: None });
        }
    }
}

/// The named spot nearest along the line: `Road wing`, `School/Road pocket`.
fn nearest_spot(venue: &Venue, chainage_m: f64) -> String {
    let oval = venue.ground.oval();
    let range = venue.document.practice.goal_range_m.value;
    let around = oval.boundary().perimeter_m();
    let mut best = (f64::INFINITY, String::new());
    for side in Side::BOTH {
        for end in End::BOTH {
            for name in NamedSpot::ALL {
                let Ok(s) = oval.spot(SpotRef::Named { side, end, name }, range) else { continue };
                let off = (s.chainage_m - chainage_m).rem_euclid(around);
                let off = off.min(around - off);
                if off < best.0 {
                    let names = &venue.document.names;
                    best = (
                        off,
                        if name == NamedSpot::Wing {
                            format!("{} wing", names.side(side))
                        } else {
                            format!("{}/{} {}", names.end(end), names.side(side), name.name())
                        },
                    );
                }
            }
        }
    }
    best.1
}
