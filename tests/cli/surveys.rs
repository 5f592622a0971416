//! What `fit` prints, from each kind of file.

use crate::support::{Folder, json, oval, posts, run};

fn all(_: f64, _: f64) -> bool {
    true
}

#[test]
fn fit_json_has_what_it_promises() {
    let f = Folder::new();
    let survey = f.file("s.csv", &oval(83.3, 67.5, all));
    let v = json(&["fit", &survey, "--json"]);
    assert_eq!(v["model"], "ellipse");
    assert_eq!(v["points"]["used"].as_u64().unwrap() + v["points"]["set_aside"].as_u64().unwrap(), 90);
    assert!((v["semi_axes_m"][0].as_f64().unwrap() - 83.3).abs() < 0.02);
    assert!((v["long_axis_bearing_deg"].as_f64().unwrap() - 20.0).abs() < 0.1);
    for key in ["length_m", "width_m", "perimeter_m", "area_m2"] {
        let m = &v[key];
        let at = |k: &str| m[k].as_f64().unwrap();
        assert!(at("lo95") < at("value") && at("value") < at("hi95") && at("sd") > 0.0, "{key}");
    }
    assert!(v["residuals_m"]["rms"].as_f64().unwrap() <= v["residuals_m"]["max"].as_f64().unwrap());
    assert_eq!(
        v["covariance"]["parameters"],
        serde_json::json!(["x_m", "y_m", "semi_major_m", "semi_minor_m", "bearing_deg"])
    );
    assert_eq!(v["covariance"]["matrix"].as_array().unwrap().len(), 5);
    assert!(v["centre"]["lat_deg"].is_null(), "a plane survey has no latitude");
}

#[test]
fn a_curve_alone_needs_no_goals() {
    let f = Folder::new();
    let small = f.file("small.csv", &oval(8.3, 6.5, all));
    let v = json(&["fit", &small, "--curve-only", "--json"]);
    assert!(v["length_m"].is_null());
    assert!((v["semi_axes_m"][1].as_f64().unwrap() - 6.5).abs() < 0.02);
    let circle: String = (0..24)
        .map(|i| (f64::from(i) * 15.0).to_radians())
        .map(|t| format!("{},{}\n", 50.0 * t.cos(), 50.0 * t.sin()))
        .collect();
    let round = f.file("round.csv", &format!("x,y\n{circle}"));
    let v = json(&["fit", &round, "--curve-only", "--json"]);
    assert!((v["semi_axes_m"][0].as_f64().unwrap() - 50.0).abs() < 1e-6);
    assert!(run(&["fit", &round, "--curve-only"]).out.contains("a circle"));
}

#[test]
fn the_report_says_what_was_used_and_shows_the_residuals() {
    let f = Folder::new();
    let mut text = oval(83.3, 67.5, all);
    let first = text.lines().nth(1).unwrap().to_owned();
    text += &format!("{first}\n{}", posts(82.5));
    let survey = f.file("s.csv", &text);
    let r = run(&["fit", &survey, "--method", "rtk"]);
    assert_eq!(r.code, 0, "{}", r.err);
    for want in ["length", "by the posts", "repeats line 2", "root mean square", "residuals round the curve"]
    {
        assert!(r.out.contains(want), "{want}: {}", r.out);
    }
    assert!(r.out.lines().all(|l| l.chars().count() <= 80), "{}", r.out);
}

#[test]
fn features_can_be_told_apart_by_hand() {
    let f = Folder::new();
    let text = oval(83.3, 67.5, all).replace(",\n", ",edge of play\n") + &posts(82.5).replace("GP", "tall");
    let survey = f.file("s.csv", &text);
    let v = json(&[
        "fit",
        &survey,
        "--boundary",
        "edge",
        "--goal-posts",
        "tall",
        "--behind-posts",
        "BP",
        "--json",
    ]);
    assert_eq!(v["posts"].as_array().unwrap().len(), 8);
    assert_eq!(v["goal_axis_from"], "posts");
    // Naming the boundary leaves posts posts.
    let named = f.file("n.csv", &(oval(83.3, 67.5, all).replace(",\n", ",edge of play\n") + &posts(82.5)));
    let v = json(&["fit", &named, "--boundary", "edge", "--json"]);
    assert_eq!(v["posts"].as_array().unwrap().len(), 8);
}

