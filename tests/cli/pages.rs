//! Pages: the demo league's plans as they are drawn, and what they say read back and compared with the answers.

use roxmltree::{Document, Node};
use serde_json::Value;
use snapbox::{Data, assert_data_eq};

use crate::golden::venues;
use crate::support::{add, demo, json, root, run, run_in};

const DAY: &str = "2026-08-01";

fn svg(venue: &str, more: &[&str]) -> String {
    let r = run(&[&["card", venue, "--date", DAY, "--format", "svg"], more].concat());
    assert_eq!(r.code, 0, "{venue}: {}", r.err);
    r.out
}

fn texts(group: Node<'_, '_>) -> Vec<String> {
    group.children().filter(|n| n.has_tag_name("text")).map(|n| n.text().unwrap_or("").to_owned()).collect()
}

fn title(group: Node<'_, '_>) -> String {
    group.children().find(|n| n.has_tag_name("title")).and_then(|n| n.text()).unwrap_or("").to_owned()
}

fn group<'a, 'b>(page: &'a Document<'b>, id: &str) -> Node<'a, 'b> {
    page.descendants().find(|n| n.attribute("id") == Some(id)).unwrap_or_else(|| panic!("no {id}"))
}

fn groups<'a, 'b>(page: &'a Document<'b>, id: &'a str) -> impl Iterator<Item = Node<'a, 'b>> {
    page.descendants().filter(move |n| n.attribute("id").is_some_and(|i| i.starts_with(id)))
}

#[test]
fn plans_are_drawn_as_kept() {
    for name in venues() {
        let golden = root().join("tests/cli/golden").join(format!("{name}.plan.svg"));
        assert_data_eq!(svg(&demo(&name), &[]), Data::read_from(&golden, None).raw());
    }
}

/// `1½` as a number; `None` of other words.
fn halves(text: &str) -> Option<f64> {
    match text.strip_suffix('½') {
        Some("") => Some(0.5),
        Some(whole) => Some(whole.parse::<f64>().ok()? + 0.5),
        None => text.parse().ok(),
    }
}

#[test]
fn what_stands_at_a_spot_of_a_plan_is_what_a_throw_in_there_answers() {
    let mut seen = 0;
    for name in venues() {
        let venue = demo(&name);
        let drawn = svg(&venue, &[]);
        let page = Document::parse(&drawn).unwrap();
        for spot in groups(&page, "spot-") {
            let (place, said) = (title(spot), texts(spot));
            let answer = json(&["throw-in", &venue, "--at", &place, "--date", DAY, "--json"]);
            let long = !answer["stand_long"].is_null();
            let stand = if long { &answer["stand_long"] } else { &answer["stand"] };
            let wide = said.iter().find_map(|t| halves(t));
            let outside = stand["outside_line_m"].as_f64().unwrap();
            match wide {
                Some(wide) => assert_eq!(wide, (outside * 2.0).round() / 2.0, "{name} {place} {said:?}"),
                None => {
                    let kind = stand["kind"].as_str().unwrap();
                    assert!(kind.contains("post") || kind.contains("no "), "{name} {place} {kind} {said:?}");
                }
            }
            assert_eq!(said.iter().any(|t| t.contains("LONG SIDE")), long, "{name} {place} {said:?}");
            faced(&answer["backsight"], &said, &format!("{name} {place}"));
            seen += 1;
        }
    }
    assert!(seen > 100, "only {seen} spots were read");
}

/// What is faced is named, with how far the line to face lies to its right or left.
fn faced(backsight: &Value, said: &[String], place: &str) {
    let Some(landmark) = backsight["landmark"].as_str() else {
        assert!(
            said.len() <= 3 && !said.iter().any(|t| t.ends_with("f R") || t.ends_with("f L")),
            "{place} {said:?}"
        );
        return;
    };
    assert!(said.iter().any(|t| t == landmark), "{place}: {landmark} {said:?}");
    let off = said.iter().find_map(|t| {
        let (fists, side) = t.split_once("f ")?;
        Some(halves(fists)? * if side == "R" { 1.0 } else { -1.0 })
    });
    let fists = backsight["fists"].as_f64().unwrap();
    let signed = if backsight["off_deg"].as_f64().unwrap() > 0.0 { fists } else { -fists };
    assert_eq!(off.unwrap_or(0.0), signed, "{place} {said:?}");
}

#[test]
fn every_row_of_watch_is_on_a_plan_with_its_number() {
    for name in venues() {
        let venue = demo(&name);
        let card = json(&["card", &venue, "--date", DAY, "--json"]);
        let drawn = svg(&venue, &[]);
        let page = Document::parse(&drawn).unwrap();
        let watch = card["watch"].as_array().unwrap();
        for (i, row) in watch.iter().enumerate() {
            let number = (i + 1).to_string();
            let head = group(&page, &format!("watch-{number}"));
            assert_eq!(texts(head)[0], number, "{name}");
            let Some(hazard) = row["hazard"].as_str().or_else(|| row["name"].as_str()) else { continue };
            assert!(texts(head).iter().any(|t| t == hazard), "{name} {hazard} {:?}", texts(head));
            let label = group(&page, &format!("hazard-{number}"));
            assert_eq!(texts(label)[0], number, "{name}");
        }
    }
}

