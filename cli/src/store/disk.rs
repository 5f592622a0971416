//! The elementary steps of writing, in one place, so that a test can make any of them fail.

use std::fs::{self, File, Metadata};
use std::io::{self, Write};
use std::path::Path;

/// The steps of writing to a disk. Each one either succeeds or returns an error.
pub(crate) trait Disk {
    /// Makes a new folder.
    fn make_folder(&mut self, path: &Path) -> io::Result<()>;
    /// Writes a new file and syncs it to the disk, with the owner and mode in `like` if given.
    fn write_new(&mut self, path: &Path, bytes: &[u8], like: Option<&Metadata>) -> io::Result<()>;
    /// Moves what is at `from` to `to` in one step, and replaces what was there.
    fn rename(&mut self, from: &Path, to: &Path) -> io::Result<()>;
    /// Syncs a folder's list of names to the disk: without that a power cut can lose a new name.
    fn sync_folder(&mut self, path: &Path) -> io::Result<()>;
    /// Removes a file, or a folder with its contents. That it does not exist is no error.
    fn remove(&mut self, path: &Path) -> io::Result<()>;
    /// Removes a folder if it is empty.
    fn remove_empty(&mut self, path: &Path) -> io::Result<()>;
}

/// The disk of this machine.
pub(crate) struct Real;

impl Disk for Real {
    fn make_folder(&mut self, path: &Path) -> io::Result<()> {
        fs::create_dir(path)
    }

    fn write_new(&mut self, path: &Path, bytes: &[u8], like: Option<&Metadata>) -> io::Result<()> {
        let mut file = File::create_new(path)?;
        file.write_all(bytes)?;
        if let Some(like) = like {
            #[cfg(unix)]
            {
                use std::os::unix::fs::{MetadataExt, fchown};
                // Only root may change a file's owner: for anyone else this fails and the file stays theirs.
                let _ = fchown(&file, Some(like.uid()), Some(like.gid()));
            }
            file.set_permissions(like.permissions())?;
        }
        file.sync_all()
    }

    fn rename(&mut self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn sync_folder(&mut self, path: &Path) -> io::Result<()> {
        #[cfg(unix)]
        {
            let path = if path.as_os_str().is_empty() { Path::new(".") } else { path };
            match File::open(path)?.sync_all() {
                // Some file systems don't support this call; they keep names safe by themselves.
                Err(e) if matches!(e.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => {
                    Ok(())
                }
                other => other,
            }
        }
        // On other systems a folder can't be opened as a file.
        #[cfg(not(unix))]
        {
            let _ = path;
            Ok(())
        }
    }

    fn remove(&mut self, path: &Path) -> io::Result<()> {
        let gone = match fs::symlink_metadata(path) {
            Ok(m) if m.is_dir() => fs::remove_dir_all(path),
            Ok(_) => fs::remove_file(path),
            Err(e) => Err(e),
        };
        match gone {
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(()),
            other => other,
        }
    }

    fn remove_empty(&mut self, path: &Path) -> io::Result<()> {
        fs::remove_dir(path)
    }
}
