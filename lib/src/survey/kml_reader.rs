//! KML by a walk of the parsed document: names and folder paths kept, every
//! coordinate checked, points in = points counted, what is not understood
//! reported, size, nodes and depth capped.

use roxmltree::{Document, Node, ParsingOptions};

use super::roles::{Says, says, stem};
use super::{
    Format, MAX_POINTS, Observation, Patterns, Position, Problems, ReadOptions, Role, Survey, SurveyError,
};
use crate::frame::Datum;
use crate::units::{Problem, Warned, print};

/// Most elements in a document: a KML of the most points has a tenth of this.
const MAX_NODES: u32 = 2_000_000;
/// Deepest nesting of folders and geometries.
const MAX_DEPTH: usize = 64;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Shape {
    Point,
    Line,
    Ring,
}

struct Feature {
    /// `Folder/Placemark`, for patterns and roles.
    path: String,
    name: String,
    /// For messages.
    place: String,
    shape: Shape,
    points: Vec<[f64; 3]>,
}

pub(super) fn read(text: &str, options: &ReadOptions) -> Result<Warned<Survey>, SurveyError> {
    let parsing = ParsingOptions { nodes_limit: MAX_NODES, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, parsing).map_err(|e| {
        SurveyError::from(
            Problem::new(format!("the file can't be read as XML: {e}"))
                .hint("it may have been cut off, or hold what KML has not; export it again"),
        )
    })?;
    let root = document.root_element();
    match root.tag_name().name() {
        "kml" => {}
        "gpx" => {
            return Err(Problem::new("this is a GPX file, which is not read yet")
                .hint("export the track as KML or CSV")
                .into());
        }
        other => {
            return Err(Problem::new(format!("the file's root element is <{other}>, not <kml>")).into());
        }
    }
    let mut walk = Walk::default();
    walk.container(root);
    if !walk.problems.is_empty() {
        return Err(walk.problems.into_error());
    }
    let mut warnings = std::mem::take(&mut walk.warnings);
    let features = walk.features;
    if features.is_empty() {
        warnings.insert(0, Problem::new("the KML holds no points, lines or polygons that can be read"));
        return Err(SurveyError::new(warnings));
    }
    super::local::refuse_unmatched(&options.patterns, features.iter().map(|f| f.path.as_str()))?;
    let roles = roles(&features, &options.patterns, &mut warnings)?;
    let mut problems = Problems::default();
    let mut observations = Vec::new();
    let mut heights = Vec::new();
    let mut closing = 0usize;
    for (feature, role) in features.iter().zip(roles) {
        let ring = feature.shape == Shape::Ring;
        let n = feature.points.len();
        let closes = ring && n > 1 && feature.points[0][..2] == feature.points[n - 1][..2];
        closing += usize::from(closes);
        for (i, &[lon, lat, alt]) in feature.points[..n - usize::from(closes)].iter().enumerate() {
            let place =
                if n == 1 { feature.place.clone() } else { format!("{}, point {}", feature.place, i + 1) };
            let height = options.height_m.unwrap_or(alt);
            match super::csv_reader::geodetic(lat, lon, height, options.datum.unwrap_or(Datum::Wgs84)) {
                Ok(at) => {
                    if alt != 0.0 && role == Role::Line {
                        heights.push(alt);
                    }
                    observations.push(Observation {
                        name: feature.path.clone(),
                        place,
                        ..Observation::new(Position::Geodetic(at), role)
                    });
                }
                Err(p) => problems.push(p.at(place)),
            }
        }
    }
    if !problems.is_empty() {
        return Err(problems.into_error());
    }
    if closing > 0 {
        warnings.push(Problem::new(format!(
            "{}: left out, since a polygon's last point repeats its first",
            print::count(closing, "closing point")
        )));
    }
    super::local::report_unused(&observations, &mut warnings);
    let height_m = options.height_m.or_else(|| super::local::median(&mut heights));
    Ok(Warned { value: Survey { format: Format::Kml, observations, height_m, book: None }, warnings })
}

#[derive(Default)]
struct Walk {
    features: Vec<Feature>,
    problems: Problems,
    warnings: Vec<Problem>,
    points: usize,
}

fn child_text<'a>(node: Node<'a, '_>, tag: &str) -> Option<&'a str> {
    node.children()
        .find(|c| c.is_element() && c.tag_name().name() == tag)
        .and_then(|c| c.text())
        .map(str::trim)
}

/// `3 'Name'`, or `3` for what has no name.
fn label(kind: &str, number: usize, name: &str) -> String {
    if name.is_empty() {
        format!("{kind} {number}")
    } else {
        format!("{kind} {number} '{}'", print::for_terminal(name))
    }
}

