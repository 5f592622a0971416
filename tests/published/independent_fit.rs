//! A second orthogonal-distance fit by another method, against the library's.
//!
//! Gander, Golub and Strebel (BIT 34, 1994, section 4) take each point's eccentric
//! angle as an unknown of its own: n angles and five parameters, 2n equations
//! xᵢ − f(φᵢ) = 0, and Gauss–Newton on all of them by an orthogonal decomposition.
//! No nearest point and no normal matrix comes into it. At the optimum the angles'
//! columns span the tangents, so the parameters' part of s₀²(JᵀJ)⁻¹ must equal the
//! covariance that the library finds from distances along the normals.

use nalgebra::{DMatrix, DVector};
use ovalpeg_tests::random::Random;

use crate::support::{close, prepared};

/// x, y, two semi-axes, turn of the first in radians.
type Parameters = [f64; 5];

struct Answer {
    parameters: Parameters,
    /// Standard errors of the five.
    sds: [f64; 5],
    s0: f64,
}

fn on_ellipse(q: &Parameters, phi: f64) -> [f64; 2] {
    let ((s, c), (st, ct)) = (phi.sin_cos(), q[4].sin_cos());
    let (u, v) = (q[2] * c, q[3] * s);
    [q[0] + ct * u - st * v, q[1] + st * u + ct * v]
}

/// Residuals and Jacobian of all 2n equations in n + 5 unknowns.
fn equations(points: &[[f64; 2]], q: &Parameters, phi: &[f64]) -> (DVector<f64>, DMatrix<f64>) {
    let n = points.len();
    let (st, ct) = q[4].sin_cos();
    let mut r = DVector::zeros(2 * n);
    let mut j = DMatrix::zeros(2 * n, n + 5);
    for (i, (p, &phi)) in points.iter().zip(phi).enumerate() {
        let f = on_ellipse(q, phi);
        let (s, c) = phi.sin_cos();
        // ∂f by φ, x, y, a, b, turn, each a pair; the residual is point less curve.
        let columns = [
            (i, [-q[2] * s * ct - q[3] * c * st, -q[2] * s * st + q[3] * c * ct]),
            (n, [1.0, 0.0]),
            (n + 1, [0.0, 1.0]),
            (n + 2, [c * ct, c * st]),
            (n + 3, [-s * st, s * ct]),
            (n + 4, [-(f[1] - q[1]), f[0] - q[0]]),
        ];
        for k in 0..2 {
            r[2 * i + k] = p[k] - f[k];
            for (column, d) in columns {
                j[(2 * i + k, column)] = d[k];
            }
        }
    }
    (r, j)
}

fn n_angles(points: &[[f64; 2]], start: &Parameters) -> Answer {
    let n = points.len();
    let mut q = *start;
    let (st, ct) = q[4].sin_cos();
    let mut phi: Vec<f64> = points
        .iter()
        .map(|p| {
            let (dx, dy) = (p[0] - q[0], p[1] - q[1]);
            ((-st * dx + ct * dy) / q[3]).atan2((ct * dx + st * dy) / q[2])
        })
        .collect();
    // Noise is a hundredth of the radius, so each step leaves a hundredth of the miss or less.
    for _ in 0..100 {
        let (r, j) = equations(points, &q, &phi);
        let qr = j.qr();
        let right = qr.q().transpose() * r;
        let step = qr.r().solve_upper_triangular(&right).unwrap();
        for (phi, d) in phi.iter_mut().zip(step.iter()) {
            *phi += d;
        }
        for (q, d) in q.iter_mut().zip(step.iter().skip(n)) {
            *q += d;
        }
        if step.amax() < 1e-12 * q[2] {
            let (r, j) = equations(points, &q, &phi);
            let s0 = (r.norm_squared() / (n - 5) as f64).sqrt();
            // The parameters stand last, so the corner of R⁻¹ is theirs alone.
            let corner = j.qr().r().view((n, n), (5, 5)).into_owned().try_inverse().unwrap();
            let cofactor = &corner * corner.transpose();
            let sds = std::array::from_fn(|i| s0 * cofactor[(i, i)].sqrt());
            return Answer { parameters: q, sds, s0 };
        }
    }
    panic!("the second method did not converge");
}

struct Case {
    axes: [f64; 2],
    turn_deg: f64,
    centre: [f64; 2],
    /// Eccentric angles covered, degrees.
    arc_deg: [f64; 2],
    points: u32,
    noise_m: f64,
}

