//! The uncertainty of an outline.
//!
//! A fit gives the parameters of an outline and their covariance. [`Spread`]
//! keeps the covariance as its principal axes: steps of the parameters, each one
//! standard deviation long and independent of the others. For any function f of an
//! outline, sd² = Σ ½((f₊ − f)² + (f₋ − f)²) over the axes, where f₊ and f₋ are its
//! values one step either way. This is exact for a linear f, and needs no derivative.
//!
//! A curved f counts too. A width that is a maximum, for example, may change by the same
//! amount either way; ((f₊ − f₋)/2)² would then be zero and call it exact.

use super::Outline;
use crate::numeric::{Covariance, mean_square, principal_axes};
use crate::units::{Invalid, TrueBearing, within};

/// The uncertainty of an outline: independent steps of its parameters, each one
/// standard deviation long.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    axes: Vec<Vec<f64>>,
    /// 95 % half-width divided by the standard deviation.
    ratio: f64,
}

impl Spread {
    /// No uncertainty, for grounds that were drawn and not surveyed.
    #[must_use]
    pub fn none() -> Self {
        Self { axes: Vec::new(), ratio: 1.959_963_984_540_054 }
    }

    /// A spread from the covariance of an outline's parameters (angles in degrees);
    /// `Ok(None)` when its principal axes can't be computed.
    ///
    /// `ratio` is the 95 % half-width divided by the standard deviation, from the fit's
    /// own interval.
    ///
    /// # Errors
    /// [`Invalid`] when the ratio is not within 1 to 1000.
    pub fn from_covariance(covariance: &Covariance, ratio: f64) -> Result<Option<Self>, Invalid> {
        let ratio = within("95 % half-width over sd", ratio, 1.0, 1000.0)?;
        Ok(principal_axes(covariance).map(|axes| Self { axes, ratio }))
    }

    /// A spread from its axes, as a fit file keeps them.
    ///
    /// # Errors
    /// [`Invalid`] for axes of different lengths, a number that is not finite, or a
    /// ratio out of range.
    pub fn from_axes(axes: Vec<Vec<f64>>, ratio: f64) -> Result<Self, Invalid> {
        let want = axes.first().map_or(0, Vec::len);
        if let Some(other) = axes.iter().find(|axis| axis.len() != want) {
            return Err(Invalid::WrongCount { what: "an axis of a spread", got: other.len(), want });
        }
        for v in axes.iter().flatten() {
            crate::units::finite("step of a spread", *v)?;
        }
        Ok(Self { axes, ratio: within("95 % half-width over sd", ratio, 1.0, 1000.0)? })
    }

    /// Adds an independent source of error, as the step of the parameters for one
    /// standard deviation. A zero step is left out.
    pub fn add_axis(&mut self, step: impl Into<Vec<f64>>) {
        let step = step.into();
        if step.iter().any(|v| *v != 0.0) {
            self.axes.push(step);
        }
    }

    /// The axes: steps of the parameters, each one standard deviation long.
    #[must_use]
    pub fn axes(&self) -> &[Vec<f64>] {
        &self.axes
    }

    /// 95 % half-width divided by the standard deviation.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        self.ratio
    }

    /// The pair of outlines one standard deviation either way along each axis.
    ///
    /// # Errors
    /// [`Invalid`] when an axis does not have the outline's number of parameters, or a step
    /// leads to invalid parameters, because the survey determines too little.
    pub fn pairs(&self, outline: &Outline) -> Result<Vec<(Outline, Outline)>, Invalid> {
        let p = outline.parameters();
        let moved = |axis: &[f64], sign: f64| {
            if axis.len() != p.len() {
                let (got, want) = (axis.len(), p.len());
                return Err(Invalid::WrongCount { what: "an axis of the spread", got, want });
            }
            let mut q = p.clone();
            for (value, step) in q.iter_mut().zip(axis) {
                *value += sign * step;
            }
            outline.with_parameters(&q)
        };
        self.axes.iter().map(|axis| Ok((moved(axis, 1.0)?, moved(axis, -1.0)?))).collect()
    }

    /// Standard deviation of a function of the outline: √Σ ½((f₊ − f)² + (f₋ − f)²).
    ///
    /// # Errors
    /// As [`Spread::pairs`].
    pub fn sd_of(&self, outline: &Outline, f: impl Fn(&Outline) -> f64) -> Result<f64, Invalid> {
        Ok(self.sds_of(outline, |o| [f(o)])?[0])
    }

    /// As [`Spread::sd_of`], for several numbers at once.
    ///
    /// # Errors
    /// As [`Spread::pairs`].
    pub fn sds_of<const N: usize>(
        &self,
        outline: &Outline,
        f: impl Fn(&Outline) -> [f64; N],
    ) -> Result<[f64; N], Invalid> {
        let here = f(outline);
        let mut sums = [0.0; N];
        for (plus, minus) in self.pairs(outline)? {
            let (plus, minus) = (f(&plus), f(&minus));
            for i in 0..N {
                sums[i] += mean_square(plus[i] - here[i], minus[i] - here[i]);
            }
        }
        Ok(sums.map(f64::sqrt))
    }

    /// Standard deviation of the goal axis's bearing, degrees.
    ///
    /// # Errors
    /// As [`Spread::pairs`].
    pub fn axis_sd_deg(&self, outline: &Outline) -> Result<f64, Invalid> {
        let here: TrueBearing = outline.plan().axis();
        self.sd_of(outline, |o| here.turn_to(o.plan().axis()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::contract::{freeform_outline, outlines};

    fn outline() -> Outline {
        Outline::from_parameters(&[3.0, -2.0, 83.0, 67.0, 15.0, 3.1, -2.2, 15.4, 82.0]).unwrap()
    }

    fn covariance() -> Covariance {
        // An arbitrary valid covariance: Σ = B Bᵀ with a fixed lower triangle B.
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
    fn a_freeforms_pairs_equal_the_quadratic_form_too() {
        let o = freeform_outline();
        let n = o.parameters().len();
        let entry = |i: usize, j: usize| 0.01 * (-(i.abs_diff(j) as f64) / 5.0).exp();
        let rows: Vec<f64> = (0..n).flat_map(|i| (0..n).map(move |j| entry(i, j))).collect();
        let c = Covariance::from_rows(n, &rows).unwrap();
        let s = Spread::from_covariance(&c, 2.0).unwrap().unwrap();
        let g: Vec<f64> = (0..n).map(|i| (i as f64 * 0.7).sin()).collect();
        let sd = s.sd_of(&o, |o| o.parameters().iter().zip(&g).map(|(p, g)| p * g).sum()).unwrap();
        // methods: equal to GΣGᵀ on linear functions to 1e-9.
        assert!((sd * sd - c.variance_of(&g)).abs() < 1e-9);
    }

    #[test]
    fn an_axis_of_another_model_is_refused() {
        let mut s = Spread::none();
        s.add_axis([0.1; 9]);
        for (name, o) in outlines() {
            assert_eq!(s.pairs(&o).is_ok(), o.parameters().len() == 9, "{name}");
        }
        assert!(Spread::from_axes(vec![vec![0.1; 9], vec![0.1; 10]], 2.0).is_err());
    }
}
