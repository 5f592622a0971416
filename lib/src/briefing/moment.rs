//! A moment of a match answered for a venue: stations with bearings, ± and runs.

use std::cell::Cell;

use super::spot_row::{Facing, facing};
use crate::boundary::{End, Side};
use crate::frame::{Geodetic, Ground as GroundFrame, Local};
use crate::geometry::{Point, Vector};
use crate::ground::{Arcs, Ground, Oval, Spot, SpotRef, Surroundings, Zones};
use crate::officiate::{
    Backsight, Case, Crew, Goal, Group, KickIn, Moment, NoPositions, NoWay, Phase, Positions, Reason,
    Recovery, Relay, Run, Sides, StandKind, Start, Station, Sun, Times, TurnAndLook, backsight,
    crew_positions, crew_positions_anyway, hazards_beside, in_glare, kick_in, post_station, recover, relay,
    run_past, sides, start, sure_post_station, way,
};
use crate::rules::Practice;
use crate::sky::{Instant, sun};
use crate::units::{Declination, Measured};
use crate::venue::Venue;

/// How the ball's place was given: that is what stays put where the ground is not known for sure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BallAt {
    /// In the ground frame, as the moment has it.
    Ground,
    /// On the local plane: a place on Earth.
    Local(Point<Local>),
    /// A spot of the line.
    Spot(SpotRef),
}

impl BallAt {
    /// The ball on an oval; `nominal` where it was given in the ground frame.
    fn on(self, oval: &Oval, practice: &Practice, nominal: Point<GroundFrame>) -> Option<Point<GroundFrame>> {
        match self {
            Self::Ground => Some(nominal),
            Self::Local(p) => Some(oval.plan().to_ground(p)),
            Self::Spot(r) => Some(oval.spot_held(r, practice.goal_range_m.value).ok()?.point),
        }
    }

    fn spot(self, nominal: Point<GroundFrame>) -> SpotRef {
        match self {
            Self::Ground => SpotRef::Near(nominal),
            Self::Local(p) => SpotRef::NearLocal(p),
            Self::Spot(r) => r,
        }
    }
}

/// Where an official comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CameFrom {
    /// Whose line it is.
    pub side: Side,
    /// Of two on a line, the one nearer this end; `None` where there is one, or the one nearer the place.
    pub end: Option<End>,
    /// The place.
    pub at: Point<GroundFrame>,
}

/// What is asked of a moment.
#[derive(Debug, Clone, PartialEq)]
pub struct MomentQuery {
    /// What is going on, and where the ball is.
    pub moment: Moment,
    /// How the ball's place was given.
    pub ball_at: BallAt,
    /// How many officials.
    pub crew: Crew,
    /// Where officials come from.
    pub from: Vec<CameFrom>,
    /// Groups of players to keep clear of after a goal.
    pub groups: Vec<Group>,
    /// Who collects the ball after a goal.
    pub collects: Side,
    /// On which side of the circle the field umpire waits for it.
    pub umpire: Side,
    /// When, for the sun.
    pub when: Option<Instant>,
    /// Under lights: only landmarks that show then are faced.
    pub night: bool,
}

impl MomentQuery {
    /// Two officials, nothing known of where they were.
    #[must_use]
    pub fn new(moment: Moment) -> Self {
        Self {
            moment,
            ball_at: BallAt::Ground,
            crew: Crew::Two,
            from: Vec::new(),
            groups: Vec::new(),
            collects: Side::Left,
            umpire: Side::Right,
            when: None,
            night: false,
        }
    }
}

/// A look from a station.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// At what, in a few words.
    pub at: &'static str,
    /// Which way.
    pub toward: Facing,
    /// The hazard that lies in it, by its number; asked at start stations.
    pub crosses: Option<usize>,
    /// Is the sun in it? `None` where no time was given.
    pub glare: Option<bool>,
}

