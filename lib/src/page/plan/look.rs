//! Colours and sizes.

use crate::page::{Colour, Paper};

/// Lines, marks and words.
pub(super) const INK: Colour = Colour::rgb(0x12_16_1a);
/// What is said beside.
pub(super) const SOFT: Colour = Colour::rgb(0x46_4d_4a);
/// The ground.
pub(super) const GRASS: Colour = Colour::rgb(0xe6_ef_df);
/// Where the line may be.
pub(super) const UNSURE: Colour = Colour::rgb(0xb9_c6_b4);
/// Painted lines other than the boundary, and the fence.
pub(super) const PAINT: Colour = Colour::rgb(0x6f_7a_72);
/// What is dangerous: hazards, and words about them.
pub(super) const ALARM: Colour = Colour::rgb(0x96_18_08);
/// Run-off that is tight; always hatched.
pub(super) const TIGHT: Colour = Colour::rgb(0xf4_a4_3a);
/// Looks and landmarks.
pub(super) const SIGHT: Colour = Colour::rgb(0x0b_4a_7d);
/// A low sun.
pub(super) const SUN: Colour = Colour::rgb(0xf2_b7_05);

/// Sizes on one paper.
#[derive(Debug, Clone, Copy)]
pub(super) struct Look {
    /// Free round the page, mm.
    pub(super) margin: f64,
    /// The venue's name, pt.
    pub(super) title_pt: f64,
    /// What is read at arm's length in rain: ends, WATCH, figures, pt.
    pub(super) far_pt: f64,
    /// Names of spots and hazards, pt.
    pub(super) name_pt: f64,
    /// Landmarks, and what is read at leisure, pt.
    pub(super) small_pt: f64,
    /// A label beside the ground is no wider, mm.
    pub(super) widest: f64,
    /// Are what to face and landmarks shown? On the smallest paper the table has them.
    pub(super) landmarks: bool,
    /// Is the sun?
    pub(super) sun: bool,
    /// Radius of the dial, mm.
    pub(super) dial: f64,
}

impl Look {
    pub(super) fn of(paper: Paper) -> Self {
        match paper {
            Paper::A4 => Self {
                margin: 9.0,
                title_pt: 17.0,
                far_pt: 12.5,
                name_pt: 10.0,
                small_pt: 8.5,
                widest: 38.0,
                landmarks: true,
                sun: true,
                dial: 14.0,
            },
            Paper::A5 => Self {
                margin: 6.0,
                title_pt: 14.0,
                far_pt: 11.0,
                name_pt: 8.5,
                small_pt: 7.2,
                widest: 28.0,
                landmarks: true,
                sun: true,
                dial: 11.5,
            },
            Paper::A6 => Self {
                margin: 4.0,
                title_pt: 12.0,
                far_pt: 11.0,
                name_pt: 7.5,
                small_pt: 7.0,
                widest: 20.0,
                landmarks: false,
                sun: false,
                dial: 5.5,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_read_in_rain_is_large_and_nothing_is_under_seven_points() {
        for paper in Paper::ALL {
            let l = Look::of(paper);
            assert!(l.far_pt >= 11.0 && l.small_pt >= 7.0 && l.name_pt >= 7.0, "{paper:?}");
        }
    }

    #[test]
    fn words_stand_out_from_what_is_behind_them() {
        // Web Content Accessibility Guidelines 2.2, success criterion 1.4.6: 7 : 1.
        for ink in [INK, SOFT, ALARM, SIGHT] {
            for ground in [Colour::WHITE, GRASS] {
                assert!(ink.contrast(ground) >= 7.0, "{} {}", ink.hex(), ink.contrast(ground));
            }
        }
        assert!(ALARM.contrast(Colour::WHITE) >= 7.0 && INK.contrast(TIGHT) >= 7.0);
    }
}
