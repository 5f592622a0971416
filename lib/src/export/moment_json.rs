//! A moment of a match as JSON.

use serde_json::{Map, Value, json};

use super::call_json::calls;
use super::json::{bearing, deg, m, measured, point, pretty, with_place};
use super::match_day::match_day;
use super::spot_json::{backsight, facing, placed, stand};
use super::watch_json::limit;
use crate::boundary::Side;
use crate::briefing::{MomentAnswer, OnTheFull, Placed, Seen};
use crate::officiate::{BetterBy, Case, InTheWay, Reason, ShortSide, StandKind, Times, Way};
use crate::units::print::round_to;
use crate::venue::Venue;

/// Seconds to a tenth.
fn seconds(t: &Times) -> Value {
    json!({
        "walk_s": round_to(t.walk_s, 1),
        "run_s": round_to(t.run_s, 1),
        "sprint_s": round_to(t.sprint_s, 1),
    })
}

fn way(w: &Way) -> Value {
    json!({
        "length_m": m(w.length_m),
        "points": w.points.iter().map(|p| point(*p)).collect::<Vec<_>>(),
    })
}

fn side(venue: &Venue, s: Side) -> Value {
    json!({ "side": s.to_string(), "side_name": venue.document.names.side(s) })
}

fn look(venue: &Venue, s: &Seen) -> Value {
    let crosses = s.crosses.map(|i| venue.document.surroundings.hazards[i].name.as_str());
    json!({ "at": s.at, "toward": facing(&s.toward), "crosses": crosses, "glare": s.glare })
}

fn station(venue: &Venue, p: &Placed) -> Value {
    let s = &p.station;
    let mut out = Map::new();
    if let Value::Object(map) = side(venue, s.side) {
        out.extend(map);
    }
    if let Value::Object(map) = with_place(point(s.point), p.place) {
        out.extend(map);
    }
    out.insert("facing".into(), facing(&p.facing));
    out.insert("reason".into(), json!(s.reason.words_on(venue.ground.oval())));
    out.insert("looks".into(), json!(p.looks.iter().map(|l| look(venue, l)).collect::<Vec<_>>()));
    let glare: Option<Vec<bool>> = p.looks.iter().map(|l| l.glare).collect();
    out.insert("glare".into(), json!(glare.map(|g| g.contains(&true))));
    if let Reason::Watch(kind) = s.reason {
        let back = match kind {
            StandKind::Tangent { back_m } | StandKind::AlongLine { back_m, .. } => Some(m(back_m)),
            StandKind::Post | StandKind::BesidePost | StandKind::NoPlace => None,
        };
        out.insert("back_m".into(), json!(back));
    }
    let beside: Vec<&str> =
        p.beside.iter().map(|&i| venue.document.surroundings.hazards[i].name.as_str()).collect();
    out.insert("hazards_beside".into(), json!(beside));
    out.insert("run_off_known".into(), json!(p.run_off_known));
    out.insert("limited_by".into(), json!(s.limit.map(|l| limit(venue, l))));
    out.insert(
        "view".into(),
        json!(s.view.map(|v| json!({
            "distance_m": m(v.distance_m),
            "off_tangent_deg": deg(v.off_tangent_deg),
            "seems_out_m": v.seems_out_m.map(m),
            "can_tell_m": v.can_tell_m().map(m),
        }))),
    );
    out.insert("backsight".into(), json!(p.backsight.map(|b| backsight(venue, &b))));
    out.insert(
        "measured".into(),
        json!({
            "x_m": measured(Some(&p.x)),
            "y_m": measured(Some(&p.y)),
            "outside_line_m": measured(Some(&p.outside_line)),
            "from_post_a_m": measured(Some(&p.from_a)),
            "facing_true_deg": measured(Some(&p.facing_deg)),
        }),
    );
    out.insert(
        "run".into(),
        json!(p.run.as_ref().map(|t| json!({
            "way": way(&t.run.way),
            "backward_m": m(t.run.backward_m()),
            "times": seconds(&t.times),
            "turn_and_look": t.mind.iter().map(|l| json!({
                "what": limit(venue, l.what),
                "at": placed(venue, l.at),
            })).collect::<Vec<_>>(),
        }))),
    );
    Value::Object(out)
}

/// What a group of players changes of a relay; groups are counted from 1.
fn in_the_way(venue: &Venue, w: &InTheWay) -> Value {
    match w {
        InTheWay::HandOverMoves { group, by_m } => {
            json!({ "group": group + 1, "what": "hand-over moves", "by_m": m(*by_m) })
        }
        InTheWay::HandOverFar { group, by_m } => {
            json!({ "group": group + 1, "what": "hand-over far", "by_m": m(*by_m) })
        }
        InTheWay::OnCorner { group, side: s } => {
            json!({ "group": group + 1, "what": "on corner", "side": side(venue, *s) })
        }
        InTheWay::HandOverStays { group } => json!({ "group": group + 1, "what": "hand-over stays" }),
        InTheWay::OnStation { group, side: s } => {
            json!({ "group": group + 1, "what": "on a start station", "side": side(venue, *s) })
        }
    }
}

