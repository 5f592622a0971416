//! Closed forms: identical grounds, pure shifts, turns and sizes, and the effect of exchanging the two
//! grounds.

use super::*;
use crate::boundary::{Outline, Spread};
use crate::frame::{Datum, Degrees, Geodetic};
use crate::geometry::Point;
use crate::numeric::Draws;
use crate::rules::RuleSet;

/// x, y, semi-axes, bearing, goals' midpoint, goal axis, half-length.
const OVAL: [f64; 9] = [3.0, -2.0, 83.3447, 67.5, 12.0, 3.0, -2.0, 12.0, 82.5];

/// Spread axes like those of a survey by receiver: one for each parameter, and two that combine several.
fn spread(size: f64) -> Spread {
    let mut s = Spread::none();
    for i in 0..9 {
        let mut axis = [0.0; 9];
        axis[i] = size * if i == 4 || i == 7 { 0.02 } else { 0.01 };
        s.add_axis(axis);
    }
    s.add_axis([0.0, 0.0, 0.02 * size, 0.02 * size, 0.0, 0.0, 0.0, 0.0, 0.0].map(|v: f64| v));
    s
}

fn ground_of(p: &[f64; 9], spread: &Spread) -> Ground {
    Ground::new(&Outline::from_parameters(p).unwrap(), spread, RuleSet::laws()).unwrap()
}

fn surveyed(p: &[f64; 9]) -> Ground {
    ground_of(p, &spread(1.0))
}

fn compared(old: &Ground, new: &Ground) -> Comparison {
    compare(old, new, &CompareOptions::default()).unwrap()
}

fn numbers(c: &Comparison) -> Vec<f64> {
    let place = c.place.unwrap();
    let by = |d: &Displacement| [d.east.value(), d.north.value()];
    [&c.length, &c.width, &c.half_width_left, &c.half_width_right, &place.axis_deg]
        .iter()
        .map(|x| x.difference.value())
        .chain([&place.centre, &place.goal_a, &place.goal_b].into_iter().flat_map(by))
        .chain(c.line.iter().map(|s| s.outward.value()))
        .collect()
}

/// The oval moved, turned about its own centre, and enlarged about it.
fn changed(east: f64, north: f64, turn: f64, k: f64) -> [f64; 9] {
    let p = OVAL;
    [
        p[0] + east,
        p[1] + north,
        k * p[2],
        k * p[3],
        p[4] + turn,
        p[5] + east,
        p[6] + north,
        p[7] + turn,
        k * p[8],
    ]
}

#[test]
fn the_same_ground_shows_nothing_and_its_uncertainty_twice() {
    let g = surveyed(&OVAL);
    let c = compared(&g, &g);
    assert!(numbers(&c).iter().all(|v| v.abs() < 1e-9), "{:?}", numbers(&c));
    assert!(!c.changed() && !c.end_for_end && c.stretches.is_empty());
    assert_eq!(c.line.len(), 48);
    let one = g.measure(|o| Some(o.length_m())).unwrap();
    assert!((c.length.difference.sd() - 2f64.sqrt() * one.sd()).abs() < 1e-12);
    // About three standard deviations of the difference would have been seen.
    let times = c.length.least / c.length.difference.sd();
    assert!(times > 2.5 && times < 3.5, "{times}");
}

#[test]
fn a_shift_is_a_shift_and_nothing_else() {
    let c = compared(&surveyed(&OVAL), &surveyed(&changed(0.6, -0.8, 0.0, 1.0)));
    let place = c.place.unwrap();
    for d in [place.centre, place.goal_a, place.goal_b] {
        assert!((d.east.value() - 0.6).abs() < 1e-9 && (d.north.value() + 0.8).abs() < 1e-9);
        assert!((d.distance.value() - 1.0).abs() < 1e-9 && d.found);
        // atan2(0.6, −0.8) from north, clockwise.
        assert!((d.bearing.unwrap().degrees() - 143.130_102).abs() < 1e-6);
    }
    assert!(numbers(&c)[..5].iter().chain(&numbers(&c)[11..]).all(|v| v.abs() < 1e-8));
    assert!(!place.axis_deg.found && !c.length.found && c.stretches.is_empty());
}

