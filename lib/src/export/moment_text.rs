//! A moment of a match as a few lines of text: who stands where, and why.

use super::Paper;
use super::call_text::calls_on;
use super::card_text::{half_fists, quarter};
use super::law_words::{after_a_behind, restart};
use super::layout_words::{arcs_words, check_league, missing, zone_words};
use super::lines::{Sheet, left};
use super::match_day::match_day_on;
use super::notes::notes;
use super::place_words::{ON_M, beside_the_line, end_name, on_the_grass, place, side_name, the};
use crate::boundary::{End, Side};
use crate::briefing::{MomentAnswer, OnTheFull, OtherStart, Placed, Travelled};
use crate::ground::Arcs;
use crate::officiate::{
    BetterBy, Case, InTheWay, Limit, Phase, Reason, Relay, ShortSide, StandKind, Station, Times, Way, view,
};
use crate::units::print::{compass_point, fixed, for_terminal, measured_roughly};
use crate::venue::Venue;

/// Columns before the text.
const LABEL: usize = 8;
fn row(out: &mut Sheet, label: &str, text: &str) {
    out.wrap(text, &left(label, LABEL));
}

fn times(t: &Times) -> String {
    format!("{} s at a run, {} s at a sprint", fixed(t.run_s, 0), fixed(t.sprint_s, 0))
}

fn limit(venue: &Venue, l: &Limit) -> String {
    match l {
        Limit::Fence { distance_m, .. } => format!("the fence, {} m from the line", fixed(*distance_m, 1)),
        Limit::Hazard(i) => for_terminal(&venue.document.surroundings.hazards[*i].name),
    }
}

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

/// Who can tell a ball that is so little over sees along the line, m.
const ALONG_M: f64 = 0.05;

fn station(out: &mut Sheet, venue: &Venue, a: &MomentAnswer, p: &Placed) {
    let s = &p.station;
    // Of two on a side, whose end.
    let end = if a.stations.iter().filter(|o| o.station.side == s.side).count() > 1 {
        let first = a.stations.iter().find(|o| o.station.side == s.side).is_some_and(|o| std::ptr::eq(o, p));
        format!(", {} end", end_name(venue, if first { End::A } else { End::B }))
    } else {
        String::new()
    };
    out.line(&format!("{}{end}:", side_name(venue, s.side)));
    row(out, "", &format!("{}.", place(venue, a.start.as_ref(), p)));
    let back = match s.reason {
        Reason::Watch(StandKind::Tangent { back_m } | StandKind::AlongLine { back_m, .. }) => {
            format!("{} m ", fixed(back_m, 1).trim_end_matches(".0"))
        }
        _ => String::new(),
    };
    let why = match s.reason {
        Reason::Partner => {
            let apart = fixed(venue.document.practice.pair_m.value, 0);
            let near = apart_of_pair(a, s.side);
            match near {
                Some(m) if fixed(m, 0) != apart => {
                    format!("{} m along the line from your partner", fixed(m, 0))
                }
                _ => format!("{apart} m along the line from your partner"),
            }
        }
        // What no square's side is beside is in only for the sake of the run.
        Reason::In | Reason::AheadIn if !beside_its_square(venue, s) => match s.reason {
            Reason::In => "in from the line, for a shorter run across".to_owned(),
            _ => "ahead of the kick, in from the line for a shorter run across".to_owned(),
        },
        Reason::ArcEnd => {
            format!("on the line, at the {}", after_a_behind(venue).trim_start_matches("line "))
        }
        _ => format!("{back}{}", s.reason.words_on(venue.ground.oval())),
    };
    match s.reason {
        // A start station's reason is what is looked at from it, and a post's is the place itself.
        Reason::Start => {}
        Reason::Post | Reason::BesidePost | Reason::Watch(StandKind::Post | StandKind::BesidePost) => {
            row(out, "", "Keep downfield in view.");
        }
        Reason::NoPlace | Reason::Watch(StandKind::NoPlace) => {}
        _ => row(out, "", &format!("Why: {why}.")),
    }
    if let (Some(v), Reason::Watch(_)) = (s.view, s.reason) {
        let told = match v.can_tell_m() {
            None => "a ball as high as your eyes can't be judged from here".to_owned(),
            Some(m) if m < ALONG_M => {
                "you see along the line: a ball is seen over as soon as it is".to_owned()
            }
            Some(m) => format!(
                "a ball {} m up must be {} m over before you can tell",
                fixed(venue.document.practice.ball_height_m.value, 1),
                fixed(m, 1)
            ),
        };
        row(out, "", &format!("View: {told}."));
    }
    for &i in &p.beside {
        let name = the(&for_terminal(&venue.document.surroundings.hazards[i].name));
        row(out, "", &format!("Mind {name}: it is right beside you."));
    }
    if p.run_off_known == Some(false) {
        row(out, "", "The run-off here is not surveyed: look behind you first.");
    }
    if let Some(l) = &s.limit {
        let by = limit(venue, l);
        let text = if on_the_long_side(a, s) {
            format!("On the LONG SIDE: the short one is spoilt by {by}.")
        } else {
            format!("Kept short by {by}.")
        };
        row(out, "", &text);
    }
    look(out, venue, a, p);
    if let Some(t) = &p.run {
        run(out, venue, "From where you were", t);
    }
    if s.reason == Reason::PointOut {
        let far = fixed(venue.document.practice.on_full_run_m.value, 0);
        let text = match a.on_the_full {
            Some(OnTheFull::RunUp) => "Run up to it and point it out.".to_owned(),
            Some(OnTheFull::SignalFirst) => {
                format!("More than {far} m away: signal at once from where you are, then go.")
            }
            _ => format!(
                "Within {far} m of it: run up and point it out. Farther off: signal at once from where you are, then go."
            ),
        };
        row(out, "", &text);
    }
    if let (Some(r), Some(c)) = (&a.recovery, a.positions.crossing)
        && c.side == s.side
    {
        let out_m = fixed(r.out_m, 1);
        let mut text = if r.restored {
            let unknown = if r.run_off_known { "" } else { " (run-off not surveyed: look first)" };
            format!(
                "Caught behind: level with where you are, {out_m} m outside the line gives the view back{unknown}."
            )
        } else {
            // A goal umpire has seen a ball that crossed near goal; one at the wing nobody else has.
            let then = match c.arcs {
                Arcs::Inside(_) => "Look to the goal umpire.",
                Arcs::Between => "Run on toward it.",
            };
            if r.out_m > ON_M {
                format!(
                    "Caught behind: level with where you are, {out_m} m outside the line is all there is room for, and you would still be {}° off the line. {then}",
                    fixed(r.view.off_tangent_deg, 0)
                )
            } else {
                format!("Caught behind: no step outward from where you are sees along the line. {then}")
            }
        };
        if r.is_out_m > r.out_m + ON_M {
            text += &format!(" You are {} m outside: come in.", fixed(r.is_out_m, 1));
        }
        row(out, "", &text);
    }
}

