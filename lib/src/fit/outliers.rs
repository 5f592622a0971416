//! Outliers: single points that lie off their neighbours, such as mistyped coordinates and spikes. Stretches
//! of line that depart together are another matter: see [`runs`].
//!
//! The ground may not be an ellipse, and a walk's error has a correlation length of tens of metres. So a
//! point far from an ellipse is not an outlier for that reason alone. What counts is its distance from its
//! neighbours: points of the same source along the walk or round the curve. First the distances from a
//! [robust](super::steady) ellipse are taken. Then the [chain](super::chain) finds the points that must be
//! skipped. Last, each point is compared with a straight line between its sound neighbours on either side.
//!
//! Three kinds of outlier are not found. Those that are off along the line but stay on it do no harm. Those
//! below the limits here stay in the fit, and widen the ±. Where points are over 20 m apart, those of less
//! than about 5 m stay too.
//!
//! Measured on simulated surveys of a 160 × 130 m ground (ellipse, four arcs, a side cut by
//! 5 m, pockets of 3 m; phones that drift by 1.5 m over 20 and 60 s, one lap and three, RTK of
//! 0.02 m, traces of 40 to 0.6 m and of 80 to 0.4 m, 12, 20 and 90 points to 0.02 m):
//! - 400 clean surveys of each of the 36 kinds: at most one in 400 lost a point, never more than two.
//! - A fifth of the points of 200 ellipses each moved by 3 to 90 m in any direction: the outliers that were
//!   not found lie less than 1 m off by RTK, 9 m by a phone (one of 26,000: 18 m), 5 m with 90 points and 8 m
//!   in the trace of 80. In the trace of 40, 2 % of the outliers stayed at 8 to 16 m, in rows of several. 4
//!   sound points in 10,000 were lost, in the trace of 40 one in 300.
//! - Length and width then moved by more than their ± in at most 1 % of the surveys by phones and RTK, 3 to
//!   6 % of those of 90 points and the traces, 3 % of 12 points and 7 % of 20. With a twentieth of the points
//!   moved: in at most 1 % of any kind.

use super::chain::{Chain, Round, Steps};
use super::places::{ISOLATED_M, Indexed, Places};
use super::runs::{self, Run};
use super::steady::{Steady, about_nought, median, steady};
use crate::frame::Local;
use crate::geometry::Point;

/// With a larger share of outliers than this, none is set aside: then the points follow no line.
const MOST_SHARE: f64 = 0.25;
/// Largest scatter about the ellipse, as a share of its half-width. With more, the points follow no oval.
const SCATTER_LIMIT: f64 = 0.15;
/// Points farther apart than this are too far apart to check one against its neighbours, m.
const SPARSE_M: f64 = 20.0;
/// Fewest points of a source for which each point is checked against its neighbours.
const NEIGHBOURS: usize = 24;
/// Where points can't be checked against neighbours, an outlier is farther off the ellipse than this, m. A
/// side cut straight by 5 m stays within it.
const ALONE_M: f64 = 7.0;
/// The limit is never less than this many times the scatter about the ellipse.
const ALONE_TIMES: f64 = 8.0;
/// A point of a walk is an outlier if it lies farther than this beyond both its neighbours along the line, m.
const ALONG_M: f64 = 10.0;
/// Smallest distance off the neighbours that makes an outlier, m. A smaller one moves no dimension of an
/// exact survey by more than its ±.
const LEAST_M: f64 = 0.1;
/// Most neighbours on each side that are averaged.
const BESIDE: usize = 2;
/// Greatest distance of an averaged neighbour beyond the nearest one on its side, m.
const BESIDE_M: f64 = 4.0;
/// Standard deviations that a point may lie off its neighbours. Of 328 normal errors one goes beyond five
/// standard deviations in one of 5,000 surveys; the scatter itself is known from a few tens of points.
const SIGMAS: f64 = 4.8;
/// How far the shape of the line itself puts a point off neighbours g metres away on each side: this times
/// g², per metre. A side cut straight by 5 m needs 0.0052 g², and a pocket of 3 m in 80 m 0.0046 g².
const BENT: f64 = 0.006;
/// Upper limit of that allowance, m.
const BENT_MOST_M: f64 = 6.0;
/// The same factor for a goal line across the end of an oval, per metre. It bends more: an end arc of 50 m
/// needs 0.0092 g².
const GOAL_BENT: f64 = 0.0095;
/// Upper limit of that allowance, m: a goal line is nowhere farther off than this.
const GOAL_MOST_M: f64 = 0.95;
/// A point that was set aside is used again when it lies off by less than this share of the limit.
const BACK: f64 = 0.9;
/// Most successive points that are checked as a group: mistyped rows come in twos and threes.
const TOGETHER: usize = 3;
/// Most rounds of setting points aside and using them again; about six are enough.
const ROUNDS: usize = 16;
/// Most rounds of building the chain and estimating the scatter.
const CHAINS: usize = 3;

