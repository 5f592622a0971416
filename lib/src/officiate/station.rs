//! Where an official stands in a phase, and why.

use super::clearance::{Limit, Stand, StandKind};
use super::sight::{View, look, view};
use crate::boundary::{End, Side};
use crate::frame::Ground;
use crate::geometry::{Point, Vector};
use crate::ground::{Oval, Parting, Spot};
use crate::rules::Practice;

/// Why an official stands there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reason {
    /// At the bounce: in line with the square's side and level with the top of the arc.
    Start,
    /// On the line, level with the ball.
    Level,
    /// Back from where the ball is likely to cross, to see along the line there.
    Watch(StandKind),
    /// In from the line far from play, level with the ball, at most as far as the square's side.
    In,
    /// On the line ahead of a set kick.
    Ahead,
    /// Ahead of a set kick near the other line: in from the own line, at most as far as the square's side.
    AheadIn,
    /// At the behind post: the ball is near that goal, or a shot is on.
    Post,
    /// A step from that post, along the line: there is no room behind it.
    BesidePost,
    /// At the post, but no place there is clear of fence and hazards.
    NoPlace,
    /// At the spot, to throw in.
    ThrowIn,
    /// At the spot, to point out where the ball went over on the full.
    PointOut,
    /// On the line, where the arc meets it.
    ArcEnd,
    /// On the line, at the spacing of a pair from the partner.
    Partner,
}

impl Reason {
    /// Is this the station at a behind post, whatever room there is?
    #[must_use]
    pub fn is_at_post(self) -> bool {
        matches!(self, Self::Post | Self::BesidePost | Self::NoPlace)
    }

    /// The reason in a few words, without the name of an end or a side.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Start => "down the square's side, and along the arc's top",
            Self::Level => "on the line, level with the ball",
            Self::Watch(StandKind::Tangent { .. }) => "back along the line's direction, to see along it",
            Self::Watch(StandKind::Post) | Self::Post => "at the behind post, still seeing downfield",
            Self::Watch(StandKind::BesidePost) | Self::BesidePost => {
                "a step from the behind post, along the line: there is no room behind it"
            }
            Self::Watch(StandKind::NoPlace) => "no place outside the line is safe",
            Self::NoPlace => "no place at the post is safe",
            Self::Watch(StandKind::AlongLine { .. }) => "back along the line, as far out as there is room",
            Self::In => "in as far as the square's side, never over it",
            Self::Ahead => "on the line, ahead of the kick",
            Self::AheadIn => "ahead of the kick, in as far as the square's side, never over it",
            Self::ThrowIn => "at the spot, back to play",
            Self::PointOut => "at the spot, to point it out",
            Self::ArcEnd => "on the line, at the end of the arc",
            Self::Partner => "on the line, so far from the partner",
        }
    }
}

impl Reason {
    /// As [`Reason::words`], for the markings that a ground has: without a square the start is on the own
    /// line, and a zone line or the edge of goal range may take the arc's place.
    #[must_use]
    pub fn words_on(self, oval: &Oval) -> &'static str {
        match (self, oval.parting()) {
            (Self::Start, _) if oval.square_half_m().is_none() => "on the own line",
            (Self::Start, Parting::GoalRange { .. }) => "down the square's side",
            (Self::Start, Parting::ZoneLine { .. }) => "down the square's side, and along the zone line",
            (Self::ArcEnd, Parting::ZoneLine { .. }) => "on the line, at the end of the zone line",
            (Self::ArcEnd, Parting::GoalRange { .. }) => "on the line, where goal range begins",
            _ => self.words(),
        }
    }
}

/// Where one official stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Whose line it is.
    pub side: Side,
    /// Where.
    pub point: Point<Ground>,
    /// The direction in which the official looks: a unit vector.
    pub facing: Vector<Ground>,
    /// Why there.
    pub reason: Reason,
    /// What keeps the official from the full distance.
    pub limit: Option<Limit>,
    /// The view of the line at the likely crossing, from here.
    pub view: Option<View>,
}

impl Station {
    pub(super) fn new(side: Side, point: Point<Ground>, at: Point<Ground>, reason: Reason) -> Self {
        // With the ball at their own feet they face across the ground.
        let facing = look(point, at, Vector::new(0.0, -side.sign()));
        Self { side, point, facing, reason, limit: None, view: None }
    }

    /// At a stand that was computed for a spot where the ball may cross.
    pub(super) fn watching(practice: &Practice, side: Side, stand: &Stand, spot: &Spot) -> Self {
        Self {
            limit: stand.limit,
            view: Some(view(practice, spot, stand.point)),
            ..Self::new(side, stand.point, spot.point, Reason::Watch(stand.kind))
        }
    }

    /// At a behind post, with the eyes on the ball.
    pub(super) fn at_post(side: Side, post: &Stand, ball: Point<Ground>) -> Self {
        let reason = match post.kind {
            StandKind::BesidePost => Reason::BesidePost,
            StandKind::NoPlace => Reason::NoPlace,
            _ => Reason::Post,
        };
        Self { limit: post.limit, ..Self::new(side, post.point, ball, reason) }
    }
}

/// A phase of play.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// A centre bounce or a restart.
    Bounce,
    /// General play.
    Play,
    /// A set kick toward the goal of this end.
    SetKick(End),
    /// A ball over the line, to be thrown in where it crossed.
    ThrowIn,
    /// A ball over the line on the full.
    OnTheFull,
    /// A kick-in after a behind at this end.
    KickIn(End),
    /// A goal at this end: the ball goes back to the middle.
    AfterGoal(End),
}

impl Phase {
    /// Short name.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Bounce => "bounce",
            Self::Play => "play",
            Self::SetKick(_) => "set-kick",
            Self::ThrowIn => "throw-in",
            Self::OnTheFull => "on-the-full",
            Self::KickIn(_) => "kick-in",
            Self::AfterGoal(_) => "after-goal",
        }
    }

    /// Do the stations depend on where the ball is?
    #[must_use]
    pub fn needs_ball(self) -> bool {
        matches!(self, Self::Play | Self::SetKick(_) | Self::ThrowIn | Self::OnTheFull)
    }
}
