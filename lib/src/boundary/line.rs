//! One boundary line: a smooth open curve, run anticlockwise, by its arc length.
//!
//! Shapes fit in behind the private enum; everything above asks only the
//! methods of [`Line`]. Today there is one shape, an arc of an ellipse.

use std::f64::consts::TAU;

use super::BoundaryError;
use crate::frame::Ground;
use crate::geometry::{Ellipse, Point, Vector};
use crate::numeric::find_root;

/// A boundary line from its first behind post to its last, anticlockwise.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    shape: Shape,
    length: f64,
}

#[derive(Debug, Clone, PartialEq)]
enum Shape {
    /// From eccentric angle `from` up to `to`.
    EllipseArc { ellipse: Ellipse<Ground>, from: f64, to: f64, arc_from: f64 },
}

/// A point of a line with its directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct LinePoint {
    pub(crate) point: Point<Ground>,
    /// Unit tangent, anticlockwise.
    pub(crate) tangent: Vector<Ground>,
    pub(crate) curvature: f64,
}

/// Samples of the distance along a line before the nearest is refined: on a
/// curve of one bend a tenth of these would do.
const SCAN: u32 = 64;
/// Golden sections: each keeps 0.618 of the bracket, 60 leave 1e-13 of it.
const SECTIONS: usize = 60;

/// The parameter in `from..=to` with the least distance: the best of a scan, refined.
fn nearest_parameter(from: f64, to: f64, distance: impl Fn(f64) -> f64) -> f64 {
    let step = (to - from) / f64::from(SCAN);
    let least = |a: f64, b: f64| if distance(a) <= distance(b) { a } else { b };
    let best = (0..=SCAN).map(|i| from + step * f64::from(i)).reduce(least).unwrap_or(from);
    let (mut lo, mut hi) = ((best - step).max(from), (best + step).min(to));
    let ratio = 0.5 * (5f64.sqrt() - 1.0);
    for _ in 0..SECTIONS {
        let (a, b) = (hi - ratio * (hi - lo), lo + ratio * (hi - lo));
        if distance(a) <= distance(b) { hi = b } else { lo = a }
    }
    least(least(from, to), 0.5 * (lo + hi))
}

impl Line {
    /// The arc of `ellipse` that runs anticlockwise from the point nearest to
    /// `first` to the point nearest to `last`.
    pub(crate) fn on_ellipse(
        ellipse: Ellipse<Ground>,
        first: Point<Ground>,
        last: Point<Ground>,
    ) -> Result<Self, BoundaryError> {
        let from = ellipse.foot(first).parameter();
        let mut to = ellipse.foot(last).parameter();
        while to <= from {
            to += TAU;
        }
        let arc_from = ellipse.arc(from);
        let length = ellipse.arc(to) - arc_from;
        crate::units::finite("length of a boundary line", length)?;
        Ok(Self { shape: Shape::EllipseArc { ellipse, from, to, arc_from }, length })
    }

    pub(crate) fn length(&self) -> f64 {
        self.length
    }

    /// The point `s` metres along, `0 <= s <= length`; outside, the nearer end.
    pub(crate) fn at(&self, s: f64) -> LinePoint {
        match &self.shape {
            Shape::EllipseArc { ellipse, from, to, arc_from } => {
                let t = if s <= 0.0 {
                    *from
                } else if s >= self.length {
                    *to
                } else {
                    ellipse.parameter_at_arc(arc_from + s)
                };
                let d = ellipse.derivative(t);
                LinePoint {
                    point: ellipse.at_parameter(t),
                    tangent: d * (1.0 / d.length()),
                    curvature: ellipse.curvature(t),
                }
            }
        }
    }

    /// Arc length, point and signed distance of the nearest point when it is inside
    /// the line and the shape finds it at once; `None` leaves it to [`Line::nearest`].
    pub(crate) fn direct(&self, p: Point<Ground>) -> Option<(f64, Point<Ground>, f64)> {
        match &self.shape {
            Shape::EllipseArc { ellipse, from, to, arc_from } => {
                let foot = ellipse.foot(p);
                let t = from + (foot.parameter() - from).rem_euclid(TAU);
                (t <= *to).then(|| {
                    ((ellipse.arc(t) - arc_from).clamp(0.0, self.length), foot.point, foot.signed_distance_m)
                })
            }
        }
    }

