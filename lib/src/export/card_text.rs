//! The full card as text: hazards first, stations in words that can be found on the
//! grass, what to face by landmark, size last. Names of ends and sides only.

use super::Paper;
use super::arrive_words::arrive_words;
use super::face_text::{KEY, NO_LANDMARKS, both_lines};
use super::law_words::{
    after_a_behind, in_the_arc, kick_in_mark, last_disposal_of_the_league, last_disposal_place, restart,
};
use super::lines::{Sheet, left, wide};
use super::post_words::post_words;
pub(super) use super::start_words::start_words;
use super::sun_words::sun_words;
use super::table::Table;
use super::watch_words::{advice, stands};
use super::words::{QUARTERS, day, end_name, halves, practised, side_name, spot_name};
pub(super) use super::words::{half_fists, quarter};
use crate::boundary::{End, Side};
use crate::briefing::{Advice, Briefing, SpotRow, Thing};
use crate::ground::NamedSpot;
use crate::officiate::StandKind;
use crate::units::print::{PlusMinus, compass_point, fixed, for_terminal, half_width, measured};
use crate::venue::Venue;

/// Columns before the text of a block.
const LABEL: usize = 8;

/// The full card.
#[must_use]
pub fn card(venue: &Venue, b: &Briefing, paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    lay_out(&mut out, venue, b);
    out.text()
}

pub(super) fn lay_out(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    header(out, venue, b);
    out.rule('=');
    watch(out, venue, b, None);
    if b.watch.iter().any(|w| !matches!(w.thing, Thing::NotSurveyed)) {
        out.wrap("(metres along the line, from the behind post)", "  ");
    }
    out.rule('-');
    start(out, venue, b);
    out.rule('-');
    stand(out, venue, b);
    out.rule('-');
    if venue.document.rules.throw_ins {
        face(out, venue, b);
        out.rule('-');
    }
    also(out, venue);
    out.rule('-');
    if sun(out, venue, b) {
        out.rule('-');
    }
    block(out, "ARRIVE", &arrive_words(venue, b, None));
    help(out, venue);
    out.rule('-');
    remarks(out, b);
    last(out, venue, b);
}

/// Label and text; a label wider than its column hangs over the first line.
fn block(out: &mut Sheet, label: &str, text: &str) {
    if wide(label) < LABEL {
        out.wrap(text, &left(label, LABEL));
    } else {
        out.hang(&format!("{label}  "), text, LABEL);
    }
}

fn header(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    out.ends(&for_terminal(&venue.document.name).to_uppercase(), &day(b.day));
    let [ends, sides] = points(venue, b);
    pair(out, &ends.map(|(name, point)| format!("{name} end{point}")));
    pair(out, &sides.map(|(name, point)| format!("{name} side{point}")));
}

/// A name, and ` N` where it is known.
type Pointed = (String, String);

/// The two ends and the two sides, each with its point of the compass.
pub(super) fn points(venue: &Venue, b: &Briefing) -> [[Pointed; 2]; 2] {
    let point = |i: usize| b.facing.map_or(String::new(), |f| format!(" {}", compass_point(f[i].degrees())));
    [
        [(end_name(venue, End::A), point(0)), (end_name(venue, End::B), point(1))],
        [(side_name(venue, Side::Left), point(2)), (side_name(venue, Side::Right), point(3))],
    ]
}

/// Two items on one line where they fit.
pub(super) fn pair(out: &mut Sheet, [a, b]: &[String; 2]) {
    let both = format!("{a}   {b}");
    if wide(&out.signs(&both)) <= out.columns() {
        out.line(&both);
    } else {
        out.line(a);
        out.line(b);
    }
}

/// What to watch out for; for one line's official what concerns that line.
pub(super) fn watch(out: &mut Sheet, venue: &Venue, b: &Briefing, line: Option<Side>) {
    out.hang("WATCH  ", "look before you back away", 2);
    let mut any = false;
    for w in b.watch.iter().filter(|w| line.is_none_or(|l| w.concerns(l))) {
        let mut text = stands(venue, w, line);
        if let Some(advice) = advice(venue, w, line) {
            text.push_str(". ");
            text.push_str(&advice);
        }
        out.hang("! ", &text, 2);
        any = true;
    }
    for u in b.unusual.iter().filter(|u| u.on_the_line && !u.in_start) {
        out.hang("! ", &for_terminal(&u.text), 2);
        any = true;
    }
    if !any {
        out.line("  nothing was reported: look anyway");
    }
}

