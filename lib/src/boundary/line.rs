//! One boundary line: an open part of a closed curve, anticlockwise, by arc length.

use super::BoundaryError;
use crate::frame::Ground;
use crate::geometry::{ClosedCurve, Ellipse, Foot, Point, Shape, Vector};
use crate::numeric::{find_root, sort_by};

/// A boundary line from its first behind post to its last, anticlockwise.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    curve: Shape<Ground>,
    /// The curve's parameters at its two ends; `to` is greater than `from` by up to a period.
    from: f64,
    to: f64,
    /// The curve's own arc length where the line starts.
    arc_from: f64,
    length: f64,
}

/// A point of a line with its directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct LinePoint {
    pub(crate) point: Point<Ground>,
    /// Unit tangent, anticlockwise.
    pub(crate) tangent: Vector<Ground>,
    pub(crate) curvature: f64,
}

/// Steps along a line in the search for a crossing, some 3 m each.
/// Two crossings within one step are missed.
const SCAN: u32 = 64;

impl Line {
    /// The part of `curve` that runs anticlockwise from the point nearest to
    /// `first` to the point nearest to `last`.
    pub(crate) fn new(
        curve: Shape<Ground>,
        first: Point<Ground>,
        last: Point<Ground>,
    ) -> Result<Self, BoundaryError> {
        let from = curve.foot(first).parameter();
        let mut to = curve.foot(last).parameter();
        // Both parameters are of one lap, so adding one period is enough.
        if to <= from {
            to += curve.period();
        }
        let arc_from = curve.arc(from);
        let length = curve.arc(to) - arc_from;
        crate::units::finite("length of a boundary line", length)?;
        Ok(Self { curve, from, to, arc_from, length })
    }

    pub(crate) fn length(&self) -> f64 {
        self.length
    }

    /// The closed curve that the line is a part of.
    pub(crate) fn curve(&self) -> &Shape<Ground> {
        &self.curve
    }

    /// The share of its curve's period that the line takes.
    pub(crate) fn share(&self) -> f64 {
        (self.to - self.from) / self.curve.period()
    }

    /// The point `s` metres along the line, or the nearer end for `s` outside `0..=length`. At a
    /// corner, tangent and curvature are those just after it; at the line's end, those just before.
    pub(crate) fn at(&self, s: f64) -> LinePoint {
        let t = if s <= 0.0 {
            self.from
        } else if s >= self.length {
            self.to
        } else {
            self.curve.parameter_at_arc(self.arc_from + s)
        };
        let (point, mut d, mut curvature) = self.curve.at_once(t);
        if s >= self.length {
            (d, curvature) = self.curve.arriving(t);
        }
        LinePoint { point, tangent: d * (1.0 / d.length()), curvature }
    }

    /// Arc length of a parameter on the line.
    fn arc_to(&self, t: f64) -> f64 {
        (self.curve.arc(t) - self.arc_from).clamp(0.0, self.length)
    }

    /// A foot's parameter, brought into the period that starts at `from`.
    fn parameter_on(&self, foot: &Foot<Ground>) -> f64 {
        self.from + (foot.parameter() - self.from).rem_euclid(self.curve.period())
    }

    /// Is a foot of the whole curve on the line?
    pub(crate) fn has(&self, foot: &Foot<Ground>) -> bool {
        self.parameter_on(foot) <= self.to
    }

    /// Arc length of a foot of the whole curve, if it is on the line.
    pub(crate) fn on_line(&self, foot: &Foot<Ground>) -> Option<f64> {
        self.has(foot).then(|| self.arc_to(self.parameter_on(foot)))
    }

    /// The line's nearest point to `p`, ends included, with its arc length.
    pub(crate) fn nearest(&self, p: Point<Ground>) -> (f64, Point<Ground>) {
        let foot = self.curve.foot(p);
        if let Some(s) = self.on_line(&foot) {
            return (s, foot.point);
        }
        let t = self.curve.nearest_between(p, self.from, self.to);
        (self.arc_to(t), self.curve.at_parameter(t))
    }

