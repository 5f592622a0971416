//! The true shapes of simulated boundaries: an ellipse, an ellipse with one side cut straight, and four arcs.
//! Each passes exactly through the behind posts.

use ovalpeg::boundary::Side;
use ovalpeg::frame::Ground;
use ovalpeg::geometry::Point;
use ovalpeg::rules::RuleSet;
use ovalpeg::units::{Invalid, within};

/// The form of a boundary; each passes exactly through the behind posts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// One ellipse.
    Ellipse {
        /// Goal line to goal line, m.
        length_m: f64,
        /// Overall width, m.
        width_m: f64,
    },
    /// An ellipse with one side cut straight, parallel to the goal axis, as by a road.
    Cut {
        /// Goal line to goal line, m.
        length_m: f64,
        /// Half-width of the side that is not cut, m.
        half_width_m: f64,
        /// How much less the half-width of the cut side is, m.
        cut_m: f64,
        /// Which side is cut.
        side: Side,
    },
    /// Four arcs of circles that meet without a corner.
    FourArc {
        /// Goal line to goal line, m.
        length_m: f64,
        /// Overall width, m.
        width_m: f64,
        /// Radius of the arcs at the ends, m.
        end_radius_m: f64,
    },
}

/// The numbers that a shape's curve needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Curve {
    /// Semi-axes, and the half-width at which a side is cut.
    Ellipse { a: f64, b: f64, cut: Option<(Side, f64)> },
    /// End arcs: radius and centre's distance out. Side arcs: radius and centre's
    /// distance across. Direction in which they meet.
    FourArc { r: f64, out: f64, side_r: f64, across: f64, meet: f64 },
}

/// Half the width of a scoring end under the Laws, m.
#[must_use]
pub fn half_end_m() -> f64 {
    0.5 * RuleSet::laws().end_width_m()
}

impl Shape {
    /// Goal line to goal line, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        match *self {
            Self::Ellipse { length_m, .. } | Self::Cut { length_m, .. } | Self::FourArc { length_m, .. } => {
                length_m
            }
        }
    }

    /// Greatest distance of the line on `side` from the goal axis, m.
    #[must_use]
    pub fn half_width_m(&self, side: Side) -> f64 {
        match *self {
            Self::Ellipse { width_m, .. } | Self::FourArc { width_m, .. } => 0.5 * width_m,
            Self::Cut { half_width_m, cut_m, side: cut, .. } => {
                half_width_m - if cut == side { cut_m } else { 0.0 }
            }
        }
    }

    /// Overall width, m.
    #[must_use]
    pub fn width_m(&self) -> f64 {
        Side::BOTH.iter().map(|&s| self.half_width_m(s)).sum()
    }

    /// The curve, and the parameter at end A's behind post.
    pub(crate) fn curve(&self) -> Result<(Curve, f64), Invalid> {
        let h = half_end_m();
        let half = 0.5 * within("length", self.length_m(), 4.0 * h, 500.0)?;
        let narrow = Side::BOTH.iter().map(|&s| self.half_width_m(s)).fold(f64::INFINITY, f64::min);
        within("half-width", narrow, h + 1.0, 500.0)?;
        match *self {
            Self::Ellipse { width_m, .. } => {
                let b = 0.5 * width_m;
                let start = (h / b).asin();
                // At the post the offset is b sin(start) = h, and a cos(start) is half the length.
                Ok((Curve::Ellipse { a: half / start.cos(), b, cut: None }, start))
            }
            Self::Cut { half_width_m: b, cut_m, side, .. } => {
                within("cut", cut_m, 0.0, b)?;
                let start = (h / b).asin();
                Ok((Curve::Ellipse { a: half / start.cos(), b, cut: Some((side, b - cut_m)) }, start))
            }
            Self::FourArc { width_m, end_radius_m: r, .. } => {
                let b = 0.5 * width_m;
                within("radius of the end arcs", r, h, b - 1e-9)?;
                let start = (h / r).asin();
                let out = half - r * start.cos();
                within("end arcs' centre", out, 0.0, half)?;
                // Tangent where they meet: hypot(out, across) = side_r − r, with across = side_r − b.
                let side_r = (out * out + b * b - r * r) / (2.0 * (b - r));
                let across = side_r - b;
                let meet = across.atan2(out);
                within("direction in which the arcs meet", meet, start, std::f64::consts::FRAC_PI_2)?;
                Ok((Curve::FourArc { r, out, side_r, across, meet }, start))
            }
        }
    }
}

