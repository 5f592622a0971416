//! Thousands of surveys that fix nothing, or hardly anything.

use ovalpeg_tests::degenerate::{by_chance, table, wrong};
use ovalpeg_tests::random::Random;
use ovalpeg_tests::sound::troubles;
use ovalpeg_tests::whole::cards;

/// Surveys by chance; a fit of one takes some 20 ms.
const SURVEYS: usize = 4_000;

#[test]
fn every_degenerate_survey_by_chance_ends_in_words_or_in_numbers() {
    let mut random = Random::named(160_130, "degenerate");
    let (mut fitted, mut wrongs) = (0, Vec::new());
    for _ in 0..SURVEYS {
        let case = by_chance(&mut random);
        let ended = case.ends();
        let mut here = wrong(&ended);
        if let Ok(whole) = &ended {
            fitted += 1;
            here.extend(cards(&whole.venue).unwrap().iter().flat_map(troubles));
        }
        wrongs.extend(here.into_iter().map(|why| format!("{}: {why}", case.name)));
    }
    assert!(wrongs.is_empty(), "{} of {SURVEYS}:\n{}", wrongs.len(), wrongs.join("\n"));
    assert!(fitted > SURVEYS / 20, "{fitted} of {SURVEYS}");
}

#[test]
fn every_degenerate_survey_ends_in_words_or_in_numbers() {
    let cases = table();
    let (mut fitted, mut wrongs) = (0, Vec::new());
    for case in &cases {
        let ended = case.ends();
        fitted += usize::from(ended.is_ok());
        let mut here = wrong(&ended);
        // A card takes as long as a fit: some are enough.
        if let (Ok(whole), 0) = (&ended, fitted % 5) {
            here.extend(cards(&whole.venue).unwrap().iter().flat_map(troubles));
        }
        wrongs.extend(here.into_iter().map(|why| format!("{}: {why}", case.name)));
    }
    assert!(wrongs.is_empty(), "{} of {}:\n{}", wrongs.len(), cases.len(), wrongs.join("\n"));
    // Both ways are trodden.
    assert!(fitted > 100 && cases.len() - fitted > 100, "{fitted} of {}", cases.len());
}
