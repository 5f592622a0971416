//! Zones of a ground: inside each arc, the centre square and the wings.
//! They may overlap on a short ground.

use super::Oval;
use crate::boundary::{End, Side};
use crate::frame::Ground as GroundFrame;
use crate::geometry::{Point, Vector};

/// The zones that a point is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Zones {
    /// Inside the arc of end A, or what takes its place.
    pub arc_a: bool,
    /// Inside the arc of end B, or what takes its place.
    pub arc_b: bool,
    /// On or inside the centre square.
    pub square: bool,
    /// On the wing of this side: outside both arcs, and farther from the goal axis than the square.
    pub wing: Option<Side>,
    /// Inside the boundary or on it. A point outside is in no zone.
    pub in_play: bool,
}

/// Areas of the zones, m².
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZoneAreas {
    /// Inside the arc of end A, or what takes its place.
    pub arc_a: f64,
    /// Inside the arc of end B, or what takes its place.
    pub arc_b: f64,
    /// The centre square; `None` where there is none.
    pub square: Option<f64>,
    /// The left wing; there are no wings without a square.
    pub wing_left: Option<f64>,
    /// The right wing.
    pub wing_right: Option<f64>,
}

/// Steps of the polygon that areas are computed from, m:
/// each chord of 0.25 m leaves out h³/12R, in all 0.03 m².
const STEP_M: f64 = 0.25;

impl Zones {
    /// Is the point in none of the arcs, the square and the wings?
    #[must_use]
    pub fn is_none(&self) -> bool {
        !(self.arc_a || self.arc_b || self.square) && self.wing.is_none()
    }
}

impl Oval {
    /// The zones that a point is in. A point on an arc is inside it, unless the rule set says otherwise.
    ///
    /// # Examples
    /// ```
    /// # use ovalpeg::{boundary::Outline, geometry::Point, ground::Oval, rules::RuleSet};
    /// let outline = Outline::from_parameters(&[0.0, 0.0, 83.35, 67.5, 12.0, 0.0, 0.0, 12.0, 82.5])?;
    /// let oval = Oval::new(&outline, RuleSet::laws())?;
    /// assert!(oval.zones(Point::new(0.0, 0.0)).square);
    /// assert!(oval.zones(Point::new(40.0, 0.0)).arc_a);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn zones(&self, p: Point<GroundFrame>) -> Zones {
        if !self.boundary().contains(p) {
            return Zones::default();
        }
        let [arc_a, arc_b] = End::BOTH.map(|e| self.within_end_m(p, e) >= self.on_arc_m());
        let half = self.square_half_m();
        let side = if p.y >= 0.0 { Side::Left } else { Side::Right };
        Zones {
            arc_a,
            arc_b,
            square: half.is_some_and(|half| p.x.abs() <= half && p.y.abs() <= half),
            wing: half.filter(|half| !arc_a && !arc_b && p.y.abs() > *half).map(|_| side),
            in_play: true,
        }
    }

    /// Areas of the zones within the boundary, m².
    #[must_use]
    pub fn zone_areas(&self) -> ZoneAreas {
        let ring = self.boundary().ring(STEP_M);
        let kept =
            |ring: &[Point<GroundFrame>], nx: f64, ny: f64, at: f64| clip(ring, Vector::new(nx, ny), at);
        // The area of the part of a piece that is inside an end's arc, circle or zone.
        let in_end = |piece: &[Point<GroundFrame>], e: End| match self.arc_radius_m() {
            Some(r) => area_in_circle(piece, self.goal(e), r),
            None => area(&kept(piece, e.sign(), 0.0, self.arc_top_m())),
        };
        let half = self.square_half_m();
        let square = half.map(|half| {
            let cut = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)]
                .iter()
                .fold(ring.clone(), |ring, &(x, y)| kept(&ring, x, y, -half));
            area(&cut)
        });
        // In each half of the ground only the arc of the nearer goal counts.
        let wing = |side: Side| {
            let beyond = kept(&ring, 0.0, side.sign(), half?);
            let parts = End::BOTH.iter().map(|&e| {
                let part = kept(&beyond, e.sign(), 0.0, 0.0);
                area(&part) - in_end(&part, e)
            });
            Some(parts.sum())
        };
        ZoneAreas {
            arc_a: in_end(&ring, End::A),
            arc_b: in_end(&ring, End::B),
            square,
            wing_left: wing(Side::Left),
            wing_right: wing(Side::Right),
        }
    }
}

/// The part of a ring where p·n ≥ `at` (I. Sutherland and G. Hodgman, Communications of the
/// ACM 17(1), 1974; from memory). Separate pieces stay connected along the cut, without area.
fn clip(ring: &[Point<GroundFrame>], n: Vector<GroundFrame>, at: f64) -> Vec<Point<GroundFrame>> {
    let over = |p: Point<GroundFrame>| (p - Point::ORIGIN).dot(n) - at;
    let mut out = Vec::with_capacity(ring.len() + 4);
    for (i, &p) in ring.iter().enumerate() {
        let q = ring[(i + 1) % ring.len()];
        let (a, b) = (over(p), over(q));
        if a >= 0.0 {
            out.push(p);
        }
        if (a >= 0.0) != (b >= 0.0) {
            out.push(p + (q - p) * (a / (a - b)));
        }
    }
    out
}

