//! What an adjusted network carries.

use crate::frame::Local;
use crate::geometry::Point;
use crate::numeric::{Covariance, f_quantile};

/// What an observation of the adjustment is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Observed {
    /// A measure, by its index in the notebook.
    Measure(usize),
    /// The x of a mark whose coordinates are observed, by the mark's index.
    East(usize),
    /// The y of a mark whose coordinates are observed.
    North(usize),
    /// The scale of a tape, observed as nought with its standard deviation, by the tape's index.
    Scale(usize),
}

/// The region that holds a mark with a certain probability.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ErrorEllipse {
    /// One standard deviation along the longer axis, m.
    pub semi_major_m: f64,
    /// One standard deviation along the shorter axis, m.
    pub semi_minor_m: f64,
    /// The longer axis, clockwise from +y, degrees in [0, 180).
    pub bearing_deg: f64,
}

impl ErrorEllipse {
    /// From variances of x and y and their covariance, m².
    #[must_use]
    pub fn new(var_x: f64, var_y: f64, cov_xy: f64) -> Self {
        let mean = 0.5 * (var_x + var_y);
        let half = 0.5 * (var_x - var_y).hypot(2.0 * cov_xy);
        // Direction from +x, counter-clockwise; a circle's is taken as north.
        let angle =
            if half > 0.0 { 0.5 * (2.0 * cov_xy).atan2(var_x - var_y) } else { std::f64::consts::FRAC_PI_2 };
        let bearing = (90.0 - angle.to_degrees()).rem_euclid(180.0);
        let major = mean + half;
        // The smaller root through the determinant: no digits lost to the difference.
        let minor = if major > 0.0 { (var_x * var_y - cov_xy * cov_xy) / major } else { 0.0 };
        Self {
            semi_major_m: major.max(0.0).sqrt(),
            semi_minor_m: minor.max(0.0).sqrt(),
            bearing_deg: if bearing >= 180.0 { 0.0 } else { bearing },
        }
    }

    /// Factor from the 1 σ ellipse to the one that holds the mark with probability 0.95
    /// where standard deviations are known beforehand: √χ²₂ = 2.448.
    #[must_use]
    pub fn factor_95() -> f64 {
        // χ² of two degrees of freedom is an exponential: its quantile is −2 ln(1 − p).
        (-2.0 * 0.05f64.ln()).sqrt()
    }

    /// The same where the variance factor was estimated with `dof` degrees of freedom: √(2 F(2, dof)).
    #[must_use]
    pub fn factor_95_estimated(dof: usize) -> f64 {
        (2.0 * f_quantile(0.95, 2.0, dof as f64)).sqrt()
    }
}

/// A mark of an adjusted network.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NetworkMark {
    /// Adjusted coordinates.
    pub at: Point<Local>,
    /// One standard deviation of x from the standard deviations given, m; 0 when fixed.
    pub sd_x_m: f64,
    /// One standard deviation of y, m.
    pub sd_y_m: f64,
    /// Error ellipse from the standard deviations given.
    pub ellipse: ErrorEllipse,
}

/// An observation after the adjustment. Lengths are metres; of a tape's scale they are ratios.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adjusted {
    /// Which.
    pub what: Observed,
    /// As read (for a measure, its corrected value).
    pub read_m: f64,
    /// One standard deviation of the reading.
    pub sd_m: f64,
    /// What it should have read at the adjusted coordinates and scale.
    pub adjusted_m: f64,
    /// One standard deviation of the adjusted value.
    pub adjusted_sd_m: f64,
    /// Residual: adjusted − read.
    pub residual_m: f64,
    /// Redundancy number: the part of an error in the reading that its residual shows, 0 to 1.
    pub redundancy: f64,
    /// Standardised residual v / (σ√r), Baarda's w; `None` where nothing checks the reading.
    pub w: Option<f64>,
    /// The same by the estimated σ: Pope's τ; `None` also without degrees of freedom.
    pub tau: Option<f64>,
    /// The error that a test at α = 0.001 finds with probability 0.8; `None` where nothing checks the reading.
    pub detectable_m: Option<f64>,
    /// The error that explains the residual, −v / r: positive where the reading is too long.
    pub error_m: Option<f64>,
}

/// A tape's scale after the adjustment.
#[derive(Debug, Clone, PartialEq)]
pub struct TapeScale {
    /// The tape's index in the notebook.
    pub tape: usize,
    /// By how much the tape is too long (it reads short), as a ratio.
    pub too_long: f64,
    /// One standard deviation.
    pub sd: f64,
    /// Its covariance with x and y of all marks in turn, m.
    pub with_marks: Vec<f64>,
}