#[test]
fn a_turn_is_a_turn_and_carries_the_goals() {
    let c = compared(&surveyed(&OVAL), &surveyed(&changed(0.0, 0.0, 1.0, 1.0)));
    let place = c.place.unwrap();
    assert!((place.axis_deg.difference.value() - 1.0).abs() < 1e-9 && place.axis_deg.found);
    assert!((place.axis_deg.old.value() - 12.0).abs() < 1e-9);
    assert!((place.axis_deg.new.value() - 13.0).abs() < 1e-9);
    assert!(place.centre.distance.value() < 1e-9 && !place.centre.found);
    // A goal 82.5 m out moves along the chord of one degree, clockwise with the axis.
    let chord = 2.0 * 82.5 * 0.5f64.to_radians().sin();
    assert!((place.goal_a.distance.value() - chord).abs() < 1e-9);
    assert!((place.goal_a.bearing.unwrap().degrees() - 102.5).abs() < 1e-6);
    assert!(c.stretches.is_empty() && !c.length.found && !c.width.found);
}

#[test]
fn a_scale_is_a_scale() {
    let c = compared(&surveyed(&OVAL), &surveyed(&changed(0.0, 0.0, 0.0, 1.01)));
    let place = c.place.unwrap();
    assert!((c.length.difference.value() - 1.65).abs() < 1e-9 && c.length.found);
    for (change, want) in [(&c.width, 1.35), (&c.half_width_left, 0.675), (&c.half_width_right, 0.675)] {
        assert!((change.difference.value() - want).abs() < 1e-9 && change.found);
    }
    assert!(place.centre.distance.value() < 1e-9 && !place.axis_deg.found);
    assert!((place.goal_a.distance.value() - 0.825).abs() < 1e-9);
    // The enlarged line's offset along the normal n at p is (k − 1) p·n to first order; the error is its
    // square.
    let old = surveyed(&OVAL);
    for s in &c.line {
        let at = old.oval().boundary().at(s.chainage_m);
        let want = 0.01 * (at.point - Point::ORIGIN).dot(at.normal);
        assert!((s.outward.value() - want).abs() < 2e-3, "{} {want}", s.outward.value());
    }
    assert_eq!(c.stretches.len(), 2);
    assert!(c.stretches.iter().all(|s| s.whole_line && s.most.value() > 0.67));
}

#[test]
fn exchanged_surveys_differ_in_sign_alone() {
    let (old, new) = (surveyed(&OVAL), surveyed(&changed(0.3, 0.5, -0.7, 1.004)));
    let (there, back) = (compared(&old, &new), compared(&new, &old));
    // The stations lie on the old ground, which differs between the two, so their offsets agree only roughly;
    // the rest is exact.
    for (i, (a, b)) in numbers(&there).iter().zip(numbers(&back)).enumerate() {
        let close = if i < 11 { 1e-9 } else { 5e-3 };
        assert!((a + b).abs() < close, "{i}: {a} {b}");
    }
    assert!((there.length.difference.sd() - back.length.difference.sd()).abs() < 1e-9);
    assert!((there.length.p / back.length.p - 1.0).abs() < 1e-6);
}

#[test]
fn ends_named_the_other_way_about_change_nothing() {
    let (old, new) = (surveyed(&OVAL), changed(0.3, 0.5, -0.7, 1.004));
    // Lopsided: farther out on the left than on the right.
    let lopsided = {
        let mut p = new;
        p[0] -= 0.4;
        p
    };
    let mut about = lopsided;
    about[7] += 180.0;
    let (plain, turned) = (compared(&old, &surveyed(&lopsided)), compared(&old, &surveyed(&about)));
    assert!(turned.end_for_end && !plain.end_for_end);
    for (a, b) in numbers(&plain).iter().zip(numbers(&turned)) {
        assert!((a - b).abs() < 1e-8, "{a} {b}");
    }
    assert!(
        (plain.half_width_left.difference.value() - plain.half_width_right.difference.value()).abs() > 0.5
    );
}

