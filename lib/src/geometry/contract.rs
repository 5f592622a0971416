//! The properties that every closed curve must have, tested on several curves of each shape.

use super::{ClosedCurve, CutEllipse, Ellipse, FourArc, Plane, Point, Shape, Spline, Vector};

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Test;
impl Plane for Test {}

pub(super) fn ellipse(axes: [f64; 2], turn_deg: f64) -> Ellipse<Test> {
    Ellipse::new(Point::new(3.0, -2.0), axes, turn_deg).unwrap()
}

/// Changes the offsets so that the control points `which` lie on the straight
/// line through the first and the last of them.
pub(super) fn straightened(base: Ellipse<Test>, offsets: &mut [f64], which: std::ops::RangeInclusive<usize>) {
    let s = Spline::new(base, offsets).unwrap();
    let points = s.control_points();
    let (first, last) = (points[*which.start()], points[*which.end()]);
    let across = (last - first).to_right();
    for i in which {
        offsets[i] -= (points[i] - first).dot(across) / s.control_normals()[i].dot(across);
    }
}

fn shapes() -> Vec<(&'static str, Shape<Test>)> {
    let (long, round) = (ellipse([83.3, 67.5], 33.0), ellipse([70.0, 69.999], 170.0));
    let four = |axes, r, turn| FourArc::new(Point::new(3.0, -2.0), axes, r, turn).unwrap();
    let base = ellipse([83.3, 67.5], 71.0);
    let spline = |offsets: &[f64]| Shape::Freeform(Spline::new(base, offsets).unwrap());
    let mut straight = vec![0.0; 64];
    straightened(base, &mut straight, 11..=21);
    let pocket: Vec<f64> = (0..64)
        .map(|i| {
            let t = f64::from(i) / 64.0 * std::f64::consts::TAU;
            // A dent of 3 m over some 40 m, where the line curves inward, and one side fuller.
            -3.0 * (-((t - 0.9) / 0.2).powi(2)).exp() + 1.5 * (t - 4.0).cos()
        })
        .collect();
    vec![
        ("long ellipse", Shape::Ellipse(long)),
        ("round ellipse", Shape::Ellipse(round)),
        ("four arcs", Shape::FourArc(four([82.5, 65.0], 40.0, 20.0))),
        ("four arcs, blunt", Shape::FourArc(four([60.0, 75.0], 55.0, 20.0))),
        ("cut side", Shape::CutEllipse(CutEllipse::new(long, 123.0, 60.0).unwrap())),
        ("cut flank", Shape::CutEllipse(CutEllipse::new(long, -10.0, 71.0).unwrap())),
        ("freeform, no offsets", spline(&[0.0; 64])),
        ("freeform with a straight", spline(&straight)),
        ("freeform with a dent", spline(&pocket)),
    ]
}

const SAMPLES: u32 = 20_000;

fn samples(c: &Shape<Test>) -> Vec<Point<Test>> {
    (0..=SAMPLES).map(|i| c.at_parameter(c.period() * f64::from(i) / f64::from(SAMPLES))).collect()
}

/// Is the parameter clear of corners and of joints where the curvature jumps?
fn smooth(c: &Shape<Test>, t: f64, h: f64) -> bool {
    let (before, after) = (c.curvature(t - h), c.curvature(t + h));
    let speed = c.derivative(t - h).length() / c.derivative(t + h).length();
    // Over twice the step a freeform's curvature changes by 1e-4 or so.
    (before - after).abs() < 1e-3 && (speed - 1.0).abs() < 1e-2
}

#[test]
fn directions_are_derivatives_of_points() {
    for (name, c) in shapes() {
        let mut tried = 0;
        for i in 0..500 {
            let t = c.period() * (f64::from(i) + 0.37) / 500.0;
            let h = c.period() * 1e-5;
            if !smooth(&c, t, h) {
                continue;
            }
            tried += 1;
            let step = (c.at_parameter(t + h) - c.at_parameter(t - h)) * (0.5 / h);
            // Error of the central difference: h²/6 of the third derivative, which is 100 m or
            // less, and rounding of 1e-14 m over h.
            let d = c.derivative(t);
            assert!((step - d).length() < 1e-6 * d.length(), "{name} {t}");
            let turned = c.tangent(t - h).cross(c.tangent(t + h)) / (c.arc(t + h) - c.arc(t - h));
            assert!((turned - c.curvature(t)).abs() < 1e-6, "{name} {t} {turned} {}", c.curvature(t));
            assert!(c.normal(t).cross(c.tangent(t)) > 0.999_999, "{name}");
        }
        assert!(tried > 480, "{name} {tried}");
    }
}

