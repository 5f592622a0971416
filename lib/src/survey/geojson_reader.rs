//! GeoJSON (RFC 7946): features, feature collections and bare geometries of every kind.
//! Coordinates are longitude, latitude and perhaps a height. An old `crs` member is obeyed
//! if it names WGS 84, an Australian datum or the map grid; any other is refused.

use geojson::{GeoJson, Geometry, GeometryValue, JsonObject, JsonValue, Position};

use super::coordinates::Reference;
use super::features::{self, Feature, Found, Shape, Vertex, short};
use super::times::{Clock, count};
use super::xml_nodes::{MAX_DEPTH, label};
use super::{Format, ReadOptions, Survey, SurveyError, crs};
use crate::frame::Datum;
use crate::units::{Problem, Warned, print};

/// Properties that name a feature; the first that is present is its name,
/// and the others still count for its role.
const NAMES: &[&str] = &["name", "Name", "title", "label", "code", "role"];
/// Properties that say when each point of a line was recorded.
const TIMES: &[&str] = &["coordTimes", "times"];
/// Properties that say when a point was recorded.
const TIME: &[&str] = &["time", "timestamp", "datetime"];

pub(super) fn read(text: &str, options: &ReadOptions) -> Result<Warned<Survey>, SurveyError> {
    let document: GeoJson = text.parse().map_err(|e: geojson::Error| SurveyError::from(unread(text, &e)))?;
    let mut walk = Walk::default();
    let crs = match document {
        GeoJson::Geometry(g) => {
            let crs = crs_of(g.foreign_members.as_ref());
            walk.geometries(1, &g, &Said::default());
            crs
        }
        GeoJson::Feature(f) => {
            let crs = crs_of(f.foreign_members.as_ref());
            walk.feature(1, &f, crs.as_ref());
            crs
        }
        GeoJson::FeatureCollection(c) => {
            let crs = crs_of(c.foreign_members.as_ref());
            for (i, f) in c.features.iter().enumerate() {
                walk.feature(i + 1, f, crs.as_ref());
            }
            crs
        }
    };
    let mut found = walk.found;
    let reference = reference(crs.as_ref(), options, &mut found)?;
    let far = |f: &Feature| f.vertices.iter().any(|v| v.east.abs() > 360.0 && v.north.abs() > 360.0);
    if matches!(reference, Reference::Geodetic(_)) && found.features.iter().any(far) {
        return Err(Problem::new(
            "the coordinates are eastings and northings, and nothing says of which grid",
        )
        .hint("export it in longitude and latitude, or as CSV with easting,northing,zone")
        .into());
    }
    features::survey(found, Format::GeoJson, "GeoJSON", reference, options)
}

/// Why a text is not read: it is another format, or it has an error.
fn unread(text: &str, error: &geojson::Error) -> Problem {
    match serde_json::from_str::<JsonValue>(text) {
        Ok(JsonValue::Object(o)) if o.get("type").and_then(JsonValue::as_str) == Some("Topology") => {
            super::content::refusal("TopoJSON")
        }
        Ok(JsonValue::Object(o))
            if ["geometryType", "spatialReference", "rings", "paths"].iter().any(|k| o.contains_key(*k)) =>
        {
            super::content::refusal("Esri JSON")
        }
        Ok(JsonValue::Object(o)) if !o.contains_key("type") => {
            Problem::new("this is JSON, and not GeoJSON: it has no type").hint(super::content::REMEDY)
        }
        Ok(JsonValue::Object(_)) => {
            Problem::new(format!("the file can't be read as GeoJSON: {}", cause(error)))
                .hint("export it again, or as GPX, KML or CSV")
        }
        Ok(_) => Problem::new("this is JSON, and not GeoJSON, which is an object with a type")
            .hint(super::content::REMEDY),
        Err(e) => Problem::new(format!(
            "the file can't be read as JSON: {}",
            print::cut(&e.to_string(), print::CAUSE_CHARS)
        ))
        .hint("it may have been cut off, or hold one document a line; export it again"),
    }
}

fn cause(error: &geojson::Error) -> String {
    let text = match error {
        geojson::Error::MalformedGeoJson(e) => e.to_string(),
        other => other.to_string(),
    };
    print::cut(&text, print::CAUSE_CHARS)
}

/// The old `crs` member, which the present standard no longer has but some programs still write.
fn crs_of(members: Option<&JsonObject>) -> Option<JsonValue> {
    members.and_then(|m| m.get("crs")).filter(|c| !c.is_null()).cloned()
}

