//! Every place that a card or a stations answer prints is read back, and is the same place.

use std::fs;
use std::path::{Path, PathBuf};

use ovalpeg::boundary::{End, Side};
use ovalpeg::briefing::{MomentAnswer, MomentQuery, answer, briefing, phase_sheet};
use ovalpeg::export::{Paper, card, moment_text, short_card, to_ascii};
use ovalpeg::frame::Ground;
use ovalpeg::geometry::Point;
use ovalpeg::ground::{NamedSpot, SpotRef, WhereSeen};
use ovalpeg::officiate::{Crew, Moment, Phase};
use ovalpeg::units::Day;
use ovalpeg::venue::{NotRead, Venue, Where, open, read_end, read_official, read_place, read_side};
use ovalpeg_tests::random::Random;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../venues")
}

fn venue(name: &str) -> Venue {
    venue_by(name, "laws")
}

/// A demo venue by another rule set.
fn venue_by(name: &str, rules: &str) -> Venue {
    let folder = folder().join(name);
    let text = fs::read_to_string(folder.join("venue.toml")).unwrap();
    assert!(text.contains("set = \"laws\""), "{name}");
    let text = text.replace("set = \"laws\"", &format!("set = \"{rules}\""));
    open(&text, |file| fs::read(folder.join(file)).map_err(|e| e.to_string())).unwrap()
}

