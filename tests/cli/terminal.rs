//! Nothing from a file or an argument is obeyed by a terminal, nor passes for a line of ours.

use std::fs;
use std::process::Command;

use serde_json::Value;

use ovalpeg::venue::above_end_mark;

use crate::support::{Folder, Run, oval, posts, run};

/// Escape, the one-byte start of a sequence, a new line with what would pass for ours, a turn of
/// the direction of writing, and a bell.
const NASTY: &str = "a\u{1b}[2J\u{9b}31m\nerror: FORGED\u{202e}b\u{7}";

/// As much of it as a name in a venue file may hold: no control characters.
const TURNED: &str = "a\u{202e}b\u{2066}c";

fn obeyed(c: char) -> bool {
    c != '\n'
        && (c.is_control()
            || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}'))
}

/// Nothing of either stream would be obeyed, and no line of it is forged.
fn clean(r: &Run) {
    for text in [&r.out, &r.err] {
        assert!(!text.chars().any(obeyed), "{text:?}");
        assert!(!text.lines().any(|l| l.trim_start().starts_with("error: FORGED")), "{text}");
    }
    assert!(!r.err.contains("panicked"), "{}", r.err);
}

/// Runs, holds both streams to it, and gives the run back.
fn checked(args: &[&str]) -> Run {
    let r = run(args);
    clean(&r);
    r
}

fn survey(shift: f64) -> String {
    oval(83.345 + shift, 67.5, |_, _| true) + &posts(82.5 + shift)
}

/// With the one shape and method that make a fit quick.
fn with<'a>(args: &[&'a str]) -> Vec<&'a str> {
    [args, &["--shape", "ellipse", "--method", "rtk"]].concat()
}

#[test]
fn file_names_are_shown_and_never_obeyed() {
    if cfg!(windows) {
        return; // No such names there.
    }
    let f = Folder::new();
    let file = f.file(&format!("{NASTY}.csv"), &survey(0.0));
    let empty = f.file(&format!("{NASTY}.kml"), "<kml>");
    let missing = format!("{}/{NASTY}", f.path());
    let venues = format!("{}/{NASTY}-v", f.path());
    for json in [&[][..], &["--json"]] {
        let r = checked(&[&with(&["fit", &file]), json].concat());
        assert!(r.code == 0 && r.out.contains("FORGED"), "{}", r.err);
    }
    let register = with(&["register", &file, "--venues", &venues, "--id", "x"]);
    let r = checked(&register);
    assert!(r.code == 0 && r.out.contains("FORGED"), "{}", r.err);
    assert_eq!(checked(&register).code, 2);
    assert_eq!(checked(&[&register[..], &["--replace"]].concat()).code, 0);
    assert_eq!(checked(&["card", "x", "--venues", &venues]).code, 0);
    let other = f.file(&format!("{NASTY}2.csv"), &survey(0.5));
    assert_eq!(checked(&with(&["compare", &file, &other])).code, 1);
    assert_eq!(checked(&[&with(&["compare", &file, &other]), &["--json"][..]].concat()).code, 1);
    assert_eq!(checked(&with(&["fit", &file, &other])).code, 0);
    for args in [
        &["fit", &empty][..],
        &["fit", &missing],
        &["adjust", &file],
        &["adjust", &missing],
        &["compare", &missing, &file],
        &["card", &missing],
        &["card", "nowhere", "--venues", &missing],
        &["card", "nowhere", "--venues", &venues],
        &["register", &missing, "--id", "x"],
        &["register", &file, "--venues", &file, "--id", "x"],
    ] {
        assert_eq!(checked(args).code, 2, "{args:?}");
    }
    // Its files, damaged one after the other.
    for entry in fs::read_dir(format!("{venues}/x")).unwrap() {
        let path = entry.unwrap().path();
        let bytes = fs::read(&path).unwrap();
        fs::write(&path, "schema = ").unwrap();
        assert_eq!(checked(&["card", "x", "--venues", &venues]).code, 2);
        fs::write(&path, bytes).unwrap();
    }
}

