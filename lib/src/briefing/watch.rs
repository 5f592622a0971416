//! What to watch out for, the first thing on a card: where each thing is, and then for which crossings it is
//! in the way.

use super::SpotRow;
use super::along::LineStretch;
use super::corridor::{Corridor, Stands};
use super::stands::{FenceStretch, Whereabouts, fence_stretches};
use crate::boundary::{End, Side};
use crate::ground::{FencePart, NamedSpot};
use crate::numeric::{sort_by, sort_by_key};
use crate::officiate::Limit;
use crate::units::Measured;
use crate::venue::Venue;

/// What to watch out for.
#[derive(Debug, Clone, PartialEq)]
pub enum Thing {
    /// A hazard.
    Hazard {
        /// Its index among the hazards.
        index: usize,
        /// Where it is; `None` where the survey is too rough to say.
        at: Option<Whereabouts>,
    },
    /// The fence.
    Fence {
        /// Distance from the line to it, where it is nearest, m.
        distance_m: f64,
        /// The whole stretch along which it is near; empty for a fence all round.
        along: Vec<LineStretch>,
        /// Is it nearer than the rule set's warning distance?
        near: bool,
    },
    /// The fence, which may be too near at some named spots: within the ± it is too close to call.
    MayBeNear {
        /// The spots.
        spots: Vec<(Side, End, NamedSpot)>,
        /// The room to spare beside the way back, m.
        spare: Measured,
    },
    /// The fence was not surveyed.
    NotSurveyed,
}

/// What an official does for the crossings of a stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Advice {
    /// On the short side, less far back or closer to the line than usual. Beside a fence the distances are
    /// the least and the greatest of the crossings' best places. Beside a hazard both are the least, which
    /// keeps clear of it from every crossing.
    Stand {
        /// Metres back, least and most.
        back_m: [f64; 2],
        /// Metres outside the line, least and most.
        wide_m: [f64; 2],
    },
    /// The usual place, with something close beside the way to it.
    StepRound,
    /// The long side, toward this end.
    Long {
        /// The end of the long side.
        toward: End,
        /// True where the short side has no room at all; false where the view from the long side is just
        /// better.
        only: bool,
    },
    /// No safe place outside the line.
    Nowhere,
    /// The official is at the behind post: see [`PostStation`](super::PostStation).
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
    /// What it is, and where.
    pub thing: Thing,
    /// The crossings for which it is in the way; those with the same advice are together.
    pub in_the_way: Vec<InTheWay>,
}

/// A named spot of a card with its row.
pub(super) struct Named<'a> {
    pub(super) side: Side,
    pub(super) end: End,
    pub(super) name: NamedSpot,
    pub(super) row: &'a SpotRow,
}

/// A hazard within this distance of the line is always listed, m: twice the run-off that new grounds should
/// have.
const NEAR_LINE_M: f64 = 10.0;

impl Advice {
    fn of(venue: &Venue, c: &Corridor) -> Self {
        let usual = venue.document.practice.back_m.value;
        let (wide_m, [free_m, _]) = (c.wide_m, c.free_wide_m);
        match (c.stands, c.back_m) {
            (Stands::AtPost, _) => Self::AtPost,
            (Stands::Long | Stands::LongFirst, _) => {
                Self::Long { toward: c.end.other(), only: c.stands == Stands::Long }
            }
            (Stands::Nowhere, _) | (_, None) => Self::Nowhere,
            (Stands::Short, Some(back_m)) => {
                let halves = |m: f64| (m * 2.0).round();
                let as_ever = halves(back_m[0]) >= halves(usual) && halves(wide_m[0]) == halves(free_m);
                match c.limit {
                    Limit::Hazard(_) if as_ever => Self::StepRound,
                    Limit::Hazard(_) => Self::Stand { back_m: [back_m[0]; 2], wide_m: [wide_m[0]; 2] },
                    Limit::Fence { .. } => Self::Stand { back_m, wide_m },
                }
            }
        }
    }

    /// A distance back as it is printed: rounded down to half a metre. A distance outside the line is rounded
    /// to the nearest half metre instead, since the corridor has a margin of its own.
    #[must_use]
    pub fn told_m(back_m: f64) -> f64 {
        (back_m * 2.0 + 1e-9).floor() / 2.0
    }

