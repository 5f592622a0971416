//! What a survey of known errors can tell at best: generalised least squares with the
//! true covariance and the true shape, by arithmetic of its own.
//!
//! Signed distances are differentiated by central differences of the shape's own
//! parameters; the covariance of the errors is built whole and factored. Length, width
//! and perimeter follow from the curve as definitions have them, with the goal lines where it
//! is one end wide.

use ovalpeg::boundary::Outline;
use ovalpeg::frame::{Local, Plan};
use ovalpeg::geometry::{ClosedCurve as _, CutEllipse, Ellipse, FourArc, Point, Shape as Curve, Vector};
use ovalpeg::units::Bearing;

use crate::Failure;
use crate::coverage::{Errors, sizes};
use crate::truth::{Shape, Truth, half_end_m};

/// Step of a central difference, m and radians: errors of h² against rounding over h.
const STEP: f64 = 1e-5;

/// The planted curve as geometry has it, in the local plane.
///
/// # Errors
/// For a shape whose side is cut at an angle: there is none.
pub fn curve(truth: &Truth) -> Result<Curve<Local>, Failure> {
    let h = half_end_m();
    let half = 0.5 * truth.shape().length_m();
    let axis = 90.0 - truth.plan().axis().degrees();
    let centre = truth.plan().centre();
    Ok(match *truth.shape() {
        Shape::Ellipse { width_m, .. } => {
            let b = 0.5 * width_m;
            Curve::Ellipse(Ellipse::new(centre, [half / (1.0 - (h / b).powi(2)).sqrt(), b], axis)?)
        }
        Shape::Cut { half_width_m: b, cut_m, side, .. } => {
            let whole = Ellipse::new(centre, [half / (1.0 - (h / b).powi(2)).sqrt(), b], axis)?;
            Curve::CutEllipse(CutEllipse::new(whole, axis + 90.0 * side.sign(), b - cut_m)?)
        }
        Shape::FourArc { width_m, end_radius_m: r, .. } => {
            let out = half - (r * r - h * h).sqrt();
            Curve::FourArc(FourArc::new(centre, [out + r, 0.5 * width_m], r, axis)?)
        }
    })
}

/// The outline of a curve whose goals follow from it: on its long axis, where it is one end wide.
fn outline(curve: Curve<Local>) -> Result<Outline, Failure> {
    let h = half_end_m();
    let [a, b] = curve.semi_axes_m();
    let half = match &curve {
        Curve::FourArc(o) => {
            let r = o.end_radius_m();
            a - r + (r * r - h * h).sqrt()
        }
        // A cut along the side leaves the ends alone.
        _ => a * (1.0 - (h / b).powi(2)).sqrt(),
    };
    let plan = Plan::new(curve.centre(), Bearing::from_degrees(90.0 - curve.turn_deg())?)?;
    Ok(Outline::new(curve, plan, half)?)
}

/// Lower Cholesky factor, row by row.
fn factor(mut m: Vec<Vec<f64>>) -> Result<Vec<Vec<f64>>, Failure> {
    let n = m.len();
    for j in 0..n {
        for i in j..n {
            let sum: f64 = (0..j).map(|k| m[i][k] * m[j][k]).sum();
            let v = m[i][j] - sum;
            m[i][j] = if i > j {
                v / m[j][j]
            } else if v > 0.0 {
                v.sqrt()
            } else {
                return Err("the covariance is not positive".into());
            };
        }
    }
    Ok(m)
}

/// Solves L x = y in place.
fn forward(l: &[Vec<f64>], y: &mut [f64]) {
    for i in 0..y.len() {
        let sum: f64 = (0..i).map(|k| l[i][k] * y[k]).sum();
        y[i] = (y[i] - sum) / l[i][i];
    }
}

/// Column `axis` of L⁻ᵀ.
fn backward(l: &[Vec<f64>], axis: usize) -> Vec<f64> {
    let n = l.len();
    let mut x = vec![0.0; n];
    for i in (0..=axis).rev() {
        let sum: f64 = (i + 1..=axis).map(|k| l[k][i] * x[k]).sum();
        x[i] = (if i == axis { 1.0 } else { 0.0 } - sum) / l[i][i];
    }
    x
}

