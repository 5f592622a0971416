//! What every question of an official is asked of: an oval, what lies about it, and the practice.

use crate::ground::{Oval, Surroundings};
use crate::rules::Practice;

/// An oval, what lies about it, and the practice that is followed there.
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
    /// The same about another oval: one of those that a survey leaves possible.
    #[must_use]
    pub fn on<'b>(self, oval: &'b Oval) -> Scene<'b>
    where
        'a: 'b,
    {
        Scene { oval, ..self }
    }
}
