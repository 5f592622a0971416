#![doc = include_str!("README.md")]

mod build;
mod departs;
mod doubts;
mod moment;
mod place;
mod spot_row;
mod summary;
mod sun;
mod unusual;
mod watch;
mod zone_sizes;

pub use build::{Briefing, Sizes, When, bearings, briefing, cautions_beside};
pub use departs::Departed;
pub use moment::{
    BallAt, CameFrom, MomentAnswer, MomentQuery, NoAnswer, OnTheFull, OtherStart, Placed, Seen, Travelled,
    answer, phase_sheet,
};
pub use spot_row::{Facing, SpotRow, spot_row};
pub use summary::Summary;
pub use sun::{Look, SunAt, SunBriefing};
pub use unusual::Unusual;
pub use watch::{Corridor, Watch};
pub use zone_sizes::ZoneSizes;

/// The short cautions that belong to a card.
pub const CAUTIONS: [&str; 3] = [
    "Run-off and hazards are as surveyed: look before you back away.",
    "Thunder within 30 s of the flash: stop, and wait 30 min after the last.",
    "Not a survey plan nor a certificate: the controlling body rules on compliance, the ground's owner on safety.",
];
