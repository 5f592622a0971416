//! The Map Grid of Australia: a transverse Mercator projection in zones of 6°.
//!
//! Krüger's series to sixth order in the third flattening, as arranged by
//! C. F. F. Karney, Transverse Mercator with an accuracy of a few nanometers,
//! Journal of Geodesy 85 (2011) 475–485, eqs 7–36.

use super::geodetic::{GRS80_A_M, GRS80_F};
use super::{Datum, Degrees, Geodetic};
use crate::units::ranges::{HEIGHT_M, MGA_ZONE};
use crate::units::{Bearing, GridBearing, Invalid, TrueBearing, within};

/// An MGA zone, 46 to 59.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Zone(pub(super) u8);

impl Zone {
    /// A zone by its number.
    ///
    /// # Errors
    /// [`Invalid::OutOfRange`] outside 46 to 59.
    pub fn new(number: u8) -> Result<Self, Invalid> {
        MGA_ZONE.within(f64::from(number))?;
        Ok(Self(number))
    }

    /// The zone that a place's longitude lies in.
    ///
    /// # Errors
    /// [`Invalid::OutOfRange`] where MGA has no zone.
    pub fn of(place: &Geodetic) -> Result<Self, Invalid> {
        let number = (place.longitude_deg() / 6.0).floor() + 31.0;
        MGA_ZONE.within(number)?;
        // 46 to 59 by the line above, so the cast is exact.
        Ok(Self(number as u8))
    }

    /// The zone's number.
    #[must_use]
    pub fn number(self) -> u8 {
        self.0
    }

    /// Longitude of the central meridian, degrees.
    #[must_use]
    pub fn central_meridian_deg(self) -> f64 {
        f64::from(self.0) * 6.0 - 183.0
    }
}

/// A place on the grid, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridPoint {
    zone: Zone,
    easting_m: f64,
    northing_m: f64,
    height_m: f64,
    datum: Datum,
}

/// A place on the grid, with the convergence and the scale factor there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnGrid {
    /// The place.
    pub point: GridPoint,
    /// Grid convergence, degrees, with the Australian sign: grid bearing = true
    /// bearing + convergence; negative west of the central meridian.
    pub convergence_deg: f64,
    /// Grid distance divided by ellipsoidal distance at the point.
    pub scale_factor: f64,
}

impl OnGrid {
    /// The grid bearing of a true bearing here.
    ///
    /// # Errors
    /// Never for a value made by this room.
    pub fn grid_bearing(&self, bearing: TrueBearing) -> Result<GridBearing, Invalid> {
        Bearing::from_degrees(bearing.degrees() + self.convergence_deg)
    }

    /// The true bearing of a grid bearing here.
    ///
    /// # Errors
    /// Never for a value made by this room.
    pub fn true_bearing(&self, bearing: GridBearing) -> Result<TrueBearing, Invalid> {
        Bearing::from_degrees(bearing.degrees() - self.convergence_deg)
    }
}

const FALSE_EASTING_M: f64 = 500_000.0;
const FALSE_NORTHING_M: f64 = 10_000_000.0;
const CENTRAL_SCALE: f64 = 0.9996;

impl GridPoint {
    /// A place from its zone, easting, northing, ellipsoidal height and datum.
    ///
    /// # Errors
    /// [`Invalid`] outside the plausible range of a zone (0 to 1,000,000 m east,
    /// 1,000,000 to 10,000,000 m north), so that swapped columns are caught.
    pub fn new(
        zone: Zone,
        easting_m: f64,
        northing_m: f64,
        height_m: f64,
        datum: Datum,
    ) -> Result<Self, Invalid> {
        Ok(Self {
            zone,
            easting_m: within("easting", easting_m, 0.0, 1_000_000.0)?,
            northing_m: within("northing", northing_m, 1_000_000.0, FALSE_NORTHING_M)?,
            height_m: HEIGHT_M.within(height_m)?,
            datum,
        })
    }

    /// The zone.
    #[must_use]
    pub fn zone(&self) -> Zone {
        self.zone
    }

    /// Easting, m.
    #[must_use]
    pub fn easting_m(&self) -> f64 {
        self.easting_m
    }

    /// Northing, m.
    #[must_use]
    pub fn northing_m(&self) -> f64 {
        self.northing_m
    }

    /// The same place as latitude and longitude on the same datum.
    ///
    /// # Errors
    /// [`Invalid`] where the series gives no valid place (far outside the zone).
    pub fn geodetic(&self) -> Result<Geodetic, Invalid> {
        let (lat, dlon) = Projection::new(GRS80_A_M, GRS80_F, CENTRAL_SCALE)
            .inverse(self.easting_m - FALSE_EASTING_M, self.northing_m - FALSE_NORTHING_M);
        Geodetic::new(
            Degrees { latitude: lat, longitude: self.zone.central_meridian_deg() + dlon },
            self.height_m,
            self.datum,
        )
    }
}

