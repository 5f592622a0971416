//! A walk as a way: samples every couple of metres along it, so that what follows
//! asks about lengths and not about how often a receiver saved a fix.

use super::track::{Fix, quantile};
use crate::frame::Local;
use crate::geometry::{Point, Vector};

/// Between samples, m: a walker's pace or two, well below the noise of a phone.
pub(super) const STEP_M: f64 = 2.0;
/// Most samples between two fixes: a longer way between is a gap and needs no more.
const MOST_BETWEEN: usize = 16;
/// Base over which a direction is taken, m: short, so that a corner stays one, and long
/// enough that a phone's noise turns it by no more than some 10°.
pub(super) const BASE_M: f64 = 5.0;

/// A point of the way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sample {
    pub(super) at: Point<Local>,
    /// Metres of way up to here.
    pub(super) along_m: f64,
    /// The last fix at or before it.
    pub(super) fix: usize,
}

/// The way of a walk.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Way {
    pub(super) samples: Vec<Sample>,
    /// About the length of one lap round it, m, if it went round.
    pub(super) round_m: f64,
}

impl Way {
    pub(super) fn of(fixes: &[Fix]) -> Self {
        let mut samples: Vec<Sample> = Vec::with_capacity(fixes.len());
        let mut before: Option<Point<Local>> = None;
        for (fix, f) in fixes.iter().enumerate() {
            let Some(from) = before else {
                samples.push(Sample { at: f.at, along_m: 0.0, fix });
                before = Some(f.at);
                continue;
            };
            // Fixes closer than a step to the last sample are the noise of standing or of walking slowly.
            let gap = from.distance_to(f.at);
            if gap < STEP_M {
                continue;
            }
            // Cast of a small positive number, kept small by the minimum.
            let parts = ((gap / STEP_M) as usize).clamp(1, MOST_BETWEEN);
            let start = samples.last().copied();
            for k in 1..=parts {
                let share = k as f64 / parts as f64;
                let along_m = start.map_or(0.0, |s| s.along_m) + gap * share;
                let fix = if k == parts { fix } else { start.map_or(0, |s| s.fix) };
                samples.push(Sample { at: from + (f.at - from) * share, along_m, fix });
            }
            before = Some(f.at);
        }
        let extent = |pick: fn(&Sample) -> f64| {
            let mut all: Vec<f64> = samples.iter().map(pick).collect();
            // Without the outermost fiftieth, which may be the way from the car park.
            match (quantile(&mut all, 0.02), quantile(&mut all, 0.98)) {
                (Some(low), Some(high)) => high - low,
                _ => 0.0,
            }
        };
        let round_m = std::f64::consts::FRAC_PI_2 * (extent(|s| s.at.x) + extent(|s| s.at.y));
        Self { samples, round_m }
    }

    /// Which way the walk goes on from each sample; nought where it ends.
    pub(super) fn onward(&self) -> Vec<Vector<Local>> {
        let s = &self.samples;
        let mut to = 0;
        (0..s.len())
            .map(|k| {
                while to + 1 < s.len() && s[to].along_m - s[k].along_m < BASE_M {
                    to += 1;
                }
                direction(s[to].at - s[k].at)
            })
            .collect()
    }

    /// Which way the walk came to each sample; nought where it starts.
    pub(super) fn arriving(&self) -> Vec<Vector<Local>> {
        let s = &self.samples;
        let mut from = 0;
        (0..s.len())
            .map(|k| {
                while from + 1 < k && s[k].along_m - s[from + 1].along_m >= BASE_M {
                    from += 1;
                }
                direction(s[k].at - s[from].at)
            })
            .collect()
    }
}

fn direction(base: Vector<Local>) -> Vector<Local> {
    base.unit().unwrap_or(base * 0.0)
}
