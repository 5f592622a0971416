//! Thousands of surveys that fix nothing, or hardly anything.

use ovalpeg_tests::degenerate::{by_chance, endings, table};
use ovalpeg_tests::random::Random;

/// Surveys by chance; a fit of one takes some 20 ms.
const SURVEYS: usize = 4_000;

#[test]
fn every_degenerate_survey_by_chance_ends_in_words_or_in_numbers() {
    let mut random = Random::named(160_130, "degenerate");
    let all = endings((0..SURVEYS).map(|_| by_chance(&mut random)), 1).unwrap();
    assert!(all.wrongs.is_empty(), "{} of {SURVEYS}:\n{}", all.wrongs.len(), all.wrongs.join("\n"));
    assert!(all.fitted > SURVEYS / 20, "{} of {SURVEYS}", all.fitted);
}

#[test]
fn every_degenerate_survey_ends_in_words_or_in_numbers() {
    let all = endings(table(), 5).unwrap();
    assert!(all.wrongs.is_empty(), "{} of {}:\n{}", all.wrongs.len(), all.surveys, all.wrongs.join("\n"));
    // Both ways are trodden.
    assert!(all.fitted > 100 && all.surveys - all.fitted > 100, "{} of {}", all.fitted, all.surveys);
}
