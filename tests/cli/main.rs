//! The contracts of the command line, checked by running the program.
//!
//! `SNAPSHOTS=overwrite cargo test -p ovalpeg-cli` refreshes every golden file.

#![allow(clippy::unwrap_used, reason = "a test that can't go on must fail")]

mod calls;
mod compare;
mod damaged;
mod documents;
mod front_page;
mod golden;
mod moments;
mod nothing_lost;
mod pages;
mod phone;
mod places;
mod readme;
mod refusals;
mod register;
mod rules;
mod schemas;
mod sources;
mod spots;
mod support;
mod surveys;
mod terminal;
mod where_to_be;
mod widths;
