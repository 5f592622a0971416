//! Grounds of every size from 90 × 60 m up, under every built-in rule set: every phase, the card, the
//! stations.

#![allow(clippy::unwrap_used, reason = "a test that can't go on must fail")]

use ovalpeg::boundary::{End, Outline, Side, Spread};
use ovalpeg::briefing::{MomentQuery, ZoneSizes, answer, briefing, phase_sheet, spot_row};
use ovalpeg::export::{
    Paper, card, card_json, long_card, phase_sheet_text, short_card, stations_json, stations_text,
};
use ovalpeg::fit::AxisFrom;
use ovalpeg::frame::{Datum, Degrees, Geodetic, LocalPlane};
use ovalpeg::geometry::Point;
use ovalpeg::ground::{NamedSpot, Parting, SpotRef};
use ovalpeg::officiate::{Case, Moment, Phase, Reason, start};
use ovalpeg::rules::{Edge, Method, RuleSet};
use ovalpeg::units::Day;
use ovalpeg::venue::{
    FitFile, Names, Registration, Said, SurveyBytes, Venue, above_end_mark, open, parse_rules, register,
    rules_file_name,
};

use serde_json::Value;

/// Lengths and widths, m: from those of a regional league's under 10 to the Laws' greatest.
const SIZES: [(f64, f64); 9] = [
    (90.0, 60.0),
    (100.0, 50.0),
    (100.0, 80.0),
    (110.0, 80.0),
    (120.0, 90.0),
    (137.0, 112.0),
    (150.0, 120.0),
    (165.0, 135.0),
    (185.0, 155.0),
];

fn outline(length: f64, width: f64) -> Outline {
    let b = 0.5 * width;
    let a = 0.5 * length / (1.0 - (9.6 / b).powi(2)).sqrt();
    Outline::from_parameters(&[0.0, 0.0, a, b, 12.0, 0.0, 0.0, 12.0, 0.5 * length]).unwrap()
}

/// A registered ground with a fence at 4 m, a landmark, a hazard, and match times for the sun.
fn venue(length: f64, width: f64, rules: &RuleSet, more: &str) -> Venue {
    let mut spread = Spread::none();
    spread.add_axis([0.02, 0.0, 0.03, 0.03, 0.0, 0.01, 0.0, 0.02, 0.03]);
    let fit = FitFile {
        outline: outline(length, width),
        spread,
        axis_from: AxisFrom::Posts,
        end_width_m: rules.end_width_m(),
        points_used: 90,
        points_set_aside: 0,
        rms_m: 0.02,
        largest_m: -0.05,
        largest_bearing_deg: 190.0,
        post_miss_m: 0.01,
        departures: Vec::new(),
        error_lasts_m: None,
        conflicts: Vec::new(),
        also_possible: Vec::new(),
        unsurveyed: Vec::new(),
    };
    let names = Names { ends: ["Silo".into(), "Creek".into()], sides: ["Pavilion".into(), "Road".into()] };
    let at = Geodetic::new(Degrees { latitude: -36.7, longitude: 144.9 }, 100.0, Datum::Gda2020).unwrap();
    let survey = SurveyBytes {
        bytes: b"x,y\n0,0\n",
        ending: "csv",
        method: Some(Method::Rtk),
        edge: Edge::Outer,
        line_width_m: None,
        said: Said::default(),
    };
    let files = register(&Registration {
        id: "test-oval",
        name: "Test Oval",
        names: &names,
        plane: LocalPlane::at(at).unwrap(),
        surveys: &[survey],
        keep: &[],
        trim: None,
        accepted: &[],
        shape: None,
        surveyed: "2026-03-14".parse::<Day>().unwrap(),
        place_sd_m: 0.05,
        point_sd_m: None,
        fit: &fit,
        rules,
    })
    .unwrap()
    .files;
    let text = files
        .iter()
        .find(|(name, _)| name == "venue.toml")
        .map(|(_, bytes)| String::from_utf8(bytes.clone()).unwrap())
        .unwrap();
    let text = above_end_mark(
        &format!("timezone = \"Australia/Melbourne\"\nmatch_start = \"14:10\"\n{text}"),
        &format!(
            "\n{more}\n[fence]\ndistance_m = 4.0\n[[landmark]]\nname = \"silo\"\nx_m = 40\ny_m = 300\nwidth_m = 9\n"
        ),
    );
    let league = rules_file(rules);
    open(&text, |name| {
        if name == rules_file_name(&rules.id) {
            return league.clone().ok_or_else(|| "none".to_owned());
        }
        files.iter().find(|(n, _)| n == name).map(|(_, b)| b.clone()).ok_or_else(|| "none".to_owned())
    })
    .unwrap()
}

