//! The properties that a boundary of any shape must have, and the outlines that they are tested on.

use super::{Boundary, End, Outline, Place, Side};
use crate::frame::{Local, Plan};
use crate::geometry::{CutEllipse, Ellipse, FourArc, Point, Shape, Spline, ring_area};
use crate::units::Bearing;

const END_WIDTH: f64 = 19.2;
/// Midpoint of the goals, which have the axis and half-length below.
const CENTRE: Point<Local> = Point::new(10.0, 20.0);
const AXIS_DEG: f64 = 30.0;
const HALF: f64 = 82.5;

fn base(turned_deg: f64) -> Ellipse<Local> {
    let a = HALF / (1.0 - (9.6f64 / 67.5).powi(2)).sqrt();
    Ellipse::new(Point::new(10.3, 19.4), [a, 67.5], 90.0 - AXIS_DEG + turned_deg).unwrap()
}

/// Offsets that put the control points `which` on the straight line through the first and last of them.
fn straightened(which: std::ops::RangeInclusive<usize>) -> Vec<f64> {
    let mut offsets = vec![0.0; 64];
    let s = Spline::new(base(0.0), &offsets).unwrap();
    let points = s.control_points();
    let (first, last) = (points[*which.start()], points[*which.end()]);
    let across = (last - first).to_right();
    for i in which {
        offsets[i] -= (points[i] - first).dot(across) / s.control_normals()[i].dot(across);
    }
    offsets
}

fn placed(shape: Shape<Local>) -> Outline {
    let plan = Plan::new(CENTRE, Bearing::from_degrees(AXIS_DEG).unwrap()).unwrap();
    Outline::new(shape, plan, HALF).unwrap()
}

fn freeform(offsets: &[f64]) -> Outline {
    placed(Shape::Freeform(Spline::new(base(0.0), offsets).unwrap()))
}

/// One side fuller, and a pocket flattened until it curves the other way.
pub(crate) fn freeform_outline() -> Outline {
    let offsets: Vec<f64> = (0..64)
        .map(|i| {
            let t = f64::from(i) / 64.0 * std::f64::consts::TAU;
            -3.0 * (-((t - 0.75) / 0.2).powi(2)).exp() + 1.2 * (t - 4.2).sin().powi(2)
        })
        .collect();
    freeform(&offsets)
}

/// A straight in the pocket that ends in a corner at the right post of end A. The post lies
/// outside, and its nearest point is the corner.
fn cut_from_a_post() -> Outline {
    let plan = *placed(Shape::Ellipse(base(0.0))).plan();
    let foot = base(0.0).foot(plan.to_local(Point::new(HALF, -9.57)));
    let outward = foot.normal.turned_deg(-12.0);
    let distance = (foot.point - base(0.0).centre()).dot(outward);
    let normal_deg = outward.y.atan2(outward.x).to_degrees();
    placed(Shape::CutEllipse(CutEllipse::new(base(0.0), normal_deg, distance).unwrap()))
}

/// Beside end A the line runs past the goal line and turns back to the posts.
fn past_the_goal_line() -> Outline {
    let mut offsets = vec![0.0; 64];
    for (i, d) in [(2, 2.0), (3, 6.0), (4, 6.0), (5, 3.0)] {
        offsets[i] = d;
    }
    freeform(&offsets)
}

/// Outlines of every shape, by name.
pub(crate) fn outlines() -> Vec<(&'static str, Outline)> {
    let four = |axes, r, turned| {
        placed(Shape::FourArc(FourArc::new(CENTRE, axes, r, 90.0 - AXIS_DEG + turned).unwrap()))
    };
    let cut =
        |normal, distance| placed(Shape::CutEllipse(CutEllipse::new(base(0.0), normal, distance).unwrap()));
    // +y of the ground is 150° counter-clockwise from east, +x 60°.
    vec![
        ("ellipse", placed(Shape::Ellipse(base(0.0)))),
        ("lopsided ellipse", placed(Shape::Ellipse(base(1.5)))),
        ("four arcs", four([83.5, 65.0], 42.0, 0.0)),
        ("four arcs, turned", four([84.0, 70.0], 50.0, -2.0)),
        ("cut on the left", cut(150.0, 60.0)),
        ("cut across a flank", cut(195.0, 69.0)),
        ("cut from a post", cut_from_a_post()),
        ("freeform without offsets", freeform(&[0.0; 64])),
        ("freeform with a straight", freeform(&straightened(11..=21))),
        ("freeform with a dent", freeform_outline()),
        ("freeform past its goal line", past_the_goal_line()),
    ]
}

