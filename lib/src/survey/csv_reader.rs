//! CSV with a header: `lat,lon[,height][,sigma][,code]`,
//! `easting,northing[,zone][,height][,sigma][,code]`, or plane
//! `x,y[,sigma][,code]` in metres. Comma, semicolon or tab; blank lines and
//! lines that start with `#` are passed over.
//!
//! A column `time`, `timestamp`, `datetime` or `utc` says when: RFC 3339,
//! `2026-03-14 09:26:53`, or seconds or milliseconds from 1970. A file with times is a
//! walk: the rows of its line are one path.

use std::borrow::Cow;
use std::collections::BTreeMap;

use super::csv_end::{End, Holds};
use super::csv_lines::{LineCounter, quote_stays_open, swallowed};
use super::features::short;
use super::roles::{Says, says, stem};
use super::times::Clock;
use super::{Format, MAX_POINTS, Observation, Position, Problems, ReadOptions, Role, Survey, SurveyError};
use crate::frame::{Datum, Degrees, Geodetic, GridPoint, Zone};
use crate::geometry::Point;
use crate::units::ranges::{HEIGHT_M, MGA_ZONE, PLANE_M, SIGMA_M};
use crate::units::{Invalid, Problem, Remedy, Setting, Warned, print};

/// Where each column is.
#[derive(Default)]
struct Columns {
    first: usize,
    second: usize,
    kind: Kind,
    height: Option<usize>,
    sigma: Option<usize>,
    code: Option<usize>,
    name: Option<usize>,
    zone: Option<usize>,
    time: Option<usize>,
}

impl Columns {
    /// What a column holds, of those that are used.
    fn holds(&self, column: usize) -> Holds {
        let number = [Some(self.first), Some(self.second), self.height, self.sigma, self.zone];
        if number.contains(&Some(column)) {
            Holds::Number
        } else if self.time == Some(column) {
            Holds::Time
        } else {
            Holds::Text
        }
    }
}

#[derive(Default, Clone, Copy, PartialEq)]
enum Kind {
    #[default]
    LatLon,
    Grid,
    Plane,
}

/// Most columns of a file.
const MAX_COLUMNS: usize = 1_000;
/// Columns that are not understood and are named one by one.
const COLUMNS_NAMED: usize = 5;

pub(super) fn read(text: &str, options: &ReadOptions) -> Result<Warned<Survey>, SurveyError> {
    // Old files end their lines with a carriage return alone, where a comment would not end.
    let text = &if text.contains('\r') {
        Cow::Owned(text.replace("\r\n", "\n").replace('\r', "\n"))
    } else {
        Cow::Borrowed(text)
    };
    let header = text
        .lines()
        .find(|l| !l.trim().is_empty() && !l.trim_start().starts_with('#'))
        .ok_or_else(|| SurveyError::from(Problem::new("the file is empty")))?;
    let delimiter = [b',', b';', b'\t']
        .into_iter()
        .max_by_key(|&d| (header.bytes().filter(|&b| b == d).count(), d == b','))
        .unwrap_or(b',');
    let count = header.bytes().filter(|&b| b == delimiter).count() + 1;
    if count > MAX_COLUMNS {
        let p = Problem::new(format!("the header has {count} columns, and at most {MAX_COLUMNS} are read"));
        return Err(p.hint("leave out those that are no coordinates, heights, times or names").into());
    }
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .flexible(true)
        .from_reader(text.as_bytes());
    let headers = reader.headers().map_err(|e| SurveyError::from(Problem::new(e.to_string())))?.clone();
    if headers.iter().any(|h| h.contains('\n')) {
        return Err(quote_open(0).at("line 1").into());
    }
    let mut warnings = Vec::new();
    let columns = columns(&headers, &mut warnings)?;
    if columns.kind == Kind::Grid && columns.zone.is_none() && options.zone.is_none() {
        return Err(super::local::which_zone());
    }
    let mut rows = Rows::new(text, delimiter, headers.len(), &columns);
    rows.read(&mut reader, options);
    let Rows { mut problems, mut observations, mut heights, clock, warnings: of_rows, .. } = rows;
    warnings.extend(of_rows);
    if columns.kind == Kind::Plane && degrees_in_disguise(&observations) {
        problems.push(
            Problem::new("x and y are longitudes and latitudes, not metres")
                .at("line 1")
                .hint("name the columns lon and lat"),
        );
    }
    if !problems.is_empty() {
        return Err(problems.into_error());
    }
    super::local::refuse_unmatched(&options.patterns, observations.iter().map(|o| o.name.as_str()))?;
    assign_roles(&mut observations, options, &mut warnings);
    if columns.time.is_some() {
        for o in observations.iter_mut().filter(|o| o.role == Role::Line) {
            o.path = Some(0);
        }
    }
    warnings.extend(clock.report());
    grid_notes(&columns, &observations, options, &mut warnings);
    let height_m = options.height_m.or_else(|| super::local::median(&mut heights));
    Ok(Warned { value: Survey { format: Format::Csv, observations, height_m, book: None }, warnings })
}

