//! The best precision that a survey with known errors allows: generalised least squares with the true
//! covariance and the true shape, in arithmetic that is independent of the library's.
//!
//! Signed distances are differentiated by central differences in the shape's own parameters. The full
//! covariance matrix of the errors is built and factored. Length, width and perimeter follow from the curve,
//! with the goal lines where it is as wide as a scoring end.

use ovalpeg::boundary::Outline;
use ovalpeg::frame::{Local, Plan};
use ovalpeg::geometry::{ClosedCurve as _, CutEllipse, Ellipse, FourArc, Point, Shape as Curve, Vector};
use ovalpeg::units::Bearing;

use crate::Failure;
use crate::coverage::{Errors, sizes};
use crate::truth::{Shape, Truth, half_end_m};

/// Step of a central difference, m and radians: a balance between truncation, which grows as h², and
/// rounding, which grows as 1/h.
const STEP: f64 = 1e-5;

/// The true curve in the local plane, as the library's geometry has it.
///
/// # Errors
/// None for a shape of [`Shape`].
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

/// The outline of a curve whose goals follow from it: on its long axis, where it is as wide as a scoring end.
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

/// The best possible half-widths of the 95 % intervals of length, width and perimeter, m, for points of the
/// true line that were taken at these times.
///
/// # Errors
/// Where the points don't fix the curve.
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
    // (LLᵀ)⁻¹ is the sum of the outer products of the columns of L⁻ᵀ with themselves: each column is a step
    // of one standard deviation. The sizes are computed at each step, since a width that is the greatest of
    // several has no gradient at the truth.
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
        // On a circle the width 2b of an ellipse fitted to n evenly spaced points has, to first order, the
        // variance (1/n + 2/n)·4σ²: from the terms r₀ + r₂ cos 2φ of the radius.
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
        // A standard deviation of 0.3 m in the distance of all points from the line gives twice that in
        // length and width, and 2π times that in the perimeter (Steiner's formula), apart from the goal
        // lines. The points' own noise is 0.1 m: with 0.01 m the points would tell an ellipse from its
        // parallel curve, 2 mm off, and so fix the distance. A standard deviation of 0.5 % in scale gives the
        // same in each size. A goal line keeps its width, so as the curve grows, each line gains a little
        // beside the posts: as much as a goal line would have grown.
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
                    // The simulator's bisection is good to a tenth of a micrometre.
                    assert!(planted.foot(p).signed_distance_m.abs() < 1e-6, "{shape:?} {s}");
                }
            }
            let o = outline(planted).unwrap();
            assert!((sizes(&o)[0] - truth.shape().length_m()).abs() < 1e-9);
            let (got, want) = (sizes(&o)[2], truth.perimeter_m());
            // The simulator adds up chords, which cut the corners of a straight side.
            assert!((got - want).abs() < 5e-3, "{shape:?} {got} {want}");
        }
    }
}
