//! What must not change: the points of a noisy oval moved, turned, scaled,
//! mirrored and shuffled give an answer that is moved, turned, scaled, mirrored
//! and unshuffled likewise. No published number is needed for that.

use ovalpeg::boundary::{Outline, Side};
use ovalpeg::fit::{AxisFrom, Curve, Fit, FitOptions, Noise, Why, curve, ground};
use ovalpeg::frame::{Local, LocalPlane};
use ovalpeg::geometry::{Model, Point};
use ovalpeg::survey::{LocalSurvey, Observed, Role};
use ovalpeg_tests::random::Random;

use crate::support::close;

/// p ↦ shift + scale · turn(mirror(p)); the mirror exchanges y and −y.
#[derive(Clone, Copy)]
struct Change {
    name: &'static str,
    shift: [f64; 2],
    turn_deg: f64,
    scale: f64,
    mirrored: bool,
    order: Order,
}

#[derive(Clone, Copy, PartialEq)]
enum Order {
    Kept,
    Reversed,
    /// Every seventh, round and round.
    Strides,
}

const SAME: Change =
    Change { name: "", shift: [0.0, 0.0], turn_deg: 0.0, scale: 1.0, mirrored: false, order: Order::Kept };

const MOVED: [Change; 4] = [
    Change { name: "moved", shift: [431.25, -262.5], ..SAME },
    Change { name: "turned", turn_deg: 113.7, ..SAME },
    Change { name: "mirrored", mirrored: true, ..SAME },
    Change {
        name: "moved, turned and mirrored",
        shift: [-80.1, 33.3],
        turn_deg: -61.0,
        mirrored: true,
        ..SAME
    },
];
const SCALED: [Change; 2] = [
    Change { name: "larger", scale: 1.5, ..SAME },
    Change { name: "smaller, turned and moved", scale: 0.6, turn_deg: 200.0, shift: [12.0, 7.0], ..SAME },
];
const REVERSED: Change = Change { name: "reversed", order: Order::Reversed, ..SAME };
const SHUFFLED: Change = Change { name: "shuffled", order: Order::Strides, ..SAME };

impl Change {
    fn point(&self, p: Point<Local>) -> Point<Local> {
        let v = p - Point::ORIGIN;
        let v = ovalpeg::geometry::Vector::new(v.x, if self.mirrored { -v.y } else { v.y });
        Point::new(self.shift[0], self.shift[1]) + v.turned_deg(self.turn_deg) * self.scale
    }

    /// The new place of index `i` among `n`.
    fn index(&self, i: usize, n: usize) -> usize {
        match self.order {
            Order::Kept => i,
            Order::Reversed => n - 1 - i,
            Order::Strides => {
                assert!(!n.is_multiple_of(7), "{n} points in strides of 7 repeat themselves");
                i * 7 % n
            }
        }
    }

    fn survey(&self, points: &[Observed]) -> LocalSurvey {
        let n = points.len();
        let mut moved = points.to_vec();
        for (i, p) in points.iter().enumerate() {
            moved[self.index(i, n)] = Observed { at: self.point(p.at), ..p.clone() };
        }
        LocalSurvey::new(LocalPlane::own(), moved)
    }

    /// A direction counter-clockwise from +x.
    fn turn(&self, deg: f64) -> f64 {
        self.turn_deg + if self.mirrored { -deg } else { deg }
    }

    /// Options of the fit itself and not of the library's door: there a metre is a metre, the width of a
    /// scoring end that of the rules, and nothing scales with a ground.
    fn options(&self, noise: Noise) -> FitOptions {
        FitOptions {
            end_width_m: 19.2 * self.scale,
            post_sd_m: 0.05 * self.scale,
            mark_sd_m: 0.02 * self.scale,
            noise,
            // How far grounds stray from an ellipse is known in metres: the choice does not scale.
            shape: Some(Model::Ellipse),
            sources: Vec::new(),
        }
    }
}

