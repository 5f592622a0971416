//! Simulates surveys by the hundred and prints what came of them.
//!
//! - `simulate coverage`: how often the library's 95 % intervals hold the truth;
//! - `simulate derived`: what a card's numbers claim, held against how they scatter;
//! - `simulate comparing`: how often comparisons of two surveys claim a change;
//! - `simulate pavilion`: walks from the pavilion, held against the same walks trimmed by hand;
//! - `simulate fuzz`: files that are damaged, for as long as one likes.
//!
//! One program, because each takes as long to link as all of them. What more each takes stands in its file.

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
