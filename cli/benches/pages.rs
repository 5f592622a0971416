//! How long pages take to write: a card of two sides, some 400 items on its plan.
//!
//! `cargo bench -p ovalpeg-cli --bench pages`

use std::process::Command;

use ovalpeg::export::{Imprint, pdf, png};
use ovalpeg::page::Page;
use ovalpeg_tests::pages;

/// What this program is told where it is to write one PDF and end.
const ONE: &str = "one-pdf";

fn main() {
    if std::env::args().nth(1).as_deref() == Some(ONE) {
        std::hint::black_box(written(&card()));
    } else {
        divan::main();
    }
}

fn card() -> [Page; 2] {
    pages::card("Cockatoo Hollow").expect("a card")
}

fn written(card: &[Page]) -> Vec<u8> {
    let imprint = Imprint::new("Cockatoo Hollow", "", "2026-08-01".parse().expect("a day")).expect("a title");
    pdf(card, &imprint).expect("a PDF")
}

/// The PDF of a card, its pages laid out, in a process of its own: under 40 ms.
#[divan::bench]
fn pdf_in_a_fresh_process(bencher: divan::Bencher<'_, '_>) {
    let own = std::env::current_exe().expect("this program");
    bencher.bench(|| assert!(Command::new(&own).arg(ONE).status().expect("it runs").success()));
}

/// The PDF of a card once the fonts are read.
#[divan::bench]
fn pdf_of_a_card(bencher: divan::Bencher<'_, '_>) {
    let card = card();
    bencher.bench(|| written(&card));
}

/// A plan on A5 at 150 dots per inch.
#[divan::bench]
fn png_of_a_plan(bencher: divan::Bencher<'_, '_>) {
    let card = card();
    bencher.bench(|| png(&card[1], 150.0).expect("a picture"));
}
