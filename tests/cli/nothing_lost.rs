//! Nothing lost: a venue is whole, old or new, or not there, whatever was typed, broken,
//! killed or run twice; and the exit code says whether anything was written.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use ovalpeg::venue::above_end_mark;

use crate::support::{Folder, Run, add, oval, posts, refused, root, run};

const NAMES: [&str; 4] = ["--ends", "Silo,School", "--sides", "Pavilion,Road"];

fn readme() -> String {
    fs::read_to_string(root().join("README.md")).unwrap()
}

fn survey(shift: f64) -> String {
    oval(83.345 + shift, 67.5, |_, _| true) + &posts(82.5 + shift)
}

/// The same on Earth, with a height behind each point.
fn on_earth(height: &str) -> String {
    let mut out = String::from("lat,lon,code,height\n");
    for line in survey(0.0).lines().skip(1) {
        let parts: Vec<&str> = line.split(',').collect();
        let (x, y): (f64, f64) = (parts[0].parse().unwrap(), parts[1].parse().unwrap());
        out += &format!("{:.9},{:.9},{},{height}\n", -36.5 + y / 110_950.0, 145.0 + x / 89_600.0, parts[2]);
    }
    out
}

/// A registration, of the one shape that is quickly fitted: these tests are of what follows.
fn args<'a>(survey: &'a str, venues: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let mut all = vec!["register", survey, "--venues", venues, "--id", "test-oval", "--shape", "ellipse"];
    all.extend(["--surveyed", "2026-03-14"]);
    all.extend(more);
    if !more.contains(&"--sigma") {
        all.extend(["--method", "rtk"]);
    }
    all
}

fn card(venues: &str) -> Run {
    run(&["card", "test-oval", "--venues", venues, "--date", "2026-08-01"])
}

/// Every file below with its bytes.
fn tree(folder: &str) -> BTreeMap<String, Vec<u8>> {
    fn walk(folder: &Path, out: &mut BTreeMap<String, Vec<u8>>) {
        for entry in fs::read_dir(folder).into_iter().flatten() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, out);
            }
            out.insert(path.display().to_string(), fs::read(&path).unwrap_or_default());
        }
    }
    let mut out = BTreeMap::new();
    walk(Path::new(folder), &mut out);
    out
}

/// The one file of a venue whose name starts so.
fn named(venues: &str, start: &str) -> String {
    let all = tree(&format!("{venues}/test-oval"));
    let mut found =
        all.keys().filter(|p| Path::new(p).file_name().unwrap().to_str().unwrap().starts_with(start));
    let one = found.next().unwrap().clone();
    assert!(found.next().is_none(), "{all:?}");
    one
}

#[test]
fn what_a_card_would_refuse_is_refused_before_anything_is_written() {
    let f = Folder::new();
    let venues = format!("{}/v", f.path());
    let (good, high) = (f.file("good.csv", &survey(0.0)), f.file("high.csv", &on_earth("72000")));
    let long: String = "x".repeat(201);
    let cases: [(&str, &[&str], [&str; 3]); 7] = [
        (
            &good,
            &["--sigma", "1e-7"],
            ["--sigma", "0.0000001, outside 0.000001 to 1000 m", "standard deviation"],
        ),
        (&good, &["--sigma", "1001"], ["--sigma", "1001, outside 0.000001 to 1000 m", "standard deviation"]),
        (
            &good,
            &["--height", "72000"],
            ["--height", "72000, outside -1000 to 9000 m", "above the ellipsoid"],
        ),
        (&high, &[], ["line 2", "height is 72000, outside -1000 to 9000 m", "above the ellipsoid"]),
        (&good, &["--line-width", "7"], ["--line-width", "7, outside 0.01 to 0.5 m", "metres"]),
        (&good, &["--name", ""], ["--name", "is empty", "1 to 200 characters"]),
        (&good, &["--name", &long], ["--name", "201 characters, and at most 200", "shorten"]),
    ];
    for (file, more, wants) in cases {
        let e = refused(&args(file, &venues, more));
        assert!(wants.iter().all(|w| e.contains(w)), "{more:?}: {e}");
        assert!(!Path::new(&venues).exists(), "{more:?}");
    }
    // Nor over a good one.
    assert_eq!(run(&args(&good, &venues, &NAMES)).code, 0);
    let before = tree(&venues);
    for (file, more, _) in cases {
        refused(&args(file, &venues, &[more, &["--replace"]].concat()));
        assert_eq!(tree(&venues), before, "{more:?}");
    }
    assert_eq!(card(&venues).code, 0);
}