/// What the coordinates are, by the file's `crs` and the options.
fn reference(
    crs: Option<&JsonValue>,
    options: &ReadOptions,
    found: &mut Found,
) -> Result<Reference, SurveyError> {
    let Some(crs) = crs else {
        return Ok(Reference::Geodetic(options.datum.unwrap_or(Datum::Wgs84)));
    };
    let properties = crs.get("properties");
    let name = properties.and_then(|p| p.get("name").or_else(|| p.get("href"))).and_then(JsonValue::as_str);
    let code = properties.and_then(|p| p.get("code")).and_then(JsonValue::as_u64);
    let (said, shown) = match (name, code) {
        (Some(name), _) => (crs::by_name(name), name.to_owned()),
        (None, Some(code)) => (u32::try_from(code).ok().and_then(crs::by_code), format!("EPSG {code}")),
        (None, None) => (None, crs.to_string()),
    };
    let shown = print::cut(&shown, print::QUOTED_CHARS);
    let Some(said) = said else {
        return Err(Problem::new(format!("the file's coordinates are of '{shown}', which is not read"))
            .hint("export it in longitude and latitude (EPSG 4326 or 7844) or in MGA (EPSG 7849 to 7856)")
            .into());
    };
    let (Reference::Geodetic(datum) | Reference::Grid(_, datum)) = said;
    if let Some(wanted) = options.datum.filter(|d| *d != datum) {
        found.warnings.push(Problem::new(format!(
            "the file says {shown}, which is on {}; it is read as {}, as the option says",
            datum.name(),
            wanted.name()
        )));
    }
    let datum = options.datum.unwrap_or(datum);
    Ok(match said {
        Reference::Geodetic(_) => Reference::Geodetic(datum),
        Reference::Grid(zone, _) => {
            if options.zone.is_some_and(|z| z != zone) {
                found
                    .warnings
                    .push(Problem::new(format!("the file says {shown}: its zone is used, not the option's")));
            }
            Reference::Grid(zone, datum)
        }
    })
}

/// What a feature's properties say.
#[derive(Default)]
struct Said<'a> {
    name: String,
    also: Vec<String>,
    place: String,
    /// The times of a line's points.
    times: Option<&'a JsonValue>,
    /// The time of a single point.
    time: Option<&'a JsonValue>,
}

/// A text or a number, as text.
fn plain(value: &JsonValue) -> Option<String> {
    match value {
        JsonValue::String(s) => Some(short(s.trim())).filter(|s| !s.is_empty()),
        JsonValue::Number(n) => Some(n.to_string()),
        _ => None,
    }
}

fn moment(clock: &mut Clock, value: &JsonValue, place: impl FnOnce() -> String) -> Option<f64> {
    match value {
        JsonValue::Number(n) => n.as_f64().and_then(count),
        JsonValue::String(s) => clock.read(s, place),
        _ => None,
    }
}

#[derive(Default)]
struct Walk {
    found: Found,
}

impl Walk {
    fn feature(&mut self, number: usize, feature: &geojson::Feature, crs: Option<&JsonValue>) {
        let get = |key: &&str| feature.properties.as_ref().and_then(|p| p.get(*key));
        let mut names = NAMES.iter().filter_map(get).filter_map(plain);
        let name = names.next().unwrap_or_default();
        let also: Vec<String> = names.filter(|n| *n != name).collect();
        let place = label("feature", number, &name);
        if crs_of(feature.foreign_members.as_ref()).is_some_and(|own| Some(&own) != crs) {
            self.found.problems.push(Problem::new("has a crs of its own, apart from the file's").at(place));
            return;
        }
        let Some(geometry) = &feature.geometry else {
            self.found.warnings.push(Problem::new("has no geometry").at(place));
            return;
        };
        // Some programs put the times one level deeper.
        let deeper = feature.properties.as_ref().and_then(|p| p.get("coordinateProperties"));
        let times = TIMES.iter().find_map(|k| get(k).or_else(|| deeper.and_then(|d| d.get(*k))));
        let time = TIME.iter().find_map(get);
        self.geometries(number, geometry, &Said { name, also, place, times, time });
    }