/// Do the residuals agree with the standard deviations given?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing to test: no degrees of freedom.
    Untested,
    /// They agree.
    Agrees,
    /// Smaller than expected: the standard deviations given are too large.
    TooSmall,
    /// Larger than expected: a blunder, or the standard deviations given are too small.
    TooLarge,
}

/// The global test at 95 %, two-sided.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlobalTest {
    /// Sum of squared residuals in standard deviations, vᵀPv.
    pub sum_of_squares: f64,
    /// 2.5 % quantile of χ².
    pub low: f64,
    /// 97.5 % quantile of χ².
    pub high: f64,
    /// The verdict.
    pub verdict: Verdict,
}

/// What places the network in its plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NetworkDatum {
    /// Two or more marks that are fixed or observed.
    Held,
    /// One mark that is fixed or observed; the turn about it is free and has no error of its own.
    Pivot,
    /// None: a free network, placed on the coordinates given to start from, or else its first mark at the
    /// origin and +x toward the next. Variances are the smallest possible (inner constraints).
    Free,
}

/// A reading that is most likely wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Blunder {
    /// Which.
    pub what: Observed,
    /// As read (for a measure, its corrected value), m.
    pub read_m: f64,
    /// By how much it is too long, m; negative: too short. An offset that is too long is too far to the left.
    pub too_long_m: f64,
    /// Its test statistic: w, or τ where the variance factor is estimated.
    pub statistic: f64,
    /// The value that the statistic passes.
    pub critical: f64,
    /// Other readings that explain the misfit as well: one of all these is wrong.
    pub alike: Vec<Observed>,
}

impl Blunder {
    /// Can it be told from all the others?
    #[must_use]
    pub fn is_told_apart(&self) -> bool {
        self.alike.is_empty()
    }
}

/// An adjusted tape network.
#[derive(Debug, Clone, PartialEq)]
pub struct Network {
    /// Marks in the notebook's order.
    pub marks: Vec<NetworkMark>,
    /// Observations: measures in the notebook's order, then observed coordinates, then scales.
    pub observations: Vec<Adjusted>,
    /// Scales of the tapes that have an unknown one.
    pub tapes: Vec<TapeScale>,
    /// Covariance of x and y of all marks in turn, m², from the standard deviations given.
    pub covariance: Covariance,
    /// What places the network.
    pub datum: NetworkDatum,
    /// Nothing told the network from its mirror image: the first three marks of the notebook that are not
    /// in line were taken to run anticlockwise.
    pub hand_assumed: bool,
    /// Degrees of freedom: the sum of the redundancy numbers.
    pub dof: usize,
    /// Estimated standard deviation of unit weight, m₀; `None` without degrees of freedom.
    pub m0: Option<f64>,
    /// Was m₀ used in the tests?
    pub estimated: bool,
    /// The global test.
    pub global: GlobalTest,
    /// The reading that is most likely wrong, if any passes the critical value.
    pub blunder: Option<Blunder>,
    /// Iterations of the last step.
    pub iterations: usize,
}

impl Network {
    /// Covariance widened or narrowed by what the residuals say, m₀² times the other; `None`
    /// without degrees of freedom.
    #[must_use]
    pub fn covariance_a_posteriori(&self) -> Option<Covariance> {
        self.m0.map(|m| self.covariance.scaled(m * m))
    }

    /// Covariance of x and y of one mark: variance of x, variance of y, covariance, m².
    #[must_use]
    pub fn mark_covariance(&self, mark: usize) -> (f64, f64, f64) {
        let i = 2 * mark;
        (self.covariance.get(i, i), self.covariance.get(i + 1, i + 1), self.covariance.get(i, i + 1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_ellipse_along_the_axes_and_across() {
        let e = ErrorEllipse::new(4.0, 1.0, 0.0);
        assert_eq!((e.semi_major_m, e.semi_minor_m, e.bearing_deg), (2.0, 1.0, 90.0));
        assert_eq!(ErrorEllipse::new(1.0, 4.0, 0.0).bearing_deg, 0.0);
        // x and y rise together: north-east.
        let e = ErrorEllipse::new(1.0, 1.0, 0.5);
        assert!((e.bearing_deg - 45.0).abs() < 1e-12);
        assert!(
            (e.semi_major_m - 1.5f64.sqrt()).abs() < 1e-15 && (e.semi_minor_m - 0.5f64.sqrt()).abs() < 1e-15
        );
        assert_eq!(ErrorEllipse::new(0.0, 0.0, 0.0).semi_major_m, 0.0);
    }
}
