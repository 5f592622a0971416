//! How long track cleaning takes, and that twice the fixes take twice as long.
//!
//! `cargo bench -p ovalpeg --bench cleaning`

use ovalpeg::frame::LocalPlane;
use ovalpeg::geometry::Point;
use ovalpeg::survey::{CleanOptions, LocalSurvey, Observed, Role, clean};

fn main() {
    divan::main();
}

/// A walk of `n` fixes at 5 Hz round a 165 × 135 m oval, lap after lap, with a wobble in
/// place of noise, a spike in each thousand fixes and a pause in each 10,000.
fn walk(n: usize) -> LocalSurvey {
    let mut turned = 0.0f64;
    let points = (0..n).map(|i| {
        let k = i as f64;
        turned += if i % 10_000 < 300 { 0.0 } else { 0.28 / 75.0 };
        let wobble = 0.6 * (k * 0.011).sin() + 0.2 * (k * 2.9).sin();
        let spike = if i % 1000 == 500 { 40.0 } else { 0.0 };
        let (s, c) = turned.sin_cos();
        let at = Point::new((82.5 + wobble + spike) * c, (67.5 + wobble + spike) * s);
        let place = format!("Track 1, point {}", i + 1);
        Observed { place, time_s: Some(k * 0.2), path: Some(0), ..Observed::new(at, Role::Line) }
    });
    LocalSurvey::new(LocalPlane::own(), points.collect())
}

/// All of it in one place: the densest that a grid's cells and a window get.
fn standing(n: usize) -> LocalSurvey {
    let points = (0..n).map(|i| {
        let k = i as f64;
        let at = Point::new(4.0 * (k * 0.7).sin(), 4.0 * (k * 1.3).sin());
        Observed { time_s: Some(k), path: Some(0), ..Observed::new(at, Role::Line) }
    });
    LocalSurvey::new(LocalPlane::own(), points.collect())
}

#[divan::bench(args = [25_000, 50_000, 100_000])]
fn walk_of(bencher: divan::Bencher<'_, '_>, n: usize) {
    bencher.with_inputs(|| walk(n)).bench_values(|survey| clean(survey, &CleanOptions::default()));
}

#[divan::bench(args = [25_000, 50_000, 100_000], sample_count = 10)]
fn standing_of(bencher: divan::Bencher<'_, '_>, n: usize) {
    bencher.with_inputs(|| standing(n)).bench_values(|survey| clean(survey, &CleanOptions::default()));
}
