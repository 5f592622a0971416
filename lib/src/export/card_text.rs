//! The pocket card as text: hazards first, stations in words that can be found on
//! the grass, what to face by landmark, size last. Names of ends and sides only.

use super::Paper;
use super::layout_words::elsewhere;
use super::lines::{Sheet, left, right};
use crate::boundary::{End, Side};
use crate::briefing::{Briefing, Look, SpotRow};
use crate::ground::{ArcAndSquare, NamedSpot};
use crate::officiate::{StandKind, Start};
use crate::rules::LastDisposal;
use crate::units::print::{PlusMinus, compass_point, fixed, for_terminal, measured};
use crate::venue::Venue;

/// Columns before the text of a block.
const LABEL: usize = 8;
/// Columns of the name of a spot.
const SPOT: usize = 9;

/// The card.
#[must_use]
pub fn card(venue: &Venue, b: &Briefing, paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    lay_out(&mut out, venue, b);
    out.text()
}

pub(super) fn lay_out(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    header(out, venue, b);
    out.rule('=');
    watch(out, b);
    start(out, venue, b);
    stand(out, venue, b);
    face(out, venue, b);
    also(out, venue);
    sun(out, venue, b);
    check(out, venue, b);
    last(out, b);
}

fn block(out: &mut Sheet, label: &str, text: &str) {
    out.wrap(text, &left(label, LABEL));
}

fn header(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    let d = &venue.document;
    let when = format!("surveyed {}", d.surveyed.month_and_year());
    let name = out.signs(&for_terminal(&d.name).to_uppercase());
    if name.chars().count() + when.len() + 2 <= out.columns() {
        out.line(&format!("{name}{}", right(&when, out.columns() - name.chars().count())));
    } else {
        out.wrap(&name, "");
        out.line(&right(&when, out.columns()));
    }
    let [a, b2, l, r] = b.facing.map_or([""; 4], |f| f.map(|f| compass_point(f.degrees())));
    let of = |name: &str, what: &str, point: &str| {
        let name = for_terminal(name).to_uppercase();
        if point.is_empty() { format!("{name} {what}") } else { format!("{name} {what} = {point}") }
    };
    pair(out, &of(d.names.end(End::A), "end", a), &of(d.names.end(End::B), "end", b2));
    pair(out, &of(d.names.side(Side::Left), "side", l), &of(d.names.side(Side::Right), "side", r));
}

/// Two items on one line where they fit.
fn pair(out: &mut Sheet, a: &str, b: &str) {
    let (a, b) = (&out.signs(a), &out.signs(b));
    if a.chars().count() + b.chars().count() + 3 <= out.columns() {
        out.line(&format!("{a}   {b}"));
    } else {
        out.line(a);
        out.line(b);
    }
}

fn watch(out: &mut Sheet, b: &Briefing) {
    let mut first = "WATCH ! ";
    for w in &b.watch {
        out.wrap(&for_terminal(&w.what), first);
        if let Some(action) = &w.action {
            out.wrap(&for_terminal(action), "        ");
        }
        first = "      ! ";
    }
    for u in b.unusual.iter().filter(|u| !u.in_start) {
        out.wrap(&for_terminal(&u.text), first);
        first = "      ! ";
    }
    if first == "WATCH ! " {
        out.line("WATCH   nothing was reported: look anyway");
    }
    out.rule('-');
}

/// A named spot of one quarter.
type NamedPlace = (Side, End, NamedSpot);

