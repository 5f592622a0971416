//! True grounds for simulation: exactly known shapes, placed on the Earth.
//!
//! A shape is symmetric end for end. Lines painted wrong on purpose, and ends of different shape, are not
//! covered.

use ovalpeg::boundary::Side;
use ovalpeg::frame::{Datum, Degrees, Geodetic, Ground, Local, LocalPlane, OnGrid, Plan, Zone};
use ovalpeg::geometry::Point;
use ovalpeg::units::{Invalid, TrueBearing};

use crate::Failure;
use crate::shape::Curve;
pub use crate::shape::{Shape, half_end_m};

/// Steps of the table from length to parameter on each line. The chords of 2048 steps are shorter than their
/// arcs by (π/2048)²/24 of their length: 20 µm in 200 m.
const STEPS: usize = 2048;

/// Bisections of a step of the table, which is 11 cm: a nanometre after 27.
const HALVINGS: usize = 30;

/// Where a ground lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Site {
    /// Latitude, degrees, positive north, GDA2020.
    pub latitude_deg: f64,
    /// Longitude, degrees, positive east, GDA2020.
    pub longitude_deg: f64,
    /// Height of the turf above the ellipsoid, m.
    pub height_m: f64,
    /// True bearing from the centre to end A, degrees.
    pub axis_deg: f64,
}

/// The kind of a post.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PostKind {
    /// A goal post.
    Goal,
    /// A behind post.
    Behind,
}

/// A post of a true ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Post {
    /// Its kind.
    pub kind: PostKind,
    /// True bearing from the centre to the post's end, degrees.
    pub end_bearing_deg: f64,
    /// Where it stands.
    pub at: Point<Ground>,
}

/// A true ground: its shape, its place, and the point at every chainage.
#[derive(Debug, Clone)]
pub struct Truth {
    shape: Shape,
    curve: Curve,
    start: f64,
    /// Length of line from end A's post to each step, left then right.
    tables: [Vec<f64>; 2],
    plan: Plan,
    plane: LocalPlane,
}

impl Truth {
    /// A ground with a shape at a site; its centre is the datum point of the local plane.
    ///
    /// # Errors
    /// [`Invalid`] for a shape that does not close, or numbers that give no place on the Earth.
    pub fn new(shape: Shape, site: Site) -> Result<Self, Invalid> {
        let (curve, start) = shape.curve()?;
        let tables = Side::BOTH.map(|side| {
            let mut table = Vec::with_capacity(STEPS + 1);
            let mut sum = 0.0;
            let mut before = curve.at(side, start);
            for i in 0..=STEPS {
                let here = curve.at(side, parameter(start, i as f64));
                sum += before.distance_to(here);
                table.push(sum);
                before = here;
            }
            table
        });
        let at = Degrees { latitude: site.latitude_deg, longitude: site.longitude_deg };
        Ok(Self {
            shape,
            curve,
            start,
            tables,
            plan: Plan::new(Point::ORIGIN, TrueBearing::from_degrees(site.axis_deg)?)?,
            plane: LocalPlane::at(Geodetic::new(at, site.height_m, Datum::Gda2020)?)?,
        })
    }

    /// Its shape.
    #[must_use]
    pub fn shape(&self) -> &Shape {
        &self.shape
    }

    /// Where the ground frame lies in the local plane.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// The local plane, whose origin is the ground's centre.
    #[must_use]
    pub fn plane(&self) -> LocalPlane {
        self.plane
    }

    /// Length of one boundary line, behind post to behind post, m.
    #[must_use]
    pub fn line_length_m(&self, side: Side) -> f64 {
        let table = match side {
            Side::Left => &self.tables[0],
            Side::Right => &self.tables[1],
        };
        table.last().copied().unwrap_or(0.0)
    }

    /// Length of both lines and both scoring ends, m.
    #[must_use]
    pub fn perimeter_m(&self) -> f64 {
        Side::BOTH.iter().map(|&s| self.line_length_m(s)).sum::<f64>() + 4.0 * half_end_m()
    }

