//! The library's one door: the files of a survey in, a trusted ground and its report out.
//!
//! Everything between is settled here and nowhere else: what a method says of errors, which plane the
//! points lie in, how a walk is cleaned, how tape notebooks are adjusted, how much each source weighs,
//! and which end is end A. A guess that would change numbers is a [`Doubt`], told and left to a person. Whoever comes in by another way gets a ± that is too small.
//!
//! [`solve`] does it all. [`prepare`] stops before the fit, for those who want the notebooks alone or a
//! curve without goals.

mod day;
mod doubt;
mod doubts;
mod error;
mod noise;
mod options;
mod prepare;
mod rounded;
mod solved;
mod source;

pub use doubt::{Doubt, Doubted};
pub use error::SolveError;
pub use noise::place_sd_m;
pub use options::{Facing, SolveOptions};
pub use prepare::{Prepared, prepare};
pub use solved::{Solved, solve};
pub use source::Source;
