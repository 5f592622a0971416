//! Writes survey files as clubs send them: CSV with latitude and longitude, with grid coordinates or in a
//! plane of its own, and KML.
//!
//! Numbers are rounded to the decimals that are usual in such a file, except by [`csv_exact`], which does not
//! round. Lines end in a line feed.

use std::fmt::Write as _;

use ovalpeg::frame::Local;
use ovalpeg::geometry::Point;
use ovalpeg::survey::{LocalSurvey, Role};
use ovalpeg::units::print::{compass_point, fixed};

use crate::Failure;
use crate::truth::{Post, PostKind, Truth};

/// One row of a survey file before it is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The point.
    pub at: Point<Local>,
    /// Height above the ellipsoid as measured, m.
    pub height_m: f64,
    /// The surveyor's code, or the name of the point.
    pub code: String,
}

/// The columns of a CSV besides the coordinates.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Columns {
    /// Is there a column of heights, in metres to the millimetre?
    pub height: bool,
    /// The standard deviation in every row, m, where there is such a column.
    pub sigma_m: Option<f64>,
    /// Is there a column of codes?
    pub code: bool,
    /// Lines before the header, each written after `# `.
    pub remarks: &'static [&'static str],
}

/// A code that a surveyor gives a post: `GP` or `BP`.
#[must_use]
pub fn post_code(post: &Post) -> &'static str {
    match post.kind {
        PostKind::Goal => "GP",
        PostKind::Behind => "BP",
    }
}

/// A name that a person gives a post: `NE goal post 1`, counted at each end.
#[must_use]
pub fn post_name(post: &Post, number: usize) -> String {
    let kind = match post.kind {
        PostKind::Goal => "goal post",
        PostKind::Behind => "behind post",
    };
    format!("{} {kind} {number}", compass_point(post.end_bearing_deg))
}

fn csv(
    names: [&str; 2],
    columns: &Columns,
    rows: &[Row],
    coordinates: impl Fn(&Row) -> Result<[String; 2], Failure>,
) -> Result<Vec<u8>, Failure> {
    let mut out = String::new();
    for remark in columns.remarks {
        writeln!(out, "# {remark}")?;
    }
    write!(out, "{},{}", names[0], names[1])?;
    for (there, name) in
        [(columns.height, "height"), (columns.sigma_m.is_some(), "sigma"), (columns.code, "code")]
    {
        if there {
            write!(out, ",{name}")?;
        }
    }
    out.push('\n');
    for row in rows {
        let [a, b] = coordinates(row)?;
        write!(out, "{a},{b}")?;
        if columns.height {
            write!(out, ",{}", fixed(row.height_m, 3))?;
        }
        if let Some(sd) = columns.sigma_m {
            write!(out, ",{}", fixed(sd, 3))?;
        }
        if columns.code {
            write!(out, ",{}", field(&row.code))?;
        }
        out.push('\n');
    }
    Ok(out.into_bytes())
}

/// A CSV field, quoted where it must be (RFC 4180).
fn field(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

/// CSV with latitude and longitude; 9 decimals of a degree are 0.1 mm, 7 are 1 cm.
///
/// # Errors
/// Where a point has no place on the Earth.
pub fn csv_latlon(
    truth: &Truth,
    rows: &[Row],
    columns: &Columns,
    decimals: usize,
) -> Result<Vec<u8>, Failure> {
    csv(["lat", "lon"], columns, rows, |row| {
        let g = truth.to_geodetic(row.at)?;
        Ok([fixed(g.latitude_deg(), decimals), fixed(g.longitude_deg(), decimals)])
    })
}

/// CSV with easting and northing to the millimetre, in the zone of the ground's centre. There is no column
/// for the zone: a note or a remark gives it.
///
/// # Errors
/// When a point has no place in the zone.
pub fn csv_grid(truth: &Truth, rows: &[Row], columns: &Columns) -> Result<Vec<u8>, Failure> {
    csv(["easting", "northing"], columns, rows, |row| {
        let g = truth.to_grid(row.at)?.point;
        Ok([fixed(g.easting_m(), 3), fixed(g.northing_m(), 3)])
    })
}

/// CSV in the survey's own plane, x east and y north, to the millimetre.
///
/// # Errors
/// Never; the return type is that of the other writers.
pub fn csv_plane(rows: &[Row], columns: &Columns) -> Result<Vec<u8>, Failure> {
    csv(["x", "y"], columns, rows, |row| Ok([fixed(row.at.x, 3), fixed(row.at.y, 3)]))
}

/// CSV with all digits, so that the fit gets exactly the simulated points.
///
/// It has latitude and longitude with the plane's height, or where the plane has no place on the Earth, x and
/// y. Each point has its name or its post's code, and its time where the survey has times.
///
/// # Errors
/// When a point has no place on Earth.
pub fn csv_exact(survey: &LocalSurvey) -> Result<Vec<u8>, Failure> {
    let timed = survey.points.iter().any(|p| p.time_s.is_some());
    let mut out = match survey.plane.datum_point() {
        Some(_) => String::from("lat,lon,height,code"),
        None => String::from("x,y,code"),
    };
    out.push_str(if timed { ",time\n" } else { "\n" });
    for p in &survey.points {
        // Rust prints the shortest text that reads back as the same number.
        match (survey.plane.datum_point(), survey.plane.to_geodetic(p.at)) {
            (Some(datum), Some(g)) => {
                write!(out, "{},{},{},", g.latitude_deg(), g.longitude_deg(), datum.height_m())?;
            }
            (Some(_), None) => return Err(format!("{} has no place on Earth", p.place).into()),
            (None, _) => write!(out, "{},{},", p.at.x, p.at.y)?,
        }
        out.push_str(&match p.role {
            _ if !p.name.is_empty() => field(&p.name),
            Role::GoalPost => "GP".into(),
            Role::BehindPost => "BP".into(),
            _ => String::new(),
        });
        if timed {
            out.push(',');
            if let Some(time_s) = p.time_s {
                write!(out, "{time_s}")?;
            }
        }
        out.push('\n');
    }
    Ok(out.into_bytes())
}

/// How the line of a KML file is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drawn {
    /// An open track with heights, as a walk is recorded.
    LineString,
    /// A polygon without heights, as a tracing is saved; the first point is repeated at the end.
    Polygon,
}

