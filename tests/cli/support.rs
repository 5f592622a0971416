//! Running the program, and surveys made on the spot.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use ovalpeg::venue::above_end_mark;
use serde_json::Value;

/// What a run printed, and how it ended.
pub(crate) struct Run {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

pub(crate) fn demo(name: &str) -> String {
    root().join("venues").join(name).display().to_string()
}

/// Writes more into a venue file, above its end mark, as a person would.
pub(crate) fn add(toml: &str, more: &str) {
    let text = std::fs::read_to_string(toml).unwrap();
    std::fs::write(toml, above_end_mark(&text, more)).unwrap();
}

pub(crate) fn run(args: &[&str]) -> Run {
    run_in(Path::new("."), args)
}

/// A run in a folder, whose files can be named without it.
pub(crate) fn run_in(folder: &Path, args: &[&str]) -> Run {
    run_with(folder, &[], args)
}

/// The same with more in its environment.
pub(crate) fn run_with(folder: &Path, env: &[(&str, &str)], args: &[&str]) -> Run {
    let Output { status, stdout, stderr } = Command::new(env!("CARGO_BIN_EXE_ovalpeg"))
        .args(args)
        .current_dir(folder)
        .env_remove("OVALPEG_VENUES")
        .env_remove("COLUMNS")
        .envs(env.iter().copied())
        .output()
        .unwrap();
    Run {
        code: status.code().unwrap(),
        out: String::from_utf8(stdout).unwrap(),
        err: String::from_utf8(stderr).unwrap(),
    }
}

pub(crate) fn json(args: &[&str]) -> Value {
    let r = run(args);
    assert_eq!(r.code, 0, "{args:?}: {}", r.err);
    let value: Value = serde_json::from_str(&r.out).unwrap();
    assert_eq!(value["schema"], 1);
    value
}

/// A run that must be refused: exit code 2, nothing on standard output, no panic.
pub(crate) fn refused(args: &[&str]) -> String {
    let r = run(args);
    assert_eq!(r.code, 2, "{args:?}: {}{}", r.out, r.err);
    assert!(r.out.is_empty(), "{args:?} printed {}", r.out);
    assert!(r.err.starts_with("error:"), "{}", r.err);
    assert!(!r.err.contains("panicked"), "{}", r.err);
    r.err
}

pub(crate) struct Folder(tempfile::TempDir);

impl Folder {
    pub(crate) fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    pub(crate) fn path(&self) -> String {
        self.0.path().display().to_string()
    }

    pub(crate) fn file(&self, name: &str, text: &str) -> String {
        let path = self.0.path().join(name);
        std::fs::write(&path, text).unwrap();
        path.display().to_string()
    }

    /// Names of everything below, sorted.
    pub(crate) fn listing(&self) -> Vec<String> {
        fn walk(folder: &Path, below: &Path, out: &mut Vec<String>) {
            for entry in std::fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                out.push(path.strip_prefix(below).unwrap().display().to_string());
                if path.is_dir() {
                    walk(&path, below, out);
                }
            }
        }
        let mut out = Vec::new();
        walk(self.0.path(), self.0.path(), &mut out);
        out.sort();
        out
    }
}

/// Points of an ellipse whose long axis bears 20°, as `x,y`, with a wobble in place of noise.
pub(crate) fn oval(a: f64, b: f64, keep: impl Fn(f64, f64) -> bool) -> String {
    let mut csv = String::from("x,y,code\n");
    let (s, c) = 70f64.to_radians().sin_cos();
    for i in 0..90 {
        let t = (f64::from(i) * 4.0 + 1.3).to_radians();
        let wobble = 0.02 * (f64::from(i) * 1.7).sin();
        let (x, y) = ((a + wobble) * t.cos(), (b + wobble) * t.sin());
        if keep(x, y) {
            writeln!(csv, "{:.4},{:.4},", c * x - s * y, s * x + c * y).unwrap();
        }
    }
    csv
}

/// The eight posts of that oval.
pub(crate) fn posts(half_length: f64) -> String {
    let mut csv = String::new();
    let (s, c) = 70f64.to_radians().sin_cos();
    for x in [half_length, -half_length] {
        for (y, code) in [(9.6, "BP"), (3.2, "GP"), (-3.2, "GP"), (-9.6, "BP")] {
            writeln!(csv, "{:.4},{:.4},{code}", c * x - s * y, s * x + c * y).unwrap();
        }
    }
    csv
}
