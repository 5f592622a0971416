//! Standing still: of all fixes of one place one is kept, or a minute at a gate
//! would weigh as much as 80 m of line.
//!
//! A walker stands who stays, for a whole window, within a third of the way that the
//! walk makes in one. The windows that stand are joined; what was still walking at both
//! ends is taken off by the walk's own pace.
//!
//! Not found: pauses hardly longer than the window, and dawdling.

use super::Found;
use super::track::{Clock, Fix, pace, quantile};
use crate::frame::Local;
use crate::geometry::Point;
use crate::survey::Cleaning;

/// Share of a window's way within which a walker stands: a phone wanders by 1.7 m in
/// 10 s (1.5 m, 20 s), and a slow walker makes 10 m.
const STILL_SHARE: f64 = 0.35;
/// A walk that makes less way than this in a window stands all the time: there is no line to clean.
const LEAST_WAY_M: f64 = 2.0;
/// Fewest fixes of a pause: with two there is nothing to weigh down.
const FEWEST: usize = 3;
/// Most fixes of a window that are looked at; of more, every so many.
const LOOKED_AT: usize = 20;

/// The pauses of a walk.
pub(super) fn find(fixes: &[Fix]) -> Vec<Found> {
    let clock = Clock::of(fixes);
    let pace = pace(fixes, &clock);
    let window = clock.window();
    if pace * window < LEAST_WAY_M {
        return Vec::new();
    }
    let still = Still { fixes, clock: clock.elapsed_without_gaps(), pace, window };
    still.cores().into_iter().filter_map(|core| still.pause(core, &clock)).collect()
}

struct Still<'a> {
    fixes: &'a [Fix],
    clock: Vec<f64>,
    pace: f64,
    window: f64,
}

impl Still<'_> {
    /// First and last fix of each run of windows that stand.
    fn cores(&self) -> Vec<(usize, usize)> {
        let mut out: Vec<(usize, usize)> = Vec::new();
        let near = STILL_SHARE * self.pace * self.window;
        let mut j = 0;
        for (i, fix) in self.fixes.iter().enumerate() {
            while j < self.fixes.len() && self.clock[j] - self.clock[i] < self.window {
                j += 1;
            }
            if j == self.fixes.len() {
                break;
            }
            let every = ((j - i) / LOOKED_AT).max(1);
            // From the far end, which tells soonest.
            if (i + 1..=j).rev().step_by(every).all(|k| self.fixes[k].at.distance_to(fix.at) <= near) {
                match out.last_mut() {
                    Some((_, end)) if i <= *end => *end = j,
                    _ => out.push((i, j)),
                }
            }
        }
        out
    }

    fn pause(&self, (first, last): (usize, usize), clock: &Clock) -> Option<Found> {
        let middle = middle(&self.fixes[first..=last])?;
        // The way in and out, at the walk's pace, was no standing.
        let way_in = self.fixes[first].at.distance_to(middle) / self.pace;
        let way_out = self.fixes[last].at.distance_to(middle) / self.pace;
        let from = (first..=last).find(|&i| self.clock[i] >= self.clock[first] + way_in)?;
        let to = (first..=last).rev().find(|&i| self.clock[i] <= self.clock[last] - way_out)?;
        if to < from || to - from + 1 < FEWEST || self.clock[to] - self.clock[from] < self.shortest(clock) {
            return None;
        }
        let middle = self::middle(&self.fixes[from..=to])?;
        let away = |i: &usize| self.fixes[*i].at.distance_to(middle);
        let kept = (from..=to).min_by(|a, b| away(a).total_cmp(&away(b)))?;
        let seconds = clock.timed.then(|| clock.since[from + 1..=to].iter().sum());
        Some(Found::new(Cleaning::Pause, (from..=to).filter(|&i| i != kept).collect()).seconds(seconds))
    }

    fn shortest(&self, clock: &Clock) -> f64 {
        // Eight fixes span seven intervals.
        if clock.timed { self.window } else { self.window - 1.0 }
    }
}

/// The middle of each coordinate.
fn middle(fixes: &[Fix]) -> Option<Point<Local>> {
    let mut x: Vec<f64> = fixes.iter().map(|f| f.at.x).collect();
    let mut y: Vec<f64> = fixes.iter().map(|f| f.at.y).collect();
    Some(Point::new(quantile(&mut x, 0.5)?, quantile(&mut y, 0.5)?))
}
