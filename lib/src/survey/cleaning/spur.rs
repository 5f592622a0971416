//! Out to a post, a gate or a light tower, and back the same way.
//!
//! The way comes back within a few metres of where it was, after an excursion that
//! encloses next to nothing for its length. Of such pairs of places the one is the base
//! whose excursion is longest for how near they lie. What is set aside is what lies off
//! the line through the base; the fixes at the base stay.
//!
//! Not found: a spur shorter than 6 m, a way back elsewhere than the way out (a
//! triangle, or a round of a hut), and a way longer than a third of a lap. Someone who
//! turns back along the line itself makes none: all passes stay.

use super::Found;
use super::track::Fix;
use super::way::{STEP_M, Sample, Way};
use crate::frame::Local;
use crate::geometry::{Point, distance_to_segment, ring_area};
use crate::survey::Cleaning;

/// Least way out, m.
const LEAST_OUT_M: f64 = 6.0;
/// Longest way out and back, m, and as a share of a lap.
const LONGEST_M: f64 = 150.0;
const LONGEST_SHARE: f64 = 1.0 / 3.0;
/// How near the base's two passes lie, m: a minute apart, a phone's fixes (1.5 m) lie 2.1 m
/// apart along each axis.
const BASE_M: f64 = 5.0;
/// What a metre between the passes is worth in metres of excursion.
const NEARNESS: f64 = 1.5;
/// Mean distance between the two legs, m.
const LEGS_M: f64 = 4.0;
/// How far off the line is off the line, m.
const OFF_LINE_M: f64 = 1.5;
/// A step of the walk longer than this many usual ones is a jump.
const JUMP: f64 = 3.0;
/// Line on either side of the base that fixes are held against, m.
const LINE_M: f64 = 10.0;
/// Once a base is seen, how many samples on the best one is looked for.
const LOOK_ON: usize = 12;

/// The spurs of a walk.
pub(super) fn find(fixes: &[Fix]) -> Vec<Found> {
    let way = Way::of(fixes);
    let longest_m = LONGEST_M.min(way.round_m * LONGEST_SHARE);
    let mut steps: Vec<f64> = fixes.windows(2).map(|w| w[0].at.distance_to(w[1].at)).collect();
    steps.sort_by(f64::total_cmp);
    let usual_m = steps.get(steps.len() / 2).copied().unwrap_or(0.0);
    let s = &way.samples;
    let mut out = Vec::new();
    let mut i = 0;
    while i < s.len() {
        if base_from(s, i, longest_m).is_none() {
            i += 1;
            continue;
        }
        let best = (i..s.len().min(i + LOOK_ON))
            .filter_map(|a| base_from(s, a, longest_m).map(|(b, worth)| (a, b, worth)))
            .max_by(|x, y| x.2.total_cmp(&y.2));
        match best.and_then(|(a, b, _)| Some((b, spur(fixes, s, (a, b), usual_m)?))) {
            Some((after, found)) => {
                out.push(found);
                i = after;
            }
            None => i += 1,
        }
    }
    out
}

/// The best place at which an excursion from sample `a` is back, and what it is worth.
fn base_from(s: &[Sample], a: usize, longest_m: f64) -> Option<(usize, f64)> {
    let from = s.get(a)?;
    s.iter()
        .enumerate()
        .skip(a + 1)
        .take_while(|(_, b)| b.along_m - from.along_m <= longest_m)
        .filter(|(_, b)| b.along_m - from.along_m >= 2.0 * LEAST_OUT_M)
        .filter_map(|(k, b)| {
            let apart = from.at.distance_to(b.at);
            (apart <= BASE_M).then_some((k, b.along_m - from.along_m - NEARNESS * apart))
        })
        .max_by(|x, y| x.1.total_cmp(&y.1))
}

/// The fixes off the line between two samples of a base, if they make a spur.
fn spur(fixes: &[Fix], s: &[Sample], (a, b): (usize, usize), usual_m: f64) -> Option<Found> {
    let length_m = s[b].along_m - s[a].along_m;
    let ring: Vec<Point<Local>> = s[a..=b].iter().map(|k| k.at).collect();
    // Two legs this far apart enclose their distance times the length of one.
    let legs_m = 2.0 * ring_area(&ring).abs() / length_m;
    let line = line_through(s, a, b);
    let off = |p: Point<Local>| {
        line.windows(2).map(|w| distance_to_segment(p, w[0], w[1])).fold(f64::INFINITY, f64::min)
    };
    let out_m = (s[a].fix..=s[b].fix).map(|i| off(fixes[i].at)).fold(0.0, f64::max);
    if !(legs_m <= LEGS_M && out_m >= LEAST_OUT_M) {
        return None;
    }
    if turns_back(fixes, s, (a, b), usual_m) {
        return None;
    }
    let drop: Vec<usize> = (s[a].fix..=s[b].fix).filter(|&i| off(fixes[i].at) > OFF_LINE_M).collect();
    (!drop.is_empty()).then(|| Found::new(Cleaning::Spur, drop).metres(out_m))
}

