//! What is labelled beside the line: spots with how wide to stand and what to face, hazards, tight fence.

use super::block::{Block, Span};
use super::grass::FENCE_NEAR;
use super::look::{ALARM, INK, Look, SIGHT, SOFT};
use super::space::Place;
use super::view::{View, off};
use super::words::{facing, figure, hazard_name, place_of, spot_name, spot_said, watched};
use crate::boundary::{End, Side};
use crate::briefing::{Briefing, Drawing, SpotRow, Thing};
use crate::ground::NamedSpot;
use crate::page::{Id, Text, Weight};
use crate::units::Invalid;
use crate::venue::Venue;

/// What a label is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Of {
    /// A spot: always there.
    Spot,
    /// A row of WATCH, by its number: may be the number alone.
    Watch(usize),
    /// A hazard that is on no row.
    Other(usize),
}

/// A label and what it is led to.
#[derive(Debug, Clone)]
pub(super) struct Label {
    pub(super) of: Of,
    pub(super) id: Id,
    pub(super) title: String,
    pub(super) said: Option<String>,
    pub(super) block: Block,
    /// With less in it, where there is no room for all.
    pub(super) bare: Block,
    /// From what is labelled to where the leader begins.
    pub(super) stem: Vec<Place>,
    /// Where the leader is drawn from, if that is before it leaves the stem's end.
    pub(super) drawn_from: Option<Place>,
    /// −1 where it belongs left of the ground, +1 right.
    pub(super) way: f64,
}

/// How far a sight line runs from its spot, mm.
const SIGHT_MM: f64 = 6.5;
/// From a mark's middle to where its leader begins, mm.
pub(super) const MARK_MM: f64 = 1.7;

/// −1 for the left side, which is left on the page.
pub(super) fn way_of(side: Side) -> f64 {
    -side.sign()
}

/// The name of a spot in ids, the same for every venue: `spot-left-a-pocket`.
pub(super) fn spot_id(side: Side, end: End, name: NamedSpot) -> Result<Id, Invalid> {
    let side = if side == Side::Left { "left" } else { "right" };
    let end = if end == End::A { "a" } else { "b" };
    Id::new(match name {
        NamedSpot::Wing => format!("spot-{side}-wing"),
        NamedSpot::GoalRange => format!("spot-{side}-{end}-range"),
        _ => format!("spot-{side}-{end}-{}", name.name().replace(' ', "-")),
    })
}

/// The sight line of a spot: from the line outward; `None` where nothing is faced.
pub(super) fn sight(venue: &Venue, row: &SpotRow, view: &View, look: &Look) -> Option<(Place, Place)> {
    if !look.landmarks || !venue.document.rules.throw_ins || row.backsight.is_none() {
        return None;
    }
    let from = view.at(row.spot.point);
    Some((from, off(from, View::way(row.throw.face), SIGHT_MM)))
}

/// Every label beside the line.
pub(super) fn labels(
    venue: &Venue,
    b: &Briefing,
    d: &Drawing,
    view: &View,
    look: &Look,
) -> Result<Vec<Label>, Invalid> {
    let mut out = Vec::new();
    for (side, end, name, row) in &b.spots {
        let beside_goal =
            |n: NamedSpot| matches!(n, NamedSpot::Post | NamedSpot::GoalRange | NamedSpot::Pocket);
        // By the goal spots stand close: leaders from one height, be there a sight line or none, don't cross.
        let long = beside_goal(*name)
            && b.spots.iter().any(|(s, e, n, r)| {
                (s, e) == (side, end) && beside_goal(*n) && sight(venue, r, view, look).is_some()
            });
        out.push(spot(venue, (*side, *end, *name), row, view, look, long)?);
    }
    for (i, s) in d.stretches.iter().enumerate() {
        let Some(row) = b.watch.get(s.number - 1) else { continue };
        let fence = s.fence_m.unwrap_or(0.0) * view.mm_per_m();
        let out_of = View::way(s.normal);
        let at = off(view.at(s.at), out_of, fence);
        out.push(Label {
            of: Of::Watch(s.number),
            id: Id::new(format!("watch-{}-{}", s.number, i + 1))?,
            title: title(venue, s.number, &row.thing),
            said: None,
            block: numbered(s.number, &words(venue, &row.thing), look, Weight::SemiBold),
            bare: number(s.number, look),
            stem: vec![view.at(s.at), off(at, out_of, 0.8)],
            drawn_from: None,
            way: if s.at.y >= 0.0 { -1.0 } else { 1.0 },
        });
    }
    for h in &d.hazards {
        let at = view.at(h.at);
        let way = if h.at.y >= 0.0 { -1.0 } else { 1.0 };
        let name = hazard_name(venue, h.index);
        let (of, said) = match b.watch.get(h.number - 1).filter(|_| h.watched) {
            Some(row) => (Of::Watch(h.number), title(venue, h.number, &row.thing)),
            None => (Of::Other(h.number), format!("{}: {name}", h.number)),
        };
        let weight = if h.watched { Weight::SemiBold } else { Weight::Regular };
        out.push(Label {
            of,
            id: Id::new(format!("hazard-{}", h.number))?,
            title: said,
            said: None,
            block: numbered(h.number, &name, look, weight),
            bare: number(h.number, look),
            stem: vec![at, off(at, (way, 0.0), MARK_MM)],
            drawn_from: None,
            way,
        });
    }
    Ok(out)
}

