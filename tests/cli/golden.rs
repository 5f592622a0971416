//! The demo league's cards as they print, and the shape of every card.

use snapbox::{Data, assert_data_eq};

use crate::support::{demo, json, root, run};

pub(crate) fn venues() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(root().join("venues"))
        .unwrap()
        .map(|e| e.unwrap())
        .filter(|e| e.path().join("venue.toml").is_file())
        .map(|e| e.file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn the_demo_league_has_six_grounds() {
    assert_eq!(venues().len(), 6);
}

#[test]
fn cards_print_as_kept() {
    for name in venues() {
        let r = run(&["card", &demo(&name), "--date", "2026-08-01"]);
        assert_eq!(r.code, 0, "{name}: {}", r.err);
        let golden = root().join("tests/cli/golden").join(format!("{name}.card.txt"));
        assert_data_eq!(r.out, Data::read_from(&golden, None).raw());
    }
}

#[test]
fn short_cards_print_as_kept() {
    for name in venues() {
        let r = run(&["card", &demo(&name), "--date", "2026-08-01", "--short"]);
        let golden = root().join("tests/cli/golden").join(format!("{name}.short.txt"));
        assert_data_eq!(r.out, Data::read_from(&golden, None).raw());
    }
    for (line, golden) in [("Pavilion", "cockatoo-hollow.pavilion.txt"), ("Road", "cockatoo-hollow.road.txt")]
    {
        let r = run(&["card", &demo("cockatoo-hollow"), "--date", "2026-08-01", "--line", line]);
        assert_data_eq!(r.out, Data::read_from(&root().join("tests/cli/golden").join(golden), None).raw());
    }
}

#[test]
fn long_cards_print_as_kept() {
    let name = "cockatoo-hollow";
    let r = run(&["card", &demo(name), "--date", "2026-08-01", "--long"]);
    let golden = root().join("tests/cli/golden").join(format!("{name}.long.txt"));
    assert_data_eq!(r.out, Data::read_from(&golden, None).raw());
}

#[test]
fn every_card_is_narrow_and_carries_its_cautions() {
    for name in venues() {
        for more in [&[][..], &["--long"], &["--ascii"], &["--long", "--ascii"]] {
            let venue = demo(&name);
            let mut args = vec!["card", venue.as_str(), "--date", "2026-08-01"];
            args.extend(more);
            let r = run(&args);
            for line in r.out.lines() {
                assert!(line.chars().count() < 52, "{name} {more:?}: {line}");
                assert!(line == line.trim_end(), "{name} {more:?}: blanks at the end of '{line}'");
            }
            if more.contains(&"--ascii") {
                assert!(r.out.is_ascii(), "{name}");
            }
            let flat = r.out.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(flat.contains("look before you back away"), "{name}");
            assert!(flat.contains("Not a survey plan nor a certificate"), "{name}");
            for word in ["chainage", "end A", "left side"] {
                assert!(more.contains(&"--long") || !flat.contains(word), "{name}: a card says '{word}'");
            }
        }
    }
}

#[test]
fn card_json_has_what_it_promises() {
    for name in venues() {
        let v = json(&["card", &demo(&name), "--date", "2026-08-01", "--json"]);
        for key in [
            "ground",
            "markings",
            "spots",
            "stations",
            "phases",
            "watch",
            "posts",
            "walk_round",
            "unusual",
            "cautions",
        ] {
            assert!(!v[key].is_null(), "{name} {key}");
        }
        let b = &v["ground"]["boundary"];
        let shape = if name == "quandong-crossing" { "cut-ellipse" } else { "ellipse" };
        assert_eq!(b["model"], shape, "{name}");
        assert!(b["centre"]["x_m"].is_number() && b["turn_deg"].is_number());
        assert_eq!(b["semi_axes_m"].as_array().unwrap().len(), 2);
        assert!(v["ground"]["length_m"]["sd"].as_f64().unwrap() > 0.0);
        // 6 spots in each of two quarters at end A, 5 at end B, which shares the wings.
        assert_eq!(v["spots"].as_array().unwrap().len(), 22, "{name}");
    }
}

#[test]
fn the_same_card_every_time() {
    let venue = demo("cockatoo-hollow");
    let args = ["card", venue.as_str(), "--date", "2026-08-01", "--json"];
    assert_eq!(run(&args).out, run(&args).out);
}
