//! Where a hazard is, and where the fence is tight.

use super::along::{FromPost, LineStretch, near};
use super::corridor::{Corridor, PACE_M};
use crate::boundary::{End, Side};
use crate::ground::{FencePart, NamedSpot};
use crate::officiate::Limit;
use crate::units::Measured;
use crate::venue::Venue;

/// Where something small is, relative to the boundary line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Whereabouts {
    /// The line that it is beside.
    pub side: Side,
    /// The nearer end along that line.
    pub end: End,
    /// The named spot nearest along the line.
    pub near: Option<NamedSpot>,
    /// Distance along the line from that end's behind post, m.
    pub from_post: Measured,
    /// Distance from the line's outer edge to the thing's middle, m, positive outside.
    pub middle_out: Measured,
    /// Its radius, m.
    pub radius_m: f64,
    /// Is it behind a scoring end?
    pub behind_goal: bool,
}

/// On which side of the line something is, given the uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lies {
    /// Outside, with its near edge this far from the line's outer edge, m.
    Off(f64),
    /// On the line, or too close to it to call.
    On,
    /// Wholly inside.
    Inside,
}

impl Whereabouts {
    /// Where a hazard is, by its index. Where the line departs from the fitted oval, distances are from the
    /// line as it departs, and half of it is added to the standard deviation in quadrature.
    pub(super) fn of(venue: &Venue, hazard: usize) -> Option<Self> {
        let h = &venue.document.surroundings.hazards[hazard];
        let oval = venue.ground.oval();
        let at = oval.plan().to_ground(h.at);
        let n = oval.boundary().nearest(at);
        let length = oval.boundary().line_length_m(n.side);
        let end = FromPost::from_a(length, oval.boundary().to_post_m(n.chainage_m, End::A)?).end;
        let departure = venue.departure_toward(at);
        let [out, along] = venue.ground.measure_all(|o| {
            let (b, p) = (o.boundary(), o.plan().to_ground(h.at));
            Some([b.outside_m(p) - departure, b.to_post_m(b.nearest(p).chainage_m, end)?])
        })?;
        let doubt = 0.5 * departure.abs();
        let half = out.half_width().hypot(venue.ground.ratio() * doubt);
        Some(Self {
            side: n.side,
            end,
            near: near(oval, venue.document.practice.goal_range_m.value, n.chainage_m).map(|p| p.name),
            from_post: along,
            middle_out: Measured::new(out.value(), out.sd().hypot(doubt), half).ok()?,
            radius_m: h.radius_m,
            behind_goal: oval.is_behind_goal(at),
        })
    }

    /// Distance from the line's outer edge to the thing's near edge, m, positive outside.
    #[must_use]
    pub fn edge_out(&self) -> Option<Measured> {
        let m = &self.middle_out;
        Measured::new(m.value() - self.radius_m, m.sd(), m.half_width()).ok()
    }

    /// Off the line or inside it at 95 %; otherwise on it.
    #[must_use]
    pub fn lies(&self) -> Lies {
        if self.middle_out.lo95() > self.radius_m {
            Lies::Off(self.middle_out.value() - self.radius_m)
        } else if self.middle_out.hi95() < -self.radius_m {
            Lies::Inside
        } else {
            Lies::On
        }
    }
}

/// A stretch of fence that is near the line or limits an official.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FenceStretch {
    pub(super) part: FencePart,
    /// The least distance from the line to it, m.
    pub(super) distance_m: f64,
    /// The parts of the lines that it is beside; empty for a fence all round.
    pub(super) along: Vec<LineStretch>,
}

