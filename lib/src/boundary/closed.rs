//! The closed boundary: points by chainage, nearest points, inside tests and sizes.

use super::line::Line;
use super::{BoundaryError, End, Side};
use crate::frame::Ground;
use crate::geometry::{ClosedCurve, Ellipse, Point, Shape, Vector};

/// The boundary of a ground, in the ground frame.
///
/// Chainage is metres along the outer edge, anticlockwise seen from above. It starts
/// with 0 at end A's left behind post, and runs down the left line, across end B, up
/// the right line and across end A.
#[derive(Debug, Clone, PartialEq)]
pub struct Boundary {
    left: Line,
    right: Line,
    /// Where the lines end at the behind posts: A left, B left, B right, A right.
    corners: [Point<Ground>; 4],
    one_curve: bool,
}

/// The part of the boundary that a chainage falls on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// On a boundary line.
    Line(Side),
    /// On a scoring end, between its behind posts.
    ScoringEnd(End),
}

/// A point of the boundary.
///
/// At a corner, and where the curvature jumps, the tangent, normal and curvature are those
/// of the part just after the point. At a line's last point, a behind post,
/// they are those of the part just before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoundaryPoint {
    /// Its chainage, m.
    pub chainage_m: f64,
    /// The line or end that it is on.
    pub place: Place,
    /// The point.
    pub point: Point<Ground>,
    /// Unit tangent, in the direction of growing chainage.
    pub tangent: Vector<Ground>,
    /// Unit normal, outward.
    pub normal: Vector<Ground>,
    /// Curvature, per metre, positive where the line bends inward (as an oval does).
    pub curvature_per_m: f64,
}

/// The point of the two lines that is nearest to a given point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// The nearest point.
    pub point: Point<Ground>,
    /// Its chainage, m.
    pub chainage_m: f64,
    /// The line that it is on; the left where both are equally near.
    pub side: Side,
    /// Distance, m, positive outside the boundary.
    pub signed_distance_m: f64,
}

/// Does the perpendicular from a point meet the chord between its ends? `away` is the
/// vector from the chord's start to the point.
fn before(chord: Vector<Ground>, away: Vector<Ground>) -> bool {
    (0.0..=chord.dot(chord)).contains(&chord.dot(away))
}

/// A chainage within this of a post counts as the post, m.
const AT_POST_M: f64 = 1e-9;

impl Boundary {
    /// A boundary with both lines on one ellipse: see [`Boundary::on_curve`].
    ///
    /// # Errors
    /// As [`Boundary::on_curve`].
    pub fn on_ellipse(
        ellipse: Ellipse<Ground>,
        half_length_m: f64,
        end_width_m: f64,
    ) -> Result<Self, BoundaryError> {
        Self::on_curve(Shape::Ellipse(ellipse), half_length_m, end_width_m)
    }

    /// A boundary with both lines on one closed curve. Each line ends where the curve is
    /// nearest to a behind post, at (±`half_length_m`, ±`end_width_m`/2).
    ///
    /// # Errors
    /// [`BoundaryError`] when the curve is not wider than a scoring end, a post is too
    /// far from it, or its nearest points to the posts are not in the posts' order.
    pub fn on_curve(
        curve: Shape<Ground>,
        half_length_m: f64,
        end_width_m: f64,
    ) -> Result<Self, BoundaryError> {
        let half = 0.5 * crate::units::within("width of a scoring end", end_width_m, 0.0, 1e4)?;
        let l = crate::units::within("half-length", half_length_m, 0.0, 1e5)?;
        let width = curve.extent_m(Vector::new(0.0, 1.0));
        if width <= end_width_m {
            return Err(BoundaryError::TooNarrow { width_m: width, end_width_m });
        }
        let [_, semi_minor] = curve.semi_axes_m();
        for end in End::BOTH {
            for y in [half, -half] {
                let miss = curve.foot(Point::new(end.sign() * l, y)).signed_distance_m;
                // A post farther off belongs to another curve.
                if miss.abs() > 0.25 * semi_minor {
                    return Err(BoundaryError::PostsOffTheCurve { end, miss_m: miss.abs() });
                }
            }
        }
        let left = Line::new(curve.clone(), Point::new(l, half), Point::new(-l, half))?;
        let right = Line::new(curve, Point::new(-l, -half), Point::new(l, -half))?;
        if left.share() + right.share() > 1.0 {
            return Err(BoundaryError::LinesOverlap);
        }
        Ok(Self::from_lines(left, right))
    }

