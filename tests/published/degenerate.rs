//! Surveys that fix nothing, or hardly anything: every one of them ends in words that say what
//! happened, or in a report, a JSON and a venue without a number that is none.

use ovalpeg_tests::degenerate::{
    Curve, Made, PLAIN, circle, ellipse, endings, half, hyperbola, line, nearly_a_line, one_place, posts,
    table,
};
use ovalpeg_tests::whole::{Beside, whole};

/// All of them are in `tests/slow`.
#[test]
fn one_degenerate_survey_in_ten_ends_in_words_or_in_numbers() {
    let all = endings(table().into_iter().step_by(10), 5).unwrap();
    assert!(all.wrongs.is_empty(), "{} of {}:\n{}", all.wrongs.len(), all.surveys, all.wrongs.join("\n"));
    // Both ways are trodden.
    assert!(all.fitted > 10 && all.surveys - all.fitted > 10, "{} of {}", all.fitted, all.surveys);
}

/// The report of a survey, or the words of its refusal.
fn told(text: &str) -> String {
    match whole(text.as_bytes(), &Beside::default()) {
        // As one line: a report is wrapped.
        Ok(whole) => whole.texts[0].text.split_whitespace().collect::<Vec<_>>().join(" "),
        Err(e) => e.words().to_owned(),
    }
}

/// Every refusal says what happened, and no other thing.
#[test]
fn each_error_says_what_happened() {
    for (curve, points, posts, want) in [
        (ellipse as Curve, 5, Vec::new(), "5 points on the line: too few"),
        (one_place, 9, Vec::new(), "only 1 of them different"),
        (line, 9, Vec::new(), "along a straight line"),
        (nearly_a_line, 9, Vec::new(), "along a straight line"),
        (line, 9, posts(79.1), "along a straight line"),
        (hyperbola, 9, Vec::new(), "bend away"),
        (half, 9, Vec::new(), "no points from the"),
        (circle, 9, Vec::new(), "survey the posts too"),
        (circle, 9, posts(120.0), "posts could not be used"),
    ] {
        let said = told(&Made { points, ..PLAIN }.rows(curve, &posts));
        assert!(said.contains(want), "{want}: {said}");
        assert_eq!(said.contains("bend away"), want == "bend away", "{said}");
    }
    let tiny = told(&Made { scale: 0.006_25, ..PLAIN }.rows(ellipse, &[]));
    assert!(tiny.contains("too small") && tiny.contains("in metres?"), "{tiny}");
    let huge = told(&Made { scale: 62.5, ..PLAIN }.rows(ellipse, &[]));
    assert!(huge.contains("km from the rest"), "{huge}");
}

/// Seven points have too few left over to weigh an oval of four arcs, and six any shape at all.
#[test]
fn shapes_that_could_not_be_compared_are_said() {
    for (points, off_m) in [(6, 0.0), (6, 0.03), (7, 0.0), (7, 0.03), (8, 0.03)] {
        for posts in [Vec::new(), posts(79.122_66)] {
            let said = told(&Made { points, off_m, ..PLAIN }.rows(ellipse, &posts));
            assert!(said.contains("shape an ellipse"), "{said}");
            assert!(!said.contains("times likelier"), "{said}");
            let none = said.contains("no other shape fits");
            assert!(none || said.contains("too few points to compare it with"), "{said}");
        }
    }
}

/// A curve that passes its points to the last digit is as likely as can be, and no more.
#[test]
fn exact_points_are_the_shape_that_they_were_made_of() {
    for points in [9, 12, 24] {
        for posts in [Vec::new(), posts(79.122_66)] {
            let text = Made { points, ..PLAIN }.rows(ellipse, &posts);
            let whole = whole(text.as_bytes(), &Beside::default()).unwrap();
            assert_eq!(whole.fit.choice.model, ovalpeg::geometry::Model::Ellipse);
            // 2a√(1 − (9.6/b)²); the posts stand where five decimals put them.
            let want = 160.0 * (1.0 - (9.6f64 / 65.0).powi(2)).sqrt();
            let length = 2.0 * whole.fit.outline.half_length_m();
            assert!((length - want).abs() < 2e-5, "{length}");
        }
    }
}
