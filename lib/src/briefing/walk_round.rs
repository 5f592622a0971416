//! The walk round on arrival: what to look at, in the order in which one comes to it.

use super::along::near;
use super::watch::{Named, Thing, Watch};
use crate::boundary::{End, Side};
use crate::ground::NamedSpot;
use crate::venue::Venue;

/// What to do at a stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StopLook {
    /// Find this landmark, by its number: it is what is faced from the post.
    Find(usize),
    /// Pace the fence, so far from the line as surveyed, m.
    Pace(f64),
    /// Look at this hazard, by its number.
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
    /// Along the line from that end's behind post, m.
    pub from_post_m: f64,
    /// What for.
    pub look: StopLook,
}

/// A walk down one line and back along the other.
#[derive(Debug, Clone, PartialEq)]
pub struct WalkRound {
    /// The line that is walked first.
    pub first: Side,
    /// From this end.
    pub from: End,
    /// The stops, in order.
    pub stops: Vec<Stop>,
}

/// From end A down the left line and back up the right one, which is the way that chainages run.
pub(super) fn walk_round(venue: &Venue, watch: &[Watch], spots: &[Named<'_>]) -> WalkRound {
    let oval = venue.ground.oval();
    let b = oval.boundary();
    let range = venue.document.practice.goal_range_m.value;
    // Chainage and look.
    let mut all: Vec<(f64, StopLook)> = Vec::new();
    for w in watch {
        match &w.thing {
            Thing::Hazard { index, .. } => {
                let at = oval.plan().to_ground(venue.document.surroundings.hazards[*index].at);
                all.push((b.nearest(at).chainage_m, StopLook::Hazard(*index)));
            }
            Thing::Fence { distance_m, along, .. } => {
                for s in along {
                    // Where one comes to it first.
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
        if let Some(found) = post.and_then(|n| n.row.backsight) {
            all.push((b.chainage_from_post_m(side, end, 0.0), StopLook::Find(found.landmark)));
        }
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut stops: Vec<Stop> = Vec::new();
    for (chainage, look) in all {
        let n = b.nearest(b.at(chainage).point);
        let (Some(to_a), Some(to_b)) = (b.to_post_m(n.chainage_m, End::A), b.to_post_m(n.chainage_m, End::B))
        else {
            continue;
        };
        let (end, from_post_m) = if to_a <= to_b { (End::A, to_a) } else { (End::B, to_b) };
        // A landmark is found once at each end.
        if matches!(look, StopLook::Find(_)) && stops.iter().any(|s| s.end == end && s.look == look) {
            continue;
        }
        let near = near(oval, range, n.chainage_m).map(|p| p.name);
        stops.push(Stop { side: n.side, end, near, from_post_m, look });
    }
    WalkRound { first: Side::Left, from: End::A, stops }
}
