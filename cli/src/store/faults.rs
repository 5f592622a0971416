//! Tests of writing to a disk that fails at each step in turn. Afterwards the venue is complete, old or new,
//! or does not exist. What the run reports as written was written, and the next run removes leftovers.

use std::collections::BTreeMap;
use std::fs::{self, Metadata, Permissions};
use std::io;
use std::path::Path;

use super::disk::{Disk, Real};
use super::single::write_file;
use super::write::{Updated, Wrote, create, update};

/// How a disk fails.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Fails {
    /// At one step only: the run can then undo what it wrote.
    Once,
    /// From one step on, as if the run was killed there.
    Ever,
}

/// The real disk, which fails at a given step.
struct Faulty {
    steps: usize,
    at: usize,
    fails: Fails,
    /// What was done, and to what.
    log: Vec<String>,
}

impl Faulty {
    fn new(at: usize, fails: Fails) -> Self {
        Self { steps: 0, at, fails, log: Vec::new() }
    }

    fn step(&mut self, what: &str, path: &Path) -> io::Result<()> {
        self.steps += 1;
        let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        self.log.push(format!("{what} {}", if name.starts_with(".registering-") { "beside" } else { &name }));
        let broken = match self.fails {
            Fails::Once => self.steps == self.at,
            Fails::Ever => self.steps >= self.at,
        };
        if broken { Err(io::Error::other("the disk is broken")) } else { Ok(()) }
    }
}

impl Disk for Faulty {
    fn make_folder(&mut self, path: &Path) -> io::Result<()> {
        self.step("make", path)?;
        Real.make_folder(path)
    }

    fn write_new(&mut self, path: &Path, bytes: &[u8], like: Option<&Metadata>) -> io::Result<()> {
        if let Err(e) = self.step("write", path) {
            // Half of the file was written.
            fs::write(path, &bytes[..bytes.len() / 2])?;
            return Err(e);
        }
        Real.write_new(path, bytes, like)
    }

    fn rename(&mut self, from: &Path, to: &Path) -> io::Result<()> {
        self.step("rename to", to)?;
        Real.rename(from, to)
    }

    fn sync_folder(&mut self, path: &Path) -> io::Result<()> {
        self.step("sync", path)?;
        Real.sync_folder(path)
    }

    fn remove(&mut self, path: &Path) -> io::Result<()> {
        self.step("remove", path)?;
        Real.remove(path)
    }

    fn remove_empty(&mut self, path: &Path) -> io::Result<()> {
        self.step("remove", path)?;
        Real.remove_empty(path)
    }
}

/// Every file below a folder with its bytes, and every folder with no bytes.
fn tree(root: &Path) -> BTreeMap<String, Vec<u8>> {
    fn walk(folder: &Path, root: &Path, out: &mut BTreeMap<String, Vec<u8>>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.strip_prefix(root).unwrap().display().to_string();
            if path.is_dir() {
                out.insert(name + "/", Vec::new());
                walk(&path, root, out);
            } else {
                out.insert(name, fs::read(&path).unwrap());
            }
        }
    }
    let mut out = BTreeMap::new();
    walk(root, root, &mut out);
    out
}

fn files(which: &str) -> Vec<(String, Vec<u8>)> {
    ["survey", "fit", "venue.toml"]
        .map(|stem| {
            let name = if stem == "venue.toml" { stem.to_owned() } else { format!("{stem}-{which}.csv") };
            (name, format!("{stem} of {which}").into_bytes())
        })
        .to_vec()
}

/// Does this folder hold all files of this version, with the right bytes? Other files may be there too.
fn holds(tree: &BTreeMap<String, Vec<u8>>, folder: &str, which: &str) -> bool {
    files(which).iter().all(|(name, bytes)| tree.get(&format!("{folder}/{name}")) == Some(bytes))
}

fn unfinished(tree: &BTreeMap<String, Vec<u8>>) -> usize {
    tree.keys().filter(|name| name.contains(".registering-")).count()
}

/// More than the number of steps that writing takes.
const MOST_STEPS: usize = 60;