/// One side set in by a fence, the goals where they were.
#[test]
fn a_side_set_in_is_found_on_that_side_only() {
    // End A bears 12°, so right is along 102°. The curve moves 0.6 m to the left and becomes 0.6 m narrower
    // on each side. So the line comes in by 1.2 m on the right, and stays where it was on the left.
    let mut p = OVAL;
    let (east, north) = crate::units::TrueBearing::from_degrees(282.0).unwrap().step();
    (p[0], p[1], p[3]) = (p[0] + 0.6 * east, p[1] + 0.6 * north, p[3] - 0.6);
    let c = compared(&surveyed(&OVAL), &surveyed(&p));
    assert!((c.half_width_right.difference.value() + 1.2).abs() < 1e-9 && c.half_width_right.found);
    assert!(c.half_width_left.difference.value().abs() < 1e-9 && !c.half_width_left.found);
    let place = c.place.unwrap();
    assert!(!place.centre.found && !place.goal_a.found && !place.axis_deg.found && !c.length.found);
    let worst = c.stretches[0];
    assert_eq!((worst.side, worst.near.0), (Side::Right, NamedSpot::Wing));
    // The greatest change is at the wing, all of 1.2 m to a station's distance from it; on the left
    // the curve lies 0.6 n_y (1 − y/b) farther out, nowhere 0.2 m.
    assert!((worst.most.value() + 1.2).abs() < 0.01, "{worst:?}");
    assert!(
        worst.from_m < worst.to_m
            && c.stretches.iter().all(|x| x.side == Side::Right || x.most.value().abs() < 0.2),
        "{worst:?}"
    );
    let old = surveyed(&OVAL);
    let wing = old.oval().wing_m(Side::Right).unwrap();
    assert!((worst.most_chainage_m - wing).abs() < 5.0);
    // The distance from the stretch's own post gives the same chainage.
    let at = old.oval().boundary().chainage_from_post_m(worst.side, worst.end, worst.most_at_m);
    assert!((at - worst.most_chainage_m).abs() < 1e-9 && worst.from_m < worst.most_at_m, "{worst:?}");
}

#[test]
fn only_the_place_pays_for_the_error_of_the_place() {
    let (old, new) = (surveyed(&OVAL), surveyed(&changed(1.0, 0.0, 0.0, 1.0)));
    let options = CompareOptions { old_place_sd_m: 2.0, new_place_sd_m: 0.05, ..CompareOptions::default() };
    let c = compare(&old, &new, &options).unwrap();
    let (centre, plain) = (c.place.unwrap().centre, compared(&old, &new));
    assert!(!centre.found && plain.place.unwrap().centre.found && !c.changed());
    let want = (plain.place.unwrap().centre.east.sd().powi(2) + 4.0 + 0.0025).sqrt();
    assert!((centre.east.sd() - want).abs() < 1e-9);
    assert!(centre.least_m > 3.0 * centre.east.sd() && (c.length.least - plain.length.least).abs() < 1e-12);
}

#[test]
fn drawings_differ_by_what_they_differ() {
    let drawn = |p: &[f64; 9]| ground_of(p, &Spread::none());
    let c = compared(&drawn(&OVAL), &drawn(&changed(0.0, 0.0, 0.0, 1.0001)));
    assert!(c.length.found && c.length.difference.sd() == 0.0);
    assert!(!compared(&drawn(&OVAL), &drawn(&OVAL)).changed());
}

#[test]
fn rougher_surveys_show_less() {
    let (old, new) = (surveyed(&OVAL), changed(0.0, 0.0, 0.0, 1.002));
    let fine = compared(&old, &surveyed(&new));
    let rough = compared(&old, &ground_of(&new, &spread(20.0)));
    assert!(fine.length.found && !rough.length.found && !rough.changed());
    assert!(rough.length.least > 5.0 * fine.length.least);
}

#[test]
fn planes_apart_compare_sizes_and_line_alone() {
    let (old, new) = (surveyed(&OVAL), surveyed(&changed(900.0, 50.0, 77.0, 1.01)));
    let apart = CompareOptions { planes: Planes::Apart, ..CompareOptions::default() };
    let c = compare(&old, &new, &apart).unwrap();
    assert!(c.place.is_none() && c.length.found);
    let here = compared(&old, &surveyed(&changed(0.0, 0.0, 0.0, 1.01)));
    assert!((c.length.difference.value() - here.length.difference.value()).abs() < 1e-9);
    assert!((c.line[7].outward.value() - here.line[7].outward.value()).abs() < 1e-8);
    let e = compare(&old, &new, &CompareOptions::default()).unwrap_err();
    assert!(matches!(e, CompareError::AnotherGround(g) if g.moved_m > 900.0), "{e}");
}

