//! The result of an adjustment.

use crate::frame::Local;
use crate::geometry::Point;
use crate::numeric::{Covariance, f_quantile};
use crate::units::Measured;

/// An observation of the adjustment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Observed {
    /// A measure, by its index in the notebook.
    Measure(usize),
    /// The x of a mark whose coordinates are observed, by the mark's index.
    East(usize),
    /// The y of a mark whose coordinates are observed, by the mark's index.
    North(usize),
    /// The scale error of a tape, observed as zero with its standard deviation, by the tape's index.
    Scale(usize),
}

/// The standard error ellipse of a mark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ErrorEllipse {
    /// One standard deviation along the longer axis, m.
    pub semi_major_m: f64,
    /// One standard deviation along the shorter axis, m.
    pub semi_minor_m: f64,
    /// Direction of the longer axis, clockwise from +y, degrees in [0, 180).
    pub bearing_deg: f64,
}

impl ErrorEllipse {
    /// The ellipse from the variances of x and y and their covariance, m².
    #[must_use]
    pub fn new(var_x: f64, var_y: f64, cov_xy: f64) -> Self {
        let mean = 0.5 * (var_x + var_y);
        let half = 0.5 * (var_x - var_y).hypot(2.0 * cov_xy);
        // Direction from +x, counter-clockwise; for a circle north is taken.
        let angle =
            if half > 0.0 { 0.5 * (2.0 * cov_xy).atan2(var_x - var_y) } else { std::f64::consts::FRAC_PI_2 };
        let bearing = (90.0 - angle.to_degrees()).rem_euclid(180.0);
        let major = mean + half;
        // The smaller eigenvalue from the determinant, so that no digits are lost to a difference.
        let minor = if major > 0.0 { (var_x * var_y - cov_xy * cov_xy) / major } else { 0.0 };
        Self {
            semi_major_m: major.max(0.0).sqrt(),
            semi_minor_m: minor.max(0.0).sqrt(),
            bearing_deg: if bearing >= 180.0 { 0.0 } else { bearing },
        }
    }

    /// Factor from the standard ellipse to the one that contains the mark with probability
    /// 0.95, where the standard deviations are known beforehand: √χ²₂ = 2.448.
    #[must_use]
    pub fn factor_95() -> f64 {
        // χ² with two degrees of freedom is an exponential distribution with the quantile −2 ln(1 − p).
        (-2.0 * 0.05f64.ln()).sqrt()
    }

    /// Both semi-axes of the ellipse that holds the mark with probability 0.95, the longer first, m, where
    /// the standard deviations given are so many times too small.
    #[must_use]
    pub fn axes_95_m(&self, sd_factor: f64) -> [f64; 2] {
        let k = Self::factor_95() * sd_factor;
        [self.semi_major_m, self.semi_minor_m].map(|a| k * a)
    }

    /// As [`ErrorEllipse::factor_95`], where the variance factor was estimated with
    /// `dof` degrees of freedom: √(2 F(2, dof)).
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
    /// One standard deviation of x, from the given standard deviations, m; 0 when fixed.
    pub sd_x_m: f64,
    /// One standard deviation of y, m.
    pub sd_y_m: f64,
    /// Error ellipse, from the given standard deviations.
    pub ellipse: ErrorEllipse,
}

/// An observation after the adjustment. Values are metres, or ratios for a tape's scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adjusted {
    /// Which observation.
    pub what: Observed,
    /// The reading (for a measure, its corrected value).
    pub read_m: f64,
    /// One standard deviation of the reading.
    pub sd_m: f64,
    /// The value computed from the adjusted coordinates and scale.
    pub adjusted_m: f64,
    /// One standard deviation of the adjusted value.
    pub adjusted_sd_m: f64,
    /// Residual: adjusted − read.
    pub residual_m: f64,
    /// Redundancy number: the share of an error in the reading that its residual shows, 0 to 1.
    pub redundancy: f64,
    /// Standardised residual v / (σ√r), Baarda's w; `None` where no other reading checks this one.
    pub w: Option<f64>,
    /// Standardised residual with the estimated σ, Pope's τ; `None` also without degrees of freedom.
    pub tau: Option<f64>,
    /// The error that a test at α = 0.001 finds with probability 0.8;
    /// `None` where no other reading checks this one.
    pub detectable_m: Option<f64>,
    /// The error that explains the residual, −v / r: positive where the reading is too long.
    pub error_m: Option<f64>,
}

