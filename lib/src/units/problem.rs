//! What is wrong with a document, where, and what to do about it.

use std::fmt;

use super::Remedy;
use super::print::for_terminal;

/// One thing that is wrong or worth knowing: where it is, what was found, and the remedy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    place: Option<String>,
    message: String,
    hint: Option<String>,
    settled_by: Vec<Remedy>,
}

impl Problem {
    /// A problem with no place yet.
    #[must_use]
    pub fn new(message: impl Into<String>) -> Self {
        Self { place: None, message: message.into(), hint: None, settled_by: Vec::new() }
    }

    /// Adds the place: `line 12`, `Folder 'survey' / Placemark 4`.
    #[must_use]
    pub fn at(mut self, place: impl Into<String>) -> Self {
        self.place = Some(place.into());
        self
    }

    /// Adds what to do about it.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// Adds a setting that would settle it; several keep their order.
    #[must_use]
    pub fn settle(mut self, remedy: Remedy) -> Self {
        self.settled_by.push(remedy);
        self
    }

    /// Puts the subject before the message: `'name'` and `is empty` make one sentence.
    #[must_use]
    pub fn about(mut self, what: &str) -> Self {
        self.message = format!("{what} {}", self.message);
        self
    }

    /// Puts the subject and a colon before a message that is a whole sentence:
    /// `[[landmark]]: there are 20000`.
    #[must_use]
    pub fn about_many(self, what: &str) -> Self {
        self.about(&format!("{what}:"))
    }

    /// Puts the file's name before the place.
    #[must_use]
    pub fn in_file(mut self, name: &str) -> Self {
        self.place = Some(self.place.map_or_else(|| name.to_owned(), |place| format!("{name}, {place}")));
        self
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

    /// The remedy in words, if there is one; [`Problem::settled_by`] has the settings.
    #[must_use]
    pub fn remedy(&self) -> Option<&str> {
        self.hint.as_deref()
    }

    /// The settings that would settle it.
    #[must_use]
    pub fn settled_by(&self) -> &[Remedy] {
        &self.settled_by
    }

    /// The same problem with its settings moved into the hint, in words that the caller makes.
    #[must_use]
    pub fn worded(mut self, words: impl Fn(&[Remedy]) -> String) -> Self {
        let settings = std::mem::take(&mut self.settled_by);
        if !settings.is_empty() {
            let said = words(&settings);
            self.hint = Some(self.hint.map_or(said.clone(), |hint| format!("{hint}; {said}")));
        }
        self
    }
}

/// One line that is safe for a terminal, whatever text of a file it quotes.
impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = &self.place {
            write!(f, "{}: ", for_terminal(place))?;
        }
        f.write_str(&for_terminal(&self.message))?;
        let settings = self.settled_by.iter().map(ToString::to_string);
        let hints: Vec<String> = self.hint.iter().cloned().chain(settings).collect();
        if hints.is_empty() {
            return Ok(());
        }
        write!(f, " (hint: {})", for_terminal(&hints.join("; ")))
    }
}

/// Why a document is refused: every problem with it, a line each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    problems: Vec<Problem>,
}

impl Refused {
    /// A refusal for these problems.
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

/// A result and the warnings that came with it.
#[derive(Debug, Clone, PartialEq)]
pub struct Warned<T> {
    /// The result.
    pub value: T,
    /// The warnings, in the order found.
    pub warnings: Vec<Problem>,
}

impl<T> Warned<T> {
    /// A result without warnings.
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
