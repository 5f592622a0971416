//! The ball's way back to the middle, as JSON.

use serde::Serialize;

use super::json::{Number, PlacedRow, m};
use super::spot_json::placed;
use super::station_json::{OwnSideRow, TimesRow, WayRow, side, times, way};
use crate::officiate::{InTheWay, Relay, Times};
use crate::venue::Venue;

/// What a group of players changes of a relay; groups are counted from 1.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct InTheWayRow<'a> {
    group: usize,
    what: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    by_m: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    side: Option<OwnSideRow<'a>>,
}

fn in_the_way<'a>(venue: &'a Venue, w: &InTheWay) -> InTheWayRow<'a> {
    let (group, what, by_m, on) = match *w {
        InTheWay::HandOverMoves { group, by_m } => (group, "hand-over moves", Some(by_m), None),
        InTheWay::HandOverFar { group, by_m } => (group, "hand-over far", Some(by_m), None),
        InTheWay::OnCorner { group, side } => (group, "on corner", None, Some(side)),
        InTheWay::HandOverStays { group } => (group, "hand-over stays", None, None),
        InTheWay::OnStation { group, side } => (group, "on a start station", None, Some(side)),
    };
    InTheWayRow { group: group + 1, what, by_m: by_m.map(m), side: on.map(|s| side(venue, s)) }
}

/// Who carries the ball how far, and where it is handed over.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct RelayRow<'a> {
    first: OwnSideRow<'a>,
    hand_over: PlacedRow,
    field_umpire: PlacedRow,
    first_way: WayRow,
    first_carries_m: Number,
    first_times: TimesRow,
    second_way: WayRow,
    second_carries_m: Number,
    second_times: TimesRow,
    in_the_way: Vec<InTheWayRow<'a>>,
}

/// A relay with the times of both ways.
pub(super) fn relay<'a>(venue: &'a Venue, r: &Relay, [first, second]: &[Times; 2]) -> RelayRow<'a> {
    RelayRow {
        first: side(venue, r.first),
        hand_over: placed(venue, r.hand_over),
        field_umpire: placed(venue, r.field_umpire),
        first_way: way(&r.first_way),
        first_carries_m: m(r.first_carries_m),
        first_times: times(first),
        second_way: way(&r.second_way),
        second_carries_m: m(r.second_carries_m),
        second_times: times(second),
        in_the_way: r.in_the_way.iter().map(|w| in_the_way(venue, w)).collect(),
    }
}