/// A moment as a value.
pub(super) fn moment(venue: &Venue, a: &MomentAnswer) -> Value {
    let q = &a.query.moment;
    let needs_ball = q.phase.needs_ball();
    let end = |e: crate::boundary::End| e.to_string();
    let (case, case_end) = match a.positions.case {
        Case::ByPhase => ("by phase", None),
        Case::Corridor => ("corridor", None),
        Case::NearLine(_) => ("near a line", None),
        Case::GoalRange(e) => ("goal range", Some(e)),
        Case::SetKick => ("set kick", None),
        Case::SetShot(e) => ("set shot", Some(e)),
    };
    let zones = needs_ball.then(|| {
        json!({
            "arc_a": a.zones.arc_a,
            "arc_b": a.zones.arc_b,
            "square": a.zones.square,
            "wing": a.zones.wing.map(|s| s.to_string()),
            "arc_is": venue.ground.oval().parting().id(),
        })
    });
    json!({
        "phase": q.phase.id(),
        "case": case,
        "case_end": case_end.map(end),
        "crossed_inside_m": a.crossed_inside_m.map(m),
        "too_close_to_call": a.or_else.is_some(),
        "ball": needs_ball.then(|| placed(venue, q.ball)),
        "zones": zones,
        "crossing": a.positions.crossing.map(|c| {
            let mut at = placed(venue, c.point);
            if let Some(map) = at.as_object_mut() {
                map.insert("chainage_m".into(), m(c.chainage_m));
                map.insert("side".into(), json!(c.side.to_string()));
                map.insert("end".into(), json!(c.end.to_string()));
                map.insert("from_post_m".into(), m(c.from_post_m));
            }
            at
        }),
        "sides": a.sides.as_ref().map(|s| json!({
            "short_side": match s.short {
                ShortSide::Either => "either".to_owned(),
                ShortSide::Toward(e) => e.to_string(),
            },
            "to_post_a_m": measured(Some(&s.to_a)),
            "to_post_b_m": measured(Some(&s.to_b)),
            "kicks": json!({ "a": round_to(s.kicks_a, 1), "b": round_to(s.kicks_b, 1) }),
            "sides_swap_m": m(s.swap_m),
        })),
        "better_from_end": a.positions.better.map(|b| end(b.end)),
        "better_by": a.positions.better.map(|b| match b.why {
            BetterBy::Sun => "sun",
            BetterBy::View => "view",
            BetterBy::Room => "room",
        }),
        "first": a.positions.better.map_or("short", |b| if b.first.is_some() { "long" } else { "short" }),
        "stand_long": a.positions.better.and_then(|b| b.first).map(|s| stand(venue, &s)),
        "stations": a.stations.iter().map(|p| station(venue, p)).collect::<Vec<_>>(),
        "other_diagonal": a.other_two.iter().map(|o| json!({
            "side": o.side.to_string(), "end": o.end.to_string(), "glare": o.glare,
        })).collect::<Vec<_>>(),
        "caught_behind": a.recovery.map(|r| json!({
            "at": placed(venue, r.point),
            "outside_line_m": m(r.out_m),
            "now_outside_line_m": m(r.is_out_m),
            "wanted_m": r.wanted_m.map(m),
            "restored": r.restored,
            "run_off_known": r.run_off_known,
            "off_tangent_deg": deg(r.view.off_tangent_deg),
        })),
        "thrower_to_post": a.to_post.as_ref().map(|t| json!({
            "way": way(&t.run.way),
            "times": seconds(&t.times),
        })),
        "on_the_full": a.on_the_full.map(|f| match f {
            OnTheFull::RunUp => "run up",
            OnTheFull::SignalFirst => "signal first",
            OnTheFull::NotSaid => "not said",
        }),
        "kick_in": a.kick_in.map(|k| json!({
            "from": placed(venue, k.from),
            "mark": placed(venue, k.mark),
            "protected_area": k.protected.iter().map(|p| placed(venue, *p)).collect::<Vec<_>>(),
        })),
        "relay": a.relay.as_ref().map(|(r, t)| json!({
            "first": side(venue, r.first),
            "hand_over": placed(venue, r.hand_over),
            "field_umpire": placed(venue, r.field_umpire),
            "first_way": way(&r.first_way),
            "first_carries_m": m(r.first_carries_m),
            "first_times": seconds(&t[0]),
            "second_way": way(&r.second_way),
            "second_carries_m": m(r.second_carries_m),
            "second_times": seconds(&t[1]),
            "in_the_way": r.in_the_way.iter().map(|w| in_the_way(venue, w)).collect::<Vec<_>>(),
        })),
        "sun": q.sun.as_ref().map(|s| json!({
            "true_deg": venue.ground.oval().plan().bearing(s.toward).ok().map(|b| bearing(b.degrees())),
            "high_deg": deg(s.high_deg),
        })),
    })
}

/// A moment with its title.
pub(super) fn phase(venue: &Venue, title: &str, a: &MomentAnswer) -> Value {
    let mut value = moment(venue, a);
    if let Some(map) = value.as_object_mut() {
        map.insert("title".into(), json!(title));
    }
    value
}

/// A moment's stations: `ovalpeg stations --phase … --json`.
#[must_use]
pub fn moment_json(venue: &Venue, a: &MomentAnswer, cautions: &[String]) -> String {
    let mut out = Map::new();
    out.insert("schema".into(), json!(1));
    out.insert("venue".into(), json!(venue.document.id));
    if let Value::Object(map) = moment(venue, a) {
        out.extend(map);
    }
    out.insert("cautions".into(), json!(cautions));
    pretty(&Value::Object(out))
}

/// Phase after phase: `ovalpeg stations --sheet --json`.
#[must_use]
pub fn phase_sheet_json(
    venue: &Venue,
    phases: &[(&'static str, MomentAnswer)],
    cautions: &[String],
) -> String {
    let list: Vec<Value> = phases.iter().map(|(title, a)| phase(venue, title, a)).collect();
    let mut out = Map::new();
    out.insert("schema".into(), json!(1));
    out.insert("venue".into(), json!(venue.document.id));
    out.insert("match_day".into(), match_day());
    out.insert("phases".into(), json!(list));
    out.extend(calls(venue.document.rules.throw_ins));
    out.insert("cautions".into(), json!(cautions));
    pretty(&Value::Object(out))
}
