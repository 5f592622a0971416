//! What is asked of a venue, as JSON.

use serde_json::{Map, Value, json};

use super::json::{bearing, deg, m, measured, point, pretty};
use super::moment_json::{moment, phase};
use super::record_json::record;
use super::spot_json::{placed, row};
use super::watch_json::{limit, posts, walk_round, watch};
use crate::boundary::{End, Side};
use crate::briefing::{
    Briefing, Corridor, Departed, Look, MomentAnswer, SpotRow, Stands, SunBriefing, ZoneSizes,
};
use crate::frame::Ground as GroundFrame;
use crate::geometry::{Point, Shape};
use crate::ground::{ArcAndSquare, Mark, NamedSpot, Parting, Square};
use crate::officiate::{Start, StartBy};
use crate::rules::LastDisposal;
use crate::venue::Venue;

fn stations(venue: &Venue, start: Option<&Start>) -> Value {
    let Some(start) = start else { return json!({ "start": null }) };
    let (what, gap) = match start.arc_and_square {
        None => (None, None),
        Some(ArcAndSquare::Apart(gap)) => (Some("apart"), Some(m(gap))),
        Some(ArcAndSquare::Cuts) => (Some("the arc cuts the square's end edge"), None),
        Some(ArcAndSquare::Swallows) => (Some("the square's end edge lies inside the arc"), None),
    };
    let beyond = match start.by {
        StartBy::SquareSide { beyond_corner_m, .. } => Some(m(beyond_corner_m)),
        StartBy::OwnLine => None,
    };
    let diagonals: Vec<Value> = start
        .diagonals()
        .iter()
        .map(|pair| {
            pair.iter()
                .map(|&(side, end)| {
                    let mut s = placed(venue, start.station(side, end));
                    if let Some(map) = s.as_object_mut() {
                        map.insert("side".into(), json!(side.to_string()));
                        map.insert("side_name".into(), json!(venue.document.names.side(side)));
                        map.insert("end".into(), json!(end.to_string()));
                        map.insert("end_name".into(), json!(venue.document.names.end(end)));
                    }
                    s
                })
                .collect()
        })
        .collect();
    json!({
        "start": {
            "diagonals": diagonals,
            "on_own_line": start.by == StartBy::OwnLine,
            "beyond_corner_m": beyond,
            "arc_and_square": what,
            "arc_to_square_gap_m": gap,
            "arc_top_angle_deg": start.arc_top_angle_deg.map(deg),
            "painted": { "square": start.painted.square, "arcs": start.painted.arcs },
        },
    })
}

/// A stretch of line where the way back is cut short, and by how much at its worst.
fn corridor(venue: &Venue, c: &Corridor) -> Value {
    let back = venue.document.practice.back_m.value;
    json!({
        "side": c.side.to_string(),
        "side_name": venue.document.names.side(c.side),
        "end": c.end.to_string(),
        "end_name": venue.document.names.end(c.end),
        "from_post_m": m(c.from_m),
        "to_from_post_m": m(c.to_m),
        "limited_by": limit(venue, c.limit),
        "least_back_m": c.least_back_m.map(m),
        "missing_m": m(back - c.least_back_m.filter(|_| !c.blocked).unwrap_or(0.0)),
        "blocked": c.blocked,
        "at_post": c.stands == Stands::AtPost,
        "off_tangent_deg": deg(c.off_tangent_deg),
    })
}

/// A look in words: `watch`, `face`, `post`, `start, down the square`, `start, along the arc`.
fn look(l: &Look) -> Value {
    let (what, side, end, spot) = match *l {
        Look::Watch(s, e, n) => ("watch", s, e, Some(n)),
        Look::Face(s, e, n) => ("face", s, e, Some(n)),
        Look::Post(s, e) => ("post", s, e, None),
        Look::StartDown(s, e) => ("start, down the square", s, e, None),
        Look::StartAcross(s, e) => ("start, along the arc", s, e, None),
    };
    json!({
        "look": what,
        "side": side.to_string(),
        "end": end.to_string(),
        "spot": spot.map(NamedSpot::name),
    })
}

