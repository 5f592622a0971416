//! Points that stand off their neighbours: mistyped coordinates and spikes, apart from
//! what runs on along the line.
//!
//! The ground may be no ellipse and a walk's error lasts for tens of metres, so a point is
//! no blunder for lying far from an ellipse. What counts is how far it stands from its
//! neighbours, those of one source along the walk or round the curve, after a [steady](super::steady) ellipse
//! is taken off: the [chain](super::chain) finds what must be skipped, then each point is
//! held against a straight line between its sound neighbours on either side.
//!
//! Not found: blunders along the line that stay on it (they do no harm), those below the
//! limits here (they stay, and the ± grows by them), and where points lie over 20 m apart
//! those of less than 7 m.

use super::chain::{Chain, LEAST_M, Round, Steps};
use super::curve_fit::Indexed;
use super::runs::{self, Run};
use super::steady::{Steady, about_nought, median, steady};
use crate::frame::Local;
use crate::geometry::{Ellipse, Point};

/// A departure longer than this is no isolated blunder, m of line.
pub(super) const ISOLATED_M: f64 = 15.0;
/// More blunders than this share of the points are none: these lie round no line at all.
const MOST_SHARE: f64 = 0.25;
/// A middle distance from the ellipse over its half-width beyond which the points lie round no oval.
const SCATTER_LIMIT: f64 = 0.15;
/// Points farther apart than this tell nothing of each other, m.
const SPARSE_M: f64 = 20.0;
/// Fewest points of a source that have neighbours to speak of.
const NEIGHBOURS: usize = 24;
/// Where there are no neighbours: a side cut straight by 5 m stays within this, m.
const ALONE_M: f64 = 7.0;
/// And what the rest scatter by, times this.
const ALONE_TIMES: f64 = 8.0;
/// Neighbours on either side whose middle is taken.
const BESIDE: usize = 2;
/// And how far beyond the nearest of them they may lie, m.
const BESIDE_M: f64 = 6.0;
/// Standard deviations that a point may stand off its neighbours: 328 normal errors go
/// beyond five once in 5,000 surveys; the scatter itself is known from some tens of points.
const SIGMAS: f64 = 4.5;
/// What a shape stands off its neighbours at g m on either side: 0.006 g², of a side cut
/// straight by 5 m 0.0052 g² and of a pocket of 3 m in 80 m 0.0046 g², per metre.
const BENT: f64 = 0.006;
/// And at most this, m.
const BENT_MOST_M: f64 = 6.0;
/// A point comes back when it stands off by less than this share of the limit.
const BACK: f64 = 0.9;
/// Points in a row that are looked at together: mistyped rows come in twos and threes.
const TOGETHER: usize = 3;
/// Rounds of setting aside and taking back; half a dozen settle it.
const ROUNDS: usize = 16;
/// Rounds of chain and scatter.
const CHAINS: usize = 3;
/// Chords of the table from the eccentric angle to the length of arc.
const CHORDS: usize = 720;

/// A point that stands off its neighbours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Blunder {
    /// Its position in the line given.
    pub(super) position: usize,
    /// How far it stands off, m.
    pub(super) distance_m: f64,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Found {
    /// In the order of the line given.
    pub(super) blunders: Vec<Blunder>,
    /// Longest first.
    pub(super) runs: Vec<Run>,
}

/// Length of arc by eccentric angle: chords are as good here.
struct Arcs {
    table: Vec<f64>,
}

impl Arcs {
    fn of(e: &Ellipse<Local>) -> Self {
        let at = |i: usize| e.at_parameter(i as f64 / CHORDS as f64 * std::f64::consts::TAU);
        let mut sum = 0.0;
        let table = (0..=CHORDS)
            .map(|i| {
                if i > 0 {
                    sum += at(i).distance_to(at(i - 1));
                }
                sum
            })
            .collect();
        Self { table }
    }

    fn around(&self) -> f64 {
        self.table[CHORDS]
    }

    fn at(&self, eccentric_rad: f64) -> f64 {
        let k = (eccentric_rad / std::f64::consts::TAU).rem_euclid(1.0) * CHORDS as f64;
        // In 0..CHORDS, so the cast is exact.
        let i = (k as usize).min(CHORDS - 1);
        self.table[i] + (self.table[i + 1] - self.table[i]) * (k - i as f64)
    }
}

/// Where every point of the line lies by the steady ellipse.
pub(super) struct Places {
    /// Length of line from the end of the long axis, m.
    pub(super) s: Vec<f64>,
    /// Distance from the ellipse, m, positive outside.
    pub(super) r: Vec<f64>,
    /// Once round, m.
    pub(super) around: f64,
}

