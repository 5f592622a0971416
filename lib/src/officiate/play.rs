//! Where two officials stand, phase by phase: each has one line.
//!
//! The stations move continuously with the ball, except where a rule switches:
//! - the ball enters goal range, or a set kick comes within range for a shot;
//! - the crossing comes so near a post that the post station is taken;
//! - play comes near a line, or the other line becomes the nearer one;
//! - the short side becomes the long one, or the two are too close to call and the preference counts;
//! - the line ahead of a set kick enters goal range, or runs past the posts;
//! - the corridor along the tangent becomes so tight that the official stands nearer the line.

use super::clearance::{Stand, StandKind};
use super::far::{far_in, far_out, is_near_line};
use super::glare::{Sun, in_glare};
use super::kick_in::kick_in;
use super::post::post_station;
use super::scene::Scene;
use super::sides::ShortSide;
use super::sight::{look, view};
use super::stand::{in_goal_range, long_first, stand};
use super::start::{Diagonal, start};
use super::station::{Phase, Reason, Station};
use crate::boundary::{End, Side};
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::{Arcs, Oval, Spot, SpotRef};
use crate::rules::Practice;

/// A moment of a match.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// What is going on.
    pub phase: Phase,
    /// Where the ball is, or where it crossed. Ignored in a phase that doesn't need it
    /// ([`Phase::needs_ball`]).
    pub ball: Point<Ground>,
    /// The end whose side counts as short where the two are too close to call.
    pub prefer: End,
    /// Which side is short, where the caller measured it; `None` to decide by this oval's own lengths.
    pub short: Option<ShortSide>,
    /// Where two officials share the line that the ball crossed: the end toward which the one nearer to the
    /// spot stood; `None` where that is not known.
    pub nearer: Option<End>,
    /// Which two of the four start stations are taken.
    pub diagonal: Diagonal,
    /// The sun, where it is to be considered.
    pub sun: Option<Sun>,
}

impl Moment {
    /// A moment with a ball, with end A preferred where the sides are too close to call.
    #[must_use]
    pub fn new(phase: Phase, ball: Point<Ground>) -> Self {
        Self { phase, ball, prefer: End::A, short: None, nearer: None, diagonal: Diagonal::First, sun: None }
    }
}

/// Which rule gives the stations of a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Case {
    /// The phase alone settles it.
    ByPhase,
    /// Play near neither line.
    Corridor,
    /// Play near this line.
    NearLine(Side),
    /// The ball is in range of this end's goal.
    GoalRange(End),
    /// A set kick out of scoring range.
    SetKick,
    /// A set kick in scoring range of this end's goal.
    SetShot(End),
}

/// The two officials, left and right, and what settled it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Positions {
    /// Which case of the phase.
    pub case: Case,
    /// The likely crossing, where one counts.
    pub crossing: Option<Spot>,
    /// The station of the official on the left line, then of the one on the right.
    pub stations: [Station; 2],
    /// The long side, where the view from there is better than from the short side.
    pub better: Option<Better>,
}

/// The long side, where the view from there is better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Better {
    /// The long side's end.
    pub end: End,
    /// In what way it is better.
    pub why: BetterBy,
    /// The stand there, where the view is so much better that the card names it first.
    pub first: Option<Stand>,
}

/// In what way the view from one side is better than from the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BetterBy {
    /// The sun is not in the eyes.
    Sun,
    /// The official can tell sooner that a ball is over the line.
    View,
    /// There is more room to back away.
    Room,
}

impl Positions {
    /// The station of a side's official.
    #[must_use]
    pub fn of(&self, side: Side) -> &Station {
        &self.stations[usize::from(side == Side::Right)]
    }
}

/// Why nobody can say where to stand.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum NoPositions {
    /// The ball's place is not a finite number.
    NotFinite,
    /// The ball is outside the boundary by more than a step.
    BallOut {
        /// How far outside, m.
        by_m: f64,
    },
    /// The ball is said to have crossed, but is far inside the boundary.
    BallIn {
        /// How far inside, m.
        by_m: f64,
    },
    /// The ball is behind this goal or beside it, where no boundary line is.
    BehindGoal(End),
    /// There is no spot of the boundary line for the ball.
    NoSpot,
    /// The arc does not meet this line.
    NoArcEnd(Side),
    /// The rule set has no throw-ins.
    NoThrowIns,
    /// Neither square nor arcs are painted.
    NothingPainted,
}

