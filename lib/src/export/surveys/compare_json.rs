//! A comparison as JSON.

use serde::Serialize;

use super::super::json::{
    EndRow, MeasuredRow, NamedRow, Number, SCHEMA, bearing, m, measured, named, pretty,
};
use super::compare_text::{CompareSide, CompareTold};
use super::curve_json::significant;
use crate::compare::{Change, Comparison, Displacement, FALSE_ALARMS, StationChange, Stretch};
use crate::units::Problem;
use crate::units::print::{JSON_DEG_DECIMALS, JSON_M_DECIMALS};
use crate::venue::Names;

/// Digits of a probability.
const P_DIGITS: i32 = 4;

/// One of the two that are compared.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SideRow<'a> {
    name: &'a str,
    venue: Option<&'a str>,
    surveyed: Option<String>,
    place_sd_m: Number,
}

fn side(side: &CompareSide) -> SideRow<'_> {
    SideRow {
        name: &side.name,
        venue: side.venue.as_deref(),
        surveyed: side.surveyed.map(|d| d.to_string()),
        place_sd_m: m(side.place_sd_m),
    }
}

fn p(value: f64) -> Number {
    significant(value, P_DIGITS)
}

/// A size then and now.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ChangeRow {
    old: MeasuredRow,
    new: MeasuredRow,
    change: MeasuredRow,
    /// The least that would have been found.
    found_from: Number,
    p: Number,
    found: bool,
}

fn change(c: &Change, decimals: i32) -> ChangeRow {
    ChangeRow {
        old: MeasuredRow::to(&c.old, decimals),
        new: MeasuredRow::to(&c.new, decimals),
        change: MeasuredRow::to(&c.difference, decimals),
        found_from: Number::to(c.least, decimals),
        p: p(c.p),
        found: c.found,
    }
}

fn metres(c: &Change) -> ChangeRow {
    change(c, JSON_M_DECIMALS)
}

/// How far a place has moved.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct DisplacementRow {
    distance_m: MeasuredRow,
    east_m: MeasuredRow,
    north_m: MeasuredRow,
    bearing_true_deg: Option<Number>,
    found_from_m: Number,
    p: Number,
    found: bool,
}

fn displacement(d: &Displacement) -> DisplacementRow {
    DisplacementRow {
        distance_m: measured(&d.distance),
        east_m: measured(&d.east),
        north_m: measured(&d.north),
        bearing_true_deg: d.bearing.map(|b| bearing(b.degrees())),
        found_from_m: m(d.least_m),
        p: p(d.p),
        found: d.found,
    }
}

/// The line at one place.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct StationRow<'a> {
    #[serde(flatten)]
    named: NamedRow<'a>,
    from_post_m: Number,
    chainage_m: Number,
    outward_m: MeasuredRow,
    found_from_m: Number,
    p: Number,
    found: bool,
}

fn station<'a>(names: &'a Names, s: &StationChange) -> StationRow<'a> {
    let (end, from_post_m) = s.from_post();
    StationRow {
        named: named(names, s.side, end),
        from_post_m: m(from_post_m),
        chainage_m: m(s.chainage_m),
        outward_m: measured(&s.outward),
        found_from_m: m(s.least_m),
        p: p(s.p),
        found: s.found,
    }
}

/// A named spot.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct NearRow {
    spot: &'static str,
    end: EndRow,
}

/// A stretch of line that lies elsewhere than it did.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct StretchRow<'a> {
    #[serde(flatten)]
    named: NamedRow<'a>,
    from_m: Number,
    to_m: Number,
    whole_line: bool,
    most_outward_m: MeasuredRow,
    most_at_m: Number,
    most_at_chainage_m: Number,
    near: NearRow,
}

fn stretch<'a>(names: &'a Names, s: &Stretch) -> StretchRow<'a> {
    StretchRow {
        named: named(names, s.side, s.end),
        from_m: m(s.from_m),
        to_m: m(s.to_m),
        whole_line: s.whole_line,
        most_outward_m: measured(&s.most),
        most_at_m: m(s.most_at_m),
        most_at_chainage_m: m(s.most_chainage_m),
        near: NearRow { spot: s.near.0.name(), end: s.near.1.into() },
    }
}

/// How often something is found where nothing has changed.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct FalseAlarmsRow {
    together: f64,
    p_of_each: Number,
}

/// A comparison: `compare --json`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(in crate::export) struct CompareDocument<'a> {
    schema: u32,
    old: SideRow<'a>,
    new: SideRow<'a>,
    ends: &'a [String; 2],
    sides: &'a [String; 2],
    changed: bool,
    end_for_end: bool,
    length_m: ChangeRow,
    width_m: ChangeRow,
    half_width_left_m: ChangeRow,
    half_width_right_m: ChangeRow,
    goal_axis_deg: Option<ChangeRow>,
    centre: Option<DisplacementRow>,
    goal_a: Option<DisplacementRow>,
    goal_b: Option<DisplacementRow>,
    stretches: Vec<StretchRow<'a>>,
    stations: Vec<StationRow<'a>>,
    false_alarms: FalseAlarmsRow,
    warnings: Vec<String>,
}

/// A comparison as data.
#[must_use]
pub fn compare_json(told: &CompareTold<'_>, c: &Comparison) -> String {
    let names = told.names;
    let place = c.place.as_ref();
    pretty(&CompareDocument {
        schema: SCHEMA,
        old: side(told.old),
        new: side(told.new),
        ends: &names.ends,
        sides: &names.sides,
        changed: c.changed(),
        end_for_end: c.end_for_end,
        length_m: metres(&c.length),
        width_m: metres(&c.width),
        half_width_left_m: metres(&c.half_width_left),
        half_width_right_m: metres(&c.half_width_right),
        goal_axis_deg: place.map(|x| change(&x.axis_deg, JSON_DEG_DECIMALS)),
        centre: place.map(|x| displacement(&x.centre)),
        goal_a: place.map(|x| displacement(&x.goal_a)),
        goal_b: place.map(|x| displacement(&x.goal_b)),
        stretches: c.stretches.iter().map(|s| stretch(names, s)).collect(),
        stations: c.line.iter().map(|s| station(names, s)).collect(),
        false_alarms: FalseAlarmsRow { together: FALSE_ALARMS, p_of_each: p(c.p_of_each) },
        warnings: told.warnings.iter().map(Problem::to_string).collect(),
    })
}
