//! The top of a page: whose ground and for which day, and then WATCH, which is read first.

use super::block::{Block, Span, wrapped};
use super::look::{ALARM, INK, Look, SOFT};
use super::words::{hazard_name, watched, where_watched};
use crate::briefing::{Briefing, Drawing};
use crate::page::{Anchor, Area, Colour, Group, Id, MM_PER_PT, Path, Role, Text, TextBox, Weight};
use crate::units::Invalid;
use crate::units::print::fixed;
use crate::venue::Venue;

/// So many notes beside the rows of WATCH; the card has them all, and whole.
const NOTES: usize = 3;
/// Between two rows that share a line, mm.
const BETWEEN: f64 = 3.2;

/// Title and WATCH on the upper part of a page of this width; how far down they reach, mm. `apart`: numbers that
/// have no label on the plan, so that their place is told.
pub(super) fn head(
    venue: &Venue,
    b: &Briefing,
    d: &Drawing,
    look: &Look,
    width: f64,
    apart: &[usize],
) -> Result<(Vec<Group>, f64), Invalid> {
    let day = format!("{} {}", b.day.day(), b.day.month_and_year());
    let room = width - 2.0 * look.margin;
    let baseline = look.margin + look.title_pt * MM_PER_PT * Weight::CAPITAL_EM;
    let mut title = Group::new(Role::Heading(1)).named(Id::new("title")?);
    let right = Text::new(&day, (width - look.margin, baseline), look.far_pt, Weight::Regular, INK)?;
    let left =
        Text::cut(&venue.document.name, room - right.width_mm() - 4.0, look.title_pt, Weight::SemiBold);
    title.push(Text::new(&left, (look.margin, baseline), look.title_pt, Weight::SemiBold, INK)?);
    title.push(right.anchored(Anchor::End));
    let top = baseline + 0.3 * look.title_pt * MM_PER_PT + 0.8;
    let (watch, bottom) = watch(venue, b, d, look, room, top, apart)?;
    Ok((vec![title, watch], bottom))
}

/// One thing of WATCH.
fn rows(venue: &Venue, b: &Briefing, d: &Drawing, look: &Look, apart: &[usize]) -> Vec<(usize, Block)> {
    let row = |number: usize, name: String, off: String, place: Option<String>| {
        let mut spans = vec![
            Span::new(number.to_string(), look.far_pt, Weight::SemiBold, ALARM),
            Span::new(name, look.far_pt, Weight::SemiBold, INK),
        ];
        if !off.is_empty() {
            spans.push(Span::new(off, look.far_pt, Weight::Regular, INK));
        }
        if let Some(place) = place {
            spans.push(Span::new(place, look.small_pt, Weight::Regular, SOFT));
        }
        (number, Block::line(spans))
    };
    let mut out: Vec<(usize, Block)> = Vec::new();
    for (i, w) in b.watch.iter().enumerate() {
        let (name, off) = watched(venue, &w.thing);
        let place = if apart.contains(&(i + 1)) { where_watched(venue, &w.thing) } else { None };
        out.push(row(i + 1, name, off, place));
    }
    for h in d.hazards.iter().filter(|h| !h.watched) {
        let place = apart.contains(&h.number).then(|| {
            let (x, y) = (h.at.x, h.at.y);
            let end = if x >= 0.0 { crate::boundary::End::A } else { crate::boundary::End::B };
            let side = if y >= 0.0 { crate::boundary::Side::Left } else { crate::boundary::Side::Right };
            format!("{}, {} m from the centre", super::words::quarter(venue, end, side), fixed(x.hypot(y), 0))
        });
        out.push(row(h.number, hazard_name(venue, h.index), String::new(), place));
    }
    out
}

