//! JSON's small parts: rounded numbers, measured numbers, points, bearings, ends and sides.
//!
//! A document is a private row: a struct whose fields are its keys, in their order, and whose schema is
//! derived with it. Every number in it is a [`Number`], which is rounded where it is made.

use serde::Serialize;

use crate::boundary::{End, Side};
use crate::frame::Geodetic;
use crate::geometry::{Plane, Point};
use crate::units::Measured;
use crate::units::print::{JSON_DEG_DECIMALS, JSON_LATLON_DECIMALS, JSON_M_DECIMALS, is_obeyed, round_to};
use crate::venue::Names;

/// The form of every document.
pub(super) const SCHEMA: u32 = 1;

/// A number, rounded.
#[derive(Serialize, Clone, Copy)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(transparent)]
pub(super) struct Number(f64);

impl Number {
    /// With so many decimals. JSON has none that is no number, and would say null instead, as where a
    /// question does not arise.
    pub(super) fn to(value: f64, decimals: i32) -> Self {
        debug_assert!(value.is_finite(), "a number for JSON is {value}");
        Self(round_to(value, decimals))
    }

    /// One that is rounded already, or that has every digit that a person wrote.
    pub(super) fn as_given(value: f64) -> Self {
        Self(value)
    }

    /// A rounded angle that is a whole turn is none.
    pub(super) fn wrapped(self, turn: f64) -> Self {
        Self(self.0 % turn)
    }
}

/// Metres.
pub(super) fn m(value: f64) -> Number {
    Number::to(value, JSON_M_DECIMALS)
}

/// Degrees.
pub(super) fn deg(value: f64) -> Number {
    Number::to(value, JSON_DEG_DECIMALS)
}

/// A bearing in degrees: rounds first and wraps second.
pub(super) fn bearing(value: f64) -> Number {
    deg(value).wrapped(360.0)
}

/// A measured number: one standard deviation, and the ends of the 95 % interval.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct MeasuredRow {
    value: Number,
    sd: Number,
    lo95: Number,
    hi95: Number,
}

impl MeasuredRow {
    /// With so many decimals.
    pub(super) fn to(value: &Measured, decimals: i32) -> Self {
        let to = |v| Number::to(v, decimals);
        Self { value: to(value.value()), sd: to(value.sd()), lo95: to(value.lo95()), hi95: to(value.hi95()) }
    }
}

/// A measured number with the decimals of metres.
pub(super) fn measured(value: &Measured) -> MeasuredRow {
    MeasuredRow::to(value, JSON_M_DECIMALS)
}

/// A measured number, or null.
pub(super) fn measured_or_null(value: Option<&Measured>) -> Option<MeasuredRow> {
    value.map(measured)
}

/// A point of a plane, metres.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct PointRow {
    x_m: Number,
    y_m: Number,
}

/// A point as `x_m`, `y_m`.
pub(super) fn point<F: Plane>(p: Point<F>) -> PointRow {
    PointRow { x_m: m(p.x), y_m: m(p.y) }
}

/// Latitude and longitude, where they are known.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct LatLonRow {
    #[serde(skip_serializing_if = "Option::is_none")]
    lat_deg: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    lon_deg: Option<Number>,
}

impl LatLonRow {
    /// With so many decimals more than a place has.
    pub(super) fn finer(place: Option<Geodetic>, more: i32) -> Self {
        let to = |v| Number::to(v, JSON_LATLON_DECIMALS + more);
        Self { lat_deg: place.map(|g| to(g.latitude_deg())), lon_deg: place.map(|g| to(g.longitude_deg())) }
    }
}

/// A point of the ground, metres, with its place on Earth where that is known.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct PlacedRow {
    x_m: Number,
    y_m: Number,
    #[serde(flatten)]
    place: LatLonRow,
}

/// A point with its place.
pub(super) fn with_place<F: Plane>(p: Point<F>, place: Option<Geodetic>) -> PlacedRow {
    PlacedRow { x_m: m(p.x), y_m: m(p.y), place: LatLonRow::finer(place, 0) }
}

/// An end of the ground.
#[derive(Serialize, Clone, Copy)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) enum EndRow {
    A,
    B,
}

impl From<End> for EndRow {
    fn from(end: End) -> Self {
        match end {
            End::A => Self::A,
            End::B => Self::B,
        }
    }
}

/// A side of the ground, of a person at the centre who faces end A.
#[derive(Serialize, Clone, Copy)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub(super) enum SideRow {
    Left,
    Right,
}

impl From<Side> for SideRow {
    fn from(side: Side) -> Self {
        match side {
            Side::Left => Self::Left,
            Side::Right => Self::Right,
        }
    }
}

/// A side and an end, with their names.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct NamedRow<'a> {
    side: SideRow,
    side_name: &'a str,
    end: EndRow,
    end_name: &'a str,
}

/// A side and an end by a venue's names.
pub(super) fn named(names: &Names, side: Side, end: End) -> NamedRow<'_> {
    NamedRow { side: side.into(), side_name: names.side(side), end: end.into(), end_name: names.end(end) }
}

/// As text with two blanks a level, ending in a newline. What a terminal would obey stands
/// in it as an escape, which reads back as the same text.
pub(super) fn pretty<T: Serialize>(row: &T) -> String {
    // Keys are texts and numbers are doubles, so nothing can fail.
    let text = serde_json::to_string_pretty(row).unwrap_or_default() + "\n";
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
    use serde_json::{Value, json};

    #[test]
    fn what_a_terminal_would_obey_is_escaped_and_reads_back() {
        let value = json!({ "name": "a\u{1b}\u{9b}2J\u{7f}\u{202e}b\n\u{2028}" });
        let text = pretty(&value);
        assert!(text.lines().all(|l| !l.chars().any(is_obeyed)), "{text:?}");
        assert_eq!(text.lines().count(), 3);
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), value);
    }
}
