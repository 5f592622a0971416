//! What to watch out for, in words: where it stands, and for which balls it is in the way.

use super::lines::TIE;
use super::words::{
    end_name, halves, hazard_name, quarter, quarter_on, side_name, spot_name, tenths, tenths_down,
};
use crate::boundary::{End, Side};
use crate::briefing::{Advice, FromPost, InTheWay, Lies, LineStretch, Thing, Watch, Whereabouts};
use crate::ground::NamedSpot;
use crate::units::print::fixed;
use crate::venue::Venue;

/// A place known worse than this is said to be about so far off, m.
const ROUGH_M: f64 = 0.25;

/// Where something is and what: `SILO/PAVILION flank, 61 m from post: tap 1.3 m off the line`.
///
/// `line`: for the official who runs this line alone, to whom its name says nothing.
pub(super) fn stands(venue: &Venue, w: &Watch, line: Option<Side>) -> String {
    match &w.thing {
        Thing::Hazard { index, at } => {
            let name = hazard_name(venue, *index);
            match at {
                Some(at) => format!("{}: {name} {}", whereabouts(venue, at, line), off(at)),
                None => format!("{name} near the line"),
            }
        }
        Thing::Fence { distance_m, along, .. } => {
            let fence = format!("fence {}{TIE}m", tenths_down(*distance_m));
            let places: Vec<String> = along
                .iter()
                .filter(|s| line.is_none_or(|l| s.side == l))
                .map(|s| stretch(venue, s, line))
                .collect();
            if along.is_empty() {
                format!("{fence} all round")
            } else {
                format!("{}: {fence}", places.join("; "))
            }
        }
        Thing::MayBeNear { spots, spare } => {
            let places: Vec<String> = spots
                .iter()
                .filter(|s| line.is_none_or(|l| s.0 == l))
                .map(|&(side, end, name)| place(venue, side, end, Some(name), line))
                .collect();
            let left = if spare.value() < 0.0 {
                format!("{} m too near", fixed(-spare.value(), 1))
            } else {
                format!("{} m to spare", fixed(spare.value(), 1))
            };
            let half = crate::units::print::half_width(spare.half_width(), 1);
            format!("{}: fence may be too near, {left}, give or take {half} m", places.join("; "))
        }
        Thing::NotSurveyed => "Run-off not surveyed".to_owned(),
    }
}

/// What to do about it, each for its crossings: `Ball out at 69-77 m: step round it`.
pub(super) fn advice(venue: &Venue, w: &Watch, line: Option<Side>) -> Option<String> {
    match w.thing {
        Thing::MayBeNear { .. } => return Some("Pace it".to_owned()),
        Thing::NotSurveyed => return Some("Look behind you before you back away, everywhere".to_owned()),
        _ => {}
    }
    let all: Vec<String> = w.in_the_way.iter().filter_map(|i| in_the_way(venue, w, i, line)).collect();
    (!all.is_empty()).then(|| all.join(". "))
}

fn in_the_way(venue: &Venue, w: &Watch, i: &InTheWay, line: Option<Side>) -> Option<String> {
    let what = match i.advice {
        // What is said of the post says it.
        Advice::AtPost => return None,
        Advice::Nowhere => "no place outside, stay inside the line".to_owned(),
        Advice::StepRound => "step round it".to_owned(),
        Advice::Stand { back_m, wide_m } => {
            let back = from_to(back_m.map(|m| halves(Advice::told_m(m))));
            match from_to(wide_m.map(halves)).as_str() {
                "0" => format!("back {back}{TIE}m on the line"),
                wide => format!("back {back}{TIE}m, {wide}{TIE}m WIDE"),
            }
        }
        Advice::Long { toward, only } => {
            let better = if only { "" } else { " sees better" };
            format!("LONG SIDE{better}, toward {}", end_name(venue, toward))
        }
    };
    let mine: Vec<&LineStretch> = i.crossings.iter().filter(|s| line.is_none_or(|l| s.side == l)).collect();
    if mine.is_empty() {
        return None;
    }
    let whole = |s: &&LineStretch| s.from.metres <= NEAR_POST_M && s.to.metres <= NEAR_POST_M;
    if mine.iter().all(whole) && mine.len() == if line.is_some() { 1 } else { 2 } {
        return Some(format!("Wherever the ball is out: {what}"));
    }
    let at: Vec<String> = mine.iter().map(|s| crossing(venue, w, s, line)).collect();
    Some(format!("Ball out at {}: {what}", at.join(", ")))
}

