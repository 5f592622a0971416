//! A throw-in and the start stations as a few lines of text.

use super::Paper;
use super::face_text::facing_words;
use super::law_words::restart;
use super::layout_words::arcs_words;
use super::lines::{Sheet, left};
use super::notes::notes;
use super::post_words::at_post;
use super::start_words::start_words;
use super::words::{end_name, halves, hazard_name, landmark_name, limit_words, quarter, tenths};
use crate::boundary::{End, Side};
use crate::briefing::{AtPost, Briefing, Facing, SpotRow};
use crate::officiate::{ShortSide, Stand, StandKind};
use crate::units::Measured;
use crate::units::print::{fixed, measured_roughly};
use crate::venue::Venue;

fn row(out: &mut Sheet, label: &str, text: &str) {
    out.wrap(text, &left(label, 8));
}

fn bearing(f: &Facing) -> String {
    match f.magnetic {
        Some(m) => format!("{m} ({})", f.true_bearing),
        None => f.true_bearing.to_string(),
    }
}

fn pm(m: &Measured, unit: &str) -> String {
    measured_roughly(m, unit, 1)
}

/// The throw-in at a spot, and where to stand to watch a ball cross there; `long`: with bearings and ±.
#[must_use]
pub fn throw_in_text(venue: &Venue, r: &SpotRow, cautions: &[String], long: bool, paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    throw_in_on(&mut out, venue, r, long);
    notes(&mut out, cautions);
    out.text()
}

/// The same on a sheet, without its cautions.
pub(super) fn throw_in_on(out: &mut Sheet, venue: &Venue, r: &SpotRow, long: bool) {
    let arcs = arcs_words(venue, r.spot.arcs);
    let spot = quarter(venue, r.spot.end, r.spot.side);
    row(out, "SPOT", &format!("{spot}, {} m from post, {arcs}", fixed(r.spot.from_post_m, 0)));
    row(out, "FACE", &format!("back to play: {}", facing_words(venue, r)));
    match (&r.backsight, &r.pick_up) {
        (None, Some(b)) => {
            let across = landmark_name(venue, b.landmark);
            row(out, "", &format!("pick up the {across} across the ground, then turn"));
        }
        (None, None) => row(out, "", "pick up the centre circle, then turn"),
        _ => {}
    }
    let aim = if r.throw.straightened {
        "straighter than toward the centre, clear of the front of goal"
    } else {
        "toward the centre"
    };
    row(out, "THROW", aim);
    let [a, b] = [(End::A, &r.sides.to_a), (End::B, &r.sides.to_b)]
        .map(|(e, m)| format!("{} post {} m", end_name(venue, e), fixed(m.value(), 0)));
    let short = match r.sides.short {
        ShortSide::Either => "either side".to_owned(),
        ShortSide::Toward(e) => format!("toward {}, the nearer post", end_name(venue, e)),
    };
    row(out, "SHORT", &format!("{short}: {a}, {b}"));
    if let Some(long) = &r.stand_long {
        row(out, "FIRST", &format!("the long side sees better here: {}", stand(venue, r, long)));
        row(out, "else", &stand(venue, r, &r.stand));
    } else {
        row(out, "STAND", &stand(venue, r, &r.stand));
    }
    if let Some(limit) = r.stand.limit {
        row(out, "LIMIT", &limit_words(venue, limit));
    }
    for &i in &r.beside {
        row(out, "MIND", &format!("{}, right beside you", hazard_name(venue, i)));
    }
    if long {
        numbers(out, venue, r);
    }
}

fn stand(venue: &Venue, r: &SpotRow, s: &Stand) -> String {
    let toward = end_name(venue, s.toward);
    match s.kind {
        StandKind::Post | StandKind::BesidePost => {
            let stands = AtPost::of(venue.ground.oval(), r.spot.side, s);
            format!("at the {toward} behind post, {}", at_post(stands))
        }
        StandKind::NoPlace => "no safe place outside the line here: stay inside it".to_owned(),
        StandKind::Tangent { back_m } => format!(
            "{} m back toward {toward}, {} m WIDE of the line",
            tenths(back_m),
            halves(s.outside_line_m)
        ),
        StandKind::AlongLine { back_m, off_tangent_deg } => format!(
            "{} m back along the line toward {toward}, {} m WIDE of it, all there is room for: your eyes are {}° off it",
            tenths(back_m),
            tenths(s.outside_line_m),
            fixed(off_tangent_deg, 0)
        ),
    }
}

/// Bearings, where the ball lands, and how well all of it is known.
fn numbers(out: &mut Sheet, venue: &Venue, r: &SpotRow) {
    out.rule('-');
    row(out, "BEARING", &format!("face {}, aim {}", bearing(&r.face), bearing(&r.aim)));
    row(out, "LANDS", &format!("{} m off the goal axis", fixed(r.throw.landing.y.abs(), 0)));
    let [a, b] = [(End::A, &r.sides.to_a), (End::B, &r.sides.to_b)]
        .map(|(e, m)| format!("{} post {}", end_name(venue, e), pm(m, "m")));
    row(out, "ALONG", &format!("{a}, {b}; chainage {}", pm(&r.chainage, "m")));
    let kicks = |v: f64| fixed(v, 1);
    row(out, "KICKS", &format!("{} and {}", kicks(r.sides.kicks_a), kicks(r.sides.kicks_b)));
    let feet = r
        .chord_angle
        .as_ref()
        .map_or_else(String::new, |c| format!("; with feet on the line your eyes are {} off it", pm(c, "°")));
    row(out, "WIDE", &format!("{}{feet}", pm(&r.outside_line, "m")));
}

/// The start stations.
#[must_use]
pub fn stations_text(venue: &Venue, b: &Briefing, paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    row(&mut out, "START", &start_words(venue, b.start.as_ref()));
    if let Some(start) = &b.start {
        for (i, pair) in start.diagonals().iter().enumerate() {
            let at: Vec<String> = pair.iter().map(|&(side, end)| quarter(venue, end, side)).collect();
            row(&mut out, if i == 0 { "PAIRS" } else { "or" }, &at.join(" + "));
        }
        let off = start.y_m().map_or_else(
            || "on the line level with that".to_owned(),
            |y| format!("{} m off it", fixed(y, 1)),
        );
        row(
            &mut out,
            "PACES",
            &format!("{} m from the centre along the goal axis, {off}", fixed(start.x_m, 1)),
        );
        row(&mut out, "RESTART", &restart(venue));
        let d = &venue.document;
        for side in Side::BOTH {
            for end in End::BOTH {
                for sight in start.sights(venue.ground.oval(), &d.surroundings, side, end) {
                    if let Some(i) = sight.crosses {
                        let (at, what) = (quarter(venue, end, side), sight.along.words());
                        let name = hazard_name(venue, i);
                        row(&mut out, "SIGHT", &format!("at {at}, in the look along {what}: {name}"));
                    }
                }
            }
        }
    }
    notes(&mut out, &b.cautions);
    out.text()
}
