//! The long table: aims, bearings, chainages and distances of every named spot.

use super::Paper;
use super::card_text::lay_out;
use super::face_text::facing_words;
use super::layout_words::{arcs_words, count_words, zone_sizes_words};
use super::lines::{Sheet, left, wide};
use super::match_day::match_day_on;
use super::table::Table;
use super::words::{half_fists, quarter, side_name, spot_name};
use crate::boundary::Side;
use crate::briefing::{Briefing, Facing, SpotRow, ZoneSizes};
use crate::ground::{NamedSpot, Parting};
use crate::officiate::StandKind;
use crate::units::Measured;
use crate::units::print::{
    PlusMinus, decimals_for, fixed, for_terminal, half_width, measured, measured_roughly,
};
use crate::venue::Venue;

/// Chainage, distance from the post, bearings of aim and face where there are throw-ins.
fn table(venue: &Venue) -> Table<'static> {
    const CELLS: &[(&str, usize)] = &[("chain", 8), ("post", 7), ("aim", 6), ("face", 6)];
    let cells = if venue.document.rules.throw_ins { CELLS } else { &CELLS[..2] };
    Table { margin: 0, label: 20, cells }
}

/// The card with the full table behind it.
#[must_use]
pub fn long_card(venue: &Venue, b: &Briefing, zones: Option<&ZoneSizes>, paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    lay_out(&mut out, venue, b);
    out.rule('=');
    let north = if b.declination.is_some() { "magnetic (M)" } else { "true (T)" };
    out.wrap(
        &format!(
            "EVERY SPOT: chainage from {} anticlockwise, metres; bearings {north}; ± is the 95 % half-width",
            quarter_post(venue)
        ),
        "",
    );
    if let Some(d) = &b.declination {
        out.wrap(
            &format!(
                "declination {} on {} by WMM2025",
                measured_deg(
                    d.east_deg().abs(),
                    1.96 * d.sd_deg(),
                    if d.east_deg() < 0.0 { "W" } else { "E" }
                ),
                b.day
            ),
            "",
        );
    }
    let mut before = String::new();
    for (side, end, name, r) in &b.spots {
        let q = quarter(venue, *end, *side);
        if q != before {
            table(venue).head(&mut out, &q);
            before = q;
        }
        row(&mut out, venue, *name, r);
    }
    sizes(&mut out, venue, b);
    zones_and_counts(&mut out, venue, b, zones);
    match_day_on(&mut out);
    out.text()
}

fn quarter_post(venue: &Venue) -> String {
    format!("the {} behind post", quarter(venue, crate::boundary::End::A, crate::boundary::Side::Left))
}

fn measured_deg(value: f64, half: f64, letter: &str) -> String {
    let d = decimals_for(half);
    format!("{}° {letter} ± {}", fixed(value, d), half_width(half, d))
}

/// Players that must be there when play starts, and the areas of the zones: what the ground has of them.
fn zones_and_counts(out: &mut Sheet, venue: &Venue, b: &Briefing, zones: Option<&ZoneSizes>) {
    let counts = b
        .start
        .as_ref()
        .and_then(|start| count_words(&venue.document.rules, start, &start.counts(venue.ground.oval())));
    out.rule('-');
    out.wrap(&for_terminal(&venue.document.rules.name), &left("RULES", 8));
    if let Some(text) = counts {
        out.wrap(&text, &left("COUNT", 8));
    }
    if let Some(z) = zones {
        out.wrap(&zone_sizes_words(venue, z), &left("ZONES", 8));
    }
}

/// Whole degrees, three digits, wrapped after rounding.
fn degrees(f: &Facing) -> String {
    let shown = f.magnetic.map_or_else(|| f.true_bearing.to_string(), |m| m.to_string());
    shown.chars().take(3).collect()
}

