//! Latitude, longitude and height on a datum, and the shift between datums.

use crate::units::ranges::{LATITUDE_DEG, LONGITUDE_DEG};
use crate::units::{Invalid, within};

/// GRS80 semi-major axis, m (Moritz, Geodetic Reference System 1980).
pub(crate) const GRS80_A_M: f64 = 6_378_137.0;
/// GRS80 flattening: 1/298.257222101 (same source). WGS 84's ellipsoid differs
/// from it by 0.1 mm in the semi-minor axis.
pub(crate) const GRS80_F: f64 = 1.0 / 298.257_222_101;

/// Heights that a place may have, m: the published test values of the magnetic field go up to 77 km. The
/// height that a person may give for a ground is narrower, and is checked at every input.
const AIR_M: [f64; 2] = [-1_000.0, 100_000.0];

/// The datum that latitude and longitude refer to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Datum {
    /// Geocentric Datum of Australia 2020: fixed to the plate at epoch 2020.0.
    Gda2020,
    /// Geocentric Datum of Australia 1994: fixed to the plate at epoch 1994.0.
    Gda94,
    /// World Geodetic System 1984, as a consumer receiver reports it.
    Wgs84,
}

impl Datum {
    /// Its name as printed.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Gda2020 => "GDA2020",
            Self::Gda94 => "GDA94",
            Self::Wgs84 => "WGS 84",
        }
    }

    /// Reads `GDA2020`, `gda94`, `WGS 84`, `wgs84`, …
    #[must_use]
    pub fn find(text: &str) -> Option<Self> {
        let plain: String =
            text.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_ascii_lowercase();
        Some(match plain.as_str() {
            "gda2020" => Self::Gda2020,
            "gda94" | "gda1994" => Self::Gda94,
            "wgs84" | "wgs1984" => Self::Wgs84,
            _ => return None,
        })
    }
}

/// Latitude and longitude as named fields, so that they can't be swapped by mistake.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Degrees {
    /// Degrees, positive north.
    pub latitude: f64,
    /// Degrees, positive east.
    pub longitude: f64,
}

/// Earth-centred coordinates, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Xyz {
    /// Toward latitude 0, longitude 0.
    pub x_m: f64,
    /// Toward latitude 0, longitude 90° E.
    pub y_m: f64,
    /// Toward the north pole.
    pub z_m: f64,
}

/// A place on the Earth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Geodetic {
    lat_deg: f64,
    lon_deg: f64,
    height_m: f64,
    datum: Datum,
}

/// GDA94 to GDA2020 (GDA2020 Technical Manual, ICSM; coordinate frame rotation):
/// translations m, rotations in seconds of arc, scale in parts per million.
const SHIFT_T_M: [f64; 3] = [0.06155, -0.01087, -0.04019];
const SHIFT_R_ARCSEC: [f64; 3] = [-0.039_492_4, -0.032_722_1, -0.032_897_9];
const SHIFT_S_PPM: f64 = -0.009_994;

impl Geodetic {
    /// A place from latitude and longitude, ellipsoidal height and datum.
    ///
    /// # Errors
    /// [`Invalid`] outside ±90° and ±180°, outside −1 to 100 km, and for NaN.
    ///
    /// # Examples
    /// ```
    /// use ovalpeg::frame::{Datum, Degrees, Geodetic};
    /// let here = Geodetic::new(Degrees { latitude: -36.5, longitude: 145.0 }, 100.0, Datum::Gda2020)?;
    /// assert_eq!(here.latitude_deg(), -36.5);
    /// // In Australia a swap always leaves the range of latitude.
    /// assert!(Geodetic::new(Degrees { latitude: 145.0, longitude: -36.5 }, 100.0, Datum::Gda2020).is_err());
    /// # Ok::<(), ovalpeg::units::Invalid>(())
    /// ```
    pub fn new(at: Degrees, height_m: f64, datum: Datum) -> Result<Self, Invalid> {
        Ok(Self {
            lat_deg: LATITUDE_DEG.within(at.latitude)?,
            lon_deg: LONGITUDE_DEG.within(at.longitude)?,
            height_m: within("height", height_m, AIR_M[0], AIR_M[1])?,
            datum,
        })
    }

    /// Latitude in degrees, positive north.
    #[must_use]
    pub fn latitude_deg(&self) -> f64 {
        self.lat_deg
    }

    /// Longitude in degrees, positive east.
    #[must_use]
    pub fn longitude_deg(&self) -> f64 {
        self.lon_deg
    }

    /// Height above the ellipsoid, m.
    #[must_use]
    pub fn height_m(&self) -> f64 {
        self.height_m
    }

    /// The datum of the coordinates.
    #[must_use]
    pub fn datum(&self) -> Datum {
        self.datum
    }

    /// The same place with another height.
    ///
    /// # Errors
    /// [`Invalid`] outside −1 to 100 km.
    pub fn at_height(self, height_m: f64) -> Result<Self, Invalid> {
        Ok(Self { height_m: within("height", height_m, AIR_M[0], AIR_M[1])?, ..self })
    }

