//! Where play starts from, as JSON: the stations of both diagonals, the players' count and the zones.

use serde::Serialize;

use super::json::{
    MeasuredRow, NamedRow, Number, PlacedRow, SCHEMA, deg, m, measured, measured_or_null, named, pretty,
};
use super::moment_json::{MomentRow, moment};
use super::spot_json::placed;
use crate::boundary::{End, Side};
use crate::briefing::{Briefing, MomentAnswer, ZoneSizes};
use crate::ground::ArcAndSquare;
use crate::officiate::{Counts, Start, StartBy};
use crate::venue::Venue;

/// A start station.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct StartStationRow<'a> {
    #[serde(flatten)]
    at: PlacedRow,
    #[serde(flatten)]
    named: NamedRow<'a>,
}

/// What is painted to stand by.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct PaintedRow {
    square: bool,
    arcs: bool,
}

/// Where a pair stands when play starts, on the one diagonal or the other.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct StartRow<'a> {
    diagonals: Vec<Vec<StartStationRow<'a>>>,
    on_own_line: bool,
    beyond_corner_m: Option<Number>,
    arc_and_square: Option<&'static str>,
    arc_to_square_gap_m: Option<Number>,
    arc_top_angle_deg: Option<Number>,
    painted: PaintedRow,
}

/// The stations of a start, where there are any.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct StartsRow<'a> {
    start: Option<StartRow<'a>>,
}

fn station<'a>(venue: &'a Venue, start: &Start, side: Side, end: End) -> StartStationRow<'a> {
    StartStationRow {
        at: placed(venue, start.station(side, end)),
        named: named(&venue.document.names, side, end),
    }
}

fn start<'a>(venue: &'a Venue, start: &Start) -> StartRow<'a> {
    let (what, gap) = match start.arc_and_square {
        None => (None, None),
        Some(ArcAndSquare::Apart(gap)) => (Some("apart"), Some(gap)),
        Some(ArcAndSquare::Cuts) => (Some("the arc cuts the square's end edge"), None),
        Some(ArcAndSquare::Swallows) => (Some("the square's end edge lies inside the arc"), None),
    };
    let beyond = match start.by {
        StartBy::SquareSide { beyond_corner_m, .. } => Some(beyond_corner_m),
        StartBy::OwnLine => None,
    };
    let diagonals = start.diagonals();
    StartRow {
        diagonals: diagonals
            .iter()
            .map(|pair| pair.iter().map(|&(side, end)| station(venue, start, side, end)).collect())
            .collect(),
        on_own_line: start.by == StartBy::OwnLine,
        beyond_corner_m: beyond.map(m),
        arc_and_square: what,
        arc_to_square_gap_m: gap.map(m),
        arc_top_angle_deg: start.arc_top_angle_deg.map(deg),
        painted: PaintedRow { square: start.painted.square, arcs: start.painted.arcs },
    }
}

/// The stations of a start.
pub(super) fn starts<'a>(venue: &'a Venue, s: Option<&Start>) -> StartsRow<'a> {
    StartsRow { start: s.map(|s| start(venue, s)) }
}

/// Players who must be there when play starts, both sides together.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct PlayersRow {
    inside_each_arc: Option<u32>,
    in_the_square: Option<u32>,
    on_each_wing: Option<u32>,
    in_each_goal_square: Option<u32>,
    in_each_end_zone: Option<u32>,
    in_the_middle_zone: Option<u32>,
    source: &'static str,
}

fn players(venue: &Venue, counts: Option<Counts>) -> PlayersRow {
    PlayersRow {
        inside_each_arc: counts.and_then(|c| c.in_arc),
        in_the_square: counts.and_then(|c| c.in_square),
        on_each_wing: counts.and_then(|c| c.on_wing),
        in_each_goal_square: counts.and_then(|c| c.in_goal_square),
        in_each_end_zone: counts.and_then(|c| c.in_end_zone),
        in_the_middle_zone: counts.and_then(|c| c.in_middle_zone),
        source: venue.document.rules.start_in_arc.source,
    }
}

/// How large the zones are, square metres.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ZoneSizesRow {
    arc_a: MeasuredRow,
    arc_b: MeasuredRow,
    square: Option<MeasuredRow>,
    wing_left: Option<MeasuredRow>,
    wing_right: Option<MeasuredRow>,
}

fn zone_sizes(z: &ZoneSizes) -> ZoneSizesRow {
    ZoneSizesRow {
        arc_a: measured(&z.arc_a),
        arc_b: measured(&z.arc_b),
        square: measured_or_null(z.square.as_ref()),
        wing_left: measured_or_null(z.wing_left.as_ref()),
        wing_right: measured_or_null(z.wing_right.as_ref()),
    }
}

/// The bounce, with both diagonals, the players' count and the zones: `stations --json`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct StationsDocument<'a> {
    schema: u32,
    venue: &'a str,
    #[serde(flatten)]
    moment: MomentRow<'a>,
    #[serde(flatten)]
    starts: StartsRow<'a>,
    players: PlayersRow,
    zones_m2: Option<ZoneSizesRow>,
    cautions: &'a [String],
}

/// The bounce, as any other phase, with both diagonals, the players' count and the zones:
/// `ovalpeg stations --json`.
#[must_use]
pub fn stations_json(venue: &Venue, a: &MomentAnswer, b: &Briefing, zones: Option<&ZoneSizes>) -> String {
    pretty(&StationsDocument {
        schema: SCHEMA,
        venue: &venue.document.id,
        moment: moment(venue, a),
        starts: starts(venue, b.start.as_ref()),
        players: players(venue, b.start.as_ref().map(|s| s.counts(venue.ground.oval()))),
        zones_m2: zones.map(zone_sizes),
        cautions: &b.cautions,
    })
}