    /// The point of a line `from_a_m` along it from end A's behind post, kept to the line.
    #[must_use]
    pub fn on_line(&self, side: Side, from_a_m: f64) -> Point<Ground> {
        let table = match side {
            Side::Left => &self.tables[0],
            Side::Right => &self.tables[1],
        };
        let s = from_a_m.clamp(0.0, self.line_length_m(side));
        let after = table.partition_point(|&v| v < s).clamp(1, STEPS);
        // Bisect within the step: where two arcs meet, length is not proportional to the parameter.
        let (mut lo, mut hi) = ((after - 1) as f64, after as f64);
        let (from, reach) = (self.curve.at(side, parameter(self.start, lo)), s - table[after - 1]);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (lo + hi);
            if from.distance_to(self.curve.at(side, parameter(self.start, middle))) < reach {
                lo = middle;
            } else {
                hi = middle;
            }
        }
        // The ends of a line are exact.
        let step = if s <= 0.0 {
            0.0
        } else if after == STEPS && s >= table[STEPS] {
            STEPS as f64
        } else {
            0.5 * (lo + hi)
        };
        self.curve.at(side, parameter(self.start, step))
    }

    /// The point at a chainage: 0 at end A's left behind post, then down the left line, across end B, up the
    /// right line, and across end A.
    #[must_use]
    pub fn at_chainage(&self, chainage_m: f64) -> Point<Ground> {
        let (left, right, end) =
            (self.line_length_m(Side::Left), self.line_length_m(Side::Right), 2.0 * half_end_m());
        let c = chainage_m.rem_euclid(self.perimeter_m());
        let half = 0.5 * self.shape.length_m();
        if c <= left {
            self.on_line(Side::Left, c)
        } else if c < left + end {
            Point::new(-half, half_end_m() - (c - left))
        } else if c <= left + end + right {
            self.on_line(Side::Right, right - (c - left - end))
        } else {
            Point::new(half, (c - left - end - right) - half_end_m())
        }
    }

    /// The eight posts: end A from the left, then end B from the left.
    #[must_use]
    pub fn posts(&self) -> Vec<Post> {
        let h = half_end_m();
        let half = 0.5 * self.shape.length_m();
        let axis = self.plan.axis();
        [(half, axis.degrees()), (-half, axis.reversed().degrees())]
            .into_iter()
            .flat_map(|(x, end_bearing_deg)| {
                [
                    (h, PostKind::Behind),
                    (h / 3.0, PostKind::Goal),
                    (-h / 3.0, PostKind::Goal),
                    (-h, PostKind::Behind),
                ]
                .map(|(y, kind)| Post { kind, end_bearing_deg, at: Point::new(x, y) })
            })
            .collect()
    }

    /// A point of the ground frame in the local plane.
    #[must_use]
    pub fn to_local(&self, p: Point<Ground>) -> Point<Local> {
        self.plan.to_local(p)
    }

    /// The latitude and longitude of a point of the local plane, at ground height.
    ///
    /// # Errors
    /// When the point has no place on Earth.
    pub fn to_geodetic(&self, p: Point<Local>) -> Result<Geodetic, Failure> {
        self.plane.to_geodetic(p).ok_or_else(|| format!("({}, {}) m has no latitude", p.x, p.y).into())
    }

    /// The grid coordinates of a point of the local plane, in the zone of the ground's centre.
    ///
    /// # Errors
    /// When the point has no place in the zone.
    pub fn to_grid(&self, p: Point<Local>) -> Result<OnGrid, Failure> {
        let centre = self.to_geodetic(Point::ORIGIN)?;
        Ok(self.to_geodetic(p)?.on_grid(Zone::of(&centre)?)?)
    }
}

