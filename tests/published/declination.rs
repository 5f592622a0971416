//! Declination against the official test values of the World Magnetic Model 2025
//! (NOAA NCEI and British Geological Survey, 2024, WMM2025_TEST_VALUES.txt).
//!
//! Published; sixteen rows of the hundred, north and south, up to 94 km high.

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

/// Half a year is 182.5 days of 365: noon of 2 July, day 183. In a leap year it is
/// 183 of 366, and 2 July, day 184, begins there.
const NOON: f64 = 0.5 / 365.0;

#[rustfmt::skip]
const ROWS: [Row; 16] = [
    // Row 5, 2025.0.
    Row { height_km: 51.0, latitude: -33.0, longitude: 109.0, day: (2025, 1, 1), past: 0.0,
          d_deg: -5.49, x: 21737.778822, y: -2090.274098, change: 0.069861 },
    // Row 7, 2025.0.
    Row { height_km: 3.0, latitude: -50.0, longitude: -103.0, day: (2025, 1, 1), past: 0.0,
          d_deg: 27.96, x: 19526.532799, y: 10362.99098, change: -0.032104 },
    // Row 8, 2025.0.
    Row { height_km: 94.0, latitude: -29.0, longitude: -110.0, day: (2025, 1, 1), past: 0.0,
          d_deg: 15.74, x: 23275.47108, y: 6559.046509, change: -0.011062 },
    // Row 11, 2025.5.
    Row { height_km: 6.0, latitude: -36.0, longitude: -137.0, day: (2025, 7, 2), past: NOON,
          d_deg: 20.28, x: 23781.930678, y: 8786.698927, change: 0.025348 },
    // Row 17, 2025.5.
    Row { height_km: 22.0, latitude: -37.0, longitude: 140.0, day: (2025, 7, 2), past: NOON,
          d_deg: 9.28, x: 21404.761773, y: 3498.89743, change: 0.028818 },
    // Row 20, 2025.5.
    Row { height_km: 50.0, latitude: -81.0, longitude: -67.0, day: (2025, 7, 2), past: NOON,
          d_deg: 28.13, x: 16132.682326, y: 8623.494405, change: -0.099291 },
    // Row 22, 2026.0.
    Row { height_km: 46.0, latitude: -24.0, longitude: -122.0, day: (2026, 1, 1), past: 0.0,
          d_deg: 14.01, x: 25846.118652, y: 6448.863284, change: 0.000271 },
    // Row 32, 2026.5.
    Row { height_km: 12.0, latitude: -82.0, longitude: -68.0, day: (2026, 7, 2), past: NOON,
          d_deg: 29.79, x: 16052.819558, y: 9190.416754, change: -0.104864 },
    // Row 33, 2026.5.
    Row { height_km: 44.0, latitude: -46.0, longitude: -42.0, day: (2026, 7, 2), past: NOON,
          d_deg: -11.36, x: 13863.176808, y: -2785.834358, change: 0.039043 },
    // Row 38, 2026.5.
    Row { height_km: 14.0, latitude: -33.0, longitude: -114.0, day: (2026, 7, 2), past: NOON,
          d_deg: 18.12, x: 23393.133584, y: 7653.110952, change: -0.000322 },
    // Row 40, 2026.5.
    Row { height_km: 86.0, latitude: -11.0, longitude: 167.0, day: (2026, 7, 2), past: NOON,
          d_deg: 10.24, x: 32578.377044, y: 5882.794932, change: 0.013426 },
    // Row 47, 2027.0.
    Row { height_km: 12.0, latitude: -63.0, longitude: 178.0, day: (2027, 1, 1), past: 0.0,
          d_deg: 57.87, x: 6233.774935, y: 9925.455386, change: 0.151793 },
    // Row 58, 2027.5.
    Row { height_km: 0.0, latitude: -13.0, longitude: -59.0, day: (2027, 7, 2), past: NOON,
          d_deg: -17.49, x: 21365.849306, y: -6732.56062, change: -0.17369 },
    // Row 71, 2028.5.
    Row { height_km: 28.0, latitude: 54.0, longitude: -120.0, day: (2028, 7, 2), past: 0.0,
          d_deg: 15.43, x: 14735.145798, y: 4066.959949, change: -0.147623 },
    // Row 89, 2029.0.
    Row { height_km: 41.0, latitude: 42.0, longitude: -19.0, day: (2029, 1, 1), past: 0.0,
          d_deg: -4.13, x: 24439.977735, y: -1762.893879, change: 0.180959 },
    // Row 100, 2029.5.
    Row { height_km: 77.0, latitude: -18.0, longitude: 138.0, day: (2029, 7, 2), past: NOON,
          d_deg: 4.45, x: 31751.49758, y: 2472.257962, change: -0.03658 },
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
    assert_eq!(ran, 16);
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
    let mut ran = 0;
    // The model ends with 2029, so that year has no whole year to look over.
    for row in ROWS.iter().filter(|r| r.day.0 < 2029) {
        let (year, ..) = row.day;
        // The year about the moment; the first one after it where the model begins there.
        let about = |y: u16, middle: bool| {
            if middle { Day::new(y, 1, 1).unwrap() } else { Day::new(y - 1, 7, 2).unwrap() }
        };
        let from_january = row.day.1 == 7 || year == 2025;
        let (from, to) = (about(year, from_january), about(year + 1, from_january));
        let change = at(row, to) - at(row, from);
        // Twice the 1.4e-5° of single precision, and where the year is not about the
        // moment, how the change itself changes in half a year: below 5e-5° a year.
        close(&format!("{}°, {}°", row.latitude, row.longitude), change, row.change, 1e-4);
        ran += 1;
    }
    assert_eq!(ran, 14);
}

#[test]
fn the_models_own_doubt_is_carried() {
    // At ground height, so only rows near it.
    for row in ROWS.iter().filter(|r| r.height_km <= 9.0) {
        let place = Degrees { latitude: row.latitude, longitude: row.longitude };
        let place = Geodetic::new(place, 0.0, Datum::Wgs84).unwrap();
        let found = declination(&place, day_of(row)).unwrap();
        // WMM2025 report (from memory): √(0.26² + (5417/H)²) degrees, H in nT. The
        // field changes by 0.3 % over the row's height.
        let expected = 0.26f64.hypot(5417.0 / row.x.hypot(row.y));
        close("standard deviation", found.sd_deg(), expected, 0.005);
    }
}
