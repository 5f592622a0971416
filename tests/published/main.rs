//! Checks of the library's public doors against numbers that others published
//! or computed, against second methods written here, and against what must not
//! change when a survey is moved, turned, scaled, mirrored or shuffled.
#![allow(clippy::unwrap_used, reason = "in a test a refusal is a failure, and unwrap names its line")]

mod blunders;
mod declination;
mod degenerate;
mod ellipse_fits;
mod elliptic;
mod formats;
mod geodesy;
mod independent_fit;
mod independent_network;
mod invariance;
mod kml_reader;
mod laws;
mod mixed;
mod networks;
mod notebooks;
mod outliers;
mod printed_places;
mod simulated_networks;
mod support;
