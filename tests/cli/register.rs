//! Registering: whole or not at all, and never over what is there.

use crate::support::{Folder, add, demo, json, oval, posts, refused, run};

fn all(_: f64, _: f64) -> bool {
    true
}

fn survey(shift: f64) -> String {
    oval(83.345 + shift, 67.5, all) + &posts(82.5 + shift)
}

fn register<'a>(survey: &'a str, venues: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let mut args = vec![
        "register",
        survey,
        "--venues",
        venues,
        "--id",
        "test-oval",
        "--method",
        "rtk",
        "--surveyed",
        "2026-03-14",
    ];
    args.extend(more);
    args
}

const NAMES: [&str; 4] = ["--ends", "Silo,School", "--sides", "Pavilion,Road"];

#[test]
fn a_venue_is_written_whole_and_opens() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    let r = run(&register(&s, &venues, &NAMES));
    assert_eq!(r.code, 0, "{}", r.err);
    assert!(r.out.contains("Silo end to the N"), "{}", r.out);
    let names: Vec<String> = f.listing().into_iter().filter(|n| n.starts_with("v/")).collect();
    assert_eq!(names.len(), 4, "{names:?}");
    assert!(names[1].starts_with("v/test-oval/fit-") && names[2].starts_with("v/test-oval/survey-"));
    let card = run(&["card", "test-oval", "--venues", &venues, "--date", "2026-08-01"]);
    assert_eq!(card.code, 0, "{}", card.err);
    let v = json(&["card", "test-oval", "--venues", &venues, "--json"]);
    assert!((v["ground"]["length_m"]["value"].as_f64().unwrap() - 165.0).abs() < 0.05);
}

#[test]
fn nothing_is_ever_overwritten_unasked() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    assert_eq!(run(&register(&s, &venues, &NAMES)).code, 0);
    let before = f.listing();
    let e = refused(&register(&s, &venues, &NAMES));
    assert!(e.contains("is there already") && e.contains("--replace"), "{e}");
    assert_eq!(f.listing(), before);
}

#[test]
fn replacing_keeps_the_names_the_ends_and_what_people_wrote() {
    let f = Folder::new();
    let venues = format!("{}/v", f.path());
    let (first, second) = (f.file("a.csv", &survey(0.0)), f.file("b.csv", &survey(0.5)));
    assert_eq!(run(&register(&first, &venues, &NAMES)).code, 0);
    let toml = format!("{venues}/test-oval/venue.toml");
    add(&toml, "\n[fence]\ndistance_m = 4.5 # paced\n");
    let r = run(&register(&second, &venues, &["--replace"]));
    assert_eq!(r.code, 0, "{}", r.err);
    let after = std::fs::read_to_string(&toml).unwrap();
    assert!(after.contains("4.5 # paced") && after.contains("Silo"));
    let v = json(&["card", "test-oval", "--venues", &venues, "--json"]);
    assert!((v["ground"]["length_m"]["value"].as_f64().unwrap() - 166.0).abs() < 0.05);
    // The old survey and fit are still there, unchanged.
    assert_eq!(f.listing().iter().filter(|n| n.contains("survey-")).count(), 2);
    let e = refused(&register(&second, &venues, &["--replace", "--name", "Other"]));
    assert!(e.contains("are for a new venue"), "{e}");
}

#[test]
fn nothing_is_written_on_failure() {
    let f = Folder::new();
    let venues = format!("{}/v", f.path());
    let bad = f.file("bad.csv", "x,y\n1,2\n");
    let before = f.listing();
    refused(&register(&bad, &venues, &NAMES));
    let good = f.file("good.csv", &survey(0.0));
    let with = f.listing();
    refused(&["register", &good, "--venues", &venues, "--id", "Bad Id"]);
    refused(&["register", &good, "--venues", &venues, "--id", "x", "--ends", "Silo"]);
    refused(&["register", &good, "--venues", &venues, "--id", "x", "--sides", "A side,a side"]);
    refused(&register(&good, &venues, &["--replace"]));
    assert_eq!(f.listing(), with);
    assert_eq!(before.len() + 1, with.len());
}

#[test]
fn a_file_that_was_changed_is_not_trusted() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    assert_eq!(run(&register(&s, &venues, &NAMES)).code, 0);
    let fit = f.listing().into_iter().find(|n| n.contains("fit-")).unwrap();
    let path = format!("{}/{fit}", f.path());
    let text = std::fs::read_to_string(&path).unwrap().replace("165", "175").replace("82.", "83.");
    std::fs::write(&path, text).unwrap();
    assert!(refused(&["card", "test-oval", "--venues", &venues]).contains("SHA-256"));
}

#[test]
fn a_survey_of_another_kind_cannot_replace() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    assert_eq!(run(&register(&s, &venues, &NAMES)).code, 0);
    let geo = f.file("g.csv", "lat,lon\n-36.5,145\n-36.501,145\n");
    assert!(refused(&register(&geo, &venues, &["--replace"])).contains("no place in the venue's plane"));
}

#[test]
fn another_ground_is_not_put_in_its_place() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    assert_eq!(run(&register(&s, &venues, &NAMES)).code, 0);
    let turned: String = survey(0.0)
        .lines()
        .map(|l| {
            let mut p = l.splitn(3, ',');
            match (p.next().unwrap().parse::<f64>(), p.next().unwrap().parse::<f64>(), p.next().unwrap()) {
                (Ok(x), Ok(y), code) => format!("{},{x},{code}\n", -y),
                _ => format!("{l}\n"),
            }
        })
        .collect();
    let other = f.file("turned.csv", &turned);
    let e = refused(&register(&other, &venues, &["--replace"]));
    assert!(e.contains("another ground?"), "{e}");
}