    /// The arc length of the nearest point, ends included.
    pub(crate) fn nearest(&self, p: Point<Ground>) -> (f64, Point<Ground>) {
        if let Some((s, point, _)) = self.direct(p) {
            return (s, point);
        }
        match &self.shape {
            Shape::EllipseArc { ellipse, from, to, arc_from } => {
                let t = nearest_parameter(*from, *to, |t| ellipse.at_parameter(t).distance_to(p));
                ((ellipse.arc(t) - arc_from).clamp(0.0, self.length), ellipse.at_parameter(t))
            }
        }
    }

    /// The arc length at which `f` first changes sign along the line, walked from its
    /// start, or from its end back. `None` when it does not.
    ///
    /// Looked for in the shape's own parameter, since a point by arc length costs a
    /// hundred times more.
    pub(crate) fn first_crossing(&self, from_end: bool, f: impl Fn(Point<Ground>) -> f64) -> Option<f64> {
        match &self.shape {
            Shape::EllipseArc { ellipse, from, to, arc_from } => {
                let (start, step) = if from_end { (*to, from - to) } else { (*from, to - from) };
                let step = step / f64::from(SCAN);
                let value = |t: f64| f(ellipse.at_parameter(t));
                let (mut at, mut before) = (start, value(start));
                for i in 1..=SCAN {
                    let t = start + step * f64::from(i);
                    let now = value(t);
                    if (before > 0.0) != (now > 0.0) {
                        // The bracket's ends are the very parameters that were tried: a
                        // root may lie exactly on one. 1e-14 radians is below a picometre.
                        let found = find_root(value, at, t, 1e-14).ok()?;
                        return Some((ellipse.arc(found) - arc_from).clamp(0.0, self.length));
                    }
                    (at, before) = (t, now);
                }
                None
            }
        }
    }

    /// ½∮(x dy − y dx) along the line: its share of the area.
    pub(crate) fn swept_area(&self) -> f64 {
        match &self.shape {
            Shape::EllipseArc { ellipse, from, to, .. } => {
                let (p, q, c) = (ellipse.at_parameter(*from), ellipse.at_parameter(*to), ellipse.centre());
                0.5 * (ellipse.semi_major_m() * ellipse.semi_minor_m() * (to - from) + c.x * (q.y - p.y)
                    - c.y * (q.x - p.x))
            }
        }
    }

    /// The point farthest in the direction of the unit vector `u`.
    pub(crate) fn farthest(&self, u: Vector<Ground>) -> Point<Ground> {
        match &self.shape {
            Shape::EllipseArc { ellipse, from, to, .. } => {
                let t = from + (ellipse.farthest_parameter(u) - from).rem_euclid(TAU);
                let ends = [ellipse.at_parameter(*from), ellipse.at_parameter(*to)];
                let reach = |p: Point<Ground>| p.x * u.x + p.y * u.y;
                let end = if reach(ends[0]) >= reach(ends[1]) { ends[0] } else { ends[1] };
                if t <= *to { ellipse.at_parameter(t) } else { end }
            }
        }
    }

    /// Is `p` on the inner side of the curve that this line is a part of?
    pub(crate) fn holds(&self, p: Point<Ground>) -> bool {
        match &self.shape {
            Shape::EllipseArc { ellipse, .. } => ellipse.foot(p).signed_distance_m <= 0.0,
        }
    }

    /// Is this line an arc of the very same curve as `other`, so that the
    /// nearest point of the whole curve settles both?
    pub(crate) fn same_curve(&self, other: &Self) -> bool {
        match (&self.shape, &other.shape) {
            (Shape::EllipseArc { ellipse: a, .. }, Shape::EllipseArc { ellipse: b, .. }) => a == b,
        }
    }

    /// The ellipse, where the line is an arc of one.
    pub(crate) fn ellipse(&self) -> Option<&Ellipse<Ground>> {
        match &self.shape {
            Shape::EllipseArc { ellipse, .. } => Some(ellipse),
        }
    }
}
