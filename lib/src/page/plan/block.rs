//! A label of one line or several, each of words in their own size.

use crate::page::{Colour, Item, MM_PER_PT, Text, TextBox, Weight};
use crate::units::Invalid;

/// Words of a line.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Span {
    pub(super) text: String,
    pub(super) size_pt: f64,
    pub(super) weight: Weight,
    pub(super) colour: Colour,
}

/// Lines of words.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Block {
    pub(super) lines: Vec<Vec<Span>>,
}

/// Between the words of a line, as a part of the size.
const GAP: f64 = 0.28;
/// From the top of a line to its baseline, and of a line in all, as parts of its largest size.
const BASE: f64 = 0.77;
const LINE: f64 = 0.99;

impl Span {
    pub(super) fn new(text: impl Into<String>, size_pt: f64, weight: Weight, colour: Colour) -> Self {
        Self { text: text.into(), size_pt, weight, colour }
    }

    fn width(&self) -> f64 {
        Text::measure_mm(&self.text, self.size_pt, self.weight)
    }
}

fn largest(line: &[Span]) -> f64 {
    line.iter().map(|s| s.size_pt).fold(0.0, f64::max) * MM_PER_PT
}

fn width_of(line: &[Span]) -> f64 {
    let gaps = line.len().saturating_sub(1) as f64 * GAP * largest(line);
    line.iter().map(Span::width).sum::<f64>() + gaps
}

impl Block {
    /// One line.
    pub(super) fn line(spans: Vec<Span>) -> Self {
        Self { lines: vec![spans] }
    }

    /// Width and height, mm.
    pub(super) fn size(&self) -> (f64, f64) {
        let width = self.lines.iter().map(|l| width_of(l)).fold(0.0, f64::max);
        (width, self.lines.iter().map(|l| LINE * largest(l)).sum())
    }

    /// Its texts in this place; `way`: −1 flush right, +1 flush left, 0 in the middle.
    pub(super) fn texts(&self, place: &TextBox, way: f64) -> Result<Vec<Item>, Invalid> {
        let mut out = Vec::new();
        let mut top = place.top;
        for line in &self.lines {
            let (size, width) = (largest(line), width_of(line));
            let spare = (place.right - place.left) - width;
            let mut x = place.left + spare * (0.5 - 0.5 * way);
            for span in line {
                let at = (x, top + BASE * size);
                out.push(Text::new(&span.text, at, span.size_pt, span.weight, span.colour)?.into());
                x += span.width() + GAP * size;
            }
            top += LINE * size;
        }
        Ok(out)
    }
}

/// Words in lines no wider than this; a word that is wider by itself is cut.
pub(super) fn wrapped(text: &str, most_mm: f64, size_pt: f64, weight: Weight) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    // A note may have ten thousand words; no page has room for more than this of it.
    for word in text.split_whitespace().take(400) {
        if let Some(last) = lines.last_mut() {
            let both = format!("{last} {word}");
            if Text::measure_mm(&both, size_pt, weight) <= most_mm {
                *last = both;
                continue;
            }
        }
        lines.push(Text::cut(word, most_mm, size_pt, weight));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(text: &str, size: f64) -> Span {
        Span::new(text, size, Weight::Regular, Colour::BLACK)
    }

    #[test]
    fn a_block_fills_the_place_that_it_asks_for() {
        let block =
            Block { lines: vec![vec![span("pocket", 8.5), span("1½", 11.0)], vec![span("gum stump", 7.2)]] };
        let (w, h) = block.size();
        let place = TextBox { left: 10.0, top: 20.0, right: 10.0 + w, bottom: 20.0 + h };
        for way in [-1.0, 0.0, 1.0] {
            for item in block.texts(&place, way).unwrap() {
                let Item::Text(t) = item else { panic!() };
                let f = t.filled();
                assert!(f.left >= place.left - 1e-9 && f.right <= place.right + 1e-9, "{f:?} {place:?}");
                assert!(f.top >= place.top - 1e-9 && f.bottom <= place.bottom + 1e-9, "{f:?} {place:?}");
            }
        }
    }

    #[test]
    fn words_wrap_and_a_long_one_is_cut() {
        let lines = wrapped("ambulance: Road gate 2. defibrillator: canteen", 25.0, 8.0, Weight::Regular);
        assert!(lines.len() > 1);
        assert!(lines.iter().all(|l| Text::measure_mm(l, 8.0, Weight::Regular) <= 25.0));
        assert_eq!(lines.join(" "), "ambulance: Road gate 2. defibrillator: canteen");
        assert!(wrapped(&"n".repeat(10_000), 25.0, 8.0, Weight::Regular)[0].ends_with('…'));
    }
}
