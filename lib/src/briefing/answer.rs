//! The answer for one phase at a venue: where each official stands, what each sees, and how each runs there.

use std::cell::Cell;

use super::moment::{
    CameFrom, MomentAnswer, MomentQuery, NoAnswer, OnTheFull, OtherStart, Placed, Seen, Travelled,
};
use super::spot_row::facing;
use crate::boundary::{End, Side};
use crate::frame::Ground as GroundFrame;
use crate::geometry::{Point, Vector};
use crate::ground::{Arcs, Ground, Oval, Spot, Zones};
use crate::officiate::{
    Case, Crew, Goal, Moment, Phase, Positions, Reason, Recovery, Relay, Run, Scene, StandKind, Start,
    Station, Sun, Times, backsight, crew_positions, crew_positions_anyway, hazards_beside, in_glare, kick_in,
    post_station, recover, relay, run_past, sides, start, sure_post_station, way,
};
use crate::sky::sun;
use crate::units::{Declination, Measured};
use crate::venue::Venue;

/// An official farther from the station than this may be caught behind play, m.
const CAUGHT_M: f64 = 10.0;

/// Answers a moment.
///
/// # Errors
/// [`NoAnswer`].
pub fn answer(
    venue: &Venue,
    declination: Option<&Declination>,
    query: &MomentQuery,
) -> Result<MomentAnswer, NoAnswer> {
    let (ground, scene) = (&venue.ground, venue.scene());
    let Scene { oval, practice, .. } = scene;
    let mut moment = query.moment;
    if let Some(ball) = query.ball_at.on(oval, practice, moment.ball) {
        moment.ball = ball;
    }
    let asks_sides = moment.phase.needs_ball() && moment.ball.is_finite();
    let measured = if asks_sides { sides(ground, practice, query.ball_at.spot(moment.ball)) } else { None };
    moment.short = moment.short.or(measured.as_ref().map(|s| s.short));
    if let (Some(when), Some(at)) = (query.when, venue.document.plane.datum_point()) {
        moment.sun = sun(&at, when)
            .ok()
            .map(|s| Sun { toward: oval.plan().direction(s.bearing), high_deg: s.high_deg });
    }
    moment.nearer = nearer(oval, query, moment.ball);
    let (positions, mut list) = crew_positions(scene, query.crew, &moment).map_err(NoAnswer::Positions)?;
    for station in &mut list {
        settle_post(ground, scene, station);
    }
    let asked = Asked { venue, scene, declination, query, moment, positions, list, or_else: Cell::new(None) };
    let stations =
        (0..asked.list.len()).map(|i| asked.placed(i)).collect::<Result<Vec<Placed>, NoAnswer>>()?;
    let two_at_a_bounce = moment.phase == Phase::Bounce && query.crew == Crew::Two;
    let begin = if moment.phase == Phase::Bounce { start(scene) } else { None };
    let crossing = asked.positions.crossing;
    Ok(MomentAnswer {
        zones: zones(oval, &moment, crossing.as_ref()),
        sides: measured.filter(|_| crossing.is_some()),
        kick_in: match moment.phase {
            Phase::KickIn(end) => Some(kick_in(oval, end)),
            _ => None,
        },
        query: MomentQuery { moment, ..query.clone() },
        crossed_inside_m: crossed_inside_m(oval, &moment),
        or_else: asked.or_else.get(),
        recovery: asked.recovery(),
        other_two: other_two(scene, begin.as_ref().filter(|_| two_at_a_bounce), &moment),
        start: begin,
        to_post: asked.to_post(),
        relay: asked.relay()?,
        on_the_full: asked.on_the_full(&stations),
        positions: asked.positions,
        stations,
    })
}

/// A moment with everybody's stations on the nominal oval.
struct Asked<'a> {
    venue: &'a Venue,
    scene: Scene<'a>,
    declination: Option<&'a Declination>,
    query: &'a MomentQuery,
    moment: Moment,
    positions: Positions,
    list: Vec<Station>,
    /// A different case that holds on an oval one standard deviation away.
    or_else: Cell<Option<Case>>,
}

