//! Floor 3: the boundary of a ground: two open boundary lines from behind post to
//! behind post, closed by two straight scoring ends. The room also holds the
//! boundary's uncertainty, its [`Spread`]. A [`Boundary`] knows no law and no north.

mod axis_from;
mod best_ellipse;
mod closed;
mod departs;
mod line;
mod outline;
mod side;
mod spread;

#[cfg(test)]
mod contract;

pub use axis_from::AxisFrom;
pub use best_ellipse::NoEllipse;
pub use closed::{Boundary, BoundaryPoint, Nearest, Place};
pub use departs::{DEPARTURE_M, Departures, Stretch, StretchKind};
pub use outline::Outline;
pub use side::{End, Side};
pub use spread::Spread;

#[cfg(test)]
pub(crate) use contract::outlines as outlines_for_tests;

/// Why a boundary can't be built.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum BoundaryError {
    /// The curve is nowhere as wide as a scoring end.
    TooNarrow {
        /// Widest extent across the goal axis, m.
        width_m: f64,
        /// Width of a scoring end, m.
        end_width_m: f64,
    },
    /// A behind post is too far from the curve.
    PostsOffTheCurve {
        /// Which end.
        end: End,
        /// How far the post is from the curve, m.
        miss_m: f64,
    },
    /// The curve's nearest points to the behind posts are not in the posts' own order.
    LinesOverlap,
    /// A number that the curve does not accept.
    Invalid(crate::units::Invalid),
}

impl std::fmt::Display for BoundaryError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::TooNarrow { width_m, end_width_m } => write!(
                f,
                "the curve is {width_m:.1} m wide, too small for a scoring end of {end_width_m:.1} m"
            ),
            Self::PostsOffTheCurve { end, miss_m } => {
                write!(f, "the behind posts at end {end} lie {miss_m:.1} m off the fitted line")
            }
            Self::LinesOverlap => f.write_str(
                "the behind posts' nearest points of the fitted line are not in the posts' own order",
            ),
            Self::Invalid(e) => e.fmt(f),
        }
    }
}

impl std::error::Error for BoundaryError {}

impl From<crate::units::Invalid> for BoundaryError {
    fn from(e: crate::units::Invalid) -> Self {
        Self::Invalid(e)
    }
}
