//! Reads places, ends and sides from words: everything that cards and stations print, as printed, and wording
//! close to it.

mod answer;
mod grass;
mod lexeme;
mod line;
mod not_read;
mod place;
mod reading;
mod things;
mod token;

pub use answer::{SaidPlace, Where};
pub use not_read::NotRead;
pub use place::{read_end, read_official, read_place, read_side};