/// A difference of two directions of lines, degrees in ±90.
fn apart(a_deg: f64, b_deg: f64) -> f64 {
    (a_deg - b_deg + 90.0).rem_euclid(180.0) - 90.0
}

fn observed(at: Point<Local>, role: Role) -> Observed {
    Observed::new(at, role)
}

/// An oval of 165 × 135 m whose axis bears 30° and whose left is a metre fuller, 71 points
/// with noise of 0.2 m. What lies between the behind posts is left out.
fn noisy_line() -> Vec<Observed> {
    let mut random = Random::new(1858);
    let o = planted();
    (0..78)
        .map(|i| f64::from(i) / 78.0 * 360.0)
        .filter_map(|t| {
            let (s, c) = t.to_radians().sin_cos();
            let (x, y) = (83.35 * c, 67.5 * s * if s > 0.0 { 1.015 } else { 1.0 });
            let p = o.plan().to_local(Point::new(x + 0.2 * random.normal(), y + 0.2 * random.normal()));
            (y.abs() > 9.6).then(|| observed(p, Role::Line))
        })
        .collect()
}

fn planted() -> Outline {
    Outline::from_parameters(&[10.0, 20.0, 83.35, 67.5, 30.0, 10.0, 20.0, 30.0, 82.5]).unwrap()
}

fn with_posts() -> Vec<Observed> {
    let mut random = Random::new(1866);
    let mut points = noisy_line();
    for x in [82.5, -82.5] {
        for (y, role) in
            [(9.6, Role::BehindPost), (3.2, Role::GoalPost), (-3.2, Role::GoalPost), (-9.6, Role::BehindPost)]
        {
            let p = Point::new(x + 0.03 * random.normal(), y + 0.03 * random.normal());
            points.push(observed(planted().plan().to_local(p), role));
        }
    }
    points
}

/// A lap that crosses both goals along their lines.
fn lap_over_the_goals() -> Vec<Observed> {
    let mut random = Random::new(1877);
    let mut points = noisy_line();
    for x in [82.5, -82.5] {
        for i in -2..=2 {
            let p = Point::new(x + 0.05 * random.normal(), f64::from(i) * 4.0);
            points.push(observed(planted().plan().to_local(p), Role::Line));
        }
    }
    points
}

/// The same curve but for the change.
fn curve_follows(change: &Change, before: &Curve, after: &Curve, points: usize) {
    let what = change.name;
    let k = change.scale;
    let (e, f) = (&before.ellipse, &after.ellipse);
    // The optimum is found to 1e-13 of its size; a coordinate of 500 m has a last bit
    // of 1e-13 m. 1e-8 m leaves room for the condition of the fit, and is nothing on grass.
    close(&format!("{what}: centre"), f.centre().distance_to(change.point(e.centre())), 0.0, 1e-8);
    close(&format!("{what}: long semi-axis"), f.semi_major_m(), k * e.semi_major_m(), 1e-8);
    close(&format!("{what}: short semi-axis"), f.semi_minor_m(), k * e.semi_minor_m(), 1e-8);
    // At the vertex that is 1e-8 m.
    close(
        &format!("{what}: turn"),
        apart(f.turn_deg(), change.turn(e.turn_deg())),
        0.0,
        1e-8f64.to_degrees() / 83.0,
    );
    // Ratios of sums over the points, which the curve moves by 1e-8 m in 0.2.
    close(&format!("{what}: s0"), after.rms_m / before.rms_m, k, 1e-7);
    close(&format!("{what}: freedom"), after.dof, before.dof, 0.0);
    for i in 2..5 {
        let unit = if i == 4 { 1.0 } else { k };
        close(&format!("{what}: sd {i}"), after.covariance.sd(i) / before.covariance.sd(i), unit, 1e-6);
    }
    for r in &before.residuals {
        let there = change.index(r.index, points);
        let found = after.residuals.iter().find(|s| s.index == there).unwrap();
        close(&format!("{what}: residual {}", r.index), found.residual_m, k * r.residual_m, 1e-8);
    }
    assert_eq!(before.residuals.len(), after.residuals.len(), "{what}");
    let mut aside: Vec<usize> = before.set_aside.iter().map(|a| change.index(a.index, points)).collect();
    aside.sort_unstable();
    assert_eq!(aside, after.set_aside.iter().map(|a| a.index).collect::<Vec<_>>(), "{what}");
}