/// Six points, 9 m off an oval: five dimensions are found, and next to nothing is known of them.
const VAGUE: &str = "x,y\n71.3765,-2.9771\n36.6043,54.7653\n-40.2621,42.1832\n-85.8450,33.7054\n\
                     -73.1364,-41.9986\n-17.1391,-31.1677\n";

#[test]
fn a_plus_minus_larger_than_the_length_is_said_by_fit_and_refused_by_register() {
    let f = Folder::new();
    let (good, vague) = (f.file("good.csv", &survey(0.0)), f.file("vague.csv", VAGUE));
    let r = run(&["fit", &vague, "--shape", "ellipse"]);
    assert_eq!(r.code, 0, "{}", r.err);
    let words: String = r.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("a ± as large as the length itself fixes no ground"), "{words}");
    let venues = format!("{}/v", f.path());
    let bare = ["register", &vague, "--venues", &venues, "--id", "test-oval", "--shape", "ellipse"];
    let told = |e: &str| {
        ["length of the ground", "m ± ", "nothing was written", "hint: survey more"]
            .iter()
            .all(|w| e.contains(w))
    };
    let e = refused(&bare);
    assert!(told(&e) && !Path::new(&venues).exists(), "{e}");
    assert_eq!(run(&args(&good, &venues, &NAMES)).code, 0);
    let before = tree(&venues);
    let e = refused(&[&bare[..], &["--replace"]].concat());
    assert!(told(&e) && tree(&venues) == before, "{e}");
}

#[test]
fn one_range_at_every_door() {
    let f = Folder::new();
    let venues = format!("{}/v", f.path());
    let good = f.file("good.csv", &on_earth("100"));
    assert_eq!(run(&args(&good, &venues, &["--sigma", "0.02", "--edge", "inner"])).code, 0);
    let toml = named(&venues, "venue.toml");
    let text = fs::read_to_string(&toml).unwrap();
    let csv = |sigma: &str| {
        on_earth("100").replace("height\n", "height,sigma\n").replace(",100\n", &format!(",100,{sigma}\n"))
    };
    // By argument, by venue.toml, by a survey: the value, then the range in the words of each.
    for (option, from, key, range, within, outside) in [
        (
            "--sigma",
            "sigma_m = 0.02",
            "sigma_m",
            "0.000001 to 1000 m",
            ["0.000001", "1000"],
            ["0.0000009", "1000.1"],
        ),
        (
            "--height",
            "height_m = 100.0",
            "height_m",
            "-1000 to 9000 m",
            ["-1000", "9000"],
            ["-1000.1", "9000.1"],
        ),
        (
            "--line-width",
            "line_width_m = 0.05",
            "line_width_m",
            "0.01 to 0.5 m",
            ["0.01", "0.5"],
            ["0.009", "0.51"],
        ),
    ] {
        assert!(text.contains(from), "{from} in {text}");
        for v in outside {
            let e = refused(&["fit", &good, option, v]);
            assert!(e.contains(v) && e.contains(range), "{e}");
            fs::write(&toml, text.replace(from, &format!("{key} = {v}"))).unwrap();
            let e = refused(&["card", "test-oval", "--venues", &venues]);
            assert!(e.contains(v) && e.contains(range) && e.contains("line "), "{e}");
            let by_survey = match option {
                "--sigma" => f.file("by.csv", &csv(v)),
                "--height" => f.file("by.csv", &on_earth(v)),
                _ => continue,
            };
            let e = refused(&["fit", &by_survey]);
            assert!(e.contains(v) && e.contains(range) && e.contains("line 2"), "{e}");
        }
        for v in within {
            let taken = |e: &str| !e.contains("outside");
            assert!(taken(&run(&["fit", &good, option, v, "--shape", "ellipse"]).err), "{option} {v}");
            fs::write(&toml, text.replace(from, &format!("{key} = {v}"))).unwrap();
            assert!(taken(&card(&venues).err), "{key} {v}");
        }
    }
    for zone in ["45", "60"] {
        let grid = f.file("grid.csv", &format!("easting,northing,zone\n322511,5812242,{zone}\n"));
        for e in [refused(&["fit", &good, "--zone", zone]), refused(&["fit", &grid])] {
            assert!(e.contains("46 to 59"), "{e}");
        }
        fs::write(&toml, text.replace("sigma_m = 0.02", &format!("zone = {zone}"))).unwrap();
        assert!(card(&venues).err.contains("46 to 59"));
    }
}

