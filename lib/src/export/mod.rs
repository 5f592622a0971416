//! Floor 12: pure functions to text, bytes or rows. An exporter computes nothing:
//! it lays out what a fit or a briefing says, or writes what a page shows.

mod arrive_words;
mod ascii;
mod call_json;
mod call_text;
mod card_json;
mod card_long;
mod card_short;
mod card_text;
mod departure_json;
mod face_text;
mod ground_json;
#[cfg(feature = "html")]
mod html;
mod json;
mod law_words;
mod layout_words;
mod lines;
mod markings_json;
mod match_day;
mod moment_json;
mod moment_text;
mod notes;
mod paper;
#[cfg(feature = "pdf")]
mod pdf;
mod place_words;
#[cfg(feature = "png")]
mod png;
mod post_words;
mod record_json;
mod relay_json;
mod rules_json;
mod rules_text;
#[cfg(feature = "schema")]
mod schemas;
mod spot_json;
mod spot_text;
mod start_json;
mod start_words;
mod station_json;
mod station_text;
mod sun_json;
mod sun_words;
#[cfg(feature = "survey")]
mod surveys;
#[cfg(feature = "page")]
mod svg;
mod table;
mod watch_json;
mod watch_words;
mod words;

pub use ascii::to_ascii;
pub use call_json::{call_json, calls_json};
pub use call_text::{call_text, calls_text};
pub use card_json::card_json;
pub use card_long::long_card;
pub use card_short::short_card;
pub use card_text::card;
#[cfg(feature = "html")]
pub use html::card_html;
pub use lines::paragraphs;
pub use moment_json::{moment_json, phase_sheet_json};
pub use moment_text::{moment_text, phase_sheet_text};
pub use paper::Paper;
#[cfg(feature = "pdf")]
pub use pdf::{Imprint, PdfRefused, pdf};
#[cfg(feature = "png")]
pub use png::png;
pub use rules_json::{rule_sets_json, rules_json};
pub use rules_text::{OwnRules, rule_sets_text, rules_text};
#[cfg(feature = "schema")]
pub use schemas::schemas;
pub use spot_json::throw_in_json;
pub use spot_text::{stations_text, throw_in_text};
pub use start_json::stations_json;
#[cfg(feature = "survey")]
pub use surveys::{
    CompareSide, CompareTold, FitTold, compare_json, compare_report, curve_json, curve_report, fit_json,
    fit_report, network_json, network_report,
};
#[cfg(feature = "page")]
pub use svg::page_svg;

/// Columns of the full card and of answers, where nothing else is asked for: a strip in a pocket.
pub const CARD_COLUMNS: usize = 49;
/// Columns of the short card: a phone held upright.
pub const SHORT_COLUMNS: usize = 36;
/// Columns of a report.
pub const REPORT_COLUMNS: usize = 76;
/// Columns of a list that is read at a desk.
pub const LIST_COLUMNS: usize = 80;
