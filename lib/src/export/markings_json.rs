//! What is painted, as JSON.

use serde::Serialize;

use super::json::{EndRow, Number, PointRow, SideRow, m, point};
use crate::ground::{Mark, Marking};

/// The painted thing itself; each kind has keys of its own.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(tag = "kind", rename_all = "snake_case")]
enum MarkRow {
    Post {
        at: PointRow,
    },
    Segment {
        from: PointRow,
        to: PointRow,
    },
    Circle {
        centre: PointRow,
        radius_m: Number,
    },
    /// Anticlockwise.
    Arc {
        centre: PointRow,
        radius_m: Number,
        from: PointRow,
        to: PointRow,
    },
    #[serde(rename = "along the boundary")]
    Along {
        from_chainage_m: Number,
        to_chainage_m: Number,
    },
}

fn mark(mark: &Mark) -> MarkRow {
    match *mark {
        Mark::Post(p) => MarkRow::Post { at: point(p) },
        Mark::Segment(a, b) => MarkRow::Segment { from: point(a), to: point(b) },
        Mark::Circle { centre, radius_m } => MarkRow::Circle { centre: point(centre), radius_m: m(radius_m) },
        Mark::Arc { centre, radius_m, from, to } => {
            MarkRow::Arc { centre: point(centre), radius_m: m(radius_m), from: point(from), to: point(to) }
        }
        Mark::Along { from_m, to_m } => MarkRow::Along { from_chainage_m: m(from_m), to_chainage_m: m(to_m) },
    }
}

/// A marking, and where it comes from.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct MarkingRow {
    name: &'static str,
    end: Option<EndRow>,
    side: Option<SideRow>,
    #[serde(flatten)]
    mark: MarkRow,
    source: &'static str,
}

/// A marking.
pub(super) fn marking(k: &Marking) -> MarkingRow {
    MarkingRow {
        name: k.name,
        end: k.end.map(EndRow::from),
        side: k.side.map(SideRow::from),
        mark: mark(&k.mark),
        source: k.source,
    }
}
