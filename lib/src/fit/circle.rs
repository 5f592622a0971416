//! The circle nearest to points in the orthogonal sense: what a round ground or a
//! centre circle is, and what an open curve is compared with.
//!
//! Gauss–Newton on dᵢ = |pᵢ − c| − r, whose gradient is (−uᵢ, −1) with uᵢ the unit
//! vector from the centre (Gander, Golub and Strebel, BIT 34, 1994, section 3).

use nalgebra::{Matrix3, Vector3};

use super::FitError;
use super::screened::screen;
use super::screening::rough_centre;
use crate::frame::Local;
use crate::geometry::{Point, Vector};
use crate::numeric::Covariance;
use crate::survey::LocalSurvey;

/// A circle fitted to points.
#[derive(Debug, Clone, PartialEq)]
pub struct Circle {
    /// Its centre.
    pub centre: Point<Local>,
    /// Its radius, m.
    pub radius_m: f64,
    /// Covariance of x, y and radius, m²: s₀²(JᵀJ)⁻¹.
    pub covariance: Covariance,
    /// Root mean square of the distances from it, m.
    pub rms_m: f64,
}

/// Iterations allowed: a ring of points takes 4, the published arc about 20.
const MAX_ITERATIONS: usize = 200;

/// Fits a circle to the line's points, all of one weight.
///
/// # Errors
/// [`FitError`] for too few points, points on a line, and no convergence.
///
/// # Examples
/// ```
/// use ovalpeg::fit::circle;
/// use ovalpeg::survey::{ReadOptions, read};
/// let survey = read(b"x,y\n5,0\n0,5\n-5,0\n0,-5\n3,4\n-4,3\n", &ReadOptions::default())?.value;
/// let found = circle(&survey.to_local(survey.plane()?)?)?;
/// assert!((found.radius_m - 5.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn circle(survey: &LocalSurvey) -> Result<Circle, FitError> {
    let s = screen(survey)?;
    let points: Vec<Point<Local>> = s.line.iter().map(|p| p.1.at).collect();
    nearest_circle(&points).ok_or(FitError::OnALine)
}

/// The nearest circle of points; `None` for points on a line, or none that converges.
pub(super) fn nearest_circle(points: &[Point<Local>]) -> Option<Circle> {
    let mut centre = rough_centre(points)?;
    let n = points.len() as f64;
    let mut radius = points.iter().map(|p| p.distance_to(centre)).sum::<f64>() / n;
    for _ in 0..MAX_ITERATIONS {
        let (normal, right, sum) = equations(points, centre, radius)?;
        let step = normal.cholesky()?.solve(&-right);
        centre = centre + Vector::new(step[0], step[1]);
        radius += step[2];
        if step.amax() <= 1e-13 * (1.0 + radius.abs()) {
            let dof = (n - 3.0).max(1.0);
            let inverse = normal.try_inverse()? * (sum / dof);
            return Some(Circle {
                centre,
                radius_m: radius,
                covariance: Covariance::from_rows(3, inverse.transpose().as_slice())?,
                rms_m: (sum / n).sqrt(),
            });
        }
    }
    None
}

/// JᵀJ, Jᵀd and the sum of squares.
fn equations(
    points: &[Point<Local>],
    centre: Point<Local>,
    radius: f64,
) -> Option<(Matrix3<f64>, Vector3<f64>, f64)> {
    let (mut normal, mut right, mut sum) = (Matrix3::zeros(), Vector3::zeros(), 0.0);
    for p in points {
        let u = (*p - centre).unit()?;
        let d = p.distance_to(centre) - radius;
        let row = Vector3::new(-u.x, -u.y, -1.0);
        normal += row * row.transpose();
        right += row * d;
        sum += d * d;
    }
    f64::is_finite(sum).then_some((normal, right, sum))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn recovers_a_planted_circle_from_a_third_of_it() {
        let points: Vec<_> = (0..12)
            .map(|i| f64::from(i) * 0.18)
            .map(|a| Point::new(20.0 + 75.0 * a.cos(), 75.0 * a.sin() - 7.0))
            .collect();
        let c = nearest_circle(&points).unwrap();
        assert!(c.centre.distance_to(Point::new(20.0, -7.0)) < 1e-9 && (c.radius_m - 75.0).abs() < 1e-9);
        assert!(nearest_circle(&points[..2]).is_none());
    }
}
