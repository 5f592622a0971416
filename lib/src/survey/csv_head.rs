//! The header of a CSV text: its line, its delimiter, and what each column is.
//!
//! The header is the first line that names coordinates; lines above it are titles. Names are
//! recognised whatever their case and punctuation, and with a unit or a datum beside them: `Lat.`,
//! `Lon (deg)`, `Latitude (WGS84)`, `Easting (m)`, `E`.

use csv::StringRecord;

use super::csv_end::Holds;
use crate::frame::Datum;
use crate::units::{Problem, print};

/// Most columns of a file.
const MAX_COLUMNS: usize = 1_000;
/// How many columns that are not understood are named one by one.
const COLUMNS_NAMED: usize = 5;
/// Most lines above a header: a title, the surveyor, the date, the instrument, and a few more.
const MOST_TITLES: usize = 12;
/// Longest line that may be a header, bytes: a thousand names.
const LONGEST: usize = 100_000;

const LAT: &[&str] = &["lat", "latitude", "lat_deg"];
const LON: &[&str] = &["lon", "lng", "long", "longitude", "lon_deg"];
const EAST: &[&str] = &["easting", "east", "e", "easting_m"];
const NORTH: &[&str] = &["northing", "north", "n", "northing_m"];
const X: &[&str] = &["x", "x_m"];
const Y: &[&str] = &["y", "y_m"];
const HEIGHT: &[&str] = &["height", "height_m", "h", "alt", "altitude", "ele", "elevation", "z"];
const TIME: &[&str] = &["time", "timestamp", "datetime", "utc"];
const SIGMA: &[&str] = &["sigma", "sigma_m", "sd", "sd_m"];
const WKT: &[&str] =
    &["wkt", "wkt geom", "geom wkt", "geometry wkt", "geom", "the geom", "geometry", "shape wkt"];
/// Columns whose text may name a post, in files without a column for code or name.
const REMARKS: &[&str] = &[
    "description",
    "desc",
    "label",
    "feature",
    "feature name",
    "point name",
    "point",
    "point id",
    "pt",
    "id",
    "type",
    "what",
    "title",
    "remark",
    "remarks",
    "note",
    "notes",
    "comment",
    "comments",
];
/// Words beside a name that give a unit, a datum or a grid, and do not change what the column is.
const BESIDE: &[&str] = &[
    "m",
    "metre",
    "metres",
    "meter",
    "meters",
    "deg",
    "degree",
    "degrees",
    "dd",
    "dms",
    "decimal",
    "wgs",
    "wgs84",
    "84",
    "gda",
    "gda94",
    "gda2020",
    "94",
    "2020",
    "mga",
    "mga94",
    "mga2020",
    "grid",
    "gps",
    "coord",
    "coordinate",
];
/// Units that are not read.
const OTHER_UNITS: &[&str] = &[
    "ft", "foot", "feet", "usft", "yd", "yard", "yards", "mm", "cm", "km", "link", "links", "chain",
    "chains", "rad", "radian", "radians", "gon", "grad",
];

/// The kind of coordinates.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    #[default]
    LatLon,
    Grid,
    Plane,
    /// A geometry as well-known text, in the first column.
    Wkt,
}

/// The index of each column.
#[derive(Debug, Default)]
pub(super) struct Columns {
    pub(super) first: usize,
    pub(super) second: usize,
    pub(super) kind: Kind,
    pub(super) height: Option<usize>,
    pub(super) sigma: Option<usize>,
    pub(super) code: Option<usize>,
    pub(super) name: Option<usize>,
    /// A column that may name posts.
    pub(super) remark: Option<usize>,
    pub(super) zone: Option<usize>,
    pub(super) time: Option<usize>,
    /// The datum named in the headers of the coordinates.
    pub(super) datum: Option<Datum>,
}

impl Columns {
    /// The columns of numbers, coordinates first.
    pub(super) fn numbers(&self) -> impl Iterator<Item = usize> {
        [Some(self.first), Some(self.second), self.height, self.sigma, self.zone].into_iter().flatten()
    }

    /// What a column holds; a column that is not used counts as text.
    pub(super) fn holds(&self, column: usize) -> Holds {
        if self.numbers().any(|c| c == column) {
            Holds::Number
        } else if self.time == Some(column) {
            Holds::Time
        } else {
            Holds::Text
        }
    }
}

