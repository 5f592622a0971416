//! Locks a folder while it is written. Only the run that holds the lock has unfinished work in the folder, so
//! any other unfinished work there was left by a killed run, and is removed.

use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use anyhow::{Result, bail};

use super::{VENUE_FILE, is_there};

/// The beginning of the names of unfinished files and folders.
pub(super) const UNFINISHED: &str = ".registering-";

/// How often to try for a lock that another run holds. Writing a venue takes a fraction of a second.
const TRIES: u32 = 100;
/// The wait between two tries.
const BETWEEN_TRIES: Duration = Duration::from_millis(50);

/// Where a folder can't be locked, unfinished work older than this counts as left by a killed run: no run
/// takes so long.
const DEAD_AFTER: Duration = Duration::from_secs(24 * 3_600);

/// The most names of a folder that are searched for leftovers.
const MOST_NAMES: usize = 100_000;

/// Locks on folders: nobody else writes to them while this value exists. The operating system releases the
/// locks when the program ends, however it ends.
pub(super) struct Held {
    _locks: Vec<File>,
}

enum Lock {
    Held(File),
    Busy,
    /// The file system can't lock folders, or the operating system can't open them.
    Unknown,
}

fn lock(folder: &Path) -> Lock {
    // Opening a pipe would wait for a writer.
    if !folder.is_dir() {
        return Lock::Unknown;
    }
    let Ok(opened) = File::open(folder) else { return Lock::Unknown };
    match opened.try_lock() {
        Ok(()) => Lock::Held(opened),
        Err(TryLockError::WouldBlock) => Lock::Busy,
        Err(TryLockError::Error(_)) => Lock::Unknown,
    }
}

impl Held {
    /// Locks these folders, and removes leftovers from them.
    pub(super) fn of(folders: &[&Path]) -> Result<Self> {
        let mut all: Vec<PathBuf> =
            folders.iter().map(|f| f.canonicalize().unwrap_or_else(|_| f.to_path_buf())).collect();
        // All runs lock in the same order, so that no two wait for each other.
        all.sort();
        all.dedup();
        let mut locks = Vec::new();
        for folder in &all {
            let mut tries = 0;
            let held = loop {
                match lock(folder) {
                    Lock::Held(file) => break Some(file),
                    Lock::Unknown => break None,
                    Lock::Busy if tries < TRIES => {
                        tries += 1;
                        std::thread::sleep(BETWEEN_TRIES);
                    }
                    Lock::Busy => {
                        bail!("{} is being written by another program: try again", folder.display())
                    }
                }
            };
            sweep(folder, held.is_some());
            locks.extend(held);
        }
        Ok(Self { _locks: locks })
    }
}

/// Removes leftovers from a folder of venues and from each venue in it, except where another run is at work.
pub(super) fn sweep_all(venues: &Path) {
    let inner = fs::read_dir(venues).into_iter().flatten().flatten().take(MOST_NAMES).map(|e| e.path());
    let folders = inner.filter(|p| is_there(&p.join(VENUE_FILE)));
    for folder in std::iter::once(venues.to_owned()).chain(folders) {
        if leftovers(&folder).is_empty() {
            continue;
        }
        match lock(&folder) {
            Lock::Held(_held) => sweep(&folder, true),
            Lock::Unknown => sweep(&folder, false),
            Lock::Busy => {}
        }
    }
}

/// The unfinished files and folders in a folder.
fn leftovers(folder: &Path) -> Vec<PathBuf> {
    fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .take(MOST_NAMES)
        .filter(|e| e.file_name().to_string_lossy().starts_with(UNFINISHED))
        .map(|e| e.path())
        .filter(|path| is_ours(path))
        .collect()
}

/// Is it a plain file, or a folder with only a venue's plain files? Anything else may be somebody's own work.
fn is_ours(path: &Path) -> bool {
    let Ok(found) = fs::symlink_metadata(path) else { return false };
    if !found.is_dir() {
        return found.is_file();
    }
    fs::read_dir(path).into_iter().flatten().flatten().take(MOST_NAMES).all(|e| {
        let name = e.file_name();
        let name = name.to_string_lossy();
        let known = name == VENUE_FILE || name.starts_with("survey-") || name.starts_with("fit-");
        known && e.file_type().is_ok_and(|t| t.is_file())
    })
}

/// Removes what a killed run left. `alone` says that the folder is locked, so that nobody else is at work in
/// it.
fn sweep(folder: &Path, alone: bool) {
    for path in leftovers(folder) {
        let old = || {
            let changed = fs::symlink_metadata(&path).and_then(|m| m.modified()).ok();
            changed.and_then(|t| SystemTime::now().duration_since(t).ok()).is_some_and(|age| age > DEAD_AFTER)
        };
        if alone || old() {
            // What can't be removed does no harm.
            let _ = if path.is_dir() { fs::remove_dir_all(&path) } else { fs::remove_file(&path) };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let mut all: Vec<String> =
            fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        all.sort();
        all
    }

    #[test]
    fn leftovers_of_a_killed_run_are_swept_and_nothing_else() {
        let f = tempfile::tempdir().unwrap();
        let at = |name: &str| f.path().join(name);
        fs::create_dir(at(".registering-1-0")).unwrap();
        fs::write(at(".registering-1-0/survey-1.csv"), "x").unwrap();
        fs::create_dir_all(at("a/keep")).unwrap();
        fs::write(at("a/venue.toml"), "").unwrap();
        fs::write(at("a/.registering-2-0"), "half").unwrap();
        fs::create_dir(at(".registering-notes")).unwrap();
        fs::write(at(".registering-notes/mine.txt"), "x").unwrap();
        fs::write(at(".other"), "x").unwrap();
        sweep_all(f.path());
        assert_eq!(names(f.path()), [".other", ".registering-notes", "a"]);
        assert_eq!(names(&at("a")), ["keep", "venue.toml"]);
    }

    #[test]
    fn a_live_runs_work_is_never_swept() {
        let f = tempfile::tempdir().unwrap();
        let held = Held::of(&[f.path()]).unwrap();
        fs::create_dir(f.path().join(".registering-1-0")).unwrap();
        sweep_all(f.path());
        assert_eq!(names(f.path()), [".registering-1-0"]);
        drop(held);
        sweep_all(f.path());
        assert_eq!(names(f.path()), [""; 0]);
    }

    #[test]
    fn where_nothing_can_be_locked_only_what_is_a_day_old_is_swept() {
        let f = tempfile::tempdir().unwrap();
        let path = f.path().join(".registering-1-0");
        let file = File::create(&path).unwrap();
        sweep(f.path(), false);
        assert_eq!(names(f.path()), [".registering-1-0"]);
        file.set_modified(SystemTime::now() - DEAD_AFTER - Duration::from_secs(60)).unwrap();
        sweep(f.path(), false);
        assert_eq!(names(f.path()), [""; 0]);
    }
}
