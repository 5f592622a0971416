//! Measures how large the library is in a web page: a module for a browser with everything that a phone page
//! for registered venues would ask. It is not a product. `.ci/page-sizes` builds it for each set of features,
//! and fails where one is over its limit.
//!
//! Bytes go in and text comes out. [`Files`] are the bytes of the venue's files, or of surveys; a question is
//! a line of words. With the fewest features every answer is computed in full, but its text is empty, since a
//! real page would draw the values itself. [`door`] has the functions that a browser calls.

pub mod door;
#[cfg(feature = "json")]
mod json;
mod questions;
#[cfg(feature = "survey")]
mod surveys;
#[cfg(feature = "texts")]
mod texts;

use std::collections::BTreeMap;

/// The bytes of files by their names.
pub type Files = BTreeMap<String, Vec<u8>>;

type Answer = fn(&Files, &[&str]) -> Option<Result<String, String>>;

/// The modules that answer questions.
const ROOMS: &[Answer] = &[
    questions::answer,
    #[cfg(feature = "json")]
    json::answer,
    #[cfg(feature = "texts")]
    texts::answer,
    #[cfg(feature = "survey")]
    surveys::answer,
];

/// The answer to a question in words. The modules in `ROOMS` list the questions.
///
/// # Errors
/// What went wrong, in words for a person.
pub fn answer(files: &Files, question: &str) -> Result<String, String> {
    let words: Vec<&str> = question.split_whitespace().collect();
    ROOMS
        .iter()
        .find_map(|room| room(files, &words))
        .unwrap_or_else(|| Err(format!("no question: {question}")))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test that can't go on must fail")]

    use std::fs;
    use std::path::Path;

    use super::*;

    fn root() -> &'static Path {
        Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
    }

    fn demo(id: &str) -> Files {
        let folder = fs::read_dir(root().join("venues").join(id)).unwrap();
        let league = fs::read_dir(root().join("venues")).unwrap();
        let files = folder.chain(league).map(|e| e.unwrap().path()).filter(|p| p.is_file());
        files.map(|p| (p.file_name().unwrap().to_str().unwrap().to_owned(), fs::read(&p).unwrap())).collect()
    }

    const VENUES: [&str; 6] = [
        "cockatoo-hollow",
        "lantern-hill",
        "pelican-gutter",
        "quandong-crossing",
        "saltbush-siding",
        "stringybark-gap",
    ];

    const QUESTIONS: [&str; 9] = [
        "card 2026-08-01",
        "sheet 2026-08-01",
        "stations 2026-08-01",
        "play 2026-08-01 20 30 14:30",
        "throw-in 2026-08-01 100",
        "over 0 90 kick",
        "rules",
        "rule-sets",
        "calls",
    ];

    #[test]
    fn every_question_about_every_demo_venue_has_an_answer() {
        for id in VENUES {
            let files = demo(id);
            for question in QUESTIONS {
                assert_eq!(answer(&files, question), Ok(String::new()), "{id}: {question}");
            }
        }
        assert!(answer(&Files::new(), "card 2026-08-01").unwrap_err().contains("venue.toml"));
        assert!(answer(&Files::new(), "tea").is_err());
    }

    #[cfg(feature = "json")]
    #[test]
    fn every_answer_is_told_as_json() {
        for id in VENUES {
            let files = demo(id);
            for question in QUESTIONS {
                let (name, rest) = question.split_once(' ').unwrap_or((question, ""));
                let told = answer(&files, &format!("{name}-json {rest}"));
                assert!(told.as_ref().is_ok_and(|t| t.starts_with(['{', '['])), "{id}: {question}: {told:?}");
            }
        }
    }

    /// The texts are the same with the library's fewest features as with all of them.
    #[cfg(feature = "texts")]
    #[test]
    fn a_page_tells_what_the_program_prints() {
        for id in VENUES {
            let files = demo(id);
            for face in ["card", "short"] {
                let kept = root().join("tests/cli/golden").join(format!("{id}.{face}.txt"));
                let told = answer(&files, &format!("{face}-text 2026-08-01")).unwrap();
                assert_eq!(told, fs::read_to_string(kept).unwrap(), "{id} {face}");
            }
        }
    }
}
