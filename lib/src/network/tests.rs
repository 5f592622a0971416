//! Whole notebooks of exact ties: refusals, sides and datum. The workspace's tests
//! simulate notebooks with noise and blunders.

use super::support::{book, chainage, distance, offset, place, ties};
use super::*;
use crate::survey::{Hand, Measure, Tape};

fn d(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// The largest distance of an adjusted mark from the truth, after the best rigid motion.
fn far(found: &Network, at: &[[f64; 2]]) -> f64 {
    let pairs: Vec<_> = found.marks.iter().zip(at).map(|(m, p)| ([m.at.x, m.at.y], *p)).collect();
    let motion = motion::Motion::nearest(&pairs);
    pairs.iter().map(|(p, q)| d(motion.place(*p), *q)).fold(0.0, f64::max)
}

fn refused(b: &Notebook, want: &str) {
    let e = adjust(b, &NetworkOptions::default()).unwrap_err();
    assert!(e.to_string().contains(want), "{e}");
}

const SQUARE: [[f64; 2]; 4] = [[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]];
const BRACED: [(usize, usize); 6] = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)];

#[test]
fn a_side_turns_the_figure_over() {
    let mut b = book(4);
    ties(&mut b, &SQUARE, &BRACED);
    for (left, sign) in [(true, 1.0), (false, -1.0)] {
        b.hands = vec![Hand { mark: 2, of: [0, 1], left }];
        let n = adjust(&b, &NetworkOptions::default()).unwrap();
        assert!(!n.hand_assumed);
        assert!((n.marks[2].at.y - sign * 30.0).abs() < 1e-6);
    }
    // Two sides that contradict each other.
    b.hands.push(Hand { mark: 3, of: [0, 1], left: true });
    let e = adjust(&b, &NetworkOptions::default()).unwrap_err();
    assert!(e.to_string().contains("is said to be on the"), "{e}");
}

#[test]
fn an_offset_turns_the_figure_over() {
    let mut b = book(4);
    ties(&mut b, &SQUARE, &BRACED);
    b.measures.push(offset([0, 1], 3, -30.0));
    let n = adjust(&b, &NetworkOptions::default()).unwrap();
    assert!(!n.hand_assumed && n.marks[2].at.y < -29.9);
}

#[test]
fn marks_that_hang_loose_are_named() {
    let mut b = book(5);
    ties(&mut b, &SQUARE, &BRACED);
    refused(&b, "no measure reaches m4");
    let mut at = SQUARE.to_vec();
    at.push([20.0, 0.0]);
    let mut one = b.clone();
    ties(&mut one, &at, &[(0, 4)]);
    refused(&one, "m4 hangs loose: the 20.00 m from m0 to m4 alone");
    // Between its two neighbours, on their line.
    let mut line = b.clone();
    ties(&mut line, &at, &[(0, 4), (1, 4)]);
    refused(&line, "m4 hangs loose: its ties to m0 and m1 lie along one line");
    // The ties are 0.1 m too short to meet.
    line.measures.iter_mut().skip(6).for_each(|m| m.value_m -= 0.1);
    refused(&line, "m4 hangs loose: its ties to m0 and m1 lie along one line");
    // Off the line, on either side.
    at[4] = [20.0, -25.0];
    let mut two = b.clone();
    ties(&mut two, &at, &[(0, 4), (1, 4)]);
    refused(&two, "m4 fits as well on either side of the line from m0 to m1");
    two.hands = vec![Hand { mark: 4, of: [0, 1], left: false }, Hand { mark: 2, of: [0, 1], left: true }];
    let n = adjust(&two, &NetworkOptions::default()).unwrap();
    assert!(far(&n, &at) < 1e-6 && !n.hand_assumed);
}

#[test]
fn a_hinge_is_told_from_the_datum() {
    // Two braced squares that share a corner.
    let mut b = book(7);
    let at = [[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0], [70.0, 35.0], [75.0, 60.0], [45.0, 58.0]];
    ties(&mut b, &at, &BRACED);
    ties(&mut b, &at, &[(2, 4), (4, 5), (5, 6), (6, 2), (2, 5), (4, 6)]);
    let e = adjust(&b, &NetworkOptions::default()).unwrap_err();
    assert!(matches!(e, NetworkError::Loose { .. }), "{e}");
    assert!(e.to_string().contains("hangs loose, with"), "{e}");
}

#[test]
fn a_sharp_crossing_is_refused_and_the_limit_is_the_callers() {
    let mut b = book(5);
    let mut at = SQUARE.to_vec();
    // 90 m beyond m0 and 1 m off the line of m0 and m1: the two ties cross at 0.2°.
    at.push([-90.0, 1.0]);
    ties(&mut b, &at, &BRACED);
    ties(&mut b, &at, &[(4, 0), (4, 1)]);
    b.hands = vec![Hand { mark: 4, of: [0, 1], left: true }, Hand { mark: 2, of: [0, 1], left: true }];
    refused(&b, "m4");
    let open = NetworkOptions { shape_limit: f64::INFINITY, ..NetworkOptions::default() };
    assert!(adjust(&b, &open).is_ok());
}

