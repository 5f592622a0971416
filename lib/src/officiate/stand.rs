//! Where to stand to watch a ball cross the line: back along the tangent, which is outside the line, on the
//! short side. Near goal it is the post station. Where the run-off is too tight, it is the place with the
//! best view that there is room for.

use super::clearance::{Limit, Stand, StandKind, clear_reach};
use super::post::post_station;
use super::scene::Scene;
use super::sight::view;
use super::tight::best_place;
use crate::boundary::End;
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::{Oval, Spot};
use crate::rules::Practice;

/// Is the spot in goal range, or too near the post to back away?
fn at_the_post(oval: &Oval, practice: &Practice, spot: &Spot) -> bool {
    in_goal_range(oval, practice, spot.point).is_some() || spot.from_post_m < practice.back_m.value
}

/// The end whose goal a place is in range of.
#[must_use]
pub fn in_goal_range(oval: &Oval, practice: &Practice, p: Point<Ground>) -> Option<End> {
    // A spot on the range's circle itself counts as in range, whatever the rounding.
    let range = practice.goal_range_m.value + 1e-9;
    let nearer = if p.x >= 0.0 { End::A } else { End::B };
    (p.distance_to(oval.goal(nearer)) <= range).then_some(nearer)
}

/// Where to stand to watch a ball cross at a spot, on the side of `toward`'s post.
#[must_use]
pub fn stand(scene: Scene<'_>, spot: &Spot, toward: End) -> Stand {
    let Scene { oval, practice, .. } = scene;
    let chord = chord_angle_deg(oval, practice, spot, toward);
    if at_the_post(oval, practice, spot) {
        return Stand { chord_angle_deg: chord, ..post_station(scene, spot.side, spot.end) };
    }
    let (full, limit) = clear_reach(scene, spot.point, spot.tangent_to(toward), practice.back_m.value);
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
    match one_way(scene, spot, toward).or_else(|| one_way(scene, spot, toward.other())) {
        Some((point, kind, way)) => there(point, kind, way, limit),
        // No place is clear: on the line, level with where the stand would be.
        None => {
            let left = (spot.to_post_m(toward) - practice.back_m.value).max(0.0);
            let at = oval.boundary().chainage_from_post_m(spot.side, toward, left);
            there(oval.boundary().at(at).point, StandKind::NoPlace, toward, limit)
        }
    }
}

