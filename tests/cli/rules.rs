//! Rule sets: which there are, what they say, and a league's own beside its venues.

use std::path::Path;

use serde_json::Value;

use crate::support::{Folder, add, demo, json, oval, posts, refused, root, run};

const LEAGUE: &str = "schema = 1\nname = \"Wattle Valley\"\nbased_on = \"laws\"\n\n[[change]]\nwhy = \"older grounds; by-law 7\"\nlength_min_m = 170\nwidth_min_m = 104\n\n[[change]]\nwhy = \"as it was\"\nkick_in_mark_m = 10\nback_m = 12\n";

/// A folder of venues with a league's rules and one demo venue that goes by the set named.
fn league(f: &Folder, set: &str) -> String {
    let venues = format!("{}/v", f.path());
    let venue = format!("{venues}/oval");
    std::fs::create_dir_all(&venue).unwrap();
    for entry in std::fs::read_dir(demo("cockatoo-hollow")).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            std::fs::copy(&path, Path::new(&venue).join(path.file_name().unwrap())).unwrap();
        }
    }
    let toml = format!("{venue}/venue.toml");
    let text = std::fs::read_to_string(&toml).unwrap();
    std::fs::write(&toml, text.replace("set = \"laws\"", &format!("set = \"{set}\""))).unwrap();
    std::fs::write(format!("{venues}/wattle.rules.toml"), LEAGUE).unwrap();
    venues
}

fn number<'a>(v: &'a Value, list: &str, key: &str) -> &'a Value {
    v[list].as_array().unwrap().iter().find(|n| n["key"] == key).unwrap()
}

#[test]
fn sets_built_in_and_beside_the_venues_are_listed() {
    let f = Folder::new();
    let venues = league(&f, "wattle");
    std::fs::write(format!("{venues}/broken.rules.toml"), "schema = 1\n").unwrap();
    let r = run(&["rules", "--venues", &venues]);
    assert_eq!(r.code, 0, "{}", r.err);
    for want in [
        "laws-1990s",
        "juniors-u10-regional",
        "nine-a-side",
        "Wattle Valley (on top of laws: 4 changed)",
        "broken                can't be used: its file has 2 problems",
    ] {
        assert!(r.out.contains(want), "{want}: {}", r.out);
    }
    let v = json(&["rules", "--venues", &venues, "--json"]);
    let sets = v["rule_sets"].as_array().unwrap();
    assert!(sets.iter().any(|s| s["id"] == "wattle" && s["built_in"] == false && s["based_on"] == "laws"));
    assert!(sets.iter().any(|s| s["id"] == "broken" && s["problems"] == 2));
    let nowhere = run(&["rules", "--venues", &format!("{}/none", f.path())]);
    assert!(nowhere.code == 0 && nowhere.out.contains("none"), "{}", nowhere.err);
}

#[test]
fn a_set_is_explained_with_unit_source_edition_year_and_how_sure() {
    let text = run(&["rules", "laws"]).out;
    assert!(text.contains("length_min_m                   135 m"), "{text}");
    assert!(text.contains("Law 3.2(a), 2010s editions (read in the source)"), "{text}");
    let v = json(&["rules", "laws", "--json"]);
    let least = number(&v, "numbers", "length_min_m");
    assert_eq!((&least["value"], &least["unit"]), (&135.0.into(), &"m".into()));
    assert_eq!((&least["edition"], &least["standing"]), (&"2010s editions".into(), &"sure".into()));
    assert_eq!(number(&v, "numbers", "kick_in_mark_m")["year"], 2021);
    assert_eq!(number(&v, "practice", "back_m")["standing"], "common-practice");
    let nine = json(&["rules", "nine-a-side", "--json"]);
    assert!(number(&nine, "numbers", "square_side_m")["value"].is_null());
    assert!(run(&["rules", "nine-a-side", "--ascii"]).out.is_ascii());
    let e = refused(&["rules", "lores"]);
    assert!(e.contains("rule set 'lores' is not known") && e.contains("one of laws, laws-2019"), "{e}");
}

