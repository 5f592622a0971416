//! The one simulator of surveys that the demo league, the tests and the tables
//! of coverage share: grounds planted to the last bit, ways of surveying them
//! with stated errors, and files as clubs send them.
//!
//! Every draw comes from a fixed seed, so each file is the same on every run and
//! machine. Everything in the demo league is invented.

pub mod comparing;
pub mod coverage;
pub mod derived;
pub mod league;
mod note;
pub mod random;
pub mod reference;
mod shape;
pub mod truth;
pub mod walk;
pub mod write;

/// Why a simulation could not be made.
pub type Failure = Box<dyn std::error::Error + Send + Sync>;

/// The number of runs that a table's program was asked for: `--runs N`, or nothing.
///
/// # Errors
/// Anything else on the command line.
pub fn runs_asked(program: &str, otherwise: usize) -> Result<usize, Failure> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        [] => Ok(otherwise),
        ["--runs", n] => n.parse().map_err(|_| format!("--runs {n} is not a number of runs").into()),
        _ => Err(format!("usage: {program} [--runs {otherwise}]").into()),
    }
}