    /// Keeps all parts of a feature's geometry. It uses an explicit stack,
    /// so that deep nesting costs no call stack.
    fn geometries(&mut self, group: usize, root: &Geometry, said: &Said<'_>) {
        let place = if said.place.is_empty() { "geometry".to_owned() } else { said.place.clone() };
        let mut parts: Vec<(Shape, &[Position])> = Vec::new();
        let mut holes = 0usize;
        let mut open: Vec<(&Geometry, usize)> = vec![(root, 0)];
        while let Some((geometry, depth)) = open.pop() {
            if depth > MAX_DEPTH {
                self.found.problems.push(Problem::new("geometries are nested too deep").at(place));
                return;
            }
            let mut polygon = |rings: &'_ [Vec<Position>]| holes += rings.len().saturating_sub(1);
            match &geometry.value {
                GeometryValue::Point { coordinates } => {
                    parts.push((Shape::Point, std::slice::from_ref(coordinates)));
                }
                GeometryValue::MultiPoint { coordinates } => {
                    parts.extend(coordinates.iter().map(|p| (Shape::Point, std::slice::from_ref(p))));
                }
                GeometryValue::LineString { coordinates } => parts.push((Shape::Line, coordinates)),
                GeometryValue::MultiLineString { coordinates } => {
                    parts.extend(coordinates.iter().map(|l| (Shape::Line, l.as_slice())));
                }
                GeometryValue::Polygon { coordinates } => {
                    polygon(coordinates);
                    parts.extend(coordinates.first().map(|r| (Shape::Ring, r.as_slice())));
                }
                GeometryValue::MultiPolygon { coordinates } => {
                    coordinates.iter().for_each(|p| polygon(p));
                    parts.extend(
                        coordinates.iter().filter_map(|p| p.first()).map(|r| (Shape::Ring, r.as_slice())),
                    );
                }
                GeometryValue::GeometryCollection { geometries } => {
                    open.extend(geometries.iter().rev().map(|g| (g, depth + 1)));
                }
            }
        }
        if holes > 0 {
            self.found.warnings.push(
                Problem::new(format!(
                    "{} not read",
                    if holes == 1 { "a hole is".into() } else { format!("{holes} holes are") }
                ))
                .at(place.clone()),
            );
        }
        if parts.is_empty() {
            self.found.warnings.push(Problem::new("has no coordinates").at(place));
            return;
        }
        let times = self.times(&parts, said, &place);
        let several = parts.len() > 1;
        let mut times = times.into_iter();
        for (i, (shape, positions)) in parts.into_iter().enumerate() {
            let part = match shape {
                _ if !several => String::new(),
                Shape::Point => format!(", point {}", i + 1),
                _ => format!(", part {}", i + 1),
            };
            let mut vertices = Vec::with_capacity(positions.len());
            for (n, position) in positions.iter().enumerate() {
                let time_s = times.next().flatten();
                match position.as_slice() {
                    [east, north, rest @ ..] => vertices.push(Vertex {
                        height: rest.first().copied().filter(|h| *h != 0.0),
                        time_s,
                        ..Vertex::new(*east, *north, n + 1)
                    }),
                    _ => self.found.problems.push(
                        Problem::new("a position has fewer than two numbers")
                            .at(format!("{place}{part}, point {}", n + 1)),
                    ),
                }
            }
            self.found.keep(Feature {
                group,
                path: said.name.clone(),
                name: said.name.clone(),
                also: said.also.clone(),
                place: place.clone(),
                part,
                shape,
                walked: false,
                vertices,
            });
        }
    }

    /// A time for every position of every part, or none at all if the file has a different number of times.
    fn times(&mut self, parts: &[(Shape, &[Position])], said: &Said<'_>, place: &str) -> Vec<Option<f64>> {
        let total: usize = parts.iter().map(|(_, p)| p.len()).sum();
        if let (Some(time), true) = (said.time, total == 1) {
            return vec![moment(&mut self.found.clock, time, || place.to_owned())];
        }
        let Some(times) = said.times.and_then(JsonValue::as_array) else { return Vec::new() };
        // One list, or a list for each part.
        let nested = times.iter().any(JsonValue::is_array);
        let lists: Vec<&[JsonValue]> = if nested {
            times.iter().map(|t| t.as_array().map_or(&[][..], Vec::as_slice)).collect()
        } else {
            vec![times.as_slice()]
        };
        let count: usize = lists.iter().map(|l| l.len()).sum();
        let apart = nested && !lists.iter().map(|l| l.len()).eq(parts.iter().map(|(_, p)| p.len()));
        if count != total || apart {
            self.found.warnings.push(
                Problem::new(format!("{count} times for {}: not used", print::count(total, "point")))
                    .at(place),
            );
            return Vec::new();
        }
        let clock = &mut self.found.clock;
        lists.into_iter().flatten().map(|t| moment(clock, t, || place.to_owned())).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Observation, Position as At, Role};
    use super::*;
    use crate::frame::Zone;

    fn ok(text: &str) -> Warned<Survey> {
        read(text, &ReadOptions::default()).unwrap()
    }

    fn err(text: &str) -> String {
        read(text, &ReadOptions::default()).unwrap_err().to_string()
    }

