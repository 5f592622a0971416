//! Floor 3: surveys as read: points with their standard deviations, and what each
//! point is (line, goal post, behind post). A reader never fits.
//!
//! # How features are told apart
//! 1. A pattern that the person gives wins: see [`Patterns`].
//! 2. A feature whose name or code says post is a post: `goal post`, `GP`, `GP2`,
//!    `behind post`, `BP_NE`, …
//! 3. In KML, GPX and GeoJSON, a single polygon, line, track or route is the
//!    boundary. Of several, the boundary is those whose name or folder says so
//!    (`boundary`, `oval`, `line`, `edge`, `perimeter`); without such a name the
//!    person is asked. Where there are none, loose points are the boundary: all of
//!    them, or where names differ, the largest group whose names differ only in digits.
//! 4. In CSV, rows without a code, or whose code says boundary, are the line.
//!
//! Everything else is reported; nothing is dropped silently.

mod angles;
mod cleaning;
mod cleaning_step;
mod content;
mod coordinates;
mod crs;
mod csv_cells;
mod csv_end;
mod csv_head;
mod csv_lines;
mod csv_numbers;
mod csv_reader;
mod csv_wkt;
mod features;
mod geojson_reader;
mod gpx_reader;
mod kml_reader;
#[cfg(feature = "archive")]
mod kmz_reader;
#[cfg(not(feature = "archive"))]
mod kmz_unread;
mod local;
mod notebook;
mod roles;
mod text;
mod times;
mod wkt;
mod xml;
mod xml_nodes;
mod xml_scan;

pub(crate) use cleaning::clean_again;
pub use cleaning::{CleanOptions, Cleaned, Cut, Finding, Step, Trim, clean};
pub use cleaning_step::Cleaning;
pub use local::{GroundSpan, LocalSurvey, Observed, Shared, SharedTape, Untold, plane_of};
pub use notebook::{Bears, Hand, Mark, Measure, Notebook, Quantity, Tape};
pub use roles::{Patterns, Role};

use self::content::Content;
#[cfg(not(feature = "archive"))]
use self::kmz_unread as kmz_reader;
use crate::frame::{Datum, Geodetic, GridPoint, Local, Zone};
use crate::geometry::Point;
use crate::units::{Problem, Remedy, Setting, Warned, print};

/// Largest file that is read, in bytes: some two hundred thousand points.
pub const MAX_BYTES: usize = 20_000_000;
/// Most points that are read from one file.
pub const MAX_POINTS: usize = 200_000;
/// After this many problems a reader of rows or lines stops.
const ENOUGH_PROBLEMS: usize = 1_000;
/// Most problems that one refusal lists.
const MAX_PROBLEMS: usize = 20;

/// A position as given in the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Position {
    /// Latitude and longitude.
    Geodetic(Geodetic),
    /// Map grid.
    Grid(GridPoint),
    /// The survey's own plane, x east and y north, metres.
    Plane(Point<Local>),
}

/// One point as read.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// Its position.
    pub position: Position,
    /// One standard deviation in each coordinate, m, if the file gave it.
    pub sd_m: Option<f64>,
    /// The rounding step of its latitude and longitude, degrees, where they were printed in minutes or
    /// seconds: 1/3600 for whole seconds. `None` for decimal degrees, whose values show their own step.
    pub step_deg: Option<f64>,
    /// What it is.
    pub role: Role,
    /// Its name, code or path; may be empty.
    pub name: String,
    /// Where in the file: `line 12`, `Folder 'x' / Placemark 3 'line', point 7`.
    pub place: String,
    /// Its time, in seconds from 1970-01-01 UTC, if the file gave it.
    pub time_s: Option<f64>,
    /// The walked or drawn path that it belongs to (a track's segment, a route, a line
    /// or a ring), numbered in the file's order. Loose points have none.
    pub path: Option<usize>,
    /// Is the path a track, which a receiver recorded while walking?
    pub walked: bool,
}

impl Observation {
    /// A loose point with only a position and a role.
    #[must_use]
    pub fn new(position: Position, role: Role) -> Self {
        Self {
            position,
            sd_m: None,
            step_deg: None,
            role,
            name: String::new(),
            place: String::new(),
            time_s: None,
            path: None,
            walked: false,
        }
    }
}

