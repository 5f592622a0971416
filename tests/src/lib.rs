//! The one simulator of surveys that the demo league, the tests and the tables
//! of coverage share: grounds planted to the last bit, ways of surveying them
//! with stated errors, and files as clubs send them. They go through the library's
//! [door] as a user's files do.
//!
//! Every draw comes from a fixed seed, so each file is the same on every run and
//! machine. Everything in the demo league is invented.

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
pub mod pavilion;
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

/// What a table's program was asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// Runs a row.
    pub runs: usize,
    row: String,
}

impl Asked {
    /// Is the row of this name asked for?
    #[must_use]
    pub fn wants(&self, name: &str) -> bool {
        name.ends_with(&self.row)
    }
}

/// What the command line asks for: `--runs N`, and `--row TEXT` for those rows alone whose names end so.
///
/// # Errors
/// Anything else on the command line.
pub fn asked(program: &str, otherwise: usize) -> Result<Asked, Failure> {
    let mut asked = Asked { runs: otherwise, row: String::new() };
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    for pair in arguments.chunks(2) {
        match pair.iter().map(String::as_str).collect::<Vec<_>>()[..] {
            ["--runs", n] => {
                asked.runs = n.parse().map_err(|_| format!("--runs {n} is not a number of runs"))?;
            }
            ["--row", end] => asked.row = end.into(),
            _ => return Err(format!("usage: {program} [--runs {otherwise}] [--row TEXT]").into()),
        }
    }
    Ok(asked)
}
