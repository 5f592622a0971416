//! KML, by a walk of the parsed document. It keeps names and folder paths, checks every
//! coordinate, and reads or reports every point and element. Size, nodes and depth are
//! limited. Tracks (`gx:Track`, or `Track` of KML 2.3) give their times.

use roxmltree::Node;

use super::coordinates::Reference;
use super::features::{self, Feature, Found, Shape, Vertex, below, short};
use super::xml_nodes::{MAX_DEPTH, child_text, elements, label};
use super::{Format, MAX_POINTS, ReadOptions, Survey, SurveyError};
use crate::frame::Datum;
use crate::units::{Problem, Warned, print};

pub(super) fn read(root: Node<'_, '_>, options: &ReadOptions) -> Result<Warned<Survey>, SurveyError> {
    let mut walk = Walk::default();
    walk.container(root);
    if walk.empty_coordinates > 0 {
        walk.found.warnings.push(Problem::new(format!(
            "{} of a track without coordinates: left out",
            print::count(walk.empty_coordinates, "moment")
        )));
    }
    let reference = Reference::Geodetic(options.datum.unwrap_or(Datum::Wgs84));
    features::survey(walk.found, Format::Kml, "KML", reference, options)
}

#[derive(Default)]
struct Walk {
    found: Found,
    /// Number of track points without coordinates, which the standard allows.
    empty_coordinates: usize,
}

/// What the parts of one placemark share.
struct Placemark {
    number: usize,
    name: String,
    path: String,
    place: String,
    time_s: Option<f64>,
}

impl Walk {
    /// Walks folders with an explicit stack, so that deep nesting costs no call stack.
    fn container(&mut self, root: Node<'_, '_>) {
        // Node, folder path, place and depth; taken from the back, so children are pushed in reverse.
        let mut open = vec![(root, String::new(), String::new(), 0usize)];
        let mut folder_number = 0usize;
        let mut placemark_number = 0usize;
        while let Some((node, path, place, depth)) = open.pop() {
            let tag = node.tag_name().name();
            if tag == "Placemark" {
                placemark_number += 1;
                self.placemark(node, placemark_number, &path, &place);
                continue;
            }
            if depth > MAX_DEPTH {
                self.found
                    .problems
                    .push(Problem::new(format!("folders are nested more than {MAX_DEPTH} deep")).at(place));
                continue;
            }
            let (path, place) = if tag == "Folder" {
                folder_number += 1;
                let name = &short(child_text(node, "name").unwrap_or(""));
                let shown = label("Folder", folder_number, name);
                (below(&path, "/", name), below(&place, " / ", &shown))
            } else {
                (path, place)
            };
            let children: Vec<_> = elements(node).collect();
            for child in children.into_iter().rev() {
                match child.tag_name().name() {
                    "Document" | "Folder" | "Placemark" => {
                        open.push((child, path.clone(), place.clone(), depth + 1));
                    }
                    "NetworkLink" | "GroundOverlay" | "ScreenOverlay" | "PhotoOverlay" | "Tour" | "Model"
                    | "Create" | "Update" | "Delete" | "NetworkLinkControl" => {
                        self.warn_unread(child, &place);
                    }
                    // Styles, schemas, views and descriptions are skipped, unless they hide a placemark.
                    _ if child.descendants().skip(1).any(|n| n.tag_name().name() == "Placemark") => {
                        self.warn_unread(child, &place);
                    }
                    _ => {}
                }
            }
        }
    }

    fn warn_unread(&mut self, node: Node<'_, '_>, place: &str) {
        let name = print::cut(node.tag_name().name(), print::QUOTED_CHARS);
        let p = Problem::new(format!("<{name}> is not understood and not read"));
        self.found.warnings.push(if place.is_empty() { p } else { p.at(place) });
    }

