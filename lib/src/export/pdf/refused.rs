//! Why pages are not written as a PDF.

use std::fmt;

use krilla::configure::ValidationError;
use krilla::error::KrillaError;

/// Why pages are not written as a PDF.
///
/// A document that a reader's ear can't follow is refused before it is written (PDF/UA-1, ISO 14289-1).
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum PdfRefused {
    /// There is no page.
    NoPage,
    /// The document has no title: it heads the reader's window.
    NoTitle,
    /// A picture says nothing of what is seen.
    NoDescription {
        /// Its page, from 1.
        page: usize,
        /// Its title or name; empty where it has neither.
        picture: String,
    },
    /// A heading says nothing.
    NoHeading {
        /// Its page, from 1.
        page: usize,
    },
    /// The library that writes the file found something that its standard forbids.
    Forbidden {
        /// What, each in a few words.
        what: Vec<String>,
    },
}

impl fmt::Display for PdfRefused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoPage => f.write_str("a PDF takes at least one page"),
            Self::NoTitle => f.write_str("the PDF has no title, which heads the reader's window"),
            Self::NoDescription { page, picture } if picture.is_empty() => {
                write!(f, "page {page}: a picture has no description, so nothing of it could be read aloud")
            }
            Self::NoDescription { page, picture } => {
                write!(f, "page {page}: '{picture}' has no description, so nothing of it could be read aloud")
            }
            Self::NoHeading { page } => write!(f, "page {page}: a heading says nothing"),
            Self::Forbidden { what } => {
                write!(
                    f,
                    "the PDF would break its standard for readers' ears (PDF/UA-1): {}",
                    what.join("; ")
                )
            }
        }
    }
}

impl std::error::Error for PdfRefused {}

/// What the library refused, in our words.
pub(super) fn refused(error: &KrillaError) -> PdfRefused {
    let what = match error {
        KrillaError::Validation(all) => {
            let mut what: Vec<String> = Vec::new();
            for (problem, _) in all {
                let said = said(problem);
                if !what.contains(&said) {
                    what.push(said);
                }
            }
            what
        }
        KrillaError::Font(_, why) => vec![format!("a font that can't be embedded: {why}")],
        other => vec![other.to_string()],
    };
    PdfRefused::Forbidden { what }
}

fn said(problem: &ValidationError) -> String {
    match problem {
        ValidationError::ContainsNotDefGlyph(_, _, text) => {
            let text = crate::page::spoken(text);
            format!("a character that the font lacks, '{text}'")
        }
        ValidationError::NoCodepointMapping(..) => "a glyph that stands for no character".to_owned(),
        ValidationError::InvalidCodepointMapping(_, _, c, _) => {
            format!("a glyph for U+{:04X}, which is no character", u32::from(*c))
        }
        ValidationError::RestrictedLicense(_) => "a font that must not be embedded".to_owned(),
        ValidationError::NoDocumentTitle => "no title".to_owned(),
        ValidationError::MissingAltText(_) => "a picture without a description".to_owned(),
        ValidationError::MissingHeadingTitle => "a heading without a title".to_owned(),
        ValidationError::MissingDocumentOutline => "no bookmarks".to_owned(),
        ValidationError::MissingAnnotationAltText(_) => "a link that doesn't say where it leads".to_owned(),
        ValidationError::MissingTagging => "no order of reading".to_owned(),
        // None of what is left can come from a page; the library's own name of it is better than nothing.
        other => format!("{other:?}").chars().take(80).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use krilla::configure::Validators;

    #[test]
    fn what_the_library_forbids_is_said_in_our_words_and_once() {
        let each = |problem: ValidationError| (problem, Validators::default());
        let error = KrillaError::Validation(vec![
            each(ValidationError::MissingAltText(None)),
            each(ValidationError::MissingAltText(None)),
            each(ValidationError::MissingDocumentOutline),
        ]);
        assert_eq!(
            refused(&error).to_string(),
            "the PDF would break its standard for readers' ears (PDF/UA-1): a picture without a description; \
             no bookmarks"
        );
    }
}
