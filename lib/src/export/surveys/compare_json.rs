//! A comparison as JSON.

use serde_json::{Map, Value, json};

use super::super::json::{bearing, m, measured, measured_to, pretty};
use super::compare_text::{CompareSide, CompareTold};
use crate::boundary::{End, Side};
use crate::compare::{Change, Comparison, Displacement, FALSE_ALARMS, StationChange, Stretch};
use crate::units::print::{JSON_DEG_DECIMALS, JSON_M_DECIMALS, round_significant, round_to};
use crate::venue::Names;

/// Digits of a probability.
const P_DIGITS: i32 = 4;

fn side_told(side: &CompareSide) -> Value {
    json!({
        "name": side.name,
        "venue": side.venue,
        "surveyed": side.surveyed.map(|d| d.to_string()),
        "place_sd_m": m(side.place_sd_m),
    })
}

fn p(value: f64) -> Value {
    json!(round_significant(value, P_DIGITS))
}

fn change(c: &Change, decimals: i32) -> Value {
    json!({
        "old": measured_to(&c.old, decimals),
        "new": measured_to(&c.new, decimals),
        "change": measured_to(&c.difference, decimals),
        "found_from": round_to(c.least, decimals),
        "p": p(c.p),
        "found": c.found,
    })
}

fn displacement(d: &Displacement) -> Value {
    json!({
        "distance_m": measured(Some(&d.distance)),
        "east_m": measured(Some(&d.east)),
        "north_m": measured(Some(&d.north)),
        "bearing_true_deg": d.bearing.map(|b| bearing(b.degrees())),
        "found_from_m": m(d.least_m),
        "p": p(d.p),
        "found": d.found,
    })
}

fn named(names: &Names, side: Side, end: End) -> Map<String, Value> {
    let mut map = Map::new();
    map.insert("side".into(), json!(side.to_string()));
    map.insert("side_name".into(), json!(names.side(side)));
    map.insert("end".into(), json!(end.to_string()));
    map.insert("end_name".into(), json!(names.end(end)));
    map
}

fn station(names: &Names, s: &StationChange) -> Value {
    let (end, from_post_m) = if s.from_a_m <= s.to_b_m { (End::A, s.from_a_m) } else { (End::B, s.to_b_m) };
    let mut map = named(names, s.side, end);
    map.insert("from_post_m".into(), m(from_post_m));
    map.insert("chainage_m".into(), m(s.chainage_m));
    map.insert("outward_m".into(), measured(Some(&s.outward)));
    map.insert("found_from_m".into(), m(s.least_m));
    map.insert("p".into(), p(s.p));
    map.insert("found".into(), json!(s.found));
    map.into()
}

fn stretch(names: &Names, s: &Stretch) -> Value {
    let mut map = named(names, s.side, s.end);
    map.insert("from_m".into(), m(s.from_m));
    map.insert("to_m".into(), m(s.to_m));
    map.insert("whole_line".into(), json!(s.whole_line));
    map.insert("most_outward_m".into(), measured(Some(&s.most)));
    map.insert("most_at_m".into(), m(s.most_at_m));
    map.insert("most_at_chainage_m".into(), m(s.most_chainage_m));
    map.insert("near".into(), json!({ "spot": s.near.0.name(), "end": s.near.1.to_string() }));
    map.into()
}

/// A comparison as data.
#[must_use]
pub fn compare_json(told: &CompareTold<'_>, c: &Comparison) -> String {
    let names = told.names;
    let metres = |x: &Change| change(x, JSON_M_DECIMALS);
    pretty(&json!({
        "schema": 1,
        "old": side_told(told.old),
        "new": side_told(told.new),
        "ends": names.ends,
        "sides": names.sides,
        "changed": c.changed(),
        "end_for_end": c.end_for_end,
        "length_m": metres(&c.length),
        "width_m": metres(&c.width),
        "half_width_left_m": metres(&c.half_width_left),
        "half_width_right_m": metres(&c.half_width_right),
        "goal_axis_deg": c.place.map(|x| change(&x.axis_deg, JSON_DEG_DECIMALS)),
        "centre": c.place.map(|x| displacement(&x.centre)),
        "goal_a": c.place.map(|x| displacement(&x.goal_a)),
        "goal_b": c.place.map(|x| displacement(&x.goal_b)),
        "stretches": c.stretches.iter().map(|s| stretch(names, s)).collect::<Vec<_>>(),
        "stations": c.line.iter().map(|s| station(names, s)).collect::<Vec<_>>(),
        "false_alarms": { "together": FALSE_ALARMS, "p_of_each": p(c.p_of_each) },
        "warnings": told.warnings.iter().map(ToString::to_string).collect::<Vec<_>>(),
    }))
}
