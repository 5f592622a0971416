//! The question and the answer for one moment of a match: stations with bearings, ± and runs.

use super::spot_row::Facing;
use crate::boundary::{End, Side};
use crate::frame::{Geodetic, Ground as GroundFrame, Local};
use crate::geometry::Point;
use crate::ground::{Oval, SpotRef, Zones};
use crate::officiate::{
    Backsight, Case, Crew, Group, KickIn, Moment, NoPositions, NoWay, Phase, Positions, Recovery, Relay, Run,
    Scene, Sides, Start, Station, Times, TurnAndLook,
};
use crate::rules::Practice;
use crate::sky::Instant;
use crate::units::Measured;
use crate::venue::Venue;

/// How the ball's place was given. That place stays fixed when the answer is worked out on an oval one
/// standard deviation away.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BallAt {
    /// In the ground frame, as the moment has it.
    Ground,
    /// In the local plane: a fixed place on Earth.
    Local(Point<Local>),
    /// A spot of the line.
    Spot(SpotRef),
}

impl BallAt {
    /// The ball's place on an oval; `nominal` where it was given in the ground frame.
    pub(super) fn on(
        self,
        oval: &Oval,
        practice: &Practice,
        nominal: Point<GroundFrame>,
    ) -> Option<Point<GroundFrame>> {
        match self {
            Self::Ground => Some(nominal),
            Self::Local(p) => Some(oval.plan().to_ground(p)),
            Self::Spot(r) => Some(oval.spot_held(r, practice.goal_range_m.value).ok()?.point),
        }
    }

    pub(super) fn spot(self, nominal: Point<GroundFrame>) -> SpotRef {
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
    /// Of two officials on a line, the one nearer this end; `None` for the only one, or for whichever is
    /// nearer to the place.
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
    /// The time, for the sun; `None` to leave the sun out.
    pub when: Option<Instant>,
    /// Under lights: only landmarks that can be seen at night are used.
    pub night: bool,
}

impl MomentQuery {
    /// A question for two officials, without where they come from.
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

/// Something that an official looks at from a station.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// What it is, in a few words.
    pub at: &'static str,
    /// The direction to it.
    pub toward: Facing,
    /// The nearest hazard in the line of sight, by its index; only for start stations.
    pub crosses: Option<usize>,
    /// Is the sun in the official's eyes? `None` where no time was given.
    pub glare: Option<bool>,
}

/// A station with all that is known about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// The station.
    pub station: Station,
    /// Its place on Earth, where the venue has one.
    pub place: Option<Geodetic>,
    /// Distance from the centre toward end A, m.
    pub x: Measured,
    /// Distance to the left of the goal axis, m.
    pub y: Measured,
    /// Distance outside the line, m; negative inside.
    pub outside_line: Measured,
    /// Distance along the line from end A's post to the point of the line nearest to the station, m.
    pub from_a: Measured,
    /// The direction in which to look.
    pub facing: Facing,
    /// The true bearing of that direction with its ±, degrees.
    pub facing_deg: Measured,
    /// What the official has to see from there.
    pub looks: Vec<Seen>,
    /// Hazards within a corridor's half-width of the station, by index.
    pub beside: Vec<usize>,
    /// Is the fence known there? `None` for a station to which nobody backs away.
    pub run_off_known: Option<bool>,
    /// The landmark to face; only for a throw-in.
    pub backsight: Option<Backsight>,
    /// The run from where the official was.
    pub run: Option<Travelled>,
}

impl Placed {
    /// Is the sun in one of its looks? `None` where no time was given.
    #[must_use]
    pub fn glare(&self) -> Option<bool> {
        self.looks.iter().try_fold(false, |any, look| Some(any | look.glare?))
    }
}

/// A run with its times and what to beware of.
#[derive(Debug, Clone, PartialEq)]
pub struct Travelled {
    /// The run.
    pub run: Run,
    /// How long it takes.
    pub times: Times,
    /// What stands beside the backward part.
    pub mind: Vec<TurnAndLook>,
}

impl Travelled {
    pub(super) fn of(scene: Scene<'_>, run: Run) -> Self {
        Self { times: run.times(scene.practice), mind: run.turn_and_look(scene), run }
    }
}

/// When a ball went over on the full: does the official run to the spot before pointing it out?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OnTheFull {
    /// It is near enough to run up to it.
    RunUp,
    /// It is too far: signal at once, then go.
    SignalFirst,
    /// The question did not say where the official is.
    NotSaid,
}

/// A start station of the diagonal that was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OtherStart {
    /// Whose line it is.
    pub side: Side,
    /// The end toward which the station is.
    pub end: End,
    /// Is the sun in the official's eyes there? `None` where no time was given.
    pub glare: Option<bool>,
}

/// The answer for one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct MomentAnswer {
    /// What was asked.
    pub query: MomentQuery,
    /// The two officials' positions that the crew's are made from.
    pub positions: Positions,
    /// How far inside the line the ball is said to have crossed it, m; `None` where that is near enough.
    pub crossed_inside_m: Option<f64>,
    /// Another case that the survey can't rule out: it holds on an oval one standard deviation away.
    pub or_else: Option<Case>,
    /// Zones that the ball is in.
    pub zones: Zones,
    /// Everybody's stations.
    pub stations: Vec<Placed>,
    /// The sides at the likely crossing.
    pub sides: Option<Sides>,
    /// What the near official can do when caught behind play.
    pub recovery: Option<Recovery>,
    /// At a bounce, the start stations.
    pub start: Option<Start>,
    /// At a bounce, the stations of the diagonal that was not taken.
    pub other_two: Vec<OtherStart>,
    /// After a throw-in: the thrower's run to the near post.
    pub to_post: Option<Travelled>,
    /// The kick-in's mark and protected area.
    pub kick_in: Option<KickIn>,
    /// The ball's way back after a goal, and the times of both carriers' ways.
    pub relay: Option<(Relay, [Times; 2])>,
    /// For a ball over on the full: run to it, or signal first.
    pub on_the_full: Option<OnTheFull>,
}

/// Why a moment has no answer.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum NoAnswer {
    /// There are no positions for it.
    Positions(NoPositions),
    /// There is no way back for the ball.
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

/// One example of each phase on a ground, for training: its title, and the moment.
#[must_use]
pub fn phase_sheet(venue: &Venue) -> Vec<(&'static str, Moment)> {
    let oval = venue.ground.oval();
    let (half, practice) = (oval.half_length_m(), &venue.document.practice);
    let y = oval.square_half_m().unwrap_or(0.0);
    let left = oval.boundary().half_width_m(Side::Left);
    let at = Point::new;
    let a = End::A;
    // Near enough to the post to be in goal range.
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
    // Without throw-ins in the rule set there are none to show.
    all.retain(|(_, moment)| oval.rules().throw_ins || moment.phase != Phase::ThrowIn);
    all
}