fn area(ring: &[Point<GroundFrame>]) -> f64 {
    crate::geometry::ring_area(ring).abs()
}

/// Area that a ring and a circle have in common: the sum over the ring's edges of the signed
/// area between edge and centre. It is a triangle where the edge is inside the
/// circle and a sector where it is outside.
fn area_in_circle(ring: &[Point<GroundFrame>], centre: Point<GroundFrame>, r: f64) -> f64 {
    let sector = |a: Vector<GroundFrame>, b: Vector<GroundFrame>| 0.5 * r * r * a.cross(b).atan2(a.dot(b));
    let mut sum = 0.0;
    for (i, &p) in ring.iter().enumerate() {
        let (a, b) = (p - centre, ring[(i + 1) % ring.len()] - centre);
        let d = b - a;
        let (dd, ad) = (d.dot(d), a.dot(d));
        let root = ad * ad - dd * (a.dot(a) - r * r);
        if dd == 0.0 {
            continue;
        }
        if root <= 0.0 {
            sum += sector(a, b);
            continue;
        }
        let (t1, t2) = ((-ad - root.sqrt()) / dd, (-ad + root.sqrt()) / dd);
        if t2 <= 0.0 || t1 >= 1.0 {
            sum += sector(a, b);
            continue;
        }
        let (t1, t2) = (t1.max(0.0), t2.min(1.0));
        let (enter, leave) = (a + d * t1, a + d * t2);
        sum += 0.5 * enter.cross(leave);
        if t1 > 0.0 {
            sum += sector(a, enter);
        }
        if t2 < 1.0 {
            sum += sector(leave, b);
        }
    }
    sum.abs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::{Arcs, outline_for_tests, oval_for_tests as oval};
    use crate::rules::RuleSet;

    #[test]
    fn zones_by_their_definitions() {
        let o = oval(165.0, 135.0);
        let z = |x, y| o.zones(Point::new(x, y));
        assert!(z(0.0, 25.0).square && z(0.0, 25.0).wing.is_none());
        assert_eq!(z(0.0, 25.1).wing, Some(Side::Left));
        assert_eq!(z(0.0, -40.0).wing, Some(Side::Right));
        // 50 m from the goal line, on the arc.
        assert!(z(32.5, 0.0).arc_a && !z(32.4, 0.0).arc_a);
        assert!(z(-32.5, 0.0).arc_b);
        // Between square and arc, near the axis, there is no zone.
        assert!(z(29.0, 0.0).is_none() && z(29.0, 0.0).in_play);
        assert!(!z(0.0, 90.0).in_play && z(0.0, 90.0).is_none());
        // Where the league says so, a place on the arc is outside it.
        let rules = RuleSet { on_arc_is_inside: false, ..RuleSet::laws() };
        let other = Oval::new(&outline_for_tests(165.0, 135.0), rules).unwrap();
        assert!(!other.zones(Point::new(32.5, 0.0)).arc_a && other.zones(Point::new(32.6, 0.0)).arc_a);
        assert_eq!(o.arcs(Point::new(32.5, 0.0)), Arcs::Inside(End::A));
        assert_eq!(other.arcs(Point::new(32.5, 0.0)), Arcs::Between);
        // On a short ground, arc and square overlap.
        let short = oval(137.0, 112.0);
        let both = short.zones(Point::new(20.0, 0.0));
        assert!(both.arc_a && both.square);
    }

    #[test]
    fn areas_have_closed_forms_and_make_up_the_ground() {
        // Second method: count small squares.
        for (l, w) in [(165.0, 135.0), (137.0, 112.0)] {
            let o = oval(l, w);
            let areas = o.zone_areas();
            assert!((areas.square.unwrap() - 2500.0).abs() < 1e-6);
            let [wing_left, wing_right] = [areas.wing_left, areas.wing_right].map(Option::unwrap);
            assert!((areas.arc_a - areas.arc_b).abs() < 1e-6);
            assert!((wing_left - wing_right).abs() < 1e-6);
            let step = 0.25;
            let (mut arc, mut wing) = (0.0, 0.0);
            for i in -360..360 {
                for j in -360..360 {
                    let z = o.zones(Point::new((f64::from(i) + 0.5) * step, (f64::from(j) + 0.5) * step));
                    arc += f64::from(u8::from(z.arc_a)) * step * step;
                    wing += f64::from(u8::from(z.wing == Some(Side::Left))) * step * step;
                }
            }
            // The count errs at squares of 0.25 m along some 250 m of edge,
            // either way, which mostly cancels.
            assert!((areas.arc_a - arc).abs() < 3.0, "{} {arc}", areas.arc_a);
            assert!((wing_left - wing).abs() < 3.0, "{wing_left} {wing}");
        }
    }

    #[test]
    fn a_half_circle_within_a_square() {
        let square = [(-10.0, 0.0), (10.0, 0.0), (10.0, 10.0), (-10.0, 10.0)].map(|(x, y)| Point::new(x, y));
        let half = area_in_circle(&square, Point::ORIGIN, 6.0);
        assert!((half - 18.0 * std::f64::consts::PI).abs() < 1e-12);
        // A circle around the whole rectangle contains all of its area.
        assert!((area_in_circle(&square, Point::ORIGIN, 20.0) - 200.0).abs() < 1e-9);
    }
}
