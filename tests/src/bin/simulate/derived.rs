//! Prints, as Markdown tables, for every derived number of a card: the standard deviation that it claims over
//! its true scatter, and how often its 95 % interval holds the truth.
//!
//! `simulate derived [--runs 400] [--row 'posts 0.05 m']`: every survey, or only those whose names end in
//! that text. The seed is fixed, so the table can be reproduced.

use std::collections::BTreeMap;
use std::io::Write as _;

use ovalpeg::units::print::fixed;
use ovalpeg_tests::Failure;
use ovalpeg_tests::derived::{Tally, cells, count};

use crate::table::asked;

const SEED: u64 = 190_115;

/// The last part of a number's path in the JSON, which says what kind of number it is.
fn kind(path: &str) -> String {
    let card = path.starts_with("card/");
    let last = path.rsplit('/').next().unwrap_or(path);
    format!("{}{last}", if card { "" } else { "station's " })
}

pub(crate) fn run(arguments: &[&str]) -> Result<(), Failure> {
    let asked = asked(arguments, "derived", 400)?;
    let runs = asked.runs;
    let mut out = std::io::stdout().lock();
    writeln!(
        out,
        "| survey | number | how many | claimed over scatter: least, mean, most | 95 % holds: least, mean |\n| --- | --- | --- | --- | --- |"
    )?;
    for cell in cells().into_iter().filter(|cell| asked.wants(cell.name)) {
        let tallies = count(&cell, runs, SEED)?;
        let mut kinds: BTreeMap<String, Vec<&Tally>> = BTreeMap::new();
        for (path, t) in tallies.iter().filter(|(_, t)| !t.is_fixed() && t.runs * 2 > runs) {
            kinds.entry(kind(path)).or_default().push(t);
        }
        for (name, list) in kinds {
            let ratios: Vec<f64> = list.iter().map(|t| t.ratio()).filter(|r| r.is_finite()).collect();
            let shares: Vec<f64> = list.iter().map(|t| t.share()).collect();
            let least = |v: &[f64]| v.iter().copied().fold(f64::INFINITY, f64::min);
            let most = |v: &[f64]| v.iter().copied().fold(0.0, f64::max);
            let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len().max(1) as f64;
            writeln!(
                out,
                "| {} | {name} | {} | {}, {}, {} | {}, {} |",
                cell.name,
                list.len(),
                fixed(least(&ratios), 2),
                fixed(mean(&ratios), 2),
                fixed(most(&ratios), 2),
                fixed(least(&shares), 1),
                fixed(mean(&shares), 1)
            )?;
        }
        out.flush()?;
    }
    Ok(())
}