/// A file's format.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Comma-separated values with a header.
    Csv,
    /// Keyhole Markup Language.
    Kml,
    /// Keyhole Markup Language in a zip archive.
    Kmz,
    /// GPS Exchange Format.
    Gpx,
    /// GeoJSON (RFC 7946).
    GeoJson,
    /// A tape notebook, in this project's own plain text.
    Notebook,
}

impl Format {
    /// Its name as printed, which is also the extension of a file's name.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Csv => "csv",
            Self::Kml => "kml",
            Self::Kmz => "kmz",
            Self::Gpx => "gpx",
            Self::GeoJson => "geojson",
            Self::Notebook => "txt",
        }
    }
}

/// What a person says about a file, because the file does not say it.
#[derive(Debug, Clone, PartialEq, Default)]
#[non_exhaustive]
pub struct ReadOptions {
    /// Datum of the coordinates; if neither this nor the file says,
    /// WGS 84 for latitude and longitude and GDA2020 for a grid.
    pub datum: Option<Datum>,
    /// MGA zone of eastings and northings.
    pub zone: Option<Zone>,
    /// Height of the ground above the ellipsoid, m, which replaces the file's heights.
    pub height_m: Option<f64>,
    /// Patterns that say which features are what.
    pub patterns: Patterns,
}

/// A survey as read.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// The format that it was read from.
    pub format: Format,
    /// Every point, in the file's order.
    pub observations: Vec<Observation>,
    /// Height of the ground above the ellipsoid, m, from the options or the file.
    pub height_m: Option<f64>,
    /// A tape notebook, whose measures have no coordinates.
    pub book: Option<Notebook>,
    /// Does the file itself name the datum of its coordinates?
    pub names_datum: bool,
}

/// Why a survey can't be read: every problem with its place.
pub type SurveyError = crate::units::Refused;

/// Collects problems up to a limit, and then only counts them.
#[derive(Default)]
struct Problems {
    listed: Vec<Problem>,
    more: usize,
}

impl Problems {
    fn push(&mut self, p: Problem) {
        // A message that recurs is listed three times, and then only counted.
        let same = self.listed.iter().filter(|q| q.message() == p.message()).count();
        if same < 3 && self.listed.len() < MAX_PROBLEMS { self.listed.push(p) } else { self.more += 1 }
    }

    fn is_empty(&self) -> bool {
        self.listed.is_empty()
    }

    /// Are there so many that reading can stop?
    fn enough(&self) -> bool {
        self.listed.len() + self.more >= ENOUGH_PROBLEMS
    }

    fn into_error(self) -> SurveyError {
        SurveyError::new(self.into_list())
    }

    fn into_list(mut self) -> Vec<Problem> {
        if self.more > 0 {
            self.listed.push(Problem::new(format!("and {} more like these", self.more)));
        }
        self.listed
    }
}

/// Reads a survey of any known format, which is recognised by the content.
///
/// # Errors
/// [`SurveyError`] with every problem found.
///
/// # Examples
/// ```
/// use ovalpeg::survey::{ReadOptions, read};
/// let csv = b"x,y,code\n80,0,\n0,65,\n-80,0,\n0,-65,\n56.6,46,\n82,3.2,goal post\n";
/// let survey = read(csv, &ReadOptions::default())?.value;
/// assert_eq!(survey.observations.len(), 6);
/// # Ok::<(), ovalpeg::survey::SurveyError>(())
/// ```
pub fn read(bytes: &[u8], options: &ReadOptions) -> Result<Warned<Survey>, SurveyError> {
    if bytes.len() > MAX_BYTES {
        return Err(Problem::new(format!(
            "the file has {} bytes, more than the {MAX_BYTES} that are read",
            bytes.len()
        ))
        .hint("export the boundary alone")
        .into());
    }
    let mut read = match content::content(bytes) {
        Content::Empty => return Err(Problem::new("the file is empty").into()),
        Content::Zip => kmz_reader::read(bytes, options)?,
        Content::Xml => xml::read(&text::decode_xml(bytes)?, options)?,
        Content::Json => geojson_reader::read(&text::decode(bytes)?, options)?,
        Content::Text => {
            let text = text::decode(bytes)?;
            if notebook::is_notebook(&text) {
                notebook::read(&text, options)?
            } else {
                csv_reader::read(&text, options)?
            }
        }
        Content::Other(what) => return Err(content::refusal(what).into()),
    };
    if read.value.observations.is_empty() && read.value.book.is_none() {
        return Err(Problem::new("the file holds no points").into());
    }
    datum_notes(&read.value, options, &mut read.warnings);
    Ok(read)
}