#[test]
fn what_a_leagues_file_changed_and_why_is_explained() {
    let f = Folder::new();
    let venues = league(&f, "wattle");
    let own = format!("{venues}/wattle.rules.toml");
    for name in ["wattle", own.as_str()] {
        let r = run(&["rules", name, "--venues", &venues]);
        assert_eq!(r.code, 0, "{}", r.err);
        assert!(
            r.out.contains("170 m (was 135 m)") && r.out.contains("Why: older grounds; by-law 7"),
            "{}",
            r.out
        );
    }
    let v = json(&["rules", "wattle", "--venues", &venues, "--json"]);
    let changes = v["changes"].as_array().unwrap();
    assert_eq!(changes.len(), 4);
    assert_eq!((&changes[0]["was"], &changes[0]["now"]), (&"135 m".into(), &"170 m".into()));
    // The demo's own.
    let r = run(&["rules", "wattle-valley", "--venues", &root().join("venues").display().to_string()]);
    assert!(r.code == 0 && r.out.contains("128 m (was 135 m)"), "{}{}", r.out, r.err);
}

#[test]
fn a_venue_finds_its_leagues_rules_beside_it_and_its_own_numbers_come_on_top() {
    let f = Folder::new();
    let venues = league(&f, "wattle");
    let venue = format!("{venues}/oval");
    // Named by the folder of venues, and as a path.
    for args in [vec!["card", "oval", "--venues", &venues], vec!["card", &venue]] {
        let r = run(&args);
        assert_eq!(r.code, 0, "{}", r.err);
        let said = r.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains("under the least of 170 m (Wattle Valley: older grounds; by-law 7)"), "{said}");
    }
    let kick = run(&["stations", &venue, "--phase", "kick-in", "--goal", "Silo"]).out;
    let kick = kick.split_whitespace().collect::<Vec<_>>().join(" ");
    // 10 m from the kick-off line, and the league has said so.
    assert!(kick.contains("19 m out from the goal line") && !kick.contains("check your league"), "{kick}");
    let toml = format!("{venue}/venue.toml");
    add(&toml, "\n[rules.numbers]\nlength_min_m = 150\n\n[practice]\nback_m = 14\n");
    let v = json(&["rules", "--venue", "oval", "--venues", &venues, "--json"]);
    assert_eq!(number(&v, "numbers", "length_min_m")["value"], 150.0);
    assert_eq!(number(&v, "numbers", "length_min_m")["standing"], "venue");
    assert_eq!(number(&v, "numbers", "width_min_m")["standing"], "league");
    assert_eq!(number(&v, "practice", "back_m")["value"], 14.0);
    assert!(!run(&["card", &venue]).out.contains("under the least"));
}

#[test]
fn every_problem_of_a_leagues_file_is_told_with_its_line_and_nothing_is_printed() {
    let f = Folder::new();
    let venues = league(&f, "wattle");
    let own = format!("{venues}/wattle.rules.toml");
    let bad =
        LEAGUE.replace("length_min_m = 170", "lenght_min_m = 170").replace("back_m = 12", "back_m = 1200");
    std::fs::write(&own, bad).unwrap();
    for args in [vec!["card", "oval", "--venues", &venues], vec!["rules", "wattle", "--venues", &venues]] {
        let e = refused(&args);
        assert!(e.contains("wattle.rules.toml, line 7: 'lenght_min_m'"), "{e}");
        assert!(e.contains("did you mean 'length_min_m'?"), "{e}");
        assert!(e.contains("wattle.rules.toml, line 13: back_m is 1200, outside 0.5 to 50 m"), "{e}");
    }
    std::fs::remove_file(&own).unwrap();
    let e = refused(&["card", "oval", "--venues", &venues]);
    assert!(e.contains("rule set 'wattle' is not known") && e.contains("wattle.rules.toml"), "{e}");
}

