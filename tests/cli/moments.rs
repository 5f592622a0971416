//! Where officials stand for any ball, and what they call.

use std::path::Path;

use snapbox::{Data, assert_data_eq};

use crate::support::{Folder, demo, json, refused, root, run};

const DAY: [&str; 2] = ["--date", "2026-08-01"];

fn asked(venue: &str, more: &[&str]) -> Vec<String> {
    let mut all = vec!["stations".to_owned(), demo(venue)];
    all.extend(DAY.iter().chain(more).map(|s| (*s).to_owned()));
    all
}

fn stations(venue: &str, more: &[&str]) -> serde_json::Value {
    let mut all = asked(venue, more);
    all.push("--json".into());
    json(&all.iter().map(String::as_str).collect::<Vec<_>>())
}

fn text(venue: &str, more: &[&str]) -> String {
    let all = asked(venue, more);
    let r = run(&all.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!(r.code, 0, "{more:?}: {}", r.err);
    r.out
}

fn number(v: &serde_json::Value) -> f64 {
    v.as_f64().unwrap()
}

#[test]
fn the_phase_sheet_and_the_table_of_calls_print_as_kept() {
    for (name, out) in [
        ("cockatoo-hollow.sheet.txt", text("cockatoo-hollow", &["--sheet"])),
        ("calls.txt", run(&["call", "--table"]).out),
        (
            "cockatoo-hollow.play.txt",
            text("cockatoo-hollow", &["--phase", "play", "--ball", "20,50", "--from", "Pavilion:-40,50"]),
        ),
    ] {
        let golden = root().join("tests/cli/golden").join(name);
        assert_data_eq!(out, Data::read_from(&golden, None).raw());
    }
}

#[test]
fn every_measured_number_carries_its_doubt() {
    let v = stations("cockatoo-hollow", &["--phase", "play", "--ball", "20,50"]);
    assert_eq!((v["phase"].as_str(), v["case"].as_str()), (Some("play"), Some("near a line")));
    let all = v["stations"].as_array().unwrap();
    assert_eq!(all.len(), 2);
    for s in all {
        for key in ["x_m", "y_m", "outside_line_m", "from_post_a_m", "facing_true_deg"] {
            for part in ["value", "sd", "lo95", "hi95"] {
                assert!(s["measured"][key][part].is_number(), "{key} {part}");
            }
        }
        assert!(s["reason"].is_string() && s["lat_deg"].is_number());
    }
    // Common practice, no source: 15 m back on the tangent; the far one 25.5 m off the axis.
    let (near, far) = (&all[0], &all[1]);
    let crossing = &v["crossing"];
    let apart = (number(&near["x_m"]) - number(&crossing["x_m"]))
        .hypot(number(&near["y_m"]) - number(&crossing["y_m"]));
    assert!((apart - 15.0).abs() < 1e-3, "{apart}");
    assert!((number(&far["x_m"]) - 20.0).abs() < 1e-6 && (number(&far["y_m"]) + 25.5).abs() < 1e-6);
    assert!(v["sides"]["to_post_a_m"]["sd"].is_number());
}

#[test]
fn a_ball_by_its_place_on_earth_or_by_a_spot_is_the_same_ball() {
    let a = stations("cockatoo-hollow", &["--phase", "throw-in", "--ball", "Road,Silo,pocket"]);
    let place = format!("{},{}", a["crossing"]["lat_deg"], a["crossing"]["lon_deg"]);
    let b = stations("cockatoo-hollow", &["--phase", "throw-in", "--ball", &place]);
    let metres = format!("{},{}", a["crossing"]["x_m"], a["crossing"]["y_m"]);
    let c = stations("cockatoo-hollow", &["--phase", "throw-in", "--ball", &metres]);
    for other in [&b, &c] {
        // Latitude and longitude are printed to a few millimetres.
        let off = number(&a["crossing"]["chainage_m"]) - number(&other["crossing"]["chainage_m"]);
        assert!(off.abs() < 0.02, "{off}");
    }
    // Near goal, the other official is at the far post.
    let close = stations("cockatoo-hollow", &["--phase", "throw-in", "--ball", "Road,Silo,12"]);
    assert!(close["stations"][0]["reason"].as_str().unwrap().contains("behind post"));
    assert!(a["thrower_to_post"]["times"]["run_s"].is_number());
}

#[test]
fn crews_kick_ins_and_relays() {
    for (crew, n) in [("2", 2), ("3", 3), ("4", 4)] {
        let v = stations("lantern-hill", &["--phase", "play", "--ball", "0,0", "--crew", crew]);
        assert_eq!(v["stations"].as_array().unwrap().len(), n);
    }
    let k = stations("cockatoo-hollow", &["--phase", "kick-in", "--goal", "Silo"]);
    // AFL announcement for the season of 2021: 15 m from the kick-off line, so 24 m from the goal line.
    let half =
        0.5 * number(&json(&["card", &demo("cockatoo-hollow"), "--json"])["ground"]["length_m"]["value"]);
    assert!((half - number(&k["kick_in"]["mark"]["x_m"]) - 24.0).abs() < 1e-3);
    let free = stations("cockatoo-hollow", &["--phase", "after-goal", "--goal", "Creek"]);
    let huddle =
        stations("cockatoo-hollow", &["--phase", "after-goal", "--goal", "Creek", "--group", "-30,-2,8"]);
    let length = |v: &serde_json::Value| number(&v["relay"]["second_way"]["length_m"]);
    assert!(length(&huddle) > length(&free));
    let set = stations(
        "cockatoo-hollow",
        &["--phase", "set-kick", "--ball", "40,10", "--goal", "Silo", "--from", "Road:10,-60"],
    );
    assert_eq!(set["case"], "set shot");
    assert!(number(&set["stations"][1]["run"]["backward_m"]) > 30.0);
}

#[test]
fn the_sun_counts_where_a_time_is_given() {
    let v = stations("cockatoo-hollow", &["--phase", "play", "--ball", "0,55", "--time", "16:30"]);
    // Low in the north-west on a winter afternoon.
    assert!((0.0..25.0).contains(&number(&v["sun"]["high_deg"])));
    assert!((290.0..330.0).contains(&number(&v["sun"]["true_deg"])));
    // The ground runs north and south: whoever looks west from the far side has it in the eyes, whoever
    // looks along the line from the north has not.
    assert_eq!(v["stations"][1]["glare"], true);
    assert_eq!(v["stations"][0]["glare"], false);
    let bounce = stations("cockatoo-hollow", &["--time", "16:30"]);
    assert_eq!(bounce["stations"].as_array().unwrap().len(), 2);
    assert_eq!(bounce["start"]["diagonals"].as_array().unwrap().len(), 2);
    for s in bounce["stations"].as_array().unwrap() {
        assert_eq!(s["looks"].as_array().unwrap().len(), 2);
        assert!(s["glare"].is_boolean());
    }
    assert!(stations("cockatoo-hollow", &[])["stations"][0]["glare"].is_null());
    assert!(text("cockatoo-hollow", &["--time", "16:30"]).contains("the other two"));
    let card = json(&["card", &demo("cockatoo-hollow"), "--date", "2026-08-01", "--json"]);
    let times = card["sun"]["times"].as_array().unwrap();
    assert_eq!((times.len(), times[0]["time"].as_str()), (8, Some("14:10")));
    let late = json(&[
        "card",
        &demo("cockatoo-hollow"),
        "--date",
        "2026-08-01",
        "--start",
        "19:30",
        "--night",
        "--json",
    ]);
    assert!(number(&late["sun"]["times"][0]["high_deg"]) < 0.0);
    // At night only what shows at night is faced.
    for spot in late["spots"].as_array().unwrap() {
        assert!(spot["backsight"].is_null() || spot["backsight"]["at_night"] == true);
    }
}

#[test]
fn caught_behind_is_told_from_the_line_and_not_from_the_official() {
    let v = |y: &str| {
        let from = format!("Pavilion:-40,{y}");
        stations("cockatoo-hollow", &["--phase", "play", "--ball", "20,50", "--from", &from])["caught_behind"]
            .clone()
    };
    // Whether inside the line or outside it, level with the same place: the same stand.
    let (inside, outside) = (v("50"), v("64"));
    assert!(number(&inside["now_outside_line_m"]) < -5.0 && number(&outside["now_outside_line_m"]) > 1.0);
    let apart = number(&inside["outside_line_m"]) - number(&outside["outside_line_m"]);
    assert!(apart.abs() < 1.0, "{apart}");
    let out = text("cockatoo-hollow", &["--phase", "play", "--ball", "20,50", "--from", "Pavilion:-40,70"]);
    assert!(out.replace("\n        ", " ").contains("outside: come in."), "{out}");
}

#[test]
fn a_ball_well_inside_that_is_said_to_have_crossed_is_asked_about() {
    let inside = ["--phase", "throw-in", "--ball", "20,52"];
    let out = text("cockatoo-hollow", &inside);
    assert!(out.contains("inside the line"), "{out}");
    assert!(number(&stations("cockatoo-hollow", &inside)["crossed_inside_m"]) > 5.0);
    let on = stations("cockatoo-hollow", &["--phase", "throw-in", "--ball", "20,65"]);
    assert!(on["crossed_inside_m"].is_null());
}

#[test]
fn a_rough_survey_answers_on_the_line_and_says_what_it_can_not_tell() {
    // Sizes to 3 m: a ball just inside may be out, and goal range may end on either side of this one.
    let edge = stations("saltbush-siding", &["--phase", "play", "--ball=-51.2,-46.8"]);
    assert_eq!(edge["stations"].as_array().unwrap().len(), 2);
    let close = stations("saltbush-siding", &["--phase", "play", "--ball", "57.5,0"]);
    assert_eq!(close["too_close_to_call"], true);
    // Its goals are assumed, and every answer says so.
    assert!(text("saltbush-siding", &[]).contains("Goals are assumed"));
    let out = text("saltbush-siding", &["--phase", "play", "--ball", "57.5,0"]);
    assert!(out.contains("too close to call"), "{out}");
    assert_eq!(
        stations("cockatoo-hollow", &["--phase", "play", "--ball", "0,0"])["too_close_to_call"],
        false
    );
}

#[test]
fn text_is_narrow_and_plain_where_asked() {
    for more in [
        &["--sheet"][..],
        &["--sheet", "--ascii"],
        &["--phase", "after-goal", "--goal", "B", "--ascii"],
        &["--phase", "play", "--ball", "10,50", "--crew", "4", "--ascii"],
    ] {
        for venue in ["stringybark-gap", "quandong-crossing"] {
            let out = text(venue, more);
            for line in out.lines() {
                assert!(line.chars().count() < 52 && line == line.trim_end(), "{more:?}: '{line}'");
            }
            assert!(!more.contains(&"--ascii") || out.is_ascii());
            assert!(
                out.contains("look\n        before you back away") || out.contains("before you back away")
            );
        }
    }
}

#[test]
fn refusals_say_what_to_do() {
    let of = |more: &[&str]| {
        let all = asked("cockatoo-hollow", more);
        refused(&all.iter().map(String::as_str).collect::<Vec<_>>())
    };
    assert!(of(&["--phase", "play"]).contains("--ball 20,50"));
    assert!(of(&["--phase", "kick-in"]).contains("Silo or Creek"));
    assert!(of(&["--ball", "20,50"]).contains("--phase play"));
    assert!(of(&["--phase", "kick-in", "--goal", "Silo", "--ball", "0,0"]).contains("no use for it"));
    assert!(of(&["--phase", "play", "--ball", "0,0", "--collects", "Road"]).contains("after-goal"));
    assert!(of(&["--phase", "play", "--ball", "0,0", "--pair-side", "Road"]).contains("--crew 3"));
    let twice = ["--phase", "play", "--ball", "0,0", "--from", "Road:0,-60", "--from", "Road:1,-60"];
    assert!(of(&twice).contains("twice"));
    assert!(of(&["--phase", "play", "--ball", "144.9,-36.7"]).contains("swapped"));
    assert!(of(&["--phase", "play", "--ball", "1e300,0"]).contains("more than 1000 km"));
    assert!(of(&["--phase", "throw-in", "--ball", "85,0"]).contains("goal umpire"));
    assert!(of(&["--phase", "throw-in", "--ball", "0,0"]).contains("where it crossed"));
    assert!(of(&["--phase", "play", "--ball", "90,0"]).contains("goal umpire"));
    assert!(of(&["--phase", "play", "--ball", "20"]).contains("as 20,-35"));
    assert!(of(&["--phase", "after-goal", "--goal", "Silo", "--group", "0,0,-3"]).contains("radius"));
    let throw = |more: &[&str]| {
        let mut all = vec!["throw-in".to_owned(), demo("cockatoo-hollow")];
        all.extend(more.iter().map(|s| (*s).to_owned()));
        refused(&all.iter().map(String::as_str).collect::<Vec<_>>())
    };
    assert!(throw(&["--x", "90", "--y", "0"]).contains("behind a scoring end"));
    assert!(throw(&["--x", "0", "--y", "0"]).contains("from the boundary line"));
    assert!(throw(&["--x", "nan", "--y", "0"]).contains("two numbers"));
    assert!(of(&["--phase", "play", "--ball", "0,90"]).contains("throw-in or on the full"));
    assert!(of(&["--phase", "play", "--ball", "Road,Nowhere,pocket"]).contains("Nowhere"));
    assert!(of(&["--phase", "play", "--ball", "0,0", "--from", "10,60"]).contains("Pavilion:10,60"));
    assert!(of(&["--phase", "after-goal", "--goal", "Silo", "--group", "1,2"]).contains("0,0,8"));
    assert!(of(&["--phase", "after-goal", "--goal", "Silo", "--group", "0,0,8"]).contains("group 1"));
    assert!(refused(&["call"]).contains("--table"));
}

/// The first demo venue by the rules of nine a side.
fn nine_a_side(folder: &Folder) -> String {
    for entry in std::fs::read_dir(demo("cockatoo-hollow")).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            std::fs::copy(&path, Path::new(&folder.path()).join(path.file_name().unwrap())).unwrap();
        }
    }
    let toml = Path::new(&folder.path()).join("venue.toml");
    let text = std::fs::read_to_string(&toml).unwrap().replace("set = \"laws\"", "set = \"nine-a-side\"");
    std::fs::write(&toml, text).unwrap();
    folder.path()
}

