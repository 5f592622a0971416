//! What to watch out for, the posts and the walk round, as JSON.

use serde::Serialize;

use super::json::{EndRow, MeasuredRow, NamedRow, Number, SideRow, m, measured, measured_or_null, named};
use super::watch_words::{advice, stands};
use crate::boundary::End;
use crate::briefing::{
    Advice, AtPost, Briefing, InTheWay, Lies, LineStretch, PostStation, Stop, StopLook, Thing, Watch,
    Whereabouts,
};
use crate::ground::NamedSpot;
use crate::officiate::Limit;
use crate::venue::Venue;

/// What keeps an official from the full distance: a hazard's name, or the fence and how far off it is.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct LimitRow<'a> {
    what: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    distance_m: Option<Number>,
}

pub(super) fn limit(venue: &Venue, l: Limit) -> LimitRow<'_> {
    match l {
        Limit::Fence { distance_m, .. } => LimitRow { what: "fence", distance_m: Some(m(distance_m)) },
        Limit::Hazard(i) => LimitRow { what: &venue.document.surroundings.hazards[i].name, distance_m: None },
    }
}

/// A stretch of a line; each of its ends from the post nearer to it.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct StretchRow<'a> {
    #[serde(flatten)]
    from: NamedRow<'a>,
    from_post_m: Number,
    to_end: EndRow,
    to_end_name: &'a str,
    to_from_post_m: Number,
    length_m: Number,
    near: Option<&'static str>,
}

fn stretch<'a>(venue: &'a Venue, s: &LineStretch) -> StretchRow<'a> {
    let names = &venue.document.names;
    StretchRow {
        from: named(names, s.side, s.from.end),
        from_post_m: m(s.from.metres),
        to_end: s.to.end.into(),
        to_end_name: names.end(s.to.end),
        to_from_post_m: m(s.to.metres),
        length_m: m(s.length_m),
        near: s.near.map(NamedSpot::name),
    }
}

/// Where a hazard stands.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct WhereaboutsRow<'a> {
    #[serde(flatten)]
    named: NamedRow<'a>,
    near: Option<&'static str>,
    from_post_m: MeasuredRow,
    /// To its near edge; negative where that is inside.
    off_line_m: Option<MeasuredRow>,
    radius_m: Number,
    lies: &'static str,
    behind_goal: bool,
}

fn whereabouts<'a>(venue: &'a Venue, at: &Whereabouts) -> WhereaboutsRow<'a> {
    WhereaboutsRow {
        named: named(&venue.document.names, at.side, at.end),
        near: at.near.map(NamedSpot::name),
        from_post_m: measured(&at.from_post),
        off_line_m: measured_or_null(at.edge_out().as_ref()),
        radius_m: m(at.radius_m),
        lies: match at.lies() {
            Lies::Off(_) => "off the line",
            Lies::On => "on or near the line",
            Lies::Inside => "inside the line",
        },
        behind_goal: at.behind_goal,
    }
}

/// Crossings whose stand something is in the way of, and what to do there.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct InTheWayRow<'a> {
    crossings: Vec<StretchRow<'a>>,
    advice: &'static str,
    back_m: Option<Number>,
    back_most_m: Option<Number>,
    outside_line_m: Option<Number>,
    outside_line_most_m: Option<Number>,
    toward_end: Option<EndRow>,
}

fn in_the_way<'a>(venue: &'a Venue, w: &InTheWay) -> InTheWayRow<'a> {
    let (advice, stand, toward) = match w.advice {
        Advice::Stand { back_m, wide_m } => ("stand so", Some((back_m, wide_m)), None),
        Advice::StepRound => ("step round it", None, None),
        Advice::Long { toward, only: true } => ("long side only", None, Some(toward)),
        Advice::Long { toward, only: false } => ("long side sees better", None, Some(toward)),
        Advice::Nowhere => ("no safe place outside", None, None),
        Advice::AtPost => ("at the post", None, None),
    };
    InTheWayRow {
        crossings: w.crossings.iter().map(|s| stretch(venue, s)).collect(),
        advice,
        back_m: stand.map(|(back, _)| m(back[0])),
        back_most_m: stand.map(|(back, _)| m(back[1])),
        outside_line_m: stand.map(|(_, wide)| m(wide[0])),
        outside_line_most_m: stand.map(|(_, wide)| m(wide[1])),
        toward_end: toward.map(End::into),
    }
}

/// A spot by its name.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct NearSpotRow<'a> {
    #[serde(flatten)]
    named: NamedRow<'a>,
    spot: &'static str,
}

/// The thing itself; each kind has keys of its own.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(untagged)]
enum ThingRow<'a> {
    Hazard {
        name: &'a str,
        stands: Option<WhereaboutsRow<'a>>,
        kind: KindRow,
    },
    Fence {
        distance_m: Number,
        under_the_rules_warning: bool,
        all_round: bool,
        along: Vec<StretchRow<'a>>,
        kind: KindRow,
    },
    MayBeNear {
        spots: Vec<NearSpotRow<'a>>,
        spare_m: MeasuredRow,
        kind: KindRow,
    },
    NotSurveyed {
        kind: KindRow,
    },
}