/// Where the header of a text is.
#[derive(Debug)]
pub(super) struct Head {
    /// Bytes before it.
    pub(super) start: usize,
    /// Its line, counted from 1.
    pub(super) line: usize,
    pub(super) delimiter: u8,
    /// Lines above it that are neither blank nor comments.
    pub(super) titles: Vec<String>,
}

/// Finds the header, or the first line where none names coordinates;
/// `None` for a text of blanks and comments.
pub(super) fn find(text: &str) -> Result<Option<Head>, Problem> {
    let mut start = 0;
    let mut first: Option<Head> = None;
    let mut titles: Vec<String> = Vec::new();
    for (i, line) in text.split_inclusive('\n').enumerate() {
        let (at, said) = (start, line.trim());
        start += line.len();
        if said.is_empty() || said.starts_with('#') {
            continue;
        }
        let delimiter = delimiter(line);
        let count = line.bytes().filter(|&b| b == delimiter).count() + 1;
        if first.is_none() && count > MAX_COLUMNS {
            return Err(Problem::new(format!(
                "the header has {count} columns, and at most {MAX_COLUMNS} are read"
            ))
            .hint("leave out those that are no coordinates, heights, times or names"));
        }
        let head = Head { start: at, line: i + 1, delimiter, titles: titles.clone() };
        if line.len() <= LONGEST && count <= MAX_COLUMNS && names_coordinates(&cells(line, delimiter)) {
            return Ok(Some(head));
        }
        first.get_or_insert(head);
        titles.push(print::cut(said, print::QUOTED_CHARS));
        if titles.len() > MOST_TITLES {
            break;
        }
    }
    Ok(first)
}

/// The delimiter of a header: the most frequent of comma, semicolon and tab. For a single column, such as a
/// geometry, it is the tab, which no geometry contains.
fn delimiter(header: &str) -> u8 {
    let count = |d: u8| header.bytes().filter(|&b| b == d).count();
    let most = [b',', b';', b'\t'].into_iter().max_by_key(|&d| (count(d), d == b',')).unwrap_or(b',');
    if count(most) == 0 && names_coordinates(&cells(header, b'\t')) { b'\t' } else { most }
}

fn cells(line: &str, delimiter: u8) -> Vec<String> {
    let bare = |c: &str| c.trim().trim_matches('"').trim().to_owned();
    line.trim_end_matches(['\n', '\r']).split(char::from(delimiter)).map(bare).collect()
}

/// Does a line name coordinates?
pub(super) fn is_header(line: &str) -> bool {
    line.len() <= LONGEST && names_coordinates(&cells(line, delimiter(line)))
}

fn names_coordinates(cells: &[String]) -> bool {
    !Names::of(cells.iter().map(String::as_str)).pairs().is_empty()
}

/// The names of columns, as written, and bare: without units, datums and brackets.
struct Names {
    plain: Vec<String>,
    bare: Vec<String>,
}

impl Names {
    fn of<'a>(headers: impl Iterator<Item = &'a str>) -> Self {
        let plain: Vec<String> =
            headers.map(|h| h.trim().trim_start_matches('\u{feff}').to_lowercase()).collect();
        let bare = plain.iter().map(|h| bare(h)).collect();
        Self { plain, bare }
    }

    /// The first column with one of these names as written, or else with one of them as its bare name.
    fn find(&self, list: &[&str]) -> Option<usize> {
        let bares: Vec<String> = list.iter().map(|n| bare(n)).collect();
        let has = |n: &String| list.contains(&n.as_str());
        self.plain.iter().position(has).or_else(|| self.bare.iter().position(|n| bares.contains(n)))
    }

    /// The first column with one of these names as written.
    fn written(&self, list: &[&str]) -> Option<usize> {
        self.plain.iter().position(|n| list.contains(&n.as_str()))
    }

    /// The columns of coordinates, for each kind that there is: by the names as written,
    /// or else by the bare names, or else a geometry.
    fn pairs(&self) -> Vec<(Kind, usize, usize)> {
        let kinds = [(Kind::LatLon, LAT, LON), (Kind::Grid, EAST, NORTH), (Kind::Plane, X, Y)];
        let all = |find: &dyn Fn(&[&str]) -> Option<usize>| -> Vec<_> {
            kinds.iter().filter_map(|(kind, a, b)| Some((*kind, find(a)?, find(b)?))).collect()
        };
        let written = all(&|list| self.written(list));
        if !written.is_empty() {
            return written;
        }
        let found = all(&|list| self.find(list));
        if !found.is_empty() {
            return found;
        }
        self.find(WKT).map(|c| (Kind::Wkt, c, c)).into_iter().collect()
    }
}