    fn placemark(&mut self, node: Node<'_, '_>, number: usize, path: &str, place: &str) {
        let name = short(child_text(node, "name").unwrap_or(""));
        let place = below(place, " / ", &label("Placemark", number, &name));
        let path = below(path, "/", &name);
        let stamp = elements(node).find(|n| n.tag_name().name() == "TimeStamp");
        let when = stamp.and_then(|s| child_text(s, "when")).unwrap_or("");
        let time_s = self.found.clock.read(when, || place.clone());
        let placemark = Placemark { number, name, path, place, time_s };
        let mut drawn = Vec::new();
        let mut open: Vec<(Node<'_, '_>, usize)> = vec![(node, 0)];
        let mut found = 0usize;
        // Taken from the back, so children are pushed in reverse: the order of the file matters in a walk.
        while let Some((node, depth)) = open.pop() {
            match node.tag_name().name() {
                "Placemark" | "MultiGeometry" | "MultiTrack" => {
                    if depth > MAX_DEPTH {
                        self.found
                            .problems
                            .push(Problem::new("geometries are nested too deep").at(placemark.place));
                        return;
                    }
                    let children: Vec<_> = elements(node).collect();
                    open.extend(children.into_iter().rev().map(|child| (child, depth + 1)));
                    continue;
                }
                "Polygon" => self.polygon(node, &placemark, &mut drawn),
                "Point" => drawn.push((node, Shape::Point)),
                "LineString" | "Track" => drawn.push((node, Shape::Line)),
                "LinearRing" => drawn.push((node, Shape::Ring)),
                "Model" => self.warn_unread(node, &placemark.place),
                _ => continue,
            }
            found += 1;
        }
        if found == 0 {
            self.found.warnings.push(Problem::new("has no geometry").at(placemark.place));
            return;
        }
        let several = drawn.len() > 1;
        for (i, (node, shape)) in drawn.into_iter().enumerate() {
            let part = if several { format!(", part {}", i + 1) } else { String::new() };
            let vertices = if node.tag_name().name() == "Track" {
                self.track(node, &format!("{}{part}", placemark.place))
            } else {
                self.vertices(node, shape, &placemark, &part)
            };
            if let Some(vertices) = vertices {
                self.found.keep(Feature {
                    group: placemark.number,
                    path: placemark.path.clone(),
                    name: placemark.name.clone(),
                    also: Vec::new(),
                    place: placemark.place.clone(),
                    part,
                    shape,
                    walked: node.tag_name().name() == "Track",
                    vertices,
                });
            }
        }
    }

    fn polygon<'a, 'i>(
        &mut self,
        node: Node<'a, 'i>,
        placemark: &Placemark,
        drawn: &mut Vec<(Node<'a, 'i>, Shape)>,
    ) {
        for side in elements(node) {
            match side.tag_name().name() {
                "outerBoundaryIs" => drawn.extend(
                    elements(side).filter(|c| c.tag_name().name() == "LinearRing").map(|r| (r, Shape::Ring)),
                ),
                "innerBoundaryIs" => self
                    .found
                    .warnings
                    .push(Problem::new("an inner ring (a hole) is not read").at(placemark.place.clone())),
                _ => {}
            }
        }
    }

    /// The vertices in `<coordinates>`; `None` after a problem.
    fn vertices(
        &mut self,
        node: Node<'_, '_>,
        shape: Shape,
        placemark: &Placemark,
        part: &str,
    ) -> Option<Vec<Vertex>> {
        let place = || format!("{}{part}", placemark.place);
        let text: String = elements(node)
            .filter(|c| c.tag_name().name() == "coordinates")
            .flat_map(|c| c.children().filter_map(|t| t.text()))
            .collect();
        let (points, mended) = match tuples(&text) {
            Ok(read) => read,
            Err(p) => {
                self.found.problems.push(p.at(place()));
                return None;
            }
        };
        if mended {
            self.found.warnings.push(
                Problem::new("blanks after commas inside a coordinate are read as if they were not there")
                    .at(place()),
            );
        }
        if shape == Shape::Point && points.len() > 1 {
            self.found
                .problems
                .push(Problem::new(format!("a <Point> holds {} coordinates", points.len())).at(place()));
            return None;
        }
        let time_s = placemark.time_s.filter(|_| shape == Shape::Point);
        Some(points.iter().enumerate().map(|(i, p)| Vertex { time_s, ..vertex(*p, i + 1) }).collect())
    }

