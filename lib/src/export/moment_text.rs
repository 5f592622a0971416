//! A moment of a match as a few lines of text: who stands where, and why.

use super::Paper;
use super::call_text::calls_on;
use super::card_text::quarter;
use super::law_words::restart;
use super::layout_words::{arcs_words, check_league, missing, zone_words};
use super::lines::Sheet;
use super::match_day::match_day_on;
use super::notes::notes;
use super::place_words::{end_name, on_the_grass, side_name};
use super::station_text::{row, station, times};
use crate::boundary::{End, Side};
use crate::briefing::{MomentAnswer, OtherStart};
use crate::officiate::{BetterBy, Case, InTheWay, Phase, Relay, ShortSide, Times, Way, view};
use crate::units::print::{compass_point, fixed, for_terminal, measured_roughly};
use crate::venue::Venue;

fn what(venue: &Venue, a: &MomentAnswer) -> String {
    let m = &a.query.moment;
    let phase = match m.phase {
        Phase::Bounce => "bounce and restart".to_owned(),
        Phase::Play => "play".to_owned(),
        Phase::SetKick(e) => format!("set kick toward {}", end_name(venue, e)),
        Phase::ThrowIn => "throw-in".to_owned(),
        Phase::OnTheFull => "out on the full".to_owned(),
        Phase::KickIn(e) => format!("kick-in at {}", end_name(venue, e)),
        Phase::AfterGoal(e) => format!("after a goal at {}", end_name(venue, e)),
    };
    let case = case_words(venue, a.positions.case);
    if case.is_empty() { phase } else { format!("{phase}, {case}") }
}

fn case_words(venue: &Venue, case: Case) -> String {
    match case {
        Case::ByPhase => String::new(),
        Case::Corridor => "in the middle".to_owned(),
        Case::NearLine(side) => format!("near the {} line", side_name(venue, side)),
        Case::GoalRange(e) => format!("near the {} goal", end_name(venue, e)),
        Case::SetKick => "out of range".to_owned(),
        Case::SetShot(_) => "a set shot".to_owned(),
    }
}

fn ball(out: &mut Sheet, venue: &Venue, a: &MomentAnswer) {
    let m = &a.query.moment;
    if !m.phase.needs_ball() {
        return;
    }
    row(out, "BALL", &on_the_grass(venue, m.ball));
    let crossed = a.positions.crossing.filter(|_| matches!(m.phase, Phase::ThrowIn | Phase::OnTheFull));
    let zone = match crossed.map(|c| c.arcs) {
        Some(arcs) => arcs_words(venue, arcs),
        None => zone_words(venue, &a.zones),
    };
    row(out, "", &zone);
    if let Some(c) = a.positions.crossing {
        let verb =
            if matches!(m.phase, Phase::ThrowIn | Phase::OnTheFull) { "crossed" } else { "likely to cross" };
        row(
            out,
            "",
            &format!(
                "{verb} {} m along the {} line from the {} behind post",
                fixed(c.from_post_m, 0),
                side_name(venue, c.side),
                end_name(venue, c.end)
            ),
        );
    }
    if let Some(inside) = a.crossed_inside_m {
        let text = format!("that ball is {} m inside the line: is it where it crossed?", fixed(inside, 0));
        row(out, "", &text);
    }
    if let Some(s) = &a.sides {
        let short = match s.short {
            ShortSide::Either => format!("either: take {}", end_name(venue, m.prefer)),
            ShortSide::Toward(e) => end_name(venue, e),
        };
        let one = |v: f64| fixed(v, 1);
        row(
            out,
            "SHORT",
            &format!(
                "{short}. {} post {} ({} kicks), {} post {} ({} kicks); the sides swap over at {} m",
                end_name(venue, End::A),
                measured_roughly(&s.to_a, "m", 0),
                one(s.kicks_a),
                end_name(venue, End::B),
                measured_roughly(&s.to_b, "m", 0),
                one(s.kicks_b),
                fixed(s.swap_m, 0)
            ),
        );
    }
}

fn way_words(w: &Way, t: &Times) -> String {
    format!("{} m, {}", fixed(w.length_m, 0), times(t))
}

