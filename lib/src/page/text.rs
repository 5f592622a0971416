//! A text at its place, measured.
//!
//! A text is one line, set glyph by glyph without kerning, so that what is measured here is what every writer
//! draws. A character that the fonts lack, and any that acts instead of being seen (controls, bidirectional marks,
//! joiners), becomes a box that shows its number, U+XXXX: nothing in a name can turn the text about it round.

use super::font::Weight;
use super::{Colour, MM_PER_PT};
use crate::units::{Invalid, finite, within};

/// Which part of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// A glyph of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Glyph {
    /// Its number in the font.
    pub id: u32,
    /// How far it moves on, as a part of the size.
    pub advance_em: f64,
    /// The bytes of the run's text that it shows.
    pub bytes: std::ops::Range<usize>,
}

/// A stretch of a text.
#[derive(Debug, Clone, PartialEq)]
pub enum Run {
    /// Characters that the font has.
    Glyphs {
        /// The characters.
        text: String,
        /// Their glyphs, one each.
        glyphs: Vec<Glyph>,
        /// From the text's left end to the run's, mm.
        from_mm: f64,
        /// How wide it is, mm.
        width_mm: f64,
    },
    /// A character that is shown as a box with its number.
    Boxed {
        /// The character itself, which must not be written where it could act.
        character: char,
        /// From the text's left end to the box's place, mm.
        from_mm: f64,
        /// How wide the place is, mm.
        width_mm: f64,
    },
}

/// A line of text at its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    runs: Vec<Run>,
    at: (f64, f64),
    anchor: Anchor,
    size_pt: f64,
    weight: Weight,
    colour: Colour,
    width_mm: f64,
}

/// The rectangle that a text fills, mm: from the top of a bracket, the tallest sign without an accent on a capital,
/// to the foot of a g.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TextBox {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

/// A box's number is this much smaller than the text about it, so that the box stands out as one sign.
pub(super) const NUMBER: f64 = 0.62;
/// Free to each side of a box and of its number, as parts of the size.
pub(super) const BESIDE: f64 = 0.06;
pub(super) const WITHIN: f64 = 0.14;

/// Characters that are never shown as themselves, whatever a font has for them: they act on what is about them.
pub(super) fn acts(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{00ad}' | '\u{034f}' | '\u{061c}' | '\u{115f}'..='\u{1160}' | '\u{17b4}'..='\u{17b5}'
            | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{ffa0}'
            | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0000}'..='\u{e0fff}')
}

/// `U+4E2D`.
pub(super) fn number_of(character: char) -> String {
    format!("U+{:04X}", u32::from(character))
}

fn plain_em(text: &str, weight: Weight) -> f64 {
    text.chars().filter_map(|c| weight.known(c)).map(|known| known.advance).sum()
}

fn boxed_em(character: char, weight: Weight) -> f64 {
    NUMBER * plain_em(&number_of(character), weight) + 2.0 * (BESIDE + WITHIN)
}

impl Text {
    /// A text, its left end at this place of its baseline.
    ///
    /// # Errors
    /// [`Invalid`] for a place that is no number or a size that is not within 1 to 200 pt.
    ///
    /// # Examples
    /// ```
    /// use ovalpeg::page::{Anchor, Colour, Text, Weight};
    /// let text = Text::new("SILO end", (74.0, 12.0), 11.0, Weight::SemiBold, Colour::BLACK)?.anchored(Anchor::Middle);
    /// assert!((text.filled().left + text.filled().right - 148.0).abs() < 1e-9);
    /// # Ok::<(), ovalpeg::units::Invalid>(())
    /// ```
    pub fn new(
        text: &str,
        at: (f64, f64),
        size_pt: f64,
        weight: Weight,
        colour: Colour,
    ) -> Result<Self, Invalid> {
        let at = (finite("a text's place", at.0)?, finite("a text's place", at.1)?);
        let size_pt = within("a text's size in pt", size_pt, 1.0, 200.0)?;
        let (runs, width_mm) = set(text, size_pt, weight);
        Ok(Self { runs, at, anchor: Anchor::Start, size_pt, weight, colour, width_mm })
    }

    /// The same text with another part of it at its place.
    #[must_use]
    pub fn anchored(mut self, anchor: Anchor) -> Self {
        self.anchor = anchor;
        self
    }

