//! What to watch out for, each where it stands and then for whom it is in the way: the first thing on a card.

use super::SpotRow;
use super::along::LineStretch;
use super::corridor::{Corridor, Stands};
use super::stands::{FenceStretch, Whereabouts, fence_stretches};
use crate::boundary::{End, Side};
use crate::ground::{FencePart, NamedSpot};
use crate::officiate::Limit;
use crate::units::Measured;
use crate::venue::Venue;

/// What to watch out for.
#[derive(Debug, Clone, PartialEq)]
pub enum Thing {
    /// A hazard.
    Hazard {
        /// By its number.
        index: usize,
        /// Where it stands; `None` where the survey is too rough to say.
        at: Option<Whereabouts>,
    },
    /// The fence.
    Fence {
        /// From the line to it, where it is nearest, m.
        distance_m: f64,
        /// The whole of the stretch; none: all round.
        along: Vec<LineStretch>,
        /// Is it nearer than the rule set warns at?
        near: bool,
    },
    /// The fence, which may be too near at named spots: within the ± it can't be told.
    MayBeNear {
        /// Where.
        spots: Vec<(Side, End, NamedSpot)>,
        /// What there is to spare beside the way back, m.
        spare: Measured,
    },
    /// The fence was not surveyed.
    NotSurveyed,
}

/// What an official does there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Advice {
    /// Back on the short side, the least and the most so far, m, and so far outside the line only, m.
    Stand {
        /// Metres back.
        back_m: [f64; 2],
        /// Metres outside the line.
        wide_m: [f64; 2],
    },
    /// The long side sees so much better that it comes first: the same there.
    LongFirst {
        /// Metres back.
        back_m: [f64; 2],
        /// Metres outside the line.
        wide_m: [f64; 2],
    },
    /// Only the long side has room.
    Long {
        /// Metres back.
        back_m: [f64; 2],
        /// Metres outside the line.
        wide_m: [f64; 2],
    },
    /// No safe place outside the line.
    Nowhere,
    /// The official is at the behind post: see what is said of that.
    AtPost,
}

/// For which crossings something is in the way, and what to do there.
#[derive(Debug, Clone, PartialEq)]
pub struct InTheWay {
    /// Where the ball crosses.
    pub crossings: Vec<LineStretch>,
    /// What to do.
    pub advice: Advice,
}

/// One thing to watch out for.
#[derive(Debug, Clone, PartialEq)]
pub struct Watch {
    /// What, and where it stands.
    pub thing: Thing,
    /// For which crossings it is in the way; those with one advice are together.
    pub in_the_way: Vec<InTheWay>,
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

impl Advice {
    fn of(c: &Corridor) -> Self {
        let wide_m = c.wide_m;
        match (c.stands, c.back_m) {
            (Stands::AtPost, _) => Self::AtPost,
            (Stands::Nowhere, _) | (_, None) => Self::Nowhere,
            (Stands::Short, Some(back_m)) => Self::Stand { back_m, wide_m },
            (Stands::LongFirst, Some(back_m)) => Self::LongFirst { back_m, wide_m },
            (Stands::Long, Some(back_m)) => Self::Long { back_m, wide_m },
        }
    }

    /// So much as is told of a distance back: to half a metre, never up.
    #[must_use]
    pub fn told_m(back_m: f64) -> f64 {
        (back_m * 2.0 + 1e-9).floor() / 2.0
    }

    /// Is it told in the same words?
    fn told_as(self, other: Self) -> bool {
        let alike = |a: [f64; 2], b: [f64; 2]| a.map(Self::told_m) == b.map(Self::told_m);
        let near = |a: [f64; 2], b: [f64; 2]| {
            let half = |v: f64| (v * 2.0).round();
            a.map(half) == b.map(half)
        };
        match (self, other) {
            (Self::Stand { back_m: a, wide_m: x }, Self::Stand { back_m: b, wide_m: y })
            | (Self::LongFirst { back_m: a, wide_m: x }, Self::LongFirst { back_m: b, wide_m: y })
            | (Self::Long { back_m: a, wide_m: x }, Self::Long { back_m: b, wide_m: y }) => {
                alike(a, b) && near(x, y)
            }
            (a, b) => a == b,
        }
    }
}

impl Watch {
    /// No place before another side, that before less room, and what is in nobody's way last.
    fn rank(&self) -> u8 {
        let of = |w: &InTheWay| match w.advice {
            Advice::Nowhere => 0,
            Advice::Long { .. } | Advice::LongFirst { .. } => 1,
            Advice::Stand { .. } => 2,
            Advice::AtPost => 3,
        };
        self.in_the_way.iter().map(of).min().unwrap_or(4)
    }