    /// Is the other advice printed in the same words?
    fn told_as(self, other: Self) -> bool {
        let told = |back: [f64; 2], wide: [f64; 2]| (back.map(Self::told_m), wide.map(|m| (m * 2.0).round()));
        match (self, other) {
            (Self::Stand { back_m: a, wide_m: x }, Self::Stand { back_m: b, wide_m: y }) => {
                told(a, x) == told(b, y)
            }
            (a, b) => a == b,
        }
    }
}

impl Watch {
    /// The order on the card: first hazards that leave no place to stand, then those that call for the long
    /// side, then those that leave less room than usual, then those to step round and those at a post, and
    /// last those that are in nobody's way.
    fn rank(&self) -> u8 {
        let of = |w: &InTheWay| match w.advice {
            Advice::Nowhere => 0,
            Advice::Long { .. } => 1,
            Advice::Stand { .. } => 2,
            Advice::StepRound => 3,
            Advice::AtPost => 4,
        };
        self.in_the_way.iter().map(of).min().unwrap_or(5)
    }

    /// Does it concern the official who runs this line?
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
    // A stable sort: things of equal rank keep their order round the ground.
    sort_by_key(&mut all, Watch::rank);
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
        // Stretches that are equally near and have the same advice share one row.
        match found.iter_mut().find(|w| together(w, &watch)) {
            Some(known) => join(known, watch),
            None => found.push(watch),
        }
    }
    all.extend(found);
}

