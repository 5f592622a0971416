//! Several sources in one adjustment, on simulated surveys: each rescues the other, and what
//! each was off by is told. How often the 95 % intervals hold the truth is counted in `tests/slow`.

use ovalpeg::boundary::Side;
use ovalpeg::fit::Common;
use ovalpeg::geometry::{Model, Point, Vector};
use ovalpeg::rules::{Edge, Method};
use ovalpeg::solve::Solved;
use ovalpeg::survey::{Observed, Role};
use ovalpeg_tests::door::{by, source};
use ovalpeg_tests::mixed::{
    LENGTH_M, WIDTH_M, held, image_and_posts, lengths, posts_alone, solved, taped, traced, truth,
};
use ovalpeg_tests::random::Random;
use ovalpeg_tests::truth::{Shape, Site, Truth};
use ovalpeg_tests::walk::{Fading, Lap, enlarged, phone, posts, rtk, survey, trace};

/// Half the width of the ellipse, m.
fn semi_minor_m(found: &Solved) -> f64 {
    found.fit().outline.ellipse().unwrap().semi_minor_m()
}

#[test]
fn the_edge_that_was_walked_moves_the_line_by_its_width() {
    let mut random = Random::new(7);
    let image = traced(0.0, Vector::new(0.0, 0.0), &mut random);
    let found_posts = posts_alone(0.02, &mut random);
    let outer = solved(vec![
        by(Method::Trace, "image.csv", &image).unwrap(),
        by(Method::Rtk, "posts.csv", &found_posts).unwrap(),
    ]);
    // No method, only how good a point is: nothing but the line's own width is then unknown of
    // the offset, and nothing of the scale, so that the width alone moves.
    let of_width = |edge| {
        let line = source("image.csv", &image).unwrap().sd_m(0.6).edge(edge, 0.1);
        solved(vec![line, source("posts.csv", &found_posts).unwrap().sd_m(0.02)])
    };
    let (still, inner) = (of_width(Edge::Outer), of_width(Edge::Inner));
    // The posts hold the ends, so the sides move by the whole width and take up some of what
    // the ends can't: an ellipse of fixed length nearest to one 0.1 m larger is 0.108 m wider a side.
    let moved = semi_minor_m(&inner) - semi_minor_m(&still);
    assert!((0.08..=0.115).contains(&moved), "{moved}");
    // Offset and scale set free by their standard deviations leave the width where the posts and the line have it.
    assert!((semi_minor_m(&outer) - semi_minor_m(&still)).abs() < 0.5);
}

#[test]
fn a_single_source_is_moved_by_exactly_the_edge() {
    let image = traced(0.0, Vector::new(0.0, 0.0), &mut Random::new(8));
    let of = |edge| solved(vec![source("image.csv", &image).unwrap().edge(edge, 0.15)]);
    let (outer, inner) = (of(Edge::Outer), of(Edge::Centre));
    // An ellipse's parallel curve is no ellipse: they differ by (a − b)²·d/(8ab) or so, 0.1 mm here.
    let d = semi_minor_m(&inner) - semi_minor_m(&outer);
    assert!((d - 0.075).abs() < 1e-3, "{d}");
    assert!((inner.fit().curve.rms_m - outer.fit().curve.rms_m).abs() < 1e-3);
}

#[test]
fn what_a_source_was_off_by_is_reported() {
    let mut random = Random::new(9);
    let image = traced(0.006, Vector::new(3.0, -2.0), &mut random);
    let found = solved(image_and_posts(&image, &mut random));
    let of = |what, north| found.fit().shifts.iter().find(|s| s.what == what && s.north == north).unwrap();
    // The posts' place is trusted 40 times more than the image's.
    for (what, north, want) in [
        (Common::Place { source: 0 }, false, 3.0),
        (Common::Place { source: 0 }, true, -2.0),
        (Common::Scale { source: 0 }, false, 0.006),
    ] {
        let s = of(what, north);
        assert!((s.value - want).abs() < 3.0 * s.sd, "{s:?}");
        assert!(s.sd < s.allowed_sd);
    }
}

