//! The place outside the line with the best view of a crossing, where the full distance back along the
//! tangent is not clear.
//!
//! A place has two coordinates: its *arc*, the metres back along the line from the crossing P to the place's
//! foot, and how far it is straight out from that foot. The search covers arcs of 8 to 15 m, from the line
//! out to the tangent at P, and only places whose corridor from P is clear. From a place a ball seems shifted
//! by d·h/(e − h)·sin α (see `sight`). There d·sin α is how far inside the tangent the place is, so the shift
//! depends on that one distance alone. Hence for each arc the best place is the clear one that is farthest
//! out. Of the arcs whose shift is within a setting of the least, the search takes the farthest back, so that
//! the advice doesn't jump when a fence moves by 0.1 m.
//!
//! Whether a place is clear is decided with rays from P. Let f(β) be the fence's distance from the line at
//! arc β, and w the corridor's half-width. The corridor along a ray hits the fence beside β where the ray is
//! more than f(β) − w outside the line there. That is, where it passes outside W(β), the point f(β) − w
//! straight out from the line. So the ray to a place may be no farther out than the ray to W(β) for any
//! smaller arc β. Each hazard excludes a range of rays.
//!
//! The line is sampled every quarter of a metre, and where a stretch of fence begins or ends. The search
//! misses what is shorter than a sample and lies between two.

use super::scene::Scene;
use crate::boundary::{BoundaryPoint, End};
use crate::frame::Ground;
use crate::geometry::{Point, Vector, distance_to_segment};
use crate::ground::{FenceOn, Oval, Spot};
use crate::numeric::sort_by;
use crate::rules::Practice;

/// Steps of arc, m.
const STEP_M: f64 = 0.25;
/// Halvings within a step: to a thousandth of a millimetre.
const HALVINGS: u32 = 18;
/// Tolerance for rounding where a corridor just touches something, m.
const TOUCH_M: f64 = 1e-9;

/// A place beside the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    /// Where.
    pub(super) point: Point<Ground>,
    /// Metres of arc back from the crossing.
    pub(super) arc_m: f64,
    /// How far it is inside the tangent at the crossing, m.
    pub(super) inside_tangent_m: f64,
}

/// The best place toward an end's post; `None` where no corridor is clear.
pub(super) fn best_place(scene: Scene<'_>, spot: &Spot, toward: End) -> Option<Place> {
    let Scene { oval, around, practice } = scene;
    let search = Search::new(scene, spot, toward)?;
    let (least, most) = search.arcs(practice);
    let fence = around.fence.is_known().then(|| around.fence.on(oval));
    // The farthest out that a ray may be, given the fence up to this arc; 0 is along the tangent.
    let mut limit = 0.0f64;
    let mut seen: Vec<(f64, f64, Option<Place>)> = Vec::new();
    for arc in search.steps(fence.as_ref(), most) {
        let foot = search.foot(arc);
        limit = limit.min(search.fence_ray(fence.as_ref(), &foot)?);
        let place = if arc >= least - TOUCH_M { search.farthest_out(arc, &foot, limit) } else { None };
        seen.push((arc, limit, place));
    }
    let inside = |p: &Place| p.inside_tangent_m;
    let best = seen.iter().filter_map(|(.., p)| p.as_ref().map(inside)).min_by(f64::total_cmp)?;
    let enough = best + practice.shift_alike_m.value / search.shift_per_m + TOUCH_M;
    let i = seen.iter().rposition(|(.., p)| p.is_some_and(|p| inside(&p) <= enough))?;
    let (arc, limit, found) = seen[i];
    let mut found = found?;
    // Bisect for the last arc that will do, between this step and the next.
    if let Some(&(next, ..)) = seen.get(i + 1) {
        let (mut lo, mut hi) = (arc, next);
        for _ in 0..HALVINGS {
            let mid = 0.5 * (lo + hi);
            let foot = search.foot(mid);
            let ray = search.fence_ray(fence.as_ref(), &foot).map_or(f64::NEG_INFINITY, |r| r.min(limit));
            match search.farthest_out(mid, &foot, ray).filter(|p| inside(p) <= enough) {
                Some(place) => (found, lo) = (place, mid),
                None => hi = mid,
            }
        }
    }
    Some(found)
}