impl Curve {
    /// The point of one line at a parameter: `start` at end A's post, π − `start` at end B's.
    pub(crate) fn at(&self, side: Side, t: f64) -> Point<Ground> {
        let (s, c) = t.sin_cos();
        let (x, y) = match *self {
            Self::Ellipse { a, b, cut } => {
                // Points of the ellipse beyond the cut are projected square onto the straight.
                let most = cut.filter(|(cut, _)| *cut == side).map_or(f64::INFINITY, |(_, y)| y);
                (a * c, (b * s).min(most))
            }
            Self::FourArc { r, out, side_r, across, meet } => {
                if t < meet {
                    (out + r * c, r * s)
                } else if t > std::f64::consts::PI - meet {
                    (r * c - out, r * s)
                } else {
                    (side_r * c, side_r * s - across)
                }
            }
        };
        Point::new(x, side.sign() * y)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Points of one line, 500 of them.
    fn points(shape: Shape, side: Side) -> Vec<Point<Ground>> {
        let (curve, start) = shape.curve().unwrap();
        let step = (std::f64::consts::PI - 2.0 * start) / 499.0;
        (0..500).map(|i| curve.at(side, start + f64::from(i) * step)).collect()
    }

    #[test]
    fn the_ellipse_satisfies_its_equation_and_passes_the_posts() {
        let a = 82.5 / (1.0 - (9.6f64 / 67.5).powi(2)).sqrt();
        // The design gives 166.69 m for the ellipse through the posts.
        assert!((2.0 * a - 166.69).abs() < 0.005);
        for p in points(Shape::Ellipse { length_m: 165.0, width_m: 135.0 }, Side::Left) {
            assert!(((p.x / a).powi(2) + (p.y / 67.5).powi(2) - 1.0).abs() < 1e-14);
        }
    }

    #[test]
    fn the_cut_is_straight_and_the_other_side_is_whole() {
        let cut = Shape::Cut { length_m: 160.0, half_width_m: 66.0, cut_m: 4.0, side: Side::Right };
        let straight = points(cut, Side::Right).iter().filter(|p| p.y == -62.0).count();
        // sin t = 62/66 is 20.1° of parameter to either side of the wing; a post is 81.6° from it.
        assert!((120..=126).contains(&straight), "{straight}");
        let whole = Shape::Ellipse { length_m: 160.0, width_m: 132.0 };
        assert_eq!(points(cut, Side::Left), points(whole, Side::Left));
        assert_eq!(cut.width_m(), 128.0);
    }

    #[test]
    fn the_four_arcs_lie_on_their_circles() {
        let four = Shape::FourArc { length_m: 160.0, width_m: 130.0, end_radius_m: 50.0 };
        let out = 80.0 - (50f64.powi(2) - 9.6f64.powi(2)).sqrt();
        let side_r = (out * out + 65.0 * 65.0 - 50.0 * 50.0) / 30.0;
        for q in points(four, Side::Right) {
            let end = q.distance_to(Point::new(q.x.signum() * out, 0.0)) - 50.0;
            let side = q.distance_to(Point::new(0.0, side_r - 65.0)) - side_r;
            // On an end arc or on the side arc, to the rounding of numbers up to 200 m.
            assert!(end.abs() < 1e-11 || side.abs() < 1e-11, "{q:?}");
        }
    }

    #[test]
    fn shapes_that_do_not_close_are_refused() {
        for shape in [
            Shape::Ellipse { length_m: 165.0, width_m: 19.0 },
            Shape::Cut { length_m: 160.0, half_width_m: 66.0, cut_m: 60.0, side: Side::Left },
            Shape::FourArc { length_m: 160.0, width_m: 130.0, end_radius_m: 70.0 },
            Shape::Ellipse { length_m: f64::NAN, width_m: 130.0 },
        ] {
            assert!(shape.curve().is_err(), "{shape:?}");
        }
    }
}