/// Is this a tape notebook? A notebook needs no datum, because its points have no position on
/// the Earth, and its measures have their own standard deviations.
#[must_use]
pub fn is_notebook(bytes: &[u8]) -> bool {
    text::decode(bytes).is_ok_and(|t| notebook::is_notebook(&t))
}

/// The warning that nothing says how high the ground is, for one file or several together.
#[must_use]
pub fn no_heights() -> Problem {
    Problem::new("no heights: the ground is taken at 0 m, and each 100 m higher makes 185 m longer by 3 mm")
        .settle(Remedy::otherwise(Setting::Height))
}

/// Warnings about what is assumed for datum and height where the person did not say.
fn datum_notes(survey: &Survey, options: &ReadOptions, warnings: &mut Vec<Problem>) {
    if let Some(Position::Geodetic(g)) = survey.observations.first().map(|o| o.position)
        && !((-56.0..=-8.0).contains(&g.latitude_deg()) && (72.0..=170.0).contains(&g.longitude_deg()))
    {
        warnings.push(
            Problem::new(format!(
                "latitude {}, longitude {} is not in Australia",
                print::fixed(g.latitude_deg(), 4),
                print::fixed(g.longitude_deg(), 4)
            ))
            .hint("was a minus sign lost?"),
        );
    }
    let earth = survey.observations.iter().any(|o| !matches!(o.position, Position::Plane(_)));
    if earth && survey.height_m.is_none() && !options.patterns.in_several {
        warnings.push(no_heights());
    }
    let shift = "it moves the ground as a whole and never its size";
    match (survey.observations.first().map(|o| o.position), options.datum) {
        (Some(Position::Geodetic(g)), _) if g.datum() == Datum::Wgs84 => warnings.push(
            Problem::new(format!(
                "WGS 84 fixes are taken as GDA2020, about half a metre off by now: {shift}"
            ))
            .settle(Remedy::otherwise(Setting::Datum)),
        ),
        // A GeoJSON file with grid coordinates always names its datum.
        (Some(Position::Grid(_)), None) if survey.format != Format::GeoJson && !survey.names_datum => {
            warnings.push(
                Problem::new(format!(
                    "the grid is taken as MGA2020; if it is MGA94, it is 1.5 to 1.8 m off: {shift}"
                ))
                .settle(Remedy::say(Setting::Datum).one_of(["gda2020", "gda94"])),
            )
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn recognises_by_content_and_says_what_it_cannot_read() {
        for (bytes, want) in [
            (&b"PK\x03\x04"[..], "zip"),
            (b"  {\"type\":1}", "JSON"),
            (b"%PDF-1.7", "PDF"),
            (b"<shed/>", "<shed>"),
            (b"  \n", "empty"),
            (b"x,y\n", "no points"),
        ] {
            let e = read(bytes, &ReadOptions::default()).unwrap_err();
            assert!(e.to_string().contains(want), "{e}");
        }
    }

    #[test]
    fn says_what_it_takes_the_datum_for() {
        let r = read(b"lat,lon\n-36.5,145\n", &ReadOptions::default()).unwrap();
        assert!(r.warnings.iter().any(|w| w.message().contains("taken as GDA2020")));
        let said =
            ReadOptions { datum: Some(Datum::Gda2020), height_m: Some(100.0), ..ReadOptions::default() };
        assert!(read(b"lat,lon\n-36.5,145\n", &said).unwrap().warnings.is_empty());
    }

    #[test]
    fn every_format_reads_with_a_mark_and_in_utf_16() {
        for (text, format) in [
            ("lat,lon\n-36,145\n", Format::Csv),
            (
                "<kml><Placemark><Point><coordinates>145,-36</coordinates></Point></Placemark></kml>",
                Format::Kml,
            ),
            ("<?xml version='1.0' encoding='UTF-16'?><gpx><wpt lat='-36' lon='145'/></gpx>", Format::Gpx),
            ("{\"type\":\"Point\",\"coordinates\":[145,-36]}", Format::GeoJson),
        ] {
            let wide = |to: fn(u16) -> [u8; 2]| {
                std::iter::once(0xfeff).chain(text.encode_utf16()).flat_map(to).collect::<Vec<u8>>()
            };
            let with_mark = format!("\u{feff}{text}").into_bytes();
            for bytes in [with_mark, wide(u16::to_le_bytes), wide(u16::to_be_bytes)] {
                let survey = read(&bytes, &ReadOptions::default()).unwrap().value;
                assert_eq!((survey.format, survey.observations.len()), (format, 1));
            }
        }
    }

    mod never_panics {
        use super::*;
        use proptest::prelude::*;

        /// Pieces of surveys, so that nonsense also reaches the deeper code.
        fn piece() -> impl Strategy<Value = String> {
            prop_oneof![
                Just("<kml>".into()),
                Just("<Placemark><name>".into()),
                Just("</name>".into()),
                Just("<Point><coordinates>".into()),
                Just("</coordinates></Point></Placemark></kml>".into()),
                Just("lat,lon,code\n".into()),
                Just("x;y;sigma\n".into()),
                Just("easting,northing,zone\n".into()),
                Just("lat,lon,time\n".into()),
                Just("<gpx>".into()),
                Just("<trk><name>oval</name><trkseg>".into()),
                Just("<trkpt lat='-36' lon='145'>".into()),
                Just("<time>2026-03-14T09:26:53Z</time><ele>1".into()),
                Just("</ele></trkpt></trkseg></trk></gpx>".into()),
                Just("<Placemark><Track><when>2026-03-14T09:26Z</when><coord>145 -36 1".into()),
                Just("</coord></Track></Placemark></kml>".into()),
                Just("{\"type\":\"FeatureCollection\",\"features\":[".into()),
                Just("{\"type\":\"Feature\",\"properties\":{\"times\":[1]},\"geometry\":".into()),
                Just("{\"type\":\"MultiPoint\",\"coordinates\":[[".into()),
                Just("]]}".into()),
                Just("}".into()),
                Just("]}".into()),
                "-?[0-9]{1,3},-?[0-9]{1,2}",
                "-?[0-9]{1,4}(\\.[0-9]{0,9})?[,; \n]",
                "[\\PC\n]{0,12}",
            ]
        }

        proptest! {
            #[test]
            fn on_any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
                let _ = read(&bytes, &ReadOptions::default());
            }

            /// The signatures of a zip archive, mixed with random bytes.
            #[test]
            fn on_any_archive(
                pieces in proptest::collection::vec(
                    prop_oneof![
                        Just(b"PK\x03\x04\x14\0\0\0\x08\0".to_vec()),
                        Just(b"PK\x01\x02\x14\0\x14\0\0\0\x08\0".to_vec()),
                        Just(b"PK\x05\x06\0\0\0\0\x01\0\x01\0".to_vec()),
                        Just(b"PK\x06\x06".to_vec()),
                        Just(b"\x07\0\0\0doc.kml".to_vec()),
                        proptest::collection::vec(any::<u8>(), 0..30),
                        proptest::collection::vec(Just(0u8), 0..30),
                    ],
                    0..20,
                )
            ) {
                let bytes = [b"PK\x03\x04".to_vec(), pieces.concat()].concat();
                prop_assert!(read(&bytes, &ReadOptions::default()).is_err());
            }

            #[test]
            fn on_any_pieces(pieces in proptest::collection::vec(piece(), 0..30)) {
                if let Ok(r) = read(pieces.concat().as_bytes(), &ReadOptions::default()) {
                    // Every point that is read has a place; a plane is found or refused, without a panic.
                    prop_assert!(r.value.observations.iter().all(|o| !o.place.is_empty()));
                    if let Ok(plane) = r.value.plane() {
                        let _ = r.value.to_local(plane);
                    }
                }
            }
        }
    }
}
