//! One spot's answer as JSON, the same wherever it is asked, and a throw-in there.

use serde::Serialize;

use super::json::{
    EndRow, MeasuredRow, NamedRow, Number, PlacedRow, SCHEMA, bearing, deg, m, measured, measured_or_null,
    named, pretty, with_place,
};
use super::watch_json::{LimitRow, limit};
use crate::briefing::{Facing, SpotRow};
use crate::frame::Ground as GroundFrame;
use crate::geometry::Point;
use crate::ground::{Arcs, Spot};
use crate::officiate::{Backsight, ShortSide, Sides, Stand, StandKind};
use crate::units::Day;
use crate::venue::Venue;

/// A direction; from magnetic north where declination is known.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct FacingRow {
    true_deg: Number,
    magnetic_deg: Option<Number>,
}

pub(super) fn facing(f: &Facing) -> FacingRow {
    FacingRow {
        true_deg: bearing(f.true_bearing.degrees()),
        magnetic_deg: f.magnetic.map(|b| bearing(b.degrees())),
    }
}

pub(super) fn placed(venue: &Venue, p: Point<GroundFrame>) -> PlacedRow {
    with_place(p, SpotRow::geodetic(venue, p))
}

/// A landmark and how far off it the direction lies.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct BacksightRow<'a> {
    landmark: &'a str,
    at_night: bool,
    height_m: Option<Number>,
    off_deg: Number,
    /// At arm's length.
    fists: f64,
}

pub(super) fn backsight<'a>(venue: &'a Venue, b: &Backsight) -> BacksightRow<'a> {
    let landmark = &venue.document.surroundings.landmarks[b.landmark];
    BacksightRow {
        landmark: &landmark.name,
        at_night: landmark.at_night,
        height_m: landmark.height_m.map(m),
        off_deg: deg(b.off_deg),
        fists: b.fists(),
    }
}

/// A place to stand.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct StandRow<'a> {
    #[serde(flatten)]
    at: PlacedRow,
    outside_line_m: Number,
    /// The angle that one is off with feet on the line.
    chord_angle_deg: Option<Number>,
    kind: &'static str,
    toward_end: EndRow,
    back_m: Option<Number>,
    off_tangent_deg: Option<Number>,
    limited_by: Option<LimitRow<'a>>,
}

pub(super) fn stand<'a>(venue: &'a Venue, s: &Stand) -> StandRow<'a> {
    let (kind, back, off) = match s.kind {
        StandKind::Tangent { back_m } => ("back along the tangent", Some(back_m), None),
        StandKind::Post => ("at the behind post", None, None),
        StandKind::BesidePost => ("beside the behind post", None, None),
        StandKind::NoPlace => ("no safe place", None, None),
        StandKind::AlongLine { back_m, off_tangent_deg } => {
            ("back along the line", Some(back_m), Some(off_tangent_deg))
        }
    };
    StandRow {
        at: placed(venue, s.point),
        outside_line_m: m(s.outside_line_m),
        chord_angle_deg: s.chord_angle_deg.map(deg),
        kind,
        toward_end: s.toward.into(),
        back_m: back.map(m),
        off_tangent_deg: off.map(deg),
        limited_by: s.limit.map(|l| limit(venue, l)),
    }
}

/// A place on a boundary line.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct PlaceRow<'a> {
    chainage_m: Number,
    #[serde(flatten)]
    named: NamedRow<'a>,
    from_post_m: Number,
    #[serde(flatten)]
    at: PlacedRow,
}

fn place<'a>(venue: &'a Venue, s: &Spot, r: &SpotRow) -> PlaceRow<'a> {
    PlaceRow {
        chainage_m: m(s.chainage_m),
        named: named(&venue.document.names, s.side, s.end),
        from_post_m: m(s.from_post_m),
        at: with_place(s.point, r.place),
    }
}

/// The end of the short side, or either where the two are too close to call.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) enum ShortRow {
    #[serde(rename = "either")]
    Either,
    A,
    B,
}

impl From<ShortSide> for ShortRow {
    fn from(side: ShortSide) -> Self {
        match side {
            ShortSide::Either => Self::Either,
            ShortSide::Toward(end) => match end.into() {
                EndRow::A => Self::A,
                EndRow::B => Self::B,
            },
        }
    }
}

/// How many kicks each side is long.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct KicksRow {
    a: Number,
    b: Number,
}

