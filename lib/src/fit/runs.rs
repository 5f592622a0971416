//! Stretches that depart from the line: a detour round a stand, or a real kink. They are not outliers: they
//! stay in the fit, and are shown to the user.
//!
//! There are two ways to find one: successive points that are off their neighbours together, and points that
//! are off the robust ellipse with a sharp beginning and end.
//!
//! Measured on simulated surveys of a 160 × 130 m ground. Detours of 30 m by 4 m and 40 m by
//! 6 m, 10 of each, were found on an ellipse in all of an RTK lap's, in 19 and 20 of 20 by 90
//! points to 0.02 m and by 80 to 0.4 m, and on four arcs in all but a few; of 20 m by 2 m in 9 of
//! 10 by RTK and 3 of 10 by the trace. A phone's walk hides all but the largest (60 m by 8 m,
//! about half), and so do pockets of 3 m all round. Found where there was none: on ellipses,
//! four arcs and pockets in at most 2 surveys of 400. A side cut straight by 5 m is a kink and
//! looks it: told in a fifth of the surveys by 20 or 90 points, a third of the coarse traces,
//! 2 % of the walks.

use super::places::Indexed;
use super::places::{ISOLATED_M, Places};
use super::steady::{about_nought, median};

/// Smallest distance off the ellipse, m.
const LEAST_M: f64 = 1.0;
/// Smallest distance off the ellipse, as a multiple of the scatter about it.
const SIGMAS: f64 = 4.0;
/// Longest stretch, as a share of the way round. A longer one is part of the ground's shape.
const LONGEST: f64 = 0.35;
/// A stretch begins and ends sharply when it rises from a quarter of its height to three quarters within
/// this, m, plus one and a half times the spacing of its points.
const SHARP_M: f64 = 6.0;
/// Most successive points that are on the line and yet do not end a stretch.
const MISSING: usize = 2;
/// The next point of a row is compared with the median of this many points before it.
const LATE: usize = 40;
/// A point continues a row when it is within this share of that median.
const TOGETHER: f64 = 0.35;

/// A stretch that departs from the line.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Run {
    /// Indices in the line that was passed in, in the order walked.
    pub(super) positions: Vec<usize>,
    /// Metres of line.
    pub(super) length_m: f64,
    /// Mean distance off the ellipse, m, positive outside.
    pub(super) mean_m: f64,
    /// Largest distance off it on the side of the mean, m, with the mean's sign.
    pub(super) most_m: f64,
}

/// Median length of line between successive points, m.
fn usual(places: &Places, order: &[usize]) -> f64 {
    median(&mut order.windows(2).map(|w| places.between(w[0], w[1])).collect::<Vec<_>>()).unwrap_or(0.0)
}

/// Length of line that a row of points covers, m. It reaches to the middle of the gaps beyond its ends; but
/// two or three points, which may be rows mistyped together, cover only what lies between them. A step counts
/// for at most twice the usual one, since outliers jump along the line too.
fn extent(places: &Places, row: &[usize], usual: f64) -> f64 {
    let steps: Vec<f64> = row.windows(2).map(|w| places.between(w[0], w[1]).min(2.0 * usual)).collect();
    let span: f64 = steps.iter().sum();
    if row.len() < 4 { span } else { span + span / steps.len() as f64 }
}

fn run_of(places: &Places, positions: Vec<usize>, usual: f64) -> Run {
    let r: Vec<f64> = positions.iter().map(|&i| places.r[i]).collect();
    let mean_m = r.iter().sum::<f64>() / r.len().max(1) as f64;
    let most_m = r.iter().copied().max_by(|a, b| (a * mean_m.signum()).total_cmp(&(b * mean_m.signum())));
    Run { length_m: extent(places, &positions, usual), mean_m, most_m: most_m.unwrap_or(mean_m), positions }
}