#[test]
fn arc_length_and_parameter_are_inverse() {
    for (name, c) in shapes() {
        for i in -300..900 {
            let t = c.period() * (f64::from(i) + 0.123) / 300.0;
            let s = c.arc(t);
            // 1e-10 m: rounding of a few laps.
            assert!((c.parameter_at_arc(s) - t).abs() * c.derivative(t).length() < 1e-10, "{name} {i}");
            assert!((c.arc(t + c.period()) - s - c.perimeter_m()).abs() < 1e-10, "{name} {i}");
        }
        let points = samples(&c);
        let polyline: f64 = points.windows(2).map(|w| w[0].distance_to(w[1])).sum();
        // Each chord is shorter than its arc by h³κ²/24: in all, less than
        // 500 m · (0.1 m)² · (1/40 m)² / 24. A corner inside a chord adds up to 0.01 m.
        let short = c.perimeter_m() - polyline;
        let most = if c.corners().is_empty() { 2e-4 } else { 2e-2 };
        assert!(short > -1e-9 && short < most, "{name} {short}");
    }
}

#[test]
fn the_foot_is_nearest_and_its_sign_says_which_side() {
    for (name, c) in shapes() {
        let points = samples(&c);
        let mut parameters = (f64::INFINITY, f64::NEG_INFINITY);
        let nearest_sample =
            |p: Point<Test>| points.iter().map(|q| q.distance_to(p)).fold(f64::INFINITY, f64::min);
        for i in 0..24 {
            for j in 0..24 {
                let p = Point::new(-110.0 + 9.7 * f64::from(i), -115.0 + 9.9 * f64::from(j));
                let foot = c.foot(p);
                let t = foot.parameter();
                parameters = (parameters.0.min(t), parameters.1.max(t));
                let least = nearest_sample(p);
                let d = foot.signed_distance_m.abs();
                // Samples are at most 0.05 m apart, so the nearest is farther than the foot by up to
                // 0.03 m, and from a point 1 m off or more by only 0.03²/2 m.
                assert!(d <= least + 1e-9 && least - d < 0.03, "{name} {p:?} {d} {least}");
                assert!((foot.point.distance_to(p) - d).abs() < 1e-9, "{name}");
                assert!((p - foot.point).cross(foot.normal).abs() < 1e-8, "{name} {p:?}");
                assert!(c.at_parameter(foot.parameter()).distance_to(foot.point) < 1e-9, "{name}");
                if least > 0.1 {
                    assert_eq!(winds_round(&points, p), foot.signed_distance_m < 0.0, "{name} {p:?}");
                }
            }
        }
        assert!(parameters.1 - parameters.0 < c.period(), "{name}");
        // Points along the normal, inside by less than the radius of curvature:
        // the foot is where they started.
        for i in 0..200 {
            let t = c.period() * f64::from(i) / 200.0;
            let (at, n) = (c.at_parameter(t), c.normal(t));
            for d in [-8.0, -0.3, 0.0, 0.02, 30.0] {
                let foot = c.foot(at + n * d);
                // Inside and next to a corner, a point may be nearer to the other piece.
                if c.corners().is_empty() || d >= 0.0 {
                    assert!((foot.signed_distance_m - d).abs() < 1e-9, "{name} {t} {d} {foot:?}");
                    assert!(foot.point.distance_to(at) < 1e-6, "{name} {t} {d}");
                }
            }
        }
    }
}

/// Is `p` inside the polygon? A second method, by counting crossings.
fn winds_round(ring: &[Point<Test>], p: Point<Test>) -> bool {
    let mut inside = false;
    for w in ring.windows(2) {
        if (w[0].y > p.y) != (w[1].y > p.y) {
            let x = w[0].x + (p.y - w[0].y) / (w[1].y - w[0].y) * (w[1].x - w[0].x);
            inside ^= p.x < x;
        }
    }
    inside
}

#[test]
fn a_part_has_its_own_nearest_and_farthest() {
    for (name, c) in shapes() {
        for (from, to) in [(0.05, 0.4), (0.62, 0.93), (0.8, 1.3)] {
            let (from, to) = (from * c.period(), to * c.period());
            let part: Vec<Point<Test>> =
                (0..=4000).map(|i| c.at_parameter(from + (to - from) * f64::from(i) / 4000.0)).collect();
            for i in 0..60 {
                let a = f64::from(i) * 0.7;
                let r = 4.0 + 2.3 * f64::from(i);
                let p = Point::new(3.0 + r * a.cos(), -2.0 + r * a.sin());
                let t = c.nearest_between(p, from, to);
                assert!(t >= from - 1e-9 && t <= to + 1e-9, "{name}");
                let d = c.at_parameter(t).distance_to(p);
                let least = part.iter().map(|q| q.distance_to(p)).fold(f64::INFINITY, f64::min);
                // Samples are 0.06 m apart at most.
                assert!(d <= least + 1e-9 && least - d < 0.04, "{name} {i} {d} {least}");
                let u = Vector::at_angle(a);
                let reach = |q: Point<Test>| q.x * u.x + q.y * u.y;
                let most = part.iter().map(|q| reach(*q)).fold(f64::NEG_INFINITY, f64::max);
                let far = reach(c.farthest_between(u, from, to));
                assert!(far >= most - 1e-9 && far - most < 0.04, "{name} {i} {far} {most}");
            }
        }
        for i in 0..30 {
            let u = Vector::<Test>::at_angle(f64::from(i) * 0.21);
            let reach = samples(&c)
                .iter()
                .map(|q| q.x * u.x + q.y * u.y)
                .fold((1e9f64, -1e9f64), |m, v| (m.0.min(v), m.1.max(v)));
            // The sampling error is half a step squared over twice the radius, or half a step at a corner.
            assert!((c.extent_m(u) - (reach.1 - reach.0)).abs() < 0.02, "{name} {i}");
        }
    }
}