#[test]
fn one_ground_in_every_format_is_one_answer() {
    // The same points as latitude and longitude, on the grid, and as KML.
    use ovalpeg::frame::{Datum, Degrees, Geodetic, LocalPlane, Zone};
    use ovalpeg::geometry::Point;
    use std::fmt::Write as _;
    let anchor = Geodetic::new(Degrees { latitude: -36.5, longitude: 145.0 }, 200.0, Datum::Gda2020).unwrap();
    let plane = LocalPlane::at(anchor).unwrap();
    let (mut geo, mut grid, mut kml) =
        (String::from("lat,lon,height\n"), String::from("easting,northing,height\n"), String::new());
    for line in oval(83.3, 67.5, all).lines().skip(1) {
        let mut p = line.split(',').map(|v| v.parse::<f64>());
        let (x, y) = (p.next().unwrap().unwrap(), p.next().unwrap().unwrap());
        let g = plane.to_geodetic(Point::new(x, y)).unwrap();
        writeln!(geo, "{:.11},{:.11},200", g.latitude_deg(), g.longitude_deg()).unwrap();
        write!(kml, "{:.11},{:.11},200 ", g.longitude_deg(), g.latitude_deg()).unwrap();
        let on = g.on_grid(Zone::new(55).unwrap()).unwrap().point;
        writeln!(grid, "{:.6},{:.6},200", on.easting_m(), on.northing_m()).unwrap();
    }
    let f = Folder::new();
    let files = [
        (f.file("a.csv", &geo), None),
        (f.file("b.csv", &grid), Some("55")),
        (
            f.file(
                "c.kml",
                &format!("<kml xmlns='http://www.opengis.net/kml/2.2'><Placemark><LineString><coordinates>{kml}</coordinates></LineString></Placemark></kml>"),
            ),
            None,
        ),
    ];
    let plain = json(&["fit", &f.file("p.csv", &oval(83.3, 67.5, all)), "--json"]);
    for (file, zone) in &files {
        let mut args = vec!["fit", file.as_str(), "--datum", "gda2020", "--json"];
        if let Some(z) = zone {
            args.extend(["--zone", z]);
        }
        let v = json(&args);
        for key in ["length_m", "width_m", "perimeter_m"] {
            let d = v[key]["value"].as_f64().unwrap() - plain[key]["value"].as_f64().unwrap();
            // The same ground in every format gives the same answer to 1 mm.
            assert!(d.abs() < 1e-3, "{file} {key} {d}");
        }
        assert!((v["centre"]["lat_deg"].as_f64().unwrap() + 36.5).abs() < 1e-6);
    }
}

