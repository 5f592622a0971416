//! Surveys of several sources, tape notebooks and walks, from the files to the report.

use std::fmt::Write as _;

use crate::support::{Folder, demo, json, oval, posts, run};

/// A walk of a 165 × 135 m ground as GPX, anticlockwise, a fix a second, `more` of a lap past its beginning.
fn gpx(more: f64) -> String {
    let mut text = String::from(
        "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"test\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><name>lap</name><trkseg>",
    );
    let n = 330.0;
    for i in 0..(n * (1.0 + more)) as u32 {
        let t = f64::from(i) / n * std::f64::consts::TAU;
        // A slow wobble of a metre, as a phone has.
        let r = 1.0 + 0.012 * (3.0 * t).sin() + 0.006 * (7.0 * t + 1.0).cos();
        let (x, y) = (83.345 * r * t.cos(), 67.5 * r * t.sin());
        let (lat, lon) = (-36.5 + y / 110_960.0, 145.0 + x / 89_610.0);
        write!(
            text,
            "<trkpt lat=\"{lat:.8}\" lon=\"{lon:.8}\"><ele>120</ele><time>2026-03-14T02:{:02}:{:02}Z</time></trkpt>",
            i / 60,
            i % 60
        )
        .unwrap();
    }
    text + "</trkseg></trk></gpx>"
}

/// A rectangle of 30 × 40 m braced both ways, with a mark in the middle of one side; what A to C reads.
pub(crate) fn braced(a_to_c: f64) -> String {
    format!(
        "tape T: 50 m, sd 0.02, scale 0\nA to B: 30.00\nB to C: 40.00\nC to D: 30.00\nD to A: 40.00\nA to C: {a_to_c:.2}\nB to D: 50.00\n\
         A to E: 36.06\nB to E: 20.00\nC to E: 20.00\nD to E: 36.06\nC is left of A to B\n"
    )
}

#[test]
fn the_demo_surveys_fit_as_they_are_registered() {
    for (id, more) in [
        ("cockatoo-hollow", &["--method", "rtk"][..]),
        ("lantern-hill", &["--method", "rtk"]),
        ("saltbush-siding", &["--method", "phone"]),
    ] {
        let toml = std::fs::read_to_string(format!("{}/venue.toml", demo(id))).unwrap();
        let value = |key: &str| {
            let line = toml.lines().find(|l| l.starts_with(key)).unwrap();
            line.split('"').nth(1).unwrap().to_owned()
        };
        let survey = format!("{}/{}", demo(id), value("file = \"survey"));
        let r = run(&[&["fit", &survey], more].concat());
        assert_eq!(r.code, 0, "{}", r.err);
        for key in ["length", "width"] {
            assert!(r.out.contains(&value(&format!("{key} ="))), "{id} {key}: {}", r.out);
        }
    }
}

#[test]
fn a_track_is_cleaned_and_each_step_is_told_and_can_be_left_out() {
    let f = Folder::new();
    let walk = f.file("walk.gpx", &gpx(0.06));
    let r = run(&["fit", &walk, "--method", "phone"]);
    assert_eq!(r.code, 0, "{}", r.err);
    for want in
        ["walked anticlockwise seen from above", "1 lap and", "walked again past the whole laps", "left out"]
    {
        assert!(r.out.contains(want), "{want}: {}", r.out);
    }
    let v = json(&["fit", &walk, "--method", "phone", "--json"]);
    let steps = v["track"].as_array().unwrap();
    let overlap = steps.iter().find(|s| s["kind"] == "overlap").unwrap();
    assert!(overlap["points"].as_u64().unwrap() >= 10 && overlap["set_aside"] == true);
    assert!(v["points"]["set_aside"].as_u64() >= overlap["points"].as_u64());
    for keep in ["overlap", "all"] {
        let v = json(&["fit", &walk, "--method", "phone", "--keep", keep, "--json"]);
        assert!(v["track"].as_array().unwrap().iter().all(|s| s["set_aside"] == false), "{keep}");
    }
    assert!(run(&["fit", &walk, "--keep", "everything"]).err.contains("spikes"));
}