/// A run: how long, how much of it backwards, and what to turn and look for.
fn run(out: &mut Sheet, venue: &Venue, what: &str, t: &Travelled) {
    let back = t.run.backward_m();
    let backward = if back > t.run.way.length_m - 0.5 {
        ", all backwards".to_owned()
    } else if back > 0.5 {
        format!(", the last {} m backwards", fixed(back, 0))
    } else {
        String::new()
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

/// Along the line between the two of a side, m.
fn apart_of_pair(a: &MomentAnswer, side: Side) -> Option<f64> {
    let mut both = a.stations.iter().filter(|p| p.station.side == side);
    let (first, second) = (both.next()?, both.next()?);
    Some((first.from_a.value() - second.from_a.value()).abs())
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
        let goal = venue.ground.oval().goal(if k.mark.x >= 0.0 { End::A } else { End::B });
        row(
            out,
            "MARK",
            &format!(
                "{} m out from the goal line; the protected area is {} x {} m in front of it{}",
                fixed(k.mark.distance_to(goal), 0),
                fixed(k.protected[0].distance_to(k.protected[1]), 1),
                fixed(k.mark.distance_to(goal), 0),
                check_league(venue.document.rules.kick_in_mark_m.standing)
            ),
        );
    }
    if let Some((r, t)) = &a.relay {
        // Of two on a line the one at the post.
        let scored = if r.hand_over.x >= 0.0 { End::A } else { End::B };
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
                fixed(venue.ground.oval().half_length_m() - r.hand_over.x.abs(), 0),
                fixed(r.second_carries_m, 0),
                umpire_words(venue, r)
            ),
        );
        // Without a square there are no corners to go by.
        let square = venue.ground.oval().square_half_m().is_some();
        let by = |w: &Way, corner: &'static str| match w.points.last() {
            Some(p) if !square => {
                format!(
                    "to the start station toward {}",
                    end_name(venue, if p.x >= 0.0 { End::A } else { End::B })
                )
            }
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
    if r.field_umpire.y == 0.0 {
        return "at the centre".to_owned();
    }
    let side = if r.field_umpire.y > 0.0 { Side::Left } else { Side::Right };
    format!("on the {} side of the circle", side_name(venue, side))
}

/// What a group of players changes of a relay.
fn in_the_way(venue: &Venue, a: &MomentAnswer, what: &InTheWay) -> String {
    let station = |side: Side| {
        let at = a.relay.as_ref().and_then(|(r, _)| {
            let way = if r.first == side { &r.first_way } else { &r.second_way };
            way.points.last().copied()
        });
        let end = if at.is_some_and(|p| p.x < 0.0) { End::B } else { End::A };
        quarter(venue, end, side)
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

/// Is an official in from the line where the square's side is, and is it painted?
fn beside_its_square(venue: &Venue, s: &Station) -> bool {
    let half = venue.ground.oval().square_half_m();
    venue.document.surroundings.painted.square && half.is_some_and(|h| s.point.x.abs() <= h + ON_M)
}

/// Does an official who watches a crossing stand on its long side, where neither side is as short?
fn on_the_long_side(a: &MomentAnswer, s: &Station) -> bool {
    let (Some(c), Reason::Watch(_)) = (a.positions.crossing, s.reason) else { return false };
    let Some(ShortSide::Toward(end)) = a.query.moment.short else { return false };
    (s.point - c.point).dot(c.tangent_to(end)) < -ON_M
}

/// Where the long side sees so much better that it comes first.
fn long_first(out: &mut Sheet, venue: &Venue, a: &MomentAnswer) {
    let Some(b) = a.positions.better else { return };
    let (Some(long), Some(c)) = (b.first, a.positions.crossing) else { return };
    let short = a.positions.of(c.side);
    let over = |p| view(&venue.document.practice, &c, p).can_tell_m();
    let told = match (over(long.point), over(short.point)) {
        (Some(l), Some(s)) => {
            let long = if l < ALONG_M {
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
