//! What a card's numbers claim, against how they scatter.

use ovalpeg_tests::derived::{Cell, cells, count};

/// No number claims much less than it scatters.
fn held(cell: &Cell) {
    let tallies = count(cell, 24, 7).unwrap();
    let moving: Vec<_> = tallies.iter().filter(|(_, t)| !t.is_fixed()).collect();
    assert!(moving.len() > 100, "{}", moving.len());
    for (path, t) in moving {
        // A scatter from 24 runs is off by 15 % (one standard deviation): four of them either way,
        // and what is bounded or rounded claims more than it scatters.
        assert!(t.ratio() > 0.55, "{path} {}", t.ratio());
    }
}

#[test]
fn what_a_card_claims_is_how_it_scatters() {
    held(&cells()[0]);
}

#[test]
fn what_a_card_claims_is_how_it_scatters_on_other_shapes_with_posts() {
    for cell in &cells()[4..] {
        held(cell);
    }
}