fn every_change() -> impl Iterator<Item = Change> {
    MOVED.into_iter().chain(SCALED).chain([REVERSED, SHUFFLED])
}

#[test]
fn the_curve_follows_its_points() {
    let points = noisy_line();
    let before = curve(&SAME.survey(&points), &SAME.options(Noise::default())).unwrap();
    for change in every_change() {
        let after = curve(&change.survey(&points), &change.options(Noise::default())).unwrap();
        curve_follows(&change, &before, &after, points.len());
        close(&format!("{}: s0", change.name), after.s0 / before.s0, change.scale, 1e-7);
    }
}

/// Length, width and the two halves of it, the smaller first, perimeter, area, in the order of their powers.
fn sizes(o: &Outline, end_width_m: f64) -> [f64; 6] {
    let b = o.boundary(end_width_m).unwrap();
    let (left, right) = (b.half_width_m(Side::Left), b.half_width_m(Side::Right));
    [
        2.0 * o.half_length_m(),
        b.width_m(),
        // The ends may change names, and the sides with them.
        left.min(right),
        left.max(right),
        b.perimeter_m(),
        // As the side of a square, so that it is a length too.
        b.area_m2().sqrt(),
    ]
}

/// The same ground but for the change and the names of the ends; `tolerance` in metres.
fn ground_follows(change: &Change, before: &Fit, after: &Fit, tolerance: f64) {
    let what = change.name;
    let k = change.scale;
    assert_eq!(before.axis_from, after.axis_from, "{what}");
    let (o, q) = (&before.outline, &after.outline);
    let centre = change.point(o.plan().centre());
    close(&format!("{what}: middle of the goals"), q.plan().centre().distance_to(centre), 0.0, tolerance);
    let axis = apart(90.0 - q.plan().axis().degrees(), change.turn(90.0 - o.plan().axis().degrees()));
    close(&format!("{what}: goal axis, at the goal line"), axis.to_radians() * 82.5, 0.0, tolerance);
    let (want, got) = (sizes(o, 19.2), sizes(q, 19.2 * k));
    for (i, (got, want)) in got.into_iter().zip(want).enumerate() {
        // The perimeter adds up four quarters, each of which may be off.
        close(&format!("{what}: size {i}"), got, k * want, if i == 4 { 4.0 * tolerance } else { tolerance });
    }
    let sd = |fit: &Fit, end: f64, i: usize| fit.spread.sd_of(&fit.outline, |o| sizes(o, end)[i]).unwrap();
    for i in 0..2 {
        let ratio = sd(after, 19.2 * k, i) / sd(before, 19.2, i);
        // Half differences of sizes known to 1e-12 m over a step of centimetres, and the covariance's own 1e-6.
        close(&format!("{what}: sd of size {i}"), ratio, k, 2e-6);
    }
    let ratio = after.spread.axis_sd_deg(q).unwrap() / before.spread.axis_sd_deg(o).unwrap();
    close(&format!("{what}: sd of the axis"), ratio, 1.0, 2e-6);
    // Half-width over sd: from quantiles, which a search finds to 1e-6.
    close(&format!("{what}: half-width over sd"), after.spread.ratio(), before.spread.ratio(), 1e-5);
}

#[test]
fn the_choice_of_shape_follows_the_points() {
    let points = noisy_line();
    let options = |change: &Change| FitOptions { shape: None, ..change.options(Noise::default()) };
    let before = ground(&SAME.survey(&points), &options(&SAME)).unwrap().choice;
    assert_eq!(before.candidates.len(), 4);
    for change in MOVED {
        let after = ground(&change.survey(&points), &options(&change)).unwrap().choice;
        assert_eq!(after.model, before.model, "{}", change.name);
        for (a, b) in after.candidates.iter().zip(&before.candidates) {
            let what = format!("{}: weight of {:?}", change.name, b.model);
            // Curves of pieces are settled to 1e-7 m; a cut's likelihood has kinks there.
            close(&what, a.weight.unwrap(), b.weight.unwrap(), 1e-3);
        }
    }
}

