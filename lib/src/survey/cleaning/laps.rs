//! The closed line in a walk: where the walk joins it, how often it goes round, and
//! where it leaves.
//!
//! A walk is on the line where it is passed again in the same direction. The first
//! such place is where the walk joins it, the last where it leaves; what lies before
//! and after, if it goes well off the line, is the way there and away. A way out and
//! the same way back are passed in opposite directions, so they are no line.
//!
//! Where the walk stops short of closing, the same is asked with a wider reach.
//!
//! Not found: the way to the line of a walk that is more than 32 m short of closing, a
//! way that joins the line at a flat angle before it is a few metres from it, and a way
//! off and back that lies in the middle of a walk.

use std::collections::HashMap;

use super::track::{Fix, quantile};
use super::way::{BASE_M, Sample, Way};
use crate::frame::Local;
use crate::geometry::{Point, Vector, distance_to_segment};

/// How near two passes of one place lie, m, and the cosine of the greatest angle between
/// them: the first pair that finds any. A phone's two laps (1.5 m in each coordinate) lie
/// within 8 m of each other but once in a thousand; the second pair is for a walk that
/// starts and ends at a corner of its line, the others for one that stops short.
const REACHES: [(f64, f64); 4] = [(8.0, COS_45), (8.0, COS_75), (16.0, COS_45), (32.0, COS_45)];
const COS_45: f64 = std::f64::consts::FRAC_1_SQRT_2;
const COS_75: f64 = 0.258_819;
/// Least way between two passes, as a share of a lap estimated from the walk's extent.
const LEAST_LAP: f64 = 0.5;
/// A way to or from the line goes at least this far off it, m.
const LEAST_OFF_M: f64 = 6.0;
/// Way to either side of where the line is joined in which the corner is looked for, m.
const CORNER_M: f64 = 6.0;
/// Past the beginning by less than this is closing, not walking it again, m.
const LEAST_OVERLAP_M: f64 = 3.5;
/// A last lap of at least this share is a lap, though it falls short.
const NEARLY: f64 = 0.9;
/// Most samples of one cell of the grid that are looked at: more lie there only on
/// dozens of laps, and of those the farthest in time tell as much as all.
const LOOKED_AT: usize = 64;

/// Where a walk is on its line. Numbers are positions in the walk.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Laps {
    /// First fix on the line, and how far the way there is, m.
    pub(super) first: usize,
    pub(super) to_line_m: f64,
    /// Last fix before the walk goes over its beginning again, and how far it then does, m.
    pub(super) closes: usize,
    pub(super) past_m: f64,
    /// Last fix on the line, and how far the way off it is, m.
    pub(super) last: usize,
    pub(super) from_line_m: f64,
    /// Laps, a last one that is a little short included; 0 where the walk doesn't close.
    pub(super) whole: usize,
    /// From where the walk stops to where it began, m.
    pub(super) gap_m: f64,
    /// How far apart the laps lie, m, the middle value.
    pub(super) apart_m: Option<f64>,
}

/// What a walk's way goes round, anticlockwise positive, turns; of those parts of it that are on the line.
pub(super) fn turns(fixes: &[Fix]) -> f64 {
    let mut x: Vec<f64> = fixes.iter().map(|f| f.at.x).collect();
    let mut y: Vec<f64> = fixes.iter().map(|f| f.at.y).collect();
    let mid = |v: &mut [f64]| Some((quantile(v, 0.02)? + quantile(v, 0.98)?) / 2.0);
    let (Some(x), Some(y)) = (mid(&mut x), mid(&mut y)) else { return 0.0 };
    let centre = Point::new(x, y);
    let angle = |a: Vector<Local>, b: Vector<Local>| a.cross(b).atan2(a.dot(b));
    let sum: f64 = fixes.windows(2).map(|w| angle(w[0].at - centre, w[1].at - centre)).sum();
    sum / std::f64::consts::TAU
}

