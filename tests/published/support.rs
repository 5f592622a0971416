//! What the checks share: a comparison that says what missed, plane surveys made
//! of points, and a small generator of pseudo-random numbers.

use std::fmt::Write;

use ovalpeg::survey::{LocalSurvey, ReadOptions, read};

/// Fails when `got` is further than `tolerance` from `want`, and for NaN.
#[track_caller]
pub(crate) fn close(what: &str, got: f64, want: f64, tolerance: f64) {
    let miss = (got - want).abs();
    assert!(miss <= tolerance, "{what}: {got} instead of {want}, off by {miss:e} with {tolerance:e} allowed");
}

/// A survey in its own plane, through the text of a CSV file and its reader.
pub(crate) fn survey_of(points: &[[f64; 2]]) -> LocalSurvey {
    let mut text = String::from("x,y\n");
    for [x, y] in points {
        // Rust prints the shortest text that reads back as the same double.
        writeln!(text, "{x},{y}").unwrap();
    }
    let survey = read(text.as_bytes(), &ReadOptions::default()).unwrap().value;
    assert_eq!(survey.observations.len(), points.len());
    survey.to_local(survey.plane().unwrap()).unwrap()
}

/// A linear congruential generator modulo 2^64 (D. E. Knuth, The Art of Computer
/// Programming 2, 3.3.4, the MMIX constants; from memory): the same numbers on every machine.
pub(crate) struct Lcg(u64);

impl Lcg {
    pub(crate) fn new(start: u64) -> Self {
        Self(start)
    }

    /// Evenly spread over −1 to 1.
    pub(crate) fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        // The high 53 bits, which a double holds exactly; the low ones hardly vary.
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }

    /// Roughly normal with standard deviation 1: four even ones, each of variance 1/3.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..4).map(|_| self.even()).sum::<f64>() * 0.75f64.sqrt()
    }
}

#[test]
fn the_generator_is_even_and_normal_enough() {
    let mut lcg = Lcg::new(1);
    let n = 20_000;
    let (mut mean, mut square) = (0.0, 0.0);
    for _ in 0..n {
        let v = lcg.normal();
        mean += v / f64::from(n);
        square += v * v / f64::from(n);
    }
    // Four standard errors: 4/√n of the mean, 4·√(2/n) of the variance.
    close("mean", mean, 0.0, 0.03);
    close("variance", square, 1.0, 0.04);
}
