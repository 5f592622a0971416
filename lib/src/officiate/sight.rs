//! What can be seen of the line from a place: how far over a ball must be before a person there
//! can tell.
//!
//! A ball at height h that crosses the line at P is seen against the ground behind it. From eyes at height e,
//! d away in plan, the line of sight past the ball meets the ground d·h/(e − h) beyond it (similar
//! triangles). With α the angle between the line of sight and the tangent at P, that place is
//! d·h/(e − h)·sin α farther from the line than the ball is. A ball at h = 0 is seen where it is.
//!
//! So from inside the tangent a ball seems farther out than it is, and from outside it farther in. The height
//! of a ball may be anything from 0 to h, so an official can tell that it is out only when it is over by more
//! than that shift. From the tangent itself there is no shift. A ball as high as the eyes, or higher, has no
//! ground behind it.

use crate::frame::Ground;
use crate::geometry::{Point, Vector};
use crate::ground::Spot;
use crate::rules::Practice;

/// The view of the line at a spot, from a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// Distance in plan from the eyes to the spot, m.
    pub distance_m: f64,
    /// Angle between the line of sight and the tangent at the spot, degrees, −90 to 90: positive where the
    /// eyes are on the ground's side of the tangent, negative outside it.
    pub off_tangent_deg: f64,
    /// How much farther out than it is a ball at the practice's height seems, m; negative where it seems
    /// farther in. `None` where the ball is as high as the eyes, so that nobody can tell from here.
    pub seems_out_m: Option<f64>,
}

/// Who can tell a ball that is so little over sees along the line, m.
const ALONG_M: f64 = 0.05;

impl View {
    /// Does one see along the line from here?
    #[must_use]
    pub fn is_along(&self) -> bool {
        self.can_tell_m().is_some_and(|over| over < ALONG_M)
    }

    /// How far over a ball must be before a person here can tell, m; `None` where nobody can tell from here.
    #[must_use]
    pub fn can_tell_m(&self) -> Option<f64> {
        self.seems_out_m.map(f64::abs)
    }
}

/// The view of the line at a spot from `eyes`, for a ball at the practice's height.
#[must_use]
pub fn view(practice: &Practice, spot: &Spot, eyes: Point<Ground>) -> View {
    view_at_height(practice, spot, eyes, practice.ball_height_m.value)
}

/// As [`view`], for a ball `ball_m` above the ground.
///
/// # Examples
/// Seen from 15 m away with eyes at 1.7 m and 4.2° off the tangent, a ball 1 m up seems 1.6 m farther out
/// than it is.
/// ```
/// # use ovalpeg::officiate::seems_out_m;
/// let shift = seems_out_m(15.0, 1.7, 1.0, 4.2).unwrap();
/// assert!((shift - 1.57).abs() < 0.01);
/// assert_eq!(seems_out_m(15.0, 1.7, 1.7, 4.2), None);
/// ```
#[must_use]
pub fn view_at_height(practice: &Practice, spot: &Spot, eyes: Point<Ground>, ball_m: f64) -> View {
    let sight = spot.point - eyes;
    let distance_m = sight.length();
    // The angle off the tangent, from how far inside the tangent the eyes are and how far along it.
    let inside = sight.dot(spot.normal);
    let along = sight.dot(spot.tangent).abs();
    let off_tangent_deg = inside.atan2(along).to_degrees();
    View {
        distance_m,
        off_tangent_deg,
        seems_out_m: seems_out_m(distance_m, practice.eye_m.value, ball_m, off_tangent_deg),
    }
}

/// How much farther out than it is a ball seems, d·h/(e − h)·sin α, m. `None` at h ≥ e.
#[must_use]
pub fn seems_out_m(distance_m: f64, eye_m: f64, ball_m: f64, off_tangent_deg: f64) -> Option<f64> {
    (ball_m < eye_m).then(|| distance_m * ball_m / (eye_m - ball_m) * off_tangent_deg.to_radians().sin())
}

/// Unit vector from one place to another; `or` where the two coincide.
pub(super) fn look(from: Point<Ground>, to: Point<Ground>, or: Vector<Ground>) -> Vector<Ground> {
    (to - from).unit().unwrap_or(or)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::{End, Outline, Side};
    use crate::ground::{Oval, SpotRef};

    /// Both lines on a circle of radius 75 m.
    fn circle() -> (f64, Oval) {
        let r = 75.0;
        let half = (r * r - 9.6f64 * 9.6).sqrt();
        let outline = Outline::from_parameters(&[0.0, 0.0, r, r, 0.0, 0.0, 0.0, 0.0, half]).unwrap();
        (r, Oval::new(&outline, crate::rules::RuleSet::laws()).unwrap())
    }

    fn spot(o: &Oval, metres: f64) -> Spot {
        o.spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres }, 25.0).unwrap()
    }

    #[test]
    fn feet_on_a_circle_have_a_closed_form() {
        // The chord over an arc s subtends α = s/2R with the tangent and is 2R sin α long, so a ball
        // seems out by 2R sin²α · h/(e − h).
        let (r, o) = circle();
        let p = Practice::default();
        for back in [5.0, 15.0, 40.0] {
            let (at, feet) = (spot(&o, 80.0), spot(&o, 80.0 - back));
            let v = view(&p, &at, feet.point);
            let alpha: f64 = back / (2.0 * r);
            assert!((v.off_tangent_deg - alpha.to_degrees()).abs() < 1e-6);
            let want = 2.0 * r * alpha.sin().powi(2) / 0.7;
            assert!((v.seems_out_m.unwrap() - want).abs() < 1e-6, "{back}");
        }
    }

    #[test]
    fn on_the_tangent_nothing_hides_and_outside_it_balls_seem_in() {
        let (_, o) = circle();
        let p = Practice::default();
        let at = spot(&o, 60.0);
        let on = at.point + at.tangent_to(End::A) * 15.0;
        assert!(view(&p, &at, on).can_tell_m().unwrap() < 1e-9);
        let out = view(&p, &at, on + at.normal * 2.0);
        assert!(out.seems_out_m.unwrap() < 0.0 && out.off_tangent_deg < 0.0);
        assert!(view_at_height(&p, &at, on, 1.7).can_tell_m().is_none());
    }

    #[test]
    fn a_straight_line_seen_from_beside_it() {
        // From c inside a straight line and a along it: d sin α = c whatever a is, so the
        // ball seems out by c·h/(e − h).
        let (_, o) = circle();
        let at = spot(&o, 60.0);
        let p = Practice::default();
        for along in [2.0, 15.0, 60.0] {
            let eyes = at.point + at.tangent * along - at.normal * 0.7;
            assert!((view(&p, &at, eyes).seems_out_m.unwrap() - 0.7 / 0.7).abs() < 1e-9);
        }
    }

    #[test]
    fn monotone_in_height_distance_and_angle() {
        let steps: Vec<f64> = (0..20).map(f64::from).collect();
        let rising = |f: &dyn Fn(f64) -> f64| steps.windows(2).all(|w| f(w[1]) > f(w[0]));
        assert!(rising(&|i| seems_out_m(15.0, 1.7, 0.08 * i, 5.0).unwrap()));
        assert!(rising(&|i| seems_out_m(1.0 + i, 1.7, 1.0, 5.0).unwrap()));
        assert!(rising(&|i| seems_out_m(15.0, 1.7, 1.0, 4.0 * i).unwrap()));
        assert!(rising(&|i| -seems_out_m(15.0, 1.7 + 0.1 * i, 1.0, 5.0).unwrap()));
    }
}