/// Where the sun is low, and what it is in the way of.
fn sun(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    let Some(s) = &b.sun else { return };
    let (Some(first), Some(last)) = (s.times.first(), s.times.last()) else { return };
    let glared: Vec<_> = s.times.iter().filter(|t| !t.glare.is_empty()).collect();
    let (Some(from), Some(to)) = (glared.first(), glared.last()) else {
        let high = venue.document.practice.glare_high_deg.value;
        let text = if s.times.iter().all(|t| t.sun.high_deg < 0.0) {
            "down all match".to_owned()
        } else if s.times.iter().all(|t| t.sun.high_deg > high) {
            format!("over {}° high all match, in nobody's eyes", fixed(high, 0))
        } else {
            "low for a while, in nobody's eyes".to_owned()
        };
        block(out, "SUN", &format!("{text} ({} to {})", first.time, last.time));
        out.rule('-');
        return;
    };
    let (low, end) = (compass_point(from.sun.bearing.degrees()), compass_point(to.sun.bearing.degrees()));
    let way = if low == end { low.to_owned() } else { format!("{low} to {end}") };
    block(out, "SUN", &format!("low in the {way}, {} to {}. In your eyes:", from.time, to.time));
    let looks = s.looks();
    let spots = |f: &dyn Fn(&Look) -> Option<NamedPlace>| {
        let mut text: Vec<String> = Vec::new();
        for (end, side) in quarters() {
            let names: Vec<&str> = looks
                .iter()
                .filter_map(f)
                .filter(|(s, e, _)| (*s, *e) == (side, end))
                .map(|t| t.2.name())
                .collect();
            if !names.is_empty() {
                text.push(format!("{} {}", quarter(venue, end, side), names.join(", ")));
            }
        }
        text.join("; ")
    };
    let watching = spots(&|l| match l {
        Look::Watch(side, end, name) => Some((*side, *end, *name)),
        _ => None,
    });
    let throwing = spots(&|l| match l {
        Look::Face(side, end, name) => Some((*side, *end, *name)),
        _ => None,
    });
    for (what, text) in [("watching", watching), ("throwing", throwing)] {
        if !text.is_empty() {
            block(out, "", &format!("{what} {text}"));
        }
    }
    let mut ends: Vec<String> = Vec::new();
    for end in End::BOTH {
        if looks.iter().any(|l| matches!(l, Look::Post(_, e) if *e == end)) {
            ends.push(for_terminal(venue.document.names.end(end)).to_uppercase());
        }
    }
    if !ends.is_empty() {
        block(out, "", &format!("downfield from the posts at {}", ends.join(" and ")));
    }
    let start: Vec<String> = quarters()
        .into_iter()
        .filter(|&(end, side)| {
            looks.iter().any(
                |l| matches!(l, Look::StartDown(s, e) | Look::StartAcross(s, e) if (*s, *e) == (side, end)),
            )
        })
        .map(|(end, side)| quarter(venue, end, side))
        .collect();
    if !start.is_empty() {
        block(out, "", &format!("start at {}", start.join(", ")));
    }
    if let Some(end) = s.times.iter().rev().find_map(|t| t.prefer) {
        let name = for_terminal(venue.document.names.end(end)).to_uppercase();
        block(out, "", &format!("Where either side will do, stand toward {name}."));
    }
    out.rule('-');
}

/// Start stations in words.
pub(super) fn start_words(venue: &Venue, start: Option<&Start>) -> String {
    let outside = fixed(venue.document.practice.square_clear_m.value, 1);
    let Some(s) = start else {
        return "Neither the square nor the arcs are painted: ask where to start.".to_owned();
    };
    if let Some(words) = elsewhere(venue, s) {
        return words;
    }
    if !s.painted.arcs {
        return format!("No arcs are painted. At the square's corner, {outside} m outside its side line.");
    }
    if !s.painted.square {
        return format!(
            "No square is painted. Level with the arc's top, {} m off the goal axis.",
            fixed(s.y_m().unwrap_or_default(), 1)
        );
    }
    match (s.arc_and_square, s.arc_top_angle_deg) {
        (Some(ArcAndSquare::Apart(gap)), _) if gap >= 0.5 => format!(
            "{} m goal-side of the square's corner, on its side line carried on ({outside} m outside it), level with the arc's top.",
            half_metres(s.beyond_corner_m())
        ),
        (Some(ArcAndSquare::Apart(_)), _) => {
            format!(
                "At the square's corner, {outside} m outside its side line: the arc's top is level with it."
            )
        }
        (_, angle) => {
            let angle = angle.unwrap_or(0.0);
            format!(
                "At the square's corner, {outside} m outside its side line. Short ground: the arc's top is inside the square, {} in from its end edge. Look down the square's side; the arc's top is a glance, not a line.",
                fists(angle / venue.document.practice.fist_deg.value)
            )
        }
    }
}

fn start(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    block(out, "START", &start_words(venue, b.start.as_ref()));
    if let Some(s) = &b.start {
        let [first, _] = s.diagonals();
        let at = |(side, end): (Side, End)| quarter(venue, end, side);
        block(out, "", &format!("{} + {} (or the other two)", at(first[0]), at(first[1])));
    }
    out.rule('-');
}

/// `SILO/PAVILION`.
pub(super) fn quarter(venue: &Venue, end: End, side: Side) -> String {
    let n = &venue.document.names;
    for_terminal(&format!("{}/{}", n.end(end), n.side(side))).to_uppercase()
}

