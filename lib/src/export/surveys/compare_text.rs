//! A comparison as a report for the terminal.

use super::super::Paper;
use super::super::lines::{Sheet, left};
use super::super::table::Table;
use crate::boundary::{End, Side};
use crate::compare::{Change, Comparison, Displacement, FALSE_ALARMS, Stretch};
use crate::ground::NamedSpot;
use crate::units::print::{
    PlusMinus, compass_point, decimals_for, fixed, for_terminal, half_width, measured,
};
use crate::units::{Day, Measured, Problem};
use crate::venue::Names;

/// One of the two that are compared, as a report calls it.
#[derive(Debug, Clone, PartialEq)]
pub struct CompareSide {
    /// The venue's name, or the survey's files.
    pub name: String,
    /// The venue's short name, where it is one.
    pub venue: Option<String>,
    /// Day of a venue's survey.
    pub surveyed: Option<Day>,
    /// Steady error of its place in each of east and north, one standard deviation, m.
    pub place_sd_m: f64,
}

/// Everything beside the comparison that a report tells.
#[derive(Debug, Clone, Copy)]
pub struct CompareTold<'a> {
    /// The old survey or venue.
    pub old: &'a CompareSide,
    /// The new one.
    pub new: &'a CompareSide,
    /// Names of the old ground's ends and sides.
    pub names: &'a Names,
    /// What the person should know.
    pub warnings: &'a [Problem],
}

/// A comparison for people.
#[must_use]
pub fn compare_report(told: &CompareTold<'_>, c: &Comparison, paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    for (label, side) in [("Old  ", told.old), ("New  ", told.new)] {
        out.wrap(&for_terminal(&head(side)), label);
    }
    out.line("");
    if c.changed() {
        out.line("CHANGED");
        for (label, text) in findings(told.names, c) {
            out.wrap(&text, &format!("  {}", left(label, 12)));
        }
    } else {
        out.line("No change that these measurements can show.");
    }
    out.line("");
    table(&mut out, told.names, c);
    out.line("");
    out.wrap(
        &format!(
            "± is the half-width of the 95 % interval. \"Found from\": the least change that would have been found; the tests together raise a false alarm in at most {} % of comparisons of an unchanged ground. The line is seen from the goals, so what moved or turned as a whole is not in it.",
            fixed(FALSE_ALARMS * 100.0, 0)
        ),
        "",
    );
    for w in told.warnings {
        out.wrap(&for_terminal(&w.to_string()), "note: ");
    }
    out.text()
}

fn head(side: &CompareSide) -> String {
    let venue = side.venue.as_ref().map_or_else(String::new, |id| format!(" ({id})"));
    let day = side.surveyed.map_or_else(String::new, |d| format!(", surveyed {d}"));
    format!("{}{venue}{day}", side.name)
}

/// The size of a change without its sign.
fn size(m: &Measured, unit: &str) -> String {
    Measured::new(m.value().abs(), m.sd(), m.half_width())
        .map_or_else(|_| String::new(), |m| measured(&m, unit, PlusMinus::Unicode))
}

/// `0.42 m ± 0.15 to the NE (048° T)`.
fn way(d: &Displacement) -> String {
    let to = d.bearing.map_or_else(String::new, |b| format!(" to the {} ({b})", compass_point(b.degrees())));
    format!("{}{to}", size(&d.distance, "m"))
}

fn findings(names: &Names, c: &Comparison) -> Vec<(&'static str, String)> {
    let mut out = Vec::new();
    let mut say = |label, text: String| out.push((label, for_terminal(&text)));
    if let Some(p) = &c.place {
        if p.centre.found {
            say("moved", way(&p.centre));
        }
        if p.axis_deg.found {
            let d = &p.axis_deg.difference;
            let sense = if d.value() > 0.0 { "clockwise" } else { "anticlockwise" };
            say("turned", format!("{} {sense}", size(d, "°")));
        }
        for (end, goal) in [(End::A, &p.goal_a), (End::B, &p.goal_b)] {
            if goal.found {
                say("goal moved", format!("{} end: {}", names.end(end), way(goal)));
            }
        }
    }
    let side = |s| format!("{} side: ", names.side(s));
    for (label, change, before, more, less) in [
        ("length", &c.length, String::new(), "longer", "shorter"),
        ("width", &c.width, String::new(), "wider", "narrower"),
        ("half-width", &c.half_width_left, side(Side::Left), "wider", "narrower"),
        ("half-width", &c.half_width_right, side(Side::Right), "wider", "narrower"),
    ] {
        if change.found {
            let word = if change.difference.value() > 0.0 { more } else { less };
            say(label, format!("{before}{} {word}", size(&change.difference, "m")));
        }
    }
    for s in &c.stretches {
        say("line", stretch(names, s));
    }
    out
}