impl std::fmt::Display for NoPositions {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotFinite => f.write_str("the ball's place is not a number"),
            Self::BallOut { by_m } => write!(
                f,
                "the ball is {} m outside the boundary: out of play it is a throw-in or on the full",
                crate::units::print::fixed(*by_m, 1)
            ),
            Self::BallIn { by_m } => write!(
                f,
                "the ball is {} m inside the boundary: give the place where it crossed the line",
                crate::units::print::fixed(*by_m, 1)
            ),
            Self::BehindGoal(_) => f.write_str(
                "the ball is behind a scoring end: that is a score or a kick-in, the goal umpire's, and no line is crossed there",
            ),
            Self::NoSpot => f.write_str("there is no spot of the boundary line for that ball"),
            Self::NothingPainted => f.write_str(
                "neither the square nor the arcs are painted: there is nothing to find a start station by",
            ),
            Self::NoThrowIns => {
                f.write_str("these rules have no throw-ins: ask the league what follows a ball over the line")
            }
            Self::NoArcEnd(_) => f.write_str("the arc does not meet the boundary line on this ground"),
        }
    }
}

impl std::error::Error for NoPositions {}

/// How far outside the boundary a ball in play may be given, m: people point at the line.
const AT_THE_LINE_M: f64 = 1.0;
/// How far outside the boundary a ball out of play may be given, m: people point at where it was picked up.
const GATHERED_M: f64 = 40.0;
/// How far inside the boundary a crossing may be given, m: people point at the line from afar.
const CROSSED_M: f64 = 20.0;

/// The short side of a spot by an oval's own lengths, whatever their uncertainty.
#[must_use]
pub fn short_of(practice: &Practice, spot: &Spot) -> ShortSide {
    if (spot.to_a_m - spot.to_b_m).abs() < practice.either_m.value {
        ShortSide::Either
    } else {
        ShortSide::Toward(spot.end)
    }
}

fn both(f: impl Fn(Side) -> Station) -> [Station; 2] {
    Side::BOTH.map(f)
}

/// Refuses a ball at a place that the phase doesn't allow.
fn refuse_ball(oval: &Oval, phase: Phase, ball: Point<Ground>) -> Result<(), NoPositions> {
    if !ball.is_finite() {
        return Err(NoPositions::NotFinite);
    }
    let crossed = matches!(phase, Phase::ThrowIn | Phase::OnTheFull);
    let behind = oval.is_behind_goal(ball);
    if behind && (crossed || ball.x.abs() - oval.half_length_m() > AT_THE_LINE_M) {
        return Err(NoPositions::BehindGoal(if ball.x >= 0.0 { End::A } else { End::B }));
    }
    let inside = oval.boundary().contains(ball);
    if inside && !crossed {
        return Ok(());
    }
    // Between the posts the goal line is the boundary.
    let by_m =
        if behind { ball.x.abs() - oval.half_length_m() } else { oval.boundary().outside_m(ball).abs() };
    if inside && by_m > CROSSED_M {
        return Err(NoPositions::BallIn { by_m });
    }
    if !inside && by_m > if crossed { GATHERED_M } else { AT_THE_LINE_M } {
        return Err(NoPositions::BallOut { by_m });
    }
    Ok(())
}

/// Where both officials stand.
///
/// # Errors
/// [`NoPositions`].
pub fn positions(scene: Scene<'_>, moment: &Moment) -> Result<Positions, NoPositions> {
    let Scene { oval, .. } = scene;
    if moment.phase == Phase::ThrowIn && !oval.rules().throw_ins {
        return Err(NoPositions::NoThrowIns);
    }
    if moment.phase.needs_ball() {
        refuse_ball(oval, moment.phase, moment.ball)?;
    }
    positions_anyway(scene, moment)
}