impl Walk {
    /// Walks folders with a list of its own, so that depth costs no stack.
    fn container(&mut self, root: Node<'_, '_>) {
        // (node, folder path, place, depth); taken from the back, so children are pushed in reverse.
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
                self.problems
                    .push(Problem::new(format!("folders are nested more than {MAX_DEPTH} deep")).at(place));
                continue;
            }
            let (path, place) = if tag == "Folder" {
                folder_number += 1;
                let name = child_text(node, "name").unwrap_or("");
                let shown = label("Folder", folder_number, name);
                (
                    if path.is_empty() { name.to_owned() } else { format!("{path}/{name}") },
                    if place.is_empty() { shown } else { format!("{place} / {shown}") },
                )
            } else {
                (path, place)
            };
            let children: Vec<_> = node.children().filter(Node::is_element).collect();
            for child in children.into_iter().rev() {
                match child.tag_name().name() {
                    "Document" | "Folder" | "Placemark" => {
                        open.push((child, path.clone(), place.clone(), depth + 1));
                    }
                    "NetworkLink" | "GroundOverlay" | "ScreenOverlay" | "PhotoOverlay" | "Tour" | "Model"
                    | "Create" | "Update" | "Delete" | "NetworkLinkControl" => {
                        self.warn_unread(child, &place);
                    }
                    // Styles, schemas, views, descriptions: nothing that could be a point.
                    _ => {}
                }
            }
        }
    }

    fn warn_unread(&mut self, node: Node<'_, '_>, place: &str) {
        let p = Problem::new(format!("<{}> is not understood and not read", node.tag_name().name()));
        self.warnings.push(if place.is_empty() { p } else { p.at(place) });
    }

    fn placemark(&mut self, node: Node<'_, '_>, number: usize, path: &str, place: &str) {
        let name = child_text(node, "name").unwrap_or("").to_owned();
        let shown = label("Placemark", number, &name);
        let place = if place.is_empty() { shown } else { format!("{place} / {shown}") };
        let path = if path.is_empty() { name.clone() } else { format!("{path}/{name}") };
        let mut open: Vec<(Node<'_, '_>, usize)> = vec![(node, 0)];
        let mut found = 0usize;
        // Taken from the back, so children are pushed in reverse: the file's order is that of a walk.
        while let Some((node, depth)) = open.pop() {
            let shape = match node.tag_name().name() {
                "Placemark" | "MultiGeometry" => {
                    if depth > MAX_DEPTH {
                        self.problems.push(Problem::new("geometries are nested too deep").at(place.clone()));
                        return;
                    }
                    let children: Vec<_> = node.children().filter(Node::is_element).collect();
                    open.extend(children.into_iter().rev().map(|child| (child, depth + 1)));
                    continue;
                }
                "Polygon" => {
                    found += 1;
                    self.polygon(node, &name, &path, &place);
                    continue;
                }
                "Point" => Shape::Point,
                "LineString" => Shape::Line,
                "LinearRing" => Shape::Ring,
                "Track" | "MultiTrack" | "Model" => {
                    found += 1;
                    self.warn_unread(node, &place);
                    continue;
                }
                _ => continue,
            };
            found += 1;
            self.geometry(node, shape, &name, &path, &place);
        }
        if found == 0 {
            self.warnings.push(Problem::new("has no geometry").at(place));
        }
    }

    fn polygon(&mut self, node: Node<'_, '_>, name: &str, path: &str, place: &str) {
        for side in node.children().filter(Node::is_element) {
            let rings = side.children().filter(|c| c.is_element() && c.tag_name().name() == "LinearRing");
            match side.tag_name().name() {
                "outerBoundaryIs" => {
                    for ring in rings {
                        self.geometry(ring, Shape::Ring, name, path, place);
                    }
                }
                "innerBoundaryIs" => {
                    self.warnings.push(Problem::new("an inner ring (a hole) is not read").at(place));
                }
                _ => {}
            }
        }
    }

    fn geometry(&mut self, node: Node<'_, '_>, shape: Shape, name: &str, path: &str, place: &str) {
        let text: String = node
            .children()
            .filter(|c| c.is_element() && c.tag_name().name() == "coordinates")
            .flat_map(|c| c.children().filter_map(|t| t.text()))
            .collect();
        let points = match tuples(&text) {
            Ok((points, mended)) => {
                if mended {
                    self.warnings.push(
                        Problem::new(
                            "blanks after commas inside a coordinate are read as if they were not there",
                        )
                        .at(place),
                    );
                }
                points
            }
            Err(p) => {
                self.problems.push(p.at(place));
                return;
            }
        };
        if points.is_empty() {
            self.warnings.push(Problem::new("has no coordinates").at(place));
            return;
        }
        if shape == Shape::Point && points.len() > 1 {
            self.problems
                .push(Problem::new(format!("a <Point> holds {} coordinates", points.len())).at(place));
            return;
        }
        self.points += points.len();
        if self.points > MAX_POINTS {
            self.problems.push(Problem::new(format!("more than {MAX_POINTS} points")).at(place));
            return;
        }
        self.features.push(Feature {
            path: path.to_owned(),
            name: name.to_owned(),
            place: place.to_owned(),
            shape,
            points,
        });
    }
}

