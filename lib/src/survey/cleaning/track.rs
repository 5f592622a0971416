//! A continuous walk as the steps see it: the fixes still in use, in order, and
//! the clock that they were taken by.

use crate::frame::Local;
use crate::geometry::Point;
use crate::survey::{Observed, Role};

/// Farther from the plane's origin than this is no place on a ground, and its squares would overflow.
const FARTHEST_M: f64 = 1e8;
/// A path without times is a walk when its fixes lie this close (median) and are this many:
/// people who draw click less often.
const WALKED_STEP_M: f64 = 2.0;
const WALKED_FIXES: usize = 30;
/// Segments of one source belong to one walk when the receiver was lost no longer than this.
const LOST_S: f64 = 120.0;
/// Nobody walking a line moves faster, even for a moment.
pub(super) const FASTEST_M_S: f64 = 8.0;
/// The same without times: the way across a scoring end, with some to spare.
const LOST_M: f64 = 50.0;
/// Nobody walks a whole line faster.
const FASTEST_PACE_M_S: f64 = 5.0;
/// Over how long the pace is taken: long enough that noise hardly adds to the way.
pub(super) const PACE_WINDOW_S: f64 = 10.0;
/// The same in fixes, where there are no times.
pub(super) const PACE_WINDOW_FIXES: f64 = 8.0;
/// A gap counts as no more than this many usual intervals of standing still.
const GAP_INTERVALS: f64 = 1.5;

/// One fix of a walk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fix {
    pub(super) at: Point<Local>,
    pub(super) time_s: Option<f64>,
    /// The path that it was read from.
    pub(super) path: usize,
    /// Which point of the survey it is.
    pub(super) index: usize,
}

/// The fixes of each continuous walk of a survey. Drawn paths are none.
pub(super) fn walks(points: &[Observed], walked: bool) -> Vec<Vec<Fix>> {
    // Sorted by source and path, and within a path in the survey's order.
    let mut order: Vec<(usize, usize, usize)> = points
        .iter()
        .enumerate()
        .filter(|(_, o)| o.role == Role::Line && o.cleaned.is_none() && on_a_ground(o.at))
        .filter_map(|(i, o)| o.path.map(|path| (o.source, path, i)))
        .collect();
    order.sort_unstable();
    let mut out: Vec<Vec<Fix>> = Vec::new();
    let mut source_before = None;
    for path in order.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
        let fixes: Vec<Fix> = path
            .iter()
            .filter_map(|&(_, path, index)| {
                let o = points.get(index)?;
                Some(Fix { at: o.at, time_s: o.time_s.filter(|t| t.is_finite()), path, index })
            })
            .collect();
        let recorded = path.first().and_then(|p| points.get(p.2)).is_some_and(|o| o.walked);
        if !(walked || recorded || is_walked(&fixes)) {
            continue;
        }
        let source = path.first().map(|p| p.0);
        match out.last_mut() {
            Some(walk) if source == source_before && follows(walk, &fixes) => walk.extend(fixes),
            _ => out.push(fixes),
        }
        source_before = source;
    }
    out
}

fn on_a_ground(p: Point<Local>) -> bool {
    p.x.abs() < FARTHEST_M && p.y.abs() < FARTHEST_M
}

/// Was this path walked with a receiver, or drawn?
fn is_walked(fixes: &[Fix]) -> bool {
    if Clock::of(fixes).timed {
        return true;
    }
    let mut steps: Vec<f64> = fixes.windows(2).map(|w| w[0].at.distance_to(w[1].at)).collect();
    fixes.len() >= WALKED_FIXES && quantile(&mut steps, 0.5).is_some_and(|s| s <= WALKED_STEP_M)
}

/// Does a path go on where the walk before it was lost?
fn follows(walk: &[Fix], next: &[Fix]) -> bool {
    let (Some(last), Some(first)) = (walk.last(), next.first()) else { return false };
    let away = last.at.distance_to(first.at);
    match (last.time_s, first.time_s) {
        (Some(a), Some(b)) => (0.0..=LOST_S).contains(&(b - a)) && away <= FASTEST_M_S * (b - a) + LOST_M,
        (None, None) => away <= LOST_M,
        _ => false,
    }
}

/// The intervals of a walk. Without times an interval is 1, and its unit "a fix".
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Clock {
    /// Are the intervals seconds?
    pub(super) timed: bool,
    /// The usual interval.
    pub(super) usual: f64,
    /// From the fix before to each fix; 0 at the first. Never negative.
    pub(super) since: Vec<f64>,
}

impl Clock {
    /// The clock of a walk: its times where most fixes have one and they move on.
    pub(super) fn of(fixes: &[Fix]) -> Self {
        let raw: Vec<Option<f64>> = std::iter::once(Some(0.0))
            .chain(fixes.windows(2).map(|w| Some(w[1].time_s? - w[0].time_s?)))
            .take(fixes.len())
            .collect();
        let mut forward: Vec<f64> = raw.iter().flatten().copied().filter(|&dt| dt > 0.0).collect();
        let enough = forward.len() * 2 > fixes.len();
        match quantile(&mut forward, 0.5) {
            Some(usual) if enough => {
                // A time that goes back says nothing; the usual interval is the best guess.
                let since = raw.iter().map(|dt| dt.filter(|&dt| dt >= 0.0).unwrap_or(usual)).collect();
                Self { timed: true, usual, since }
            }
            _ => Self {
                timed: false,
                usual: 1.0,
                since: (0..fixes.len()).map(|i| if i == 0 { 0.0 } else { 1.0 }).collect(),
            },
        }
    }

    /// Time since the walk's start.
    pub(super) fn elapsed(&self) -> Vec<f64> {
        running(self.since.iter().copied())
    }