struct Search<'a> {
    oval: &'a Oval,
    spot: &'a Spot,
    toward: End,
    /// Back along the tangent.
    back: Vector<Ground>,
    /// Half the corridor's width, m.
    wide: f64,
    /// Hazards near by: where, and how far the corridor's middle must keep off, m.
    hazards: Vec<(Point<Ground>, f64)>,
    /// How many metres a ball seems shifted for each metre that the place is inside the tangent.
    shift_per_m: f64,
}

impl<'a> Search<'a> {
    /// `None` where a hazard is too near the crossing itself.
    fn new(scene: Scene<'a>, spot: &'a Spot, toward: End) -> Option<Self> {
        let Scene { oval, around, practice } = scene;
        let wide = practice.corridor_m.value;
        // No place is farther from the crossing than its arc plus as much again outside the line.
        let reach = 2.0 * practice.back_m.value;
        let hazards: Vec<(Point<Ground>, f64)> = around
            .hazards
            .iter()
            .map(|h| (oval.plan().to_ground(h.at), h.radius_m))
            .filter(|(at, r)| {
                at.distance_to(spot.point) <= reach + r + wide && oval.boundary().outside_m(*at) >= -r
            })
            .map(|(at, r)| (at, r + wide))
            .collect();
        if hazards.iter().any(|(at, keep)| at.distance_to(spot.point) < *keep) {
            return None;
        }
        let (eye, ball) = (practice.eye_m.value, practice.ball_height_m.value);
        // A ball as high as the eyes is never seen against the ground: then any factor ranks places by their
        // distance from the tangent.
        let shift_per_m = if ball < eye { ball / (eye - ball) } else { 1.0 };
        Some(Self {
            oval,
            spot,
            toward,
            back: spot.tangent_to(toward),
            wide,
            hazards,
            shift_per_m: shift_per_m.max(f64::MIN_POSITIVE),
        })
    }

    /// The least and the most arc back.
    fn arcs(&self, practice: &Practice) -> (f64, f64) {
        let most = practice.back_m.value.min(self.spot.to_post_m(self.toward));
        (practice.back_least_m.value.min(most), most)
    }

    /// The arcs to sample, from the crossing to the farthest.
    fn steps(&self, fence: Option<&FenceOn<'_>>, most: f64) -> Vec<f64> {
        // Some 60 steps for 15 m.
        let n = (most / STEP_M).ceil().clamp(1.0, 10_000.0) as u32;
        let mut all: Vec<f64> = (0..=n).map(|k| most * f64::from(k) / f64::from(n)).collect();
        let post = self.spot.to_post_m(self.toward);
        let edges = fence.map(FenceOn::edges).unwrap_or_default();
        for edge in edges {
            let arc = self.oval.boundary().to_post_m(edge, self.toward).map(|to_post| post - to_post);
            // Just before and just after the edge.
            let both = arc.into_iter().flat_map(|a| [a - 1e-6, a + 1e-6]);
            all.extend(both.filter(|a| (0.0..=most).contains(a)));
        }
        sort_by(&mut all, f64::total_cmp);
        all
    }

    fn foot(&self, arc: f64) -> BoundaryPoint {
        let b = self.oval.boundary();
        let to_post = self.spot.to_post_m(self.toward) - arc;
        b.at(b.chainage_from_post_m(self.spot.side, self.toward, to_post))
    }

    /// The angle of the ray from the crossing to a place, outward from the tangent.
    fn ray(&self, p: Point<Ground>) -> f64 {
        let v = p - self.spot.point;
        v.dot(self.spot.normal).atan2(v.dot(self.back))
    }

    /// The farthest out that a ray may pass beside a foot; `None` where the foot is the crossing itself and
    /// the fence is nearer to it than the corridor's half-width.
    fn fence_ray(&self, fence: Option<&FenceOn<'_>>, foot: &BoundaryPoint) -> Option<f64> {
        let Some(distance) = fence.and_then(|f| f.distance_at(foot.chainage_m)) else {
            return Some(f64::MAX);
        };
        let spare = distance - self.wide;
        if foot.point.distance_to(self.spot.point) < TOUCH_M {
            return (spare >= 0.0).then_some(f64::MAX);
        }
        Some(self.ray(foot.point + foot.normal * spare))
    }

    /// How far straight out from a foot a ray passes.
    fn out_on(&self, foot: &BoundaryPoint, ray: f64) -> f64 {
        let d = self.back * ray.cos() + self.spot.normal * ray.sin();
        let v = self.spot.point - foot.point;
        v.cross(d) / foot.normal.cross(d)
    }

