//! Helpers that take the lines of a notebook apart.

use crate::units::ranges::READING_SD_M;
use crate::units::{Problem, print};

/// Longest measure, m: nothing on a ground is longer, but a mistyped measure may be.
pub(super) const MAX_M: f64 = 2_000.0;

pub(super) fn without_comment(line: &str) -> &str {
    line.split('#').next().unwrap_or("").trim().trim_start_matches('\u{feff}')
}

/// The parts before and after a word, if it occurs exactly once as a word by itself.
pub(super) fn split_word<'a>(text: &'a str, word: &str) -> Option<(&'a str, &'a str)> {
    let mut found = None;
    let mut from = 0;
    for part in text.split_inclusive(char::is_whitespace) {
        if part.trim_end().eq_ignore_ascii_case(word) {
            if found.is_some() {
                return None;
            }
            found = Some((from, from + part.len()));
        }
        from += part.len();
    }
    let (start, end) = found?;
    let (before, after) = (text.get(..start)?.trim(), text.get(end..)?.trim());
    (!before.is_empty() && !after.is_empty()).then_some((before, after))
}

/// A number of metres, with or without `m` after it.
pub(super) fn number(text: &str, what: &str) -> Result<f64, Problem> {
    let bare = text.trim();
    let unit = ["metres", "meters", "metre", "meter"].into_iter().find_map(|u| bare.strip_suffix(u));
    let bare = unit.or_else(|| bare.strip_suffix(['m', 'M'])).unwrap_or(bare).trim_end();
    match bare.parse::<f64>() {
        Ok(v) if v.is_finite() => Ok(v),
        _ => Err(Problem::new(format!("{what} {} is not a number of metres", print::quoted(text)))
            .hint("write 62.40, with a decimal point")),
    }
}

pub(super) fn positive(text: &str, what: &str) -> Result<f64, Problem> {
    let v = number(text, what)?;
    if v > 0.0 && v <= MAX_M {
        Ok(v)
    } else {
        Err(Problem::new(format!("{what} {} m is not between 0 and {MAX_M} m", print::fixed(v, 3)))
            .hint("metres, with a decimal point: was it left out, or a minus sign typed for a dash?"))
    }
}

pub(super) fn sd_of(text: &str) -> Result<f64, Problem> {
    let v = number(text, "sd")?;
    READING_SD_M.check(v)
}

/// Most bytes of the name of a mark or a tape.
const MAX_NAME: usize = 60;
/// A name that every message can hold: not long, and without what a terminal would obey.
pub(super) fn is_name(name: &str) -> bool {
    !name.is_empty() && name.len() <= MAX_NAME && print::for_terminal(name) == name
}