/// The laps of a walk.
pub(super) fn find(fixes: &[Fix]) -> Laps {
    let way = Way::of(fixes);
    let end = fixes.len().saturating_sub(1);
    let open = Laps {
        first: 0,
        to_line_m: 0.0,
        closes: end,
        past_m: 0.0,
        last: end,
        from_line_m: 0.0,
        whole: 0,
        gap_m: fixes.first().zip(fixes.last()).map_or(0.0, |(a, b)| a.at.distance_to(b.at)),
        apart_m: None,
    };
    let (onward, arriving) = (way.onward(), way.arriving());
    let samples = &way.samples;
    let least_m = way.round_m * LEAST_LAP;
    if least_m < REACHES[0].0 {
        return open;
    }
    let turn_deg_m = 360.0 / way.round_m * turns(fixes).signum();
    for (reach_m, same_way) in REACHES {
        let round =
            Round { samples, onward: &onward, arriving: &arriving, least_m, reach_m, same_way, turn_deg_m };
        let grid = Grid::of(samples, 0..samples.len(), reach_m);
        let Some(joins) = (0..samples.len()).find(|&k| round.passed_again(&grid, k, true)) else { continue };
        let Some(leaves) = (joins..samples.len()).rev().find(|&k| round.passed_again(&grid, k, false)) else {
            continue;
        };
        return round.laps(fixes, joins, leaves).unwrap_or(open);
    }
    open
}

struct Round<'a> {
    samples: &'a [Sample],
    onward: &'a [Vector<Local>],
    arriving: &'a [Vector<Local>],
    least_m: f64,
    reach_m: f64,
    same_way: f64,
    /// How much the line turns to the left, degrees a metre.
    turn_deg_m: f64,
}

