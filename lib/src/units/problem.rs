//! What is wrong with a document, where, and what to do about it.

use std::fmt;

use super::print::for_terminal;

/// One thing that is wrong, or worth knowing: its place, what was found there, the remedy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    place: Option<String>,
    message: String,
    hint: Option<String>,
}

impl Problem {
    /// A problem with no place yet.
    #[must_use]
    pub fn new(message: impl Into<String>) -> Self {
        Self { place: None, message: message.into(), hint: None }
    }

    /// Says where: `line 12`, `Folder 'survey' / Placemark 4`.
    #[must_use]
    pub fn at(mut self, place: impl Into<String>) -> Self {
        self.place = Some(place.into());
        self
    }

    /// Says what to do about it.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// Of what: `'name'` and `is empty` make one sentence.
    #[must_use]
    pub fn about(mut self, what: &str) -> Self {
        self.message = format!("{what} {}", self.message);
        self
    }

    /// Of what, where the message is a sentence of its own: `[[landmark]]: there are 20000`.
    #[must_use]
    pub fn about_many(self, what: &str) -> Self {
        self.about(&format!("{what}:"))
    }

    /// Where it is, if that is known.
    #[must_use]
    pub fn place(&self) -> Option<&str> {
        self.place.as_deref()
    }

    /// What is wrong.
    #[must_use]
    pub fn message(&self) -> &str {
        &self.message
    }

    /// The remedy, if there is one.
    #[must_use]
    pub fn remedy(&self) -> Option<&str> {
        self.hint.as_deref()
    }
}

/// One line that a terminal can't misread, whatever the file held that it speaks of.
impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = &self.place {
            write!(f, "{}: ", for_terminal(place))?;
        }
        f.write_str(&for_terminal(&self.message))?;
        if let Some(hint) = &self.hint {
            write!(f, " (hint: {})", for_terminal(hint))?;
        }
        Ok(())
    }
}

/// Why a document is refused: every problem with it, a line each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    problems: Vec<Problem>,
}

impl Refused {
    /// For these reasons.
    #[must_use]
    pub fn new(problems: Vec<Problem>) -> Self {
        Self { problems }
    }

    /// The problems, in the document's order.
    #[must_use]
    pub fn problems(&self) -> &[Problem] {
        &self.problems
    }
}

impl From<Problem> for Refused {
    fn from(problem: Problem) -> Self {
        Self { problems: vec![problem] }
    }
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, p) in self.problems.iter().enumerate() {
            if i > 0 {
                f.write_str("\n")?;
            }
            p.fmt(f)?;
        }
        Ok(())
    }
}

impl std::error::Error for Refused {}

/// A result and what should be said about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Warned<T> {
    /// The result.
    pub value: T,
    /// What the person should know, in the order found.
    pub warnings: Vec<Problem>,
}

impl<T> Warned<T> {
    /// A result with nothing to say.
    pub fn quiet(value: T) -> Self {
        Self { value, warnings: Vec::new() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn is_one_line_whatever_the_file_held() {
        let p = Problem::new("name 'a\nerror: b'").at("line 1\u{1b}[2J").hint("\u{202e}c");
        assert_eq!(p.to_string(), "line 1\\u{1b}[2J: name 'a\\u{a}error: b' (hint: \\u{202e}c)");
    }

    #[test]
    fn reads_as_place_message_hint() {
        let p =
            Problem::new("latitude 144.9 is outside -90 to 90").at("line 3").hint("are lat and lon swapped?");
        assert_eq!(
            p.to_string(),
            "line 3: latitude 144.9 is outside -90 to 90 (hint: are lat and lon swapped?)"
        );
    }
}