fn venues() -> Vec<Venue> {
    let entries = fs::read_dir(folder()).unwrap().map(|e| e.unwrap());
    let mut names: Vec<String> = entries
        .filter(|e| e.path().join("venue.toml").is_file())
        .map(|e| e.file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(names.len(), 6);
    names.iter().map(|n| venue(n)).collect()
}

/// Where words are, in the ground frame.
fn where_is(v: &Venue, text: &str, side: Option<Side>) -> Result<Point<Ground>, NotRead> {
    let oval = v.ground.oval();
    Ok(match read_place(v, text, side)?.at {
        Where::Spot(s) => {
            oval.spot(s, v.document.practice.goal_range_m.value).map_err(NotRead::NoSpot)?.point
        }
        Where::Ground(p) => p,
        Where::Local(p) => oval.plan().to_ground(p),
    })
}

fn spot(v: &Venue, side: Side, end: End, name: NamedSpot) -> Point<Ground> {
    let range = v.document.practice.goal_range_m.value;
    v.ground.oval().spot(SpotRef::Named { side, end, name }, range).unwrap().point
}

fn along(v: &Venue, side: Side, end: End, metres: f64) -> Point<Ground> {
    v.ground.oval().spot(SpotRef::FromPost { side, end, metres }, 25.0).unwrap().point
}

#[test]
fn every_name_and_every_stretch_of_a_card_is_read() {
    for v in venues() {
        let n = &v.document.names;
        for side in Side::BOTH {
            for end in End::BOTH {
                let (e, s) = (n.end(end).to_owned(), n.side(side).to_owned());
                for name in NamedSpot::ALL {
                    let want = spot(&v, side, end, name);
                    let shown = name.name();
                    for text in [
                        format!("{e}/{s} {shown}"),
                        format!("{e}/{s}, {shown}").to_uppercase(),
                        format!("{s},{e},{shown}"),
                        format!("{s} {e} {shown}").to_lowercase(),
                        format!("the {shown}, {e} end, {s} side"),
                        format!("{shown} {s}/{e}"),
                        to_ascii(&format!("{e} - {s}: {shown}")),
                    ] {
                        let got = where_is(&v, &text, None).unwrap();
                        assert!(got.distance_to(want) < 1e-9, "{text}");
                    }
                }
                let wing = spot(&v, side, End::A, NamedSpot::Wing);
                for text in [format!("{s} wing"), format!("{} WING", s.to_uppercase())] {
                    assert!(where_is(&v, &text, None).unwrap().distance_to(wing) < 1e-9, "{text}");
                }
                for metres in [0.0, 25.0, 69.0, 81.0] {
                    let want = along(&v, side, end, metres);
                    for text in [
                        format!("{e}/{s} {metres} m from post"),
                        format!("{e}/{s} {metres}"),
                        format!("{s},{e},{metres}"),
                        format!("{e}/{s}, {metres} m ± 1 along the line from the behind post").to_uppercase(),
                        format!("{metres} m along the {s} line from the {e} behind post"),
                        format!("{e} end, {s} line: {metres}m from the post"),
                    ] {
                        let got = where_is(&v, &text, None).unwrap();
                        assert!(got.distance_to(want) < 1e-9, "{text}");
                    }
                }
                // A stretch is its middle, and that is said; the name of its part goes with it.
                for text in [
                    format!("{e}/{s} 20 to 34 m from post"),
                    format!("{e}/{s} 20-34 m"),
                    format!("{} pocket, 20-34 m from post, {s}", e.to_uppercase()),
                ] {
                    let got = read_place(&v, &text, None).unwrap();
                    assert_eq!(got.at, Where::Spot(SpotRef::FromPost { side, end, metres: 27.0 }), "{text}");
                    assert!(got.taken_as.is_some_and(|t| t.contains("27")), "{text}");
                }
                let pocket = format!("{e} pocket, 20-34 m from post");
                assert!(
                    where_is(&v, &pocket, Some(side)).unwrap().distance_to(along(&v, side, end, 27.0)) < 1e-9
                );
                let flank = format!("{e} flank, 81 m from post");
                assert!(
                    where_is(&v, &flank, Some(side)).unwrap().distance_to(along(&v, side, end, 81.0)) < 1e-9
                );
            }
        }
    }
}

#[test]
fn places_in_words_are_where_they_say() {
    // Cockatoo Hollow: end A is Silo, left is Pavilion.
    let v = venue("cockatoo-hollow");
    let half = v.ground.oval().half_length_m();
    let at = |text: &str| {
        let p = where_is(&v, text, None).unwrap();
        (p.x, p.y)
    };
    for (text, x, y) in [
        ("centre", 0.0, 0.0),
        ("the centre", 0.0, 0.0),
        ("Centre square", 0.0, 0.0),
        ("middle of the ground", 0.0, 0.0),
        ("the Silo goal", half, 0.0),
        ("20 m from the Silo goal", half - 20.0, 0.0),
        ("20 metres out from the CREEK goal line", -(half - 20.0), 0.0),
        ("5m in front of the Silo goal", half - 5.0, 0.0),
        ("40 m from the Silo goal, 10 m to the Road side", half - 40.0, -10.0),
        ("40 m from the Silo goal then 10 m toward Pavilion", half - 40.0, 10.0),
        // AFL: a goal square 9 m deep; its middle, and its far line.
        ("the Silo goal square", half - 4.5, 0.0),
        ("top of the Creek goal square", -(half - 9.0), 0.0),
        ("Silo kick-off line", half - 9.0, 0.0),
        // A square of 50 m.
        ("centre square corner Silo/Road", 25.0, -25.0),
        ("Creek/Pavilion corner of the square", -25.0, 25.0),
        ("at the square's corner, 0.5 m outside its side line, Silo/Road", 25.0, -25.5),
        ("½ m outside the middle of the square's ROAD side line", 0.0, -25.5),
        ("½ m outside the square's ROAD side line, 20 m from its middle toward SILO", 20.0, -25.5),
        (
            "1/2 m outside the square's ROAD side line carried on toward SILO, 4 m past the corner",
            29.0,
            -25.5,
        ),
        (
            "level with the arc's top, ½ m outside the square's side and 4 m past its corner, Creek/Road",
            -29.0,
            -25.5,
        ),
        ("top of the Silo arc", half - 50.0, 0.0),
        ("Road side of the circle", 0.0, -5.0),
        ("42 m from the centre toward SILO, then 13 m to the ROAD side", 42.0, -13.0),
        ("13 m from the centre straight to the PAVILION side", 0.0, 13.0),
        ("42 m from the centre straight toward Creek", -42.0, 0.0),
        ("10 m toward Silo from the centre", 10.0, 0.0),
        ("Silo/Road: 32.5 m from the centre along the goal axis, 25.5 m off it", 32.5, -25.5),
    ] {
        let got = at(text);
        assert!((got.0 - x).abs() < 1e-9 && (got.1 - y).abs() < 1e-9, "{text}: {got:?}");
    }
    // The half-width at that x, on the line.
    let own = at("Silo/Road: on your own line, level with the arc's top");
    assert!((own.0 - (half - 50.0)).abs() < 1e-6 && own.1 < -55.0, "{own:?}");
    let step =
        where_is(&v, "on the line, a step from the CREEK/ROAD behind post: there is no room behind it", None);
    let post = v.ground.oval().behind_post(Side::Right, End::B);
    assert!((step.unwrap().distance_to(post) - 0.5).abs() < 0.02);
    let start = at("Silo/Road start");
    assert!((start.0 - (half - 50.0)).abs() < 1e-9 && (start.1 + 25.5).abs() < 1e-9, "{start:?}");
    // A stretch told from both posts, by its middle: the wing lies at the middle of this one.
    let long = v.ground.oval().boundary().line_length_m(Side::Right);
    let middle = where_is(&v, "ROAD wing, 91 m from SILO post to 103 m from CREEK post", None).unwrap();
    assert!(middle.distance_to(along(&v, Side::Right, End::A, 0.5 * (91.0 + long - 103.0))) < 1e-9);
    // Off a post and off the line, outward.
    let post = v.ground.oval().behind_post(Side::Right, End::A);
    let behind = where_is(&v, "at the Silo/Road behind post, 1.0 m behind it", None).unwrap();
    // The post stands on the line to some millimetres.
    assert!((behind.distance_to(post) - 1.0).abs() < 0.02 && behind.x > post.x, "{behind:?} {post:?}");
    let out =
        where_is(&v, "ROAD: 71 m along the line from the SILO behind post, 1.2 m ± 0.1 outside it", None);
    assert!((v.ground.oval().boundary().outside_m(out.unwrap()) - 1.2).abs() < 1e-6);
    let inside = where_is(&v, "Silo/Road flank, 2 m inside the line", None).unwrap();
    assert!((v.ground.oval().boundary().outside_m(inside) + 2.0).abs() < 1e-6);
}

#[test]
fn what_stands_there_is_found_by_its_name() {
    for v in venues() {
        let around = &v.document.surroundings;
        let oval = v.ground.oval();
        for h in &around.hazards {
            for text in [h.name.clone(), h.name.to_uppercase(), format!("the {}", h.name)] {
                let got = where_is(&v, &text, None).unwrap();
                assert!(got.distance_to(oval.plan().to_ground(h.at)) < 1e-9, "{text}");
            }
        }
        for l in &around.landmarks {
            let WhereSeen::At(at) = l.seen else { continue };
            // A landmark that an end is called after is the end, which is no place.
            if read_end(&v.document.names, &l.name).is_ok() || read_side(&v.document.names, &l.name).is_ok() {
                assert!(where_is(&v, &l.name, None).is_err(), "{}", l.name);
                continue;
            }
            let got = where_is(&v, &l.name, None).unwrap();
            assert!(got.distance_to(oval.plan().to_ground(at)) < 1e-9, "{}", l.name);
        }
    }
}

#[test]
fn what_may_be_several_places_is_refused_with_all_of_them() {
    let v = venue("cockatoo-hollow");
    let why = |text: &str| where_is(&v, text, None).unwrap_err().to_string();
    for (text, wants) in [
        ("Silo pocket", &["Silo/Pavilion pocket", "Silo/Road pocket"][..]),
        ("Road pocket", &["Silo/Road pocket", "Creek/Road pocket"]),
        ("pocket", &["Silo/Pavilion pocket", "Creek/Road pocket"]),
        ("wing", &["Pavilion wing", "Road wing"]),
        ("Road 69 m from post", &["Silo/Road 69 m from post", "Creek/Road 69 m from post"]),
        ("71 m along the line from the SILO behind post", &["Silo/Pavilion 71 m", "Silo/Road 71 m"]),
        ("20 m from the goal", &["Silo goal", "Creek goal"]),
        ("the goal square", &["Silo goal square", "Creek goal square"]),
        ("square corner Silo", &["Silo/Pavilion corner", "Silo/Road corner"]),
        ("square corner Road", &["Silo/Road corner", "Creek/Road corner"]),
        ("the Silo arc", &["top of the Silo arc", "Silo/Pavilion arc end", "Silo/Road arc end"]),
        ("20 m from the centre", &["Silo end", "Creek end"]),
        ("start", &["Silo/Pavilion start", "Creek/Road start"]),
    ] {
        let e = why(text);
        for want in wants {
            assert!(e.contains(want), "{text}: {e}");
            // What is offered is read.
            assert!(!e.contains("say which") || e.contains("may be"), "{e}");
        }
    }
    // What is offered is read in its turn.
    for offered in
        ["Silo/Pavilion pocket", "Road wing", "Creek/Road 69 m from post", "by the square's Silo/Road corner"]
    {
        assert!(where_is(&v, offered, None).is_ok(), "{offered}");
    }
}

#[test]
fn words_that_say_no_place_are_told_so() {
    let v = venue("cockatoo-hollow");
    let why = |text: &str| where_is(&v, text, None).unwrap_err().to_string();
    assert!(why("Road, Tower, 9").contains("'Tower'"));
    for whole in ["", "Road", "Silo end", "Silo/Road", "20 m", "Road side line"] {
        assert!(
            matches!(where_is(&v, whole, None), Err(NotRead::Missing(_) | NotRead::Ambiguous { .. })),
            "{whole}"
        );
    }
    for jumbled in [
        "Silo/Road pocket wing",
        "Silo/Creek/Road pocket",
        "Silo/Road/Pavilion pocket",
        "pocket 20 m from the centre toward Silo",
        "Silo/Road wing, 20 m from post",
        "Silo/Road 20 m, 30 m",
        "20-30 m from the Silo goal",
        "Silo/Road flank, 2 m behind it",
        "the Silo goal, 10 m past",
        "Silo end of the circle",
    ] {
        assert!(
            matches!(where_is(&v, jumbled, None), Err(NotRead::Jumbled(_))),
            "{jumbled}: {:?}",
            where_is(&v, jumbled, None)
        );
    }
    for half_said in ["outside the square", "the Road wing, outside", "past the Silo/Road square corner"] {
        assert!(why(half_said).contains("how far?"), "{half_said}");
    }
    assert!(why("12 m in from the ROAD line").contains("from what"));
    assert!(why("ROAD: level with the ball, 12 m in from the ROAD line").contains("no place by itself"));
    // What a ground has not is no place on it.
    let nine = venue_by("cockatoo-hollow", "nine-a-side");
    for (text, what) in [("the top of the Silo arc", "arcs"), ("centre square", "centre square")] {
        let e = where_is(&nine, text, None).unwrap_err().to_string();
        assert!(e.contains(&format!("has no {what}")), "{text}: {e}");
    }
    assert!(where_is(&nine, "Silo/Road start", None).is_ok());
    assert!(why("Silo/Road wing, 20 m from post").contains("not at the wing"));
    assert!(why("Silo/Road 999 m from post").contains("off the line"));
}

#[test]
fn ends_sides_and_officials_as_printed() {
    for v in venues() {
        let n = &v.document.names;
        for end in End::BOTH {
            let e = n.end(end);
            for text in [e.to_owned(), e.to_uppercase(), format!("{e} end"), format!("the {e} goal")] {
                assert_eq!(read_end(n, &text), Ok(end), "{text}");
            }
            for side in Side::BOTH {
                let s = n.side(side);
                for text in [s.to_uppercase(), format!("{s} side"), format!("the {s} line")] {
                    assert_eq!(read_side(n, &text), Ok(side), "{text}");
                    assert_eq!(read_official(n, s), Ok((side, None)));
                }
                for text in [format!("{s}/{e}"), format!("{e}/{s}").to_uppercase()] {
                    assert_eq!(read_official(n, &text), Ok((side, Some(end))), "{text}");
                }
                assert!(read_end(n, s).is_err() && read_side(n, e).is_err());
            }
            assert!(read_official(n, e).is_err());
        }
    }
}

/// The text of a page with wrapped lines joined: `(label, text)` for each row.
fn rows(text: &str) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    for line in text.lines().take_while(|l| !l.starts_with("---")) {
        let (label, rest) = line.split_at_checked(8).unwrap_or((line, ""));
        match out.last_mut() {
            // A line after one that was not full starts a row of its own; told by what it is, below.
            Some((_, before)) if label.trim().is_empty() => {
                before.push('\n');
                before.push_str(rest.trim());
            }
            // Whose station: `ROAD:`, `ROAD, SILO end:`; the colon stays, and no label has one. A row whose text
            // breaks after a colon has blanks behind its label.
            _ if line.ends_with(':') && !line.contains("  ") => out.push((line.to_owned(), String::new())),
            _ => out.push((label.trim().to_owned(), rest.trim().to_owned())),
        }
    }
    out
}

