//! GPX 1.0 and 1.1, with any namespace prefix: tracks (each segment is a path), routes
//! (each is a path) and waypoints, in the file's order. Every point is read or reported,
//! and each unknown element is reported once by its name.
//!
//! A GPX height is above sea level, not above the ellipsoid. In Australia the two differ by
//! up to some 70 m. 30 m of height change a ground of 185 m by 1 mm, so this does not matter.

use std::collections::BTreeSet;

use roxmltree::Node;

use super::coordinates::Reference;
use super::features::{self, Feature, Found, Shape, Vertex, short};
use super::xml_nodes::{child_text, elements, label};
use super::{Format, ReadOptions, Survey, SurveyError};
use crate::frame::Datum;
use crate::units::{Problem, Warned, print};

/// All elements of both versions that hold no position, wherever they occur.
#[rustfmt::skip]
const HARMLESS: &[&str] = &[
    "metadata", "extensions", "name", "desc", "cmt", "author", "email", "copyright", "link", "url",
    "urlname", "time", "keywords", "bounds", "ele", "magvar", "geoidheight", "src", "sym", "type",
    "fix", "sat", "hdop", "vdop", "pdop", "ageofdgpsdata", "dgpsid", "number", "speed", "course",
];

pub(super) fn read(root: Node<'_, '_>, options: &ReadOptions) -> Result<Warned<Survey>, SurveyError> {
    let mut walk = Walk::default();
    let (mut waypoints, mut tracks, mut routes) = (0usize, 0usize, 0usize);
    for node in elements(root) {
        match node.tag_name().name() {
            "wpt" => {
                waypoints += 1;
                walk.path(node, "Waypoint", waypoints);
            }
            "rte" => {
                routes += 1;
                walk.path(node, "Route", routes);
            }
            "trk" => {
                tracks += 1;
                walk.path(node, "Track", tracks);
            }
            _ => walk.other(node),
        }
    }
    let Walk { mut found, unknown, bad_heights, .. } = walk;
    for name in unknown {
        let name = print::cut(&name, print::QUOTED_CHARS);
        found.warnings.push(Problem::new(format!("<{name}> is not understood and not read")));
    }
    if bad_heights > 0 {
        found.warnings.push(Problem::new(format!(
            "{}: what their <ele> holds is not a number, and is not used",
            print::count(bad_heights, "point")
        )));
    }
    let reference = Reference::Geodetic(options.datum.unwrap_or(Datum::Wgs84));
    features::survey(found, Format::Gpx, "GPX", reference, options)
}

#[derive(Default)]
struct Walk {
    found: Found,
    unknown: BTreeSet<String>,
    bad_heights: usize,
    groups: usize,
}

impl Walk {
    /// Remembers an element that is not understood.
    fn other(&mut self, node: Node<'_, '_>) {
        let name = node.tag_name().name();
        if !HARMLESS.contains(&name) && !self.unknown.contains(name) {
            self.unknown.insert(name.to_owned());
        }
    }

    /// A waypoint, a route or a track.
    fn path(&mut self, node: Node<'_, '_>, kind: &str, number: usize) {
        self.groups += 1;
        let name = short(child_text(node, "name").unwrap_or(""));
        let also: Vec<String> = ["type", "desc", "cmt"]
            .iter()
            .filter_map(|tag| child_text(node, tag))
            .filter(|t| !t.is_empty() && *t != name)
            .map(short)
            .collect();
        let place = label(kind, number, &name);
        let group = self.groups;
        let feature = |part: String, shape, vertices| Feature {
            group,
            path: name.clone(),
            name: name.clone(),
            also: also.clone(),
            place: place.clone(),
            part,
            shape,
            walked: kind == "Track",
            vertices,
        };
        let point = match kind {
            "Waypoint" => {
                let vertex = self.point(node, 1, || place.clone());
                if let Some(v) = vertex {
                    self.found.keep(feature(String::new(), Shape::Point, vec![v]));
                }
                return;
            }
            "Route" => "rtept",
            _ => "trkseg",
        };
        let parts: Vec<Node<'_, '_>> = elements(node).filter(|n| n.tag_name().name() == point).collect();
        for n in elements(node).filter(|n| n.tag_name().name() != point) {
            self.other(n);
        }
        if parts.is_empty() {
            self.found.warnings.push(Problem::new("has no points").at(place));
            return;
        }
        if kind == "Route" {
            let vertices = self.points(parts.into_iter(), "rtept", &place, "");
            self.found.keep(feature(String::new(), Shape::Line, vertices));
            return;
        }
        let several = parts.len() > 1;
        for (i, segment) in parts.into_iter().enumerate() {
            let part = if several { format!(", segment {}", i + 1) } else { String::new() };
            let vertices = self.points(elements(segment), "trkpt", &place, &part);
            self.found.keep(feature(part, Shape::Line, vertices));
        }
    }