    /// A hazard that the corridor to a place runs into: where it is, and how far to keep off.
    fn met(&self, p: Point<Ground>) -> Option<(Point<Ground>, f64)> {
        let from = self.spot.point;
        self.hazards.iter().copied().find(|(at, keep)| distance_to_segment(*at, from, p) < keep - TOUCH_M)
    }

    /// The place farthest out from a foot, no farther than a ray and the tangent, whose corridor is clear.
    fn farthest_out(&self, arc: f64, foot: &BoundaryPoint, ray: f64) -> Option<Place> {
        let at = |out: f64| foot.point + foot.normal * out;
        let mut out = self.out_on(foot, ray.min(0.0));
        // Each turn passes one hazard inward.
        for _ in 0..=self.hazards.len() {
            if !(out.is_finite() && out >= -TOUCH_M) {
                return None;
            }
            let Some((hazard, keep)) = self.met(at(out)) else {
                let point = at(out.max(0.0));
                let inside = -(point - self.spot.point).dot(self.spot.normal);
                return Some(Place { point, arc_m: arc, inside_tangent_m: inside.max(0.0) });
            };
            // The ray that touches the hazard on its inside is clear of it along its whole length.
            let v = hazard - self.spot.point;
            let touching = self.ray(hazard) - (keep / v.length()).min(1.0).asin();
            let clear = |o: f64| distance_to_segment(hazard, self.spot.point, at(o)) >= keep - TOUCH_M;
            let (mut lo, mut hi) = (self.out_on(foot, touching).min(out).max(0.0), out);
            if !clear(lo) {
                return None;
            }
            for _ in 0..40 {
                let mid = 0.5 * (lo + hi);
                if clear(mid) { lo = mid } else { hi = mid }
            }
            out = lo;
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::Side;
    use crate::ground::Surroundings;
    use crate::ground::{Fence, Hazard, SpotRef, TightFence, oval_for_tests as oval};
    use crate::officiate::{StandKind, stand, view};

    fn spot(o: &Oval, metres: f64) -> Spot {
        o.spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres }, 25.0).unwrap()
    }

    /// Is the corridor to a place clear? By samples 0.1 m apart, each tested by the definition.
    fn is_clear(o: &Oval, around: &Surroundings, from: Point<Ground>, to: Point<Ground>) -> bool {
        let n = 150;
        let fence = around.fence.on(o);
        let beside_fence = (0..=n).all(|k| {
            let p = from + (to - from) * (f64::from(k) / f64::from(n));
            let foot = o.boundary().nearest(p);
            fence.distance_at(foot.chainage_m).is_none_or(|f| foot.signed_distance_m + 1.0 <= f + 1e-6)
        });
        beside_fence
            && around.hazards.iter().all(|h| {
                let at = o.plan().to_ground(h.at);
                distance_to_segment(at, from, to) >= h.radius_m + 1.0 - 1e-6
                    || o.boundary().outside_m(at) < -h.radius_m
            })
    }

    /// The best place by brute force over a grid: its arc, and how far it is inside the tangent.
    fn by_counting(o: &Oval, around: &Surroundings, at: &Spot) -> Option<(f64, f64)> {
        let b = o.boundary();
        let mut all = Vec::new();
        for i in 0..=70 {
            let arc = 8.0 + 0.1 * f64::from(i);
            let foot = b.at(b.chainage_from_post_m(at.side, End::A, at.to_post_m(End::A) - arc));
            for j in (0..=120).rev() {
                let p = foot.point + foot.normal * (0.02 * f64::from(j));
                let inside = -(p - at.point).dot(at.normal);
                if inside >= -1e-9 && is_clear(o, around, at.point, p) {
                    all.push((arc, inside));
                    break;
                }
            }
        }
        let least = all.iter().map(|p| p.1).min_by(f64::total_cmp)?;
        all.into_iter().rev().find(|p| p.1 <= least + 0.3 * 0.7)
    }

    fn tight(o: &Oval, metres: f64, distance_m: f64, along_m: f64) -> TightFence {
        TightFence { at: o.plan().to_local(spot(o, metres).point), distance_m, along_m }
    }