#[test]
fn a_page_is_written_where_it_is_told_and_never_over_another() {
    let folder = tempfile::tempdir().unwrap();
    let venue = std::fs::canonicalize(demo("lantern-hill")).unwrap().display().to_string();
    let args = ["card", venue.as_str(), "--date", DAY, "--format", "svg", "-o", "plan.svg"];
    let r = run_in(folder.path(), &args);
    assert_eq!((r.code, r.out.as_str()), (0, "plan.svg\n"), "{}", r.err);
    let written = std::fs::read_to_string(folder.path().join("plan.svg")).unwrap();
    assert!(written.starts_with("<svg ") && written.ends_with("</svg>\n"));
    let again = run_in(folder.path(), &[&args[..], &["--paper", "a4"]].concat());
    assert_eq!(again.code, 2, "{}", again.out);
    assert!(again.err.contains("--replace"), "{}", again.err);
    assert_eq!(std::fs::read_to_string(folder.path().join("plan.svg")).unwrap(), written);
    let replaced = run_in(folder.path(), &[&args[..], &["--paper", "a4", "--replace"]].concat());
    assert_eq!(replaced.code, 0, "{}", replaced.err);
    assert!(std::fs::read_to_string(folder.path().join("plan.svg")).unwrap().contains("width=\"210mm\""));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn papers_have_their_sizes_and_the_smallest_leaves_landmarks_to_the_text() {
    let venue = demo("cockatoo-hollow");
    for (paper, size) in
        [("a4", "width=\"210mm\" height=\"297mm\""), ("a6", "width=\"105mm\" height=\"148mm\"")]
    {
        assert!(svg(&venue, &["--paper", paper]).contains(size), "{paper}");
    }
    assert!(
        svg(&venue, &[]).contains(">canteen door<")
            && !svg(&venue, &["--paper", "a6"]).contains("canteen door<")
    );
    for option in ["--json", "--short", "--ascii"] {
        let r = run(&["card", &venue, "--format", "svg", option]);
        assert_eq!(r.code, 2, "{option}");
    }
}

#[test]
fn names_from_a_venue_file_never_become_markup() {
    let folder = tempfile::tempdir().unwrap();
    let venue = folder.path().join("lantern-hill");
    std::fs::create_dir(&venue).unwrap();
    for entry in std::fs::read_dir(demo("lantern-hill")).unwrap().map(|e| e.unwrap().path()) {
        if entry.is_file() {
            std::fs::copy(&entry, venue.join(entry.file_name().unwrap())).unwrap();
        }
    }
    let toml = venue.join("venue.toml").display().to_string();
    let hostile = "</text><script>alert(1)</script> \\\"q' \\u202e \\u4e2d \\U0001f600";
    add(
        &toml,
        &format!("\n[[hazard]]\nname = \"{hostile}\"\nlatitude = -36.0\nlongitude = 145.0\nradius_m = 1\n"),
    );
    let text = std::fs::read_to_string(&toml).unwrap();
    // Where the ground is, so that the hazard is near it.
    let place: Vec<&str> =
        text.lines().filter(|l| l.starts_with("latitude") || l.starts_with("longitude")).take(2).collect();
    std::fs::write(&toml, text.replace("latitude = -36.0\nlongitude = 145.0", &place.join("\n"))).unwrap();
    let drawn = svg(&venue.display().to_string(), &[]);
    assert!(!drawn.contains("<script") && !drawn.contains('\u{202e}'));
    assert!(drawn.contains("&lt;script&gt;") && drawn.contains(">U+4E2D<") && drawn.contains(">U+1F600<"));
    let page = Document::parse(&drawn).unwrap();
    let tags = ["svg", "title", "desc", "rect", "g", "path", "text"];
    assert!(page.descendants().filter(Node::is_element).all(|n| tags.contains(&n.tag_name().name())));
}

#[test]
fn a_pdf_and_a_png_are_written_to_a_file_the_same_each_time_and_never_to_a_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let venue = demo("cockatoo-hollow");
    for (format, start) in [("pdf", &b"%PDF-1.7"[..]), ("png", b"\x89PNG\r\n\x1a\n")] {
        let asked = ["card", &venue, "--date", DAY, "--format", format];
        let r = run(&asked);
        assert!(r.code != 0 && r.out.is_empty() && r.err.contains("-o card.pdf"), "{}", r.err);
        let files = [1, 2].map(|n| {
            let path = folder.path().join(format!("{n}.{format}"));
            let r = run(&[&asked[..], &["-o", path.to_str().unwrap()]].concat());
            assert_eq!((r.code, r.out.trim_end()), (0, path.to_str().unwrap()), "{}", r.err);
            std::fs::read(path).unwrap()
        });
        assert!(files[0].starts_with(start) && files[0].len() > 20_000, "{format} {}", files[0].len());
        assert!(files[0] == files[1], "{format}: two makings differ");
    }
}