impl Round<'_> {
    /// Is `later` a second pass of `earlier`, in the same direction? The way on from the one
    /// and the way that led to the other are the line's even where the walk joins or leaves it.
    fn same_place(&self, earlier: usize, later: usize) -> bool {
        let (p, q) = (&self.samples[earlier], &self.samples[later]);
        let apart_m = p.at.distance_to(q.at);
        // Over a gap the line goes on turning, as much as a round line would.
        let turned = || self.arriving[later].turned_deg(self.turn_deg_m * apart_m);
        q.along_m - p.along_m >= self.least_m
            && apart_m <= self.reach_m
            && self.onward[earlier].dot(turned()) >= self.same_way
    }

    /// Is this place passed once more later (or was it before)?
    fn passed_again(&self, grid: &Grid, k: usize, later: bool) -> bool {
        grid.around(self.samples[k].at).any(|cell| {
            if later {
                cell.iter().rev().take(LOOKED_AT).take_while(|&&o| o > k).any(|&o| self.same_place(k, o))
            } else {
                cell.iter().take(LOOKED_AT).take_while(|&&o| o < k).any(|&o| self.same_place(o, k))
            }
        })
    }

    fn laps(&self, fixes: &[Fix], joins: usize, leaves: usize) -> Option<Laps> {
        let s = self.samples;
        let line = Grid::of(s, joins..leaves + 1, LEAST_OFF_M);
        let goes_off = |mut part: std::ops::Range<usize>| {
            part.any(|k| {
                let near = |o: &usize| s[*o].at.distance_to(s[k].at) <= LEAST_OFF_M;
                !line.around(s[k].at).flat_map(|cell| cell.iter().take(LOOKED_AT)).any(near)
            })
        };
        let (joined, joins) = (joins, if goes_off(0..joins) { joins } else { 0 });
        let leaves = if goes_off(leaves + 1..s.len()) { leaves } else { s.len() - 1 };
        let first = if joins == 0 { 0 } else { corner(fixes, s, joins, CORNER_M, CORNER_M + BASE_M) };
        let end = fixes.len() - 1;
        let last =
            if leaves == s.len() - 1 { end } else { corner(fixes, s, leaves, CORNER_M + BASE_M, CORNER_M) };
        let joins = s.partition_point(|k| k.fix < first).min(leaves);
        let leaves =
            if last == end { leaves } else { s.partition_point(|k| k.fix <= last).saturating_sub(1) };
        let start = fixes.get(first)?.at;

        // A first fix that noise carries off has no pass of its own.
        let mut passes = self.passes(joins, leaves, start);
        if passes.is_empty() {
            passes = self.passes(joined, leaves, s[joined].at);
        }
        let along = |k: usize| s[k].along_m - s[joins].along_m;
        let (mut whole, mut closing) = (passes.len(), *passes.last()?);
        let lap_m = along(closing) / whole as f64;
        if along(leaves) - along(closing) >= NEARLY * lap_m {
            (whole, closing) = (whole + 1, leaves);
        }
        // To the last fix, if the way's last sample lies before it.
        let rest_m = if last == end { s[leaves].at.distance_to(fixes.get(last)?.at) } else { 0.0 };
        let past_m = along(leaves) - along(closing) + rest_m;
        let overlaps = past_m >= LEAST_OVERLAP_M;
        let closes = if overlaps { nearest_fix(fixes, s, closing, start, last) } else { last };
        Some(Laps {
            first,
            to_line_m: s[joins].along_m,
            closes,
            past_m: if overlaps { past_m } else { 0.0 },
            last,
            from_line_m: s.last()?.along_m - s[leaves].along_m,
            whole,
            gap_m: fixes.get(last)?.at.distance_to(start),
            apart_m: (whole > 1).then(|| self.apart(joins, passes[0], closing)).flatten(),
        })
    }

    /// The nearest sample of each later pass of the place where the walk joins its line.
    fn passes(&self, joins: usize, leaves: usize, start: Point<Local>) -> Vec<usize> {
        let s = self.samples;
        let mut out: Vec<usize> = Vec::new();
        // Of one pass, what lies within half the least lap.
        let mut entered_m = f64::NEG_INFINITY;
        // A little farther than the reach, for a start that is itself off by noise, and round a corner.
        let wide = Self { reach_m: 1.5 * self.reach_m, same_way: COS_75, ..*self };
        for k in (joins..=leaves).filter(|&k| wide.same_place(joins, k)) {
            let distance = |k: usize| s[k].at.distance_to(start);
            match out.last_mut() {
                Some(best) if s[k].along_m - entered_m < 0.5 * self.least_m => {
                    if distance(k) < distance(*best) {
                        *best = k;
                    }
                }
                _ => {
                    entered_m = s[k].along_m;
                    out.push(k);
                }
            }
        }
        out
    }

    /// The middle distance of the later laps from the first.
    fn apart(&self, joins: usize, first_end: usize, closing: usize) -> Option<f64> {
        let s = self.samples;
        let lap = Grid::of(s, joins..first_end + 1, self.reach_m);
        let mut all: Vec<f64> = (first_end + 1..=closing)
            .filter_map(|k| {
                let at = s[k].at;
                lap.around(at)
                    .flat_map(|cell| cell.iter().take(LOOKED_AT))
                    .filter(|&&o| self.same_place(o, k))
                    .map(|&o| {
                        let next = s[(o + 1).min(first_end)].at;
                        distance_to_segment(at, s[o].at, next)
                    })
                    .min_by(f64::total_cmp)
            })
            .collect();
        quantile(&mut all, 0.5)
    }
}

/// The fix at the corner between the way to (or off) the line and the line: the one farthest from the
/// chord of the way about sample `k`.
fn corner(fixes: &[Fix], s: &[Sample], k: usize, before_m: f64, after_m: f64) -> usize {
    let along = |m: f64| s.partition_point(|o| o.along_m < s[k].along_m + m).min(s.len() - 1);
    let (from, to) = (along(-before_m), along(after_m));
    let off = |i: &usize| distance_to_segment(fixes[*i].at, s[from].at, s[to].at);
    // From the first fix at or after the one sample to the last at or before the other.
    let between = |k: usize| usize::from(fixes[s[k].fix].at != s[k].at);
    (s[from].fix + between(from)..=s[to].fix)
        .max_by(|a, b| off(a).total_cmp(&off(b)))
        .unwrap_or(s[k].fix + between(k))
}

/// The fix nearest to `start` about a sample.
fn nearest_fix(fixes: &[Fix], s: &[Sample], k: usize, start: Point<Local>, last: usize) -> usize {
    let from = s[k.saturating_sub(2)].fix;
    let to = s[(k + 2).min(s.len() - 1)].fix.min(last);
    let distance = |i: &usize| fixes[*i].at.distance_to(start);
    (from..=to).min_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(last)
}

/// Samples by square cells.
struct Grid {
    cell_m: f64,
    cells: HashMap<(i64, i64), Vec<usize>>,
}

