//! One file that a person asked for: whole at its place, or not there.

use std::path::Path;

use anyhow::{Context, Result, bail};

use super::disk::Disk;
use super::is_there;
use super::write::fresh;

/// Writes a file, made whole beside its place and then put into it. What is there is left as it is, unless it is
/// to be replaced.
pub(crate) fn write_file(disk: &mut impl Disk, path: &Path, bytes: &[u8], replace: bool) -> Result<()> {
    let refuse = || -> Result<()> {
        if path.is_dir() {
            bail!("{} is a folder: name a file in it", path.display());
        }
        if !replace && is_there(path) {
            bail!(
                "{} is there already, and is left as it is: choose another name, or say --replace",
                path.display()
            );
        }
        Ok(())
    };
    refuse()?;
    let folder = path.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let writing = || format!("writing {}", path.display());
    let mut begun = None;
    let beside = fresh(folder, |beside| {
        begun = Some(beside.to_owned());
        disk.write_new(beside, bytes, None)
    });
    let put = beside.map_err(anyhow::Error::new).and_then(|beside| {
        // Another run may have been quicker.
        refuse()?;
        Ok(disk.rename(&beside, path)?)
    });
    if let Err(e) = put {
        if let Some(beside) = begun {
            // Half a file under a name that says so is all that can be left.
            let _ = disk.remove(&beside);
        }
        return Err(e).with_context(writing);
    }
    disk.sync_folder(folder).with_context(|| {
        super::Wrote(format!("{} was written, and the disk has not confirmed it", path.display()))
    })
}
