//! What the KML, GPX and GeoJSON readers share: features with their vertices, which of them
//! are boundary and posts, and the survey made of them.

use std::collections::BTreeMap;

use super::coordinates::{self, Reference};
use super::roles::{Says, says, stem};
use super::times::Clock;
use super::{
    Format, MAX_POINTS, Observation, Patterns, Position, Problems, ReadOptions, Role, Survey, SurveyError,
};
use crate::units::ranges::HEIGHT_M;
use crate::units::{Problem, Remedy, Setting, Warned, print};

/// Longest text beside a name, in words, that counts for what a feature is: a longer sentence may
/// mention a post without being one.
const MAX_WORDS: usize = 4;

/// Longest name that is kept, in characters: every point carries a copy.
const MAX_NAME: usize = 200;
/// Longest path of names that is kept, in characters.
const MAX_PATH: usize = 600;

/// A name, cut at [`MAX_NAME`].
pub(super) fn short(name: &str) -> String {
    match name.char_indices().nth(MAX_NAME) {
        None => name.to_owned(),
        Some((end, _)) => format!("{}…", &name[..end]),
    }
}

/// A path extended by a name. If it is longer than [`MAX_PATH`], its beginning is cut off.
pub(super) fn below(outer: &str, between: &str, name: &str) -> String {
    if outer.is_empty() {
        return name.to_owned();
    }
    let whole = format!("{outer}{between}{name}");
    let over = whole.chars().count().saturating_sub(MAX_PATH);
    if over == 0 { whole } else { format!("…{}", whole.chars().skip(over).collect::<String>()) }
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Shape {
    Point,
    Line,
    Ring,
}

/// One point of a feature, as the file gives it.
pub(super) struct Vertex {
    /// Longitude or easting.
    pub(super) east: f64,
    /// Latitude or northing.
    pub(super) north: f64,
    pub(super) height: Option<f64>,
    pub(super) time_s: Option<f64>,
    /// Its number in its feature, counted from 1, including points that are left out.
    pub(super) number: usize,
}

impl Vertex {
    pub(super) fn new(east: f64, north: f64, number: usize) -> Self {
        Self { east, north, height: None, time_s: None, number }
    }
}

/// One point, one line or one ring.
pub(super) struct Feature {
    /// Number of the placemark, track or feature in the file that this is a part of.
    pub(super) group: usize,
    /// Its path, `Folder/Placemark`, for patterns and roles.
    pub(super) path: String,
    pub(super) name: String,
    /// Other texts of the file about it: description, type, code.
    pub(super) also: Vec<String>,
    /// Where the group is, for messages.
    pub(super) place: String,
    /// Which part of the group: `, segment 2`, or empty where there is only one.
    pub(super) part: String,
    pub(super) shape: Shape,
    /// Whether it is a track, which a receiver recorded while walking.
    pub(super) walked: bool,
    pub(super) vertices: Vec<Vertex>,
}

impl Feature {
    /// Every text that a pattern may match.
    fn texts(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.path.as_str()).chain(self.also.iter().map(String::as_str))
    }

    fn patterned(&self, patterns: &Patterns) -> Option<Role> {
        if self.also.is_empty() {
            return patterns.role(&self.path);
        }
        // Joined to one text, so that the order of the patterns decides, not that of the texts.
        patterns.role(&self.texts().collect::<Vec<_>>().join("\n"))
    }

    /// Which kind of post it is, by its name or else by a short text beside it.
    fn says(&self) -> Says {
        let post = |s: &Says| matches!(s, Says::GoalPost | Says::BehindPost);
        let short = self.also.iter().filter(|t| t.split_whitespace().count() <= MAX_WORDS);
        std::iter::once(&self.name).chain(short).map(|t| says(t)).find(post).unwrap_or(Says::Nothing)
    }

    fn says_boundary(&self) -> bool {
        let short = self.also.iter().filter(|t| t.split_whitespace().count() <= MAX_WORDS);
        self.path.split('/').chain(short.map(String::as_str)).any(|t| says(t) == Says::Boundary)
    }

    fn place_of(&self, vertex: &Vertex) -> String {
        match self.shape {
            Shape::Point => format!("{}{}", self.place, self.part),
            _ => format!("{}{}, point {}", self.place, self.part, vertex.number),
        }
    }
}

/// What a reader found in a document.
#[derive(Default)]
pub(super) struct Found {
    pub(super) features: Vec<Feature>,
    pub(super) problems: Problems,
    pub(super) warnings: Problems,
    pub(super) clock: Clock,
    points: usize,
}

impl Found {
    /// Keeps a feature, unless it has no points or there are too many.
    pub(super) fn keep(&mut self, feature: Feature) {
        let place = || format!("{}{}", feature.place, feature.part);
        if feature.vertices.is_empty() {
            self.warnings.push(Problem::new("has no coordinates").at(place()));
            return;
        }
        self.points += feature.vertices.len();
        if self.points > MAX_POINTS {
            // Reported once; later features are not kept.
            if self.points - feature.vertices.len() <= MAX_POINTS {
                self.problems.push(Problem::new(format!("more than {MAX_POINTS} points")).at(place()));
            }
            return;
        }
        self.features.push(feature);
    }
}

