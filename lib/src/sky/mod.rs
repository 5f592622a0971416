//! Floor 3: what hangs over a ground: magnetic declination, the sun, and the time of day there.

mod clock;
mod declination;
mod sun;

pub use clock::{Instant, NoTime, TimeOfDay, Zone};
pub use declination::{NoDeclination, declination};
pub use sun::{NoSun, SunPosition, sun};
