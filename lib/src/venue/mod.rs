#![doc = include_str!("README.md")]

mod around;
mod configuration;
mod document;
mod document_parts;
mod end_mark;
mod fit_file;
mod fit_shape;
mod fitted;
#[cfg(test)]
pub(crate) mod for_tests;
mod hash;
mod id;
mod marks;
mod members;
mod names;
mod open;
mod places;
mod plane_in;
mod record;
#[cfg(feature = "survey")]
mod register;
mod rules_file;
mod rules_in;
mod sound;
mod surveys;
mod table;

pub use around::MatchTimes;
pub use configuration::{Configuration, ConfigurationLine};
pub use document::{BytesOf, Document};
pub use end_mark::{END_MARK, above_end_mark};
pub use fit_file::{FitFile, LineGap, LineOff};
pub use fitted::Fitted;
pub use hash::{hashed_name, sha256_hex};
pub use id::{id_trouble, is_valid_id};
pub use names::Names;
pub use open::{Venue, VenueError, open, registered_fit};
pub use places::{NotRead, SaidPlace, Where, read_end, read_official, read_place, read_side};
pub use record::{Record, Reported};
#[cfg(feature = "survey")]
pub use register::{
    Registered, Registration, SurveyBytes, date_doubt, near_doubt, overlap_share, planes_apart_m, register,
    replace,
};
pub use rules_file::{find_rules, parse_rules, rules_file_id, rules_file_name};
pub use sound::ground_trouble;
pub use surveys::{Said, SurveyFile};

/// Newest version of the venue file's layout, which this library writes; it reads older ones too.
pub const SCHEMA: i64 = 2;
/// Version of the fit file's layout.
const FIT_SCHEMA: i64 = 1;
/// Version of the layout of a league's rules.
const RULES_SCHEMA: i64 = 1;
