//! Reads plain files only: reading a pipe that nobody writes to would hang, and a device may never end.

use std::fs::{self, File, Metadata};
use std::io::Read;
use std::path::Path;

/// What it is, where it is not a plain file.
fn special(found: &Metadata) -> Option<&'static str> {
    if found.is_file() {
        return None;
    }
    if found.is_dir() {
        return Some("a folder");
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        let kind = found.file_type();
        if kind.is_fifo() {
            return Some("a pipe");
        }
        if kind.is_socket() {
            return Some("a socket");
        }
        if kind.is_block_device() || kind.is_char_device() {
            return Some("a device");
        }
    }
    Some("no plain file")
}

/// The bytes of a plain file of at most `most` bytes, or why it can't be read.
pub(crate) fn read(path: &Path, most: usize) -> Result<Vec<u8>, String> {
    let refuse = |found: &Metadata| match special(found) {
        Some(what) => Err(format!("it is {what}, not a file")),
        None => Ok(()),
    };
    let words = |e: std::io::Error| {
        let link = fs::symlink_metadata(path).is_ok_and(|m| m.is_symlink());
        if link && e.kind() == std::io::ErrorKind::NotFound {
            "it is a link that leads nowhere".to_owned()
        } else {
            e.to_string()
        }
    };
    // Check before opening, since opening a pipe waits for a writer, and again afterwards, since it may have
    // changed.
    refuse(&fs::metadata(path).map_err(words)?)?;
    let opened = File::open(path).map_err(words)?;
    refuse(&opened.metadata().map_err(words)?)?;
    let mut bytes = Vec::new();
    opened.take(most as u64 + 1).read_to_end(&mut bytes).map_err(words)?;
    if bytes.len() > most {
        return Err(format!("it has more than the {most} bytes that are read"));
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_files_are_read_to_the_cap() {
        let f = tempfile::tempdir().unwrap();
        let path = f.path().join("a");
        fs::write(&path, "12345").unwrap();
        assert_eq!(read(&path, 5).unwrap(), b"12345");
        assert!(read(&path, 4).unwrap_err().contains("more than the 4 bytes"));
        assert!(read(f.path(), 5).unwrap_err().contains("a folder"));
        assert!(read(&f.path().join("b"), 5).is_err());
    }

    #[cfg(unix)]
    #[test]
    fn what_would_hang_or_never_end_is_refused() {
        let f = tempfile::tempdir().unwrap();
        let at = |name: &str| f.path().join(name);
        assert!(std::process::Command::new("mkfifo").arg(at("p")).status().unwrap().success());
        let _socket = std::os::unix::net::UnixListener::bind(at("s")).unwrap();
        std::os::unix::fs::symlink("/dev/zero", at("d")).unwrap();
        std::os::unix::fs::symlink(at("nowhere"), at("l")).unwrap();
        for (name, want) in [("p", "a pipe"), ("s", "a socket"), ("d", "a device"), ("l", "leads nowhere")] {
            let e = read(&at(name), 10).unwrap_err();
            assert!(e.contains(want), "{name}: {e}");
        }
    }
}