/// A station with all that is known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// The station.
    pub station: Station,
    /// Its place on Earth, where the venue has one.
    pub place: Option<Geodetic>,
    /// Toward end A from the centre, m.
    pub x: Measured,
    /// To the left of the goal axis, m.
    pub y: Measured,
    /// Outside the line, m; negative inside.
    pub outside_line: Measured,
    /// Along the line from end A's post to the place beside it, m.
    pub from_a: Measured,
    /// Which way to look.
    pub facing: Facing,
    /// Its bearing with its ±, degrees true.
    pub facing_deg: Measured,
    /// The looks that the official has to have from there.
    pub looks: Vec<Seen>,
    /// Hazards that reach within a corridor's half-width of it, by their numbers.
    pub beside: Vec<usize>,
    /// Where one backs away: is the fence known there?
    pub run_off_known: Option<bool>,
    /// What to face, where one throws in.
    pub backsight: Option<Backsight>,
    /// The run from where the official was.
    pub run: Option<Travelled>,
}

/// A run with what is to be said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Travelled {
    /// The run.
    pub run: Run,
    /// How long it takes.
    pub times: Times,
    /// What stands beside the part that is run backwards.
    pub mind: Vec<TurnAndLook>,
}

impl Travelled {
    fn of(oval: &Oval, around: &Surroundings, practice: &Practice, run: Run) -> Self {
        Self { times: run.times(practice), mind: run.turn_and_look(oval, around, practice), run }
    }
}

/// A ball over on the full: does the official run up to point out where?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OnTheFull {
    /// It is near enough to run up to it.
    RunUp,
    /// It is too far: signal at once, then go.
    SignalFirst,
    /// Where the official is was not said.
    NotSaid,
}

/// A start station of the diagonal that was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OtherStart {
    /// Whose line it is.
    pub side: Side,
    /// Toward which end.
    pub end: End,
    /// Is the sun in one of its looks? `None` where no time was given.
    pub glare: Option<bool>,
}

/// A moment, answered.
#[derive(Debug, Clone, PartialEq)]
pub struct MomentAnswer {
    /// What was asked.
    pub query: MomentQuery,
    /// The two officials' positions that the crew's are made from.
    pub positions: Positions,
    /// A ball that is said to have crossed, and is so far inside the line that one should ask, m.
    pub crossed_inside_m: Option<f64>,
    /// A case that the survey can't tell from that: on an oval a standard deviation off it holds.
    pub or_else: Option<Case>,
    /// Zones that the ball is in.
    pub zones: Zones,
    /// Everybody's stations.
    pub stations: Vec<Placed>,
    /// The sides at the likely crossing.
    pub sides: Option<Sides>,
    /// What the near official can do who is caught behind.
    pub recovery: Option<Recovery>,
    /// At a bounce, how the start stations lie.
    pub start: Option<Start>,
    /// And the other diagonal's.
    pub other_two: Vec<OtherStart>,
    /// After a throw-in: the thrower's run to the near post.
    pub to_post: Option<Travelled>,
    /// The kick-in's mark and area.
    pub kick_in: Option<KickIn>,
    /// The ball's way back after a goal, and the times of both ways.
    pub relay: Option<(Relay, [Times; 2])>,
    /// A ball over on the full: run up to it or signal first.
    pub on_the_full: Option<OnTheFull>,
}

/// Why a moment has no answer.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum NoAnswer {
    /// No positions.
    Positions(NoPositions),
    /// No way back for the ball.
    Way(NoWay),
    /// On an oval within the survey's uncertainty the question has no answer.
    NotForSure,
}

impl std::fmt::Display for NoAnswer {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Positions(e) => e.fmt(f),
            Self::Way(e) => e.fmt(f),
            Self::NotForSure => f.write_str("the survey is too rough to answer for this moment"),
        }
    }
}

impl std::error::Error for NoAnswer {}

