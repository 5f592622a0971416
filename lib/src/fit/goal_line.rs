//! Fixes of a lap that crosses the goals.
//!
//! Between the behind posts there is no boundary line but a straight goal line,
//! up to 0.84 m inside the ellipse on a 165 × 135 m ground. Fixes there, left on
//! the curve, bias the length by a third of a metre under an interval of a
//! centimetre. At each end the points between the posts are taken off the curve
//! when the straight line explains them better by more than chance.

use crate::frame::Local;
use crate::geometry::{ClosedCurve as _, Point, Shape, Vector};

/// How much better the straight line must explain the points, in units of the variance of one point (twice
/// the logarithm of the likelihood ratio). 4 is one chance in twenty for a single degree of freedom. With a
/// smaller value noise would take good points off the curve; with a larger one a rough walk's crossing would
/// stay on it, within its own ±.
const BETTER_BY: f64 = 4.0;

/// Where the goals are taken to be.
#[derive(Debug, Clone, Copy)]
pub(super) struct Goals {
    pub(super) centre: Point<Local>,
    /// Unit vector to end A.
    pub(super) axis: Vector<Local>,
    pub(super) half_length: f64,
    pub(super) half_end: f64,
}

/// For each point: is it on a goal line?
pub(super) fn on_goal_line(points: &[Point<Local>], curve: &Shape<Local>, goals: Goals) -> Vec<bool> {
    let placed: Vec<(f64, f64, f64)> = points
        .iter()
        .map(|&p| {
            let v = p - goals.centre;
            (v.dot(goals.axis), v.dot(goals.axis.to_left()), curve.foot(p).signed_distance_m)
        })
        .collect();
    let between =
        |&(x, y, _): &(f64, f64, f64)| y.abs() < goals.half_end && x.abs() > 0.5 * goals.half_length;
    let line: Vec<f64> = placed.iter().filter(|p| !between(p)).map(|p| p.2).collect();
    let variance = line.iter().map(|d| d * d).sum::<f64>() / (line.len().saturating_sub(5)).max(1) as f64;
    let mut found = vec![false; points.len()];
    for end in [1.0, -1.0] {
        let here: Vec<usize> =
            (0..placed.len()).filter(|&i| between(&placed[i]) && placed[i].0 * end > 0.0).collect();
        let on_curve: f64 = here.iter().map(|&i| placed[i].2.powi(2)).sum();
        let straight: f64 = here.iter().map(|&i| (placed[i].0.abs() - goals.half_length).powi(2)).sum();
        if on_curve - straight > BETTER_BY * variance.max(f64::MIN_POSITIVE) {
            for i in here {
                found[i] = true;
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ground() -> (Shape<Local>, Goals) {
        let b = 67.5;
        let a = 82.5 / (1.0 - (9.6f64 / b).powi(2)).sqrt();
        let goals =
            Goals { centre: Point::ORIGIN, axis: Vector::new(1.0, 0.0), half_length: 82.5, half_end: 9.6 };
        (Shape::Ellipse(crate::geometry::Ellipse::new(Point::ORIGIN, [a, b], 0.0).unwrap()), goals)
    }

    #[test]
    fn a_crossing_is_seen_and_a_cap_is_not() {
        let (e, goals) = ground();
        let mut lap: Vec<_> = (0..60).map(|i| e.at_parameter(f64::from(i) * 0.105)).collect();
        assert!(on_goal_line(&lap, &e, goals).iter().all(|g| !g), "an ellipse all the way round");
        lap.retain(|p| p.y.abs() >= 9.6);
        let n = lap.len();
        lap.extend([-6.0, 0.0, 6.0].map(|y| Point::new(82.5, y)));
        let found = on_goal_line(&lap, &e, goals);
        assert_eq!(found.iter().filter(|g| **g).count(), 3);
        assert!(found[n..].iter().all(|g| *g));
    }
}
