//! The local plane: tangent at the venue's datum point, **at ground height**, so
//! that its metres are the metres of a tape.
//!
//! At a height of 1,000 m, 185 m on the ground are 29 mm longer than on the ellipsoid.

use super::{Geodetic, Local, Zone};
use crate::geometry::Point;
use crate::units::Invalid;

/// The plane in which a ground is modelled: x east, y true north, metres.
///
/// Without a datum point it is the survey's own plane, where y counts as north
/// whatever its true direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LocalPlane {
    anchor: Option<Geodetic>,
}

/// Iterations of the inverse: each multiplies the error by distance over the Earth's
/// radius, 1e-5 for a ground, so fewer would do.
const INVERSE_ROUNDS: usize = 4;

impl LocalPlane {
    /// The plane tangent at this point, at its height.
    ///
    /// # Errors
    /// [`Invalid`] when the datum shift leaves the range of heights.
    pub fn at(datum_point: Geodetic) -> Result<Self, Invalid> {
        Ok(Self { anchor: Some(datum_point.to_gda2020()?) })
    }

    /// A survey's own plane, without a position on the Earth.
    #[must_use]
    pub const fn own() -> Self {
        Self { anchor: None }
    }

    /// The datum point on GDA2020, if the plane has one.
    #[must_use]
    pub fn datum_point(&self) -> Option<Geodetic> {
        self.anchor
    }

    /// Grid convergence (Australian sign) and MGA zone at the datum point.
    #[must_use]
    pub fn convergence(&self) -> Option<(Zone, f64)> {
        let anchor = self.anchor?;
        let zone = Zone::of(&anchor).ok()?;
        Some((zone, anchor.on_grid(zone).ok()?.convergence_deg))
    }

    /// The point of the plane for a place, which is moved to ground height; `None`
    /// without a datum point or when the datum shift fails.
    ///
    /// East and north components of the topocentric coordinates (EPSG Guidance
    /// Note 7-2, method 9837).
    #[must_use]
    pub fn to_local(&self, place: &Geodetic) -> Option<Point<Local>> {
        let anchor = self.anchor?;
        let here = place.to_gda2020().ok()?.at_height(anchor.height_m()).ok()?;
        Some(project(&anchor, &here))
    }

    /// The place of a point of the plane, at ground height,
    /// on GDA2020; `None` without a datum point.
    #[must_use]
    pub fn to_geodetic(&self, p: Point<Local>) -> Option<Geodetic> {
        let anchor = self.anchor?;
        let (sl, cl) = anchor.latitude_deg().to_radians().sin_cos();
        let e2 = super::geodetic::GRS80_F * (2.0 - super::geodetic::GRS80_F);
        let w = (1.0 - e2 * sl * sl).sqrt();
        let across = (super::geodetic::GRS80_A_M / w + anchor.height_m()) * cl;
        let along = super::geodetic::GRS80_A_M * (1.0 - e2) / (w * w * w) + anchor.height_m();
        let mut guess = anchor;
        for _ in 0..INVERSE_ROUNDS {
            let miss = p - project(&anchor, &guess);
            guess = Geodetic::new(
                super::Degrees {
                    latitude: guess.latitude_deg() + (miss.y / along).to_degrees(),
                    longitude: guess.longitude_deg() + (miss.x / across).to_degrees(),
                },
                anchor.height_m(),
                anchor.datum(),
            )
            .ok()?;
        }
        Some(guess)
    }
}

/// The east and north components of `here` from `anchor`.
fn project(anchor: &Geodetic, here: &Geodetic) -> Point<Local> {
    let (o, p) = (anchor.xyz(), here.xyz());
    let (dx, dy, dz) = (p.x_m - o.x_m, p.y_m - o.y_m, p.z_m - o.z_m);
    let (sl, cl) = anchor.latitude_deg().to_radians().sin_cos();
    let (so, co) = anchor.longitude_deg().to_radians().sin_cos();
    Point::new(-so * dx + co * dy, -sl * co * dx - sl * so * dy + cl * dz)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Datum, Degrees};

    fn place(lat: f64, lon: f64, h: f64) -> Geodetic {
        Geodetic::new(Degrees { latitude: lat, longitude: lon }, h, Datum::Gda2020).unwrap()
    }

    #[test]
    fn ground_scale_metres() {
        // Computed reference (independent libraries): east 71.674463631750, north
        // 55.484720660914 at 100 m. 1e-8 m is ten times the rounding of 6.4e6 m.
        let plane = LocalPlane::at(place(-36.5, 145.0, 100.0)).unwrap();
        let p = plane.to_local(&place(-36.4995, 145.0008, 100.0)).unwrap();
        assert!((p.x - 71.674_463_631_750_2).abs() < 1e-8);
        assert!((p.y - 55.484_720_660_914_2).abs() < 1e-8);
    }

    #[test]
    fn a_ground_at_1000_m_is_29_mm_longer_in_185() {
        let (low, high) = (
            LocalPlane::at(place(-36.5, 145.0, 0.0)).unwrap(),
            LocalPlane::at(place(-36.5, 145.0, 1000.0)).unwrap(),
        );
        let far = low.to_geodetic(Point::new(185.0, 0.0)).unwrap();
        let stretched = high.to_local(&far).unwrap().x - 185.0;
        assert!((stretched - 0.029).abs() < 0.0005, "{stretched}");
    }

    #[test]
    fn there_and_back() {
        let plane = LocalPlane::at(place(-12.4, 130.9, 40.0)).unwrap();
        for (x, y) in [(0.0, 0.0), (92.0, -70.0), (-500.0, 800.0)] {
            let back = plane.to_local(&plane.to_geodetic(Point::new(x, y)).unwrap()).unwrap();
            assert!((back.x - x).abs() < 1e-8 && (back.y - y).abs() < 1e-8);
        }
    }

    #[test]
    fn a_plane_of_its_own_has_no_latitude() {
        assert!(LocalPlane::own().to_geodetic(Point::ORIGIN).is_none());
    }
}