/// As [`quarter`], in so many columns: the longer name is cut, not whichever comes last.
fn quarter_in(venue: &Venue, end: End, side: Side, columns: usize) -> String {
    let n = &venue.document.names;
    let (mut e, mut s): (Vec<char>, Vec<char>) =
        (n.end(end).to_uppercase().chars().collect(), n.side(side).to_uppercase().chars().collect());
    while e.len() + s.len() + 1 > columns {
        if e.len() > s.len() {
            e.pop();
        } else if s.pop().is_none() {
            break;
        }
    }
    let text = |v: Vec<char>| for_terminal(v.into_iter().collect::<String>().trim_end());
    format!("{}/{}", text(e), text(s))
}

/// To half a metre.
fn half_metres(m: f64) -> String {
    fixed((m * 2.0).round() / 2.0, 1).trim_end_matches(".0").to_owned()
}

/// `½ f`, `1½ f`, `2 f`, to half a fist and at least a half.
fn fists(n: f64) -> String {
    // A handful of fists, so the cast is exact.
    half_fists(((n * 2.0).round() as u32).max(1))
}

pub(super) fn half_fists(halves: u32) -> String {
    match (halves / 2, halves % 2) {
        (0, _) => "½f".to_owned(),
        (n, 0) => format!("{n}f"),
        (n, _) => format!("{n}½f"),
    }
}

fn quarters() -> [(End, Side); 4] {
    [(End::A, Side::Left), (End::A, Side::Right), (End::B, Side::Left), (End::B, Side::Right)]
}

/// The least and the greatest over the four quarters: one text where they print alike.
fn over(rows: &[&SpotRow], f: impl Fn(&SpotRow) -> f64, show: impl Fn(f64) -> String) -> String {
    let lo = rows.iter().map(|r| f(r)).fold(f64::INFINITY, f64::min);
    let hi = rows.iter().map(|r| f(r)).fold(f64::NEG_INFINITY, f64::max);
    let (lo, hi) = (show(lo), show(hi));
    if lo == hi { lo } else { format!("{lo}-{hi}") }
}

fn stand(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    let p = &venue.document.practice;
    block(out, "STAND", &format!("{} m back on the SHORT side, then OUT:", fixed(p.back_m.value, 0)));
    out.line(&format!(
        "  {}{}{}{}",
        left("", SPOT),
        right("OUT", 8),
        right("post", 9),
        right("kicks near/far", 17)
    ));
    for name in NamedSpot::ALL {
        if name == NamedSpot::Post {
            continue;
        }
        let rows: Vec<&SpotRow> =
            quarters().iter().filter_map(|&(end, side)| b.row(side, end, name)).collect();
        if rows.is_empty() {
            continue;
        }
        let at_post = rows.iter().all(|r| r.stand.kind == StandKind::Post);
        let whole = |v: f64| fixed(v, 0);
        let one = |v: f64| fixed(v, 1);
        let outside = if at_post {
            "AT POST".to_owned()
        } else {
            over(&rows, |r| r.stand.outside_line_m, |v| fixed((v * 2.0).round() / 2.0, 1))
        };
        let near = |r: &SpotRow| r.sides.kicks_a.min(r.sides.kicks_b);
        let far = |r: &SpotRow| r.sides.kicks_a.max(r.sides.kicks_b);
        // A range of kicks would not fit and is not needed: the near ones round alike.
        let mean = |f: &dyn Fn(&SpotRow) -> f64| rows.iter().map(|r| f(r)).sum::<f64>() / rows.len() as f64;
        let either = if rows.iter().all(|r| r.either()) { " either" } else { "" };
        out.line(&format!(
            "  {}{}{}{}{either}",
            left(name.name(), SPOT),
            right(&outside, 8),
            right(&over(&rows, |r| r.spot.from_post_m, whole), 9),
            right(&format!("{} / {}", one(mean(&near)), one(mean(&far))), 12)
        ));
    }
    out.wrap(
        &format!(
            "ball {} m or less from goal: AT POST, {} m behind it",
            fixed(p.goal_range_m.value, 0),
            fixed(p.at_post_m.value, 0)
        ),
        "  ",
    );
    out.rule('-');
}

/// What to face: landmark and how far to its right or left the line to face lies.
pub(super) fn facing_words(venue: &Venue, row: &SpotRow) -> String {
    match &row.backsight {
        None => "** none **".to_owned(),
        Some(b) => {
            let name = for_terminal(&venue.document.surroundings.landmarks[b.landmark].name);
            if b.half_fists == 0 {
                name
            } else {
                format!("{name}, {} {}", half_fists(b.half_fists), if b.off_deg > 0.0 { "R" } else { "L" })
            }
        }
    }
}