/// The bare name: its words without brackets and their content, and without units and datums.
fn bare(header: &str) -> String {
    words(&outside_brackets(header)).filter(|w| !BESIDE.contains(&w.as_str())).collect::<Vec<_>>().join(" ")
}

fn words(text: &str) -> impl Iterator<Item = String> {
    text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_lowercase)
}

fn outside_brackets(text: &str) -> String {
    let mut depth = 0usize;
    text.chars()
        .filter(|c| match c {
            '(' | '[' | '{' => {
                depth += 1;
                false
            }
            ')' | ']' | '}' => {
                depth = depth.saturating_sub(1);
                false
            }
            _ => depth == 0,
        })
        .collect()
}

/// The datum that a column's name mentions.
fn datum(header: &str) -> Option<Datum> {
    let said = words(header).collect::<String>();
    [
        (Datum::Gda2020, ["gda2020", "mga2020"]),
        (Datum::Gda94, ["gda94", "mga94"]),
        (Datum::Wgs84, ["wgs84", "wgs1984"]),
    ]
    .into_iter()
    .find_map(|(datum, names)| names.iter().any(|n| said.contains(n)).then_some(datum))
}

/// Finds what each column is.
pub(super) fn columns(
    headers: &StringRecord,
    line: usize,
    warnings: &mut Vec<Problem>,
) -> Result<Columns, Problem> {
    let names = Names::of(headers.iter());
    let place = || format!("line {line}");
    let mut columns = Columns {
        height: names.find(HEIGHT),
        sigma: names.find(SIGMA),
        code: names.find(&["code"]),
        name: names.find(&["name"]),
        zone: names.find(&["zone"]),
        time: names.find(TIME),
        ..Columns::default()
    };
    if columns.code.is_none() && columns.name.is_none() {
        columns.remark = names.find(REMARKS);
    }
    match names.pairs().as_slice() {
        [(kind, a, b)] => (columns.kind, columns.first, columns.second) = (*kind, *a, *b),
        [] => {
            return Err(Problem::new(format!(
                "the header {} names no coordinates",
                print::quoted(&headers.iter().collect::<Vec<_>>().join(","))
            ))
            .at(place())
            .hint("the first line must name the columns: lat,lon or easting,northing or x,y"));
        }
        _ => {
            return Err(Problem::new("the header names more than one kind of coordinates")
                .at(place())
                .hint("keep one of lat,lon; easting,northing; x,y"));
        }
    }
    if columns.kind == Kind::Wkt {
        // A geometry has its own heights, and the other numbers are not used.
        (columns.height, columns.sigma, columns.zone, columns.time) = (None, None, None, None);
    }
    let header = |c: usize| headers.get(c).unwrap_or("");
    for c in columns.numbers() {
        if let Some(unit) = words(header(c)).find(|w| OTHER_UNITS.contains(&w.as_str())) {
            return Err(Problem::new(format!(
                "the column {} is in {}",
                print::quoted(header(c)),
                print::quoted(&unit)
            ))
            .at(place())
            .hint("export it in metres, or latitude and longitude in degrees"));
        }
    }
    columns.datum = datum(header(columns.first)).or_else(|| datum(header(columns.second)));
    name_unused(headers, &columns, warnings);
    Ok(columns)
}

/// Warns about the columns that are not used.
fn name_unused(headers: &StringRecord, columns: &Columns, warnings: &mut Vec<Problem>) {
    let others = [columns.code, columns.name, columns.remark, columns.time];
    let used: Vec<usize> = columns.numbers().chain(others.into_iter().flatten()).collect();
    let unused: Vec<&str> =
        headers.iter().enumerate().filter(|(i, _)| !used.contains(i)).map(|(_, name)| name).collect();
    for name in unused.iter().take(COLUMNS_NAMED) {
        warnings.push(Problem::new(format!("column {} is not understood and not used", print::quoted(name))));
    }
    if unused.len() > COLUMNS_NAMED {
        warnings.push(Problem::new(format!(
            "and {} more are not understood and not used",
            print::count(unused.len() - COLUMNS_NAMED, "column")
        )));
    }
}

