//! The best ellipse of a boundary: the reference for departures.
//!
//! It minimises the sum of squared perpendicular distances of the two lines from the
//! ellipse, with equal weight for every metre of line. The scoring ends are left out.

use nalgebra::{SMatrix, SVector};

use super::{Boundary, Side};
use crate::frame::Ground;
use crate::geometry::{Ellipse, Point, Vector};
use crate::units::Invalid;

/// Why a boundary has no best ellipse.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum NoEllipse {
    /// The limit on steps was reached.
    DidNotConverge {
        /// Steps taken.
        after: usize,
        /// Length of the last step, m.
        last_step_m: f64,
    },
    /// The lines do not determine an ellipse.
    NotFixed,
    /// A step led to numbers that are not an ellipse.
    Invalid(Invalid),
}

impl std::fmt::Display for NoEllipse {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::DidNotConverge { after, last_step_m } => {
                write!(f, "no best ellipse after {after} steps, the last of {last_step_m:.3} m")
            }
            Self::NotFixed => f.write_str("the two lines fix no ellipse"),
            Self::Invalid(e) => e.fmt(f),
        }
    }
}

impl std::error::Error for NoEllipse {}

impl From<Invalid> for NoEllipse {
    fn from(e: Invalid) -> Self {
        Self::Invalid(e)
    }
}

/// Steps allowed. Each multiplies the error by about departure over radius of curvature,
/// a tenth where an oval departs by 5 m, so 8 steps are usual.
const STEPS: usize = 60;
/// A step shorter than this, m, is the last; the remaining error is a tenth of it.
const SMALL_M: f64 = 1e-7;

/// A point of a line and its weight, the length of line that it represents, m.
pub(super) type Weighed = (Point<Ground>, f64);

/// The points of a line at these distances along it; the weight is half the distance to
/// either neighbour.
pub(super) fn weighed(s: &[f64], points: impl Iterator<Item = Point<Ground>>) -> Vec<Weighed> {
    let at = |i: usize| s[i.min(s.len() - 1)];
    points.enumerate().map(|(i, p)| (p, 0.5 * (at(i + 1) - at(i.saturating_sub(1))))).collect()
}

impl Boundary {
    /// The best ellipse of the two lines: least squares of the perpendicular distances of
    /// their points, taken about `step_m` apart.
    ///
    /// # Units
    /// Metres, in the ground frame.
    ///
    /// # Errors
    /// [`NoEllipse`] where none is found.
    ///
    /// # Examples
    /// ```
    /// use ovalpeg::boundary::Boundary;
    /// use ovalpeg::geometry::{CutEllipse, Ellipse, Point, Shape};
    /// let whole = Ellipse::new(Point::ORIGIN, [83.35, 67.5], 0.0)?;
    /// let cut = CutEllipse::new(whole, 90.0, 60.0)?;
    /// let b = Boundary::on_curve(Shape::CutEllipse(cut), 82.5, 19.2)?;
    /// let best = b.best_ellipse(1.0)?;
    /// // What is cut off on the left draws it to the right.
    /// assert!(best.centre().y < 0.0 && best.semi_minor_m() < 67.5);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn best_ellipse(&self, step_m: f64) -> Result<Ellipse<Ground>, NoEllipse> {
        let shape = self.curve(Side::Left);
        self.best_ellipse_near(
            &Ellipse::new(shape.centre(), shape.semi_axes_m(), shape.turn_deg())?,
            step_m,
            SMALL_M,
        )
    }

    /// As [`Boundary::best_ellipse`], starting from a given ellipse. The best ellipse of a slightly
    /// different boundary halves the number of steps. A step shorter than `small_m` is the last; the
    /// remaining error is a tenth of it.
    ///
    /// # Errors
    /// As [`Boundary::best_ellipse`].
    pub fn best_ellipse_near(
        &self,
        near: &Ellipse<Ground>,
        step_m: f64,
        small_m: f64,
    ) -> Result<Ellipse<Ground>, NoEllipse> {
        if let Some(e) = self.ellipse() {
            return Ok(*e);
        }
        let mut points = Vec::new();
        for side in Side::BOTH {
            let line = self.line(side);
            let s = line.stations(step_m);
            points.extend(weighed(&s, s.iter().map(|&s| line.at(s).point)));
        }
        fitted(&points, *near, small_m)
    }

    /// As [`Boundary::best_ellipse`], from points that were sampled already.
    pub(super) fn nearest_ellipse(&self, points: &[Weighed]) -> Result<Ellipse<Ground>, NoEllipse> {
        let shape = self.curve(Side::Left);
        fitted(points, Ellipse::new(shape.centre(), shape.semi_axes_m(), shape.turn_deg())?, SMALL_M)
    }
}