/// Coordinates `lon,lat[,alt]` set apart by blanks. A blank after a comma can
/// only continue the tuple, so it is mended, and said.
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
        let shown = print::for_terminal(tuple.get(..80).unwrap_or(tuple));
        if !(2..=3).contains(&numbers.len()) {
            return Err(Problem::new(format!(
                "coordinate {} '{shown}' has {}, not lon,lat or lon,lat,height",
                i + 1,
                print::count(numbers.len(), "number")
            ))
            .hint("points are set apart by blanks, the numbers of one point by commas"));
        }
        let mut point = [0.0; 3];
        for (slot, number) in point.iter_mut().zip(&numbers) {
            match number.parse::<f64>() {
                Ok(v) if v.is_finite() => *slot = v,
                _ => {
                    return Err(Problem::new(format!("coordinate {} '{shown}' is not all numbers", i + 1)));
                }
            }
        }
        points.push(point);
    }
    Ok((points, mended))
}

/// What each feature is; the room's own notes say how.
fn roles(
    features: &[Feature],
    patterns: &Patterns,
    warnings: &mut Vec<Problem>,
) -> Result<Vec<Role>, SurveyError> {
    let mut roles: Vec<Option<Role>> = features
        .iter()
        .map(|f| {
            patterns.role(&f.path).or_else(|| match (f.shape, says(&f.name)) {
                (Shape::Point, Says::GoalPost) => Some(Role::GoalPost),
                (Shape::Point, Says::BehindPost) => Some(Role::BehindPost),
                _ => None,
            })
        })
        .collect();
    if !patterns.names_boundary() && !roles.contains(&Some(Role::Line)) {
        let open: Vec<usize> = (0..features.len()).filter(|&i| roles[i].is_none()).collect();
        let drawn: Vec<usize> = open.iter().copied().filter(|&i| features[i].shape != Shape::Point).collect();
        let said: Vec<usize> = drawn
            .iter()
            .copied()
            .filter(|&i| features[i].path.split('/').any(|part| says(part) == Says::Boundary))
            .collect();
        // The parts of one placemark are one feature, a walk recorded in pieces.
        let mut places: Vec<&str> = drawn.iter().map(|&i| features[i].place.as_str()).collect();
        places.dedup();
        let chosen = match (places.len(), said.is_empty()) {
            (0, _) => loose_points(features, &open, warnings),
            (1, _) => drawn,
            (_, false) => said,
            (_, true) => {
                return Err(Problem::new(format!(
                    "{} lines and polygons, and no name says which is the boundary: {}",
                    places.len(),
                    places.join("; ")
                ))
                .hint("say --boundary with a piece of its name")
                .into());
            }
        };
        for i in chosen {
            roles[i] = Some(Role::Line);
        }
    }
    Ok(roles.into_iter().map(|r| r.unwrap_or(Role::Unused)).collect())
}

/// Loose points: all, or the largest group whose names are alike but for digits.
fn loose_points(features: &[Feature], open: &[usize], warnings: &mut Vec<Problem>) -> Vec<usize> {
    let mut groups: Vec<(String, Vec<usize>)> = Vec::new();
    for &i in open {
        let name = match says(&features[i].name) {
            Says::Nothing | Says::Boundary => String::new(),
            _ => stem(&features[i].name),
        };
        match groups.iter_mut().find(|(s, _)| *s == name) {
            Some((_, list)) => list.push(i),
            None => groups.push((name, vec![i])),
        }
    }
    let Some((name, list)) = groups.iter().max_by_key(|(_, list)| list.len()) else { return Vec::new() };
    if groups.len() > 1 {
        let shown =
            if name.is_empty() { "without a name of their own".into() } else { format!("named '{name}'") };
        warnings.push(
            Problem::new(format!(
                "the {} {shown} are taken for the boundary",
                print::count(list.len(), "point")
            ))
            .hint("--boundary with a piece of their name says otherwise"),
        );
    }
    list.clone()
}

#[cfg(test)]
mod tests {
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
        read(&kml(body), &ReadOptions::default()).unwrap()
    }

    fn err(body: &str) -> String {
        read(&kml(body), &ReadOptions::default()).unwrap_err().to_string()
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
            assert!(read(&whole[..cut], &ReadOptions::default()).is_err());
        }
        assert!(read("<gpx/>", &ReadOptions::default()).unwrap_err().to_string().contains("GPX"));
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
        assert!(err(&format!("{}{}", line("car park"), line("track"))).contains("--boundary"));
        let r = ok(&format!("{}{}", line("car park"), line("Oval boundary")));
        assert_eq!(r.value.observations.iter().filter(|o| o.role == Role::Line).count(), 2);
        let options = ReadOptions {
            patterns: Patterns { boundary: vec!["track".into()], ..Patterns::default() },
            ..ReadOptions::default()
        };
        let r = read(&kml(&format!("{}{}", line("car park"), line("track"))), &options).unwrap();
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
        let r = ok(&format!("<NetworkLink/>{}<Placemark><Track/></Placemark>", point("a", "145,-36")));
        assert!(r.warnings.iter().any(|w| w.message().contains("NetworkLink")));
        assert!(r.warnings.iter().any(|w| w.message().contains("Track")));
    }
}
