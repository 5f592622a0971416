//! One spot's answer as JSON, the same wherever it is asked, and a throw-in there.

use serde_json::{Map, Value, json};

use super::json::{bearing, deg, m, measured, point, pretty, with_place};
use super::watch_json::limit;
use crate::briefing::{Facing, SpotRow};
use crate::frame::Ground as GroundFrame;
use crate::geometry::Point;
use crate::ground::Arcs;
use crate::officiate::{Backsight, ShortSide, Stand, StandKind};
use crate::venue::Venue;

pub(super) fn facing(f: &Facing) -> Value {
    json!({
        "true_deg": bearing(f.true_bearing.degrees()),
        "magnetic_deg": f.magnetic.map(|b| bearing(b.degrees())),
    })
}

pub(super) fn placed(venue: &Venue, p: Point<GroundFrame>) -> Value {
    with_place(point(p), SpotRow::geodetic(venue, p))
}

/// A landmark and how far off it the direction lies.
pub(super) fn backsight(venue: &Venue, b: &Backsight) -> Value {
    let landmark = &venue.document.surroundings.landmarks[b.landmark];
    json!({
        "landmark": landmark.name,
        "at_night": landmark.at_night,
        "height_m": landmark.height_m.map(m),
        "off_deg": deg(b.off_deg),
        "fists": f64::from(b.half_fists) / 2.0,
    })
}

/// A place to stand.
pub(super) fn stand(venue: &Venue, s: &Stand) -> Value {
    let (kind, back, off) = match s.kind {
        StandKind::Tangent { back_m } => ("back along the tangent", Some(back_m), None),
        StandKind::Post => ("at the behind post", None, None),
        StandKind::BesidePost => ("beside the behind post", None, None),
        StandKind::NoPlace => ("no safe place", None, None),
        StandKind::AlongLine { back_m, off_tangent_deg } => {
            ("back along the line", Some(back_m), Some(off_tangent_deg))
        }
    };
    let mut out = placed(venue, s.point);
    if let Some(map) = out.as_object_mut() {
        map.insert("outside_line_m".into(), m(s.outside_line_m));
        map.insert("chord_angle_deg".into(), json!(s.chord_angle_deg.map(deg)));
        map.insert("kind".into(), json!(kind));
        map.insert("toward_end".into(), json!(s.toward.to_string()));
        map.insert("back_m".into(), json!(back.map(m)));
        map.insert("off_tangent_deg".into(), json!(off.map(deg)));
        map.insert("limited_by".into(), json!(s.limit.map(|l| limit(venue, l))));
    }
    out
}

/// One spot's answer, the same wherever it is asked.
pub(super) fn row(venue: &Venue, r: &SpotRow) -> Map<String, Value> {
    let names = &venue.document.names;
    let spot = json!({
        "chainage_m": m(r.spot.chainage_m),
        "side": r.spot.side.to_string(),
        "side_name": names.side(r.spot.side),
        "end": r.spot.end.to_string(),
        "end_name": names.end(r.spot.end),
        "from_post_m": m(r.spot.from_post_m),
        "x_m": m(r.spot.point.x),
        "y_m": m(r.spot.point.y),
    });
    let short = match r.sides.short {
        ShortSide::Either => "either".to_owned(),
        ShortSide::Toward(end) => end.to_string(),
    };
    let mut out = Map::new();
    out.insert("spot".into(), with_place(spot, r.place));
    // Rules without throw-ins have none of these.
    let throw = |value: Value| if venue.document.rules.throw_ins { value } else { Value::Null };
    out.insert("aim".into(), throw(facing(&r.aim)));
    out.insert("face".into(), throw(facing(&r.face)));
    out.insert("landing".into(), throw(placed(venue, r.throw.landing)));
    out.insert("straightened".into(), throw(json!(r.throw.straightened)));
    out.insert("axis_angle_deg".into(), throw(deg(r.throw.axis_angle_deg)));
    out.insert("between_arcs".into(), json!(r.between_arcs()));
    out.insert(
        "inside_arc".into(),
        match r.spot.arcs {
            Arcs::Between => Value::Null,
            Arcs::Inside(end) => json!(end.to_string()),
        },
    );
    out.insert("short_side".into(), json!(short));
    out.insert("to_post_a_m".into(), measured(Some(&r.sides.to_a)));
    out.insert("to_post_b_m".into(), measured(Some(&r.sides.to_b)));
    out.insert("sides_swap_m".into(), m(r.sides.swap_m));
    out.insert("kicks".into(), json!({ "a": round1(r.sides.kicks_a), "b": round1(r.sides.kicks_b) }));
    out.insert("stand".into(), stand(venue, &r.stand));
    out.insert("first".into(), json!(if r.stand_long.is_some() { "long" } else { "short" }));
    out.insert("stand_long".into(), json!(r.stand_long.map(|s| stand(venue, &s))));
    out.insert("backsight".into(), throw(json!(r.backsight.map(|b| backsight(venue, &b)))));
    out.insert("pick_up".into(), throw(json!(r.pick_up.map(|b| backsight(venue, &b)))));
    let hazards = &venue.document.surroundings.hazards;
    let beside: Vec<&str> = r.beside.iter().map(|&i| hazards[i].name.as_str()).collect();
    out.insert("hazards_beside".into(), json!(beside));
    out.insert(
        "measured".into(),
        json!({
            "chainage_m": measured(Some(&r.chainage)),
            "from_post_m": measured(Some(&r.from_post)),
            "aim_true_deg": throw(measured(Some(&r.aim_deg))),
            "outside_line_m": measured(Some(&r.outside_line)),
            "chord_angle_deg": measured(r.chord_angle.as_ref()),
            "spare_run_off_m": measured(r.spare_run_off.as_ref()),
        }),
    );
    out
}

/// Kicks to one decimal, as the definitions have them.
fn round1(v: f64) -> f64 {
    crate::units::print::round_to(v, 1)
}

/// A throw-in: `ovalpeg throw-in --json`.
#[must_use]
pub fn throw_in_json(
    venue: &Venue,
    briefing_day: crate::units::Day,
    r: &SpotRow,
    cautions: &[String],
) -> String {
    let mut out = Map::new();
    out.insert("schema".into(), json!(1));
    out.insert("venue".into(), json!(venue.document.id));
    out.insert("day".into(), json!(briefing_day.to_string()));
    out.extend(row(venue, r));
    out.insert("cautions".into(), json!(cautions));
    pretty(&Value::Object(out))
}
