//! Marks of other codes on a ground, such as a soccer pitch, a cricket square or a rope; and a centre square
//! that the controlling body had moved.

use super::Oval;
use crate::frame::{Ground as GroundFrame, Local};
use crate::geometry::{Point, Vector, distance_to_segment};

/// The kind of a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkKind {
    /// Painted lines, as of a soccer pitch.
    Line,
    /// A rope or cord that one may trip over, as of a cricket boundary.
    Rope,
    /// A surface of another kind, such as a cricket square or a synthetic pitch.
    Area,
}

/// The shape of a mark.
#[derive(Debug, Clone, PartialEq)]
pub enum MarkShape {
    /// Straight lines from corner to corner; a closed one repeats its first corner.
    Corners(Vec<Point<Local>>),
    /// A circle.
    Circle {
        /// Its centre.
        centre: Point<Local>,
        /// Its radius, m.
        radius_m: f64,
    },
}

/// Another code's line or area.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherMark {
    /// As printed.
    pub name: String,
    /// What it is.
    pub kind: MarkKind,
    /// Where.
    pub shape: MarkShape,
}

/// Where the centre square is painted; all three are zero where it has not been moved.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SquareAt {
    /// From the ground's centre to the square's centre, toward end A, m.
    pub along_m: f64,
    /// From the ground's centre to the square's centre, toward the left side, m.
    pub across_m: f64,
    /// Turned from the goal axis, degrees clockwise seen from above.
    pub turn_deg: f64,
}

/// Points of a shape are no farther apart than this, m, unless that takes too many of them.
const STEP_M: f64 = 1.0;
/// Most points of one straight or circle.
const MOST_POINTS: usize = 2_000;

/// The number of equal steps over a length.
fn steps(length_m: f64) -> usize {
    // The clamp makes the cast exact.
    (length_m / STEP_M).ceil().clamp(1.0, MOST_POINTS as f64) as usize
}

impl MarkKind {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::Line, Self::Rope, Self::Area];

    /// Its name in files.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Line => "line",
            Self::Rope => "rope",
            Self::Area => "area",
        }
    }

    /// The kind of this name.
    #[must_use]
    pub fn find(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.id() == id)
    }
}

impl OtherMark {
    /// Its line, or its edge, on an oval: points in order, about a metre apart or less.
    /// A closed one repeats its first point.
    #[must_use]
    pub fn points(&self, oval: &Oval) -> Vec<Point<GroundFrame>> {
        let here = |p: &Point<Local>| oval.plan().to_ground(*p);
        match &self.shape {
            MarkShape::Corners(corners) => {
                let mut out: Vec<_> = corners.first().map(here).into_iter().collect();
                for pair in corners.windows(2) {
                    let (a, b) = (here(&pair[0]), here(&pair[1]));
                    let n = steps(a.distance_to(b));
                    out.extend((1..=n).map(|i| a + (b - a) * (i as f64 / n as f64)));
                }
                out
            }
            MarkShape::Circle { centre, radius_m } => {
                let (c, n) = (here(centre), steps(std::f64::consts::TAU * radius_m));
                let turn = |i: usize| 360.0 * i as f64 / n as f64;
                (0..=n).map(|i| c + Vector::new(*radius_m, 0.0).turned_deg(turn(i))).collect()
            }
        }
    }

    /// Is it closed, so that something can be inside?
    #[must_use]
    pub fn is_closed(&self) -> bool {
        match &self.shape {
            MarkShape::Circle { .. } => true,
            MarkShape::Corners(c) => c.len() > 3 && c.first() == c.last(),
        }
    }

    /// Does someone at `p` stand on it: on an area, or within `near_m` of a line?
    #[must_use]
    pub fn is_stood_on(&self, oval: &Oval, p: Point<GroundFrame>, near_m: f64) -> bool {
        let points = self.points(oval);
        let inside = self.kind == MarkKind::Area && self.is_closed() && is_inside(&points, p);
        inside || points.windows(2).any(|w| distance_to_segment(p, w[0], w[1]) <= near_m)
    }
}

/// Is a point inside a closed ring? Counts how often a ray from the point crosses the ring.
fn is_inside(ring: &[Point<GroundFrame>], p: Point<GroundFrame>) -> bool {
    let crosses = |w: &[Point<GroundFrame>]| {
        let (a, b) = (w[0], w[1]);
        (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)
    };
    ring.windows(2).filter(|w| crosses(w)).count() % 2 == 1
}

impl SquareAt {
    /// Has the square been moved or turned?
    #[must_use]
    pub fn is_moved(&self) -> bool {
        *self != Self::default()
    }

    /// The corners of a square with this half side.
    #[must_use]
    pub fn corners(&self, half_m: f64) -> [Point<GroundFrame>; 4] {
        let centre = Point::new(self.along_m, self.across_m);
        // Angles in the ground frame are counter-clockwise, and this turn is clockwise.
        [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)]
            .map(|(x, y)| centre + Vector::new(x * half_m, y * half_m).turned_deg(-self.turn_deg))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::oval_for_tests as oval;

    fn mark(kind: MarkKind, corners: &[(f64, f64)]) -> OtherMark {
        let o = oval(165.0, 135.0);
        let at = corners.iter().map(|&(x, y)| o.plan().to_local(Point::new(x, y))).collect();
        OtherMark { name: "pitch".into(), kind, shape: MarkShape::Corners(at) }
    }

    #[test]
    fn one_stands_on_an_area_or_near_a_line() {
        let o = oval(165.0, 135.0);
        let ring = [(10.0, 10.0), (-10.0, 10.0), (-10.0, -10.0), (10.0, -10.0), (10.0, 10.0)];
        let (area, line) = (mark(MarkKind::Area, &ring), mark(MarkKind::Line, &ring));
        let on = |m: &OtherMark, x, y| m.is_stood_on(&o, Point::new(x, y), 0.5);
        assert!(on(&area, 0.0, 0.0) && on(&area, 10.4, 0.0) && !on(&area, 10.6, 0.0));
        assert!(!on(&line, 0.0, 0.0) && on(&line, 9.6, 3.0) && !on(&line, 9.4, 3.0));
        let rope = OtherMark {
            name: "rope".into(),
            kind: MarkKind::Rope,
            shape: MarkShape::Circle { centre: o.plan().to_local(Point::new(0.0, 0.0)), radius_m: 60.0 },
        };
        assert!(on(&rope, 0.0, 60.3) && !on(&rope, 0.0, 0.0) && rope.is_closed());
        // A chord of one metre lies 1²/(8 · 60) m inside that circle: 2 mm.
        assert!(rope.points(&o).windows(2).all(|w| w[0].distance_to(w[1]) <= STEP_M));
    }

    #[test]
    fn a_moved_squares_corners_are_moved_and_turned_clockwise() {
        let plain = SquareAt::default();
        assert!(!plain.is_moved() && plain.corners(25.0)[0] == Point::new(25.0, 25.0));
        let moved = SquareAt { along_m: 2.0, across_m: -1.0, turn_deg: 90.0 };
        // A quarter turn clockwise takes the corner at end A's left to end A's right.
        let c = moved.corners(25.0)[0];
        assert!((c.x - 27.0).abs() < 1e-9 && (c.y + 26.0).abs() < 1e-9 && moved.is_moved());
    }
}