    fn from_lines(left: Line, right: Line) -> Self {
        let corners = [
            left.at(0.0).point,
            left.at(left.length()).point,
            right.at(0.0).point,
            right.at(right.length()).point,
        ];
        let one_curve = left.same_curve(&right);
        Self { left, right, corners, one_curve }
    }

    pub(super) fn line(&self, side: Side) -> &Line {
        match side {
            Side::Left => &self.left,
            Side::Right => &self.right,
        }
    }

    /// Name of the shape, as in JSON.
    #[must_use]
    pub fn model(&self) -> &'static str {
        self.left.curve().model()
    }

    /// The closed curve that the line on `side` is a part of.
    #[must_use]
    pub fn curve(&self, side: Side) -> &Shape<Ground> {
        self.line(side).curve()
    }

    /// The ellipse, if both lines are arcs of one.
    #[must_use]
    pub fn ellipse(&self) -> Option<&Ellipse<Ground>> {
        self.left.ellipse().filter(|_| self.one_curve)
    }

    /// Length of one boundary line, behind post to behind post, m.
    #[must_use]
    pub fn line_length_m(&self, side: Side) -> f64 {
        self.line(side).length()
    }

    fn chord(&self, end: End) -> (Point<Ground>, Point<Ground>) {
        match end {
            End::A => (self.corners[3], self.corners[0]),
            End::B => (self.corners[1], self.corners[2]),
        }
    }

    /// The point where the line on `side` ends at `end`, at its behind post.
    #[must_use]
    pub fn corner(&self, side: Side, end: End) -> Point<Ground> {
        match (side, end) {
            (Side::Left, End::A) => self.corners[0],
            (Side::Left, End::B) => self.corners[1],
            (Side::Right, End::B) => self.corners[2],
            (Side::Right, End::A) => self.corners[3],
        }
    }

    /// Total length of the lines and scoring ends, m.
    #[must_use]
    pub fn perimeter_m(&self) -> f64 {
        let ends: f64 = End::BOTH.iter().map(|&e| self.chord(e).0.distance_to(self.chord(e).1)).sum();
        self.left.length() + self.right.length() + ends
    }

    /// Area inside lines and scoring ends, m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        let ends: f64 = End::BOTH
            .iter()
            .map(|&e| {
                let (p, q) = self.chord(e);
                0.5 * (p.x * q.y - p.y * q.x)
            })
            .sum();
        self.left.swept_area() + self.right.swept_area() + ends
    }

    /// Greatest distance of the line on `side` from the goal axis, m.
    #[must_use]
    pub fn half_width_m(&self, side: Side) -> f64 {
        self.line(side).farthest(Vector::new(0.0, side.sign())).y * side.sign()
    }

    /// Width across the goal axis, max y − min y, m.
    #[must_use]
    pub fn width_m(&self) -> f64 {
        self.half_width_m(Side::Left) + self.half_width_m(Side::Right)
    }

    /// The chainage of the point `from_post_m` along the line on `side` from its
    /// behind post at `end`; a distance off the line gives the line's nearer end.
    #[must_use]
    pub fn chainage_from_post_m(&self, side: Side, end: End, from_post_m: f64) -> f64 {
        let s = from_post_m.clamp(0.0, self.line(side).length());
        match (side, end) {
            (Side::Left, End::A) => s,
            (Side::Left, End::B) => self.left.length() - s,
            (Side::Right, End::B) => self.right_start() + s,
            (Side::Right, End::A) => self.right_start() + self.right.length() - s,
        }
    }

    fn right_start(&self) -> f64 {
        let (p, q) = self.chord(End::B);
        self.left.length() + p.distance_to(q)
    }

    /// Distance along the line from a chainage to its line's behind post at
    /// `end`, m; `None` on a scoring end.
    #[must_use]
    pub fn to_post_m(&self, chainage_m: f64, end: End) -> Option<f64> {
        let (place, s) = self.locate(chainage_m);
        let Place::Line(side) = place else { return None };
        Some(match (side, end) {
            (Side::Left, End::A) | (Side::Right, End::B) => s,
            (Side::Left, End::B) | (Side::Right, End::A) => self.line(side).length() - s,
        })
    }

    /// The piece that a chainage falls on, and the distance along it.
    fn locate(&self, chainage_m: f64) -> (Place, f64) {
        let around = self.perimeter_m();
        let c = chainage_m.rem_euclid(around);
        // A post's chainage computed in another way differs in the last digits; it still counts as the post.
        if c >= around - AT_POST_M {
            return (Place::Line(Side::Left), 0.0);
        }
        if c <= self.left.length() + AT_POST_M {
            return (Place::Line(Side::Left), c.min(self.left.length()));
        }
        let start = self.right_start();
        if c < start - AT_POST_M {
            return (Place::ScoringEnd(End::B), c - self.left.length());
        }
        if c <= start + self.right.length() + AT_POST_M {
            return (Place::Line(Side::Right), (c - start).clamp(0.0, self.right.length()));
        }
        (Place::ScoringEnd(End::A), c - start - self.right.length())
    }

    /// The point at a chainage; any number of laps is accepted.
    #[must_use]
    pub fn at(&self, chainage_m: f64) -> BoundaryPoint {
        let (place, s) = self.locate(chainage_m);
        let (point, tangent, curvature) = match place {
            Place::Line(side) => {
                let p = self.line(side).at(s);
                (p.point, p.tangent, p.curvature)
            }
            Place::ScoringEnd(end) => {
                let (p, q) = self.chord(end);
                let along = (q - p).unit().unwrap_or(Vector::new(0.0, -end.sign()));
                (p + along * s, along, 0.0)
            }
        };
        BoundaryPoint {
            chainage_m: chainage_m.rem_euclid(self.perimeter_m()),
            place,
            point,
            tangent,
            normal: tangent.to_right(),
            curvature_per_m: curvature,
        }
    }

    /// The point of the two lines nearest to `p`, with its signed distance.
    #[must_use]
    pub fn nearest(&self, p: Point<Ground>) -> Nearest {
        if let Some(found) = self.fast_nearest(p) {
            return found;
        }
        let (side, s, point) = {
            let (sl, ql) = self.left.nearest(p);
            let (sr, qr) = self.right.nearest(p);
            if p.distance_to(ql) <= p.distance_to(qr) { (Side::Left, sl, ql) } else { (Side::Right, sr, qr) }
        };
        let distance = p.distance_to(point);
        Nearest {
            point,
            chainage_m: self.chainage_of(side, s),
            side,
            signed_distance_m: if self.contains(p) { -distance } else { distance },
        }
    }

    /// Only the signed distance of [`Boundary::nearest`], m, positive outside. It is much faster, because
    /// most of the work is the chainage.
    #[must_use]
    pub fn outside_m(&self, p: Point<Ground>) -> f64 {
        if self.one_curve {
            let foot = self.left.curve().foot(p);
            if Side::BOTH.iter().any(|&side| self.line(side).has(&foot)) {
                let inside = foot.signed_distance_m <= 0.0 && self.inside_ends(p);
                let distance = foot.signed_distance_m.abs();
                return if inside { -distance } else { distance };
            }
        }
        self.nearest(p).signed_distance_m
    }

    /// The chainage `s` metres along the line on `side`, anticlockwise.
    pub(super) fn chainage_of(&self, side: Side, s: f64) -> f64 {
        if side == Side::Left { s } else { self.right_start() + s }
    }

    /// The nearest point where both lines are arcs of one curve and the curve's nearest
    /// point falls on one of them; `None` otherwise.
    fn fast_nearest(&self, p: Point<Ground>) -> Option<Nearest> {
        if !self.one_curve {
            return None;
        }
        let foot = self.left.curve().foot(p);
        Side::BOTH.into_iter().find_map(|side| {
            let s = self.line(side).on_line(&foot)?;
            let distance = foot.signed_distance_m.abs();
            let inside = foot.signed_distance_m <= 0.0 && self.inside_ends(p);
            Some(Nearest {
                point: foot.point,
                chainage_m: self.chainage_of(side, s),
                side,
                signed_distance_m: if inside { -distance } else { distance },
            })
        })
    }

    /// Are the curves of both lines convex?
    #[must_use]
    pub fn is_convex(&self) -> bool {
        self.left.curve().is_convex() && self.right.curve().is_convex()
    }

    /// Is `p` on the inner side of both scoring ends? Anticlockwise, that is their left.
    ///
    /// A convex curve has nothing beyond the line through a scoring end except the piece
    /// that the end cuts off. Another curve may bulge past that line beside the end too,
    /// and there the curve alone decides.
    fn inside_ends(&self, p: Point<Ground>) -> bool {
        let convex = self.is_convex();
        End::BOTH.iter().all(|&e| {
            let (chord, away) = self.past_chord(e, p);
            chord.cross(away) >= 0.0 || !convex && !before(chord, away)
        })
    }

    /// The vector of a scoring end, and the vector from its start to `p`.
    fn past_chord(&self, end: End, p: Point<Ground>) -> (Vector<Ground>, Vector<Ground>) {
        let (a, b) = self.chord(end);
        (b - a, p - a)
    }

    /// Is `p`, though outside the curve, inside a scoring end that lies outside the curve? Then
    /// its nearest point of the curve is on the piece that the end replaces.
    fn in_front_of_an_end(&self, p: Point<Ground>) -> bool {
        let foot = self.left.curve().foot(p);
        Side::BOTH.iter().all(|&side| self.line(side).on_line(&foot).is_none())
            && End::BOTH.iter().any(|&e| {
                let ((chord, away), (_, of_foot)) = (self.past_chord(e, p), self.past_chord(e, foot.point));
                chord.cross(away) >= 0.0 && before(chord, away) && before(chord, of_foot)
                    // Near this end: the other one is a whole ground's length away.
                    && away.length() < 2.0 * chord.length()
            })
    }

    /// Is `p` inside the lines and scoring ends, or on them?
    #[must_use]
    pub fn contains(&self, p: Point<Ground>) -> bool {
        let line = if p.y >= 0.0 { &self.left } else { &self.right };
        if self.is_convex() {
            return self.inside_ends(p) && line.holds(p);
        }
        if line.holds(p) { self.inside_ends(p) } else { self.in_front_of_an_end(p) }
    }

    /// Metres along the boundary from one chainage to another, anticlockwise.
    #[must_use]
    pub fn length_between_m(&self, from_m: f64, to_m: f64) -> f64 {
        (to_m - from_m).rem_euclid(self.perimeter_m())
    }

    /// The chainage of the first sign change of `f` along the line on `side`, from its post
    /// at `end`; `None` where there is none.
    fn first_crossing(&self, side: Side, end: End, f: impl Fn(Point<Ground>) -> f64) -> Option<f64> {
        // The left line starts at end A, the right at end B.
        let from_end = (side == Side::Left) != (end == End::A);
        self.line(side).first_crossing(from_end, f).map(|s| self.chainage_of(side, s))
    }

    /// The chainage of the wing, where the line on `side` crosses x = 0; `None` where it does not.
    #[must_use]
    pub fn wing_chainage_m(&self, side: Side) -> Option<f64> {
        self.first_crossing(side, End::A, |p| p.x)
    }

    /// The first point of the line on `side` with this x, from the post of the end that `x_m` lies
    /// toward; the post itself for an x at the post or beyond it.
    #[must_use]
    pub fn level_with(&self, side: Side, x_m: f64) -> Point<Ground> {
        let end = if x_m >= 0.0 { End::A } else { End::B };
        let post = self.corner(side, end);
        if x_m.abs() >= post.x.abs() {
            return post;
        }
        let from_end = (side == Side::Left) != (end == End::A);
        self.line(side).crossing_point(from_end, |p| p.x - x_m).unwrap_or(post)
    }

    /// The chainage where the line on `side`, from its post at `end`, first crosses the circle of
    /// `radius_m` about `centre`; `None` when the whole line stays on one side of the circle.
    #[must_use]
    pub fn circle_crossing_m(
        &self,
        side: Side,
        end: End,
        centre: Point<Ground>,
        radius_m: f64,
    ) -> Option<f64> {
        self.first_crossing(side, end, |p| p.distance_to(centre) - radius_m)
    }

    /// Signed distance of `p` from the closed curve that the line on `side` is a part of, m,
    /// positive outside. It ignores the scoring ends,
    /// so for a post it is the post's offset from the line.
    #[must_use]
    pub fn off_curve_m(&self, side: Side, p: Point<Ground>) -> f64 {
        self.line(side).curve().foot(p).signed_distance_m
    }

    /// Points at equal steps of about `step_m` around lines and scoring ends,
    /// corners included, for drawing.
    #[must_use]
    pub fn ring(&self, step_m: f64) -> Vec<Point<Ground>> {
        let mut ring = Vec::new();
        for side in Side::BOTH {
            let line = self.line(side);
            ring.extend(line.stations(step_m).into_iter().map(|s| line.at(s).point));
        }
        ring
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The ground of the design: 165 × 135 m through its posts.
    fn standard() -> Boundary {
        let b = 67.5;
        let a = 82.5 / (1.0 - (9.6f64 / b).powi(2)).sqrt();
        Boundary::on_ellipse(Ellipse::new(Point::ORIGIN, [a, b], 0.0).unwrap(), 82.5, 19.2).unwrap()
    }

    #[test]
    fn the_curve_ends_at_the_behind_posts() {
        let b = standard();
        // From the design: the ellipse through the posts has a major axis of 166.69 m.
        assert!((2.0 * b.ellipse().unwrap().semi_major_m() - 166.69).abs() < 0.005);
        for (side, end, x, y) in [
            (Side::Left, End::A, 82.5, 9.6),
            (Side::Left, End::B, -82.5, 9.6),
            (Side::Right, End::B, -82.5, -9.6),
            (Side::Right, End::A, 82.5, -9.6),
        ] {
            assert!(b.corner(side, end).distance_to(Point::new(x, y)) < 1e-9);
        }
        assert!((b.width_m() - 135.0).abs() < 1e-9);
    }

    #[test]
    fn chainage_runs_anticlockwise_from_end_a_left() {
        let b = standard();
        let start = b.at(0.0);
        assert!(start.point.x > 0.0 && start.point.y > 0.0);
        assert!(b.at(1.0).point.x < start.point.x);
        let wing = b.at(b.wing_chainage_m(Side::Left).unwrap());
        assert!((wing.point.y - 67.5).abs() < 1e-9 && wing.point.x.abs() < 1e-9);
        assert!((wing.normal.y - 1.0).abs() < 1e-9);
    }

    #[test]
    fn the_wing_is_found_on_any_oval_however_symmetric() {
        // The root of x = 0 may lie exactly on a parameter of the scan.
        for i in 0..400 {
            let (b, l) = (55.0 + f64::from(i % 20) * 1.1, 68.0 + f64::from(i / 20) * 1.2);
            let a = l / (1.0 - (9.6f64 / b).powi(2)).sqrt();
            let e = Ellipse::new(Point::ORIGIN, [a, b], f64::from(i % 3) * 1e-15).unwrap();
            let ground = Boundary::on_ellipse(e, l, 19.2).unwrap();
            for side in [Side::Left, Side::Right] {
                let wing = ground.at(ground.wing_chainage_m(side).unwrap());
                assert!(wing.point.x.abs() < 1e-9 && (wing.point.y.abs() - b).abs() < 1e-9, "{i}");
            }
        }
    }

    #[test]
    fn nearest_looks_at_the_two_lines_only() {
        let b = standard();
        // In front of goal the nearest point of the lines is a behind post.
        let n = b.nearest(Point::new(82.0, 1.0));
        assert!(n.point.distance_to(Point::new(82.5, 9.6)) < 1e-6);
        assert!(n.signed_distance_m < 0.0);
        let behind = b.nearest(Point::new(84.0, 1.0));
        assert!(behind.signed_distance_m > 0.0);
        // It is the least distance over both lines, from any point.
        for (x, y) in [(0.0, 0.0), (40.0, 0.3), (81.0, -3.0), (90.0, 9.0), (-85.0, -9.7), (10.0, 66.0)] {
            let p = Point::new(x, y);
            let least = [Side::Left, Side::Right]
                .into_iter()
                .flat_map(|s| (0..=4000).map(move |i| (s, f64::from(i) / 4000.0)))
                .map(|(s, f)| {
                    b.at(b.chainage_from_post_m(s, End::A, f * b.line_length_m(s))).point.distance_to(p)
                })
                .fold(f64::INFINITY, f64::min);
            let n = b.nearest(p);
            assert!(n.signed_distance_m.abs() <= least + 1e-9, "{x} {y}");
            assert!(n.signed_distance_m.abs() >= least - 1e-3, "{x} {y}");
        }
    }

    #[test]
    fn a_curve_too_small_for_goals_is_refused() {
        let e = Ellipse::new(Point::ORIGIN, [12.0, 9.0], 0.0).unwrap();
        assert!(matches!(Boundary::on_ellipse(e, 8.0, 19.2), Err(BoundaryError::TooNarrow { .. })));
        let e = Ellipse::new(Point::ORIGIN, [80.0, 60.0], 0.0).unwrap();
        assert!(matches!(Boundary::on_ellipse(e, 120.0, 19.2), Err(BoundaryError::PostsOffTheCurve { .. })));
    }
}