    /// The vertices of a track, from its pairs of `<when>` and `<gx:coord>`; `None` if their counts differ.
    fn track(&mut self, node: Node<'_, '_>, place: &str) -> Option<Vec<Vertex>> {
        let named = |tag: &'static str| elements(node).filter(move |c| c.tag_name().name() == tag);
        let (whens, coords) = (named("when").count(), named("coord").count());
        if whens != coords {
            self.found.problems.push(
                Problem::new(format!("the track has {whens} <when> and {coords} <coord>"))
                    .at(place)
                    .hint("each point of a track needs its moment; export it again, or as a line"),
            );
            return None;
        }
        let mut vertices = Vec::new();
        for (i, (when, coord)) in named("when").zip(named("coord")).take(MAX_POINTS + 1).enumerate() {
            let text = coord.text().unwrap_or("").trim();
            if text.is_empty() {
                self.empty_coordinates += 1;
                continue;
            }
            let at = || format!("{place}, point {}", i + 1);
            let numbers: Vec<&str> = text.split_whitespace().take(4).collect();
            match numbers_of(&numbers) {
                Some(point) => {
                    let time_s = self.found.clock.read(when.text().unwrap_or(""), at);
                    vertices.push(Vertex { time_s, ..vertex(point, i + 1) });
                }
                None => self.found.problems.push(
                    Problem::new(format!("{} is not longitude, latitude and height", print::quoted(text)))
                        .at(at())
                        .hint("the numbers of a track's point are set apart by blanks"),
                ),
            }
        }
        Some(vertices)
    }
}

/// A vertex. In KML a height of exactly zero means that there is none.
fn vertex([lon, lat, height]: [f64; 3], number: usize) -> Vertex {
    Vertex { height: Some(height).filter(|h| *h != 0.0), ..Vertex::new(lon, lat, number) }
}

/// Two or three finite numbers; the height is 0 where there is none.
fn numbers_of(texts: &[&str]) -> Option<[f64; 3]> {
    if !(2..=3).contains(&texts.len()) {
        return None;
    }
    let mut point = [0.0; 3];
    for (slot, text) in point.iter_mut().zip(texts) {
        *slot = text.parse().ok().filter(|v: &f64| v.is_finite())?;
    }
    Some(point)
}

/// Coordinates `lon,lat[,alt]`, separated by blanks. A blank beside a comma can only be
/// inside a tuple, so it is removed; the second value says whether that happened.
fn tuples(text: &str) -> Result<(Vec<[f64; 3]>, bool), Problem> {
    let mut joined = String::with_capacity(text.len());
    let mut mended = false;
    let mut pending = false;
    for c in text.trim().chars() {
        if c.is_whitespace() {
            pending = true;
            continue;
        }
        if pending {
            if c == ',' || joined.ends_with(',') {
                mended = true;
            } else {
                joined.push(' ');
            }
            pending = false;
        }
        joined.push(c);
    }
    let mut points = Vec::new();
    for (i, tuple) in joined.split(' ').filter(|t| !t.is_empty()).enumerate() {
        let numbers: Vec<&str> = tuple.split(',').collect();
        let shown = print::quoted(tuple);
        if !(2..=3).contains(&numbers.len()) {
            return Err(Problem::new(format!(
                "coordinate {} {shown} has {}, not lon,lat or lon,lat,height",
                i + 1,
                print::count(numbers.len(), "number")
            ))
            .hint("points are set apart by blanks, the numbers of one point by commas"));
        }
        let point = numbers_of(&numbers)
            .ok_or_else(|| Problem::new(format!("coordinate {} {shown} is not all numbers", i + 1)))?;
        points.push(point);
    }
    Ok((points, mended))
}

#[cfg(test)]
mod tests {
    use super::super::{Patterns, Position, Role, xml};
    use super::*;

    fn kml(body: &str) -> String {
        format!(
            "<?xml version='1.0'?><kml xmlns='http://www.opengis.net/kml/2.2'><Document>{body}</Document></kml>"
        )
    }

    fn point(name: &str, at: &str) -> String {
        format!("<Placemark><name>{name}</name><Point><coordinates>{at}</coordinates></Point></Placemark>")
    }

    fn ok(body: &str) -> Warned<Survey> {
        xml::read(&kml(body), &ReadOptions::default()).unwrap()
    }

    fn err(body: &str) -> String {
        xml::read(&kml(body), &ReadOptions::default()).unwrap_err().to_string()
    }