/// Does the walk go on from its base the way that it came? Then it turned back along the
/// line, whose far part nothing else may have covered.
fn turns_back(fixes: &[Fix], s: &[Sample], (a, b): (usize, usize), usual_m: f64) -> bool {
    // Over 20 m, which a fix's error hardly turns.
    let most = 2 * (LINE_M / STEP_M) as usize;
    let (Some(before), Some(after)) = (a.checked_sub(most).and_then(|k| s.get(k)), s.get(b + most)) else {
        return false;
    };
    let (came, goes) = (s[a].at - before.at, after.at - s[b].at);
    let far = s[a..=b].iter().map(|k| k.at - s[a].at).max_by(|p, q| p.length().total_cmp(&q.length()));
    // Walked, at the walk's own pace: no jump.
    let passed = fixes.get(s[a].fix..=s[b].fix).unwrap_or_default();
    let longest = passed.windows(2).map(|w| w[0].at.distance_to(w[1].at)).fold(0.0, f64::max);
    // On ahead, and then back where it came from.
    far.is_some_and(|tip| came.dot(tip) > 0.8 * came.length() * tip.length())
        && came.dot(goes) < -0.8 * came.length() * goes.length()
        && longest <= JUMP * usual_m
}

/// The line as it would be without the spur: some of the way before, and after.
fn line_through(s: &[Sample], a: usize, b: usize) -> Vec<Point<Local>> {
    // As many samples as the length can hold.
    let most = (LINE_M / STEP_M) as usize + 1;
    let before = (0..=a).rev().take(most).take_while(|&k| s[a].along_m - s[k].along_m <= LINE_M);
    let after = (b..s.len()).take(most).take_while(|&k| s[k].along_m - s[b].along_m <= LINE_M);
    let mut line: Vec<Point<Local>> = before.map(|k| s[k].at).collect();
    line.reverse();
    line.extend(after.map(|k| s[k].at));
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Straight pieces through corners, a fix each 1.4 m.
    fn through(corners: &[(f64, f64)]) -> Vec<Fix> {
        let mut fixes = Vec::new();
        for w in corners.windows(2) {
            let (a, b) = (Point::new(w[0].0, w[0].1), Point::new(w[1].0, w[1].1));
            let n = (a.distance_to(b) / 1.4).round() as usize;
            for k in 0..n {
                let at = a + (b - a) * (k as f64 / n as f64);
                fixes.push(Fix { at, time_s: None, path: 0, index: fixes.len() });
            }
        }
        fixes
    }

    /// A line of 100 m east and 100 m north, with something at 50 m.
    fn with(detour: &[(f64, f64)]) -> Vec<Fix> {
        let mut corners = vec![(0.0, 0.0), (50.0, 0.0)];
        corners.extend(detour);
        corners.extend([(100.0, 0.0), (100.0, 100.0)]);
        through(&corners)
    }

    #[test]
    fn a_spur_is_found_with_its_length() {
        for out in [8.0, -23.0, 30.0] {
            let fixes = with(&[(50.0, out), (50.0, 0.0)]);
            let found = find(&fixes);
            assert_eq!(found.len(), 1, "{out}");
            // The tip's fix lies within a step of it.
            assert!((found[0].metres.unwrap() - out.abs()).abs() < 1.4, "{:?}", found[0]);
            let off: Vec<usize> =
                (0..fixes.len()).filter(|&i| fixes[i].at.x < 90.0 && fixes[i].at.y.abs() > 3.0).collect();
            assert!(off.iter().all(|i| found[0].drop.contains(i)), "{out}");
            assert!(found[0].drop.iter().all(|&i| fixes[i].at.y.abs() > 1.0), "{out}");
        }
    }

    #[test]
    fn what_is_short_or_wide_is_none() {
        // 4 m out, and a triangle with 15 m of line as its base.
        for detour in [&[(50.0, 4.0), (50.0, 0.0)][..], &[(50.0, 15.0), (65.0, 0.0)]] {
            assert!(find(&with(detour)).is_empty(), "{detour:?}");
        }
        assert!(find(&with(&[])).is_empty());
    }

    #[test]
    fn back_along_the_line_and_on_keeps_each_place() {
        for back in [44.0, 35.0, 20.0] {
            let fixes = with(&[(back, 0.0)]);
            let dropped: Vec<usize> = find(&fixes).into_iter().flat_map(|f| f.drop).collect();
            let covered = |x: f64| {
                (0..fixes.len())
                    .any(|i| !dropped.contains(&i) && fixes[i].at.distance_to(Point::new(x, 0.0)) < 1.5)
            };
            assert!((0..100).all(|x| covered(f64::from(x))), "{back}");
        }
    }
}
