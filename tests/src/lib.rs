//! The one simulator of surveys that the demo league, the tests and the tables
//! of coverage share: grounds planted to the last bit, ways of surveying them
//! with stated errors, and files as clubs send them.
//!
//! Every draw comes from a fixed seed, so each file is the same on every run and
//! machine. Everything in the demo league is invented.

pub mod coverage;
pub mod league;
mod note;
pub mod random;
mod shape;
pub mod truth;
pub mod walk;
pub mod write;

/// Why a simulation could not be made.
pub type Failure = Box<dyn std::error::Error + Send + Sync>;
