//! What to watch out for, the posts and the walk round, as JSON.

use serde_json::{Map, Value, json};

use super::json::{m, measured};
use super::watch_words::{advice, stands};
use crate::boundary::{End, Side};
use crate::briefing::{
    Advice, AtPost, Briefing, InTheWay, Lies, LineStretch, Stop, StopLook, Thing, Watch, Whereabouts,
};
use crate::ground::NamedSpot;
use crate::officiate::Limit;
use crate::venue::Venue;

/// What keeps an official from the full distance.
pub(super) fn limit(venue: &Venue, l: Limit) -> Value {
    match l {
        Limit::Fence { distance_m, .. } => json!({ "what": "fence", "distance_m": m(distance_m) }),
        Limit::Hazard(i) => json!({ "what": venue.document.surroundings.hazards[i].name }),
    }
}

fn named(venue: &Venue, side: Side, end: End) -> Map<String, Value> {
    let names = &venue.document.names;
    let mut out = Map::new();
    out.insert("side".into(), json!(side.to_string()));
    out.insert("side_name".into(), json!(names.side(side)));
    out.insert("end".into(), json!(end.to_string()));
    out.insert("end_name".into(), json!(names.end(end)));
    out
}

/// A stretch of a line; each of its ends from the post nearer to it.
fn stretch(venue: &Venue, s: &LineStretch) -> Value {
    let mut out = named(venue, s.side, s.from.end);
    out.insert("from_post_m".into(), m(s.from.metres));
    out.insert("to_end".into(), json!(s.to.end.to_string()));
    out.insert("to_end_name".into(), json!(venue.document.names.end(s.to.end)));
    out.insert("to_from_post_m".into(), m(s.to.metres));
    out.insert("length_m".into(), m(s.length_m));
    out.insert("near".into(), json!(s.near.map(NamedSpot::name)));
    Value::Object(out)
}

fn whereabouts(venue: &Venue, at: &Whereabouts) -> Value {
    let mut out = named(venue, at.side, at.end);
    out.insert("near".into(), json!(at.near.map(NamedSpot::name)));
    out.insert("from_post_m".into(), measured(Some(&at.from_post)));
    // To its near edge; negative where that is inside.
    out.insert("off_line_m".into(), measured(at.edge_out().as_ref()));
    out.insert("radius_m".into(), m(at.radius_m));
    let lies = match at.lies() {
        Lies::Off(_) => "off the line",
        Lies::On => "on or near the line",
        Lies::Inside => "inside the line",
    };
    out.insert("lies".into(), json!(lies));
    out.insert("behind_goal".into(), json!(at.behind_goal));
    Value::Object(out)
}

fn in_the_way(venue: &Venue, w: &InTheWay) -> Value {
    let (what, stand, toward) = match w.advice {
        Advice::Stand { back_m, wide_m } => ("stand so", Some((back_m, wide_m)), None),
        Advice::StepRound => ("step round it", None, None),
        Advice::Long { toward, only: true } => ("long side only", None, Some(toward)),
        Advice::Long { toward, only: false } => ("long side sees better", None, Some(toward)),
        Advice::Nowhere => ("no safe place outside", None, None),
        Advice::AtPost => ("at the post", None, None),
    };
    json!({
        "crossings": w.crossings.iter().map(|s| stretch(venue, s)).collect::<Vec<_>>(),
        "advice": what,
        "back_m": stand.map(|(back, _)| m(back[0])),
        "back_most_m": stand.map(|(back, _)| m(back[1])),
        "outside_line_m": stand.map(|(_, wide)| m(wide[0])),
        "outside_line_most_m": stand.map(|(_, wide)| m(wide[1])),
        "toward_end": toward.map(|e| e.to_string()),
    })
}

/// One thing to watch out for, in words and as data.
pub(super) fn watch(venue: &Venue, w: &Watch) -> Value {
    let mut out = Map::new();
    out.insert("what".into(), json!(plain(&stands(venue, w, None))));
    out.insert("action".into(), json!(advice(venue, w, None).map(|text| plain(&text))));
    let kind = match &w.thing {
        Thing::Hazard { index, at } => {
            out.insert("name".into(), json!(venue.document.surroundings.hazards[*index].name));
            out.insert("stands".into(), json!(at.as_ref().map(|at| whereabouts(venue, at))));
            "hazard"
        }
        Thing::Fence { distance_m, along, near } => {
            out.insert("distance_m".into(), m(*distance_m));
            out.insert("under_the_rules_warning".into(), json!(near));
            out.insert("all_round".into(), json!(along.is_empty()));
            let along: Vec<Value> = along.iter().map(|s| stretch(venue, s)).collect();
            out.insert("along".into(), json!(along));
            "fence"
        }
        Thing::MayBeNear { spots, spare } => {
            let at: Vec<Value> = spots
                .iter()
                .map(|&(side, end, name)| {
                    let mut at = named(venue, side, end);
                    at.insert("spot".into(), json!(name.name()));
                    Value::Object(at)
                })
                .collect();
            out.insert("spots".into(), json!(at));
            out.insert("spare_m".into(), measured(Some(spare)));
            "fence may be too near"
        }
        Thing::NotSurveyed => "run-off not surveyed",
    };
    out.insert("kind".into(), json!(kind));
    let ways: Vec<Value> = w.in_the_way.iter().map(|i| in_the_way(venue, i)).collect();
    out.insert("in_the_way".into(), json!(ways));
    Value::Object(out)
}

/// Words without the blanks that lines are not broken at.
fn plain(text: &str) -> String {
    text.replace(super::lines::TIE, " ")
}

/// How one stands at each behind post.
pub(super) fn posts(venue: &Venue, b: &Briefing) -> Vec<Value> {
    b.posts
        .iter()
        .map(|p| {
            let mut out = named(venue, p.side, p.end);
            let (kind, metres) = match p.stands {
                AtPost::Behind(metres) => ("behind the post", Some(metres)),
                AtPost::Along(metres) => ("along the line", Some(metres)),
                AtPost::Nowhere => ("no safe place", None),
            };
            out.insert("stands".into(), json!(kind));
            out.insert("from_post_m".into(), json!(metres.map(m)));
            out.insert("limited_by".into(), json!(p.limit.map(|l| limit(venue, l))));
            Value::Object(out)
        })
        .collect()
}

/// The walk round on arrival, stop by stop.
pub(super) fn walk_round(venue: &Venue, b: &Briefing) -> Value {
    let walk = &b.walk_round;
    let stop = |s: &Stop| {
        let mut out = named(venue, s.side, s.end);
        out.insert("near".into(), json!(s.near.map(NamedSpot::name)));
        out.insert("from_post_m".into(), m(s.from_post_m));
        let around = &venue.document.surroundings;
        let (what, name, metres) = match s.look {
            StopLook::Find(i) => ("find the landmark", Some(&around.landmarks[i].name), None),
            StopLook::Pace(metres) => ("pace the fence", None, Some(m(metres))),
            StopLook::Hazard(i) => ("look at the hazard", Some(&around.hazards[i].name), None),
        };
        out.insert("what".into(), json!(what));
        out.insert("name".into(), json!(name));
        out.insert("distance_m".into(), json!(metres));
        Value::Object(out)
    };
    json!({
        "from_end": walk.from.to_string(),
        "first_side": walk.first.to_string(),
        "stops": walk.stops.iter().map(stop).collect::<Vec<_>>(),
    })
}