#[test]
fn areas_add_up_to_the_polygons() {
    for (name, c) in shapes() {
        let polygon = super::ring_area(&samples(&c));
        // Each chord leaves out h³κ/12: 20,000 of (0.03 m)³ / 40 m / 12. A cut corner adds half of (0.03 m)².
        assert!((c.area_m2() - polygon).abs() < 2e-3, "{name} {} {polygon}", c.area_m2());
        let k = c.period();
        let lap = c.swept_area(0.3 * k, 1.3 * k);
        assert!((lap - c.area_m2()).abs() < 1e-8, "{name} {lap} {}", c.area_m2());
        let parts = c.swept_area(0.1 * k, 0.47 * k) + c.swept_area(0.47 * k, 0.9 * k);
        assert!((parts - c.swept_area(0.1 * k, 0.9 * k)).abs() < 1e-8, "{name}");
    }
}

#[test]
fn parameters_make_the_same_curve_again() {
    for (name, c) in shapes() {
        let q = c.parameters();
        assert_eq!(q.len(), c.parameter_names().len(), "{name}");
        assert_eq!(c.with_parameters(&q).unwrap().parameters(), q, "{name}");
        assert!(c.with_parameters(&q[1..]).is_err(), "{name}");
        for &i in c.directions() {
            assert!(c.parameter_names()[i].ends_with("_rad"), "{name}");
        }
    }
}

#[test]
fn the_curve_moves_as_its_parameters_say() {
    for (name, c) in shapes() {
        let q = c.parameters();
        for i in 0..40 {
            // Points on the curve, to either side of it, and near corners.
            let t = c.period() * (f64::from(i) + 0.31) / 40.0;
            let mut places = vec![-2.0, 0.0, 3.0]
                .into_iter()
                .map(|d| c.at_parameter(t) + c.normal(t) * d)
                .collect::<Vec<_>>();
            for corner in c.corners() {
                let between = c.normal(corner + 1e-6) + c.normal(corner - 1e-6);
                places.push(c.at_parameter(corner) + between * (3.0 + 0.15 * f64::from(i)));
            }
            for p in places {
                let foot = c.foot(p);
                let h = 2e-6;
                let at = foot.parameter();
                let corner = c.corners().iter().any(|k| (k - at).abs() < 1e-9);
                // Across a joint the curvature jumps, so the central difference is no use.
                if !corner && !smooth(&c, at, 1e-3) {
                    continue;
                }
                let motion = c.normal_motion(&foot);
                for (j, m) in motion.iter().enumerate() {
                    let moved = |by: f64| {
                        let mut q = q.clone();
                        q[j] += by;
                        c.with_parameters(&q).unwrap().foot(p).signed_distance_m
                    };
                    let difference = -(moved(h) - moved(-h)) / (2.0 * h);
                    // A corner moves by hundreds of metres per radian. The central difference errs by
                    // that cubed, over (3 m)², times h²/6: 1e-6. Rounding is 1e-13 m over h.
                    assert!((difference - m).abs() < 1e-6, "{name} {i} {j} {difference} {m}");
                }
            }
        }
    }
}

#[test]
fn a_placed_shape_is_the_same_shape() {
    for (name, c) in shapes() {
        for turned in [-80.0, 0.0, 40.0, 155.0, 260.0] {
            let centre = Point::<Test>::new(-7.0, 11.0);
            let placed: Shape<Test> = c.placed(centre, turned).unwrap();
            for i in 0..50 {
                let p = c.at_parameter(c.period() * f64::from(i) / 50.0);
                let moved = centre + (p - c.centre()).turned_deg(turned);
                assert!(placed.foot(moved).signed_distance_m.abs() < 1e-10, "{name} {turned} {i}");
            }
            assert!((placed.area_m2() - c.area_m2()).abs() < 1e-8, "{name}");
        }
    }
}
