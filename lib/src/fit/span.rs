//! Lengths of the whole ground, as the parameters have them: goal to goal, and
//! across from wing to wing midway between the goals.

use super::system::{Span, WITH_GOALS};
use super::to_spread::half_length;
use crate::frame::Local;
use crate::geometry::Vector;

/// The span and its gradient by the shape's parameters (5, or 9 with goals).
///
/// Without goals the goal axis is the longer semi-axis and the goal lines are where
/// the curve is one end wide.
pub(super) fn length_and_gradient(kind: Span, p: &[f64], end_width_m: f64) -> Option<(f64, Vec<f64>)> {
    let goals = p.len() >= WITH_GOALS;
    let mut gradient = vec![0.0; p.len()];
    let (long, short) = if p[2] >= p[3] { (2, 3) } else { (3, 2) };
    let length = match kind {
        Span::GoalToGoal if goals => {
            gradient[8] = 2.0;
            2.0 * p[8]
        }
        Span::GoalToGoal => {
            let [half, by_long, by_short] = half_length(p[long], p[short], end_width_m)?;
            gradient[long] = 2.0 * by_long;
            gradient[short] = 2.0 * by_short;
            2.0 * half
        }
        Span::WingToWing if goals => return chord(p),
        Span::WingToWing => {
            gradient[short] = 2.0;
            2.0 * p[short]
        }
    };
    Some((length, gradient))
}

pub(super) fn length(kind: Span, p: &[f64], end_width_m: f64) -> Option<f64> {
    length_and_gradient(kind, p, end_width_m).map(|(length, _)| length)
}

/// Length of the ellipse's chord through the goals' midpoint, square to the goal axis,
/// with its gradient by the nine parameters.
///
/// In the ellipse's axes scaled to a circle the chord is f + t·w, and |f + t·w| = 1 is
/// W t² + 2 f·w t + f² − 1 = 0 with W = w². Its roots lie 2√I/W apart, where
/// I = (f·w)² − W(f² − 1); so dF = dI/(W√I) − 2√I dW/W².
fn chord(p: &[f64]) -> Option<(f64, Vec<f64>)> {
    let (a, b) = (p[2], p[3]);
    let (s, c) = p[4].sin_cos();
    let round = |x: f64, y: f64| [(c * x + s * y) / a, (c * y - s * x) / b];
    let u = Vector::<Local>::at_angle(p[7]);
    let v = u.to_left();
    let f = round(p[5] - p[0], p[6] - p[1]);
    let w = round(v.x, v.y);
    let dot = |p: [f64; 2], q: [f64; 2]| p[0] * q[0] + p[1] * q[1];
    let (ww, fw, ff) = (dot(w, w), dot(f, w), dot(f, f));
    let inside = fw * fw - ww * (ff - 1.0);
    if inside <= 0.0 {
        return None;
    }
    let root = inside.sqrt();
    // How f and w go with each parameter.
    let turned = |q: [f64; 2]| [q[1] * b / a, -q[0] * a / b];
    let none = [0.0; 2];
    let east = round(1.0, 0.0);
    let north = round(0.0, 1.0);
    let minus = |q: [f64; 2]| [-q[0], -q[1]];
    let by: [([f64; 2], [f64; 2]); 9] = [
        (minus(east), none),
        (minus(north), none),
        ([-f[0] / a, 0.0], [-w[0] / a, 0.0]),
        ([0.0, -f[1] / b], [0.0, -w[1] / b]),
        (turned(f), turned(w)),
        (east, none),
        (north, none),
        (none, minus(round(u.x, u.y))),
        (none, none),
    ];
    let gradient = by
        .iter()
        .map(|&(df, dw)| {
            let d_ww = 2.0 * dot(w, dw);
            let d_fw = dot(df, w) + dot(f, dw);
            let d_inside = 2.0 * fw * d_fw - d_ww * (ff - 1.0) - ww * 2.0 * dot(f, df);
            d_inside / (ww * root) - 2.0 * root * d_ww / (ww * ww)
        })
        .collect();
    Some((2.0 * root / ww, gradient))
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
