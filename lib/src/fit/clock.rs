//! When each fix of a walk was taken.
//!
//! The file's own times are used where every fix of the walk has one and they never go back. Otherwise the
//! fixes are taken to be equally spaced in time, as a receiver records them: the usual distance between fixes
//! over a steady pace. The distance from one fix to the next would be a poor clock, since it consists mostly
//! of the errors in question.

use super::places::Indexed;
use crate::frame::Local;
use crate::geometry::Ellipse;

/// Steady pace that turns distance into time, m/s (common practice, no source).
const PACE_M_S: f64 = 1.4;
/// Time between two walks, s: their errors have nothing in common.
const APART_S: f64 = 1e7;

/// Times of all fixes of the sources with autocorrelated errors, in the line's order.
#[derive(Debug, Clone)]
pub(super) struct Clock {
    pub(super) times_s: Vec<f64>,
    /// How fast the line was walked.
    pub(super) pace_m_s: f64,
    /// The stated standard deviation of a fix, m; 0 where none is stated.
    pub(super) stated_sd_m: f64,
    /// The most times that one walk went round.
    pub(super) laps: f64,
    running: Vec<bool>,
}

impl Clock {
    /// `None` where no source has autocorrelated errors, or a walk is too short to have a pace.
    pub(super) fn of(line: &[Indexed<'_>], mut running: Vec<bool>, ellipse: &Ellipse<Local>) -> Option<Self> {
        let mut times_s = Vec::new();
        let mut paces = Vec::new();
        let mut short = Vec::new();
        let mut laps: f64 = 0.0;
        for (source, _) in running.iter().enumerate().filter(|(_, runs)| **runs) {
            let fixes: Vec<Indexed<'_>> = line.iter().copied().filter(|p| p.1.source == source).collect();
            if fixes.is_empty() {
                continue;
            }
            // A walk too short to have a pace is treated as having independent errors.
            let Some((times, pace)) = of_one(&fixes, ellipse) else {
                short.push(source);
                continue;
            };
            laps = laps.max(walked_m(&fixes, ellipse) / ellipse.perimeter_m());
            let from = times_s.last().map_or(0.0, |t| t + APART_S);
            let first = times.first().copied().unwrap_or(0.0);
            times_s.extend(times.iter().map(|t| from + t - first));
            paces.push(pace);
        }
        for source in short {
            running[source] = false;
        }
        (!times_s.is_empty()).then(|| Self {
            times_s,
            pace_m_s: paces.iter().sum::<f64>() / paces.len() as f64,
            stated_sd_m: 0.0,
            laps,
            running,
        })
    }

    /// The same, its fixes of about this standard deviation.
    pub(super) fn with_stated(mut self, sd_m: f64) -> Self {
        self.stated_sd_m = if sd_m.is_finite() { sd_m } else { 0.0 };
        self
    }

    pub(super) fn runs(&self, source: usize) -> bool {
        self.running.get(source).copied().unwrap_or(false)
    }
}

fn of_one(fixes: &[Indexed<'_>], ellipse: &Ellipse<Local>) -> Option<(Vec<f64>, f64)> {
    if let Some(times) = own_clock(fixes) {
        let lasts = times.last()? - times.first()?;
        return Some((times, walked_m(fixes, ellipse) / lasts));
    }
    let mut steps: Vec<f64> =
        fixes.windows(2).filter(|p| p[1].0 == p[0].0 + 1).map(|p| p[0].1.at.distance_to(p[1].1.at)).collect();
    steps.sort_by(f64::total_cmp);
    let step_s = steps.get(steps.len() / 2)?.max(1e-3) / PACE_M_S;
    Some((fixes.iter().map(|p| p.0 as f64 * step_s).collect(), PACE_M_S))
}

/// The fixes' own times, if all have one and none goes back.
fn own_clock(fixes: &[Indexed<'_>]) -> Option<Vec<f64>> {
    let times: Vec<f64> = fixes.iter().map(|p| p.1.time_s).collect::<Option<_>>()?;
    let forward = times.windows(2).all(|t| t[1] >= t[0]);
    (forward && times.last()? > times.first()?).then_some(times)
}

/// How far along the curve the walk went, from its turn about the centre as a share of a lap: errors lengthen
/// every step between fixes, but cancel in the total turn.
fn walked_m(fixes: &[Indexed<'_>], ellipse: &Ellipse<Local>) -> f64 {
    let angles: Vec<f64> = fixes
        .iter()
        .map(|p| {
            let v = p.1.at - ellipse.centre();
            v.y.atan2(v.x)
        })
        .collect();
    let turned: f64 = angles
        .windows(2)
        .map(|a| {
            let d = a[1] - a[0];
            d - std::f64::consts::TAU * (d / std::f64::consts::TAU).round()
        })
        .sum();
    turned.abs() / std::f64::consts::TAU * ellipse.perimeter_m()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;
    use crate::survey::{Observed, Role};

    fn lap(n: u32, step_s: Option<f64>) -> Vec<Observed> {
        (0..n)
            .map(|i| {
                let (s, c) = (f64::from(i) * std::f64::consts::TAU / f64::from(n)).sin_cos();
                Observed {
                    time_s: step_s.map(|t| 1e9 + f64::from(i) * t),
                    ..Observed::new(Point::new(80.0 * c, 80.0 * s), Role::Line)
                }
            })
            .collect()
    }

    fn clock(points: &[Observed], running: Vec<bool>) -> Option<Clock> {
        let line: Vec<Indexed<'_>> = points.iter().enumerate().collect();
        Clock::of(&line, running, &Ellipse::new(Point::ORIGIN, [80.0, 80.0], 0.0).unwrap())
    }

    #[test]
    fn the_files_clock_and_the_pace_that_it_gives() {
        let c = clock(&lap(251, Some(2.0)), vec![true]).unwrap();
        assert_eq!(c.times_s.len(), 251);
        assert!((c.times_s[250] - 500.0).abs() < 1e-6);
        // 250 of 251 steps of a lap of 2π · 80 m in 500 s.
        assert!((c.pace_m_s - 160.0 * std::f64::consts::PI * 250.0 / 251.0 / 500.0).abs() < 1e-9);
    }

    #[test]
    fn without_one_equal_steps_at_a_steady_pace() {
        for points in [lap(200, None), {
            let mut back = lap(200, Some(1.0));
            back[7].time_s = Some(0.0);
            back
        }] {
            let c = clock(&points, vec![true]).unwrap();
            let step = 160.0 * (std::f64::consts::PI / 200.0).sin();
            assert!((c.times_s[1] - step / PACE_M_S).abs() < 1e-9);
            assert_eq!(c.pace_m_s, PACE_M_S);
        }
    }

    #[test]
    fn two_walks_share_no_time_and_a_trace_has_none() {
        let mut points = lap(20, Some(1.0));
        points.extend(lap(20, Some(1.0)).into_iter().map(|o| Observed { source: 1, ..o }));
        points.extend(lap(9, None).into_iter().map(|o| Observed { source: 2, ..o }));
        let c = clock(&points, vec![true, true, false]).unwrap();
        assert_eq!(c.times_s.len(), 40);
        assert!(c.times_s[20] - c.times_s[19] >= APART_S);
        assert!(c.runs(1) && !c.runs(2) && !c.runs(9));
        assert!(clock(&points, vec![false; 3]).is_none());
    }
}
