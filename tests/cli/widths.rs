//! How wide text is, and which card is printed for it.

use std::path::Path;

use crate::support::{Folder, demo, json, oval, posts, refused, root, run, run_with};

fn widest(text: &str) -> usize {
    text.lines().map(|l| l.chars().count()).max().unwrap_or(0)
}

fn card<'a>(venue: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    [&["card", venue, "--date", "2026-08-01"][..], more].concat()
}

#[test]
fn text_is_as_wide_as_asked_else_as_columns_says_else_as_its_own() {
    let venue = demo("cockatoo-hollow");
    let of = |args: &[&str], columns: Option<&str>| {
        let env: Vec<(&str, &str)> = columns.iter().map(|c| ("COLUMNS", *c)).collect();
        let r = run_with(Path::new("."), &env, args);
        assert_eq!(r.code, 0, "{}", r.err);
        widest(&r.out)
    };
    // A rule is as wide as the page.
    assert_eq!(of(&card(&venue, &[]), None), 49);
    assert_eq!(of(&card(&venue, &[]), Some("80")), 80);
    assert_eq!(of(&card(&venue, &["--width", "60"]), Some("80")), 60);
    assert_eq!(of(&["call", "--table"], Some("33")), 33);
    assert_eq!(of(&["--width", "33", "call", "--table"], None), 33);
    // What says nothing, or less than fits, is no reason to fail.
    assert_eq!(of(&card(&venue, &[]), Some("wide")), 49);
    assert_eq!(of(&card(&venue, &[]), Some("7")), 24);
    assert_eq!(of(&card(&venue, &[]), Some("900")), 200);
    for bad in ["23", "201", "x", "0"] {
        assert!(refused_width(&card(&venue, &["--width", bad])).contains("24 to 200"), "{bad}");
    }
}

fn refused_width(args: &[&str]) -> String {
    let r = run(args);
    assert!(r.code == 2 && r.out.is_empty(), "{args:?}");
    r.err
}

#[test]
fn the_short_card_is_for_less_than_49_columns_and_the_full_one_for_all_else() {
    let venue = demo("cockatoo-hollow");
    let of = |more: &[&str]| run(&card(&venue, more)).out;
    let is_short = |text: &str| text.contains("YOUR POST  1 m behind it: ball");
    for (more, short) in [
        (&[][..], false),
        (&["--width", "49"], false),
        (&["--width", "48"], true),
        (&["--width", "36", "--full"], false),
        (&["--width", "36", "--long"], false),
        (&["--short"], true),
        (&["--width", "80", "--short"], true),
        (&["--width", "80", "--line", "Road"], true),
    ] {
        assert_eq!(is_short(&of(more)), short, "{more:?}");
    }
    assert_eq!((widest(&of(&["--short"])), widest(&of(&["--width", "80", "--short"]))), (36, 80));
    // Nothing of it is lost on the way to a file or a pipe: no terminal, the full card.
    assert!(of(&[]).contains("ARRIVE"));
}

#[test]
fn one_officials_card_is_of_that_line() {
    let venue = demo("cockatoo-hollow");
    let of = |line: &str| run(&card(&venue, &["--line", line]));
    let (road, pavilion) = (of("Road"), of("pavilion"));
    assert!(road.out.contains("YOUR LINE ROAD") && road.out.contains("pit"), "{}", road.out);
    assert!(!road.out.contains("tap") && pavilion.out.contains("tap"), "{}", pavilion.out);
    assert!(refused(&card(&venue, &["--line", "Silo"])).contains("not a side of Cockatoo Hollow Oval"));
    for with in ["--full", "--long", "--json"] {
        assert_eq!(run(&card(&venue, &["--line", "Road", with])).code, 2, "{with}");
    }
}

#[test]
fn a_card_prints_the_day_that_sun_and_bearings_are_for() {
    let venue = demo("cockatoo-hollow");
    for (day, said) in [("2026-08-01", "1 Aug 2026"), ("2027-12-24", "24 Dec 2027")] {
        for more in [&[][..], &["--short"], &["--line", "Road"], &["--long"]] {
            let r = run(&[&["card", &venue, "--date", day][..], more].concat());
            assert!(r.out.lines().take(3).any(|l| l.ends_with(said)), "{day} {more:?}: {}", r.out);
        }
    }
}