/// As [`positions`], without the check of the ball's place: on an oval one standard deviation away from the
/// nominal one, a ball that is in may be out.
pub(crate) fn positions_anyway(scene: Scene<'_>, moment: &Moment) -> Result<Positions, NoPositions> {
    let Scene { oval, practice, .. } = scene;
    let ball = moment.ball;
    let by_phase = |stations| Positions { case: Case::ByPhase, crossing: None, stations, better: None };
    let at_posts = |end: End, case| Positions {
        case,
        crossing: None,
        stations: both(|side| Station::at_post(side, &post_station(scene, side, end), ball)),
        better: None,
    };
    match moment.phase {
        Phase::Bounce => {
            let s = start(scene).ok_or(NoPositions::NothingPainted)?;
            Ok(by_phase(both(|side| {
                let end = moment.diagonal.end_of(side);
                let point = s.station(side, end);
                Station {
                    facing: s.facing(side, end),
                    ..Station::new(side, point, Point::ORIGIN, Reason::Start)
                }
            })))
        }
        Phase::KickIn(end) => {
            let k = kick_in(oval, end);
            let mut stations = Vec::with_capacity(2);
            for side in Side::BOTH {
                let at = oval.arc_end_m(side, end).ok_or(NoPositions::NoArcEnd(side))?;
                stations.push(Station::new(side, oval.boundary().at(at).point, k.from, Reason::ArcEnd));
            }
            Ok(by_phase([stations[0], stations[1]]))
        }
        Phase::AfterGoal(end) => {
            Ok(at_posts(end, Case::GoalRange(end))).map(|p| Positions { case: Case::ByPhase, ..p })
        }
        Phase::ThrowIn | Phase::OnTheFull => over_the_line(scene, moment),
        Phase::SetKick(end) => {
            if ball.distance_to(oval.goal(end)) <= practice.set_shot_m.value {
                return Ok(at_posts(end, Case::SetShot(end)));
            }
            set_kick(scene, moment, end)
        }
        Phase::Play => {
            if let Some(end) = in_goal_range(oval, practice, ball) {
                return Ok(at_posts(end, Case::GoalRange(end)));
            }
            if !is_near_line(oval, practice, ball) {
                return Ok(Positions {
                    case: Case::Corridor,
                    crossing: None,
                    stations: both(|side| far_out(oval, practice, side, ball)),
                    better: None,
                });
            }
            near_line(scene, moment)
        }
    }
}

fn spot_of(oval: &Oval, practice: &Practice, ball: Point<Ground>) -> Result<Spot, NoPositions> {
    oval.spot_held(SpotRef::Near(ball), practice.goal_range_m.value).map_err(|_| NoPositions::NoSpot)
}

fn near_line(scene: Scene<'_>, moment: &Moment) -> Result<Positions, NoPositions> {
    let Scene { oval, practice, .. } = scene;
    let spot = spot_of(oval, practice, moment.ball)?;
    let toward = moment.short.unwrap_or_else(|| short_of(practice, &spot)).or(moment.prefer);
    let s = stand(scene, &spot, toward);
    let near = Station::watching(practice, spot.side, &s, &spot);
    let other = spot.side.other();
    let far = far_out(oval, practice, other, moment.ball);
    // The station stays on the short side; a better view from the long side is only reported.
    let better = long_first(scene, &spot, &s)
        .map(|long| Better { end: long.toward, why: BetterBy::View, first: Some(long) })
        .or_else(|| {
            let spoilt = s.limit.is_some() || moment.sun.is_some();
            let long = spoilt.then(|| stand(scene, &spot, toward.other()))?;
            let why = sees_better(practice, moment, &spot, &long, &s)?;
            Some(Better { end: long.toward, why, first: None })
        })
        .filter(|b| b.end != s.toward);
    Ok(Positions {
        case: Case::NearLine(spot.side),
        crossing: Some(spot),
        stations: both(|side| if side == spot.side { near } else { far }),
        better,
    })
}

/// Views whose [`can_tell_m`](super::View::can_tell_m) differ by less than this are alike, m.
const VIEWS_ALIKE_M: f64 = 0.1;
/// Distances back that differ by less than this are alike, m.
const BACKINGS_ALIKE_M: f64 = 1.0;

