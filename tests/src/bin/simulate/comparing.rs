//! Prints how often comparisons of two simulated surveys claim a change.
//!
//! `simulate comparing [--runs 400] [--row 'four arcs']`: every row, or only those whose names end in that
//! text. The seed is fixed, so the table can be reproduced.

use std::io::Write as _;

use ovalpeg::units::print::fixed;
use ovalpeg_tests::Failure;
use ovalpeg_tests::comparing::{count, pairs};

use crate::table::asked;

const SEED: u64 = 160_130;

pub(crate) fn run(arguments: &[&str]) -> Result<(), Failure> {
    let asked = asked(arguments, "comparing", 400)?;
    let runs = asked.runs;
    let mut out = std::io::stdout().lock();
    writeln!(out, "ellipse 160 x 130 m, {runs} pairs a row; % of pairs in which a change was claimed")?;
    writeln!(
        out,
        "{:<31} {:>12} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6} {:>8}",
        "surveys", "any", "moved", "turned", "length", "width", "goals", "line", "refused"
    )?;
    for row in pairs().into_iter().filter(|row| asked.wants(row.name)) {
        let n = count(&row, runs, SEED)?;
        let all = n.compared.max(1) as f64;
        let share = |k: usize| fixed(100.0 * k as f64 / all, 1);
        let p = n.any as f64 / all;
        let error = 100.0 * (p * (1.0 - p) / all).sqrt();
        writeln!(
            out,
            "{:<31} {:>12} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6} {:>8}",
            row.name,
            format!("{} ± {}", share(n.any), fixed(error, 1)),
            share(n.moved),
            share(n.turned),
            share(n.length),
            share(n.width),
            share(n.goals),
            share(n.line),
            n.refused
        )?;
        out.flush()?;
    }
    Ok(())
}