/// The file of a league's own rule set, with its changes; `None` for a built-in set.
fn rules_file(rules: &RuleSet) -> Option<Vec<u8>> {
    let base = rules.based_on.as_ref().filter(|_| RuleSet::find(&rules.id).is_none())?;
    let mut text = format!("schema = 1\nname = \"{}\"\nbased_on = \"{base}\"\n", rules.name);
    for c in &rules.changes {
        let value = rules.get(c.key).unwrap().value;
        text += &format!("[[change]]\nwhy = \"{}\"\n{} = {value}\n", c.why, c.key);
    }
    Some(text.into_bytes())
}

fn all() -> impl Iterator<Item = (f64, f64, RuleSet, Venue)> {
    SIZES.into_iter().flat_map(|(l, w)| {
        RuleSet::all().into_iter().map(move |rules| {
            let v = venue(l, w, &rules, "");
            (l, w, rules, v)
        })
    })
}

fn day() -> Day {
    "2026-08-01".parse().unwrap()
}

/// Words for things that this ground does not have.
fn not_here(v: &Venue) -> Vec<&'static str> {
    let oval = v.ground.oval();
    let mut words = Vec::new();
    if oval.square_half_m().is_none() {
        words.extend([
            "the square",
            "in the square",
            "on each wing",
            "short corner",
            "long corner",
            "side of the circle",
        ]);
    }
    if !matches!(oval.parting(), Parting::Arc { .. }) {
        words.extend([
            "arc end",
            "inside the SILO arc",
            "between the arcs",
            "the arc's top",
            "each arc",
            "end of the arc",
        ]);
    }
    if !v.document.rules.throw_ins {
        words.extend(["FACE", "hrow", "back to play", "aim"]);
    }
    words
}

/// Adds the texts of some JSON, without its keys, and without the values of `marking` and `source`.
fn told(value: &Value, text: &mut String) {
    match value {
        Value::String(s) => *text += &format!(" {s} "),
        Value::Array(all) => all.iter().for_each(|v| told(v, text)),
        Value::Object(map) => {
            map.iter()
                .filter(|(key, _)| *key != "marking" && *key != "source")
                .for_each(|(_, v)| told(v, text));
        }
        _ => {}
    }
}

/// Everything that is printed about a ground: card, long table, start stations, every phase.
fn printed(v: &Venue) -> String {
    let b = briefing(v, day());
    let (zones, paper) = (ZoneSizes::of(&v.ground), Paper::new(49, false));
    let mut text = card(v, &b, paper) + &long_card(v, &b, zones.as_ref(), paper);
    text += &(short_card(v, &b, None, paper) + &short_card(v, &b, Some(Side::Left), paper));
    text += &stations_text(v, &b, paper);
    let phases: Vec<_> = phase_sheet(v)
        .into_iter()
        .map(|(title, moment)| {
            let query = MomentQuery::new(moment);
            let found = answer(v, b.declination.as_ref(), &query);
            (title, found.unwrap_or_else(|e| panic!("{title}: {e}")))
        })
        .collect();
    let data = stations_json(v, &phases[0].1, &b, zones.as_ref());
    for data in [data, card_json(v, &b, &phases)] {
        told(&serde_json::from_str(&data).unwrap(), &mut text);
    }
    let sheet = phase_sheet_text(v, &phases, &b.cautions, paper);
    // The table of calls is the same for every ground.
    text + sheet.split("\nCALLS").next().unwrap_or(&sheet)
}

#[test]
fn every_ground_under_every_set_has_a_card_stations_and_every_phase_of_its_own() {
    for (l, w, rules, v) in all() {
        let name = format!("{l} x {w}, {}", rules.id);
        let text = printed(&v);
        for bad in ["NaN", "inf ", "-0.0", "wing 0", "0.0 m²", " 0 m²", "Look along .", "??"] {
            assert!(!text.contains(bad), "{name}: {bad}");
        }
        // Start stations, restarts and what to check are described.
        assert!(text.contains("START ") && text.contains("RESTART") && text.contains("check your"), "{name}");
    }
}

#[test]
fn nothing_is_printed_that_the_ground_has_not() {
    let mut held = 0;
    for (l, w, rules, v) in all() {
        // Leave out the sentences that say what the ground has no room for.
        let text = printed(&v).replace('\n', " ").split_whitespace().collect::<Vec<_>>().join(" ");
        let text = text.replace("A square of 50 m does not fit here, and there are no arcs here", "");
        let text = text.replace("no square or arcs fit here", "");
        for word in not_here(&v) {
            assert!(!text.contains(word), "{l} x {w}, {}: {word} in {}", rules.id, around(&text, word));
            held += 1;
        }
    }
    assert!(held > 100, "{held}");
}

