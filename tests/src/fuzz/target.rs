//! The fuzz targets, each with its seeds, the words of its format, and its promise.

use super::{files, kmz, reader, venue};
use crate::Failure;
use crate::random::Random;

/// What is fuzzed.
enum Kind {
    /// A survey's reader.
    Reader,
    /// A survey in a zip archive.
    Kmz,
    /// `venue.toml`, beside good files.
    Venue(venue::League),
    /// A fit file of a good venue.
    Fit(venue::League),
    /// A league's own rule set for a good venue.
    Rules(venue::League),
    /// A test's own promise.
    #[cfg(test)]
    Planted(fn(&[u8]) -> bool),
}

/// A reader of the library, with what its inputs are made from.
pub struct Target {
    name: &'static str,
    kind: Kind,
    words: &'static [&'static str],
    samples: &'static [&'static str],
}

const CSV: &[&str] = &[
    "lat",
    "lon",
    "latitude",
    "easting",
    "northing",
    "zone",
    "x",
    "y",
    "height",
    "sigma",
    "code",
    "name",
    "time",
    "BL",
    "GP",
    "BP",
    "goal post",
    "behind post",
    "boundary",
    ";",
    "\t",
    "\"",
    "\"\"",
    "#",
    "\r\n",
    "\n \n",
    "\n\n",
    ",,,,",
    "2026-03-14T09:26:53Z",
    "2026-03-14 09:26",
    "1773480413000",
    "36°30'44.4\"S",
    "145 0 36.9 E",
    "S36 30.74",
    "-36:30:44.4",
    "-36,5123",
    "1,234",
    "Lat.",
    "Lon (deg)",
    "Easting (MGA94)",
    "wkt",
    "POINT (145.01 -36.51)",
    "LINESTRING (",
    "POLYGON ((",
    "SRID=28355;",
    "EMPTY",
    ")",
    "Emu Flat Oval",
];
const KML: &[&str] = &[
    "<kml>",
    "</kml>",
    "<Document>",
    "<Folder>",
    "<name>",
    "</name>",
    "<Placemark>",
    "</Placemark>",
    "<Point>",
    "<coordinates>",
    "</coordinates>",
    "<LineString>",
    "<Polygon>",
    "<outerBoundaryIs>",
    "<innerBoundaryIs>",
    "<LinearRing>",
    "<MultiGeometry>",
    "<gx:Track>",
    "<when>",
    "<gx:coord>",
    "<NetworkLink/>",
    "<Model/>",
    "<![CDATA[",
    "]]>",
    "<!--",
    "-->",
    "<?x?>",
    "&amp;",
    "&#0;",
    "&#x1b;",
    "&lol;",
    "xmlns='q'",
    "<!DOCTYPE a [",
    "145,-36,0",
];
const GPX: &[&str] = &[
    "<gpx>",
    "</gpx>",
    "<trk>",
    "<trkseg>",
    "</trkseg>",
    "<trkpt lat='-36' lon='145'>",
    "</trkpt>",
    "<wpt lat=\"-36\" lon=\"145\"/>",
    "<rte>",
    "<rtept lat='-36' lon='145'/>",
    "<ele>",
    "</ele>",
    "<time>",
    "2026-03-14T09:26:53Z",
    "<name>goal post</name>",
    "<type>",
    "<desc>",
    "<extensions>",
    "<![CDATA[",
    "]]>",
    "<!--",
    "-->",
    "&amp;",
    "&#x202e;",
    "lat=''",
    "lon='NaN'",
    "xmlns:a='b'",
];
const GEOJSON: &[&str] = &[
    "{",
    "}",
    "[",
    "]",
    ",",
    ":",
    "null",
    "true",
    "\"type\"",
    "\"Feature\"",
    "\"FeatureCollection\"",
    "\"features\"",
    "\"geometry\"",
    "\"coordinates\"",
    "\"properties\"",
    "\"name\"",
    "\"Point\"",
    "\"MultiPoint\"",
    "\"LineString\"",
    "\"MultiLineString\"",
    "\"Polygon\"",
    "\"MultiPolygon\"",
    "\"GeometryCollection\"",
    "\"geometries\"",
    "\"crs\"",
    "\"EPSG:7855\"",
    "\"EPSG:28355\"",
    "\"coordTimes\"",
    "\\u0000",
    "\\ud800",
    "1e999",
    "[145,-36]",
    "[[",
    "]]",
];
const NOTEBOOK: &[&str] = &[
    "tape A: 50 m, class III",
    "laser",
    "base",
    "with A",
    "at 20.00 left 31.40",
    "right",
    " to ",
    ": ",
    " is ",
    " is at ",
    " is near ",
    "boundary",
    "goal post",
    "behind post",
    "mark",
    "left of",
    "bears 347",
    "wing to wing: 130.0",
    "goal to goal: 160.0",
    "sd 0.02",
    "31 C",
    "rise 0.7",
    "true 50.012",
    "steel",
    "expands 0.0000115",
    "scale 0.0002",
    "class I",
    "#",
    "peg 7",
    "NE goal post",
    ", ",
    " - ",
    " – ",
    " → ",
    " = ",
    " L ",
    " R ",
    "62,40",
    "1,234",
    "20.00 L 31.40",
    "(checked)",
    "is at 10,5; 20,0",
    "wing-wing",
];
const TOML: &[&str] = &[
    "[survey]",
    "[fit]",
    "[rules]",
    "[practice]",
    "[fence]",
    "[[fence.tight]]",
    "[[landmark]]",
    "[[hazard]]",
    "[painted]",
    "[match]",
    "[centre_square]",
    "[[other_mark]]",
    "[record]",
    "[[reported]]",
    "[[configuration]]",
    "[end_of_file]",
    "inset_m = ",
    "kind = \"rope\"",
    "valid_until = ",
    "along_m = -1.5",
    "[ends]",
    "[sides]",
    "[datum_point]",
    "[rules.numbers]",
    "name = ",
    "latitude = ",
    "longitude = ",
    "x_m = ",
    "y_m = ",
    "radius_m = ",
    "width_m = ",
    "distance_m = ",
    "along_m = ",
    "bearing_true_deg = ",
    "height_m = ",
    "at_night = true",
    "back_m = ",
    "notes = [\"a\"]",
    "help = []",
    "\"\"",
    "\"\"\"",
    "'",
    "{}",
    "[]",
    "1979-05-27",
    "0x10",
    "true",
    "nan",
    "inf",
    "\"\\u001b[2J\"",
    "set = \"juniors-u12\"",
    "set = \"nine-a-side\"",
    "square_side_m = ",
    "\n",
];
const FIT: &[&str] = &[
    "\"model\": \"ellipse\"",
    "\"model\": \"four-arc\"",
    "\"model\": \"cut-ellipse\"",
    "\"model\": \"freeform\"",
    "\"shape\"",
    "\"parameters\"",
    "\"spread\"",
    "\"axes\"",
    "\"half_width_over_sd\"",
    "\"semi_major_m\"",
    "\"semi_minor_m\"",
    "\"half_length_m\"",
    "\"axis_deg\"",
    "\"goals_x_m\"",
    "\"conflicts\": [\"\\u001b[2J\"]",
    "\"also_possible\": [\"freeform\"]",
    "\"unsurveyed\"",
    "\"departures\"",
    "null",
    "{}",
    "[]",
    "1e999",
    "-0.0",
    "1e308",
    "90.0",
    "0.0",
];

