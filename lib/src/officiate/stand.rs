//! Where to stand to watch a ball cross: back along the tangent, so outside the
//! line, on the short side; near goal, the post station; where it is too tight, the place that sees best.

use super::post::post_station;
use super::sight::view;
use super::tight::best_place;
use crate::boundary::{BoundaryPoint, End};
use crate::frame::Ground;
use crate::geometry::{Point, Vector, distance_to_segment};
use crate::ground::{FencePart, Hazard, Oval, Spot, Surroundings};
use crate::rules::Practice;

/// What kind of place it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StandKind {
    /// Back along the tangent, m.
    Tangent {
        /// Metres back.
        back_m: f64,
    },
    /// At the behind post.
    Post,
    /// Back along the line and only as far out as is clear, so off the tangent.
    AlongLine {
        /// Metres back along the line.
        back_m: f64,
        /// Between the tangent and the line of sight, degrees.
        off_tangent_deg: f64,
    },
    /// On the line, a step from the behind post: there is no room behind it.
    BesidePost,
    /// No place outside the line, or at the post, is clear of fence and hazards.
    NoPlace,
}

impl StandKind {
    /// Is it the station at a behind post, or a step from it?
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
        /// How far it is from the line there, m.
        distance_m: f64,
        /// What says so.
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
    /// On the side of this end's post.
    pub toward: End,
    /// Nearest distance to the lines, m.
    pub outside_line_m: f64,
    /// At the spot, from the tangent to the point of the line 15 m of arc back: how
    /// far off one would be with feet on the line, degrees. `None` where the line ends sooner.
    pub chord_angle_deg: Option<f64>,
    /// What limits it.
    pub limit: Option<Limit>,
}

/// Steps in which a corridor is looked along, m. Along a tangent the line falls away
/// steadily and a stretch of fence is many metres long, so a step of one finds where
/// it closes in and the bisection within finds how far.
const STEP_M: f64 = 1.0;

/// Is the ball at this spot in goal range, or the spot too near the post to back away?
fn at_the_post(oval: &Oval, practice: &Practice, spot: &Spot) -> bool {
    in_goal_range(oval, practice, spot.point).is_some() || spot.from_post_m < practice.back_m.value
}

/// The end whose goal a place is in range of.
#[must_use]
pub fn in_goal_range(oval: &Oval, practice: &Practice, p: Point<Ground>) -> Option<End> {
    // A spot found as the crossing of that very circle counts as in range.
    let range = practice.goal_range_m.value + 1e-9;
    let nearer = if p.x >= 0.0 { End::A } else { End::B };
    (p.distance_to(oval.goal(nearer)) <= range).then_some(nearer)
}

/// Where to stand to watch a ball cross at a spot, on the side of `toward`'s post.
#[must_use]
pub fn stand(oval: &Oval, around: &Surroundings, practice: &Practice, spot: &Spot, toward: End) -> Stand {
    let chord = chord_angle_deg(oval, practice, spot, toward);
    if at_the_post(oval, practice, spot) {
        return Stand { chord_angle_deg: chord, ..post_station(oval, around, practice, spot.side, spot.end) };
    }
    let (full, limit) =
        clear_reach(oval, around, practice, spot.point, spot.tangent_to(toward), practice.back_m.value);
    let there = |point: Point<Ground>, kind: StandKind, toward: End, limit: Option<Limit>| Stand {
        point,
        kind,
        toward,
        outside_line_m: oval.boundary().outside_m(point).max(0.0),
        chord_angle_deg: chord,
        limit,
    };
    if full >= practice.back_m.value {
        let point = spot.point + spot.tangent_to(toward) * full;
        return there(point, StandKind::Tangent { back_m: full }, toward, None);
    }
    match one_way(oval, around, practice, spot, toward)
        .or_else(|| one_way(oval, around, practice, spot, toward.other()))
    {
        Some((point, kind, way)) => there(point, kind, way, limit),
        // Level with where the stand would be, and on the line.
        None => {
            let left = (spot.to_post_m(toward) - practice.back_m.value).max(0.0);
            let at = oval.boundary().chainage_from_post_m(spot.side, toward, left);
            there(oval.boundary().at(at).point, StandKind::NoPlace, toward, limit)
        }
    }
}

