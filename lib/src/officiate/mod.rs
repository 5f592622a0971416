//! Floor 7: where an official stands and looks in each phase, in the ground frame. This room knows no north.
//! Every distance that no law fixes is a named practice.

mod clearance;
mod face;
mod far;
mod glare;
mod hand_over;
mod kick_in;
mod over;
mod pairs;
mod path;
mod play;
mod post;
mod recover;
mod relay;
mod round_square;
mod scene;
mod sides;
mod sight;
mod stand;
mod start;
mod station;
mod throw_in;
mod tight;
mod travel;

pub use clearance::{Limit, Stand, StandKind, hazards_beside};
pub use face::{Backsight, backsight};
pub use glare::{Sun, in_glare};
pub use kick_in::{KickIn, kick_in};
pub use over::{BallOver, ball_over};
pub(crate) use pairs::crew_positions_anyway;
pub use pairs::{Crew, crew_positions};
pub use path::{Group, MOST_GROUPS, NoWay, Way, way_round};
pub use play::{Better, BetterBy, Case, Moment, NoPositions, Positions, positions, short_of};
pub use post::{post_station, sure_post_station};
pub use recover::{Recovery, recover};
pub use relay::{Goal, InTheWay, Relay, relay};
pub use scene::Scene;
pub use sides::{Lengths, ShortSide, Sides, sides, sides_of};
pub use sight::{View, seems_out_m, view, view_at_height};
pub(crate) use stand::is_cut_short;
pub use stand::{chord_angle_deg, in_goal_range, long_first, stand};
pub use start::{Counts, Diagonal, Sight, SightAlong, Start, StartBy, start};
pub use station::{Phase, Reason, Station};
pub use throw_in::{ThrowIn, throw_in, throw_in_deg};
pub use travel::{Backwards, Run, Times, TurnAndLook, run_past, way};
