//! How long the questions asked of a boundary take on each shape.
//!
//! `cargo bench -p ovalpeg --bench shapes`

use divan::black_box;
use ovalpeg::boundary::{End, Outline, Side, Spread};
use ovalpeg::briefing::Departed;
use ovalpeg::frame::{Local, Plan};
use ovalpeg::geometry::{ClosedCurve, CutEllipse, Ellipse, FourArc, Point, Shape, Spline};
use ovalpeg::ground::{Ground, Oval, SpotRef, Surroundings};
use ovalpeg::officiate::{Moment, Phase, Scene, positions, stand, throw_in};
use ovalpeg::rules::{Practice, RuleSet};
use ovalpeg::units::Bearing;

fn main() {
    divan::main();
}

const MODELS: [&str; 4] = ["ellipse", "four-arc", "cut-ellipse", "freeform"];

fn outline(model: &str) -> Outline {
    let centre = Point::<Local>::new(3.0, -2.0);
    let ellipse = Ellipse::new(centre, [83.35, 67.5], 0.0).expect("an ellipse");
    let shape = match model {
        "four-arc" => Shape::FourArc(FourArc::new(centre, [83.35, 67.5], 45.0, 0.0).expect("four arcs")),
        "cut-ellipse" => Shape::CutEllipse(CutEllipse::new(ellipse, 90.0, 60.0).expect("a cut")),
        "freeform" => {
            let offsets: Vec<f64> = (0..64).map(|i| (f64::from(i) * 0.3).sin()).collect();
            Shape::Freeform(Spline::new(ellipse, &offsets).expect("a spline"))
        }
        _ => Shape::Ellipse(ellipse),
    };
    let plan = Plan::new(centre, Bearing::from_degrees(90.0).expect("a bearing")).expect("a plan");
    Outline::new(shape, plan, 82.5).expect("an outline")
}

fn oval(model: &str) -> Oval {
    Oval::new(&outline(model), RuleSet::laws()).expect("an oval")
}

/// A point by chainage.
#[divan::bench(args = MODELS)]
fn at(bencher: divan::Bencher<'_, '_>, model: &str) {
    let oval = oval(model);
    let around = oval.boundary().perimeter_m();
    let mut i = 0u32;
    bencher.bench_local(|| {
        i = (i + 37) % 1000;
        oval.boundary().at(black_box(around * f64::from(i) / 1000.0))
    });
}

/// The nearest point of the two lines, from places 2 m outside all round.
#[divan::bench(args = MODELS)]
fn nearest(bencher: divan::Bencher<'_, '_>, model: &str) {
    let oval = oval(model);
    let around = oval.boundary().perimeter_m();
    let places: Vec<_> = (0..1000)
        .map(|i| oval.boundary().at(around * f64::from(i) / 1000.0))
        .map(|p| p.point + p.normal * 2.0)
        .collect();
    let mut i = 0;
    bencher.bench_local(|| {
        i = (i + 37) % 1000;
        oval.boundary().nearest(black_box(places[i]))
    });
}

/// The whole curve's foot, from places all over the field: what a fit asks.
#[divan::bench(args = MODELS)]
fn foot(bencher: divan::Bencher<'_, '_>, model: &str) {
    let outline = outline(model);
    let places: Vec<_> = (0..1000)
        .map(f64::from)
        .map(|i| Point::<Local>::new(80.0 * (i * 0.7).sin(), 65.0 * (i * 1.1).cos()))
        .collect();
    let mut i = 0;
    bencher.bench_local(|| {
        i = (i + 37) % 1000;
        outline.shape().foot(black_box(places[i]))
    });
}

/// A spot, its throw-in and its stand on one oval: 50,000 a second take 20 µs each.
#[divan::bench(args = MODELS)]
fn throw_in_and_stand(bencher: divan::Bencher<'_, '_>, model: &str) {
    let oval = oval(model);
    let (practice, around) = (Practice::default(), Surroundings::default());
    let scene = Scene { oval: &oval, around: &around, practice: &practice };
    let reference = SpotRef::FromPost { side: Side::Left, end: End::A, metres: 60.0 };
    bencher.bench(|| {
        let spot = oval.spot(black_box(reference), 25.0).expect("a spot");
        (throw_in(&practice, &spot), stand(scene, &spot, End::A))
    });
}

/// A ground with a pair of ovals for each parameter.
#[divan::bench(args = MODELS)]
fn ground_with_all_its_pairs(bencher: divan::Bencher<'_, '_>, model: &str) {
    let outline = outline(model);
    let n = outline.parameters().len();
    let mut spread = Spread::none();
    for i in 0..n {
        spread.add_axis((0..n).map(|j| if i == j { 0.02 } else { 0.0 }).collect::<Vec<_>>());
    }
    bencher.bench(|| Ground::new(&outline, &spread, RuleSet::laws()));
}

/// Where the line departs from its best ellipse, each place with its ±: once a briefing.
#[divan::bench(args = MODELS)]
fn departures(bencher: divan::Bencher<'_, '_>, model: &str) {
    let outline = outline(model);
    let n = outline.parameters().len();
    let mut spread = Spread::none();
    for i in 0..n {
        spread.add_axis((0..n).map(|j| if i == j { 0.02 } else { 0.0 }).collect::<Vec<_>>());
    }
    let ground = Ground::new(&outline, &spread, RuleSet::laws()).expect("a ground");
    bencher.bench_local(|| Departed::all(black_box(&ground)));
}

/// Where both officials stand for a ball anywhere: 200,000 a second take 5 µs each on an ellipse,
/// 50,000 take 20 µs on a freeform line.
#[divan::bench(args = MODELS)]
fn positions_for_any_ball(bencher: divan::Bencher<'_, '_>, model: &str) {
    let (oval, practice, around) = (oval(model), Practice::default(), Surroundings::default());
    let scene = Scene { oval: &oval, around: &around, practice: &practice };
    let mut i = 0u32;
    bencher.bench_local(|| {
        i = (i + 37) % 1000;
        let (turn, out) = (f64::from(i) * 0.0063, f64::from(i % 29) / 30.0);
        let ball = Point::new(80.0 * out * turn.cos(), 63.0 * out * turn.sin());
        positions(scene, black_box(&Moment::new(Phase::Play, ball)))
    })
}