/// An official who is farther from the station than this, and beside the line, may be caught behind, m.
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
    let (ground, d) = (&venue.ground, &venue.document);
    let (oval, around, practice) = (ground.oval(), &d.surroundings, &d.practice);
    let mut moment = query.moment;
    if let Some(ball) = query.ball_at.on(oval, practice, moment.ball) {
        moment.ball = ball;
    }
    let asks_sides = moment.phase.needs_ball() && moment.ball.is_finite();
    let measured = if asks_sides { sides(ground, practice, query.ball_at.spot(moment.ball)) } else { None };
    moment.short = moment.short.or(measured.as_ref().map(|s| s.short));
    if let (Some(when), Some(at)) = (query.when, d.plane.datum_point()) {
        moment.sun = sun(&at, when)
            .ok()
            .map(|s| Sun { toward: oval.plan().direction(s.bearing), high_deg: s.high_deg });
    }
    moment.nearer = nearer(oval, query, moment.ball);
    let (positions, mut list) =
        crew_positions(oval, around, practice, query.crew, &moment).map_err(NoAnswer::Positions)?;
    for station in &mut list {
        settle_post(ground, around, practice, station);
    }
    let mut stations = Vec::with_capacity(list.len());
    let or_else = Cell::new(None);
    for (i, station) in list.iter().enumerate() {
        // The ball stays where it was said to be; which side is short is settled.
        let on = |o: &Oval| {
            let ball = query.ball_at.on(o, practice, moment.ball)?;
            let m = Moment { ball, ..moment };
            let (two, list) = crew_positions_anyway(o, around, practice, query.crew, &m).ok()?;
            if std::mem::discriminant(&two.case) != std::mem::discriminant(&positions.case) {
                or_else.set(Some(two.case));
            }
            let s = *list.get(i)?;
            let beside = o.boundary().nearest(s.point);
            let along = o.boundary().to_post_m(beside.chainage_m, End::A)?;
            Some((s, beside.signed_distance_m, along))
        };
        let to = facing(oval, station.facing, declination).ok_or(NoAnswer::NotForSure)?;
        let all = ground.measure_all(|o| {
            let (s, out, along) = on(o)?;
            let turned = to.true_bearing.turn_to(o.plan().bearing(s.facing).ok()?);
            Some([s.point.x, s.point.y, out, along, turned])
        });
        let [x, y, outside_line, from_a, turned] = all.ok_or(NoAnswer::NotForSure)?;
        let looks = looks(oval, around, practice, station)
            .into_iter()
            .map(|(at, way, crosses)| {
                let toward = facing(oval, way, declination).ok_or(NoAnswer::NotForSure)?;
                Ok(Seen { at, toward, crosses, glare: moment.sun.map(|sun| in_glare(practice, way, &sun)) })
            })
            .collect::<Result<Vec<Seen>, NoAnswer>>()?;
        let run = from_of(query, &list, i).map(|p| {
            let way = way(oval, practice, p, station.point);
            let run = match moment.phase {
                Phase::SetKick(end) => run_past(way, moment.ball, end),
                Phase::KickIn(_) => Run::backward(way),
                _ => Run::forward(way),
            };
            Travelled::of(oval, around, practice, run)
        });
        stations.push(Placed {
            beside: hazards_beside(oval, around, practice, station.point),
            place: d.plane.to_geodetic(oval.plan().to_local(station.point)),
            facing_deg: Measured::new(to.true_bearing.degrees(), turned.sd(), turned.half_width())
                .map_err(|_| NoAnswer::NotForSure)?,
            facing: to,
            looks,
            run_off_known: matches!(
                station.reason,
                Reason::Watch(StandKind::Tangent { .. } | StandKind::AlongLine { .. } | StandKind::NoPlace)
            )
            .then(|| {
                let beside = oval.boundary().nearest(station.point).chainage_m;
                around.fence.distance_at(oval, beside).is_some()
            }),
            backsight: (station.reason == Reason::ThrowIn)
                .then(|| backsight(oval, around, practice, station.point, station.facing, query.night))
                .flatten(),
            station: *station,
            x,
            y,
            outside_line,
            from_a,
            run,
        });
    }
    let two_at_a_bounce = moment.phase == Phase::Bounce && query.crew == Crew::Two;
    let begin = if moment.phase == Phase::Bounce { start(oval, around, practice) } else { None };
    let recovery = positions.crossing.and_then(|c| {
        // The one who watches the crossing, by where that one was.
        let i = list.iter().position(|s| s.side == c.side && matches!(s.reason, Reason::Watch(_)))?;
        let from = from_of(query, &list, i)?;
        let caught = from.distance_to(list[i].point) > CAUGHT_M;
        if moment.phase == Phase::Play && caught { recover(oval, around, practice, from, &c) } else { None }
    });
    // Afterwards to the near post: for throw-ins inside the arc, when play goes goalward.
    let inside = positions.crossing.filter(|_| moment.phase == Phase::ThrowIn).and_then(|c| match c.arcs {
        Arcs::Inside(end) => Some((c, end)),
        Arcs::Between => None,
    });
    let to_post = inside.map(|(c, end)| {
        let post = post_station(oval, around, practice, c.side, end);
        let run = Run::forward(way(oval, practice, c.point, post.point));
        Travelled::of(oval, around, practice, run)
    });
    let on_the_full = (moment.phase == Phase::OnTheFull).then(|| {
        let runs = stations.iter().filter(|p| p.station.reason == Reason::PointOut);
        match runs.filter_map(|p| p.run.as_ref()).map(|r| r.run.way.length_m).next() {
            Some(m) if m <= practice.on_full_run_m.value => OnTheFull::RunUp,
            Some(_) => OnTheFull::SignalFirst,
            None => OnTheFull::NotSaid,
        }
    });
    let relay = match moment.phase {
        Phase::AfterGoal(end) => {
            let goal = Goal { end, collects: query.collects, umpire: query.umpire, crew: query.crew };
            let found = relay(oval, around, practice, &goal, &query.groups).map_err(NoAnswer::Way)?;
            let times =
                [&found.first_way, &found.second_way].map(|w| Run::forward(w.clone()).times(practice));
            Some((found, times))
        }
        _ => None,
    };
    Ok(MomentAnswer {
        zones: zones(oval, &moment, positions.crossing.as_ref()),
        sides: measured.filter(|_| positions.crossing.is_some()),
        kick_in: match moment.phase {
            Phase::KickIn(end) => Some(kick_in(oval, end)),
            _ => None,
        },
        query: MomentQuery { moment, ..query.clone() },
        crossed_inside_m: crossed_inside_m(oval, &moment),
        positions,
        or_else: or_else.get(),
        stations,
        recovery,
        other_two: other_two(oval, around, practice, begin.as_ref().filter(|_| two_at_a_bounce), &moment),
        start: begin,
        to_post,
        relay,
        on_the_full,
    })
}

