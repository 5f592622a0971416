//! The short card: two minutes before the bounce. Side one in some thirty lines, for both lines or for one
//! line's official; side two is what to face.

use super::Paper;
use super::arrive_words::arrive_short;
use super::card_text::{STAY_INSIDE, back_of_line, far_line, last, pair, points, watch, wide_of_line};
use super::face_text::{KEY, NO_LANDMARKS, list, none};
use super::law_words::{after_a_behind, in_the_arc, kick_in_short, last_disposal, last_disposal_place};
#[cfg(feature = "page")]
use super::lines::Part;
use super::lines::{Sheet, TIE};
use super::post_words::post_words;
use super::start_words::start_short;
use super::sun_words::sun_words;
use super::words::{QUARTERS, day, end_name, practised, quarter, side_name};
use crate::boundary::Side;
use crate::briefing::{Briefing, SpotRow};
use crate::ground::NamedSpot;
use crate::units::print::{fixed, for_terminal};
use crate::venue::Venue;

/// Side one has no more lines than this where leaving out what can be left out helps.
const LINES: usize = 30;
/// Blanks before the lines that follow a label.
const HANG: usize = 2;

/// What is left out, the first first, where side one is too long. A hazard never is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Without {
    Nothing,
    Sun,
    Arrive,
    FarLine,
}

/// The short card; `line`: of the official who runs that line all day.
#[must_use]
pub fn short_card(venue: &Venue, b: &Briefing, line: Option<Side>, paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    for without in [Without::Nothing, Without::Sun, Without::Arrive, Without::FarLine] {
        out = Sheet::new(paper);
        side_one(&mut out, venue, b, line, without);
        if out.height() <= LINES {
            break;
        }
    }
    side_two(&mut out, venue, b, line);
    out.text()
}

/// Everything that the short card says when nothing has to be left out: side one, then side two.
#[cfg(feature = "page")]
pub(super) fn short_parts(venue: &Venue, b: &Briefing, line: Option<Side>) -> [Vec<Part>; 2] {
    // In few columns every table is a list.
    let paper = Paper::new(Paper::LEAST, false);
    let (mut one, mut two) = (Sheet::new(paper), Sheet::new(paper));
    side_one(&mut one, venue, b, line, Without::Nothing);
    side_two(&mut two, venue, b, line);
    [one.parts(), two.parts()]
}

fn block(out: &mut Sheet, label: &str, text: &str) {
    out.hang(&format!("{label}  "), text, HANG);
}

fn side_one(out: &mut Sheet, venue: &Venue, b: &Briefing, line: Option<Side>, without: Without) {
    header(out, venue, b, line);
    out.rule('-');
    watch(out, venue, b, line);
    out.rule('-');
    start(out, venue, b, line);
    block(out, "MIDDLE", "level with the ball");
    if without < Without::FarLine {
        block(out, "FAR LINE", &far_line(venue));
    }
    your_line(out, venue, b, line);
    let (p, throw_ins) = (&venue.document.practice, venue.document.rules.throw_ins);
    block(out, "SET KICK", &format!("{} m ahead of it", fixed(p.set_kick_m.value, 0)));
    let throw = match (throw_ins, in_the_arc(venue)) {
        (false, _) => String::new(),
        (true, "in the arc") => "; throw in arc".to_owned(),
        (true, there) => format!("; throw {there}"),
    };
    let range = fixed(p.goal_range_m.value, 0);
    let at = post_words(venue, b, line);
    block(out, "YOUR POST", &format!("{at}: ball {range} m or nearer; set shot{throw}"));
    block(out, "AFTER A BEHIND", &format!("{}, backwards", after_a_behind(venue)));
    out.rule('-');
    if throw_ins {
        block(out, "THROW", "to the centre. By the post, straighter: clear of goal front");
    }
    if let Some(place) = last_disposal_place(venue) {
        block(out, "LAST DISPOSAL", &format!("{place}: {}", last_disposal(venue)));
    }
    block(out, "KICK-IN", &kick_in_short(venue));
    if without < Without::Sun {
        sun(out, venue, b, line);
    }
    if without < Without::Arrive {
        block(out, "ARRIVE", &arrive_short(venue, b, line));
    }
    if !venue.document.help.is_empty() {
        block(out, "HELP", &for_terminal(&venue.document.help.join(". ")));
    }
    out.wrap("Thunder in 30 s of the flash: stop", "");
}

