//! Comparing: what is claimed of a demo ground and a changed copy of its survey, and the exit codes.

use std::fmt::Write as _;
use std::path::Path;

use serde_json::Value;
use snapbox::{Data, assert_data_eq};

use crate::support::{Folder, Run, demo, oval, posts, refused, root, run, run_in};

/// Metres of a degree of latitude there, to a ten-thousandth: the changes planted are of a metre or two.
const M_PER_DEG: f64 = 110_985.0;
/// Datum point of the demo ground.
const DATUM: (f64, f64) = (-36.743_083, 144.946_813);

/// The survey of the demo ground with every point put elsewhere: east and north, and its code.
fn changed(f: impl Fn(f64, f64, &str) -> (f64, f64)) -> String {
    let text = std::fs::read_to_string(root().join("venues/cockatoo-hollow/received/boundary.csv")).unwrap();
    let per_lon = 111_320.0 * DATUM.0.to_radians().cos();
    let mut out = String::new();
    for line in text.lines() {
        let p: Vec<&str> = line.split(',').collect();
        match (p[0].parse::<f64>(), p[1].parse::<f64>()) {
            (Ok(lat), Ok(lon)) => {
                let (e, n) = f((lon - DATUM.1) * per_lon, (lat - DATUM.0) * M_PER_DEG, p[3]);
                let (lat, lon) = (DATUM.0 + n / M_PER_DEG, DATUM.1 + e / per_lon);
                writeln!(out, "{lat:.9},{lon:.9},{},{}", p[2], p[3]).unwrap();
            }
            _ => writeln!(out, "{line}").unwrap(),
        }
    }
    out
}

/// The Road side set in by up to 1.8 m, most at the wing; the posts stay.
fn road_set_in() -> String {
    // The Road side is on the right: the silo end bears 12°.
    let (s, c) = 102f64.to_radians().sin_cos();
    changed(|e, n, code| {
        let y = e * s + n * c;
        if code != "BL" || y < 0.0 {
            return (e, n);
        }
        let inward = 1.8 * (y / 67.5).powi(2);
        (e - s * inward, n - c * inward)
    })
}

/// The demo ground against a survey.
fn against(survey: &str, more: &[&str]) -> Run {
    let f = Folder::new();
    f.file("new.csv", survey);
    let venue = demo("cockatoo-hollow");
    let mut args = vec!["compare", &venue, "new.csv", "--method", "rtk", "--datum", "gda2020"];
    args.extend(more);
    run_in(Path::new(&f.path()), &args)
}

/// Numbers of one comparison in another: every number under one key, differences with their sign.
fn same_numbers(a: &Value, b: &Value, key: &str, turned: bool) {
    match (a, b) {
        (Value::Object(x), Value::Object(y)) => {
            for (k, v) in x {
                same_numbers(v, &y[k], k, turned);
            }
        }
        (Value::Number(x), Value::Number(y)) => {
            let (x, y) = (x.as_f64().unwrap(), y.as_f64().unwrap());
            // Kept fits have seven decimals and their residuals four: half a millimetre in an answer's fourth.
            let off = if turned { (x.abs() - y.abs()).abs() } else { (x - y).abs() };
            assert!(off <= 5e-4 * (1.0 + x.abs()), "{key}: {x} {y}");
        }
        _ => assert_eq!(a, b, "{key}"),
    }
}