/// The ball's place and each station's, as printed.
fn printed(text: &str) -> (Option<String>, Vec<(String, String)>) {
    let mut ball = None;
    let mut stations = Vec::new();
    for (label, rest) in rows(text) {
        let flat = rest.replace('\n', " ");
        if label == "BALL" {
            ball = ball.or(Some(rest));
        } else if let Some(whose) = label.strip_suffix(':') {
            // The first sentence.
            let words = flat.trim().split(". ").next().unwrap().trim_end_matches('.');
            stations.push((whose.to_owned(), words.to_owned()));
        }
    }
    (ball, stations)
}

/// Whole metres both ways, and what a hair of the line's bend adds.
const PRINTED_M: f64 = 0.75;

fn held(v: &Venue, a: &MomentAnswer) -> usize {
    let text = moment_text(v, a, &[], Paper::new(49, false));
    let (ball, stations) = printed(&text);
    let mut checked = 0;
    if let (true, Some(rest)) = (a.query.moment.phase.needs_ball(), ball) {
        // The place is as many of the row's lines as make one; the zone follows it.
        let lines: Vec<&str> = rest.lines().collect();
        let found = (1..=lines.len()).rev().find_map(|n| where_is(v, &lines[..n].join(" "), None).ok());
        let p = found.unwrap_or_else(|| panic!("no place in {lines:?}"));
        assert!(p.distance_to(a.query.moment.ball) < PRINTED_M, "{lines:?}");
        checked += 1;
    }
    assert_eq!(stations.len(), a.stations.len(), "{text}");
    for ((whose, words), placed) in stations.iter().zip(&a.stations) {
        let whole = format!("{whose}: {words}");
        // What is told from a ball that is not known here, or is no place at all, is refused as that.
        if words.contains(" m in from ") || words.contains("no safe place") {
            assert!(matches!(where_is(v, &whole, None), Err(NotRead::Missing(_) | NotRead::Unknown { .. })));
            continue;
        }
        let got = where_is(v, &whole, None).unwrap_or_else(|e| panic!("{whole}: {e}\n{text}"));
        assert!(got.distance_to(placed.station.point) < PRINTED_M, "{whole}: {got:?}\n{text}");
        // The side may be said beforehand.
        let got = where_is(v, words, Some(placed.station.side)).unwrap_or_else(|e| panic!("{words}: {e}"));
        assert!(got.distance_to(placed.station.point) < PRINTED_M, "{words}: {got:?}\n{text}");
        checked += 1;
    }
    checked
}