impl Geodetic {
    /// The place on the grid of `zone`, on the same datum.
    ///
    /// # Errors
    /// [`Invalid`] when it falls outside the zone's plausible range.
    pub fn on_grid(&self, zone: Zone) -> Result<OnGrid, Invalid> {
        let p = Projection::new(GRS80_A_M, GRS80_F, CENTRAL_SCALE)
            .forward(self.latitude_deg(), self.longitude_deg() - zone.central_meridian_deg());
        Ok(OnGrid {
            point: GridPoint::new(
                zone,
                p.x + FALSE_EASTING_M,
                p.y + FALSE_NORTHING_M,
                self.height_m(),
                self.datum(),
            )?,
            convergence_deg: -p.meridian_deg,
            scale_factor: p.scale,
        })
    }
}

/// Result of the projection: metres from the intersection of the central meridian
/// and the equator, bearing of grid north from true north, point scale factor.
struct Projected {
    x: f64,
    y: f64,
    meridian_deg: f64,
    scale: f64,
}

/// Transverse Mercator on an ellipsoid, without false origin.
struct Projection {
    e: f64,
    /// Rectifying radius times the central scale.
    radius: f64,
    axis: f64,
    alpha: [f64; 6],
    beta: [f64; 6],
}

/// Newton steps allowed for the latitude; they converge quadratically from a good
/// start, and 3 are enough below 89°.
const LATITUDE_STEPS: usize = 12;

impl Projection {
    fn new(a: f64, f: f64, central_scale: f64) -> Self {
        let n = f / (2.0 - f);
        let p: [f64; 6] = std::array::from_fn(|i| n.powi(i32::try_from(i).unwrap_or(0) + 1));
        // Each row: coefficients of n, n², … n⁶ (Karney 2011, eqs 35 and 36).
        let sum = |c: &[f64; 6]| c.iter().zip(&p).map(|(c, p)| c * p).sum::<f64>();
        let alpha = [
            [1.0 / 2.0, -2.0 / 3.0, 5.0 / 16.0, 41.0 / 180.0, -127.0 / 288.0, 7891.0 / 37800.0],
            [0.0, 13.0 / 48.0, -3.0 / 5.0, 557.0 / 1440.0, 281.0 / 630.0, -1_983_433.0 / 1_935_360.0],
            [0.0, 0.0, 61.0 / 240.0, -103.0 / 140.0, 15061.0 / 26880.0, 167_603.0 / 181_440.0],
            [0.0, 0.0, 0.0, 49561.0 / 161_280.0, -179.0 / 168.0, 6_601_661.0 / 7_257_600.0],
            [0.0, 0.0, 0.0, 0.0, 34729.0 / 80640.0, -3_418_889.0 / 1_995_840.0],
            [0.0, 0.0, 0.0, 0.0, 0.0, 212_378_941.0 / 319_334_400.0],
        ];
        let beta = [
            [1.0 / 2.0, -2.0 / 3.0, 37.0 / 96.0, -1.0 / 360.0, -81.0 / 512.0, 96199.0 / 604_800.0],
            [0.0, 1.0 / 48.0, 1.0 / 15.0, -437.0 / 1440.0, 46.0 / 105.0, -1_118_711.0 / 3_870_720.0],
            [0.0, 0.0, 17.0 / 480.0, -37.0 / 840.0, -209.0 / 4480.0, 5569.0 / 90720.0],
            [0.0, 0.0, 0.0, 4397.0 / 161_280.0, -11.0 / 504.0, -830_251.0 / 7_257_600.0],
            [0.0, 0.0, 0.0, 0.0, 4583.0 / 161_280.0, -108_847.0 / 3_991_680.0],
            [0.0, 0.0, 0.0, 0.0, 0.0, 20_648_693.0 / 638_668_800.0],
        ];
        let rectifying = a / (1.0 + n) * (1.0 + n * n / 4.0 + n.powi(4) / 64.0 + n.powi(6) / 256.0);
        Self {
            e: (f * (2.0 - f)).sqrt(),
            radius: rectifying * central_scale,
            axis: a,
            alpha: alpha.map(|row| sum(&row)),
            beta: beta.map(|row| sum(&row)),
        }
    }

    /// tan of the conformal latitude (eqs 7 to 9).
    fn conformal(&self, tau: f64) -> f64 {
        let sigma = (self.e * (self.e * tau / tau.hypot(1.0)).atanh()).sinh();
        tau * sigma.hypot(1.0) - sigma * tau.hypot(1.0)
    }