    fn feature(properties: &str, geometry: &str) -> String {
        format!(r#"{{"type":"Feature","properties":{properties},"geometry":{geometry}}}"#)
    }

    fn collection(extra: &str, features: &[String]) -> String {
        format!(r#"{{"type":"FeatureCollection",{extra}"features":[{}]}}"#, features.join(","))
    }

    fn geometry(kind: &str, coordinates: &str) -> String {
        format!(r#"{{"type":"{kind}","coordinates":{coordinates}}}"#)
    }

    fn roles(r: &Warned<Survey>) -> Vec<Role> {
        r.value.observations.iter().map(|o| o.role).collect()
    }

    fn lon(o: &Observation) -> f64 {
        let At::Geodetic(g) = o.position else { return f64::NAN };
        g.longitude_deg()
    }

    #[test]
    fn a_polygon_with_posts_named_by_any_property() {
        let ring =
            geometry("Polygon", "[[[145,-36,90],[145.1,-36,91],[145.1,-36.1,92],[145,-36]],[[145,-36]]]");
        let post = geometry("Point", "[145,-36]");
        let r = ok(&collection(
            "",
            &[
                feature(r#"{"name":"edge"}"#, &ring),
                feature(r#"{"label":"GP 1"}"#, &post),
                feature(r#"{"name":7,"code":"BP"}"#, &post),
                feature(r#"{"title":"Canteen","time":"1970-01-01T00:00:09Z"}"#, &post),
                feature("null", "null"),
            ],
        ));
        let line = [Role::Line; 3];
        assert_eq!(roles(&r), [&line[..], &[Role::GoalPost, Role::BehindPost, Role::Unused]].concat());
        assert_eq!(r.value.observations[1].place, "feature 1 'edge', point 2");
        assert_eq!(r.value.observations[4].name, "7");
        assert_eq!(r.value.observations[5].time_s, Some(9.0));
        assert_eq!(r.value.height_m, Some(91.0));
        for want in ["a hole is not read", "closing point", "feature 5: has no geometry", "Canteen"] {
            assert!(r.warnings.iter().any(|w| w.to_string().contains(want)), "{want}");
        }
    }

    #[test]
    fn every_kind_of_geometry_bare_and_in_order() {
        let lines = "[[[141,-36],[142,-36]],[[143,-36]]]";
        let polygons = "[[[[141,-36],[142,-36],[143,-37],[141,-36]]],[[[144,-36],[145,-36],[144,-37]]]]";
        for (kind, coordinates, n, paths) in [
            ("Point", "[141,-36]", 1, 0),
            ("MultiPoint", "[[141,-36],[142,-36],[143,-36]]", 3, 0),
            ("LineString", "[[141,-36],[142,-36]]", 2, 1),
            ("MultiLineString", lines, 3, 2),
            ("Polygon", "[[[141,-36],[142,-36],[143,-36],[141,-36]]]", 3, 1),
            // The second ring is not closed, against the standard, and loses no point.
            ("MultiPolygon", polygons, 6, 2),
        ] {
            let bare = geometry(kind, coordinates);
            for text in [bare.clone(), feature("{}", &bare), collection("", &[feature("{}", &bare)])] {
                let r = ok(&text);
                assert_eq!(roles(&r), vec![Role::Line; n], "{text}");
                let found: std::collections::BTreeSet<_> =
                    r.value.observations.iter().filter_map(|o| o.path).collect();
                assert_eq!(found.len(), paths, "{text}");
            }
        }
        let nested = format!(
            r#"{{"type":"GeometryCollection","geometries":[{},{{"type":"GeometryCollection","geometries":[{}]}},{}]}}"#,
            geometry("LineString", "[[141,-36],[142,-36]]"),
            geometry("MultiLineString", "[[[143,-36]],[[144,-36]]]"),
            geometry("LineString", "[[145,-36]]")
        );
        let r = ok(&nested);
        assert_eq!(
            r.value.observations.iter().map(lon).collect::<Vec<_>>(),
            [141.0, 142.0, 143.0, 144.0, 145.0]
        );
        assert_eq!(r.value.observations[4].place, "geometry, part 4, point 1");
    }

    #[test]
    fn times_are_used_where_they_are_as_many() {
        let line = geometry("LineString", "[[145,-36],[145,-36.1]]");
        let times = |r: &Warned<Survey>| r.value.observations.iter().map(|o| o.time_s).collect::<Vec<_>>();
        for key in ["coordTimes", "times"] {
            let r = ok(&feature(&format!(r#"{{"{key}":["1970-01-01T00:00:01Z",1000000000500]}}"#), &line));
            assert_eq!(times(&r), [Some(1.0), Some(1_000_000_000.5)]);
        }
        let r = ok(&feature(r#"{"coordinateProperties":{"times":["1970-01-01T00:00:01Z","x"]}}"#, &line));
        assert_eq!(times(&r), [Some(1.0), None]);
        assert!(r.warnings.iter().any(|w| w.message().contains("'x' is not a date")));
        let r = ok(&feature(r#"{"times":[1]}"#, &line));
        assert_eq!(times(&r), [None, None]);
        assert!(r.warnings.iter().any(|w| w.message().contains("1 times for 2 points")));
        let lines = geometry("MultiLineString", "[[[145,-36]],[[145,-36.1],[145,-36.2]]]");
        let r = ok(&feature(r#"{"times":[[1],[2,3]]}"#, &lines));
        assert_eq!(times(&r), [Some(1.0), Some(2.0), Some(3.0)]);
        let r = ok(&feature(r#"{"times":[[1,2],[3]]}"#, &lines));
        assert_eq!(times(&r), [None; 3]);
    }

    #[test]
    fn the_old_crs_member_is_honoured_or_refused() {
        let crs = |name: &str| format!(r#""crs":{{"type":"name","properties":{{"name":"{name}"}}}},"#);
        let grid = feature("{}", &geometry("Point", "[322511,5812242]"));
        let r = ok(&collection(&crs("urn:ogc:def:crs:EPSG::28355"), std::slice::from_ref(&grid)));
        let At::Grid(g) = r.value.observations[0].position else { panic!("no grid") };
        assert_eq!((g.zone(), g.geodetic().unwrap().datum()), (Zone::new(55).unwrap(), Datum::Gda94));
        assert_eq!((g.easting_m(), g.northing_m()), (322_511.0, 5_812_242.0));
        let e = err(&collection(&crs("EPSG:3857"), std::slice::from_ref(&grid)));
        assert!(e.contains("'EPSG:3857'") && e.contains("longitude and latitude"), "{e}");
        assert!(err(&collection("", std::slice::from_ref(&grid))).contains("nothing says of which grid"));
        let at = feature("{}", &geometry("Point", "[145,-36]"));
        let r = ok(&collection(&crs("EPSG:7844"), std::slice::from_ref(&at)));
        let At::Geodetic(g) = r.value.observations[0].position else { panic!("not geodetic") };
        assert_eq!(g.datum(), Datum::Gda2020);
        let options = ReadOptions { datum: Some(Datum::Gda94), ..ReadOptions::default() };
        let r = read(&collection(&crs("EPSG:7844"), std::slice::from_ref(&at)), &options).unwrap();
        assert!(r.warnings.iter().any(|w| w.message().contains("read as GDA94")));
        let own = at.replacen('{', &format!("{{{}", crs("EPSG:3857")), 1);
        assert!(
            err(&collection(&crs("EPSG:7844"), std::slice::from_ref(&own)))
                .contains("feature 1: has a crs of its own")
        );
        assert!(err(&own).contains("EPSG:3857"));
        // In the format of 2008, `null` means that no system is known; and a code may replace the name.
        assert_eq!(ok(&collection(r#""crs":null,"#, std::slice::from_ref(&at))).value.observations.len(), 1);
        let code = r#""crs":{"type":"EPSG","properties":{"code":28355}},"#;
        assert!(matches!(ok(&collection(code, &[grid])).value.observations[0].position, At::Grid(_)));
    }

    #[test]
    fn what_is_no_geojson_is_named() {
        for (text, want) in [
            (r#"{"type":"Topology","objects":{}}"#, "TopoJSON"),
            (r#"{"geometryType":"esriGeometryPoint","features":[]}"#, "Esri JSON"),
            (r#"{"a":1}"#, "no type"),
            ("[1,2]", "not GeoJSON"),
            (r#"{"type":"Feature""#, "cut off"),
            (r#"{"type":"Shed"}"#, "can't be read as GeoJSON"),
            (r#"{"type":"Point","coordinates":[145]}"#, "two"),
            (r#"{"type":"Point","coordinates":["145","-36"]}"#, "can't be read"),
            (r#"{"type":"FeatureCollection","features":[]}"#, "no points"),
            (r#"{"type":"Point","coordinates":[-36,145]}"#, "swapped"),
        ] {
            let e = err(text);
            assert!(e.contains(want), "{text}: {e}");
        }
        let deep = "{\"type\":\"GeometryCollection\",\"geometries\":[".repeat(5_000);
        assert!(err(&deep).contains("recursion limit"));
    }
}
