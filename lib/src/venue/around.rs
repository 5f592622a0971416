//! Reads a ground's surroundings from a venue file: landmarks, hazards, the fence, and when matches are
//! played.

use super::plane_in::local_place;
use super::table::{Source, Table};
use crate::frame::LocalPlane;
use crate::ground::{Fence, Hazard, Landmark, Painted, TightFence, WhereSeen};
use crate::rules::Practice;
use crate::sky::{TimeOfDay, Zone};
use crate::units::ranges::{
    ALONG_M, BEARING_DEG, FENCE_CORNERS, FENCE_M, FENCE_MEASURES, HAZARD_RADIUS_M, LANDMARK_AWAY_M,
    LANDMARK_SIZE_M,
};
use crate::units::{Bearing, Problem};

/// When matches are played at a venue.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MatchTimes {
    /// The time zone.
    pub zone: Option<Zone>,
    /// When a match usually starts.
    pub start: Option<TimeOfDay>,
}

pub(super) fn match_times(root: &mut Table<'_, '_>, s: &mut Source) -> MatchTimes {
    let zone = root.text(s, "timezone").and_then(|name| match Zone::find(&name) {
        Ok(zone) => Some(zone),
        Err(e) => {
            s.problem(root.offset, Problem::new(format!("timezone: {e}")));
            None
        }
    });
    let start = root.text(s, "match_start").and_then(|text| match text.parse::<TimeOfDay>() {
        Ok(time) => Some(time),
        Err(e) => {
            s.problem(root.offset, Problem::new(format!("match_start: {e}")));
            None
        }
    });
    MatchTimes { zone, start }
}

pub(super) fn painted(mut t: Table<'_, '_>, s: &mut Source) -> Painted {
    let found = Painted {
        square: t.boolean(s, "square").unwrap_or(true),
        arcs: t.boolean(s, "arcs").unwrap_or(true),
    };
    t.finish(s);
    found
}

pub(super) fn landmark(
    mut t: Table<'_, '_>,
    s: &mut Source,
    plane: &LocalPlane,
    practice: &Practice,
) -> Option<Landmark> {
    let name = t.must_text(s, "name", "\"silo\"");
    let width = t.number(s, "width_m", &LANDMARK_SIZE_M);
    let height = t.number(s, "height_m", &LANDMARK_SIZE_M);
    let night = t.boolean(s, "at_night");
    let bearing = t.number(s, "bearing_true_deg", &BEARING_DEG);
    let distance = t.number(s, "distance_m", &LANDMARK_AWAY_M);
    let seen = match bearing {
        Some(b) => {
            let far = practice.bearing_only_m.value;
            if distance.is_none_or(|d| d < far) {
                s.problem(
                    t.offset,
                    Problem::new("a landmark known by its bearing alone must be far off")
                        .hint(format!("give distance_m of at least {far}, or its latitude and longitude")),
                );
            }
            Bearing::from_degrees(b).ok().map(WhereSeen::Bearing)
        }
        None => local_place(&mut t, s, plane, "this landmark").map(WhereSeen::At),
    };
    t.finish(s);
    Some(Landmark {
        name: name?,
        seen: seen?,
        width_m: width.unwrap_or(0.0),
        height_m: height,
        at_night: night.unwrap_or(false),
    })
}

pub(super) fn hazard(mut t: Table<'_, '_>, s: &mut Source, plane: &LocalPlane) -> Option<Hazard> {
    let name = t.must_text(s, "name", "\"pit cover\"");
    let radius = t.must_number(s, "radius_m", &HAZARD_RADIUS_M, "0.5");
    let at = local_place(&mut t, s, plane, "this hazard");
    t.finish(s);
    Some(Hazard { name: name?, at: at?, radius_m: radius? })
}

pub(super) fn fence(mut t: Table<'_, '_>, s: &mut Source, plane: &LocalPlane) -> Fence {
    let distance_m = t.number(s, "distance_m", &FENCE_M);
    let tight = t
        .tables(s, "tight", FENCE_MEASURES)
        .into_iter()
        .filter_map(|mut t| {
            let distance = t.must_number(s, "distance_m", &FENCE_M, "2.4");
            let along = t.number(s, "along_m", &ALONG_M);
            let at = local_place(&mut t, s, plane, "this fence measure");
            t.finish(s);
            Some(TightFence { at: at?, distance_m: distance?, along_m: along.unwrap_or(20.0) })
        })
        .collect();
    let corners = t.tables(s, "corner", FENCE_CORNERS);
    let closed = t.boolean(s, "closed").unwrap_or(false);
    let offset = t.offset;
    let mut line: Vec<_> = corners
        .into_iter()
        .filter_map(|mut t| {
            let at = local_place(&mut t, s, plane, "this corner of the fence");
            t.finish(s);
            at
        })
        .collect();
    if line.len() == 1 {
        s.problem(
            offset,
            Problem::new("a fence's line needs two corners or more").hint("give the next [[fence.corner]]"),
        );
    }
    if let (true, Some(&first)) = (closed, line.first()) {
        line.push(first);
    }
    t.finish(s);
    Fence { distance_m, tight, line }
}

#[cfg(test)]
mod tests {
    use super::super::document::{Document, tests::GOOD};

    #[test]
    fn a_fence_of_corners_and_the_times_of_matches() {
        let text = format!(
            "timezone = \"Australia/Melbourne\"\nmatch_start = \"14:10\"\n{GOOD}\n[[fence.corner]]\nx_m = 70\ny_m = 0\n[[fence.corner]]\nx_m = 70\ny_m = 60\n"
        );
        let d = Document::parse(&text).unwrap();
        assert_eq!(d.match_times.start.unwrap().to_string(), "14:10");
        assert_eq!(d.match_times.zone.unwrap().name(), "Australia/Melbourne");
        assert_eq!(d.surroundings.fence.line.len(), 2);
    }

    #[test]
    fn what_is_not_painted() {
        let d = Document::parse(&format!("{GOOD}\n[painted]\narcs = false\n")).unwrap();
        assert!(d.surroundings.painted.square && !d.surroundings.painted.arcs);
    }

    #[test]
    fn what_is_wrong_is_said() {
        let of = |head: &str, tail: &str| {
            let problems = Document::parse(&format!("{head}\n{GOOD}\n{tail}")).unwrap_err();
            problems.iter().map(|p| p.message().to_owned()).collect::<String>()
        };
        assert!(of("timezone = \"Mars/Base\"", "").contains("IANA"));
        assert!(of("match_start = \"2pm\"", "").contains("14:10"));
        assert!(of("", "[[fence.corner]]\nx_m = 70\ny_m = 0\n").contains("two corners"));
    }
}