fn watch(
    venue: &Venue,
    b: &Briefing,
    d: &Drawing,
    look: &Look,
    room: f64,
    top: f64,
    apart: &[usize],
) -> Result<(Group, f64), Invalid> {
    let size = look.far_pt * MM_PER_PT;
    let (line, pad) = (1.12 * size, 0.22 * size);
    let tab = Text::measure_mm("WATCH", look.far_pt, Weight::SemiBold) + 4.0 * pad;
    let (left, right) = (look.margin + tab + 1.6, look.margin + room - 1.0);
    // Rows side by side, as many as a line has room for.
    let mut placed: Vec<(usize, Block, f64, f64)> = Vec::new();
    let (mut x, mut y) = (left, top + pad);
    for (number, mut block) in rows(venue, b, d, look, apart) {
        cut(&mut block, right - left);
        let width = block.size().0;
        if x > left && x + width > right {
            (x, y) = (left, y + line);
        }
        placed.push((number, block, x, y));
        x += width + BETWEEN;
    }
    let mut notes: Vec<(String, f64)> = Vec::new();
    if x > left {
        y += line;
    }
    let said: Vec<&str> =
        b.unusual.iter().filter(|u| u.on_the_line && !u.in_start).map(|u| u.text.as_str()).collect();
    let mut said_lines: Vec<String> = Vec::new();
    for text in said.iter().take(NOTES) {
        let mut lines = wrapped(&format!("! {text}"), right - left, look.name_pt, Weight::Regular);
        if lines.len() > 2 {
            lines.truncate(2);
            let last = format!("{} …", lines[1]);
            lines[1] = Text::cut(&last, right - left, look.name_pt, Weight::Regular);
        }
        said_lines.extend(lines);
    }
    if said.len() > NOTES {
        said_lines.push(format!("and {} more on the card", said.len() - NOTES));
    }
    if placed.is_empty() && said_lines.is_empty() {
        said_lines.push("nothing was reported: look anyway".to_owned());
    }
    let note_line = 1.12 * look.name_pt * MM_PER_PT;
    for text in said_lines {
        notes.push((text, y));
        y += note_line;
    }
    let bottom = (y + pad).max(top + line + 2.0 * pad);
    let mut g = Group::new(Role::Section).named(Id::new("watch")?).titled("WATCH");
    let mut frame = Group::new(Role::Decoration);
    frame.push(Area::new(Path::rectangle(look.margin, top, tab, bottom - top), ALARM)?);
    let rim = Path::rectangle(look.margin, top, room, bottom - top);
    frame.push(crate::page::Stroke::new(rim, 0.5, ALARM)?);
    g.push(frame);
    let mut heading = Group::new(Role::Heading(2));
    let baseline = top + pad + 0.80 * size;
    heading.push(Text::new(
        "WATCH",
        (look.margin + 2.0 * pad, baseline),
        look.far_pt,
        Weight::SemiBold,
        Colour::WHITE,
    )?);
    g.push(heading);
    for (number, block, x, y) in placed {
        let (w, h) = block.size();
        let place = TextBox { left: x, top: y, right: x + w, bottom: y + h };
        let mut row = Group::new(Role::Paragraph).named(Id::new(format!("watch-{number}"))?);
        for item in block.texts(&place, 1.0)? {
            row.push(item);
        }
        g.push(row);
    }
    for (text, y) in notes {
        let at = (left, y + 0.80 * look.name_pt * MM_PER_PT);
        let mut row = Group::new(Role::Paragraph);
        row.push(Text::new(&text, at, look.name_pt, Weight::Regular, INK)?);
        g.push(row);
    }
    Ok((g, bottom))
}

/// Cuts the name of a row that is wider than this: what is said after it stays whole.
fn cut(block: &mut Block, most: f64) {
    let over = block.size().0 - most;
    if over <= 0.0 {
        return;
    }
    if let Some(name) = block.lines.first_mut().and_then(|l| l.get_mut(1)) {
        let width = Text::measure_mm(&name.text, name.size_pt, name.weight);
        name.text = Text::cut(&name.text, (width - over).max(8.0), name.size_pt, name.weight);
    }
}