#[test]
fn arguments_are_shown_and_never_obeyed() {
    let f = Folder::new();
    let file = f.file("s.csv", &survey(0.0));
    let venues = format!("{}/v", f.path());
    let start = ["register", &file, "--venues", &venues, "--shape", "ellipse", "--method", "rtk"];
    let both = format!("{NASTY},{NASTY}2");
    for more in [
        &["--id", NASTY][..],
        &["--id", "x", "--name", NASTY],
        &["--id", "x", "--ends", &both],
        &["--id", "x", "--ends", NASTY],
        &["--id", "x", "--sides", &both],
        &["--id", "x", "--boundary", NASTY],
        &["--id", "x", "--goal-posts", NASTY],
        &["--id", "x", "--ignore", NASTY],
        &["--id", "x", "--sigma", NASTY],
        &["--id", "x", "--height", NASTY],
        &["--id", "x", "--datum", NASTY],
        &["--id", "x", "--rules", NASTY],
        &["--id", "x", "--keep", NASTY],
        &["--id", "x", "--surveyed", NASTY],
        &["--id", "x", NASTY],
        &["--id", "x", &format!("--{NASTY}")],
    ] {
        let r = checked(&[&start[..], more].concat());
        assert_eq!(r.code, 2, "{more:?}: {}", r.out);
    }
    assert!(!std::path::Path::new(&venues).exists());
    assert_eq!(checked(&[NASTY]).code, 2);
    // A name that turns the direction of writing may be kept, and is shown.
    let turned = format!("{TURNED},d");
    let r = checked(&[&start[..], &["--id", "x", "--name", TURNED, "--ends", &turned]].concat());
    assert_eq!(r.code, 0, "{}", r.err);
    assert!(r.out.contains("\\u{202e}"), "{}", r.out);
    for args in [
        &["card", "x"][..],
        &["card", "x", "--long"],
        &["card", "x", "--ascii"],
        &["stations", "x", "--sheet"],
        &["stations", "x", "--phase", "play", "--ball", "20,50"],
        &["throw-in", "x", "--at", "left,A,35"],
        &["throw-in", "x", "--at", NASTY],
        &["stations", "x", "--phase", "play", "--ball", NASTY],
        &["stations", "x", "--from", NASTY],
        &["throw-in", "x", "--at", "left,A,35", "--prefer", NASTY],
        &["call", "--venue", "x", "--ball", NASTY],
        &["compare", "x", "x"],
    ] {
        checked(&[args, &["--venues", &venues]].concat());
    }
    let r = checked(&["card", "x", "--json", "--venues", &venues]);
    let v: Value = serde_json::from_str(&r.out).unwrap();
    assert!(v.to_string().contains(TURNED), "JSON says what was written");
}

#[test]
fn an_argument_that_is_no_text_is_refused_in_peace() {
    #[cfg(unix)]
    {
        use std::ffi::OsStr;
        use std::os::unix::ffi::OsStrExt;
        for args in [&[&b"card"[..], b"\xff\x1b[2J"][..], &[b"register", b"s.csv", b"--id", b"\xff\x1b[2J"]] {
            let out = Command::new(env!("CARGO_BIN_EXE_ovalpeg"))
                .args(args.iter().map(|a| OsStr::from_bytes(a)))
                .output()
                .unwrap();
            let (code, err) = (out.status.code().unwrap(), String::from_utf8(out.stderr).unwrap());
            clean(&Run { code, out: String::from_utf8(out.stdout).unwrap(), err });
            assert_eq!(code, 2);
        }
    }
}

