//! Lengths of the whole ground, as the parameters have them: goal to goal, and
//! across from wing to wing midway between the goals.

use super::follow::{Frame, follow};
use super::form::Form;
use super::observation::{GOALS, Span};
use crate::boundary::Outline;
use crate::frame::Local;
use crate::geometry::{Point, Vector};

/// The span and its gradient by the parameters of the curve (and of the goals, where
/// there are more than the curve's).
///
/// Without goals they follow from the curve.
pub(super) fn length_and_gradient(
    kind: Span,
    form: &Form,
    p: &[f64],
    end_width_m: f64,
) -> Option<(f64, Vec<f64>)> {
    let from = form.count();
    let surveyed = p.len() >= from + GOALS;
    let followed = if surveyed { None } else { Some(follow(form, p, end_width_m)?) };
    let goals: [f64; GOALS] = match &followed {
        Some(f) => f.goals,
        None => p[from..from + GOALS].try_into().ok()?,
    };
    let (length, mut by_curve, by_goals) = match kind {
        Span::GoalToGoal => (2.0 * goals[3], vec![0.0; from], [0.0, 0.0, 0.0, 2.0]),
        Span::WingToWing => across(form, p, &goals)?,
    };
    match followed {
        Some(f) => {
            for (i, to) in by_curve.iter_mut().enumerate() {
                *to += (0..GOALS).map(|g| by_goals[g] * f.by[(g, i)]).sum::<f64>();
            }
        }
        None => by_curve.extend(by_goals),
    }
    Some((length, by_curve))
}

pub(super) fn length(kind: Span, form: &Form, p: &[f64], end_width_m: f64) -> Option<f64> {
    length_and_gradient(kind, form, p, end_width_m).map(|(length, _)| length)
}

/// The span of an outline.
pub(super) fn of_outline(kind: Span, outline: &Outline) -> Option<f64> {
    if kind == Span::GoalToGoal {
        return Some(2.0 * outline.half_length_m());
    }
    let plan = outline.plan();
    let along = Vector::at_angle((90.0 - plan.axis().degrees()).to_radians());
    let frame = Frame { origin: plan.centre(), along };
    let at = |left: f64| Some(frame.crossing(outline.shape(), 0.0, left)?.y);
    Some(at(1.0)? - at(-1.0)?)
}

/// Length of the curve's chord through the goals' midpoint, square to the goal axis,
/// with its gradient by the curve's parameters and by the goals'.
fn across(form: &Form, p: &[f64], goals: &[f64; GOALS]) -> Option<(f64, Vec<f64>, [f64; GOALS])> {
    let curve = form.curve(p)?;
    let frame = Frame { origin: Point::new(goals[0], goals[1]), along: Vector::<Local>::at_angle(goals[2]) };
    let (l, r) = (frame.crossing(&curve, 0.0, 1.0)?, frame.crossing(&curve, 0.0, -1.0)?);
    let mut by_curve = l.by_curve(&frame, &curve);
    for (to, of) in by_curve.iter_mut().zip(r.by_curve(&frame, &curve)) {
        *to -= of;
    }
    if let Form::Ellipse = form
        && p[2] < p[3]
    {
        // The curve names its longer semi-axis first, the parameters do not.
        by_curve.swap(2, 3);
    }
    let by = |d: Vector<Local>| l.by_origin(&frame, d) - r.by_origin(&frame, d);
    let by_goals =
        [by(Vector::new(1.0, 0.0)), by(Vector::new(0.0, 1.0)), l.by_turn(&frame) - r.by_turn(&frame), 0.0];
    Some((l.y - r.y, by_curve, by_goals))
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
            // Closed forms; the crossings are roots to 1e-11 m.
            assert!((length(Span::GoalToGoal, &Form::Ellipse, p, end).unwrap() - 2.0 * half).abs() < 1e-9);
            assert!((length(Span::WingToWing, &Form::Ellipse, p, end).unwrap() - 2.0 * b).abs() < 1e-9);
            let (_, g) = length_and_gradient(Span::WingToWing, &Form::Ellipse, p, end).unwrap();
            assert!((g[3] - 2.0).abs() < 1e-9 && g[2].abs() < 1e-9, "{g:?}");
        }
        // Goals 10 m up the ground: the chord there is 2b√(1 − (10/a)²).
        let (s, c) = 0.3f64.sin_cos();
        let up = [5.0, 6.0, a, b, 0.3, 5.0 + 10.0 * c, 6.0 + 10.0 * s, 0.3, half];
        let want = 2.0 * b * (1.0 - (10.0 / a) * (10.0 / a)).sqrt();
        assert!((length(Span::WingToWing, &Form::Ellipse, &up, end).unwrap() - want).abs() < 1e-9);
    }
}