/// What kind of thing it is.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
enum KindRow {
    #[serde(rename = "hazard")]
    Hazard,
    #[serde(rename = "fence")]
    Fence,
    #[serde(rename = "fence may be too near")]
    MayBeNear,
    #[serde(rename = "run-off not surveyed")]
    NotSurveyed,
}

/// One thing to watch out for, in words and as data.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct WatchRow<'a> {
    what: String,
    action: Option<String>,
    #[serde(flatten)]
    thing: ThingRow<'a>,
    in_the_way: Vec<InTheWayRow<'a>>,
}

fn thing<'a>(venue: &'a Venue, t: &Thing) -> ThingRow<'a> {
    match t {
        Thing::Hazard { index, at } => ThingRow::Hazard {
            name: &venue.document.surroundings.hazards[*index].name,
            stands: at.as_ref().map(|at| whereabouts(venue, at)),
            kind: KindRow::Hazard,
        },
        Thing::Fence { distance_m, along, near } => ThingRow::Fence {
            distance_m: m(*distance_m),
            under_the_rules_warning: *near,
            all_round: along.is_empty(),
            along: along.iter().map(|s| stretch(venue, s)).collect(),
            kind: KindRow::Fence,
        },
        Thing::MayBeNear { spots, spare } => ThingRow::MayBeNear {
            spots: spots
                .iter()
                .map(|&(side, end, spot)| NearSpotRow {
                    named: named(&venue.document.names, side, end),
                    spot: spot.name(),
                })
                .collect(),
            spare_m: measured(spare),
            kind: KindRow::MayBeNear,
        },
        Thing::NotSurveyed => ThingRow::NotSurveyed { kind: KindRow::NotSurveyed },
    }
}

/// One thing to watch out for.
pub(super) fn watch<'a>(venue: &'a Venue, w: &Watch) -> WatchRow<'a> {
    WatchRow {
        what: plain(&stands(venue, w, None)),
        action: advice(venue, w, None).map(|text| plain(&text)),
        thing: thing(venue, &w.thing),
        in_the_way: w.in_the_way.iter().map(|i| in_the_way(venue, i)).collect(),
    }
}

/// Words without the blanks that lines are not broken at.
fn plain(text: &str) -> String {
    text.replace(super::lines::TIE, " ")
}

/// How one stands at a behind post.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct PostRow<'a> {
    #[serde(flatten)]
    named: NamedRow<'a>,
    stands: &'static str,
    from_post_m: Option<Number>,
    limited_by: Option<LimitRow<'a>>,
}

fn post<'a>(venue: &'a Venue, p: &PostStation) -> PostRow<'a> {
    let (stands, metres) = match p.stands {
        AtPost::Behind(metres) => ("behind the post", Some(metres)),
        AtPost::Along(metres) => ("along the line", Some(metres)),
        AtPost::Nowhere => ("no safe place", None),
    };
    PostRow {
        named: named(&venue.document.names, p.side, p.end),
        stands,
        from_post_m: metres.map(m),
        limited_by: p.limit.map(|l| limit(venue, l)),
    }
}

/// How one stands at each behind post.
pub(super) fn posts<'a>(venue: &'a Venue, b: &Briefing) -> Vec<PostRow<'a>> {
    b.posts.iter().map(|p| post(venue, p)).collect()
}

/// A stop on the walk round, and what to do there.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct StopRow<'a> {
    #[serde(flatten)]
    named: NamedRow<'a>,
    near: Option<&'static str>,
    from_post_m: Number,
    what: &'static str,
    name: Option<&'a str>,
    distance_m: Option<Number>,
}

fn stop<'a>(venue: &'a Venue, s: &Stop) -> StopRow<'a> {
    let around = &venue.document.surroundings;
    let (what, name, metres) = match s.look {
        StopLook::Find(i) => ("find the landmark", Some(around.landmarks[i].name.as_str()), None),
        StopLook::Pace(metres) => ("pace the fence", None, Some(metres)),
        StopLook::Hazard(i) => ("look at the hazard", Some(around.hazards[i].name.as_str()), None),
    };
    StopRow {
        named: named(&venue.document.names, s.side, s.end),
        near: s.near.map(NamedSpot::name),
        from_post_m: m(s.from_post_m),
        what,
        name,
        distance_m: metres.map(m),
    }
}

/// The walk round on arrival, stop by stop.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct WalkRoundRow<'a> {
    from_end: EndRow,
    first_side: SideRow,
    stops: Vec<StopRow<'a>>,
}

/// The walk round on arrival.
pub(super) fn walk_round<'a>(venue: &'a Venue, b: &Briefing) -> WalkRoundRow<'a> {
    let walk = &b.walk_round;
    WalkRoundRow {
        from_end: walk.from.into(),
        first_side: walk.first.into(),
        stops: walk.stops.iter().map(|s| stop(venue, s)).collect(),
    }
}
