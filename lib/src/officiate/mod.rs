//! Floor 5: what an official does on a ground, in ground-frame directions: it
//! knows no north. Every position is by the definitions of the field; every
//! distance that is no law is a named practice.

mod face;
mod sides;
mod stand;
mod start;
mod throw_in;

pub use face::{Backsight, backsight};
pub use sides::{ShortSide, Sides, sides};
pub use stand::{Limit, Stand, StandKind, chord_angle_deg, post_station, stand};
pub use start::{Start, start};
pub use throw_in::{ThrowIn, throw_in};
