//! CSV with a header: `lat,lon[,height][,sigma][,code]`,
//! `easting,northing[,zone][,height][,sigma][,code]`, plane
//! `x,y[,sigma][,code]` in metres, or `wkt[,code]`. The delimiter is a comma, semicolon or
//! tab. Blank lines, lines that start with `#` and titles above the header are skipped. Latitude
//! and longitude may also be in degrees, minutes and seconds. Decimal commas are read where the
//! delimiter is a semicolon or tab.
//!
//! A column `time`, `timestamp`, `datetime` or `utc` gives the time: RFC 3339,
//! `2026-03-14 09:26:53`, or seconds or milliseconds from 1970. A file with times is a
//! walk: the rows of its line are one path.

use std::borrow::Cow;
use std::collections::BTreeMap;

use super::angles::{self, Axis};
use super::coordinates::{geodetic, grid};
use super::csv_cells::{name, quote_open, reader};
use super::csv_end::End;
use super::csv_head::{self, Columns, Head, Kind};
use super::csv_lines::{LineCounter, quote_stays_open, swallowed};
use super::csv_numbers::{self, Mark};
use super::csv_wkt;
use super::roles::{Says, says, stem};
use super::times::Clock;
use super::{Format, MAX_POINTS, Observation, Position, Problems, ReadOptions, Role, Survey, SurveyError};
use crate::frame::{Datum, Zone};
use crate::geometry::Point;
use crate::units::ranges::{MGA_ZONE, PLANE_M, SIGMA_M};
use crate::units::{Problem, Remedy, Setting, Warned, print};

pub(super) fn read(text: &str, options: &ReadOptions) -> Result<Warned<Survey>, SurveyError> {
    // In old files a carriage return alone ends a line; the csv crate would not end a comment there.
    let text = &if text.contains('\r') {
        Cow::Owned(text.replace("\r\n", "\n").replace('\r', "\n"))
    } else {
        Cow::Borrowed(text)
    };
    let head = csv_head::find(text)?.ok_or_else(|| SurveyError::from(Problem::new("the file is empty")))?;
    let body = text.get(head.start..).unwrap_or("");
    let mut reader = reader(body, head.delimiter);
    let headers = reader.headers().map_err(|e| SurveyError::from(Problem::new(e.to_string())))?.clone();
    if headers.iter().any(|h| h.contains('\n')) {
        return Err(quote_open(0).at(format!("line {}", head.line)).into());
    }
    let mut warnings: Vec<Problem> = csv_head::titles_note(&head).into_iter().collect();
    let columns = csv_head::columns(&headers, head.line, &mut warnings)?;
    if columns.kind == Kind::Wkt {
        return csv_wkt::read(text, &head, &columns, options, warnings);
    }
    if columns.kind == Kind::Grid && columns.zone.is_none() && options.zone.is_none() {
        return Err(super::local::which_zone());
    }
    let mark = csv_numbers::mark(text, head.start, head.delimiter, headers.len(), &columns)?;
    if let Mark::Comma(said) = &mark {
        warnings.push(said.clone());
    }
    let own = ReadOptions { datum: datum(&columns, options, &mut warnings), ..options.clone() };
    let mut rows = Rows::new(text, &head, headers.len(), &columns, &mark);
    rows.read(&mut reader, &own);
    let Rows { mut problems, mut observations, mut heights, clock, warnings: of_rows, .. } = rows;
    warnings.extend(of_rows);
    if columns.kind == Kind::Plane && degrees_in_disguise(&observations) {
        problems.push(
            Problem::new("x and y are longitudes and latitudes, not metres")
                .at(format!("line {}", head.line))
                .hint("name the columns lon and lat"),
        );
    }
    if !problems.is_empty() {
        return Err(problems.into_error());
    }
    super::roles::refuse_unmatched(&options.patterns, observations.iter().map(|o| o.name.as_str()))?;
    assign_roles(&mut observations, options, &mut warnings);
    if columns.time.is_some() {
        for o in observations.iter_mut().filter(|o| o.role == Role::Line) {
            o.path = Some(0);
        }
    }
    warnings.extend(clock.report());
    grid_notes(&columns, &observations, options, &mut warnings);
    let height_m = options.height_m.or_else(|| super::local::median(&mut heights));
    let names_datum = columns.datum.is_some();
    let survey = Survey { format: Format::Csv, observations, height_m, book: None, names_datum };
    Ok(Warned { value: survey, warnings })
}

/// The datum that the person gave, or else the one in the header.
fn datum(columns: &Columns, options: &ReadOptions, warnings: &mut Vec<Problem>) -> Option<Datum> {
    if let (Some(said), Some(named)) = (options.datum, columns.datum)
        && said != named
    {
        warnings.push(Problem::new(format!(
            "the header says {}; it is read as {}, as was said",
            named.name(),
            said.name()
        )));
    }
    options.datum.or(columns.datum)
}

/// Warnings about a grid where the file and the person disagree.
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