/// Where a station is on one oval.
struct On {
    station: Station,
    outside_line_m: f64,
    from_a_m: f64,
}

impl Asked<'_> {
    /// A station on another oval. The ball keeps the place that was given for it, and the short side is the
    /// one already decided.
    fn on(&self, i: usize, oval: &Oval) -> Option<On> {
        let scene = self.scene.on(oval);
        let ball = self.query.ball_at.on(oval, scene.practice, self.moment.ball)?;
        let moment = Moment { ball, ..self.moment };
        let (two, list) = crew_positions_anyway(scene, self.query.crew, &moment).ok()?;
        if std::mem::discriminant(&two.case) != std::mem::discriminant(&self.positions.case) {
            self.or_else.set(Some(two.case));
        }
        let station = *list.get(i)?;
        let beside = oval.boundary().nearest(station.point);
        let from_a_m = oval.boundary().to_post_m(beside.chainage_m, End::A)?;
        Some(On { station, outside_line_m: beside.signed_distance_m, from_a_m })
    }

    /// A station with its ±, what is looked at from there, and the run to it.
    fn placed(&self, i: usize) -> Result<Placed, NoAnswer> {
        let (scene, station) = (self.scene, &self.list[i]);
        let (oval, plane) = (scene.oval, &self.venue.document.plane);
        let to = facing(oval, station.facing, self.declination).ok_or(NoAnswer::NotForSure)?;
        let all = self.venue.ground.measure_all(|o| {
            let On { station: s, outside_line_m, from_a_m } = self.on(i, o)?;
            let turned = to.true_bearing.turn_to(o.plan().bearing(s.facing).ok()?);
            Some([s.point.x, s.point.y, outside_line_m, from_a_m, turned])
        });
        let [x, y, outside_line, from_a, turned] = all.ok_or(NoAnswer::NotForSure)?;
        let facing_deg = Measured::new(to.true_bearing.degrees(), turned.sd(), turned.half_width());
        let throws = station.reason == Reason::ThrowIn;
        let faced =
            throws.then(|| backsight(scene, station.point, station.facing, self.query.night)).flatten();
        Ok(Placed {
            beside: hazards_beside(scene, station.point),
            place: plane.to_geodetic(oval.plan().to_local(station.point)),
            facing_deg: facing_deg.map_err(|_| NoAnswer::NotForSure)?,
            facing: to,
            looks: self.looks(station)?,
            run_off_known: run_off_known(scene, station),
            backsight: faced,
            station: *station,
            x,
            y,
            outside_line,
            from_a,
            run: self.run(i),
        })
    }

    fn looks(&self, station: &Station) -> Result<Vec<Seen>, NoAnswer> {
        let all = looks(self.scene, station).into_iter().map(|(at, way, crosses)| {
            let toward = facing(self.scene.oval, way, self.declination).ok_or(NoAnswer::NotForSure)?;
            let glare = self.moment.sun.map(|sun| in_glare(self.scene.practice, way, &sun));
            Ok(Seen { at, toward, crosses, glare })
        });
        all.collect()
    }

    /// The run to a station from where its official was; `None` where that was not said.
    fn run(&self, i: usize) -> Option<Travelled> {
        let from = from_of(self.query, &self.list, i)?;
        let way = way(self.scene.oval, self.scene.practice, from, self.list[i].point);
        let run = match self.moment.phase {
            Phase::SetKick(end) => run_past(way, self.moment.ball, end),
            Phase::KickIn(_) => Run::backward(way),
            _ => Run::forward(way),
        };
        Some(Travelled::of(self.scene, run))
    }

    /// What the official who should watch the crossing can do when caught behind play.
    fn recovery(&self) -> Option<Recovery> {
        let crossing = self.positions.crossing?;
        // The official who is to watch the crossing, and where that official was.
        let watches = |s: &Station| s.side == crossing.side && matches!(s.reason, Reason::Watch(_));
        let i = self.list.iter().position(watches)?;
        let from = from_of(self.query, &self.list, i)?;
        let caught = from.distance_to(self.list[i].point) > CAUGHT_M;
        if self.moment.phase == Phase::Play && caught { recover(self.scene, from, &crossing) } else { None }
    }

    /// The thrower's run to the near post after a throw-in from inside the arc, if play goes toward goal.
    fn to_post(&self) -> Option<Travelled> {
        let crossing = self.positions.crossing.filter(|_| self.moment.phase == Phase::ThrowIn)?;
        let Arcs::Inside(end) = crossing.arcs else { return None };
        let post = post_station(self.scene, crossing.side, end);
        let run = Run::forward(way(self.scene.oval, self.scene.practice, crossing.point, post.point));
        Some(Travelled::of(self.scene, run))
    }

    fn on_the_full(&self, stations: &[Placed]) -> Option<OnTheFull> {
        (self.moment.phase == Phase::OnTheFull).then(|| {
            let runs = stations.iter().filter(|p| p.station.reason == Reason::PointOut);
            match runs.filter_map(|p| p.run.as_ref()).map(|r| r.run.way.length_m).next() {
                Some(m) if m <= self.scene.practice.on_full_run_m.value => OnTheFull::RunUp,
                Some(_) => OnTheFull::SignalFirst,
                None => OnTheFull::NotSaid,
            }
        })
    }

    /// After a goal: who carries the ball back, and how long the two ways take.
    fn relay(&self) -> Result<Option<(Relay, [Times; 2])>, NoAnswer> {
        let Phase::AfterGoal(end) = self.moment.phase else { return Ok(None) };
        let q = self.query;
        let goal = Goal { end, collects: q.collects, umpire: q.umpire, crew: q.crew };
        let found = relay(self.scene, &goal, &q.groups).map_err(NoAnswer::Way)?;
        let times =
            [&found.first_way, &found.second_way].map(|w| Run::forward(w.clone()).times(self.scene.practice));
        Ok(Some((found, times)))
    }
}

