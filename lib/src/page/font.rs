//! The fonts that pages are set in: their bytes, and the widths by which every text is measured.

use std::sync::OnceLock;

use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};

/// A weight of the one family, IBM Plex Sans Condensed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Weight {
    /// For what is read at leisure.
    Regular,
    /// For what is read first.
    SemiBold,
}

/// A character's glyph and how far it moves on, in thousandths of the size.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known {
    character: char,
    pub(super) glyph: u32,
    pub(super) advance: f64,
}

impl Weight {
    /// Both, lighter first.
    pub const ALL: [Self; 2] = [Self::Regular, Self::SemiBold];
    /// The family's name.
    pub const FAMILY: &'static str = "IBM Plex Sans Condensed";
    /// From the baseline up to the top of a capital, as a part of the size (the fonts' own, 698 of 1,000).
    pub const CAPITAL_EM: f64 = 0.698;
    /// From the baseline up to the top of a bracket or a d, as a part of the size; measured of the glyphs.
    pub const TALLEST_EM: f64 = 0.760;
    /// From the baseline down to the foot of a g, as a part of the size; measured of the glyphs.
    pub const DESCENT_EM: f64 = 0.212;

    /// The font's file, TrueType.
    #[must_use]
    pub fn bytes(self) -> &'static [u8] {
        match self {
            Self::Regular => include_bytes!("fonts/IBMPlexSansCondensed-Regular.ttf"),
            Self::SemiBold => include_bytes!("fonts/IBMPlexSansCondensed-SemiBold.ttf"),
        }
    }

    /// Its number in CSS: 400 or 600.
    #[must_use]
    pub const fn css(self) -> u32 {
        match self {
            Self::Regular => 400,
            Self::SemiBold => 600,
        }
    }

    /// What the font knows of a character; `None` where it has no glyph for it.
    pub(super) fn known(self, character: char) -> Option<Known> {
        static TABLES: [OnceLock<Vec<Known>>; 2] = [const { OnceLock::new() }; 2];
        let table = TABLES[usize::from(self == Self::SemiBold)].get_or_init(|| self.read());
        let at = table.binary_search_by_key(&character, |known| known.character).ok()?;
        Some(table[at])
    }

    /// Every character with its glyph and width, in the characters' order; none of a font that can't be read,
    /// which a test holds against.
    fn read(self) -> Vec<Known> {
        let Ok(font) = FontRef::new(self.bytes()) else { return Vec::new() };
        let metrics = font.glyph_metrics(Size::unscaled(), LocationRef::default());
        let per_em = f64::from(font.metrics(Size::unscaled(), LocationRef::default()).units_per_em);
        let mut all: Vec<Known> = font
            .charmap()
            .mappings()
            .filter_map(|(number, glyph)| {
                let advance = f64::from(metrics.advance_width(glyph)?) / per_em;
                Some(Known { character: char::from_u32(number)?, glyph: glyph.to_u32(), advance })
            })
            .collect();
        all.sort_by_key(|known| known.character);
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_fonts_have_what_cards_say() {
        for weight in Weight::ALL {
            for c in "ABCabc0123456789 ½¼¾°±−×✓→←↑↓–—’‘“”…·éäöüßçñøåŁœ₂²".chars()
            {
                let known = weight.known(c).unwrap_or_else(|| panic!("{weight:?} lacks {c}"));
                assert!(known.glyph > 0 && known.advance > 0.1, "{c} {known:?}");
            }
            // Drawn as paths, for neither has them.
            for c in "△▲●○⚠☀中א".chars() {
                assert!(weight.known(c).is_none(), "{c}");
            }
            // What acts without being seen must never be taken for a glyph: told apart in `text`.
            assert_eq!(weight.read().len(), 895);
        }
    }

    #[test]
    fn figures_are_all_as_wide() {
        for weight in Weight::ALL {
            let one = weight.known('0').unwrap().advance;
            assert!("123456789".chars().all(|c| weight.known(c).unwrap().advance == one));
        }
    }
}
