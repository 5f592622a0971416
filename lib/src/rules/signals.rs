//! The signals of a boundary umpire, each once and with its source. A call lists them in order.

use super::Standing;

/// A sheet on the boundary umpire's signals; a stored copy of the page was read.
pub(super) const SIGNALS_SHEET: &str = "USAFL, Boundary Umpiring: Visual Signaling";
/// A page on what boundary and goal umpires signal to each other; a stored copy was read.
pub(super) const GOAL_UMPIRES_PAGE: &str =
    "AFL Community Club, Boundary Umpires: Cooperating with Goal Umpires";
pub(super) const PRACTICE: &str = "common practice, no source";
pub(super) const MEMORY: &str = "from memory";

/// One signal, or one action that follows a signal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Signal {
    /// Short name.
    pub id: &'static str,
    /// How it is given.
    pub how: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    /// How sure that is.
    pub standing: Standing,
}

impl Signal {
    /// Is it the throw-in itself, which a rule set without throw-ins leaves out?
    #[must_use]
    pub fn is_throw(&self) -> bool {
        *self == THROW
    }

    const fn read(id: &'static str, how: &'static str) -> Self {
        Self { id, how, source: SIGNALS_SHEET, standing: Standing::Sure }
    }

    const fn practice(id: &'static str, how: &'static str) -> Self {
        Self { id, how, source: PRACTICE, standing: Standing::CommonPractice }
    }
}

/// No signal: there is no call for a ball that is still in.
pub(super) const NONE: Signal =
    Signal::practice("none", "no whistle, no arm, no word: keep up with the ball");
/// Out of bounds.
pub(super) const OUT: Signal =
    Signal::read("out", "whistle once, the free arm straight up, facing the field umpire");
/// A free kick for a ball out on the full.
pub(super) const FULL: Signal =
    Signal::read("full", "both hands to the mouth and whistle once, then both arms out level");
/// The ball was touched on the way.
pub(super) const TOUCHED: Signal = Signal::practice(
    "touched",
    "the raised hand tapped from behind with the other, three times; only where it would else be out on the full",
);
/// The ball hit the behind post.
pub(super) const POST: Signal = Signal::practice(
    "post",
    "the behind post tapped three times, standing aside from it; it is enough if the goal umpire has tapped",
);
/// The ball came off the leg above the knee.
pub(super) const THIGH: Signal = Signal::practice("thigh", "the thigh tapped three times");
/// The field umpire decides.
pub(super) const LOOK: Signal = Signal::practice("look", "look to the field umpire");
/// Where a free kick is taken.
pub(super) const POINT: Signal =
    Signal::read("point", "run to where it crossed, stoop and point to it; stay until the ball is taken");
/// The throw-in itself.
pub(super) const THROW: Signal = Signal::read(
    "throw",
    "take the ball to where it crossed, back to play; throw when the field umpire tells you to",
);

/// All signals, in the order in which they are given.
pub const SIGNALS: [Signal; 9] = [NONE, OUT, FULL, TOUCHED, POST, THIGH, LOOK, POINT, THROW];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signals_have_names_of_their_own_and_say_where_they_come_from() {
        for (i, s) in SIGNALS.iter().enumerate() {
            assert!(SIGNALS[..i].iter().all(|o| o.id != s.id), "{}", s.id);
            assert!(!s.how.is_empty());
            // A signal without a source says so.
            let none = matches!(s.standing, Standing::CommonPractice | Standing::FromMemory);
            assert_eq!(none, s.source == s.standing.text(), "{}", s.id);
        }
    }

    #[test]
    fn on_the_full_starts_with_the_hands_at_the_mouth_and_a_post_is_shown_from_beside_it() {
        assert!(FULL.how.starts_with("both hands to the mouth") && FULL.how.contains("arms out level"));
        assert!(POST.how.contains("aside from it") && POST.how.contains("goal umpire has tapped"));
        assert!(TOUCHED.how.contains("only where it would else be out on the full"));
        assert!(NONE.how.contains("no word"));
    }
}