/// Is the run-off known at a station where an official backs away? `None` for other stations.
fn run_off_known(scene: Scene<'_>, station: &Station) -> Option<bool> {
    let along = matches!(
        station.reason,
        Reason::Watch(StandKind::Tangent { .. } | StandKind::AlongLine { .. } | StandKind::NoPlace)
    );
    along.then(|| {
        let beside = scene.oval.boundary().nearest(station.point).chainage_m;
        scene.around.fence.distance_at(scene.oval, beside).is_some()
    })
}

/// Where the official of a station was. Of two officials on a line it is the one given with this station's
/// end; where no end was given, the nearer one.
fn from_of(query: &MomentQuery, list: &[Station], i: usize) -> Option<Point<GroundFrame>> {
    let here = list.get(i)?;
    let on_line: Vec<usize> = (0..list.len()).filter(|&k| list[k].side == here.side).collect();
    let [first, second] = on_line[..] else {
        return query.from.iter().find(|f| f.side == here.side).map(|f| f.at);
    };
    // Of two, the first is the one toward end A.
    let mine = if i == first { End::A } else { End::B };
    let of_side: Vec<&CameFrom> = query.from.iter().filter(|f| f.side == here.side).collect();
    if let Some(named) = of_side.iter().find(|f| f.end == Some(mine)) {
        return Some(named.at);
    }
    let unnamed: Vec<&CameFrom> = of_side.into_iter().filter(|f| f.end.is_none()).collect();
    match unnamed[..] {
        [one] => {
            let [a, b] = [first, second].map(|k| list[k].point.distance_to(one.at));
            ((a <= b) == (i == first)).then_some(one.at)
        }
        // Two places without ends: the assignment with the shorter total run.
        [one, two] => {
            let run = |k: usize, f: &CameFrom| list[k].point.distance_to(f.at);
            let as_given = run(first, one) + run(second, two) <= run(first, two) + run(second, one);
            Some(if as_given == (i == first) { one.at } else { two.at })
        }
        _ => None,
    }
}