const RULES: &[&str] = &[
    "[[change]]",
    "why = \"it is so\"",
    "source = \"minutes\"",
    "based_on = \"nine-a-side\"",
    "based_on = \"juniors-u12\"",
    "\"none\"",
    "restart = \"bounce\"",
    "throw_ins = false",
    "last_disposal_between_arcs = true",
    "arc_radius_m = ",
    "square_side_m = ",
    "zone_depth_m = ",
    "set_kick_m = ",
    "back_m = ",
    "year = ",
    "\n",
    "0.001",
    "9999",
];

impl Target {
    /// Every target.
    ///
    /// # Errors
    /// Where the demo league can't be read.
    pub fn all() -> Result<Vec<Self>, Failure> {
        let reader = |name, words, samples| Self { name, kind: Kind::Reader, words, samples };
        Ok(vec![
            reader("csv", CSV, &["pandas.csv", "pandas-mga2020.csv"]),
            reader("kml", KML, &["simplekml-track.kml", "gdal.kml"]),
            Self { name: "kmz", kind: Kind::Kmz, words: KML, samples: &["simplekml.kmz"] },
            reader("gpx", GPX, &["gpxpy.gpx", "gdal.gpx"]),
            reader("geojson", GEOJSON, &["geojson.geojson", "gdal-mga2020.geojson", "shapely-mga94.geojson"]),
            reader("notebook", NOTEBOOK, &[]),
            reader("sniff", CSV, &["pandas.csv", "gdal.kml", "simplekml.kmz", "gdal.gpx", "gdal.geojson"]),
            Self { name: "venue", kind: Kind::Venue(venue::League::open()?), words: TOML, samples: &[] },
            Self { name: "fit", kind: Kind::Fit(venue::League::open()?), words: FIT, samples: &[] },
            Self { name: "rules", kind: Kind::Rules(venue::League::open()?), words: RULES, samples: &[] },
        ])
    }

