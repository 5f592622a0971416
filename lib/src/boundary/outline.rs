//! An outline placed in the local plane, and the spread of its uncertainty.
//!
//! A fit gives the parameters of an outline and their covariance. [`Spread`]
//! keeps that as principal axes: steps of the parameters, each one standard
//! deviation long and independent of the others. For any function f of an
//! outline, sd² = Σ ((f₊ − f₋)/2)² over the axes, exact for a linear f and
//! second-order accurate otherwise, with no derivative written down anywhere.

use super::{Boundary, BoundaryError};
use crate::frame::{Ground, Local, Plan};
use crate::geometry::{Ellipse, Point};
use crate::numeric::{Covariance, principal_axes};
use crate::units::{Bearing, Invalid, TrueBearing, within};

/// A boundary's shape with its goals, in the local plane.
///
/// Nine parameters: the ellipse (centre, semi-axes, bearing of its long axis)
/// and the goals (midpoint of the two goal-line centres, bearing from there to
/// end A, half the length). Without surveyed posts the last four follow from the
/// first five.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    ellipse: Ellipse<Local>,
    plan: Plan,
    half_length: f64,
}

impl Outline {
    /// Names of the parameters, in their order, as in fit files.
    pub const PARAMETERS: [&'static str; 9] = [
        "x_m",
        "y_m",
        "semi_major_m",
        "semi_minor_m",
        "bearing_deg",
        "goals_x_m",
        "goals_y_m",
        "axis_deg",
        "half_length_m",
    ];

    /// From the ellipse, the plan of the ground and half its length.
    ///
    /// # Errors
    /// [`Invalid`] when the half-length is not within 0 to 100 km.
    pub fn new(ellipse: Ellipse<Local>, plan: Plan, half_length_m: f64) -> Result<Self, Invalid> {
        Ok(Self { ellipse, plan, half_length: within("half-length", half_length_m, 0.0, 1e5)? })
    }

    /// From the nine parameters in the order of [`Outline::PARAMETERS`].
    ///
    /// # Errors
    /// [`Invalid`] when one is out of range.
    pub fn from_parameters(p: &[f64; 9]) -> Result<Self, Invalid> {
        let [x, y, a, b, bearing, gx, gy, axis, half] = *p;
        Self::new(
            Ellipse::new(Point::new(x, y), [a, b], 90.0 - bearing)?,
            Plan::new(Point::new(gx, gy), Bearing::from_degrees(axis)?)?,
            half,
        )
    }

    /// The nine parameters in the order of [`Outline::PARAMETERS`].
    #[must_use]
    pub fn parameters(&self) -> [f64; 9] {
        let c = self.ellipse.centre();
        let g = self.plan.centre();
        [
            c.x,
            c.y,
            self.ellipse.semi_major_m(),
            self.ellipse.semi_minor_m(),
            self.long_axis_bearing_deg(),
            g.x,
            g.y,
            self.plan.axis().degrees(),
            self.half_length,
        ]
    }

    /// The ellipse, in the local plane.
    #[must_use]
    pub fn ellipse(&self) -> &Ellipse<Local> {
        &self.ellipse
    }

    /// Where the ground frame lies.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// Half the distance between the goal-line midpoints, m.
    #[must_use]
    pub fn half_length_m(&self) -> f64 {
        self.half_length
    }

    /// Bearing of the ellipse's long axis, degrees in [0, 180).
    #[must_use]
    pub fn long_axis_bearing_deg(&self) -> f64 {
        let b = (90.0 - self.ellipse.turn_deg()).rem_euclid(180.0);
        if b >= 180.0 { 0.0 } else { b }
    }

    /// The same outline with its ends exchanged.
    ///
    /// # Errors
    /// Never for an outline that was built.
    pub fn end_for_end(&self) -> Result<Self, Invalid> {
        let plan = Plan::new(self.plan.centre(), self.plan.axis().reversed())?;
        Self::new(self.ellipse, plan, self.half_length)
    }