    /// The arc length at which `f` first changes sign along the line, from its start, or
    /// backward from its end; `None` when it does not.
    ///
    /// The search uses the curve's own parameter, because a point by arc length costs a
    /// hundred times more.
    pub(crate) fn first_crossing(&self, from_end: bool, f: impl Fn(Point<Ground>) -> f64) -> Option<f64> {
        let (from, to) = (self.from, self.to);
        let (start, step) = if from_end { (to, from - to) } else { (from, to - from) };
        let step = step / f64::from(SCAN);
        let value = |t: f64| f(self.curve.at_parameter(t));
        // 1e-14 of a turn in radians: below a picometre, and above the rounding of a parameter.
        let accuracy = 1e-14 * (self.curve.period() / std::f64::consts::TAU);
        let (mut at, mut before) = (start, value(start));
        for i in 1..=SCAN {
            let t = start + step * f64::from(i);
            let now = value(t);
            if (before > 0.0) != (now > 0.0) {
                // The bracket's ends are exactly the parameters tried, because the
                // root may lie on one of them.
                let found = find_root(value, at, t, accuracy).ok()?;
                return Some(self.arc_to(found));
            }
            (at, before) = (t, now);
        }
        None
    }

    /// The point of the crossing that [`Line::first_crossing`] finds; `f` must be linear in the point. On a
    /// convex curve such an `f` changes sign only once if its signs at the ends differ.
    pub(crate) fn crossing_point(
        &self,
        from_end: bool,
        f: impl Fn(Point<Ground>) -> f64,
    ) -> Option<Point<Ground>> {
        let value = |t: f64| f(self.curve.at_parameter(t));
        let accuracy = 1e-14 * (self.curve.period() / std::f64::consts::TAU);
        if self.curve.is_convex() && (value(self.from) > 0.0) != (value(self.to) > 0.0) {
            let t = find_root(value, self.from, self.to, accuracy).ok()?;
            return Some(self.curve.at_parameter(t));
        }
        self.first_crossing(from_end, f).map(|s| self.at(s).point)
    }

    /// ½∫(x dy − y dx) along the line: its share of the area.
    pub(crate) fn swept_area(&self) -> f64 {
        self.curve.swept_area(self.from, self.to)
    }

    /// The point farthest in the direction of the unit vector `u`.
    pub(crate) fn farthest(&self, u: Vector<Ground>) -> Point<Ground> {
        self.curve.farthest_between(u, self.from, self.to)
    }

    /// Arc lengths of the corners between the line's ends.
    pub(crate) fn corners(&self) -> Vec<f64> {
        let period = self.curve.period();
        let mut all: Vec<f64> = self
            .curve
            .corners()
            .into_iter()
            .map(|t| self.from + (t - self.from).rem_euclid(period))
            .filter(|t| *t < self.to)
            .map(|t| self.arc_to(t))
            .collect();
        sort_by(&mut all, f64::total_cmp);
        all
    }

    /// Distances along the line in equal steps of about `step_m`, including its ends and corners.
    pub(crate) fn stations(&self, step_m: f64) -> Vec<f64> {
        // A tiny step or a NaN would exhaust memory.
        let n = (self.length / step_m.max(1e-3)).ceil().clamp(1.0, 1e6) as u32;
        let mut steps: Vec<f64> = (0..=n).map(|i| self.length * f64::from(i) / f64::from(n)).collect();
        let corners = self.corners();
        if !corners.is_empty() {
            steps.extend(corners);
            sort_by(&mut steps, f64::total_cmp);
        }
        steps
    }

    /// Is `p` on the inner side of the curve that this line is a part of?
    pub(crate) fn holds(&self, p: Point<Ground>) -> bool {
        self.curve.holds(p)
    }

    /// Is this line a part of the same curve as `other`, so that the nearest point of
    /// the whole curve serves both?
    pub(crate) fn same_curve(&self, other: &Self) -> bool {
        self.curve == other.curve
    }

    /// The ellipse, if the line is an arc of one.
    pub(crate) fn ellipse(&self) -> Option<&Ellipse<Ground>> {
        self.curve.ellipse()
    }
}