fn boundaries() -> Vec<(&'static str, Boundary)> {
    outlines().into_iter().map(|(name, o)| (name, o.boundary(END_WIDTH).unwrap())).collect()
}

/// Points of the two lines, 0.1 m apart or less.
fn dense_lines(b: &Boundary) -> Vec<Point<crate::frame::Ground>> {
    Side::BOTH
        .into_iter()
        .flat_map(|side| {
            let n = 2400;
            let length = b.line_length_m(side);
            (0..=n).map(move |i| (side, length * f64::from(i) / f64::from(n)))
        })
        .map(|(side, s)| b.at(b.chainage_from_post_m(side, End::A, s)).point)
        .collect()
}

fn least(points: &[Point<crate::frame::Ground>], p: Point<crate::frame::Ground>) -> f64 {
    points.iter().map(|q| q.distance_to(p)).fold(f64::INFINITY, f64::min)
}

/// Chainages of the corners on the lines and of the scoring ends' posts.
fn corners(b: &Boundary) -> Vec<f64> {
    let mut all: Vec<f64> = Side::BOTH
        .into_iter()
        .flat_map(|side| b.line(side).corners().into_iter().map(move |s| (side, s)).collect::<Vec<_>>())
        .map(|(side, s)| b.chainage_of(side, s))
        .collect();
    for side in Side::BOTH {
        for end in End::BOTH {
            all.push(b.chainage_from_post_m(side, end, 0.0));
        }
    }
    all
}

fn clear_of(corners: &[f64], around: f64, chainage: f64, by: f64) -> bool {
    corners.iter().all(|c| {
        let d = (chainage - c).rem_euclid(around);
        d.min(around - d) > by
    })
}

#[test]
fn directions_are_derivatives_by_chainage() {
    for (name, b) in boundaries() {
        let around = b.perimeter_m();
        let corners = corners(&b);
        for i in 0..800 {
            let c = around * (f64::from(i) + 0.21) / 800.0;
            let p = b.at(c);
            assert!((p.tangent.length() - 1.0).abs() < 1e-12, "{name}");
            assert!((p.normal - p.tangent.to_right()).length() < 1e-15, "{name}");
            // The point is continuous everywhere, also at corners.
            let near = b.at(c + 1e-6).point.distance_to(p.point);
            assert!(near < 1.001e-6, "{name} {i} {near}");
            if !clear_of(&corners, around, c, 2e-3) {
                continue;
            }
            let h = 1e-3;
            let (before, after) = (b.at(c - h), b.at(c + h));
            let step = (after.point - before.point) * (0.5 / h);
            // The central difference errs by h²κ²/6, and by rounding of 1e-13 m over h.
            assert!((step - p.tangent).length() < 1e-8, "{name} {i}");
            let turned = before.tangent.cross(after.tangent) / (2.0 * h);
            let (low, high) = (
                before.curvature_per_m.min(after.curvature_per_m),
                before.curvature_per_m.max(after.curvature_per_m),
            );
            // `turned` is a mean of the curvatures between, also across a joint.
            assert!(turned > low - 1e-6 && turned < high + 1e-6, "{name} {i} {turned} {low} {high}");
            assert!(p.curvature_per_m >= low - 1e-6 && p.curvature_per_m <= high + 1e-6, "{name} {i}");
        }
        for side in Side::BOTH {
            // The tangent at a line's last point is that of the line, not of what follows.
            let last = b.line(side).at(b.line_length_m(side));
            let just_before = b.line(side).at(b.line_length_m(side) - 1e-6);
            assert!((last.tangent - just_before.tangent).length() < 1e-6, "{name}");
        }
    }
}