    #[test]
    fn a_polygon_with_posts_and_a_landmark() {
        let body = format!(
            "<Folder><name>survey</name><Placemark><name>edge</name><Polygon><outerBoundaryIs><LinearRing>\
             <coordinates>145,-36,0 145.001,-36,0\n145.001,-36.001,0 145,-36,0</coordinates></LinearRing>\
             </outerBoundaryIs></Polygon></Placemark>{}{}</Folder>",
            point("Goal post N1", "145,-36.0001"),
            point("Canteen", "145.002,-36")
        );
        let r = ok(&body);
        let roles: Vec<_> = r.value.observations.iter().map(|o| o.role).collect();
        assert_eq!(roles, [Role::Line, Role::Line, Role::Line, Role::GoalPost, Role::Unused]);
        assert_eq!(r.value.observations[1].place, "Folder 1 'survey' / Placemark 1 'edge', point 2");
        assert_eq!(r.value.observations[0].name, "survey/edge");
        assert!(r.warnings.iter().any(|w| w.message().contains("closing point")));
        assert!(r.warnings.iter().any(|w| w.message().contains("Canteen")));
    }

    #[test]
    fn parts_of_a_multi_geometry_stay_in_the_files_order() {
        let line =
            |lon: u32| format!("<LineString><coordinates>{lon},-36 {lon}.5,-36</coordinates></LineString>");
        let body = format!(
            "<Placemark><name>oval</name><MultiGeometry>{}<MultiGeometry>{}{}</MultiGeometry>{}</MultiGeometry></Placemark>",
            line(141),
            line(142),
            line(143),
            line(144)
        );
        let lons: Vec<f64> = ok(&body)
            .value
            .observations
            .iter()
            .map(|o| match o.position {
                Position::Geodetic(g) => g.longitude_deg(),
                _ => f64::NAN,
            })
            .collect();
        assert_eq!(lons, [141.0, 141.5, 142.0, 142.5, 143.0, 143.5, 144.0, 144.5]);
    }

    #[test]
    fn coordinates_are_checked_and_counted() {
        assert!(err(&point("", "144.98,-37.82,0,144.99,-37.83,0")).contains("6 numbers"));
        assert!(err(&point("", "NaN,-37")).contains("not all numbers"));
        assert!(err(&point("", "144,-137")).contains("latitude -137"));
        assert!(err(&point("", "-37.8,144.9")).contains("swapped"));
        let mended = ok(&point("", "144.98, -37.82"));
        assert_eq!(mended.value.observations.len(), 1);
        assert!(mended.warnings.iter().any(|w| w.message().contains("blanks")));
    }

    #[test]
    fn broken_documents_end_in_a_sentence() {
        let whole = kml(&point("a", "145,-36"));
        for cut in [10, 60, whole.len() / 2, whole.len() - 3] {
            assert!(xml::read(&whole[..cut], &ReadOptions::default()).is_err());
        }
        let deep = format!("{}{}", "<Folder>".repeat(400), "</Folder>".repeat(400));
        assert!(err(&deep).contains("nested more than"));
        assert!(err("<Placemark><Point/></Placemark>").contains("no points"));
    }

    #[test]
    fn several_lines_are_asked_about_unless_one_is_named() {
        let line = |n: &str| {
            format!(
                "<Placemark><name>{n}</name><LineString><coordinates>145,-36 145.1,-36</coordinates></LineString></Placemark>"
            )
        };
        assert!(
            err(&format!("{}{}", line("car park"), line("track")))
                .contains("say which features are the boundary")
        );
        let r = ok(&format!("{}{}", line("car park"), line("Oval boundary")));
        assert_eq!(r.value.observations.iter().filter(|o| o.role == Role::Line).count(), 2);
        let options = ReadOptions {
            patterns: Patterns { boundary: vec!["track".into()], ..Patterns::default() },
            ..ReadOptions::default()
        };
        let r = xml::read(&kml(&format!("{}{}", line("car park"), line("track"))), &options).unwrap();
        assert!(r.value.observations.iter().filter(|o| o.role == Role::Line).all(|o| o.name == "track"));
    }

