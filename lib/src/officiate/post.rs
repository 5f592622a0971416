//! The station at a behind post.

use super::clearance::{Limit, Stand, StandKind, clear_out};
use super::scene::Scene;
use crate::boundary::{End, Side};
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::{Ground as WithSpread, Oval, Surroundings};

/// Where nothing is nearer than this, m, the place counts as open.
const OPEN_M: f64 = 100.0;

/// The station at a behind post: up to 1 m out from the post along the line's outward normal, clear of fence
/// and hazards by half a metre.
///
/// Where there is too little room behind the post, the station is half a metre from it along the line, on the
/// line's outer edge and never in front of goal. Where that is not clear either, there is no safe place. The
/// station is measured from the post itself, since that is what an official stands at; a painted line may
/// miss it by a little. All distances are practices.
#[must_use]
pub fn post_station(scene: Scene<'_>, side: Side, end: End) -> Stand {
    let Scene { oval, around, practice } = scene;
    let chainage = oval.boundary().chainage_from_post_m(side, end, 0.0);
    let mut post = oval.boundary().at(chainage);
    post.point = oval.behind_post(side, end);
    let (wanted, clear) = (practice.at_post_m.value, practice.post_clear_m.value);
    let out = clear_out(oval, around, &post, wanted, clear);
    let point = post.point + post.normal * out;
    let limit = (out < wanted).then(|| limit_at(oval, around, chainage, point, out + clear)).flatten();
    let behind = Stand {
        point,
        kind: StandKind::Post,
        toward: end,
        outside_line_m: out,
        chord_angle_deg: None,
        limit,
    };
    if out >= practice.post_least_m.value.min(wanted) {
        return behind;
    }
    let (point, spare) = beside(scene, side, end);
    let kind = if spare >= 0.0 { StandKind::BesidePost } else { StandKind::NoPlace };
    Stand { point, kind, outside_line_m: 0.0, ..behind }
}

/// As [`post_station`] on the nominal ground, where a place beside the post counts only if the survey's
/// ± leaves it clear at 95 %.
#[must_use]
pub fn sure_post_station(ground: &WithSpread, scene: Scene<'_>, side: Side, end: End) -> Stand {
    let found = post_station(scene, side, end);
    if found.kind != StandKind::BesidePost {
        return found;
    }
    let spare = ground.measure(|o| Some(beside(scene.on(o), side, end).1));
    let clear = spare.is_some_and(|s| s.lo95() >= 0.0);
    if clear { found } else { Stand { kind: StandKind::NoPlace, ..found } }
}

/// The place beside a post, on the line's outer edge, and its room less the clearance that it needs, m:
/// negative where it is not clear.
fn beside(scene: Scene<'_>, side: Side, end: End) -> (Point<Ground>, f64) {
    let Scene { oval, around, practice } = scene;
    let b = oval.boundary();
    let at = b.at(b.chainage_from_post_m(side, end, practice.post_beside_m.value));
    let fence = around.fence.distance_at(oval, at.chainage_m).unwrap_or(OPEN_M);
    let room = around
        .hazards
        .iter()
        .map(|h| oval.plan().to_ground(h.at).distance_to(at.point) - h.radius_m)
        .fold(fence.min(OPEN_M), f64::min);
    (at.point, room - practice.post_clear_m.value)
}

/// What limits the room behind the post to `room_m`: the fence where it is that near, or else the nearest
/// hazard.
fn limit_at(
    oval: &Oval,
    around: &Surroundings,
    chainage_m: f64,
    p: Point<Ground>,
    room_m: f64,
) -> Option<Limit> {
    if let Some((distance_m, part)) = around.fence.on(oval).nearest_at(chainage_m)
        && distance_m <= room_m + 1e-9
    {
        return Some(Limit::Fence { distance_m, part });
    }
    let off =
        |i: usize| oval.plan().to_ground(around.hazards[i].at).distance_to(p) - around.hazards[i].radius_m;
    (0..around.hazards.len()).min_by(|&i, &j| off(i).total_cmp(&off(j))).map(Limit::Hazard)
}
