//! Floor 2: the four frames and the transformations between them. No other room
//! knows latitude, or which of latitude and longitude comes first.
//!
//! | frame | type | what it is |
//! | --- | --- | --- |
//! | geodetic | [`Geodetic`] | latitude, longitude, ellipsoidal height, datum |
//! | grid | [`GridPoint`] | MGA zone, easting, northing |
//! | local | [`Point<Local>`](crate::geometry::Point) | metres east and true north on the plane that touches the ground at its datum point |
//! | ground | [`Point<Ground>`](crate::geometry::Point) | x to end A, y to the left of a person at the centre who faces end A |

mod geodetic;
mod grid;
mod local;
mod plan;
mod state;

pub use geodetic::{Datum, Degrees, Geodetic, Xyz};
pub use grid::{GridPoint, OnGrid, Zone};
pub use local::LocalPlane;
pub use plan::Plan;
pub use state::State;

use crate::geometry::Plane;

/// Marker of the local frame: x is metres east, y metres true north.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Local;
/// Marker of the ground frame: origin midway between the goal-line centres, +x
/// to end A, +y to the left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ground;

impl Plane for Local {}
impl Plane for Ground {}