    fn points<'a, 'i: 'a>(
        &mut self,
        nodes: impl Iterator<Item = Node<'a, 'i>>,
        tag: &str,
        place: &str,
        part: &str,
    ) -> Vec<Vertex> {
        let mut vertices = Vec::new();
        let mut number = 0usize;
        for node in nodes {
            if node.tag_name().name() != tag {
                self.other(node);
                continue;
            }
            number += 1;
            vertices.extend(self.point(node, number, || format!("{place}{part}, point {number}")));
        }
        vertices
    }

    /// One point; `None` after a problem.
    fn point(&mut self, node: Node<'_, '_>, number: usize, place: impl Fn() -> String) -> Option<Vertex> {
        let mut vertex = match (angle(node, "lat", "latitude"), angle(node, "lon", "longitude")) {
            (Ok(lat), Ok(lon)) => Vertex::new(lon, lat, number),
            (lat, lon) => {
                for p in [lat.err(), lon.err()].into_iter().flatten() {
                    self.found.problems.push(p.at(place()));
                }
                return None;
            }
        };
        for child in elements(node) {
            let text = || child.text().unwrap_or("").trim();
            match child.tag_name().name() {
                "ele" => match text().parse::<f64>() {
                    Ok(h) if h.is_finite() => vertex.height = Some(h),
                    _ if text().is_empty() => {}
                    _ => self.bad_heights += 1,
                },
                "time" => vertex.time_s = self.found.clock.read(text(), &place),
                _ => self.other(child),
            }
        }
        Some(vertex)
    }
}

