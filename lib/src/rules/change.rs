//! What is written for a rule set's key, by whom and why.

use super::{Grounds, Source, Sourced, Standing};

/// What is written for a key.
#[derive(Debug, Clone, PartialEq)]
pub enum Setting {
    /// A number.
    Number(f64),
    /// The rule set has no such thing.
    None,
    /// True or false.
    Flag(bool),
    /// A word.
    Word(String),
}

/// Who changes a rule set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// A league's own file.
    League,
    /// A venue's file.
    Venue,
}

impl By {
    fn standing(self) -> Standing {
        match self {
            Self::League => Standing::League,
            Self::Venue => Standing::Override,
        }
    }

    pub(super) fn number(self, old: Sourced, value: f64) -> Sourced {
        match self {
            Self::League => old.by_league(value),
            Self::Venue => old.overridden(value),
        }
    }

    pub(super) fn grounds(self) -> Grounds {
        let name = match self {
            Self::League => "the league's own rules",
            Self::Venue => "the venue's file",
        };
        Grounds::new(Source::new(name), self.standing())
    }
}

/// One thing that a league's file changed, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// The key.
    pub key: &'static str,
    /// What it was in the set beneath, as printed.
    pub was: String,
    /// What it is.
    pub now: String,
    /// Why, in the league's words.
    pub why: String,
    /// Where that is written, in the league's words.
    pub source: Option<String>,
    /// Of which year.
    pub year: Option<u16>,
}

/// Where a league's change is written, in its own words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    /// Why.
    pub why: String,
    /// Where it is written.
    pub source: Option<String>,
    /// Of which year.
    pub year: Option<u16>,
}