/// The names in a KML file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Titles<'a> {
    /// The folder's name.
    pub folder: &'a str,
    /// The name of the placemark that holds the line.
    pub line: &'a str,
}

/// KML 2.2: one folder with the line and a placemark for each named point.
///
/// Coordinates have the longitude first, as KML requires, and `decimals` decimals of a degree.
///
/// # Errors
/// When a point has no place on Earth.
pub fn kml(
    truth: &Truth,
    titles: Titles<'_>,
    drawn: Drawn,
    line: &[Row],
    points: &[Row],
    decimals: usize,
) -> Result<Vec<u8>, Failure> {
    let tuple = |row: &Row, height: bool| -> Result<String, Failure> {
        let g = truth.to_geodetic(row.at)?;
        let mut text =
            format!("{},{}", fixed(g.longitude_deg(), decimals), fixed(g.latitude_deg(), decimals));
        if height {
            write!(text, ",{}", fixed(row.height_m, 1))?;
        }
        Ok(text)
    };
    let walked = drawn == Drawn::LineString;
    let mut tuples = line.iter().map(|row| tuple(row, walked)).collect::<Result<Vec<_>, _>>()?;
    if !walked && let Some(first) = tuples.first().cloned() {
        tuples.push(first);
    }
    let coordinates = tuples.join("\n            ");
    let geometry = match drawn {
        Drawn::LineString => format!(
            "        <LineString>\n          <tessellate>1</tessellate>\n          <coordinates>\n            \
             {coordinates}\n          </coordinates>\n        </LineString>\n"
        ),
        Drawn::Polygon => format!(
            "        <Polygon>\n          <outerBoundaryIs><LinearRing>\n          <coordinates>\n            \
             {coordinates}\n          </coordinates>\n          </LinearRing></outerBoundaryIs>\n        </Polygon>\n"
        ),
    };
    let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    out.push_str("<kml xmlns=\"http://www.opengis.net/kml/2.2\">\n  <Document>\n    <Folder>\n");
    writeln!(out, "      <name>{}</name>", escaped(titles.folder))?;
    writeln!(out, "      <Placemark>\n        <name>{}</name>", escaped(titles.line))?;
    out.push_str(&geometry);
    out.push_str("      </Placemark>\n");
    for row in points {
        writeln!(
            out,
            "      <Placemark>\n        <name>{}</name>\n        <Point><coordinates>{}</coordinates></Point>\n      \
             </Placemark>",
            escaped(&row.code),
            tuple(row, false)?
        )?;
    }
    out.push_str("    </Folder>\n  </Document>\n</kml>\n");
    Ok(out.into_bytes())
}