/// One fact, one rule: the bytes of a survey and the venue that was registered of them are compared with the same
/// ±, whichever of the two is old; and the place is as well known as the survey says, its datum left unsaid or not.
#[test]
fn a_survey_and_the_venue_of_its_bytes_have_the_same_uncertainty() {
    let (first, second) = (changed(|e, n, _| (e, n)), changed(|e, n, _| (e + 0.3, n)));
    for (more, want) in [
        (&["--method", "rtk"][..], 0.502),
        (&["--method", "rtk", "--datum", "gda2020"], 0.05),
        (&["--method", "phone", "--sigma", "0.8"], 2.06),
    ] {
        let f = Folder::new();
        let (a, b, venues) = (f.file("a.csv", &first), f.file("b.csv", &second), f.path());
        let at = &["register", &a, "--id", "both-ways", "--venues", &venues, "--surveyed", "2026-03-14"][..];
        let r = run(&[at, more].concat());
        assert_eq!(r.code, 0, "{}", r.err);
        let of = |old: &str, new: &str| {
            let args = [&["compare", old, new, "--venues", &venues, "--json"][..], more].concat();
            let r = run(&args);
            assert!(r.code < 2, "{args:?}: {}", r.err);
            value(&r)
        };
        let venue = format!("{venues}/both-ways");
        for (kept, plain) in [(of(&venue, &b), of(&a, &b)), (of(&b, &venue), of(&b, &a))] {
            for side in ["old", "new"] {
                let sd = |v: &Value| v[side]["place_sd_m"].as_f64().unwrap();
                assert_eq!(sd(&kept), sd(&plain), "{more:?} {side}");
                assert!((sd(&kept) - want).abs() < 0.05 * want, "{more:?}: {}", sd(&kept));
            }
            for key in
                ["length_m", "width_m", "half_width_left_m", "half_width_right_m", "goal_axis_deg", "centre"]
            {
                same_numbers(&kept[key], &plain[key], key, false);
            }
        }
        // And the other way round it is the same difference.
        same_numbers(
            &of(&venue, &b)["centre"]["distance_m"],
            &of(&b, &venue)["centre"]["distance_m"],
            "centre",
            true,
        );
    }
}

#[test]
fn a_change_is_told_by_its_greatest_and_where_that_is() {
    let text = flat(&against(&road_set_in(), &[]));
    let (_, told) = text.split_once("Road line, ").unwrap();
    let numbers: Vec<f64> =
        told.split(|c: char| !c.is_ascii_digit() && c != '.').filter_map(|w| w.parse().ok()).collect();
    // From, to, up to so much, its ±, and where: at the wing, half of the line's 218 m from either post.
    let [from, to, most, half, at] = numbers[..5] else { panic!("{told}") };
    assert!(told.contains("m from the Silo post: up to ") && told.contains("farther in, at "), "{told}");
    assert!(
        from < at && at < to && (most - 1.77).abs() < 0.05 && half < 0.2 && (at - 109.0).abs() < 6.0,
        "{told}"
    );
    assert!(told.contains("(wing)"), "{told}");
    let v = value(&against(&road_set_in(), &["--json"]));
    let worst = &v["stretches"][0];
    assert!((worst["most_at_m"].as_f64().unwrap() - at).abs() <= 0.5, "{worst}");
}