fn sun(venue: &Venue, s: &SunBriefing) -> Value {
    let times: Vec<Value> = s
        .times
        .iter()
        .map(|t| {
            json!({
                "quarter": t.quarter,
                "at": if t.at_start { "start" } else { "end" },
                "time": t.time.to_string(),
                "true_deg": bearing(t.sun.bearing.degrees()),
                "high_deg": deg(t.sun.high_deg),
                "glare": t.glare.iter().map(look).collect::<Vec<_>>(),
                "stand_toward_end": t.prefer.map(|e| e.to_string()),
            })
        })
        .collect();
    json!({
        "timezone": s.zone,
        "quarter_min": venue.document.practice.quarter_min.value,
        "times": times,
    })
}

/// The bounce, as any other phase, with both diagonals, the players' count and the zones:
/// `ovalpeg stations --json`.
#[must_use]
pub fn stations_json(venue: &Venue, a: &MomentAnswer, b: &Briefing, zones: Option<&ZoneSizes>) -> String {
    let counts = b.start.as_ref().map(|s| s.counts(venue.ground.oval()));
    let mut out = Map::new();
    out.insert("schema".into(), json!(1));
    out.insert("venue".into(), json!(venue.document.id));
    for more in [moment(venue, a), stations(venue, b.start.as_ref())] {
        if let Value::Object(map) = more {
            out.extend(map);
        }
    }
    let more = json!({
        "players": {
            "inside_each_arc": counts.and_then(|c| c.in_arc),
            "in_the_square": counts.and_then(|c| c.in_square),
            "on_each_wing": counts.and_then(|c| c.on_wing),
            "in_each_goal_square": counts.and_then(|c| c.in_goal_square),
            "in_each_end_zone": counts.and_then(|c| c.in_end_zone),
            "in_the_middle_zone": counts.and_then(|c| c.in_middle_zone),
            "source": venue.document.rules.start_in_arc.source,
        },
        "zones_m2": zones.map(|z| json!({
            "arc_a": measured(Some(&z.arc_a)),
            "arc_b": measured(Some(&z.arc_b)),
            "square": measured(z.square.as_ref()),
            "wing_left": measured(z.wing_left.as_ref()),
            "wing_right": measured(z.wing_right.as_ref()),
        })),
        "cautions": b.cautions,
    });
    if let Value::Object(map) = more {
        out.extend(map);
    }
    pretty(&Value::Object(out))
}

fn mark(mark: &Mark) -> (&'static str, Map<String, Value>) {
    let mut out = Map::new();
    let kind = match *mark {
        Mark::Post(p) => {
            out.insert("at".into(), point(p));
            "post"
        }
        Mark::Segment(a, b) => {
            out.insert("from".into(), point(a));
            out.insert("to".into(), point(b));
            "segment"
        }
        Mark::Circle { centre, radius_m } => {
            out.insert("centre".into(), point(centre));
            out.insert("radius_m".into(), m(radius_m));
            "circle"
        }
        Mark::Arc { centre, radius_m, from, to } => {
            out.insert("centre".into(), point(centre));
            out.insert("radius_m".into(), m(radius_m));
            out.insert("from".into(), point(from));
            out.insert("to".into(), point(to));
            "arc"
        }
        Mark::Along { from_m, to_m } => {
            out.insert("from_chainage_m".into(), m(from_m));
            out.insert("to_chainage_m".into(), m(to_m));
            "along the boundary"
        }
    };
    (kind, out)
}

/// The closed curve that both lines are parts of. Centre, semi-axes and turn are those
/// of the ellipse, also where it is then cut or departed from, or of the four arcs.
fn shape(curve: &Shape<GroundFrame>) -> Value {
    let mut out = Map::new();
    out.insert("model".into(), json!(curve.model()));
    out.insert("centre".into(), point(curve.centre()));
    out.insert("semi_axes_m".into(), json!(curve.semi_axes_m().map(m)));
    out.insert("turn_deg".into(), deg(curve.turn_deg()));
    match curve {
        Shape::FourArc(o) => {
            out.insert("end_radius_m".into(), m(o.end_radius_m()));
            out.insert("side_radius_m".into(), m(o.side_radius_m()));
        }
        Shape::CutEllipse(c) => {
            out.insert("cut".into(), json!(c.chord().map(point)));
        }
        // Of a periodic uniform cubic B-spline.
        Shape::Freeform(s) => {
            let points: Vec<Value> = s.control_points().into_iter().map(point).collect();
            out.insert("control_points".into(), json!(points));
        }
        _ => {}
    }
    Value::Object(out)
}