fn header(out: &mut Sheet, venue: &Venue, b: &Briefing, line: Option<Side>) {
    let (name, day) = (for_terminal(&venue.document.name).to_uppercase(), day(b.day));
    let [ends, sides] = points(venue, b);
    let Some(side) = line else {
        out.ends(&name, &day);
        pair(out, &ends.map(|(name, point)| format!("{name} end{point}")));
        pair(out, &sides.map(|(name, point)| format!("{name} side{point}")));
        return;
    };
    let (yours, [a, z]) =
        (format!("YOUR LINE {}", side_name(venue, side)), ends.map(|(name, point)| format!("{name}{point}")));
    if out.beside(&name, &day) {
        out.ends(&name, &day);
        out.ends(&yours, &format!("{a}  {z}"));
    } else {
        // A long name has a line of its own, and the day stands on the next.
        out.line(&name);
        out.ends(&yours, &day);
        out.line(&format!("{a}  {z}"));
    }
}

fn start(out: &mut Sheet, venue: &Venue, b: &Briefing, line: Option<Side>) {
    let words = start_short(venue, b.start.as_ref());
    let Some(s) = &b.start else { return block(out, "START", &words) };
    let [first, _] = s.diagonals();
    let pair = match line {
        None => format!(
            "{} + {}. Or the other two",
            quarter(venue, first[0].1, first[0].0),
            quarter(venue, first[1].1, first[1].0)
        ),
        Some(line) => {
            let mine = if first[0].0 == line { first[0].1 } else { first[1].1 };
            format!("{} end, partner {}. Or swap", end_name(venue, mine), end_name(venue, mine.other()))
        }
    };
    block(out, "START", &format!("{words} {pair}"));
}

fn your_line(out: &mut Sheet, venue: &Venue, b: &Briefing, line: Option<Side>) {
    let back = practised(venue.document.practice.back_m.value);
    // Name and how far; neighbours with one distance are from one to the other.
    let mut wide: Vec<(&str, Option<&str>, String)> = Vec::new();
    let mut tight = false;
    for (name, said) in [
        (NamedSpot::Pocket, "pocket"),
        (NamedSpot::ArcEnd, "arc"),
        (NamedSpot::Flank, "flank"),
        (NamedSpot::Wing, "wing"),
    ] {
        let rows: Vec<&SpotRow> = QUARTERS
            .iter()
            .filter(|(_, side)| line.is_none_or(|l| l == *side))
            .filter_map(|&(end, side)| b.row(side, end, name))
            .collect();
        // In goal range one is at the post: nothing to go wide of.
        if rows.iter().all(|r| r.stand.kind.is_at_post()) {
            continue;
        }
        // What is told of a spot with less room is how far back as well.
        let own = back_of_line(&rows);
        let off = match &own {
            Some(stay) if stay == STAY_INSIDE => stay.clone(),
            Some(back) => format!("back{TIE}{back}{TIE}WIDE{TIE}{}", wide_of_line(&rows)),
            None => wide_of_line(&rows),
        };
        tight |= own.is_some();
        match wide.last_mut() {
            Some((_, to, same)) if *same == off => *to = Some(said),
            _ => wide.push((said, None, off)),
        }
    }
    let said = |(from, to, off): &(&str, Option<&str>, String)| match to {
        Some(to) => format!("{from} to {to}{TIE}{off}"),
        None => format!("{from}{TIE}{off}"),
    };
    let wide = wide.iter().map(said).collect::<Vec<_>>().join(", ");
    let text = if tight {
        format!("SHORT SIDE (to the nearer post), as there is room: {wide}")
    } else {
        format!("{back} m back, SHORT SIDE (to the nearer post). WIDE of line: {wide}")
    };
    block(out, "YOUR LINE", &text);
}

fn sun(out: &mut Sheet, venue: &Venue, b: &Briefing, line: Option<Side>) {
    let Some(words) = sun_words(venue, b, line) else { return };
    let eyes = if words.eyes.is_empty() { String::new() } else { format!(": {}", words.eyes.join("; ")) };
    block(out, "SUN", &format!("{}{eyes}", words.when));
}

