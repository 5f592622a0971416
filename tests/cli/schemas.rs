//! Venue files of every schema: the older one opens with a warning and is brought to the newest by a new survey;
//! one that was cut off, or that a newer program wrote, is refused in words.

use std::fs;

use serde_json::Value;

use crate::support::{Folder, demo, refused, root, run};

/// The first demo venue as it was registered under schema 1, with what people wrote in it.
fn old_venue(folder: &Folder) -> String {
    let venue = format!("{}/cockatoo-hollow", folder.path());
    fs::create_dir(&venue).unwrap();
    for entry in fs::read_dir(demo("cockatoo-hollow")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        if path.is_file() && name != "venue.toml" {
            fs::copy(&path, format!("{venue}/{name}")).unwrap();
        }
    }
    let old = fs::read_to_string(root().join("tests/fuzz/venue/schema-1.toml")).unwrap();
    assert!(old.contains("\nschema = 1\n") && !old.contains("[end_of_file]"));
    fs::write(format!("{venue}/venue.toml"), old.replace("radius_m = 0.4", "radius_m = 0.4 # lid is loose"))
        .unwrap();
    venue
}

#[test]
fn schema_1_opens_and_every_command_warns_in_one_line() {
    let f = Folder::new();
    let (old, new) = (old_venue(&f), demo("cockatoo-hollow"));
    let survey = format!("{new}/received/boundary.csv");
    let of = |args: &[&str]| {
        let r = run(args);
        assert_eq!(r.code, 0, "{args:?}: {}", r.err);
        r
    };
    for (command, more) in [
        (&["card"][..], &["--date", "2026-08-01"][..]),
        (&["throw-in"], &["--at", "left wing"]),
        (&["stations"], &[]),
        (&["call", "--venue"], &["--ball", "0,0"]),
        (&["rules", "--venue"], &[]),
        (&["compare"], &[&survey, "--method", "rtk", "--datum", "gda2020"]),
    ] {
        let of = |venue: &String| of(&[command, &[venue.as_str()], more].concat());
        let (before, now) = (of(&old), of(&new));
        assert_eq!(before.out, now.out);
        // What `call` says beside is the same.
        let warned = before.err.strip_suffix(&now.err).unwrap();
        assert_eq!(warned.lines().count(), 1, "{}", before.err);
        assert!(warned.starts_with("warning: ") && warned.contains("venue.toml: of schema 1"), "{warned}");
        assert!(warned.contains("write schema = 2 at its head and [end_of_file] as its last line"));
    }
}

#[test]
fn by_hand_schema_1_becomes_schema_2_as_the_warning_says() {
    let f = Folder::new();
    let old = old_venue(&f);
    let toml = format!("{old}/venue.toml");
    let text = fs::read_to_string(&toml).unwrap().replace("schema = 1", "schema = 2");
    fs::write(&toml, &text).unwrap();
    let e = refused(&["card", &old]);
    assert!(
        e.contains("the file ends before its end mark") && e.contains("add the line [end_of_file]"),
        "{e}"
    );
    fs::write(&toml, text + "[end_of_file]\n").unwrap();
    let r = run(&["card", &old]);
    assert_eq!((r.code, r.err.as_str()), (0, ""));
}

#[test]
fn a_new_survey_brings_schema_1_to_schema_2_and_keeps_what_people_wrote() {
    let f = Folder::new();
    let old = old_venue(&f);
    let survey = format!("{}/received/boundary.csv", demo("cockatoo-hollow"));
    let r = run(&[
        "register",
        &survey,
        "--id",
        "cockatoo-hollow",
        "--venues",
        &f.path(),
        "--replace",
        "--method",
        "rtk",
        "--datum",
        "gda2020",
        "--surveyed",
        "2026-03-14",
    ]);
    assert_eq!(r.code, 0, "{}", r.err);
    let told = r.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("was of schema 1: it is brought to schema 2"), "{}", r.out);
    let before = fs::read_to_string(root().join("tests/fuzz/venue/schema-1.toml")).unwrap();
    let after = fs::read_to_string(format!("{old}/venue.toml")).unwrap();
    assert!(after.contains("\nschema = 2\n") && after.contains("radius_m = 0.4 # lid is loose"), "{after}");
    assert!(after.ends_with("\n[end_of_file]\n"), "{after}");
    // Every other line of the old file is there, but for the name and hash of the fit, which is made anew.
    let new =
        |l: &str| l.starts_with("schema") || l.starts_with("radius_m = 0.4") || l.contains("ca5f3ee55674");
    for line in before.lines().filter(|l| !new(l)) {
        assert!(after.lines().any(|l| l == line), "{line}\n{after}");
    }
    // Again, nothing changes and nothing is warned of.
    let args = ["register", &survey, "--id", "cockatoo-hollow", "--venues", &f.path(), "--replace"];
    let r =
        run(&[&args[..], &["--method", "rtk", "--datum", "gda2020", "--surveyed", "2026-03-14"]].concat());
    assert_eq!((r.code, r.err.as_str()), (0, ""));
    assert_eq!(fs::read_to_string(format!("{old}/venue.toml")).unwrap(), after);
}

#[test]
fn a_venue_of_a_newer_program_is_refused_in_words() {
    let f = Folder::new();
    let old = old_venue(&f);
    let toml = format!("{old}/venue.toml");
    let text = fs::read_to_string(&toml).unwrap();
    fs::write(&toml, text.replace("schema = 1", "schema = 3\ntimes = \"2\"")).unwrap();
    for args in [
        &["card", &old][..],
        &["register", &toml, "--id", "cockatoo-hollow", "--venues", &f.path(), "--replace"],
    ] {
        let e = refused(args);
        assert!(e.contains("schema 3 is not known") && e.contains("reads schema 1 and 2"), "{e}");
        assert!(!e.contains("times"), "{e}");
    }
}

#[test]
fn a_file_that_was_cut_off_between_two_hazards_is_refused() {
    let f = Folder::new();
    let venue = old_venue(&f);
    let whole = fs::read_to_string(format!("{}/venue.toml", demo("cockatoo-hollow"))).unwrap();
    let cut = &whole[..whole.rfind("\n[[hazard]]").unwrap()];
    fs::write(format!("{venue}/venue.toml"), cut).unwrap();
    let e = refused(&["card", &venue]);
    assert!(e.contains("it was cut off") && e.contains("put the whole file back"), "{e}");
}

/// What register knew of a survey's place is kept, and a file of old is judged by the same rule.
#[test]
fn the_place_of_an_old_venue_is_judged_by_the_one_rule() {
    let f = Folder::new();
    let (old, new) = (old_venue(&f), demo("cockatoo-hollow"));
    let sds = |venue: &str| {
        let r = run(&["compare", venue, venue, "--json"]);
        serde_json::from_str::<Value>(&r.out).unwrap()["old"]["place_sd_m"].as_f64().unwrap()
    };
    assert_eq!(sds(&old), sds(&new));
    // Its datum left unsaid it is the receiver's, as for a survey.
    let toml = format!("{old}/venue.toml");
    let text = fs::read_to_string(&toml).unwrap();
    fs::write(&toml, text.replace("datum = \"gda2020\"\n", "")).unwrap();
    assert!((sds(&old) - 0.05_f64.hypot(0.5)).abs() < 1e-3, "{}", sds(&old));
}