    /// How wide a text is at this size, mm.
    #[must_use]
    pub fn measure_mm(text: &str, size_pt: f64, weight: Weight) -> f64 {
        let em: f64 = text
            .chars()
            .map(|c| match weight.known(c) {
                Some(known) if !acts(c) => known.advance,
                _ => boxed_em(c, weight),
            })
            .sum();
        em * size_pt * MM_PER_PT
    }

    /// As much of a text as is no wider than this, with … where it was cut.
    #[must_use]
    pub fn cut(text: &str, most_mm: f64, size_pt: f64, weight: Weight) -> String {
        // No line holds more than this; a name may have ten thousand.
        const LONGEST: usize = 400;
        let head: String = text.chars().take(LONGEST).collect();
        if head.len() == text.len() && Self::measure_mm(text, size_pt, weight) <= most_mm {
            return head;
        }
        let room = most_mm - Self::measure_mm("…", size_pt, weight);
        let (mut kept, mut width) = (String::new(), 0.0);
        for c in head.chars() {
            width += Self::measure_mm(c.encode_utf8(&mut [0; 4]), size_pt, weight);
            if width > room {
                break;
            }
            kept.push(c);
        }
        kept.truncate(kept.trim_end().len());
        kept + "…"
    }

    /// Its stretches, from left to right.
    #[must_use]
    pub fn runs(&self) -> &[Run] {
        &self.runs
    }

    /// Its left end on the baseline, mm.
    #[must_use]
    pub fn left_mm(&self) -> (f64, f64) {
        let back = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => 0.5,
            Anchor::End => 1.0,
        };
        (self.at.0 - back * self.width_mm, self.at.1)
    }

    /// Its place on the baseline, mm.
    #[must_use]
    pub fn at_mm(&self) -> (f64, f64) {
        self.at
    }

    /// Which part of it stands there.
    #[must_use]
    pub fn anchor(&self) -> Anchor {
        self.anchor
    }

    /// Its size, pt.
    #[must_use]
    pub fn size_pt(&self) -> f64 {
        self.size_pt
    }

    /// Its size, mm.
    #[must_use]
    pub fn size_mm(&self) -> f64 {
        self.size_pt * MM_PER_PT
    }

    /// Its weight.
    #[must_use]
    pub fn weight(&self) -> Weight {
        self.weight
    }

    /// Its colour.
    #[must_use]
    pub fn colour(&self) -> Colour {
        self.colour
    }

    /// How wide it is, mm.
    #[must_use]
    pub fn width_mm(&self) -> f64 {
        self.width_mm
    }

    /// The rectangle that it fills.
    #[must_use]
    pub fn filled(&self) -> TextBox {
        let (left, y) = self.left_mm();
        let size = self.size_mm();
        TextBox {
            left,
            top: y - Weight::TALLEST_EM * size,
            right: left + self.width_mm,
            bottom: y + Weight::DESCENT_EM * size,
        }
    }

    /// What it says: the characters themselves, those in boxes too.
    ///
    /// For a reader's ear, or to search by; what writes it must keep boxed characters from acting.
    #[must_use]
    pub fn said(&self) -> String {
        let mut said = String::new();
        for run in &self.runs {
            match run {
                Run::Glyphs { text, .. } => said.push_str(text),
                Run::Boxed { character, .. } => said.push(*character),
            }
        }
        said
    }

    /// What it shows: characters in boxes by their numbers, `[U+202E]`. It acts on nothing.
    #[must_use]
    pub fn shown(&self) -> String {
        let mut shown = String::new();
        for run in &self.runs {
            match run {
                Run::Glyphs { text, .. } => shown.push_str(text),
                Run::Boxed { character, .. } => {
                    shown.push('[');
                    shown.push_str(&number_of(*character));
                    shown.push(']');
                }
            }
        }
        shown
    }
}

impl TextBox {
    /// The same with so much more on every side, mm.
    #[must_use]
    pub fn grown(self, by: f64) -> Self {
        Self { left: self.left - by, top: self.top - by, right: self.right + by, bottom: self.bottom + by }
    }

    /// Do two of them share any place?
    #[must_use]
    pub fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }
}