/// Half-widths of the 95 % intervals of length, width and perimeter at best, m, for points
/// of the planted line at these times.
///
/// # Errors
/// Where the points fix no such curve.
pub fn half_widths(
    truth: &Truth,
    points: &[Point<Local>],
    times_s: &[f64],
    errors: &Errors,
) -> Result<[f64; 3], Failure> {
    let planted = curve(truth)?;
    let at = planted.parameters();
    let moved = |k: usize, by: f64| -> Result<Curve<Local>, Failure> {
        let mut p = at.clone();
        p[k] += by;
        Ok(planted.with_parameters(&p)?)
    };
    let normals: Vec<Vector<Local>> = points.iter().map(|&p| planted.foot(p).normal).collect();
    let centre = planted.centre();
    let outs_m: Vec<f64> = points.iter().zip(&normals).map(|(&p, n)| (p - centre).dot(*n)).collect();
    let n = points.len();
    let covariance = (0..n)
        .map(|i| {
            (0..n)
                .map(|j| {
                    let (normal, out_m2) = (normals[i].dot(normals[j]), outs_m[i] * outs_m[j]);
                    errors.covariance(times_s[i] - times_s[j], normal, out_m2, i == j)
                })
                .collect()
        })
        .collect();
    let l = factor(covariance)?;
    let mut columns = Vec::new();
    for k in 0..at.len() {
        let (hi, lo) = (moved(k, STEP)?, moved(k, -STEP)?);
        let mut column: Vec<f64> = points
            .iter()
            .map(|&p| (hi.foot(p).signed_distance_m - lo.foot(p).signed_distance_m) / (2.0 * STEP))
            .collect();
        forward(&l, &mut column);
        columns.push(column);
    }
    let k = columns.len();
    let dot = |i: usize, j: usize| columns[i].iter().zip(&columns[j]).map(|(a, b)| a * b).sum::<f64>();
    let normal = factor((0..k).map(|i| (0..k).map(|j| dot(i, j)).collect()).collect())?;
    // (LLᵀ)⁻¹ is the sum of the squares of the columns of L⁻ᵀ: steps of one standard deviation.
    // A width that is the greatest of several has no gradient at the truth, so the steps are taken.
    let here = sizes(&outline(planted.clone())?);
    let mut sums = [0.0; 3];
    for axis in 0..k {
        let step = backward(&normal, axis);
        for sign in [1.0, -1.0] {
            let p: Vec<f64> = at.iter().zip(&step).map(|(p, s)| p + sign * s).collect();
            let there = sizes(&outline(planted.with_parameters(&p)?)?);
            for i in 0..3 {
                sums[i] += 0.5 * (there[i] - here[i]).powi(2);
            }
        }
    }
    Ok(sums.map(|sum: f64| 1.96 * sum.sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::truth::Site;

    #[test]
    fn white_errors_on_a_near_circle_have_a_closed_form() {
        // On a circle of radius R the width 2b of the ellipse through n even points has the
        // variance of r₀ + r₂ cos 2φ: (1/n + 2/n)·4σ², to first order.
        let site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 0.0, axis_deg: 20.0 };
        let truth = Truth::new(Shape::Ellipse { length_m: 131.4, width_m: 130.0 }, site).unwrap();
        let planted = curve(&truth).unwrap();
        let n = 400;
        let points: Vec<_> = (0..n)
            .map(|i| planted.at_parameter(std::f64::consts::TAU * f64::from(i) / f64::from(n)))
            .collect();
        let errors = Errors::white(0.5);
        let got = half_widths(&truth, &points, &vec![0.0; 400], &errors).unwrap()[1];
        let want = 1.96 * 2.0 * 0.5 * (3.0 / 400f64).sqrt();
        // The oval is round to 2 %.
        assert!((got / want - 1.0).abs() < 0.02, "{got} {want}");
    }

    #[test]
    fn steady_errors_are_in_every_size_as_a_whole() {
        // All off the line by 0.3 m, one standard deviation: twice that of a length and a width, 2π times
        // of a perimeter (Steiner's formula), but for the goal lines. Points of a decimetre, for those of a
        // centimetre would tell an ellipse from its parallel curve, 2 mm off, and so know the distance.
        // All too large by 0.5 %: so is each size. A goal line keeps its width, so as the curve grows each
        // line takes in a little more of it beside the posts: as much as a goal line would have grown.
        let site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 0.0, axis_deg: 20.0 };
        let truth = Truth::new(Shape::Ellipse { length_m: 160.0, width_m: 130.0 }, site).unwrap();
        let planted = curve(&truth).unwrap();
        let points: Vec<_> =
            (0..100).map(|i| planted.at_parameter(std::f64::consts::TAU * f64::from(i) / 100.0)).collect();
        let off = Errors { off_line_sd_m: 0.3, ..Errors::white(0.1) };
        let scale = Errors { scale_sd: 0.005, ..Errors::white(0.1) };
        for (errors, sds) in [
            (off, [2.0, 2.0, std::f64::consts::TAU].map(|k| 0.3 * k)),
            (scale, [160.0, 130.0, truth.perimeter_m()].map(|size| 0.005 * size)),
        ] {
            let got = half_widths(&truth, &points, &[0.0; 100], &errors).unwrap();
            for (got, want) in got.iter().zip(sds.map(|sd| 1.96 * sd)) {
                assert!((got / want - 1.0).abs() < 0.05, "{errors:?} {got} {want}");
            }
        }
    }

    #[test]
    fn the_curve_is_the_planted_one() {
        let site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 0.0, axis_deg: 20.0 };
        for (_, shape, _) in crate::coverage::SHAPES {
            let truth = Truth::new(shape, site).unwrap();
            let planted = curve(&truth).unwrap();
            for side in ovalpeg::boundary::Side::BOTH {
                for i in 0..=50 {
                    let s = truth.line_length_m(side) * f64::from(i) / 50.0;
                    let p = truth.to_local(truth.on_line(side, s));
                    // The simulator halves its steps to a tenth of a micrometre.
                    assert!(planted.foot(p).signed_distance_m.abs() < 1e-6, "{shape:?} {s}");
                }
            }
            let o = outline(planted).unwrap();
            assert!((sizes(&o)[0] - truth.shape().length_m()).abs() < 1e-9);
            let (got, want) = (sizes(&o)[2], truth.perimeter_m());
            // The simulator adds up chords, and cuts the corners of a straight side.
            assert!((got - want).abs() < 5e-3, "{shape:?} {got} {want}");
        }
    }
}
