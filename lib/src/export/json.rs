//! JSON's small parts: rounded numbers, measured numbers, points, bearings.

use serde_json::{Value, json};

use crate::frame::Geodetic;
use crate::geometry::{Plane, Point};
use crate::units::Measured;
use crate::units::print::{JSON_DEG_DECIMALS, JSON_LATLON_DECIMALS, JSON_M_DECIMALS, is_obeyed, round_to};

/// Rounds a number. JSON has none that is no number, and would say null instead, as where a question
/// does not arise.
fn finite(value: f64, decimals: i32) -> f64 {
    debug_assert!(value.is_finite(), "a number for JSON is {value}");
    round_to(value, decimals)
}

/// Metres.
pub(super) fn m(value: f64) -> Value {
    json!(finite(value, JSON_M_DECIMALS))
}

/// Degrees.
pub(super) fn deg(value: f64) -> Value {
    json!(finite(value, JSON_DEG_DECIMALS))
}

/// A bearing in degrees: rounds first and wraps second.
pub(super) fn bearing(value: f64) -> Value {
    json!(finite(value, JSON_DEG_DECIMALS) % 360.0)
}

/// A measured number with so many decimals.
pub(super) fn measured_to(value: &Measured, decimals: i32) -> Value {
    json!({
        "value": finite(value.value(), decimals),
        "sd": finite(value.sd(), decimals),
        "lo95": finite(value.lo95(), decimals),
        "hi95": finite(value.hi95(), decimals),
    })
}

/// A measured number, or null.
pub(super) fn measured(value: Option<&Measured>) -> Value {
    value.map_or(Value::Null, |v| measured_to(v, JSON_M_DECIMALS))
}

/// A point as `x_m`, `y_m`.
pub(super) fn point<F: Plane>(p: Point<F>) -> Value {
    json!({ "x_m": m(p.x), "y_m": m(p.y) })
}

/// Adds latitude and longitude where they are known.
pub(super) fn with_place(mut value: Value, place: Option<Geodetic>) -> Value {
    if let (Some(map), Some(g)) = (value.as_object_mut(), place) {
        map.insert("lat_deg".into(), json!(finite(g.latitude_deg(), JSON_LATLON_DECIMALS)));
        map.insert("lon_deg".into(), json!(finite(g.longitude_deg(), JSON_LATLON_DECIMALS)));
    }
    value
}

/// As text with two blanks a level, ending in a newline. What a terminal would obey stands
/// in it as an escape, which reads back as the same text.
pub(super) fn pretty(value: &Value) -> String {
    let text = format!("{value:#}\n");
    if !text.chars().any(|c| c != '\n' && is_obeyed(c)) {
        return text;
    }
    // Outside its texts JSON is plain ASCII, and within them new lines are escaped already.
    text.chars()
        .map(|c| if c != '\n' && is_obeyed(c) { format!("\\u{:04x}", u32::from(c)) } else { c.to_string() })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_terminal_would_obey_is_escaped_and_reads_back() {
        let value = json!({ "name": "a\u{1b}\u{9b}2J\u{7f}\u{202e}b\n\u{2028}" });
        let text = pretty(&value);
        assert!(text.lines().all(|l| !l.chars().any(is_obeyed)), "{text:?}");
        assert_eq!(text.lines().count(), 3);
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), value);
    }
}