/// The curve's parameter at a (fractional) step of the table.
fn parameter(start: f64, step: f64) -> f64 {
    start + (std::f64::consts::PI - 2.0 * start) * (step / STEPS as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SITE: Site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 200.0, axis_deg: 20.0 };
    const SHAPES: [Shape; 3] = [
        Shape::Ellipse { length_m: 165.0, width_m: 135.0 },
        Shape::Cut { length_m: 160.0, half_width_m: 66.0, cut_m: 4.0, side: Side::Right },
        Shape::FourArc { length_m: 160.0, width_m: 130.0, end_radius_m: 50.0 },
    ];

    #[test]
    fn the_lines_run_from_post_to_post_and_are_as_wide_as_said() {
        for shape in SHAPES {
            let t = Truth::new(shape, SITE).unwrap();
            for side in Side::BOTH {
                let n = 4000;
                let points: Vec<_> = (0..=n)
                    .map(|i| t.on_line(side, t.line_length_m(side) * f64::from(i) / f64::from(n)))
                    .collect();
                let half = 0.5 * shape.length_m();
                // Closed forms in double precision.
                assert!(points[0].distance_to(Point::new(half, side.sign() * half_end_m())) < 1e-12);
                assert!(points[4000].distance_to(Point::new(-half, side.sign() * half_end_m())) < 1e-12);
                let widest = points.iter().map(|p| p.y * side.sign()).fold(0.0, f64::max);
                // Sampled every 5 cm: short of the top by at most 0.025²/(2·50) m.
                assert!((widest - shape.half_width_m(side)).abs() < 7e-6, "{shape:?}");
            }
        }
    }

    #[test]
    fn four_arcs_meet_without_a_corner() {
        let t = Truth::new(SHAPES[2], SITE).unwrap();
        let step = 0.05;
        let points: Vec<_> = (0..(t.line_length_m(Side::Left) / step) as usize)
            .map(|i| t.on_line(Side::Left, i as f64 * step))
            .collect();
        for w in points.windows(3) {
            // No turn sharper than an end arc's: 0.05 m on 50 m is 0.06°; a corner would be degrees.
            assert!((w[1] - w[0]).angle_to_deg(w[2] - w[1]) < 0.06);
        }
    }

    #[test]
    fn chainage_is_metres_all_the_way_round() {
        for shape in SHAPES {
            let t = Truth::new(shape, SITE).unwrap();
            let n = 3000;
            let around = t.perimeter_m();
            let mut sum = 0.0;
            for i in 0..n {
                let step = around / f64::from(n);
                let d =
                    t.at_chainage(f64::from(i) * step).distance_to(t.at_chainage(f64::from(i + 1) * step));
                // Equal steps, except at posts, where the line turns by up to 17°, and at the corners of a
                // cut, each of which lies within one step of the table (11 cm) and turns the line by up to
                // 20°.
                assert!(d <= step + 2e-3 && d > 0.97 * step, "{shape:?} {i} {d}");
                sum += d;
            }
            assert!((sum - around).abs() < 0.01);
        }
        // The same ellipse by the library's elliptic integral, both lines; 0.1 mm covers the table's 20 µm.
        let t = Truth::new(SHAPES[0], SITE).unwrap();
        let a = 82.5 / (1.0 - (9.6f64 / 67.5).powi(2)).sqrt();
        let e = ovalpeg::geometry::Ellipse::<Ground>::new(Point::ORIGIN, [a, 67.5], 0.0).unwrap();
        let post = (9.6f64 / 67.5).asin().to_degrees();
        let line = e.arc_from_vertex_m(180.0 - post) - e.arc_from_vertex_m(post);
        assert!((t.line_length_m(Side::Left) - line).abs() < 1e-4);
    }

    #[test]
    fn places_and_posts() {
        let t = Truth::new(SHAPES[0], SITE).unwrap();
        let posts = t.posts();
        assert_eq!(posts.len(), 8);
        assert!((posts[0].at.distance_to(posts[3].at) - 19.2).abs() < 1e-12);
        assert!((posts[1].at.distance_to(posts[2].at) - 6.4).abs() < 1e-12);
        assert_eq!(posts[4].end_bearing_deg, 200.0);
        // End A bears 20°: north and a little east of the centre.
        let goal = t.to_geodetic(t.to_local(Point::new(82.5, 0.0))).unwrap();
        assert!(goal.latitude_deg() > SITE.latitude_deg && goal.longitude_deg() > SITE.longitude_deg);
        // 82.5 m at 20° east of north, on an Earth of 6,371 km within 1 %.
        let north = (goal.latitude_deg() - SITE.latitude_deg).to_radians() * 6_371_000.0;
        assert!((north / (82.5 * 20f64.to_radians().cos()) - 1.0).abs() < 0.01);
        let grid = t.to_grid(t.to_local(Point::new(82.5, 0.0))).unwrap();
        assert_eq!(grid.point.zone().number(), 55);
        assert!(grid.point.geodetic().unwrap().latitude_deg() - goal.latitude_deg() < 1e-12);
    }
}
