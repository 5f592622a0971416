//! One official's station as a few lines of text: where, why, what is seen from there, and the way to it.

use super::card_text::half_fists;
use super::law_words::after_a_behind;
use super::lines::{Sheet, left};
use super::place_words::{beside_the_line, end_name, place, side_name, the};
use crate::briefing::{MomentAnswer, ON_THE_LINE_M, OnTheFull, Placed, Travelled};
use crate::ground::Arcs;
use crate::officiate::{Backwards, Limit, Reason, Recovery, StandKind, Times, View};
use crate::units::print::{fixed, for_terminal};
use crate::venue::Venue;

/// Columns before the text.
const LABEL: usize = 8;

pub(super) fn row(out: &mut Sheet, label: &str, text: &str) {
    out.wrap(text, &left(label, LABEL));
}

pub(super) fn times(t: &Times) -> String {
    format!("{} s at a run, {} s at a sprint", fixed(t.run_s, 0), fixed(t.sprint_s, 0))
}

fn limit(venue: &Venue, l: &Limit) -> String {
    match l {
        Limit::Fence { distance_m, .. } => format!("the fence, {} m from the line", fixed(*distance_m, 1)),
        Limit::Hazard(i) => for_terminal(&venue.document.surroundings.hazards[*i].name),
    }
}

/// One official's station.
pub(super) fn station(out: &mut Sheet, venue: &Venue, a: &MomentAnswer, p: &Placed) {
    let s = &p.station;
    // Of two on a side, whose end.
    let end = a.end_of_pair(p).map_or_else(String::new, |e| format!(", {} end", end_name(venue, e)));
    out.line(&format!("{}{end}:", side_name(venue, s.side)));
    row(out, "", &format!("{}.", place(venue, a.start.as_ref(), p)));
    match s.reason {
        // A start station's reason is what is looked at from it, and a post's is the place itself.
        Reason::Start => {}
        Reason::Post | Reason::BesidePost | Reason::Watch(StandKind::Post | StandKind::BesidePost) => {
            row(out, "", "Keep downfield in view.");
        }
        Reason::NoPlace | Reason::Watch(StandKind::NoPlace) => {}
        _ => row(out, "", &format!("Why: {}.", why(venue, a, p))),
    }
    if let (Some(v), Reason::Watch(_)) = (s.view, s.reason) {
        row(out, "", &format!("View: {}.", seen(venue, &v)));
    }
    around(out, venue, a, p);
    look(out, venue, a, p);
    if let Some(t) = &p.run {
        run(out, venue, "From where you were", t);
    }
    if s.reason == Reason::PointOut {
        row(out, "", &point_out(venue, a));
    }
    if let (Some(r), Some(c)) = (&a.recovery, a.positions.crossing)
        && c.side == s.side
    {
        row(out, "", &caught(r, c.arcs));
    }
}

/// Why an official stands there.
fn why(venue: &Venue, a: &MomentAnswer, p: &Placed) -> String {
    let s = &p.station;
    match s.reason {
        Reason::Partner => {
            let practised = venue.document.practice.pair_m.value;
            let apart = a.apart_m(s.side).unwrap_or(practised);
            format!("{} m along the line from your partner", fixed(apart, 0))
        }
        // What no square's side is beside is in only for the sake of the run.
        Reason::In | Reason::AheadIn if !p.is_beside_its_square(venue) => match s.reason {
            Reason::In => "in from the line, for a shorter run across".to_owned(),
            _ => "ahead of the kick, in from the line for a shorter run across".to_owned(),
        },
        Reason::ArcEnd => {
            format!("on the line, at the {}", after_a_behind(venue).trim_start_matches("line "))
        }
        reason => {
            let back = match reason {
                Reason::Watch(kind) => kind.back_m(),
                _ => None,
            };
            let back =
                back.map_or_else(String::new, |m| format!("{} m ", fixed(m, 1).trim_end_matches(".0")));
            format!("{back}{}", reason.words_on(venue.ground.oval()))
        }
    }
}

/// What one can tell of a ball from there.
fn seen(venue: &Venue, v: &View) -> String {
    match v.can_tell_m() {
        None => "a ball as high as your eyes can't be judged from here".to_owned(),
        Some(_) if v.is_along() => "you see along the line: a ball is seen over as soon as it is".to_owned(),
        Some(m) => format!(
            "a ball {} m up must be {} m over before you can tell",
            fixed(venue.document.practice.ball_height_m.value, 1),
            fixed(m, 1)
        ),
    }
}

/// What stands about it.
fn around(out: &mut Sheet, venue: &Venue, a: &MomentAnswer, p: &Placed) {
    for &i in &p.beside {
        let name = the(&for_terminal(&venue.document.surroundings.hazards[i].name));
        row(out, "", &format!("Mind {name}: it is right beside you."));
    }
    if p.run_off_known == Some(false) {
        row(out, "", "The run-off here is not surveyed: look behind you first.");
    }
    if let Some(l) = &p.station.limit {
        let by = limit(venue, l);
        let text = if a.is_on_the_long_side(&p.station) {
            format!("On the LONG SIDE: the short one is spoilt by {by}.")
        } else {
            format!("Kept short by {by}.")
        };
        row(out, "", &text);
    }
}

