//! Tests the floors: a *room* (a top-level module of the library) uses only itself and rooms on lower floors,
//! never one on its own floor or above. Inside a room, no files use each other in a circle.

#![allow(clippy::unwrap_used, reason = "a test that can't read the source must fail")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Rooms by floor, lowest first. A new room is added here, with its floor.
const FLOORS: &[&[&str]] = &[
    &["units", "numeric"],
    &["geometry", "rules"],
    &["frame"],
    &["boundary", "survey", "sky"],
    &["network"],
    &["fit", "ground"],
    &["solve"],
    &["officiate"],
    &["venue"],
    &["compare"],
    &["briefing"],
    &["page"],
    &["export"],
];

fn floor_of(room: &str) -> Option<usize> {
    FLOORS.iter().position(|rooms| rooms.contains(&room))
}

/// Everything that is wrong with one file. `room` is its room; `depth` is how many modules deep it lies in
/// the crate (1 for `room/mod.rs`).
fn wrongs(room: &str, depth: usize, text: &str) -> Vec<String> {
    let mut out = Vec::new();
    let Some(floor) = floor_of(room) else {
        return vec![format!("'{room}' is no room with a floor")];
    };
    let code = without_comments(text);
    for target in after(&code, "crate::") {
        for used in target {
            match floor_of(&used) {
                None => out.push(format!("crate::{used} is not a room")),
                Some(_) if used == room => {}
                // The curve and the fit must not know a law.
                Some(_) if used == "rules" && ["geometry", "boundary", "fit"].contains(&room) => {
                    out.push(format!("{room} knows a law: {used} is not beneath it"));
                }
                Some(f) if f < floor => {}
                Some(_) => out.push(format!("{room} uses {used}, which is not beneath it")),
            }
        }
    }
    // `super` climbs one module, two more in a test module at the bottom of a file.
    let in_tests = code.find("mod tests").unwrap_or(code.len());
    for (at, climbs) in supers(&code) {
        let allowed = if at > in_tests { depth } else { depth - 1 };
        if climbs > allowed {
            out.push(format!("super climbs out of the room {room} ({climbs} up from {depth} deep)"));
        }
    }
    // `pub(in crate::room)` is a path too and is checked above. `extern crate`, `$crate` and `#[path]` would
    // evade the test, so they are not allowed.
    for way in ["extern crate", "$crate", "#[path"] {
        if code.contains(way) {
            out.push(format!("{way} is a way round the floors"));
        }
    }
    out
}

/// Names of program options in a file. The library must not name any: a problem carries its remedy as data,
/// and the caller puts it into words.
fn options(text: &str) -> Vec<String> {
    let code = without_comments(text);
    let before_tests = &code[..code.find("mod tests").unwrap_or(code.len())];
    let mut found = Vec::new();
    for (i, _) in before_tests.match_indices("--") {
        let begins = !before_tests[..i].ends_with(|c: char| c == '-' || c.is_alphanumeric());
        let name: String =
            before_tests[i + 2..].chars().take_while(|c| c.is_ascii_lowercase() || *c == '-').collect();
        if begins && name.starts_with(|c: char| c.is_ascii_lowercase()) {
            found.push(format!("the option --{name}"));
        }
    }
    found
}

fn without_comments(text: &str) -> String {
    text.lines()
        .map(|line| match line.find("//") {
            // This would also cut a text such as "http://", but the library has none.
            Some(i) => &line[..i],
            None => line,
        })
        .collect::<Vec<_>>()
        .join("\n")
}

fn word(text: &str) -> String {
    text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
}

/// The first path segments that follow each `crate::`, through `{a, b::c}` too.
fn after(code: &str, needle: &str) -> Vec<Vec<String>> {
    code.match_indices(needle)
        .map(|(i, _)| {
            let rest = &code[i + needle.len()..];
            let Some(list) = rest.strip_prefix('{') else { return vec![word(rest)] };
            let mut depth = 0usize;
            let mut names = vec![String::new()];
            for c in list.chars() {
                match c {
                    '{' => depth += 1,
                    '}' if depth == 0 => break,
                    '}' => depth -= 1,
                    ',' if depth == 0 => names.push(String::new()),
                    c if depth == 0 => {
                        if let Some(last) = names.last_mut() {
                            last.push(c);
                        }
                    }
                    _ => {}
                }
            }
            names.iter().map(|n| word(n.trim())).filter(|n| !n.is_empty()).collect()
        })
        .collect()
}

/// Where each run of `super::super::…` starts, and how far it climbs.
fn supers(code: &str) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut i = 0;
    while let Some(at) = code[i..].find("super").map(|j| i + j) {
        let mut climbs = 0;
        let mut rest = &code[at..];
        while let Some(more) = rest.strip_prefix("super") {
            climbs += 1;
            rest = more.strip_prefix("::").unwrap_or(more);
        }
        let before = code[..at].chars().next_back();
        // `pub(super)` is visibility, one up like any other.
        if !before.is_some_and(|c| c.is_alphanumeric() || c == '_') {
            out.push((at, climbs));
        }
        i = at + "super".len() * climbs.max(1);
    }
    out
}

