//! Distances to straight segments, and the area of a ring of points.

use super::{Plane, Point};

/// Distance from `p` to the nearest point of the segment from `a` to `b`, metres.
#[must_use]
pub fn distance_to_segment<F: Plane>(p: Point<F>, a: Point<F>, b: Point<F>) -> f64 {
    let (along, reach) = (b - a, (b - a).dot(b - a));
    let t = if reach > 0.0 { ((p - a).dot(along) / reach).clamp(0.0, 1.0) } else { 0.0 };
    p.distance_to(a + along * t)
}

/// Area inside a closed ring of points (the last joins the first), positive when it runs counter-clockwise.
#[must_use]
pub fn ring_area<F: Plane>(ring: &[Point<F>]) -> f64 {
    let Some(&first) = ring.first() else { return 0.0 };
    // Measured from the first point, so that large coordinates cost no digits.
    let mut twice = 0.0;
    for pair in ring.windows(2) {
        twice += (pair[0] - first).cross(pair[1] - first);
    }
    0.5 * twice
}

#[cfg(test)]
mod tests {
    use super::*;
    #[derive(Debug, Clone, Copy, PartialEq)]
    struct Test;
    impl Plane for Test {}

    #[test]
    fn distance_stops_at_the_ends() {
        let (a, b) = (Point::<Test>::new(0.0, 0.0), Point::new(10.0, 0.0));
        assert_eq!(distance_to_segment(Point::new(5.0, 2.0), a, b), 2.0);
        assert_eq!(distance_to_segment(Point::new(13.0, 4.0), a, b), 5.0);
        assert_eq!(distance_to_segment(Point::new(3.0, 4.0), a, a), 5.0);
    }

    #[test]
    fn area_is_positive_counter_clockwise() {
        let ring = [
            Point::<Test>::new(1e6, 0.0),
            Point::new(1e6 + 2.0, 0.0),
            Point::new(1e6 + 2.0, 3.0),
            Point::new(1e6, 3.0),
        ];
        assert_eq!(ring_area(&ring), 6.0);
    }
}
