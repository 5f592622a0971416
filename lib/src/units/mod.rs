//! Floor 0: values that know nothing of a ground: bearings that know their north,
//! days, declination, measured values and problems. It also holds the only place
//! where a number becomes text.

mod bearing;
mod day;
mod measured;
pub mod print;
mod problem;
pub mod ranges;
mod remedy;

pub use bearing::{
    Bearing, Declination, Grid, GridBearing, Magnetic, MagneticBearing, North, True, TrueBearing,
};
pub use day::Day;
pub use measured::{Call, Measured};
pub use problem::{Problem, Refused, Warned};
pub use remedy::{Remedy, Setting, either};

/// A value that no constructor accepts.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Invalid {
    /// NaN or infinite.
    NotFinite {
        /// What the number was for.
        what: &'static str,
        /// The number.
        got: f64,
    },
    /// Outside its range.
    OutOfRange {
        /// What the number was for.
        what: &'static str,
        /// The number.
        got: f64,
        /// Smallest accepted.
        min: f64,
        /// Largest accepted.
        max: f64,
    },
    /// The wrong count of numbers.
    WrongCount {
        /// What they were for.
        what: &'static str,
        /// How many there are.
        got: usize,
        /// How many there should be.
        want: usize,
    },
    /// Numbers that are each in range but contradict each other.
    Impossible {
        /// What is wrong, in a few words.
        what: &'static str,
    },
    /// Not a day of the calendar.
    NotADay {
        /// What was given.
        got: String,
    },
}

impl std::fmt::Display for Invalid {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            // "NaN" and "inf" mean nothing to most people, so the value is not printed.
            Self::NotFinite { what, .. } => write!(f, "{what} is not a number"),
            Self::OutOfRange { what, got, min, max } => {
                let [got, min, max] = [got, min, max].map(|v| print::as_given(*v));
                write!(f, "{what} {got} is outside {min} to {max}")
            }
            Self::WrongCount { what, got, want } => {
                write!(f, "{what}: there are {got} numbers, and it takes {want}")
            }
            Self::Impossible { what } => f.write_str(what),
            Self::NotADay { got } => write!(f, "'{got}' is not a day of 1900 to 2199, written as 2026-03-14"),
        }
    }
}

impl std::error::Error for Invalid {}

/// Returns the value, or refuses NaN and infinity; `what` names the number in the error.
///
/// # Errors
/// [`Invalid::NotFinite`].
pub fn finite(what: &'static str, value: f64) -> Result<f64, Invalid> {
    if value.is_finite() { Ok(value) } else { Err(Invalid::NotFinite { what, got: value }) }
}

/// Returns the value, or refuses NaN, infinity and anything outside `min..=max`.
///
/// # Errors
/// [`Invalid::NotFinite`] or [`Invalid::OutOfRange`].
pub fn within(what: &'static str, value: f64, min: f64, max: f64) -> Result<f64, Invalid> {
    finite(what, value)?;
    if (min..=max).contains(&value) {
        Ok(value)
    } else {
        Err(Invalid::OutOfRange { what, got: value, min, max })
    }
}
