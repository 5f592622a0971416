//! A fitted ground as JSON.

use std::collections::BTreeMap;

use serde::{Serialize, Serializer};

use super::super::departure_json::{DepartureRow, departure};
use super::super::json::{MeasuredRow, Number, SCHEMA, pretty};
use super::adjusted_json::{
    ConflictRow, PostRow, ShiftRow, SpanRow, StandsOffRow, UnsurveyedRow, conflict, post, shift, span,
    stands_off, unsurveyed,
};
use super::curve_json::{CurveRow, DECIMALS, MadeFromRow, curve_row, made_from, warnings};
use super::fit_text::FitTold;
use super::network_json::{NetworkRow, network};
use super::shape_words;
use crate::briefing::{Sizes, Summary};
use crate::fit::{AxisFrom, Candidate, Fit, WalkError};
use crate::geometry::Model;
use crate::units::Measured;

/// The ground's sizes.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SizesRow {
    length_m: Option<MeasuredRow>,
    width_m: Option<MeasuredRow>,
    width_at_wings_m: Option<MeasuredRow>,
    half_width_left_m: Option<MeasuredRow>,
    half_width_right_m: Option<MeasuredRow>,
    perimeter_m: Option<MeasuredRow>,
    area_m2: Option<MeasuredRow>,
    /// Null where nothing tells where north is.
    goal_axis_bearing_deg: Option<MeasuredRow>,
}

fn sizes(s: &Sizes, north_known: bool) -> SizesRow {
    let size = |m: &Option<Measured>| m.as_ref().map(|m| MeasuredRow::to(m, DECIMALS));
    SizesRow {
        length_m: size(&s.length),
        width_m: size(&s.width),
        width_at_wings_m: size(&s.width_at_wings),
        half_width_left_m: size(&s.half_width_left),
        half_width_right_m: size(&s.half_width_right),
        perimeter_m: size(&s.perimeter),
        area_m2: size(&s.area),
        goal_axis_bearing_deg: size(&s.axis_deg).filter(|_| north_known),
    }
}

/// A shape that was tried.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct CandidateRow {
    model: &'static str,
    compared: bool,
    /// Where it was compared.
    #[serde(skip_serializing_if = "Option::is_none")]
    weight: Option<Number>,
    /// Null where no such curve fits.
    rms_m: Option<Number>,
}

fn candidate(c: &Candidate) -> CandidateRow {
    CandidateRow {
        model: c.model.id(),
        compared: c.weight.is_some(),
        weight: c.weight.map(|w| Number::to(w, 6)),
        rms_m: c.rms_m.map(|r| Number::to(r, 6)),
    }
}

/// Which shape the line has.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ShapeRow {
    model: &'static str,
    forced: bool,
    also_possible: Vec<&'static str>,
    candidates: Vec<CandidateRow>,
    text: String,
    /// Numbers of the outline by their names; every one of a freeform line's offsets.
    #[serde(serialize_with = "in_order")]
    #[cfg_attr(feature = "schema", schemars(with = "BTreeMap<String, Number>"))]
    parameters: Vec<(String, Number)>,
}

/// Keys in the order in which they come, and not by the alphabet.
fn in_order<S: Serializer>(list: &[(String, Number)], to: S) -> Result<S::Ok, S::Error> {
    to.collect_map(list.iter().map(|(name, value)| (name, value)))
}

fn shape(fit: &Fit) -> ShapeRow {
    let numbers = fit.outline.parameters().into_iter().map(|v| Number::to(v, 7));
    ShapeRow {
        model: fit.choice.model.id(),
        forced: fit.choice.forced,
        also_possible: fit.choice.also_possible().iter().map(|m| m.id()).collect(),
        candidates: fit.choice.candidates.iter().map(candidate).collect(),
        text: shape_words::choice(&fit.choice),
        parameters: fit.outline.parameter_names().into_iter().zip(numbers).collect(),
    }
}