/// Where the sun is low, and what it is in the way of. Was anything said?
fn sun(out: &mut Sheet, venue: &Venue, b: &Briefing) -> bool {
    let Some(words) = sun_words(venue, b, None) else { return false };
    let eyes = if words.eyes.is_empty() { "" } else { ". In your eyes:" };
    block(out, "SUN", &format!("{}{eyes}", words.when));
    for text in &words.eyes {
        block(out, "", text);
    }
    if let Some(text) = &words.prefer {
        block(out, "", text);
    }
    true
}

fn start(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    block(out, "START", &start_words(venue, b.start.as_ref()));
    if let Some(s) = &b.start {
        let [first, _] = s.diagonals();
        let at = |(side, end): (Side, End)| quarter(venue, end, side);
        block(out, "", &format!("{} + {}. Or the other two", at(first[0]), at(first[1])));
    }
}

/// What the far official keeps to.
pub(super) fn far_line(venue: &Venue) -> String {
    match venue.ground.oval().square_half_m() {
        None => "on your own line".to_owned(),
        Some(_) if venue.document.surroundings.painted.square => "in to the square's side".to_owned(),
        // What is not painted is paced.
        Some(half) => {
            let off = half + venue.document.practice.square_clear_m.value;
            format!("in to {} m off the goal axis (no square is painted)", practised(off))
        }
    }
}

/// How far back one stands at a named spot where nowhere is room for the whole distance; `None` where there is.
pub(super) fn back_of_line(rows: &[&SpotRow]) -> Option<String> {
    let back = |r: &&SpotRow| match r.stand.kind {
        StandKind::Tangent { back_m } | StandKind::AlongLine { back_m, .. } => Some(Advice::told_m(back_m)),
        _ => None,
    };
    if rows.is_empty() || rows.iter().any(|r| r.stand.limit.is_none() || r.stand.kind.is_at_post()) {
        return None;
    }
    let all: Vec<f64> = rows.iter().filter_map(back).collect();
    let (lo, hi) =
        all.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(*v), hi.max(*v)));
    Some(match (all.is_empty(), halves(lo) == halves(hi)) {
        (true, _) => STAY_INSIDE.to_owned(),
        (_, true) => halves(lo),
        _ => format!("{}-{}", halves(lo), halves(hi)),
    })
}

/// Where nobody can stand outside the line.
pub(super) const STAY_INSIDE: &str = "stay inside";

/// How far outside the line one stands at a named spot, as it differs from quarter to quarter: where there
/// is room for the whole distance back, if anywhere.
pub(super) fn wide_of_line(rows: &[&SpotRow]) -> String {
    let free: Vec<&&SpotRow> = rows.iter().filter(|r| r.stand.limit.is_none()).collect();
    let of = if free.is_empty() { rows.iter().collect() } else { free };
    let all = of.iter().map(|r| r.stand.outside_line_m);
    let (lo, hi) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)));
    let (lo, hi) = (halves(lo), halves(hi));
    if lo == hi { lo } else { format!("{lo}-{hi}") }
}