#[test]
fn two_taped_lengths_beside_a_walk() {
    let f = Folder::new();
    let walk = f.file("walk.gpx", &gpx(0.0));
    let tapes = f.file(
        "tapes.txt",
        "tape A: 100 m, class III\ngoal to goal: 165.02, sd 0.03\nwing to wing: 135.01, sd 0.03\n",
    );
    let alone = json(&["fit", &walk, "--method", "phone", "--json"]);
    let both = json(&["fit", &walk, &tapes, "--method", "phone", "--json"]);
    let sd = |v: &serde_json::Value, k: &str| v[k]["sd"].as_f64().unwrap();
    assert!(sd(&both, "length_m") < 0.2 * sd(&alone, "length_m"));
    // A tape from wing to wing says nothing of a line that is widest elsewhere, and this walk
    // does not rule that out.
    assert!(sd(&both, "width_m") < 0.7 * sd(&alone, "width_m"));
    assert!((both["length_m"]["value"].as_f64().unwrap() - 165.02).abs() < 0.02);
    assert_eq!(both["sources"].as_array().unwrap().len(), 2);
    assert_eq!(both["spans"][0]["used"], true);
    assert!(both["spans"][0]["place"].as_str().unwrap().ends_with("tapes.txt, line 2"));
    assert!(both["conflicts"].as_array().unwrap().is_empty());
    // A length of another ground: named with its file and line, and left out.
    let wrong = f.file("wrong.txt", "goal to goal: 185.02, sd 0.03\nwing to wing: 135.01, sd 0.03\n");
    let r = run(&["fit", &walk, &wrong, "--method", "phone"]);
    assert!(
        r.out.contains("CONFLICT") && r.out.contains("185.02") && r.out.contains("LEFT OUT"),
        "{}",
        r.out
    );
}

#[test]
fn a_notebook_is_adjusted_and_its_blunder_is_named_in_words() {
    let f = Folder::new();
    let good = f.file("good.txt", &braced(50.0));
    let v = json(&["adjust", &good, "--json"]);
    let n = &v["networks"][0];
    assert_eq!((n["degrees_of_freedom"].as_u64(), n["placed"].as_str()), (Some(3), Some("free")));
    let sum: f64 = n["readings"].as_array().unwrap().iter().map(|r| r["redundancy"].as_f64().unwrap()).sum();
    assert!((sum - 3.0).abs() < 1e-9, "redundancy adds up to the degrees of freedom: {sum}");
    assert!(n["blunder"].is_null() && n["set_aside"].as_array().unwrap().is_empty());
    let bad = f.file("bad.txt", &braced(50.5));
    let r = run(&["adjust", &bad]);
    assert_eq!(r.code, 0, "{}", r.err);
    let out = r.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        out.contains("the 50.50 m from A to C is 0.") && out.contains("too long") && out.contains("(line 6)"),
        "{out}"
    );
}

#[test]
fn a_mark_that_hangs_loose_is_named() {
    let f = Folder::new();
    let loose = f.file("loose.txt", "A to B: 30\nB to C: 40\nA to C: 50\nC to D: 20\n");
    let r = run(&["adjust", &loose]);
    assert_eq!(r.code, 2);
    assert!(
        r.err.contains("loose.txt") && r.err.contains("D hangs loose") && r.err.contains("Add a tie"),
        "{}",
        r.err
    );
    let points = f.file("points.csv", &oval(83.3, 67.5, |_, _| true));
    assert!(run(&["adjust", &points]).err.contains("holds no tape notebook"));
}