    /// Does it concern whoever runs this line?
    #[must_use]
    pub fn concerns(&self, side: Side) -> bool {
        let crossed = self.in_the_way.iter().flat_map(|w| &w.crossings).any(|c| c.side == side);
        crossed
            || match &self.thing {
                Thing::Hazard { at, .. } => at.is_none_or(|at| at.side == side || at.behind_goal),
                Thing::Fence { along, near, .. } => {
                    *near && along.is_empty() || along.iter().any(|s| s.side == side)
                }
                Thing::MayBeNear { spots, .. } => spots.iter().any(|s| s.0 == side),
                Thing::NotSurveyed => true,
            }
    }
}

/// Everything to watch out for: what is in somebody's way first, then what is only near.
pub(super) fn watches(venue: &Venue, spots: &[Named<'_>], corridors: &[Corridor]) -> Vec<Watch> {
    let mut all = Vec::new();
    fences(venue, corridors, &mut all);
    hazards(venue, corridors, &mut all);
    may_be_near(spots, &mut all);
    if !venue.document.surroundings.fence.is_known() {
        all.push(Watch { thing: Thing::NotSurveyed, in_the_way: Vec::new() });
    }
    // Stable: of one rank as they stand round the ground.
    all.sort_by_key(Watch::rank);
    all
}

fn fences(venue: &Venue, corridors: &[Corridor], all: &mut Vec<Watch>) {
    let stretches = fence_stretches(venue, corridors);
    let mut found: Vec<Watch> = Vec::new();
    for (i, s) in stretches.iter().enumerate() {
        let mine: Vec<&Corridor> =
            corridors.iter().filter(|c| of_stretch(venue, &stretches, c) == Some(i)).collect();
        let watch = Watch {
            thing: Thing::Fence {
                distance_m: s.distance_m,
                along: s.along.clone(),
                near: s.distance_m < venue.document.rules.run_off_warn_m.value,
            },
            in_the_way: in_the_way(venue, &mine),
        };
        // Stretches as near and with one advice are one line.
        match found.iter_mut().find(|w| together(w, &watch)) {
            Some(known) => join(known, watch),
            None => found.push(watch),
        }
    }
    all.extend(found);
}

/// The stretch of fence that a corridor is limited by.
fn of_stretch(venue: &Venue, stretches: &[FenceStretch], c: &Corridor) -> Option<usize> {
    let Limit::Fence { part, .. } = c.limit else { return None };
    if part != FencePart::Line {
        return stretches.iter().position(|s| s.part == part);
    }
    // A surveyed fence has many runs: the nearest to the middle of the crossings.
    let length = venue.ground.oval().boundary().line_length_m(c.side);
    let middle = 0.5 * (c.from_m + c.to_m);
    let from_a = if c.end == End::A { middle } else { length - middle };
    let away = |s: &FenceStretch| {
        s.along
            .iter()
            .filter(|a| a.side == c.side)
            .map(|a| {
                let (x, y) = (a.from.to_a_m(length), a.to.to_a_m(length));
                (x - from_a).max(from_a - y).max(0.0)
            })
            .fold(f64::INFINITY, f64::min)
    };
    (0..stretches.len())
        .filter(|&i| stretches[i].part == FencePart::Line && away(&stretches[i]).is_finite())
        .min_by(|&i, &j| away(&stretches[i]).total_cmp(&away(&stretches[j])))
}

/// Are two stretches of fence one line: as near, to a decimetre, and with the same advice?
fn together(a: &Watch, b: &Watch) -> bool {
    let (Thing::Fence { distance_m: m, along: x, .. }, Thing::Fence { distance_m: n, along: y, .. }) =
        (&a.thing, &b.thing)
    else {
        return false;
    };
    x.is_empty() == y.is_empty()
        && (m * 10.0).round() == (n * 10.0).round()
        && a.in_the_way.len() == b.in_the_way.len()
        && a.in_the_way.iter().zip(&b.in_the_way).all(|(p, q)| p.advice.told_as(q.advice))
}

fn join(known: &mut Watch, more: Watch) {
    let (Thing::Fence { along, .. }, Thing::Fence { along: others, .. }) = (&mut known.thing, more.thing)
    else {
        return;
    };
    along.extend(others);
    for (k, m) in known.in_the_way.iter_mut().zip(more.in_the_way) {
        k.crossings.extend(m.crossings);
    }
}

/// Crossings with one advice together, a stretch that goes on over the middle of a line as one.
fn in_the_way(venue: &Venue, corridors: &[&Corridor]) -> Vec<InTheWay> {
    let (oval, range) = (venue.ground.oval(), venue.document.practice.goal_range_m.value);
    let stretch = |c: &Corridor| {
        let length = oval.boundary().line_length_m(c.side);
        let half = 0.5 * length;
        let to = if c.to_the_middle { half } else { c.to_m };
        let (a, z) = match c.end {
            End::A => (c.from_m, to),
            End::B => (length - to, length - c.from_m),
        };
        LineStretch::from_a(oval, range, c.side, a, z)
    };
    let mut all: Vec<InTheWay> = Vec::new();
    for c in corridors {
        let advice = Advice::of(c);
        let crossings = vec![stretch(c)];
        match all.iter_mut().find(|w| w.advice.told_as(advice)) {
            Some(known) => known.crossings.extend(crossings),
            None => all.push(InTheWay { crossings, advice }),
        }
    }
    for w in &mut all {
        over_the_middle(venue, &mut w.crossings);
    }
    // Where there is no place comes first, and where nobody backs away last.
    all.sort_by_key(|w| match w.advice {
        Advice::Nowhere => 0,
        Advice::AtPost => 2,
        _ => 1,
    });
    all
}

/// Joins two stretches of a line that meet at its middle.
fn over_the_middle(venue: &Venue, crossings: &mut Vec<LineStretch>) {
    let (oval, range) = (venue.ground.oval(), venue.document.practice.goal_range_m.value);
    for side in Side::BOTH {
        let length = oval.boundary().line_length_m(side);
        let met = |m: f64| (m - 0.5 * length).abs() < 1e-6;
        let a = crossings.iter().position(|c| c.side == side && met(c.to.to_a_m(length)));
        let z = crossings.iter().position(|c| c.side == side && met(c.from.to_a_m(length)));
        let (Some(a), Some(z)) = (a, z) else { continue };
        if a != z {
            let (from, to) = (crossings[a].from.to_a_m(length), crossings[z].to.to_a_m(length));
            crossings[a] = LineStretch::from_a(oval, range, side, from, to);
            crossings.remove(z);
        }
    }
}

/// Hazards in somebody's way, and those near the line.
fn hazards(venue: &Venue, corridors: &[Corridor], all: &mut Vec<Watch>) {
    let oval = venue.ground.oval();
    let b = oval.boundary();
    let mut order: Vec<usize> = (0..venue.document.surroundings.hazards.len()).collect();
    let nearest = |i: usize| b.nearest(oval.plan().to_ground(venue.document.surroundings.hazards[i].at));
    order.sort_by(|&i, &j| nearest(i).chainage_m.total_cmp(&nearest(j).chainage_m));
    for index in order {
        let mine: Vec<&Corridor> =
            corridors.iter().filter(|c| matches!(c.limit, Limit::Hazard(i) if i == index)).collect();
        if mine.is_empty() && nearest(index).signed_distance_m > NEAR_LINE_M {
            continue;
        }
        let thing = Thing::Hazard { index, at: Whereabouts::of(venue, index) };
        all.push(Watch { thing, in_the_way: in_the_way(venue, &mine) });
    }
}

/// Named spots where there is room, but within the ± there may be none. Those with as much to spare are one.
fn may_be_near(spots: &[Named<'_>], all: &mut Vec<Watch>) {
    let printed = |m: &Measured| ((m.value() * 10.0).round(), (m.half_width() * 10.0).ceil());
    for s in spots.iter().filter(|s| s.row.stand.limit.is_none()) {
        let Some(spare) = s.row.spare_run_off.filter(|spare| spare.lo95() < 0.0) else { continue };
        let at = (s.side, s.end, s.name);
        let known = all.iter_mut().find_map(|w| match &mut w.thing {
            Thing::MayBeNear { spots, spare: other } if printed(other) == printed(&spare) => Some(spots),
            _ => None,
        });
        match known {
            Some(known) => known.push(at),
            None => {
                all.push(Watch { thing: Thing::MayBeNear { spots: vec![at], spare }, in_the_way: Vec::new() })
            }
        }
    }
}
