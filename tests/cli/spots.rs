//! Naming a spot in every way, and what is said of it.

use crate::support::{Folder, demo, json, oval, posts, refused, run};

/// A venue of the test's own, so that numbers have closed forms.
fn venue(f: &Folder) -> String {
    let s = f.file("s.csv", &(oval(83.345, 67.5, |_, _| true) + &posts(82.5)));
    let venues = format!("{}/v", f.path());
    let r = run(&[
        "register",
        &s,
        "--venues",
        &venues,
        "--id",
        "t",
        "--method",
        "rtk",
        "--ends",
        "Silo,School",
        "--sides",
        "Pavilion,Road",
    ]);
    assert_eq!(r.code, 0, "{}", r.err);
    format!("{venues}/t")
}

#[test]
fn every_way_of_naming_it_is_the_same_spot() {
    let f = Folder::new();
    let v = venue(&f);
    let base = json(&["throw-in", &v, "--at", "left,A,35", "--json"]);
    let chainage = base["spot"]["chainage_m"].as_f64().unwrap();
    assert!((chainage - 35.0).abs() < 1e-6);
    let (x, y) = (base["spot"]["x_m"].as_f64().unwrap(), base["spot"]["y_m"].as_f64().unwrap());
    for args in [
        vec!["--at".to_owned(), "35".into()],
        vec!["--at".into(), "Silo,Pavilion,35".into()],
        vec!["--at".into(), "pavilion, silo, 35.0".into()],
        vec!["--x".into(), x.to_string(), "--y".into(), y.to_string()],
    ] {
        let mut all = vec!["throw-in", &v, "--json"];
        all.extend(args.iter().map(String::as_str));
        let got = json(&all);
        assert!((got["spot"]["chainage_m"].as_f64().unwrap() - chainage).abs() < 1e-4, "{args:?}");
        assert_eq!(got["short_side"], "A");
    }
    // Negative numbers are numbers.
    let far = json(&["throw-in", &v, "--x", "-60", "--y", "-45", "--json"]);
    assert_eq!(far["spot"]["side"], "right");
    assert_eq!(far["spot"]["end"], "B");
}

#[test]
fn throw_in_json_has_what_it_promises() {
    let f = Folder::new();
    let v = venue(&f);
    let t = json(&["throw-in", &v, "--at", "right,B,80", "--json"]);
    for key in ["chainage_m", "side", "end", "from_post_m", "x_m", "y_m"] {
        assert!(!t["spot"][key].is_null(), "{key}");
    }
    for key in ["x_m", "y_m", "outside_line_m", "chord_angle_deg"] {
        assert!(t["stand"][key].is_number(), "{key}");
    }
    assert!(t["aim"]["true_deg"].is_number() && t["face"]["true_deg"].is_number());
    assert!(t["straightened"].is_boolean() && t["between_arcs"].is_boolean());
    assert!(t["landing"]["x_m"].is_number());
    let (aim, face) = (t["aim"]["true_deg"].as_f64().unwrap(), t["face"]["true_deg"].as_f64().unwrap());
    assert!(((aim - face).rem_euclid(360.0) - 180.0).abs() < 1e-6);
    let sd = t["measured"]["outside_line_m"]["sd"].as_f64().unwrap();
    assert!(sd > 0.0 && sd < 0.1);
}

#[test]
fn named_spots_and_preferences() {
    let f = Folder::new();
    let v = venue(&f);
    let wing = json(&["throw-in", &v, "--at", "Road,wing", "--json"]);
    assert_eq!(wing["short_side"], "either");
    assert_eq!(wing["stand"]["toward_end"], "A");
    let other = json(&["throw-in", &v, "--at", "Road,wing", "--prefer", "School", "--json"]);
    assert_eq!(other["stand"]["toward_end"], "B");
    let post = json(&["throw-in", &v, "--at", "left,A,post", "--json"]);
    assert_eq!(post["stand"]["kind"], "at the behind post");
    assert!(post["straightened"].as_bool().unwrap());
    let arc = json(&["throw-in", &v, "--at", "left,B,arc end", "--json"]);
    assert_eq!(arc["inside_arc"], "B");
}

#[test]
fn what_is_no_spot_is_said() {
    let f = Folder::new();
    let v = venue(&f);
    assert!(refused(&["throw-in", &v, "--at", "left,A,999"]).contains("off the line"));
    assert!(refused(&["throw-in", &v, "--at", "left,Tower,9"]).contains("'Tower'"));
    assert!(refused(&["throw-in", &v, "--at", "left"]).contains("left,A,35"));
    assert!(refused(&["throw-in", &v, "--at", "nan"]).contains("not a number"));
    assert!(refused(&["throw-in", &v, "--x", "900", "--y", "0"]).contains("outside the boundary"));
    assert!(refused(&["throw-in", &v, "--lat", "-36.5", "--lon", "145"]).contains("no place on Earth"));
    assert!(refused(&["throw-in", &v, "--at", "1e9"]).contains("off the boundary"));
    // A chainage between end B's posts.
    let line = json(&["throw-in", &v, "--at", "left,B,0", "--json"])["spot"]["chainage_m"].as_f64().unwrap();
    assert!(refused(&["throw-in", &v, "--at", &(line + 9.0).to_string()]).contains("scoring end"));
}

#[test]
fn places_on_earth_by_latitude_and_longitude() {
    let v = demo("cockatoo-hollow");
    let at = json(&["throw-in", &v, "--at", "left,A,40", "--date", "2026-08-01", "--json"]);
    let (lat, lon) = (at["spot"]["lat_deg"].as_f64().unwrap(), at["spot"]["lon_deg"].as_f64().unwrap());
    let same = json(&["throw-in", &v, "--lat", &lat.to_string(), "--lon", &lon.to_string(), "--json"]);
    assert!((same["spot"]["from_post_m"].as_f64().unwrap() - 40.0).abs() < 1e-3);
    assert!(at["aim"]["magnetic_deg"].is_number());
    let e = refused(&["throw-in", &v, "--lat", &lon.to_string(), "--lon", &lat.to_string()]);
    assert!(e.contains("swapped"), "{e}");
}

#[test]
fn outside_the_magnetic_model_bearings_are_true() {
    let v = demo("cockatoo-hollow");
    let t = json(&["throw-in", &v, "--at", "left,A,40", "--date", "2031-01-01", "--json"]);
    assert!(t["aim"]["magnetic_deg"].is_null());
    assert!(t["cautions"].to_string().contains("World Magnetic Model"));
    let card = run(&["card", &v, "--date", "2031-01-01", "--long"]).out;
    let card = card.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(card.contains("bearings true (T)") && card.contains("No compass bearings"));
}

#[test]
fn the_programs_own_chainages_are_read_back() {
    let v = demo("cockatoo-hollow");
    let card = json(&["card", &v, "--date", "2026-08-01", "--json"]);
    for spot in card["spots"].as_array().unwrap() {
        let chainage = spot["spot"]["chainage_m"].as_f64().unwrap();
        for printed in [chainage.to_string(), format!("{chainage:.1}")] {
            let r = run(&["throw-in", &v, "--at", &printed]);
            assert_eq!(r.code, 0, "{printed}: {}", r.err);
        }
    }
}
