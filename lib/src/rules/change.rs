//! Changes to a rule set: what is written for a key, by whom and why.

use super::{Grounds, Source, Sourced, Standing};

/// The value that is written for a key.
#[derive(Debug, Clone, PartialEq)]
pub enum Setting {
    /// A number.
    Number(f64),
    /// None: the rule set goes without it.
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
    /// Its value in the set that this one is based on, as printed.
    pub was: String,
    /// Its new value, as printed.
    pub now: String,
    /// Why, in the league's words.
    pub why: String,
    /// Where that is written, in the league's words.
    pub source: Option<String>,
    /// The year of that source.
    pub year: Option<u16>,
}

/// Why a league changes a key, and where that is written, in its own words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    /// Why.
    pub why: String,
    /// Where it is written.
    pub source: Option<String>,
    /// The year of that source.
    pub year: Option<u16>,
}