/// Without its line ends.
fn flat(r: &Run) -> String {
    r.out.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn value(r: &Run) -> Value {
    let v: Value = serde_json::from_str(&r.out).unwrap();
    assert_eq!(v["schema"], 1);
    v
}

#[test]
fn a_side_set_in_prints_as_kept() {
    let r = against(&road_set_in(), &[]);
    assert_eq!(r.code, 1, "{}", r.err);
    let golden = root().join("tests/cli/golden/cockatoo-hollow.compare.txt");
    assert_data_eq!(r.out, Data::read_from(&golden, None).raw());
}

#[test]
fn nothing_changed_prints_as_kept() {
    let r = against(&changed(|e, n, _| (e, n)), &[]);
    assert_eq!(r.code, 0, "{}", r.err);
    let golden = root().join("tests/cli/golden/cockatoo-hollow.unchanged.txt");
    assert_data_eq!(r.out, Data::read_from(&golden, None).raw());
}

#[test]
fn a_side_set_in_is_claimed_on_that_side_only() {
    let r = against(&road_set_in(), &["--json"]);
    assert_eq!(r.code, 1);
    let v = value(&r);
    assert_eq!(v["changed"], true);
    assert_eq!(v["half_width_right_m"]["found"], true);
    assert_eq!(v["half_width_left_m"]["found"], false);
    assert_eq!(v["centre"]["found"], false);
    let stretches = v["stretches"].as_array().unwrap();
    assert!(!stretches.is_empty() && stretches.iter().all(|s| s["side_name"] == "Road"), "{stretches:?}");
    assert!(stretches[0]["most_outward_m"]["hi95"].as_f64().unwrap() < 0.0);
}

#[test]
fn every_measured_number_has_its_sd_and_its_interval() {
    fn measured(v: &Value, seen: &mut usize) {
        match v {
            Value::Object(map) => {
                if map.contains_key("value") {
                    for key in ["sd", "lo95", "hi95"] {
                        assert!(map[key].is_number(), "{map:?}");
                    }
                    *seen += 1;
                }
                map.values().for_each(|v| measured(v, seen));
            }
            Value::Array(list) => list.iter().for_each(|v| measured(v, seen)),
            _ => {}
        }
    }
    let v = value(&against(&changed(|e, n, _| (e + 1.0, n)), &["--json"]));
    let mut seen = 0;
    measured(&v, &mut seen);
    // Five numbers three times, three displacements three times, 48 stations.
    assert_eq!(seen, 15 + 9 + 48);
    assert_eq!(v["stations"].as_array().unwrap().len(), 48);
}

#[test]
fn a_shift_is_found_with_its_direction_and_nothing_else() {
    let r = against(&changed(|e, n, _| (e + 0.6, n - 0.8)), &["--json"]);
    let v = value(&r);
    assert_eq!((r.code, &v["centre"]["found"]), (1, &Value::Bool(true)));
    // A metre, to the ten-thousandth of the degree's length.
    assert!((v["centre"]["distance_m"]["value"].as_f64().unwrap() - 1.0).abs() < 1e-3, "{}", v["centre"]);
    assert!((v["centre"]["bearing_true_deg"].as_f64().unwrap() - 143.13).abs() < 0.05);
    for key in ["length_m", "width_m", "half_width_left_m", "half_width_right_m", "goal_axis_deg"] {
        assert_eq!(v[key]["found"], false, "{key}");
    }
    assert!(v["stretches"].as_array().unwrap().is_empty());
    // The other way about the signs change, and a venue that is NEW fixes the plane all the same.
    let f = Folder::new();
    let s = f.file("old.csv", &changed(|e, n, _| (e + 0.6, n - 0.8)));
    let back =
        run(&["compare", &s, &demo("cockatoo-hollow"), "--method", "rtk", "--datum", "gda2020", "--json"]);
    let back = value(&back);
    for key in ["east_m", "north_m"] {
        let [a, b] = [&v, &back].map(|x| x["centre"][key]["value"].as_f64().unwrap());
        assert!((a + b).abs() < 1e-4, "{key}: {a} {b}");
    }
    assert_eq!(back["ends"], v["ends"]);
    // A survey whose place is off by metres can't show it.
    let r = against(&changed(|e, n, _| (e + 0.6, n - 0.8)), &["--place-sd", "0.05", "--place-sd", "2"]);
    assert_eq!(r.code, 0, "{}", r.out);
    assert!(r.out.contains("No change that these measurements can show"));
}

#[test]
fn a_venue_is_itself_and_no_other() {
    let r = run(&["compare", &demo("lantern-hill"), &demo("lantern-hill")]);
    assert_eq!(r.code, 0, "{}", r.err);
    let e = refused(&["compare", &demo("lantern-hill"), &demo("cockatoo-hollow")]);
    assert!(e.contains("not two surveys of one ground"), "{e}");
    // Both places, to be looked up.
    assert!(
        e.contains("-28.81") && e.contains("151.87") && e.contains("-36.74") && e.contains("144.94"),
        "{e}"
    );
}

fn all(_: f64, _: f64) -> bool {
    true
}

/// A survey of its own x and y: its posts too.
fn plane_survey(longer: f64) -> String {
    oval(83.345 + 0.5 * longer, 67.5, all) + &posts(82.5 + 0.5 * longer)
}

/// The same with another origin.
fn elsewhere(text: &str) -> String {
    let mut out = String::new();
    for line in text.lines() {
        let p: Vec<&str> = line.splitn(3, ',').collect();
        match (p[0].parse::<f64>(), p[1].parse::<f64>()) {
            (Ok(x), Ok(y)) => writeln!(out, "{:.4},{:.4},{}", x + 5000.0, y - 300.0, p[2]).unwrap(),
            _ => writeln!(out, "{line}").unwrap(),
        }
    }
    out
}

#[test]
fn surveys_of_their_own_planes() {
    let f = Folder::new();
    let (old, longer) = (f.file("old.csv", &plane_survey(0.0)), f.file("new.csv", &plane_survey(1.0)));
    let far = f.file("far.csv", &elsewhere(&plane_survey(1.0)));
    let rtk = ["--method", "rtk"];
    let both = |a: &str, b: &str, more: &[&str]| run(&[&["compare", a, b], &rtk[..], more].concat());
    let r = both(&old, &longer, &[]);
    assert_eq!(r.code, 1, "{}", r.err);
    assert!(flat(&r).contains("longer") && flat(&r).contains("counting from one origin"), "{}", r.out);
    assert!(flat(&r).contains("half-width West"), "named by the compass: {}", r.out);
    for r in [both(&old, &far, &[]), both(&old, &longer, &["--apart"])] {
        assert_eq!(r.code, 1, "{}", r.err);
        assert!(
            flat(&r).contains("place and turn can't be compared") && flat(&r).contains("longer"),
            "{}",
            r.out
        );
        assert!(!r.out.contains("\n  moved"), "{}", r.out);
    }
    // One on the Earth, one not.
    let r = both(&demo("cockatoo-hollow"), &old, &[]);
    assert_eq!(r.code, 0, "{}{}", r.out, r.err);
    assert!(flat(&r).contains("a plane of its own"), "{}", r.out);
    let v = value(&both(&old, &far, &["--json"]));
    assert!(v["centre"].is_null() && v["goal_axis_deg"].is_null());
}

#[test]
fn plain_ascii_is_plain_and_narrow() {
    for r in [against(&road_set_in(), &["--ascii"]), against(&changed(|e, n, _| (e + 3.0, n)), &["--ascii"])]
    {
        assert_eq!(r.code, 1);
        assert!(r.out.is_ascii(), "{}", r.out);
        assert!(r.out.lines().all(|l| l.chars().count() <= 76), "{}", r.out);
    }
}

#[test]
fn what_cannot_be_compared_is_refused() {
    let venue = demo("cockatoo-hollow");
    let e = refused(&["compare", &venue, "no-such.csv"]);
    assert!(e.contains("no-such.csv is no file of a survey"), "{e}");
    let f = Folder::new();
    let s = f.file("s.csv", &plane_survey(0.0));
    assert!(refused(&["compare", &venue, &s, "--rules", "laws"]).contains("--rules"));
    assert!(refused(&["compare", &venue, &s, "--old-with", &s]).contains("--old-with is for a survey"));
    assert!(refused(&["compare", "-", "-"]).contains("standard input"));
    let e = refused(&["compare", &s, &s, "--method", "rtk", "--method", "rtk", "--method", "phone"]);
    assert!(e.contains("--method is given 3 times for 2 surveys"), "{e}");
    let bad = f.file("bad.csv", "x,y\n1,2\n");
    assert!(refused(&["compare", &venue, &bad]).contains("bad.csv"));
    let r = run(&["compare", &venue]);
    assert_eq!(r.code, 2);
}

#[test]
fn notebooks_without_a_north_are_compared_by_size_and_shape_alone() {
    let f = Folder::new();
    let book = |wide: f64| {
        let mut text = String::from("tape A: 50 m, class III\nBP 1 to BP 2: 165.000\nbase BP 1 to BP 2\n");
        for i in 0..36 {
            let t = (f64::from(i) + 0.5) / 36.0 * std::f64::consts::TAU;
            let (x, y) = (83.3473 * t.cos(), wide * t.sin());
            if y.abs() > 9.7 {
                let off = 9.6 - y;
                let side = if off > 0.0 { "left" } else { "right" };
                text += &format!("at {:.3} {side} {:.3}, sd 0.03\n", 82.5 - x, off.abs());
            }
        }
        text + "at 0 left 19.2, sd 0.03: BP 3\nat 165 left 19.2, sd 0.03: BP 4\n"
    };
    let (old, new) = (f.file("old.txt", &book(67.5)), f.file("new.txt", &book(67.0)));
    let r = run(&["compare", &old, &new]);
    assert_eq!(r.code, 1, "a metre narrower: {}{}", r.out, r.err);
    let out = r.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(out.contains("where north is") && out.contains("place and turn can't be compared"), "{out}");
    assert_eq!(run(&["compare", &old, &old]).code, 0);
}
