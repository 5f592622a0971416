//! The walk round on arrival: what to look at, in the order in which one comes to it.

use super::along::near;
use super::watch::{Named, Thing, Watch};
use crate::boundary::{End, Side};
use crate::ground::NamedSpot;
use crate::numeric::sort_by;
use crate::venue::Venue;

/// What to do at a stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StopLook {
    /// Find this landmark, by its index: it is the one to face from the post.
    Find(usize),
    /// Pace out the run-off, which was surveyed as this wide, m.
    Pace(f64),
    /// Look at this hazard, by its index.
    Hazard(usize),
}

/// A stop of the walk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// On which line.
    pub side: Side,
    /// The nearer end along it.
    pub end: End,
    /// The named spot nearest to it.
    pub near: Option<NamedSpot>,
    /// Distance along the line from that end's behind post, m.
    pub from_post_m: f64,
    /// What to do there.
    pub look: StopLook,
}

/// A walk down one line and back along the other.
#[derive(Debug, Clone, PartialEq)]
pub struct WalkRound {
    /// The line that is walked first.
    pub first: Side,
    /// The end where the walk begins.
    pub from: End,
    /// The stops, in order.
    pub stops: Vec<Stop>,
}

/// The walk from end A down the left line and back up the right one, which is the direction of chainage.
pub(super) fn walk_round(venue: &Venue, watch: &[Watch], spots: &[Named<'_>]) -> WalkRound {
    let oval = venue.ground.oval();
    let b = oval.boundary();
    let range = venue.document.practice.goal_range_m.value;
    // Chainage of the stop, and what to do there.
    let mut all: Vec<(f64, StopLook)> = Vec::new();
    for w in watch {
        match &w.thing {
            Thing::Hazard { index, .. } => {
                let at = oval.plan().to_ground(venue.document.surroundings.hazards[*index].at);
                all.push((b.nearest(at).chainage_m, StopLook::Hazard(*index)));
            }
            Thing::Fence { distance_m, along, .. } => {
                for s in along {
                    // The end of the stretch that the walk reaches first.
                    let first = if s.side == Side::Left { s.from } else { s.to };
                    let at = b.chainage_from_post_m(s.side, first.end, first.metres);
                    all.push((at, StopLook::Pace(*distance_m)));
                }
            }
            Thing::MayBeNear { spots: at, .. } => {
                for s in at {
                    let found = spots.iter().find(|n| (n.side, n.end, n.name) == *s);
                    let fence = found.and_then(|n| {
                        let d = venue.document.surroundings.fence.distance_at(oval, n.row.spot.chainage_m)?;
                        Some((n.row.spot.chainage_m, StopLook::Pace(d)))
                    });
                    all.extend(fence);
                }
            }
            Thing::NotSurveyed => {}
        }
    }
    for (side, end) in
        [(Side::Left, End::A), (Side::Left, End::B), (Side::Right, End::B), (Side::Right, End::A)]
    {
        let post = spots.iter().find(|n| (n.side, n.end, n.name) == (side, end, NamedSpot::Post));
        let faced = post.and_then(|n| n.row.backsight).filter(|_| venue.document.rules.throw_ins);
        if let Some(found) = faced {
            all.push((b.chainage_from_post_m(side, end, 0.0), StopLook::Find(found.landmark)));
        }
    }
    sort_by(&mut all, |a, b| a.0.total_cmp(&b.0));
    let mut stops: Vec<Stop> = Vec::new();
    for (chainage, look) in all {
        let n = b.nearest(b.at(chainage).point);
        let (Some(to_a), Some(to_b)) = (b.to_post_m(n.chainage_m, End::A), b.to_post_m(n.chainage_m, End::B))
        else {
            continue;
        };
        let (end, from_post_m) = if to_a <= to_b { (End::A, to_a) } else { (End::B, to_b) };
        // The same landmark is listed only once at each end.
        if matches!(look, StopLook::Find(_)) && stops.iter().any(|s| s.end == end && s.look == look) {
            continue;
        }
        let near = near(oval, range, n.chainage_m).map(|p| p.name);
        stops.push(Stop { side: n.side, end, near, from_post_m, look });
    }
    WalkRound { first: Side::Left, from: End::A, stops }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::briefing::briefing;
    use crate::ground::outline_for_tests as outline;
    use crate::units::Day;
    use crate::venue::for_tests::{hazard, landmark, tight, venue};

    #[test]
    fn the_walk_round_comes_to_each_thing_in_order() {
        let o = outline(165.0, 135.0);
        let more = "\n[fence]\ndistance_m = 6.0\n".to_owned()
            + &hazard(&o, "bench", (Side::Right, End::A), 40.0, 3.0)
            + &hazard(&o, "tap", (Side::Right, End::B), 30.0, 2.0)
            + &hazard(&o, "pit", (Side::Left, End::A), 30.0, 2.0)
            + &tight(&o, (Side::Left, End::B), 50.0, 2.4, 20.0)
            // Faced from both posts at end A, along the goal axis.
            + "\n[[landmark]]\nname = \"silo\"\nx_m = 0\ny_m = 900\nwidth_m = 30\n"
            + &landmark(&o, "gum", (Side::Left, End::A), 60.0, 40.0);
        let v = venue(&o, &more).0;
        let walk = briefing(&v, Day::new(2026, 8, 1).unwrap()).walk_round;
        assert_eq!((walk.from, walk.first), (End::A, Side::Left));
        let stops: Vec<(Side, End, i64, StopLook)> =
            walk.stops.iter().map(|s| (s.side, s.end, s.from_post_m.round() as i64, s.look)).collect();
        // Down the left line from end A and back up the right one; the fence at the end that is reached
        // first, and a landmark once.
        assert_eq!(
            stops,
            [
                (Side::Left, End::A, 0, StopLook::Find(0)),
                (Side::Left, End::A, 30, StopLook::Hazard(2)),
                (Side::Left, End::B, 60, StopLook::Pace(2.4)),
                (Side::Right, End::B, 30, StopLook::Hazard(1)),
                (Side::Right, End::A, 40, StopLook::Hazard(0)),
            ]
        );
    }
}
