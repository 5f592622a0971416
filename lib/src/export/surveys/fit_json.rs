//! A fit as JSON.

use serde_json::{Value, json};

use super::super::json::{measured_to, pretty};
use super::fit_text::FitTold;
use crate::briefing::Summary;
use crate::fit::{AxisFrom, Common, Curve, Fit, Why};
use crate::frame::LocalPlane;
use crate::geometry::Model;
use crate::numeric::Covariance;
use crate::survey::{Finding, LocalSurvey};
use crate::units::print::{JSON_LATLON_DECIMALS, JSON_M_DECIMALS, round_significant, round_to};
use crate::units::{Measured, Problem};

/// A fit's own numbers are kept to a tenth of a nanometre: they are compared with
/// other fits, not printed.
const DECIMALS: i32 = 10;
/// Digits of a covariance.
const DIGITS: i32 = 12;

fn curve_part(curve: &Curve, told: &FitTold<'_>) -> Value {
    let survey = told.survey;
    let e = &curve.ellipse;
    let long = (90.0 - e.turn_deg()).rem_euclid(180.0);
    let n = curve.covariance.size();
    let matrix: Vec<Vec<f64>> = (0..n)
        .map(|i| (0..n).map(|j| round_significant(curve.covariance.get(i, j), DIGITS)).collect())
        .collect();
    let set_aside: Vec<Value> = curve
        .set_aside
        .iter()
        .map(|a| {
            let mut told = json!({ "place": survey.points[a.index].place, "why": a.why.to_string() });
            if let Why::OffTheRest { distance_m } = a.why {
                told["distance_m"] = json!(round_to(distance_m, JSON_M_DECIMALS));
            }
            told
        })
        .collect();
    let largest = curve.largest();
    json!({
        "schema": 1,
        "model": "ellipse",
        "points": {
            "used": curve.residuals.len(),
            "set_aside": curve.set_aside.len(),
            "read": told.sources.iter().map(|s| s.points).sum::<usize>(),
            "marks": told.books.iter().map(|b| b.book.marks.len()).sum::<usize>(),
        },
        "set_aside": set_aside,
        "centre": centre(curve, survey.plane),
        "semi_axes_m": [round_to(e.semi_major_m(), DECIMALS), round_to(e.semi_minor_m(), DECIMALS)],
        "long_axis_bearing_deg": round_to(long, DECIMALS) % 180.0,
        "residuals_m": {
            "rms": round_to(curve.rms_m, DECIMALS),
            "max": round_to(largest.map_or(0.0, |r| r.residual_m.abs()), DECIMALS),
            "max_place": largest.map(|r| survey.points[r.index].place.clone()),
        },
        "s0": round_to(curve.s0, DECIMALS),
        "degrees_of_freedom": curve.dof,
        "largest_gap_deg": round_to(curve.gap_deg, 6),
        "covariance": {
            "kind": "textbook, of the best ellipse: s0^2 (J^T W J)^-1, errors independent from point to point",
            "parameters": ["x_m", "y_m", "semi_major_m", "semi_minor_m", "bearing_deg"],
            "matrix": matrix,
        },
    })
}

fn centre(curve: &Curve, plane: LocalPlane) -> Value {
    let c = curve.ellipse.centre();
    let mut value = json!({ "x_m": round_to(c.x, DECIMALS), "y_m": round_to(c.y, DECIMALS) });
    if let (Some(map), Some(g)) = (value.as_object_mut(), plane.to_geodetic(c)) {
        map.insert("lat_deg".into(), json!(round_to(g.latitude_deg(), JSON_LATLON_DECIMALS + 2)));
        map.insert("lon_deg".into(), json!(round_to(g.longitude_deg(), JSON_LATLON_DECIMALS + 2)));
    }
    value
}

fn warnings(list: &[Problem]) -> Value {
    list.iter().map(|w| json!(w.to_string())).collect()
}

fn sources(told: &FitTold<'_>) -> Value {
    told.sources.iter().map(|s| json!({ "file": s.file, "format": s.format, "points": s.points })).collect()
}

fn track(told: &FitTold<'_>) -> Value {
    told.steps
        .iter()
        .map(|s| {
            let kind = match s.finding {
                Finding::SetAside(step) => step.id(),
                Finding::Direction { .. } => "direction",
                Finding::Laps { .. } => "laps",
            };
            json!({
                "kind": kind,
                "set_aside": matches!(s.finding, Finding::SetAside(_)),
                "points": s.count,
                "place": s.place,
                "metres": s.metres.map(|m| round_to(m, 2)),
                "seconds": s.seconds.map(|v| round_to(v, 1)),
                "text": s.sentence,
            })
        })
        .collect()
}

fn spans(fit: &Fit, survey: &LocalSurvey) -> Value {
    fit.spans
        .iter()
        .filter_map(|s| {
            let span = survey.spans.get(s.index)?;
            Some(json!({
                "what": if span.wing_to_wing { "wing to wing" } else { "goal to goal" },
                "place": span.place,
                "measured_m": round_to(span.value_m, 6),
                "sd_m": round_to(span.sd_m, 6),
                "adjusted_m": round_to(s.adjusted_m, 6),
                "used": s.used,
            }))
        })
        .collect()
}