/// Every part of the fence, at its full length, that is nearer than the rule set's warning distance or limits
/// an official.
pub(super) fn fence_stretches(venue: &Venue, corridors: &[Corridor]) -> Vec<FenceStretch> {
    let (oval, d) = (venue.ground.oval(), &venue.document);
    let (fence, warn) = (&d.surroundings.fence, d.rules.run_off_warn_m.value);
    let limits = |wanted: FencePart| {
        corridors.iter().any(|c| matches!(c.limit, Limit::Fence { part, .. } if part == wanted))
    };
    let mut all = Vec::new();
    if let Some(distance_m) = fence.distance_m.filter(|d| *d < warn || limits(FencePart::AllRound)) {
        all.push(FenceStretch { part: FencePart::AllRound, distance_m, along: Vec::new() });
    }
    for (i, t) in fence.tight.iter().enumerate() {
        let part = FencePart::Tight(i);
        if t.distance_m < warn || limits(part) {
            let middle = oval.boundary().nearest(oval.plan().to_ground(t.at)).chainage_m;
            let along = on_the_lines(venue, middle - 0.5 * t.along_m, t.along_m);
            all.push(FenceStretch { part, distance_m: t.distance_m, along });
        }
    }
    surveyed(venue, corridors, warn, &mut all);
    all
}

/// The parts of the two lines within a stretch of the boundary, without what lies on a scoring end.
fn on_the_lines(venue: &Venue, from_chainage_m: f64, length_m: f64) -> Vec<LineStretch> {
    let oval = venue.ground.oval();
    let b = oval.boundary();
    let range = venue.document.practice.goal_range_m.value;
    let around = b.perimeter_m();
    let mut out = Vec::new();
    for side in Side::BOTH {
        let line = b.line_length_m(side);
        // Chainage grows from end A on the left, and from end B on the right.
        let (first, up) = match side {
            Side::Left => (b.chainage_from_post_m(side, End::A, 0.0), true),
            Side::Right => (b.chainage_from_post_m(side, End::B, 0.0), false),
        };
        // Where the stretch starts, along the line from its first post, as found and one perimeter earlier: a
        // stretch is no longer than the perimeter.
        let start = (from_chainage_m - first).rem_euclid(around);
        for start in [start - around, start] {
            let (s, t) = (start.max(0.0), (start + length_m.min(around)).min(line));
            if t > s {
                let (a, z) = if up { (s, t) } else { (line - t, line - s) };
                out.push(LineStretch::from_a(oval, range, side, a, z));
            }
        }
    }
    out
}

/// Adds the stretches along which a surveyed fence is near, each one separately.
fn surveyed(venue: &Venue, corridors: &[Corridor], warn: f64, all: &mut Vec<FenceStretch>) {
    let (oval, d) = (venue.ground.oval(), &venue.document);
    if d.surroundings.fence.line.len() < 2 {
        return;
    }
    // "Near" is the warning distance, or the greatest distance at which the fence limits an official.
    let near = corridors
        .iter()
        .filter_map(|c| match c.limit {
            Limit::Fence { distance_m, part: FencePart::Line } => Some(distance_m),
            _ => None,
        })
        .fold(warn, f64::max);
    let fence = d.surroundings.fence.on(oval);
    let range = d.practice.goal_range_m.value;
    for side in Side::BOTH {
        let length = oval.boundary().line_length_m(side);
        let mut run: Option<(f64, f64, f64)> = None;
        let mut runs = Vec::new();
        // A lawful line is under 300 m, so the cast is exact.
        for i in 0..=(length / PACE_M) as u32 {
            let from_a = f64::from(i) * PACE_M;
            let at = fence.nearest_at(oval.boundary().chainage_from_post_m(side, End::A, from_a));
            match (at, &mut run) {
                (Some((m, FencePart::Line)), Some((_, to, least))) if m <= near => {
                    (*to, *least) = (from_a, least.min(m));
                }
                (Some((m, FencePart::Line)), None) if m <= near => run = Some((from_a, from_a, m)),
                _ => runs.extend(run.take()),
            }
        }
        runs.extend(run);
        all.extend(runs.into_iter().map(|(a, z, distance_m)| FenceStretch {
            part: FencePart::Line,
            distance_m,
            along: vec![LineStretch::from_a(oval, range, side, a, z)],
        }));
    }
}