fn around(text: &str, word: &str) -> String {
    let at = text.find(word).unwrap_or(0);
    let before: String = text[..at].chars().rev().take(60).collect::<Vec<_>>().into_iter().rev().collect();
    before + &text[at..].chars().take(60).collect::<String>()
}

#[test]
fn nobody_counts_eighteen_a_side_for_nine_or_for_juniors() {
    for (l, w, rules, v) in all() {
        let b = briefing(&v, day());
        let text = long_card(&v, &b, None, Paper::new(200, false));
        let counted = text.contains("COUNT");
        let seniors = ["laws", "laws-2019", "laws-1990s", "reduced-senior"].contains(&rules.id.as_ref());
        let square = v.ground.oval().square_half_m().is_some();
        let arcs = matches!(v.ground.oval().parting(), Parting::Arc { .. });
        let expects = seniors && (square || (arcs && rules.id != "laws-1990s"));
        assert_eq!(counted, expects, "{l} x {w}, {}: {text}", rules.id);
        assert_eq!(text.contains("12 inside each arc"), expects && arcs && rules.id != "laws-1990s");
    }
}

#[test]
fn start_stations_lie_on_the_ground_mirrored_and_level_with_what_parts_it() {
    for (l, w, rules, v) in all() {
        let name = format!("{l} x {w}, {}", rules.id);
        let oval = v.ground.oval();
        let s = start(v.scene()).unwrap();
        for side in Side::BOTH {
            for end in End::BOTH {
                let at = s.station(side, end);
                // On the ground or its line, with a micrometre for rounding.
                assert!(oval.boundary().outside_m(at) < 1e-6, "{name}");
                let other = s.station(side.other(), end.other());
                assert!((at.x + other.x).abs() < 1e-6 && (at.y + other.y).abs() < 1e-6, "{name}");
                let half = oval.square_half_m();
                let want = half.map_or(oval.arc_top_m(), |h| h.max(oval.arc_top_m()));
                assert!((at.x.abs() - want).abs() < 1e-6, "{name} {}", at.x);
                match half {
                    Some(h) => assert!((at.y.abs() - h - 0.5).abs() < 1e-9, "{name}"),
                    None => assert!(oval.boundary().outside_m(at).abs() < 1e-6, "{name}"),
                }
            }
        }
    }
}

#[test]
fn a_square_and_arcs_are_there_where_the_definitions_have_them() {
    for (l, w, rules, v) in all() {
        let name = format!("{l} x {w}, {}", rules.id);
        let oval = v.ground.oval();
        // The ground's centre must be more than 5 m from an arc's top.
        match (rules.arc_radius_m.given(), oval.parting()) {
            (Some(r), Parting::Arc { radius_m }) => assert!(radius_m == r && 0.5 * l - r > 5.0, "{name}"),
            (Some(r), Parting::GoalRange { radius_m, .. }) => {
                assert!(0.5 * l - r <= 5.0 + 1e-6, "{name}");
                assert!((radius_m - f64::min(25.0, l / 5.0)).abs() < 1e-6, "{name}");
            }
            (None, Parting::ZoneLine { depth_m }) => assert_eq!(depth_m, 30.0, "{name}"),
            (_, other) => panic!("{name}: {other:?}"),
        }
        // A corner must be 3 m inside the line. The line is an ellipse through the posts, so a second method
        // can compute the distance.
        if let Some(side) = rules.square_side_m.given() {
            let (a, b) = (0.5 * l / (1.0 - (19.2 / w).powi(2)).sqrt(), 0.5 * w);
            let nearest = (0..10_000)
                .map(|i| f64::from(i) * std::f64::consts::FRAC_PI_2 / 1e4)
                .map(|t| (a * t.cos() - 0.5 * side).hypot(b * t.sin() - 0.5 * side))
                .fold(f64::INFINITY, f64::min);
            let inside = (0.5 * side / a).powi(2) + (0.5 * side / b).powi(2) < 1.0;
            assert_eq!(oval.square_half_m().is_some(), inside && nearest >= 3.0, "{name} {nearest}");
        }
    }
}

#[test]
fn practice_shrinks_with_a_short_ground_and_not_where_a_league_or_venue_has_written_it() {
    for (l, w, rules, v) in all() {
        let p = &v.document.practice;
        let want = [25f64.min(l / 5.0), 55f64.min(0.42 * l), 35f64.min(0.3 * l)];
        let got = [p.goal_range_m, p.set_shot_m, p.set_kick_m].map(|n| n.value);
        for (got, want) in got.into_iter().zip(want) {
            // The registered length is rounded to 10 decimals.
            assert!((got - want).abs() < 1e-6, "{l} x {w}, {}", rules.id);
        }
        assert_eq!(*p, v.ground.oval().rules().practice, "one practice for venue and ground");
    }
    let v = venue(100.0, 80.0, &RuleSet::juniors_u10(), "[practice]\ngoal_range_m = 24\n");
    assert_eq!(v.document.practice.goal_range_m.value, 24.0);
    assert_eq!(v.ground.oval().arc_radius_m(), Some(24.0), "the circle in the arc's place goes by it");
}

