//! Opens a registered venue and prints its card for a day.
//!
//! `cargo run -p ovalpeg --example brief -- venues/cockatoo-hollow 2026-08-01`

use ovalpeg::briefing::briefing;
use ovalpeg::export::{CARD_COLUMNS, Paper, card};
use ovalpeg::units::Day;

#[allow(clippy::print_stdout, reason = "an example prints")]
fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let (Some(folder), Some(day)) = (args.next(), args.next()) else {
        return Err("say a venue's folder and a day, as in 2026-08-01".into());
    };
    let day: Day = day.parse()?;
    let beside = |name: &str| std::fs::read(format!("{folder}/{name}")).map_err(|e| e.to_string());
    let venue = ovalpeg::venue::open(&std::fs::read_to_string(format!("{folder}/venue.toml"))?, beside)?;
    print!("{}", card(&venue, &briefing(&venue, day), Paper::new(CARD_COLUMNS, false)));
    Ok(())
}
