//! The phone page: what it says is read back from its parts and compared with what the program answers.

use crate::golden::venues;
use crate::support::{demo, run};

const DAY: &str = "2026-08-01";

fn page(venue: &str, more: &[&str]) -> String {
    let r = run(&[&["card", venue, "--date", DAY, "--format", "html"], more].concat());
    assert_eq!(r.code, 0, "{venue}: {}", r.err);
    r.out
}

/// The words of a piece of the page, without its tags.
fn words(html: &str) -> Vec<String> {
    let mut text = String::new();
    for piece in html.split('<') {
        // Before the first tag there is none.
        let said = piece.split_once('>').map_or(piece, |(_, said)| said);
        text.push(' ');
        text.push_str(said);
    }
    let plain = [("&#60;", "<"), ("&#62;", ">"), ("&#34;", "\""), ("&#39;", "'"), ("&#38;", "&")]
        .iter()
        .fold(text, |text, (from, to)| text.replace(from, to));
    plain.split_whitespace().map(str::to_owned).collect()
}

/// A section of the page by its id, to the tag that closes it; none lies in another of its kind.
fn section<'a>(html: &'a str, kind: &str, id: &str) -> &'a str {
    let start = html.find(&format!("<{kind} class=\"answer\" id=\"{id}\"")).unwrap_or_else(|| {
        html.find(&format!("<{kind} id=\"{id}\"")).unwrap_or_else(|| panic!("no {kind} {id}"))
    });
    let end = html[start..].find(&format!("</{kind}>")).expect("it is closed");
    &html[start..start + end]
}

fn ids<'a>(html: &'a str, prefix: &str) -> Vec<&'a str> {
    html.split(" id=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .filter(|id| id.starts_with(prefix) && !id.ends_with("-title"))
        .collect()
}

#[test]
fn every_spot_of_every_demo_venue_says_what_a_throw_in_there_answers() {
    for name in venues() {
        let venue = demo(&name);
        let html = page(&venue, &[]);
        let answers = ids(&html, "answer-");
        assert!(answers.len() >= 18, "{name}: {answers:?}");
        for id in answers {
            let said = words(section(&html, "section", id));
            let place = words(section(&html, "section", id).split("</h3>").next().unwrap()).join(" ");
            let r = run(&["throw-in", &venue, "--at", &place, "--date", DAY, "--long", "--width", "200"]);
            assert_eq!(r.code, 0, "{name} {place}: {}", r.err);
            // The cautions at the foot are the page's own, once.
            let rules = r.out.lines().enumerate().filter(|(_, l)| l.starts_with("---")).map(|(i, _)| i);
            let last = rules.last().expect("a rule before the cautions");
            let answered: String =
                r.out.lines().take(last).filter(|l| !l.starts_with("---")).collect::<Vec<_>>().join("\n");
            let (said, answered) = (said.join(" "), words(&answered).join(" "));
            assert_eq!(said, format!("{place} {answered} Back to the spots"), "{name} {id}");
        }
    }
}

#[test]
fn every_phase_says_what_the_sheet_of_stations_says() {
    for name in venues() {
        let venue = demo(&name);
        let html = page(&venue, &[]);
        let sheet = run(&["stations", &venue, "--sheet", "--date", DAY, "--width", "200"]);
        let sheet = words(&sheet.out).join(" ");
        let phases = ids(&html, "phase-");
        assert!(phases.len() >= 9, "{name}: {phases:?}");
        for id in phases {
            let said = words(section(&html, "details", id).split_once("</summary>").unwrap().1).join(" ");
            assert!(sheet.contains(&said), "{name} {id}:\n{said}");
        }
    }
}

#[test]
fn the_page_of_one_line_has_that_lines_watch_and_faces_alone() {
    let venue = demo("cockatoo-hollow");
    let html = page(&venue, &["--line", "Road"]);
    let face = words(section(&html, "section", "face")).join(" ");
    assert!(face.contains("ROAD line") && !face.contains("PAVILION line"), "{face}");
    let card = words(section(&html, "section", "card")).join(" ");
    assert!(card.contains("pit cover") && !card.contains("bench 3 m"), "{card}");
}

#[test]
fn a_phone_page_is_one_small_file_without_a_script() {
    for name in venues() {
        let html = page(&demo(&name), &[]);
        assert!(html.len() < 500_000, "{name}: {}", html.len());
        assert_eq!(html.matches("<script").count(), 1, "{name}: its data alone");
        for outside in [" src=", "url(", "@import", "<link", "<iframe"] {
            assert!(!html.contains(outside), "{name}: {outside}");
        }
    }
}
