//! The starting ellipse: direct least squares on the conic's coefficients.
//!
//! R. Halíř and J. Flusser, Numerically stable direct least squares fitting of
//! ellipses, WSCG 98, pp. 125–132, after A. Fitzgibbon, M. Pilu and R. Fisher,
//! PAMI 21 (1999) 476–480: minimise the algebraic distance under 4AC − B² = 1,
//! which only ellipses meet. Biased toward small, flat ellipses under noise, so it
//! is a start and never an answer.

use nalgebra::{Matrix3, Matrix6, Schur, SymmetricEigen, Vector3, Vector6};

use crate::frame::Local;
use crate::geometry::{Ellipse, Point};

/// QR sweeps allowed for a 3 × 3 or 6 × 6 matrix; a dozen are usual.
const SWEEPS: usize = 1000;

/// Centre and size of the data: fits are made on (p − centre)/scale.
#[derive(Debug, Clone, Copy)]
struct Frame {
    centre: Point<Local>,
    scale: f64,
}

fn frame(points: &[Point<Local>]) -> Option<Frame> {
    let n = points.len() as f64;
    let centre =
        Point::new(points.iter().map(|p| p.x).sum::<f64>() / n, points.iter().map(|p| p.y).sum::<f64>() / n);
    let scale = (points.iter().map(|p| p.distance_to(centre).powi(2)).sum::<f64>() / n).sqrt();
    (scale > 0.0 && scale.is_finite()).then_some(Frame { centre, scale })
}

/// Coefficients of A x² + B xy + C y² + D x + E y + F.
type Conic = [f64; 6];

/// The direct fit; `None` where the data hold no ellipse (on a line, fewer than five).
pub(super) fn direct(points: &[Point<Local>]) -> Option<Ellipse<Local>> {
    let f = frame(points)?;
    let (mut s1, mut s2, mut s3) = (Matrix3::zeros(), Matrix3::zeros(), Matrix3::zeros());
    for p in points {
        let (x, y) = ((p.x - f.centre.x) / f.scale, (p.y - f.centre.y) / f.scale);
        let (q, l) = (Vector3::new(x * x, x * y, y * y), Vector3::new(x, y, 1.0));
        s1 += q * q.transpose();
        s2 += q * l.transpose();
        s3 += l * l.transpose();
    }
    let t = -s3.try_inverse()? * s2.transpose();
    let m = s1 + s2 * t;
    // C₁⁻¹ M with C₁ = antidiag(2, −1, 2).
    let m = Matrix3::from_rows(&[m.row(2) * 0.5, -m.row(1), m.row(0) * 0.5]);
    let eigenvalues = Schur::try_new(m, f64::EPSILON, SWEEPS)?.eigenvalues()?;
    let a1 = eigenvalues
        .iter()
        .filter_map(|&l| null_vector(m - Matrix3::identity() * l))
        .find(|v| 4.0 * v[0] * v[2] - v[1] * v[1] > 0.0)?;
    let a2 = t * a1;
    to_ellipse(&[a1[0], a1[1], a1[2], a2[0], a2[1], a2[2]], f)
}

/// A unit vector in the null space of a singular 3 × 3 matrix: the largest cross product of two rows.
fn null_vector(m: Matrix3<f64>) -> Option<Vector3<f64>> {
    let rows: [Vector3<f64>; 3] = std::array::from_fn(|i| m.row(i).transpose());
    [(0, 1), (1, 2), (0, 2)]
        .into_iter()
        .map(|(i, j)| rows[i].cross(&rows[j]))
        .max_by(|a, b| a.norm().total_cmp(&b.norm()))
        .and_then(|v| v.try_normalize(f64::MIN_POSITIVE))
}

