//! A second look, at a line that was fitted: detours that bend the way too little to be told from a corner.
//!
//! A cleaned walk's own curve ([`super::off`]) misses corners by as much as a small detour goes. The line that was
//! fitted to the walk misses fewer, and what it misses, it misses gently: where a walk has corners that no fitted
//! shape follows, its distance from the shape changes by 4.5 m at most within 5 m of line, at errors of 1.5 m. Whoever
//! goes round something steps off the line, at one end of the way at least. So a stretch is set aside when it is well
//! off the fitted line and its distance jumps.
//!
//! Not found: a detour that leaves and comes back at flat angles, one that a free form or four arcs
//! have followed, and one that both laps of a walk go, which is the line.

use super::track::{Fix, quantile};
use super::{CleanOptions, Found, Step, apply, off_line, track};
use crate::frame::Local;
use crate::geometry::{ClosedCurve as _, Shape};
use crate::survey::LocalSurvey;

/// A stretch is on one side of the line by this much at least, m.
const EDGE_M: f64 = 2.0;
/// How far off its farthest fix is, m and in robust standard deviations of the walk about the line: walks of the line
/// alone have stretches of 5 m and of 4, but without a jump.
const FAR_M: f64 = 4.0;
const FAR_SDS: f64 = 2.5;
/// How much the distance changes within how little of the line, m: an angle of 50° to it. Of 164 simulated walks of
/// lines that are mostly none of the fitted shapes, at errors up to 1.5 m, none changes by more than 4.3 m; of ten detours
/// of 7 m and more eight do by 6.8 m and more.
const JUMP_M: f64 = 6.0;
const WITHIN_M: f64 = 5.0;
/// Way beside a stretch in which its jump may begin, and longest way of a jump, m.
const BESIDE_M: f64 = 10.0;
const JUMP_WAY_M: f64 = 25.0;
/// Fewest fixes: one or two that jump are spikes, which the fit itself sets aside.
const LEAST_FIXES: usize = 3;
/// Most of a walk that is set aside: more is a line of another shape.
const MOST_SHARE: f64 = 0.1;
/// Another lap passed as near to the farthest fix as this, m, after this much way at least: then the line goes there.
const SAME_M: f64 = 3.5;
const OTHER_LAP_M: f64 = 100.0;
/// A robust standard deviation is the median of absolute distances by this.
const FROM_MEDIAN: f64 = 1.4826;

/// Sets aside the stretches of a survey's walks that lie off the line that was fitted to them; none where there is
/// nothing more to find. The points must be those of one source: others may lie metres beside them as a whole.
pub(crate) fn clean_again(
    survey: &mut LocalSurvey,
    line: &Shape<Local>,
    options: &CleanOptions,
) -> Vec<Step> {
    let mut report = Vec::new();
    for mut walk in track::walks(&survey.points, options.walked) {
        let found: Vec<Found> =
            find(&walk, line).into_iter().filter(|f| options.steps.contains(&f.step)).collect();
        let many: usize = found.iter().map(|f| f.drop.len()).sum();
        if many as f64 <= MOST_SHARE * walk.len() as f64 {
            apply(&mut survey.points, &mut walk, found, &mut report);
        }
    }
    report
}

/// The stretches of a walk that are off a line with a jump.
fn find(fixes: &[Fix], line: &Shape<Local>) -> Vec<Found> {
    let off: Vec<f64> = fixes.iter().map(|f| line.foot(f.at).signed_distance_m).collect();
    let mut sizes: Vec<f64> = off.iter().map(|d| d.abs()).collect();
    let far_m = FAR_M.max(FAR_SDS * FROM_MEDIAN * quantile(&mut sizes, 0.5).unwrap_or(0.0));
    let along: Vec<f64> = std::iter::once(0.0)
        .chain(fixes.windows(2).map(|w| w[0].at.distance_to(w[1].at)))
        .scan(0.0, |sum, step| {
            *sum += step;
            Some(*sum)
        })
        .take(fixes.len())
        .collect();
    let mut out = Vec::new();
    let mut from = 0;
    while from < off.len() {
        let side = off[from].signum();
        let end = (from..off.len()).find(|&k| off[k] * side < EDGE_M).unwrap_or(off.len());
        if end == from {
            from += 1;
            continue;
        }
        let farthest = (from..end).max_by(|&a, &b| off[a].abs().total_cmp(&off[b].abs())).unwrap_or(from);
        let many = end - from >= LEAST_FIXES;
        if many && off[farthest].abs() >= far_m && jumps(fixes, &off, &along, from, end) {
            let passed = |k: usize| {
                (along[k] - along[farthest]).abs() > OTHER_LAP_M
                    && fixes[k].at.distance_to(fixes[farthest].at) <= SAME_M
            };
            if !(0..fixes.len()).any(passed) {
                out.push(off_line(fixes, from, end, off[farthest].abs()));
            }
        }
        from = end;
    }
    out
}