/// Makes a survey of features: roles, positions, paths and warnings.
/// `what` names the file's format.
pub(super) fn survey(
    found: Found,
    format: Format,
    what: &str,
    reference: Reference,
    options: &ReadOptions,
) -> Result<Warned<Survey>, SurveyError> {
    let Found { features, mut problems, warnings, clock, .. } = found;
    if !problems.is_empty() {
        return Err(problems.into_error());
    }
    let mut warnings = warnings.into_list();
    if features.is_empty() {
        warnings.insert(
            0,
            Problem::new(format!("the {what} holds no points, lines or polygons that can be read")),
        );
        return Err(SurveyError::new(warnings));
    }
    super::roles::refuse_unmatched(&options.patterns, features.iter().flat_map(Feature::texts))?;
    let roles = roles(&features, &options.patterns, &mut warnings)?;
    let mut observations = Vec::new();
    let mut heights = Vec::new();
    let mut closing = 0usize;
    let mut paths = 0usize;
    for (feature, role) in features.iter().zip(roles) {
        let path = (feature.shape != Shape::Point).then_some(paths);
        paths += usize::from(path.is_some());
        let vertices = match feature.vertices.as_slice() {
            [first, rest @ .., last]
                if feature.shape == Shape::Ring && (first.east, first.north) == (last.east, last.north) =>
            {
                closing += 1;
                &feature.vertices[..=rest.len()]
            }
            all => all,
        };
        for vertex in vertices {
            let place = feature.place_of(vertex);
            match position(vertex, reference, options.height_m) {
                Ok(at) => {
                    // Programs write a height of exactly zero where they know none.
                    if role == Role::Line {
                        heights.extend(vertex.height.filter(|h| *h != 0.0));
                    }
                    observations.push(Observation {
                        name: feature.path.clone(),
                        place,
                        time_s: vertex.time_s,
                        path,
                        walked: feature.walked,
                        ..Observation::new(at, role)
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
    warnings.extend(clock.report());
    super::local::report_unused(&observations, &mut warnings);
    let height_m = options.height_m.or_else(|| super::local::median(&mut heights));
    let survey = Survey { format, observations, height_m, book: None, names_datum: false };
    Ok(Warned { value: survey, warnings })
}

fn position(vertex: &Vertex, reference: Reference, height_m: Option<f64>) -> Result<Position, Problem> {
    let height = height_m.or(vertex.height).unwrap_or(0.0);
    if let (None, Err(p)) = (height_m, HEIGHT_M.check(height)) {
        return Err(Problem::new(p.message()).settle(Remedy::otherwise(Setting::Height)));
    }
    Ok(match reference {
        Reference::Geodetic(datum) => {
            Position::Geodetic(coordinates::geodetic(vertex.north, vertex.east, height, datum)?)
        }
        Reference::Grid(zone, datum) => {
            Position::Grid(coordinates::grid(zone, vertex.east, vertex.north, height, datum)?)
        }
    })
}

/// What each feature is, by the rules in the documentation of `survey`.
fn roles(
    features: &[Feature],
    patterns: &Patterns,
    warnings: &mut Vec<Problem>,
) -> Result<Vec<Role>, SurveyError> {
    let mut roles: Vec<Option<Role>> = features
        .iter()
        .map(|f| {
            f.patterned(patterns).or_else(|| match (f.shape, f.says()) {
                (Shape::Point, Says::GoalPost) => Some(Role::GoalPost),
                (Shape::Point, Says::BehindPost) => Some(Role::BehindPost),
                _ => None,
            })
        })
        .collect();
    if !patterns.names_boundary() && !roles.contains(&Some(Role::Line)) {
        let open: Vec<usize> = (0..features.len()).filter(|&i| roles[i].is_none()).collect();
        let drawn: Vec<usize> = open.iter().copied().filter(|&i| features[i].shape != Shape::Point).collect();
        let said: Vec<usize> = drawn.iter().copied().filter(|&i| features[i].says_boundary()).collect();
        // The parts of one placemark or track count as one, such as a walk recorded in pieces.
        let mut groups: Vec<&Feature> = drawn.iter().map(|&i| &features[i]).collect();
        groups.dedup_by_key(|f| f.group);
        let chosen = match (groups.len(), said.is_empty()) {
            (0, _) => loose_points(features, &open, warnings),
            (1, _) => drawn,
            (_, false) => said,
            (n, true) => {
                let places: Vec<&str> = groups.iter().take(8).map(|f| f.place.as_str()).collect();
                return Err(Problem::new(format!(
                    "{n} lines and polygons, and no name says which is the boundary: {}{}",
                    places.join("; "),
                    if n > places.len() { "; …" } else { "" }
                ))
                .hint("a piece of its name is enough")
                .settle(Remedy::say(Setting::Boundary))
                .into());
            }
        };
        for i in chosen {
            roles[i] = Some(Role::Line);
        }
    }
    Ok(roles.into_iter().map(|r| r.unwrap_or(Role::Unused)).collect())
}

/// The loose points of the boundary: all of them, or the largest group whose names differ only in
/// digits; of equal groups, the one that starts last in the file.
fn loose_points(features: &[Feature], open: &[usize], warnings: &mut Vec<Problem>) -> Vec<usize> {
    let mut groups: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for &i in open {
        let name = match says(&features[i].name) {
            Says::Nothing | Says::Boundary => String::new(),
            _ => stem(&features[i].name),
        };
        groups.entry(name).or_default().push(i);
    }
    let most = groups.iter().max_by_key(|(_, list)| (list.len(), list.first().copied()));
    let Some((name, list)) = most else { return Vec::new() };
    if groups.len() > 1 {
        let shown =
            if name.is_empty() { "without a name of their own".into() } else { format!("named '{name}'") };
        warnings.push(
            Problem::new(format!(
                "the {} {shown} are taken for the boundary",
                print::count(list.len(), "point")
            ))
            .hint("a piece of a name is enough")
            .settle(Remedy::otherwise(Setting::Boundary)),
        );
    }
    list.clone()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Datum;

    fn feature(group: usize, name: &str, also: &[&str], shape: Shape) -> Feature {
        Feature {
            group,
            path: name.into(),
            name: name.into(),
            also: also.iter().map(|&t| t.to_owned()).collect(),
            place: format!("thing {group}"),
            part: String::new(),
            shape,
            walked: false,
            vertices: vec![Vertex::new(145.0, -36.0, 1), Vertex::new(145.1, -36.0, 2)],
        }
    }

    fn roles_of(features: &[Feature], patterns: &Patterns) -> Vec<Role> {
        roles(features, patterns, &mut Vec::new()).unwrap()
    }

    #[test]
    fn short_texts_beside_a_name_say_what_it_is_and_sentences_do_not() {
        let features = [
            feature(1, "Walk", &[], Shape::Line),
            feature(2, "012", &["behind post"], Shape::Point),
            feature(3, "Canteen", &["its door looks at the goal posts"], Shape::Point),
            feature(4, "GP", &["behind post"], Shape::Point),
        ];
        let none = Patterns::default();
        assert_eq!(roles_of(&features, &none), [Role::Line, Role::BehindPost, Role::Unused, Role::GoalPost]);
        // A pattern looks at all texts, and wins over names.
        let patterns = Patterns { ignore: vec!["behind POST".into()], ..Patterns::default() };
        assert_eq!(roles_of(&features, &patterns), [Role::Line, Role::Unused, Role::Unused, Role::Unused]);
    }

    #[test]
    fn the_parts_of_one_group_are_one_feature() {
        let parts = [feature(1, "", &[], Shape::Line), feature(1, "", &[], Shape::Line)];
        assert_eq!(roles_of(&parts, &Patterns::default()), [Role::Line; 2]);
        let two = [feature(1, "", &[], Shape::Line), feature(2, "", &[], Shape::Line)];
        let e = roles(&two, &Patterns::default(), &mut Vec::new()).unwrap_err().to_string();
        assert!(e.contains("2 lines") && e.contains("thing 1; thing 2"), "{e}");
    }

    #[test]
    fn long_names_are_cut() {
        assert_eq!(short("é"), "é");
        assert_eq!(short(&"é".repeat(1_000)), format!("{}…", "é".repeat(200)));
        assert_eq!(below("", "/", "a"), "a");
        assert_eq!(below("a", "/", "b"), "a/b");
        let deep = (0..100).fold(String::new(), |path, i| below(&path, " / ", &format!("Folder {i}")));
        assert_eq!(deep.chars().count(), 601);
        assert!(deep.starts_with('…') && deep.ends_with(" / Folder 99"));
    }

    #[test]
    fn too_many_points_are_said_once() {
        let mut found = Found::default();
        for i in 0..3 {
            let mut f = feature(i, "", &[], Shape::Line);
            f.vertices = (0..MAX_POINTS / 2 + 1).map(|n| Vertex::new(0.0, 0.0, n)).collect();
            found.keep(f);
        }
        let e = found.problems.into_error().to_string();
        assert_eq!(e, "thing 1: more than 200000 points");
    }

    #[test]
    fn a_height_that_is_none_has_its_remedy() {
        let mut v = Vertex::new(145.0, -36.0, 1);
        v.height = Some(-32_768_000.0);
        let reference = Reference::Geodetic(Datum::Wgs84);
        assert!(position(&v, reference, None).unwrap_err().to_string().contains("say the ground's height"));
        assert!(position(&v, reference, Some(100.0)).is_ok());
    }
}
