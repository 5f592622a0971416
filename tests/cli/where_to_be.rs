//! Where the program sends officials at the edges: by the pockets, beside a fence, across the ground.

use serde_json::Value;

use crate::support::{Folder, demo, json, oval, run};

fn asked(venue: &str, more: &[&str]) -> Vec<String> {
    let mut all = vec!["stations".to_owned(), demo(venue), "--date".into(), "2026-08-01".into()];
    all.extend(more.iter().map(|s| (*s).to_owned()));
    all
}

fn stations(venue: &str, more: &[&str]) -> Value {
    let mut all = asked(venue, more);
    all.push("--json".into());
    json(&all.iter().map(String::as_str).collect::<Vec<_>>())
}

fn text(venue: &str, more: &[&str]) -> String {
    let all = asked(venue, more);
    let r = run(&all.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!(r.code, 0, "{more:?}: {}", r.err);
    r.out.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn at(v: &Value) -> (f64, f64) {
    (v["x_m"].as_f64().unwrap(), v["y_m"].as_f64().unwrap())
}

fn places(v: &Value) -> Vec<(f64, f64)> {
    v["stations"].as_array().unwrap().iter().map(at).collect()
}

#[test]
fn nobody_is_sent_on_top_of_a_ball_near_the_line() {
    // 2 m from the line, and no farther off the goal axis than the square's side.
    let v = stations("cockatoo-hollow", &["--phase", "play", "--ball=76.4,24.8"]);
    for (x, y) in places(&v) {
        assert!((x - 76.4).hypot(y - 24.8) > 10.0, "{x} {y}");
    }
    let v = stations("cockatoo-hollow", &["--phase", "play", "--ball=55,24.8"]);
    assert_eq!(v["case"], "near a line");
}

#[test]
fn nobody_is_left_behind_a_set_kick() {
    let v = stations("cockatoo-hollow", &["--phase", "set-kick", "--ball=-75,28", "--goal", "Silo"]);
    for (x, _) in places(&v) {
        assert!((x + 40.0).abs() < 0.01, "{x}");
    }
}

#[test]
fn a_tight_place_sees_no_worse_than_its_neighbour() {
    // A fence stands near the line from where it turns a corner: metre by metre past that. What is said
    // first, on the long side where that sees better by half a metre, is never far off the line.
    let mut before: Option<f64> = None;
    for m in 70..=96 {
        let v = stations("quandong-crossing", &["--phase", "play", &format!("--ball=Road,Wheat Bin,{m}")]);
        let all = v["stations"].as_array().unwrap();
        let short = all.iter().find_map(|s| s["view"]["can_tell_m"].as_f64()).unwrap();
        let first = if v["first"] == "long" {
            assert!(short >= 0.5 && v["stand_long"]["outside_line_m"].is_number(), "{m} {short}");
            assert_eq!(v["stand_long"]["kind"], "back along the tangent", "{m}");
            0.0
        } else {
            short
        };
        assert!(first < 0.5, "{m} {first}");
        if let Some(b) = before {
            // What counts as alike is 0.3 m.
            assert!((first - b).abs() <= 0.31, "{m} {first} {b}");
        }
        before = Some(first);
    }
}

#[test]
fn a_crowd_on_the_hand_over_moves_it() {
    let after = ["--phase", "after-goal", "--goal", "Silo"];
    let free = at(&stations("cockatoo-hollow", &after)["relay"]["hand_over"]);
    let crowd = format!("--group={},{},5", free.0, free.1 + 2.0);
    let more: Vec<&str> = after.iter().copied().chain([crowd.as_str()]).collect();
    let v = stations("cockatoo-hollow", &more);
    let moved = at(&v["relay"]["hand_over"]);
    // Straight away from the crowd's middle, half a metre off it.
    assert!((moved.0 - free.0).abs() < 0.001 && (moved.1 + 3.5).abs() < 0.001, "{moved:?}");
    assert!(text("cockatoo-hollow", &more).contains("group 1 stands on the hand-over: it moves 3.5 m"));
}

#[test]
fn on_the_full_near_and_far_are_told_apart() {
    let base = ["--phase", "on-the-full", "--ball", "Road,Silo,50"];
    let with = |from: &str| {
        let more: Vec<&str> = base.iter().copied().chain(["--from", from]).collect();
        (stations("cockatoo-hollow", &more)["on_the_full"].clone(), text("cockatoo-hollow", &more))
    };
    let (kind, words) = with("Road:Road,Silo,60");
    assert!(kind == "run up" && words.contains("Run up to it and point it out."), "{words}");
    assert!(!words.contains("signal at once"), "{words}");
    let (kind, words) = with("Road:Road,Silo,90");
    assert!(kind == "signal first" && words.contains("signal at once from where you are, then go."));
    assert!(!words.contains("un up"), "{words}");
    let both = text("cockatoo-hollow", &base);
    assert!(both.contains("Within 15 m of it: run up") && both.contains("Farther off: signal at once"));
}

#[test]
fn a_run_to_the_arc_after_a_behind_is_backwards() {
    let v = stations(
        "cockatoo-hollow",
        &["--phase", "kick-in", "--goal", "Silo", "--from", "Road:Road,Silo,post"],
    );
    let run = &v["stations"].as_array().unwrap().iter().find(|s| s["run"].is_object()).unwrap()["run"];
    let whole = run["way"]["length_m"].as_f64().unwrap();
    assert!((run["backward_m"].as_f64().unwrap() - whole).abs() < 0.01 && whole > 20.0);
}

#[test]
fn runs_keep_out_of_the_square() {
    // Straight through the middle would be shorter.
    let v = stations(
        "cockatoo-hollow",
        &["--phase", "bounce", "--from", "Pavilion:-40,5", "--from", "Road:40,-5"],
    );
    let mut runs = 0;
    for s in v["stations"].as_array().unwrap() {
        let points: Vec<(f64, f64)> = s["run"]["way"]["points"].as_array().unwrap().iter().map(at).collect();
        runs += 1;
        for pair in points.windows(2) {
            for k in 0..=100 {
                let t = f64::from(k) / 100.0;
                let (x, y) =
                    (pair[0].0 + (pair[1].0 - pair[0].0) * t, pair[0].1 + (pair[1].1 - pair[0].1) * t);
                assert!(x.abs().max(y.abs()) > 25.499, "{x} {y}");
            }
        }
    }
    assert_eq!(runs, 2);
}

#[test]
fn of_two_on_a_line_the_nearer_one_goes_to_the_spot() {
    let ball = ["--phase", "on-the-full", "--ball=23.5,64.7", "--crew", "4"];
    // Where nobody said: the one who watched it from 15 m on the short side, toward Silo.
    let stations_of = |from: &[&str]| stations("cockatoo-hollow", &[&ball[..], from].concat());
    let thrower = |v: &Value| {
        let all = v["stations"].as_array().unwrap().clone();
        all.iter().position(|s| (s["x_m"].as_f64().unwrap() - 23.5).abs() < 1.0).unwrap()
    };
    assert_eq!(thrower(&stations_of(&[])), 0);
    let near_silo = ["--from", "Pavilion/Silo:38,61", "--from", "Pavilion/Creek:-16,66"];
    assert_eq!(thrower(&stations_of(&near_silo)), 0);
    let near_creek = ["--from", "Pavilion/Silo:75,29", "--from", "Pavilion/Creek:20,65"];
    let v = stations_of(&near_creek);
    assert_eq!((thrower(&v), v["on_the_full"].as_str()), (1, Some("run up")));
    let said = text("cockatoo-hollow", &[&ball[..], &near_creek].concat());
    assert!(said.contains("Run up to it and point it out"), "{said}");
}

#[test]
fn nobody_caught_behind_is_sent_fifty_metres_outside_the_line() {
    let said = text("cockatoo-hollow", &["--phase", "play", "--ball=0,66", "--from", "Pavilion:70,34"]);
    assert!(
        said.contains("no step outward from where you are") && said.contains("Run on toward it"),
        "{said}"
    );
}

#[test]
fn four_after_a_goal_take_four_start_stations() {
    let said = text("cockatoo-hollow", &["--phase", "after-goal", "--goal", "Silo", "--crew", "4"]);
    assert!(said.contains("PAVILION, SILO end, collects"), "{said}");
    assert!(!said.contains("long corner"), "{said}");
    for who in ["PAVILION, CREEK end, goes to the start station CREEK/PAVILION", "ROAD, CREEK end, goes to"] {
        assert!(said.contains(who), "{said}");
    }
}

#[test]
fn a_card_with_a_fence_close_all_round_says_of_each_spot_what_stations_says() {
    let f = Folder::new();
    let survey = f.file("s.csv", &oval(83.3, 67.5, |_, _| true));
    let venues = f.path();
    let id = ["--id", "tight", "--venues", &venues];
    let r = run(&[&["register", &survey, "--method", "rtk"], &id[..]].concat());
    assert_eq!(r.code, 0, "{}", r.err);
    let file = std::path::Path::new(&venues).join("tight/venue.toml");
    let whole = std::fs::read_to_string(&file).unwrap();
    let card = |distance: &str| {
        let with = format!("[fence]\ndistance_m = {distance}\n");
        assert!(whole.contains("\n[rules]\n"), "{whole}");
        let text = whole.replacen("\n[rules]\n", &format!("\n{with}\n[rules]\n"), 1);
        std::fs::write(&file, text).unwrap();
        let r = run(&["card", "tight", "--venues", &venues]);
        assert_eq!(r.code, 0, "{}", r.err);
        r.out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    // No room anywhere: nothing tells to stand 15 m back.
    let none = card("0.45");
    assert!(none.contains("fence 0.4 m all round") && none.contains("stay inside the line"), "{none}");
    assert!(none.contains("wing stay inside") && !none.contains("15 m back"), "{none}");
    // A little: each spot with its own distance back, and along the line from least to most.
    let some = card("2.0");
    assert!(
        some.contains("BACK and WIDE of the line as there is room") && !some.contains("15 m back"),
        "{some}"
    );
    // Each named spot's row holds what the spot itself is told.
    let v = json(&["card", "tight", "--venues", &venues, "--json"]);
    let pocket = v["spots"].as_array().unwrap().iter().find(|s| s["name"] == "pocket").unwrap().clone();
    let back = pocket["stand"]["back_m"].as_f64().unwrap();
    assert!(back < 15.0, "{back}");
    let told = if (back * 2.0).floor() % 2.0 == 1.0 {
        format!("{}½ m", back.floor())
    } else {
        format!("{} m", back.floor())
    };
    assert!(some.contains(&format!("pocket {told}")), "{told}: {some}");
}
