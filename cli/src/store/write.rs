//! Writes a venue completely or not at all, even if the power fails.
//!
//! A new venue is written to a temporary folder and then renamed into place. A new survey for an existing
//! venue is written beside the old one, whose files stay; then renaming the new venue file into place commits
//! the change. If anything fails before that, it is undone, and the run has written nothing.

use std::fmt;
use std::fs::{self, Metadata};
use std::io;
use std::path::{Path, PathBuf};

use anyhow::{Context, Error, Result, bail};

use super::disk::Disk;
use super::held::{Held, UNFINISHED, sweep_all};
use super::{VENUE_FILE, file, is_there, text};

/// Names and bytes of a venue's files; writing the last one commits the change.
pub(crate) type Files = [(String, Vec<u8>)];

/// The run failed, but something was written: what, and where.
#[derive(Debug)]
pub(crate) struct Wrote(pub(crate) String);

impl fmt::Display for Wrote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Wrote {}

/// How many temporary names to try.
const NAMES: u32 = 1_000;

/// The message for a venue that a power cut could still destroy.
const UNSAFE: &str = "and the disk has not confirmed it: a power cut may still lose it";

/// Refuses a target that exists.
pub(crate) fn refuse_taken(target: &Path) -> Result<()> {
    if is_there(target) {
        bail!(
            "{} is there already, and is left as it is: choose another --id, or say --replace to put this survey into it",
            target.display()
        );
    }
    Ok(())
}

/// Writes a new venue. An existing one is never overwritten; of two runs with the same name, one wins.
pub(crate) fn create(disk: &mut impl Disk, venues: &Path, id: &str, files: &Files) -> Result<PathBuf> {
    let target = venues.join(id);
    let mut made = Vec::new();
    let mut beside = None;
    if let Err(e) = put(disk, venues, &target, files, &mut made, &mut beside) {
        // Remove the innermost folder first. A folder into which another run has put something stays.
        let mut left: Vec<PathBuf> = beside.into_iter().filter(|b| disk.remove(b).is_err()).collect();
        for folder in made.iter().rev() {
            let gone = disk.remove_empty(folder);
            let busy = gone.as_ref().is_err_and(|e| e.kind() == io::ErrorKind::DirectoryNotEmpty);
            if gone.is_err() && !busy {
                left.push(folder.clone());
            }
        }
        return Err(left_behind(e, &left));
    }
    let names = std::iter::once(venues).chain(made.iter().filter_map(|m| m.parent()));
    for folder in names {
        disk.sync_folder(folder)
            .with_context(|| Wrote(format!("the venue was written to {}, {UNSAFE}", target.display())))?;
    }
    Ok(target)
}

fn put(
    disk: &mut impl Disk,
    venues: &Path,
    target: &Path,
    files: &Files,
    made: &mut Vec<PathBuf>,
    beside: &mut Option<PathBuf>,
) -> Result<()> {
    make_folders(disk, venues, made)?;
    if !venues.is_dir() {
        bail!("{} is no folder, and venues are kept in one", venues.display());
    }
    sweep_all(venues);
    let _held = Held::of(&[venues])?;
    refuse_taken(target)?;
    let writing = || format!("writing in {}", venues.display());
    let folder = fresh(venues, |path| disk.make_folder(path)).with_context(writing)?;
    let folder = beside.insert(folder);
    for (name, bytes) in files {
        let path = folder.join(name);
        disk.write_new(&path, bytes, None).with_context(|| format!("writing {}", path.display()))?;
    }
    disk.sync_folder(folder).with_context(writing)?;
    // This fails if the target has come to exist meanwhile, unless it is an empty folder.
    disk.rename(folder, target).with_context(|| format!("putting {} in place", target.display()))
}

/// Makes a folder and the missing ones above it. Adds those it made to `made`, the outermost first.
fn make_folders(disk: &mut impl Disk, folder: &Path, made: &mut Vec<PathBuf>) -> Result<()> {
    let missing: Vec<&Path> =
        folder.ancestors().filter(|f| !f.as_os_str().is_empty()).take_while(|f| !is_there(f)).collect();
    for path in missing.into_iter().rev() {
        match disk.make_folder(path) {
            Ok(()) => made.push(path.to_owned()),
            // Another run made it first.
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists && path.is_dir() => {}
            Err(e) => return Err(e).with_context(|| format!("making the folder {}", path.display())),
        }
    }
    Ok(())
}

/// Makes something under a temporary name that nobody else has.
pub(super) fn fresh(folder: &Path, mut make: impl FnMut(&Path) -> io::Result<()>) -> io::Result<PathBuf> {
    for n in 0..NAMES {
        let path = folder.join(format!("{UNFINISHED}{}-{n}", std::process::id()));
        match make(&path) {
            Ok(()) => return Ok(path),
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {}
            // A part of it may exist.
            Err(e) => {
                return Err(match is_there(&path) {
                    true => io::Error::new(e.kind(), Unfinished { path, why: e }),
                    false => e,
                });
            }
        }
    }
    Err(io::ErrorKind::AlreadyExists.into())
}

/// Something that was begun under a temporary name, and why it was not finished.
#[derive(Debug)]
struct Unfinished {
    path: PathBuf,
    why: io::Error,
}