#[test]
fn a_new_venue_is_whole_or_not_there_whichever_step_fails() {
    for fails in [Fails::Once, Fails::Ever] {
        let mut whole_runs = 0;
        for at in 1..MOST_STEPS {
            let f = tempfile::tempdir().unwrap();
            let venues = f.path().join("league/venues");
            let made = create(&mut Faulty::new(at, fails), &venues, "x", &files("new"));
            let after = tree(f.path());
            let whole = holds(&after, "league/venues/x", "new");
            assert_eq!(whole, after.keys().any(|k| k.starts_with("league/venues/x")), "{at} {after:?}");
            match made {
                Ok(_) => {
                    assert!(whole, "{at}");
                    whole_runs += 1;
                }
                Err(e) => {
                    // The error says that something was written if and only if something was.
                    assert_eq!(
                        e.downcast_ref::<Wrote>().is_some(),
                        !after.is_empty(),
                        "{at}: {e:#} {after:?}"
                    );
                    assert!(fails == Fails::Ever || whole || after.is_empty(), "{at}: {after:?}");
                }
            }
            let again = create(&mut Real, &venues, "x", &files("new"));
            assert_eq!(again.is_ok(), !whole, "{at}");
            let after = tree(f.path());
            assert!(holds(&after, "league/venues/x", "new") && (whole || unfinished(&after) == 0), "{at}");
            create(&mut Real, &venues, "y", &files("new")).unwrap();
            assert_eq!(unfinished(&tree(f.path())), 0, "{at}");
        }
        assert!((1..MOST_STEPS - 5).contains(&whole_runs), "{whole_runs}: all steps were broken");
    }
}

#[test]
fn a_venue_is_whole_old_or_new_whichever_step_fails() {
    for fails in [Fails::Once, Fails::Ever] {
        let mut whole_runs = 0;
        for at in 1..MOST_STEPS {
            let f = tempfile::tempdir().unwrap();
            create(&mut Real, f.path(), "x", &files("old")).unwrap();
            let before = tree(f.path());
            let folder = f.path().join("x");
            let done = update(&mut Faulty::new(at, fails), &folder, "venue.toml of old", &files("new"));
            let after = tree(f.path());
            let new = after["x/venue.toml"] == b"venue.toml of new";
            assert!(holds(&after, "x", if new { "new" } else { "old" }), "{at}: {after:?}");
            match done {
                Ok(_) => {
                    assert!(new, "{at}");
                    whole_runs += 1;
                }
                Err(e) => {
                    assert_eq!(e.downcast_ref::<Wrote>().is_some(), after != before, "{at}: {e:#} {after:?}");
                    assert!(fails == Fails::Ever || new || after == before, "{at}: {after:?}");
                }
            }
            let text = String::from_utf8(after["x/venue.toml"].clone()).unwrap();
            update(&mut Real, &folder, &text, &files("new")).unwrap();
            let after = tree(f.path());
            assert!(holds(&after, "x", "new") && unfinished(&after) == 0, "{at}: {after:?}");
        }
        assert!((1..MOST_STEPS - 5).contains(&whole_runs), "{whole_runs}: all steps were broken");
    }
}

#[test]
fn a_damaged_file_is_put_right_and_told_whichever_step_fails() {
    for at in 1..MOST_STEPS {
        let f = tempfile::tempdir().unwrap();
        create(&mut Real, f.path(), "x", &files("old")).unwrap();
        let folder = f.path().join("x");
        fs::write(folder.join("fit-old.csv"), "cut sho").unwrap();
        fs::remove_file(folder.join("survey-old.csv")).unwrap();
        let before = tree(f.path());
        let done = update(&mut Faulty::new(at, Fails::Once), &folder, "venue.toml of old", &files("old"));
        let after = tree(f.path());
        assert_eq!(after["x/venue.toml"], b"venue.toml of old");
        match done {
            Ok(done) => {
                assert_eq!(done.mended, ["fit-old.csv"]);
                assert!(holds(&after, "x", "old"), "{at}: {after:?}");
            }
            Err(e) => {
                assert_eq!(e.downcast_ref::<Wrote>().is_some(), after != before, "{at}: {e:#} {after:?}")
            }
        }
    }
}

#[test]
fn names_are_on_the_disk_before_and_after_what_they_name_is_put_in_place() {
    let f = tempfile::tempdir().unwrap();
    let mut disk = Faulty::new(usize::MAX, Fails::Once);
    create(&mut disk, &f.path().join("league/venues"), "x", &files("old")).unwrap();
    let root = f.path().file_name().unwrap().to_str().unwrap();
    let want = [
        "make league",
        "make venues",
        "make beside",
        "write survey-old.csv",
        "write fit-old.csv",
        "write venue.toml",
        "sync beside",
        "rename to x",
        "sync venues",
        &format!("sync {root}"),
        "sync league",
    ];
    assert_eq!(disk.log, want);
    let mut disk = Faulty::new(usize::MAX, Fails::Once);
    update(&mut disk, &f.path().join("league/venues/x"), "venue.toml of old", &files("new")).unwrap();
    // Three files are written in a row under temporary names, which the log calls the same.
    disk.log.dedup();
    let want = [
        "write beside",
        "rename to survey-new.csv",
        "rename to fit-new.csv",
        "sync x",
        "rename to venue.toml",
        "sync x",
    ];
    assert_eq!(disk.log, want);
}

#[test]
fn what_is_there_already_is_not_written_again() {
    let f = tempfile::tempdir().unwrap();
    create(&mut Real, f.path(), "x", &files("old")).unwrap();
    // The disk fails too early for a file to be put in place.
    let done =
        update(&mut Faulty::new(3, Fails::Ever), &f.path().join("x"), "venue.toml of old", &files("old"));
    assert_eq!(done.unwrap(), Updated { changed: false, mended: Vec::new() });
}

