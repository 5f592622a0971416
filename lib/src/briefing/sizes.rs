//! The sizes of a ground.

use crate::boundary::Side;
use crate::ground::Ground;
use crate::units::Measured;

/// Sizes with their ±; `None` where a size can't be measured on every oval within the survey's uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizes {
    /// Goal line to goal line, m.
    pub length: Option<Measured>,
    /// The greatest width across the goal axis, max y − min y, m.
    pub width: Option<Measured>,
    /// Width at x = 0, m.
    pub width_at_wings: Option<Measured>,
    /// Half-width, left, m.
    pub half_width_left: Option<Measured>,
    /// Half-width, right, m.
    pub half_width_right: Option<Measured>,
    /// The length of both lines and both scoring ends, m.
    pub perimeter: Option<Measured>,
    /// The area inside them, m².
    pub area: Option<Measured>,
    /// Bearing of the goal axis to end A, degrees true.
    pub axis_deg: Option<Measured>,
}

impl Sizes {
    /// The sizes of a ground.
    #[must_use]
    pub fn of(g: &Ground) -> Self {
        Self {
            length: g.measure(|o| Some(o.length_m())),
            width: g.measure(|o| Some(o.boundary().width_m())),
            width_at_wings: g.measure(|o| o.width_at_wings_m()),
            half_width_left: g.measure(|o| Some(o.boundary().half_width_m(Side::Left))),
            half_width_right: g.measure(|o| Some(o.boundary().half_width_m(Side::Right))),
            perimeter: g.measure(|o| Some(o.boundary().perimeter_m())),
            area: g.measure(|o| Some(o.boundary().area_m2())),
            axis_deg: g.measure_deg(|o| Some(o.plan().axis().degrees())),
        }
    }
}