#[test]
fn nearest_agrees_with_brute_force_and_with_chainage() {
    for (name, b) in boundaries() {
        let around = b.perimeter_m();
        let lines = dense_lines(&b);
        let mut round_trips = 0;
        for i in 0..100 {
            let c = around * (f64::from(i) + 0.4) / 100.0;
            let p = b.at(c);
            let Place::Line(side) = p.place else {
                assert!(b.to_post_m(c, End::A).is_none(), "{name}");
                continue;
            };
            let both = b.to_post_m(c, End::A).unwrap() + b.to_post_m(c, End::B).unwrap();
            assert!((both - b.line_length_m(side)).abs() < 1e-9, "{name}");
            for d in [-20.0, -0.5, 0.0, 0.5, 20.0] {
                let q = p.point + p.normal * d;
                let n = b.nearest(q);
                let sampled = least(&lines, q);
                let distance = n.signed_distance_m.abs();
                assert!(distance <= sampled + 1e-9, "{name} {i} {d}");
                assert!(distance > sampled - 0.06, "{name} {i} {d} {distance} {sampled}");
                assert!((n.point.distance_to(q) - distance).abs() < 1e-9, "{name}");
                assert!(b.at(n.chainage_m).point.distance_to(n.point) < 1e-7, "{name}");
                // Beyond the centre of curvature, or near a corner, another point is nearer.
                if distance > d.abs() - 1e-9 {
                    round_trips += 1;
                    assert_eq!(n.side, side, "{name}");
                    assert!((n.chainage_m - p.chainage_m).abs() < 1e-6, "{name} {i} {d}");
                    assert!((distance - d.abs()).abs() < 1e-9, "{name} {i} {d}");
                    // For a point on the line, rounding decides the sign.
                    assert!(d == 0.0 || n.signed_distance_m * d > 0.0, "{name} {i} {d}");
                }
            }
        }
        assert!(round_trips > 350, "{name} {round_trips}");
    }
}

#[test]
fn inside_agrees_with_the_polygon_and_with_the_sign() {
    for (name, b) in boundaries() {
        let ring = b.ring(0.1);
        let crosses = |p: Point<crate::frame::Ground>| {
            let mut inside = false;
            for (i, &v) in ring.iter().enumerate() {
                let w = ring[(i + 1) % ring.len()];
                if (v.y > p.y) != (w.y > p.y) {
                    inside ^= p.x < v.x + (p.y - v.y) / (w.y - v.y) * (w.x - v.x);
                }
            }
            inside
        };
        let mut both = [0; 2];
        for i in 0..40 {
            for j in 0..40 {
                let p = Point::new(-95.0 + 4.87 * f64::from(i), -80.0 + 4.1 * f64::from(j));
                // A polygon with sides of 0.1 m is within 0.1 mm of its curve.
                if least(&ring, p) < 0.1 {
                    continue;
                }
                let inside = b.contains(p);
                both[usize::from(inside)] += 1;
                assert_eq!(inside, crosses(p), "{name} {p:?}");
                assert_eq!(inside, b.nearest(p).signed_distance_m < 0.0, "{name} {p:?}");
                assert_eq!(b.outside_m(p), b.nearest(p).signed_distance_m, "{name} {p:?}");
            }
        }
        assert!(both[0] > 300 && both[1] > 300, "{name}");
        let around = b.perimeter_m();
        let corners = corners(&b);
        for i in 0..400 {
            let c = around * f64::from(i) / 400.0;
            if clear_of(&corners, around, c, 0.2) {
                let p = b.at(c);
                assert!(!b.contains(p.point + p.normal * 0.01), "{name} {i}");
                assert!(b.contains(p.point - p.normal * 0.01), "{name} {i}");
            }
        }
    }
}

#[test]
fn sizes_agree_with_the_polygon() {
    for (name, b) in boundaries() {
        let mut ring = b.ring(0.05);
        // Each chord of 0.05 m leaves out h³κ/12, in all L·h²κ/12, which is 2e-3 at most.
        let polygon = ring_area(&ring);
        assert!((polygon - b.area_m2()).abs() < 2e-3, "{name} {polygon} {}", b.area_m2());
        ring.push(ring[0]);
        let polyline: f64 = ring.windows(2).map(|w| w[0].distance_to(w[1])).sum();
        // Each chord is shorter than its arc by h³κ²/24.
        let short = b.perimeter_m() - polyline;
        assert!(short > -1e-9 && short < 1e-4, "{name} {short}");
        for side in Side::BOTH {
            let lines = dense_lines(&b);
            let most = lines.iter().map(|p| p.y * side.sign()).fold(0.0, f64::max);
            // The sampling error is half a step squared over twice the radius;
            // at a corner, the slope over half a step.
            let half = b.half_width_m(side);
            assert!(half >= most - 1e-9 && half < most + 0.02, "{name} {half} {most}");
        }
    }
}

#[test]
fn ends_exchanged_mirror_everything() {
    for (name, o) in outlines() {
        let b = o.boundary(END_WIDTH).unwrap();
        let m = o.end_for_end().unwrap().boundary(END_WIDTH).unwrap();
        assert_eq!(b.model(), m.model());
        // The sums are in another order, so they differ by the rounding of 500 m and of 17,000 m².
        assert!((b.perimeter_m() - m.perimeter_m()).abs() < 1e-10, "{name}");
        assert!((b.area_m2() - m.area_m2()).abs() < 1e-8, "{name}");
        assert!((b.half_width_m(Side::Left) - m.half_width_m(Side::Right)).abs() < 1e-9, "{name}");
        let half_round = b.chainage_from_post_m(Side::Right, End::B, 0.0);
        for i in 0..100 {
            let c = b.perimeter_m() * (f64::from(i) + 0.3) / 100.0;
            let (p, q) = (b.at(c), m.at(c - half_round));
            assert!((p.point.x + q.point.x).hypot(p.point.y + q.point.y) < 1e-8, "{name} {i}");
        }
    }
}