/// The ellipse of a conic, taken back from the scaled frame; `None` where the conic is no ellipse.
fn to_ellipse(conic: &Conic, f: Frame) -> Option<Ellipse<Local>> {
    let [a, b, c, d, e, g] = *conic;
    let det = 4.0 * a * c - b * b;
    if det <= 0.0 {
        return None;
    }
    let (x0, y0) = ((b * e - 2.0 * c * d) / det, (b * d - 2.0 * a * e) / det);
    let at_centre = g + 0.5 * (d * x0 + e * y0);
    // Eigenvalues of the quadratic form: semi-axis² = −F₀/λ.
    let (mean, half) = (0.5 * (a + c), (0.5 * (a - c)).hypot(0.5 * b));
    let (l1, l2) = (mean + half, mean - half);
    let (q1, q2) = (-at_centre / l1, -at_centre / l2);
    if !(q1 > 0.0 && q2 > 0.0) {
        return None;
    }
    // λ1 belongs to the direction ½·atan2(B, A − C).
    let turn = 0.5 * b.atan2(a - c);
    Ellipse::from_radians(
        Point::new(f.centre.x + f.scale * x0, f.centre.y + f.scale * y0),
        [f.scale * q1.sqrt(), f.scale * q2.sqrt()],
        turn,
    )
    .ok()
}

/// Do the points lie on a hyperbola? They do if the best conic of any kind is one, and its root mean square
/// distance from the points is less than half that of the best ellipse, which is passed in.
pub(super) fn is_hyperbola(points: &[Point<Local>], ellipse_rms_m: f64) -> bool {
    let Some(f) = frame(points) else { return false };
    let row = |p: &Point<Local>| {
        let (x, y) = ((p.x - f.centre.x) / f.scale, (p.y - f.centre.y) / f.scale);
        Vector6::new(x * x, x * y, y * y, x, y, 1.0)
    };
    let mut scatter = Matrix6::zeros();
    for p in points {
        let r = row(p);
        scatter += r * r.transpose();
    }
    let Some(eigen) = SymmetricEigen::try_new(scatter, f64::EPSILON, SWEEPS) else { return false };
    let least = eigen.eigenvalues.imin();
    let v: Vector6<f64> = eigen.eigenvectors.column(least).into();
    if v[1] * v[1] - 4.0 * v[0] * v[2] <= 1e-9 {
        return false;
    }
    // Sampson's distance: the conic's value over the length of its gradient.
    let sum: f64 = points
        .iter()
        .map(|p| {
            let r = row(p);
            let (x, y) = (r[3], r[4]);
            let gradient = (2.0 * v[0] * x + v[1] * y + v[3]).hypot(v[1] * x + 2.0 * v[2] * y + v[4]);
            (v.dot(&r) / gradient.max(1e-12) * f.scale).powi(2)
        })
        .sum();
    (sum / points.len() as f64).sqrt() < 0.5 * ellipse_rms_m
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn recovers_planted_ellipses_far_from_the_origin() {
        for (a, b, turn) in [(85.0, 65.0, 17.0), (80.0, 79.0, 89.9), (70.0, 55.0, 120.0)] {
            let e = Ellipse::<Local>::new(Point::new(3e5, 5.8e6), [a, b], turn).unwrap();
            let points: Vec<_> = (0..24).map(|i| e.at_parameter(f64::from(i) * 0.26)).collect();
            let found = direct(&points).unwrap();
            // Coordinates of 6e6 m are good to 1e-9 m; conditioning costs two digits.
            assert!((found.semi_major_m() - a).abs() < 1e-6);
            assert!((found.semi_minor_m() - b).abs() < 1e-6);
            assert!((found.turn_deg() - turn).abs() < 1e-5);
        }
    }

    #[test]
    fn no_ellipse_through_points_on_a_line() {
        let points: Vec<_> = (0..9).map(|i| Point::new(f64::from(i), 2.0 * f64::from(i))).collect();
        assert!(direct(&points).is_none());
    }

    #[test]
    fn a_hyperbola_is_seen() {
        let points: Vec<_> = (-9..=9)
            .map(|i| Point::new((f64::from(i) * 0.2).cosh() * 40.0, (f64::from(i) * 0.2).sinh() * 40.0))
            .collect();
        assert!(is_hyperbola(&points, 1.0));
        let e = Ellipse::<Local>::new(Point::ORIGIN, [85.0, 65.0], 0.0).unwrap();
        let oval: Vec<_> = (0..24).map(|i| e.at_parameter(f64::from(i) * 0.26)).collect();
        assert!(!is_hyperbola(&oval, 1.0));
    }
}
