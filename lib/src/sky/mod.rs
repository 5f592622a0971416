//! Floor 3: magnetic declination, the sun's position and civil time at a ground.

mod clock;
mod declination;
#[cfg(any(test, not(feature = "world-zones")))]
mod near_zones;
mod sun;
#[cfg(feature = "world-zones")]
mod world_zones;
#[cfg(not(feature = "world-zones"))]
use near_zones as zones;
#[cfg(feature = "world-zones")]
use world_zones as zones;

pub use clock::{Instant, NoTime, TimeOfDay, Zone};
pub use declination::{NoDeclination, declination};
pub use sun::{NoSun, SunPosition, sun};
