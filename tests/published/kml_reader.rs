//! The library's KML reader against a second one, the `kml` crate, on good files.
//!
//! Only on good files: on bad ones the crate may loop, panic or drop geometry without
//! a word, which is why the library walks the document itself. A polygon's closing
//! point, which repeats its first, is counted once by the library and twice by the file.

use kml::types::{Coord, Geometry};
use kml::{Kml, KmlReader};
use ovalpeg::survey::{Format, Position, ReadOptions, Role, read};
use ovalpeg_tests::random::Random;

use crate::support::close;

/// Every coordinate that the second reader finds, in the file's order, a ring without its closing point.
fn second_reader(text: &str) -> Vec<Coord> {
    fn geometry(g: &Geometry, out: &mut Vec<Coord>) {
        match g {
            Geometry::Point(p) => out.push(p.coord),
            Geometry::LineString(l) => out.extend(&l.coords),
            Geometry::LinearRing(r) => out.extend(&r.coords[..r.coords.len() - 1]),
            Geometry::Polygon(p) => out.extend(&p.outer.coords[..p.outer.coords.len() - 1]),
            Geometry::MultiGeometry(m) => m.geometries.iter().for_each(|g| geometry(g, out)),
            other => panic!("{other:?} is not in a good file of ours"),
        }
    }
    fn walk(k: &Kml, out: &mut Vec<Coord>) {
        match k {
            Kml::KmlDocument(d) => d.elements.iter().for_each(|e| walk(e, out)),
            Kml::Document { elements, .. } => elements.iter().for_each(|e| walk(e, out)),
            Kml::Folder(f) => f.elements.iter().for_each(|e| walk(e, out)),
            Kml::Placemark(p) => p.geometry.iter().for_each(|g| geometry(g, out)),
            _ => {}
        }
    }
    let mut out = Vec::new();
    walk(&KmlReader::<_, f64>::from_string(text).read().unwrap(), &mut out);
    out
}

/// Both readers on one file: as many points, the same ones, in the same order, with these roles.
fn agree(name: &str, body: &str, roles: &[(Role, usize)]) {
    let text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document><name>{name}</name>{body}</Document></kml>\n"
    );
    let second = second_reader(&text);
    let survey = read(text.as_bytes(), &ReadOptions::default()).unwrap().value;
    assert_eq!(survey.format, Format::Kml);
    assert_eq!(survey.observations.len(), second.len(), "{name}");
    assert!(!second.is_empty(), "{name} holds nothing to compare");
    for (o, c) in survey.observations.iter().zip(&second) {
        let Position::Geodetic(g) = o.position else { panic!("{name}: not a place on Earth") };
        // Both parse the same decimal text, and parsing is exact to the last bit.
        close(&format!("{name}, {}: longitude", o.place), g.longitude_deg(), c.x, 0.0);
        close(&format!("{name}, {}: latitude", o.place), g.latitude_deg(), c.y, 0.0);
        close(&format!("{name}, {}: height", o.place), g.height_m(), c.z.unwrap_or(0.0), 0.0);
    }
    for &(role, count) in roles {
        let found = survey.observations.iter().filter(|o| o.role == role).count();
        assert_eq!(found, count, "{name}: {role:?}");
    }
    assert_eq!(
        roles.iter().map(|r| r.1).sum::<usize>(),
        second.len(),
        "{name}: every point has a role said here"
    );
}

/// Longitudes and latitudes round an oval near Hobart, with `decimals` digits and maybe heights.
fn oval(n: u32, decimals: usize, heights: bool, random: &mut Random) -> Vec<String> {
    (0..n)
        .map(|i| {
            let (s, c) = (f64::from(i) / f64::from(n) * std::f64::consts::TAU).sin_cos();
            let lon = 147.33 + 1.0e-3 * c + 1e-6 * random.between(-1.0, 1.0);
            let lat = -42.88 + 0.6e-3 * s + 1e-6 * random.between(-1.0, 1.0);
            let height =
                if heights { format!(",{:.2}", 12.0 + random.between(-1.0, 1.0)) } else { String::new() };
            format!("{lon:.decimals$},{lat:.decimals$}{height}")
        })
        .collect()
}

/// A ring's text: closed by its first point.
fn ring(points: &[String]) -> String {
    format!("<LinearRing><coordinates>\n {}\n {}\n</coordinates></LinearRing>", points.join("\n "), points[0])
}

fn placemark(name: &str, geometry: &str) -> String {
    format!("<Placemark><name>{name}</name>{geometry}</Placemark>")
}

fn point(name: &str, tuple: &str) -> String {
    placemark(name, &format!("<Point><coordinates>{tuple}</coordinates></Point>"))
}

#[test]
fn a_traced_polygon() {
    let mut random = Random::new(11);
    let points = oval(72, 9, false, &mut random);
    let polygon = format!(
        "<Polygon><tessellate>1</tessellate><outerBoundaryIs>{}</outerBoundaryIs></Polygon>",
        ring(&points)
    );
    agree("polygon", &placemark("Untitled Polygon", &polygon), &[(Role::Line, 72)]);
}

#[test]
fn a_walked_path_with_heights() {
    let mut random = Random::new(12);
    let points = oval(480, 7, true, &mut random);
    let path = format!("<LineString><coordinates>{}</coordinates></LineString>", points.join(" "));
    agree("path", &placemark("Saturday", &path), &[(Role::Line, 480)]);
}

#[test]
fn a_bare_ring() {
    let mut random = Random::new(13);
    agree("ring", &placemark("oval", &ring(&oval(16, 8, true, &mut random))), &[(Role::Line, 16)]);
}

#[test]
fn a_folder_of_pins_with_posts() {
    let mut random = Random::new(14);
    let pins: String = oval(24, 8, false, &mut random)
        .iter()
        .enumerate()
        .map(|(i, p)| point(&format!("Pin {}", i + 1), p))
        .collect();
    let posts: String = [
        ("goal post N1", "147.3310,-42.88003"),
        ("goal post N2", "147.3310,-42.87997"),
        ("behind post N1", "147.3310,-42.88009"),
        ("BP_N2", "147.3310,-42.87991,14.5"),
    ]
    .map(|(name, p)| point(name, p))
    .concat();
    let body = format!(
        "<Style id=\"s\"><LineStyle><width>2</width></LineStyle></Style>\
         <Folder><name>line</name>{pins}</Folder><Folder><name>posts</name>{posts}</Folder>"
    );
    agree("pins", &body, &[(Role::Line, 24), (Role::GoalPost, 2), (Role::BehindPost, 2)]);
}

#[test]
fn a_boundary_in_pieces_among_other_things() {
    let mut random = Random::new(15);
    let half = |random: &mut Random| oval(30, 8, false, random).join(" ");
    let pieces = format!(
        "<MultiGeometry><LineString><coordinates>{}</coordinates></LineString>\
         <LineString><coordinates>{}</coordinates></LineString></MultiGeometry>",
        half(&mut random),
        half(&mut random)
    );
    let fence = format!("<LineString><coordinates>{}</coordinates></LineString>", half(&mut random));
    let body = format!(
        "<Folder><name>2026</name><description>after the re-turf</description>{}{}</Folder>{}",
        placemark("boundary line", &pieces),
        placemark("fence", &fence),
        point("Canteen &amp; scoreboard", "147.332,-42.881,11")
    );
    agree("pieces", &body, &[(Role::Line, 60), (Role::Unused, 31)]);
}
