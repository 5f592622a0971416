//! The parts of a rule set that are not numbers: how play restarts, whether there are throw-ins, the last
//! disposal, and whether a place on the arc counts as inside it.

/// Where a competition gives a free kick for the last disposal out of bounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LastDisposal {
    /// Free kick where the ball crossed between the two 50 m arcs.
    BetweenArcs,
    /// This competition has no such law.
    No,
    /// The league has not said.
    NotStated,
}

/// How play starts and restarts in the middle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Restart {
    /// By a bounce.
    Bounce,
    /// By a ball-up.
    BallUp,
    /// By either, as the league decides.
    Either,
}

impl Restart {
    /// All restarts.
    pub const ALL: [Self; 3] = [Self::Bounce, Self::BallUp, Self::Either];

    /// Its name, as printed and as written in a file.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Bounce => "bounce",
            Self::BallUp => "ball-up",
            Self::Either => "ball-up or bounce",
        }
    }

    /// The restart of this name.
    #[must_use]
    pub fn find(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|r| r.words() == text)
    }
}

/// A part of a rule set that is a choice and not a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    /// Does a place on the arc count as inside it?
    OnTheArcIsInside,
    /// Is a ball over the line thrown in?
    ThrowIns,
    /// Is the last disposal between the arcs a free kick?
    LastDisposal,
    /// How does play restart?
    Restart,
}

impl Choice {
    /// All choices, in the order in which they are listed.
    pub const ALL: [Self; 4] = [Self::Restart, Self::ThrowIns, Self::LastDisposal, Self::OnTheArcIsInside];

    /// The key in a venue's or a league's file.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::OnTheArcIsInside => "on_the_arc_is_inside",
            Self::ThrowIns => "throw_ins",
            Self::LastDisposal => "last_disposal_between_arcs",
            Self::Restart => "restart",
        }
    }

    /// What it means, as a sentence.
    #[must_use]
    pub fn what(self) -> &'static str {
        match self {
            Self::OnTheArcIsInside => "A place on the arc counts as inside it.",
            Self::ThrowIns => "A ball over the line is thrown in.",
            Self::LastDisposal => "The last disposal over the line between the arcs is a free kick.",
            Self::Restart => "How play starts and restarts in the middle.",
        }
    }

    /// The values that may be written for it, in words.
    #[must_use]
    pub fn may_be(self) -> String {
        match self {
            Self::Restart => {
                let all = Restart::ALL.map(|r| format!("\"{}\"", r.words()));
                format!("one of {}", all.join(", "))
            }
            _ => "true or false".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_restart_is_found_by_its_name() {
        for r in Restart::ALL {
            assert_eq!(Restart::find(r.words()), Some(r));
        }
        assert_eq!(Restart::find("throw"), None);
    }
}