#[test]
fn a_ground_by_tape_alone() {
    let f = Folder::new();
    // A base line from post to post at end A, pegs squared off it; the boundary by offsets.
    let mut book = String::from(
        "tape A: 50 m, class III\nwith A\npeg 1 is at 100, 0\npeg 2 is at -100, 0\nbase peg 1 to peg 2\n",
    );
    for i in 0..40 {
        let t = (f64::from(i) + 0.5) / 40.0 * std::f64::consts::TAU;
        let (x, y) = (83.3473 * t.cos(), 67.5 * t.sin());
        if y.abs() > 9.7 {
            // Looking from peg 1 to peg 2, along −x, left is −y.
            let side = if y < 0.0 { "left" } else { "right" };
            writeln!(book, "at {:.3} {side} {:.3}, sd 0.03", 100.0 - x, y.abs()).unwrap();
        }
    }
    for (name, x, y) in
        [("N BP 1", 82.5, 9.6), ("N BP 2", 82.5, -9.6), ("S BP 1", -82.5, 9.6), ("S BP 2", -82.5, -9.6)]
    {
        let side = if y < 0.0 { "left" } else { "right" };
        writeln!(book, "at {:.3} {side} {:.3}, sd 0.03: {name}", 100.0 - x, f64::abs(y)).unwrap();
    }
    let path = f.file("book.txt", &book);
    let v = json(&["fit", &path, "--json"]);
    let at = |k: &str| v[k]["value"].as_f64().unwrap();
    // Exact measures to the millimetre that is written.
    assert!((at("length_m") - 165.0).abs() < 2e-3 && (at("width_m") - 135.0).abs() < 2e-3);
    assert_eq!(v["goal_axis_from"], "posts");
    // A class III tape alone leaves 0.4 mm a metre over √3: 0.038 m in 165.
    assert!(v["length_m"]["sd"].as_f64().unwrap() > 0.035, "{}", v["length_m"]);
    assert!(run(&["fit", &path]).out.contains("tape notebook"));
}

#[test]
fn what_several_surveys_need_is_asked_for() {
    let f = Folder::new();
    let walk = f.file("walk.gpx", &gpx(0.0));
    let other = f.file("other.gpx", &gpx(0.01));
    let r = run(&["fit", &walk, &other]);
    assert!(r.code == 2 && r.err.contains("how much it is to be trusted"), "{}", r.err);
    let r = run(&["fit", &walk, &other, "--method", "phone", "--method", "rtk", "--method", "rtk"]);
    assert!(r.err.contains("--method is given 3 times for 2 surveys"), "{}", r.err);
    let r = run(&["fit", &walk, &walk, "--method", "phone"]);
    assert!(r.err.contains("the same file"), "{}", r.err);
    let grid = f.file("grid.csv", "easting,northing,zone,code\n320000,5950000,55,GP\n");
    let r = run(&["fit", &walk, &grid, "--method", "phone", "--method", "rtk"]);
    assert!(r.err.contains("MGA2020 or MGA94"), "{}", r.err);
    let plane = f.file("plane.csv", &oval(83.3, 67.5, |_, _| true));
    let r = run(&["fit", &walk, &plane, "--method", "phone"]);
    assert!(r.err.contains("mixed"), "{}", r.err);
    let book = f.file("book.txt", "A to B: 30\nB to C: 40\nA to C: 50\n");
    let r = run(&["fit", &walk, &book, "--method", "phone"]);
    assert!(r.err.contains("nothing places the marks"), "{}", r.err);
    let r = run(&["fit", &walk, &other, "--method", "phone", "--boundary", "nowhere"]);
    assert!(r.err.contains("named 'nowhere'") && r.err.contains("say --boundary"), "{}", r.err);
}

#[test]
fn the_edge_that_was_surveyed_moves_the_line() {
    let f = Folder::new();
    let survey = f.file("s.csv", &oval(83.3, 67.5, |_, _| true));
    let width = |more: &[&str]| {
        let v = json(&[&["fit", &survey, "--method", "rtk", "--json"], more].concat());
        v["width_m"]["value"].as_f64().unwrap()
    };
    let outer = width(&[]);
    // Twice the line's width, or half of it twice, to the tenth of a millimetre that an ellipse has no parallel.
    assert!((width(&["--edge", "inner", "--line-width", "0.1"]) - outer - 0.2).abs() < 1e-3);
    assert!((width(&["--edge", "centre", "--line-width", "0.1"]) - outer - 0.1).abs() < 1e-3);
    assert!(run(&["fit", &survey, "--edge", "upper"]).err.contains("outer, centre, inner"));
}

