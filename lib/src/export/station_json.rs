//! One official's station as JSON: where, facing where, what is seen from there, and the way to it.

use serde::Serialize;

use super::json::{MeasuredRow, Number, PlacedRow, PointRow, SideRow, deg, m, measured, point, with_place};
use super::spot_json::{BacksightRow, FacingRow, backsight, facing, hazards, placed};
use super::watch_json::{LimitRow, limit};
use crate::boundary::Side;
use crate::briefing::{Placed, Seen, Travelled};
use crate::officiate::{Reason, Times, View, Way};
use crate::venue::Venue;

/// A side with its name.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct OwnSideRow<'a> {
    side: SideRow,
    side_name: &'a str,
}

pub(super) fn side(venue: &Venue, s: Side) -> OwnSideRow<'_> {
    OwnSideRow { side: s.into(), side_name: venue.document.names.side(s) }
}

/// How long a way takes, seconds.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct TimesRow {
    walk_s: Number,
    run_s: Number,
    sprint_s: Number,
}

/// Seconds to a tenth.
pub(super) fn times(t: &Times) -> TimesRow {
    let seconds = |v| Number::to(v, 1);
    TimesRow { walk_s: seconds(t.walk_s), run_s: seconds(t.run_s), sprint_s: seconds(t.sprint_s) }
}

/// A way on foot, corner by corner.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct WayRow {
    length_m: Number,
    points: Vec<PointRow>,
}

pub(super) fn way(w: &Way) -> WayRow {
    WayRow { length_m: m(w.length_m), points: w.points.iter().map(|p| point(*p)).collect() }
}

/// A look that an official has to have.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct LookRow<'a> {
    at: &'static str,
    toward: FacingRow,
    /// The hazard that lies in it.
    crosses: Option<&'a str>,
    /// Null where no time was given.
    glare: Option<bool>,
}

fn look<'a>(venue: &'a Venue, s: &Seen) -> LookRow<'a> {
    LookRow {
        at: s.at,
        toward: facing(&s.toward),
        crosses: s.crosses.map(|i| venue.document.surroundings.hazards[i].name.as_str()),
        glare: s.glare,
    }
}

/// How the line is seen from there.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ViewRow {
    distance_m: Number,
    off_tangent_deg: Number,
    /// Null where the ball is as high as the eyes.
    seems_out_m: Option<Number>,
    can_tell_m: Option<Number>,
}

fn view(v: &View) -> ViewRow {
    ViewRow {
        distance_m: m(v.distance_m),
        off_tangent_deg: deg(v.off_tangent_deg),
        seems_out_m: v.seems_out_m.map(m),
        can_tell_m: v.can_tell_m().map(m),
    }
}

/// With their uncertainty.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct StationMeasuredRow {
    x_m: MeasuredRow,
    y_m: MeasuredRow,
    outside_line_m: MeasuredRow,
    from_post_a_m: MeasuredRow,
    facing_true_deg: MeasuredRow,
}

/// What stands beside the part of a run that is run backwards.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct MindRow<'a> {
    what: LimitRow<'a>,
    at: PlacedRow,
}

/// The run from where the official was.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct RunRow<'a> {
    way: WayRow,
    backward_m: Number,
    times: TimesRow,
    turn_and_look: Vec<MindRow<'a>>,
}

fn run<'a>(venue: &'a Venue, t: &Travelled) -> RunRow<'a> {
    let mind = t.mind.iter().map(|l| MindRow { what: limit(venue, l.what), at: placed(venue, l.at) });
    RunRow {
        way: way(&t.run.way),
        backward_m: m(t.run.backward_m()),
        times: times(&t.times),
        turn_and_look: mind.collect(),
    }
}

/// One official's station.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct StationRow<'a> {
    #[serde(flatten)]
    side: OwnSideRow<'a>,
    #[serde(flatten)]
    at: PlacedRow,
    facing: FacingRow,
    reason: &'static str,
    looks: Vec<LookRow<'a>>,
    /// Null where no time was given.
    glare: Option<bool>,
    /// Of those who watch a crossing; null where they don't back away.
    #[serde(skip_serializing_if = "Option::is_none")]
    back_m: Option<Option<Number>>,
    hazards_beside: Vec<&'a str>,
    run_off_known: Option<bool>,
    limited_by: Option<LimitRow<'a>>,
    view: Option<ViewRow>,
    backsight: Option<BacksightRow<'a>>,
    measured: StationMeasuredRow,
    run: Option<RunRow<'a>>,
}

/// One official's station.
pub(super) fn station<'a>(venue: &'a Venue, p: &Placed) -> StationRow<'a> {
    let s = &p.station;
    StationRow {
        side: side(venue, s.side),
        at: with_place(s.point, p.place),
        facing: facing(&p.facing),
        reason: s.reason.words_on(venue.ground.oval()),
        looks: p.looks.iter().map(|l| look(venue, l)).collect(),
        glare: p.glare(),
        back_m: match s.reason {
            Reason::Watch(kind) => Some(kind.back_m().map(m)),
            _ => None,
        },
        hazards_beside: hazards(venue, &p.beside),
        run_off_known: p.run_off_known,
        limited_by: s.limit.map(|l| limit(venue, l)),
        view: s.view.map(|v| view(&v)),
        backsight: p.backsight.map(|b| backsight(venue, &b)),
        measured: StationMeasuredRow {
            x_m: measured(&p.x),
            y_m: measured(&p.y),
            outside_line_m: measured(&p.outside_line),
            from_post_a_m: measured(&p.from_a),
            facing_true_deg: measured(&p.facing_deg),
        },
        run: p.run.as_ref().map(|t| run(venue, t)),
    }
}
