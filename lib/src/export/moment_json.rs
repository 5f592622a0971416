//! A moment of a match as JSON.

use serde::Serialize;

use super::call_json::{CallsRow, calls};
use super::json::{
    EndRow, MeasuredRow, Number, PlacedRow, SCHEMA, SideRow, bearing, deg, m, measured, pretty,
};
use super::match_day::{MatchDayRow, match_day};
use super::relay_json::{RelayRow, relay};
use super::spot_json::{FirstRow, KicksRow, ShortRow, StandRow, kicks, placed, stand};
use super::station_json::{StationRow, TimesRow, WayRow, station, times, way};
use crate::briefing::{MomentAnswer, OnTheFull};
use crate::ground::Spot;
use crate::officiate::{BetterBy, Case, KickIn, Recovery, Sides, Sun};
use crate::venue::Venue;

/// Zones that the ball is in.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ZonesRow {
    arc_a: bool,
    arc_b: bool,
    square: bool,
    wing: Option<SideRow>,
    /// What parts the ends from the middle here: an arc, the goal range or a zone line.
    arc_is: &'static str,
}

/// Where the ball is likely to cross the line.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct CrossingRow {
    #[serde(flatten)]
    at: PlacedRow,
    chainage_m: Number,
    side: SideRow,
    end: EndRow,
    from_post_m: Number,
}

fn crossing(venue: &Venue, s: &Spot) -> CrossingRow {
    CrossingRow {
        at: placed(venue, s.point),
        chainage_m: m(s.chainage_m),
        side: s.side.into(),
        end: s.end.into(),
        from_post_m: m(s.from_post_m),
    }
}

/// The short and the long side of it.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SidesRow {
    short_side: ShortRow,
    to_post_a_m: MeasuredRow,
    to_post_b_m: MeasuredRow,
    kicks: KicksRow,
    sides_swap_m: Number,
}

fn sides(s: &Sides) -> SidesRow {
    SidesRow {
        short_side: s.short.into(),
        to_post_a_m: measured(&s.to_a),
        to_post_b_m: measured(&s.to_b),
        kicks: kicks(s),
        sides_swap_m: m(s.swap_m),
    }
}

/// A station of the diagonal that was not taken.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct OtherStationRow {
    side: SideRow,
    end: EndRow,
    glare: Option<bool>,
}

/// What the near official can do who is caught behind.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct CaughtRow {
    at: PlacedRow,
    outside_line_m: Number,
    now_outside_line_m: Number,
    wanted_m: Option<Number>,
    restored: bool,
    run_off_known: bool,
    off_tangent_deg: Number,
}

fn caught(venue: &Venue, r: &Recovery) -> CaughtRow {
    CaughtRow {
        at: placed(venue, r.point),
        outside_line_m: m(r.out_m),
        now_outside_line_m: m(r.is_out_m),
        wanted_m: r.wanted_m.map(m),
        restored: r.restored,
        run_off_known: r.run_off_known,
        off_tangent_deg: deg(r.view.off_tangent_deg),
    }
}

/// After a throw-in: the thrower's run to the near post.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ToPostRow {
    way: WayRow,
    times: TimesRow,
}

/// A kick-in: from where, its mark, and the corners of its protected area.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct KickInRow {
    from: PlacedRow,
    mark: PlacedRow,
    protected_area: Vec<PlacedRow>,
}

fn kick_in(venue: &Venue, k: &KickIn) -> KickInRow {
    KickInRow {
        from: placed(venue, k.from),
        mark: placed(venue, k.mark),
        protected_area: k.protected.iter().map(|p| placed(venue, *p)).collect(),
    }
}

/// Where the sun is.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SunRow {
    true_deg: Option<Number>,
    high_deg: Number,
}

fn sun(venue: &Venue, s: &Sun) -> SunRow {
    let plan = venue.ground.oval().plan();
    SunRow { true_deg: plan.bearing(s.toward).ok().map(|b| bearing(b.degrees())), high_deg: deg(s.high_deg) }
}

/// A moment of a match: where everybody is, and why.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct MomentRow<'a> {
    phase: &'static str,
    case: &'static str,
    case_end: Option<EndRow>,
    crossed_inside_m: Option<Number>,
    too_close_to_call: bool,
    ball: Option<PlacedRow>,
    zones: Option<ZonesRow>,
    crossing: Option<CrossingRow>,
    sides: Option<SidesRow>,
    better_from_end: Option<EndRow>,
    better_by: Option<&'static str>,
    first: FirstRow,
    stand_long: Option<StandRow<'a>>,
    stations: Vec<StationRow<'a>>,
    other_diagonal: Vec<OtherStationRow>,
    caught_behind: Option<CaughtRow>,
    thrower_to_post: Option<ToPostRow>,
    on_the_full: Option<&'static str>,
    kick_in: Option<KickInRow>,
    relay: Option<RelayRow<'a>>,
    sun: Option<SunRow>,
}