#[test]
fn names_that_would_be_read_as_something_else_are_refused() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    for (ends, sides) in [
        ("Silo,School", "right,left"),
        ("B,A", "Pavilion,Road"),
        ("Gum,Road", "Road,Gum"),
        ("wing,pocket", "Pavilion,Road"),
        ("35,Silo", "Pavilion,Road"),
    ] {
        refused(&register(&s, &venues, &["--ends", ends, "--sides", sides]));
    }
}

#[test]
fn a_hazard_far_off_is_an_error_and_never_lost() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    assert_eq!(run(&register(&s, &venues, &NAMES)).code, 0);
    let toml = format!("{venues}/test-oval/venue.toml");
    add(&toml, "\n[[hazard]]\nname = \"pit\"\nx_m = 700.0\ny_m = 0.0\nradius_m = 0.5\n");
    let e = refused(&["card", "test-oval", "--venues", &venues]);
    assert!(e.contains("'pit' lies 0.6 km from the line"), "{e}");
}

/// One survey on the Earth under several names and on several days.
#[test]
fn a_ground_that_is_there_already_and_a_day_that_can_not_be_are_asked_about() {
    let f = Folder::new();
    let venues = format!("{}/v", f.path());
    let survey = format!("{}/received/boundary.csv", demo("cockatoo-hollow"));
    let of = |id: &str, day: &str, more: &[&str]| {
        let args = ["register", &survey, "--venues", &venues, "--id", id, "--surveyed", day];
        let said = ["--method", "rtk", "--datum", "gda2020", "--shape", "ellipse"];
        run(&[&args[..], &said, more].concat())
    };
    let accepted = |id: &str| {
        let toml = std::fs::read_to_string(format!("{venues}/{id}/venue.toml")).unwrap();
        toml.lines().find(|l| l.starts_with("accepted")).map(str::to_owned)
    };
    assert_eq!(of("first-oval", "2026-03-14", &[]).code, 0);
    assert_eq!(accepted("first-oval"), None);
    // Under another name it is the same ground.
    let r = of("second-oval", "2026-03-14", &[]);
    assert_eq!(r.code, 2, "{}", r.out);
    assert!(r.err.contains("overlaps First Oval, registered as first-oval, by 100 %"), "{}", r.err);
    assert!(r.err.contains("put the survey into that venue, or --accept near if it is right"), "{}", r.err);
    assert!(!std::path::Path::new(&venues).join("second-oval").exists());
    let r = of("second-oval", "2026-03-14", &["--accept", "near"]);
    assert_eq!((r.code, accepted("second-oval").as_deref()), (0, Some("accepted = [\"near\"]")), "{}", r.err);
    assert!(r.out.contains("overlaps First Oval"), "{}", r.out);
    // Its own survey is put into a venue without a word of the other, for that was accepted; and an older one is not.
    let r = of("first-oval", "2026-03-13", &["--replace", "--accept", "near"]);
    assert_eq!(r.code, 2, "{}", r.out);
    assert!(r.err.contains("the one that it is to replace is later, of 2026-03-14"), "{}", r.err);
    assert!(r.err.contains("--accept date if it is right"), "{}", r.err);
    let r = of("first-oval", "2026-03-13", &["--replace", "--accept", "near", "--accept", "date"]);
    assert_eq!(r.code, 0, "{}", r.err);
    assert_eq!(accepted("first-oval").as_deref(), Some("accepted = [\"near\", \"date\"]"));
    // Nothing is surveyed in a year to come.
    let r = of("third-oval", "2199-01-01", &["--accept", "near"]);
    assert_eq!(r.code, 2, "{}", r.out);
    assert!(r.err.contains("days ahead of today"), "{}", r.err);
}

#[test]
fn a_walks_day_is_its_own_local_day() {
    let f = Folder::new();
    // 08:00 on 14 March 2026 by the summer clock of Melbourne; UTC is a day behind.
    let mut fixes = String::new();
    for i in 0..=80 {
        let t = f64::from(i) * std::f64::consts::TAU / 80.0;
        let (lat, lon) = (-36.7 + 83.0 * t.sin() / 110_900.0, 144.9 + 67.0 * t.cos() / 89_300.0);
        let (minutes, seconds) = (6 * i / 60, 6 * i % 60);
        fixes += &format!(
            "<trkpt lat='{lat:.7}' lon='{lon:.7}'><time>2026-03-13T21:{minutes:02}:{seconds:02}Z</time></trkpt>"
        );
    }
    let gpx = format!(
        "<gpx xmlns='http://www.topografix.com/GPX/1/1' version='1.1' creator='t'><trk><trkseg>{fixes}</trkseg></trk></gpx>"
    );
    let walk = f.file("walk.gpx", &gpx);
    let venues = f.path();
    let register = |id: &str, more: &[&str]| {
        let to = ["--id", id, "--venues", &venues, "--method", "phone"];
        run(&[&["register", &walk], &to[..], more].concat())
    };
    let r = register("dawn", &[]);
    assert_eq!(r.code, 0, "{}", r.err);
    let text = std::fs::read_to_string(format!("{venues}/dawn/venue.toml")).unwrap();
    assert!(text.contains("date = \"2026-03-14\""), "{text}");
    let said = register("dusk", &["--surveyed", "2026-03-10", "--accept", "near"]);
    assert_eq!(said.code, 0, "{}", said.err);
    let flat = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("recorded on 2026-03-14 by its own clock, and 2026-03-10 is kept"), "{flat}");
}
