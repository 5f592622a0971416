//! What an outline's goal axis stands on.

/// What fixed the goal axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AxisFrom {
    /// Posts at both ends.
    Posts,
    /// Posts at one end, and the curve at the other.
    PostsAtOneEnd,
    /// The curve's longer axis: assumed.
    LongAxis,
}
