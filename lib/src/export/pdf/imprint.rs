//! What a PDF says of itself, outside its pages.

use krilla::metadata::{DateTime, Metadata};
use sha2::{Digest, Sha256};

use super::PdfRefused;
use crate::page::{Page, spoken};
use crate::units::Day;

/// Longest title, in characters: what a window's frame or a list of bookmarks could show of it.
const LONGEST_TITLE: usize = 200;
/// Longest description, in characters: some three minutes of reading aloud.
const LONGEST_DESCRIPTION: usize = 4_000;
/// The language of every page (RFC 5646).
pub(super) const LANGUAGE: &str = "en-AU";

/// What a PDF says of itself: its title, what it is about, and its day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Imprint {
    title: String,
    subject: String,
    day: Day,
}

impl Imprint {
    /// The day is the one that the document is of: it is written as the day of its making, so that the same pages
    /// of the same day are the same bytes. A title is cut after 200 characters, a subject after 4,000.
    ///
    /// # Errors
    /// [`PdfRefused::NoTitle`] for a title of nothing but spaces.
    pub fn new(title: &str, subject: &str, day: Day) -> Result<Self, PdfRefused> {
        let title = title_of(title);
        if title.is_empty() {
            return Err(PdfRefused::NoTitle);
        }
        Ok(Self { title, subject: description_of(subject), day })
    }

    pub(super) fn metadata(&self, pages: &[Page]) -> Metadata {
        let day = DateTime::new(self.day.year()).month(self.day.month()).day(self.day.day());
        Metadata::new()
            .title(self.title.clone())
            .description(self.subject.clone())
            .language(LANGUAGE.to_owned())
            .creator(concat!("ovalpeg ", env!("CARGO_PKG_VERSION")).to_owned())
            .creation_date(day)
            .document_id(self.id(pages))
    }

    /// The same for what was printed of the same on the same day: of its title, its day and its pages' titles.
    fn id(&self, pages: &[Page]) -> String {
        let mut hash = Sha256::new();
        for part in
            [self.title.as_str(), &self.day.to_string()].into_iter().chain(pages.iter().map(Page::title))
        {
            hash.update(part.as_bytes());
            hash.update([0]);
        }
        hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

/// A title as it may be shown: on one line, with nothing that acts, and not too long.
pub(super) fn title_of(text: &str) -> String {
    cut(text, LONGEST_TITLE)
}

/// A description as it may be read aloud.
pub(super) fn description_of(text: &str) -> String {
    cut(text, LONGEST_DESCRIPTION)
}

fn cut(text: &str, most: usize) -> String {
    let text = text.trim();
    let kept: String = text.chars().take(most).collect();
    let whole = kept.len() == text.len();
    let shown = spoken(&kept);
    if whole { shown } else { shown + "…" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_is_cut_and_acts_on_nothing() {
        let day: Day = "2026-08-01".parse().unwrap();
        assert_eq!(Imprint::new(" \n", "", day), Err(PdfRefused::NoTitle));
        let long = Imprint::new(&"n".repeat(10_000), "a\u{202e}b", day).unwrap();
        assert_eq!(long.title.chars().count(), LONGEST_TITLE + 1);
        assert_eq!(long.subject, "a[U+202E]b");
    }

    #[test]
    fn an_id_is_of_the_title_the_day_and_the_pages() {
        let of = |title: &str, day: &str, page: &str| {
            let pages = [Page::new((10.0, 10.0), page, "", Vec::new()).unwrap()];
            Imprint::new(title, "", day.parse().unwrap()).unwrap().id(&pages)
        };
        let one = of("Card", "2026-08-01", "Plan");
        assert_eq!(one, of("Card", "2026-08-01", "Plan"));
        for other in [
            of("Cards", "2026-08-01", "Plan"),
            of("Card", "2026-08-02", "Plan"),
            of("Card", "2026-08-01", ""),
        ] {
            assert_ne!(one, other);
        }
    }
}