    /// The ellipse in the ground frame.
    ///
    /// # Errors
    /// [`Invalid`] only for numbers that overflow.
    pub fn ground_ellipse(&self) -> Result<Ellipse<Ground>, Invalid> {
        let e = &self.ellipse;
        // +x bears `axis`, so an angle from local east is `axis − 90°` less than one from +x.
        let turn = e.turn_deg() - (90.0 - self.plan.axis().degrees());
        Ellipse::new(self.plan.to_ground(e.centre()), [e.semi_major_m(), e.semi_minor_m()], turn)
    }

    /// The boundary in the ground frame, with scoring ends of this width.
    ///
    /// # Errors
    /// [`BoundaryError`] when no boundary fits.
    pub fn boundary(&self, end_width_m: f64) -> Result<Boundary, BoundaryError> {
        Boundary::on_ellipse(self.ground_ellipse()?, self.half_length, end_width_m)
    }
}

/// The uncertainty of an outline: independent steps of its parameters, each one
/// standard deviation long.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    axes: Vec<[f64; 9]>,
    /// 95 % half-width over one standard deviation.
    ratio: f64,
}

impl Spread {
    /// No uncertainty at all: for grounds that were drawn, not surveyed.
    #[must_use]
    pub fn none() -> Self {
        Self { axes: Vec::new(), ratio: 1.959_963_984_540_054 }
    }

    /// From the covariance of the nine parameters (angles in degrees).
    ///
    /// `ratio` is the 95 % half-width over one standard deviation, from the fit's
    /// own interval.
    ///
    /// # Errors
    /// [`Invalid`] when the ratio is not within 1 to 1000. `Ok(None)` when the
    /// covariance is not 9 × 9 or its axes can't be found.
    pub fn from_covariance(covariance: &Covariance, ratio: f64) -> Result<Option<Self>, Invalid> {
        let ratio = within("95 % half-width over sd", ratio, 1.0, 1000.0)?;
        let Some(axes) = principal_axes(covariance) else { return Ok(None) };
        let axes: Option<Vec<[f64; 9]>> =
            axes.into_iter().map(|axis| <[f64; 9]>::try_from(axis).ok()).collect();
        Ok(axes.map(|axes| Self { axes, ratio }))
    }

    /// From its axes, as a fit file keeps them.
    ///
    /// # Errors
    /// [`Invalid`] for a number that is not finite, or a ratio out of range.
    pub fn from_axes(axes: Vec<[f64; 9]>, ratio: f64) -> Result<Self, Invalid> {
        for v in axes.iter().flatten() {
            crate::units::finite("step of a spread", *v)?;
        }
        Ok(Self { axes, ratio: within("95 % half-width over sd", ratio, 1.0, 1000.0)? })
    }

    /// Adds an independent source of error: this step of the parameters is one
    /// standard deviation. A step of nought is left out.
    pub fn add_axis(&mut self, step: [f64; 9]) {
        if step.iter().any(|v| *v != 0.0) {
            self.axes.push(step);
        }
    }

    /// The axes.
    #[must_use]
    pub fn axes(&self) -> &[[f64; 9]] {
        &self.axes
    }