/// The stretch of fence that limits a corridor.
fn of_stretch(venue: &Venue, stretches: &[FenceStretch], c: &Corridor) -> Option<usize> {
    let Limit::Fence { part, .. } = c.limit else { return None };
    if part != FencePart::Line {
        return stretches.iter().position(|s| s.part == part);
    }
    // A surveyed fence may have several stretches: take the one nearest to the middle of the crossings.
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

/// Do two stretches of fence share one row? They do where they are equally near, to a decimetre, and have the
/// same advice.
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

/// Groups crossings by advice. A stretch that continues over the middle of a line is one stretch.
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
        let advice = Advice::of(venue, c);
        let crossings = vec![stretch(c)];
        match all.iter_mut().find(|w| w.advice.told_as(advice)) {
            Some(known) => known.crossings.extend(crossings),
            None => all.push(InTheWay { crossings, advice }),
        }
    }
    for w in &mut all {
        over_the_middle(venue, &mut w.crossings);
    }
    // Crossings without a place come first, those where nobody backs away last.
    sort_by_key(&mut all, |w| match w.advice {
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

/// Adds the hazards that are in somebody's way, and those near the line.
fn hazards(venue: &Venue, corridors: &[Corridor], all: &mut Vec<Watch>) {
    let oval = venue.ground.oval();
    let b = oval.boundary();
    let mut order: Vec<usize> = (0..venue.document.surroundings.hazards.len()).collect();
    let nearest = |i: usize| b.nearest(oval.plan().to_ground(venue.document.surroundings.hazards[i].at));
    sort_by(&mut order, |&i, &j| nearest(i).chainage_m.total_cmp(&nearest(j).chainage_m));
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

/// Adds the named spots where there is room, but within the ± there may be none. Those with the same room to
/// spare share one row.
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::briefing::{Briefing, Lies, briefing};
    use crate::ground::outline_for_tests as outline;
    use crate::units::Day;
    use crate::venue::for_tests::{hazard, tight, venue};

    fn of(more: &str) -> (Venue, Briefing) {
        let v = venue(&outline(165.0, 135.0), more).0;
        let b = briefing(&v, Day::new(2026, 8, 1).unwrap());
        (v, b)
    }

    const FENCE: &str = "\n[fence]\ndistance_m = 6.0\n";
    const LEFT_A: (Side, End) = (Side::Left, End::A);

    #[test]
    fn a_hazard_is_told_where_it_stands_and_then_for_which_crossings() {
        let o = outline(165.0, 135.0);
        let (_, b) = of(&(FENCE.to_owned() + &hazard(&o, "tap", LEFT_A, 61.0, 1.3)));
        let [w] = &b.watch[..] else { panic!("{:?}", b.watch) };
        let Thing::Hazard { at: Some(at), .. } = &w.thing else { panic!("{w:?}") };
        assert_eq!((at.side, at.end), LEFT_A);
        assert!((at.from_post.value() - 61.0).abs() < 1e-3 && at.from_post.half_width() > 0.0);
        let Lies::Off(off) = at.lies() else { panic!("{at:?}") };
        assert!((off - 1.3).abs() < 1e-3);
        let edge = at.edge_out().unwrap();
        assert!((edge.value() - off).abs() < 1e-9 && edge.half_width() > 0.0);
        // It blocks the way back from crossings beyond it whose corridor passes within 1 m of it, up to 15 m
        // away.
        let [way] = &w.in_the_way[..] else { panic!("{w:?}") };
        let [crossed] = &way.crossings[..] else { panic!("{way:?}") };
        let Advice::Stand { back_m, wide_m } = way.advice else { panic!("{way:?}") };
        // Common practice, no source: 8 to 15 m back; short of the tap, or inside it by 1 m and its radius.
        assert!((8.0..15.0).contains(&back_m[0]) && (0.0..1.3).contains(&wide_m[0]), "{way:?}");
        assert!(back_m[0] == back_m[1] && wide_m[0] == wide_m[1], "{way:?}");
        assert!((62.0..72.0).contains(&crossed.from.metres), "{crossed:?}");
        assert!((74.0..=77.5).contains(&crossed.to.metres), "{crossed:?}");
        assert!(w.concerns(Side::Left) && !w.concerns(Side::Right));
    }

    #[test]
    fn a_hazard_on_the_line_or_behind_a_goal_is_said_to_be_there() {
        let o = outline(165.0, 135.0);
        // Its far edge is 0.2 m out, and the line is known to a few centimetres.
        let (_, b) = of(&(FENCE.to_owned() + &hazard(&o, "tap", LEFT_A, 61.0, -0.2)));
        let at = |b: &Briefing| match b.watch[0].thing {
            Thing::Hazard { at: Some(at), .. } => at,
            ref other => panic!("{other:?}"),
        };
        assert_eq!(at(&b).lies(), Lies::On);
        let (_, b) = of(&(FENCE.to_owned() + &hazard(&o, "tap", LEFT_A, 61.0, -2.0)));
        assert_eq!(at(&b).lies(), Lies::Inside);
        // The axis bears north: ground (x, y) is local (−y, x).
        let (_, b) = of(&format!("{FENCE}\n[[hazard]]\nname = \"cart\"\nx_m = 3\ny_m = 85\nradius_m = 1\n"));
        assert!(at(&b).behind_goal && b.watch[0].concerns(Side::Left) && b.watch[0].concerns(Side::Right));
    }

    #[test]
    fn the_whole_length_of_a_tight_fence_is_told() {
        let o = outline(165.0, 135.0);
        let along = |more: &str| -> Vec<LineStretch> {
            let (_, b) = of(&(FENCE.to_owned() + more));
            b.watch
                .iter()
                .find_map(|w| match &w.thing {
                    Thing::Fence { along, .. } if !along.is_empty() => Some(along.clone()),
                    _ => None,
                })
                .unwrap()
        };
        let [s] = along(&tight(&o, LEFT_A, 50.0, 2.4, 40.0))[..] else { panic!() };
        assert_eq!((s.side, s.end()), (Side::Left, Some(End::A)));
        assert!((s.from.metres - 30.0).abs() < 1e-3 && (s.to.metres - 70.0).abs() < 1e-3, "{s:?}");
        // Over the middle of the right line, whose chainage runs from end B.
        let half = 0.5 * crate::ground::oval_for_tests(165.0, 135.0).boundary().line_length_m(Side::Right);
        let [s] = along(&tight(&o, (Side::Right, End::B), half, 2.4, 24.0))[..] else { panic!() };
        assert_eq!((s.from.end, s.to.end, s.end()), (End::A, End::B, None));
        assert!((s.from.metres - (half - 12.0)).abs() < 1e-3 && (s.length_m - 24.0).abs() < 1e-6);
        // Round a post and over the scoring end to the other line: 24 m each way, 19.2 m of it between the
        // posts.
        let both = along(&tight(&o, LEFT_A, 0.0, 2.4, 48.0));
        let ([l, r], 2) = (&both[..2], both.len()) else { panic!("{both:?}") };
        assert!((l.side, r.side) == (Side::Left, Side::Right) && l.end() == Some(End::A));
        assert!((l.length_m - 24.0).abs() < 1e-3 && (r.length_m - 4.8).abs() < 1e-3, "{both:?}");
    }

    #[test]
    fn a_surveyed_fence_is_told_where_it_is_near() {
        // A straight fence 2 m beyond the left wing: within 3 m of the line until the line falls away by 1 m.
        let y = 0.5 * 135.0 + 2.0;
        let corner = |x: f64| format!("\n[[fence.corner]]\nx_m = {}\ny_m = {x}\n", -y);
        let (_, b) = of(&(corner(-60.0) + &corner(60.0)));
        let found = b.watch.iter().find_map(|w| match &w.thing {
            Thing::Fence { along, distance_m, .. } => Some((along.clone(), *distance_m)),
            _ => None,
        });
        let (along, distance_m) = found.unwrap();
        let [s] = &along[..] else { panic!("{along:?}") };
        assert!((s.side, s.near) == (Side::Left, Some(NamedSpot::Wing)) && (distance_m - 2.0).abs() < 0.01);
        // b − b·√(1 − (x/a)²) = 1 at x = 14.3 m either way; measured square to the line it is a little less.
        assert!((26.0..=30.0).contains(&s.length_m), "{s:?}");
    }

    #[test]
    fn stretches_with_one_advice_are_one_line() {
        let o = outline(165.0, 135.0);
        let at = |side, end| tight(&o, (side, end), 40.0, 2.4, 30.0);
        let two = FENCE.to_owned() + &at(Side::Left, End::A) + &at(Side::Right, End::B);
        let (_, b) = of(&two);
        let [w] = &b.watch[..] else { panic!("{:#?}", b.watch) };
        let Thing::Fence { along, .. } = &w.thing else { panic!() };
        assert_eq!(along.len(), 2);
        let [way] = &w.in_the_way[..] else { panic!("{w:?}") };
        let Advice::Stand { wide_m, .. } = way.advice else { panic!("{way:?}") };
        // A corridor of 1 m either side leaves 1.4 m beside a fence of 2.4 m.
        assert!(
            wide_m.iter().all(|m| (0.0..=1.4 + 1e-6).contains(m))
                && wide_m[1] >= 0.5
                && way.crossings.len() == 2,
            "{way:?}"
        );
        // A nearer one has other advice, and a row of its own.
        let (_, b) = of(&(two + &tight(&o, (Side::Left, End::B), 40.0, 1.6, 30.0)));
        assert_eq!(b.watch.len(), 2);
        // With a fence nearer still all round there is no room anywhere: one stretch over the middle of each
        // line.
        let (_, b) = of("\n[fence]\ndistance_m = 0.4\n");
        let [w] = &b.watch[..] else { panic!("{:#?}", b.watch) };
        assert_eq!(w.in_the_way[0].advice, Advice::Nowhere);
        assert!(w.in_the_way[0].crossings.iter().all(|c| c.end().is_none()), "{w:#?}");
        assert_eq!(w.in_the_way[0].crossings.len(), 2);
    }

    #[test]
    fn what_is_in_the_way_comes_before_what_is_near() {
        let o = outline(165.0, 135.0);
        // A bench 3 m off is in nobody's way; a tap beside the line is.
        let more =
            hazard(&o, "bench", LEFT_A, 30.0, 3.0) + &hazard(&o, "tap", (Side::Right, End::A), 60.0, 1.2);
        let (_, b) = of(&(FENCE.to_owned() + &more));
        assert_eq!(b.watch.iter().map(|w| w.in_the_way.len()).collect::<Vec<_>>(), [1, 0]);
    }

    #[test]
    fn one_who_runs_the_other_line_is_not_told_of_a_far_fence() {
        let o = outline(165.0, 135.0);
        let (_, b) = of(&(FENCE.to_owned() + &tight(&o, LEFT_A, 40.0, 2.4, 30.0)));
        assert!(b.watch.iter().any(|w| w.concerns(Side::Left)));
        assert!(!b.watch.iter().any(|w| w.concerns(Side::Right)));
        let (_, unknown) = of("");
        assert!(unknown.watch.iter().all(|w| w.concerns(Side::Right)) && !unknown.watch.is_empty());
    }
}