/// In what way the view of a crossing from the stand `this` is better than from `that`; `None` where it is
/// not: first the sun, then how soon one can tell that a ball is over, then the room to back away.
fn sees_better(
    practice: &Practice,
    moment: &Moment,
    spot: &Spot,
    this: &Stand,
    that: &Stand,
) -> Option<BetterBy> {
    let backs = |s: &Stand| matches!(s.kind, StandKind::Tangent { .. } | StandKind::AlongLine { .. });
    if !backs(this) || !backs(that) {
        return None;
    }
    let glare = |s: &Stand| {
        let at = look(s.point, spot.point, spot.normal);
        moment.sun.as_ref().is_some_and(|sun| in_glare(practice, at, sun))
    };
    if glare(this) != glare(that) {
        return glare(that).then_some(BetterBy::Sun);
    }
    let tells = |s: &Stand| view(practice, spot, s.point).can_tell_m().unwrap_or(f64::INFINITY);
    let (mine, other) = (tells(this), tells(that));
    if (mine - other).abs() > VIEWS_ALIKE_M {
        return (mine < other).then_some(BetterBy::View);
    }
    let back = |s: &Stand| s.point.distance_to(spot.point);
    (that.limit.is_some() && back(this) > back(that) + BACKINGS_ALIKE_M).then_some(BetterBy::Room)
}

fn set_kick(scene: Scene<'_>, moment: &Moment, end: End) -> Result<Positions, NoPositions> {
    let Scene { oval, practice, .. } = scene;
    let ball = moment.ball;
    let x = ball.x + end.sign() * practice.set_kick_m.value;
    let ahead = |side: Side| {
        let line = oval.boundary().level_with(side, x);
        // Past the posts, or where the line is in goal range, the post is as far as one goes.
        if x.abs() >= oval.half_length_m() || in_goal_range(oval, practice, line) == Some(end) {
            Station::at_post(side, &post_station(scene, side, end), ball)
        } else {
            Station::new(side, line, ball, Reason::Ahead)
        }
    };
    let near = if is_near_line(oval, practice, ball) { Some(spot_of(oval, practice, ball)?) } else { None };
    // Both are ahead of the kick, whoever kicks. Where it is near a line, the other line's official comes in
    // as far as `far_in` allows.
    let stations = both(|side| {
        let there = ahead(side);
        match near {
            Some(spot)
                if spot.side != side && there.reason == Reason::Ahead && oval.square_half_m().is_some() =>
            {
                Station::new(side, far_in(oval, practice, side, x), ball, Reason::AheadIn)
            }
            _ => there,
        }
    });
    Ok(Positions { case: Case::SetKick, crossing: near, stations, better: None })
}

fn over_the_line(scene: Scene<'_>, moment: &Moment) -> Result<Positions, NoPositions> {
    let Scene { oval, practice, .. } = scene;
    let spot = spot_of(oval, practice, moment.ball)?;
    let near = if moment.phase == Phase::ThrowIn {
        // The thrower has the back to play.
        let face = super::throw_in(practice, &spot).face;
        Station { facing: face, ..Station::new(spot.side, spot.point, spot.point, Reason::ThrowIn) }
    } else {
        let back = look(spot.point, Point::ORIGIN, -spot.normal);
        Station { facing: back, ..Station::new(spot.side, spot.point, spot.point, Reason::PointOut) }
    };
    let other = spot.side.other();
    let far = match partner_post(oval, practice, moment.phase, &spot) {
        Some(end) => Station::at_post(other, &post_station(scene, other, end), spot.point),
        None => far_out(oval, practice, other, spot.point),
    };
    Ok(Positions {
        case: Case::ByPhase,
        crossing: Some(spot),
        stations: both(|side| if side == spot.side { near } else { far }),
        better: None,
    })
}

/// The end to which the official on the other line goes, to the behind post, when a ball is over the line at
/// `spot`. At a throw-in from inside an arc it is the arc's end (where the practice says so), otherwise the
/// end of the goal in range. `None` where that official stays out.
pub(super) fn partner_post(oval: &Oval, practice: &Practice, phase: Phase, spot: &Spot) -> Option<End> {
    let range = in_goal_range(oval, practice, spot.point);
    match spot.arcs {
        Arcs::Inside(end) if phase == Phase::ThrowIn && practice.partner_to_post.value > 0.5 => Some(end),
        _ => range,
    }
}

/// Where both stand at an end's behind posts, left and right.
pub(super) fn positions_at_posts(scene: Scene<'_>, end: End) -> [Point<Ground>; 2] {
    Side::BOTH.map(|side| post_station(scene, side, end).point)
}

#[cfg(test)]
mod tests;