/// Reads the rows, one by one.
struct Rows<'a> {
    text: &'a str,
    /// Bytes before the header.
    start: usize,
    delimiter: u8,
    /// Number of cells in the header.
    cells: usize,
    columns: &'a Columns,
    mark: &'a Mark,
    end: End,
    lines: LineCounter<'a>,
    observations: Vec<Observation>,
    heights: Vec<f64>,
    clock: Clock,
    problems: Problems,
    warnings: Vec<Problem>,
}

impl<'a> Rows<'a> {
    fn new(text: &'a str, head: &Head, cells: usize, columns: &'a Columns, mark: &'a Mark) -> Self {
        let delimiter = head.delimiter;
        Self {
            text,
            start: head.start,
            delimiter,
            cells,
            columns,
            mark,
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
            let byte = record.position().map_or(0, csv::Position::byte) + self.start as u64;
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

    /// Reads one row; `cut` says why it seems to be cut off.
    fn row(&mut self, record: &csv::StringRecord, place: String, cut: Option<String>, options: &ReadOptions) {
        let columns = self.columns;
        let heights = self.heights.len();
        let read = self.position(record, options);
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
            Ok(Read { position, sd_m, step_deg }) => {
                let code = name(record, columns);
                let time = columns.time.and_then(|c| record.get(c));
                let time_s = time.and_then(|t| self.clock.read(t, || place.clone()));
                self.observations.push(Observation {
                    sd_m,
                    step_deg,
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

/// The position of a row.
impl Rows<'_> {
    fn cell<'r>(&self, record: &'r csv::StringRecord, column: usize) -> Cow<'r, str> {
        self.mark.with_point(record.get(column).unwrap_or(""))
    }

    fn optional(
        &self,
        record: &csv::StringRecord,
        column: Option<usize>,
        what: &str,
    ) -> Result<Option<f64>, Problem> {
        match column.filter(|&c| record.get(c).is_some_and(|t| !t.is_empty())) {
            Some(c) => number(&self.cell(record, c), what).map(Some),
            None => Ok(None),
        }
    }

    fn position(&mut self, record: &csv::StringRecord, options: &ReadOptions) -> Result<Read, Problem> {
        let columns = self.columns;
        let sd_m = self.optional(record, columns.sigma, "sigma")?;
        if let Some(sd) = sd_m {
            SIGMA_M.check(sd)?;
        }
        let height = self.optional(record, columns.height, "height")?;
        self.heights.extend(height);
        let h = options.height_m.or(height).unwrap_or(0.0);
        let (first, second) = (self.cell(record, columns.first), self.cell(record, columns.second));
        let mut step_deg = None;
        let position = match columns.kind {
            Kind::Plane | Kind::Wkt => Position::Plane(Point::new(
                PLANE_M.check_as("x", number(&first, "x")?)?,
                PLANE_M.check_as("y", number(&second, "y")?)?,
            )),
            Kind::LatLon => {
                let (lat, lon) =
                    (angles::read(&first, Axis::Latitude)?, angles::read(&second, Axis::Longitude)?);
                // The coarser step of the two, if either is printed in minutes or seconds.
                step_deg = [lat.step_deg, lon.step_deg].into_iter().flatten().reduce(f64::max);
                Position::Geodetic(geodetic(lat.deg, lon.deg, h, options.datum.unwrap_or(Datum::Wgs84))?)
            }
            Kind::Grid => {
                let (e, n) = (number(&first, "easting")?, number(&second, "northing")?);
                let zone = self.zone(record, options)?;
                Position::Grid(grid(zone, e, n, h, options.datum.unwrap_or(Datum::Gda2020))?)
            }
        };
        Ok(Read { position, sd_m, step_deg })
    }

    fn zone(&self, record: &csv::StringRecord, options: &ReadOptions) -> Result<Zone, Problem> {
        match self.optional(record, self.columns.zone, "zone")? {
            // The guard makes the cast exact.
            Some(z) if z.fract() == 0.0 && MGA_ZONE.contains(z) => {
                Zone::new(z as u8).map_err(|e| Problem::new(e.to_string()))
            }
            Some(z) => Err(MGA_ZONE.check(z).err().unwrap_or_else(|| {
                Problem::new(format!("zone {z} is not an MGA zone")).hint(MGA_ZONE.remedy())
            })),
            None => options
                .zone
                .ok_or_else(|| Problem::new("the zone is missing").settle(Remedy::say(Setting::Zone))),
        }
    }
}

/// Are x and y really longitude and latitude, as some programs export them? Then all lie in
/// Australia's range of degrees, and as metres would span less than a metre, which no ground does.
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

/// A row's position, with its standard deviation and rounding step if known.
struct Read {
    position: Position,
    sd_m: Option<f64>,
    step_deg: Option<f64>,
}

fn number(text: &str, what: &str) -> Result<f64, Problem> {
    if text.is_empty() {
        return Err(Problem::new(format!("{what} is missing")));
    }
    match text.parse::<f64>() {
        Ok(v) if v.is_finite() => Ok(v),
        _ => {
            let p = Problem::new(format!("{what} {} is not a number", print::quoted(text)));
            Err(if text.contains(',') {
                p.hint("write decimals with a point, and no separators of thousands")
            } else {
                p
            })
        }
    }
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
        // Every row may carry the surveyor's own code for the line. Count each code, and remember its first
        // row: of codes with equal counts, the one that starts last is taken.
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
        assert!(err("x,y\n\"1,5\",\"2,5\"\n").contains("with a point"));
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
        // In the middle of a file such a row is refused.
        assert!(err("x,y,code\n1,2,a\n3\n4,5,b\n").contains("line 3: y is missing"));
    }

    #[test]
    fn blank_rows_of_every_kind_are_passed_over() {
        let r = read("x,y\n1,2\n \n\n3,4\n , \n\t\n\n5,6\n \n", &ReadOptions::default()).unwrap();
        let places: Vec<_> = r.value.observations.iter().map(|o| o.place.as_str()).collect();
        assert_eq!(places, ["line 2", "line 5", "line 9"]);
        // Where lines end in a carriage return, a comment swallows no rows either.
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
        // A cell may have two lines.
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
        // A plane survey may have such coordinates too, if they are a metre or more apart.
        assert!(read("x,y\n142,-34\n140,-34\n", &ReadOptions::default()).is_ok());
    }

    #[test]
    fn titles_above_the_header_are_passed_over_and_said() {
        let r = read(
            "Emu Flat Oval, boundary survey\nJ. Example, 14 March 2026\n\nLat.,Long.,Code\n-36.51,145.01,BL\n-36.52,145.02,x,y\n",
            &ReadOptions::default(),
        )
        .unwrap();
        assert_eq!(r.value.observations[0].place, "line 5");
        assert!(r.warnings[0].to_string().starts_with("2 rows above the header"), "{:?}", r.warnings);
        // An open quote below a title is reported with its own line.
        assert!(err("Emu Flat\nx,y,code\n1,2,\"BL\n3,4,BL\n").starts_with("line 3: a quote"));
        assert!(err("Emu Flat\nx,y\n1,z\n").starts_with("line 3: y 'z'"));
    }

    #[test]
    fn degrees_minutes_and_seconds_are_read_with_their_printed_step() {
        // 36 + 30/60 + 44.4/3600 and 145 + 0.615/60, by hand.
        for row in [
            "36°30'44.4\"S,145°00.615'E",
            "\"36 30 44.4 S\",\"145 00 36.90 E\"",
            "-36:30:44.4,145:00:36.9",
            "S36 30 44.4,E145 0 36.9",
            "36° 30′ 44.4″ S,145° 0′ 36.9″ E",
        ] {
            let r =
                read(&format!("Latitude (DMS),Longitude (DMS)\n{row}\n"), &ReadOptions::default()).unwrap();
            let o = &r.value.observations[0];
            let Position::Geodetic(g) = o.position else { unreachable!() };
            assert!((g.latitude_deg() + 36.512_333_333_333).abs() < 1e-11, "{row}");
            assert!((g.longitude_deg() - 145.010_25).abs() < 1e-11, "{row}");
            // A tenth of a second, which is 3 m.
            assert!((o.step_deg.unwrap() - 0.1 / 3600.0).abs() < 1e-15, "{row}");
        }
        let r = read("lat,lon\n-36.5,145.01\n", &ReadOptions::default()).unwrap();
        assert_eq!(r.value.observations[0].step_deg, None);
        assert!(err("lat,lon\n145 0 36.9 E,36 30 44.4 S\n").contains("swapped"));
    }

    #[test]
    fn a_datum_in_the_header_is_the_coordinates() {
        let grid =
            |o: &ReadOptions| read("Easting (MGA94),Northing (MGA94),zone\n322511,5812242,55\n", o).unwrap();
        let r = grid(&ReadOptions::default());
        let Position::Grid(g) = r.value.observations[0].position else { unreachable!() };
        assert_eq!(g.geodetic().unwrap().datum(), Datum::Gda94);
        assert!(r.value.names_datum && r.warnings.is_empty(), "{:?}", r.warnings);
        let said = ReadOptions { datum: Some(Datum::Gda2020), ..ReadOptions::default() };
        let r = grid(&said);
        let Position::Grid(g) = r.value.observations[0].position else { unreachable!() };
        assert_eq!(g.geodetic().unwrap().datum(), Datum::Gda2020);
        assert!(r.warnings[0].to_string().contains("the header says GDA94"), "{:?}", r.warnings);
    }

    #[test]
    fn posts_are_known_by_a_name_beside_a_code_and_by_a_remark() {
        let roles = |csv: &str| {
            let survey = read(csv, &ReadOptions::default()).unwrap().value;
            survey.observations.iter().map(|o| o.role).collect::<Vec<_>>()
        };
        let want = [Role::Line, Role::GoalPost, Role::BehindPost];
        assert_eq!(
            roles("x,y,code,name\n1,2,,\n3,4,PT,North left goal post\n5,6,PT,behind post right\n"),
            want
        );
        assert_eq!(
            roles("Description;x;y\nnear the gate;1;2\nGoal post L (Silo end);3;4\nbehind post right;5;6\n"),
            want
        );
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
        // 2026-03-14 is day 20526 from 1970-01-01.
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
