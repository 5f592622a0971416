//! How long whole processes take: start, read, compute, print.
//!
//! `cargo bench -p ovalpeg-cli`

use std::path::Path;
use std::process::{Command, Stdio};

fn main() {
    divan::main();
}

/// `card` from a registered venue: under 20 ms.
#[divan::bench]
fn card(bencher: divan::Bencher<'_, '_>) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let venues = root.join("venues");
    let first = std::fs::read_dir(&venues)
        .expect("the demo league")
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.join("venue.toml").is_file())
        .min()
        .expect("a venue");
    bencher.bench(|| {
        let done = Command::new(env!("CARGO_BIN_EXE_ovalpeg"))
            .arg("card")
            .arg(&first)
            .stdout(Stdio::null())
            .status()
            .expect("the program runs");
        assert!(done.success());
    });
}