/// What to do about a ball that is out on the full.
fn point_out(venue: &Venue, a: &MomentAnswer) -> String {
    let far = fixed(venue.document.practice.on_full_run_m.value, 0);
    match a.on_the_full {
        Some(OnTheFull::RunUp) => "Run up to it and point it out.".to_owned(),
        Some(OnTheFull::SignalFirst) => {
            format!("More than {far} m away: signal at once from where you are, then go.")
        }
        _ => format!(
            "Within {far} m of it: run up and point it out. Farther off: signal at once from where you are, then go."
        ),
    }
}

/// What one can do who is caught behind a ball that crossed there.
fn caught(r: &Recovery, arcs: Arcs) -> String {
    let out_m = fixed(r.out_m, 1);
    let mut text = if r.restored {
        let unknown = if r.run_off_known { "" } else { " (run-off not surveyed: look first)" };
        format!(
            "Caught behind: level with where you are, {out_m} m outside the line gives the view back{unknown}."
        )
    } else {
        // A goal umpire has seen a ball that crossed near goal; one at the wing nobody else has.
        let then = match arcs {
            Arcs::Inside(_) => "Look to the goal umpire.",
            Arcs::Between => "Run on toward it.",
        };
        if r.out_m > ON_THE_LINE_M {
            format!(
                "Caught behind: level with where you are, {out_m} m outside the line is all there is room for, and you would still be {}° off the line. {then}",
                fixed(r.view.off_tangent_deg, 0)
            )
        } else {
            format!("Caught behind: no step outward from where you are sees along the line. {then}")
        }
    };
    if r.is_out_m > r.out_m + ON_THE_LINE_M {
        text += &format!(" You are {} m outside: come in.", fixed(r.is_out_m, 1));
    }
    text
}

/// A run: how long, how much of it backwards, and what to turn and look for.
fn run(out: &mut Sheet, venue: &Venue, what: &str, t: &Travelled) {
    let backward = match t.run.backwards() {
        Backwards::None => String::new(),
        Backwards::Last(back_m) => format!(", the last {} m backwards", fixed(back_m, 0)),
        Backwards::All => ", all backwards".to_owned(),
    };
    row(out, "", &format!("{what}: {} m{backward}; {}.", fixed(t.run.way.length_m, 0), times(&t.times)));
    for m in &t.mind {
        let thing = match m.what {
            Limit::Fence { .. } => "the fence".to_owned(),
            Limit::Hazard(i) => the(&for_terminal(&venue.document.surroundings.hazards[i].name)),
        };
        row(out, "", &format!("Turn and look: {thing}, {}.", beside_the_line(venue, m.at)));
    }
}

/// What to look at, in words: bearings are for the long table and for JSON.
fn look(out: &mut Sheet, venue: &Venue, a: &MomentAnswer, p: &Placed) {
    let text = match p.station.reason {
        Reason::ThrowIn => face(venue, p),
        Reason::Start if p.looks.is_empty() => "Face the centre".to_owned(),
        Reason::Start => {
            let at: Vec<&str> = p.looks.iter().map(|l| l.at).collect();
            format!("Look along {}", at.join(", and along "))
        }
        Reason::Watch(_) => "Eyes on the crossing".to_owned(),
        Reason::PointOut => "Face the field".to_owned(),
        Reason::ArcEnd => "Face the kick-in".to_owned(),
        _ if a.query.moment.phase.needs_ball() => "Face the ball".to_owned(),
        _ => "Face the goal".to_owned(),
    };
    row(out, "", &format!("{text}."));
    for l in &p.looks {
        if let Some(hazard) = l.crosses {
            let name = the(&for_terminal(&venue.document.surroundings.hazards[hazard].name));
            row(out, "", &format!("In the look at {}: {name}.", l.at));
        }
    }
    let glared: Vec<&str> = p.looks.iter().filter(|l| l.glare == Some(true)).map(|l| l.at).collect();
    if !glared.is_empty() {
        row(out, "", &format!("The sun is in your eyes, looking at {}.", glared.join(" and ")));
    }
}

/// What to face when throwing in.
fn face(venue: &Venue, p: &Placed) -> String {
    let Some(b) = p.backsight else {
        return "No landmark to face: pick up the centre, then turn".to_owned();
    };
    let name = the(&for_terminal(&venue.document.surroundings.landmarks[b.landmark].name));
    match b.half_fists {
        0 => format!("Face {name}"),
        n => format!("Face {} {} of {name}", half_fists(n), if b.off_deg > 0.0 { "right" } else { "left" }),
    }
}