/// The best place on the side of an end's post; `None` where no corridor there is clear.
fn one_way(scene: Scene<'_>, spot: &Spot, toward: End) -> Option<(Point<Ground>, StandKind, End)> {
    let Scene { practice, .. } = scene;
    let u = spot.tangent_to(toward);
    let back = practice.back_m.value;
    if clear_reach(scene, spot.point, u, back).0 >= back {
        return Some((spot.point + u * back, StandKind::Tangent { back_m: back }, toward));
    }
    let place = best_place(scene, spot, toward)?;
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

/// Tolerance for rounding, m: a place this near the tangent is on it.
const ON_TANGENT_M: f64 = 1e-6;

/// The stand on the long side, where the view there is better by at least the practice's `long_first_m`, so
/// that it is named first. `None` where it is not, and where the stand is at a post, has the full distance,
/// or is on the long side already.
#[must_use]
pub fn long_first(scene: Scene<'_>, spot: &Spot, short: &Stand) -> Option<Stand> {
    let Scene { oval, practice, .. } = scene;
    let tight = matches!(short.kind, StandKind::AlongLine { .. } | StandKind::Tangent { .. });
    if !tight || short.limit.is_none() {
        return None;
    }
    let (point, kind, toward) = one_way(scene, spot, short.toward.other())?;
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

/// Does anything keep an official from the full distance at a spot? Cheaper than [`stand`].
pub(crate) fn is_cut_short(scene: Scene<'_>, spot: &Spot, toward: End) -> bool {
    let Scene { oval, practice, .. } = scene;
    if at_the_post(oval, practice, spot) {
        return post_station(scene, spot.side, spot.end).limit.is_some();
    }
    clear_reach(scene, spot.point, spot.tangent_to(toward), practice.back_m.value).1.is_some()
}

/// The angle at the spot between the tangent and the point of the line [`Practice::back_m`] back along it.
///
/// On a circle of radius R it is d/2R: half the angle that the arc subtends at the centre. `None` where the
/// line is shorter.
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

#[cfg(test)]
mod tests {
    use super::super::clearance::hazards_beside;
    use super::*;
    use crate::boundary::Side;
    use crate::geometry::distance_to_segment;
    use crate::ground::FencePart;
    use crate::ground::Surroundings;
    use crate::ground::{Fence, Hazard, SpotRef, oval_for_tests as oval};

    fn spot(o: &Oval, metres: f64) -> Spot {
        o.spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres }, 25.0).unwrap()
    }

    #[test]
    fn fifteen_metres_along_the_tangent_outside_the_line() {
        // A 160 × 130 m ground: 15 m along it the tangent has left the line by 1.1 m on the wing and by 2.1 m
        // near the posts, about d²/2R.
        let o = oval(160.0, 130.0);
        let p = Practice::default();
        let around = Surroundings::default();
        let wing = o
            .spot(
                SpotRef::Named { side: Side::Left, end: End::A, name: crate::ground::NamedSpot::Wing },
                25.0,
            )
            .unwrap();
        let s = stand(Scene { oval: &o, around: &around, practice: &p }, &wing, End::A);
        assert!((s.point.distance_to(wing.point) - 15.0).abs() < 1e-9);
        assert!((s.outside_line_m - 1.1).abs() < 0.05, "{}", s.outside_line_m);
        let near = stand(Scene { oval: &o, around: &around, practice: &p }, &spot(&o, 20.0), End::A);
        // 20 m from the post the line bends a little less than at the post.
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
        let s = stand(
            Scene { oval: &o, around: &Surroundings::default(), practice: &Practice::default() },
            &spot(&o, 60.0),
            End::A,
        );
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
        assert_eq!(hazards_beside(Scene { oval: &o, around: &around, practice: &p }, at.point), [0, 1]);
    }

    #[test]
    fn near_goal_the_post_station() {
        let o = oval(165.0, 135.0);
        let p = Practice::default();
        for m in [0.0, 5.0, 14.9] {
            let s = stand(
                Scene { oval: &o, around: &Surroundings::default(), practice: &p },
                &spot(&o, m),
                End::A,
            );
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
        assert_eq!(
            stand(Scene { oval: &o, around: &Surroundings::default(), practice: &p }, &edge, End::A).kind,
            StandKind::Post
        );
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
        let free = stand(Scene { oval: &o, around: &fenced(5.0), practice: &p }, &at, End::A);
        assert!(free.limit.is_none());
        let tight = stand(Scene { oval: &o, around: &fenced(2.4), practice: &p }, &at, End::A);
        let StandKind::AlongLine { back_m, .. } = tight.kind else { panic!("{:?}", tight.kind) };
        assert!((12.0..15.0).contains(&back_m));
        // The corridor's edge touches the fence: out + 1 = 2.4 m. On the tangent, a little nearer, a ball
        // would not seem shifted at all, so here the shift is the most that counts as alike, 0.3 m.
        assert!((tight.outside_line_m - 1.4).abs() < 1e-4);
        let shift = |s: &Stand| view(&p, &at, s.point).can_tell_m().unwrap();
        assert!((shift(&tight) - 0.3).abs() < 1e-3, "{}", shift(&tight));
        assert_eq!(tight.limit, Some(Limit::Fence { distance_m: 2.4, part: FencePart::AllRound }));
        // Nowhere from 8 m on is the tangent clear.
        let hard = stand(Scene { oval: &o, around: &fenced(1.2), practice: &p }, &at, End::A);
        let StandKind::AlongLine { back_m, off_tangent_deg } = hard.kind else { panic!("{:?}", hard.kind) };
        assert!((8.0..11.0).contains(&back_m) && off_tangent_deg > 1.0);
        assert!((hard.outside_line_m - 0.2).abs() < 1e-6);
        // Less than the corridor's half-width: no corridor is clear, on either side.
        assert_eq!(
            stand(Scene { oval: &o, around: &fenced(0.9), practice: &p }, &at, End::A).kind,
            StandKind::NoPlace
        );
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
        let s = stand(Scene { oval: &o, around: &around, practice: &Practice::default() }, &at, End::A);
        // Clear on the tangent up to 12 m less the hazard's radius and the corridor's half-width. Farther
        // back, beside the hazard, is clear too, but there a ball seems shifted by too much.
        let back = s.point.distance_to(at.point);
        assert!((10.5 - 1e-6..15.0).contains(&back), "{back}");
        let shift = view(&Practice::default(), &at, s.point).can_tell_m().unwrap();
        assert!(shift <= 0.3 + 1e-6);
        let h = o.plan().to_ground(around.hazards[0].at);
        assert!(distance_to_segment(h, at.point, s.point) >= 1.5 - 1e-6);
        assert_eq!(s.limit, Some(Limit::Hazard(0)));
    }
}