/// A text's runs and its width in mm.
fn set(text: &str, size_pt: f64, weight: Weight) -> (Vec<Run>, f64) {
    let mm = size_pt * MM_PER_PT;
    let mut runs: Vec<Run> = Vec::new();
    let mut at = 0.0;
    for c in text.chars() {
        let Some(known) = weight.known(c).filter(|_| !acts(c)) else {
            let width_mm = boxed_em(c, weight) * mm;
            runs.push(Run::Boxed { character: c, from_mm: at, width_mm });
            at += width_mm;
            continue;
        };
        if !matches!(runs.last(), Some(Run::Glyphs { .. })) {
            runs.push(Run::Glyphs { text: String::new(), glyphs: Vec::new(), from_mm: at, width_mm: 0.0 });
        }
        if let Some(Run::Glyphs { text, glyphs, width_mm, .. }) = runs.last_mut() {
            let from = text.len();
            text.push(c);
            glyphs.push(Glyph { id: known.glyph, advance_em: known.advance, bytes: from..text.len() });
            *width_mm += known.advance * mm;
        }
        at += known.advance * mm;
    }
    (runs, at)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(said: &str) -> Text {
        Text::new(said, (10.0, 20.0), 10.0, Weight::Regular, Colour::BLACK).unwrap()
    }

    #[test]
    fn a_text_is_as_wide_as_its_glyphs() {
        let t = text("fence 2.4 m");
        let [Run::Glyphs { text: said, glyphs, from_mm, width_mm }] = t.runs() else { panic!("{t:?}") };
        assert_eq!((said.as_str(), glyphs.len(), *from_mm), ("fence 2.4 m", 11, 0.0));
        let em: f64 = glyphs.iter().map(|g| g.advance_em).sum();
        assert!((em * t.size_mm() - t.width_mm()).abs() < 1e-9 && (width_mm - t.width_mm()).abs() < 1e-9);
        assert!((Text::measure_mm("fence 2.4 m", 10.0, Weight::Regular) - t.width_mm()).abs() < 1e-9);
        // The font's widths of these eleven add up to 4,790 of 1,000 (read with fontTools).
        assert!((em - 4.790).abs() < 1e-9, "{em}");
        assert_eq!(t.clone().anchored(Anchor::End).filled().right, 10.0);
    }

    #[test]
    fn what_is_not_in_the_fonts_is_shown_by_its_number() {
        let t = text("中 silo");
        let [Run::Boxed { character: '中', from_mm, width_mm }, Run::Glyphs { from_mm: next, .. }] = t.runs()
        else {
            panic!("{t:?}")
        };
        assert!(*from_mm == 0.0 && (next - width_mm).abs() < 1e-9);
        assert_eq!((t.shown().as_str(), t.said().as_str()), ("[U+4E2D] silo", "中 silo"));
    }

    #[test]
    fn what_acts_without_being_seen_becomes_a_box() {
        for c in [
            '\u{202e}',
            '\u{2066}',
            '\u{200f}',
            '\u{061c}',
            '\u{0}',
            '\u{7f}',
            '\u{85}',
            '\n',
            '\u{200b}',
            '\u{feff}',
            '\u{ad}',
            '\u{e0041}',
        ] {
            let t = text(&format!("a{c}b"));
            assert!(matches!(t.runs()[1], Run::Boxed { character, .. } if character == c), "{c:?}");
            assert!(!t.shown().contains(c));
        }
    }

    #[test]
    fn a_long_name_is_cut_where_it_is_told() {
        let name = "n".repeat(10_000);
        let kept = Text::cut(&name, 30.0, 7.0, Weight::Regular);
        assert!(kept.ends_with("n…") && Text::measure_mm(&kept, 7.0, Weight::Regular) <= 30.0);
        assert_eq!(Text::cut("tap", 30.0, 7.0, Weight::Regular), "tap");
        assert_eq!(Text::cut("water tank", 0.5, 7.0, Weight::Regular), "…");
    }

    #[test]
    fn a_text_of_no_size_or_place_is_refused() {
        assert!(Text::new("a", (f64::NAN, 0.0), 7.0, Weight::Regular, Colour::BLACK).is_err());
        assert!(Text::new("a", (0.0, 0.0), 0.0, Weight::Regular, Colour::BLACK).is_err());
        let t = text("").filled();
        assert!(t.left == t.right && t.top < 20.0 && t.bottom > 20.0);
        assert!(!t.meets(&t.grown(-1.0)) && text("a").filled().meets(&t.grown(0.1)));
    }
}