/// Kicks to one decimal, as the definitions have them.
pub(super) fn kicks(s: &Sides) -> KicksRow {
    KicksRow { a: Number::to(s.kicks_a, 1), b: Number::to(s.kicks_b, 1) }
}

/// Which of two stands is said first.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub(super) enum FirstRow {
    Long,
    Short,
}

/// With their uncertainty.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SpotMeasuredRow {
    chainage_m: MeasuredRow,
    from_post_m: MeasuredRow,
    aim_true_deg: Option<MeasuredRow>,
    outside_line_m: MeasuredRow,
    chord_angle_deg: Option<MeasuredRow>,
    spare_run_off_m: Option<MeasuredRow>,
}

/// One spot's answer. Rules without throw-ins have null for everything of a throw.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct SpotAnswerRow<'a> {
    spot: PlaceRow<'a>,
    aim: Option<FacingRow>,
    face: Option<FacingRow>,
    landing: Option<PlacedRow>,
    straightened: Option<bool>,
    axis_angle_deg: Option<Number>,
    between_arcs: bool,
    inside_arc: Option<EndRow>,
    short_side: ShortRow,
    to_post_a_m: MeasuredRow,
    to_post_b_m: MeasuredRow,
    sides_swap_m: Number,
    kicks: KicksRow,
    stand: StandRow<'a>,
    first: FirstRow,
    stand_long: Option<StandRow<'a>>,
    backsight: Option<BacksightRow<'a>>,
    pick_up: Option<BacksightRow<'a>>,
    hazards_beside: Vec<&'a str>,
    measured: SpotMeasuredRow,
}

/// A throw-in: `throw-in --json`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct ThrowInDocument<'a> {
    schema: u32,
    venue: &'a str,
    day: String,
    #[serde(flatten)]
    answer: SpotAnswerRow<'a>,
    cautions: &'a [String],
}

/// One spot's answer, the same wherever it is asked.
pub(super) fn row<'a>(venue: &'a Venue, r: &SpotRow) -> SpotAnswerRow<'a> {
    let thrown = venue.document.rules.throw_ins;
    SpotAnswerRow {
        spot: place(venue, &r.spot, r),
        aim: thrown.then(|| facing(&r.aim)),
        face: thrown.then(|| facing(&r.face)),
        landing: thrown.then(|| placed(venue, r.throw.landing)),
        straightened: thrown.then_some(r.throw.straightened),
        axis_angle_deg: thrown.then(|| deg(r.throw.axis_angle_deg)),
        between_arcs: r.between_arcs(),
        inside_arc: match r.spot.arcs {
            Arcs::Between => None,
            Arcs::Inside(end) => Some(end.into()),
        },
        short_side: r.sides.short.into(),
        to_post_a_m: measured(&r.sides.to_a),
        to_post_b_m: measured(&r.sides.to_b),
        sides_swap_m: m(r.sides.swap_m),
        kicks: kicks(&r.sides),
        stand: stand(venue, &r.stand),
        first: if r.stand_long.is_some() { FirstRow::Long } else { FirstRow::Short },
        stand_long: r.stand_long.map(|s| stand(venue, &s)),
        backsight: r.backsight.filter(|_| thrown).map(|b| backsight(venue, &b)),
        pick_up: r.pick_up.filter(|_| thrown).map(|b| backsight(venue, &b)),
        hazards_beside: hazards(venue, &r.beside),
        measured: SpotMeasuredRow {
            chainage_m: measured(&r.chainage),
            from_post_m: measured(&r.from_post),
            aim_true_deg: thrown.then(|| measured(&r.aim_deg)),
            outside_line_m: measured(&r.outside_line),
            chord_angle_deg: measured_or_null(r.chord_angle.as_ref()),
            spare_run_off_m: measured_or_null(r.spare_run_off.as_ref()),
        },
    }
}

/// Hazards by their names.
pub(super) fn hazards<'a>(venue: &'a Venue, beside: &[usize]) -> Vec<&'a str> {
    let hazards = &venue.document.surroundings.hazards;
    beside.iter().map(|&i| hazards[i].name.as_str()).collect()
}

/// A throw-in: `ovalpeg throw-in --json`.
#[must_use]
pub fn throw_in_json(venue: &Venue, briefing_day: Day, r: &SpotRow, cautions: &[String]) -> String {
    pretty(&ThrowInDocument {
        schema: SCHEMA,
        venue: &venue.document.id,
        day: briefing_day.to_string(),
        answer: row(venue, r),
        cautions,
    })
}