/// The warning about titles above the header.
pub(super) fn titles_note(head: &Head) -> Option<Problem> {
    let shown: Vec<String> = head.titles.iter().take(3).map(|t| print::quoted(t)).collect();
    (!shown.is_empty()).then(|| {
        Problem::new(format!(
            "{} above the header taken for a title and passed over: {}{}",
            print::count(head.titles.len(), "row"),
            shown.join(", "),
            if head.titles.len() > shown.len() { ", …" } else { "" }
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kind(header: &str) -> Option<(Kind, usize, usize)> {
        let head = find(header).unwrap()?;
        let cells: StringRecord = cells(&header[head.start..], head.delimiter).into();
        columns(&cells, 1, &mut Vec::new()).ok().map(|c| (c.kind, c.first, c.second))
    }

    #[test]
    fn names_are_known_whatever_stands_beside_them() {
        for (header, want) in [
            ("Lat.,Long.", (Kind::LatLon, 0, 1)),
            ("LATITUDE;LONGITUDE", (Kind::LatLon, 0, 1)),
            ("id\tLon (deg)\tLat (deg)", (Kind::LatLon, 2, 1)),
            ("Latitude (WGS84),Longitude (WGS84)", (Kind::LatLon, 0, 1)),
            ("GPS Latitude,GPS Longitude", (Kind::LatLon, 0, 1)),
            ("Easting (m),Northing (m)", (Kind::Grid, 0, 1)),
            ("N,E,RL", (Kind::Grid, 1, 0)),
            ("MGA2020 Easting,MGA2020 Northing", (Kind::Grid, 0, 1)),
            ("X [m];Y [m]", (Kind::Plane, 0, 1)),
            ("\"X\",\"Y\"", (Kind::Plane, 0, 1)),
            ("WKT", (Kind::Wkt, 0, 0)),
            ("name;the_geom", (Kind::Wkt, 1, 1)),
            // A geometry beside coordinates is not needed.
            ("wkt,lat,lon", (Kind::LatLon, 1, 2)),
            // A name as written wins over a bare name.
            ("Lat (DMS),lat,Lon (DMS),lon", (Kind::LatLon, 1, 3)),
        ] {
            assert_eq!(kind(header), Some(want), "{header}");
        }
        for none in ["a,b", "lat,y", "latitude north,long way", "geometry type"] {
            assert_eq!(kind(none), None, "{none}");
        }
    }

    #[test]
    fn a_datum_in_a_name_is_read_and_a_unit_that_is_none_of_ours_refused() {
        let of = |a: &str, b: &str| columns(&StringRecord::from(vec![a, b]), 3, &mut Vec::new());
        assert_eq!(of("Latitude (GDA94)", "Longitude").unwrap().datum, Some(Datum::Gda94));
        assert_eq!(of("lat (WGS 84)", "lon").unwrap().datum, Some(Datum::Wgs84));
        assert_eq!(of("Easting MGA 2020", "Northing MGA 2020").unwrap().datum, Some(Datum::Gda2020));
        assert_eq!(of("lat", "lon").unwrap().datum, None);
        let e = of("Easting (ft)", "Northing (ft)").unwrap_err().to_string();
        assert!(e.starts_with("line 3: the column 'Easting (ft)' is in 'ft'"), "{e}");
    }

    #[test]
    fn titles_stand_above_the_header() {
        let head =
            find("# made by hand\nBase line survey, Emu Flat\n\nby J. Example;2026\nlat;lon\n1;2\n").unwrap();
        let head = head.unwrap();
        assert_eq!((head.line, head.delimiter, head.titles.len()), (5, b';', 2));
        let note = titles_note(&head).unwrap().to_string();
        assert!(note.starts_with("2 rows above the header") && note.contains("Emu Flat"), "{note}");
        // Without a header, the first line is the one that messages name.
        assert_eq!(find("Emu Flat\n1,2\n3,4\n").unwrap().unwrap().line, 1);
        assert!(find("\n# nothing\n").unwrap().is_none());
    }
}
