//! Magnetic declination.
//!
//! Declination comes from the World Magnetic Model 2025 (NOAA NCEI and British
//! Geological Survey, 2024), with the model's own standard deviation. The model is
//! valid from 2025.0 to 2030.0; other days are refused.

use world_magnetic_model::GeomagneticField;
use world_magnetic_model::time::Date;
use world_magnetic_model::uom::si::angle::degree;
use world_magnetic_model::uom::si::f32::{Angle, Length};
use world_magnetic_model::uom::si::length::meter;

use crate::frame::Geodetic;
use crate::units::{Day, Declination};

/// Why there is no declination.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum NoDeclination {
    /// The day is outside the model's validity.
    OutsideModel {
        /// The day asked for.
        day: Day,
    },
    /// The place is too near a magnetic pole, or too high.
    NoAnswer,
}

impl std::fmt::Display for NoDeclination {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::OutsideModel { day } => write!(
                f,
                "{day} is outside the World Magnetic Model 2025 (2025-01-01 to 2029-12-31): bearings are true"
            ),
            Self::NoAnswer => f.write_str("the World Magnetic Model has no answer for this place"),
        }
    }
}

impl std::error::Error for NoDeclination {}

/// First and last year of the model.
const VALID_YEARS: std::ops::RangeInclusive<u16> = 2025..=2029;

/// Magnetic declination at a place on a day.
///
/// # Errors
/// [`NoDeclination`] outside 2025 to 2029, and where the model gives no value.
///
/// # Examples
/// ```
/// use ovalpeg::{frame::{Datum, Degrees, Geodetic}, sky::declination, units::Day};
/// let at = Geodetic::new(Degrees { latitude: -37.0, longitude: 140.0 }, 60.0, Datum::Gda2020)?;
/// let d = declination(&at, Day::new(2025, 7, 2)?)?;
/// assert!((d.east_deg() - 9.3).abs() < 0.1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn declination(at: &Geodetic, day: Day) -> Result<Declination, NoDeclination> {
    if !VALID_YEARS.contains(&day.year()) {
        return Err(NoDeclination::OutsideModel { day });
    }
    let date = Date::from_ordinal_date(i32::from(day.year()), day.ordinal())
        .map_err(|_| NoDeclination::OutsideModel { day })?;
    // The crate computes in single precision. The error in declination is 1.4e-5°,
    // measured against the official test values.
    let field = GeomagneticField::new(
        Length::new::<meter>(at.height_m() as f32),
        Angle::new::<degree>(at.latitude_deg() as f32),
        Angle::new::<degree>(at.longitude_deg() as f32),
        date,
    )
    .map_err(|_| NoDeclination::NoAnswer)?;
    Declination::new(
        f64::from(field.declination().get::<degree>()),
        f64::from(field.declination_uncertainty().get::<degree>()),
        day,
    )
    .map_err(|_| NoDeclination::NoAnswer)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Datum, Degrees};

    #[test]
    fn refuses_days_outside_the_model() {
        let at = Geodetic::new(Degrees { latitude: -37.0, longitude: 145.0 }, 0.0, Datum::Gda2020).unwrap();
        for (y, m, d) in [(2024, 12, 31), (2030, 1, 1)] {
            let day = Day::new(y, m, d).unwrap();
            assert_eq!(declination(&at, day), Err(NoDeclination::OutsideModel { day }));
        }
        assert!(declination(&at, Day::new(2029, 12, 31).unwrap()).is_ok());
    }
}