/// Of two officials on the line that the ball crossed, the end toward which the nearer one was. Known only
/// where both places are given.
fn nearer(oval: &Oval, query: &MomentQuery, ball: Point<GroundFrame>) -> Option<End> {
    let side = oval.boundary().nearest(ball).side;
    if !query.crew.is_pair(side) {
        return None;
    }
    let of_side: Vec<&CameFrom> = query.from.iter().filter(|f| f.side == side).collect();
    let [one, two] = of_side[..] else { return None };
    let from_a = |f: &CameFrom| match f.end {
        Some(End::A) => f64::NEG_INFINITY,
        Some(End::B) => f64::INFINITY,
        None => -f.at.x,
    };
    let (a, b) = if from_a(one) <= from_a(two) { (one, two) } else { (two, one) };
    Some(if a.at.distance_to(ball) <= b.at.distance_to(ball) { End::A } else { End::B })
}

/// Withdraws a station beside a post where it is not clear at 95 %, given the survey's ±.
fn settle_post(ground: &Ground, scene: Scene<'_>, station: &mut Station) {
    if !matches!(station.reason, Reason::BesidePost | Reason::Watch(StandKind::BesidePost)) {
        return;
    }
    let end = if station.point.x >= 0.0 { End::A } else { End::B };
    let found = sure_post_station(ground, scene, station.side, end);
    if found.kind == StandKind::NoPlace {
        station.reason = match station.reason {
            Reason::Watch(_) => Reason::Watch(StandKind::NoPlace),
            _ => Reason::NoPlace,
        };
    }
}

/// The zones that the ball is in. For a ball that crossed the line they are those just inside the crossing:
/// on the line itself rounding would decide.
fn zones(oval: &Oval, moment: &Moment, crossing: Option<&Spot>) -> Zones {
    match crossing {
        Some(c) if matches!(moment.phase, Phase::ThrowIn | Phase::OnTheFull) => {
            oval.zones(c.point - c.normal * JUST_INSIDE_M)
        }
        _ if moment.ball.is_finite() => oval.zones(moment.ball),
        _ => Zones::default(),
    }
}

/// A crossing given farther inside the line than this is probably a mistake, m.
const ASK_M: f64 = 5.0;

/// How far inside the line a crossing was given, m; `None` where that is near enough to be plausible.
fn crossed_inside_m(oval: &Oval, moment: &Moment) -> Option<f64> {
    let crossed = matches!(moment.phase, Phase::ThrowIn | Phase::OnTheFull);
    let inside_m = crossed.then(|| -oval.boundary().outside_m(moment.ball))?;
    (inside_m > ASK_M).then_some(inside_m)
}

/// Far enough inside the line that rounding can't put the place outside, m.
const JUST_INSIDE_M: f64 = 1e-6;

/// The start stations of the diagonal that the two officials have not taken.
fn other_two(scene: Scene<'_>, start: Option<&Start>, moment: &Moment) -> Vec<OtherStart> {
    let Some(start) = start else { return Vec::new() };
    Side::BOTH
        .map(|side| {
            let end = moment.diagonal.end_of(side).other();
            let looks = start.sights(scene.oval, scene.around, side, end);
            let glare = moment.sun.map(|sun| looks.iter().any(|l| in_glare(scene.practice, l.look, &sun)));
            OtherStart { side, end, glare }
        })
        .to_vec()
}

/// What an official at a station looks at: two things at a start station, one elsewhere.
fn looks(scene: Scene<'_>, s: &Station) -> Vec<(&'static str, Vector<GroundFrame>, Option<usize>)> {
    let at = match s.reason {
        Reason::Start => {
            let end = if s.point.x >= 0.0 { End::A } else { End::B };
            return start(scene).map_or_else(Vec::new, |all| {
                let sights = all.sights(scene.oval, scene.around, s.side, end);
                sights.iter().map(|l| (l.along.words(), l.look, l.crosses)).collect()
            });
        }
        Reason::Watch(_) => "the crossing",
        Reason::ThrowIn => "what to face",
        Reason::PointOut => "the field",
        Reason::ArcEnd => "the kick-in",
        Reason::Level
        | Reason::In
        | Reason::Ahead
        | Reason::AheadIn
        | Reason::Post
        | Reason::BesidePost
        | Reason::NoPlace
        | Reason::Partner => "the ball",
    };
    vec![(at, s.facing, None)]
}
