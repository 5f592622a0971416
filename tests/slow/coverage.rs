//! How often 95 % intervals hold the truth, where the textbook is right too.

use ovalpeg::geometry::Model;
use ovalpeg_tests::coverage::{SHAPES, at_best, count, ways};

#[test]
fn independent_points_are_covered_as_often_as_the_textbook_says() {
    let way = &ways()[2];
    for (shape, (_, _, model)) in SHAPES.iter().enumerate() {
        let [forced, chosen, textbook] = count(shape, way, 60, 3).unwrap();
        assert_eq!((forced.fitted, chosen.fitted), (60, 60));
        for tally in [forced, chosen, textbook] {
            for held in tally.held {
                // 60 runs of 95 %: 57, and four standard errors are 7.
                assert!(held >= 50, "{shape} {tally:?}");
            }
        }
        // 328 points of 0.02 m tell the shape beyond doubt, and the length to a centimetre.
        let chosen = count(shape, way, 5, 4).unwrap()[1].clone();
        let at = Model::ALL.iter().position(|m| m == model).unwrap();
        assert_eq!((chosen.taken[at], chosen.missed), (5, 0));
        let best = at_best(shape, way).unwrap();
        for (half, best) in chosen.mean_half_m().iter().zip(best) {
            assert!((0.8..1.6).contains(&(half / best)), "{half} {best}");
        }
    }
}
