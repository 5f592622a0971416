//! The place of every point of the line relative to an ellipse: how far along it, and how far off it.

use crate::frame::Local;
use crate::geometry::Ellipse;
use crate::survey::Observed;

/// A departure longer than this is no isolated blunder, m of line.
pub(super) const ISOLATED_M: f64 = 15.0;
/// Chords of the table from the eccentric angle to the length of arc.
const CHORDS: usize = 720;

/// A point of the survey with its place in it.
pub(super) type Indexed<'a> = (usize, &'a Observed);

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

/// Where every point of the line lies relative to the robust ellipse.
pub(super) struct Places {
    /// Length of line from the end of the long axis, m.
    pub(super) s: Vec<f64>,
    /// Distance from the ellipse, m, positive outside.
    pub(super) r: Vec<f64>,
    /// Length of the whole ellipse, m.
    pub(super) around: f64,
}

impl Places {
    pub(super) fn of(line: &[Indexed<'_>], ellipse: &Ellipse<Local>) -> Self {
        let arcs = Arcs::of(ellipse);
        let (s, r) = line
            .iter()
            .map(|p| ellipse.foot(p.1.at))
            .map(|foot| (arcs.at(foot.parameter()), foot.signed_distance_m))
            .unzip();
        Self { s, r, around: arcs.around() }
    }

    /// Length of line between two points, the shorter way round, m.
    pub(super) fn between(&self, i: usize, j: usize) -> f64 {
        let d = (self.s[i] - self.s[j]).abs();
        d.min(self.around - d)
    }
}