/// Which covariance every sd, lo95 and hi95 of the ground comes from.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SpreadRow {
    kind: String,
    half_width_over_sd: Number,
}

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

/// How a walk's error runs on from fix to fix.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct WalkRow {
    error_sd_m: Number,
    error_lasts_m: Number,
    error_lasts_s: Number,
    white_share: Number,
    effective_points: Number,
}

fn walk(w: &WalkError, s: &Sizes) -> WalkRow {
    let around = s.perimeter.map_or(0.0, |p| p.value());
    WalkRow {
        error_sd_m: Number::to(w.sd_m, 4),
        error_lasts_m: Number::to(w.lasts_m, 2),
        error_lasts_s: Number::to(w.lasts_s, 2),
        white_share: Number::to(w.white_share, 4),
        effective_points: Number::to(w.effective_points(around, w.fixes), 1),
    }
}

/// A fitted ground: `fit --json`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(in crate::export) struct FitDocument<'a> {
    schema: u32,
    model: &'static str,
    #[serde(flatten)]
    curve: CurveRow<'a>,
    #[serde(flatten)]
    sizes: SizesRow,
    goal_axis_from: &'static str,
    posts: Vec<PostRow<'a>>,
    north_known: bool,
    left_told_from_right: bool,
    #[serde(flatten)]
    from: MadeFromRow<'a>,
    spans: Vec<SpanRow<'a>>,
    shifts: Vec<ShiftRow<'a>>,
    shape: ShapeRow,
    unsurveyed: Vec<UnsurveyedRow>,
    departures: Vec<DepartureRow>,
    stands_off: Vec<StandsOffRow<'a>>,
    conflicts: Vec<ConflictRow<'a>>,
    networks: Vec<NetworkRow<'a>>,
    spread: SpreadRow,
    /// Null where nobody walked.
    walk: Option<WalkRow>,
    warnings: Vec<String>,
}

/// A fitted ground.
#[must_use]
pub fn fit_json(told: &FitTold<'_>, fit: &Fit, summary: &Summary) -> String {
    let survey = told.survey;
    let north_known = !survey.untold.north;
    pretty(&FitDocument {
        schema: SCHEMA,
        model: fit.outline.model(),
        curve: curve_row(&fit.curve, told),
        sizes: sizes(&summary.sizes, north_known),
        goal_axis_from: match fit.axis_from {
            AxisFrom::Posts => "posts",
            AxisFrom::PostsAtOneEnd => "posts at one end",
            AxisFrom::LongAxis => "long axis, assumed",
        },
        posts: fit.posts.iter().map(|p| post(p, survey)).collect(),
        north_known,
        left_told_from_right: !survey.untold.hand,
        from: made_from(told),
        spans: fit.spans.iter().filter_map(|s| span(s, survey)).collect(),
        shifts: fit.shifts.iter().map(|s| shift(s, survey)).collect(),
        shape: shape(fit),
        unsurveyed: unsurveyed(fit),
        departures: summary.departures.iter().map(departure).collect(),
        stands_off: fit.readings.iter().map(|r| stands_off(r, survey)).collect(),
        conflicts: fit.conflicts.iter().map(conflict).collect(),
        networks: told.books.iter().map(network).collect(),
        spread: SpreadRow { kind: spread_kind(fit), half_width_over_sd: Number::to(fit.spread.ratio(), 6) },
        walk: fit.walk.map(|w| walk(&w, &summary.sizes)),
        warnings: warnings(told, &fit.curve),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shape_that_was_not_compared_has_no_weight_and_one_that_fits_nothing_has_null() {
        let told = |weight, rms_m| {
            let c = Candidate { model: Model::Ellipse, weight, rms_m };
            serde_json::to_string(&candidate(&c)).unwrap()
        };
        assert_eq!(told(None, Some(0.1)), r#"{"model":"ellipse","compared":false,"rms_m":0.1}"#);
        assert_eq!(told(Some(0.5), None), r#"{"model":"ellipse","compared":true,"weight":0.5,"rms_m":null}"#);
    }
}