#[test]
fn a_venue_keeps_every_survey_that_it_was_made_from() {
    let f = Folder::new();
    let text = oval(83.3, 67.5, |_, _| true) + &posts(82.5);
    let survey = f.file("s.csv", &text);
    let tapes = f.file("tapes.txt", "goal to goal: 165.0, sd 0.03\n");
    let venues = format!("{}/kept", f.path());
    let id = "two-sources";
    let r = run(&[
        "register",
        &survey,
        &tapes,
        "--method",
        "rtk",
        "--edge",
        "inner",
        "--line-width",
        "0.08",
        "--id",
        id,
        "--venues",
        &venues,
        "--surveyed",
        "2026-03-14",
    ]);
    assert_eq!(r.code, 0, "{}", r.err);
    let toml = std::fs::read_to_string(format!("{venues}/{id}/venue.toml")).unwrap();
    for want in ["[[survey.with]]", "method = \"tape\"", "edge = \"inner\"", "line_width_m = 0.08"] {
        assert!(toml.contains(want), "{want}: {toml}");
    }
    let v = json(&["card", id, "--venues", &venues, "--date", "2026-08-01", "--json"]);
    assert!(v.to_string().contains("\"surveys\""), "{v}");
    // The second file is looked at too.
    let kept = toml
        .lines()
        .filter(|l| l.starts_with("file = \"survey"))
        .nth(1)
        .unwrap()
        .split('"')
        .nth(1)
        .unwrap()
        .to_owned();
    std::fs::write(format!("{venues}/{id}/{kept}"), "goal to goal: 199\n").unwrap();
    let r = run(&["card", id, "--venues", &venues]);
    assert!(r.code == 2 && r.err.contains("SHA-256") && r.err.contains(&kept), "{}", r.err);
}

#[test]
fn an_edge_for_each_survey_wherever_the_notebook_stands() {
    let f = Folder::new();
    let line = f.file("a.csv", &oval(83.3, 67.5, |_, y| y > 0.0));
    let other = f.file("b.csv", &oval(83.3, 67.5, |_, y| y <= 0.0));
    let book = f.file("book.txt", "goal to goal: 164.9, sd 0.5\n");
    for files in [[&line, &other, &book], [&line, &book, &other], [&book, &line, &other]] {
        let mut args: Vec<&str> = vec!["fit"];
        args.extend(files.iter().map(|f| f.as_str()));
        args.extend(["--method", "rtk", "--line-width", "0.2", "--json"]);
        let half = |edges: &[&str]| {
            let mut with = args.clone();
            edges.iter().for_each(|e| with.extend(["--edge", e]));
            let v = json(&with);
            v["semi_axes_m"][1].as_f64().unwrap()
        };
        let outer = half(&[]);
        // One edge a survey with coordinates, or one a file: half the boundary moves by 0.2 m, then all of it.
        let one_side = half(&["inner", "outer"]) - outer;
        let both = half(&["inner", "inner"]) - outer;
        assert!(one_side > 0.04 && one_side < 0.16 && (both - 0.2).abs() < 0.03, "{one_side} {both}");
        assert!((half(&["inner", "inner", "inner"]) - outer - both).abs() < 1e-9);
        let r =
            run(&[&args[..], &["--edge", "inner", "--edge", "inner", "--edge", "outer", "--edge", "outer"]]
                .concat());
        assert!(r.code == 2 && r.err.contains("--edge is given 4 times for 3 surveys"), "{}", r.err);
    }
    let r = run(&["fit", &line, &other, "--method", "rtk", "--curve-only"]);
    assert!(r.code == 2 && r.err.contains("--curve-only"), "{}", r.err);
    assert!(run(&["adjust", &book, "--sigma", "0.1"]).err.contains("write sd behind"));
}