    /// 95 % half-width over one standard deviation.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        self.ratio
    }

    /// The pair of outlines one standard deviation either way along each axis.
    ///
    /// # Errors
    /// [`Invalid`] when a step leads to numbers that are no outline: the survey
    /// fixes nothing.
    pub fn pairs(&self, outline: &Outline) -> Result<Vec<(Outline, Outline)>, Invalid> {
        let p = outline.parameters();
        let moved = |axis: &[f64; 9], sign: f64| {
            let mut q = p;
            for (value, step) in q.iter_mut().zip(axis) {
                *value += sign * step;
            }
            Outline::from_parameters(&q)
        };
        self.axes.iter().map(|axis| Ok((moved(axis, 1.0)?, moved(axis, -1.0)?))).collect()
    }

    /// Standard deviation of a number by the pairs: √Σ ((f₊ − f₋)/2)².
    ///
    /// # Errors
    /// As [`Spread::pairs`].
    pub fn sd_of(&self, outline: &Outline, f: impl Fn(&Outline) -> f64) -> Result<f64, Invalid> {
        let sum: f64 =
            self.pairs(outline)?.iter().map(|(plus, minus)| (0.5 * (f(plus) - f(minus))).powi(2)).sum();
        Ok(sum.sqrt())
    }

    /// The bearing of the goal axis's own standard deviation, degrees.
    ///
    /// # Errors
    /// As [`Spread::pairs`].
    pub fn axis_sd_deg(&self, outline: &Outline) -> Result<f64, Invalid> {
        let here: TrueBearing = outline.plan.axis();
        self.sd_of(outline, |o| here.turn_to(o.plan.axis()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outline() -> Outline {
        Outline::from_parameters(&[3.0, -2.0, 83.0, 67.0, 15.0, 3.1, -2.2, 15.4, 82.0]).unwrap()
    }

    fn covariance() -> Covariance {
        // A made-up but valid covariance: Σ = B Bᵀ with a fixed lower triangle.
        let b: Vec<Vec<f64>> = (0..9)
            .map(|i| {
                (0..9)
                    .map(|j| if j > i { 0.0 } else { 0.01 / f64::from(1 + i as u32 + 2 * j as u32) })
                    .collect()
            })
            .collect();
        let rows: Vec<f64> = (0..9)
            .flat_map(|i| (0..9).map(move |j| (i, j)))
            .map(|(i, j)| (0..9).map(|k| b[i][k] * b[j][k]).sum())
            .collect();
        Covariance::from_rows(9, &rows).unwrap()
    }

    #[test]
    fn parameters_round_trip() {
        let p = outline().parameters();
        let back = Outline::from_parameters(&p).unwrap().parameters();
        for (a, b) in p.iter().zip(&back) {
            assert!((a - b).abs() < 1e-12);
        }
    }

    #[test]
    fn pairs_equal_the_quadratic_form_on_linear_functions() {
        let c = covariance();
        let s = Spread::from_covariance(&c, 2.0).unwrap().unwrap();
        let g = [0.3, -1.0, 2.0, 0.5, 0.0, 0.7, -0.2, 0.0, 1.5];
        let f = |o: &Outline| o.parameters().iter().zip(&g).map(|(p, g)| p * g).sum::<f64>();
        let sd = s.sd_of(&outline(), f).unwrap();
        // methods: equal to GΣGᵀ on linear functions to 1e-9.
        assert!((sd * sd - c.variance_of(&g)).abs() < 1e-9);
        let doubled = Spread::from_covariance(&c.scaled(2.0), 2.0).unwrap().unwrap();
        let sd2 = doubled.sd_of(&outline(), f).unwrap();
        assert!((sd2 / sd - 2f64.sqrt()).abs() < 1e-9);
    }

    #[test]
    fn the_ellipse_turns_with_the_plan() {
        // Long axis and goal axis both bear 30°: on the ground it lies along x.
        let o = Outline::from_parameters(&[5.0, 6.0, 80.0, 60.0, 30.0, 5.0, 6.0, 30.0, 79.0]).unwrap();
        let e = o.ground_ellipse().unwrap();
        assert!(e.turn_deg() < 1e-9 || e.turn_deg() > 180.0 - 1e-9);
        assert!(e.centre().distance_to(Point::ORIGIN) < 1e-12);
        // A wide ground: goals across the long axis.
        let o = Outline::from_parameters(&[0.0, 0.0, 77.0, 67.0, 100.0, 0.0, 0.0, 10.0, 66.0]).unwrap();
        assert!((o.ground_ellipse().unwrap().turn_deg() - 90.0).abs() < 1e-9);
    }

    #[test]
    fn end_for_end_keeps_the_curve() {
        let (o, turned) = (outline(), outline().end_for_end().unwrap());
        assert_eq!(o.ellipse(), turned.ellipse());
        let p = turned.plan().to_ground(o.plan().to_local(Point::new(10.0, 4.0)));
        assert!(p.distance_to(Point::new(-10.0, -4.0)) < 1e-9);
    }
}