#[test]
fn every_text_keeps_within_its_columns() {
    let f = Folder::new();
    let survey = f.file("s.csv", &(oval(83.345, 67.5, |_, _| true) + &posts(82.5)));
    let book = f.file(
        "tapes.txt",
        "tape A: 50 m, class III\nthe north-eastern goal post to the old surveyors' peg: 30.00\n\
         the old surveyors' peg to C: 40.00\nC to the north-eastern goal post: 50.00\nC to D: 30.02\n\
         D to the north-eastern goal post: 40.01\nD to the old surveyors' peg: 50.00\n",
    );
    let venues: Vec<String> =
        ["quandong-crossing", "saltbush-siding", "stringybark-gap"].iter().map(|v| demo(v)).collect();
    let mut all: Vec<Vec<&str>> = vec![
        vec!["call", "--table"],
        vec!["call", "--over", "no"],
        vec!["rules"],
        vec!["rules", "laws"],
        vec!["rules", "nine-a-side"],
        vec!["fit", &survey, "--method", "rtk"],
        vec!["fit", &survey, "--curve-only"],
        vec!["compare", &survey, &survey, "--method", "rtk"],
        vec!["adjust", &book],
    ];
    for v in &venues {
        all.extend([
            card(v, &["--full"]),
            card(v, &["--short"]),
            card(v, &["--long"]),
            vec!["stations", v],
            vec!["stations", v, "--phase", "play", "--ball", "20,50"],
            vec!["throw-in", v, "--at", "left,A,75", "--long"],
        ]);
    }
    for args in &all {
        for columns in ["24", "36", "49", "80"] {
            let r = run(&[&args[..], &["--width", columns]].concat());
            assert!(r.code <= 1 && !r.out.is_empty(), "{args:?} {columns}: {}", r.err);
            let most: usize = columns.parse().unwrap();
            for line in r.out.lines() {
                assert!(line.chars().count() <= most, "{args:?} at {columns}: '{line}'");
                assert_eq!(line, line.trim_end(), "{args:?} at {columns}");
            }
        }
    }
    // A mark's name is whole, broken between its words or where it must be.
    let adjusted = run(&["adjust", &book, "--width", "24"]).out;
    let letters: String = adjusted.split_whitespace().collect();
    assert!(letters.contains("theoldsurveyors'peg"), "{adjusted}");
}

#[test]
fn the_notes_at_the_end_of_an_answer_are_two_lines() {
    for venue in ["cockatoo-hollow", "saltbush-siding", "lantern-hill"] {
        let v = demo(venue);
        for args in [
            vec!["stations", &v],
            vec!["stations", &v, "--phase", "play", "--ball", "20,50"],
            vec!["throw-in", &v, "--at", "left,A,75"],
        ] {
            let out = run(&args).out;
            let notes: Vec<&str> = out.lines().rev().take_while(|l| !l.starts_with("---")).collect();
            assert_eq!(notes.len(), 2, "{args:?}: {out}");
            assert!(notes[1].contains("Look behind you"), "{out}");
            assert!(notes[0].contains("Thunder"), "{out}");
        }
    }
}

#[test]
fn a_cards_json_has_where_things_stand_the_posts_and_the_walk_round() {
    let v = json(&card(&demo("cockatoo-hollow"), &["--json"]));
    let tap = v["watch"].as_array().unwrap().iter().find(|w| w["name"] == "tap").unwrap();
    let number = |v: &serde_json::Value| v.as_f64().unwrap();
    let at = &tap["stands"];
    assert_eq!((&at["side_name"], &at["end_name"]), (&"Pavilion".into(), &"Silo".into()));
    assert!((number(&at["from_post_m"]["value"]) - 61.0).abs() < 1.0);
    assert!(number(&at["from_post_m"]["sd"]) > 0.0 && number(&at["off_line_m"]["sd"]) > 0.0);
    assert!((number(&at["off_line_m"]["value"]) - 1.3).abs() < 0.1);
    let way = &tap["in_the_way"][0];
    assert_eq!(way["advice"], "stand so");
    assert!((8.0..15.0).contains(&number(&way["back_m"])));
    // It stands before the crossings that it is in the way of.
    assert!(number(&way["crossings"][0]["from_post_m"]) > number(&at["from_post_m"]["value"]));
    let fence = v["watch"].as_array().unwrap().iter().find(|w| w["kind"] == "fence").unwrap();
    assert!((number(&fence["along"][0]["length_m"]) - 24.0).abs() < 1e-6);
    assert_eq!(v["posts"].as_array().unwrap().len(), 4);
    for p in v["posts"].as_array().unwrap() {
        assert!((number(&p["from_post_m"]) - 1.0).abs() < 1e-6 && p["stands"] == "behind the post");
    }
    let stops = v["walk_round"]["stops"].as_array().unwrap();
    assert!(stops.iter().any(|s| s["name"] == "tap") && stops.iter().any(|s| s["what"] == "pace the fence"));
    // What a card of an earlier day had is there still.
    assert!(tap["what"].as_str().unwrap().contains("61 m from post: tap") && tap["action"].is_string());
}

#[test]
fn the_readme_says_where_text_gets_its_width() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    for word in ["--width", "COLUMNS", "--line"] {
        assert!(readme.contains(word), "{word}");
    }
}
