//! What happened to a ball at the boundary line, and the decisions about it.

use super::LastDisposal;

/// A question that may have no sure answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sure {
    /// No.
    #[default]
    No,
    /// Yes.
    Yes,
    /// Nobody can tell.
    Unsure,
}

/// How the ball left the last player who played it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Off {
    /// Kicked.
    Kick,
    /// Handballed. A spoil with the fist or a palm is not a disposal: see [`Off::Body`].
    Hand,
    /// Off the leg below the knee, which is a kick.
    BelowKnee,
    /// Off the leg above the knee, which is not a kick.
    AboveKnee,
    /// Straight from a ruck contest.
    Ruck,
    /// Kicked in after a behind.
    KickIn,
    /// Off the body, a fist or a palm, or carried over.
    Body,
}

impl Off {
    /// All the ways.
    pub const ALL: [Self; 7] =
        [Self::Kick, Self::Hand, Self::BelowKnee, Self::AboveKnee, Self::Ruck, Self::KickIn, Self::Body];

    /// Short name.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Kick => "kick",
            Self::Hand => "hand",
            Self::BelowKnee => "below-knee",
            Self::AboveKnee => "above-knee",
            Self::Ruck => "ruck",
            Self::KickIn => "kick-in",
            Self::Body => "body",
        }
    }

    /// How it left the player, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Kick => "kicked",
            Self::Hand => "handballed",
            Self::BelowKnee => "off the leg below the knee",
            Self::AboveKnee => "off the leg above the knee",
            Self::Ruck => "straight from a ruck contest",
            Self::KickIn => "kicked in after a behind",
            Self::Body => "off the body, a fist or a palm, or carried",
        }
    }

    pub(super) fn is_kick(self) -> bool {
        matches!(self, Self::Kick | Self::BelowKnee | Self::KickIn)
    }

    pub(super) fn is_disposal(self) -> bool {
        matches!(self, Self::Kick | Self::Hand | Self::KickIn)
    }
}

/// What happened to a ball at the line: the facts that a call depends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Happened {
    /// Is all of the ball beyond the line's outer edge?
    pub wholly_over: Sure,
    /// How it left the last player who played it.
    pub off: Off,
    /// Did another player touch it on the way, or smother it?
    pub touched: Sure,
    /// Did it meet the ground first?
    pub bounced: Sure,
    /// Did it hit the behind post?
    pub behind_post: bool,
    /// Did an opponent shepherd it over the line?
    pub shepherded: bool,
    /// Did the player fail to show enough intent to keep it in?
    pub insufficient_intent: bool,
    /// Did it cross between the arcs?
    pub between_arcs: bool,
    /// The competition's law on the last disposal.
    pub law: LastDisposal,
}

impl Default for Happened {
    /// A kick that bounced and went over the line, with nothing else to consider.
    fn default() -> Self {
        Self {
            wholly_over: Sure::Yes,
            off: Off::Kick,
            touched: Sure::No,
            bounced: Sure::Yes,
            behind_post: false,
            shepherded: false,
            insufficient_intent: false,
            between_arcs: false,
            law: LastDisposal::NotStated,
        }
    }
}

/// What the boundary umpire decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decision {
    /// No call: the ball is still in. Only the field umpire calls *play on*.
    StillIn,
    /// A throw-in where it crossed.
    ThrowIn,
    /// A free kick to the other team where it crossed.
    FreeKick,
}

impl Decision {
    /// The decision as printed under a rule set with or without throw-ins.
    #[must_use]
    pub fn words_where(self, throw_ins: bool) -> &'static str {
        match self {
            Self::ThrowIn if !throw_ins => "out; no throw-in in these rules: ask the league what follows",
            _ => self.words(),
        }
    }

    /// The decision as printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::StillIn => "no call: still in",
            Self::ThrowIn => "throw-in where it crossed",
            Self::FreeKick => "free kick to the other team where it crossed",
        }
    }
}
