//! The adjustment of simulated notebooks: exact figures come back, datums have no error, a tape's scale is
//! found, blunders are named. Many more notebooks with blunders are in `tests/slow`.

use ovalpeg::geometry::Point;
use ovalpeg::network::{
    Network, NetworkDatum, NetworkOptions, Observed, Stopped, Verdict, adjust, adjust_without_blunders,
};
use ovalpeg::survey::{Hand, Quantity, Tape};
use ovalpeg_tests::network::{
    BRACED, READING_SD_M, SQUARE, apart_m, blunders_named, exact, far_m, noisy, oval, place, sided,
};
use ovalpeg_tests::random::Random;

#[test]
fn exact_ties_give_the_figure_back() {
    let (at, pairs) = oval();
    let b = exact(&at, &pairs);
    let n = adjust(&b, &NetworkOptions::default()).unwrap();
    assert!(n.hand_assumed && n.datum == NetworkDatum::Free);
    // The first three marks of this oval run clockwise, and were taken to run the other way.
    let image: Vec<[f64; 2]> = at.iter().map(|p| [p[0], -p[1]]).collect();
    // Exact ties: rounding alone.
    assert!(far_m(&n, &image) < 1e-9, "{}", far_m(&n, &image));
    assert!(far_m(&adjust(&sided(b), &NetworkOptions::default()).unwrap(), &at) < 1e-9);
    assert_eq!(n.dof, pairs.len() + 3 - 40);
    let sum: f64 = n.observations.iter().map(|o| o.redundancy).sum();
    assert!((sum - n.dof as f64).abs() < 1e-9, "{sum}");
    // First mark at the origin, the second along +x.
    assert!(n.marks[0].at.distance_to(Point::ORIGIN) < 1e-9 && n.marks[1].at.y.abs() < 1e-9);
}

#[test]
fn map_coordinates_of_millions_cost_no_digits() {
    let far_off = [2_410_000.25, 5_790_000.75];
    let results: Vec<Network> = [[0.0, 0.0], far_off]
        .iter()
        .map(|o| {
            let mut b = noisy(&SQUARE, &BRACED, 0.01, &mut Random::new(5));
            for m in [0, 1] {
                place(&mut b, m, [SQUARE[m][0] + o[0], SQUARE[m][1] + o[1]], Some(0.0));
            }
            b.hands = vec![Hand { mark: 2, of: [0, 1], left: true }];
            adjust(&b, &NetworkOptions::default()).unwrap()
        })
        .collect();
    for (near, far) in results[0].marks.iter().zip(&results[1].marks) {
        // The last bit of 5,790,000 is 1e-9.
        assert!((far.at.x - far_off[0] - near.at.x).abs() < 2e-9);
        assert!((far.at.y - far_off[1] - near.at.y).abs() < 2e-9);
        assert!((far.sd_x_m - near.sd_x_m).abs() < 1e-12);
    }
}

/// A tape that is 1 in 2000 too long, against a base line between marks held fixed.
#[test]
fn a_tapes_scale_is_found() {
    let (at, pairs) = oval();
    let k = 5e-4;
    let mut b = noisy(&at, &pairs, 0.005, &mut Random::new(3));
    b.tapes.push(Tape { name: "fibre".into(), scale_sd: 1e-3, place: "line 2".into() });
    for m in &mut b.measures {
        m.value_m *= 1.0 - k;
        m.tape = Some(0);
    }
    for m in [0, 5, 10] {
        place(&mut b, m, at[m], Some(0.0));
    }
    let n = adjust(&b, &NetworkOptions::default()).unwrap();
    let tape = &n.tapes[0];
    assert!((tape.too_long - k).abs() < 4.0 * tape.sd, "{tape:?}");
    // Three or four ties of 5 mm in a row span the 130 m between fixed marks, twice over: 1 in 15,000 or so.
    assert!(tape.sd < 1e-4, "{tape:?}");
    let last = n.observations.last().unwrap();
    assert_eq!(last.what, Observed::Scale(0));
    assert!(last.redundancy > 0.99 && (last.residual_m - tape.too_long).abs() < 1e-15);
    let sum: f64 = n.observations.iter().map(|o| o.redundancy).sum();
    assert!((sum - n.dof as f64).abs() < 1e-9);
}

