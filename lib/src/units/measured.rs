//! A measured value with its standard deviation and 95 % interval.

use super::{Invalid, finite, within};

/// A measured value, its standard deviation, and the half-width of its 95 % interval.
///
/// The half-width is not always 1.96 standard deviations: with few degrees of
/// freedom, or a mixture of error models, it is wider.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    value: f64,
    sd: f64,
    half_width: f64,
}

/// Whether a comparison is settled, given the uncertainty of what is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Call {
    /// Above the limit by more than the 95 % half-width.
    Yes,
    /// Below the limit by more than the 95 % half-width.
    No,
    /// The measurements can't tell.
    TooClose,
}

/// Standard deviations in half the 95 % interval of a normal error.
const NORMAL_95: f64 = 1.96;

impl Measured {
    /// A value with its standard deviation and 95 % half-width, all in one unit.
    ///
    /// # Errors
    /// [`Invalid`] when a number is not finite, or `sd` or `half_width` is negative.
    pub fn new(value: f64, sd: f64, half_width: f64) -> Result<Self, Invalid> {
        finite("measured value", value)?;
        within("standard deviation", sd, 0.0, f64::MAX)?;
        within("95 % half-width", half_width, 0.0, f64::MAX)?;
        Ok(Self { value, sd, half_width })
    }

    /// A value whose error is normal, with a standard deviation that is known and not estimated.
    ///
    /// # Errors
    /// [`Invalid`] as for [`Self::new`].
    pub fn normal(value: f64, sd: f64) -> Result<Self, Invalid> {
        Self::new(value, sd, NORMAL_95 * sd)
    }

    /// The same of numbers that were checked when they came in.
    pub(super) fn normal_of_checked(value: f64, sd: f64) -> Self {
        Self { value, sd, half_width: NORMAL_95 * sd }
    }

    /// A value without error.
    ///
    /// # Errors
    /// [`Invalid::NotFinite`] if `value` is NaN or infinite.
    pub fn exact(value: f64) -> Result<Self, Invalid> {
        Self::new(value, 0.0, 0.0)
    }

    /// The value.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.value
    }

    /// One standard deviation, in the value's unit.
    #[must_use]
    pub fn sd(&self) -> f64 {
        self.sd
    }

    /// Half the width of the 95 % interval: what is printed after ±.
    #[must_use]
    pub fn half_width(&self) -> f64 {
        self.half_width
    }

    /// Lower end of the 95 % interval.
    #[must_use]
    pub fn lo95(&self) -> f64 {
        self.value - self.half_width
    }

    /// Upper end of the 95 % interval.
    #[must_use]
    pub fn hi95(&self) -> f64 {
        self.value + self.half_width
    }

    /// Is it above `limit`, below it, or too close to call?
    #[must_use]
    pub fn above(&self, limit: f64) -> Call {
        if self.lo95() > limit {
            Call::Yes
        } else if self.hi95() < limit {
            Call::No
        } else {
            Call::TooClose
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn calls_only_what_the_interval_settles() {
        let m = Measured::new(135.2, 0.1, 0.25).unwrap();
        assert_eq!(m.above(134.9), Call::Yes);
        assert_eq!(m.above(135.0), Call::TooClose);
        assert_eq!(m.above(135.5), Call::No);
    }

    #[test]
    fn refuses_a_negative_spread() {
        assert!(Measured::new(1.0, -0.1, 0.1).is_err());
        assert!(Measured::new(f64::NAN, 0.1, 0.1).is_err());
    }
}