#[test]
fn crossings_are_the_first_ones() {
    for (name, b) in boundaries() {
        for side in Side::BOTH {
            let length = b.line_length_m(side);
            for end in End::BOTH {
                let goal = Point::new(end.sign() * HALF, 0.0);
                let at = |s: f64| b.at(b.chainage_from_post_m(side, end, s)).point;
                for planted in [0.04, 0.2, 0.31, 0.43] {
                    let radius = at(planted * length).distance_to(goal);
                    let found = b.circle_crossing_m(side, end, goal, radius).unwrap();
                    let s = b.to_post_m(found, end).unwrap();
                    assert!(
                        (b.at(found).point.distance_to(goal) - radius).abs() < 1e-8,
                        "{name} {side} {end}"
                    );
                    // The distance from the goal only grows toward the wings,
                    // so the planted crossing is the first.
                    assert!((s - planted * length).abs() < 1e-6, "{name} {side} {end} {planted} {s}");
                }
                assert!(b.circle_crossing_m(side, end, goal, 500.0).is_none(), "{name}");
            }
            let wing = b.at(b.wing_chainage_m(side).unwrap());
            assert!(wing.point.x.abs() < 1e-8 && wing.point.y * side.sign() > 40.0, "{name}");
        }
    }
}

#[test]
fn a_line_may_end_in_a_corner() {
    let b = cut_from_a_post().boundary(END_WIDTH).unwrap();
    let line = b.line(Side::Right);
    let (last, cut) = (line.at(line.length()), line.corners());
    assert_eq!(cut.len(), 1);
    // The straight runs from its other corner to the post, with the same tangent and curvature to the end.
    let first = line.at(cut[0]);
    let along = (last.point - first.point).unit().unwrap();
    assert!((last.tangent - along).length() < 1e-9 && last.curvature == 0.0);
    assert!((first.tangent - along).length() < 1e-9 && first.curvature == 0.0);
}

#[test]
fn inside_beside_an_end_is_for_the_line_to_say() {
    let b = past_the_goal_line().boundary(END_WIDTH).unwrap();
    let bulge = b.ring(0.1).into_iter().filter(|p| p.x > HALF + 0.5).map(|p| p.y).fold(0.0, f64::max);
    assert!(bulge > 15.0, "{bulge}");
    let goal_side = Point::new(HALF + 0.3, bulge);
    assert!(b.contains(goal_side) && b.nearest(goal_side).signed_distance_m < 0.0);
    assert!(!b.contains(Point::new(HALF + 0.3, 2.0)));
}

#[test]
fn parameters_and_names_round_trip() {
    for (name, o) in outlines() {
        let p = o.parameters();
        assert_eq!(p.len(), o.parameter_names().len(), "{name}");
        let back = o.with_parameters(&p).unwrap();
        assert_eq!(back.model(), o.model());
        for (a, b) in p.iter().zip(back.parameters()) {
            assert!((a - b).abs() < 1e-12, "{name}");
        }
        assert!(o.with_parameters(&p[1..]).is_err(), "{name}");
        assert!(o.with_parameters(&[]).is_err(), "{name}");
        assert!(o.parameter_names().iter().all(|n| n.ends_with("_m") || n.ends_with("_deg")), "{name}");
    }
}

#[test]
fn a_shape_on_the_ground_is_where_it_is_on_the_plane() {
    for (name, o) in outlines() {
        let b = o.boundary(END_WIDTH).unwrap();
        let mut offs: Vec<f64> = Vec::new();
        for i in 0..200 {
            let p = b.at(b.perimeter_m() * f64::from(i) / 200.0);
            if matches!(p.place, Place::Line(_)) {
                use crate::geometry::ClosedCurve;
                offs.push(o.shape().foot(o.plan().to_local(p.point)).signed_distance_m.abs());
            }
        }
        assert!(offs.len() > 150 && offs.iter().all(|d| *d < 1e-9), "{name}");
        let plain = matches!(o.shape(), Shape::Ellipse(_));
        assert_eq!(b.ellipse().is_some(), plain, "{name}");
        assert_eq!(o.ellipse().is_some(), plain, "{name}");
    }
}
