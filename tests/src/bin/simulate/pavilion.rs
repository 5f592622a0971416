//! Solves walks from the pavilion, and compares them with the same walks trimmed by hand. `simulate pavilion
//! FROM TO` takes the seeds from FROM to TO − 1, prints what went wrong, and counts it.
#![allow(clippy::print_stdout, reason = "a table is what this program is for")]

use ovalpeg_tests::Failure;
use ovalpeg_tests::pavilion::{Judged, MOST_OFF_M, Walk};

pub(crate) fn run(arguments: &[&str]) -> Result<(), Failure> {
    let seeds = arguments.iter().map(|t| t.parse()).collect::<Result<Vec<u64>, _>>()?;
    let [from, to] = seeds[..] else { return Err("usage: simulate pavilion FROM TO".into()) };
    let (mut refused, mut off, mut differ) = (0, 0, 0);
    for seed in from..to {
        let judged = Judged::of(&Walk::of(seed)?)?;
        let is_off = judged.off_m > MOST_OFF_M;
        refused += u32::from(judged.differ.is_err());
        off += u32::from(is_off);
        differ += u32::from(judged.differs());
        if judged.differ.is_err() || is_off || judged.differs() {
            println!(
                "{seed}: a kept fix {:.1} m off; sizes differ by {:.2?} of ±",
                judged.off_m, judged.differ
            );
            for sentence in judged.said {
                println!("    {sentence}");
            }
        }
    }
    println!("{from} to before {to}: {refused} refused, {off} with a kept fix over {MOST_OFF_M} m off,");
    println!("{differ} with a size off by more than half a ±");
    Ok(())
}