/// A stretch that departs from the best ellipse, or is straight; chainages of its ends.
fn departed(venue: &Venue, d: &Departed) -> Value {
    let mut value = departure(d);
    if let Some(map) = value.as_object_mut() {
        map.insert("side_name".into(), json!(venue.document.names.side(d.stretch.side)));
    }
    value
}

/// The same without the venue's names.
pub(super) fn departure(d: &Departed) -> Value {
    let s = &d.stretch;
    json!({
        "kind": s.kind.id(),
        "side": s.side.to_string(),
        "from_m": m(s.from_m),
        "to_m": m(s.to_m),
        "most": measured(Some(&d.most)),
        "most_at_m": m(s.most_at_m),
        "straight_m": measured(d.straight.as_ref()),
        "sure": d.sure,
    })
}

/// The whole briefing and the phases of a match: `ovalpeg card --json`.
#[must_use]
pub fn card_json(venue: &Venue, b: &Briefing, phases: &[(&'static str, MomentAnswer)]) -> String {
    let d = &venue.document;
    let oval = venue.ground.oval();
    let boundary = oval.boundary();
    let shape = shape(boundary.curve(Side::Left));
    let s = &b.sizes;
    let facing = b.facing.map(|f| {
        json!({
            "end_a": bearing(f[0].degrees()), "end_b": bearing(f[1].degrees()),
            "left": bearing(f[2].degrees()), "right": bearing(f[3].degrees()),
        })
    });
    let markings: Vec<Value> = b
        .markings
        .iter()
        .map(|k| {
            let (kind, shape) = mark(&k.mark);
            let mut out = Map::new();
            out.insert("name".into(), json!(k.name));
            out.insert("end".into(), json!(k.end.map(|e| e.to_string())));
            out.insert("side".into(), json!(k.side.map(|s| s.to_string())));
            out.insert("kind".into(), json!(kind));
            out.extend(shape);
            out.insert("source".into(), json!(k.source));
            Value::Object(out)
        })
        .collect();
    let spots: Vec<Value> = b
        .spots
        .iter()
        .map(|(_, _, name, r): &(Side, End, NamedSpot, SpotRow)| {
            let mut out = Map::new();
            out.insert("name".into(), json!(name.name()));
            out.extend(row(venue, r));
            Value::Object(out)
        })
        .collect();
    let watch: Vec<Value> = b.watch.iter().map(|w| watch(venue, w)).collect();
    let value = json!({
        "schema": 1,
        "venue": { "id": d.id, "name": d.name, "ends": { "a": d.names.ends[0], "b": d.names.ends[1] },
                   "sides": { "left": d.names.sides[0], "right": d.names.sides[1] } },
        "day": b.day.to_string(),
        "night": b.night,
        "surveyed": d.surveyed.to_string(),
        "method": d.surveys.first().and_then(|s| s.method).map(|k| k.id()),
        "surveys": d.surveys.iter().map(|s| json!({
            "file": s.file,
            "method": s.method.map(|k| k.id()),
            "edge": s.edge.id(),
            "line_width_m": s.line_width_m,
        })).collect::<Vec<Value>>(),
        "record": record(d, b.day),
        "declination_deg": b.declination.map(|k| json!({
            "value": deg(k.east_deg()), "sd": deg(k.sd_deg()),
            "lo95": deg(k.east_deg() - 1.96 * k.sd_deg()), "hi95": deg(k.east_deg() + 1.96 * k.sd_deg()),
        })),
        "bearings_true_deg": facing,
        "watch": watch,
        "posts": posts(venue, b),
        "walk_round": walk_round(venue, b),
        "tight_corridors": b.corridors.iter().map(|c| corridor(venue, c)).collect::<Vec<_>>(),
        "sun": b.sun.as_ref().map(|s| sun(venue, s)),
        "ground": {
            "length_m": measured(s.length.as_ref()),
            "width_m": measured(s.width.as_ref()),
            "width_at_wings_m": measured(s.width_at_wings.as_ref()),
            "half_width_left_m": measured(s.half_width_left.as_ref()),
            "half_width_right_m": measured(s.half_width_right.as_ref()),
            "perimeter_m": measured(s.perimeter.as_ref()),
            "area_m2": measured(s.area.as_ref()),
            "goal_axis_bearing_deg": measured(s.axis_deg.as_ref()),
            "boundary": shape,
            "centre": placed(venue, Point::ORIGIN),
            "rule_set": d.rules.id,
            "square": match oval.square() {
                Square::Fits { half_m } => json!({ "fits": true, "side_m": m(2.0 * half_m) }),
                Square::DoesNotFit { half_m, inside_m } => json!({
                    "fits": false, "side_m": m(2.0 * half_m), "corner_inside_m": m(inside_m),
                }),
                Square::NotInTheRules => Value::Null,
            },
            "ends_parted_by": match oval.parting() {
                Parting::Arc { radius_m } => json!({ "kind": "arc", "radius_m": m(radius_m) }),
                Parting::GoalRange { radius_m, .. } => json!({ "kind": "goal-range", "radius_m": m(radius_m) }),
                Parting::ZoneLine { depth_m } => json!({ "kind": "zone", "depth_m": m(depth_m) }),
            },
            "kick_in_mark_m": m(d.rules.kick_in_mark_m.value),
            "restart": d.rules.restart.words(),
            "throw_ins": d.rules.throw_ins,
            "spread": { "half_width_over_sd": m(venue.fit.spread.ratio()), "error_lasts_m": venue.fit.error_lasts_m.map(m) },
        },
        "markings": markings,
        "spots": spots,
        "stations": stations(venue, b.start.as_ref()),
        "phases": phases.iter().map(|(title, a)| phase(venue, title, a)).collect::<Vec<_>>(),
        "last_disposal_between_arcs": match d.rules.last_disposal {
            LastDisposal::BetweenArcs => json!(true),
            LastDisposal::No => json!(false),
            LastDisposal::NotStated => Value::Null,
        },
        "departures": b.departures.iter().map(|k| departed(venue, k)).collect::<Vec<_>>(),
        "unusual": b.unusual.iter().map(|u| u.text.as_str()).collect::<Vec<_>>(),
        "cautions": b.cautions,
    });
    pretty(&value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::outlines_for_tests;
    use crate::export::{CARD_COLUMNS, Paper, card, long_card};
    use crate::units::Day;
    use crate::venue::for_tests::venue;

    #[test]
    fn a_ground_of_any_shape_is_registered_opened_and_printed() {
        for (name, outline) in outlines_for_tests() {
            let (v, toml) = venue(&outline, "");
            let model = outline.model();
            assert!(toml.contains(&format!("model = \"{model}\"")), "{name} {toml}");
            let b = crate::briefing::briefing(&v, Day::new(2026, 8, 1).unwrap());
            let json: Value = serde_json::from_str(&card_json(&v, &b, &[])).unwrap();
            let shape = &json["ground"]["boundary"];
            assert_eq!(shape["model"], model, "{name}");
            assert!(shape["semi_axes_m"][0].as_f64().unwrap() > 80.0, "{name}");
            for (key, of) in
                [("side_radius_m", "four-arc"), ("cut", "cut-ellipse"), ("control_points", "freeform")]
            {
                assert_eq!(shape.get(key).is_some(), model == of, "{name} {key}");
            }
            let departures = json["departures"].as_array().unwrap();
            assert_eq!(departures.is_empty(), name.contains("ellipse") || name.contains("without"), "{name}");
            for d in departures {
                let straight = d["kind"] == "straight";
                assert_eq!(d["straight_m"]["value"].is_f64(), straight, "{name}");
                let (from, to) = (d["from_m"].as_f64().unwrap(), d["to_m"].as_f64().unwrap());
                let most = d["most"]["value"].as_f64().unwrap();
                assert!(to > from && (straight || most.abs() >= 0.5), "{name} {d}");
                assert!(d["most"]["sd"].as_f64().unwrap() > 0.0, "{name}");
                assert!(straight || (d["kind"] == "inside") == (most < 0.0), "{name}");
            }
            let paper = Paper::new(CARD_COLUMNS, false);
            let (short, long) = (card(&v, &b, paper), long_card(&v, &b, None, paper));
            let flat = short.split_whitespace().collect::<Vec<_>>().join(" ");
            let spoken = flat.contains("straight for") || flat.contains("best ellipse");
            assert_eq!(spoken, departures.iter().any(|d| d["sure"] == true), "{name} {short}");
            assert!(!short.is_empty() && long.contains("perimeter"), "{name}");
            assert_eq!(long.contains("\nshape  "), model != "ellipse", "{name}");
            assert!(long.lines().all(|l| l.chars().count() < 52), "{name}");
        }
    }
}