#[test]
fn what_survey_files_hold_is_shown_and_never_obeyed() {
    let f = Folder::new();
    let quoted = format!("\"{NASTY}\"");
    let line = |code: &str| survey(0.0).replacen(",\n", &format!(",{code}\n"), 1);
    let xml = NASTY.replace(['\u{1b}', '\u{7}'], "");
    let placemark = |name: &str, body: &str| format!("<Placemark><name>{name}</name>{body}</Placemark>");
    let point = |at: &str| format!("<Point><coordinates>{at}</coordinates></Point>");
    let kml = |inner: &str| format!("<kml><Document><name>{xml}</name>{inner}</Document></kml>");
    let gpx =
        |inner: &str| format!("<gpx version='1.1'><metadata><name>{xml}</name></metadata>{inner}</gpx>");
    let json = serde_json::to_string(NASTY).unwrap();
    let feature = |at: &str| {
        format!(
            "{{\"type\":\"Feature\",\"properties\":{{\"name\":{json}}},\"geometry\":{{\"type\":\"Point\",\"coordinates\":{at}}}}}"
        )
    };
    let flat = NASTY.replace('\n', " ");
    for (name, text) in [
        // CSV: a header, cells of each kind.
        ("a.csv", survey(0.0).replacen("code", &format!("code,{quoted}"), 1)),
        ("b.csv", format!("{quoted},{quoted}\n1,2\n")),
        ("c.csv", line(&quoted)),
        ("d.csv", survey(0.0).replacen("code", "code,time", 1).replace(",\n", &format!(",,{quoted}\n"))),
        ("e.csv", format!("x,y\n{quoted},2\n")),
        ("f.csv", format!("lat,lon,sigma\n-36,145,{quoted}\n")),
        ("g.csv", format!("easting,northing,zone\n1,2,{quoted}\n")),
        // KML and GPX: names, and numbers that are none.
        ("a.kml", kml(&(placemark(&xml, &point("145,-36")) + &placemark("goal post", &point("145.1,-36"))))),
        ("b.kml", kml(&placemark(&xml, &point(&xml)))),
        ("c.kml", kml(&placemark(&xml, "<Shed/>"))),
        ("d.kml", format!("<{0}>x</{0}>", "sh\u{202e}ed")),
        ("a.gpx", gpx(&format!("<wpt lat='-36' lon='145'><name>{xml}</name></wpt>"))),
        ("b.gpx", gpx(&format!("<wpt lat='{xml}' lon='145'><name>{xml}</name></wpt>"))),
        (
            "c.gpx",
            gpx(&format!(
                "<trk><name>{xml}</name><trkseg><trkpt lat='-36' lon='145'><time>{xml}</time></trkpt></trkseg></trk>"
            )),
        ),
        // GeoJSON.
        ("a.geojson", format!("{{\"type\":\"FeatureCollection\",\"features\":[{}]}}", feature("[145,-36]"))),
        (
            "b.geojson",
            format!("{{\"type\":\"FeatureCollection\",\"features\":[{}]}}", feature(&format!("[{json},1]"))),
        ),
        ("c.geojson", format!("{{\"type\":{json}}}")),
        (
            "d.geojson",
            format!(
                "{{\"type\":\"Point\",\"crs\":{{\"properties\":{{\"name\":{json}}}}},\"coordinates\":[1,2]}}"
            ),
        ),
        // Notebooks: marks, tapes and lines that are nothing.
        ("a.txt", format!("tape {flat}: 50 m, class III\n{flat} to peg: 10\npeg to {flat}2: 20\n")),
        ("b.txt", format!("peg 1 to peg 2: {flat}\n{flat}\npeg 1 is {flat}\n")),
        (
            "c.txt",
            format!(
                "{flat} is at 0, 0\n{flat}2 is at 30, 0\nbase {flat} to {flat}2\nat 10 left 20: {flat}3\nwith {flat}\n"
            ),
        ),
        (
            "d.txt",
            format!(
                "{flat} is at 0, 0\n{flat}2 is at 30, 0\n{flat} to {flat}3: 20\n{flat}2 to {flat}3: 25\n{flat}3 to {flat}: 27\n{flat} to {flat}2: 30.5\n"
            ),
        ),
    ] {
        let file = f.file(name, &text);
        for args in [
            &["fit", &file][..],
            &["fit", &file, "--json"],
            &["adjust", &file],
            &["adjust", &file, "--json"],
            &["fit", &file, "--goal-posts", "mast"],
            &["compare", &file, &file],
        ] {
            checked(&[args, &["--shape", "ellipse"]].concat());
        }
    }
}

