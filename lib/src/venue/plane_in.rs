//! Reads a venue's local plane and the places in it from a venue file.

use super::table::{Source, Table};
use crate::frame::{Datum, Degrees, Geodetic, Local, LocalPlane};
use crate::geometry::Point;
use crate::units::Problem;
use crate::units::ranges::{HEIGHT_M, LATITUDE_DEG, LONGITUDE_DEG, PLANE_M};

/// Reads `[datum_point]`. A venue without one is in the survey's own plane.
pub(super) fn plane(root: &mut Table<'_, '_>, s: &mut Source) -> Option<LocalPlane> {
    let Some(mut t) = root.table(s, "datum_point") else {
        return (!root.has("datum_point")).then(LocalPlane::own);
    };
    let at = place(&mut t, s, true);
    let height = t.must_number(s, "height_m", &HEIGHT_M, "100.0");
    let offset = t.offset;
    let datum = t.must_text(s, "datum", "\"GDA2020\"").and_then(|d| {
        let found = Datum::find(&d);
        if found.is_none() {
            s.problem(
                offset,
                Problem::new(format!("datum '{d}' is not known")).hint("the datum point is on GDA2020"),
            );
        }
        found
    });
    t.finish(s);
    let (at, height, datum) = (at?, height?, datum?);
    if datum != Datum::Gda2020 {
        // Landmarks and the fit are on GDA2020: with another datum here they would not match the plane.
        s.problem(
            offset,
            Problem::new(format!(
                "the datum point is on {}, and everything else in the file on GDA2020",
                datum.name()
            ))
            .hint("write it as register did"),
        );
    }
    Geodetic::new(at, height, datum)
        .and_then(LocalPlane::at)
        .map_err(|e| s.problem(offset, Problem::new(e.to_string())))
        .ok()
}

fn place(t: &mut Table<'_, '_>, s: &mut Source, must: bool) -> Option<Degrees> {
    let (lat, lon) = if must {
        (
            t.must_number(s, "latitude", &LATITUDE_DEG, "-36.5"),
            t.must_number(s, "longitude", &LONGITUDE_DEG, "145.0"),
        )
    } else {
        (t.number(s, "latitude", &LATITUDE_DEG), t.number(s, "longitude", &LONGITUDE_DEG))
    };
    Some(Degrees { latitude: lat?, longitude: lon? })
}

/// A point given as latitude and longitude, or as `x_m` and `y_m` in the survey's plane.
pub(super) fn local_place(
    t: &mut Table<'_, '_>,
    s: &mut Source,
    plane: &LocalPlane,
    what: &str,
) -> Option<Point<Local>> {
    let at = place(t, s, false);
    let (x, y) = (t.number(s, "x_m", &PLANE_M), t.number(s, "y_m", &PLANE_M));
    match (at, x, y) {
        (Some(at), None, None) => {
            let found = Geodetic::new(at, 0.0, Datum::Gda2020).ok().and_then(|g| plane.to_local(&g));
            if found.is_none() {
                s.problem(
                    t.offset,
                    Problem::new(format!(
                        "{what} has latitude and longitude, but the venue has no [datum_point]"
                    ))
                    .hint("give x_m and y_m in the survey's plane"),
                );
            }
            found
        }
        (None, Some(x), Some(y)) => Some(Point::new(x, y)),
        _ => {
            s.problem(
                t.offset,
                Problem::new(format!("{what} has no place"))
                    .hint("give latitude and longitude, or x_m and y_m"),
            );
            None
        }
    }
}