impl Grid {
    fn of(samples: &[Sample], part: std::ops::Range<usize>, cell_m: f64) -> Self {
        let mut cells: HashMap<(i64, i64), Vec<usize>> = HashMap::new();
        for k in part {
            if let Some(s) = samples.get(k) {
                cells.entry(cell(s.at, cell_m)).or_default().push(k);
            }
        }
        Self { cell_m, cells }
    }

    /// The cells that hold everything within a cell's size of a place.
    fn around(&self, p: Point<Local>) -> impl Iterator<Item = &[usize]> {
        let (x, y) = cell(p, self.cell_m);
        (-1..=1)
            .flat_map(move |i| (-1..=1).map(move |j| (x + i, y + j)))
            .filter_map(|key| self.cells.get(&key).map(Vec::as_slice))
    }
}

/// Coordinates are below 10⁸ m, so the casts are exact after the floor.
fn cell(p: Point<Local>, cell_m: f64) -> (i64, i64) {
    ((p.x / cell_m).floor() as i64, (p.y / cell_m).floor() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numeric::Draws;
    use crate::survey::cleaning::planted::{Kit, Oval, Planted, Steps};
    use crate::survey::cleaning::track::walks;

    /// With a fix each 1.4 m and an error of 2 cm.
    fn fixes(steps: &Steps) -> Vec<Fix> {
        let kit =
            Kit { every_s: 1.0, pace: 1.4, sd_m: 0.0, white_m: 0.02, tau_s: 20.0, timed: true, apart_m: 0.0 };
        let Planted { points, .. } = steps.recorded(kit, &mut Draws::of_many(1));
        walks(&points, false).remove(0)
    }

    #[test]
    fn two_laps_and_34_m() {
        let oval = Oval::ellipse(160.0, 130.0);
        let lap = oval.length_m();
        for sign in [1.0, -1.0] {
            let mut steps = Steps::new();
            steps.line(&oval, 0.0, sign * (2.0 * lap + 34.0), None);
            let fixes = fixes(&steps);
            let laps = find(&fixes);
            assert_eq!((laps.whole, laps.first, laps.last), (2, 0, fixes.len() - 1));
            // To a fix, and half a sample.
            assert!((laps.past_m - 34.0).abs() < 2.4, "{laps:?}");
            assert!(laps.apart_m.unwrap() < 0.1, "{laps:?}");
            assert!((turns(&fixes) * sign - 2.0).abs() < 0.2);
        }
    }

    #[test]
    fn laps_a_metre_apart_are_said_to_be() {
        let mut steps = Steps::new();
        for size in [0.0, 2.0] {
            let oval = Oval::ellipse(160.0 + size, 130.0 + size);
            steps.line(&oval, 0.0, oval.length_m(), None);
        }
        let laps = find(&fixes(&steps));
        assert_eq!(laps.whole, 2);
        // A metre on the axes and on the straight ends, and between.
        assert!((laps.apart_m.unwrap() - 1.0).abs() < 0.05, "{laps:?}");
    }

    #[test]
    fn the_same_way_back_closes_nothing() {
        let oval = Oval::ellipse(160.0, 130.0);
        let mut steps = Steps::new();
        steps.line(&oval, 0.0, 200.0, None);
        steps.line(&oval, 200.0, 0.0, None);
        let fixes = fixes(&steps);
        let laps = find(&fixes);
        assert_eq!(
            (laps.whole, laps.first, laps.closes, laps.last),
            (0, 0, fixes.len() - 1, fixes.len() - 1)
        );
    }

    #[test]
    fn half_a_lap_is_open_and_most_of_a_second_lap_is_a_lap() {
        let oval = Oval::ellipse(160.0, 130.0);
        for (laps, whole, past_m) in [(0.5, 0, 0.0), (1.95, 2, 0.0), (1.4, 1, 0.4 * oval.length_m())] {
            let mut steps = Steps::new();
            steps.line(&oval, 0.0, laps * oval.length_m(), None);
            let found = find(&fixes(&steps));
            assert_eq!(found.whole, whole, "{laps}");
            assert!((found.past_m - past_m).abs() < 2.4, "{laps} {found:?}");
        }
    }
}
