//! An oval: one whole ground with exact numbers.

use super::layout::{Layout, Parting};
use crate::boundary::{Boundary, BoundaryError, End, Outline, Side};
use crate::frame::{Ground as GroundFrame, Plan};
use crate::geometry::Point;
use crate::rules::RuleSet;

/// One ground with exact numbers: its plan, its boundary, its goals and its rules.
#[derive(Debug, Clone, PartialEq)]
pub struct Oval {
    plan: Plan,
    boundary: Boundary,
    half_length: f64,
    rules: RuleSet,
    pub(super) layout: Layout,
    /// Chainages of the arc ends (left A, left B, right A, right B) and of the wings
    /// (left, right). They are stored because almost every computation needs them.
    arc_ends: [[Option<f64>; 2]; 2],
    wings: [Option<f64>; 2],
}

/// How the 50 m arc lies in relation to the centre square.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ArcAndSquare {
    /// Clear of it, by this distance along the goal axis, m (L/2 − R − S/2).
    Apart(f64),
    /// The arc cuts the square's end edge twice.
    Cuts,
    /// The whole end edge lies inside the arc.
    Swallows,
}

fn index(side: Side, end: End) -> (usize, usize) {
    (usize::from(side == Side::Right), usize::from(end == End::B))
}

impl Oval {
    /// The oval of an outline under a rule set. The practice is adapted to the ground's length.
    ///
    /// # Errors
    /// [`BoundaryError`] when no boundary can be made of it.
    pub fn new(outline: &Outline, mut rules: RuleSet) -> Result<Self, BoundaryError> {
        let boundary = outline.boundary(rules.end_width_m())?;
        rules.practice = rules.practice.on_ground(2.0 * outline.half_length_m());
        let layout = Layout::of(&boundary, outline.half_length_m(), &rules);
        Ok(Self::laid_out(outline, boundary, rules, layout))
    }

    /// The oval of another outline of the same ground, with the square, arcs and practice of this one.
    pub(super) fn like(&self, outline: &Outline) -> Result<Self, BoundaryError> {
        let boundary = outline.boundary(self.rules.end_width_m())?;
        Ok(Self::laid_out(outline, boundary, self.rules.clone(), self.layout))
    }

    fn laid_out(outline: &Outline, boundary: Boundary, rules: RuleSet, layout: Layout) -> Self {
        let mut oval = Self {
            plan: *outline.plan(),
            boundary,
            half_length: outline.half_length_m(),
            rules,
            layout,
            arc_ends: [[None; 2]; 2],
            wings: [None; 2],
        };
        for side in Side::BOTH {
            for end in End::BOTH {
                let (i, j) = index(side, end);
                oval.arc_ends[i][j] = layout.parting.end_m(&oval.boundary, side, end, oval.goal(end));
            }
            oval.wings[index(side, End::A).0] = oval.boundary.wing_chainage_m(side);
        }
        oval
    }

    /// Where the ground frame lies in the local plane.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// The boundary.
    #[must_use]
    pub fn boundary(&self) -> &Boundary {
        &self.boundary
    }

    /// The rule set.
    #[must_use]
    pub fn rules(&self) -> &RuleSet {
        &self.rules
    }

