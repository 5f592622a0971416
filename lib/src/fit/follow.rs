//! Where a line crosses a curve; and the goals of a curve where no posts were surveyed. Those goals are on
//! the curve's longer axis, where the curve is as wide as a scoring end.
//!
//! **Derivatives.** A frame has origin c and directions u and v. A line along v, at the distance s along u,
//! crosses the curve at y along v, where the curve's normal is n. A change of a parameter that moves the
//! curve there by m along n, relative to the frame, moves the crossing by m/(n·v). A step of the line along u
//! moves it by −(n·u)/(n·v) per metre.

use nalgebra::DMatrix;

use super::form::Form;
use super::observation::GOALS;
use crate::frame::Local;
use crate::geometry::{ClosedCurve, Foot, Point, Shape, Vector};
use crate::numeric::find_root;

/// Half the length of an ellipse between its goal lines, and its derivatives by the two semi-axes. A goal
/// line is where the ellipse is `end` wide across its first axis.
pub(super) fn half_length(a: f64, b: f64, end: f64) -> Option<[f64; 3]> {
    let h = 0.5 * end;
    let q = 1.0 - (h / b) * (h / b);
    (q > 0.0).then(|| {
        let root = q.sqrt();
        [a * root, root, a * h * h / (b * b * b * root)]
    })
}

/// An origin and the direction of its first axis.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    pub(super) origin: Point<Local>,
    pub(super) along: Vector<Local>,
}

impl Frame {
    fn coordinates(&self, p: Point<Local>) -> (f64, f64) {
        let r = p - self.origin;
        (r.dot(self.along), r.dot(self.along.to_left()))
    }

    /// Where the line across the frame, at `s` along it, crosses the curve: on the left (+1) or right (−1).
    pub(super) fn crossing(&self, curve: &Shape<Local>, s: f64, left: f64) -> Option<Crossing> {
        // Anticlockwise, the left side runs from the curve's foremost point to its hindmost, and the right
        // side back. Each side crosses the line once.
        let from = curve.farthest_parameter(self.along * left);
        let mut to = curve.farthest_parameter(self.along * -left);
        if to <= from {
            to += curve.period();
        }
        let ahead = |t: f64| self.coordinates(curve.at_parameter(t)).0 - s;
        let t = find_root(ahead, from, to, 1e-13 * curve.period()).ok()?;
        let foot = curve.foot(curve.at_parameter(t));
        let (_, y) = self.coordinates(foot.point);
        (foot.normal.dot(self.along.to_left()).abs() > 1e-9).then_some(Crossing { foot, y })
    }
}

/// A crossing and its place along the line.
pub(super) struct Crossing {
    foot: Foot<Local>,
    pub(super) y: f64,
}

impl Crossing {
    /// Derivatives of `y` by the curve's own parameters, in a fixed frame.
    pub(super) fn by_curve(&self, frame: &Frame, curve: &Shape<Local>) -> Vec<f64> {
        let over = 1.0 / self.foot.normal.dot(frame.along.to_left());
        curve.normal_motion(&self.foot).iter().map(|m| m * over).collect()
    }

    /// Derivative of `y` by the line's distance along the frame.
    pub(super) fn by_step(&self, frame: &Frame) -> f64 {
        -self.foot.normal.dot(frame.along) / self.foot.normal.dot(frame.along.to_left())
    }

    /// Change of `y` as the frame's origin moves by `d`. Seen from the frame, the curve moves back by as
    /// much.
    pub(super) fn by_origin(&self, frame: &Frame, d: Vector<Local>) -> f64 {
        -self.foot.normal.dot(d) / self.foot.normal.dot(frame.along.to_left())
    }

    /// Derivative of `y` by the frame's turn.
    pub(super) fn by_turn(&self, frame: &Frame) -> f64 {
        self.by_origin(frame, (self.foot.point - frame.origin).to_left())
    }
}

/// The goals of a curve and their derivatives by its parameters, a row for each of
/// midpoint x, y, turn and half-length.
pub(super) struct Followed {
    pub(super) goals: [f64; GOALS],
    pub(super) by: DMatrix<f64>,
}

/// Goals on the curve's longer axis. For a freeform line it is the axis of its best ellipse.
///
/// `None` where the curve is nowhere as wide as a scoring end.
pub(super) fn follow(form: &Form, p: &[f64], end_width_m: f64) -> Option<Followed> {
    let k = form.count();
    let mut by = DMatrix::zeros(GOALS, k);
    // The axis: centre and turn, and their derivatives by the parameters.
    let (centre, turn) = match form {
        Form::Freeform(f) => {
            let d = f.best_ellipse() * nalgebra::DVector::from_column_slice(&p[..k]);
            for i in 0..k {
                for (row, of) in [(0, 0), (1, 1), (2, 4)] {
                    by[(row, i)] = f.best_ellipse()[(of, i)];
                }
            }
            (f.base.centre() + Vector::new(d[0], d[1]), f.base.turn_rad() + d[4])
        }
        _ => {
            let swapped = p[2] < p[3];
            for (row, of) in [(0, 0), (1, 1), (2, 4)] {
                by[(row, of)] = 1.0;
            }
            (Point::new(p[0], p[1]), if swapped { p[4] + std::f64::consts::FRAC_PI_2 } else { p[4] })
        }
    };
    if let Form::Ellipse = form {
        let (long, short) = if p[2] >= p[3] { (2, 3) } else { (3, 2) };
        let [half, by_long, by_short] = half_length(p[long], p[short], end_width_m)?;
        by[(3, long)] = by_long;
        by[(3, short)] = by_short;
        return Some(Followed { goals: [centre.x, centre.y, turn, half], by });
    }
    let curve = form.curve(p)?;
    let u = Vector::<Local>::at_angle(turn);
    let mut ends = Vec::new();
    for sign in [1.0, -1.0] {
        ends.push(goal_line(&curve, &Frame { origin: centre, along: u * sign }, end_width_m, &by)?);
    }
    let ((far, by_far), (near, by_near)) = (&ends[0], &ends[1]);
    // The midpoint is off the centre by half the difference of the two ends' distances.
    let shift = 0.5 * (far - near);
    for i in 0..k {
        let (d_shift, d_turn) = (0.5 * (by_far[i] - by_near[i]), by[(2, i)]);
        let moved = u * d_shift + u.to_left() * (shift * d_turn);
        by[(0, i)] += moved.x;
        by[(1, i)] += moved.y;
        by[(3, i)] = 0.5 * (by_far[i] + by_near[i]);
    }
    let g = centre + u * shift;
    Some(Followed { goals: [g.x, g.y, turn, 0.5 * (far + near)], by })
}

