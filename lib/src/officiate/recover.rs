//! For an official caught behind play: how far outside the line to go to see along it again.

use super::clearance::clear_out;
use super::scene::Scene;
use super::sight::{View, view};
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::Spot;

/// Where an official who is caught behind play can see a crossing best.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recovery {
    /// The place to go to, level with where the official is.
    pub point: Point<Ground>,
    /// How far outside the line that is, m: from the line, not from the official.
    pub out_m: f64,
    /// How far outside the line the official is, m; negative inside.
    pub is_out_m: f64,
    /// How far outside the line the tangent at the crossing is: from there one sees along the line. `None`
    /// where no step outward reaches it.
    pub wanted_m: Option<f64>,
    /// The view of the crossing from `point`.
    pub view: View,
    /// Is `point` on the tangent, with nothing hidden? If not, run on, and near goal look to the goal umpire.
    pub restored: bool,
    /// Was the run-off there surveyed? If not, whether there is room for `out_m` is not known.
    pub run_off_known: bool,
}

/// The best view of a crossing for an official level with their own place on the line: straight out from it
/// to the tangent at the crossing, or as far as fence and hazards allow. Where the tangent is farther out
/// than [`back_m`](crate::rules::Practice::back_m) the run is not worth it, and the place is on the line.
///
/// `None` where the official is nearest to the other line.
#[must_use]
pub fn recover(scene: Scene<'_>, official: Point<Ground>, crossing: &Spot) -> Option<Recovery> {
    let Scene { oval, around, practice } = scene;
    let foot = oval.boundary().nearest(official);
    if foot.side != crossing.side {
        return None;
    }
    let on = oval.boundary().at(foot.chainage_m);
    // (foot + t·n − P)·N = 0: the step out meets the tangent of the crossing.
    let inside = (crossing.point - on.point).dot(crossing.normal);
    let rate = on.normal.dot(crossing.normal);
    let wanted_m = (rate > 1e-6).then(|| (inside / rate).max(0.0));
    let wide = practice.corridor_m.value;
    // A run farther out than the usual distance back is not worth it: the line itself is better.
    let reach = wanted_m.filter(|m| *m <= practice.back_m.value).unwrap_or(0.0);
    let out_m = clear_out(oval, around, &on, reach, wide);
    let point = on.point + on.normal * out_m;
    Some(Recovery {
        point,
        out_m,
        is_out_m: foot.signed_distance_m,
        wanted_m,
        view: view(practice, crossing, point),
        restored: wanted_m.is_some_and(|m| out_m >= m - 1e-9),
        run_off_known: around.fence.distance_at(oval, foot.chainage_m).is_some(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::{End, Outline, Side};
    use crate::ground::Oval;
    use crate::ground::Surroundings;
    use crate::ground::{Fence, SpotRef};
    use crate::rules::Practice;

    fn circle(r: f64) -> Oval {
        let half = (r * r - 9.6f64 * 9.6).sqrt();
        let outline = Outline::from_parameters(&[0.0, 0.0, r, r, 0.0, 0.0, 0.0, 0.0, half]).unwrap();
        Oval::new(&outline, crate::rules::RuleSet::laws()).unwrap()
    }

    fn spot(o: &Oval, metres: f64) -> Spot {
        o.spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres }, 25.0).unwrap()
    }

    #[test]
    fn on_a_circle_the_step_out_is_r_over_cosine() {
        // From the circle's point an angle φ on, straight out to the tangent at P: R/cos φ − R.
        let r = 75.0;
        let o = circle(r);
        let (p, me) = (spot(&o, 40.0), spot(&o, 70.0));
        let phi: f64 = 30.0 / r;
        let got = recover(
            Scene { oval: &o, around: &Surroundings::default(), practice: &Practice::default() },
            me.point,
            &p,
        )
        .unwrap();
        assert!((got.out_m - (r / phi.cos() - r)).abs() < 1e-6, "{}", got.out_m);
        assert!(got.restored && !got.run_off_known && got.view.can_tell_m().unwrap() < 1e-6);
    }

    #[test]
    fn nobody_is_sent_out_of_sight_for_a_view() {
        // A third of the circle on, the tangent is 75/cos 60° − 75 = 75 m out.
        let o = circle(75.0);
        let (p, me) = (spot(&o, 40.0), spot(&o, 40.0 + 75.0 * std::f64::consts::FRAC_PI_3));
        let got = recover(
            Scene { oval: &o, around: &Surroundings::default(), practice: &Practice::default() },
            me.point,
            &p,
        )
        .unwrap();
        assert!((got.wanted_m.unwrap() - 75.0).abs() < 1e-6);
        assert!(got.out_m < 1e-9 && !got.restored);
    }

    #[test]
    fn a_fence_leaves_the_goal_umpire_to_look_to() {
        let o = circle(75.0);
        let (p, me) = (spot(&o, 40.0), spot(&o, 70.0));
        let around = Surroundings {
            fence: Fence { distance_m: Some(4.0), ..Fence::default() },
            ..Surroundings::default()
        };
        let got = recover(Scene { oval: &o, around: &around, practice: &Practice::default() }, me.point, &p)
            .unwrap();
        // 4 m of run-off less the corridor's half-width.
        assert!((got.out_m - 3.0).abs() < 1e-9 && !got.restored && got.run_off_known);
        assert!(got.view.off_tangent_deg > 0.0);
        let other = o.spot(SpotRef::FromPost { side: Side::Right, end: End::A, metres: 70.0 }, 25.0).unwrap();
        assert!(
            recover(Scene { oval: &o, around: &around, practice: &Practice::default() }, other.point, &p)
                .is_none()
        );
    }
}