/// Fits an ellipse by Gauss–Newton. In the direction of the unit vector n an ellipse reaches
/// h(n) = √(nᵀMn) from its centre, where M is symmetric with the squared semi-axes as its
/// eigenvalues. For a step dM the point with the normal n moves outward by nᵀ dM n / 2h.
/// Unlike the direction of the long axis, M is not singular where the two axes are equal.
fn fitted(points: &[Weighed], start: Ellipse<Ground>, small_m: f64) -> Result<Ellipse<Ground>, NoEllipse> {
    let mut e = start;
    // With M in units of this, all five steps are metres of line.
    let size = start.perimeter_m() / std::f64::consts::TAU;
    let mut last_step_m = f64::INFINITY;
    for _ in 0..STEPS {
        let mut normal = SMatrix::<f64, 5, 5>::zeros();
        let mut right = SVector::<f64, 5>::zeros();
        for &(p, weight) in points {
            let foot = e.foot(p);
            let n = foot.normal;
            let k = size / (foot.point - e.centre()).dot(n);
            let j = SVector::from([n.x, n.y, 0.5 * k * n.x * n.x, k * n.x * n.y, 0.5 * k * n.y * n.y]);
            normal += j * j.transpose() * weight;
            right += j * (weight * foot.signed_distance_m);
        }
        let mut step = normal.cholesky().ok_or(NoEllipse::NotFixed)?.solve(&right);
        // A longer step leaves the range where the problem is linear.
        let longest = step.amax();
        let most = 0.2 * e.semi_minor_m();
        if longest > most {
            step *= most / longest;
        }
        e = moved(&e, size, &step)?;
        last_step_m = longest;
        if longest < small_m {
            return Ok(e);
        }
    }
    Err(NoEllipse::DidNotConverge { after: STEPS, last_step_m })
}

/// The ellipse after a step.
fn moved(e: &Ellipse<Ground>, size: f64, step: &SVector<f64, 5>) -> Result<Ellipse<Ground>, NoEllipse> {
    let (a2, b2) = (e.semi_major_m().powi(2), e.semi_minor_m().powi(2));
    let (s, c) = e.turn_rad().sin_cos();
    let xx = a2 * c * c + b2 * s * s + size * step[2];
    let xy = (a2 - b2) * s * c + size * step[3];
    let yy = a2 * s * s + b2 * c * c + size * step[4];
    let (middle, half) = (0.5 * (xx + yy), 0.5 * (xx - yy));
    let apart = half.hypot(xy);
    let axes = [middle + apart, middle - apart].map(|v| v.max(0.0).sqrt());
    let centre = e.centre() + Vector::new(step[0], step[1]);
    Ok(Ellipse::from_radians(centre, axes, 0.5 * xy.atan2(half))?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::outlines_for_tests;
    use crate::geometry::ClosedCurve;

    fn on(e: &Ellipse<Ground>, count: u32) -> Vec<Weighed> {
        (0..count)
            .map(|i| (e.at_parameter(f64::from(i) * std::f64::consts::TAU / f64::from(count)), 1.0))
            .collect()
    }

    #[test]
    fn an_ellipses_points_give_it_back() {
        for (axes, turn) in [([83.0, 67.0], 12.0), ([92.0, 55.0], 100.0), ([70.0, 70.0], 0.0)] {
            let e = Ellipse::new(Point::new(1.0, -2.0), axes, turn).unwrap();
            let start = Ellipse::new(Point::new(4.0, 1.0), [80.0, 64.0], turn + 9.0).unwrap();
            let found = fitted(&on(&e, 90), start, SMALL_M).unwrap();
            // To the error that the last step leaves.
            assert!(found.centre().distance_to(e.centre()) < 1e-8);
            assert!((found.semi_major_m() - e.semi_major_m()).abs() < 1e-8, "{turn}");
            assert!((found.semi_minor_m() - e.semi_minor_m()).abs() < 1e-8, "{turn}");
            let turned = (found.turn_deg() - e.turn_deg()).abs();
            assert!(axes[0] == axes[1] || turned < 1e-7, "{turn} {turned}");
        }
    }

    #[test]
    fn no_neighbour_is_nearer_on_any_shape() {
        for (name, o) in outlines_for_tests() {
            let b = o.boundary(19.2).unwrap();
            let best = b.best_ellipse(1.0).unwrap();
            let points: Vec<Weighed> = Side::BOTH
                .into_iter()
                .flat_map(|side| {
                    let s = b.line(side).stations(1.0);
                    weighed(&s, s.iter().map(|&s| b.line(side).at(s).point).collect::<Vec<_>>().into_iter())
                })
                .collect();
            let around: f64 = points.iter().map(|p| p.1).sum();
            let lines = b.line_length_m(Side::Left) + b.line_length_m(Side::Right);
            // The weights are the lines' whole length, to rounding.
            assert!((around - lines).abs() < 1e-8, "{name}");
            let cost = |e: &Ellipse<Ground>| {
                points.iter().map(|(p, w)| w * e.foot(*p).signed_distance_m.powi(2)).sum::<f64>()
            };
            let least = cost(&best);
            // Another start gives the same ellipse, to the error that the last step leaves.
            let from = Ellipse::new(Point::new(2.0, 1.0), [86.0, 63.0], 5.0).unwrap();
            let again = b.best_ellipse_near(&from, 1.0, SMALL_M).unwrap();
            assert!(again.centre().distance_to(best.centre()) < 1e-7, "{name}");
            assert!((again.semi_minor_m() - best.semi_minor_m()).abs() < 1e-7, "{name}");
            let p = best.parameters();
            for i in 0..5 {
                // A centimetre, or 0.01°, which is about a centimetre at the line.
                for h in [0.01, -0.01] {
                    let mut q = p.clone();
                    q[i] += if i == 4 { h / 57.0 } else { h };
                    let near = best.with_parameters(&q).unwrap();
                    assert!(cost(&near) > least, "{name} {i} {h}");
                }
            }
        }
    }

    #[test]
    fn points_of_one_direction_fix_none() {
        let e = Ellipse::new(Point::ORIGIN, [80.0, 60.0], 0.0).unwrap();
        let few = vec![(Point::new(80.0, 0.0), 1.0); 9];
        assert!(fitted(&few, e, SMALL_M).is_err());
    }
}
