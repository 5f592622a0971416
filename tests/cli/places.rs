//! Names and places as printed, on every option that takes one; officials on the side they are said
//! to be on; and nothing of an argument or a file obeyed by a terminal.

use std::path::Path;

use serde_json::Value;

use crate::support::{Folder, demo, json, refused, run};

const DAY: [&str; 2] = ["--date", "2026-08-01"];

fn stations(venue: &str, more: &[&str]) -> Value {
    let venue = demo(venue);
    json(&[&["stations", &venue, "--json"], &DAY[..], more].concat())
}

fn no_stations(more: &[&str]) -> String {
    let venue = demo("cockatoo-hollow");
    refused(&[&["stations", &venue], more].concat())
}

#[test]
fn every_option_takes_names_as_printed() {
    let v = demo("cockatoo-hollow");
    let spot = |at: &str| json(&["throw-in", &v, "--at", at, "--json"])["spot"].clone();
    assert_eq!(spot("SILO/ROAD, pocket"), spot("right,A,pocket"));
    assert_eq!(spot("the Road wing"), spot("right,wing"));
    assert_eq!(spot("Silo/Road 69 m from post"), spot("right,A,69"));
    assert_eq!(spot("SILO/ROAD pocket, 20-34 m from post"), spot("right,A,27"));
    let prefer = |end: &str| {
        let t = json(&["throw-in", &v, "--at", "Road wing", "--prefer", end, "--json"]);
        t["stand"]["toward_end"].clone()
    };
    assert_eq!((prefer("CREEK end"), prefer("the Silo end")), ("B".into(), "A".into()));
    let set = |goal: &str, ball: &str| {
        stations("cockatoo-hollow", &["--phase", "set-kick", "--goal", goal, "--ball", ball])
    };
    assert_eq!(set("the SILO goal", "40 m from the Silo goal, 10 m to the Road side")["case"], "set shot");
    assert_eq!(set("Silo", "centre"), set("A", "0,0"));
    let goal = |more: &[&str]| {
        let all = [&["--phase", "after-goal", "--goal", "Silo"], more].concat();
        stations("cockatoo-hollow", &all)["relay"].clone()
    };
    assert_eq!(
        goal(&["--collects", "ROAD side", "--umpire", "the Road side of the circle"]),
        goal(&["--collects", "right", "--umpire", "right"])
    );
    let three = |side: &str| {
        stations(
            "cockatoo-hollow",
            &["--phase", "play", "--ball", "centre", "--crew", "3", "--pair-side", side],
        )
    };
    assert_eq!(three("ROAD side"), three("right"));
    let call = json(&["call", "--venue", &v, "--ball", "Silo/Road flank, 3 m inside the line", "--json"]);
    assert_eq!(call["call"]["id"], "not-over");
    // A stretch is its middle, and that is said.
    let r = run(&["throw-in", &v, "--at", "Silo/Road 20 to 34 m from post"]);
    assert!(r.code == 0 && r.err.contains("the middle of that stretch"), "{}", r.err);
}

#[test]
fn a_station_that_is_printed_is_a_place_to_come_from() {
    let told = ["--phase", "play", "--ball", "20,50"];
    let v = stations("cockatoo-hollow", &told);
    // As the answer prints them, for the Road side's official and the ball.
    let from = "Road:½ m outside the square's ROAD side line, 20 m from its middle toward SILO";
    let back = stations("cockatoo-hollow", &[&told[..], &["--from", from]].concat());
    assert!(back["stations"][1]["run"]["way"]["length_m"].as_f64().unwrap() < 0.5);
    let ball = "20 m from the centre toward SILO, then 50 m to the PAVILION side";
    let again = stations("cockatoo-hollow", &["--phase", "play", "--ball", ball]);
    assert_eq!(v["stations"], again["stations"]);
}

#[test]
fn what_may_be_several_places_is_refused_with_all_of_them() {
    let v = demo("cockatoo-hollow");
    let e = refused(&["throw-in", &v, "--at", "Silo pocket"]);
    assert!(e.contains("--at Silo pocket") && e.contains("Silo/Pavilion pocket, or Silo/Road pocket"), "{e}");
    let e = no_stations(&["--phase", "play", "--ball", "20 m from the goal"]);
    assert!(e.contains("20 m from the Silo goal, or 20 m from the Creek goal"), "{e}");
    let e = no_stations(&["--phase", "kick-in", "--goal", "Road"]);
    assert!(e.contains("--goal Road") && e.contains("Silo (A) or Creek (B)"), "{e}");
    let e = no_stations(&["--phase", "after-goal", "--goal", "Silo", "--collects", "Silo"]);
    assert!(e.contains("--collects Silo") && e.contains("Pavilion (left) or Road (right)"), "{e}");
}