#[test]
fn calls_by_what_happened_and_by_a_venues_line() {
    let call = |more: &[&str]| {
        let mut all = vec!["call", "--json"];
        all.extend(more);
        json(&all)["call"]["id"].as_str().unwrap().to_owned()
    };
    assert_eq!(
        call(&["--over", "yes", "--off", "kick", "--bounced", "no", "--touched", "no"]),
        "on-the-full"
    );
    assert_eq!(call(&["--over", "no"]), "not-over");
    assert_eq!(
        call(&[
            "--over",
            "yes",
            "--off",
            "hand",
            "--touched",
            "no",
            "--between-arcs",
            "--last-disposal",
            "--shepherded",
            "no"
        ]),
        "last-disposal"
    );
    let venue = demo("cockatoo-hollow");
    let kicked = ["--off", "kick", "--touched", "no", "--bounced", "no"];
    let at = |ball: &str| {
        let mut all = vec!["--venue", &venue, "--ball", ball];
        all.extend(kicked);
        call(&all)
    };
    // The half-width is 67.5 m ± 0.05.
    assert_eq!(at("0,67.3"), "not-over");
    assert_eq!(at("0,67.6"), "doubt");
    assert_eq!(at("0,68.0"), "on-the-full");
    assert!(refused(&["call", "--venue", &venue, "--ball", "83,2"]).contains("goal umpire"));
    // Nothing that the call hangs on is taken for granted.
    assert_eq!(call(&["--venue", &venue, "--ball", "0,60"]), "not-over");
    assert!(refused(&["call", "--venue", &venue, "--ball", "0,69"]).contains("--off kick, hand"));
    assert!(refused(&["call", "--over", "yes", "--off", "kick"]).contains("--touched"));
    assert!(refused(&["call", "--over", "yes", "--off", "kick", "--touched", "no"]).contains("--bounced"));
    assert_eq!(call(&["--over", "yes", "--off", "body", "--touched", "no"]), "out");
    let hand = ["call", "--over", "yes", "--off", "hand", "--touched", "no"];
    let said = |more: &[&str]| refused(&[&hand[..], more].concat());
    assert!(said(&[]).contains("--between-arcs yes or no"));
    assert!(said(&["--between-arcs"]).contains("--last-disposal yes or no"));
    assert!(said(&["--between-arcs", "--last-disposal"]).contains("--shepherded yes or no"));
    assert_eq!(call(&["--over", "yes", "--off", "hand", "--touched", "no", "--last-disposal", "no"]), "out");
    // By rules without throw-ins a throw-in is no answer, and that is said.
    let folder = Folder::new();
    let nine = nine_a_side(&folder);
    let kicked = ["--off", "body", "--touched", "no", "--bounced", "yes"];
    let r = run(&[&["call", "--venue", &nine, "--ball", "0,70"], &kicked[..]].concat());
    let flat = r.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(r.code == 0 && flat.contains("CALL OUT; NO THROW-IN IN THESE RULES: ASK THE LEAGUE"), "{flat}");
    assert!(!flat.contains("throw when"), "{flat}");
    // What hit the behind post is out, over the line or not: it stands on the line.
    let post = ["--behind-post", "--off", "kick", "--touched", "no", "--bounced", "no"];
    for over in [&[][..], &["--over", "no"], &["--venue", &venue, "--ball", "82.4,9.65"]] {
        assert_eq!(call(&[over, &post[..]].concat()), "post-on-the-full", "{over:?}");
    }
    assert!(refused(&["call", "--venue", &venue, "--ball", "0,100"]).contains("km from Cockatoo Hollow"));
}