fn after(out: &mut Sheet, venue: &Venue, a: &MomentAnswer) {
    if let Some(t) = &a.to_post {
        let text = format!(
            "if play goes goalward the thrower runs to the near post: {} m, {}",
            fixed(t.run.way.length_m, 0),
            times(&t.times)
        );
        row(out, "THEN", &text);
    }
    if let Some(k) = &a.kick_in {
        let out_m = fixed(k.mark_out_m(venue.ground.oval()), 0);
        row(
            out,
            "MARK",
            &format!(
                "{out_m} m out from the goal line; the protected area is {} x {out_m} m in front of it{}",
                fixed(k.area_wide_m(), 1),
                check_league(venue.document.rules.kick_in_mark_m.standing)
            ),
        );
    }
    if let Some((r, t)) = &a.relay {
        // Of two on a line the one at the post.
        let scored = r.end();
        let who = |side: Side| match a.query.crew.is_pair(side) {
            true => format!("{}, {} end,", side_name(venue, side), end_name(venue, scored)),
            false => side_name(venue, side),
        };
        let (first, second) = (who(r.first), who(r.first.other()));
        row(
            out,
            "BALL",
            &format!(
                "{first} collects and carries {} m to the hand-over, {} m out from the goal line; {second} waits there, and takes it {} m to the field umpire {}. Change 1-2 m apart, both running.",
                fixed(r.first_carries_m, 0),
                fixed(r.hand_over_out_m(venue.ground.oval()), 0),
                fixed(r.second_carries_m, 0),
                umpire_words(venue, r)
            ),
        );
        // Without a square there are no corners to go by.
        let square = venue.ground.oval().square_half_m().is_some();
        let by = |w: &Way, corner: &'static str| match w.ends_toward() {
            Some(end) if !square => format!("to the start station toward {}", end_name(venue, end)),
            _ => format!("by the {corner} corner"),
        };
        let of_second = if a.query.crew.is_pair(r.first.other()) { "short" } else { "long" };
        let (short, long) = (by(&r.first_way, "short"), by(&r.second_way, of_second));
        let run = |who: &str, by: &str, way: &str| format!("{}, {by}: {way}.", who.trim_end_matches(','));
        row(out, "RUNS", &run(&first, &short, &way_words(&r.first_way, &t[0])));
        row(out, "", &run(&second, &long, &way_words(&r.second_way, &t[1])));
        for side in Side::BOTH.into_iter().filter(|side| a.query.crew.is_pair(*side)) {
            let (own, there) = (end_name(venue, scored.other()), quarter(venue, scored.other(), side));
            row(
                out,
                "",
                &format!("{}, {own} end, goes to the start station {there}.", side_name(venue, side)),
            );
        }
    }
    for t in a.relay.iter().flat_map(|(r, _)| &r.in_the_way) {
        row(out, "MIND", &in_the_way(venue, a, t));
    }
    if let Some(b) = a.positions.better.filter(|b| b.first.is_none()) {
        let why = match b.why {
            BetterBy::Sun => "keeps the sun out of your eyes",
            BetterBy::View => "sees the line better here: the short side is cut short",
            BetterBy::Room => "has more room to back: the short side is cut short",
        };
        row(out, "LONG", &format!("the long side ({}) {why}. Your choice.", end_name(venue, b.end)));
    }
}

/// Where the field umpire waits for the ball.
fn umpire_words(venue: &Venue, r: &Relay) -> String {
    match r.field_umpire_side() {
        None => "at the centre".to_owned(),
        Some(side) => format!("on the {} side of the circle", side_name(venue, side)),
    }
}

/// What a group of players changes of a relay.
fn in_the_way(venue: &Venue, a: &MomentAnswer, what: &InTheWay) -> String {
    let station = |side: Side| {
        let end = a.relay.as_ref().and_then(|(r, _)| r.way_of(side).ends_toward());
        quarter(venue, end.unwrap_or(End::A), side)
    };
    match what {
        InTheWay::HandOverMoves { group, by_m } => {
            format!("group {} stands on the hand-over: it moves {} m", group + 1, fixed(*by_m, 1))
        }
        InTheWay::HandOverFar { group, by_m } => format!(
            "group {} stands on the hand-over, and no clear place is near: change at its edge, {} m off",
            group + 1,
            fixed(*by_m, 0)
        ),
        InTheWay::HandOverStays { group } => format!(
            "group {} stands on the hand-over, and no place of the ground is clear: wait for them",
            group + 1
        ),
        InTheWay::OnCorner { group, side } => {
            format!("group {} stands on the {} corner: go round it", group + 1, station(*side))
        }
        InTheWay::OnStation { group, side } => {
            format!("group {} stands on the start station {}: it stays yours", group + 1, station(*side))
        }
    }
}