/// Where the official of a station was: of two on a line the one named by its end, or the one who is
/// nearer to the place.
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
        // Two places: whichever way round the two run less in all.
        [one, two] => {
            let run = |k: usize, f: &CameFrom| list[k].point.distance_to(f.at);
            let as_given = run(first, one) + run(second, two) <= run(first, two) + run(second, one);
            Some(if as_given == (i == first) { one.at } else { two.at })
        }
        _ => None,
    }
}

/// Of two on the line that the ball crossed, toward which end the one was who was nearer to it: known only
/// where both places are.
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

/// A place beside a post counts only where the survey leaves it clear for sure.
fn settle_post(ground: &Ground, around: &Surroundings, practice: &Practice, station: &mut Station) {
    if !matches!(station.reason, Reason::BesidePost | Reason::Watch(StandKind::BesidePost)) {
        return;
    }
    let end = if station.point.x >= 0.0 { End::A } else { End::B };
    let found = sure_post_station(ground, around, practice, station.side, end);
    if found.kind == StandKind::NoPlace {
        station.reason = match station.reason {
            Reason::Watch(_) => Reason::Watch(StandKind::NoPlace),
            _ => Reason::NoPlace,
        };
    }
}

/// Zones that a ball is in; of one that crossed, those just inside of where it did: on the line itself
/// rounding would decide.
fn zones(oval: &Oval, moment: &Moment, crossing: Option<&Spot>) -> Zones {
    match crossing {
        Some(c) if matches!(moment.phase, Phase::ThrowIn | Phase::OnTheFull) => {
            oval.zones(c.point - c.normal * JUST_INSIDE_M)
        }
        _ if moment.ball.is_finite() => oval.zones(moment.ball),
        _ => Zones::default(),
    }
}