    fn forward(&self, lat_deg: f64, dlon_deg: f64) -> Projected {
        let (sin_l, cos_l) = dlon_deg.to_radians().sin_cos();
        let tau = lat_deg.to_radians().tan();
        let tau1 = self.conformal(tau);
        let xi1 = tau1.atan2(cos_l);
        let eta1 = (sin_l / tau1.hypot(cos_l)).asinh();
        let (mut xi, mut eta, mut p, mut q) = (xi1, eta1, 1.0, 0.0);
        for (j, alpha) in (1u8..).zip(&self.alpha) {
            let k = 2.0 * f64::from(j);
            let ((s, c), (sh, ch)) = ((k * xi1).sin_cos(), ((k * eta1).sinh(), (k * eta1).cosh()));
            xi += alpha * s * ch;
            eta += alpha * c * sh;
            p += k * alpha * c * ch;
            q += k * alpha * s * sh;
        }
        // Eqs 23 to 26.
        let meridian = (tau1 * sin_l / (cos_l * tau1.hypot(1.0))).atan() + q.atan2(p);
        let sin_lat = tau / tau.hypot(1.0);
        let local = (1.0 - self.e * self.e * sin_lat * sin_lat).sqrt() * tau.hypot(1.0) / tau1.hypot(cos_l);
        let scale = self.radius / self.axis * local * p.hypot(q);
        Projected { x: self.radius * eta, y: self.radius * xi, meridian_deg: meridian.to_degrees(), scale }
    }

    fn inverse(&self, x: f64, y: f64) -> (f64, f64) {
        let (xi, eta) = (y / self.radius, x / self.radius);
        let (mut xi1, mut eta1) = (xi, eta);
        for (j, beta) in (1u8..).zip(&self.beta) {
            let k = 2.0 * f64::from(j);
            xi1 -= beta * (k * xi).sin() * (k * eta).cosh();
            eta1 -= beta * (k * xi).cos() * (k * eta).sinh();
        }
        let tau1 = xi1.sin() / eta1.sinh().hypot(xi1.cos());
        let dlon = eta1.sinh().atan2(xi1.cos());
        // Eqs 19 to 21.
        let mut tau = tau1;
        for _ in 0..LATITUDE_STEPS {
            let at = self.conformal(tau);
            let slope = (1.0 - self.e * self.e) * tau.hypot(1.0) * at.hypot(1.0)
                / (1.0 + (1.0 - self.e * self.e) * tau * tau);
            let step = (tau1 - at) / slope;
            tau += step;
            if step.abs() <= 1e-15 * (1.0 + tau.abs()) {
                break;
            }
        }
        (tau.atan().to_degrees(), dlon.to_degrees())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forty_five_degrees_off_the_meridian() {
        // Karney, test data for the transverse Mercator projection, Zenodo 32470,
        // line 1 (published value recalled from memory; recomputed). WGS 84.
        let p = Projection::new(6_378_137.0, 1.0 / 298.257_223_563, 0.9996)
            .forward(70.579_277_094_557, 45.599_419_731_762);
        assert!((p.x - 1_548_706.791_619_149_3).abs() < 1e-8 * 10.0);
        assert!((p.y - 8_451_449.198_772_235).abs() < 1e-8 * 10.0);
        assert!((p.meridian_deg - 43.922_790_121_040_066).abs() < 1e-11);
        assert!((p.scale - 1.029_060_228_378_071_9).abs() < 1e-12);
    }

    #[test]
    fn there_and_back_over_australia() {
        for lat in [-43.5, -37.1, -25.0, -10.6] {
            for lon in [113.2, 129.0, 144.9, 153.6] {
                let g =
                    Geodetic::new(Degrees { latitude: lat, longitude: lon }, 0.0, Datum::Gda2020).unwrap();
                let on = g.on_grid(Zone::of(&g).unwrap()).unwrap();
                let back = on.point.geodetic().unwrap();
                assert!((back.latitude_deg() - lat).abs() < 1e-12);
                assert!((back.longitude_deg() - lon).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn convergence_is_negative_west_of_the_meridian_in_the_south() {
        let west = Geodetic::new(Degrees { latitude: -37.0, longitude: 145.0 }, 0.0, Datum::Gda2020).unwrap();
        let on = west.on_grid(Zone::new(55).unwrap()).unwrap();
        assert!(on.convergence_deg < 0.0);
        let t = TrueBearing::from_degrees(100.0).unwrap();
        let g = on.grid_bearing(t).unwrap();
        assert!((g.degrees() - (100.0 + on.convergence_deg)).abs() < 1e-12);
        assert!((on.true_bearing(g).unwrap().degrees() - 100.0).abs() < 1e-12);
    }

    #[test]
    fn swapped_columns_leave_the_range() {
        let z = Zone::new(55).unwrap();
        assert!(GridPoint::new(z, 5_812_242.0, 322_511.0, 0.0, Datum::Gda2020).is_err());
        assert!(Zone::new(60).is_err());
    }
}
