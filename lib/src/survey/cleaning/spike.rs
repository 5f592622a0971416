//! Fixes that jump away and come back, one or up to five in a run.
//!
//! A spike leaves the way between the fix before and the fix after it by far more
//! than a walker could go in that time, and comes back as fast. A corner, a gap and a
//! spur at walking pace do none of it. At the start and the end of a path, where
//! there is nothing to come back to, a jump that nobody walks tells.
//!
//! Not found: a jump that comes back slowly, as receivers that smooth do, one of more
//! than five fixes, and one of a few metres.

use super::Found;
use super::track::{Clock, FASTEST_M_S, Fix, pace};
use crate::geometry::distance_to_segment;
use crate::survey::Cleaning;

/// Most fixes in one spike.
const LONGEST: usize = 5;
/// Least distance from the way between the neighbours, m: six or more standard
/// deviations of how far a phone's fix strays from its neighbours.
const LEAST_M: f64 = 4.0;
/// … and in usual steps, so that a fix each 5 s is not asked to be as smooth as one a second.
const LEAST_STEPS: f64 = 2.0;
/// In and out together, in steps at the walk's pace; and each of them.
const JUMP_STEPS: f64 = 5.0;
const EACH_STEPS: f64 = 1.5;
/// How much of the shorter jump must lead away from the way between the neighbours.
const AWAY_SHARE: f64 = 0.7;
/// A jump at the end of a path, m, and in steps.
const END_M: f64 = 15.0;
const END_STEPS: f64 = 8.0;

/// The spikes of a walk.
pub(super) fn find(fixes: &[Fix]) -> Vec<Found> {
    let clock = Clock::of(fixes);
    let scan = Scan {
        fixes,
        elapsed: clock.elapsed(),
        usual: clock.usual,
        fastest: if clock.timed { FASTEST_M_S } else { 0.0 },
        pace: pace(fixes, &clock),
    };
    let mut out = Vec::new();
    // Nothing here was walked: no pace says what a jump is.
    if scan.pace <= 0.0 {
        return out;
    }
    let mut start = 0;
    // Each path by itself: between two, the receiver was lost, and a jump is no spike.
    for path in fixes.chunk_by(|a, b| a.path == b.path) {
        let end = start + path.len();
        let stay = scan.inner(start, end, &mut out);
        scan.ends(&stay, &mut out);
        start = end;
    }
    out
}

struct Scan<'a> {
    fixes: &'a [Fix],
    elapsed: Vec<f64>,
    usual: f64,
    fastest: f64,
    pace: f64,
}