    /// Length, goal-line midpoint to goal-line midpoint, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        2.0 * self.half_length
    }

    /// Half of the length, m.
    #[must_use]
    pub fn half_length_m(&self) -> f64 {
        self.half_length
    }

    /// Width at the wings (x = 0), m; `None` where a line does not cross it.
    #[must_use]
    pub fn width_at_wings_m(&self) -> Option<f64> {
        let [left, right] = self.wings;
        let (l, r) = (self.boundary.at(left?), self.boundary.at(right?));
        Some(l.point.y - r.point.y)
    }

    /// The goal line's midpoint.
    #[must_use]
    pub fn goal(&self, end: End) -> Point<GroundFrame> {
        Point::new(end.sign() * self.half_length, 0.0)
    }

    /// Is a point behind a scoring end, between its behind posts, where there is no boundary line?
    #[must_use]
    pub fn is_behind_goal(&self, p: Point<GroundFrame>) -> bool {
        p.x.abs() > self.half_length && p.y.abs() < 0.5 * self.rules.end_width_m()
    }

    /// A goal post.
    #[must_use]
    pub fn goal_post(&self, side: Side, end: End) -> Point<GroundFrame> {
        Point::new(end.sign() * self.half_length, side.sign() * 0.5 * self.rules.post_gap_m.value)
    }

    /// A behind post, where the rule set puts it.
    #[must_use]
    pub fn behind_post(&self, side: Side, end: End) -> Point<GroundFrame> {
        Point::new(end.sign() * self.half_length, side.sign() * 0.5 * self.rules.end_width_m())
    }

    /// Where the arc, the circle in its place or the zone line meets the line: chainage, m.
    #[must_use]
    pub fn arc_end_m(&self, side: Side, end: End) -> Option<f64> {
        let (i, j) = index(side, end);
        self.arc_ends[i][j]
    }

    /// The wing's chainage, m.
    #[must_use]
    pub fn wing_m(&self, side: Side) -> Option<f64> {
        self.wings[index(side, End::A).0]
    }

    /// How the arc lies in relation to the square; `None` where there is no square or no arc.
    ///
    /// With the sizes in the Laws the gap closes at L = 150 m, and below 136.60 m the
    /// square's corners (S/2, S/2) are within the arc: (L/2 − S/2)² + (S/2)² ≤ R².
    #[must_use]
    pub fn arc_and_square(&self) -> Option<ArcAndSquare> {
        let (Parting::Arc { radius_m: r }, s) = (self.parting(), self.square_half_m()?) else { return None };
        let gap = self.half_length - r - s;
        Some(if gap >= 0.0 {
            ArcAndSquare::Apart(gap)
        } else if (self.half_length - s).hypot(s) <= r {
            ArcAndSquare::Swallows
        } else {
            ArcAndSquare::Cuts
        })
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A ground of this size, with an ellipse through its posts and an axis that bears north.
    pub(crate) fn oval(length: f64, width: f64) -> Oval {
        Oval::new(&outline(length, width), RuleSet::laws()).unwrap()
    }

    pub(crate) fn outline(length: f64, width: f64) -> Outline {
        let b = 0.5 * width;
        let a = 0.5 * length / (1.0 - (9.6 / b).powi(2)).sqrt();
        Outline::from_parameters(&[0.0, 0.0, a, b, 0.0, 0.0, 0.0, 0.0, 0.5 * length]).unwrap()
    }

    #[test]
    fn arc_and_square_change_where_the_design_says() {
        assert_eq!(oval(150.0, 120.0).arc_and_square(), Some(ArcAndSquare::Apart(0.0)));
        assert_eq!(oval(149.9, 120.0).arc_and_square(), Some(ArcAndSquare::Cuts));
        assert_eq!(oval(136.61, 120.0).arc_and_square(), Some(ArcAndSquare::Cuts));
        assert_eq!(oval(136.59, 120.0).arc_and_square(), Some(ArcAndSquare::Swallows));
    }

    #[test]
    fn arc_ends_are_on_the_arc_and_symmetric() {
        let o = oval(165.0, 135.0);
        for side in Side::BOTH {
            for end in End::BOTH {
                let p = o.boundary().at(o.arc_end_m(side, end).unwrap()).point;
                assert!((p.distance_to(o.goal(end)) - 50.0).abs() < 1e-8);
                let q = o.boundary().at(o.arc_end_m(Side::Left, End::A).unwrap()).point;
                assert!((p.x.abs() - q.x).abs() < 1e-7 && (p.y.abs() - q.y).abs() < 1e-7);
            }
        }
        assert!((o.width_at_wings_m().unwrap() - 135.0).abs() < 1e-9);
    }
}