const fn case(axes: [f64; 2], turn_deg: f64, arc_deg: [f64; 2], points: u32, noise_m: f64) -> Case {
    Case { axes, turn_deg, centre: [37.0, -21.0], arc_deg, points, noise_m }
}

/// Grounds from the least to the greatest lawful, a model of one on a table, a
/// racecourse, an almost round one; whole and in part.
const CASES: [Case; 9] = [
    case([83.35, 67.5], 15.0, [0.0, 350.0], 36, 0.3),
    case([68.5, 55.0], 100.0, [20.0, 220.0], 25, 0.05),
    case([94.0, 77.5], -40.0, [-120.0, 90.0], 30, 0.2),
    case([93.9, 55.0], 60.0, [10.0, 230.0], 40, 0.5),
    case([77.0, 67.0], 5.0, [100.0, 370.0], 12, 1.0),
    case([70.0, 66.0], 130.0, [0.0, 350.0], 48, 0.1),
    case([5.0, 3.0], 33.0, [-30.0, 190.0], 20, 0.02),
    case([400.0, 250.0], 75.0, [0.0, 260.0], 50, 2.0),
    case([85.0, 75.0], 170.0, [45.0, 245.0], 8, 0.01),
];

/// As [`CASES`] has it, with the same noise in both coordinates every time.
fn points_of(case: &Case, random: &mut Random) -> Vec<[f64; 2]> {
    let q = [case.centre[0], case.centre[1], case.axes[0], case.axes[1], case.turn_deg.to_radians()];
    let [from, to] = case.arc_deg;
    (0..case.points)
        .map(|i| {
            let t = from + (to - from) * f64::from(i) / f64::from(case.points - 1);
            let [x, y] = on_ellipse(&q, t.to_radians());
            [x + case.noise_m * random.normal(), y + case.noise_m * random.normal()]
        })
        .collect()
}

#[test]
fn two_methods_find_one_optimum() {
    let mut random = Random::new(20_260_314);
    for case in &CASES {
        let what = format!("{:?} over {:?}", case.axes, case.arc_deg);
        let points = points_of(case, &mut random);
        // From off the truth, so that the start gives nothing away.
        let [a, b] = case.axes;
        let start = [
            case.centre[0] + 0.01 * a,
            case.centre[1] - 0.01 * a,
            1.01 * a,
            0.99 * b,
            case.turn_deg.to_radians() + 0.01,
        ];
        let second = n_angles(&points, &start);
        let first = prepared(&points).curve().unwrap();
        let e = &first.ellipse;
        let q = &second.parameters;
        assert!(q[2] > q[3], "{what}: the axes changed places");
        // Both stop when a step is under 1e-12 of the size, 4e-10 m of the largest.
        close(&format!("{what}: x"), e.centre().x, q[0], 1e-9);
        close(&format!("{what}: y"), e.centre().y, q[1], 1e-9);
        close(&format!("{what}: long semi-axis"), e.semi_major_m(), q[2], 1e-9);
        close(&format!("{what}: short semi-axis"), e.semi_minor_m(), q[3], 1e-9);
        let turn = (e.turn_deg() - q[4].to_degrees() + 90.0).rem_euclid(180.0) - 90.0;
        close(&format!("{what}: turn, metres at the vertex"), turn.to_radians() * q[2], 0.0, 1e-9);
        close(&format!("{what}: s0"), first.s0 / second.s0, 1.0, 1e-9);
        for i in 0..5 {
            let sd = first.covariance.sd(i) * if i == 4 { 1f64.to_radians() } else { 1.0 };
            // The same matrix by algebra; it differs by the parameters' miss over the
            // size, a thousand-millionth at the most.
            close(&format!("{what}: standard error {i}"), sd / second.sds[i], 1.0, 1e-9);
        }
    }
}

/// The second method itself on points without noise: it must give the planted ellipse back.
#[test]
fn the_second_method_recovers_what_was_planted() {
    let mut random = Random::new(7);
    for case in &CASES {
        let exact = Case { noise_m: 0.0, ..*case };
        let points = points_of(&exact, &mut random);
        let [a, b] = case.axes;
        let start = [case.centre[0] + 0.3, case.centre[1], a * 1.005, b, case.turn_deg.to_radians() - 0.005];
        let q = n_angles(&points, &start).parameters;
        // Rounding of the coordinates, times the condition of a partial arc.
        close("x", q[0], case.centre[0], 1e-9);
        close("long semi-axis", q[2], a, 1e-9);
        close("short semi-axis", q[3], b, 1e-9);
    }
}
