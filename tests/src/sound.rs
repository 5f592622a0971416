//! What must hold for every text that a person or a program may read: no NaN or infinity, no control
//! characters, no message longer than a few lines.

use ovalpeg::units::print::for_terminal;
use serde_json::Value;

use crate::whole::Text;

/// The greatest length of a refusal or a warning, characters.
pub const LONGEST: usize = 4_000;
/// The greatest number of lines of a refusal: the problems listed, and how many more there are.
pub const MOST_LINES: usize = 25;

/// JSON texts in which a null in place of a number is an error. In a card's JSON a null may mean that a
/// number does not apply; there the exporter itself asserts that no null comes from NaN.
const NUMBERS: [&str; 2] = ["fit.json", "kept fit"];

/// Keys of numbers that may be null in these texts, each with its reason.
const MAY_BE_NULL: [&str; 4] = [
    // Independent errors have no correlation length.
    "error_lasts_m",
    // No such curve fits.
    "rms_m",
    // A line that bends everywhere has no straight part.
    "straight_m",
    // A notebook may not say where north is.
    "goal_axis_bearing_deg",
];

/// What is wrong with a text.
#[must_use]
pub fn troubles(text: &Text) -> Vec<String> {
    let mut all: Vec<String> = no_number(&text.text).into_iter().chain(control(&text.text)).collect();
    if text.json {
        match serde_json::from_str::<Value>(&text.text) {
            Ok(value) if NUMBERS.contains(&text.name) => empty_numbers(&value, "", &mut all),
            Ok(_) => {}
            Err(e) => all.push(format!("it does not read as JSON: {e}")),
        }
    }
    all.sort();
    all.dedup();
    all.iter().map(|why| format!("{}: {why}", text.name)).collect()
}

/// Checks that nothing is wrong with these texts, which were made from an input.
///
/// # Errors
/// Everything that is wrong.
pub fn hold(texts: &[Text], input: &[u8]) -> Result<(), String> {
    // A text may quote the input, so a "NaN" there proves nothing.
    if no_number(&String::from_utf8_lossy(input)).is_some() {
        return Ok(());
    }
    let all: Vec<String> = texts.iter().flat_map(troubles).collect();
    if all.is_empty() { Ok(()) } else { Err(all.join("; ")) }
}

/// What is wrong with a refusal or a warning, if anything.
#[must_use]
pub fn trouble_of_words(words: &str) -> Option<String> {
    let (characters, lines) = (words.chars().count(), words.lines().count());
    if words.trim().is_empty() {
        return Some("it says nothing".into());
    }
    if characters > LONGEST || lines > MOST_LINES {
        return Some(format!("it has {characters} characters on {lines} lines"));
    }
    control(words)
}

/// A NaN or an infinity in the text, with its line.
#[must_use]
pub fn no_number(text: &str) -> Option<String> {
    let at = text
        .split(|c: char| !c.is_alphanumeric())
        .find(|w| ["nan", "inf", "infinity"].contains(&w.to_ascii_lowercase().as_str()))?;
    let line = text.lines().find(|l| l.contains(at))?;
    Some(format!("'{at}' in '{}'", line.trim()))
}

/// A character that a terminal would obey instead of showing it.
fn control(text: &str) -> Option<String> {
    let found =
        text.chars().find(|c| *c != '\n' && for_terminal(c.encode_utf8(&mut [0; 4])).len() > c.len_utf8())?;
    Some(format!("it holds {}", found.escape_unicode()))
}

/// Adds every null whose key ends in a unit.
fn empty_numbers(value: &Value, key: &str, out: &mut Vec<String>) {
    match value {
        Value::Null => {
            let number = ["_m", "_m2", "_deg", "_s", "value", "sd", "lo95", "hi95"];
            if number.iter().any(|n| key.ends_with(n)) && !MAY_BE_NULL.contains(&key) {
                out.push(format!("'{key}' is null"));
            }
        }
        Value::Array(list) if list.iter().any(Value::is_null) => out.push(format!("a null in '{key}'")),
        Value::Array(list) => list.iter().for_each(|v| empty_numbers(v, key, out)),
        Value::Object(map) => map.iter().for_each(|(k, v)| empty_numbers(v, k, out)),
        _ => {}
    }
}