/// As [`facing_words`], the landmark's name cut so that the fists survive.
fn facing_cell(out: &Sheet, venue: &Venue, row: &SpotRow, width: usize) -> String {
    let whole = out.signs(&facing_words(venue, row));
    let Some(b) = row.backsight.filter(|_| whole.chars().count() > width) else { return left(&whole, width) };
    let tail = if b.half_fists == 0 {
        String::new()
    } else {
        out.signs(&format!(", {} {}", half_fists(b.half_fists), if b.off_deg > 0.0 { "R" } else { "L" }))
    };
    let name = out.signs(&for_terminal(&venue.document.surroundings.landmarks[b.landmark].name));
    let room = width.saturating_sub(tail.chars().count());
    let short: String = name.chars().take(room).collect();
    format!("{}{tail}", short.trim_end())
}

fn face(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    if venue.document.surroundings.landmarks.is_empty() {
        block(
            out,
            "FACE",
            "back to play: no landmarks are recorded. Pick up the centre circle, turn your back on it, and find your own.",
        );
        out.rule('-');
        return;
    }
    block(out, "FACE", "back to play (f = fist at arm's length; R: the line to face is to its right)");
    let cell = (out.columns() - 2 - SPOT - 1) / 2;
    let mut none = false;
    for end in End::BOTH {
        let heads = Side::BOTH.map(|side| left(&out.signs(&quarter_in(venue, end, side, cell)), cell));
        out.line(&format!("  {} {} {}", left("", SPOT - 1), heads[0], heads[1]));
        for name in NamedSpot::ALL {
            if name == NamedSpot::Wing && end == End::B {
                continue;
            }
            let sheet = &*out;
            let cells = Side::BOTH.map(|side| {
                b.row(side, end, name).map_or_else(
                    || left("-", cell),
                    |r| {
                        none |= r.backsight.is_none();
                        facing_cell(sheet, venue, r, cell)
                    },
                )
            });
            out.line(&format!(
                "  {} {} {}",
                left(name.name(), SPOT - 1),
                left(&cells[0], cell),
                left(&cells[1], cell)
            ));
        }
    }
    if none {
        out.wrap("** none **: pick up the centre circle, then turn", "  ");
    }
    out.rule('-');
}

fn also(out: &mut Sheet, venue: &Venue) {
    let p = &venue.document.practice;
    block(
        out,
        "ALSO",
        &format!(
            "set kick: {} m ahead | shot inside {} m: both posts | throw-in near goal: straight in, not across goal",
            fixed(p.set_kick_m.value, 0),
            fixed(p.set_shot_m.value, 0)
        ),
    );
    let last = match venue.document.rules.last_disposal {
        LastDisposal::BetweenArcs => "YES (league)",
        LastDisposal::No => "NO (league)",
        LastDisposal::NotStated => "ask the league",
    };
    block(out, "", &format!("LAST DISPOSAL between arcs: {last}"));
    out.rule('-');
}

fn check(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    let mut items = Vec::new();
    let fence = &venue.document.surroundings.fence;
    if let Some(least) =
        fence.tight.iter().map(|t| t.distance_m).chain(fence.distance_m).min_by(f64::total_cmp)
    {
        items.push(format!("pace the {} m fence", fixed(least, 1)));
    } else {
        items.push("pace the run-off".to_owned());
    }
    if let Some(r) = b.row(Side::Left, End::A, NamedSpot::Post)
        && let Some(found) = &r.backsight
    {
        let name = for_terminal(&venue.document.surroundings.landmarks[found.landmark].name);
        items.push(format!(
            "find {name} from the {} posts",
            for_terminal(venue.document.names.end(End::A)).to_uppercase()
        ));
    }
    items.push("benches and covers clear of the line?".to_owned());
    block(out, "CHECK", &format!("on arrival: {}", items.join("; ")));
    if !venue.document.help.is_empty() {
        block(out, "HELP", &for_terminal(&venue.document.help.join(". ")));
    }
    out.rule('-');
}

fn size_line(b: &Briefing) -> String {
    match (&b.sizes.length, &b.sizes.width) {
        (Some(l), Some(w)) => format!(
            "{} long, {} wide (95 %).",
            measured(l, "m", PlusMinus::Unicode),
            measured(w, "m", PlusMinus::Unicode)
        ),
        _ => "Its size is not known for sure.".to_owned(),
    }
}

fn last(out: &mut Sheet, b: &Briefing) {
    out.wrap(&size_line(b), "");
    out.wrap(&for_terminal(&b.cautions.join(" ")), "");
}