fn shifts(fit: &Fit, survey: &LocalSurvey) -> Value {
    fit.shifts
        .iter()
        .map(|s| {
            let (what, unit) = match s.what {
                Common::Scale { .. } => ("scale", "ratio"),
                Common::Place { .. } if s.north => ("place, north", "m"),
                Common::Place { .. } => ("place, east", "m"),
                Common::Offset { .. } => ("line off the true one, outward", "m"),
                Common::Tape { .. } => ("tape too long", "ratio"),
            };
            let source = match s.what {
                Common::Scale { source } | Common::Place { source } | Common::Offset { source } => {
                    Some(source)
                }
                Common::Tape { .. } => None,
            };
            let tape = match s.what {
                Common::Tape { tape } => survey.tapes.get(tape),
                _ => None,
            };
            json!({
                "what": what,
                "tape": tape,
                "source": source.and_then(|i| survey.sources.get(i)),
                "unit": unit,
                "value": round_to(s.value, 8),
                "sd": round_to(s.sd, 8),
                "sd_beforehand": round_to(s.allowed_sd, 8),
            })
        })
        .collect()
}

fn conflicts(fit: &Fit) -> Value {
    fit.conflicts
        .iter()
        .map(|c| {
            json!({
                "text": c.text,
                "suspects": c.suspects,
                "standardised": round_to(c.standardised, 3),
                "told_apart": c.told_apart,
            })
        })
        .collect()
}

/// A number of the curve with its textbook ±, by its gradient.
fn of_curve(curve: &Curve, f: impl Fn(&[f64; 2]) -> f64) -> Value {
    let axes = [curve.ellipse.semi_major_m(), curve.ellipse.semi_minor_m()];
    let mut gradient = [0.0; 5];
    for i in 0..2 {
        let h = 1e-5 * axes[i];
        let (mut lo, mut hi) = (axes, axes);
        lo[i] -= h;
        hi[i] += h;
        gradient[2 + i] = (f(&hi) - f(&lo)) / (2.0 * h);
    }
    let c: &Covariance = &curve.covariance;
    let sd = c.variance_of(&gradient).max(0.0).sqrt();
    let ratio = crate::numeric::t_quantile(0.975, curve.dof);
    Measured::new(f(&axes), sd, ratio * sd).map_or(Value::Null, |v| measured_to(&v, DECIMALS))
}

/// The curve alone: no goal lines, so no length and no width.
#[must_use]
pub fn curve_json(told: &FitTold<'_>, curve: &Curve) -> String {
    use crate::geometry::{Ellipse, Point};
    let mut value = curve_part(curve, told);
    if let Some(map) = value.as_object_mut() {
        map.insert("sources".into(), sources(told));
        map.insert("track".into(), track(told));
        map.insert("length_m".into(), Value::Null);
        map.insert("width_m".into(), Value::Null);
        let whole = |axes: &[f64; 2]| Ellipse::<crate::frame::Local>::new(Point::ORIGIN, *axes, 0.0);
        map.insert("perimeter_m".into(), of_curve(curve, |a| whole(a).map_or(f64::NAN, |e| e.perimeter_m())));
        map.insert("area_m2".into(), of_curve(curve, |a| whole(a).map_or(f64::NAN, |e| e.area_m2())));
        map.insert("warnings".into(), warnings(&[told.warnings, &curve.warnings].concat()));
    }
    pretty(&value)
}

/// Stretches that stand off the rest, with both readings.
fn readings(fit: &Fit, survey: &LocalSurvey) -> Value {
    let of = |m: &[Option<Measured>; 2]| {
        let one = |m: &Option<Measured>| m.as_ref().map_or(Value::Null, |m| measured_to(m, DECIMALS));
        json!({ "length_m": one(&m[0]), "width_m": one(&m[1]) })
    };
    fit.readings
        .iter()
        .map(|r| {
            json!({
                "text": r.text,
                "from": survey.points[r.run.from].place,
                "to": survey.points[r.run.to].place,
                "points": r.run.points.len(),
                "length_m": round_to(r.run.length_m, 2),
                "mean_m": round_to(r.run.mean_m, 3),
                "most_m": round_to(r.run.most_m, 3),
                "bearing_deg": round_to(r.bearing_deg, 2),
                "with": of(&r.with),
                "without": of(&r.without),
            })
        })
        .collect()
}

/// Which covariance every sd, lo95 and hi95 of the ground comes from.
fn spread_kind(fit: &Fit) -> String {
    let errors = match (fit.walk.is_some(), fit.choice.model) {
        (true, Model::Freeform) => {
            "generalised least squares averaged over how long a walk's error lasts and how smooth the line is"
        }
        (true, _) => "generalised least squares averaged over how long a walk's error lasts",
        (false, Model::Freeform) => {
            "least squares averaged over how smooth the line is, errors independent from point to point"
        }
        (false, _) => "textbook covariance, errors independent from point to point",
    };
    let shapes = if fit.choice.forced { "" } else { ", averaged over the shapes by their weights" };
    format!("{errors}{shapes}, with the method's unseen errors; every sd, lo95 and hi95 of the ground")
}