/// A point that lies off its neighbours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Blunder {
    /// Its index in the line that was passed in.
    pub(super) position: usize,
    /// How far it lies off, m.
    pub(super) distance_m: f64,
}

/// The outliers and the stretches that were found.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Found {
    /// In the order of the line that was passed in.
    pub(super) blunders: Vec<Blunder>,
    /// Longest first.
    pub(super) runs: Vec<Run>,
}

/// Finds the outliers of a line, and the stretches that depart from it. The line is in the survey's order.
///
/// `posts` help to find the ellipse where the line has few points.
pub(super) fn isolated(line: &[Indexed<'_>], posts: &[Point<Local>]) -> Found {
    let mut points: Vec<Point<Local>> = line.iter().map(|p| p.1.at).collect();
    if points.len() < NEIGHBOURS {
        points.extend(posts);
    }
    let Some(Steady { ellipse, scatter_m }) = steady(&points) else { return Found::default() };
    if scatter_m > SCATTER_LIMIT * ellipse.semi_minor_m() {
        return Found::default();
    }
    let places = Places::of(line, &ellipse);
    let mut off = vec![None; line.len()];
    let sources = line.iter().map(|p| p.1.source + 1).max().unwrap_or(0);
    let mut of_source: Vec<Vec<usize>> = vec![Vec::new(); sources];
    for (position, p) in line.iter().enumerate() {
        of_source[p.1.source].push(position);
    }
    for of in &mut of_source {
        let spacing = |of: &[usize]| {
            median(&mut of.windows(2).map(|w| places.between(w[0], w[1])).collect::<Vec<_>>())
                .unwrap_or(f64::INFINITY)
        };
        // In the order walked if there is one, since errors are correlated along the walk; else round the
        // curve.
        let mut middle = spacing(of);
        if middle > SPARSE_M || of.len() < NEIGHBOURS {
            of.sort_by(|&i, &j| places.s[i].total_cmp(&places.s[j]));
            middle = spacing(of);
        }
        if of.len() < NEIGHBOURS || middle > SPARSE_M {
            let found = off_the_ellipse(of, &places, scatter_m);
            of.iter().zip(found).for_each(|(&i, d)| off[i] = d);
        } else {
            let found = off_neighbours(line, of, &places, scatter_m);
            of.iter().zip(found).for_each(|(&i, d)| off[i] = d);
        }
    }
    let runs = runs::take_out(line, &places, &mut off);
    let blunders: Vec<Blunder> = off
        .iter()
        .enumerate()
        .filter_map(|(position, d)| d.map(|d: f64| Blunder { position, distance_m: d.abs() }))
        .collect();
    if blunders.len() as f64 > MOST_SHARE * line.len() as f64 {
        return Found::default();
    }
    Found { blunders, runs }
}

/// How far each point of one source lies off its neighbours; `None` for a point that is no outlier. `of` has
/// the points in order.
fn off_neighbours(line: &[Indexed<'_>], of: &[usize], places: &Places, scatter_m: f64) -> Vec<Option<f64>> {
    let n = of.len();
    let s: Vec<f64> = of.iter().map(|&i| places.s[i]).collect();
    let r: Vec<f64> = of.iter().map(|&i| places.r[i]).collect();
    let mut sds: Vec<f64> = of.iter().filter_map(|&i| line[i].1.sd_m).collect();
    let usual = median(&mut sds).unwrap_or(1.0);
    let unsure: Vec<f64> =
        of.iter().map(|&i| line[i].1.sd_m.map_or(1.0, |sd| (sd / usual).max(1.0))).collect();
    let round = Round { s: &s, r: &r, unsure: &unsure, around: places.around };
    let mut good = vec![true; n];
    let mut steps = Steps::of(&round, &good);
    for _ in 0..CHAINS {
        let chain = round.chain(&steps, scatter_m);
        let next = without_islands(&round, &steps, chain);
        let same = next == good;
        good = next;
        steps = Steps::of(&round, &good);
        if same {
            break;
        }
    }
    let mut together = 1;
    for _ in 0..ROUNDS {
        let seen: Vec<Beside> = (0..n).map(|i| Beside::of(&round, &good, i, &[])).collect();
        let sound = seen.iter().zip(&good).filter(|(_, good)| **good);
        let Some(unit) = about_nought(sound.map(|(b, _)| b.between / steps_sd(&steps, b.gap))) else {
            return vec![None; n];
        };
        let ratio = |i: usize, b: &Beside| {
            let limit = SIGMAS * unit * steps_sd(&steps, b.gap) * unsure[i] + shape_m(b.square);
            (b.off.abs() / limit).max(b.along / ALONG_M)
        };
        // A group of successive points that are all off their neighbours, with the smallest ratio among them.
        let group = |first: usize| -> Option<(f64, Vec<usize>)> {
            let members: Vec<usize> =
                (0..n).map(|m| (first + m) % n).filter(|&i| good[i]).take(together).collect();
            let beside: Vec<Beside> =
                members.iter().map(|&i| Beside::of(&round, &good, i, &members)).collect();
            // The gap is taken between the sound points on each side: the members may be off along the line
            // too.
            if members.len() > 1 && beside[0].gap > ISOLATED_M + 2.0 * steps.spacing() {
                return None;
            }
            let least = members.iter().zip(&beside).map(|(&i, b)| ratio(i, b)).fold(f64::INFINITY, f64::min);
            (least > 1.0).then_some((least, members))
        };
        let mut worst: Vec<(f64, Vec<usize>)> = (0..n).filter(|&i| good[i]).filter_map(group).collect();
        worst.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut touched = vec![false; n];
        let mut changed = false;
        for i in 0..n {
            if !good[i] && ratio(i, &seen[i]) < BACK {
                (good[i], touched[i], changed) = (true, true, true);
            }
        }
        for (_, members) in worst {
            // A point beside a worse one may be off only because of that one.
            let near = |i: usize| (0..=2 * BESIDE).any(|k| touched[(i + k) % n] || touched[(i + n - k) % n]);
            if members.iter().any(|&i| near(i)) {
                continue;
            }
            changed = true;
            for i in members {
                (good[i], touched[i]) = (false, true);
            }
        }
        if changed {
            together = 1;
        } else if together < TOGETHER {
            together += 1;
        } else {
            break;
        }
        steps = Steps::of(&round, &good);
    }
    let at = |i: usize| line[of[i]].1.at;
    let told = |i: usize| {
        let b = Beside::of(&round, &good, i, &[]);
        // A point that jumped along the line is off by its distance from the nearer neighbour.
        let near = at(i).distance_to(at(b.first)).min(at(i).distance_to(at(b.last)));
        if b.along > 0.0 { near.copysign(b.off) } else { b.off }
    };
    (0..n).map(|i| (!good[i]).then(|| told(i))).collect()
}

/// The same as [`off_neighbours`] where points are too far apart or too few. A point is an outlier if it is
/// farther off the ellipse than any shape of ground, or if it alone is off while its neighbours lie on it.
fn off_the_ellipse(of: &[usize], places: &Places, scatter_m: f64) -> Vec<Option<f64>> {
    let n = of.len();
    let s: Vec<f64> = of.iter().map(|&i| places.s[i]).collect();
    let r: Vec<f64> = of.iter().map(|&i| places.r[i]).collect();
    let limit = ALONE_M.max(ALONE_TIMES * scatter_m);
    let mut good: Vec<bool> = r.iter().map(|r| r.abs() <= limit).collect();
    let mut off: Vec<Option<f64>> = r.iter().map(|&r| (r.abs() > limit).then_some(r)).collect();
    let round = Round { s: &s, r: &r, unsure: &[], around: places.around };
    // Each pass takes one point out.
    for _ in 0..n / 4 {
        let over = |i: usize| {
            let b = Beside::of(&round, &good, i, &[]);
            let off = if b.off.abs() < r[i].abs() { b.off } else { r[i] };
            (off, off.abs() / (SIGMAS * scatter_m + shape_m(b.square)))
        };
        let worst = (0..n).filter(|&i| good[i]).map(|i| (i, over(i))).max_by(|a, b| a.1.1.total_cmp(&b.1.1));
        match worst {
            Some((i, (d, ratio))) if ratio > 1.0 && n > 3 => (good[i], off[i]) = (false, Some(d)),
            _ => break,
        }
    }
    off
}

/// How far a sound point without error may lie off its neighbours, m. `square` is their mean square distance
/// along the line, m².
fn shape_m(square: f64) -> f64 {
    LEAST_M + (BENT * square).min(BENT_MOST_M).max((GOAL_BENT * square).min(GOAL_MOST_M))
}

/// Standard deviation of the steps over half the gap, m. It is at least 10⁻⁶, so that it can be a divisor for
/// exact points too.
fn steps_sd(steps: &Steps, gap: f64) -> f64 {
    steps.sd(0.5 * gap).max(1e-6)
}

/// Which points the chain holds, without short pieces between two breaks that are off the line on both sides.
fn without_islands(round: &Round<'_>, steps: &Steps, chain: Chain) -> Vec<bool> {
    let (n, mut good) = (round.r.len(), chain.holds);
    let count = chain.breaks.len();
    if count < 2 {
        return good;
    }
    for (k, &start) in chain.breaks.iter().enumerate() {
        let end = chain.breaks[(k + 1) % count];
        let members: Vec<usize> =
            (0..(end + n - start) % n).map(|m| (start + m) % n).filter(|&i| good[i]).collect();
        let (Some(&first), Some(&last)) = (members.first(), members.last()) else { continue };
        let before = (1..n).map(|m| (first + n - m) % n).find(|&i| good[i]);
        let after = (1..n).map(|m| (last + m) % n).find(|&i| good[i]);
        let (Some(before), Some(after)) = (before, after) else { continue };
        let bridged = (round.r[after] - round.r[before]).abs() <= steps.limit(round.gap(before, after));
        if round.gap(first, last) < ISOLATED_M && bridged {
            members.iter().for_each(|&i| good[i] = false);
        }
    }
    good
}

/// Where a point lies in relation to its sound neighbours.
#[derive(Debug, Clone, Copy)]
struct Beside {
    /// Distance off the straight line between the means of the two sides, m.
    between: f64,
    /// Distance off the nearer of the two sides' means, m; zero between them. So a corner, and the first and
    /// last point of a stretch that departs, count as sound: they are off one side only.
    off: f64,
    /// Distance along the line beyond the nearer of the two sides, m; zero between them. In the order of a
    /// walk it is large for a point that jumps ahead or back and returns at once.
    along: f64,
    /// Distance along the line from one side to the other, m.
    gap: f64,
    /// The nearest sound neighbour on each side.
    first: usize,
    last: usize,
    /// Mean square distance to its neighbours along the line, m², as if the point lay midway between them.
    square: f64,
}

/// Sums over the neighbours on one side.
#[derive(Debug, Clone, Copy, Default)]
struct Side {
    count: f64,
    nearest: usize,
    /// Distances of the neighbours from the point along the line, m.
    far: f64,
    /// Distances of the neighbours from the ellipse, m.
    off: f64,
    /// Distances of the neighbours from the nearest of them, m, and the squares of those.
    beyond: f64,
    beyond_squared: f64,
}

impl Beside {
    fn of(round: &Round<'_>, good: &[bool], i: usize, without: &[usize]) -> Self {
        let n = round.r.len();
        let side = |forward: bool| {
            let mut seen = Side { nearest: i, ..Side::default() };
            for m in 1..n {
                let j = if forward { (i + m) % n } else { (i + n - m) % n };
                if !good[j] || without.contains(&j) {
                    continue;
                }
                if seen.count == 0.0 {
                    seen.nearest = j;
                }
                let beyond = round.gap(j, seen.nearest);
                if beyond > BESIDE_M || seen.count >= BESIDE as f64 {
                    break;
                }
                seen.count += 1.0;
                seen.far += round.gap(i, j);
                seen.off += round.r[j];
                seen.beyond += beyond;
                seen.beyond_squared += beyond * beyond;
            }
            seen.count = seen.count.max(1.0);
            seen
        };
        let (a, b) = (side(false), side(true));
        let (first, last) = (a.nearest, b.nearest);
        let (before, left, after, right) =
            (a.far / a.count, a.off / a.count, b.far / b.count, b.off / b.count);
        // Straight from side to side, not through the point: the point may be off along the line too.
        let gap = round.gap(first, last);
        let square = [a, b]
            .iter()
            .map(|s| 0.25 * gap * gap + (gap * s.beyond + s.beyond_squared) / s.count)
            .sum::<f64>()
            * 0.5;
        let way = before + after;
        let at = if way > 0.0 { left + (right - left) * before / way } else { 0.5 * (left + right) };
        let (a, b) = (round.r[i] - left, round.r[i] - right);
        let off = if a * b <= 0.0 {
            0.0
        } else if a.abs() < b.abs() {
            a
        } else {
            b
        };
        let along = (round.gap(i, first).min(round.gap(i, last)) - gap).max(0.0);
        Self { between: round.r[i] - at, off, along, gap, first, last, square }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Ellipse;
    use crate::survey::{Observed, Role};

    fn line(n: usize) -> Vec<Observed> {
        let e = Ellipse::<Local>::new(Point::new(-20.0, 15.0), [82.0, 68.0], 70.0).unwrap();
        (0..n)
            .map(|i| e.at_parameter(i as f64 / n as f64 * std::f64::consts::TAU))
            .map(|p| Observed::new(p, Role::Line))
            .collect()
    }

    fn off(points: &[Observed]) -> Vec<(usize, f64)> {
        let found = isolated(&points.iter().enumerate().collect::<Vec<_>>(), &[]);
        assert!(found.runs.is_empty());
        found.blunders.iter().map(|b| (b.position, b.distance_m)).collect()
    }

    #[test]
    fn a_spike_is_named_with_its_distance() {
        for n in [12, 40, 300] {
            let mut points = line(n);
            assert_eq!(off(&points), []);
            // Out from the centre by 30 m where the normal is that direction: an axis end.
            points[0].at = points[0].at + (points[0].at - Point::new(-20.0, 15.0)) * (30.0 / 82.0);
            let [(0, distance)] = off(&points)[..] else { panic!("{n}: {:?}", off(&points)) };
            // Exact points: rounding of the direct fit through the rest.
            assert!((distance - 30.0).abs() < 1e-6, "{n} {distance}");
        }
    }

    #[test]
    fn a_jump_along_a_walk_is_one_too() {
        let mut points = line(200);
        points[50].at = points[70].at;
        let [(50, distance)] = off(&points)[..] else { panic!("{:?}", off(&points)) };
        // 20 of 200 steps of a line of 472 m, less the two to its neighbours.
        assert!((40.0..50.0).contains(&distance), "{distance}");
    }

    #[test]
    fn points_unsure_of_themselves_may_stand_off_more() {
        let mut points = line(200);
        for (i, p) in points.iter_mut().enumerate() {
            p.sd_m = Some(0.02);
            let noise = [0.02, -0.01, 0.015, -0.025][i % 4];
            p.at = p.at + (p.at - Point::new(-20.0, 15.0)) * (noise / 75.0);
        }
        points[9].at = points[9].at + (points[9].at - Point::new(-20.0, 15.0)) * (1.0 / 75.0);
        assert_eq!(off(&points).len(), 1);
        // Fifteen times less sure: a metre is 3.3 of its standard deviations, under the 4.8 allowed.
        points[9].sd_m = Some(0.3);
        assert_eq!(off(&points), []);
    }

    #[test]
    fn more_than_a_quarter_of_blunders_are_none() {
        let mut points = line(60);
        for i in (0..60).filter(|i| i % 5 < 2) {
            let out = if i % 2 == 0 { 0.3 } else { -0.3 };
            points[i].at = points[i].at + (points[i].at - Point::new(-20.0, 15.0)) * out;
        }
        assert_eq!(off(&points), []);
    }

    #[test]
    fn each_source_is_held_against_itself() {
        // A loose trace beside exact points: its scatter is its own.
        let mut points = line(200);
        for (k, mut p) in line(40).into_iter().enumerate() {
            let noise = [0.9, -0.4, 0.2, -1.1, 0.6][k % 5];
            p.at = p.at + (p.at - Point::new(-20.0, 15.0)) * (noise / 75.0);
            p.source = 1;
            points.push(p);
        }
        assert_eq!(off(&points), []);
    }
}