/// A moment with its title.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct PhaseRow<'a> {
    #[serde(flatten)]
    moment: MomentRow<'a>,
    title: &'a str,
}

/// A moment's stations: `stations --phase … --json`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct MomentDocument<'a> {
    schema: u32,
    venue: &'a str,
    #[serde(flatten)]
    moment: MomentRow<'a>,
    cautions: &'a [String],
}

/// Phase after phase, with what is called: `stations --sheet --json`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct PhaseSheetDocument<'a> {
    schema: u32,
    venue: &'a str,
    match_day: Vec<MatchDayRow>,
    phases: Vec<PhaseRow<'a>>,
    #[serde(flatten)]
    calls: CallsRow,
    cautions: &'a [String],
}

fn case(c: Case) -> (&'static str, Option<EndRow>) {
    match c {
        Case::ByPhase => ("by phase", None),
        Case::Corridor => ("corridor", None),
        Case::NearLine(_) => ("near a line", None),
        Case::GoalRange(e) => ("goal range", Some(e.into())),
        Case::SetKick => ("set kick", None),
        Case::SetShot(e) => ("set shot", Some(e.into())),
    }
}

fn better_by(why: BetterBy) -> &'static str {
    match why {
        BetterBy::Sun => "sun",
        BetterBy::View => "view",
        BetterBy::Room => "room",
    }
}

fn on_the_full(f: OnTheFull) -> &'static str {
    match f {
        OnTheFull::RunUp => "run up",
        OnTheFull::SignalFirst => "signal first",
        OnTheFull::NotSaid => "not said",
    }
}

fn zones(venue: &Venue, a: &MomentAnswer) -> ZonesRow {
    ZonesRow {
        arc_a: a.zones.arc_a,
        arc_b: a.zones.arc_b,
        square: a.zones.square,
        wing: a.zones.wing.map(SideRow::from),
        arc_is: venue.ground.oval().parting().id(),
    }
}

/// A moment as a row.
pub(super) fn moment<'a>(venue: &'a Venue, a: &MomentAnswer) -> MomentRow<'a> {
    let q = &a.query.moment;
    let needs_ball = q.phase.needs_ball();
    let (case, case_end) = case(a.positions.case);
    let better = a.positions.better;
    let long = better.and_then(|b| b.first);
    let others = a.other_two.iter();
    MomentRow {
        phase: q.phase.id(),
        case,
        case_end,
        crossed_inside_m: a.crossed_inside_m.map(m),
        too_close_to_call: a.or_else.is_some(),
        ball: needs_ball.then(|| placed(venue, q.ball)),
        zones: needs_ball.then(|| zones(venue, a)),
        crossing: a.positions.crossing.map(|s| crossing(venue, &s)),
        sides: a.sides.as_ref().map(sides),
        better_from_end: better.map(|b| b.end.into()),
        better_by: better.map(|b| better_by(b.why)),
        first: if long.is_some() { FirstRow::Long } else { FirstRow::Short },
        stand_long: long.map(|s| stand(venue, &s)),
        stations: a.stations.iter().map(|p| station(venue, p)).collect(),
        other_diagonal: others
            .map(|o| OtherStationRow { side: o.side.into(), end: o.end.into(), glare: o.glare })
            .collect(),
        caught_behind: a.recovery.map(|r| caught(venue, &r)),
        thrower_to_post: a
            .to_post
            .as_ref()
            .map(|t| ToPostRow { way: way(&t.run.way), times: times(&t.times) }),
        on_the_full: a.on_the_full.map(on_the_full),
        kick_in: a.kick_in.map(|k| kick_in(venue, &k)),
        relay: a.relay.as_ref().map(|(r, t)| relay(venue, r, t)),
        sun: q.sun.as_ref().map(|s| sun(venue, s)),
    }
}

/// A moment with its title.
pub(super) fn phase<'a>(venue: &'a Venue, title: &'a str, a: &MomentAnswer) -> PhaseRow<'a> {
    PhaseRow { moment: moment(venue, a), title }
}

/// A moment's stations: `ovalpeg stations --phase … --json`.
#[must_use]
pub fn moment_json(venue: &Venue, a: &MomentAnswer, cautions: &[String]) -> String {
    let (id, moment) = (&venue.document.id, moment(venue, a));
    pretty(&MomentDocument { schema: SCHEMA, venue: id, moment, cautions })
}

/// Phase after phase: `ovalpeg stations --sheet --json`.
#[must_use]
pub fn phase_sheet_json(
    venue: &Venue,
    phases: &[(&'static str, MomentAnswer)],
    cautions: &[String],
) -> String {
    pretty(&PhaseSheetDocument {
        schema: SCHEMA,
        venue: &venue.document.id,
        match_day: match_day(),
        phases: phases.iter().map(|(title, a)| phase(venue, title, a)).collect(),
        calls: calls(venue.document.rules.throw_ins),
        cautions,
    })
}
