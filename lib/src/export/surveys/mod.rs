//! Texts and JSON of what surveys are made into: fits, adjusted notebooks, comparisons.

mod adjusted_json;
mod compare_json;
mod compare_text;
mod curve_json;
mod fit_json;
mod fit_text;
mod network_json;
mod network_text;
mod shape_words;

pub use compare_json::compare_json;
pub use compare_text::{CompareSide, CompareTold, compare_report};
pub use curve_json::curve_json;
pub use fit_json::fit_json;
pub use fit_text::{FitTold, curve_report, fit_report};
pub use network_json::network_json;
pub use network_text::network_report;

#[cfg(feature = "schema")]
pub(super) use {
    compare_json::CompareDocument, curve_json::CurveDocument, fit_json::FitDocument,
    network_json::NetworkDocument,
};
