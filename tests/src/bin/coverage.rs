//! Prints how often the 95 % interval of a fit holds the planted length and width.
//!
//! `coverage [--runs 400]`; the seed is fixed, so a table can be made again.

use std::io::Write as _;

use ovalpeg::units::print::fixed;
use ovalpeg_tests::Failure;
use ovalpeg_tests::coverage::{cells, count};
use ovalpeg_tests::runs_asked;

const SEED: u64 = 160_130;

fn main() -> Result<(), Failure> {
    let runs = runs_asked("coverage", 400)?;
    let mut out = std::io::stdout().lock();
    writeln!(out, "ellipse 160 x 130 m, {runs} runs a row; length / width")?;
    writeln!(
        out,
        "{:<36} {:>15} {:>17} {:>17} {:>17} {:>7}",
        "survey", "95 % holds, %", "mean half, m", "rms error, m", "mean error, m", "refused"
    )?;
    for cell in cells() {
        let t = count(&cell, runs, SEED)?;
        let share = |held: usize| fixed(100.0 * held as f64 / t.fitted.max(1) as f64, 1);
        let pair = |a: f64, b: f64| format!("{} / {}", fixed(a, 3), fixed(b, 3));
        writeln!(
            out,
            "{:<36} {:>15} {:>17} {:>17} {:>17} {:>7}",
            cell.name,
            format!("{} / {}", share(t.length_held), share(t.width_held)),
            pair(t.length_half_m, t.width_half_m),
            pair(t.length_rms_m, t.width_rms_m),
            pair(t.length_bias_m, t.width_bias_m),
            t.refused
        )?;
        out.flush()?;
    }
    Ok(())
}