/// What is taken about a grid where file and person differ.
fn grid_notes(
    columns: &Columns,
    observations: &[Observation],
    options: &ReadOptions,
    warnings: &mut Vec<Problem>,
) {
    if let (Some(said), Some(_), Kind::Grid) = (options.zone, columns.zone, columns.kind) {
        let other = observations.iter().find(|o| matches!(o.position, Position::Grid(g) if g.zone() != said));
        if let Some(o) = other {
            warnings.push(
                Problem::new(format!("the file's own zone is used, not the {} that was said", said.number()))
                    .at(o.place.clone()),
            );
        }
    }
    if columns.kind == Kind::Grid && options.datum == Some(Datum::Wgs84) {
        warnings.push(
            Problem::new("MGA is a grid of GDA94 or GDA2020, and WGS 84 is taken for GDA2020")
                .settle(Remedy::say(Setting::Datum).one_of(["gda94", "gda2020"])),
        );
    }
}

/// A quote that takes rows for the text of one cell.
fn quote_open(lines: usize) -> Problem {
    let over = if lines > 0 { format!(", and its cell runs over {lines} lines") } else { String::new() };
    Problem::new(format!("a quote (\") is opened and not closed{over}"))
        .hint("take it out, or close it in its own row")
}

/// Rows as they are read.
struct Rows<'a> {
    text: &'a str,
    delimiter: u8,
    /// Cells of the header.
    cells: usize,
    columns: &'a Columns,
    end: End,
    lines: LineCounter<'a>,
    observations: Vec<Observation>,
    heights: Vec<f64>,
    clock: Clock,
    problems: Problems,
    warnings: Vec<Problem>,
}

impl<'a> Rows<'a> {
    fn new(text: &'a str, delimiter: u8, cells: usize, columns: &'a Columns) -> Self {
        Self {
            text,
            delimiter,
            cells,
            columns,
            end: End::of(text, delimiter, |c| columns.holds(c)),
            lines: LineCounter::new(text),
            observations: Vec::new(),
            heights: Vec::new(),
            clock: Clock::default(),
            problems: Problems::default(),
            warnings: Vec::new(),
        }
    }

    fn read(&mut self, reader: &mut csv::Reader<&[u8]>, options: &ReadOptions) {
        let blank = |r: &csv::StringRecord| r.iter().all(str::is_empty);
        let mut records = reader.records().filter(|r| !r.as_ref().is_ok_and(blank)).peekable();
        while let Some(record) = records.next() {
            let record = match record {
                Ok(r) => r,
                Err(e) => return self.problems.push(Problem::new(e.to_string())),
            };
            let byte = record.position().map_or(0, csv::Position::byte);
            let place = format!("line {}", self.lines.at(byte));
            if self.problems.enough() {
                return;
            }
            if self.observations.len() == MAX_POINTS {
                return self.problems.push(Problem::new(format!("more than {MAX_POINTS} points")).at(place));
            }
            if let Some(lines) = record.iter().find_map(|c| swallowed(c, self.delimiter)) {
                return self.problems.push(quote_open(lines).at(place));
            }
            let last = records.peek().is_none();
            if last && self.rest_is_quoted(byte) {
                return self.problems.push(quote_open(0).at(place));
            }
            let cut = if last { self.end.cut(&record, self.cells) } else { None };
            self.end.row(&record);
            self.row(&record, place, cut, options);
        }
    }

    fn rest_is_quoted(&self, byte: u64) -> bool {
        let rest = usize::try_from(byte).ok().and_then(|b| self.text.get(b..)).unwrap_or("");
        quote_stays_open(rest.trim_start_matches(['\n', '\r']), self.delimiter)
    }

