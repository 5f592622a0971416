//! What the library's front page computes is what the program says, to the last digit that it prints.

use ovalpeg::boundary::{End, Side};
use ovalpeg::briefing::Summary;
use ovalpeg::ground::{NamedSpot, SpotRef};
use ovalpeg::officiate::throw_in_deg;
use ovalpeg::rules::RuleSet;
use ovalpeg::solve::{SolveOptions, Source, solve};
use ovalpeg::units::Measured;
use serde_json::Value;

use crate::support::{Folder, demo, json, run};

/// Value, sd and interval as the program's JSON has them: six decimals.
fn printed(m: &Measured) -> [String; 4] {
    [m.value(), m.sd(), m.lo95(), m.hi95()].map(|x| format!("{x:.6}"))
}

fn said(v: &Value) -> [String; 4] {
    ["value", "sd", "lo95", "hi95"].map(|key| format!("{:.6}", v[key].as_f64().unwrap()))
}

#[test]
fn the_first_program_says_what_fit_and_throw_in_say_of_every_demo_survey() {
    let pocket = SpotRef::Named { side: Side::Left, end: End::A, name: NamedSpot::Pocket };
    for venue in &crate::golden::venues() {
        // The survey as it was registered, under the Laws, in its own plane.
        let text = std::fs::read_to_string(format!("{}/venue.toml", demo(venue))).unwrap();
        let whole: toml_edit::DocumentMut = text.parse().unwrap();
        let survey = whole["survey"].as_table().unwrap();
        let key = |name: &str| survey.get(name).and_then(toml_edit::Item::as_str);
        let zone = survey.get("zone").and_then(toml_edit::Item::as_integer);
        let file = format!("{}/{}", demo(venue), key("file").unwrap());
        let source = Source::new("survey", std::fs::read(&file).unwrap())
            .method(key("method").and_then(ovalpeg::rules::Method::find))
            .datum(key("datum").and_then(ovalpeg::frame::Datum::find))
            .zone(zone.and_then(|z| ovalpeg::frame::Zone::new(u8::try_from(z).ok()?).ok()));
        let solved = solve(vec![source], &SolveOptions::new(RuleSet::laws())).unwrap();
        let length = Summary::of(solved.ground()).sizes.length.unwrap();
        let aim = throw_in_deg(solved.ground(), pocket).unwrap();

        let zone = zone.map(|z| z.to_string());
        let mut how: Vec<&str> = vec![&file, "--method", key("method").unwrap()];
        how.extend(key("datum").iter().flat_map(|d| ["--datum", *d]));
        how.extend(zone.iter().flat_map(|z| ["--zone", z.as_str()]));
        let fit = json(&[&["fit"], &how[..], &["--json"]].concat());
        assert_eq!(said(&fit["length_m"]), printed(&length), "{venue}");

        let f = Folder::new();
        let venues = f.path();
        let accept: Vec<&str> = solved.doubts().iter().flat_map(|d| ["--accept", d.doubt.id()]).collect();
        let names = ["--id", "oval", "--venues", &venues, "--ends", "Hut,Dam", "--sides", "Left,Right"];
        let r = run(&[&["register"], &how[..], &names, &accept].concat());
        assert_eq!(r.code, 0, "{}", r.err);
        let v = json(&["throw-in", "oval", "--venues", &venues, "--at", "Hut/Left pocket", "--json"]);
        assert_eq!(said(&v["measured"]["aim_true_deg"]), printed(&aim), "{venue}");
    }
}
