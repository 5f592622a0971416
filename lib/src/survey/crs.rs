//! Coordinate systems by the names in GeoJSON's old `crs` member, and by their EPSG codes.

use super::coordinates::Reference;
use crate::frame::{Datum, Zone};

/// The EPSG code at the end of `EPSG:28355`, `urn:ogc:def:crs:EPSG::28355`,
/// `http://www.opengis.net/def/crs/EPSG/0/28355` or `…/gml/srs/epsg.xml#28355`.
fn epsg(name: &str) -> Option<u32> {
    let lower = name.to_ascii_lowercase();
    let digits = lower.rsplit([':', '/', '#']).next()?;
    lower.contains("epsg").then(|| digits.trim().parse().ok())?
}

/// The coordinate system of this name; `None` for one that is not read.
pub(super) fn by_name(name: &str) -> Option<Reference> {
    let last = name.trim().rsplit([':', '/']).next()?.to_ascii_uppercase();
    if ["CRS84", "CRS84H"].contains(&last.as_str()) {
        return Some(Reference::Geodetic(Datum::Wgs84));
    }
    by_code(epsg(name)?)
}

/// The coordinate system of an EPSG code; `None` for one that is not read.
pub(super) fn by_code(code: u32) -> Option<Reference> {
    let grid = |base: u32, datum| {
        let zone = u8::try_from(code - base).ok().and_then(|z| Zone::new(z).ok())?;
        Some(Reference::Grid(zone, datum))
    };
    match code {
        4326 | 4979 => Some(Reference::Geodetic(Datum::Wgs84)),
        4283 | 4939 => Some(Reference::Geodetic(Datum::Gda94)),
        7843 | 7844 => Some(Reference::Geodetic(Datum::Gda2020)),
        28_348..=28_358 => grid(28_300, Datum::Gda94),
        7846..=7859 => grid(7800, Datum::Gda2020),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_to_write_a_system() {
        let mga = Some(Reference::Grid(Zone::new(55).unwrap(), Datum::Gda94));
        for name in [
            "EPSG:28355",
            "epsg:28355",
            "urn:ogc:def:crs:EPSG::28355",
            "urn:ogc:def:crs:EPSG:6.9:28355",
            "http://www.opengis.net/def/crs/EPSG/0/28355",
            "http://www.opengis.net/gml/srs/epsg.xml#28355",
        ] {
            assert_eq!(by_name(name), mga, "{name}");
        }
        for (name, datum) in [
            ("urn:ogc:def:crs:OGC:1.3:CRS84", Datum::Wgs84),
            ("OGC:CRS84", Datum::Wgs84),
            ("EPSG:4326", Datum::Wgs84),
            ("EPSG:4283", Datum::Gda94),
            ("EPSG:7844", Datum::Gda2020),
        ] {
            assert_eq!(by_name(name), Some(Reference::Geodetic(datum)), "{name}");
        }
        assert_eq!(by_code(7856), Some(Reference::Grid(Zone::new(56).unwrap(), Datum::Gda2020)));
        for name in ["EPSG:3857", "EPSG:28347", "EPSG:7860", "28355", "", "EPSG:", "local"] {
            assert_eq!(by_name(name), None, "{name}");
        }
    }
}
