//! A fitted curve as JSON: alone, and as the head of a fitted ground.

use serde::Serialize;

use super::super::json::{LatLonRow, MeasuredRow, Number, SCHEMA, m, pretty};
use super::fit_text::FitTold;
use crate::fit::{Curve, Why};
use crate::frame::LocalPlane;
use crate::survey::{Finding, Step};
use crate::units::Problem;
use crate::units::print::round_significant;

/// A fit's own numbers are kept to a tenth of a nanometre: they are compared with
/// other fits, not printed.
pub(super) const DECIMALS: i32 = 10;
/// Digits of a covariance.
const DIGITS: i32 = 12;

pub(super) fn to(value: f64) -> Number {
    Number::to(value, DECIMALS)
}

/// With so many digits, for what varies by many powers of ten.
pub(super) fn significant(value: f64, digits: i32) -> Number {
    Number::as_given(round_significant(value, digits))
}

/// How many points there are.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct PointsRow {
    used: usize,
    set_aside: usize,
    read: usize,
    /// Of tape notebooks.
    marks: usize,
}

/// A point that was not used.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SetAsideRow<'a> {
    place: &'a str,
    why: String,
    /// From its neighbours, where that is why.
    #[serde(skip_serializing_if = "Option::is_none")]
    distance_m: Option<Number>,
}

/// The ellipse's centre in the survey's plane.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct CentreRow {
    x_m: Number,
    y_m: Number,
    #[serde(flatten)]
    place: LatLonRow,
}

/// How far the points used lie from the ellipse.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ResidualsRow<'a> {
    rms: Number,
    max: Number,
    max_place: Option<&'a str>,
}

/// The ellipse's covariance.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct CovarianceRow {
    kind: &'static str,
    parameters: [&'static str; 5],
    matrix: Vec<Vec<Number>>,
}

/// The best ellipse.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct CurveRow<'a> {
    points: PointsRow,
    set_aside: Vec<SetAsideRow<'a>>,
    centre: CentreRow,
    semi_axes_m: [Number; 2],
    long_axis_bearing_deg: Number,
    residuals_m: ResidualsRow<'a>,
    s0: Number,
    degrees_of_freedom: f64,
    largest_gap_deg: Number,
    covariance: CovarianceRow,
}

/// A file of the survey.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SourceRow<'a> {
    file: &'a str,
    format: &'a str,
    points: usize,
}

/// What track cleaning found, step by step.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct StepRow<'a> {
    kind: &'static str,
    set_aside: bool,
    points: usize,
    place: &'a str,
    metres: Option<Number>,
    seconds: Option<Number>,
    text: &'a str,
}

/// What a fit was made from.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct MadeFromRow<'a> {
    sources: Vec<SourceRow<'a>>,
    track: Vec<StepRow<'a>>,
}

/// A curve alone, whose length and width are null: `fit --curve-only --json`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(in crate::export) struct CurveDocument<'a> {
    schema: u32,
    model: &'static str,
    #[serde(flatten)]
    curve: CurveRow<'a>,
    #[serde(flatten)]
    from: MadeFromRow<'a>,
    length_m: Option<MeasuredRow>,
    width_m: Option<MeasuredRow>,
    perimeter_m: Option<MeasuredRow>,
    area_m2: Option<MeasuredRow>,
    warnings: Vec<String>,
}

fn covariance(curve: &Curve) -> CovarianceRow {
    let n = curve.covariance.size();
    let entry = |i, j| significant(curve.covariance.get(i, j), DIGITS);
    CovarianceRow {
        kind: "textbook, of the best ellipse: s0^2 (J^T W J)^-1, errors independent from point to point",
        parameters: ["x_m", "y_m", "semi_major_m", "semi_minor_m", "bearing_deg"],
        matrix: (0..n).map(|i| (0..n).map(|j| entry(i, j)).collect()).collect(),
    }
}

fn centre(curve: &Curve, plane: LocalPlane) -> CentreRow {
    let c = curve.ellipse.centre();
    // Two decimals more than a place has, for the same reason as above.
    CentreRow { x_m: to(c.x), y_m: to(c.y), place: LatLonRow::finer(plane.to_geodetic(c), 2) }
}

/// The best ellipse of a fit.
pub(super) fn curve_row<'a>(curve: &Curve, told: &FitTold<'a>) -> CurveRow<'a> {
    let survey = told.survey;
    let set_aside = curve.set_aside.iter().map(|a| SetAsideRow {
        place: &survey.points[a.index].place,
        why: a.why.to_string(),
        distance_m: match a.why {
            Why::OffTheRest { distance_m } => Some(m(distance_m)),
            _ => None,
        },
    });
    let largest = curve.largest();
    CurveRow {
        points: PointsRow {
            used: curve.residuals.len(),
            set_aside: curve.set_aside.len(),
            read: told.sources.iter().map(|s| s.points).sum(),
            marks: told.books.iter().map(|b| b.book.marks.len()).sum(),
        },
        set_aside: set_aside.collect(),
        centre: centre(curve, survey.plane),
        semi_axes_m: [to(curve.ellipse.semi_major_m()), to(curve.ellipse.semi_minor_m())],
        long_axis_bearing_deg: to(curve.long_axis_deg()).wrapped(180.0),
        residuals_m: ResidualsRow {
            rms: to(curve.rms_m),
            max: to(largest.map_or(0.0, |r| r.residual_m.abs())),
            max_place: largest.map(|r| survey.points[r.index].place.as_str()),
        },
        s0: to(curve.s0),
        degrees_of_freedom: curve.dof,
        largest_gap_deg: Number::to(curve.gap_deg, 6),
        covariance: covariance(curve),
    }
}

fn step(s: &Step) -> StepRow<'_> {
    StepRow {
        kind: match s.finding {
            Finding::SetAside(step) => step.id(),
            Finding::Direction { .. } => "direction",
            Finding::Laps { .. } => "laps",
        },
        set_aside: matches!(s.finding, Finding::SetAside(_)),
        points: s.count,
        place: &s.place,
        metres: s.metres.map(|m| Number::to(m, 2)),
        seconds: s.seconds.map(|v| Number::to(v, 1)),
        text: &s.sentence,
    }
}

/// Files and cleaning.
pub(super) fn made_from<'a>(told: &FitTold<'a>) -> MadeFromRow<'a> {
    let source =
        |s: &super::fit_text::FitSource<'a>| SourceRow { file: s.file, format: s.format, points: s.points };
    MadeFromRow {
        sources: told.sources.iter().map(source).collect(),
        track: told.steps.iter().map(step).collect(),
    }
}

/// From before the fit, and from it.
pub(super) fn warnings(told: &FitTold<'_>, curve: &Curve) -> Vec<String> {
    told.warnings.iter().chain(&curve.warnings).map(Problem::to_string).collect()
}

/// The curve alone: no goal lines, so no length and no width.
#[must_use]
pub fn curve_json(told: &FitTold<'_>, curve: &Curve) -> String {
    let size = |m: Option<crate::units::Measured>| m.map(|m| MeasuredRow::to(&m, DECIMALS));
    pretty(&CurveDocument {
        schema: SCHEMA,
        model: "ellipse",
        curve: curve_row(curve, told),
        from: made_from(told),
        length_m: None,
        width_m: None,
        perimeter_m: size(curve.perimeter()),
        area_m2: size(curve.area()),
        warnings: warnings(told, curve),
    })
}
