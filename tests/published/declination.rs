//! Declination against the official test values of the World Magnetic Model 2025
//! (NOAA NCEI and British Geological Survey, 2024, WMM2025_TEST_VALUES.txt).
//!
//! Published. Of the sixteen rows at hand three lie at or below the 9,000 m that a
//! place on the ground may have; the rest are up to 94 km high and can't be asked for.

use ovalpeg::frame::{Datum, Degrees, Geodetic};
use ovalpeg::sky::declination;
use ovalpeg::units::Day;

use crate::support::close;

struct Row {
    height_km: f64,
    latitude: f64,
    longitude: f64,
    /// The day on which, or in the middle of which, the row's year fraction falls.
    day: (u16, u8, u8),
    /// How far the row's moment is past the beginning of that day, years.
    past: f64,
    /// Declination, printed to 0.01°.
    d_deg: f64,
    /// North and east parts, nT.
    x: f64,
    y: f64,
    /// Change of declination, degrees a year.
    change: f64,
}

/// Half a year is 182.5 days of 365: noon of 2 July, day 183.
const NOON: f64 = 0.5 / 365.0;

#[rustfmt::skip]
const ROWS: [Row; 3] = [
    // Row 7, 2025.0.
    Row { height_km: 3.0, latitude: -50.0, longitude: -103.0, day: (2025, 1, 1), past: 0.0,
          d_deg: 27.96, x: 19526.532799, y: 10362.99098, change: -0.032104 },
    // Row 11, 2025.5.
    Row { height_km: 6.0, latitude: -36.0, longitude: -137.0, day: (2025, 7, 2), past: NOON,
          d_deg: 20.28, x: 23781.930678, y: 8786.698927, change: 0.025348 },
    // Row 58, 2027.5.
    Row { height_km: 0.0, latitude: -13.0, longitude: -59.0, day: (2027, 7, 2), past: NOON,
          d_deg: -17.49, x: 21365.849306, y: -6732.56062, change: -0.17369 },
];

fn at(row: &Row, day: Day) -> f64 {
    let place = Degrees { latitude: row.latitude, longitude: row.longitude };
    let place = Geodetic::new(place, row.height_km * 1000.0, Datum::Wgs84).unwrap();
    declination(&place, day).unwrap().east_deg()
}

fn day_of(row: &Row) -> Day {
    let (year, month, day) = row.day;
    Day::new(year, month, day).unwrap()
}

#[test]
fn the_printed_declination() {
    let mut ran = 0;
    for row in &ROWS {
        // Half of the last digit printed, and 1e-5° for a tie.
        close(&format!("{}°, {}°", row.latitude, row.longitude), at(row, day_of(row)), row.d_deg, 0.00501);
        ran += 1;
    }
    assert_eq!(ran, 3);
}

/// The rows print the field's north and east parts to 1e-6 nT (north is good to
/// 7e-4 nT), so declination follows from them to 2e-6°, far closer than its own column.
#[test]
fn the_declination_of_the_printed_field() {
    for row in &ROWS {
        let there = row.y.atan2(row.x).to_degrees() - row.past * row.change;
        // The model is computed in single precision: 1.4e-5°, and half of that for the day's fraction.
        close(&format!("{}°, {}°", row.latitude, row.longitude), at(row, day_of(row)), there, 2e-5);
    }
}

#[test]
fn the_printed_change_of_declination() {
    for row in &ROWS {
        let (year, ..) = row.day;
        // The whole year that the moment lies in: round it, or after it where the model begins there.
        let (from, to) = (Day::new(year, 1, 1).unwrap(), Day::new(year + 1, 1, 1).unwrap());
        let change = at(row, to) - at(row, from);
        // Twice the 1.4e-5° of single precision, and how the change itself changes in the
        // half year between the row's moment and that year's middle: below 5e-5° a year.
        close(&format!("{}°, {}°", row.latitude, row.longitude), change, row.change, 1e-4);
    }
}

#[test]
fn the_models_own_doubt_is_carried() {
    for row in &ROWS {
        let place = Degrees { latitude: row.latitude, longitude: row.longitude };
        let place = Geodetic::new(place, 0.0, Datum::Wgs84).unwrap();
        let found = declination(&place, day_of(row)).unwrap();
        // WMM2025 report (from memory): √(0.26² + (5417/H)²) degrees, H in nT. The
        // field changes by 0.3 % over the row's height.
        let expected = 0.26f64.hypot(5417.0 / row.x.hypot(row.y));
        close("standard deviation", found.sd_deg(), expected, 0.005);
    }
}
