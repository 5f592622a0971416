//! Each refusal, in words that a club volunteer understands, with exit code 2.

use crate::support::{Folder, demo, oval, posts, refused, run};

fn fit(text: &str) -> String {
    let f = Folder::new();
    let survey = f.file("survey.csv", text);
    let e = refused(&["fit", &survey]);
    assert!(e.contains("survey.csv"), "the file is named: {e}");
    e
}

#[test]
fn surveys_that_hold_no_oval() {
    let all = |_: f64, _: f64| true;
    let head: String = oval(83.3, 67.5, all).lines().take(5).map(|l| format!("{l}\n")).collect();
    assert!(fit(&head).contains("4 points on the line: too few"));
    let row: String = (0..30).map(|i| format!("{i},{}\n", 2 * i)).collect();
    assert!(fit(&format!("x,y\n{row}")).contains("straight line"));
    let same = "1.5,2.5\n".repeat(40);
    assert!(fit(&format!("x,y\n{same}")).contains("only 1 of them different"));
    // End A's half alone: the long axis bears 20°, so the south-west half is missing.
    let e = fit(&oval(83.3, 67.5, |x, _| x > 5.0));
    assert!(e.contains("no points from the") && e.contains("can be bridged"), "{e}");
    let hyperbola: String = (-15..=15)
        .map(|i| f64::from(i) * 0.1)
        .flat_map(|t| [1.0, -1.0].map(|s| format!("{},{}\n", s * 40.0 * t.cosh(), 40.0 * t.sinh())))
        .collect();
    assert!(fit(&format!("x,y\n{hyperbola}")).contains("hyperbola"));
    assert!(fit(&oval(70.3, 70.2, |x, y| x.hypot(y) > 0.0)).contains("which way the goals face"));
    assert!(fit(&oval(8.3, 6.5, all)).contains("too small to have goal lines"));
}

#[test]
fn surveys_with_bad_coordinates() {
    assert!(fit("lat,lon\n145.1,-36.5\n").contains("swapped"));
    assert!(fit("lat,lon\n-36.5,NaN\n").contains("line 2: longitude 'NaN' is not a number"));
    assert!(fit("easting,northing\n322511,5812242\n").contains("--zone"));
    let mut far = oval(83.3, 67.5, |_, _| true);
    far += "30000,20,\n";
    let e = fit(&far);
    assert!(e.contains("line 92") && e.contains("km from the rest"), "{e}");
    assert!(fit("").contains("empty"));
    assert!(fit("hello\nworld\n").contains("names no coordinates"));
}

#[test]
fn files_that_are_not_there_or_not_surveys() {
    assert!(refused(&["fit", "no-such-file.csv"]).contains("no-such-file.csv"));
    let f = Folder::new();
    assert!(refused(&["fit", &f.path()]).contains("is a folder"));
    let cut = f.file("cut.kml", "<kml><Document><Placemark><Point><coordinates>145,-36");
    assert!(refused(&["fit", &cut]).contains("read as XML"));
    let gpx = f.file("walk.gpx", "<gpx version='1.1'/>");
    assert!(refused(&["fit", &gpx]).contains("GPX"));
}

#[test]
fn venues_that_are_not_there_or_not_whole() {
    let venues = demo("");
    let e = refused(&["card", "nowhere", "--venues", &venues]);
    assert!(e.contains("there is no venue 'nowhere'") && e.contains("there are: "), "{e}");
    let f = Folder::new();
    let e = refused(&["card", "nowhere", "--venues", &f.path()]);
    assert!(e.contains("no venues are in"), "{e}");
    f.file("venue.toml", "schema = 1\nid = 7\nwidht = 2\n");
    let e = refused(&["card", &f.path()]);
    assert!(e.contains("line 2: 'id' is a number") && e.contains("line 3: 'widht' is not known"), "{e}");
    assert!(e.contains("[survey] is missing"), "{e}");
}

#[test]
fn typing_errors_end_with_usage_and_code_2() {
    for args in [
        &["card"][..],
        &["fit", "x.csv", "--method", "magic"],
        &["fit", "x.csv", "--zone", "7"],
        &["fit", "x.csv", "--sigma", "-1"],
        &["throw-in", "x"],
        &["card", "x", "--date", "2026-13-01"],
        &["card", "x", "--json", "--ascii"],
        &["nonsense"],
    ] {
        let r = run(args);
        assert_eq!(r.code, 2, "{args:?}");
        assert!(r.out.is_empty() && r.err.contains("error:"), "{args:?}: {}", r.err);
    }
}

#[test]
fn help_has_examples_and_exit_codes() {
    assert!(run(&["--help"]).out.contains("Exit codes:"));
    for command in ["fit", "register", "compare", "card", "throw-in", "stations"] {
        let r = run(&[command, "--help"]);
        assert_eq!(r.code, 0);
        assert!(r.out.contains("Examples:"), "{command}");
        assert!(r.out.contains("--json"), "{command}");
    }
}

#[test]
fn posts_that_cannot_be_told_apart_are_said() {
    let f = Folder::new();
    let one = posts(82.5).lines().nth(1).unwrap().to_owned();
    let survey = f.file("one.csv", &format!("{}{one}\n", oval(83.3, 67.5, |_, _| true)));
    let r = run(&["fit", &survey]);
    assert_eq!(r.code, 0, "{}", r.err);
    assert!(r.out.contains("can't be told apart"), "{}", r.out);
}

#[test]
fn blunders_are_named_and_not_blamed_on_the_ground() {
    let f = Folder::new();
    // One point 40 m out, beside an oval of 2 cm: the ground is not "nearly round".
    let text = oval(83.3, 67.5, |_, _| true);
    let bad: Vec<String> = text
        .lines()
        .enumerate()
        .map(|(i, l)| if i == 30 { "5.0,20.0,".to_owned() } else { l.to_owned() })
        .collect();
    let survey = f.file("out.csv", &(bad.join("\n") + "\n"));
    let r = run(&["fit", &survey, "--method", "rtk"]);
    assert_eq!(r.code, 0, "{}", r.err);
    assert!(r.out.contains("line 31: stands") && r.out.contains("left out"), "{}", r.out);
    // A stray post is set aside by its own line, and the others hold the ground.
    let with = f.file("stray.csv", &format!("{text}{}0,0,GP\n", posts(82.5)));
    let r = run(&["fit", &with, "--method", "rtk"]);
    assert_eq!(r.code, 0, "{}", r.err);
    assert!(
        r.out.contains("line 100: this post stands") && r.out.contains("posts         8 used"),
        "{}",
        r.out
    );
}

#[test]
fn a_pattern_that_nothing_matches_is_refused() {
    let f = Folder::new();
    let s = f.file("s.csv", &(oval(83.3, 67.5, |_, _| true) + &posts(82.5)));
    let e = refused(&["fit", &s, "--goal-posts", "mast"]);
    assert!(e.contains("nothing in this file is named 'mast' (hint: say --goal-posts 'BP' or 'GP')"), "{e}");
}

#[test]
fn a_recorded_track_whose_moments_are_not_as_many_is_refused() {
    let f = Folder::new();
    let kml = "<kml xmlns='http://www.opengis.net/kml/2.2' xmlns:gx='http://www.google.com/kml/ext/2.2'>\
               <Placemark><name>walk</name><gx:Track><gx:coord>145 -36 0</gx:coord></gx:Track></Placemark></kml>";
    let e = refused(&["fit", &f.file("t.kml", kml)]);
    assert!(e.contains("Placemark 1 'walk': the track has 0 <when> and 1 <coord>"), "{e}");
}