#[test]
fn every_place_that_a_stations_answer_prints_is_that_place() {
    let mut checked = 0;
    // Zones and no square: start stations by another rule set.
    let nine = venue_by("cockatoo-hollow", "nine-a-side");
    for (title, m) in phase_sheet(&nine) {
        if let Ok(a) = answer(&nine, None, &MomentQuery::new(m)) {
            checked += held(&nine, &a);
            assert!(title != "bounce and restart" || checked == 2, "{checked}");
        }
    }
    for v in venues() {
        let oval = v.ground.oval();
        let mut moments: Vec<Moment> = phase_sheet(&v).into_iter().map(|(_, m)| m).collect();
        let (half, wide) = (oval.half_length_m(), oval.boundary().half_width_m(Side::Left));
        for i in -3..=3 {
            for j in -3..=3 {
                let ball = Point::new(0.32 * f64::from(i) * half, 0.32 * f64::from(j) * wide);
                moments.push(Moment::new(Phase::Play, ball));
                moments.push(Moment::new(Phase::SetKick(End::B), ball));
            }
        }
        for crew in [Crew::Two, Crew::Four] {
            for m in &moments {
                let query = MomentQuery { crew, ..MomentQuery::new(*m) };
                if let Ok(a) = answer(&v, None, &query) {
                    checked += held(&v, &a);
                }
            }
        }
    }
    // Reading nothing proves nothing.
    assert!(checked > 1500, "{checked}");
}

