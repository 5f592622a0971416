//! A CSV text with its geometry as well-known text: each row is a feature with a code or name, and line
//! and posts are told apart as in GeoJSON.

use super::coordinates::Reference;
use super::csv_cells::{name, quote_open, reader};
use super::csv_end::{End, Holds};
use super::csv_head::{Columns, Head};
use super::csv_lines::{LineCounter, swallowed};
use super::features::{self, Feature, Found};
use super::{Format, ReadOptions, Survey, SurveyError, crs, wkt};
use crate::frame::Datum;
use crate::units::{Problem, Warned, print};

/// Reads the rows below a header that names a geometry.
pub(super) fn read(
    text: &str,
    head: &Head,
    columns: &Columns,
    options: &ReadOptions,
    mut warnings: Vec<Problem>,
) -> Result<Warned<Survey>, SurveyError> {
    let body = text.get(head.start..).unwrap_or("");
    let mut lines = LineCounter::new(text);
    let mut found = Found::default();
    let (mut srid, mut holes): (Option<(u32, String)>, usize) = (None, 0);
    let mut rows = reader(body, head.delimiter);
    let cells = rows.headers().map_or(0, csv::StringRecord::len);
    let mut end = End::of(text, head.delimiter, |_| Holds::Text);
    let blank = |r: &csv::StringRecord| r.iter().all(str::is_empty);
    let mut records = rows.records().filter(|r| !r.as_ref().is_ok_and(blank)).peekable();
    while let Some(record) = records.next() {
        if found.problems.enough() {
            break;
        }
        let record = record.map_err(|e| SurveyError::from(Problem::new(e.to_string())))?;
        let byte = record.position().map_or(0, csv::Position::byte) + head.start as u64;
        let line = lines.at(byte);
        let place = format!("line {line}");
        if let Some(lines) = record.iter().find_map(|c| swallowed(c, head.delimiter)) {
            found.problems.push(quote_open(lines).at(place));
            break;
        }
        let cut = if records.peek().is_none() { end.cut(&record, cells) } else { None };
        end.row(&record);
        let read = match wkt::read(record.get(columns.first).unwrap_or("")) {
            Ok(read) => read,
            Err(_) if cut.is_some() => {
                warnings.push(
                    Problem::new(format!(
                        "{}: the file seems to be cut off there, and the row is left out",
                        cut.unwrap_or_default()
                    ))
                    .at(place)
                    .hint("export or fetch the file again: rows may be missing after it"),
                );
                continue;
            }
            Err(p) => {
                found.problems.push(p.at(place));
                continue;
            }
        };
        if let Some(said) = read.srid {
            let (before, there) = srid.get_or_insert_with(|| (said, place.clone()));
            if *before != said {
                found.problems.push(
                    Problem::new(format!("its system is SRID {said}, and that of {there} SRID {before}"))
                        .at(place)
                        .hint("export all of it in one system"),
                );
                continue;
            }
        }
        holes += read.holes;
        keep(&mut found, &name(&record, columns), line, read);
    }
    if holes > 0 {
        warnings.push(Problem::new(format!(
            "{} of polygons not read",
            print::count(holes, "inner ring (a hole)")
        )));
    }
    let names_datum = srid.is_some();
    let reference = reference(srid, options, &found, &mut warnings)?;
    let mut survey = features::survey(found, Format::Csv, "CSV", reference, options)?;
    survey.value.names_datum = names_datum;
    warnings.append(&mut survey.warnings);
    Ok(Warned { value: survey.value, warnings })
}

/// Keeps each part of a row's geometry as a feature.
fn keep(found: &mut Found, name: &str, line: usize, read: wkt::Wkt) {
    let several = read.parts.len() > 1;
    if read.parts.is_empty() {
        found.warnings.push(Problem::new("has no coordinates").at(format!("line {line}")));
    }
    for (i, (shape, vertices)) in read.parts.into_iter().enumerate() {
        found.keep(Feature {
            group: line,
            path: name.to_owned(),
            name: name.to_owned(),
            also: Vec::new(),
            place: format!("line {line}"),
            part: if several { format!(", part {}", i + 1) } else { String::new() },
            shape,
            walked: false,
            vertices,
        });
    }
}

