//! The sides that the notebook gives: on which side of a line a mark lies. They tell a
//! network from its mirror image.

use super::equations::{Model, Place, cross, minus, unit};
use super::error::NetworkError;
use super::words;
use crate::survey::{Hand, Notebook};

/// The notebook's sides.
#[derive(Debug, Clone, Default)]
pub(super) struct Hands {
    list: Vec<Hand>,
    /// How far a mark may be on the wrong side before the side counts as broken, m.
    tolerance_m: f64,
}

impl Hands {
    pub(super) fn new(book: &Notebook, model: &Model) -> Self {
        let largest =
            model.obs.iter().filter(|o| o.marks().next().is_some()).map(|o| o.sd).fold(0.0, f64::max);
        // Errors of the measures may put a mark that is on the line to either side.
        Self { list: book.hands.clone(), tolerance_m: 3.0 * largest }
    }

    /// How far a mark is on its given side, m; negative on the other side.
    fn side(hand: &Hand, at: &[Place]) -> f64 {
        let [a, b] = hand.of;
        let left = cross(unit(minus(at[b], at[a])), minus(at[hand.mark], at[a]));
        if hand.left { left } else { -left }
    }

    fn is_broken(&self, hand: &Hand, at: &[Place]) -> bool {
        Self::side(hand, at) < -self.tolerance_m
    }

    /// How many sides that involve a mark are broken, among those whose marks are all placed.
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
