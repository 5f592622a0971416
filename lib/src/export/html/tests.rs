//! The phone page: its links, its words, its policy, and names that are markup.

use super::*;
use crate::briefing::{MomentQuery, answer as answered, briefing, phase_sheet};
use crate::ground::outline_for_tests as outline;
use crate::units::Day;
use crate::venue::for_tests::{hazard, venue};

fn page(more: &str) -> String {
    let v = venue(&outline(165.0, 135.0), &format!("\n[fence]\ndistance_m = 6.0\n{more}")).0;
    let b = briefing(&v, Day::new(2026, 8, 1).unwrap());
    let phases: Vec<(&str, MomentAnswer)> = phase_sheet(&v)
        .into_iter()
        .filter_map(|(t, m)| answered(&v, b.declination.as_ref(), &MomentQuery::new(m)).ok().map(|a| (t, a)))
        .collect();
    card_html(&v, &b, &phases, None).unwrap()
}

/// Every value of an attribute.
fn values<'a>(html: &'a str, attribute: &str) -> Vec<&'a str> {
    let start = format!(" {attribute}=\"");
    html.split(&start).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn every_link_has_its_target_and_every_id_is_its_own() {
    let html = page("");
    let mut ids = values(&html, "id");
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all);
    let links = values(&html, "href");
    // Eleven spots a line, and the way back from each.
    assert!(links.len() >= 2 * 22, "{}", links.len());
    for link in links {
        let id = link.strip_prefix('#').expect("links stay on the page");
        assert!(ids.contains(&id), "{link}");
    }
}

#[test]
fn every_spot_of_the_plan_and_of_the_picker_leads_to_its_answer() {
    let html = page("");
    let svg = html.split("<svg").nth(1).unwrap().split("</svg>").next().unwrap();
    let table = html.split("<table").nth(1).unwrap().split("</table>").next().unwrap();
    let sorted = |mut all: Vec<&str>| -> Vec<String> {
        all.sort_unstable();
        all.iter().map(|s| s.trim_start_matches('#').to_owned()).collect()
    };
    let answers: Vec<&str> = values(&html, "id")
        .into_iter()
        .filter(|id| id.starts_with("answer-") && !id.ends_with("-title"))
        .collect();
    assert_eq!(answers.len(), 22);
    assert_eq!(sorted(values(svg, "href")), sorted(answers.clone()));
    assert_eq!(sorted(values(table, "href")), sorted(answers));
}

#[test]
fn the_page_says_the_cards_words_and_the_answers() {
    let o = outline(165.0, 135.0);
    let html = page(&hazard(&o, "pit cover", (Side::Left, End::A), 30.0, 2.0));
    for said in ["WATCH", "pit cover", "SHORT", "back to play", "YOUR LINE", "the table of calls", "Cautions"]
    {
        assert!(html.to_lowercase().contains(&said.to_lowercase()), "{said}");
    }
    assert!(html.len() < 500_000, "{}", html.len());
}

#[test]
fn the_policy_allows_the_style_and_nothing_else() {
    let html = page("");
    let style = html.split("<style>").nth(1).unwrap().split("</style>").next().unwrap();
    let hash = base64::engine::general_purpose::STANDARD.encode(Sha256::digest(style));
    assert!(html.contains(&format!("style-src 'sha256-{hash}'")));
    assert!(html.contains("default-src 'none'") && !html.contains(" style=\""));
    assert_eq!(html.matches("<script").count(), html.matches("<script type=\"application/json\"").count());
}

#[test]
fn a_hostile_name_is_shown_and_never_obeyed() {
    let o = outline(165.0, 135.0);
    let html =
        page(&hazard(&o, "</script><script>alert(1)</script>\\u202e&\\\"'", (Side::Left, End::A), 30.0, 2.0));
    assert_eq!(html.matches("<script").count(), 1, "the briefing's data alone");
    assert!(html.contains("&#60;script&#62;alert(1)"), "{}", &html[..4000]);
    assert!(!html.contains('\u{202e}'));
}
