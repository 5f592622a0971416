//! How long the adjustment of a tape notebook takes.
//!
//! `cargo bench -p ovalpeg --bench network`

use ovalpeg::network::{NetworkOptions, adjust, adjust_without_blunders};
use ovalpeg::survey::{Mark, Measure, Notebook, Quantity, Role};

fn main() {
    divan::main();
}

/// Marks on a jittered grid, each tied to its nearest, so many ties in all; a wobble in place of noise.
fn notebook(columns: usize, rows: usize, ties: usize) -> Notebook {
    let mut book = Notebook::default();
    let mut at = Vec::new();
    for i in 0..columns * rows {
        let t = i as f64;
        let (x, y) = (11.0 * (i % columns) as f64, 11.0 * (i / columns) as f64);
        at.push([x + 3.0 * (1.7 * t).sin(), y + 3.0 * (2.3 * t).cos()]);
        let name = format!("m{i}");
        book.marks.push(Mark { name, role: Role::Unused, at: None, at_sd_m: None, place: "page 1".into() });
    }
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for i in 0..at.len() {
        for j in 0..i {
            pairs.push(((at[i][0] - at[j][0]).hypot(at[i][1] - at[j][1]), i, j));
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (n, &(d, from, to)) in pairs.iter().take(ties).enumerate() {
        let read = d + 0.02 * (0.7 * n as f64).sin();
        book.measures.push(Measure {
            quantity: Quantity::Distance { from, to },
            read_m: read,
            value_m: read,
            sd_m: 0.02,
            tape: None,
            place: "page 1".into(),
        });
    }
    book
}

/// Twenty marks, seventy ties, from ties alone: a few milliseconds.
#[divan::bench]
fn network_of_20_marks(bencher: divan::Bencher<'_, '_>) {
    let book = notebook(5, 4, 70);
    bencher.bench(|| adjust(&book, &NetworkOptions::default()).expect("adjusts"));
}

/// Two hundred marks and a thousand ties, from ties alone: well under a second.
#[divan::bench(sample_count = 10)]
fn network_of_200_marks_and_1000_ties(bencher: divan::Bencher<'_, '_>) {
    let book = notebook(20, 10, 1000);
    bencher.bench(|| adjust(&book, &NetworkOptions::default()).expect("adjusts"));
}

/// The same with a tie that is 10 m out, named and set aside.
#[divan::bench(sample_count = 10)]
fn network_of_200_marks_with_a_blunder(bencher: divan::Bencher<'_, '_>) {
    let mut book = notebook(20, 10, 1000);
    book.measures[500].value_m += 10.0;
    bencher.bench(|| adjust_without_blunders(&book, &NetworkOptions::default()).expect("adjusts"));
}

/// The same with seven wrong ties of many sizes, strewn over it.
#[divan::bench(sample_count = 5)]
fn network_of_200_marks_with_seven_blunders(bencher: divan::Bencher<'_, '_>) {
    let mut book = notebook(20, 10, 1000);
    for (i, size) in [0.4, 10.0, 1.0, 30.0, -1.0, 5.0, 0.7].into_iter().enumerate() {
        book.measures[40 + 130 * i].value_m += size;
    }
    bencher.bench(|| adjust_without_blunders(&book, &NetworkOptions::default()).expect("adjusts"));
}
