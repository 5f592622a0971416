//! Several sources in one adjustment, on simulated surveys: contradictions are named, and the
//! 95 % intervals hold the truth.
//!
//! Ground: an ellipse through its posts, 160 × 130 m. Counts are of fixed seeds; each
//! bound is what a binomial count at 95 % falls below once in a thousand times, unless
//! its comment says otherwise.

use ovalpeg::geometry::Vector;
use ovalpeg::rules::Method;
use ovalpeg_tests::door::by;
use ovalpeg_tests::mixed::{
    LENGTH_M, WIDTH_M, held, image_and_posts, lengths, solved, taped, traced, walked,
};
use ovalpeg_tests::random::Random;

const RUNS: u64 = 60;
/// Of 60 runs at 95 %, 51 or fewer hold once in a thousand times.
const LEAST_HELD: usize = 52;

#[test]
fn posts_to_a_centimetre_put_a_traced_image_right() {
    let (mut length, mut width, mut quiet) = (0, 0, 0);
    for seed in 0..RUNS {
        let mut random = Random::new(seed);
        // Off by what a trace may be: 0.5 % and 2 m, one standard deviation each.
        let scale = 0.005 * random.normal();
        let off = Vector::new(2.0 * random.normal(), 2.0 * random.normal());
        let image = traced(scale, off, &mut random);
        let found = solved(image_and_posts(&image, &mut random));
        let (holds, half) = held(found.ground());
        length += usize::from(holds[0]);
        width += usize::from(holds[1]);
        quiet += usize::from(found.fit().conflicts.is_empty());
        // Posts to 2 cm, with 5 cm of paint, fix the length; the image alone knows it to 1.6 m.
        assert!(half[0] < 0.12, "{}", half[0]);
    }
    assert!(length >= LEAST_HELD && width >= LEAST_HELD, "{length} {width}");
    // Tests at one in a hundred, of five common errors or so: 57 of 60, and 53 or fewer once in a hundred times.
    assert!(quiet >= 54, "{quiet}");
}

#[test]
fn an_image_three_per_cent_too_large_is_named_and_does_no_harm() {
    let (mut named, mut length, mut width) = (0, 0, 0);
    for seed in 100..100 + RUNS {
        let mut random = Random::new(seed);
        let image = traced(0.03, Vector::new(1.0, -1.0), &mut random);
        let found = solved(image_and_posts(&image, &mut random));
        let text: String = found.fit().conflicts.iter().map(|c| c.text.as_str()).collect();
        named += usize::from(text.contains("the scale of image.csv"));
        let (holds, _) = held(found.ground());
        length += usize::from(holds[0]);
        width += usize::from(holds[1]);
    }
    // Six standard deviations of scale by themselves, seen against 0.6 m of scatter: found in most.
    assert!(named >= 50, "{named}");
    assert!(length >= LEAST_HELD && width >= LEAST_HELD, "{length} {width}");
}

#[test]
fn two_taped_lengths_beside_a_walk() {
    let (mut length, mut width, mut quiet, mut wide) = (0, 0, 0, 0.0);
    for seed in 200..200 + RUNS {
        let mut random = Random::new(seed);
        let walk = by(Method::Phone, "walk.csv", &walked(&mut random)).unwrap();
        let length_m = LENGTH_M + 0.03 * random.normal();
        let width_m = WIDTH_M + 0.03 * random.normal();
        let found = solved(vec![walk, lengths(Some(length_m), Some(width_m))]);
        assert!(found.fit().walk.is_some());
        let (holds, half) = held(found.ground());
        length += usize::from(holds[0]);
        width += usize::from(holds[1]);
        // A tape to 3 cm; the walk alone knows either to 3 m and more.
        // A doubtful one, one in a hundred, is kept with a wider interval. Tied from wing to wing,
        // a walk may not tell an ellipse from a line that is widest elsewhere, by a metre or two.
        quiet += usize::from(found.fit().conflicts.is_empty());
        assert!(!found.fit().conflicts.is_empty() || half[0] < 0.2, "{half:?}");
        wide += half[1] / f64::from(RUNS as u32);
    }
    assert!(wide < 1.0, "mean half-width {wide}");
    assert!(length >= LEAST_HELD && width >= LEAST_HELD, "{length} {width}");
    assert!(quiet >= 54, "{quiet}");
}

#[test]
fn a_mistyped_length_is_named_and_does_no_harm() {
    let (mut named, mut length) = (0, 0);
    for seed in 300..300 + RUNS {
        let mut random = Random::new(seed);
        let walk = by(Method::Phone, "walk.csv", &walked(&mut random)).unwrap();
        // 172 for 160: six standard deviations or so of what a walk knows.
        let found = solved(vec![walk, lengths(Some(LENGTH_M + 12.0), Some(WIDTH_M))]);
        named += usize::from(found.fit().conflicts.iter().any(|c| c.suspects[0].contains("goal to goal")));
        length += usize::from(held(found.ground()).0[0]);
    }
    // A walk whose own error lasts a minute by chance knows its length to 8 m, and 12 m is little against that.
    assert!(named >= 50, "{named}");
    assert!(length >= LEAST_HELD, "{length}");
}

#[test]
fn one_length_against_one_walk_can_not_be_told_apart_and_both_stay_within_the_interval() {
    let (mut both, mut said) = (0, 0);
    for seed in 400..400 + RUNS {
        let mut random = Random::new(seed);
        let walk = by(Method::Phone, "walk.csv", &walked(&mut random)).unwrap();
        let found = solved(vec![walk, lengths(Some(LENGTH_M + 9.0), None)]);
        if found.fit().conflicts.iter().any(|c| !c.told_apart && c.suspects.len() == 2) {
            said += 1;
            let l = found.ground().measure(|o| Some(o.length_m())).unwrap();
            both += usize::from(l.lo95() <= LENGTH_M && l.hi95() >= LENGTH_M + 9.0);
        }
    }
    // 9 m are five standard deviations or so of what a walk knows; a walk that by chance knows less is silent.
    assert!(said >= 40, "{said}");
    assert!(both + 2 >= said, "{both} of {said}");
}

#[test]
fn a_tapes_scale_is_one_error_in_its_network_and_its_lengths() {
    for with_spans in [false, true] {
        let (mut squares, mut claimed, mut holds) = (0.0, 0.0, 0);
        for seed in 500..500 + 2 * RUNS {
            let mut random = Random::new(seed);
            let k = 0.0004 / 3f64.sqrt() * random.normal();
            let found = solved(vec![taped(k, with_spans, &mut random)]);
            let l = found.ground().measure(|o| Some(o.length_m())).unwrap();
            squares += (l.value() - LENGTH_M).powi(2);
            claimed += l.sd() * l.sd();
            holds += usize::from(l.lo95() <= LENGTH_M && LENGTH_M <= l.hi95());
        }
        // 165 m by class III leaves 0.037 m whatever else is measured with the same tape. The
        // posts' 5 cm of paint and plumb are claimed and not planted, so the error may be less than
        // claimed; with 120 runs a ratio of one comes out within 0.87 to 1.13.
        let ratio = (squares / claimed).sqrt();

        assert!((0.55..1.13).contains(&ratio), "{with_spans} {ratio}");
        assert!((claimed / 120.0).sqrt() > 0.037, "{with_spans} {}", (claimed / 120.0).sqrt());
        assert!(holds >= 108, "{with_spans} {holds}");
    }
}
