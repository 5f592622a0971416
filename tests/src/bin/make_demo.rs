//! Writes the demo league's surveys as received, or checks those on disk.
//!
//! `make-demo <folder of venues> [--check]`; with `--check` nothing is written, and
//! the exit code is 1 when a file differs, which is named.

use std::io::Write as _;
use std::path::Path;
use std::process::ExitCode;

use ovalpeg_tests::Failure;
use ovalpeg_tests::league::LEAGUE;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (check, folder) = match arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        [folder] if !folder.starts_with('-') => (false, folder),
        [folder, "--check"] | ["--check", folder] => (true, folder),
        _ => return say("usage: make-demo <folder of venues> [--check]", 2),
    };
    match run(Path::new(folder), check) {
        Ok(differ) if differ.is_empty() => ExitCode::SUCCESS,
        Ok(differ) => say(&differ.join("\n"), 1),
        Err(e) => say(&format!("error: {e}"), 2),
    }
}

fn say(text: &str, code: u8) -> ExitCode {
    // Nobody is left to tell when standard error is closed.
    let _ = writeln!(std::io::stderr(), "{text}");
    ExitCode::from(code)
}

/// Writes every file, or lists those that differ.
fn run(folder: &Path, check: bool) -> Result<Vec<String>, Failure> {
    let mut differ = Vec::new();
    for demo in &LEAGUE {
        for file in demo.received()? {
            let path = folder.join(&file.path);
            if check {
                match std::fs::read(&path) {
                    Ok(there) if there == file.bytes => {}
                    Ok(_) => differ.push(format!("{} differs from what is made", path.display())),
                    Err(e) => differ.push(format!("{}: {e}", path.display())),
                }
                continue;
            }
            if let Some(parent) = path.parent() {
                std::fs::create_dir_all(parent)?;
            }
            std::fs::write(&path, &file.bytes).map_err(|e| format!("{}: {e}", path.display()))?;
        }
    }
    Ok(differ)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A separate folder for each test, so that tests that run at the same time don't interfere.
    fn scratch(name: &str) -> std::path::PathBuf {
        let folder = std::env::temp_dir().join(format!("ovalpeg-make-demo-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        folder
    }

    #[test]
    fn what_is_written_checks_and_what_is_changed_is_named() {
        let folder = scratch("check");
        assert_eq!(run(&folder, true).unwrap().len(), 12);
        assert!(run(&folder, false).unwrap().is_empty());
        assert!(run(&folder, true).unwrap().is_empty());
        let changed = folder.join("lantern-hill/received/boundary.csv");
        std::fs::write(&changed, "lat,lon\n").unwrap();
        let differ = run(&folder, true).unwrap();
        assert_eq!(differ.len(), 1);
        assert!(differ[0].contains("lantern-hill/received/boundary.csv differs"), "{differ:?}");
        std::fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn the_venues_folder_holds_what_is_made() {
        let venues = Path::new(env!("CARGO_MANIFEST_DIR")).join("../venues");
        assert!(run(&venues, true).unwrap().is_empty(), "run make-demo -- venues");
    }
}