/// Does the distance from the line jump in a stretch, or just beside it?
fn jumps(fixes: &[Fix], off: &[f64], along: &[f64], from: usize, end: usize) -> bool {
    let (first_m, last_m) = (along[from] - BESIDE_M, along[end - 1] + BESIDE_M);
    let near: Vec<usize> = (0..fixes.len()).filter(|&k| (first_m..=last_m).contains(&along[k])).collect();
    near.iter().enumerate().any(|(n, &i)| {
        near[n + 1..].iter().take_while(|&&j| along[j] - along[i] <= JUMP_WAY_M).any(|&j| {
            let jump = off[i] - off[j];
            let apart = fixes[i].at - fixes[j].at;
            // What the two are apart along the line.
            jump.abs() >= JUMP_M && apart.dot(apart) - jump * jump <= WITHIN_M * WITHIN_M
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::LocalPlane;
    use crate::geometry::{Ellipse, Point};
    use crate::survey::{Cleaning, Observed, Role};

    fn line() -> Shape<Local> {
        Shape::Ellipse(Ellipse::new(Point::ORIGIN, [80.0, 65.0], 0.0).unwrap())
    }

    /// Laps of the ellipse at a fix each 1.1 m, so far off it at each step of a lap.
    fn walk(laps: usize, off: impl Fn(usize) -> f64) -> LocalSurvey {
        let points = (0..laps * 400).map(|i| {
            let t = i as f64 / 400.0 * std::f64::consts::TAU;
            let at = Point::new((80.0 + off(i)) * t.cos(), (65.0 + off(i)) * t.sin());
            Observed { time_s: Some(i as f64), path: Some(0), ..Observed::new(at, Role::Line) }
        });
        LocalSurvey::new(LocalPlane::own(), points.collect())
    }

    fn set_aside(mut survey: LocalSurvey, options: &CleanOptions) -> Vec<usize> {
        let told = clean_again(&mut survey, &line(), options);
        let gone: Vec<usize> =
            (0..survey.points.len()).filter(|&i| survey.points[i].cleaned.is_some()).collect();
        assert_eq!(told.iter().map(|s| s.count).sum::<usize>(), gone.len());
        gone
    }

    #[test]
    fn a_detour_with_a_step_off_the_line_is_set_aside_and_told() {
        let detour = |i: usize| if (100..120).contains(&i) { 7.0 } else { 0.0 };
        let gone = set_aside(walk(1, detour), &CleanOptions::default());
        assert_eq!(gone, (100..120).collect::<Vec<_>>());
    }

    #[test]
    fn what_swells_gently_is_the_line() {
        // 7 m over 23 m of line to either side, as a corner that the shape misses.
        let corner = |i: usize| (7.0 - (i as f64 - 100.0).abs() * 0.35).max(0.0);
        assert!(set_aside(walk(1, corner), &CleanOptions::default()).is_empty());
    }

    #[test]
    fn what_both_laps_go_is_the_line() {
        let pocket = |i: usize| if (100..120).contains(&(i % 400)) { 7.0 } else { 0.0 };
        assert!(set_aside(walk(2, pocket), &CleanOptions::default()).is_empty());
        let once = |i: usize| if (100..120).contains(&i) { 7.0 } else { 0.0 };
        assert_eq!(set_aside(walk(2, once), &CleanOptions::default()).len(), 20);
    }

    #[test]
    fn what_is_to_be_kept_is_and_so_is_a_line_of_another_shape() {
        let detour = |from: usize, i: usize| if (from..from + 20).contains(&i) { 7.0 } else { 0.0 };
        let steps = vec![Cleaning::Spike, Cleaning::Pause];
        let keep = CleanOptions { steps, ..CleanOptions::default() };
        assert!(set_aside(walk(1, |i| detour(100, i)), &keep).is_empty());
        // Three of them are more than a tenth of the walk.
        let three = |i| detour(50, i) + detour(150, i) + detour(250, i);
        assert!(set_aside(walk(1, three), &CleanOptions::default()).is_empty());
    }
}
