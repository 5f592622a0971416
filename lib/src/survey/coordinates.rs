//! From numbers to positions: what a file's coordinates are, with a hint where two seem to be swapped.

use crate::frame::{Datum, Degrees, Geodetic, GridPoint, Zone};
use crate::units::ranges::HEIGHT_M;
use crate::units::{Invalid, Problem};

/// The coordinate system of a file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Reference {
    Geodetic(Datum),
    Grid(Zone, Datum),
}

fn invalid(e: &Invalid) -> Problem {
    Problem::new(e.to_string())
}

/// A position, or a problem with a hint where latitude and longitude seem to be swapped.
pub(super) fn geodetic(lat: f64, lon: f64, height: f64, datum: Datum) -> Result<Geodetic, Problem> {
    HEIGHT_M.check(height)?;
    Geodetic::new(Degrees { latitude: lat, longitude: lon }, height, datum).map_err(|e| {
        let p = invalid(&e);
        if (96.0..=169.0).contains(&lat.abs()) && lon.abs() <= 90.0 {
            p.hint(format!("latitude {lat} is a longitude in Australia; are the two swapped?"))
        } else {
            p
        }
    })
}

/// A grid position, or a problem with a hint where easting and northing seem to be swapped.
pub(super) fn grid(zone: Zone, e: f64, n: f64, height: f64, datum: Datum) -> Result<GridPoint, Problem> {
    HEIGHT_M.check(height)?;
    GridPoint::new(zone, e, n, height, datum).map_err(|err| {
        let p = invalid(&err);
        if (1_000_000.0..=10_000_000.0).contains(&e) && (0.0..=1_000_000.0).contains(&n) {
            p.hint("are easting and northing swapped?")
        } else {
            p
        }
    })
}