/// A tape's scale after the adjustment.
#[derive(Debug, Clone, PartialEq)]
pub struct TapeScale {
    /// The tape's index in the notebook.
    pub tape: usize,
    /// The ratio by which the tape is too long, so that it reads short.
    pub too_long: f64,
    /// One standard deviation.
    pub sd: f64,
    /// Its covariance with the x and y of each mark, in the marks' order, m.
    pub with_marks: Vec<f64>,
}

impl TapeScale {
    /// Half the 95 % interval of the scale.
    #[must_use]
    pub fn half_width(&self) -> f64 {
        Measured::normal(self.too_long, self.sd).map_or(f64::NAN, |m| m.half_width())
    }
}

/// Whether the residuals agree with the given standard deviations.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing to test: no degrees of freedom.
    Untested,
    /// They agree.
    Agrees,
    /// Smaller than expected: the given standard deviations are too large.
    TooSmall,
    /// Larger than expected: there is a blunder, or the given standard deviations are too small.
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

/// The datum of a network: what fixes its position and orientation in the plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NetworkDatum {
    /// Two or more marks that are fixed or observed.
    Held,
    /// One mark that is fixed or observed; the orientation about it is arbitrary and counts as exact.
    Pivot,
    /// None: a free network. It is placed on the approximate coordinates given, or else with its first mark
    /// at the origin and the next toward +x. Variances are the smallest possible (inner constraints).
    Free,
}

/// A reading that is most likely wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Blunder {
    /// Which observation.
    pub what: Observed,
    /// The reading (for a measure, its corrected value), m.
    pub read_m: f64,
    /// How much it is too long, m; negative where it is too short.
    /// An offset that is too long is too far left.
    pub too_long_m: f64,
    /// Its test statistic: w, or τ where the variance factor is estimated.
    pub statistic: f64,
    /// The critical value, which the statistic exceeds.
    pub critical: f64,
    /// Other readings that explain the misfit equally well: one of all these is wrong.
    pub alike: Vec<Observed>,
}

impl Blunder {
    /// Is it the only reading that explains the misfit?
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
    /// Scales of the tapes whose scale is unknown.
    pub tapes: Vec<TapeScale>,
    /// Covariance of the x and y of each mark, in the marks' order, m², from the given standard deviations.
    pub covariance: Covariance,
    /// The datum.
    pub datum: NetworkDatum,
    /// Whether the choice between the network and its mirror image was assumed: the first three marks of the
    /// notebook that are not in line were taken as anticlockwise.
    pub hand_assumed: bool,
    /// Degrees of freedom: the sum of the redundancy numbers.
    pub dof: usize,
    /// Estimated reference standard deviation (of unit weight), m₀; `None` without degrees of freedom.
    pub m0: Option<f64>,
    /// Was m₀ used in the tests?
    pub estimated: bool,
    /// The global test.
    pub global: GlobalTest,
    /// The reading that is most likely wrong, if any exceeds the critical value.
    pub blunder: Option<Blunder>,
    /// Iterations of the final least-squares adjustment.
    pub iterations: usize,
}

impl Network {
    /// The covariance scaled by the residuals: m₀² times [`Network::covariance`];
    /// `None` without degrees of freedom.
    #[must_use]
    pub fn covariance_a_posteriori(&self) -> Option<Covariance> {
        self.m0.map(|m| self.covariance.scaled(m * m))
    }

    /// Variance of x, variance of y, and their covariance, of one mark, m².
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