/// What the coordinates are: by the geometry's SRID, or else by the options.
fn reference(
    srid: Option<(u32, String)>,
    options: &ReadOptions,
    found: &Found,
    warnings: &mut Vec<Problem>,
) -> Result<Reference, SurveyError> {
    let Some((srid, place)) = srid else {
        let far = |f: &Feature| f.vertices.iter().any(|v| v.east.abs() > 360.0 && v.north.abs() > 360.0);
        if !found.features.iter().any(far) {
            return Ok(Reference::Geodetic(options.datum.unwrap_or(Datum::Wgs84)));
        }
        return match options.zone {
            Some(zone) => Ok(Reference::Grid(zone, options.datum.unwrap_or(Datum::Gda2020))),
            None => Err(super::local::which_zone()),
        };
    };
    let Some(said) = crs::by_code(srid) else {
        return Err(Problem::new(format!("the geometries are of SRID {srid}, which is not read"))
            .at(place)
            .hint("export it in longitude and latitude (EPSG 4326 or 7844) or in MGA (EPSG 7849 to 7856)")
            .into());
    };
    let (Reference::Geodetic(datum) | Reference::Grid(_, datum)) = said;
    if let Some(wanted) = options.datum.filter(|d| *d != datum) {
        warnings.push(Problem::new(format!(
            "SRID {srid} is on {}; it is read as {}, as was said",
            datum.name(),
            wanted.name()
        )));
    }
    let datum = options.datum.unwrap_or(datum);
    Ok(match said {
        Reference::Geodetic(_) => Reference::Geodetic(datum),
        Reference::Grid(zone, _) => {
            if options.zone.is_some_and(|z| z != zone) {
                warnings.push(Problem::new(format!(
                    "the zone of SRID {srid} is used, {}, not the one that was said",
                    zone.number()
                )));
            }
            Reference::Grid(zone, datum)
        }
    })
}

#[cfg(test)]
mod tests {
    use crate::frame::{Datum, Zone};
    use crate::survey::{Position, ReadOptions, Role, Survey, read};
    use crate::units::Warned;

    fn ok(csv: &str) -> Warned<Survey> {
        read(csv.as_bytes(), &ReadOptions::default()).unwrap()
    }

    fn refused(csv: &str) -> String {
        read(csv.as_bytes(), &ReadOptions::default()).unwrap_err().to_string()
    }

    #[test]
    fn a_polygon_is_the_boundary_and_named_points_are_posts() {
        let r = ok(
            "WKT,name\n\"POLYGON ((144.95 -37.80, 144.951 -37.80, 144.951 -37.801, 144.95 -37.80))\",oval\n\
                    POINT (144.952 -37.8),North left goal post\n\"point z (144.953 -37.8 20)\",shed\n",
        );
        let o = &r.value.observations;
        let roles: Vec<Role> = o.iter().map(|o| o.role).collect();
        assert_eq!(roles, [Role::Line, Role::Line, Role::Line, Role::GoalPost, Role::Unused]);
        assert!(
            matches!(o[0].position, Position::Geodetic(g) if g.longitude_deg() == 144.95 && g.datum() == Datum::Wgs84)
        );
        assert_eq!(
            (o[2].place.as_str(), o[3].place.as_str(), o[0].path),
            ("line 2, point 3", "line 3", Some(0))
        );
        assert!(r.warnings.iter().any(|w| w.message().contains("closing point")), "{:?}", r.warnings);
    }

    #[test]
    fn a_column_of_geometries_alone_needs_no_quotes() {
        let r = ok("wkt\nLINESTRING (144.95 -37.80, 144.951 -37.80)\n");
        assert_eq!(r.value.observations.len(), 2);
    }

    #[test]
    fn the_system_of_the_geometry_is_its_own() {
        let r = ok("geom;code\n\"SRID=28355;POINT (322511.2 5812242.1)\";\n");
        let Position::Grid(g) = r.value.observations[0].position else { unreachable!() };
        assert_eq!((g.zone(), g.geodetic().unwrap().datum()), (Zone::new(55).unwrap(), Datum::Gda94));
        assert!(!r.warnings.iter().any(|w| w.message().contains("MGA2020")), "{:?}", r.warnings);
        let e = refused("wkt\nSRID=3857;POINT (16100000 -4500000)\n");
        assert!(e.contains("line 2: the geometries are of SRID 3857, which is not read"), "{e}");
        let e = refused("wkt\nSRID=4326;POINT (144.9 -37.8)\nSRID=4283;POINT (144.9 -37.8)\n");
        assert!(e.contains("line 3: its system is SRID 4283, and that of line 2 SRID 4326"), "{e}");
        assert!(refused("wkt\nPOINT (322511 5812242)\n").contains("nothing says their zone"));
    }

    #[test]
    fn a_geometry_that_commas_cut_is_said_to_want_quotes() {
        let e = refused("wkt,name\nLINESTRING (144.95 -37.80, 144.951 -37.80),oval\n");
        assert!(e.contains("line 2: the geometry is cut off") && e.contains("in quotes"), "{e}");
        assert!(refused("wkt\nPOINT (-37.8 144.9)\n").contains("swapped"));
    }
}