/// Where the long side sees so much better that it comes first.
fn long_first(out: &mut Sheet, venue: &Venue, a: &MomentAnswer) {
    let Some(b) = a.positions.better else { return };
    let (Some(long), Some(c)) = (b.first, a.positions.crossing) else { return };
    let short = a.positions.of(c.side);
    let from = |p| view(&venue.document.practice, &c, p);
    let (by_long, by_short) = (from(long.point), from(short.point));
    let told = match (by_long.can_tell_m(), by_short.can_tell_m()) {
        (Some(l), Some(s)) => {
            let long = if by_long.is_along() {
                "you see along the line".to_owned()
            } else {
                format!("a ball need be {} m over before you can tell", fixed(l, 1))
            };
            format!(": {long}; from the short side a ball need be {} m over", fixed(s, 1))
        }
        _ => String::new(),
    };
    let back = fixed(long.point.distance_to(c.point), 0);
    let text = format!(
        "the long side sees better here. {back} m back toward {}, {} m outside the line{told}",
        end_name(venue, b.end),
        fixed(long.outside_line_m, 1)
    );
    row(out, "FIRST", &text);
}

/// Where the sun is, where a time was given.
fn sun(out: &mut Sheet, venue: &Venue, a: &MomentAnswer) {
    let Some(sun) = a.query.moment.sun else { return };
    let high = venue.document.practice.glare_high_deg.value;
    let way = venue.ground.oval().plan().bearing(sun.toward).map_or("", |b| compass_point(b.degrees()));
    let text = if sun.high_deg < 0.0 {
        "down".to_owned()
    } else {
        let glare = if sun.high_deg > high { "too high to dazzle" } else { "low" };
        format!("{glare}: {}° high in the {way}", fixed(sun.high_deg, 0))
    };
    row(out, "SUN", &text);
}

/// A moment's stations.
#[must_use]
pub fn moment_text(venue: &Venue, a: &MomentAnswer, cautions: &[String], paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    lay_out(&mut out, venue, a);
    notes(&mut out, cautions);
    out.text()
}

/// The other diagonal of a bounce, and whose eyes the sun is in there.
fn other_two(out: &mut Sheet, venue: &Venue, a: &MomentAnswer) {
    if a.other_two.is_empty() {
        return;
    }
    let names = |those: &mut dyn Iterator<Item = &OtherStart>, with: &str| {
        those.map(|o| quarter(venue, o.end, o.side)).collect::<Vec<_>>().join(with)
    };
    let at = names(&mut a.other_two.iter(), " + ");
    let glared = names(&mut a.other_two.iter().filter(|o| o.glare == Some(true)), " and ");
    let glare = if !glared.is_empty() {
        format!(". The sun is in the eyes at {glared}")
    } else if a.other_two.iter().all(|o| o.glare == Some(false)) {
        ". The sun is in nobody's eyes there".to_owned()
    } else {
        String::new()
    };
    row(out, "OR", &format!("the other two: {at}{glare}."));
}

/// A moment's stations on a sheet, without its cautions.
pub(super) fn lay_out(out: &mut Sheet, venue: &Venue, a: &MomentAnswer) {
    row(out, "PHASE", &what(venue, a));
    if let Some(case) = a.or_else {
        let text = format!("too close to call: within the survey's ± it may be {}", case_words(venue, case));
        row(out, "", &text);
    }
    ball(out, venue, a);
    if a.query.moment.phase == Phase::Bounce {
        let missing = missing(venue);
        if !missing.is_empty() {
            row(out, "", &missing);
        }
        row(out, "RESTART", &restart(venue));
    }
    sun(out, venue, a);
    long_first(out, venue, a);
    for p in &a.stations {
        station(out, venue, a, p);
    }
    other_two(out, venue, a);
    after(out, venue, a);
}

/// Before the match and at each break, phase after phase, for training, and the table of calls.
#[must_use]
pub fn phase_sheet_text(
    venue: &Venue,
    phases: &[(&'static str, MomentAnswer)],
    cautions: &[String],
    paper: Paper,
) -> String {
    let mut out = Sheet::new(paper);
    out.wrap(&for_terminal(&venue.document.name).to_uppercase(), "");
    match_day_on(&mut out);
    for (title, a) in phases {
        out.rule('=');
        out.wrap(&title.to_uppercase(), "");
        lay_out(&mut out, venue, a);
    }
    out.rule('=');
    calls_on(&mut out, venue.document.rules.throw_ins);
    notes(&mut out, cautions);
    out.text()
}