fn words(venue: &Venue, thing: &Thing) -> String {
    let (name, off) = watched(venue, thing);
    match thing {
        Thing::MayBeNear { .. } => "fence: pace it".to_owned(),
        _ => format!("{name} {off}"),
    }
}

fn title(venue: &Venue, number: usize, thing: &Thing) -> String {
    let (name, off) = watched(venue, thing);
    format!("{number}: {name} {off}").trim_end().to_owned()
}

/// A number of WATCH by itself.
pub(super) fn number(number: usize, look: &Look) -> Block {
    Block::line(vec![Span::new(number.to_string(), look.far_pt, Weight::SemiBold, ALARM)])
}

fn numbered(number: usize, name: &str, look: &Look, weight: Weight) -> Block {
    let number = Span::new(number.to_string(), look.far_pt, Weight::SemiBold, ALARM);
    let room = look.widest - Text::measure_mm(&number.text, look.far_pt, Weight::SemiBold) - 1.5;
    let name = Text::cut(name.trim(), room, look.name_pt, weight);
    Block::line(vec![number, Span::new(name, look.name_pt, weight, ALARM)])
}

fn spot(
    venue: &Venue,
    at: (Side, End, NamedSpot),
    row: &SpotRow,
    view: &View,
    look: &Look,
    long: bool,
) -> Result<Label, Invalid> {
    let (side, end, name) = at;
    let throw_ins = venue.document.rules.throw_ins;
    let way = way_of(side);
    let (wide, beside) = figure(venue, row);
    let mut first = vec![Span::new(spot_name(venue, name), look.name_pt, Weight::Regular, INK)];
    if !beside.is_empty() {
        let (weight, colour) =
            if beside == "STAY INSIDE" { (Weight::SemiBold, ALARM) } else { (Weight::Regular, SOFT) };
        first.push(Span::new(beside, look.small_pt, weight, colour));
    }
    if !wide.is_empty() {
        first.push(Span::new(wide, look.far_pt, Weight::SemiBold, INK));
    }
    // The figure stands nearest to the line.
    if way > 0.0 {
        first.reverse();
    }
    let bare = Block::line(first);
    let mut block = bare.clone();
    let sight = sight(venue, row, view, look);
    if let Some((landmark, off)) = facing(venue, row).filter(|_| sight.is_some()) {
        let by =
            Text::measure_mm(&off, look.small_pt, Weight::SemiBold) + if off.is_empty() { 0.0 } else { 1.0 };
        let landmark = Text::cut(&landmark, look.widest - by, look.small_pt, Weight::Regular);
        let mut second = vec![Span::new(landmark, look.small_pt, Weight::Regular, SIGHT)];
        if !off.is_empty() {
            second.push(Span::new(off, look.small_pt, Weight::SemiBold, SIGHT));
        }
        block.lines.push(second);
    }
    let from = view.at(row.spot.point);
    // Without a sight line the leader begins outside a fence that is drawn near.
    let fence = venue.document.surroundings.fence.distance_at(venue.ground.oval(), row.spot.chainage_m);
    let fence = fence.map(|m| m * view.mm_per_m()).filter(|mm| *mm < FENCE_NEAR);
    let clear = fence.map_or(2.6, |mm| (mm + 0.5).max(2.0));
    let normal = View::way(row.spot.normal);
    let near = off(from, normal, clear);
    let (tip, drawn_from) = match sight {
        Some((_, tip)) => (tip, None),
        None if long => (off(from, normal, SIGHT_MM.max(clear)), Some(near)),
        None => (near, None),
    };
    Ok(Label {
        of: Of::Spot,
        id: spot_id(side, end, name)?,
        title: place_of(venue, side, end, name),
        said: Some(spot_said(venue, at, row, throw_ins)),
        block,
        bare,
        stem: vec![from, tip],
        drawn_from,
        way,
    })
}