impl Places {
    fn of(line: &[Indexed<'_>], ellipse: &Ellipse<Local>) -> Self {
        let arcs = Arcs::of(ellipse);
        let (s, r) = line
            .iter()
            .map(|p| ellipse.foot(p.1.at))
            .map(|foot| (arcs.at(foot.parameter()), foot.signed_distance_m))
            .unzip();
        Self { s, r, around: arcs.around() }
    }

    /// Line between two points, the shorter way round, m.
    pub(super) fn between(&self, i: usize, j: usize) -> f64 {
        let d = (self.s[i] - self.s[j]).abs();
        d.min(self.around - d)
    }
}

/// Points off the rest, and stretches that run on, of a line in the survey's order.
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
        // In the order walked if there is one, since errors last along the walk; else round the curve.
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

/// How far each point of one source, in order, stands off, of those that do.
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
    let mut off = vec![0.0; n];
    let mut together = 1;
    for _ in 0..ROUNDS {
        let seen: Vec<Beside> = (0..n).map(|i| Beside::of(&round, &good, i, &[])).collect();
        let sound = seen.iter().zip(&good).filter(|(_, good)| **good);
        let Some(unit) = about_nought(sound.map(|(b, _)| b.between / steps_sd(&steps, b.gap))) else {
            return vec![None; n];
        };
        let ratio = |i: usize, b: &Beside| {
            b.off.abs() / (SIGMAS * unit * steps_sd(&steps, b.gap) * unsure[i] + shape_m(b.gap))
        };
        // So many points in a row that all stand off what is beside them, each by how much.
        let group = |first: usize| -> Option<(f64, Vec<(usize, f64)>)> {
            let members: Vec<usize> =
                (0..n).map(|m| (first + m) % n).filter(|&i| good[i]).take(together).collect();
            let beside: Vec<Beside> =
                members.iter().map(|&i| Beside::of(&round, &good, i, &members)).collect();
            // By the sound line to either side: the members may be off along the line too.
            if members.len() > 1 && beside[0].gap > ISOLATED_M + 2.0 * steps.spacing() {
                return None;
            }
            let least = members.iter().zip(&beside).map(|(&i, b)| ratio(i, b)).fold(f64::INFINITY, f64::min);
            let one_side = beside.iter().all(|b| b.off * beside[0].off > 0.0);
            let each = members.iter().zip(&beside).map(|(&i, b)| (i, b.off)).collect();
            (least > 1.0 && one_side).then_some((least, each))
        };
        let mut worst: Vec<(f64, Vec<(usize, f64)>)> =
            (0..n).filter(|&i| good[i]).filter_map(group).collect();
        worst.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut touched = vec![false; n];
        let mut changed = false;
        for i in 0..n {
            if good[i] {
                continue;
            }
            off[i] = seen[i].off;
            if ratio(i, &seen[i]) < BACK {
                (good[i], touched[i], changed) = (true, true, true);
            }
        }
        for (_, members) in worst {
            // What stands beside a worse one may stand off only because of it.
            let near = |i: usize| (0..=2 * BESIDE).any(|k| touched[(i + k) % n] || touched[(i + n - k) % n]);
            if members.iter().any(|m| near(m.0)) {
                continue;
            }
            changed = true;
            for (i, d) in members {
                (good[i], touched[i], off[i]) = (false, true, d);
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
    (0..n).map(|i| (!good[i]).then_some(off[i])).collect()
}

/// The same where points lie too far apart or are too few: off the ellipse by more than any
/// shape is, or off it alone between sound neighbours on it.
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
            (off, off.abs() / (SIGMAS * scatter_m + shape_m(b.gap)))
        };
        let worst = (0..n).filter(|&i| good[i]).map(|i| (i, over(i))).max_by(|a, b| a.1.1.total_cmp(&b.1.1));
        match worst {
            Some((i, (d, ratio))) if ratio > 1.0 && n > 3 => (good[i], off[i]) = (false, Some(d)),
            _ => break,
        }
    }
    off
}

/// What a sound point may stand off neighbours that lie `gap` apart, without its own error, m.
fn shape_m(gap: f64) -> f64 {
    LEAST_M + (BENT * (0.5 * gap).powi(2)).min(BENT_MOST_M)
}

/// Never nought, so that exact points can be divided by it.
fn steps_sd(steps: &Steps, gap: f64) -> f64 {
    steps.sd(0.5 * gap).max(1e-6)
}

/// The chain's points without the short pieces between two breaks that stand off both sides.
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

/// How a point stands to its sound neighbours.
#[derive(Debug, Clone, Copy)]
struct Beside {
    /// Off the straight line between the middles of either side, m.
    between: f64,
    /// Off both sides' middles, the nearer of the two; nought between them. So the first
    /// and last points of what runs on, and a corner's, stand off one side only.
    off: f64,
    /// From one side to the other along the line, m.
    gap: f64,
}

impl Beside {
    fn of(round: &Round<'_>, good: &[bool], i: usize, without: &[usize]) -> Self {
        let n = round.r.len();
        let side = |forward: bool| {
            let (mut count, mut far, mut off) = (0.0, 0.0, 0.0);
            let mut nearest: Option<(usize, f64)> = None;
            for m in 1..n {
                let j = if forward { (i + m) % n } else { (i + n - m) % n };
                if !good[j] || without.contains(&j) {
                    continue;
                }
                let d = round.gap(i, j);
                let (first, _) = *nearest.get_or_insert((j, d));
                if round.gap(j, first) > BESIDE_M || count >= BESIDE as f64 {
                    break;
                }
                (count, far, off) = (count + 1.0, far + d, off + round.r[j]);
            }
            (far / f64::max(count, 1.0), off / f64::max(count, 1.0), nearest.map_or(i, |n| n.0))
        };
        let ((before, left, first), (after, right, last)) = (side(false), side(true));
        // Between the sides, not by way of the point: it may be off along the line too.
        let gap = round.gap(first, last);
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
        Self { between: round.r[i] - at, off, gap }
    }
}