#[test]
fn a_ground_without_posts_follows_its_points() {
    let points = noisy_line();
    let before = ground(&SAME.survey(&points), &SAME.options(Noise::default())).unwrap();
    assert_eq!(before.axis_from, AxisFrom::LongAxis);
    for change in every_change() {
        let after = ground(&change.survey(&points), &change.options(Noise::default())).unwrap();
        curve_follows(&change, &before.curve, &after.curve, points.len());
        ground_follows(&change, &before, &after, 1e-8);
    }
}

#[test]
fn a_ground_with_posts_follows_its_points() {
    let points = with_posts();
    let before = ground(&SAME.survey(&points), &SAME.options(Noise::default())).unwrap();
    assert_eq!((before.axis_from, before.posts.len()), (AxisFrom::Posts, 8));
    for change in every_change() {
        let after = ground(&change.survey(&points), &change.options(Noise::default())).unwrap();
        curve_follows(&change, &before.curve, &after.curve, points.len());
        ground_follows(&change, &before, &after, 1e-8);
        for p in &before.posts {
            let there = change.index(p.index, points.len());
            let found = after.posts.iter().find(|q| q.index == there).unwrap();
            assert_eq!(p.behind, found.behind, "{}", change.name);
            close(&format!("{}: post {}", change.name, p.index), found.miss_m, change.scale * p.miss_m, 1e-8);
        }
    }
}

#[test]
fn the_same_fixes_are_goal_line_whichever_way_the_ground_lies() {
    let points = lap_over_the_goals();
    let before = ground(&SAME.survey(&points), &SAME.options(Noise::default())).unwrap();
    assert_eq!(before.curve.set_aside.iter().filter(|a| a.why == Why::OnGoalLine).count(), 10);
    for change in every_change() {
        let after = ground(&change.survey(&points), &change.options(Noise::default())).unwrap();
        curve_follows(&change, &before.curve, &after.curve, points.len());
        ground_follows(&change, &before, &after, 1e-8);
    }
}

/// A walk has an order and a pace, so it may be neither shuffled nor scaled; but its
/// error is alike in both directions of time, so it may be reversed.
#[test]
fn a_walk_follows_its_fixes() {
    let points = noisy_line();
    let noise = Noise { runs_on: true, ..Noise::default() };
    let before = ground(&SAME.survey(&points), &SAME.options(noise)).unwrap();
    let error = before.walk.unwrap();
    for change in MOVED.into_iter().chain([REVERSED]) {
        let after = ground(&change.survey(&points), &change.options(noise)).unwrap();
        ground_follows(&change, &before, &after, 1e-8);
        let found = after.walk.unwrap();
        // Weights are exponentials of likelihoods of size 100: 1e-12 and more.
        close(&format!("{}: sd of a fix", change.name), found.sd_m / error.sd_m, 1.0, 1e-6);
        close(&format!("{}: lasts", change.name), found.lasts_s / error.lasts_s, 1.0, 1e-6);
    }
}

/// Eastings and northings as a plane's x and y: far from its origin.
#[test]
fn a_ground_far_from_the_origin_is_the_same_ground() {
    let points = noisy_line();
    let far = Change { name: "far", shift: [322_511.0, 5_812_242.0], ..SAME };
    let before = ground(&SAME.survey(&points), &SAME.options(Noise::default())).unwrap();
    let after = ground(&far.survey(&points), &far.options(Noise::default())).unwrap();
    // The last bit of a northing is 9e-10 m, so every point has moved by up to half of that.
    ground_follows(&far, &before, &after, 5e-9);
}
