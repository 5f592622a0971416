//! How the goal axis of an outline was determined.

/// What the goal axis was determined from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AxisFrom {
    /// Posts at both ends.
    Posts,
    /// Posts at one end, and the curve at the other.
    PostsAtOneEnd,
    /// The curve's longer axis, which is an assumption.
    LongAxis,
}
