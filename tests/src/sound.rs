//! What must hold of every text that a person or a program may read: numbers where numbers
//! belong, no control characters, no message longer than a few lines.

use ovalpeg::units::print::for_terminal;
use serde_json::Value;

use crate::whole::Text;

/// Most characters of a refusal or a warning.
pub const LONGEST: usize = 4_000;
/// Most lines of a refusal: the problems listed, and how many more there are.
pub const MOST_LINES: usize = 25;

/// Keys of numbers that may be left empty, each for its reason.
const MAY_BE_NULL: [&str; 20] = [
    // Nobody said it, and nothing depends on it.
    "line_width_m",
    // Errors that do not run on last no way at all.
    "error_lasts_m",
    // No such curve fits.
    "rms_m",
    // A line that bends all along has no straight part.
    "straight_m",
    // A ground in its own plane lies nowhere on the Earth.
    "declination_deg",
    "magnetic_deg",
    // Nothing in a notebook tells where north is.
    "goal_axis_bearing_deg",
    // Arc and square overlap, or one of them is not there.
    "arc_to_square_gap_m",
    "arc_top_angle_deg",
    // At a post nobody stands back along the line.
    "back_m",
    "chord_angle_deg",
    "off_tangent_deg",
    // Nothing is near.
    "spare_run_off_m",
    "crossed_inside_m",
    // How high a landmark is was not said.
    "height_m",
    // Where the advice is no place to stand, it has no metres.
    "outside_line_m",
    "least_back_m",
    // A stop of the walk round that is a thing and no measure.
    "distance_m",
    // Where there is no square there is no corner of it.
    "beyond_corner_m",
    // No landmark is faced.
    "off_deg",
];

/// What is wrong with a text.
#[must_use]
pub fn troubles(text: &Text) -> Vec<String> {
    let mut all: Vec<String> = no_number(&text.text).into_iter().chain(control(&text.text)).collect();
    if text.json {
        match serde_json::from_str::<Value>(&text.text) {
            Ok(value) => empty_numbers(&value, "", &mut all),
            Err(e) => all.push(format!("it does not read as JSON: {e}")),
        }
    }
    all.sort();
    all.dedup();
    all.iter().map(|why| format!("{}: {why}", text.name)).collect()
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

/// A word that a computer says where it has no number, with its line.
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

/// Every null at a key that ends in a unit.
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