    /// The target with this name.
    ///
    /// # Errors
    /// Where there is none.
    pub fn find(name: &str) -> Result<Self, Failure> {
        let all = Self::all()?;
        let known: Vec<&str> = all.iter().map(|t| t.name).collect();
        let known = known.join(", ");
        all.into_iter().find(|t| t.name == name).ok_or_else(|| format!("'{name}' is none of {known}").into())
    }

    /// A target with a test's own promise.
    #[cfg(test)]
    pub(super) fn planted(holds: fn(&[u8]) -> bool) -> Self {
        Self { name: "sniff", kind: Kind::Planted(holds), words: &["~"], samples: &[] }
    }

    /// Its name, which is also the name of the folder of its seeds.
    #[must_use]
    pub fn name(&self) -> &'static str {
        self.name
    }

    /// Does an input take tens of milliseconds, because cards are made from it?
    #[must_use]
    pub fn is_slow(&self) -> bool {
        matches!(self.kind, Kind::Venue(_) | Kind::Fit(_) | Kind::Rules(_))
    }

    pub(super) fn words(&self) -> &[&str] {
        self.words
    }

    /// The files from which inputs are made.
    ///
    /// # Errors
    /// Where a file can't be read.
    pub fn seeds(&self) -> Result<Vec<Vec<u8>>, Failure> {
        let mut all = files::seeds(self.name)?;
        for name in self.samples {
            all.push(files::sample(name)?);
        }
        match &self.kind {
            Kind::Venue(league) => all.extend(league.documents()),
            Kind::Fit(league) => all.extend(league.fits()),
            Kind::Rules(_) => all.extend(venue::League::rules()),
            _ => {}
        }
        Ok(all)
    }

    /// The last step in making an input: the damaged content of an archive is packed again.
    pub(super) fn finish(&self, input: Vec<u8>, random: &mut Random) -> Result<Vec<u8>, Failure> {
        if !matches!(self.kind, Kind::Kmz) || input.starts_with(b"PK") && random.next_u64().is_multiple_of(2)
        {
            return Ok(input);
        }
        let kml = kmz::unpacked(&input).unwrap_or(input);
        kmz::packed(&kml, random.next_u64().is_multiple_of(2))
    }

    /// Does the target accept an input?
    pub(super) fn takes(&self, input: &[u8]) -> bool {
        match &self.kind {
            Kind::Reader | Kind::Kmz => reader::takes(input),
            Kind::Venue(league) => league.document(input).is_some_and(|opened| opened.is_ok()),
            Kind::Fit(league) => league.fit(input).is_ok_and(|opened| opened.is_ok()),
            Kind::Rules(league) => league.under_rules(input).is_ok_and(|opened| opened.is_ok()),
            #[cfg(test)]
            Kind::Planted(_) => true,
        }
    }

    /// Checks what must hold for every input.
    ///
    /// # Errors
    /// What is wrong.
    pub(super) fn holds(&self, input: &[u8]) -> Result<(), String> {
        match &self.kind {
            Kind::Reader | Kind::Kmz => reader::holds(input),
            Kind::Venue(league) => league.document_holds(input),
            Kind::Fit(league) => league.fit_holds(input),
            Kind::Rules(league) => league.rules_hold(input),
            #[cfg(test)]
            Kind::Planted(holds) => holds(input).then_some(()).ok_or_else(|| "planted".to_owned()),
        }
    }
}
