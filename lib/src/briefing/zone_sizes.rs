//! Areas of a ground's zones with their ±.

use crate::ground::Ground;
use crate::units::Measured;

/// Areas of the zones, m².
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZoneSizes {
    /// Inside the arc of end A.
    pub arc_a: Measured,
    /// Inside the arc of end B.
    pub arc_b: Measured,
    /// The centre square; `None` where the ground has none.
    pub square: Option<Measured>,
    /// The left wing; `None` without a square, since it bounds the wings.
    pub wing_left: Option<Measured>,
    /// The right wing.
    pub wing_right: Option<Measured>,
}

impl ZoneSizes {
    /// The areas of a ground's zones; `None` where the survey is too rough to say.
    #[must_use]
    pub fn of(ground: &Ground) -> Option<Self> {
        let [arc_a, arc_b, square, wing_left, wing_right] = ground.measure_each(|o| {
            let z = o.zone_areas();
            Some([Some(z.arc_a), Some(z.arc_b), z.square, z.wing_left, z.wing_right])
        })?;
        Some(Self { arc_a: arc_a?, arc_b: arc_b?, square, wing_left, wing_right })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::Spread;
    use crate::ground::outline_for_tests;
    use crate::rules::RuleSet;

    #[test]
    fn the_wings_grow_with_the_ground_and_the_square_does_not() {
        let mut spread = Spread::none();
        // A standard deviation of 0.5 m in both half-widths together.
        spread.add_axis([0.0, 0.0, 0.0, 0.5, 0.0, 0.0, 0.0, 0.0, 0.0]);
        let g = Ground::new(&outline_for_tests(165.0, 135.0), &spread, RuleSet::laws()).unwrap();
        let z = ZoneSizes::of(&g).unwrap();
        let (square, wing) = (z.square.unwrap(), z.wing_left.unwrap());
        assert!(square.sd() < 1e-6 && (square.value() - 2500.0).abs() < 1e-6);
        // About half a metre times some 100 m of wing, whose ends are wedges.
        assert!((30.0..60.0).contains(&wing.sd()), "{}", wing.sd());
    }
}