/// A block of a page, from its first word to the next block's, on one line.
fn block<'a>(lines: &[&'a str], first: &str, next: &str) -> Vec<&'a str> {
    let from = lines.iter().position(|l| l.starts_with(first)).map_or(lines.len(), |i| i);
    lines[from..].iter().take_while(|l| !l.starts_with(next)).copied().collect()
}

#[test]
fn every_place_that_a_card_prints_is_read() {
    let day = Day::new(2026, 8, 1).unwrap();
    let (mut watched, mut walked) = (0, 0);
    for v in venues() {
        let b = briefing(&v, day);
        for columns in [36, 49, 80] {
            let paper = Paper::new(columns, false);
            for text in [card(&v, &b, paper), short_card(&v, &b, None, paper)] {
                let lines: Vec<&str> = text.lines().collect();
                // `! SILO/PAVILION flank, 61 m from post: tap 1.3 m off the line. …`
                let watch = block(&lines, "WATCH", "---").join(" ");
                for item in watch.split("! ").skip(1) {
                    let Some((place, what)) = item.split_once(": ") else { continue };
                    if !place.contains(" m from ") {
                        continue;
                    }
                    let read = where_is(&v, place, None).unwrap_or_else(|e| panic!("{place}: {e}"));
                    // A hazard's is the line beside it, to the metre.
                    let what = what.split_whitespace().collect::<Vec<_>>().join(" ");
                    for h in v.document.surroundings.hazards.iter().filter(|h| what.starts_with(&h.name)) {
                        let at = v.ground.oval().plan().to_ground(h.at);
                        let beside = v.ground.oval().boundary().nearest(at).point;
                        assert!(read.distance_to(beside) < PRINTED_M, "{place}: {read:?} {beside:?}");
                        watched += 1;
                    }
                }
                // `ARRIVE  walk round, the ROAD line from CREEK: SILO flank 61 m: tap; …`
                let arrive = block(&lines, "ARRIVE", "---").join(" ");
                let flat = arrive.split_whitespace().collect::<Vec<_>>().join(" ");
                for side in Side::BOTH {
                    let heading = format!("the {} line from ", v.document.names.side(side).to_uppercase());
                    let Some((_, rest)) = flat.split_once(&heading) else { continue };
                    let items = rest.split(". ").next().unwrap().split_once(": ").unwrap().1;
                    for item in items.split("; ") {
                        let place = item.split_once(": ").unwrap().0;
                        let read = where_is(&v, place, Some(side));
                        assert!(read.is_ok(), "{place}: {read:?}");
                        walked += 1;
                    }
                }
            }
        }
    }
    // Reading nothing proves nothing.
    assert!(watched > 60 && walked > 60, "{watched} {walked}");
}