#[test]
fn replace_needs_only_a_valid_venue_file() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    assert_eq!(run(&args(&s, &venues, &NAMES)).code, 0);
    let toml = named(&venues, "venue.toml");
    add(&toml, "\n[fence]\ndistance_m = 4.5\n");
    let whole = card(&venues);
    assert_eq!(whole.code, 0);
    let (fit, kept) = (named(&venues, "fit-"), named(&venues, "survey-"));
    let damage: [(&str, &dyn Fn()); 5] = [
        ("the fit is lost", &|| fs::remove_file(&fit).unwrap()),
        ("the fit is cut short", &|| fs::write(&fit, &fs::read(&fit).unwrap()[..100]).unwrap()),
        ("the survey is lost", &|| fs::remove_file(&kept).unwrap()),
        ("the survey is another", &|| fs::write(&kept, "x,y\n1,2\n").unwrap()),
        ("both are lost", &|| {
            fs::remove_file(&fit).unwrap();
            fs::remove_file(&kept).unwrap();
        }),
    ];
    for (what, damaged) in damage {
        damaged();
        assert_eq!(card(&venues).code, 2, "{what}");
        let r = run(&args(&s, &venues, &["--replace"]));
        assert_eq!(r.code, 0, "{what}: {}", r.err);
        let lost = what.contains("fit") || what.contains("both");
        assert_eq!(r.out.contains("the registered fit can't be read"), lost, "{what}: {}", r.out);
        // Ends, sides, fence and all: as it was.
        assert_eq!(card(&venues).out, whole.out, "{what}");
    }
    // A venue file that doesn't read is not guessed at.
    fs::write(&toml, "schema = ").unwrap();
    let before = tree(&venues);
    assert!(refused(&args(&s, &venues, &["--replace"])).contains("not TOML"));
    assert_eq!(tree(&venues), before);
}

#[test]
fn a_lost_fit_does_not_turn_the_ends_round_nor_let_another_ground_in() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    assert_eq!(run(&args(&s, &venues, &NAMES)).code, 0);
    let toml = named(&venues, "venue.toml");
    // As if it had been registered with the southern end as A: what was frozen stays.
    let text = fs::read_to_string(&toml).unwrap();
    let at = text.find("axis = \"").unwrap() + "axis = \"".len();
    let turned =
        format!("{}200.00°{}", &text[..at], &text[at + text[at..].find('°').unwrap() + '°'.len_utf8()..]);
    fs::write(&toml, turned).unwrap();
    fs::remove_file(named(&venues, "fit-")).unwrap();
    let r = run(&args(&s, &venues, &["--replace"]));
    assert_eq!(r.code, 0, "{}", r.err);
    assert!(r.out.contains("Silo end to the S"), "{}", r.out);
    let fits: Vec<String> = tree(&venues).into_keys().filter(|n| n.contains("fit-")).collect();
    for fit in fits {
        fs::remove_file(fit).unwrap();
    }
    let across: String = survey(0.0)
        .lines()
        .map(|l| match l.split(',').collect::<Vec<_>>()[..] {
            [x, y, code] if x != "x" => format!("{},{x},{code}\n", -y.parse::<f64>().unwrap()),
            _ => format!("{l}\n"),
        })
        .collect();
    let other = f.file("across.csv", &across);
    assert!(refused(&args(&other, &venues, &["--replace"])).contains("another ground?"));
}