    #[test]
    fn as_counted_over_all_places() {
        let o = oval(165.0, 135.0);
        let hazard = |metres: f64, out: f64, radius_m: f64| {
            let s = spot(&o, metres);
            Hazard { name: "tap".into(), at: o.plan().to_local(s.point + s.normal * out), radius_m }
        };
        let fence =
            |all: Option<f64>, tight: Vec<TightFence>| Fence { distance_m: all, tight, ..Fence::default() };
        let grounds = [
            Surroundings { fence: fence(Some(2.2), vec![]), ..Surroundings::default() },
            Surroundings { fence: fence(Some(1.3), vec![]), ..Surroundings::default() },
            Surroundings {
                fence: fence(Some(4.0), vec![tight(&o, 45.0, 1.4, 12.0)]),
                ..Surroundings::default()
            },
            Surroundings { hazards: vec![hazard(45.0, 1.8, 0.4)], ..Surroundings::default() },
            Surroundings {
                hazards: vec![hazard(48.0, 1.2, 0.2), hazard(40.0, 2.0, 0.5)],
                fence: fence(Some(2.6), vec![]),
                ..Surroundings::default()
            },
        ];
        let (p, mut found) = (Practice::default(), 0);
        for around in &grounds {
            for metres in [42.0, 47.0, 52.0, 56.0, 60.0, 65.0] {
                let at = spot(&o, metres);
                let want = by_counting(&o, around, &at);
                let got = best_place(Scene { oval: &o, around, practice: &p }, &at, End::A);
                assert_eq!(got.is_some(), want.is_some(), "{metres} {got:?} {want:?}");
                if let (Some(got), Some((arc, inside))) = (got, want) {
                    found += 1;
                    // The place may lie exactly where a tight stretch begins, so test a point just short of
                    // it.
                    let end = at.point + (got.point - at.point) * (1.0 - 1e-6);
                    assert!(is_clear(&o, around, at.point, end), "{metres} {got:?}");
                    // The grid's steps are 0.1 m of arc and 0.02 m out. The tangent falls away by at most
                    // 0.2 m a metre there, so the arc can be one more step off.
                    assert!((got.arc_m - arc).abs() < 0.25, "{metres} {got:?} {arc} {inside}");
                    // And nothing farther out is clear at that arc, in steps of 0.01 m.
                    let b = o.boundary();
                    let foot =
                        b.at(b.chainage_from_post_m(at.side, End::A, at.to_post_m(End::A) - got.arc_m));
                    let out = (got.point - foot.point).dot(foot.normal);
                    let farther =
                        (1..=200).map(|j| foot.point + foot.normal * (out + 0.01 * f64::from(j))).find(|p| {
                            (*p - at.point).dot(at.normal) <= 0.0 && is_clear(&o, around, at.point, *p)
                        });
                    assert_eq!(farther, None, "{metres} {got:?}");
                }
            }
        }
        assert!(found > 20, "{found}");
    }

    #[test]
    fn advice_does_not_jump_to_a_place_that_sees_worse() {
        // As the fence closes in by 0.05 m at a time, or the ball moves by 0.1 m, the shift at the stand
        // changes by little.
        let (o, p) = (oval(165.0, 135.0), Practice::default());
        let shift = |metres: f64, fence_m: f64| {
            let around = Surroundings {
                fence: Fence {
                    distance_m: Some(5.0),
                    tight: vec![tight(&o, 60.0, fence_m, 24.0)],
                    ..Fence::default()
                },
                ..Surroundings::default()
            };
            let at = spot(&o, metres);
            let s = stand(Scene { oval: &o, around: &around, practice: &p }, &at, End::A);
            (view(&p, &at, s.point).can_tell_m().unwrap(), s)
        };
        let mut d = 3.0;
        while d > 1.05 {
            let (a, b) = (shift(66.0, d).0, shift(66.0, d - 0.05).0);
            // 0.05 m farther in is 0.07 m of shift; besides, the shift may vary within what counts as alike.
            assert!((a - b).abs() <= 0.3 + 0.08, "{d} {a} {b}");
            d -= 0.05;
        }
        for k in 0..250 {
            let (m, n) = (60.0 + 0.1 * f64::from(k), 60.1 + 0.1 * f64::from(k));
            let ((a, s), (b, t)) = (shift(m, 1.6), shift(n, 1.6));
            assert!(matches!(s.kind, StandKind::Tangent { .. } | StandKind::AlongLine { .. }));
            assert!((a - b).abs() <= 0.3 + 0.08, "{m} {a} {b} {s:?} {t:?}");
        }
    }
}