#[test]
fn fit_and_register_take_any_set() {
    let f = Folder::new();
    // 100 × 80 m, through its posts: a = 50/√(1 − (9.6/40)²).
    let a = 50.0 / (1.0 - (9.6f64 / 40.0).powi(2)).sqrt();
    let survey = f.file("s.csv", &(oval(a, 40.0, |_, _| true) + &posts(50.0)));
    for set in ["laws", "laws-1990s", "juniors-u12", "juniors-u10", "juniors-u10-regional", "nine-a-side"] {
        let r = run(&["fit", &survey, "--method", "rtk", "--rules", set]);
        assert_eq!(r.code, 0, "{set}: {}", r.err);
    }
    let venues = league(&f, "wattle");
    for set in ["juniors-u10", "wattle"] {
        let args = [
            "register",
            &survey,
            "--method",
            "rtk",
            "--venues",
            &venues,
            "--id",
            set,
            "--surveyed",
            "2026-03-14",
            "--rules",
            set,
        ];
        let mut args = args.to_vec();
        if set == "wattle" {
            // Smaller than that league allows: asked about, and refused until it is accepted.
            let e = refused(&args);
            assert!(e.contains("at least 170.0 m") && e.contains("--accept size"), "{e}");
            args.extend(["--accept", "size"]);
        }
        let r = run(&args);
        assert_eq!(r.code, 0, "{set}: {}", r.err);
        let text = std::fs::read_to_string(format!("{venues}/{set}/venue.toml")).unwrap();
        assert!(text.contains(&format!("set = \"{set}\"")), "{text}");
        assert_eq!(text.contains("accepted = [\"size\"]"), set == "wattle", "{text}");
        assert_eq!(run(&["card", set, "--venues", &venues]).code, 0);
    }
    // A league's file that a venue would not find is refused before anything is written.
    let elsewhere = f.file("other.rules.toml", LEAGUE);
    let e = refused(&[
        "register", &survey, "--method", "rtk", "--venues", &venues, "--id", "new", "--rules", &elsewhere,
    ]);
    assert!(e.contains("put other.rules.toml into"), "{e}");
    assert!(!Path::new(&format!("{venues}/new")).exists());
    assert_eq!(run(&["fit", &survey, "--method", "rtk", "--rules", &elsewhere]).code, 0);
    let e = refused(&["fit", &survey, "--method", "rtk", "--rules", "lores"]);
    assert!(e.contains("--rules 'lores'") && e.contains("juniors-u10"), "{e}");
}

#[test]
fn nine_a_side_has_no_throw_in_and_asked_for_it_is_refused_in_words() {
    let f = Folder::new();
    let venues = league(&f, "nine-a-side");
    let e = refused(&["throw-in", "oval", "--venues", &venues, "--at", "left,A,35"]);
    assert!(e.contains("no throw-ins"), "{e}");
    let e = refused(&["stations", "oval", "--venues", &venues, "--phase", "throw-in", "--ball", "0,67"]);
    assert!(e.contains("no throw-ins"), "{e}");
    let sheet = run(&["stations", "oval", "--venues", &venues, "--sheet"]);
    assert_eq!((sheet.code, sheet.err.as_str()), (0, ""), "no phase of the sheet is missed");
    assert!(!run(&["card", "oval", "--venues", &venues]).out.contains("FACE"));
    // Without arcs nothing is between them, and nobody is asked about a law that would hold there.
    let call = [
        "call",
        "--venues",
        &venues,
        "--venue",
        "oval",
        "--ball",
        "0,67.7",
        "--off",
        "kick",
        "--touched",
        "no",
        "--bounced",
        "yes",
    ];
    let r = run(&call);
    assert!(r.code == 0 && r.out.contains("NO THROW-IN"), "{}", r.out);
    // Nor does the sheet's table order one.
    let table = sheet.out.replace("No throw-in in these rules", "");
    assert!(!table.contains("THROW-IN") && !table.contains("throw when"), "{table}");
}