#[test]
fn any_words_at_all_are_a_place_or_are_refused() {
    const WORDS: [&str; 50] = [
        "Silo", "Creek", "Road", "Pavilion", "A", "b", "left", "right", "a", "the", "of", "m", "metres",
        "from", "to", "toward", "along", "line", "side", "end", "goal", "square", "corner", "centre",
        "circle", "behind", "post", "pocket", "flank", "wing", "arc", "top", "outside", "inside", "out",
        "off", "past", "middle", "level", "own", "zone", "step", "start", "ball", "kick", "25", "20-34", "½",
        "-3", "1e9",
    ];
    const MARKS: [&str; 8] = [" ", " ", " ", ", ", "/", ": ", " - ", "'s "];
    let v = venue("cockatoo-hollow");
    let mut random = Random::new(1);
    let mut pick = |n: usize| random.below(n);
    let (mut places, mut refused) = (0, 0);
    for _ in 0..5_000 {
        let mut text = String::new();
        for _ in 0..=pick(7) {
            text += WORDS[pick(WORDS.len())];
            text += MARKS[pick(MARKS.len())];
        }
        match where_is(&v, &text, None) {
            Ok(p) => {
                assert!(p.is_finite(), "{text}");
                places += 1;
            }
            Err(e) => {
                assert!(!e.to_string().is_empty(), "{text}");
                refused += 1;
            }
        }
    }
    assert!(places > 30 && refused > 3_000, "{places} {refused}");
    for text in ["", " ", ":", "/", "::::", ",,,", "±", "½½", "m", &"9".repeat(400), &"Silo/".repeat(2000)]
    {
        assert!(where_is(&v, text, None).is_err(), "{text}");
    }
}
