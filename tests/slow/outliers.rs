//! Clean and spoilt surveys of every line and by every way, several of each: the short forms
//! beside what they need are in `tests/published/outliers.rs`.

use super::published_outliers::{clean_surveys, planted_blunders};

#[test]
fn clean_surveys_keep_all_their_points() {
    clean_surveys(10);
}

#[test]
fn planted_blunders_are_set_aside_and_hardly_anything_else() {
    planted_blunders(6);
}
