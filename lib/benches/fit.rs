//! How long the library's main steps take.
//!
//! `cargo bench -p ovalpeg`

use ovalpeg::boundary::{End, Side};
use ovalpeg::fit::{FitOptions, Noise, curve, ground};
use ovalpeg::ground::{Ground, SpotRef};
use ovalpeg::officiate::{stand, throw_in};
use ovalpeg::rules::{Practice, RuleSet};
use ovalpeg::survey::{LocalSurvey, ReadOptions, read};

fn main() {
    divan::main();
}

/// A walk of `n` fixes round a 165 × 135 m oval, with a wobble in place of noise.
fn walk(n: u32) -> LocalSurvey {
    let mut csv = String::from("x,y\n");
    for i in 0..n {
        let t = f64::from(i) / f64::from(n) * std::f64::consts::TAU;
        let wobble = 0.3 * (f64::from(i) * 0.7).sin() + 0.2 * (f64::from(i) * 2.9).sin();
        csv += &format!("{:.4},{:.4}\n", (83.345 + wobble) * t.cos(), (67.5 + wobble) * t.sin());
    }
    let survey = read(csv.as_bytes(), &ReadOptions::default()).expect("made here").value;
    survey.to_local(survey.plane().expect("plane")).expect("plane")
}

/// One geometric fit with covariance of 400 points: well under 1 ms.
#[divan::bench]
fn curve_of_400_points(bencher: divan::Bencher<'_, '_>) {
    let survey = walk(400);
    bencher.bench(|| curve(&survey, &FitOptions::with_end_width(19.2)));
}

#[divan::bench]
fn ground_of_400_points(bencher: divan::Bencher<'_, '_>) {
    let survey = walk(400);
    bencher.bench(|| ground(&survey, &FitOptions::with_end_width(19.2)));
}

/// The mixture over how long a walk's error lasts.
#[divan::bench]
fn phone_walk_of_1500_fixes(bencher: divan::Bencher<'_, '_>) {
    let survey = walk(1500);
    let mut options = FitOptions::with_end_width(19.2);
    options.noise = Noise {
        point_sd_m: Some(1.5),
        line_offset_sd_m: 0.3,
        scale_sd: 0.0,
        runs_on: true,
        ..Noise::default()
    };
    bencher.bench(|| ground(&survey, &options));
}

/// A spot, its throw-in and its stand on one oval.
#[divan::bench]
fn throw_in_and_stand(bencher: divan::Bencher<'_, '_>) {
    let fit = ground(&walk(400), &FitOptions::with_end_width(19.2)).expect("fits");
    let ground = Ground::new(&fit.outline, &fit.spread, RuleSet::laws()).expect("a ground");
    let practice = Practice::default();
    let around = ovalpeg::ground::Surroundings::default();
    let reference = SpotRef::FromPost { side: Side::Left, end: End::A, metres: 60.0 };
    bencher.bench(|| {
        let spot = ground.oval().spot(divan::black_box(reference), 25.0).expect("a spot");
        (throw_in(&practice, &spot), stand(ground.oval(), &around, &practice, &spot, End::A))
    });
}
