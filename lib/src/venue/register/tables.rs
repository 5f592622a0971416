//! Writes a registration into a venue's tables, and keeps what people wrote beside it.

use toml_edit::{ArrayOfTables, Item, Table, value};

use super::{Parts, Registration};
use crate::boundary::AxisFrom;
use crate::ground::{Ground, Oval};
use crate::rules::{Edge, Method};
use crate::units::Measured;
use crate::units::print::{self, PlusMinus, round_to};
use crate::venue::surveys::SurveyFile;

pub(super) fn survey_table(t: &mut Table, r: &Registration<'_>, p: &Parts) {
    let mut files = p.surveys.iter();
    if let Some(first) = files.next() {
        survey_file(t, first);
    }
    set(t, "date", r.surveyed.to_string().into());
    set(t, "place_sd_m", round_to(r.place_sd_m, 6).into());
    or_none(t, "point_sd_m", r.point_sd_m.map(|sd| round_to(sd, 6).into()));
    let keep: toml_edit::Array = r.keep.iter().map(String::as_str).collect();
    or_none(t, "shape", r.shape.map(|m| m.id().into()));
    or_none(t, "trim", r.trim.map(Into::into));
    or_none(t, "keep", (!keep.is_empty()).then(|| keep.into()));
    let accepted: toml_edit::Array = r.accepted.iter().map(String::as_str).collect();
    or_none(t, "accepted", (!accepted.is_empty()).then(|| accepted.into()));
    let mut with = ArrayOfTables::new();
    for file in files {
        let mut one = Table::new();
        survey_file(&mut one, file);
        with.push(one);
    }
    t.remove("with");
    if !with.is_empty() {
        t.insert("with", Item::ArrayOfTables(with));
    }
}

fn survey_file(t: &mut Table, f: &SurveyFile) {
    set(t, "file", f.file.as_str().into());
    set(t, "sha256", f.sha256.as_str().into());
    set(t, "method", f.method.map_or("unknown", Method::id).into());
    or_none(t, "datum", f.said.datum.map(|d| d.name().to_lowercase().replace(' ', "").into()));
    or_none(t, "zone", f.said.zone.map(|z| i64::from(z).into()));
    or_none(t, "sigma_m", f.said.sigma_m.map(Into::into));
    match (f.edge, f.line_width_m) {
        (Edge::Outer, _) | (_, None) => {
            t.remove("edge");
            t.remove("line_width_m");
        }
        (edge, Some(width)) => {
            set(t, "edge", edge.id().into());
            set(t, "line_width_m", round_to(width, 4).into());
        }
    }
}

/// Sets a value, or removes the old one.
fn or_none(t: &mut Table, key: &str, value: Option<toml_edit::Value>) {
    match value {
        Some(v) => set(t, key, v),
        None => {
            t.remove(key);
        }
    }
}

pub(super) fn fit_table(t: &mut Table, r: &Registration<'_>, p: &Parts) {
    let summary = summary(r);
    set(t, "file", p.fit_file.as_str().into());
    set(t, "sha256", p.fit_sha.as_str().into());
    set(t, "model", r.fit.outline.model().into());
    set(t, "length", summary.0.into());
    set(t, "width", summary.1.into());
    set(t, "axis", summary.2.into());
    set(t, "points", format!("{} used, {} set aside", r.fit.points_used, r.fit.points_set_aside).into());
}

/// Puts a value in place, keeping the comment that a person wrote on its line.
pub(super) fn set(t: &mut Table, key: &str, new: toml_edit::Value) {
    match t.get_mut(key).and_then(Item::as_value_mut) {
        Some(old) => {
            let decor = old.decor().clone();
            *old = new;
            *old.decor_mut() = decor;
        }
        None => {
            t.insert(key, value(new));
        }
    }
}

/// Length, width and axis with their ±, in words for people.
fn summary(r: &Registration<'_>) -> (String, String, String) {
    let ground = Ground::new(&r.fit.outline, &r.fit.spread, r.rules.clone()).ok();
    let show = |m: Option<Measured>, unit: &str| {
        m.map_or_else(|| "unknown".to_owned(), |m| print::measured(&m, unit, PlusMinus::Unicode))
    };
    let ask = |f: fn(&Oval) -> Option<f64>| ground.as_ref().and_then(|g| g.measure(f));
    let axis = ground.as_ref().and_then(|g| g.measure_deg(|o| Some(o.plan().axis().degrees())));
    let from = match r.fit.axis_from {
        AxisFrom::Posts => "by the posts",
        AxisFrom::PostsAtOneEnd => "by the posts at one end and the curve",
        AxisFrom::LongAxis => "assumed: the longer axis",
    };
    (
        show(ask(|o| Some(o.length_m())), "m"),
        show(ask(|o| Some(o.boundary().width_m())), "m"),
        format!("{} true to end A, {from}", show(axis, "°")),
    )
}
