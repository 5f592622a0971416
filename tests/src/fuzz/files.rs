//! Reads the fuzzer's files from disk: seeds, samples, and the demo league's files.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use crate::Failure;

fn tests() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The files of a folder, in the order of their names.
///
/// # Errors
/// Where the folder or a file in it can't be read, or the folder has no files.
pub(super) fn of(folder: &Path) -> Result<Vec<Vec<u8>>, Failure> {
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)
        .map_err(|e| format!("{}: {e}", folder.display()))?
        .flatten()
        .map(|e| e.path())
        .collect();
    paths.retain(|p| p.is_file());
    paths.sort();
    if paths.is_empty() {
        return Err(format!("{} holds no seeds", folder.display()).into());
    }
    paths.iter().map(|p| Ok(fs::read(p).map_err(|e| format!("{}: {e}", p.display()))?)).collect()
}

/// Seeds of a target.
///
/// # Errors
/// As [`of`].
pub(super) fn seeds(target: &str) -> Result<Vec<Vec<u8>>, Failure> {
    of(&tests().join("fuzz").join(target))
}

/// A sample that another program wrote.
///
/// # Errors
/// Where it can't be read.
pub(super) fn sample(name: &str) -> Result<Vec<u8>, Failure> {
    let path = tests().join("samples").join(name);
    Ok(fs::read(&path).map_err(|e| format!("{}: {e}", path.display()))?)
}

/// Every file of the demo league's venues by its name, except that each `venue.toml` has its folder's name.
///
/// # Errors
/// Where one can't be read.
pub(super) fn venues() -> Result<BTreeMap<String, Vec<u8>>, Failure> {
    let mut all = BTreeMap::new();
    let league = tests().join("..").join("venues");
    for folder in fs::read_dir(&league).map_err(|e| format!("{}: {e}", league.display()))?.flatten() {
        if !folder.path().is_dir() {
            continue;
        }
        for file in fs::read_dir(folder.path())?.flatten().filter(|f| f.path().is_file()) {
            let (name, venue) = (file.file_name(), folder.file_name());
            let name = if name == "venue.toml" { venue } else { name };
            all.insert(name.to_string_lossy().into_owned(), fs::read(file.path())?);
        }
    }
    Ok(all)
}