    /// Time since the walk's start, in which a gap is short: where a pause has been
    /// set aside already, or a watch saves its fixes, nothing more stands still.
    pub(super) fn elapsed_without_gaps(&self) -> Vec<f64> {
        running(self.since.iter().map(|dt| dt.min(GAP_INTERVALS * self.usual)))
    }

    /// The window over which the pace is taken.
    pub(super) fn window(&self) -> f64 {
        if self.timed { PACE_WINDOW_S } else { PACE_WINDOW_FIXES }
    }
}

fn running(steps: impl Iterator<Item = f64>) -> Vec<f64> {
    steps
        .scan(0.0, |sum, dt| {
            *sum += dt;
            Some(*sum)
        })
        .collect()
}

/// Walking pace in metres an interval's unit: of the ways made in a window, the middle
/// one where each counts by its length, so that neither standing for most of the time nor
/// a few jumps decide.
pub(super) fn pace(fixes: &[Fix], clock: &Clock) -> f64 {
    let elapsed = clock.elapsed();
    let window = clock.window();
    let mut ways: Vec<(f64, f64)> = Vec::with_capacity(fixes.len());
    let mut j = 0;
    for (i, fix) in fixes.iter().enumerate() {
        while j < fixes.len() && elapsed[j] - elapsed[i] < window {
            j += 1;
        }
        let Some(other) = fixes.get(j) else { break };
        let way = fix.at.distance_to(other.at);
        ways.push((way / (elapsed[j] - elapsed[i]), way));
    }
    // What jumps is not walked: a limit in m/s, or without times against the other ways.
    let fastest = if clock.timed {
        FASTEST_PACE_M_S
    } else {
        let mut all: Vec<f64> = ways.iter().map(|w| w.0).collect();
        4.0 * quantile(&mut all, 0.8).unwrap_or(0.0)
    };
    ways.retain(|w| w.0 <= fastest);
    ways.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = ways.iter().map(|w| w.1).sum();
    let mut sum = 0.0;
    for (speed, way) in &ways {
        sum += way;
        if sum * 2.0 >= total {
            return *speed;
        }
    }
    0.0
}

/// The value below which this share of the values lies; sorts what it is given.
pub(super) fn quantile(values: &mut [f64], share: f64) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    // In 0..len by the minimum, so the cast is exact.
    let at = (share * values.len() as f64) as usize;
    values.get(at.min(values.len().saturating_sub(1))).copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numeric::Draws;
    use crate::survey::cleaning::planted::{Kit, Oval, Steps};

    fn ring(n: u32, timed: bool) -> Vec<Observed> {
        (0..n)
            .map(|i| {
                let (s, c) = (f64::from(i) / f64::from(n) * std::f64::consts::TAU).sin_cos();
                let at = Point::new(80.0 * c, 65.0 * s);
                let time_s = timed.then_some(f64::from(i));
                Observed { path: Some(3), time_s, ..Observed::new(at, Role::Line) }
            })
            .collect()
    }

    #[test]
    fn what_is_drawn_is_no_walk_unless_the_person_says_so() {
        // 456 m round: 48 vertices 9.5 m apart, 400 fixes 1.1 m apart.
        assert!(walks(&ring(48, false), false).is_empty());
        assert_eq!(walks(&ring(48, false), true).len(), 1);
        assert_eq!(walks(&ring(48, true), false).len(), 1);
        assert_eq!(walks(&ring(400, false), false).len(), 1);
        let loose = ring(400, true).into_iter().map(|p| Observed { path: None, ..p }).collect::<Vec<_>>();
        assert!(walks(&loose, true).is_empty());
    }

    #[test]
    fn paths_that_go_on_are_one_walk() {
        let mut points = ring(400, true);
        for p in &mut points[200..] {
            p.path = Some(4);
        }
        assert_eq!(walks(&points, false).len(), 1);
        for p in &mut points[200..] {
            p.time_s = p.time_s.map(|t| t + 3600.0);
        }
        assert_eq!(walks(&points, false).len(), 2);
        for p in &mut points[200..] {
            p.time_s = p.time_s.map(|t| t - 3600.0);
            p.source = 1;
        }
        assert_eq!(walks(&points, false).len(), 2);
    }

    #[test]
    fn a_time_that_goes_back_takes_the_usual_interval() {
        let at = |t: f64| Fix { at: Point::ORIGIN, time_s: Some(t), path: 0, index: 0 };
        let clock = Clock::of(&[0.0, 2.0, 4.0, 3.0, 5.0, 5.0, 7.0].map(at));
        assert!(clock.timed);
        assert_eq!(clock.since, [0.0, 2.0, 2.0, 2.0, 2.0, 0.0, 2.0]);
        assert!(!Clock::of(&[1.0, 1.0, 1.0].map(at)).timed);
    }

    #[test]
    fn twenty_minutes_of_standing_make_no_slow_walker() {
        let oval = Oval::ellipse(160.0, 130.0);
        let mut steps = Steps::new();
        steps.line(&oval, 0.0, 1.0, None);
        steps.stand(1200.0);
        steps.line(&oval, 1.0, oval.length_m(), None);
        let kit =
            Kit { every_s: 1.0, pace: 1.4, sd_m: 1.5, white_m: 0.3, tau_s: 20.0, timed: true, apart_m: 0.0 };
        let walk = steps.recorded(kit, &mut Draws::of_many(5));
        let fixes = walks(&walk.points, false).remove(0);
        // The error makes 10 s of walking (14 m) longer or shorter by 1.9 m, one standard deviation;
        // standing pulls the middle down by half of one.
        let pace = pace(&fixes, &Clock::of(&fixes));
        assert!((pace - 1.4).abs() < 0.15, "{pace}");
    }
}