/// `9`, or `9-11½` where they differ.
fn from_to([least, most]: [String; 2]) -> String {
    if least == most { least } else { format!("{least}-{most}") }
}

/// Crossings nearer to the post than this are its official's at the post, m.
const NEAR_POST_M: f64 = 20.0;

/// `69-77 m`, with the quarter where it is not the thing's own; `SILO 98 m to CREEK 98 m`.
fn crossing(venue: &Venue, w: &Watch, s: &LineStretch, line: Option<Side>) -> String {
    let Some(end) = s.end() else {
        let side = if line.is_some() { String::new() } else { format!("{} ", side_name(venue, s.side)) };
        let from = |f: FromPost| format!("{}{TIE}{}{TIE}m", end_name(venue, f.end), fixed(f.metres, 0));
        return format!("{side}{} to {}", from(s.from), from(s.to));
    };
    let own = match &w.thing {
        Thing::Hazard { at: Some(at), .. } => (at.side, at.end) == (s.side, end),
        Thing::Fence { along, .. } => {
            let mut mine = along.iter().filter(|a| line.is_none_or(|l| a.side == l));
            let first = mine.next();
            first.is_some_and(|a| a.side == s.side && a.end() == Some(end)) && mine.next().is_none()
        }
        _ => false,
    };
    let metres = metres(s);
    if own {
        return metres;
    }
    // The side has been said where the thing is on it.
    let said = match &w.thing {
        Thing::Fence { along, .. } => !along.is_empty() && along.iter().all(|a| a.side == s.side),
        Thing::Hazard { at: Some(at), .. } => at.side == s.side,
        _ => false,
    };
    format!("{}{TIE}{metres}", quarter_on(venue, end, s.side, line.or(said.then_some(s.side))))
}

/// `69-77 m` from the post of its quarter, nearest first.
fn metres(s: &LineStretch) -> String {
    let (a, z) = (s.from.metres.min(s.to.metres), s.from.metres.max(s.to.metres));
    let (a, z) = (fixed(a, 0), fixed(z, 0));
    if a == z { format!("{a}{TIE}m") } else { format!("{a}-{z}{TIE}m") }
}

/// `SILO/ROAD pocket, 20-34 m from post`, `ROAD wing, 97 m from SILO post to 97 m from CREEK post`.
fn stretch(venue: &Venue, s: &LineStretch, line: Option<Side>) -> String {
    match s.end() {
        Some(end) => {
            let at = place(venue, s.side, end, s.near, line);
            format!("{at}, {} from {}", metres(s), post(venue, end, s.near))
        }
        None => {
            // Over the middle: no one quarter's name holds for it.
            let at = match (s.near, line) {
                (Some(NamedSpot::Wing), _) => place(venue, s.side, s.from.end, s.near, line),
                (_, Some(_)) => "your line".to_owned(),
                (_, None) => format!("{} line", side_name(venue, s.side)),
            };
            let from =
                |f: FromPost| format!("{}{TIE}m from {} post", fixed(f.metres, 0), end_name(venue, f.end));
            format!("{at}, {} to {}", from(s.from), from(s.to))
        }
    }
}

/// `SILO/PAVILION flank, 61 m from post`.
pub(super) fn whereabouts(venue: &Venue, at: &Whereabouts, line: Option<Side>) -> String {
    if at.behind_goal {
        return format!("behind the {} goals", end_name(venue, at.end));
    }
    let metres = fixed(at.from_post.value(), 0);
    let place = place(venue, at.side, at.end, at.near, line);
    format!("{place}, {metres}{TIE}m from {}", post(venue, at.end, at.near))
}

/// Of the wing it must be said from which post.
fn post(venue: &Venue, end: End, near: Option<NamedSpot>) -> String {
    if near == Some(NamedSpot::Wing) { format!("{} post", end_name(venue, end)) } else { "post".to_owned() }
}