/// The best place on the side of an end's post; `None` where no corridor there is clear.
fn one_way(
    oval: &Oval,
    around: &Surroundings,
    practice: &Practice,
    spot: &Spot,
    toward: End,
) -> Option<(Point<Ground>, StandKind, End)> {
    let u = spot.tangent_to(toward);
    let back = practice.back_m.value;
    if clear_reach(oval, around, practice, spot.point, u, back).0 >= back {
        return Some((spot.point + u * back, StandKind::Tangent { back_m: back }, toward));
    }
    let place = best_place(oval, around, practice, spot, toward)?;
    let kind = if place.inside_tangent_m < ON_TANGENT_M {
        StandKind::Tangent { back_m: (place.point - spot.point).dot(u) }
    } else {
        StandKind::AlongLine {
            back_m: place.arc_m,
            off_tangent_deg: (place.point - spot.point).angle_to_deg(u),
        }
    };
    Some((place.point, kind, toward))
}

/// A place so near the tangent is on it, m: roundings.
const ON_TANGENT_M: f64 = 1e-6;

/// The stand on the long side, where a ball seems shifted by so much less there that it is said first;
/// `None` where it is not, or where the stand is at a post or is on the long side already.
#[must_use]
pub fn long_first(
    oval: &Oval,
    around: &Surroundings,
    practice: &Practice,
    spot: &Spot,
    short: &Stand,
) -> Option<Stand> {
    let tight = matches!(short.kind, StandKind::AlongLine { .. } | StandKind::Tangent { .. });
    if !tight || short.limit.is_none() {
        return None;
    }
    let (point, kind, toward) = one_way(oval, around, practice, spot, short.toward.other())?;
    let shift = |p: Point<Ground>| view(practice, spot, p).can_tell_m();
    let less = shift(short.point)? - shift(point)?;
    (less >= practice.long_first_m.value).then(|| Stand {
        point,
        kind,
        toward,
        outside_line_m: oval.boundary().outside_m(point).max(0.0),
        chord_angle_deg: chord_angle_deg(oval, practice, spot, toward),
        limit: None,
    })
}

/// Does anything keep an official from the full distance at a spot? The limit of [`stand`] without the rest.
pub(crate) fn is_cut_short(
    oval: &Oval,
    around: &Surroundings,
    practice: &Practice,
    spot: &Spot,
    toward: End,
) -> bool {
    if at_the_post(oval, practice, spot) {
        return post_station(oval, around, practice, spot.side, spot.end).limit.is_some();
    }
    clear_reach(oval, around, practice, spot.point, spot.tangent_to(toward), practice.back_m.value)
        .1
        .is_some()
}

/// Rounding of a corridor that ends at a hazard, m.
const BESIDE_M: f64 = 1e-6;

/// Hazards that an official at a place stands on or next to.
#[must_use]
pub fn hazards_beside(
    oval: &Oval,
    around: &Surroundings,
    practice: &Practice,
    p: Point<Ground>,
) -> Vec<usize> {
    let near = |h: &Hazard| {
        // A corridor that was cut short at a hazard ends just where the widened one begins.
        oval.plan().to_ground(h.at).distance_to(p) <= h.radius_m + practice.corridor_m.value + BESIDE_M
    };
    (0..around.hazards.len()).filter(|&i| near(&around.hazards[i])).collect()
}

/// The angle at the spot between the tangent and the point of the line so far back along it.
///
/// On a circle of radius R it is d/2R: half the angle that the arc takes up. `None`
/// where the line ends sooner.
#[must_use]
pub fn chord_angle_deg(oval: &Oval, practice: &Practice, spot: &Spot, toward: End) -> Option<f64> {
    let back = practice.back_m.value;
    let left = spot.to_post_m(toward) - back;
    if left < 0.0 {
        return None;
    }
    let on_line = oval.boundary().at(oval.boundary().chainage_from_post_m(spot.side, toward, left)).point;
    Some((on_line - spot.point).angle_to_deg(spot.tangent_to(toward)))
}

fn hazard_at(oval: &Oval, around: &Surroundings, i: usize) -> Point<Ground> {
    oval.plan().to_ground(around.hazards[i].at)
}

