//! The slow tests: what takes minutes, in release.
//!
//! `cargo test --release -p ovalpeg-tests --test slow` runs them. The manifest says
//! `test = false` of them, so that `cargo test --workspace` passes them over.
#![allow(clippy::unwrap_used, reason = "in a test a refusal is a failure, and unwrap names its line")]

mod comparing;
mod coverage;
mod degenerate;
mod derived;
mod fuzz;
mod mixed;
mod networks;
mod pages;
mod pavilion;
mod plans;