#[test]
fn a_place_across_the_ground_is_refused_and_its_like_offered() {
    let play = ["--phase", "play", "--ball", "60,30"];
    for (from, there) in [
        ("Road:10,60", "Pavilion side"),
        ("Pavilion:10,-60", "Road side"),
        ("Road:Pavilion wing", "Pavilion side"),
        ("Road:Silo/Pavilion flank", "Pavilion side"),
        ("Road:left,B,35", "Pavilion side"),
        ("Road:20 m from the Silo goal, 12.5 m to the Pavilion side", "Pavilion side"),
    ] {
        let e = no_stations(&[&play[..], &["--from", from]].concat());
        assert!(e.contains(there) && e.contains("it is --from \""), "{from}: {e}");
        // What is offered is taken.
        let offered = e.split('"').nth(1).unwrap();
        let v = stations("cockatoo-hollow", &[&play[..], &["--from", offered]].concat());
        let side = if there == "Pavilion side" { 1 } else { 0 };
        assert!(v["stations"][side]["run"].is_object(), "{offered}");
    }
    // On the axis, nobody is on the wrong side.
    for from in ["Road:centre", "Pavilion:0,0"] {
        stations("cockatoo-hollow", &[&play[..], &["--from", from]].concat());
    }
}

#[test]
fn the_two_of_a_side_come_from_places_of_their_own() {
    let play = ["--phase", "play", "--ball", "0,0"];
    let from = ["--crew", "4", "--from", "Road/Silo:Road wing", "--from", "Creek/Road:Creek arc end"];
    let v = stations("cockatoo-hollow", &[&play[..], &from].concat());
    let runs: Vec<bool> = (0..4).map(|i| v["stations"][i]["run"].is_object()).collect();
    assert_eq!(runs, [false, false, true, true]);
    // Whoever is said to stand where the station is has nowhere to run.
    let s = &v["stations"][3];
    let at = format!("Road/Creek:{},{}", s["x_m"], s["y_m"]);
    let there = stations("cockatoo-hollow", &[&play[..], &["--crew", "4", "--from", &at]].concat());
    assert!(there["stations"][3]["run"]["way"]["length_m"].as_f64().unwrap() < 1e-3);
    assert!(there["stations"][2]["run"].is_null());
    // Three: the pair by its ends, the one who is alone by the side.
    let three =
        ["--crew", "3", "--pair-side", "Road", "--from", "Road/Silo:Road wing", "--from", "Pavilion:wing"];
    let v = stations("cockatoo-hollow", &[&play[..], &three].concat());
    let runs: Vec<bool> = (0..3).map(|i| v["stations"][i]["run"].is_object()).collect();
    assert_eq!(runs, [true, true, false]);
    // Who is not told apart is asked for, by the words that do it.
    let e = no_stations(&[&play[..], &["--crew", "4", "--from", "Road:Road wing"]].concat());
    assert!(e.contains("Road/Silo:Road wing or Road/Creek:Road wing"), "{e}");
    let e = no_stations(&[&play[..], &["--from", "Road/Silo:Road wing"]].concat());
    assert!(e.contains("Road:Road wing"), "{e}");
    let twice = ["--crew", "4", "--from", "Road/Silo:Road wing", "--from", "Silo/Road:0,-60"];
    assert!(no_stations(&[&play[..], &twice].concat()).contains("twice"));
}

/// The first demo venue with some of its file's text replaced.
fn changed(folder: &Folder, changes: &[(&str, &str)]) -> String {
    for entry in std::fs::read_dir(demo("cockatoo-hollow")).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            std::fs::copy(&path, Path::new(&folder.path()).join(path.file_name().unwrap())).unwrap();
        }
    }
    let toml = Path::new(&folder.path()).join("venue.toml");
    let mut text = std::fs::read_to_string(&toml).unwrap();
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    std::fs::write(&toml, text).unwrap();
    folder.path()
}

/// What a terminal would obey.
fn obeyed(text: &str) -> bool {
    text.chars().any(|c| {
        (c.is_control() && c != '\n')
            || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    })
}

const HOSTILE: &str = "x\u{1b}[31m\u{202e}y\u{61c}\r\nerror: all is well\u{7}";