    #[test]
    fn the_parts_of_one_placemark_are_one_feature() {
        let part = "<LineString><coordinates>145,-36 145.1,-36</coordinates></LineString>";
        let r = ok(&format!("<Placemark><MultiGeometry>{part}{part}</MultiGeometry></Placemark>"));
        assert_eq!(r.value.observations.iter().filter(|o| o.role == Role::Line).count(), 4);
    }

    #[test]
    fn loose_points_by_the_largest_group() {
        let body: String =
            (1..=6).map(|i| point(&format!("Pt {i}"), "145,-36")).chain([point("Shed", "145,-36")]).collect();
        let r = ok(&body);
        assert_eq!(r.value.observations.iter().filter(|o| o.role == Role::Line).count(), 6);
        assert!(r.warnings.iter().any(|w| w.message().contains("'pt'")));
    }

    #[test]
    fn what_is_not_read_is_said() {
        let r = ok(&format!("<NetworkLink/>{}<Placemark><Model/></Placemark>", point("a", "145,-36")));
        assert!(r.warnings.iter().any(|w| w.message().contains("NetworkLink")));
        assert!(r.warnings.iter().any(|w| w.message().contains("Model")));
    }

    /// A track in the extension's namespace.
    fn track(pairs: &[(&str, &str)]) -> String {
        let whens: String = pairs.iter().map(|(when, _)| format!("<when>{when}</when>")).collect();
        let coords: String = pairs.iter().map(|(_, at)| format!("<gx:coord>{at}</gx:coord>")).collect();
        format!("<gx:Track xmlns:gx='http://www.google.com/kml/ext/2.2'>{whens}{coords}</gx:Track>")
    }

    #[test]
    fn tracks_give_times_and_each_is_a_path() {
        let one = track(&[
            ("1970-01-01T00:00:01Z", "145 -36 90"),
            ("1970-01-01T00:00:02Z", ""),
            ("noon", "145.1 -36"),
        ]);
        let two = track(&[("1970-01-01T00:00:09Z", "145.2 -36 0")]).replace("gx:", "");
        let r = ok(&format!("<Placemark><name>w</name><MultiTrack>{one}{two}</MultiTrack></Placemark>"));
        let all = &r.value.observations;
        assert_eq!(all.iter().map(|o| o.time_s).collect::<Vec<_>>(), [Some(1.0), None, Some(9.0)]);
        assert_eq!(all.iter().map(|o| o.path).collect::<Vec<_>>(), [Some(0), Some(0), Some(1)]);
        assert!(all.iter().all(|o| o.role == Role::Line));
        assert_eq!(all[1].place, "Placemark 1 'w', part 1, point 3");
        assert_eq!(r.value.height_m, Some(90.0));
        assert!(r.warnings.iter().any(|w| w.message().contains("1 moment of a track")));
        assert!(r.warnings.iter().any(|w| w.message().contains("'noon'")));
    }

    #[test]
    fn a_track_of_unequal_counts_is_refused_with_its_place() {
        let body =
            track(&[("1970-01-01T00:00:01Z", "145 -36 90")]).replace("</gx:coord>", "</gx:coord><gx:coord/>");
        let e = err(&format!("<Placemark>{body}</Placemark>"));
        assert!(e.contains("Placemark 1: the track has 1 <when> and 2 <coord>"), "{e}");
        let e = err(&format!("<Placemark>{}</Placemark>", track(&[("", "145,-36,0")])));
        assert!(e.contains("set apart by blanks"), "{e}");
    }

    #[test]
    fn lines_and_rings_are_numbered_paths_and_points_have_none() {
        let line = "<LineString><coordinates>145,-36 145.1,-36</coordinates></LineString>";
        let stamped = "<Placemark><name>BP</name><TimeStamp><when>1970-01-01T00:00:05Z</when></TimeStamp>\
             <Point><coordinates>145,-36</coordinates></Point></Placemark>";
        let r = ok(&format!(
            "<Placemark><name>oval</name>{line}</Placemark>{stamped}<Placemark>{line}</Placemark>"
        ));
        let paths: Vec<_> = r.value.observations.iter().map(|o| o.path).collect();
        assert_eq!(paths, [Some(0), Some(0), None, Some(1), Some(1)]);
        assert_eq!(r.value.observations[2].time_s, Some(5.0));
    }
}
