//! What to watch out for: the first thing on a card.

use super::SpotRow;
use super::place::nearest_place;
use crate::boundary::{End, Side};
use crate::ground::{FencePart, NamedSpot, SpotRef};
use crate::officiate::{Limit, StandKind, is_cut_short, stand};
use crate::units::Measured;
use crate::units::print::{count, fixed, half_width};
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

pub(super) fn watches(venue: &Venue, spots: &[Named<'_>], stretches: &[Corridor]) -> Vec<Watch> {
    let mut out = Vec::new();
    run_off(venue, &stretches.iter().map(|t| t.limit).collect::<Vec<_>>(), &mut out);
    let said = corridors(venue, stretches, spots, &mut out);
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
fn run_off(venue: &Venue, cut: &[Limit], out: &mut Vec<Watch>) {
    let warn = venue.document.rules.run_off_warn_m;
    let oval = venue.ground.oval();
    let fence = &venue.document.surroundings.fence;
    if let Some(all) = fence.distance_m.filter(|d| *d < warn.value) {
        out.push(Watch {
            what: format!("Fence {} m all round (under {} m)", fixed(all, 1), fixed(warn.value, 0)),
            action: None,
        });
    }
    for (i, t) in fence.tight.iter().enumerate().filter(|(_, t)| t.distance_m < warn.value) {
        let at = oval.boundary().nearest(oval.plan().to_ground(t.at));
        let place = nearest_spot(venue, at.chainage_m);
        // A corridor that it cuts says so itself, with what to do.
        if !cut.iter().any(|l| matches!(l, Limit::Fence { part, .. } if *part == FencePart::Tight(i))) {
            out.push(Watch { what: format!("{place}: fence {} m", fixed(t.distance_m, 1)), action: None });
        }
    }
}

/// A stretch of one quarter's line along which the same thing keeps officials from
/// backing away in full, by distance from that quarter's behind post.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corridor {
    /// Which line.
    pub side: Side,
    /// From which end's post distances are.
    pub end: End,
    /// What keeps them, the tightest of it.
    pub limit: Limit,
    /// From so far along the line, m.
    pub from_m: f64,
    /// To so far, m.
    pub to_m: f64,
    /// Least distance back along the tangent anywhere in it; `None` when it is nowhere long enough.
    pub least_back_m: Option<f64>,
    /// Is the way back along the tangent somewhere too short to be any use?
    pub blocked: bool,
    /// There, the largest angle between the tangent and the line of sight, degrees.
    pub off_tangent_deg: f64,
    /// Does it reach to the middle of the line?
    pub to_the_middle: bool,
}

/// Do two limits a way apart belong to one stretch? A surveyed fence is one where it goes on.
fn same(a: Limit, b: Limit, apart_m: f64) -> bool {
    let on_line = |l| matches!(l, Limit::Fence { part: FencePart::Line, .. });
    a == b || on_line(a) && on_line(b) && apart_m <= 1.5 * PACE_M
}

/// The tighter of two limits of one stretch.
fn nearer(a: Limit, b: Limit) -> Limit {
    match (a, b) {
        (Limit::Fence { distance_m: x, .. }, Limit::Fence { distance_m: y, .. }) if y < x => b,
        _ => a,
    }
}

/// Steps along the line, m: a stretch is found to a pace.
const PACE_M: f64 = 1.0;

/// Every stretch where something cuts the way back short. An official backs away
/// from wherever the ball crosses, so the worst of a stretch is what counts and not
/// what holds at a named spot in it.
pub(super) fn tight_corridors(venue: &Venue) -> Vec<Corridor> {
    let (oval, d) = (venue.ground.oval(), &venue.document);
    let range = d.practice.goal_range_m.value;
    let mut all: Vec<Corridor> = Vec::new();
    if d.surroundings.hazards.is_empty() && !d.surroundings.fence.is_known() {
        return all;
    }
    for end in End::BOTH {
        for side in Side::BOTH {
            let half = 0.5 * oval.boundary().line_length_m(side);
            // A lawful half-line is under 150 m, so the cast is exact.
            for i in 0..=(half / PACE_M) as u32 {
                let metres = f64::from(i) * PACE_M;
                let Ok(spot) = oval.spot(SpotRef::FromPost { side, end, metres }, range) else { continue };
                // Mostly there is room, and the stand itself is more work than that question.
                if !is_cut_short(oval, &d.surroundings, &d.practice, &spot, end) {
                    continue;
                }
                let s = stand(oval, &d.surroundings, &d.practice, &spot, end);
                let Some(limit) = s.limit else { continue };
                let known = all
                    .iter()
                    .position(|t| (t.side, t.end) == (side, end) && same(t.limit, limit, metres - t.to_m));
                let at = known.unwrap_or_else(|| {
                    all.push(Corridor {
                        side,
                        end,
                        limit,
                        from_m: metres,
                        to_m: metres,
                        least_back_m: None,
                        blocked: false,
                        off_tangent_deg: 0.0,
                        to_the_middle: false,
                    });
                    all.len() - 1
                });
                let t = &mut all[at];
                t.to_m = metres;
                t.limit = nearer(t.limit, limit);
                t.to_the_middle |= metres + PACE_M > half;
                match s.kind {
                    StandKind::Tangent { back_m } => {
                        t.least_back_m = Some(t.least_back_m.map_or(back_m, |b| b.min(back_m)));
                    }
                    StandKind::AlongLine { off_tangent_deg, .. } => {
                        t.blocked = true;
                        t.off_tangent_deg = t.off_tangent_deg.max(off_tangent_deg);
                    }
                    // No room at all: as bad as it gets.
                    StandKind::NoPlace => t.blocked = true,
                    StandKind::Post | StandKind::BesidePost => {}
                }
            }
        }
    }
    all
}

/// Backing-away corridors that are cut short, or may be. Says which hazards it named.
fn corridors(venue: &Venue, stretches: &[Corridor], spots: &[Named<'_>], out: &mut Vec<Watch>) -> Vec<usize> {
    let mut said = Vec::new();
    let names = &venue.document.names;
    let back = venue.document.practice.back_m.value;
    // Grouped by what limits and what is left, so that a tight fence all round is one line.
    let mut groups: Vec<(String, String, Vec<String>)> = Vec::new();
    let mut add = |what: String, action: String, place: String| match groups
        .iter_mut()
        .find(|(w, a, _)| *w == what && *a == action)
    {
        Some((.., places)) => places.push(place),
        None => groups.push((what, action, vec![place])),
    };
    for t in stretches {
        let quarter = format!("{}/{}", names.end(t.end), names.side(t.side));
        let place = if t.to_the_middle && t.from_m <= 20.0 {
            format!("{quarter} all along")
        } else {
            format!("{quarter} {} to {} m from post", fixed(t.from_m, 0), fixed(t.to_m, 0))
        };
        let what = match t.limit {
            Limit::Fence { distance_m, .. } => format!("fence {} m", fixed(distance_m, 1)),
            Limit::Hazard(i) => {
                said.push(i);
                off_the_line(venue, i)
            }
        };
        let action = match (t.least_back_m, t.blocked) {
            // Down to half a metre, never up.
            (Some(least), false) => {
                format!("go back {} m only, not {}", half_metres_down(least), fixed(back, 0))
            }
            // Something small beside the spot blocks the way back, not the place to stand.
            (_, true) if matches!(t.limit, Limit::Hazard(_)) && t.off_tangent_deg < 1.0 => {
                "never straight back: step round it".to_owned()
            }
            (_, true) => format!(
                "no room straight back: {} m along the line, and know that your eyes are up to {}° off it",
                fixed(back, 0),
                fixed(t.off_tangent_deg.ceil(), 0)
            ),
            (None, false) => "no room behind the post".to_owned(),
        };
        add(what, action, place);
    }
    for s in spots.iter().filter(|s| s.row.stand.limit.is_none()) {
        if let Some(spare) = s.row.spare_run_off.filter(|spare| spare.lo95() < 0.0) {
            let place = match s.name {
                NamedSpot::Wing => format!("{} wing", names.side(s.side)),
                name => format!("{}/{} {}", names.end(s.end), names.side(s.side), name.name()),
            };
            let action =
                format!("{} m to spare ± {}: pace it", fixed(spare.value(), 1), fixed(spare.half_width(), 1));
            add("the fence may be too near".to_owned(), action, place);
        }
    }
    for (what, action, places) in groups {
        let everywhere = places.len() == 4 && places.iter().all(|p| p.ends_with("all along"));
        let shown = if everywhere {
            "All round".to_owned()
        } else if places.len() > 6 {
            count(places.len(), "spot")
        } else {
            places.join(", ")
        };
        out.push(Watch { what: format!("{shown}: {what}"), action: Some(action) });
    }
    said
}

fn half_metres_down(m: f64) -> String {
    let half = (m * 2.0 + 1e-9).floor() / 2.0;
    fixed(half, if half.fract() == 0.0 { 0 } else { 1 })
}

/// A hazard with how far its edge is from the line, and how well that is known:
/// `tap 1.3 m off the line`. Where the line departs from the oval that the venue is
/// modelled by, the departure there moves the line, and doubt comes with it.
fn off_the_line(venue: &Venue, hazard: usize) -> String {
    let h = &venue.document.surroundings.hazards[hazard];
    let oval = venue.ground.oval();
    let departure = venue.departure_toward(oval.plan().to_ground(h.at));
    let edge = venue.ground.measure(|o| Some(o.boundary().outside_m(o.plan().to_ground(h.at)) - departure));
    let Some(edge) = edge else { return format!("{} near the line", h.name) };
    let half = edge.half_width().hypot(departure.abs());
    let Ok(edge) = Measured::new(edge.value(), 0.5 * half, half) else {
        return format!("{} near the line", h.name);
    };
    // Its edge is off the line, or all of it is inside, for sure, or it can't be told.
    if edge.lo95() > h.radius_m {
        let off = edge.value() - h.radius_m;
        if half > 0.25 {
            format!("{} about {} m off the line (± {})", h.name, fixed(off, 0), half_width(half, 0))
        } else {
            format!("{} {} m off the line", h.name, fixed(off, 1))
        }
    } else if edge.hi95() < -h.radius_m {
        format!("{} INSIDE the line", h.name)
    } else if half > 0.25 {
        format!("{} on or near the line (± {} m)", h.name, half_width(half, 0))
    } else {
        format!("{} ON the line", h.name)
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
    let range = venue.document.practice.goal_range_m.value;
    nearest_place(venue.ground.oval(), range, chainage_m)
        .map_or_else(String::new, |place| place.words(&venue.document.names))
}
