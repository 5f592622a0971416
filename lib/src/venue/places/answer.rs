//! The place that words were read as.

use crate::frame::{Ground as GroundFrame, Local};
use crate::geometry::Point;
use crate::ground::SpotRef;

/// A place, in the frame in which it was given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Where {
    /// A spot of a boundary line.
    Spot(SpotRef),
    /// A place in the ground frame.
    Ground(Point<GroundFrame>),
    /// A place in the local plane: where a hazard or a landmark is.
    Local(Point<Local>),
}

/// A place that was read from words.
#[derive(Debug, Clone, PartialEq)]
pub struct SaidPlace {
    /// The place.
    pub at: Where,
    /// How the words were interpreted, where they gave a stretch and not one place.
    pub taken_as: Option<String>,
}
