//! What boundary umpires read from the other umpires, say to them and do for them.

use super::Standing;
use super::signals::{GOAL_UMPIRES_PAGE, PRACTICE, SIGNALS_SHEET};

/// The other umpire.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum With {
    /// The goal umpire at the boundary umpire's end.
    GoalUmpire,
    /// The field umpire in control.
    FieldUmpire,
}

impl With {
    /// Both kinds.
    pub const ALL: [Self; 2] = [Self::GoalUmpire, Self::FieldUmpire];

    /// As printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::GoalUmpire => "goal umpire",
            Self::FieldUmpire => "field umpire",
        }
    }
}

/// The direction of an exchange.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Read from the other.
    Read,
    /// Said to the other.
    Say,
    /// Done for the other.
    Do,
}

impl Way {
    /// As printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::Say => "say",
            Self::Do => "do",
        }
    }
}

/// One exchange between a boundary umpire and another umpire.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Exchange {
    /// Short name.
    pub id: &'static str,
    /// With whom.
    pub with: With,
    /// Which way.
    pub way: Way,
    /// What is seen, or when it is said or done.
    pub when: &'static str,
    /// What it means, or what is said or done.
    pub what: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    /// How sure that is.
    pub standing: Standing,
}

impl Exchange {
    /// Is it about a throw-in, so that a rule set without throw-ins leaves it out?
    #[must_use]
    pub fn is_of_throw_ins(&self) -> bool {
        self.id == "wait"
    }
}

const fn row(
    id: &'static str,
    with: With,
    way: Way,
    [when, what]: [&'static str; 2],
    read_in: Option<&'static str>,
) -> Exchange {
    let (source, standing) = match read_in {
        Some(source) => (source, Standing::Sure),
        None => (PRACTICE, Standing::CommonPractice),
    };
    Exchange { id, with, way, when, what, source, standing }
}

use With::{FieldUmpire, GoalUmpire};

/// All exchanges, those with the goal umpire first.
pub const EXCHANGES: [Exchange; 13] = [
    row("arm-up", GoalUmpire, Way::Read, ["arm straight up", "out of bounds, and you signal it"], None),
    row(
        "arm-up-touched",
        GoalUmpire,
        Way::Read,
        ["arm straight up, the back of the fist tapped three times", "touched before it went over"],
        Some(GOAL_UMPIRES_PAGE),
    ),
    row(
        "arm-level",
        GoalUmpire,
        Way::Read,
        ["the outer arm level, facing you", "out on the full"],
        Some(GOAL_UMPIRES_PAGE),
    ),
    row(
        "arm-level-post",
        GoalUmpire,
        Way::Read,
        [
            "arm level until you answer, then the behind post tapped three times",
            "on the full onto the post; answer, then signal it",
        ],
        Some(GOAL_UMPIRES_PAGE),
    ),
    row("chest", GoalUmpire, Way::Read, ["the chest tapped", "the goal umpire has it; stay out of it"], None),
    row("yours", GoalUmpire, Way::Say, ["it goes for the goal or behind line", "\"yours\""], None),
    row("mine", GoalUmpire, Way::Say, ["it goes for the boundary line", "\"mine\""], None),
    row("there", GoalUmpire, Way::Say, ["you are at the behind post", "\"here\""], None),
    row("by-name", GoalUmpire, Way::Say, ["anything", "by name; ask for it before the match"], None),
    row(
        "positions",
        FieldUmpire,
        Way::Say,
        [
            "at a restart, a player outside the starting positions",
            "tell it by voice or whistle, before play starts",
        ],
        None,
    ),
    row(
        "bring",
        FieldUmpire,
        Way::Do,
        ["bringing the ball back after a goal", "the arm out to the field umpire as you come"],
        None,
    ),
    row(
        "wait",
        FieldUmpire,
        Way::Do,
        ["before a throw-in", "look and listen; throw when you are told to, not before"],
        Some(SIGNALS_SHEET),
    ),
    row(
        "ball-up",
        FieldUmpire,
        Way::Do,
        ["a ball-up near the line", "hold your station until the ball is away"],
        None,
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_exchange_says_where_it_comes_from() {
        for (i, e) in EXCHANGES.iter().enumerate() {
            assert!(EXCHANGES[..i].iter().all(|o| o.id != e.id), "{}", e.id);
            let none = e.standing == Standing::CommonPractice;
            assert_eq!(none, e.source == e.standing.text(), "{}", e.id);
            assert!(!e.when.is_empty() && !e.what.is_empty());
        }
    }

    #[test]
    fn what_passes_with_the_goal_umpire_is_whole() {
        let of = |way| -> Vec<&str> {
            EXCHANGES.iter().filter(|e| e.with == GoalUmpire && e.way == way).map(|e| e.id).collect()
        };
        assert_eq!(of(Way::Read), ["arm-up", "arm-up-touched", "arm-level", "arm-level-post", "chest"]);
        assert_eq!(of(Way::Say), ["yours", "mine", "there", "by-name"]);
        let field: Vec<&str> = EXCHANGES.iter().filter(|e| e.with == FieldUmpire).map(|e| e.id).collect();
        assert_eq!(field, ["positions", "bring", "wait", "ball-up"]);
        let of_throw_ins: Vec<&Exchange> = EXCHANGES.iter().filter(|e| e.is_of_throw_ins()).collect();
        assert!(of_throw_ins.len() == 1 && of_throw_ins[0].when.contains("throw-in"));
        let chest = EXCHANGES.iter().find(|e| e.id == "chest");
        assert!(chest.is_some_and(|e| e.what.contains("stay out")));
    }
}