    /// One row; `cut`: why it seems to be cut off.
    fn row(&mut self, record: &csv::StringRecord, place: String, cut: Option<String>, options: &ReadOptions) {
        let columns = self.columns;
        let heights = self.heights.len();
        let read = row(record, columns, options, &mut self.heights);
        if let Some(cut) = cut {
            let then = if read.is_ok() { "is used as it stands" } else { "is left out" };
            self.warnings.push(
                Problem::new(format!("{cut}: the file seems to be cut off there, and the row {then}"))
                    .at(place.clone())
                    .hint("export or fetch the file again: rows may be missing after it"),
            );
            if read.is_err() {
                self.heights.truncate(heights);
                return;
            }
        }
        match read {
            Ok((position, sd_m)) => {
                let text = |c: Option<usize>| short(c.and_then(|c| record.get(c)).unwrap_or(""));
                let code =
                    Some(text(columns.code)).filter(|c| !c.is_empty()).unwrap_or_else(|| text(columns.name));
                let time = columns.time.and_then(|c| record.get(c));
                let time_s = time.and_then(|t| self.clock.read(t, || place.clone()));
                self.observations.push(Observation {
                    sd_m,
                    time_s,
                    name: code,
                    place,
                    ..Observation::new(position, Role::Line)
                });
            }
            Err(p) => {
                let p = p.at(place);
                let other = record.len() != self.cells && p.remedy().is_none();
                self.problems.push(if other {
                    p.hint(format!("the header has {} columns, this row {}", self.cells, record.len()))
                } else {
                    p
                });
            }
        }
    }
}

/// Some programs export longitude and latitude as `X,Y`: all of it in Australia's degrees,
/// and less than a metre across, which is no ground.
fn degrees_in_disguise(observations: &[Observation]) -> bool {
    let plane: Vec<Point<crate::frame::Local>> = observations
        .iter()
        .filter_map(|o| if let Position::Plane(p) = o.position { Some(p) } else { None })
        .collect();
    let [first, _, ..] = plane[..] else { return false };
    plane
        .iter()
        .all(|p| (96.0..=169.0).contains(&p.x) && (-56.0..=-8.0).contains(&p.y) && p.distance_to(first) < 1.0)
}

fn columns(headers: &csv::StringRecord, warnings: &mut Vec<Problem>) -> Result<Columns, SurveyError> {
    const LAT: &[&str] = &["lat", "latitude", "lat_deg"];
    const LON: &[&str] = &["lon", "lng", "long", "longitude", "lon_deg"];
    const EAST: &[&str] = &["easting", "east", "e", "easting_m"];
    const NORTH: &[&str] = &["northing", "north", "n", "northing_m"];
    const HEIGHT: &[&str] = &["height", "height_m", "h", "alt", "altitude", "ele", "elevation", "z"];
    const TIME: &[&str] = &["time", "timestamp", "datetime", "utc"];
    const SIGMA: &[&str] = &["sigma", "sigma_m", "sd", "sd_m"];
    let names: Vec<String> = headers.iter().map(|h| h.trim().to_lowercase()).collect();
    let find = |list: &[&str]| names.iter().position(|n| list.contains(&n.as_str()));
    let mut columns = Columns {
        height: find(HEIGHT),
        sigma: find(SIGMA),
        code: find(&["code"]),
        name: find(&["name"]),
        zone: find(&["zone"]),
        time: find(TIME),
        ..Columns::default()
    };
    let pairs = [
        (Kind::LatLon, find(LAT), find(LON)),
        (Kind::Grid, find(EAST), find(NORTH)),
        (Kind::Plane, find(&["x", "x_m"]), find(&["y", "y_m"])),
    ];
    let found: Vec<_> = pairs.into_iter().filter_map(|(kind, a, b)| Some((kind, a?, b?))).collect();
    match found.as_slice() {
        [(kind, a, b)] => (columns.kind, columns.first, columns.second) = (*kind, *a, *b),
        [] => {
            return Err(Problem::new(format!(
                "the header {} names no coordinates",
                print::quoted(&headers.iter().collect::<Vec<_>>().join(","))
            ))
            .at("line 1")
            .hint("the first line must name the columns: lat,lon or easting,northing or x,y")
            .into());
        }
        _ => {
            return Err(Problem::new("the header names more than one kind of coordinates")
                .at("line 1")
                .hint("keep one of lat,lon; easting,northing; x,y")
                .into());
        }
    }
    let used = [
        Some(columns.first),
        Some(columns.second),
        columns.height,
        columns.sigma,
        columns.code,
        columns.name,
        columns.zone,
        columns.time,
    ];
    let unused: Vec<&str> =
        headers.iter().enumerate().filter(|(i, _)| !used.contains(&Some(*i))).map(|(_, name)| name).collect();
    for name in unused.iter().take(COLUMNS_NAMED) {
        warnings.push(Problem::new(format!("column {} is not understood and not used", print::quoted(name))));
    }
    if unused.len() > COLUMNS_NAMED {
        warnings.push(Problem::new(format!(
            "and {} more are not understood and not used",
            print::count(unused.len() - COLUMNS_NAMED, "column")
        )));
    }
    Ok(columns)
}

