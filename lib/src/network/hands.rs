//! Sides that the notebook gives: which of two mirror images is meant.

use super::equations::{Model, Place, cross, minus, unit};
use super::error::NetworkError;
use super::words;
use crate::survey::{Hand, Notebook};

/// The notebook's sides.
#[derive(Debug, Clone, Default)]
pub(super) struct Hands {
    list: Vec<Hand>,
    /// What a mark may be on the wrong side by before the side is broken, m.
    tolerance_m: f64,
}

impl Hands {
    pub(super) fn new(book: &Notebook, model: &Model) -> Self {
        let largest =
            model.obs.iter().filter(|o| o.marks().next().is_some()).map(|o| o.sd).fold(0.0, f64::max);
        // A mark on the line may be on either side by the measures' errors.
        Self { list: book.hands.clone(), tolerance_m: 3.0 * largest }
    }

    /// How far a mark is on the side that is given for it, m.
    fn side(hand: &Hand, at: &[Place]) -> f64 {
        let [a, b] = hand.of;
        let left = cross(unit(minus(at[b], at[a])), minus(at[hand.mark], at[a]));
        if hand.left { left } else { -left }
    }

    fn is_broken(&self, hand: &Hand, at: &[Place]) -> bool {
        Self::side(hand, at) < -self.tolerance_m
    }

    /// How many sides that concern a mark are broken, of those whose marks all have a place.
    pub(super) fn broken_at(&self, mark: usize, at: &[Place], placed: impl Fn(usize) -> bool) -> usize {
        self.list
            .iter()
            .filter(|h| h.mark == mark || h.of.contains(&mark))
            .filter(|h| placed(h.mark) && h.of.iter().all(|&m| placed(m)))
            .filter(|h| self.is_broken(h, at))
            .count()
    }

    /// How many sides are broken.
    pub(super) fn broken(&self, at: &[Place]) -> usize {
        self.list.iter().filter(|h| self.is_broken(h, at)).count()
    }

    /// The first side that is broken, as an error.
    pub(super) fn check(&self, book: &Notebook, at: &[Place]) -> Result<(), NetworkError> {
        match self.list.iter().find(|h| self.is_broken(h, at)) {
            None => Ok(()),
            Some(h) => Err(NetworkError::OtherSide {
                mark: words::name(book, h.mark),
                line: h.of.map(|m| words::name(book, m)),
                left: h.left,
                by_m: -Self::side(h, at),
            }),
        }
    }
}