/// The two orders of the points, each source by source: as walked, and round the curve.
fn orders(line: &[Indexed<'_>], places: &Places) -> [Vec<usize>; 2] {
    let mut walked: Vec<usize> = (0..line.len()).collect();
    let mut round = walked.clone();
    walked.sort_by_key(|&i| (line[i].1.source, line[i].1.path, i));
    round.sort_by(|&i, &j| {
        line[i].1.source.cmp(&line[j].1.source).then(places.s[i].total_cmp(&places.s[j])).then(i.cmp(&j))
    });
    [walked, round]
}

/// Finds the stretches, and removes their points from the outliers in `off`.
pub(super) fn take_out(line: &[Indexed<'_>], places: &Places, off: &mut [Option<f64>]) -> Vec<Run> {
    let mut found: Vec<Run> = Vec::new();
    let orders = orders(line, places);
    for order in &orders {
        let usual = usual(places, order);
        for row in rows(line, places, order, off, usual) {
            let row = with_ends(places, order, off, row);
            row.iter().for_each(|&i| off[i] = None);
            found.push(run_of(places, row, usual));
        }
    }
    for order in &orders {
        let kept: Vec<usize> = order.iter().copied().filter(|&i| off[i].is_none()).collect();
        let usual = usual(places, &kept);
        for row in stretches(line, places, &kept) {
            let row = with_ends(places, order, off, row);
            row.iter().for_each(|&i| off[i] = None);
            found.push(run_of(places, row, usual));
        }
    }
    found.sort_by(|a, b| b.length_m.total_cmp(&a.length_m));
    let mut taken = vec![false; line.len()];
    found.retain(|run| {
        let fresh = run.positions.iter().all(|&i| !taken[i]);
        run.positions.iter().for_each(|&i| taken[i] = true);
        fresh
    });
    found
}

/// A stretch with the outliers between and beside its points that are off on the same side, and hardly
/// farther off.
fn with_ends(places: &Places, order: &[usize], off: &[Option<f64>], row: Vec<usize>) -> Vec<usize> {
    let most = row.iter().map(|&i| places.r[i].abs()).fold(0.0, f64::max);
    let sign = row.iter().map(|&i| places.r[i]).sum::<f64>();
    let belongs = |i: usize| {
        off[i].is_some() && places.r[i] * sign > 0.0 && places.r[i].abs() <= most * (1.0 + TOGETHER)
    };
    let n = order.len();
    let at = |i: usize| order.iter().position(|&k| k == i);
    let (Some(first), Some(last)) = (row.first().copied().and_then(at), row.last().copied().and_then(at))
    else {
        return row;
    };
    let inside = (last + n - first) % n;
    let before = (1..n - inside).take_while(|m| belongs(order[(first + n - m) % n])).count();
    let after = (1..n - inside - before).take_while(|m| belongs(order[(last + m) % n])).count();
    let own: std::collections::BTreeSet<usize> = row.into_iter().collect();
    (0..=before + inside + after)
        .map(|m| order[(first + n - before + m) % n])
        .filter(|&i| own.contains(&i) || belongs(i))
        .collect()
}

/// Rows of successive points that are off their neighbours together for more than the least length.
fn rows(
    line: &[Indexed<'_>],
    places: &Places,
    order: &[usize],
    off: &[Option<f64>],
    usual: f64,
) -> Vec<Vec<usize>> {
    let mut out = Vec::new();
    let mut row: Vec<usize> = Vec::new();
    let mut missing = 0;
    let close = |row: &mut Vec<usize>, out: &mut Vec<Vec<usize>>| {
        let row = std::mem::take(row);
        if row.len() >= 3 && extent(places, &row, usual) > ISOLATED_M {
            out.push(row);
        }
    };
    for &i in order {
        let Some(d) = off[i] else {
            missing += 1;
            continue;
        };
        let goes_on = row.last().is_some_and(|&last| {
            let late = &row[row.len().saturating_sub(LATE)..];
            let mut all: Vec<f64> = late.iter().filter_map(|&k| off[k]).collect();
            let middle = median(&mut all).unwrap_or(0.0);
            missing <= MISSING.min(row.len() / 2)
                && line[last].1.source == line[i].1.source
                && places.between(last, i) < 2.0 * ISOLATED_M
                && (d - middle).abs() < TOGETHER * middle.abs()
        });
        if !goes_on {
            close(&mut row, &mut out);
        }
        row.push(i);
        missing = 0;
    }
    close(&mut row, &mut out);
    out
}

/// Stretches off the ellipse with a sharp beginning and end.
fn stretches(line: &[Indexed<'_>], places: &Places, order: &[usize]) -> Vec<Vec<usize>> {
    let n = order.len();
    let Some(scatter) = about_nought(order.iter().map(|&i| places.r[i])) else { return Vec::new() };
    let limit = (SIGMAS * scatter).max(LEAST_M);
    let usual = usual(places, order);
    let r = |k: usize| places.r[order[k % n]];
    let beyond = |k: usize| r(k).abs() > limit;
    let follows = |k: usize| {
        let (a, b) = (order[k % n], order[(k + 1) % n]);
        line[a].1.source == line[b].1.source && places.between(a, b) < 2.0 * ISOLATED_M
    };
    // Begin at a point on the ellipse, so that no stretch is cut in two.
    let Some(first) = (0..n).find(|&k| !beyond(k)) else { return Vec::new() };
    let mut out = Vec::new();
    let mut k = first;
    while k < first + n {
        if !beyond(k) {
            k += 1;
            continue;
        }
        let start = k;
        let mut end = k;
        while end + 1 < first + n && follows(end) && beyond(end + 1) && r(end + 1) * r(start) > 0.0 {
            end += 1;
        }
        k = end + 1;
        let row: Vec<usize> = (start..=end).map(|k| order[k % n]).collect();
        let length = extent(places, &row, usual);
        if row.len() < 3 || length <= ISOLATED_M || length > LONGEST * places.around {
            continue;
        }
        let height = median(&mut row.iter().map(|&i| places.r[i].abs()).collect::<Vec<_>>()).unwrap_or(0.0);
        let spacing = length / row.len() as f64;
        // Length of line from a point at three quarters of the height out to one at a quarter of it.
        let rise = |inside: usize, outward: bool| {
            let step = |k: usize| if outward { k + 1 } else { k + n - 1 };
            let (mut k, mut way) = (inside, 0.0);
            for _ in 0..n {
                if r(k).abs() < 0.25 * height {
                    return way;
                }
                let next = step(k);
                if !follows(if outward { k } else { next }) {
                    return f64::INFINITY;
                }
                // A gap that was not surveyed (the goals) does not count as a slow rise.
                way += places.between(order[k % n], order[next % n]).min(1.5 * spacing);
                k = next;
            }
            f64::INFINITY
        };
        let high = |k: &usize| r(*k).abs() >= 0.75 * height;
        let (Some(up), Some(down)) = ((start..=end).find(high), (start..=end).rev().find(high)) else {
            continue;
        };
        let sharp = SHARP_M + 1.5 * spacing;
        if rise(up, false) <= sharp && rise(down, true) <= sharp {
            out.push(row);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::outliers::isolated;
    use crate::frame::Local;
    use crate::geometry::{Ellipse, Point};
    use crate::survey::{Observed, Role};

    /// An exact ellipse of 120 points, 4 m apart, `off` metres outside at each.
    fn found(off: impl Fn(usize) -> f64) -> super::super::outliers::Found {
        let e = Ellipse::<Local>::new(Point::new(3.0, 4.0), [80.0, 70.0], 30.0).unwrap();
        let points: Vec<Observed> = (0..120)
            .map(|i| {
                let foot = e.at_parameter(i as f64 / 120.0 * std::f64::consts::TAU);
                Observed::new(foot + e.foot(foot).normal * off(i), Role::Line)
            })
            .collect();
        isolated(&points.iter().enumerate().collect::<Vec<_>>(), &[])
    }

    #[test]
    fn a_detour_is_one_run_with_its_size() {
        // Ten points, across the start of the order.
        let f = found(|i| if (5..115).contains(&i) { 0.0 } else { -3.0 });
        assert!(f.blunders.is_empty(), "{:?}", f.blunders);
        let [run] = f.runs.as_slice() else { panic!("{:?}", f.runs) };
        let mut positions = run.positions.clone();
        positions.sort_unstable();
        assert_eq!(positions, [0, 1, 2, 3, 4, 115, 116, 117, 118, 119]);
        // 10 of 120 points of a line of 472 m, by the ellipse's own spacing (3.7 to 4.2 m).
        assert!((run.length_m - 39.3).abs() < 3.0, "{}", run.length_m);
        // The direct fit without the run is exact to rounding.
        assert!((run.mean_m + 3.0).abs() < 1e-6 && (run.most_m + 3.0).abs() < 1e-6);
    }

    #[test]
    fn a_slow_departure_is_none() {
        // Three metres in a swell of half the line.
        let f = found(|i| 3.0 * (i as f64 / 120.0 * std::f64::consts::PI).sin().powi(2));
        assert!(f.blunders.is_empty() && f.runs.is_empty(), "{f:?}");
    }
}