fn rust_files(folder: &Path, out: &mut Vec<PathBuf>) {
    let mut entries: Vec<_> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            rust_files(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
}

#[test]
fn every_room_keeps_to_its_floor() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut read: BTreeMap<String, usize> = BTreeMap::new();
    let mut wrong = Vec::new();
    let mut entries: Vec<_> = fs::read_dir(&src).unwrap().map(|e| e.unwrap().path()).collect();
    entries.sort();
    for entry in entries {
        let name = entry.file_name().unwrap().to_str().unwrap().to_owned();
        if name == "lib.rs" {
            continue;
        }
        let room = name.trim_end_matches(".rs").to_owned();
        if floor_of(&room).is_none() {
            wrong.push(format!("src/{name} is not a room with a floor"));
            continue;
        }
        let mut files = Vec::new();
        if entry.is_dir() {
            rust_files(&entry, &mut files);
        } else {
            files.push(entry.clone());
        }
        for file in files {
            let inner = file.strip_prefix(&src).unwrap();
            // room/mod.rs is 1 deep, room/file.rs 2, room/a/mod.rs 2, room/a/b.rs 3.
            let parts = inner.components().count();
            let is_mod = inner.file_name().is_some_and(|f| f == "mod.rs");
            let depth = if is_mod { parts - 1 } else { parts };
            *read.entry(room.clone()).or_default() += 1;
            let text = fs::read_to_string(&file).unwrap();
            for w in wrongs(&room, depth, &text).into_iter().chain(options(&text)) {
                wrong.push(format!("{}: {w}", inner.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    // A test that reads nothing proves nothing: every room must have been read.
    for room in FLOORS.iter().flat_map(|f| f.iter()) {
        assert!(read.get(*room).copied().unwrap_or(0) > 0, "the room {room} was not read");
    }
}

/// The names that a `mod.rs` re-exports or imports (`pub use file::Name`, `use file::Name`), each with its
/// file, and the files' own names.
fn handed_on(face: &str, files: &[String]) -> BTreeMap<String, String> {
    let code = without_tests(face);
    let mut found = BTreeMap::new();
    for file in files {
        found.insert(file.clone(), file.clone());
        for names in after(&code, &format!("use {file}::")) {
            for name in names.into_iter().filter(|name| name != "self") {
                found.insert(name, file.clone());
            }
        }
    }
    found
}

/// A file's code without its comments and its tests.
fn without_tests(text: &str) -> String {
    let code = without_comments(text);
    code[..code.find("#[cfg(test)]\nmod tests").unwrap_or(code.len())].to_owned()
}

/// For each file of a folder, the other files that it uses. A file reaches its neighbours through `super::`,
/// directly or through a name that the `mod.rs` passes on. What the `mod.rs` defines itself does not count.
fn uses(files: &BTreeMap<String, String>, face: &str) -> BTreeMap<String, Vec<String>> {
    let names: Vec<String> = files.keys().cloned().collect();
    let from = handed_on(face, &names);
    let mut arrows = BTreeMap::new();
    for (file, text) in files {
        let code = without_tests(text).replace("super::super::", "");
        let reached = after(&code, "super::").into_iter().flatten();
        let mut to: Vec<String> =
            reached.filter_map(|name| from.get(&name).cloned()).filter(|to| to != file).collect();
        to.sort();
        to.dedup();
        arrows.insert(file.clone(), to);
    }
    arrows
}

/// A circle of files, if there is one: each uses the next, and the last uses the first.
fn circle(arrows: &BTreeMap<String, Vec<String>>) -> Option<Vec<String>> {
    // Repeatedly remove the files that use none of those left, until none can be removed.
    let mut left: BTreeMap<&String, &Vec<String>> = arrows.iter().collect();
    for _ in 0..=arrows.len() {
        let free: Vec<&String> = left
            .iter()
            .filter(|(_, to)| !to.iter().any(|t| left.contains_key(t)))
            .map(|(file, _)| *file)
            .collect();
        if free.is_empty() {
            break;
        }
        left.retain(|file, _| !free.contains(file));
    }
    let mut walk = vec![(*left.keys().next()?).clone()];
    loop {
        let next = left[walk.last()?].iter().find(|t| left.contains_key(t))?.clone();
        if let Some(first) = walk.iter().position(|file| *file == next) {
            return Some(walk.split_off(first));
        }
        walk.push(next);
    }
}

/// Every folder with its `mod.rs` and its files by name. A folder inside it counts as one file.
fn folders(folder: &Path, out: &mut Vec<(PathBuf, String, BTreeMap<String, String>)>) {
    let mut files = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
        let name = entry.file_stem().unwrap().to_str().unwrap().to_owned();
        let text = if entry.is_dir() {
            folders(&entry, out);
            let mut inside = Vec::new();
            rust_files(&entry, &mut inside);
            inside.retain(|file| !file.ends_with("tests.rs"));
            // From inside a folder, its neighbours are one `super` farther up.
            let one_up = |text: String| without_tests(&text).replace("super::super::", "super::");
            inside.iter().map(|f| one_up(fs::read_to_string(f).unwrap())).collect()
        } else if name == "mod" || name == "tests" || entry.extension().is_none_or(|e| e != "rs") {
            continue;
        } else {
            fs::read_to_string(&entry).unwrap()
        };
        files.entry(name).or_insert_with(String::new).push_str(&text);
    }
    let face = fs::read_to_string(folder.join("mod.rs")).unwrap_or_default();
    out.push((folder.to_owned(), face, files));
}

#[test]
fn no_files_use_each_other_in_a_circle() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let (mut all, mut wrong, mut arrows_read) = (Vec::new(), Vec::new(), 0);
    for room in FLOORS.iter().flat_map(|rooms| rooms.iter()) {
        folders(&src.join(room), &mut all);
    }
    for (folder, face, files) in all {
        let arrows = uses(&files, &face);
        arrows_read += arrows.values().map(Vec::len).sum::<usize>();
        if let Some(circle) = circle(&arrows) {
            wrong.push(format!("{}: {}", folder.display(), circle.join(" -> ")));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    // A test that reads nothing proves nothing: the files have hundreds of uses of each other.
    assert!(arrows_read > 300, "only {arrows_read} arrows were read");
}

#[test]
fn a_circle_of_files_is_found() {
    let files = |all: &[(&str, &str)]| -> BTreeMap<String, String> {
        all.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect()
    };
    let face = "mod a;\nmod b;\nmod c;\npub use b::{Bee, Hive};\npub use c::sea;\n";
    let direct =
        files(&[("a", "use super::b::x;"), ("b", "use super::c::y;"), ("c", "use super::{Hum, a};")]);
    assert_eq!(circle(&uses(&direct, face)).unwrap(), ["a", "b", "c"]);
    let through_the_face =
        files(&[("a", "use super::Bee;"), ("b", "fn f() { super::sea() }"), ("c", "use super::Hive;")]);
    assert_eq!(circle(&uses(&through_the_face, face)).unwrap(), ["b", "c"]);
    let in_tests_alone = files(&[
        ("a", "use super::Bee;"),
        ("b", "#[cfg(test)]\nmod tests { use super::super::a::x; }"),
        ("c", ""),
    ]);
    assert_eq!(circle(&uses(&in_tests_alone, face)), None);
}

#[test]
fn what_must_fail_fails() {
    let cases = [
        ("geometry", 2, "use crate::frame::Plan;", "not beneath"),
        ("geometry", 2, "use crate::rules::RuleSet;", "not beneath"),
        ("fit", 2, "use crate::ground::Ground;", "not beneath"),
        ("fit", 2, "use crate::rules::RuleSet;", "knows a law"),
        ("boundary", 2, "use crate::rules::Practice;", "knows a law"),
        ("units", 2, "fn f() { crate::numeric::t_quantile(0.5, 3.0); }", "not beneath"),
        ("boundary", 2, "use crate::{frame::Plan, fit::{Fit, curve}};", "not beneath"),
        ("venue", 2, "use crate::helpers::thing;", "is not a room"),
        ("export", 2, "use super::super::units::Day;", "climbs out"),
        ("export", 1, "use super::units::Day;", "climbs out"),
        ("ground", 3, "pub(in super::super::super) struct S;", "climbs out"),
        ("cellar", 1, "", "no room"),
        ("rules", 1, "#[path = \"../fit/mod.rs\"] mod fit;", "way round"),
    ];
    for (room, depth, text, want) in cases {
        let found = wrongs(room, depth, text);
        assert!(found.iter().any(|w| w.contains(want)), "{room}: {text}: {found:?}");
    }
}

#[test]
fn what_may_pass_passes() {
    for (room, depth, text) in [
        ("fit", 2, "use crate::{boundary::{Outline, Spread}, units};\nuse super::Noise;"),
        ("fit", 2, "// crate::export is not used here\nuse crate::survey::Survey;"),
        ("export", 2, "use crate::export::card;\nmod tests { use super::*; }"),
    ] {
        assert_eq!(wrongs(room, depth, text), Vec::<String>::new(), "{text}");
    }
}

#[test]
fn an_option_of_a_program_in_a_text_is_found() {
    assert_eq!(options("p.hint(\"say --zone 55\")"), ["the option --zone"]);
    assert_eq!(options("p.hint(\"--goal-posts\") // --boundary"), ["the option --goal-posts"]);
    // A dash, a decrement, a rule of dashes and a text in a test are not options.
    for text in ["a--b", "\"-- and\"", "\"-----\"", "mod tests { \"--zone\" }"] {
        let none = options(text);
        assert!(none.is_empty(), "{text}: {none:?}");
    }
}
