//! How often the 95 % interval of a fit holds the truth, by simulation.
//!
//! Ground: an ellipse, 160 × 130 m. Each run is one survey, fitted as the program
//! fits it, with no error that residuals can't show: neither planted nor allowed for.

use ovalpeg::boundary::Outline;
use ovalpeg::fit::{FitOptions, Noise, ground};
use ovalpeg::survey::Role;

use crate::Failure;
use crate::random::Random;
use crate::truth::{Shape, Site, Truth, half_end_m};
use crate::walk::{Fading, Lap, phone, posts, rtk, survey};

/// A way of surveying, many times over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// As printed.
    pub name: &'static str,
    /// Where points are taken.
    pub lap: Lap,
    /// A phone's error; without it, white noise of `white_sd_m`.
    pub fading: Option<Fading>,
    /// White noise of a receiver or tracing in each coordinate, m.
    pub white_sd_m: f64,
    /// What the fit is told.
    pub noise: Noise,
    /// All eight posts surveyed with white noise of this size, and the fit told so, m.
    pub posts_sd_m: Option<f64>,
}

/// What came of a cell's runs.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Tally {
    /// Surveys fitted.
    pub fitted: usize,
    /// Surveys that the fit refused.
    pub refused: usize,
    /// Intervals that hold the true length.
    pub length_held: usize,
    /// Intervals that hold the true width.
    pub width_held: usize,
    /// Mean half-width of the length's interval, m.
    pub length_half_m: f64,
    /// Mean half-width of the width's interval, m.
    pub width_half_m: f64,
    /// Root mean square error of the length, m.
    pub length_rms_m: f64,
    /// Root mean square error of the width, m.
    pub width_rms_m: f64,
    /// Mean error of the length, m.
    pub length_bias_m: f64,
    /// Mean error of the width, m.
    pub width_bias_m: f64,
}

const LENGTH_M: f64 = 160.0;
const WIDTH_M: f64 = 130.0;
/// Fixes of a walk: one every 1.4 m, a second apart.
const FIXES: usize = 328;

/// The cells of the table.
#[must_use]
pub fn cells() -> Vec<Cell> {
    let walk = Noise {
        point_sd_m: Some(1.5),
        line_offset_sd_m: 0.0,
        scale_sd: 0.0,
        runs_on: true,
        ..Noise::default()
    };
    let (over, lines) = (Lap::over_the_goals(FIXES), Lap::of_the_lines(FIXES));
    let phone = |name, lap, tau_s, sd_m| Cell {
        name,
        lap,
        fading: Some(Fading { sd_m, tau_s, white_sd_m: 0.2 * sd_m, pace_m_s: 1.4 }),
        white_sd_m: 0.0,
        noise: walk,
        posts_sd_m: None,
    };
    let white = |name, points, white_sd_m, noise| Cell {
        name,
        lap: Lap::of_the_lines(points),
        fading: None,
        white_sd_m,
        noise,
        posts_sd_m: None,
    };
    let known = Noise { point_sd_m: Some(0.6), ..Noise::default() };
    vec![
        phone("phone 1.5 m, 20 s, over goals", over, 20.0, 1.5),
        phone("phone 1.5 m, 60 s, over goals", over, 60.0, 1.5),
        phone("phone 1.5 m, 20 s, lines only", lines, 20.0, 1.5),
        phone("phone 1.5 m, 60 s, lines only", lines, 60.0, 1.5),
        phone("phone 0.3 m, 20 s, over goals", over, 20.0, 0.3),
        phone("phone 0.3 m, 60 s, over goals", over, 60.0, 0.3),
        phone("phone 0.3 m, 20 s, lines only", lines, 20.0, 0.3),
        phone("phone 0.3 m, 60 s, lines only", lines, 60.0, 0.3),
        Cell { posts_sd_m: Some(0.05), ..phone("phone 1.5 m, 20 s, posts 0.05 m", lines, 20.0, 1.5) },
        Cell { posts_sd_m: Some(1.5), ..phone("phone 1.5 m, 20 s, posts 1.5 m", lines, 20.0, 1.5) },
        white("RTK 0.02 m, 328 points", FIXES, 0.02, Noise::default()),
        white("trace 0.6 m, 40 vertices", 40, 0.6, known),
        white("the same, taken for a walk", 40, 0.6, Noise { runs_on: true, ..known }),
    ]
}