/// Nobody misses a line by more than this, m.
const ASK_M: f64 = 5.0;

/// How far inside the line a ball is that is said to have crossed it, where that is too far to be so.
fn crossed_inside_m(oval: &Oval, moment: &Moment) -> Option<f64> {
    let crossed = matches!(moment.phase, Phase::ThrowIn | Phase::OnTheFull);
    let inside_m = crossed.then(|| -oval.boundary().outside_m(moment.ball))?;
    (inside_m > ASK_M).then_some(inside_m)
}

/// So far inside of a line a place is in play for sure, m.
const JUST_INSIDE_M: f64 = 1e-6;

/// The diagonal that two officials at a bounce have not taken.
fn other_two(
    oval: &Oval,
    around: &Surroundings,
    practice: &Practice,
    start: Option<&Start>,
    moment: &Moment,
) -> Vec<OtherStart> {
    let Some(start) = start else { return Vec::new() };
    Side::BOTH
        .map(|side| {
            let end = moment.diagonal.end_of(side).other();
            let looks = start.sights(oval, around, side, end);
            let glare = moment.sun.map(|sun| looks.iter().any(|l| in_glare(practice, l.look, &sun)));
            OtherStart { side, end, glare }
        })
        .to_vec()
}

/// What an official at a station looks at: at a start station two things, else one.
fn looks(
    oval: &Oval,
    around: &Surroundings,
    practice: &Practice,
    s: &Station,
) -> Vec<(&'static str, Vector<GroundFrame>, Option<usize>)> {
    let at = match s.reason {
        Reason::Start => {
            let end = if s.point.x >= 0.0 { End::A } else { End::B };
            return start(oval, around, practice).map_or_else(Vec::new, |all| {
                let sights = all.sights(oval, around, s.side, end);
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

/// Moments that show a ground's phases one by one, for training: what each shows, and the moment.
#[must_use]
pub fn phase_sheet(venue: &Venue) -> Vec<(&'static str, Moment)> {
    let oval = venue.ground.oval();
    let (half, practice) = (oval.half_length_m(), &venue.document.practice);
    let y = oval.square_half_m().unwrap_or(0.0);
    let left = oval.boundary().half_width_m(Side::Left);
    let at = Point::new;
    let a = End::A;
    // So near the post that it is in goal range.
    let near = SpotRef::FromPost { side: Side::Left, end: a, metres: 0.4 * practice.goal_range_m.value };
    let near_goal = oval
        .spot(near, practice.goal_range_m.value)
        .map_or_else(|_| at(half, oval.rules().end_width_m()), |spot| spot.point);
    let mut all = vec![
        ("bounce and restart", Moment::new(Phase::Bounce, Point::ORIGIN)),
        ("play in the middle", Moment::new(Phase::Play, at(0.2 * half, 0.5 * y))),
        ("ball near a line", Moment::new(Phase::Play, at(0.35 * half, 0.5 * (y + left)))),
        ("ball near a line, at the wing", Moment::new(Phase::Play, at(0.0, 0.8 * left))),
        ("ball near goal", Moment::new(Phase::Play, at(half - 0.8 * practice.goal_range_m.value, 0.0))),
        ("set kick", Moment::new(Phase::SetKick(a), at(0.0, 0.0))),
        ("set shot", Moment::new(Phase::SetKick(a), at(half - 0.8 * practice.set_shot_m.value, 0.0))),
        ("throw-in at the wing", Moment::new(Phase::ThrowIn, at(0.0, left))),
        ("throw-in near goal", Moment::new(Phase::ThrowIn, near_goal)),
        ("kick-in after a behind", Moment::new(Phase::KickIn(a), oval.goal(a))),
        ("after a goal", Moment::new(Phase::AfterGoal(a), oval.goal(a))),
    ];
    // What the rule set does not have is no phase of its grounds.
    all.retain(|(_, moment)| oval.rules().throw_ins || moment.phase != Phase::ThrowIn);
    all
}