#[cfg(target_os = "linux")]
#[test]
fn exit_code_3_says_what_was_written_and_2_means_nothing() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    let to_full = |more: &[&str]| {
        let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let out = Command::new(env!("CARGO_BIN_EXE_ovalpeg"))
            .args(args(&s, &venues, more))
            .stdout(full)
            .output()
            .unwrap();
        (out.status.code().unwrap(), String::from_utf8(out.stderr).unwrap())
    };
    let (code, e) = to_full(&NAMES);
    assert_eq!(code, 3, "{e}");
    assert!(e.starts_with("error: the venue was written to ") && e.contains("v/test-oval"), "{e}");
    assert!(e.contains("No space left"), "{e}");
    assert_eq!(card(&venues).code, 0);
    let (code, e) = to_full(&["--replace", "--sigma", "0.03"]);
    assert_eq!(code, 3, "{e}");
    assert!(e.contains("the new survey was put into "), "{e}");
    // The same survey again writes nothing.
    let before = tree(&venues);
    let (code, e) = to_full(&["--replace", "--sigma", "0.03"]);
    assert_eq!((code, tree(&venues)), (2, before), "{e}");
    let (code, _) = to_full(&[]);
    assert_eq!(code, 2);
    for page in [run(&["--help"]).out, run(&["register", "--help"]).out, readme()] {
        let words = page.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
        assert!(words.contains("something was written"), "{page}");
    }
}

#[cfg(unix)]
#[test]
fn special_files_are_refused_and_nothing_hangs() {
    use std::os::unix::net::UnixListener;
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    assert_eq!(run(&args(&s, &venues, &NAMES)).code, 0);
    let (pipe, socket) = (format!("{}/p", f.path()), format!("{}/q", f.path()));
    let mkfifo = |path: &str| assert!(Command::new("mkfifo").arg(path).status().unwrap().success());
    mkfifo(&pipe);
    let _bound = UnixListener::bind(&socket).unwrap();
    for (file, what) in
        [(pipe.as_str(), "a pipe"), (&socket, "a socket"), ("/dev/zero", "a device"), (&venues, "a folder")]
    {
        for args in
            [&["fit", file][..], &["adjust", file], &["fit", &s, file], &args(file, &venues, &["--replace"])]
        {
            let e = refused(args);
            assert!(e.contains(what) && e.contains(file), "{args:?}: {e}");
        }
    }
    assert!(refused(&["compare", &pipe, &s]).contains("a pipe"));
    assert!(refused(&["compare", "test-oval", "/dev/zero", "--venues", &venues]).contains("a device"));
    assert!(refused(&args(&s, &pipe, &NAMES)).contains("is no folder"));
    // In a venue's files.
    for start in ["venue.toml", "fit-", "survey-"] {
        let path = named(&venues, start);
        let bytes = fs::read(&path).unwrap();
        fs::remove_file(&path).unwrap();
        mkfifo(&path);
        assert!(refused(&["card", "test-oval", "--venues", &venues]).contains("a pipe"), "{start}");
        fs::remove_file(&path).unwrap();
        fs::create_dir(&path).unwrap();
        assert!(refused(&["card", "test-oval", "--venues", &venues]).contains("a folder"), "{start}");
        fs::remove_dir(&path).unwrap();
        fs::write(&path, bytes).unwrap();
    }
    assert_eq!(card(&venues).code, 0);
}