/// How far along the frame the curve is `end_width_m` wide, and the derivatives of that by the parameters.
fn goal_line(
    curve: &Shape<Local>,
    frame: &Frame,
    end_width_m: f64,
    axis: &DMatrix<f64>,
) -> Option<(f64, Vec<f64>)> {
    let reach = frame.coordinates(curve.at_parameter(curve.farthest_parameter(frame.along))).0;
    let both = |s: f64| Some((frame.crossing(curve, s, 1.0)?, frame.crossing(curve, s, -1.0)?));
    let wider = |s: f64| both(s).map_or(-end_width_m, |(l, r)| l.y - r.y - end_width_m);
    let s = find_root(wider, 0.3 * reach, reach * (1.0 - 1e-9), 1e-11 * reach).ok()?;
    let (l, r) = both(s)?;
    let by_step = l.by_step(frame) - r.by_step(frame);
    let (by_l, by_r) = (l.by_curve(frame, curve), r.by_curve(frame, curve));
    let by = (0..by_l.len())
        .map(|i| {
            let d = Vector::new(axis[(0, i)], axis[(1, i)]);
            let of = |c: &Crossing| c.by_origin(frame, d) + c.by_turn(frame) * axis[(2, i)];
            -(by_l[i] - by_r[i] + of(&l) - of(&r)) / by_step
        })
        .collect();
    Some((s, by))
}

#[cfg(test)]
mod tests {
    use super::super::form::{Cut, Freeform};
    use super::*;
    use crate::geometry::Ellipse;

    fn forms() -> Vec<(Form, Vec<f64>)> {
        let base = Ellipse::new(Point::new(3.0, 4.0), [80.0, 65.0], 20.0).unwrap();
        let offsets = (0..64).map(|i| 0.5 * (f64::from(i) * 0.7).sin()).collect();
        vec![
            (Form::Ellipse, vec![3.0, 4.0, 65.0, 80.0, 0.4]),
            (Form::FourArc, vec![3.0, 4.0, 80.0, 65.0, 0.4, 50.0]),
            (Form::CutEllipse(Cut::Anywhere), vec![3.0, 4.0, 80.0, 65.0, 0.4, 1.8, 60.0]),
            (Form::Freeform(Box::new(Freeform::off(base).unwrap())), offsets),
        ]
    }

    #[test]
    fn derivatives_are_those_of_differences() {
        for (form, p) in forms() {
            let here = follow(&form, &p, 19.2).unwrap();
            for i in 0..p.len() {
                let h = 1e-5;
                let at = |d: f64| {
                    let mut q = p.clone();
                    q[i] += d;
                    follow(&form, &q, 19.2).unwrap().goals
                };
                let (hi, lo) = (at(h), at(-h));
                for row in 0..GOALS {
                    let numeric = (hi[row] - lo[row]) / (2.0 * h);
                    // h² and roots to 1e-9 m over 2h.
                    let (got, model) = (here.by[(row, i)], form.model());
                    assert!(
                        (numeric - got).abs() < 1e-4 * (1.0 + numeric.abs()),
                        "{model:?} {row} {i}: {got} {numeric}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_four_arc_oval_has_a_closed_form_and_a_cut_side_changes_nothing() {
        let all = forms();
        let (form, p) = &all[1];
        // The end arc's centre lies a − r out, and the chord of 19.2 m √(r² − 9.6²) beyond.
        let want = 30.0 + (50f64.powi(2) - 9.6f64.powi(2)).sqrt();
        assert!((follow(form, p, 19.2).unwrap().goals[3] - want).abs() < 1e-9);
        let (form, p) = &all[2];
        let whole = follow(&Form::Ellipse, &p[..5], 19.2).unwrap().goals;
        for (a, b) in follow(form, p, 19.2).unwrap().goals.iter().zip(&whole) {
            assert!((a - b).abs() < 1e-9);
        }
    }

    #[test]
    fn a_freeform_line_that_is_an_ellipse_has_its_goals() {
        let base = Ellipse::new(Point::new(3.0, 4.0), [80.0, 65.0], 20.0).unwrap();
        let form = Form::Freeform(Box::new(Freeform::off(base).unwrap()));
        let got = follow(&form, &[0.0; 64], 19.2).unwrap().goals;
        let want = follow(&Form::Ellipse, &[3.0, 4.0, 80.0, 65.0, 20f64.to_radians()], 19.2).unwrap().goals;
        for (a, b) in got.iter().zip(&want) {
            // The spline is the base to 0.06 mm.
            assert!((a - b).abs() < 2e-4, "{got:?} {want:?}");
        }
    }
}
