//! A venue file that was cut off never opens with something missing: it is refused, or it is still complete.

#![allow(clippy::unwrap_used, reason = "a demo venue that can't be read must fail the test")]

use std::fs;
use std::path::{Path, PathBuf};

use ovalpeg::venue::{Document, END_MARK, open};

fn venues() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../venues");
    let mut all: Vec<PathBuf> = fs::read_dir(root)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.join("venue.toml").is_file())
        .collect();
    all.sort();
    assert!(all.len() >= 6, "the demo league");
    all
}

#[test]
fn a_demo_venue_cut_at_any_byte_is_refused_or_whole() {
    for folder in venues() {
        let text = fs::read_to_string(folder.join("venue.toml")).unwrap();
        let name = folder.display();
        let whole = Document::parse(&text).unwrap();
        let mut kept = 0;
        for at in 0..text.len() {
            // A cut inside a character leaves no UTF-8, which is refused before this point.
            let Some(cut) = text.get(..at) else { continue };
            match Document::parse(cut) {
                Ok(d) => {
                    assert_eq!(d, whole, "{name} cut at {at}");
                    kept += 1;
                }
                Err(problems) => assert!(!problems.is_empty(), "{name} cut at {at}"),
            }
        }
        // Only the end of the last line may be missing.
        assert_eq!(kept, text.len() - text.rfind(END_MARK).unwrap() - END_MARK.len(), "{name}");
    }
}

/// Cut between two tables, what is left is valid TOML, and only the missing end mark shows the cut.
#[test]
fn a_cut_between_tables_is_told_with_its_remedy() {
    let mut told = 0;
    for folder in venues() {
        let text = fs::read_to_string(folder.join("venue.toml")).unwrap();
        let rules = text.find("[rules]").unwrap();
        for (at, _) in text.match_indices("\n\n[").filter(|(at, _)| *at > rules) {
            let cut = &text[..=at];
            if cut.contains(END_MARK) {
                continue;
            }
            let e = open(cut, |name| fs::read(folder.join(name)).map_err(|e| e.to_string())).unwrap_err();
            let [only] = e.problems() else { panic!("{e}") };
            assert!(only.message().contains("ends before its end mark: it was cut off"), "{e}");
            assert!(only.remedy().unwrap().contains(END_MARK), "{e}");
            told += 1;
        }
    }
    assert!(told > 50, "{told}");
}