fn angle(node: Node<'_, '_>, attribute: &str, what: &str) -> Result<f64, Problem> {
    let text = node.attribute(attribute).map_or("", str::trim);
    if text.is_empty() {
        return Err(Problem::new(format!("{what} is missing")));
    }
    match text.parse::<f64>() {
        Ok(v) if v.is_finite() => Ok(v),
        _ => {
            let p = Problem::new(format!("{what} {} is not a number", print::quoted(text)));
            Err(if text.contains(',') { p.hint("write decimals with a point") } else { p })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Observation, Patterns, Role, xml};
    use super::*;

    fn gpx(body: &str) -> String {
        format!(
            "<?xml version='1.0'?><gpx version='1.1' xmlns='http://www.topografix.com/GPX/1/1'>{body}</gpx>"
        )
    }

    fn ok(body: &str) -> Warned<Survey> {
        xml::read(&gpx(body), &ReadOptions::default()).unwrap()
    }

    fn err(body: &str) -> String {
        xml::read(&gpx(body), &ReadOptions::default()).unwrap_err().to_string()
    }

    fn roles(observations: &[Observation]) -> Vec<Role> {
        observations.iter().map(|o| o.role).collect()
    }

    const SEGMENTS: &str = "<trkseg><trkpt lat='-36' lon='145'><ele>91.5</ele><time>2026-03-14T00:00:00Z</time>\
         </trkpt></trkseg><trkseg><trkpt lat='-36.1' lon='145.1'/><trkpt lat='-36.2' lon='145.2'/></trkseg>";

    #[test]
    fn a_track_of_two_segments_and_waypoints_by_name_desc_and_type() {
        let r = ok(&format!(
            "<wpt lat='-36' lon='145'><name>GP N</name></wpt>\
             <wpt lat='-36' lon='145'><name>7</name><desc>behind post</desc></wpt>\
             <wpt lat='-36' lon='145'><name>8</name><type>Goal Post</type></wpt>\
             <wpt lat='-36' lon='145'><name>Canteen</name></wpt>\
             <trk><name>walk</name>{SEGMENTS}</trk>"
        ));
        let all = &r.value.observations;
        let line = [Role::Line; 3];
        let posts = [Role::GoalPost, Role::BehindPost, Role::GoalPost, Role::Unused];
        assert_eq!(roles(all), [&posts[..], &line].concat());
        assert_eq!(all[3].place, "Waypoint 4 'Canteen'");
        assert_eq!(all[6].place, "Track 1 'walk', segment 2, point 2");
        let paths: Vec<_> = all.iter().map(|o| o.path).collect();
        assert_eq!(paths, [None, None, None, None, Some(0), Some(1), Some(1)]);
        // From 1970-01-01 to 2026-03-14 there are 20526 days: 56 years, 14 leap days and 31 + 28 + 13 days.
        assert_eq!(all[4].time_s, Some((56 * 365 + 14 + 72) as f64 * 86_400.0));
        assert_eq!(all[5].time_s, None);
        assert_eq!(r.value.height_m, Some(91.5));
        assert_eq!(r.value.format, Format::Gpx);
    }

    #[test]
    fn version_1_0_and_a_prefix_and_a_route() {
        let text = "<g:gpx xmlns:g='http://www.topografix.com/GPX/1/0' version='1.0'><g:time>x</g:time>\
            <g:rte><g:name>edge</g:name><g:rtept lat='-36' lon='145'><g:speed>1</g:speed></g:rtept>\
            <g:rtept lat='-36.1' lon='145'/></g:rte></g:gpx>";
        let r = xml::read(text, &ReadOptions::default()).unwrap();
        assert_eq!(roles(&r.value.observations), [Role::Line; 2]);
        assert_eq!(r.value.observations[1].place, "Route 1 'edge', point 2");
        assert!(!r.warnings.iter().any(|w| w.message().contains("understood")));
    }

    #[test]
    fn several_tracks_are_asked_about_unless_named() {
        let track = |name: &str| {
            format!("<trk><name>{name}</name><trkseg><trkpt lat='-36' lon='145'/></trkseg></trk>")
        };
        let two = format!("{}{}", track("there"), track("back"));
        assert!(err(&two).contains("Track 1 'there'; Track 2 'back'"));
        assert!(err(&two).contains("say which features are the boundary"));
        let r = ok(&format!("{}{}", track("drive"), track("oval")));
        assert_eq!(roles(&r.value.observations), [Role::Unused, Role::Line]);
        let patterns = Patterns { boundary: vec!["drive".into()], ..Patterns::default() };
        let options = ReadOptions { patterns, ..ReadOptions::default() };
        let r = xml::read(&gpx(&format!("{}{}", track("drive"), track("oval"))), &options).unwrap();
        assert_eq!(roles(&r.value.observations), [Role::Line, Role::Unused]);
    }

    #[test]
    fn without_a_track_loose_waypoints_are_the_line() {
        let r = ok(&(1..=3)
            .map(|i| format!("<wpt lat='-36' lon='145.{i}'><name>{i}</name></wpt>"))
            .collect::<String>());
        assert_eq!(roles(&r.value.observations), [Role::Line; 3]);
        assert!(r.value.observations.iter().all(|o| o.path.is_none()));
    }

    #[test]
    fn bad_places_are_problems_and_bad_times_and_heights_are_not() {
        let e =
            err("<trk><trkseg><trkpt lat='-36,5' lon='145'/><trkpt lon='145'/><trkpt lat='145' lon='-36'/>\
             </trkseg></trk>");
        assert!(e.contains("Track 1, point 1: latitude '-36,5'") && e.contains("with a point"), "{e}");
        assert!(e.contains("point 2: latitude is missing"), "{e}");
        assert!(err("<wpt lat='145' lon='-36'/>").contains("swapped"));
        assert!(err("<wpt lat='NaN' lon='145'/>").contains("not a number"));
        let r = ok("<wpt lat='-36' lon='145'><ele>high</ele><time>noon</time></wpt>");
        assert_eq!(r.value.observations[0].time_s, None);
        assert!(r.warnings.iter().any(|w| w.to_string().contains("Waypoint 1: 'noon'")));
        assert!(r.warnings.iter().any(|w| w.message().contains("<ele>")));
    }

    #[test]
    fn what_is_not_understood_is_said_once() {
        let r =
            ok("<wpt lat='-36' lon='145'><shoes/><hdop>1</hdop><extensions><a><b/></a></extensions></wpt>\
             <wpt lat='-36' lon='145'><magvar>11.2</magvar><shoes/></wpt><wpt lat='-36' lon='145'/><trk/>");
        let said: Vec<_> = r.warnings.iter().filter(|w| w.message().contains("understood")).collect();
        assert_eq!(said.len(), 1);
        assert!(said[0].message().contains("<shoes>"));
        assert!(r.warnings.iter().any(|w| w.to_string().contains("Track 1: has no points")));
        assert!(err("").contains("no points"));
    }
}
