#![doc = include_str!("README.md")]

mod along;
mod answer;
mod build;
mod cautions;
mod corridor;
mod departs;
mod doubts;
mod drawing;
mod kept;
mod moment;
mod other_marks;
mod place;
mod posts;
mod sizes;
mod spot_row;
mod stands;
mod summary;
mod sun;
mod told;
mod unusual;
mod walk_round;
mod watch;
mod zone_sizes;

pub use along::{FromPost, LineStretch};
pub use answer::answer;
pub use build::{Briefing, When, bearings, briefing, cautions_beside};
pub use cautions::{CAUTIONS, two_notes};
pub use corridor::{Corridor, Stands};
pub use departs::Departed;
pub use drawing::{Drawing, DrawnHazard, DrawnLandmark, DrawnMark, DrawnStretch, EdgePoint};
pub use moment::{
    BallAt, CameFrom, MomentAnswer, MomentQuery, NoAnswer, OnTheFull, OtherStart, Placed, Seen, Travelled,
    phase_sheet,
};
pub use posts::{AtPost, PostStation};
pub use sizes::Sizes;
pub use spot_row::{Facing, SpotRow, spot_row};
pub use stands::{Lies, Whereabouts};
pub use summary::Summary;
pub use sun::{Look, SunAt, SunBriefing};
pub use told::ON_THE_LINE_M;
pub use unusual::Unusual;
pub use walk_round::{Stop, StopLook, WalkRound};
pub use watch::{Advice, InTheWay, Thing, Watch};
pub use zone_sizes::ZoneSizes;
