//! Several sources in one adjustment, on simulated surveys: each rescues the other, and what
//! each was off by is told. How often the 95 % intervals hold the truth is counted in `tests/slow`.

use ovalpeg::fit::{Common, Fit, FitOptions, ground, settle};
use ovalpeg::geometry::Vector;
use ovalpeg::rules::Method;
use ovalpeg::survey::Role;
use ovalpeg_tests::mixed::{
    LENGTH_M, WIDTH_M, held, options, posts_alone, span, taped, together, traced, truth,
};
use ovalpeg_tests::random::Random;
use ovalpeg_tests::truth::{Shape, Site, Truth};
use ovalpeg_tests::walk::{Fading, Lap, phone, posts, rtk, survey, trace};

#[test]
fn the_edge_that_was_walked_moves_the_line_by_its_width() {
    let mut random = Random::new(7);
    let s = together(vec![
        ("image.kml", traced(0.0, Vector::new(0.0, 0.0), &mut random)),
        ("posts.csv", posts_alone(0.02, &mut random)),
    ]);
    let mut o = options(&[Method::Trace, Method::Rtk]);
    let outer = ground(&s, &o).unwrap();
    for noise in &mut o.sources {
        // Exactly known offsets and scales, so that the width alone moves.
        (noise.line_offset_sd_m, noise.scale_sd) = (0.0, 0.0);
    }
    let still = ground(&s, &o).unwrap();
    o.sources[0].inside_m = 0.1;
    let inner = ground(&s, &o).unwrap();
    let semi =
        |f: &Fit| [f.outline.ellipse().unwrap().semi_major_m(), f.outline.ellipse().unwrap().semi_minor_m()];
    // The posts hold the ends, so the sides move by the whole width and take up some of what
    // the ends can't: an ellipse of fixed length nearest to one 0.1 m larger is 0.108 m wider a side.
    let moved = semi(&inner)[1] - semi(&still)[1];
    assert!((0.08..=0.115).contains(&moved), "{moved}");
    // Offset and scale set free by their standard deviations leave the width where the posts and the line have it.
    assert!((semi(&outer)[1] - semi(&still)[1]).abs() < 0.5);
}

#[test]
fn a_single_source_is_moved_by_exactly_the_edge() {
    let mut random = Random::new(8);
    let s = traced(0.0, Vector::new(0.0, 0.0), &mut random);
    let mut o = FitOptions::with_end_width(19.2);
    let outer = ground(&s, &o).unwrap();
    o.noise.inside_m = 0.075;
    let inner = ground(&s, &o).unwrap();
    // An ellipse's parallel curve is no ellipse: they differ by (a − b)²·d/(8ab) or so, 0.1 mm here.
    let d = inner.outline.ellipse().unwrap().semi_minor_m() - outer.outline.ellipse().unwrap().semi_minor_m();
    assert!((d - 0.075).abs() < 1e-3, "{d}");
    assert!((inner.curve.rms_m - outer.curve.rms_m).abs() < 1e-3);
}