#[test]
fn a_rough_walk_beside_a_survey_hides_no_straight_side() {
    let cut = Truth::new(
        Shape::Cut { length_m: LENGTH_M, half_width_m: 65.0, cut_m: 5.0, side: Side::Right },
        Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 150.0, axis_deg: 20.0 },
    )
    .unwrap();
    let mut random = Random::new(11);
    let line = rtk(&cut, &Lap::of_the_lines(90), 0.02, &mut random);
    let by_rtk = survey(&cut, &line, &posts(&cut, 0.02, &mut random));
    let error = Fading { sd_m: 1.5, tau_s: 20.0, white_sd_m: 0.3, pace_m_s: 1.4 };
    let walk = survey(&cut, &phone(&cut, &Lap::of_the_lines(300), &error, &mut random), &[]);
    let found = solved(vec![
        by(Method::Rtk, "rtk.csv", &by_rtk).unwrap(),
        by(Method::Phone, "walk.csv", &walk).unwrap(),
    ]);
    let fit = found.fit();
    assert!(fit.walk.is_some());
    assert_eq!(fit.choice.model, Model::CutEllipse);
    assert!(fit.departures.is_empty());
    // 90 points to 2 cm: the straight side is where it is to a decimetre.
    let right = fit.outline.boundary(19.2).unwrap().half_width_m(Side::Right);
    let left = fit.outline.boundary(19.2).unwrap().half_width_m(Side::Left);
    assert!((right.min(left) - 60.0).abs() < 0.1 && (right.max(left) - 65.0).abs() < 0.1, "{left} {right}");
}

#[test]
fn a_line_walked_outside_is_put_right_and_its_residuals_with_it() {
    let mut random = Random::new(12);
    let t = truth();
    // Three metres outside all round, beside posts and a taped width.
    let line: Vec<_> = trace(&t, &Lap::of_the_lines(60), 0.3, 0.0, &mut random);
    let alone = solved(vec![source("line.csv", &survey(&t, &line, &[])).unwrap()]);
    let ellipse = alone.fit().outline.ellipse().unwrap();
    let outside: Vec<_> = line.iter().map(|&p| p + ellipse.foot(p).normal * 3.0).collect();
    let mut sources = image_and_posts(&survey(&t, &outside, &[]), &mut random);
    sources.push(lengths(None, Some(WIDTH_M)));
    let found = solved(sources);
    let fit = found.fit();
    let offset = fit.shifts.iter().find(|s| s.what == Common::Offset { source: 0 }).unwrap();
    assert!((offset.value - 3.0).abs() < 3.0 * offset.sd.max(0.1), "{offset:?}");
    // What is left is the scatter that was planted, 0.3 m, not the three metres.
    assert!(fit.curve.rms_m < 0.45, "{}", fit.curve.rms_m);
    assert!(fit.departures.is_empty(), "{:?}", fit.departures);
    let (holds, half) = held(found.ground());
    assert!(holds[0] && holds[1] && half[1] < 0.5, "{half:?}");
}

#[test]
fn a_network_named_after_an_images_points_keeps_its_own_scale() {
    let mut random = Random::new(13);
    let mut clicked = traced(0.012, Vector::new(0.0, 0.0), &mut random);
    let t = truth();
    let half = LENGTH_M / 2.0;
    // Two posts clicked on the same image, and the tape between and beyond them.
    for (x, name) in [(half, "A BP L"), (-half, "B BP L")] {
        let at = enlarged(&t, t.to_local(Point::new(x, 9.6)), 0.012);
        clicked.points.push(Observed { name: name.into(), ..Observed::new(at, Role::BehindPost) });
    }
    let found =
        solved(vec![by(Method::Trace, "image.csv", &clicked).unwrap(), taped(0.0, false, &mut random)]);
    let (holds, half) = held(found.ground());
    assert!(holds[0] && half[0] < 0.3, "{half:?}");
    let scale = found.fit().shifts.iter().find(|s| s.what == Common::Scale { source: 0 }).unwrap();
    assert!((scale.value - 0.012).abs() < 3.0 * scale.sd, "{scale:?}");
}
