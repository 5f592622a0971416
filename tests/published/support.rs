//! What the checks share: a comparison that says what missed, and plane surveys made of points.

use ovalpeg::frame::LocalPlane;
use ovalpeg::geometry::Point;
use ovalpeg::rules::RuleSet;
use ovalpeg::solve::{Prepared, SolveOptions, prepare};
use ovalpeg::survey::{LocalSurvey, Observed, Role};
use ovalpeg_tests::door::source;

/// Fails when `got` is further than `tolerance` from `want`, and for NaN.
#[track_caller]
pub(crate) fn close(what: &str, got: f64, want: f64, tolerance: f64) {
    let miss = (got - want).abs();
    assert!(miss <= tolerance, "{what}: {got} instead of {want}, off by {miss:e} with {tolerance:e} allowed");
}

/// A survey in its own plane, through the text of a CSV file and the library's door.
pub(crate) fn prepared(points: &[[f64; 2]]) -> Prepared {
    let observed = points.iter().map(|&[x, y]| Observed::new(Point::new(x, y), Role::Line)).collect();
    let file = source("points.csv", &LocalSurvey::new(LocalPlane::own(), observed)).unwrap();
    let prepared = prepare(vec![file], &SolveOptions::new(RuleSet::laws())).unwrap();
    assert_eq!(prepared.survey().points.len(), points.len());
    prepared
}