/// `Road line, 18 to 200 m from the Silo post: up to 1.76 m ± 0.08 farther in, at 109 m (wing)`: the greatest change
/// and where it is, for elsewhere on the stretch there is less.
fn stretch(names: &Names, s: &Stretch) -> String {
    let word = if s.most.value() > 0.0 { "out" } else { "in" };
    let (side, post) = (names.side(s.side), format!("from the {} post", names.end(s.end)));
    let (spot, end) = s.near;
    let spot = match spot {
        NamedSpot::Wing => spot.name().to_owned(),
        _ => format!("{} {}", names.end(end), spot.name()),
    };
    let [from, to, at] = [s.from_m, s.to_m, s.most_at_m].map(|m| fixed(m, 0));
    let most = format!("up to {} farther {word}, at {at} m", size(&s.most, "m"));
    if s.whole_line {
        format!("the whole {side} line: {most} {post} ({spot})")
    } else {
        format!("{side} line, {from} to {to} m {post}: {most} ({spot})")
    }
}

/// Columns of the table's labels.
const LABEL: usize = 24;

fn table(out: &mut Sheet, names: &Names, c: &Comparison) {
    const TABLE: Table<'_> = Table {
        margin: 0,
        label: LABEL,
        cells: &[("old", 11), ("new", 11), ("change", 16), ("found from", 12)],
    };
    let line = |out: &mut Sheet, label: &str, cells: [&str; 4]| TABLE.row(out, &for_terminal(label), &cells);
    TABLE.head(out, "");
    let change = |out: &mut Sheet, label: &str, ch: &Change, unit: &str| {
        let value = |m: &Measured| {
            let gap = if unit == "°" { "" } else { " " };
            format!("{}{gap}{unit}", fixed(m.value(), decimals_for(m.half_width())))
        };
        line(
            out,
            label,
            [
                &value(&ch.old),
                &value(&ch.new),
                &measured(&ch.difference, unit, PlusMinus::Unicode),
                &from(ch.least, &ch.difference, unit),
            ],
        );
    };
    change(out, "length", &c.length, "m");
    change(out, "width", &c.width, "m");
    change(out, &format!("half-width {}", names.side(Side::Left)), &c.half_width_left, "m");
    change(out, &format!("half-width {}", names.side(Side::Right)), &c.half_width_right, "m");
    match &c.place {
        Some(p) => {
            change(out, "goal axis", &p.axis_deg, "°");
            let ends = [format!("goal {}", names.end(End::A)), format!("goal {}", names.end(End::B))];
            for (label, d) in
                [("centre", &p.centre), (ends[0].as_str(), &p.goal_a), (ends[1].as_str(), &p.goal_b)]
            {
                let moved = measured(&d.distance, "m", PlusMinus::Unicode);
                line(out, label, ["", "", &moved, &from(d.least_m, &d.distance, "m")]);
            }
        }
        None => out.wrap("not compared: the two have no origin in common", &left("place and turn", LABEL)),
    }
    for side in Side::BOTH {
        let here = || c.line.iter().filter(|s| s.side == side);
        let most = here().max_by(|a, b| a.outward.value().abs().total_cmp(&b.outward.value().abs()));
        let least = here().map(|s| s.least_m).fold(0.0, f64::max);
        if let Some(s) = most {
            let label = format!("line {}, most", names.side(side));
            let moved = measured(&s.outward, "m", PlusMinus::Unicode);
            line(out, &label, ["", "", &moved, &from(least, &s.outward, "m")]);
        }
    }
}

/// The least that would have been found, rounded up as a ± is.
fn from(least: f64, m: &Measured, unit: &str) -> String {
    let gap = if unit == "°" { "" } else { " " };
    format!("{}{gap}{unit}", half_width(least, decimals_for(m.half_width())))
}
