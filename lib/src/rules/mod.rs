//! Floor 1: the numbers of the game as constant tables, each with its source
//! and how sure it is. A number from a law or a practice lives here, named;
//! none stands in code elsewhere.

mod calls;
mod happened;
mod laws;
mod method;
mod practice;
mod table;
mod tape;
mod told;

pub use calls::{CALLS, CallRow, LAST_DISPOSAL_IN, LastDisposalIn, call};
pub use happened::{Decision, Happened, Off, Sure};
pub use laws::{LastDisposal, RuleSet};
pub use method::{Edge, Method, line_width_m, line_width_sd_m, wgs84_as_gda2020_sd_m};
pub use practice::Practice;
pub use table::{NotSet, Row};
pub use tape::{
    TapeClass, laser_reading_sd_m, mark_on_line_sd_m, square_by_eye_sd_deg, standard_temperature_c,
    steel_expansion, tape_reading_sd_m,
};
pub use told::{Question, Told};

/// How well a number's source is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Read in the source named.
    Sure,
    /// Read in a secondary source.
    Likely,
    /// From memory, not read anywhere: an editable default, never a law.
    FromMemory,
    /// What officials do; no source.
    CommonPractice,
    /// Set by the person who runs the venue.
    Override,
    /// The rule set has no such thing: the value is nought.
    Absent,
}

impl Standing {
    /// As printed beside the number.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            Self::Sure => "read in the source",
            Self::Likely => "from a secondary source",
            Self::FromMemory => "from memory",
            Self::CommonPractice => "common practice, no source",
            Self::Override => "set for this venue",
            Self::Absent => "not in these rules",
        }
    }
}

/// A number with where it comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sourced {
    /// The number, in the unit that its field names.
    pub value: f64,
    /// The source.
    pub source: &'static str,
    /// How sure it is.
    pub standing: Standing,
}

impl Sourced {
    const fn new(value: f64, source: &'static str, standing: Standing) -> Self {
        Self { value, source, standing }
    }

    const fn practice(value: f64) -> Self {
        Self::new(value, "common practice, no source", Standing::CommonPractice)
    }

    /// What a rule set does not have.
    const fn absent(source: &'static str) -> Self {
        Self::new(0.0, source, Standing::Absent)
    }

    /// The number, where the rule set has it.
    #[must_use]
    pub fn given(self) -> Option<f64> {
        (self.standing != Standing::Absent).then_some(self.value)
    }

    /// The same number set for one venue.
    #[must_use]
    pub fn overridden(self, value: f64) -> Self {
        Self { value, source: "the venue's file", standing: Standing::Override }
    }
}
