//! The few steps that writing is made of, in one place, so that a test can break any of them.

use std::fs::{self, File, Metadata};
use std::io::{self, Write};
use std::path::Path;

/// What is done to a disk. Each step is whole or an error.
pub(crate) trait Disk {
    /// Makes a folder that is not there.
    fn make_folder(&mut self, path: &Path) -> io::Result<()>;
    /// Writes a file that is not there, down to the disk itself; with the owner and the mode of another.
    fn write_new(&mut self, path: &Path, bytes: &[u8], like: Option<&Metadata>) -> io::Result<()>;
    /// Puts what is at `from` in the place of `to`, in one step.
    fn rename(&mut self, from: &Path, to: &Path) -> io::Result<()>;
    /// Sees to it that a folder's names are on the disk: without it a power cut can lose a new one.
    fn sync_folder(&mut self, path: &Path) -> io::Result<()>;
    /// Takes a file away, or a folder with what is in it; what is not there is gone already.
    fn remove(&mut self, path: &Path) -> io::Result<()>;
    /// Takes a folder away if nothing is in it.
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
                // Only the system's keeper may give a file away: to anyone else it is theirs.
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
                // Some file systems keep names safe by themselves and know no such call.
                Err(e) if matches!(e.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => {
                    Ok(())
                }
                other => other,
            }
        }
        // Elsewhere a folder can't be opened as a file.
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
