//! The simulator of surveys that the demo league, the tests and the tables of coverage share. It has grounds
//! that are known exactly, ways of surveying them with known errors, and files as clubs send them. The files
//! go through `ovalpeg::solve` as a user's files do: see [`door`].
//!
//! All random numbers come from fixed seeds, so each file is the same on every run and machine. Everything in
//! the demo league is invented.

pub mod comparing;
pub mod coverage;
pub mod degenerate;
pub mod derived;
pub mod door;
pub mod fuzz;
pub mod league;
pub mod mixed;
pub mod network;
mod note;
pub mod pages;
pub mod pavilion;
pub mod plans;
pub mod random;
pub mod reference;
mod shape;
pub mod sound;
pub mod truth;
pub mod walk;
pub mod whole;
pub mod write;

/// Why a simulation could not be made.
pub type Failure = Box<dyn std::error::Error + Send + Sync>;