impl Scan<'_> {
    fn between(&self, a: usize, b: usize) -> f64 {
        self.fixes[a].at.distance_to(self.fixes[b].at)
    }

    /// How far the walker goes from one fix to another; two of one time are half an interval apart.
    fn walked(&self, a: usize, b: usize) -> f64 {
        self.pace * (self.elapsed[b] - self.elapsed[a]).max(0.5 * self.usual)
    }

    /// Spikes from `start` to before `end` that come back. Returns the fixes that stay.
    fn inner(&self, start: usize, end: usize, out: &mut Vec<Found>) -> Vec<usize> {
        let mut stay = vec![start];
        let (mut good, mut i) = (start, start + 1);
        while i < end {
            if let Some((back, away_m)) = self.spike(good, i, end) {
                out.push(Found::new(Cleaning::Spike, (i..back).collect()).metres(away_m));
                i = back;
            }
            stay.push(i);
            (good, i) = (i, i + 1);
        }
        stay
    }

    /// The fix at which a spike that starts at `first` is back, and how far it went.
    fn spike(&self, good: usize, first: usize, end: usize) -> Option<(usize, f64)> {
        let jump_in = self.between(good, first);
        let walked_in = self.walked(good, first);
        if !(jump_in > EACH_STEPS * walked_in && jump_in > LEAST_M) {
            return None;
        }
        (first + 1..end.min(first + 1 + LONGEST)).find_map(|back| {
            let (jump_out, walked_out) = (self.between(back - 1, back), self.walked(back - 1, back));
            let away = (first..back)
                .map(|i| distance_to_segment(self.fixes[i].at, self.fixes[good].at, self.fixes[back].at))
                .fold((f64::INFINITY, 0.0), |(least, most): (f64, f64), d| (least.min(d), most.max(d)));
            let spike = jump_out > EACH_STEPS * walked_out
                && jump_in + jump_out > JUMP_STEPS * 0.5 * (walked_in + walked_out)
                && away.0 > LEAST_M.max(LEAST_STEPS * self.pace * self.usual)
                && away.0 > AWAY_SHARE * jump_in.min(jump_out)
                && self.between(good, back) <= EACH_STEPS * self.walked(good, back) + LEAST_M;
            spike.then_some((back, away.1))
        })
    }

    /// The first and last fixes of a path, if a jump that nobody walks parts them from the rest.
    fn ends(&self, stay: &[usize], out: &mut Vec<Found>) {
        if stay.len() <= 4 * LONGEST {
            return;
        }
        let jump = |w: &[usize]| {
            let seconds = self.elapsed[w[1]] - self.elapsed[w[0]];
            let limit = END_M.max(END_STEPS * self.walked(w[0], w[1])).max(self.fastest * seconds);
            let way = self.between(w[0], w[1]);
            (way > limit).then_some(way)
        };
        let last = stay.len() - 1;
        let mut push = |fixes: &[usize], away_m: f64| {
            out.push(Found::new(Cleaning::Spike, fixes.to_vec()).metres(away_m));
        };
        if let Some((k, way)) = (1..=LONGEST).rev().find_map(|k| Some((k, jump(&stay[k - 1..=k])?))) {
            push(&stay[..k], way);
        }
        if let Some((k, way)) =
            (1..=LONGEST).rev().find_map(|k| Some((k, jump(&stay[last - k..=last - k + 1])?)))
        {
            push(&stay[last - k + 1..], way);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    /// A straight walk of 60 fixes, one a second.
    fn straight() -> Vec<Fix> {
        (0..60)
            .map(|i| Fix {
                at: Point::new(f64::from(i) * 1.4, 0.0),
                time_s: Some(f64::from(i)),
                path: 0,
                index: i as usize,
            })
            .collect()
    }

    fn found(fixes: &[Fix]) -> Vec<Vec<usize>> {
        find(fixes).into_iter().map(|f| f.drop).collect()
    }

    #[test]
    fn wild_fixes_at_either_end_and_in_between() {
        let mut fixes = straight();
        for i in [0, 30, 31, 59] {
            fixes[i].at = Point::new(5000.0, -90_000.0);
        }
        let mut all: Vec<usize> = found(&fixes).concat();
        all.sort_unstable();
        assert_eq!(all, [0, 30, 31, 59]);
    }

    #[test]
    fn a_jump_between_two_paths_is_none() {
        let mut fixes = straight();
        for f in &mut fixes[30..] {
            f.path = 1;
            f.at = Point::new(f.at.x + 60.0, 40.0);
        }
        assert!(found(&fixes).is_empty());
    }

    #[test]
    fn six_fixes_are_too_many_and_a_corner_is_none() {
        let mut fixes = straight();
        for f in &mut fixes[30..36] {
            f.at = Point::new(f.at.x, 50.0);
        }
        assert!(found(&fixes).is_empty());
        for (i, f) in fixes.iter_mut().enumerate().skip(30) {
            f.at = Point::new(42.0, 1.4 * (i - 30) as f64);
        }
        assert!(found(&fixes).is_empty());
    }

    #[test]
    fn says_how_far() {
        let mut fixes = straight();
        fixes[20].at = Point::new(28.0, 45.0);
        let found = find(&fixes);
        assert_eq!(found.len(), 1);
        assert!((found[0].metres.unwrap() - 45.0).abs() < 1e-9);
    }
}