/// `SILO/PAVILION flank`, `ROAD wing`; by the post the quarter alone.
pub(super) fn place(
    venue: &Venue,
    side: Side,
    end: End,
    near: Option<NamedSpot>,
    line: Option<Side>,
) -> String {
    match (near, line) {
        (Some(NamedSpot::Wing), Some(_)) => "wing".to_owned(),
        (Some(NamedSpot::Wing), None) => format!("{} wing", side_name(venue, side)),
        (None | Some(NamedSpot::Post), Some(_)) => format!("{} end", end_name(venue, end)),
        (None | Some(NamedSpot::Post), None) => quarter(venue, end, side),
        (Some(name), _) => format!("{} {}", quarter_on(venue, end, side, line), spot_name(venue, name)),
    }
}

/// How far its near edge is from the line.
fn off(at: &Whereabouts) -> String {
    let rough = at.middle_out.half_width() > ROUGH_M;
    match (at.lies(), rough) {
        (Lies::Off(m), true) => format!("about {}{TIE}m off the line", halves(m)),
        (Lies::Off(m), false) => format!("{}{TIE}m off the line", tenths(m)),
        (Lies::On, true) => "on or near the line".to_owned(),
        (Lies::On, false) => "ON the line".to_owned(),
        (Lies::Inside, _) => "INSIDE the line".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::briefing::briefing;
    use crate::ground::outline_for_tests as outline;
    use crate::units::Day;
    use crate::venue::for_tests::{hazard, tight, venue};

    /// Where it stands, and what to do, of each thing of a ground; for both lines, or one.
    fn said(more: &str, line: Option<Side>) -> Vec<(String, String)> {
        let v = venue(&outline(165.0, 135.0), more).0;
        let b = briefing(&v, Day::new(2026, 8, 1).unwrap());
        b.watch
            .iter()
            .filter(|w| line.is_none_or(|l| w.concerns(l)))
            .map(|w| {
                let plain = |t: String| t.replace(TIE, " ");
                (plain(stands(&v, w, line)), advice(&v, w, line).map_or_else(String::new, plain))
            })
            .collect()
    }

    const FENCE: &str = "\n[fence]\ndistance_m = 6.0\n";

    #[test]
    fn where_it_stands_is_said_before_the_balls_that_it_is_in_the_way_of() {
        let o = outline(165.0, 135.0);
        let tap = FENCE.to_owned() + &hazard(&o, "tap", (Side::Left, End::A), 61.0, 1.3);
        let (stands, advice) = &said(&tap, None)[0];
        assert_eq!(stands, "SILO/SHED flank, 61 m from post: tap 1.3 m off the line");
        assert!(advice.starts_with("Ball out at 69-77 m: back 9½ m, "), "{advice}");
        assert!(advice.ends_with(" m WIDE"), "{advice}");
        // Whoever runs that line all day needs no name of it.
        assert_eq!(said(&tap, Some(Side::Left))[0].0, "SILO flank, 61 m from post: tap 1.3 m off the line");
        assert!(said(&tap, Some(Side::Right)).is_empty());
    }

    #[test]
    fn a_fence_is_said_by_its_whole_length() {
        let o = outline(165.0, 135.0);
        let half = 0.5 * crate::ground::oval_for_tests(165.0, 135.0).boundary().line_length_m(Side::Right);
        let pocket = FENCE.to_owned() + &tight(&o, (Side::Right, End::B), 27.0, 2.4, 14.0);
        let (stands, advice) = &said(&pocket, None)[0];
        assert_eq!(stands, "SCHOOL/ROAD pocket, 20-34 m from post: fence 2.4 m");
        assert!(advice.starts_with("Ball out at ") && advice.ends_with(" m, 1½ m WIDE"), "{advice}");
        let wing = FENCE.to_owned() + &tight(&o, (Side::Right, End::A), half, 2.4, 24.0);
        assert_eq!(
            said(&wing, None)[0].0,
            "ROAD wing, 97 m from SILO post to 97 m from SCHOOL post: fence 2.4 m"
        );
        assert_eq!(said("\n[fence]\ndistance_m = 2.4\n", None)[0].0, "fence 2.4 m all round");
        assert_eq!(said("", None)[0].0, "Run-off not surveyed");
    }

    #[test]
    fn no_room_anywhere_is_said_once() {
        let all = said("\n[fence]\ndistance_m = 0.4\n", None);
        let [(_, advice)] = &all[..] else { panic!("{all:?}") };
        assert!(
            advice.starts_with("Wherever the ball is out: no place outside, stay inside the line"),
            "{advice}"
        );
    }
}