#[cfg(unix)]
#[test]
fn a_venue_file_that_is_a_link_stays_one_and_keeps_its_mode() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    assert_eq!(run(&args(&s, &venues, &NAMES)).code, 0);
    let (toml, records) = (named(&venues, "venue.toml"), format!("{}/records.toml", f.path()));
    fs::rename(&toml, &records).unwrap();
    fs::set_permissions(&records, fs::Permissions::from_mode(0o640)).unwrap();
    symlink("../../records.toml", &toml).unwrap();
    let again = f.file("again.csv", &survey(0.5));
    let before = fs::read(&records).unwrap();
    let r = run(&args(&again, &venues, &["--replace"]));
    assert_eq!(r.code, 0, "{}", r.err);
    assert_eq!(fs::read_link(&toml).unwrap(), Path::new("../../records.toml"));
    assert_eq!(fs::metadata(&records).unwrap().permissions().mode() & 0o7777, 0o640);
    assert_ne!(fs::read(&records).unwrap(), before);
    assert_eq!(card(&venues).code, 0);
}

#[test]
fn names_that_no_folder_may_have_everywhere_are_refused() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    let long = "y".repeat(65);
    for (id, want) in [
        ("con", "Windows"),
        ("nul", "Windows"),
        ("aux", "Windows"),
        ("com1", "Windows"),
        ("lpt9", "Windows"),
        ("oval.", "not a short name"),
        ("oval ", "not a short name"),
        ("", "is empty"),
        (&long, "65 characters, more than 64"),
    ] {
        let e = refused(&["register", &s, "--venues", &venues, "--id", id]);
        assert!(e.contains("--id") && e.contains(want) && e.contains("hint"), "{e}");
    }
    assert!(!Path::new(&venues).exists());
}

/// A run that is on its way.
fn start(all: &[&str]) -> Child {
    Command::new(env!("CARGO_BIN_EXE_ovalpeg"))
        .args(all)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

#[test]
fn of_runs_at_one_time_one_wins_and_the_others_are_told() {
    let f = Folder::new();
    let venues = format!("{}/v", f.path());
    let surveys: Vec<String> =
        (0..4).map(|i| f.file(&format!("{i}.csv"), &survey(f64::from(i) * 0.1))).collect();
    let ended = |more: &[&str]| {
        let children: Vec<Child> = surveys.iter().map(|s| start(&args(s, &venues, more))).collect();
        children
            .into_iter()
            .map(|c| c.wait_with_output().unwrap())
            .map(|o| (o.status.code().unwrap(), String::from_utf8(o.stderr).unwrap()))
            .collect::<Vec<_>>()
    };
    let runs = ended(&NAMES);
    assert_eq!(runs.iter().filter(|r| r.0 == 0).count(), 1, "{runs:?}");
    assert!(runs.iter().all(|r| r.0 == 0 || (r.0 == 2 && r.1.contains("is there already"))), "{runs:?}");
    assert_eq!(card(&venues).code, 0);
    let runs = ended(&["--replace"]);
    let told = |e: &str| e.contains("was changed meanwhile") || e.contains("being written");
    assert!(runs.iter().any(|r| r.0 == 0), "{runs:?}");
    assert!(runs.iter().all(|r| r.0 == 0 || (r.0 == 2 && told(&r.1))), "{runs:?}");
    assert_eq!(card(&venues).code, 0);
    assert!(!tree(&venues).keys().any(|n| n.contains(".registering-")));
}

/// How many names are in a folder of venues and in the venue.
fn names_in(venues: &str) -> usize {
    let count = |folder: &str| fs::read_dir(folder).map_or(0, Iterator::count);
    count(venues) + count(&format!("{venues}/test-oval"))
}

/// Starts a run and waits until it writes.
fn writing(all: &[&str], venues: &str) -> (Child, Instant) {
    let before = names_in(venues);
    let mut child = start(all);
    let patience = Instant::now() + Duration::from_secs(120);
    while names_in(venues) == before && child.try_wait().unwrap().is_none() && Instant::now() < patience {
        std::thread::yield_now();
    }
    (child, Instant::now())
}

#[test]
fn a_killed_run_leaves_a_venue_whole_or_none() {
    kills(10);
}

#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn a_killed_run_leaves_a_venue_whole_or_none_and_the_next_sweeps() {
    kills(40);
}

