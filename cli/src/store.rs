//! Venue folders: finding, opening, and writing so that a venue is whole or not there.

use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};
use ovalpeg::rules::RuleSet;
use ovalpeg::units::{Problem, Refused};
use ovalpeg::venue::{Registered, Venue, find_rules, open, parse_rules, rules_file_id, rules_file_name};

/// The file that people edit.
pub(crate) const VENUE_FILE: &str = "venue.toml";
/// Largest file of a venue that is read, bytes.
const MAX_BYTES: u64 = 20_000_000;

/// The folder of a venue named on the command line: a short name in the venue
/// folder, or a path to its folder or its `venue.toml`.
pub(crate) fn folder(venues: &Path, name: &str) -> Result<PathBuf> {
    let path = Path::new(name);
    if path.file_name().is_some_and(|f| f == VENUE_FILE) && path.is_file() {
        return Ok(path.parent().unwrap_or(Path::new(".")).to_owned());
    }
    let is_path = name.contains(['/', '\\']) || name.starts_with('.');
    let candidate = if is_path { path.to_owned() } else { venues.join(name) };
    if candidate.join(VENUE_FILE).is_file() {
        return Ok(candidate);
    }
    if !is_path && path.join(VENUE_FILE).is_file() {
        return Ok(path.to_owned());
    }
    if is_path {
        bail!("there is no {VENUE_FILE} in {}", candidate.display());
    }
    let known = known(venues);
    let list = if known.is_empty() {
        format!("no venues are in {} (--venues DIR or OVALPEG_VENUES says where they are)", venues.display())
    } else {
        format!("in {} there are: {}", venues.display(), known.join(", "))
    };
    bail!("there is no venue '{name}': {list}")
}

fn known(venues: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(venues)
        .into_iter()
        .flatten()
        .flatten()
        .filter(|e| e.path().join(VENUE_FILE).is_file())
        .filter_map(|e| e.file_name().into_string().ok())
        .collect();
    names.sort();
    names
}

/// The text of a venue's file.
pub(crate) fn text(folder: &Path) -> Result<String> {
    let path = folder.join(VENUE_FILE);
    let bytes = read(&path).map_err(|e| anyhow!("{}: {e}", path.display()))?;
    String::from_utf8(bytes).map_err(|_| anyhow!("{} is not UTF-8 text", path.display()))
}

fn read(path: &Path) -> Result<Vec<u8>, String> {
    let size = fs::metadata(path).map_err(|e| e.to_string())?.len();
    if size > MAX_BYTES {
        return Err(format!("it has {size} bytes, more than the {MAX_BYTES} that are read"));
    }
    fs::read(path).map_err(|e| e.to_string())
}

/// A file that a venue names: beside its venue.toml, or, a league's rules, beside the venue's folder.
fn read_named(folder: &Path, name: &str) -> Result<Vec<u8>, String> {
    if rules_file_id(name).is_none() {
        return read(&folder.join(name));
    }
    // A relative name of one part, or `.`, has no parent that can be opened by its name.
    let beside = match folder.parent() {
        Some(parent) if folder.file_name().is_some() && !parent.as_os_str().is_empty() => parent.join(name),
        _ => folder.join("..").join(name),
    };
    read(&beside)
}

/// A rule set by its name: built in, a league's in the folder of venues, or the path of a league's file.
pub(crate) fn rule_set(venues: &Path, name: &str) -> Result<RuleSet> {
    let path = Path::new(name);
    let id = path.file_name().and_then(|f| f.to_str()).and_then(rules_file_id);
    let found = match id {
        Some(id) => match read(path) {
            Ok(bytes) => parse_rules(id, &bytes),
            Err(why) => bail!("{}: {why}", path.display()),
        },
        None => find_rules(name, &mut |file| read(&venues.join(file))),
    };
    found.map_err(|problems| anyhow!("{}", Refused::new(problems)))
}

/// Short names of the leagues' rule sets in the folder of venues.
pub(crate) fn own_rule_sets(venues: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(venues)
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|e| rules_file_id(e.file_name().to_str()?).map(str::to_owned))
        .collect();
    names.sort();
    names
}

/// One of them.
pub(crate) fn own_rule_set(venues: &Path, id: &str) -> Result<RuleSet, Vec<Problem>> {
    let file = rules_file_name(id);
    let bytes = read(&venues.join(&file)).map_err(|why| vec![Problem::new(why).at(file)])?;
    parse_rules(id, &bytes)
}

