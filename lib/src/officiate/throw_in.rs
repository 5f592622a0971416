//! The throw-in: toward the centre, straighter near the behind post.

use crate::frame::Ground;
use crate::geometry::{Point, Vector};
use crate::ground::{self, NoSpot, Spot, SpotRef};
use crate::rules::Practice;
use crate::units::Measured;

/// How a ball is thrown in from a spot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThrowIn {
    /// Unit vector of the throw.
    pub aim: Vector<Ground>,
    /// Unit vector that the thrower faces, back to play: the aim reversed.
    pub face: Vector<Ground>,
    /// Where it lands.
    pub landing: Point<Ground>,
    /// Is the aim closer to parallel to the goal axis than the direction to the centre?
    pub straightened: bool,
    /// Angle between the aim and the goal axis, degrees.
    pub axis_angle_deg: f64,
}

/// The throw-in at a spot.
///
/// Let θc be the angle between the direction to the centre and the goal axis, T the length of the throw and h
/// the distance to keep off the axis. The aim makes the angle θ = min(θc, asin(clamp((|y| − h)/T, 0, 1)))
/// with the goal axis, toward the axis and away from the near goal line. So a ball lands at least min(|y|, h)
/// off the axis, and is never aimed away from the axis.
///
/// The aim is continuous along each line where the ground's half-width is at least T + h (30 m by default).
/// On a narrower ground it jumps at x = 0.
#[must_use]
pub fn throw_in(practice: &Practice, spot: &Spot) -> ThrowIn {
    let (t, h) = (practice.throw_m.value, practice.throw_clear_m.value);
    let p = spot.point;
    let to_centre = p.y.abs().atan2(p.x.abs());
    let clear = if t > 0.0 { ((p.y.abs() - h) / t).clamp(0.0, 1.0).asin() } else { 0.0 };
    let angle = to_centre.min(clear);
    let (sin, cos) = angle.sin_cos();
    // `signum` of 0 is +1. That does no harm at the wing, where the angle is 90° and the cosine 0.
    let aim = Vector::new(-p.x.signum() * cos, -p.y.signum() * sin);
    ThrowIn {
        aim,
        face: -aim,
        landing: p + aim * t,
        straightened: angle < to_centre,
        axis_angle_deg: angle.to_degrees(),
    }
}

/// The true bearing of the throw from a spot of a ground, degrees, with its standard deviation.
///
/// # Errors
/// [`NoSpot`] where the reference names no spot of this ground, or may name none within the ground's
/// uncertainty.
pub fn throw_in_deg(ground: &ground::Ground, reference: SpotRef) -> Result<Measured, NoSpot> {
    let practice = &ground.oval().rules().practice;
    let range = practice.goal_range_m.value;
    ground.oval().spot(reference, range)?;
    let aimed = ground.measure_deg(|oval| {
        let spot = oval.spot_held(reference, range).ok()?;
        Some(oval.plan().bearing(throw_in(practice, &spot).aim).ok()?.degrees())
    });
    aimed.ok_or(NoSpot::NotForSure)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::{End, Side};
    use crate::ground::oval_for_tests as oval;
    use crate::ground::{Oval, SpotRef};

    fn at(o: &Oval, side: Side, end: End, metres: f64) -> ThrowIn {
        let s = o.spot(SpotRef::FromPost { side, end, metres }, 25.0).unwrap();
        throw_in(&Practice::default(), &s)
    }

    #[test]
    fn toward_the_centre_away_from_the_posts() {
        let o = oval(165.0, 135.0);
        let s = o.spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres: 90.0 }, 25.0).unwrap();
        let t = throw_in(&Practice::default(), &s);
        assert!(!t.straightened);
        assert!((Point::ORIGIN - s.point).angle_to_deg(t.aim) < 1e-9);
        // Common practice, no source: the throw is 15 m.
        assert!((t.landing.distance_to(s.point) - 15.0).abs() < 1e-12);
    }

    #[test]
    fn parallel_to_the_axis_at_the_post_and_lands_clear() {
        let o = oval(165.0, 135.0);
        let t = at(&o, Side::Right, End::B, 0.0);
        assert!(t.straightened && t.aim.x > 0.999_999 && t.aim.y.abs() < 1e-9);
        for m in 0..200 {
            let s = o
                .spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres: f64::from(m) }, 25.0)
                .unwrap();
            let t = throw_in(&Practice::default(), &s);
            assert!(t.landing.y.abs() >= s.point.y.abs().min(15.0) - 1e-9, "{m}");
            assert!(t.aim.y <= 1e-12, "never past parallel");
        }
    }

    #[test]
    fn four_fold_symmetric_and_continuous() {
        let o = oval(165.0, 135.0);
        let mut before: Option<Vector<Ground>> = None;
        let n = 2000;
        for i in 0..=n {
            let m = o.boundary().line_length_m(Side::Left) * f64::from(i) / f64::from(n);
            let a = at(&o, Side::Left, End::A, m).aim;
            for (side, end, sx, sy) in [
                (Side::Right, End::A, 1.0, -1.0),
                (Side::Left, End::B, -1.0, 1.0),
                (Side::Right, End::B, -1.0, -1.0),
            ] {
                let b = at(&o, side, end, m).aim;
                assert!((a.x - sx * b.x).abs() < 1e-6 && (a.y - sy * b.y).abs() < 1e-6, "{m}");
            }
            if let Some(b) = before {
                // 0.12 m along the line: the aim turns fastest where (|y| − h)/T is near 0 and 1.
                assert!(b.angle_to_deg(a) < 6.0, "{m}");
            }
            before = Some(a);
        }
    }
}