/// What to face, and what comes last.
fn side_two(out: &mut Sheet, venue: &Venue, b: &Briefing, line: Option<Side>) {
    out.rule('=');
    if venue.document.rules.throw_ins {
        if venue.document.surroundings.landmarks.is_empty() {
            block(out, "FACE", NO_LANDMARKS);
        } else {
            block(out, "FACE", KEY);
            for side in Side::BOTH.into_iter().filter(|s| line.is_none_or(|l| l == *s)) {
                out.rule('-');
                out.line(&format!("{} line", side_name(venue, side)));
                list(out, venue, b, side);
            }
            none(out, b, line);
        }
        out.rule('-');
    }
    last(out, venue, b);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::End;
    use crate::briefing::briefing;
    use crate::export::SHORT_COLUMNS;
    use crate::ground::outline_for_tests as outline;
    use crate::units::Day;
    use crate::venue::for_tests::{hazard, venue};

    fn made(more: &str, line: Option<Side>) -> String {
        let v = venue(&outline(165.0, 135.0), &format!("\n[fence]\ndistance_m = 6.0\n{more}")).0;
        let b = briefing(&v, Day::new(2026, 8, 1).unwrap());
        short_card(&v, &b, line, Paper::new(SHORT_COLUMNS, false))
    }

    /// Side one, and how many lines it has.
    fn one(text: &str) -> (String, usize) {
        let (one, _) = text.split_once("\n====").unwrap();
        (one.to_owned(), one.lines().count())
    }

    fn taps(n: u32) -> String {
        let o = outline(165.0, 135.0);
        // Each 3 m out, where it is in nobody's way, 14 m from the next: two lines on a card.
        (0..n)
            .map(|i| {
                let (end, at) = if i % 2 == 0 { (End::A, f64::from(i)) } else { (End::B, f64::from(i)) };
                hazard(&o, &format!("tap number {i}"), (Side::Right, end), 20.0 + 7.0 * at, 3.0)
            })
            .collect()
    }

    #[test]
    fn the_short_card_has_some_thirty_lines_and_its_date() {
        for line in [None, Some(Side::Left), Some(Side::Right)] {
            let (text, lines) = one(&made(&taps(1), line));
            assert!(lines <= LINES, "{lines}\n{text}");
            assert!(text.contains("1 Aug 2026") && text.contains("FAR LINE"), "{text}");
            assert!(text.contains("SHORT SIDE (to") && text.contains("WIDE of line:"), "{text}");
        }
    }

    #[test]
    fn past_thirty_lines_arrive_goes_before_the_far_line_and_a_hazard_never() {
        // There is no sun where the venue has no place on Earth.
        let mut before = (true, true);
        for n in 0..12 {
            let (text, lines) = one(&made(&taps(n), Some(Side::Right)));
            let has = (text.contains("ARRIVE"), text.contains("FAR LINE"));
            // Once gone it stays gone, and the far line stays as long as arriving does.
            assert!(has.0 <= before.0 && has.1 <= before.1 && has.0 <= has.1, "{n}: {has:?}\n{text}");
            assert!(lines <= LINES || has == (false, false), "{n}: {lines}\n{text}");
            let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
            for i in 0..n {
                assert!(flat.contains(&format!("tap number {i} ")), "{n}: {i}\n{text}");
            }
            before = has;
        }
        assert_eq!(before, (false, false), "twelve hazards are past thirty lines");
        assert!(one(&made(&taps(0), Some(Side::Right))).0.contains("ARRIVE"));
    }

    #[test]
    fn one_officials_card_has_that_line_alone() {
        let o = outline(165.0, 135.0);
        let more = hazard(&o, "tap", (Side::Left, End::A), 30.0, 3.0)
            + &hazard(&o, "bench", (Side::Right, End::A), 30.0, 3.0)
            + "\n[[landmark]]\nname = \"silo\"\nx_m = 0\ny_m = 900\nwidth_m = 30\n";
        let (left, both) = (made(&more, Some(Side::Left)), made(&more, None));
        assert!(left.contains("YOUR LINE SHED") && left.contains("tap") && !left.contains("bench"), "{left}");
        assert!(both.contains("tap") && both.contains("bench") && both.contains("SILO/SHED"), "{both}");
        // Side two: eleven spots of the line, each with what is faced or none.
        let (_, two) = left.split_once("\n====").unwrap();
        let rows = |text: &str| {
            let spots = ["post", "25 m", "pocket", "arc end", "flank", "wing"];
            text.lines().filter(|l| spots.iter().any(|s| l.starts_with(&format!("  {s} ")))).count()
        };
        assert_eq!((rows(two), rows(both.split_once("\n====").unwrap().1)), (11, 22), "{both}");
        assert!(two.contains("silo"), "{two}");
        assert!(left.contains("SILO end, partner SCHOOL"), "{left}");
    }
}