#[test]
fn what_a_source_was_off_by_is_reported() {
    let mut random = Random::new(9);
    let image = traced(0.006, Vector::new(3.0, -2.0), &mut random);
    let fit = ground(
        &together(vec![("image.kml", image), ("posts.csv", posts_alone(0.02, &mut random))]),
        &options(&[Method::Trace, Method::Rtk]),
    )
    .unwrap();
    let of = |what, north| fit.shifts.iter().find(|s| s.what == what && s.north == north).unwrap();
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
        Shape::Cut {
            length_m: LENGTH_M,
            half_width_m: 65.0,
            cut_m: 5.0,
            side: ovalpeg::boundary::Side::Right,
        },
        Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 150.0, axis_deg: 20.0 },
    )
    .unwrap();
    let mut random = Random::new(11);
    let line = rtk(&cut, &Lap::of_the_lines(90), 0.02, &mut random);
    let by_rtk = survey(&cut, &line, &posts(&cut, 0.02, &mut random));
    let error = Fading { sd_m: 1.5, tau_s: 20.0, white_sd_m: 0.3, pace_m_s: 1.4 };
    let walk = survey(&cut, &phone(&cut, &Lap::of_the_lines(300), &error, &mut random), &[]);
    let fit = ground(
        &together(vec![("rtk.csv", by_rtk), ("walk.gpx", walk)]),
        &options(&[Method::Rtk, Method::Phone]),
    )
    .unwrap();
    assert!(fit.walk.is_some());
    assert_eq!(fit.choice.model, ovalpeg::geometry::Model::CutEllipse);
    assert!(fit.departures.is_empty());
    // 90 points to 2 cm: the straight side is where it is to a decimetre.
    let right = fit.outline.boundary(19.2).unwrap().half_width_m(ovalpeg::boundary::Side::Right);
    let left = fit.outline.boundary(19.2).unwrap().half_width_m(ovalpeg::boundary::Side::Left);
    assert!((right.min(left) - 60.0).abs() < 0.1 && (right.max(left) - 65.0).abs() < 0.1, "{left} {right}");
}

#[test]
fn a_line_walked_outside_is_put_right_and_its_residuals_with_it() {
    let mut random = Random::new(12);
    let t = truth();
    // Three metres outside all round, beside posts and a taped width.
    let line: Vec<_> = trace(&t, &Lap::of_the_lines(60), 0.3, 0.0, &mut random);
    let outline = ground(&survey(&t, &line, &[]), &FitOptions::with_end_width(19.2)).unwrap().outline;
    let outside: Vec<_> = line.iter().map(|&p| p + outline.ellipse().unwrap().foot(p).normal * 3.0).collect();
    let mut s = together(vec![
        ("image.kml", survey(&t, &outside, &[])),
        ("posts.csv", posts_alone(0.02, &mut random)),
    ]);
    s.spans = vec![span(true, WIDTH_M)];
    let fit = ground(&s, &options(&[Method::Trace, Method::Rtk])).unwrap();
    let offset = fit.shifts.iter().find(|s| s.what == Common::Offset { source: 0 }).unwrap();
    assert!((offset.value - 3.0).abs() < 3.0 * offset.sd.max(0.1), "{offset:?}");
    // What is left is the scatter that was planted, 0.3 m, not the three metres.
    assert!(fit.curve.rms_m < 0.45, "{}", fit.curve.rms_m);
    assert!(fit.departures.is_empty(), "{:?}", fit.departures);
    let (holds, half) = held(&fit);
    assert!(holds[0] && holds[1] && half[1] < 0.5, "{half:?}");
}

#[test]
fn a_network_named_after_an_images_points_keeps_its_own_scale() {
    let mut random = Random::new(13);
    let image = traced(0.012, Vector::new(0.0, 0.0), &mut random);
    let t = truth();
    let half = LENGTH_M / 2.0;
    // Two posts clicked on the same image, and the tape between and beyond them.
    let mut clicked = image;
    for (x, name) in [(half, "A BP L"), (-half, "B BP L")] {
        let at = ovalpeg_tests::walk::enlarged(&t, t.to_local(ovalpeg::geometry::Point::new(x, 9.6)), 0.012);
        clicked.points.push(ovalpeg::survey::Observed {
            name: name.into(),
            ..ovalpeg::survey::Observed::new(at, Role::BehindPost)
        });
    }
    let s = together(vec![("image.kml", clicked), ("tapes.txt", taped(0.0, false, &mut random))]);
    let o = options(&[Method::Trace, Method::Tape]);
    let settled = settle(s, &o).unwrap();
    let fit = ground(&settled.survey, &o).unwrap();
    let (holds, half) = held(&fit);
    assert!(holds[0] && half[0] < 0.3, "{half:?}");
    let scale = fit.shifts.iter().find(|s| s.what == Common::Scale { source: 0 }).unwrap();
    assert!((scale.value - 0.012).abs() < 3.0 * scale.sd, "{scale:?}");
}
