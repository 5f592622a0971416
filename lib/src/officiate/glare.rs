//! The sun in an official's eyes.

use crate::frame::Ground;
use crate::geometry::Vector;
use crate::rules::Practice;

/// The sun, as seen from a ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sun {
    /// Unit vector toward it, in plan.
    pub toward: Vector<Ground>,
    /// Height above the horizon, degrees; negative where the sun is down.
    pub high_deg: f64,
}

/// Does an official who looks in the direction `look` have the sun in their eyes? They do where the sun is
/// within 30° of it in plan and between 0° and 25° high (both limits are practices).
#[must_use]
pub fn in_glare(practice: &Practice, look: Vector<Ground>, sun: &Sun) -> bool {
    (0.0..=practice.glare_high_deg.value).contains(&sun.high_deg)
        && look.angle_to_deg(sun.toward) <= practice.glare_deg.value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn within_thirty_degrees_and_below_twenty_five() {
        // Common practice, no source: 30° in plan, 0° to 25° high.
        let p = Practice::default();
        let sun = |turn: f64, high_deg| Sun { toward: Vector::at_angle(turn.to_radians()), high_deg };
        let look = Vector::new(1.0, 0.0);
        assert!(in_glare(&p, look, &sun(29.9, 24.9)) && in_glare(&p, look, &sun(-29.9, 0.0)));
        assert!(!in_glare(&p, look, &sun(30.1, 10.0)) && !in_glare(&p, look, &sun(0.0, 25.1)));
        assert!(!in_glare(&p, look, &sun(0.0, -0.1)) && !in_glare(&p, look, &sun(180.0, 10.0)));
    }
}
