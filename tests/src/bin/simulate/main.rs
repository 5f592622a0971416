//! Simulates surveys by the hundred and prints the results.
//!
//! - `simulate coverage`: how often the library's 95 % intervals hold the truth;
//! - `simulate derived`: the standard deviations of a card's numbers, compared with their true scatter;
//! - `simulate comparing`: how often comparisons of two surveys claim a change;
//! - `simulate pavilion`: walks from the pavilion, compared with the same walks trimmed by hand;
//! - `simulate fuzz`: damaged files, for any number of runs.
//!
//! It is one program, because linking each alone takes as long as linking all. Each file describes its
//! arguments.

mod comparing;
mod coverage;
mod derived;
mod fuzz;
mod pavilion;
mod table;

use ovalpeg_tests::Failure;

fn main() -> Result<(), Failure> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match arguments.split_first() {
        Some((&"coverage", more)) => coverage::run(more),
        Some((&"derived", more)) => derived::run(more),
        Some((&"comparing", more)) => comparing::run(more),
        Some((&"pavilion", more)) => pavilion::run(more),
        Some((&"fuzz", more)) => fuzz::run(more),
        _ => Err("usage: simulate coverage | derived | comparing | pavilion | fuzz".into()),
    }
}
