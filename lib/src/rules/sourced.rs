//! A number with its source, edition, year, and how sure it is.

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
    /// Not stated for these rules: taken over from another set, with that set's source.
    NotStated,
    /// Set by a league's own file.
    League,
    /// Set by the person who runs the venue.
    Override,
    /// The rule set has no such thing: the value is zero.
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
            Self::NotStated => "not stated for these rules: taken over",
            Self::League => "set by the league",
            Self::Override => "set for this venue",
            Self::Absent => "not in these rules",
        }
    }

    /// One word, for data.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Sure => "sure",
            Self::Likely => "likely",
            Self::FromMemory => "from-memory",
            Self::CommonPractice => "common-practice",
            Self::NotStated => "not-stated",
            Self::League => "league",
            Self::Override => "venue",
            Self::Absent => "absent",
        }
    }

    /// Is it a built-in number, which neither the league nor the venue has set?
    #[must_use]
    pub fn is_preset(self) -> bool {
        !matches!(self, Self::League | Self::Override)
    }
}

/// Where something was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// What it is called.
    pub name: &'static str,
    /// Which edition, where that is known.
    pub edition: Option<&'static str>,
    /// Its year, where that is known.
    pub year: Option<u16>,
}

impl Source {
    pub(super) const fn new(name: &'static str) -> Self {
        Self { name, edition: None, year: None }
    }

    pub(super) const fn edition(self, edition: &'static str) -> Self {
        Self { edition: Some(edition), ..self }
    }

    pub(super) const fn year(self, year: u16) -> Self {
        Self { year: Some(year), ..self }
    }
}

/// The source of something that is not a number, such as how play restarts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grounds {
    /// The source.
    pub source: Source,
    /// How sure it is.
    pub standing: Standing,
}

impl Grounds {
    pub(super) const fn new(source: Source, standing: Standing) -> Self {
        Self { source, standing }
    }
}

/// A number with its source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sourced {
    /// The number, in the unit that its field names.
    pub value: f64,
    /// The source.
    pub source: &'static str,
    /// Which edition of it, where that is known.
    pub edition: Option<&'static str>,
    /// Its year, where that is known.
    pub year: Option<u16>,
    /// How sure it is.
    pub standing: Standing,
}

impl Sourced {
    pub(super) const fn of(value: f64, source: Source, standing: Standing) -> Self {
        Self { value, source: source.name, edition: source.edition, year: source.year, standing }
    }

    pub(super) const fn new(value: f64, source: &'static str, standing: Standing) -> Self {
        Self::of(value, Source::new(source), standing)
    }

    pub(super) const fn practice(value: f64) -> Self {
        Self::new(value, "common practice, no source", Standing::CommonPractice)
    }

    pub(super) const fn from_memory(value: f64) -> Self {
        Self::new(value, "from memory", Standing::FromMemory)
    }

    /// A number that a rule set does not have, with the reason to think so.
    pub(super) const fn absent(why: &'static str) -> Self {
        Self::new(0.0, why, Standing::Absent)
    }

    /// The same number in a rule set whose source does not state it.
    pub(super) const fn taken_over(self) -> Self {
        match self.standing {
            Standing::Absent => self,
            _ => Self { standing: Standing::NotStated, ..self },
        }
    }

    /// The number, if the rule set has it.
    #[must_use]
    pub fn given(self) -> Option<f64> {
        (self.standing != Standing::Absent).then_some(self.value)
    }

    /// The source with its edition and year, for people.
    #[must_use]
    pub fn cite(self) -> String {
        Source { name: self.source, edition: self.edition, year: self.year }.to_string()
    }

    /// The number replaced by `value` for one venue.
    #[must_use]
    pub fn overridden(self, value: f64) -> Self {
        Self::new(value, "the venue's file", Standing::Override)
    }

    /// The number replaced by `value` by a league;
    /// [`RuleSet::changes`](super::RuleSet::changes) has the reason.
    #[must_use]
    pub fn by_league(self, value: f64) -> Self {
        Self::new(value, "the league's own rules", Standing::League)
    }
}

impl std::fmt::Display for Source {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)?;
        match (self.edition, self.year) {
            (Some(edition), Some(year)) => write!(f, ", {edition}, {year}"),
            (Some(edition), None) => write!(f, ", {edition}"),
            (None, Some(year)) => write!(f, ", {year}"),
            (None, None) => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_source_is_cited_with_its_edition_and_year() {
        let source = Source::new("Law 1.1.2");
        assert_eq!(source.to_string(), "Law 1.1.2");
        assert_eq!(source.edition("1990s edition").to_string(), "Law 1.1.2, 1990s edition");
        assert_eq!(Sourced::of(1.0, source.year(2019), Standing::Sure).cite(), "Law 1.1.2, 2019");
    }

    #[test]
    fn what_is_absent_is_not_given_and_never_taken_over() {
        let none = Sourced::absent("no arcs");
        assert_eq!((none.given(), none.taken_over()), (None, none));
        let ten = Sourced::practice(10.0).taken_over();
        assert_eq!((ten.given(), ten.standing), (Some(10.0), Standing::NotStated));
    }
}