fn stand(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    let p = &venue.document.practice;
    let rows = |name: NamedSpot| -> Vec<&SpotRow> {
        QUARTERS.iter().filter_map(|&(end, side)| b.row(side, end, name)).collect()
    };
    let wing = rows(NamedSpot::Wing);
    let either =
        if !wing.is_empty() && wing.iter().all(|r| r.either()) { "; at the wing either side" } else { "" };
    block(out, "MIDDLE", "level with the ball, on your line");
    block(out, "FAR LINE", &format!("level with the ball, {}", far_line(venue)));
    let names: Vec<NamedSpot> =
        venue.ground.oval().named_spots().into_iter().filter(|n| *n != NamedSpot::Post).collect();
    // Where a fence leaves nobody the whole distance back, each spot has its own.
    let tight = names.iter().any(|n| back_of_line(&rows(*n)).is_some());
    let back = practised(p.back_m.value);
    let side = format!("SHORT SIDE (toward the nearer behind post{either})");
    let text = if tight {
        format!("{side}, BACK and WIDE of the line as there is room:")
    } else {
        format!("{back} m back, {side}, and WIDE of the line:")
    };
    block(out, "YOUR LINE", &text);
    // Under the text where there is room for it there.
    let margin = if out.columns() > LABEL + 9 + 8 + 12 { LABEL } else { 2 };
    let cells: &[(&str, usize)] = if tight {
        &[("BACK", 9), ("WIDE", 8), ("from post", 11)]
    } else {
        &[("WIDE", 8), ("from post", 12)]
    };
    let table = Table { margin, label: 9, cells };
    table.head(out, "");
    for name in names {
        let rows = rows(name);
        if rows.is_empty() {
            continue;
        }
        let at_post = rows.iter().all(|r| r.stand.kind.is_at_post());
        let own = back_of_line(&rows);
        let mean = rows.iter().map(|r| r.spot.from_post_m).sum::<f64>() / rows.len() as f64;
        let from_post = format!("{} m", fixed(mean, 0));
        let (back, wide) = match own {
            _ if at_post => (String::new(), "at post".to_owned()),
            Some(own) if own == STAY_INSIDE => ("stay".to_owned(), "inside".to_owned()),
            own => {
                (format!("{} m", own.unwrap_or_else(|| back.clone())), format!("{} m", wide_of_line(&rows)))
            }
        };
        let cells: &[&str] = if tight { &[&back, &wide, &from_post] } else { &[&wide, &from_post] };
        table.row(out, &spot_name(venue, name), cells);
    }
    block(
        out,
        "SET KICK",
        &format!(
            "{} m ahead of it. Set shot, inside {} m: both posts",
            fixed(p.set_kick_m.value, 0),
            fixed(p.set_shot_m.value, 0)
        ),
    );
    let throw = if venue.document.rules.throw_ins {
        format!(", your partner's throw-in {}", in_the_arc(venue))
    } else {
        String::new()
    };
    block(
        out,
        "YOUR POST",
        &format!(
            "{}. Be there for a ball within {} m of goal, a set shot{throw}",
            post_words(venue, b, None),
            fixed(p.goal_range_m.value, 0)
        ),
    );
    block(out, "AFTER A BEHIND", &format!("your {}, running backwards", after_a_behind(venue)));
}

fn face(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    if venue.document.surroundings.landmarks.is_empty() {
        block(out, "FACE", NO_LANDMARKS);
        return;
    }
    block(out, "FACE", KEY);
    both_lines(out, venue, b);
}

fn also(out: &mut Sheet, venue: &Venue) {
    if venue.document.rules.throw_ins {
        block(out, "THROW", "to the centre. By the post straighter: clear of the front of goal");
    }
    if let Some(place) = last_disposal_place(venue) {
        block(out, "LAST DISPOSAL", &format!("{place}: {}", last_disposal_of_the_league(venue)));
    }
    block(out, "KICK-IN", &kick_in_mark(venue));
    block(out, "RESTART", &restart(venue));
}

/// Who helps, where the venue says.
pub(super) fn help(out: &mut Sheet, venue: &Venue) {
    if !venue.document.help.is_empty() {
        block(out, "HELP", &for_terminal(&venue.document.help.join(". ")));
    }
}

fn size_line(venue: &Venue, b: &Briefing) -> String {
    let surveyed = format!("surveyed {}", venue.document.surveyed.month_and_year());
    match (&b.sizes.length, &b.sizes.width) {
        (Some(l), Some(w)) => format!(
            "{} long, {} wide (95 %), {surveyed}.",
            measured(l, "m", PlusMinus::Unicode),
            measured(w, "m", PlusMinus::Unicode)
        ),
        _ => format!("Its size is not known for sure; {surveyed}."),
    }
}

/// How well the places of hazards are known, where that is worse than is told.
fn rough_places(b: &Briefing) -> Option<String> {
    let half = b
        .watch
        .iter()
        .filter_map(|w| match &w.thing {
            Thing::Hazard { at: Some(at), .. } => Some(at.middle_out.half_width()),
            _ => None,
        })
        .fold(0.0, f64::max);
    (half > ROUGH_M).then(|| format!("Hazards' places: ± {} m.", half_width(half, 0)))
}

/// A metre told to half a metre is not known as well as that, m.
const ROUGH_M: f64 = 0.5;

/// What a league or a surveyor would remark on.
fn remarks(out: &mut Sheet, b: &Briefing) {
    for u in b.unusual.iter().filter(|u| !u.on_the_line) {
        out.hang("- ", &for_terminal(&u.text), 2);
    }
}