/// So many runs killed, sooner and later, and what each left behind.
///
/// How long a run writes is the machine's affair. So the delay before a kill grows from none by steps
/// of the time that an unhindered run took, until some runs were caught at it and some had ended.
fn kills(kills: u32) {
    let f = Folder::new();
    let (old, new) = (f.file("old.csv", &survey(0.0)), f.file("new.csv", &survey(0.5)));
    let calm = format!("{}/calm", f.path());
    let (mut child, begun) = writing(&args(&old, &calm, &NAMES), &calm);
    child.wait().unwrap();
    let whole = begun.elapsed();
    let (mut caught, mut done) = (0, 0);
    for i in 0..4 * kills {
        if i >= kills && caught > 0 && done > 0 {
            break;
        }
        let venues = format!("{}/v{i}", f.path());
        let replaces = i % 2 == 1;
        if replaces {
            assert_eq!(run(&args(&old, &venues, &NAMES)).code, 0);
        }
        let more: &[&str] = if replaces { &["--replace"] } else { &NAMES };
        let (mut child, begun) = writing(&args(&new, &venues, more), &venues);
        while begun.elapsed() < whole * (4 * i) / (3 * kills) && child.try_wait().unwrap().is_none() {
            std::hint::spin_loop();
        }
        let _ = child.kill();
        child.wait().unwrap();
        let left = || tree(&venues).into_keys().filter(|n| n.contains(".registering-")).count();
        caught += usize::from(left() > 0);
        let there = Path::new(&venues).join("test-oval").exists();
        done += usize::from(there && !replaces);
        let r = card(&venues);
        assert_eq!(r.code, if there { 0 } else { 2 }, "{i}: {}", r.err);
        assert!(there || !replaces);
        let more: &[&str] = if there { &["--replace"] } else { &NAMES };
        let r = run(&args(&new, &venues, more));
        assert_eq!(r.code, 0, "{i}: {}", r.err);
        assert_eq!(left(), 0, "{i}");
        assert_eq!(card(&venues).code, 0, "{i}");
    }
    assert!(caught > 0 && done > 0, "{caught} caught at it, {done} done: the test proves nothing");
}

#[test]
fn thousands_of_landmarks_are_read_to_a_cap_and_refused_beyond_it_by_name_and_line() {
    let f = Folder::new();
    let (venues, s) = (format!("{}/v", f.path()), f.file("s.csv", &survey(0.0)));
    assert_eq!(run(&args(&s, &venues, &NAMES)).code, 0);
    let toml = named(&venues, "venue.toml");
    let text = fs::read_to_string(&toml).unwrap();
    let many = |n: u32| {
        let one = |i: u32| {
            let (s, c) = f64::from(i).sin_cos();
            format!("\n[[landmark]]\nname = \"tree {i}\"\nx_m = {:.1}\ny_m = {:.1}\n", 300.0 * c, 300.0 * s)
        };
        fs::write(&toml, above_end_mark(&text, &(0..n).map(one).collect::<String>())).unwrap();
    };
    many(1_000);
    assert_eq!(card(&venues).code, 0);
    assert_eq!(run(&args(&s, &venues, &["--replace", "--sigma", "0.03"])).code, 0);
    many(20_000);
    for e in
        [refused(&["card", "test-oval", "--venues", &venues]), refused(&args(&s, &venues, &["--replace"]))]
    {
        assert!(e.contains("[[landmark]]: there are 20000 landmarks, and at most 1000"), "{e}");
        // Above the end mark and its comment.
        let line = text.lines().count() - 2 + 1_000 * 5 + 2;
        assert!(e.contains(&format!("line {line}: ")) && e.len() < 400, "{e}");
    }
}
