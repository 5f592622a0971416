//! A stretch that departs from the best ellipse, or is straight, as JSON.

use serde::Serialize;

use super::json::{MeasuredRow, Number, SideRow, m, measured, measured_or_null};
use crate::briefing::Departed;
use crate::venue::Venue;

/// A stretch of line, by the chainages of its ends.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct DepartureRow {
    kind: &'static str,
    side: SideRow,
    from_m: Number,
    to_m: Number,
    /// Outward; negative inside.
    most: MeasuredRow,
    most_at_m: Number,
    straight_m: Option<MeasuredRow>,
    sure: bool,
}

/// The same by a venue's names.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct NamedDepartureRow<'a> {
    #[serde(flatten)]
    departure: DepartureRow,
    side_name: &'a str,
}

/// A stretch without a venue's names.
pub(super) fn departure(d: &Departed) -> DepartureRow {
    let s = &d.stretch;
    DepartureRow {
        kind: s.kind.id(),
        side: s.side.into(),
        from_m: m(s.from_m),
        to_m: m(s.to_m),
        most: measured(&d.most),
        most_at_m: m(s.most_at_m),
        straight_m: measured_or_null(d.straight.as_ref()),
        sure: d.sure,
    }
}

/// A stretch by a venue's names.
pub(super) fn named_departure<'a>(venue: &'a Venue, d: &Departed) -> NamedDepartureRow<'a> {
    NamedDepartureRow { departure: departure(d), side_name: venue.document.names.side(d.stretch.side) }
}
