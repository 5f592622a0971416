//! How often 95 % intervals hold the truth, where the textbook is right too.

use ovalpeg::geometry::Model;
use ovalpeg_tests::coverage::{Errors, SHAPES, Tally, Way, at_best, count, count_independent, ways};

/// 60 runs of 95 %: 57, and four standard errors are 7.
const LEAST_HELD: usize = 50;

fn holds(shape: usize, tally: &Tally) {
    assert_eq!(tally.fitted, 60);
    for held in tally.held {
        assert!(held >= LEAST_HELD, "{shape} {tally:?}");
    }
}

/// 328 points of 0.02 m tell the shape beyond doubt, and the sizes about as well as can be.
fn as_good_as_can_be(shape: usize, model: Model, way: &Way, chosen: &Tally) {
    let at = Model::ALL.iter().position(|m| *m == model).unwrap();
    assert_eq!((chosen.taken[at], chosen.missed), (5, 0));
    let best = at_best(shape, way).unwrap();
    for (half, best) in chosen.mean_half_m().iter().zip(best) {
        assert!((0.8..1.6).contains(&(half / best)), "{half} {best}");
    }
}

/// Where the textbook is right about the points, it and the fit hold the truth alike; and the door, which
/// knows of steady errors too, holds it where there are such.
#[test]
fn independent_points_are_covered_as_often_as_the_textbook_says() {
    let way = &ways()[2];
    let white = &Way { errors: Errors::white(way.errors.white_sd_m), ..*way };
    for (shape, (_, _, model)) in SHAPES.iter().enumerate() {
        count(shape, way, 60, 3).unwrap().iter().for_each(|tally| holds(shape, tally));
        count_independent(shape, way, 60, 3).unwrap().iter().for_each(|tally| holds(shape, tally));
        as_good_as_can_be(shape, *model, way, &count(shape, way, 5, 4).unwrap()[1]);
        as_good_as_can_be(shape, *model, white, &count_independent(shape, way, 5, 4).unwrap()[1]);
    }
}
