//! The sun through a match, as JSON.

use serde::Serialize;

use super::json::{EndRow, Number, SideRow, bearing, deg};
use crate::briefing::{Look, SunAt, SunBriefing};
use crate::ground::NamedSpot;
use crate::venue::Venue;

/// A look in words: `watch`, `face`, `post`, `start, down the square`, `start, along the arc`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct LookRow {
    look: &'static str,
    side: SideRow,
    end: EndRow,
    spot: Option<&'static str>,
}

fn look(l: &Look) -> LookRow {
    let (look, side, end, spot) = match *l {
        Look::Watch(s, e, n) => ("watch", s, e, Some(n)),
        Look::Face(s, e, n) => ("face", s, e, Some(n)),
        Look::Post(s, e) => ("post", s, e, None),
        Look::StartDown(s, e) => ("start, down the square", s, e, None),
        Look::StartAcross(s, e) => ("start, along the arc", s, e, None),
    };
    LookRow { look, side: side.into(), end: end.into(), spot: spot.map(NamedSpot::name) }
}

/// Where it stands at the start or end of a quarter, and the looks that it is in.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SunAtRow {
    quarter: u8,
    at: &'static str,
    time: String,
    true_deg: Number,
    high_deg: Number,
    glare: Vec<LookRow>,
    /// Where either side is as short: the end to stand toward so as to have it behind one.
    stand_toward_end: Option<EndRow>,
}

fn at(t: &SunAt) -> SunAtRow {
    SunAtRow {
        quarter: t.quarter,
        at: if t.at_start { "start" } else { "end" },
        time: t.time.to_string(),
        true_deg: bearing(t.sun.bearing.degrees()),
        high_deg: deg(t.sun.high_deg),
        glare: t.glare.iter().map(look).collect(),
        stand_toward_end: t.prefer.map(EndRow::from),
    }
}

/// The sun through a match.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct SunRow<'a> {
    timezone: &'a str,
    quarter_min: Number,
    times: Vec<SunAtRow>,
}

/// The sun through a match.
pub(super) fn sun<'a>(venue: &Venue, s: &'a SunBriefing) -> SunRow<'a> {
    SunRow {
        timezone: &s.zone,
        quarter_min: Number::as_given(venue.document.practice.quarter_min.value),
        times: s.times.iter().map(at).collect(),
    }
}