fn number(record: &csv::StringRecord, column: usize, what: &str) -> Result<f64, Problem> {
    let text = record.get(column).unwrap_or("");
    if text.is_empty() {
        return Err(Problem::new(format!("{what} is missing")));
    }
    match text.parse::<f64>() {
        Ok(v) if v.is_finite() => Ok(v),
        _ => {
            let p = Problem::new(format!("{what} {} is not a number", print::quoted(text)));
            Err(if text.contains(',') {
                p.hint("write decimals with a point, and no separators of thousands")
            } else if text.contains(['°', '\'', '"']) {
                p.hint("write decimal degrees, as in -36.512345")
            } else {
                p
            })
        }
    }
}

fn optional(record: &csv::StringRecord, column: Option<usize>, what: &str) -> Result<Option<f64>, Problem> {
    match column.filter(|&c| record.get(c).is_some_and(|t| !t.is_empty())) {
        Some(c) => number(record, c, what).map(Some),
        None => Ok(None),
    }
}

fn invalid(e: &Invalid) -> Problem {
    Problem::new(e.to_string())
}

fn row(
    record: &csv::StringRecord,
    columns: &Columns,
    options: &ReadOptions,
    heights: &mut Vec<f64>,
) -> Result<(Position, Option<f64>), Problem> {
    let sd = optional(record, columns.sigma, "sigma")?;
    if let Some(sd) = sd {
        SIGMA_M.check(sd)?;
    }
    let height = optional(record, columns.height, "height")?;
    heights.extend(height);
    let h = options.height_m.or(height).unwrap_or(0.0);
    let position = match columns.kind {
        Kind::Plane => Position::Plane(Point::new(
            PLANE_M.check_as("x", number(record, columns.first, "x")?)?,
            PLANE_M.check_as("y", number(record, columns.second, "y")?)?,
        )),
        Kind::LatLon => {
            let (lat, lon) =
                (number(record, columns.first, "latitude")?, number(record, columns.second, "longitude")?);
            Position::Geodetic(geodetic(lat, lon, h, options.datum.unwrap_or(Datum::Wgs84))?)
        }
        Kind::Grid => {
            let (e, n) =
                (number(record, columns.first, "easting")?, number(record, columns.second, "northing")?);
            let zone = match optional(record, columns.zone, "zone")? {
                // Whole and small by the test, so the cast is exact.
                Some(z) if z.fract() == 0.0 && MGA_ZONE.contains(z) => {
                    Zone::new(z as u8).map_err(|e| invalid(&e))?
                }
                Some(z) => {
                    return Err(MGA_ZONE.check(z).err().unwrap_or_else(|| {
                        Problem::new(format!("zone {z} is not an MGA zone")).hint(MGA_ZONE.remedy())
                    }));
                }
                None => options
                    .zone
                    .ok_or_else(|| Problem::new("the zone is missing").settle(Remedy::say(Setting::Zone)))?,
            };
            let datum = options.datum.unwrap_or(Datum::Gda2020);
            Position::Grid(grid(zone, e, n, h, datum)?)
        }
    };
    Ok((position, sd))
}

/// A position with the hint that a swap deserves.
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

/// A grid position with the hint that a swap deserves.
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

