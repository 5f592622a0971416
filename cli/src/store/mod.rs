//! Venue folders: finds, opens and writes them. A venue is either written completely or not at all.
//!
//! | file | idea |
//! | --- | --- |
//! | `regular` | reads plain files only, so that reading can't hang or go on without end |
//! | `disk` | the elementary steps of writing, so that a test can make any of them fail |
//! | `held` | locks a folder while it is written, and removes what a killed run left |
//! | `single` | writes a file that a person asked for |
//! | `write` | writes a new venue, or a new survey into an existing one |

mod disk;
mod held;
mod regular;
mod single;
mod write;

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Error, Result, anyhow, bail};
use ovalpeg::rules::RuleSet;
use ovalpeg::units::ranges::FILE_BYTES;
use ovalpeg::units::{Problem, Refused};
use ovalpeg::venue::{Venue, find_rules, open, parse_rules, rules_file_id, rules_file_name};

use crate::output;

pub(crate) use disk::Real;
pub(crate) use regular::read;
pub(crate) use single::write_file;
pub(crate) use write::{Wrote, create, refuse_taken, update};

/// The file that people edit.
pub(crate) const VENUE_FILE: &str = "venue.toml";

/// The folder of a venue named on the command line: a short name in the venue
/// folder, or a path to its folder or its `venue.toml`.
pub(crate) fn folder(venues: &Path, name: &str) -> Result<PathBuf> {
    let path = Path::new(name);
    if path.file_name().is_some_and(|f| f == VENUE_FILE) && is_there(path) && !path.is_dir() {
        return Ok(path.parent().unwrap_or(Path::new(".")).to_owned());
    }
    let is_path = name.contains(['/', '\\']) || name.starts_with('.');
    let candidate = if is_path { path.to_owned() } else { venues.join(name) };
    // Whatever has the file's name will do here: opening it reports what is wrong with it.
    if is_there(&candidate.join(VENUE_FILE)) {
        return Ok(candidate);
    }
    if !is_path && is_there(&path.join(VENUE_FILE)) {
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

/// Does anything exist there, even if only a broken link?
fn is_there(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// Short names of the venues in a folder.
pub(crate) fn known(venues: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(venues)
        .into_iter()
        .flatten()
        .flatten()
        .filter(|e| e.path().join(VENUE_FILE).is_file())
        .filter_map(|e| e.file_name().into_string().ok())
        .filter(|name| !name.starts_with('.'))
        .collect();
    names.sort();
    names
}

/// The text of a venue's file.
pub(crate) fn text(folder: &Path) -> Result<String> {
    let path = folder.join(VENUE_FILE);
    let bytes = file(&path).map_err(|e| anyhow!("{}: {e}", path.display()))?;
    String::from_utf8(bytes).map_err(|_| anyhow!("{} is not UTF-8 text", path.display()))
}

/// The bytes of a file of a venue.
pub(crate) fn file(path: &Path) -> Result<Vec<u8>, String> {
    read(path, FILE_BYTES.most())
}

/// The bytes of a file that a venue names: it lies beside venue.toml, or, for a league's rules, beside the
/// venue's folder.
pub(crate) fn named(folder: &Path, name: &str) -> Result<Vec<u8>, String> {
    if rules_file_id(name).is_none() {
        return file(&folder.join(name));
    }
    // A relative path of one part, or `.`, has no parent that can be opened by name.
    let beside = match folder.parent() {
        Some(parent) if folder.file_name().is_some() && !parent.as_os_str().is_empty() => parent.join(name),
        _ => folder.join("..").join(name),
    };
    file(&beside)
}

/// A rule set: by the name of a built-in one or of a league's in the folder of venues, or by the path of a
/// league's file.
pub(crate) fn rule_set(venues: &Path, name: &str) -> Result<RuleSet> {
    let path = Path::new(name);
    let id = path.file_name().and_then(|f| f.to_str()).and_then(rules_file_id);
    let found = match id {
        Some(id) => match file(path) {
            Ok(bytes) => parse_rules(id, &bytes),
            Err(why) => bail!("{}: {why}", path.display()),
        },
        None => find_rules(name, &mut |of| file(&venues.join(of))),
    };
    found.map_err(|problems| Error::new(Refused::new(problems)))
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

/// One league's rule set.
pub(crate) fn own_rule_set(venues: &Path, id: &str) -> Result<RuleSet, Vec<Problem>> {
    let name = rules_file_name(id);
    let bytes = file(&venues.join(&name)).map_err(|why| vec![Problem::new(why).at(name)])?;
    parse_rules(id, &bytes)
}

/// Refuses a league's rule set whose file is not in the folder of venues: a venue under it would not open
/// again.
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

/// Opens a venue.
pub(crate) fn load(folder: &Path) -> Result<Venue> {
    let text = text(folder)?;
    let path = folder.join(VENUE_FILE);
    let venue = open(&text, |name| named(folder, name))
        .with_context(|| format!("the venue {} can't be opened", path.display()))?;
    if let Some(p) = venue.document.outdated() {
        output::note(&format!("warning: {}", p.at(path.display().to_string())));
    }
    Ok(venue)
}

#[cfg(test)]
mod faults;