fn row(out: &mut Sheet, venue: &Venue, name: NamedSpot, r: &SpotRow) {
    // Rules without throw-ins have nothing to aim at.
    let throws = venue.document.rules.throw_ins;
    let [chainage, post] = [r.spot.chainage_m, r.spot.from_post_m].map(|m| fixed(m, 1));
    let (aim, face) = (degrees(&r.aim), degrees(&r.face));
    let cells: [&str; 4] = [&chainage, &post, &aim, &face];
    table(venue).row(out, &format!("  {}", spot_name(venue, name)), &cells[..if throws { 4 } else { 2 }]);
    let mut parts = Vec::new();
    let pm = |m: &Measured, unit: &str| measured_roughly(m, unit, 2);
    match r.stand.kind {
        StandKind::Tangent { back_m } => {
            parts.push(format!("back {}, wide {}", fixed(back_m, 1), pm(&r.outside_line, "m")));
            if let Some(c) = &r.chord_angle {
                parts.push(format!("on the line {} off", pm(c, "°")));
            }
        }
        StandKind::Post => {
            parts.push(format!("stand {} m behind the post", fixed(r.stand.outside_line_m, 1)))
        }
        StandKind::BesidePost => parts.push("beside the post: no room behind it".to_owned()),
        StandKind::NoPlace => parts.push("no safe place outside".to_owned()),
        StandKind::AlongLine { back_m, off_tangent_deg } => parts.push(format!(
            "back {} along the line, wide {}, eyes {}° off",
            fixed(back_m, 1),
            fixed(r.stand.outside_line_m, 1),
            fixed(off_tangent_deg, 1)
        )),
    }
    let far = r.sides.to_a.value().max(r.sides.to_b.value());
    parts.push(format!("far post {}", fixed(far, 1)));
    let (near, far) = (r.sides.kicks_a.min(r.sides.kicks_b), r.sides.kicks_a.max(r.sides.kicks_b));
    parts.push(format!("kicks {} and {}", fixed(near, 1), fixed(far, 1)));
    parts.push(match (venue.ground.oval().parting(), r.between_arcs()) {
        (Parting::Arc { .. }, true) => "between the arcs".to_owned(),
        (Parting::Arc { .. }, false) => "inside the arc".to_owned(),
        _ => arcs_words(venue, r.spot.arcs),
    });
    if throws && r.throw.straightened {
        parts.push("straightened".into());
    }
    if let Some(b) = r.backsight.as_ref().filter(|_| throws) {
        parts.push(if b.half_fists == 0 {
            format!("face {}", facing_words(venue, r))
        } else {
            format!(
                "face {} ({}°, {})",
                facing_words(venue, r),
                fixed(b.off_deg.abs(), 0),
                half_fists(b.half_fists)
            )
        });
    }
    out.wrap(&parts.join("; "), "    ");
}

/// The shape of the line in words, where it is not the ellipse of all ovals.
fn shape_words(model: &str) -> Option<&str> {
    match model {
        "ellipse" => None,
        "four-arc" => Some("four circular arcs"),
        "cut-ellipse" => Some("an ellipse cut by a straight"),
        "freeform" => Some("freeform"),
        other => Some(other),
    }
}

/// Columns of a size's label, with a blank behind it.
const SIZE_LABEL: usize = 20;

fn sizes(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    out.rule('-');
    if let Some(words) = shape_words(venue.ground.oval().boundary().model()) {
        out.wrap(words, &left("shape", SIZE_LABEL));
    }
    let s = &b.sizes;
    let half = |side| format!("half-width, {}", side_name(venue, side));
    let (left_half, right_half) = (half(Side::Left), half(Side::Right));
    for (label, m, unit) in [
        ("length", &s.length, "m"),
        ("width", &s.width, "m"),
        ("width at the wings", &s.width_at_wings, "m"),
        (&left_half, &s.half_width_left, "m"),
        (&right_half, &s.half_width_right, "m"),
        ("perimeter", &s.perimeter, "m"),
        ("area", &s.area, "m²"),
        ("goal axis, true", &s.axis_deg, "°"),
    ] {
        if let Some(m) = m {
            let text = measured(m, unit, PlusMinus::Unicode);
            if wide(label) < SIZE_LABEL {
                out.wrap(&text, &left(label, SIZE_LABEL));
            } else {
                out.hang(&format!("{label}  "), &text, SIZE_LABEL);
            }
        }
    }
}