/// Numbers of the outline by their names; every one of a freeform line's offsets.
fn parameters(fit: &Fit) -> Value {
    let names = fit.outline.parameter_names();
    let list = names.into_iter().zip(fit.outline.parameters());
    Value::Object(list.map(|(name, value)| (name, json!(round_to(value, 7)))).collect())
}

/// How far off the line may be, about nought.
fn measured_to_sd(sd_m: f64, ratio: f64) -> Value {
    Measured::new(0.0, sd_m, ratio * sd_m).map_or(Value::Null, |m| measured_to(&m, 4))
}

/// A fitted ground.
#[must_use]
pub fn fit_json(told: &FitTold<'_>, fit: &Fit, summary: &Summary) -> String {
    let sizes = &summary.sizes;
    let survey = told.survey;
    let mut value = curve_part(&fit.curve, told);
    let size = |m: &Option<Measured>| m.as_ref().map_or(Value::Null, |m| measured_to(m, DECIMALS));
    if let Some(map) = value.as_object_mut() {
        for (key, m) in [
            ("length_m", &sizes.length),
            ("width_m", &sizes.width),
            ("width_at_wings_m", &sizes.width_at_wings),
            ("half_width_left_m", &sizes.half_width_left),
            ("half_width_right_m", &sizes.half_width_right),
            ("perimeter_m", &sizes.perimeter),
            ("area_m2", &sizes.area),
            ("goal_axis_bearing_deg", &sizes.axis_deg),
        ] {
            map.insert(key.into(), size(m));
        }
        map.insert(
            "goal_axis_from".into(),
            json!(match fit.axis_from {
                AxisFrom::Posts => "posts",
                AxisFrom::PostsAtOneEnd => "posts at one end",
                AxisFrom::LongAxis => "long axis, assumed",
            }),
        );
        map.insert(
            "posts".into(),
            fit.posts
                .iter()
                .map(|p| {
                    json!({
                        "place": survey.points[p.index].place,
                        "kind": if p.behind { "behind post" } else { "goal post" },
                        "miss_m": round_to(p.miss_m, 6),
                    })
                })
                .collect(),
        );
        if survey.untold.north {
            map.insert("goal_axis_bearing_deg".into(), Value::Null);
        }
        map.insert("north_known".into(), json!(!survey.untold.north));
        map.insert("left_told_from_right".into(), json!(!survey.untold.hand));
        map.insert("sources".into(), sources(told));
        map.insert("track".into(), track(told));
        map.insert("spans".into(), spans(fit, survey));
        map.insert("shifts".into(), shifts(fit, survey));
        map.insert("model".into(), json!(fit.outline.model()));
        map.insert(
            "shape".into(),
            json!({
                "model": fit.choice.model.id(),
                "forced": fit.choice.forced,
                "also_possible": fit.choice.also_possible().iter().map(|m| m.id()).collect::<Vec<_>>(),
                "candidates": fit.choice.candidates.iter().map(super::shape_words::candidate).collect::<Vec<_>>(),
                "text": super::shape_words::choice(&fit.choice),
                "parameters": parameters(fit),
            }),
        );
        map.insert(
            "unsurveyed".into(),
            fit.unsurveyed
                .iter()
                .map(|g| {
                    json!({
                        "length_m": round_to(g.length_m, 2),
                        "bearing_deg": round_to(g.bearing_deg, 2),
                        "line": measured_to_sd(g.sd_m, fit.spread.ratio()),
                    })
                })
                .collect(),
        );
        map.insert(
            "departures".into(),
            summary.departures.iter().map(super::super::venue_json::departure).collect(),
        );
        map.insert("stands_off".into(), readings(fit, survey));
        map.insert("conflicts".into(), conflicts(fit));
        map.insert("networks".into(), told.books.iter().map(super::network_json::network_value).collect());
        map.insert(
            "spread".into(),
            json!({
                "kind": spread_kind(fit),
                "half_width_over_sd": round_to(fit.spread.ratio(), 6),
            }),
        );
        map.insert(
            "walk".into(),
            fit.walk.map_or(Value::Null, |w| {
                let n = w.fixes;
                let around = sizes.perimeter.map_or(0.0, |p| p.value());
                json!({
                    "error_sd_m": round_to(w.sd_m, 4),
                    "error_lasts_m": round_to(w.lasts_m, 2),
                    "error_lasts_s": round_to(w.lasts_s, 2),
                    "white_share": round_to(w.white_share, 4),
                    "effective_points": round_to(w.effective_points(around, n), 1),
                })
            }),
        );
        map.insert("warnings".into(), warnings(&[told.warnings, &fit.curve.warnings].concat()));
    }
    pretty(&value)
}