#[test]
fn a_free_notebook_has_no_north_until_a_bearing_is_written() {
    let f = Folder::new();
    let mut book = String::from("tape A: 50 m, class III\nBP 1 to BP 2: 165.000\nbase BP 1 to BP 2\n");
    for i in 0..36 {
        let t = (f64::from(i) + 0.5) / 36.0 * std::f64::consts::TAU;
        let (x, y) = (83.3473 * t.cos(), 67.5 * t.sin());
        if y.abs() > 9.7 {
            let off = 9.6 - y;
            let side = if off > 0.0 { "left" } else { "right" };
            writeln!(book, "at {:.3} {side} {:.3}, sd 0.03", 82.5 - x, off.abs()).unwrap();
        }
    }
    for (x, name) in [(82.5, "BP 3"), (-82.5, "BP 4")] {
        writeln!(book, "at {:.3} left 19.2, sd 0.03: {name}", 82.5 - x).unwrap();
    }
    let free = f.file("free.txt", &book);
    let r = run(&["fit", &free]);
    assert!(
        r.code == 0 && r.out.contains("nothing in the notebook tells where north is"),
        "{}{}",
        r.out,
        r.err
    );
    let v = json(&["fit", &free, "--json"]);
    assert!(v["goal_axis_bearing_deg"].is_null() && v["north_known"] == false);
    let venues = format!("{}/venues", f.path());
    let r = run(&["register", &free, "--id", "free-oval", "--venues", &venues]);
    assert!(r.code == 2 && r.err.contains("where north is") && r.err.contains("bears 347"), "{}", r.err);
    // From BP 1 to BP 2 is from end A to end B: 192° from one is 12° from the other.
    let known = f.file("known.txt", &(book + "BP 1 to BP 2 bears 192\n"));
    let v = json(&["fit", &known, "--json"]);
    assert!(
        (v["goal_axis_bearing_deg"]["value"].as_f64().unwrap() - 12.0).abs() < 0.01,
        "{}",
        v["goal_axis_bearing_deg"]
    );
    assert!((v["length_m"]["value"].as_f64().unwrap() - 165.0).abs() < 5e-3);
    let r = run(&["register", &known, "--id", "free-oval", "--venues", &venues]);
    assert_eq!(r.code, 0, "{}", r.err);
}

#[test]
fn one_post_out_of_place_is_named_and_left_out() {
    let f = Folder::new();
    let good = posts(82.5);
    let mut lines: Vec<String> = good.lines().map(ToOwned::to_owned).collect();
    // One goal post a metre along the axis from its place.
    let mut parts: Vec<String> = lines[1].split(',').map(ToOwned::to_owned).collect();
    let along = parts[0].parse::<f64>().unwrap() + 1.0;
    parts[0] = format!("{along:.4}");
    lines[1] = parts.join(",");
    let survey = f.file("s.csv", &(oval(83.347, 67.5, |_, _| true) + &lines.join("\n") + "\n"));
    let r = run(&["fit", &survey, "--method", "rtk"]);
    let out = r.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        out.contains("The goal post at line 93 is") && out.contains("it is left out"),
        "{}{}",
        r.out,
        r.err
    );
    let v = json(&["fit", &survey, "--method", "rtk", "--json"]);
    assert!((v["length_m"]["value"].as_f64().unwrap() - 165.0).abs() < 0.05, "{}", v["length_m"]);
    assert_eq!(v["posts"].as_array().unwrap().len(), 7);
}

#[test]
fn two_lengths_of_one_kind_that_contradict_are_settled_by_the_walk() {
    let f = Folder::new();
    let walk = f.file("walk.gpx", &gpx(0.0));
    let two = f.file("two.txt", "laser L: sd 0.02\nwith L\ngoal to goal: 177.00\ngoal to goal: 165.00\n");
    let v = json(&["fit", &walk, &two, "--method", "phone", "--json"]);
    assert_eq!((v["spans"][0]["used"].as_bool(), v["spans"][1]["used"].as_bool()), (Some(false), Some(true)));
    let text = v["conflicts"][0]["text"].as_str().unwrap();
    assert!(text.contains("177.00") && text.contains("line 3") && text.contains("165.00"), "{text}");
    assert!((v["length_m"]["value"].as_f64().unwrap() - 165.0).abs() < 0.1);
}

#[test]
fn a_venue_keeps_what_was_said_of_its_survey() {
    let f = Folder::new();
    let survey = f.file("s.csv", &(oval(83.3, 67.5, |_, _| true) + &posts(82.5)));
    let venues = format!("{}/venues", f.path());
    let r = run(&[
        "register",
        &survey,
        "--method",
        "rtk",
        "--sigma",
        "0.03",
        "--datum",
        "gda94",
        "--keep",
        "spurs",
        "--id",
        "said-oval",
        "--venues",
        &venues,
    ]);
    assert_eq!(r.code, 0, "{}", r.err);
    let toml = std::fs::read_to_string(format!("{venues}/said-oval/venue.toml")).unwrap();
    for want in ["sigma_m = 0.03", "datum = \"gda94\"", "keep = [\"spurs\"]"] {
        assert!(toml.contains(want), "{want}: {toml}");
    }
    assert_eq!(run(&["card", "said-oval", "--venues", &venues]).code, 0);
}
