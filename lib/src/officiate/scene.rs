//! The input that every question of this room shares: an oval, its surroundings, and the practice.

use crate::ground::{Oval, Surroundings};
use crate::rules::Practice;

/// An oval, its surroundings, and the practice that is followed there.
#[derive(Debug, Clone, Copy)]
pub struct Scene<'a> {
    /// The oval.
    pub oval: &'a Oval,
    /// Fence, hazards and landmarks.
    pub around: &'a Surroundings,
    /// The distances that no law fixes.
    pub practice: &'a Practice,
}

impl<'a> Scene<'a> {
    /// The same surroundings and practice with another oval, for example one a standard deviation away.
    #[must_use]
    pub fn on<'b>(self, oval: &'b Oval) -> Scene<'b>
    where
        'a: 'b,
    {
        Scene { oval, ..self }
    }
}
