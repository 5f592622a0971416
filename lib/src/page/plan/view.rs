//! From the ground to the page: end A up, the left side left.

use super::space::Place;
use crate::frame::Ground as GroundFrame;
use crate::geometry::{Point, Vector};

/// Where the ground lies on the page, and how small.
#[derive(Debug, Clone, Copy)]
pub(super) struct View {
    /// What of the ground is at `middle`.
    of: Point<GroundFrame>,
    middle: Place,
    mm_per_m: f64,
}

impl View {
    pub(super) fn new(of: Point<GroundFrame>, middle: Place, mm_per_m: f64) -> Self {
        Self { of, middle, mm_per_m }
    }

    /// Millimetres of paper a metre of ground.
    pub(super) fn mm_per_m(&self) -> f64 {
        self.mm_per_m
    }

    /// A place of the ground. x to end A is up, y to the left is left.
    pub(super) fn at(&self, p: Point<GroundFrame>) -> Place {
        (self.middle.0 - (p.y - self.of.y) * self.mm_per_m, self.middle.1 - (p.x - self.of.x) * self.mm_per_m)
    }

    /// A direction of the ground, its length as it is.
    pub(super) fn way(v: Vector<GroundFrame>) -> Place {
        (-v.y, -v.x)
    }
}

/// So far from a place in a direction.
pub(super) fn off(p: Place, way: Place, by: f64) -> Place {
    (p.0 + way.0 * by, p.1 + way.1 * by)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn end_a_is_up_and_left_is_left() {
        let v = View::new(Point::ORIGIN, (74.0, 105.0), 0.6);
        let (x, y) = v.at(Point::new(80.0, 0.0));
        assert!((x - 74.0).abs() < 1e-9 && (y - 57.0).abs() < 1e-9);
        assert!(v.at(Point::new(0.0, 50.0)).0 < 74.0);
        // Toward end A is up: less of y.
        assert_eq!(View::way(Vector::new(1.0, 0.0)), (-0.0, -1.0));
        assert_eq!(off((1.0, 1.0), (0.0, -1.0), 2.0), (1.0, -1.0));
    }
}