/// A venue opens again only where its league's rules lie beside it.
pub(crate) fn rules_lie_beside(venues: &Path, rules: &RuleSet) -> Result<()> {
    if RuleSet::find(&rules.id).is_some() {
        return Ok(());
    }
    let same = own_rule_set(venues, &rules.id).is_ok_and(|found| found == *rules);
    if !same {
        bail!(
            "a venue finds its league's rules beside it: put {} into {} first",
            rules_file_name(&rules.id),
            venues.display()
        );
    }
    Ok(())
}

/// Opens a venue whole.
pub(crate) fn load(folder: &Path) -> Result<Venue> {
    let text = text(folder)?;
    open(&text, |name| read_named(folder, name))
        .map_err(|e| anyhow!("{e}"))
        .with_context(|| format!("the venue {} can't be opened", folder.join(VENUE_FILE).display()))
}

/// Puts a new venue in place: written whole beside, then renamed. A venue that is
/// there is never overwritten.
pub(crate) fn create(venues: &Path, id: &str, files: &Registered) -> Result<PathBuf> {
    let target = venues.join(id);
    if target.exists() {
        bail!(
            "{} is there already, and is left as it is: choose another --id, or say --replace to put this survey into it",
            target.display()
        );
    }
    fs::create_dir_all(venues).with_context(|| format!("making the folder {}", venues.display()))?;
    let beside = tempfile::Builder::new()
        .prefix(".registering-")
        .tempdir_in(venues)
        .with_context(|| format!("writing in {}", venues.display()))?;
    for (name, bytes) in &files.files {
        write_synced(&beside.path().join(name), bytes)?;
    }
    open_to_all(beside.path(), true)?;
    // Onto a folder that came to be meanwhile this fails, unless that one is empty.
    fs::rename(beside.path(), &target).with_context(|| format!("putting {} in place", target.display()))?;
    let _ = beside.keep();
    Ok(target)
}

/// Puts a new survey and fit into a venue that is there. The venue's file is
/// renamed into place last: until then the old one is whole.
pub(crate) fn update(folder: &Path, before: &str, files: &Registered) -> Result<()> {
    let lock = File::open(folder).with_context(|| format!("opening {}", folder.display()))?;
    match lock.try_lock() {
        Ok(()) => {}
        Err(fs::TryLockError::WouldBlock) => {
            bail!("{} is being written by another program: try again", folder.display());
        }
        // Not every file system can lock a folder.
        Err(fs::TryLockError::Error(_)) => {}
    }
    if text(folder)? != before {
        bail!("{} was changed meanwhile: look at it and run this again", folder.join(VENUE_FILE).display());
    }
    for (name, bytes) in &files.files {
        let path = folder.join(name);
        if name != VENUE_FILE && path.exists() {
            // Its name is its hash: the same name is the same file.
            if fs::read(&path).ok().as_deref() == Some(bytes) {
                continue;
            }
            bail!("{} is there and is not what its name says: put it right first", path.display());
        }
        let mut temporary = tempfile::NamedTempFile::new_in(folder)
            .with_context(|| format!("writing in {}", folder.display()))?;
        temporary
            .write_all(bytes)
            .and_then(|()| temporary.as_file().sync_all())
            .with_context(|| format!("writing {}", path.display()))?;
        open_to_all(temporary.path(), false)?;
        temporary.persist(&path).with_context(|| format!("putting {} in place", path.display()))?;
    }
    Ok(())
}

fn write_synced(path: &Path, bytes: &[u8]) -> Result<()> {
    let mut file = File::create_new(path).with_context(|| format!("writing {}", path.display()))?;
    file.write_all(bytes)
        .and_then(|()| file.sync_all())
        .with_context(|| format!("writing {}", path.display()))
}

/// Temporary files and folders are made for their owner's eyes alone; a league's records are not.
fn open_to_all(path: &Path, folder: bool) -> Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = if folder { 0o755 } else { 0o644 };
        fs::set_permissions(path, fs::Permissions::from_mode(mode))
            .with_context(|| format!("setting permissions of {}", path.display()))?;
    }
    #[cfg(not(unix))]
    let _ = (path, folder);
    Ok(())
}