#[test]
fn what_a_venue_file_holds_is_shown_and_never_obeyed() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    let made = ["register", &s, "--venues", &venues, "--id", "x", "--method", "rtk", "--shape", "ellipse"];
    assert_eq!(run(&made).code, 0);
    let path = format!("{venues}/x/venue.toml");
    let text = fs::read_to_string(&path).unwrap();
    let all = [
        &["card", "x"][..],
        &["card", "x", "--long"],
        &["card", "x", "--ascii"],
        &["card", "x", "--json"],
        &["stations", "x"],
        &["stations", "x", "--json"],
        &["stations", "x", "--sheet"],
        &["stations", "x", "--phase", "after-goal", "--goal", "A"],
        &["throw-in", "x", "--at", "right,B,pocket"],
        &["throw-in", "x", "--at", "right,B,pocket", "--json"],
        &["throw-in", "x", "--at", "nowhere"],
        &["stations", "x", "--from", "nowhere:1,2"],
        &["call", "--venue", "x", "--ball", "0,70"],
        &["compare", "x", "x"],
        &["compare", "x", "x", "--json"],
        &["register", &s, "--id", "x", "--replace", "--method", "rtk", "--shape", "ellipse"],
    ];
    let every = |want: i32| {
        let codes: Vec<i32> =
            all.iter().map(|args| checked(&[args, &["--venues", &venues][..]].concat()).code).collect();
        assert!(want != 2 || codes.iter().all(|c| *c == 2), "{codes:?}");
        assert!(want != 0 || codes[..6].iter().all(|c| *c == 0), "{codes:?}");
    };
    // What it may hold: names, notes and help, a landmark and a hazard, that turn the writing round.
    let named = above_end_mark(
        &text
            .replacen(
                "name = \"X\"",
                &format!("name = \"{TURNED}\"\nhelp = [\"{TURNED}\"]\nnotes = [\"{TURNED}\"]"),
                1,
            )
            .replacen("a = \"North\"", &format!("a = \"{TURNED}1\""), 1)
            .replacen("b = \"South\"", &format!("b = \"{TURNED}2\""), 1)
            .replacen("left = \"West\"", &format!("left = \"{TURNED}3\""), 1)
            .replacen("right = \"East\"", &format!("right = \"{TURNED}4\""), 1),
        &format!(
            "\n[[landmark]]\nname = \"{TURNED}\"\nx_m = 300\ny_m = 300\n[[hazard]]\nname = \"{TURNED}\"\nx_m = 70\ny_m = 30\nradius_m = 1\n"
        ),
    );
    assert!(named.matches('\u{202e}').count() == 9, "{named}");
    fs::write(&path, &named).unwrap();
    every(0);
    // What it may not: each is a refusal that shows it.
    let toml = serde_json::to_string(NASTY).unwrap();
    let more = |what: &str| above_end_mark(&text, what);
    for bad in [
        text.replacen("name = \"X\"", &format!("name = {toml}"), 1),
        text.replacen("id = \"x\"", &format!("id = {toml}"), 1),
        text.replacen("a = \"North\"", &format!("a = {toml}"), 1),
        text.replacen("method = \"rtk\"", &format!("method = {toml}"), 1),
        text.replacen("set = \"laws\"", &format!("set = \"{TURNED}\""), 1),
        text.replacen("method = \"rtk\"", &format!("method = \"{TURNED}\""), 1),
        text.replacen("schema = 2", &format!("schema = 2\n{toml} = 1\nhelp = [{toml}]"), 1),
        text.replacen("file = \"fit-", &format!("file = \"{TURNED}"), 1),
        text.replacen(
            "schema = 2",
            &format!("timezone = \"{TURNED}\"\nmatch_start = \"{TURNED}\"\nschema = 2"),
            1,
        ),
        more(&format!("\n[[hazard]]\nname = \"{TURNED}\"\nx_m = 9000\ny_m = 30\nradius_m = 1\n")),
        more(&format!("\n{TURNED}\n")),
        more("\n\u{1b}[2J\n"),
        more(&format!("\n[practice]\n{toml} = 1\n")),
    ] {
        assert_ne!(bad, text);
        fs::write(&path, &bad).unwrap();
        let r = checked(&["card", "x", "--venues", &venues]);
        assert_eq!(r.code, 2, "{bad}");
    }
    // And its fit file, which register itself wrote: put in with its hash, as a person could.
    let fit = fs::read_dir(format!("{venues}/x"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .find(|p| p.to_string_lossy().contains("fit-"))
        .unwrap();
    let name = fit.file_name().unwrap().to_str().unwrap();
    let forged = fs::read_to_string(&fit).unwrap().replacen(
        "\"schema\": 1,",
        &format!("\"schema\": 1,\n\"conflicts\": [{toml}],"),
        1,
    );
    fs::write(&fit, &forged).unwrap();
    let sha = ovalpeg::venue::sha256_hex(forged.as_bytes());
    let at = text.find(name).unwrap() + name.len();
    let at = at + text[at..].find("sha256 = \"").unwrap() + "sha256 = \"".len();
    fs::write(&path, format!("{}{sha}{}", &text[..at], &text[at + 64..])).unwrap();
    every(0);
    fs::write(&fit, forged.replacen("\"ellipse\"", &toml, 1)).unwrap();
    assert_eq!(checked(&["card", "x", "--venues", &venues]).code, 2);
}