/// A text escaped as XML content. Control characters, which XML 1.0 does not allow, are left out.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            c if c.is_control() && c != '\t' && c != '\n' => {}
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::truth::{Shape, Site};
    use ovalpeg::frame::{LocalPlane, Zone};
    use ovalpeg::survey::{Observed, ReadOptions, read};

    fn truth() -> Truth {
        let site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 640.0, axis_deg: 20.0 };
        Truth::new(Shape::Ellipse { length_m: 160.0, width_m: 130.0 }, site).unwrap()
    }

    fn rows(code: &str) -> Vec<Row> {
        [(80.0, 0.0), (0.0, 65.0), (-80.0, 1.5), (3.25, -65.0)]
            .map(|(x, y)| Row { at: Point::new(x, y), height_m: 640.0, code: code.into() })
            .to_vec()
    }

    /// The greatest distance of the points read back from the originals, m.
    fn miss(bytes: &[u8], zone: Option<u8>) -> f64 {
        let mut options = ReadOptions::default();
        options.datum = Some(ovalpeg::frame::Datum::Gda2020);
        options.zone = zone.map(|z| Zone::new(z).unwrap());
        options.height_m = Some(640.0);
        let survey = read(bytes, &options).unwrap().value;
        let plane = if bytes.starts_with(b"x") { survey.plane().unwrap() } else { truth().plane() };
        let local = survey.to_local(plane).unwrap();
        assert_eq!(local.points.len(), 4);
        local.points.iter().zip(rows("")).map(|(p, r)| p.at.distance_to(r.at)).fold(0.0, f64::max)
    }

    #[test]
    fn every_format_reads_back_to_its_own_decimals() {
        let (t, c) = (truth(), Columns { height: true, code: true, ..Columns::default() });
        // Half a unit of the last decimal in both coordinates: 1e-9° is 0.11 mm, 1e-7° 11 mm.
        assert!(miss(&csv_latlon(&t, &rows("BL"), &c, 9).unwrap(), None) < 1e-4);
        assert!(miss(&csv_latlon(&t, &rows("BL"), &c, 7).unwrap(), None) < 1e-2);
        assert!(miss(&csv_grid(&t, &rows("BL"), &c).unwrap(), Some(55)) < 1e-3);
        assert!(miss(&csv_plane(&rows("BL"), &c).unwrap(), None) < 1e-3);
        let titles = Titles { folder: "f", line: "boundary" };
        for drawn in [Drawn::LineString, Drawn::Polygon] {
            assert!(miss(&kml(&t, titles, drawn, &rows(""), &[], 8).unwrap(), None) < 1e-3);
        }
    }

    #[test]
    fn the_exact_file_reads_back_to_the_last_bit() {
        let at = |k: f64| Point::new(80.0 * k.cos(), -65.0 * (1.7 * k).sin() / 3.0);
        let roles = [Role::Line, Role::GoalPost, Role::BehindPost, Role::Line];
        let points = roles.into_iter().zip([0.1, 0.7, 2.9, 1e-9]).map(|(role, k)| Observed::new(at(k), role));
        let plain = LocalSurvey::new(LocalPlane::own(), points.collect());
        let mut timed = plain.clone();
        timed.points[1].name = "A GP L".into();
        for (i, p) in timed.points.iter_mut().enumerate() {
            p.time_s = (i != 2).then_some(1_773_480_413.25 + i as f64);
        }
        for survey in [plain, timed] {
            let bytes = csv_exact(&survey).unwrap();
            let found = read(&bytes, &ReadOptions::default()).unwrap().value;
            let found = found.to_local(found.plane().unwrap()).unwrap();
            for (f, p) in found.points.iter().zip(&survey.points) {
                assert_eq!((f.at, f.role, f.time_s), (p.at, p.role, p.time_s));
            }
            assert_eq!(found.points.len(), survey.points.len());
        }
    }

    #[test]
    fn csv_looks_as_a_surveyor_sends_it() {
        let columns =
            Columns { height: true, sigma_m: Some(0.02), code: true, remarks: &["MGA2020 zone 55"] };
        let text = String::from_utf8(csv_grid(&truth(), &rows("BL, \"old\""), &columns).unwrap()).unwrap();
        let mut lines = text.lines();
        assert_eq!(lines.next(), Some("# MGA2020 zone 55"));
        assert_eq!(lines.next(), Some("easting,northing,height,sigma,code"));
        assert!(lines.next().unwrap().ends_with(",640.000,0.020,\"BL, \"\"old\"\"\""));
    }

    #[test]
    fn a_second_reader_finds_the_same_kml() {
        let titles = Titles { folder: "Dust & <Grit>", line: "boundary" };
        let posts = [Row { code: post_name(&truth().posts()[1], 1), ..rows("")[0].clone() }];
        let bytes = kml(&truth(), titles, Drawn::Polygon, &rows(""), &posts, 8).unwrap();
        let text = String::from_utf8(bytes.clone()).unwrap();
        assert!(text.contains("Dust &amp; &lt;Grit&gt;"));
        let parsed: kml::Kml = text.parse().unwrap();
        let (mut rings, mut points) = (Vec::new(), Vec::new());
        let mut open = vec![parsed];
        while let Some(node) = open.pop() {
            match node {
                kml::Kml::KmlDocument(d) => open.extend(d.elements),
                kml::Kml::Document { elements, .. } => open.extend(elements),
                kml::Kml::Folder(f) => open.extend(f.elements),
                kml::Kml::Placemark(p) => match p.geometry {
                    Some(kml::types::Geometry::Polygon(g)) => rings.push(g.outer.coords),
                    Some(kml::types::Geometry::Point(g)) => points.push((p.name, g.coord)),
                    other => panic!("{other:?}"),
                },
                other => panic!("{other:?}"),
            }
        }
        assert_eq!(rings[0].len(), 5);
        assert_eq!((rings[0][0].x, rings[0][0].y), (rings[0][4].x, rings[0][4].y));
        assert_eq!(points[0].0.as_deref(), Some("N goal post 1"));
        let ours = read(&bytes, &ReadOptions::default()).unwrap().value;
        assert_eq!(ours.observations.iter().filter(|o| o.role == Role::Line).count(), 4);
        assert_eq!(ours.observations.iter().filter(|o| o.role == Role::GoalPost).count(), 1);
    }
}