#[test]
fn nothing_of_an_argument_is_obeyed_by_a_terminal() {
    let v = demo("cockatoo-hollow");
    let from = format!("Road:{HOSTILE}");
    let whose = format!("{HOSTILE}:0,0");
    let play = ["--phase", "play", "--ball", "0,0"];
    for args in [
        &["call", "--over", HOSTILE][..],
        &["call", "--venue", HOSTILE, "--ball", "0,0"],
        &["call", "--venue", &v, "--ball", HOSTILE],
        &["call", HOSTILE],
        &["stations", HOSTILE],
        &["stations", &v, "--phase", HOSTILE],
        &["stations", &v, "--phase", "play", "--ball", HOSTILE],
        &["stations", &v, "--phase", "kick-in", "--goal", HOSTILE],
        &["stations", &v, "--phase", "after-goal", "--goal", "Silo", "--collects", HOSTILE],
        &["stations", &v, "--phase", "after-goal", "--goal", "Silo", "--umpire", HOSTILE],
        &["stations", &v, "--phase", "after-goal", "--goal", "Silo", "--group", HOSTILE],
        &["stations", &v, "--prefer", HOSTILE],
        &["stations", &v, "--time", HOSTILE],
        &["stations", &v, "--crew", "3", "--pair-side", HOSTILE],
        &[&["stations", &v], &play[..], &["--from", &from]].concat(),
        &[&["stations", &v], &play[..], &["--from", &whose]].concat(),
        &["throw-in", &v, "--at", HOSTILE],
        &["throw-in", &v, "--at", "Road wing", "--prefer", HOSTILE],
        &["throw-in", HOSTILE, "--at", "Road wing"],
        &["throw-in", &v, "--lat", HOSTILE, "--lon", "1"],
    ] {
        let r = run(args);
        assert_eq!(r.code, 2, "{args:?}");
        assert!(!obeyed(&r.err) && !obeyed(&r.out), "{args:?}: {:?}", r.err);
        // And none of it stands as a message of the program.
        assert_eq!(r.err.lines().filter(|l| l.starts_with("error:")).count(), 1, "{args:?}: {}", r.err);
    }
}

#[test]
fn nothing_of_a_venues_file_is_obeyed_by_a_terminal() {
    let f = Folder::new();
    let v = changed(
        &f,
        &[
            ("\"Road\"", "\"Ro\u{202e}ad\""),
            ("\"Silo\"", "\"Si\u{2066}lo\""),
            ("name = \"Cockatoo Hollow Oval\"", "name = \"Cocka\u{200f}too\""),
            ("\"tap\"", "\"t\u{202e}ap\""),
        ],
    );
    for args in [
        &["throw-in", &v, "--at", "nowhere"][..],
        &["throw-in", &v, "--at", "pocket"],
        &["throw-in", &v, "--at", "left,A,70"],
        &["throw-in", &v, "--x", "0", "--y", "0"],
        &["stations", &v],
        &["stations", &v, "--phase", "kick-in"],
        &["stations", &v, "--phase", "play", "--ball", "29,46"],
        &["stations", &v, "--phase", "play", "--ball", "0,0", "--from", "right:0,60"],
        &["stations", &v, "--phase", "play", "--ball", "900,0"],
        &["stations", &v, "--sheet"],
        &["call", "--venue", &v, "--ball", "somewhere"],
        &["call", "--venue", &v, "--ball", "900,0"],
    ] {
        let r = run(args);
        assert!(!obeyed(&r.err) && !obeyed(&r.out), "{args:?}: {:?} {:?}", r.err, r.out);
        assert!(r.code == 0 || !r.err.is_empty());
    }
    // What is refused about a file is shown too.
    for (from, to) in [
        ("\"Road\"", "\"Ro\\u001b[31mad\""),
        ("\"Road\"", "\"Ro\u{1b}[31mad\""),
        ("schema = 2", "schema = 2\n\"wi\u{202e}dht\" = 2"),
    ] {
        let f = Folder::new();
        let v = changed(&f, &[(from, to)]);
        for args in [
            &["stations", &v][..],
            &["throw-in", &v, "--at", "wing"],
            &["call", "--venue", &v, "--ball", "0,0"],
        ] {
            let e = refused(args);
            assert!(!obeyed(&e) && e.contains("line "), "{args:?}: {e:?}");
        }
    }
    // As it is shown, it is accepted.
    let f = Folder::new();
    let v = changed(&f, &[("\"Road\"", "\"Ro\u{202e}ad\"")]);
    let r = run(&["throw-in", &v, "--at", "Ro\\u{202e}ad wing"]);
    assert_eq!(r.code, 0, "{}", r.err);
}
