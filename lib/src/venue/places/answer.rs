//! What words come to.

use crate::frame::{Ground as GroundFrame, Local};
use crate::geometry::Point;
use crate::ground::SpotRef;

/// Where words say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Where {
    /// A spot of a boundary line.
    Spot(SpotRef),
    /// A place in the ground frame.
    Ground(Point<GroundFrame>),
    /// A place in the local plane, where a recorded thing stands.
    Local(Point<Local>),
}

/// A place as said.
#[derive(Debug, Clone, PartialEq)]
pub struct SaidPlace {
    /// Where.
    pub at: Where,
    /// What it was taken as, in words, where the words said more than one place.
    pub taken_as: Option<String>,
}