/// Size and the cautions.
pub(super) fn last(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    out.wrap(&size_line(venue, b), "");
    if let Some(text) = rough_places(b) {
        out.wrap(&text, "");
    }
    out.wrap(&for_terminal(&b.cautions.join(" ")), "");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::briefing::briefing;
    use crate::export::{CARD_COLUMNS, SHORT_COLUMNS, long_card, short_card};
    use crate::ground::outline_for_tests as outline;
    use crate::units::Day;
    use crate::venue::for_tests::{hazard, venue};

    fn made(more: &str) -> (String, String) {
        let v = venue(&outline(165.0, 135.0), more).0;
        let b = briefing(&v, Day::new(2026, 8, 1).unwrap());
        let paper = Paper::new(CARD_COLUMNS, false);
        (card(&v, &b, paper), long_card(&v, &b, crate::briefing::ZoneSizes::of(&v.ground).as_ref(), paper))
    }

    fn flat(text: &str) -> String {
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn the_card_says_what_can_not_be_misread() {
        let (text, _) = made("\n[fence]\ndistance_m = 6.0\n");
        let flat = flat(&text);
        // Level with the ball first; how far outside the line is WIDE, and short side is said what it is once.
        assert!(flat.find("level with the ball").unwrap() < flat.find("SHORT SIDE").unwrap(), "{text}");
        assert!(flat.contains("SHORT SIDE (toward the nearer behind post"), "{text}");
        assert_eq!(flat.matches("SHORT SIDE").count(), 1, "{text}");
        assert!(flat.contains("WIDE of the line"), "{text}");
        let out = |word: &&str| *word == "OUT";
        assert!(!flat.split_whitespace().any(|w| out(&w)), "{text}");
        assert!(flat.contains("1 Aug 2026"), "{text}");
    }

    #[test]
    fn areas_kicks_counts_and_bearings_are_for_the_long_table() {
        let (short, long) = made("\n[fence]\ndistance_m = 6.0\n");
        for word in ["kicks", "m²", "inside each arc", "chainage", "EVERY SPOT"] {
            assert!(!short.contains(word), "{word}\n{short}");
        }
        for word in ["kicks", "m²", "inside each arc", "chainage", "EVERY SPOT"] {
            assert!(long.contains(word), "{word}\n{long}");
        }
    }

    #[test]
    fn plus_minus_and_size_come_last() {
        let o = outline(165.0, 135.0);
        let (text, _) = made(&hazard(&o, "tap", (Side::Left, End::A), 61.0, 1.3));
        let lines: Vec<&str> = text.lines().collect();
        let first = lines.iter().position(|l| l.contains('±')).unwrap();
        let rule = lines.iter().rposition(|l| l.starts_with("---")).unwrap();
        assert!(first > rule, "{text}");
    }

    #[test]
    fn what_is_open_or_past_stands_under_watch_of_every_card() {
        let v = venue(
            &outline(165.0, 135.0),
            "[record]\nmeasured_by = \"R. Quill\"\nvalid_until = \"2026-07-31\"\n[centre_square]\nalong_m = -1.2\n\
             [[reported]]\nwhat = \"tap was moved\"\nplace = \"Silo post\"\ndate = \"2026-06-20\"\nby = \"B. Wren\"\n",
        )
        .0;
        let b = briefing(&v, Day::new(2026, 8, 1).unwrap());
        let full = card(&v, &b, Paper::new(CARD_COLUMNS, false));
        for text in [full.clone(), short_card(&v, &b, Some(Side::Left), Paper::new(SHORT_COLUMNS, false))] {
            let text = flat(&text);
            let (watch, rest) = text.split_once(" START ").unwrap();
            for said in [
                "! Silo post: tap was moved (B. Wren, 20 Jun 2026): not settled yet",
                "! This record held until 31 Jul 2026: it is past.",
                "! The centre square is painted 1.2 m toward School",
            ] {
                assert!(watch.contains(said) && !rest.contains(said), "{said}\n{text}");
            }
        }
        assert!(flat(&full).contains("- Record: measured by R. Quill; holds until 31 Jul 2026"), "{full}");
    }

    #[test]
    fn what_the_rules_do_not_have_is_left_out() {
        let v = venue(&outline(165.0, 135.0), "\n[fence]\ndistance_m = 6.0\n").0;
        let mut nine = v.clone();
        nine.document.rules.throw_ins = false;
        let of = |v: &Venue| {
            let b = briefing(v, Day::new(2026, 8, 1).unwrap());
            card(v, &b, Paper::new(CARD_COLUMNS, false))
        };
        assert!(of(&v).contains("THROW") && of(&v).contains("FACE"));
        assert!(
            !of(&nine).contains("THROW") && !of(&nine).contains("FACE") && !of(&nine).contains("throw-in")
        );
    }
}
