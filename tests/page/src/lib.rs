//! A page's door to the library, to weigh it: what a phone page for registered venues would ask, as a module
//! for a browser. It is a gauge and no product: `.ci/page-sizes` builds it for each set of features, and holds
//! the smallest to its limit.
//!
//! Bytes go in and text comes out. [`Files`] are the bytes of the venue's files, or of surveys; a question is a
//! line of words. [`door`] hands both over from a browser.

pub mod door;
mod questions;
#[cfg(feature = "survey")]
mod surveys;

use std::collections::BTreeMap;

/// The bytes of files by their names.
pub type Files = BTreeMap<String, Vec<u8>>;

/// The answer to a question in words; see the `match` in `questions.rs` for what can be asked.
///
/// # Errors
/// What went wrong, for a person.
pub fn answer(files: &Files, question: &str) -> Result<String, String> {
    let words: Vec<&str> = question.split_whitespace().collect();
    #[cfg(feature = "survey")]
    if let Some(told) = surveys::answer(files, &words) {
        return told;
    }
    questions::answer(files, &words)
}
