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

#[cfg(test)]
mod tests {
    use super::*;

    /// 40 s of walking east, so many of standing, 40 s of walking, one fix a second.
    fn walk(standing: u32) -> Vec<Fix> {
        (0..80 + standing)
            .map(|i| {
                let x = 1.4 * f64::from(if i < 40 { i } else { 40.max(i.saturating_sub(standing)) });
                // Half a metre of wobble.
                let y = 0.5 * f64::from(i * i % 7) / 7.0;
                Fix { at: Point::new(x, y), time_s: Some(f64::from(i)), path: 0, index: i as usize }
            })
            .collect()
    }

    #[test]
    fn one_fix_in_the_middle_of_the_pause_is_kept() {
        let found = find(&walk(60));
        assert_eq!(found.len(), 1);
        let (first, last) = (found[0].drop[0], *found[0].drop.last().unwrap());
        // A second's walk on either side is within the wobble.
        assert!(first.abs_diff(40) <= 1 && last.abs_diff(100) <= 1, "{first} {last}");
        assert_eq!(found[0].drop.len(), last - first);
        assert!((found[0].seconds.unwrap() - 60.0).abs() <= 2.0);
    }

    #[test]
    fn a_few_seconds_are_none() {
        assert!(find(&walk(0)).is_empty());
        assert!(find(&walk(6)).is_empty());
    }

    #[test]
    fn without_times_fixes_are_counted() {
        let untimed = |n| walk(n).into_iter().map(|f| Fix { time_s: None, ..f }).collect::<Vec<_>>();
        assert_eq!(find(&untimed(20)).len(), 1);
        assert_eq!(find(&untimed(20))[0].seconds, None);
        assert!(find(&untimed(4)).is_empty());
    }

    #[test]
    fn who_never_walks_never_pauses() {
        let fixes: Vec<Fix> = walk(300).into_iter().skip(45).take(200).collect();
        assert!(find(&fixes).is_empty());
    }
}
