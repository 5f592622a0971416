//! Floor 5: a ground: a boundary with its goals, markings, spots and
//! surroundings under one rule set. It does not know how its boundary was found.
//!
//! [`Oval`] is one whole ground with exact numbers. [`Ground`] holds the nominal
//! oval and, for each independent source of error, a pair of ovals one standard
//! deviation either way. Every printed ± comes from computing the same number on
//! each of them.

mod layout;
mod markings;
mod measure;
mod other_marks;
mod oval;
mod oval_layout;
mod spot;
mod surroundings;
mod zones;

pub use layout::{Parting, Square};
pub use markings::{Mark, Marking};
pub use measure::{Effects, Ground};
pub use other_marks::{MarkKind, MarkShape, OtherMark, SquareAt};
pub use oval::{ArcAndSquare, Oval};
pub use spot::{Arcs, NamedSpot, NoSpot, Spot, SpotRef};
pub use surroundings::{
    Fence, FenceOn, FencePart, Hazard, Landmark, Painted, Surroundings, TightFence, WhereSeen,
};
pub use zones::{ZoneAreas, Zones};

#[cfg(test)]
pub(crate) use oval::tests::{outline as outline_for_tests, oval as oval_for_tests};
