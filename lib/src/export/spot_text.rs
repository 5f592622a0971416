//! A throw-in and the start stations as a few lines of text.

use super::Paper;
use super::card_text::{facing_words, quarter, start_words};
use super::layout_words::{count_words, zone_sizes_words};
use super::lines::{Sheet, left};
use crate::boundary::{End, Side};
use crate::briefing::{Briefing, Facing, SpotRow, ZoneSizes};
use crate::ground::Arcs;
use crate::officiate::{Limit, ShortSide, StandKind};
use crate::units::Measured;
use crate::units::print::{fixed, for_terminal, measured_roughly};
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

/// The throw-in at a spot, and where to stand to watch a ball cross there.
#[must_use]
pub fn throw_in_text(venue: &Venue, r: &SpotRow, cautions: &[String], paper: Paper) -> String {
    let names = &venue.document.names;
    let end_name = |e: End| for_terminal(names.end(e)).to_uppercase();
    let mut out = Sheet::new(paper);
    row(
        &mut out,
        "SPOT",
        &format!(
            "{}, {} along the line from the behind post",
            quarter(venue, r.spot.end, r.spot.side),
            pm(&r.from_post, "m")
        ),
    );
    row(
        &mut out,
        "",
        match r.spot.arcs {
            Arcs::Between => "between the arcs".to_owned(),
            Arcs::Inside(end) => format!("inside the {} arc", end_name(end)),
        }
        .as_str(),
    );
    row(&mut out, "FACE", &format!("{}, back to play: {}", bearing(&r.face), facing_words(venue, r)));
    if let (None, Some(b)) = (&r.backsight, &r.pick_up) {
        let across = &venue.document.surroundings.landmarks[b.landmark].name;
        row(&mut out, "", &format!("pick up the {} across the ground, then turn", for_terminal(across)));
    }
    row(
        &mut out,
        "AIM",
        &format!(
            "{}, {}; lands {} m off the goal axis",
            bearing(&r.aim),
            if r.throw.straightened { "straighter than toward the centre" } else { "toward the centre" },
            fixed(r.throw.landing.y.abs(), 0)
        ),
    );
    let short = match r.sides.short {
        ShortSide::Either => "either side".to_owned(),
        ShortSide::Toward(e) => format!("short side {}", end_name(e)),
    };
    row(
        &mut out,
        "SIDES",
        &format!(
            "{short}: {} post {}, {} post {}",
            end_name(End::A),
            pm(&r.sides.to_a, "m"),
            end_name(End::B),
            pm(&r.sides.to_b, "m")
        ),
    );
    let toward = end_name(r.stand.toward);
    let text = match r.stand.kind {
        StandKind::Post => {
            format!("at the {toward} behind post, {} m behind it", fixed(r.stand.outside_line_m, 1))
        }
        StandKind::BesidePost => {
            format!("on the line, a step from the {toward} behind post: there is no room behind it")
        }
        StandKind::NoPlace => "no safe place outside the line here: stay inside it".to_owned(),
        StandKind::Tangent { back_m } => format!(
            "{} m back toward {toward}, {} outside the line; with feet on the line your eyes are {} off it",
            fixed(back_m, 1),
            pm(&r.outside_line, "m"),
            r.chord_angle.as_ref().map_or("?".to_owned(), |c| pm(c, "°"))
        ),
        StandKind::AlongLine { back_m, off_tangent_deg } => format!(
            "{} m back along the line toward {toward} and {} m out, all there is room for: your eyes are {}° off it",
            fixed(back_m, 1),
            fixed(r.stand.outside_line_m, 1),
            fixed(off_tangent_deg, 1)
        ),
    };
    row(&mut out, "STAND", &text);
    if let Some(limit) = r.stand.limit {
        let what = match limit {
            Limit::Fence { distance_m, .. } => format!("the fence, {} m from the line", fixed(distance_m, 1)),
            Limit::Hazard(i) => for_terminal(&venue.document.surroundings.hazards[i].name),
        };
        row(&mut out, "LIMIT", &what);
    }
    for &i in &r.beside {
        let name = for_terminal(&venue.document.surroundings.hazards[i].name);
        row(&mut out, "MIND", &format!("{name}, right beside you"));
    }
    finish(out, cautions)
}

/// The start stations.
#[must_use]
pub fn stations_text(venue: &Venue, b: &Briefing, zones: Option<&ZoneSizes>, paper: Paper) -> String {
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
        let d = &venue.document;
        for side in Side::BOTH {
            for end in End::BOTH {
                for sight in start.sights(venue.ground.oval(), &d.surroundings, side, end) {
                    if let Some(i) = sight.crosses {
                        let name = for_terminal(&d.surroundings.hazards[i].name);
                        let (at, what) = (quarter(venue, end, side), sight.along.words());
                        row(&mut out, "SIGHT", &format!("at {at}, in the look along {what}: {name}"));
                    }
                }
            }
        }
        if let Some(text) = count_words(start, &start.counts(venue.ground.oval())) {
            row(&mut out, "COUNT", &text);
        }
    }
    if let Some(z) = zones {
        row(&mut out, "ZONES", &zone_sizes_words(venue, z));
    }
    finish(out, &b.cautions)
}

fn finish(mut out: Sheet, cautions: &[String]) -> String {
    for c in cautions {
        row(&mut out, "NOTE", &for_terminal(c));
    }
    out.text()
}