fn assign_roles(observations: &mut [Observation], options: &ReadOptions, warnings: &mut Vec<Problem>) {
    let named = options.patterns.names_boundary();
    for o in observations.iter_mut() {
        o.role = options.patterns.role(&o.name).unwrap_or_else(|| match says(&o.name) {
            Says::GoalPost => Role::GoalPost,
            Says::BehindPost => Role::BehindPost,
            Says::Nothing | Says::Boundary if !named => Role::Line,
            _ => Role::Unused,
        });
    }
    let patterned = options.patterns != super::Patterns::default();
    if !patterned && !observations.iter().any(|o| o.role == Role::Line) {
        // A file whose every row carries the surveyor's own code for the line.
        // How many of each, and where the first is: of equals, the last to begin.
        let mut stems: BTreeMap<String, (usize, usize)> = BTreeMap::new();
        for (i, o) in observations.iter().enumerate().filter(|(_, o)| o.role == Role::Unused) {
            stems.entry(stem(&o.name)).or_insert((0, i)).0 += 1;
        }
        if let Some((most, (n, _))) = stems.into_iter().max_by_key(|(_, order)| *order) {
            for o in observations.iter_mut().filter(|o| o.role == Role::Unused && stem(&o.name) == most) {
                o.role = Role::Line;
            }
            warnings.push(
                Problem::new(format!(
                    "no code says boundary: the {} coded '{most}' are taken for it",
                    print::count(n, "point")
                ))
                .settle(Remedy::otherwise(Setting::Boundary)),
            );
        }
    }
    super::local::report_unused(observations, warnings);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn err(text: &str) -> String {
        read(text, &ReadOptions::default()).unwrap_err().to_string()
    }

    #[test]
    fn names_the_line_the_value_and_the_remedy() {
        let e = err("lat,lon\n-36.5,145.0\n145.0,-36.5\nx,145\n-36.5,NaN\n");
        assert!(e.contains("line 3: latitude 145 is outside") && e.contains("swapped"), "{e}");
        assert!(e.contains("line 4: latitude 'x' is not a number"), "{e}");
        assert!(e.contains("line 5: longitude 'NaN' is not a number"), "{e}");
        assert!(err("easting,northing\n322511,5812242\n").contains("say the zone"));
        assert!(err("a,b\n1,2\n").contains("names no coordinates"));
        assert!(err("x;y\n1,5;2,5\n").contains("with a point"));
        assert!(err("x,y,sigma\n1,2,-1\n").contains("sigma"));
    }

    #[test]
    fn a_last_row_that_is_cut_is_told_with_its_line_and_the_remedy() {
        let whole = "lat,lon,code\n-36.51,145.01,BL\n-36.52,145.02,BL\n-36.53,145.03,BL\n";
        for (end, points, want) in [
            ("-36.54", 3, "line 5: the last row has 1 cell"),
            ("-36.54,145.04\n", 4, "line 5: the last row has 2 cells"),
            ("-36.54,145.04,", 4, "line 5: the last cell is empty"),
        ] {
            let r = read(&format!("{whole}{end}"), &ReadOptions::default()).unwrap();
            assert_eq!(r.value.observations.len(), points, "{end}");
            let told = r.warnings[0].to_string();
            assert!(told.starts_with(want) && told.contains("fetch the file again"), "{told}");
            assert_eq!(told.contains("is left out"), points == 3, "{told}");
        }
        assert!(read(whole, &ReadOptions::default()).unwrap().warnings.is_empty());
        let short = read("x,y\n1.25,2.50\n3.25,4.51\n5.25,6.25\n7.25,8.", &ReadOptions::default()).unwrap();
        assert!(short.warnings[0].to_string().contains("'8.' is shorter"), "{:?}", short.warnings);
        // In the middle it is refused, as ever.
        assert!(err("x,y,code\n1,2,a\n3\n4,5,b\n").contains("line 3: y is missing"));
    }

    #[test]
    fn blank_rows_of_every_kind_are_passed_over() {
        let r = read("x,y\n1,2\n \n\n3,4\n , \n\t\n\n5,6\n \n", &ReadOptions::default()).unwrap();
        let places: Vec<_> = r.value.observations.iter().map(|o| o.place.as_str()).collect();
        assert_eq!(places, ["line 2", "line 5", "line 9"]);
        // By lines that end in a carriage return, a comment takes no rows with it either.
        for text in ["x,y\r1,2\r# a\r3,4\r \r5,6", "x,y\r\n1,2\r\n# a\r3,4\n\r\n5,6\r\n"] {
            let r = read(text, &ReadOptions::default()).unwrap();
            let places: Vec<_> = r.value.observations.iter().map(|o| o.place.as_str()).collect();
            assert_eq!(places, ["line 2", "line 4", "line 6"], "{text:?}");
        }
    }

    #[test]
    fn a_quote_that_is_not_closed_is_said_where_it_opens() {
        for text in [
            "x,y,code\n1,2,BL\n3,4,\"BL\n5,6,BL\n7,8,BL\n",
            "x,y,code\n1,2,BL\n3,4,\"BL\n5,6,BL\n7,8,\"GP\"\n",
            "x,y,code\n1,2,BL\n3,4,\"BL",
        ] {
            let e = err(text);
            assert!(e.starts_with("line 3: a quote") && e.lines().count() == 1, "{e}");
        }
        assert!(err("x,\"y\n1,2\n3,4\n").starts_with("line 1: a quote"));
        // A cell of two lines is a cell.
        let r = read("x,y,note\n1,2,\"by the\ngate\"\n3,4,\n", &ReadOptions::default()).unwrap();
        assert_eq!(r.value.observations.len(), 2);
    }

    #[test]
    fn messages_stay_short_whatever_the_file_holds() {
        let long = "9x".repeat(50_000);
        for text in [
            format!("x,y\n{long},2\n"),
            format!("{long}\n1\n"),
            format!("x,y,{long}\n1,2,3\n\u{1b}[2J,4,5\n"),
            format!("x,y{}\n1,2\n", ",a".repeat(200_000)),
            format!("x,y\n{}", format!("{long},1\n").repeat(30)),
        ] {
            let e = err(&text);
            assert!(e.len() < 1_500 && e.lines().count() <= 6, "{} {}", e.len(), e.lines().count());
        }
        let many =
            format!("x,y{}\n1,2\n3,4,{long}\n", (0..900).map(|i| format!(",c{i}")).collect::<String>());
        let r = read(&many, &ReadOptions::default()).unwrap();
        assert!(r.warnings.len() < 10 && r.warnings.iter().any(|w| w.message().contains("and 895 columns")));
        let named = read(&format!("x,y,code\n1,2,{long}\n3,4,BL\n"), &ReadOptions::default()).unwrap();
        assert!(named.warnings.iter().all(|w| w.to_string().len() < 500), "{:?}", named.warnings);
    }

    #[test]
    fn a_swapped_grid_is_seen() {
        let o = ReadOptions { zone: Some(Zone::new(55).unwrap()), ..ReadOptions::default() };
        let e = read("easting,northing\n5812242,322511\n", &o).unwrap_err().to_string();
        assert!(e.contains("swapped"), "{e}");
    }

    #[test]
    fn degrees_called_x_and_y_are_seen() {
        assert!(err("X,Y,name\n142.1001,-34.2001,\n142.1002,-34.2002,\n").contains("lon and lat"));
        // A plane survey may have such coordinates too, a metre and more apart.
        assert!(read("x,y\n142,-34\n140,-34\n", &ReadOptions::default()).is_ok());
    }

    #[test]
    fn codes_and_comments_and_other_delimiters() {
        let r = read(
            "# made by hand\nx;y;code;colour\n1;2;;red\n\n3;4;GP;\n5;6;shed;\n",
            &ReadOptions::default(),
        )
        .unwrap();
        let roles: Vec<_> = r.value.observations.iter().map(|o| o.role).collect();
        assert_eq!(roles, [Role::Line, Role::GoalPost, Role::Unused]);
        assert!(r.warnings.iter().any(|w| w.message().contains("colour")));
        assert!(r.warnings.iter().any(|w| w.message().contains("shed")));
        assert_eq!(r.value.observations[1].place, "line 5");
    }

    #[test]
    fn a_column_of_times_makes_the_line_a_walk() {
        let r = read(
            "x,y,code,utc\n1,2,,2026-03-14T00:00:01.5Z\n3,4,,1773446402\n5,6,GP,\n7,8,,noon\n",
            &ReadOptions::default(),
        )
        .unwrap();
        let times: Vec<_> = r.value.observations.iter().map(|o| o.time_s).collect();
        // 2026-03-14 is day 20526 from 1970.
        let midnight = 20_526.0 * 86_400.0;
        assert_eq!(times, [Some(midnight + 1.5), Some(midnight + 2.0), None, None]);
        let paths: Vec<_> = r.value.observations.iter().map(|o| o.path).collect();
        assert_eq!(paths, [Some(0), Some(0), None, Some(0)]);
        assert!(r.warnings.iter().any(|w| w.to_string().contains("line 5: 'noon'")));
        let without = read("x,y\n1,2\n", &ReadOptions::default()).unwrap();
        assert_eq!(without.value.observations[0].path, None);
    }

    #[test]
    fn a_surveyors_own_code_is_taken_and_said() {
        let r = read("x,y,code\n1,2,WL1\n3,4,WL2\n5,6,peg\n", &ReadOptions::default()).unwrap();
        assert_eq!(r.value.observations.iter().filter(|o| o.role == Role::Line).count(), 2);
        assert!(r.warnings[0].message().contains("'wl'"));
    }
}
