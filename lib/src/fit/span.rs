//! Lengths of the whole ground, as the parameters have them: goal to goal, and
//! across from wing to wing midway between the goals.

use super::system::{Span, WITH_GOALS, ellipse_of};
use super::to_spread::half_length;
use crate::geometry::{Point, Vector};

/// The span and its gradient by the shape's parameters (5, or 9 with goals).
///
/// Without goals the goal axis is the first semi-axis and the goal lines are where
/// the curve is one end wide. Gradients by central differences: a span is smooth, of
/// size 100 m, and a step of 1e-4 m leaves 1e-10.
pub(super) fn length_and_gradient(kind: Span, p: &[f64], end_width_m: f64) -> Option<(f64, Vec<f64>)> {
    const STEP: f64 = 1e-4;
    let here = length(kind, p, end_width_m)?;
    let mut q = p.to_vec();
    let gradient = (0..p.len())
        .map(|i| {
            // Angles are turned by as much as moves the ground's edge by the step.
            let h = if i == 4 || i == 7 { STEP / 80.0 } else { STEP };
            q[i] = p[i] + h;
            let hi = length(kind, &q, end_width_m)?;
            q[i] = p[i] - h;
            let lo = length(kind, &q, end_width_m)?;
            q[i] = p[i];
            Some((hi - lo) / (2.0 * h))
        })
        .collect::<Option<Vec<f64>>>()?;
    Some((here, gradient))
}

pub(super) fn length(kind: Span, p: &[f64], end_width_m: f64) -> Option<f64> {
    let goals = p.len() >= WITH_GOALS;
    match kind {
        Span::GoalToGoal if goals => Some(2.0 * p[8]),
        Span::GoalToGoal => {
            let (a, b) = if p[2] >= p[3] { (p[2], p[3]) } else { (p[3], p[2]) };
            half_length(a, b, end_width_m).map(|[half, ..]| 2.0 * half)
        }
        Span::WingToWing if goals => chord(p, Point::new(p[5], p[6]), Vector::at_angle(p[7]).to_left()),
        Span::WingToWing => Some(2.0 * p[2].min(p[3])),
    }
}

/// Length of the ellipse's chord through `from` along the unit vector `v`.
///
/// In the ellipse's axes scaled to a circle, |f + t·w| = 1: w² t² + 2 f·w t + f² − 1 = 0,
/// whose roots lie 2·√((f·w)² − w²(f² − 1))/w² apart.
fn chord(p: &[f64], from: Point<crate::frame::Local>, v: Vector<crate::frame::Local>) -> Option<f64> {
    let e = ellipse_of(p)?;
    let (s, c) = p[4].sin_cos();
    let round = |d: Vector<crate::frame::Local>| ((c * d.x + s * d.y) / p[2], (c * d.y - s * d.x) / p[3]);
    let (fx, fy) = round(from - e.centre());
    let (wx, wy) = round(v);
    let (ww, fw) = (wx * wx + wy * wy, fx * wx + fy * wy);
    let inside = fw * fw - ww * (fx * fx + fy * fy - 1.0);
    (inside > 0.0).then(|| 2.0 * inside.sqrt() / ww)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_of_a_symmetric_ground() {
        let (a, b, end) = (80.0, 65.0, 19.2);
        let half = a * (1.0 - (9.6f64 / 65.0).powi(2)).sqrt();
        let alone = [5.0, 6.0, a, b, 0.3];
        let goals = [5.0, 6.0, a, b, 0.3, 5.0, 6.0, 0.3, half];
        for p in [&alone[..], &goals[..]] {
            // Closed forms, double precision.
            assert!((length(Span::GoalToGoal, p, end).unwrap() - 2.0 * half).abs() < 1e-12);
            assert!((length(Span::WingToWing, p, end).unwrap() - 2.0 * b).abs() < 1e-12);
            let (_, g) = length_and_gradient(Span::WingToWing, p, end).unwrap();
            assert!((g[3] - 2.0).abs() < 1e-9 && g[2].abs() < 1e-9, "{g:?}");
        }
        // Goals 10 m up the ground: the chord there is 2b√(1 − (10/a)²).
        let (s, c) = 0.3f64.sin_cos();
        let up = [5.0, 6.0, a, b, 0.3, 5.0 + 10.0 * c, 6.0 + 10.0 * s, 0.3, half];
        let want = 2.0 * b * (1.0 - (10.0 / a) * (10.0 / a)).sqrt();
        assert!((length(Span::WingToWing, &up, end).unwrap() - want).abs() < 1e-11);
    }
}
