//! How long the library's main steps take.
//!
//! `cargo bench -p ovalpeg`

use ovalpeg::boundary::{End, Side};
use ovalpeg::ground::SpotRef;
use ovalpeg::officiate::{Scene, stand, throw_in};
use ovalpeg::rules::{Method, Practice, RuleSet};
use ovalpeg::solve::{Prepared, SolveOptions, Source, prepare};

fn main() {
    divan::main();
}

/// A walk of `n` fixes round a 165 × 135 m oval, with a wobble in place of noise, read and cleaned.
fn walk(n: u32, method: Option<Method>) -> Prepared {
    let mut csv = String::from("x,y\n");
    for i in 0..n {
        let t = f64::from(i) / f64::from(n) * std::f64::consts::TAU;
        let wobble = 0.3 * (f64::from(i) * 0.7).sin() + 0.2 * (f64::from(i) * 2.9).sin();
        csv += &format!("{:.4},{:.4}\n", (83.345 + wobble) * t.cos(), (67.5 + wobble) * t.sin());
    }
    let source = Source::new("walk.csv", csv).method(method);
    prepare(vec![source], &SolveOptions::new(RuleSet::laws())).expect("made here")
}

/// One geometric fit with covariance of 400 points: well under 1 ms.
#[divan::bench]
fn curve_of_400_points(bencher: divan::Bencher<'_, '_>) {
    let prepared = walk(400, Some(Method::Rtk));
    bencher.bench(|| prepared.curve());
}

#[divan::bench]
fn ground_of_400_points(bencher: divan::Bencher<'_, '_>) {
    let prepared = walk(400, Some(Method::Rtk));
    bencher.with_inputs(|| prepared.clone()).bench_values(Prepared::solve);
}

/// The mixture over how long a walk's error lasts.
#[divan::bench]
fn phone_walk_of_1500_fixes(bencher: divan::Bencher<'_, '_>) {
    let prepared = walk(1500, Some(Method::Phone));
    bencher.with_inputs(|| prepared.clone()).bench_values(Prepared::solve);
}

/// A spot, its throw-in and its stand on one oval.
#[divan::bench]
fn throw_in_and_stand(bencher: divan::Bencher<'_, '_>) {
    let solved = walk(400, Some(Method::Rtk)).solve().expect("fits");
    let ground = solved.ground();
    let practice = Practice::default();
    let around = ovalpeg::ground::Surroundings::default();
    let scene = Scene { oval: ground.oval(), around: &around, practice: &practice };
    let reference = SpotRef::FromPost { side: Side::Left, end: End::A, metres: 60.0 };
    bencher.bench(|| {
        let spot = ground.oval().spot(divan::black_box(reference), 25.0).expect("a spot");
        (throw_in(&practice, &spot), stand(scene, &spot, End::A))
    });
}