    /// Earth-centred coordinates on the same datum (GRS80 ellipsoid).
    #[must_use]
    pub fn xyz(&self) -> Xyz {
        let e2 = GRS80_F * (2.0 - GRS80_F);
        let (sl, cl) = self.lat_deg.to_radians().sin_cos();
        let (so, co) = self.lon_deg.to_radians().sin_cos();
        let n = GRS80_A_M / (1.0 - e2 * sl * sl).sqrt();
        Xyz {
            x_m: (n + self.height_m) * cl * co,
            y_m: (n + self.height_m) * cl * so,
            z_m: (n * (1.0 - e2) + self.height_m) * sl,
        }
    }

    /// A place from earth-centred coordinates.
    ///
    /// Bowring's formula (Survey Review 28, 1985), iterated; the first iteration is
    /// already accurate to a nanometre near the ground.
    ///
    /// # Errors
    /// [`Invalid`] when its height above the ellipsoid is outside −1 to 100 km.
    pub fn from_xyz(at: Xyz, datum: Datum) -> Result<Self, Invalid> {
        const ROUNDS: usize = 4;
        let e2 = GRS80_F * (2.0 - GRS80_F);
        let b = GRS80_A_M * (1.0 - GRS80_F);
        let p = at.x_m.hypot(at.y_m);
        let mut reduced = (at.z_m / p * (GRS80_A_M / b)).atan();
        let mut lat = reduced;
        for _ in 0..ROUNDS {
            let (s, c) = reduced.sin_cos();
            lat = (at.z_m + e2 / (1.0 - e2) * b * s * s * s).atan2(p - e2 * GRS80_A_M * c * c * c);
            reduced = ((1.0 - GRS80_F) * lat.tan()).atan();
        }
        let (s, c) = lat.sin_cos();
        let height = p * c + at.z_m * s - GRS80_A_M * (1.0 - e2 * s * s).sqrt();
        Self::new(
            Degrees { latitude: lat.to_degrees(), longitude: at.y_m.atan2(at.x_m).to_degrees() },
            height,
            datum,
        )
    }

    /// The same place on GDA2020.
    ///
    /// GDA94 is shifted by the published seven-parameter transformation. A WGS 84
    /// fix is taken as GDA2020 unchanged. The plate moves about 7 cm a year, so a fix
    /// of today is about half a metre off. That shifts a ground
    /// as a whole and does not change its size.
    ///
    /// # Errors
    /// [`Invalid`] when the shifted place leaves the range of heights.
    pub fn to_gda2020(self) -> Result<Self, Invalid> {
        match self.datum {
            Datum::Gda2020 => Ok(self),
            Datum::Wgs84 => Ok(Self { datum: Datum::Gda2020, ..self }),
            Datum::Gda94 => {
                let Xyz { x_m: x, y_m: y, z_m: z } = self.xyz();
                let [rx, ry, rz] = SHIFT_R_ARCSEC.map(|r| (r / 3600.0).to_radians());
                let [tx, ty, tz] = SHIFT_T_M;
                let k = 1.0 + SHIFT_S_PPM * 1e-6;
                let shifted = Xyz {
                    x_m: tx + k * (x + rz * y - ry * z),
                    y_m: ty + k * (-rz * x + y + rx * z),
                    z_m: tz + k * (ry * x - rx * y + z),
                };
                Self::from_xyz(shifted, Datum::Gda2020)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn earth_centred_round_trip() {
        for lat in [-43.6, -37.8, -10.0, 0.0, 35.0] {
            for h in [-30.0, 0.0, 1_500.0] {
                let g =
                    Geodetic::new(Degrees { latitude: lat, longitude: 146.3 }, h, Datum::Gda2020).unwrap();
                let back = Geodetic::from_xyz(g.xyz(), Datum::Gda2020).unwrap();
                // 1e-13° is 10 nm; the rounding of 6.4e6 m is 1 nm.
                assert!((back.latitude_deg() - lat).abs() < 1e-13);
                assert!((back.height_m() - h).abs() < 5e-9);
            }
        }
    }

    #[test]
    fn the_shift_of_26_years_is_north_east_by_the_plates_motion() {
        let g = Geodetic::new(Degrees { latitude: -37.0, longitude: 145.0 }, 0.0, Datum::Gda94).unwrap();
        let moved = g.to_gda2020().unwrap();
        let north = (moved.latitude_deg() - g.latitude_deg()) * 111_000.0;
        let east = (moved.longitude_deg() - g.longitude_deg()) * 111_320.0 * 37f64.to_radians().cos();
        // 26 years at 6 to 7 cm a year.
        assert!((1.5..1.9).contains(&north.hypot(east)), "{north} {east}");
        assert!(north > 0.0 && east > 0.0);
    }

    #[test]
    fn nan_and_swaps_are_refused() {
        for (lat, lon) in [(f64::NAN, 145.0), (145.0, -37.0), (-37.0, f64::INFINITY), (-37.0, 181.0)] {
            assert!(Geodetic::new(Degrees { latitude: lat, longitude: lon }, 0.0, Datum::Wgs84).is_err());
        }
    }
}