/// The same ground on planes that touch the Earth at two points is the same ground.
#[test]
fn planes_of_two_datum_points_are_brought_together() {
    let at = |latitude, longitude| {
        LocalPlane::at(Geodetic::new(Degrees { latitude, longitude }, 140.0, Datum::Gda2020).unwrap())
            .unwrap()
    };
    let (first, second) = (at(-36.743, 144.947), at(-36.7434, 144.9477));
    let moved = |p: [f64; 2]| {
        let q = second.to_local(&first.to_geodetic(Point::new(p[0], p[1])).unwrap()).unwrap();
        [q.x, q.y]
    };
    let mut p = OVAL;
    [p[0], p[1]] = moved([p[0], p[1]]);
    [p[5], p[6]] = moved([p[5], p[6]]);
    // Meridians converge: north on one plane is not quite north on the other.
    let (foot, head) = (moved([3.0, -2.0]), moved([3.0, 98.0]));
    let turn = (head[0] - foot[0]).atan2(head[1] - foot[1]).to_degrees();
    assert!(turn.abs() > 1e-4 && turn.abs() < 1e-2, "{turn}");
    p[4] += turn;
    p[7] += turn;
    let (old, new) = (surveyed(&OVAL), surveyed(&p));
    let options =
        CompareOptions { planes: Planes::Two { old: first, new: second }, ..CompareOptions::default() };
    let place = compare(&old, &new, &options).unwrap().place.unwrap();
    // Planes 76 m apart differ in scale by (76 m / 6.4e6 m)²/2, far below a micrometre in 165 m.
    assert!(place.centre.distance.value() < 1e-6 && place.goal_a.distance.value() < 1e-6);
    assert!(place.axis_deg.difference.value().abs() < 1e-6);
    let nowhere = CompareOptions {
        planes: Planes::Two { old: first, new: LocalPlane::own() },
        ..CompareOptions::default()
    };
    assert_eq!(compare(&old, &new, &nowhere), Err(CompareError::NoPlace));
}

/// `misfit_m` counts only what is beyond the points' own scatter, and beyond chance.
#[test]
fn a_misfit_is_what_scatter_does_not_explain() {
    assert_eq!(misfit_m(0.021, 0.02, 90), 0.0);
    assert!((misfit_m(0.05, 0.03, 90) - 0.04).abs() < 1e-12);
    assert_eq!(misfit_m(0.01, 0.02, 90), 0.0);
    // For ten points the 95 % point of χ² is 18.3, between 10 · 1.35² = 18.2 and 10 · 1.36² = 18.5.
    assert_eq!(misfit_m(1.35, 1.0, 10), 0.0);
    assert!(misfit_m(1.36, 1.0, 10) > 0.9);
}

#[test]
fn a_line_off_its_shape_widens_widths_and_stations_and_no_more() {
    let (old, new) = (surveyed(&OVAL), surveyed(&changed(0.0, 0.0, 0.0, 1.004)));
    let options = CompareOptions { old_misfit_m: 0.3, new_misfit_m: 0.4, ..CompareOptions::default() };
    let (c, plain) = (compare(&old, &new, &options).unwrap(), compared(&old, &new));
    let more = |a: Measured, b: Measured| (a.sd().powi(2) - b.sd().powi(2)).sqrt();
    assert!((more(c.width.difference, plain.width.difference) - 0.5 * 2f64.sqrt()).abs() < 1e-9);
    assert!((more(c.half_width_left.difference, plain.half_width_left.difference) - 0.5).abs() < 1e-9);
    assert!((more(c.line[9].outward, plain.line[9].outward) - 0.5).abs() < 1e-9);
    assert_eq!(c.length.difference.sd(), plain.length.difference.sd());
    // Stations are now less correlated, so each test needs a smaller p.
    assert!(c.p_of_each < plain.p_of_each);
    assert!(plain.half_width_left.found && !c.half_width_left.found && c.length.found);
}

/// Two hundred pairs drawn from their own spread: every change that is found at 5 % is a false alarm.
#[test]
fn pairs_drawn_from_their_own_uncertainty_raise_few_alarms() {
    let s = spread(1.0);
    let mut draws = Draws::new(7);
    let mut drawn = || {
        let mut p = OVAL;
        for axis in s.axes() {
            let [z, _] = draws.normals();
            p.iter_mut().zip(axis.iter()).for_each(|(v, a)| *v += z * a);
        }
        ground_of(&p, &s)
    };
    let alarms = (0..200).filter(|_| compared(&drawn(), &drawn()).changed()).count();
    // At 5 %, 10 of 200 are expected at most, and 19 is three standard errors more. A family that never
    // raises an alarm would be no test.
    assert!((1..=19).contains(&alarms), "{alarms}");
}