/// Goal line to goal line of an outline, m.
#[must_use]
pub fn length_m(outline: &Outline) -> f64 {
    2.0 * outline.half_length_m()
}

/// Overall width of an outline, m; not a number where it has no boundary.
#[must_use]
pub fn width_m(outline: &Outline) -> f64 {
    outline.boundary(2.0 * half_end_m()).map_or(f64::NAN, |b| b.width_m())
}

/// Simulates and fits `runs` surveys of a cell.
///
/// A fit without posts is refused where the curve's long axis is not known to 2°.
/// The walks that pass are those whose errors look small, so their intervals hold
/// the truth less often than those of all walks would. A row with a fifth of the
/// noise refuses hardly any, and coverage does not depend on the noise's size but
/// through that: it measures the arithmetic of the interval, the other what a
/// person meets.
///
/// # Errors
/// Never for the cells of the table.
pub fn count(cell: &Cell, runs: usize, seed: u64) -> Result<Tally, Failure> {
    let site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 0.0, axis_deg: 20.0 };
    let truth = Truth::new(Shape::Ellipse { length_m: LENGTH_M, width_m: WIDTH_M }, site)?;
    let mut options = FitOptions::with_end_width(2.0 * half_end_m());
    options.noise = cell.noise;
    let mut tally = Tally::default();
    for run in 0..runs {
        let mut random = Random::named(seed, &format!("{}/{run}", cell.name));
        // A walk starts anywhere.
        let lap = Lap { start_m: 460.0 * random.uniform(), ..cell.lap };
        let line = match &cell.fading {
            Some(error) => phone(&truth, &lap, error, &mut random),
            None => rtk(&truth, &lap, cell.white_sd_m, &mut random),
        };
        let found = cell.posts_sd_m.map_or_else(Vec::new, |sd| posts(&truth, sd, &mut random));
        let mut read = survey(&truth, &line, &found);
        for point in read.points.iter_mut().filter(|p| p.role != Role::Line) {
            point.sd_m = cell.posts_sd_m;
        }
        let Ok(fit) = ground(&read, &options) else {
            tally.refused += 1;
            continue;
        };
        tally.fitted += 1;
        let hold = |f: fn(&Outline) -> f64, planted: f64| -> Result<[f64; 3], Failure> {
            let half = fit.spread.ratio() * fit.spread.sd_of(&fit.outline, f)?;
            let error = f(&fit.outline) - planted;
            Ok([error, half, f64::from(u8::from(error.abs() <= half))])
        };
        let [error, half, held] = hold(length_m, LENGTH_M)?;
        tally.length_bias_m += error;
        tally.length_rms_m += error * error;
        tally.length_half_m += half;
        tally.length_held += usize::from(held > 0.0);
        let [error, half, held] = hold(width_m, WIDTH_M)?;
        tally.width_bias_m += error;
        tally.width_rms_m += error * error;
        tally.width_half_m += half;
        tally.width_held += usize::from(held > 0.0);
    }
    let n = tally.fitted.max(1) as f64;
    for mean in [
        &mut tally.length_half_m,
        &mut tally.width_half_m,
        &mut tally.length_rms_m,
        &mut tally.width_rms_m,
        &mut tally.length_bias_m,
        &mut tally.width_bias_m,
    ] {
        *mean /= n;
    }
    tally.length_rms_m = tally.length_rms_m.sqrt();
    tally.width_rms_m = tally.width_rms_m.sqrt();
    Ok(tally)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn independent_points_are_covered_as_often_as_the_textbook_says() {
        let cell = cells().into_iter().find(|c| c.name.starts_with("RTK")).unwrap();
        let t = count(&cell, 200, 3).unwrap();
        assert_eq!(t.fitted, 200);
        // 200 runs of 95 %: four standard errors are 6 %.
        for held in [t.length_held, t.width_held] {
            assert!(held >= 178, "{t:?}");
        }
        // 328 points of 0.02 m fix a length to a few millimetres.
        assert!(t.length_rms_m < 0.01 && t.length_half_m < 0.02, "{t:?}");
    }

    #[test]
    fn the_same_seed_counts_the_same() {
        let cell = cells().into_iter().find(|c| c.name.starts_with("trace")).unwrap();
        assert_eq!(count(&cell, 5, 1).unwrap(), count(&cell, 5, 1).unwrap());
    }
}
