//! An adjusted tape network as JSON.

use serde_json::{Value, json};

use super::super::json::pretty;
use super::network_text::{blunders, measure_name, reading_name, reading_place};
use crate::fit::SettledBook;
use crate::network::{ErrorEllipse, NetworkDatum, Observed, Verdict};
use crate::units::Problem;
use crate::units::print::{round_significant, round_to};

/// Coordinates and residuals are kept to a nanometre: they are compared, not printed.
const DECIMALS: i32 = 9;
/// Digits of statistics and covariances.
const DIGITS: i32 = 12;

fn number(v: f64) -> Value {
    json!(round_significant(v, DIGITS))
}

/// A network as a JSON object.
pub(super) fn network_value(b: &SettledBook) -> Value {
    let n = &b.network;
    let k = ErrorEllipse::factor_95();
    let marks: Vec<Value> = b
        .book
        .marks
        .iter()
        .zip(&n.marks)
        .enumerate()
        .map(|(i, (mark, at))| {
            let (xx, yy, xy) = n.mark_covariance(i);
            json!({
                "name": mark.name,
                "x_m": round_to(at.at.x, DECIMALS),
                "y_m": round_to(at.at.y, DECIMALS),
                "sd_x_m": number(at.sd_x_m),
                "sd_y_m": number(at.sd_y_m),
                "covariance_m2": [number(xx), number(yy), number(xy)],
                "ellipse": {
                    "semi_major_sd_m": number(at.ellipse.semi_major_m),
                    "semi_minor_sd_m": number(at.ellipse.semi_minor_m),
                    "semi_major_95_m": number(k * at.ellipse.semi_major_m),
                    "semi_minor_95_m": number(k * at.ellipse.semi_minor_m),
                    "bearing_deg": round_to(at.ellipse.bearing_deg, 6) % 180.0,
                },
                "fixed": mark.at_sd_m == Some(0.0),
                "from_another_survey": b.joined.iter().any(|j| j.0 == i),
            })
        })
        .collect();
    let readings: Vec<Value> = n
        .observations
        .iter()
        .map(|o| {
            json!({
                "what": reading_name(&b.book, o.what),
                "kind": match o.what {
                    Observed::Measure(_) => "measure",
                    Observed::East(_) | Observed::North(_) => "coordinate",
                    Observed::Scale(_) => "tape scale",
                },
                "place": reading_place(b, o.what),
                "read": number(o.read_m),
                "sd": number(o.sd_m),
                "adjusted": number(o.adjusted_m),
                "adjusted_sd": number(o.adjusted_sd_m),
                "residual": number(o.residual_m),
                "redundancy": number(o.redundancy),
                "standardised": o.w.map(number),
                "tau": o.tau.map(number),
                "detectable": o.detectable_m.map(number),
                "too_long_by": o.error_m.map(number),
            })
        })
        .collect();
    let set_aside: Vec<Value> =
        b.set_aside.iter().map(|s| blunder(b, s.what, s.too_long_m, s.statistic)).collect();
    json!({
        "placed": match n.datum {
            NetworkDatum::Held => "held",
            NetworkDatum::Pivot => "pivot",
            NetworkDatum::Free => "free",
        },
        "hand_assumed": n.hand_assumed,
        "degrees_of_freedom": n.dof,
        "m0": n.m0.map(number),
        "sd_factor_of_a_fit": number(b.sd_factor),
        "global_test": {
            "sum_of_squares": number(n.global.sum_of_squares),
            "low": number(n.global.low),
            "high": number(n.global.high),
            "verdict": match n.global.verdict {
                Verdict::Untested => "untested",
                Verdict::Agrees => "agrees",
                Verdict::TooSmall => "too small",
                Verdict::TooLarge => "too large",
            },
        },
        "marks": marks,
        "readings": readings,
        "tapes": n.tapes.iter().map(|t| json!({
            "tape": b.book.tapes.get(t.tape).map(|t| t.name.clone()),
            "too_long": number(t.too_long),
            "sd": number(t.sd),
        })).collect::<Vec<Value>>(),
        "set_aside": set_aside,
        "blunder": n.blunder.as_ref().map(|x| {
            let mut value = blunder(b, x.what, x.too_long_m, x.statistic);
            if let Some(map) = value.as_object_mut() {
                map.insert("critical".into(), number(x.critical));
                map.insert("alike".into(), x.alike.iter().map(|&o| json!(reading_name(&b.book, o))).collect());
            }
            value
        }),
        "in_words": blunders(b),
    })
}

fn blunder(b: &SettledBook, what: Observed, too_long: f64, statistic: f64) -> Value {
    json!({
        "what": match what {
            Observed::Measure(i) => measure_name(&b.book, i),
            other => reading_name(&b.book, other),
        },
        "place": reading_place(b, what),
        "too_long_m": number(too_long),
        "statistic": number(statistic),
    })
}

/// Adjusted networks, a notebook each.
#[must_use]
pub fn network_json(books: &[SettledBook], warnings: &[Problem]) -> String {
    pretty(&json!({
        "schema": 1,
        "networks": books.iter().map(network_value).collect::<Vec<Value>>(),
        "warnings": warnings.iter().map(ToString::to_string).collect::<Vec<String>>(),
    }))
}
