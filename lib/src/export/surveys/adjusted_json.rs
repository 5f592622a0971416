//! What a fit made of each thing that was surveyed, as JSON: posts, measured lengths, whole sources, stretches
//! that stand off, and what contradicts itself.

use serde::Serialize;

use super::super::json::{MeasuredRow, Number};
use super::curve_json::DECIMALS;
use crate::fit::{Common, Conflict, Fit, PostFit, Reading, Shift, SpanFit};
use crate::survey::LocalSurvey;
use crate::units::Measured;

/// A post, and how far it is from its place.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct PostRow<'a> {
    place: &'a str,
    kind: &'static str,
    miss_m: Number,
}

pub(super) fn post<'a>(p: &PostFit, survey: &'a LocalSurvey) -> PostRow<'a> {
    PostRow {
        place: &survey.points[p.index].place,
        kind: if p.behind { "behind post" } else { "goal post" },
        miss_m: Number::to(p.miss_m, 6),
    }
}

/// A length that was measured between the goal lines or the wings.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct SpanRow<'a> {
    what: &'static str,
    place: &'a str,
    measured_m: Number,
    sd_m: Number,
    adjusted_m: Number,
    used: bool,
}

pub(super) fn span<'a>(s: &SpanFit, survey: &'a LocalSurvey) -> Option<SpanRow<'a>> {
    let span = survey.spans.get(s.index)?;
    Some(SpanRow {
        what: if span.wing_to_wing { "wing to wing" } else { "goal to goal" },
        place: &span.place,
        measured_m: Number::to(span.value_m, 6),
        sd_m: Number::to(span.sd_m, 6),
        adjusted_m: Number::to(s.adjusted_m, 6),
        used: s.used,
    })
}

/// What a source, or a tape, is off by as a whole.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct ShiftRow<'a> {
    what: &'static str,
    tape: Option<&'a str>,
    source: Option<&'a str>,
    unit: &'static str,
    value: Number,
    sd: Number,
    sd_beforehand: Number,
}

pub(super) fn shift<'a>(s: &Shift, survey: &'a LocalSurvey) -> ShiftRow<'a> {
    let (what, unit) = match s.what {
        Common::Scale { .. } => ("scale", "ratio"),
        Common::Place { .. } if s.north => ("place, north", "m"),
        Common::Place { .. } => ("place, east", "m"),
        Common::Offset { .. } => ("line off the true one, outward", "m"),
        Common::Tape { .. } => ("tape too long", "ratio"),
    };
    let (tape, source) = match s.what {
        Common::Scale { source } | Common::Place { source } | Common::Offset { source } => {
            (None, survey.sources.get(source))
        }
        Common::Tape { tape } => (survey.tapes.get(tape), None),
    };
    ShiftRow {
        what,
        tape: tape.map(String::as_str),
        source: source.map(String::as_str),
        unit,
        value: Number::to(s.value, 8),
        sd: Number::to(s.sd, 8),
        sd_beforehand: Number::to(s.allowed_sd, 8),
    }
}

/// A ground's sizes with or without a stretch.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ReadRow {
    length_m: Option<MeasuredRow>,
    width_m: Option<MeasuredRow>,
}

fn read([length, width]: &[Option<Measured>; 2]) -> ReadRow {
    let one = |m: &Option<Measured>| m.as_ref().map(|m| MeasuredRow::to(m, DECIMALS));
    ReadRow { length_m: one(length), width_m: one(width) }
}

/// A stretch that stands off the rest, with both readings.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct StandsOffRow<'a> {
    text: &'a str,
    from: &'a str,
    to: &'a str,
    points: usize,
    length_m: Number,
    mean_m: Number,
    most_m: Number,
    bearing_deg: Number,
    with: ReadRow,
    without: ReadRow,
}

pub(super) fn stands_off<'a>(r: &'a Reading, survey: &'a LocalSurvey) -> StandsOffRow<'a> {
    StandsOffRow {
        text: &r.text,
        from: &survey.points[r.run.from].place,
        to: &survey.points[r.run.to].place,
        points: r.run.points.len(),
        length_m: Number::to(r.run.length_m, 2),
        mean_m: Number::to(r.run.mean_m, 3),
        most_m: Number::to(r.run.most_m, 3),
        bearing_deg: Number::to(r.bearing_deg, 2),
        with: read(&r.with),
        without: read(&r.without),
    }
}

/// Measurements that contradict each other.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct ConflictRow<'a> {
    text: &'a str,
    suspects: &'a [String],
    standardised: Number,
    told_apart: bool,
}

pub(super) fn conflict(c: &Conflict) -> ConflictRow<'_> {
    ConflictRow {
        text: &c.text,
        suspects: &c.suspects,
        standardised: Number::to(c.standardised, 3),
        told_apart: c.told_apart,
    }
}

/// A stretch of line that nobody surveyed, and how well it is known.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct UnsurveyedRow {
    length_m: Number,
    bearing_deg: Number,
    line: Option<MeasuredRow>,
}

pub(super) fn unsurveyed(fit: &Fit) -> Vec<UnsurveyedRow> {
    let ratio = fit.spread.ratio();
    let row = |g: &crate::fit::Unsurveyed| UnsurveyedRow {
        length_m: Number::to(g.length_m, 2),
        bearing_deg: Number::to(g.bearing_deg, 2),
        line: g.off_line(ratio).map(|m| MeasuredRow::to(&m, 4)),
    };
    fit.unsurveyed.iter().map(row).collect()
}
