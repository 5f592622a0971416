//! Floor 1: the numbers of the game as constant tables, each with its source
//! and how sure it is. Every number from a law or a practice has its name here;
//! no other code holds one.

mod calls;
mod change;
mod choices;
mod exchanges;
mod happened;
mod laws;
mod match_day;
mod method;
mod practice;
mod presets;
mod put;
mod signals;
mod sourced;
mod table;
mod tape;
mod told;

pub use calls::{CALLS, CallRow, LAST_DISPOSAL_IN, LastDisposalIn, call};
pub use change::{By, Change, Reason, Setting};
pub use choices::{Choice, LastDisposal, Restart};
pub use exchanges::{EXCHANGES, Exchange, Way, With};
pub use happened::{Decision, Happened, Off, Sure};
pub use laws::{Because, RuleSet};
pub use match_day::{DayItem, DayPart, MATCH_DAY};
pub use method::{Edge, Method, line_width_m, line_width_sd_m, wgs84_as_gda2020_sd_m};
pub use practice::Practice;
pub use signals::{SIGNALS, Signal};
pub use sourced::{Grounds, Source, Sourced, Standing};
pub use table::{NotSet, Row};
pub use tape::{
    TapeClass, laser_reading_sd_m, mark_on_line_sd_m, square_by_eye_sd_deg, standard_temperature_c,
    steel_expansion, tape_reading_sd_m,
};
pub use told::{Question, Told};
