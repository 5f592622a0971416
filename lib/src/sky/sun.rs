//! The sun's bearing and height.
//!
//! Uses the Solar Position Algorithm (I. Reda and A. Andreas, Solar Energy 76, 2004, 577-589;
//! NREL/TP-560-34302), from a crate that agrees with it within 1e-9°.

use solar_positioning::time::JulianDate;
use solar_positioning::{Location, RefractionCorrection, SolarPositions};

use super::Instant;
use crate::frame::Geodetic;
use crate::units::TrueBearing;

/// Where the sun stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunPosition {
    /// Its bearing from true north.
    pub bearing: TrueBearing,
    /// Apparent height above the horizon, degrees, with refraction; negative below the horizon.
    pub high_deg: f64,
}

/// The sun's position could not be computed, because the year is out of range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoSun;

impl std::fmt::Display for NoSun {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("the sun's place can't be reckoned for that day")
    }
}

impl std::error::Error for NoSun {}

/// Terrestrial time minus universal time, s, about 2026. It is fixed so that results never change;
/// even the whole of it moves the computed sun by only 1e-3°.
const DELTA_T_S: f64 = 69.2;
/// Air pressure and temperature for the refraction, hPa and °C: it is 0.5° at the horizon, 0.04° at 25°.
const PRESSURE_HPA: f64 = 1013.25;
const TEMPERATURE_C: f64 = 12.0;

/// The sun's position at a place and instant.
///
/// # Errors
/// [`NoSun`] for a year out of range.
///
/// # Examples
/// ```
/// use ovalpeg::{frame::{Datum, Degrees, Geodetic}, sky::{TimeOfDay, Zone, sun}, units::Day};
/// let at = Geodetic::new(Degrees { latitude: -36.5, longitude: 145.0 }, 100.0, Datum::Gda2020)?;
/// let three = Zone::find("Australia/Melbourne")?.instant(Day::new(2026, 6, 20)?, TimeOfDay::new(15, 0)?, 0)?;
/// let s = sun(&at, three)?;
/// assert!(s.bearing.degrees() > 300.0 && s.high_deg < 25.0, "winter afternoon: low in the north-west");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn sun(at: &Geodetic, when: Instant) -> Result<SunPosition, NoSun> {
    let air = RefractionCorrection::new(PRESSURE_HPA, TEMPERATURE_C).map_err(|_| NoSun)?;
    position(at, when, DELTA_T_S, air)
}

fn position(
    at: &Geodetic,
    when: Instant,
    delta_t_s: f64,
    air: RefractionCorrection,
) -> Result<SunPosition, NoSun> {
    let time = JulianDate::new(when.julian_date(), delta_t_s).map_err(|_| NoSun)?;
    let place = Location { latitude: at.latitude_deg(), longitude: at.longitude_deg() };
    let found =
        SolarPositions::new().at_from_julian(time, place, at.height_m(), Some(air)).map_err(|_| NoSun)?;
    Ok(SunPosition {
        bearing: TrueBearing::from_degrees(found.azimuth()).map_err(|_| NoSun)?,
        high_deg: found.elevation_angle(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Datum, Degrees};

    fn place(latitude: f64, longitude: f64, height: f64) -> Geodetic {
        Geodetic::new(Degrees { latitude, longitude }, height, Datum::Gda2020).unwrap()
    }

    fn unix(text: &str) -> Instant {
        Instant::from_unix_s(text.parse::<jiff::Timestamp>().unwrap().as_second())
    }

    #[test]
    fn the_published_example() {
        // Reda and Andreas, NREL/TP-560-34302, appendix A.5: zenith 50.11162°, azimuth 194.34024°.
        let air = RefractionCorrection::new(820.0, 11.0).unwrap();
        let at = place(39.742476, -105.1786, 1830.14);
        let s = position(&at, unix("2003-10-17T12:30:30-07:00"), 67.0, air).unwrap();
        assert!((s.bearing.degrees() - 194.34024).abs() < 1e-5);
        assert!((90.0 - s.high_deg - 50.11162).abs() < 1e-5);
    }

    #[test]
    fn southern_grounds() {
        // UTC, latitude, longitude, height, apparent zenith and azimuth, computed with independent
        // libraries at 1013.25 hPa, 12 °C, ΔT 69.2 s.
        for (when, lat, lon, h, zenith, azimuth) in [
            ("2026-06-20T04:30:00Z", -36.5, 145.0, 100.0, 67.124427, 328.041647),
            ("2026-01-15T04:30:00Z", -36.5, 145.0, 100.0, 30.383622, 292.047523),
            ("2026-09-26T04:30:00Z", -36.5, 145.0, 100.0, 47.601826, 309.703928),
            ("2026-12-22T01:40:00Z", -27.4858, 153.0381, 20.0, 4.281921, 19.390392),
            ("2026-11-18T03:20:00Z", -12.3992, 130.8869, 30.0, 8.121967, 212.517651),
        ] {
            let s = sun(&place(lat, lon, h), unix(when)).unwrap();
            assert!((s.bearing.degrees() - azimuth).abs() < 1e-5, "{when} {}", s.bearing.degrees());
            assert!((90.0 - s.high_deg - zenith).abs() < 1e-5, "{when} {}", 90.0 - s.high_deg);
        }
    }
}