#[test]
fn a_base_line_with_chainages_and_offsets() {
    let mut b = book(5);
    b.measures = vec![distance(0, 1, 80.0)];
    for (m, c, o) in [(2, 20.0, 11.0), (3, 50.0, -9.5), (4, 71.0, 6.25)] {
        b.measures.extend([chainage([0, 1], m, c), offset([0, 1], m, o)]);
    }
    let n = adjust(&b, &NetworkOptions::default()).unwrap();
    assert!(!n.hand_assumed && n.dof == 0);
    assert_eq!(n.global.verdict, Verdict::Untested);
    assert!(far(&n, &[[0.0, 0.0], [80.0, 0.0], [20.0, 11.0], [50.0, -9.5], [71.0, 6.25]]) < 1e-9);
    assert!(n.observations.iter().all(|o| o.w.is_none()));
    // Without its length the far end is loose.
    b.measures.remove(0);
    refused(&b, "m1 hangs loose");
}

#[test]
fn observed_coordinates_are_weighted() {
    // One mark with two ties to fixed marks and coordinates good to 1 m: the ties determine the place, and
    // the coordinates choose the side.
    let mut b = book(3);
    ties(&mut b, &[[0.0, 0.0], [60.0, 0.0], [25.0, 40.0]], &[(0, 2), (1, 2)]);
    place(&mut b, 0, [0.0, 0.0], Some(0.0));
    place(&mut b, 1, [60.0, 0.0], Some(0.0));
    place(&mut b, 2, [25.8, 39.1], Some(1.0));
    let n = adjust(&b, &NetworkOptions::default()).unwrap();
    // The coordinates pull by about 0.8 m times the ratio of the weights, (0.02/1)².
    assert!(n.marks[2].at.distance_to(Point::new(25.0, 40.0)) < 1e-3);
    assert_eq!(n.dof, 2);
    assert!(
        n.observations.iter().filter(|o| matches!(o.what, Observed::East(2) | Observed::North(2))).count()
            == 2
    );
}

/// A single braced square has one degree of freedom: it shows that a reading is wrong, but not which.
#[test]
fn one_redundancy_tells_that_but_not_which() {
    let mut b = book(4);
    ties(&mut b, &SQUARE, &BRACED);
    b.measures[4].value_m += 0.5;
    let clean = adjust_without_blunders(&b, &NetworkOptions::default()).unwrap();
    let Stopped::CantTell(blunder) = &clean.stopped else { panic!("{:?}", clean.stopped) };
    assert_eq!(blunder.alike.len(), 5);
    assert!(clean.set_aside.is_empty());
    assert_eq!(clean.network.global.verdict, Verdict::TooLarge);
}

mod never_panics {
    use super::*;
    use crate::survey::Quantity;
    use proptest::prelude::*;

    fn number() -> impl Strategy<Value = f64> {
        prop_oneof![8 => 0.1f64..90.0, 1 => -50.0f64..50.0, 1 => Just(0.0), 1 => Just(f64::NAN), 1 => Just(1e9)]
    }

    fn quantity() -> impl Strategy<Value = Quantity> {
        let m = || 0usize..7;
        prop_oneof![
            5 => (m(), m()).prop_map(|(from, to)| Quantity::Distance { from, to }),
            1 => (m(), m(), m()).prop_map(|(a, b, mark)| Quantity::Chainage { base: [a, b], mark }),
            1 => (m(), m(), m()).prop_map(|(a, b, mark)| Quantity::Offset { base: [a, b], mark }),
            1 => Just(Quantity::GoalToGoal),
        ]
    }

    proptest! {
        #[test]
        fn on_any_notebook(
            marks in 1usize..7,
            measures in proptest::collection::vec((quantity(), number(), proptest::option::of(0usize..2)), 0..24),
            held in proptest::collection::vec((0usize..7, number(), number(), proptest::option::of(0.0f64..1.0)), 0..4),
            hands in proptest::collection::vec((0usize..7, 0usize..7, 0usize..7, any::<bool>()), 0..3),
        ) {
            let mut b = book(marks);
            b.tapes.push(Tape { name: "t".into(), scale_sd: 1e-4, place: "line 1".into() });
            for (quantity, value, tape) in measures {
                b.measures.push(Measure { tape, ..crate::network::support::measure(quantity, value) });
            }
            for (m, x, y, sd) in held.into_iter().filter(|h| h.0 < marks) {
                place(&mut b, m, [x, y], sd);
            }
            b.hands = hands.into_iter().map(|(mark, p, q, left)| Hand { mark, of: [p, q], left }).collect();
            match adjust_without_blunders(&b, &NetworkOptions::default()) {
                Err(e) => prop_assert!(!e.to_string().is_empty()),
                Ok(clean) => {
                    let n = clean.network;
                    prop_assert!(n.marks.iter().all(|m| m.at.is_finite() && m.sd_x_m.is_finite()));
                    let sum: f64 = n.observations.iter().map(|o| o.redundancy).sum();
                    // Some of these networks are very badly conditioned, hence a tolerance of 1e-6.
                    prop_assert!((sum - n.dof as f64).abs() < 1e-6, "{} {}", sum, n.dof);
                }
            }
        }
    }
}