/// How far one can back away from `from` along `u` with the corridor clear, up to
/// `wanted`, and what stops it. The corridor is the segment widened by its
/// half-width, outside the line.
fn clear_reach(
    oval: &Oval,
    around: &Surroundings,
    practice: &Practice,
    from: Point<Ground>,
    u: Vector<Ground>,
    wanted: f64,
) -> (f64, Option<Limit>) {
    let wide = practice.corridor_m.value;
    let mut reach = wanted;
    let mut limit = None;
    for (i, h) in around.hazards.iter().enumerate() {
        let at = hazard_at(oval, around, i);
        let keep = h.radius_m + wide;
        // The cheap question first: most hazards are nowhere near.
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
    // Mostly there is room to spare: no place of the corridor is farther outside the line than its
    // length, nor, on a line that bends inward all along, than its end; and none is beside a part of
    // the line farther along than twice its length.
    let end = oval.boundary().nearest(from + u * reach);
    let farthest = if oval.boundary().is_convex() { end.signed_distance_m.max(0.0) } else { reach };
    if fence_on.least_about(end.chainage_m, 2.0 * reach).is_some_and(|f| f - wide >= farthest) {
        return (reach, limit);
    }
    // How far the corridor's outer edge is from the fence at so many metres back; negative beyond it.
    let room = |d: f64| {
        let n = oval.boundary().nearest(from + u * d);
        fence_on.distance_at(n.chainage_m).map_or(f64::INFINITY, |f| f - wide - n.signed_distance_m.max(0.0))
    };
    let mut d = 0.0;
    while d < reach {
        let next = (d + STEP_M).min(reach);
        if room(next) < 0.0 {
            let fence = fence_on.nearest_at(oval.boundary().nearest(from + u * next).chainage_m);
            // Within the step the room shrinks steadily, or drops where a tight stretch begins.
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

/// How far out from the line one can stand at a place, up to `wanted`.
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::Side;
    use crate::ground::{Fence, Hazard, SpotRef, oval_for_tests as oval};

    fn spot(o: &Oval, metres: f64) -> Spot {
        o.spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres }, 25.0).unwrap()
    }

    #[test]
    fn fifteen_metres_along_the_tangent_outside_the_line() {
        // A 160 × 130 m ground: the tangent has left the line by 1.1 m on the wing
        // and 2.1 m near the posts (design), d²/2R with the chord's own correction.
        let o = oval(160.0, 130.0);
        let p = Practice::default();
        let around = Surroundings::default();
        let wing = o
            .spot(
                SpotRef::Named { side: Side::Left, end: End::A, name: crate::ground::NamedSpot::Wing },
                25.0,
            )
            .unwrap();
        let s = stand(&o, &around, &p, &wing, End::A);
        assert!((s.point.distance_to(wing.point) - 15.0).abs() < 1e-9);
        assert!((s.outside_line_m - 1.1).abs() < 0.05, "{}", s.outside_line_m);
        let near = stand(&o, &around, &p, &spot(&o, 20.0), End::A);
        // The curve has opened up a little 20 m from the post.
        assert!((1.8..2.1).contains(&near.outside_line_m), "{}", near.outside_line_m);
        assert!(
            (4.0..=8.5).contains(&s.chord_angle_deg.unwrap())
                && (4.0..=8.5).contains(&near.chord_angle_deg.unwrap())
        );
    }

    #[test]
    fn a_circle_has_closed_forms() {
        // On a circle of radius R: out = √(R² + d²) − R, chord angle = d/2R.
        let r = 75.0;
        let half = (r * r - 9.6f64 * 9.6).sqrt();
        let outline =
            crate::boundary::Outline::from_parameters(&[0.0, 0.0, r, r, 0.0, 0.0, 0.0, 0.0, half]).unwrap();
        let o = Oval::new(&outline, crate::rules::RuleSet::laws()).unwrap();
        let s = stand(&o, &Surroundings::default(), &Practice::default(), &spot(&o, 60.0), End::A);
        assert!((s.outside_line_m - ((r * r + 225.0).sqrt() - r)).abs() < 1e-9);
        assert!((s.chord_angle_deg.unwrap() - (15.0 / (2.0 * r)).to_degrees()).abs() < 1e-7);
    }

    #[test]
    fn hazards_at_a_place_are_those_within_the_corridors_half_width() {
        let o = oval(165.0, 135.0);
        let p = Practice::default();
        let at = spot(&o, 60.0);
        let hazard = |metres: f64| Hazard {
            name: "tap".into(),
            at: o.plan().to_local(at.point + at.normal * metres),
            radius_m: 0.3,
        };
        // Common practice, no source: 1 m to either side of a corridor, from a hazard's edge.
        let around = Surroundings {
            hazards: vec![hazard(0.0), hazard(1.29), hazard(1.31)],
            ..Surroundings::default()
        };
        assert_eq!(hazards_beside(&o, &around, &p, at.point), [0, 1]);
    }

    #[test]
    fn near_goal_the_post_station() {
        let o = oval(165.0, 135.0);
        let p = Practice::default();
        for m in [0.0, 5.0, 14.9] {
            let s = stand(&o, &Surroundings::default(), &p, &spot(&o, m), End::A);
            assert_eq!(s.kind, StandKind::Post);
            // Common practice, no source: 1 m beyond the behind post.
            assert!((s.point.distance_to(o.boundary().corner(Side::Left, End::A)) - 1.0).abs() < 1e-9);
        }
        let edge = o
            .spot(
                SpotRef::Named { side: Side::Left, end: End::A, name: crate::ground::NamedSpot::GoalRange },
                25.0,
            )
            .unwrap();
        assert_eq!(stand(&o, &Surroundings::default(), &p, &edge, End::A).kind, StandKind::Post);
    }

    #[test]
    fn a_fence_shortens_the_walk_back() {
        let o = oval(165.0, 135.0);
        let p = Practice::default();
        let fenced = |d: f64| Surroundings {
            fence: Fence { distance_m: Some(d), ..Fence::default() },
            ..Surroundings::default()
        };
        let at = spot(&o, 40.0);
        let free = stand(&o, &fenced(5.0), &p, &at, End::A);
        assert!(free.limit.is_none());
        let tight = stand(&o, &fenced(2.4), &p, &at, End::A);
        let StandKind::AlongLine { back_m, .. } = tight.kind else { panic!("{:?}", tight.kind) };
        assert!((12.0..15.0).contains(&back_m));
        // The corridor's edge touches the fence: out + 1 = 2.4 m. A ball seems shifted by what counts as
        // alike, no more, since on the tangent, a little nearer, it would not be at all.
        assert!((tight.outside_line_m - 1.4).abs() < 1e-4);
        let shift = |s: &Stand| view(&p, &at, s.point).can_tell_m().unwrap();
        assert!((shift(&tight) - 0.3).abs() < 1e-3, "{}", shift(&tight));
        assert_eq!(tight.limit, Some(Limit::Fence { distance_m: 2.4, part: FencePart::AllRound }));
        // Nowhere from 8 m on is the tangent clear.
        let hard = stand(&o, &fenced(1.2), &p, &at, End::A);
        let StandKind::AlongLine { back_m, off_tangent_deg } = hard.kind else { panic!("{:?}", hard.kind) };
        assert!((8.0..11.0).contains(&back_m) && off_tangent_deg > 1.0);
        assert!((hard.outside_line_m - 0.2).abs() < 1e-6);
        // Less than the corridor's half-width: no way is clear, on neither side.
        assert_eq!(stand(&o, &fenced(0.9), &p, &at, End::A).kind, StandKind::NoPlace);
    }

    #[test]
    fn a_hazard_shortens_it_too() {
        let o = oval(165.0, 135.0);
        let at = spot(&o, 60.0);
        let u = at.tangent_to(End::A);
        let around = Surroundings {
            hazards: vec![Hazard {
                name: "tap".into(),
                at: o.plan().to_local(at.point + u * 12.0),
                radius_m: 0.5,
            }],
            ..Surroundings::default()
        };
        let s = stand(&o, &around, &Practice::default(), &at, End::A);
        // On the tangent 12 m less its radius and the corridor's half-width would be clear; so would a place
        // farther back beside it, but from there a ball seems shifted by more than is alike.
        let back = s.point.distance_to(at.point);
        assert!((10.5 - 1e-6..15.0).contains(&back), "{back}");
        let shift = view(&Practice::default(), &at, s.point).can_tell_m().unwrap();
        assert!(shift <= 0.3 + 1e-6);
        let h = o.plan().to_ground(around.hazards[0].at);
        assert!(distance_to_segment(h, at.point, s.point) >= 1.5 - 1e-6);
        assert_eq!(s.limit, Some(Limit::Hazard(0)));
    }
}
