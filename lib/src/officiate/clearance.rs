//! A place to stand, and how far an official can back away to it clear of the fence and hazards.

use super::scene::Scene;
use crate::boundary::{BoundaryPoint, End};
use crate::frame::Ground;
use crate::geometry::{Point, Vector, distance_to_segment};
use crate::ground::{FencePart, Hazard, Oval, Surroundings};

/// How a place to stand was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StandKind {
    /// Back along the tangent.
    Tangent {
        /// Metres back.
        back_m: f64,
    },
    /// At the behind post.
    Post,
    /// Back along the line, and outside it only as far as is clear, so inside the tangent.
    AlongLine {
        /// Metres back along the line.
        back_m: f64,
        /// The angle between the tangent and the line of sight, degrees.
        off_tangent_deg: f64,
    },
    /// On the line, a step from the behind post: there is no room behind it.
    BesidePost,
    /// No place outside the line, or at the post, is clear of fence and hazards.
    NoPlace,
}

impl StandKind {
    /// How far back one stands, m; `None` at the post, and where there is no place.
    #[must_use]
    pub fn back_m(self) -> Option<f64> {
        match self {
            Self::Tangent { back_m } | Self::AlongLine { back_m, .. } => Some(back_m),
            Self::Post | Self::BesidePost | Self::NoPlace => None,
        }
    }

    /// Is this the station at a behind post, or a step from it?
    #[must_use]
    pub fn is_at_post(self) -> bool {
        matches!(self, Self::Post | Self::BesidePost)
    }
}

/// What keeps an official from the full distance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    /// The fence.
    Fence {
        /// How far the fence is from the line there, m.
        distance_m: f64,
        /// Which part of the survey of the fence gives that distance.
        part: FencePart,
    },
    /// A hazard, by its index.
    Hazard(usize),
}

/// A place to stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stand {
    /// Where.
    pub point: Point<Ground>,
    /// What kind.
    pub kind: StandKind,
    /// The place is on the side of this end's post.
    pub toward: End,
    /// How far outside the boundary line it is, m.
    pub outside_line_m: f64,
    /// The angle at the spot between the tangent and the point of the line 15 m back along it, degrees: how
    /// far off the tangent an official with both feet on the line would look. `None` where the line is
    /// shorter.
    pub chord_angle_deg: Option<f64>,
    /// What limits it.
    pub limit: Option<Limit>,
}

/// The step in which a corridor is searched, m. The line falls away steadily from its tangent and a stretch
/// of fence is many metres long, so a step of one metre finds where the fence closes in. Bisection within the
/// step then finds the distance.
const STEP_M: f64 = 1.0;
/// Tolerance for rounding where a corridor ends at a hazard, m.
const BESIDE_M: f64 = 1e-6;

/// The hazards, by index, that an official at a place stands on or next to.
#[must_use]
pub fn hazards_beside(scene: Scene<'_>, p: Point<Ground>) -> Vec<usize> {
    let Scene { oval, around, practice } = scene;
    let near = |h: &Hazard| {
        // A corridor that a hazard cut short ends exactly at this distance from it.
        oval.plan().to_ground(h.at).distance_to(p) <= h.radius_m + practice.corridor_m.value + BESIDE_M
    };
    (0..around.hazards.len()).filter(|&i| near(&around.hazards[i])).collect()
}

fn hazard_at(oval: &Oval, around: &Surroundings, i: usize) -> Point<Ground> {
    oval.plan().to_ground(around.hazards[i].at)
}

/// How far an official can back away from `from` along `u` with the corridor clear, at most `wanted`, and
/// what stops them. The corridor is the segment widened by half its width to either side; only the part
/// outside the boundary line counts.
pub(super) fn clear_reach(
    scene: Scene<'_>,
    from: Point<Ground>,
    u: Vector<Ground>,
    wanted: f64,
) -> (f64, Option<Limit>) {
    let Scene { oval, around, practice } = scene;
    let wide = practice.corridor_m.value;
    let mut reach = wanted;
    let mut limit = None;
    for (i, h) in around.hazards.iter().enumerate() {
        let at = hazard_at(oval, around, i);
        let keep = h.radius_m + wide;
        // The cheap test first: most hazards are nowhere near.
        if distance_to_segment(at, from, from + u * reach) >= keep
            || oval.boundary().outside_m(at) < -h.radius_m
        {
            continue;
        }
        // Where the widened segment first touches: along − √(keep² − across²).
        let v = at - from;
        let (along, across) = (v.dot(u), v.cross(u).abs());
        let first = along - (keep * keep - across * across).max(0.0).sqrt();
        reach = first.clamp(0.0, reach);
        limit = Some(Limit::Hazard(i));
    }
    if !around.fence.is_known() {
        return (reach, limit);
    }
    let fence_on = around.fence.on(oval);
    // Usually there is room to spare, and this quick bound shows it. No place of the corridor is farther
    // outside the line than the corridor is long. Where the boundary is convex, none is farther outside than
    // the corridor's end. And none is beside a part of the line farther along than twice its length.
    let end = oval.boundary().nearest(from + u * reach);
    let farthest = if oval.boundary().is_convex() { end.signed_distance_m.max(0.0) } else { reach };
    if fence_on.least_about(end.chainage_m, 2.0 * reach).is_some_and(|f| f - wide >= farthest) {
        return (reach, limit);
    }
    // Room between the corridor's outer edge and the fence, `d` metres back; negative beyond the fence.
    let room = |d: f64| {
        let n = oval.boundary().nearest(from + u * d);
        fence_on.distance_at(n.chainage_m).map_or(f64::INFINITY, |f| f - wide - n.signed_distance_m.max(0.0))
    };
    let mut d = 0.0;
    while d < reach {
        let next = (d + STEP_M).min(reach);
        if room(next) < 0.0 {
            let fence = fence_on.nearest_at(oval.boundary().nearest(from + u * next).chainage_m);
            // Within the step the room shrinks steadily, or drops once where a tight stretch begins, so
            // bisection finds the place.
            let (mut lo, mut hi) = (d, next);
            for _ in 0..40 {
                let mid = 0.5 * (lo + hi);
                if room(mid) < 0.0 { hi = mid } else { lo = mid }
            }
            return (
                if room(0.0) < 0.0 { 0.0 } else { lo },
                fence.map(|(distance_m, part)| Limit::Fence { distance_m, part }),
            );
        }
        d = next;
    }
    (reach, limit)
}

/// How far straight out from a place on the line an official can stand, at most `wanted`, and keep `wide`
/// clear of the fence and hazards.
pub(super) fn clear_out(
    oval: &Oval,
    around: &Surroundings,
    from: &BoundaryPoint,
    wanted: f64,
    wide: f64,
) -> f64 {
    let (chainage, from, normal) = (from.chainage_m, from.point, from.normal);
    let mut out = around.fence.distance_at(oval, chainage).map_or(wanted, |f| (f - wide).clamp(0.0, wanted));
    for (i, h) in around.hazards.iter().enumerate() {
        let at = hazard_at(oval, around, i);
        let keep = h.radius_m + wide;
        if distance_to_segment(at, from, from + normal * out) < keep
            && oval.boundary().outside_m(at) >= -h.radius_m
        {
            let v = at - from;
            let (along, across) = (v.dot(normal), v.cross(normal).abs());
            out = (along - (keep * keep - across * across).max(0.0).sqrt()).clamp(0.0, out);
        }
    }
    out
}
