//! How long a whole briefing takes: everything that a card says, computed.
//!
//! `cargo bench -p ovalpeg --bench briefing`

use std::path::Path;

use ovalpeg::briefing::{MomentQuery, answer, briefing};
use ovalpeg::geometry::Point;
use ovalpeg::officiate::{Moment, Phase};
use ovalpeg::units::Day;
use ovalpeg::venue::{Venue, open};

fn main() {
    divan::main();
}

fn venue(name: &str) -> Venue {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../venues").join(name);
    let text = std::fs::read_to_string(folder.join("venue.toml")).expect("a demo venue");
    open(&text, |file| std::fs::read(folder.join(file)).map_err(|e| e.to_string())).expect("it opens")
}

const VENUES: [&str; 3] = ["cockatoo-hollow", "lantern-hill", "quandong-crossing"];

/// Under 5 ms for these, ellipses and a cut side. A freeform line has some 70 axes of spread, an answer on 140
/// ovals each: with opening the venue about 16 ms.
#[divan::bench(args = VENUES)]
fn whole_briefing(bencher: divan::Bencher<'_, '_>, name: &str) {
    let venue = venue(name);
    let day = Day::new(2026, 8, 1).expect("a day");
    bencher.bench_local(|| briefing(&venue, day));
}

/// Stations for one ball with every ±.
#[divan::bench(args = VENUES)]
fn a_moment(bencher: divan::Bencher<'_, '_>, name: &str) {
    let venue = venue(name);
    let query = MomentQuery::new(Moment::new(Phase::Play, Point::new(20.0, 48.0)));
    bencher.bench_local(|| answer(&venue, None, &query));
}