#[test]
fn a_venue_that_was_changed_meanwhile_is_left_alone() {
    let f = tempfile::tempdir().unwrap();
    create(&mut Real, f.path(), "x", &files("old")).unwrap();
    let before = tree(f.path());
    let e = update(&mut Real, &f.path().join("x"), "something else", &files("new")).unwrap_err();
    assert!(e.to_string().contains("was changed meanwhile") && e.downcast_ref::<Wrote>().is_none());
    assert_eq!(tree(f.path()), before);
}

#[cfg(unix)]
#[test]
fn modes_and_links_are_kept() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let f = tempfile::tempdir().unwrap();
    create(&mut Real, f.path(), "x", &files("old")).unwrap();
    let folder = f.path().join("x");
    let elsewhere = f.path().join("records");
    fs::create_dir(&elsewhere).unwrap();
    fs::rename(folder.join("venue.toml"), elsewhere.join("x.toml")).unwrap();
    fs::set_permissions(elsewhere.join("x.toml"), Permissions::from_mode(0o640)).unwrap();
    symlink("../records/x.toml", folder.join("venue.toml")).unwrap();
    update(&mut Real, &folder, "venue.toml of old", &files("new")).unwrap();
    assert_eq!(fs::read_link(folder.join("venue.toml")).unwrap(), Path::new("../records/x.toml"));
    assert_eq!(fs::read(elsewhere.join("x.toml")).unwrap(), b"venue.toml of new");
    let mode = fs::metadata(elsewhere.join("x.toml")).unwrap().permissions().mode();
    assert_eq!(mode & 0o7777, 0o640);
    // A link in a survey's place is not followed: its target does not belong to the venue.
    fs::write(elsewhere.join("mine.csv"), "mine").unwrap();
    fs::remove_file(folder.join("survey-new.csv")).unwrap();
    symlink("../records/mine.csv", folder.join("survey-new.csv")).unwrap();
    let done = update(&mut Real, &folder, "venue.toml of new", &files("new")).unwrap();
    assert_eq!(done.mended, ["survey-new.csv"]);
    assert_eq!(fs::read(elsewhere.join("mine.csv")).unwrap(), b"mine");
    assert_eq!(fs::read(folder.join("survey-new.csv")).unwrap(), b"survey of new");
}

#[cfg(unix)]
#[test]
fn nothing_is_put_where_a_link_leads_nowhere() {
    let f = tempfile::tempdir().unwrap();
    std::os::unix::fs::symlink("nowhere", f.path().join("x")).unwrap();
    let e = create(&mut Real, f.path(), "x", &files("new")).unwrap_err();
    assert!(e.to_string().contains("is there already"), "{e}");
}

#[test]
fn a_file_is_whole_at_its_place_or_as_it_was_wherever_the_disk_fails() {
    for (old, fails) in [(false, Fails::Once), (false, Fails::Ever), (true, Fails::Once), (true, Fails::Ever)]
    {
        let mut whole = false;
        // Write, rename, sync: a fourth step there is not.
        for at in 1..=4 {
            let folder = tempfile::tempdir().unwrap();
            let path = folder.path().join("plan.svg");
            if old {
                fs::write(&path, "old").unwrap();
            }
            let mut disk = Faulty::new(at, fails);
            let done = write_file(&mut disk, &path, b"whole and new", true);
            let there = fs::read_to_string(&path).ok();
            let was = old.then(|| "old".to_owned());
            assert!(there == was || there.as_deref() == Some("whole and new"), "{at} {there:?}");
            whole = done.is_ok();
            assert_eq!(whole, at == 4, "{at} {:?}", disk.log);
            // What says that nothing was written wrote nothing.
            if done.as_ref().is_err_and(|e| e.downcast_ref::<Wrote>().is_none()) {
                assert_eq!(there, was, "{at}");
            }
            if fails == Fails::Once {
                let names = fs::read_dir(folder.path()).unwrap().count();
                assert_eq!(names, usize::from(there.is_some()), "{at} {:?}", disk.log);
            }
        }
        assert!(whole);
    }
}

#[test]
fn a_file_that_is_there_is_left_unless_it_is_to_be_replaced() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("plan.svg");
    write_file(&mut Real, &path, b"one", false).unwrap();
    let refused = write_file(&mut Real, &path, b"two", false).unwrap_err().to_string();
    assert!(refused.contains("is there already") && refused.contains("--replace"), "{refused}");
    assert_eq!(fs::read_to_string(&path).unwrap(), "one");
    write_file(&mut Real, &path, b"two", true).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), "two");
    assert!(write_file(&mut Real, folder.path(), b"two", true).is_err());
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}