impl fmt::Display for Unfinished {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.why.fmt(f)
    }
}

impl std::error::Error for Unfinished {}

/// An error, with what could not be undone.
fn left_behind(e: Error, left: &[PathBuf]) -> Error {
    if left.is_empty() {
        return e;
    }
    let names: Vec<String> = left.iter().map(|p| p.display().to_string()).collect();
    e.context(Wrote(format!(
        "no venue was written, but what was begun could not be taken back: {}",
        names.join(", ")
    )))
}

/// How far the writing of a file has come.
enum Come {
    /// Nothing of it is on the disk.
    Nowhere,
    /// It has a temporary name, and may be unfinished.
    Beside(PathBuf),
    /// It is in its place.
    There,
}

/// A file that is being written into a venue.
struct Way {
    name: String,
    come: Come,
    to: PathBuf,
    /// Was there something in its place before?
    was: bool,
}

/// What an update did.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Updated {
    /// Did any file change?
    pub(crate) changed: bool,
    /// Files whose contents did not match their names, and were replaced.
    pub(crate) mended: Vec<String>,
}

/// Puts a new survey and fit into an existing venue.
pub(crate) fn update(disk: &mut impl Disk, folder: &Path, before: &str, files: &Files) -> Result<Updated> {
    let toml = folder.join(VENUE_FILE);
    if let Some(venues) = folder.parent() {
        sweep_all(venues);
    }
    // Where the venue file is a link, the link stays and its target is written.
    let real = toml.canonicalize().with_context(|| format!("opening {}", toml.display()))?;
    let beside = real.parent().unwrap_or(folder);
    let _held = Held::of(&[folder, beside])?;
    if text(folder)? != before {
        bail!("{} was changed meanwhile: look at it and run this again", toml.display());
    }
    let mut ways = Vec::new();
    let moved =
        stage(disk, folder, &real, before, files, &mut ways).and_then(|()| commit(disk, folder, &mut ways));
    if let Err(e) = moved {
        return Err(taken_back(disk, e, &ways, &toml));
    }
    disk.sync_folder(beside)
        .with_context(|| Wrote(format!("the new survey was put into {}, {UNSAFE}", folder.display())))?;
    let changed = !ways.is_empty();
    let mended = ways.into_iter().filter(|w| w.was && w.name != VENUE_FILE).map(|w| w.name).collect();
    Ok(Updated { changed, mended })
}

/// Writes the files that are not there yet, under temporary names.
fn stage(
    disk: &mut impl Disk,
    folder: &Path,
    real: &Path,
    before: &str,
    files: &Files,
    ways: &mut Vec<Way>,
) -> Result<()> {
    for (name, bytes) in files {
        let commit = name == VENUE_FILE;
        let to = if commit { real.to_owned() } else { folder.join(name) };
        let same = if commit { before.as_bytes() == bytes } else { file(&to).is_ok_and(|b| b == *bytes) };
        if same {
            continue;
        }
        // Only a link in the venue file's place is followed: the target of any other is not the venue's.
        let found = fs::symlink_metadata(&to).ok();
        let like: Option<&Metadata> = found.as_ref().filter(|m| m.is_file());
        let written = fresh(to.parent().unwrap_or(folder), |path| disk.write_new(path, bytes, like));
        let come = match &written {
            Ok(path) => Come::Beside(path.clone()),
            Err(e) => match e.get_ref().and_then(|e| e.downcast_ref::<Unfinished>()) {
                Some(half) => Come::Beside(half.path.clone()),
                None => Come::Nowhere,
            },
        };
        let what = format!("writing {}", to.display());
        ways.push(Way { name: name.clone(), come, was: found.is_some(), to });
        written.context(what)?;
    }
    Ok(())
}

/// Renames everything into place, the venue file last: until then the old venue is complete.
fn commit(disk: &mut impl Disk, folder: &Path, ways: &mut [Way]) -> Result<()> {
    for way in ways {
        if way.name == VENUE_FILE {
            // The files that it names must be on the disk first.
            disk.sync_folder(folder).with_context(|| format!("writing in {}", folder.display()))?;
        }
        if let Come::Beside(from) = &way.come {
            disk.rename(from, &way.to).with_context(|| format!("putting {} in place", way.to.display()))?;
            way.come = Come::There;
        }
    }
    Ok(())
}

/// Undoes what was written before the commit, and says what could not be undone.
fn taken_back(disk: &mut impl Disk, e: Error, ways: &[Way], toml: &Path) -> Error {
    let mut left = Vec::new();
    let mut mended = Vec::new();
    for way in ways {
        let gone = match &way.come {
            Come::Nowhere => continue,
            // The file's name contains its hash, and now the contents match: it stays.
            Come::There if way.was => {
                mended.push(way.to.display().to_string());
                continue;
            }
            Come::There => &way.to,
            Come::Beside(path) => path,
        };
        if disk.remove(gone).is_err() {
            left.push(gone.clone());
        }
    }
    let e = left_behind(e, &left);
    if mended.is_empty() {
        return e;
    }
    e.context(Wrote(format!(
        "{} is as it was, and these were put right: {}",
        toml.display(),
        mended.join(", ")
    )))
}