/// With one mark held the turn is free: the mark has no error, the rest turns about it least.
#[test]
fn one_held_mark_is_a_pivot() {
    let mut b = noisy(&SQUARE, &BRACED, 0.01, &mut Random::new(8));
    for (m, p) in SQUARE.iter().enumerate() {
        place(&mut b, m, *p, (m == 0).then_some(0.0));
    }
    let n = adjust(&b, &NetworkOptions::default()).unwrap();
    assert_eq!(n.datum, NetworkDatum::Pivot);
    assert_eq!((n.marks[0].sd_x_m, n.marks[0].at), (0.0, Point::ORIGIN));
    assert_eq!(n.dof, 1);
    // No turn against the places given: Σ q × p = 0.
    let turn: f64 = n.marks.iter().zip(&SQUARE).map(|(m, q)| q[0] * m.at.y - q[1] * m.at.x).sum();
    assert!(turn.abs() < 1e-9, "{turn}");
}

/// Inner constraints: no shift and no turn against the places given, and the covariance feels neither.
#[test]
fn a_free_network_stays_on_its_start() {
    let mut b = noisy(&SQUARE, &BRACED, 0.01, &mut Random::new(9));
    for (m, p) in SQUARE.iter().enumerate() {
        place(&mut b, m, [p[0] + 500.0, p[1] - 300.0], None);
    }
    let n = adjust(&b, &NetworkOptions::default()).unwrap();
    let mut sums = [0.0; 3];
    for (m, q) in n.marks.iter().zip(&SQUARE) {
        let step = [m.at.x - 500.0 - q[0], m.at.y + 300.0 - q[1]];
        sums[0] += step[0];
        sums[1] += step[1];
        sums[2] += q[0] * step[1] - q[1] * step[0];
    }
    // Metres and square metres; the last bits of 500 m times 40 m.
    assert!(sums.iter().all(|s| s.abs() < 1e-10), "{sums:?}");
    assert!(!n.hand_assumed);
    let ones: Vec<f64> = (0..8).map(|i| f64::from(u8::from(i % 2 == 0))).collect();
    assert!(n.covariance.variance_of(&ones).abs() < 1e-15);
}

/// A reading of this size, planted: each one is named, and set aside, and the marks come out right.
#[test]
fn gross_errors_of_every_kind_are_found() {
    let (at, pairs) = oval();
    for (index, size) in [(3, 10.0), (17, 100.0), (40, -10.0), (8, 0.6), (25, -27.0), (0, 100.0), (60, 30.0)]
    {
        let mut b = sided(noisy(&at, &pairs, READING_SD_M, &mut Random::new(200 + index as u64)));
        b.measures[index].value_m = (b.measures[index].value_m + size).abs();
        let planted = b.measures[index].value_m - apart_m(at[pairs[index].0], at[pairs[index].1]);
        let clean = adjust_without_blunders(&b, &NetworkOptions::default()).unwrap();
        assert_eq!(clean.set_aside.len(), 1, "{index} {size}: {:?}", clean.set_aside);
        let found = &clean.set_aside[0];
        assert_eq!(found.what, Observed::Measure(index), "{size}");
        assert_eq!(clean.stopped, Stopped::Clean);
        // Redundancy 0.2 and better: five times the reading's noise, thrice over, at most.
        assert!((found.too_long_m - planted).abs() < 0.3, "{} {planted}", found.too_long_m);
        assert!(far_m(&clean.network, &at) < 0.15, "{index} {size} {}", far_m(&clean.network, &at));
    }
}

/// A tie booked to the wrong mark.
#[test]
fn a_wrong_name_is_found() {
    let (at, pairs) = oval();
    let mut b = sided(noisy(&at, &pairs, READING_SD_M, &mut Random::new(77)));
    let index = 12;
    b.measures[index].quantity = Quantity::Distance { from: pairs[index].0, to: 11 };
    let clean = adjust_without_blunders(&b, &NetworkOptions::default()).unwrap();
    assert_eq!(clean.set_aside.first().map(|s| s.what), Some(Observed::Measure(index)));
    // Standard deviations of the marks reach 3 cm.
    assert!(far_m(&clean.network, &at) < 0.15);
}

/// Two marks' places to start from were swapped, and all are metres off.
#[test]
fn a_poor_start_does_no_harm() {
    let (at, pairs) = oval();
    let mut b = noisy(&at, &pairs, 0.01, &mut Random::new(4));
    for m in 0..at.len() {
        let from = match m {
            2 => 15,
            15 => 2,
            other => other,
        };
        place(&mut b, m, [at[from][0] + 4.0, at[from][1] - 3.0], None);
    }
    let n = adjust(&b, &NetworkOptions::default()).unwrap();
    assert!(!n.hand_assumed);
    assert!(far_m(&n, &at) < 0.1 && n.global.verdict != Verdict::TooLarge);
}

/// Two of each kind; of 1,464 notebooks 1,463 were named.
#[test]
fn a_planted_blunder_is_the_one_that_is_named_in_eight_notebooks() {
    assert_eq!(blunders_named(8, 2024).unwrap(), 8);
}