#[test]
fn what_the_rule_set_lacks_is_refused_in_words() {
    let v = venue(100.0, 50.0, &RuleSet::nine_a_side(), "");
    let of = |phase, x, y| {
        let query = MomentQuery::new(Moment::new(phase, Point::new(x, y)));
        answer(&v, None, &query).map(|_| ()).map_err(|e| e.to_string())
    };
    assert!(of(Phase::ThrowIn, 0.0, 25.0).unwrap_err().contains("no throw-ins"));
    for phase in
        [Phase::Bounce, Phase::Play, Phase::SetKick(End::A), Phase::KickIn(End::B), Phase::AfterGoal(End::A)]
    {
        assert_eq!(of(phase, 0.0, 3.0), Ok(()), "{phase:?}");
    }
    let arc_end = SpotRef::Named { side: Side::Left, end: End::A, name: NamedSpot::ArcEnd };
    let why = spot_row(&v, None, arc_end, End::A, false).unwrap_err().to_string();
    assert!(why.contains("no arcs"), "{why}");
}

#[test]
fn a_ball_near_a_line_is_watched_from_back_along_it_on_the_smallest_ground_too() {
    for (l, w, rules, v) in all() {
        let oval = v.ground.oval();
        let b = oval.boundary();
        // First a ball at the wing, a third of the strip in from the line; then one in the middle.
        let strip = f64::min(20.0, 0.25 * w);
        let near = MomentQuery::new(Moment::new(Phase::Play, Point::new(0.0, 0.5 * w - strip / 3.0)));
        let a = answer(&v, None, &near).unwrap();
        assert_eq!(a.positions.case, Case::NearLine(Side::Left), "{l} x {w}, {}", rules.id);
        let far = a.positions.of(Side::Right);
        assert!(b.outside_m(far.point) < 1e-6 && far.point.y < 0.0);
        if oval.square_half_m().is_none() {
            // The far official stays on the own line.
            assert!(b.outside_m(far.point).abs() < 1e-6, "{l} x {w}, {}", rules.id);
            assert_eq!(far.reason, Reason::Level);
        }
        let middle = MomentQuery::new(Moment::new(Phase::Play, Point::new(0.0, 1.0)));
        assert_eq!(answer(&v, None, &middle).unwrap().positions.case, Case::Corridor);
    }
}

#[test]
fn without_a_square_the_relay_ends_at_the_centre_and_the_own_start_station() {
    for (l, w, rules, v) in all() {
        let oval = v.ground.oval();
        let query = MomentQuery::new(Moment::new(Phase::AfterGoal(End::A), oval.goal(End::A)));
        let a = answer(&v, None, &query).unwrap();
        let (r, _) = a.relay.unwrap();
        let s = start(v.scene()).unwrap();
        let last = |way: &ovalpeg::officiate::Way| *way.points.last().unwrap();
        assert!(last(&r.first_way).distance_to(s.station(r.first, End::A)) < 1e-9, "{l} x {w}");
        assert!(last(&r.second_way).distance_to(s.station(r.first.other(), End::B)) < 1e-9, "{l} x {w}");
        let circle = oval.square_half_m().map_or(0.0, |_| oval.centre_circle_m());
        assert!((r.field_umpire.y.abs() - circle).abs() < 1e-12, "{l} x {w}, {}", rules.id);
    }
}

#[test]
fn a_leagues_own_file_is_found_beside_its_venues_and_its_changes_hold() {
    let own = parse_rules(
        "wattle",
        b"schema = 1\nname = \"Wattle\"\nbased_on = \"juniors-u10\"\n[[change]]\nwhy = \"painted so\"\narc_radius_m = 30\nlength_min_m = 95\n",
    )
    .unwrap();
    let v = venue(97.0, 80.0, &own, "");
    assert_eq!(v.ground.oval().parting(), Parting::Arc { radius_m: 30.0 });
    let b = briefing(&v, day());
    let paper = Paper::new(49, false);
    let text = card(&v, &b, paper);
    assert!(text.contains("arc end") && !text.contains("under the least"), "{text}");
    assert!(long_card(&v, &b, None, paper).contains("Wattle"));
    assert_eq!(v.document.rules.changes.len(), 2);
}
