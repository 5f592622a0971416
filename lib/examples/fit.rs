//! Fits a survey and prints the size of the ground with its ±.
//!
//! `cargo run -p ovalpeg --example fit -- venues/cockatoo-hollow/survey-1417be253061.csv rtk`

use ovalpeg::briefing::Summary;
use ovalpeg::rules::{Method, RuleSet};
use ovalpeg::solve::{SolveOptions, Source, solve};

#[allow(clippy::print_stdout, reason = "an example prints")]
fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let (Some(file), Some(method)) = (args.next(), args.next()) else {
        return Err("say a survey and how it was measured: rtk, trace, phone or tape".into());
    };
    let method = Method::find(&method).ok_or_else(|| format!("'{method}' is no method of surveying"))?;
    let survey = Source::new(&file, std::fs::read(&file)?).method(method);
    let solved = solve(vec![survey], &SolveOptions::new(RuleSet::laws()))?;
    for doubt in solved.unsettled() {
        println!("look at this first: {}", doubt.problem);
    }
    let sizes = Summary::of(solved.ground()).sizes;
    for (name, size) in [("long", sizes.length), ("wide", sizes.width)] {
        if let Some(m) = size {
            println!("{:.2} m ± {:.2} {name}", m.value(), m.half_width());
        }
    }
    Ok(())
}