#[test]
fn standard_input_and_closed_pipes() {
    use std::io::Write as _;
    use std::process::{Command, Stdio};
    let mut child = Command::new(env!("CARGO_BIN_EXE_ovalpeg"))
        .args(["fit", "-", "--json"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(oval(83.3, 67.5, all).as_bytes()).unwrap();
    assert!(child.wait_with_output().unwrap().status.success());
    let mut child = Command::new(env!("CARGO_BIN_EXE_ovalpeg"))
        .args(["fit", "-", "--json"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    child.stdin.take().unwrap().write_all(oval(83.3, 67.5, all).as_bytes()).unwrap();
    assert_eq!(child.wait().unwrap().code(), Some(0));
}

#[test]
fn points_that_stand_off_are_named_with_their_distance() {
    let f = Folder::new();
    let mut lines: Vec<String> = oval(83.3, 67.5, all).lines().map(str::to_owned).collect();
    // Twelve spikes of 90 points, each farther out than the one before: ten are named.
    for k in 0..12 {
        let i = 3 + 7 * k;
        let at: Vec<f64> = lines[i].split(',').take(2).map(|v| v.parse().unwrap()).collect();
        let size = 1.2 + 0.02 * k as f64;
        let rest: String = lines[i].splitn(3, ',').nth(2).map_or(String::new(), |r| format!(",{r}"));
        lines[i] = format!("{},{}{rest}", at[0] * size, at[1] * size);
    }
    let survey = f.file("s.csv", &lines.join("\n"));
    let r = run(&["fit", &survey]);
    assert_eq!(r.code, 0, "{}", r.err);
    let told = r.out.split_whitespace().collect::<Vec<_>>().join(" ");
    // Line 81 of the file is the last spike's: the head is line 1.
    assert!(told.contains("line 81: stands ") && told.contains("and 2 more that stand off"), "{}", r.out);
    assert_eq!(told.matches("off its neighbours: mistyped, or a spike? left out").count(), 10, "{}", r.out);
    let v = json(&["fit", &survey, "--json"]);
    let off: Vec<f64> =
        v["set_aside"].as_array().unwrap().iter().filter_map(|a| a["distance_m"].as_f64()).collect();
    // A fifth to two fifths of 65 to 83 m.
    assert!(off.len() == 12 && off.iter().all(|d| (10.0..40.0).contains(d)), "{off:?}");
}

/// A phone's lap of an ellipse as rows of a table, with a straight way of 60 m to it and from it.
fn lap_with_ways(lap: bool) -> String {
    let mut csv = String::from("x,y\n");
    let way = |k: i32| 67.5 + 5.0 * f64::from(k);
    (0..12).rev().for_each(|k| csv += &format!("{:.2},0.00\n", way(k)));
    if lap {
        for i in 0..=150 {
            let t = f64::from(i) * std::f64::consts::TAU / 150.0;
            csv += &format!("{:.2},{:.2}\n", 67.5 * t.cos(), 83.3 * t.sin());
        }
    }
    (0..12).for_each(|k| csv += &format!("{:.2},0.00\n", way(k)));
    csv
}

#[test]
fn both_ends_of_a_walk_are_cut_off_as_asked_and_the_venue_says_so() {
    let f = Folder::new();
    let walk = f.file("walk.csv", &lap_with_ways(true));
    let length = |more: &[&str]| {
        let v = json(&[&["fit", &walk, "--method", "phone", "--keep", "all", "--json"], more].concat());
        v["length_m"]["value"].as_f64().unwrap()
    };
    // The goal lines of an ellipse 166.6 m long, 19.2 m across, are 165.0 m apart: its closed form.
    let want = 2.0 * 83.3 * (1.0 - (9.6f64 / 67.5).powi(2)).sqrt();
    assert!((length(&["--trim", "55 m"]) - want).abs() < 0.2, "{}", length(&["--trim", "55 m"]));
    let venues = f.path();
    let to = ["--id", "oval", "--venues", &venues, "--method", "phone", "--trim", "50 m, 55 m"];
    let r = run(&[&["register", &walk], &to[..]].concat());
    assert_eq!(r.code, 0, "{}", r.err);
    let text = std::fs::read_to_string(format!("{venues}/oval/venue.toml")).unwrap();
    assert!(text.contains("trim = \"50 m, 55 m\""), "{text}");
    assert_eq!(run(&["card", "oval", "--venues", &venues]).code, 0);
    let e = run(&["fit", &walk, "--trim", "40"]).err;
    assert!(e.contains("40 m, with the unit"), "{e}");
}

#[test]
fn a_walk_that_can_not_be_fitted_tells_what_cleaning_found_and_offers_to_trim() {
    let f = Folder::new();
    let walk = f.file("walk.csv", &lap_with_ways(false));
    let r = run(&["fit", &walk, "--method", "phone"]);
    assert!(r.code == 2 && r.err.contains("--trim"), "{}", r.err);
    assert!(r.err.contains("before that, track cleaning found:"), "{}", r.err);
}

#[test]
fn seconds_of_arc_are_read_and_their_rounding_is_in_the_plus_minus() {
    let f = Folder::new();
    let dms = |decimals: usize| {
        let mut csv = String::from("Lat.;Long.\n");
        for i in 0..60 {
            let t = f64::from(i) * std::f64::consts::TAU / 60.0 + 0.01;
            let (s, e) = (36.7 - 83.3 * t.sin() / 110_962.0, 144.9 + 67.5 * t.cos() / 89_385.0);
            let of = |deg: f64| {
                let (d, m) = (deg.trunc(), (deg.fract() * 60.0).trunc());
                (d, m, ((deg - d) * 60.0 - m) * 60.0)
            };
            let ((d, m, sec), (d2, m2, sec2)) = (of(s), of(e));
            csv += &format!("{d}°{m:02}'{sec:.decimals$}\"S;{d2}°{m2:02}'{sec2:.decimals$}\"E\n");
        }
        csv
    };
    let fine = f.file("fine.csv", &dms(4));
    let v = json(&["fit", &fine, "--method", "rtk", "--datum", "gda2020", "--json"]);
    let half = v["length_m"]["hi95"].as_f64().unwrap() - v["length_m"]["value"].as_f64().unwrap();
    assert!(half < 0.2, "{half}");
    // A tenth of a second is 3 m: it is told, and joins the ±.
    let coarse = f.file("coarse.csv", &dms(1));
    let r = run(&["fit", &coarse, "--method", "rtk", "--datum", "gda2020"]);
    let said = (r.out + &r.err).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("rounded to steps of 3.1 m"), "{said}");
}
