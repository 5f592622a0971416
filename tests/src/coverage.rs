//! How often the 95 % interval of a fit holds the truth, by simulation.
//!
//! Grounds of three shapes, surveyed in four ways with no posts; each survey is fitted as the program
//! fits it, with no error that residuals can't show: neither planted nor allowed for. Once the
//! shape is forced to the planted one, once it is chosen. Beside them stand the textbook's
//! interval (least squares of the planted shape, errors independent) and the
//! [best that can be told](crate::reference).

use ovalpeg::boundary::{Outline, Side};
use ovalpeg::fit::{Fit, FitOptions, Noise, ground};
use ovalpeg::geometry::Model;
use ovalpeg::numeric::t_quantile;
use ovalpeg::survey::LocalSurvey;

use crate::Failure;
use crate::random::Random;
use crate::reference;
use crate::truth::{Shape, Site, Truth, half_end_m};
use crate::walk::{Fading, Lap, phone, rtk, survey};

/// Name, planted shape, and what the fit calls it.
pub const SHAPES: [(&str, Shape, Model); 3] = [
    ("ellipse", Shape::Ellipse { length_m: 160.0, width_m: 130.0 }, Model::Ellipse),
    ("four arcs", Shape::FourArc { length_m: 160.0, width_m: 130.0, end_radius_m: 50.0 }, Model::FourArc),
    (
        "straight side",
        Shape::Cut { length_m: 160.0, half_width_m: 65.0, cut_m: 4.0, side: Side::Right },
        Model::CutEllipse,
    ),
];
/// Fixes of a walk: one every 1.4 m, a second apart.
const FIXES: usize = 328;
const PACE_M_S: f64 = 1.4;

/// The errors of a way of surveying.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Errors {
    /// A phone's, that runs on: standard deviation in each coordinate, m, and how long it lasts, s.
    pub fading: Option<(f64, f64)>,
    /// White noise in each coordinate, m.
    pub white_sd_m: f64,
}

impl Errors {
    /// Covariance of two residuals `apart_s` apart whose normals have this product.
    #[must_use]
    pub fn covariance(&self, apart_s: f64, normals: f64, same: bool) -> f64 {
        let white = if same { self.white_sd_m * self.white_sd_m } else { 0.0 };
        white + self.fading.map_or(0.0, |(sd, tau)| sd * sd * (-apart_s.abs() / tau).exp() * normals)
    }
}

/// A way of surveying.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    /// As printed.
    pub name: &'static str,
    /// Points of the line.
    pub points: usize,
    /// Its errors.
    pub errors: Errors,
    /// What the fit is told.
    pub noise: Noise,
}

/// The ways of the table.
#[must_use]
pub fn ways() -> [Way; 4] {
    let none = Noise::default();
    let walked = Noise { point_sd_m: Some(1.5), runs_on: true, ..none };
    let way = |name, points, fading, white_sd_m, noise| Way {
        name,
        points,
        errors: Errors { fading, white_sd_m },
        noise,
    };
    [
        way("(a) phone 1.5 m, 20 s, + 0.3 m", FIXES, Some((1.5, 20.0)), 0.3, walked),
        way("(b) phone 1.5 m, 60 s, + 0.3 m", FIXES, Some((1.5, 60.0)), 0.3, walked),
        way("(c) RTK 0.02 m", FIXES, None, 0.02, Noise { point_sd_m: Some(0.02), ..none }),
        way("(d) trace, 40 vertices, 0.6 m", 40, None, 0.6, Noise { point_sd_m: Some(0.6), ..none }),
    ]
}

/// How a fit came by its interval.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// The planted shape, forced.
    Forced,
    /// The shape that was chosen.
    Chosen,
    /// The planted shape by least squares, errors taken for independent.
    Textbook,
}

/// What came of one way of fitting a cell's surveys.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tally {
    /// Surveys fitted.
    pub fitted: usize,
    /// Surveys that the fit refused.
    pub refused: usize,
    /// Intervals that hold the true length, width and perimeter.
    pub held: [usize; 3],
    /// Sums of half-widths, m.
    pub half_m: [f64; 3],
    /// Sums of errors, m.
    pub error_m: [f64; 3],
    /// How often each shape was taken, in the order of [`Model::ALL`].
    pub taken: [usize; 4],
    /// How often the planted shape was neither taken nor said to be possible.
    pub missed: usize,
}

impl Tally {
    /// Shares of intervals that hold the truth, %.
    #[must_use]
    pub fn share(&self) -> [f64; 3] {
        self.held.map(|h| 100.0 * h as f64 / self.fitted.max(1) as f64)
    }

    /// Mean half-widths, m.
    #[must_use]
    pub fn mean_half_m(&self) -> [f64; 3] {
        self.half_m.map(|h| h / self.fitted.max(1) as f64)
    }

    /// Mean errors, m.
    #[must_use]
    pub fn mean_error_m(&self) -> [f64; 3] {
        self.error_m.map(|e| e / self.fitted.max(1) as f64)
    }

    fn add(
        &mut self,
        fit: &Fit,
        half: Option<[f64; 3]>,
        planted: [f64; 3],
        model: Model,
    ) -> Result<(), Failure> {
        self.fitted += 1;
        let found = sizes(&fit.outline);
        let halves = match half {
            Some(half) => half,
            None => fit.spread.sds_of(&fit.outline, sizes)?.map(|sd| fit.spread.ratio() * sd),
        };
        for i in 0..3 {
            let (half, error) = (halves[i], found[i] - planted[i]);
            self.held[i] += usize::from(error.abs() <= half);
            self.half_m[i] += half;
            self.error_m[i] += error;
        }
        let taken = Model::ALL.iter().position(|m| *m == fit.choice.model).unwrap_or(0);
        self.taken[taken] += 1;
        let told = fit.choice.model == model || fit.choice.also_possible().contains(&model);
        self.missed += usize::from(!told);
        Ok(())
    }
}

/// Length, width and perimeter of an outline, m; not numbers where it has no boundary.
#[must_use]
pub fn sizes(outline: &Outline) -> [f64; 3] {
    let b = outline.boundary(2.0 * half_end_m());
    let of = |f: fn(&ovalpeg::boundary::Boundary) -> f64| b.as_ref().map_or(f64::NAN, f);
    [2.0 * outline.half_length_m(), of(|b| b.width_m()), of(|b| b.perimeter_m())]
}

/// Goal line to goal line of an outline, m.
#[must_use]
pub fn length_m(outline: &Outline) -> f64 {
    sizes(outline)[0]
}

/// Overall width of an outline, m; not a number where it has no boundary.
#[must_use]
pub fn width_m(outline: &Outline) -> f64 {
    sizes(outline)[1]
}

/// The site of every simulated ground.
const SITE: Site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 0.0, axis_deg: 20.0 };

/// Options for one way of fitting.
fn options(way: &Way, model: Model, by: By) -> FitOptions {
    let mut options = FitOptions::with_end_width(2.0 * half_end_m());
    options.noise = if by == By::Textbook { Noise::default() } else { way.noise };
    options.shape = (by != By::Chosen).then_some(model);
    options
}

/// One survey of a ground, walked over the lines from a place drawn by chance.
fn surveyed(truth: &Truth, way: &Way, random: &mut Random) -> LocalSurvey {
    let lap = Lap { start_m: 460.0 * random.uniform(), ..Lap::of_the_lines(way.points) };
    let white_sd_m = way.errors.white_sd_m;
    let line = match way.errors.fading {
        Some((sd_m, tau_s)) => {
            phone(truth, &lap, &Fading { sd_m, tau_s, white_sd_m, pace_m_s: PACE_M_S }, random)
        }
        None => rtk(truth, &lap, white_sd_m, random),
    };
    survey(truth, &line, &[])
}

/// Simulates and fits `runs` surveys of a ground, forced, chosen and by the textbook.
///
/// A fit without posts is refused where the curve's long axis is not known well enough, and
/// the walks that pass are those whose errors look small: the refusals are counted.
///
/// # Errors
/// Never for the cells of the table.
pub fn count(shape: usize, way: &Way, runs: usize, seed: u64) -> Result<[Tally; 3], Failure> {
    let (name, planted, model) = SHAPES[shape];
    let truth = Truth::new(planted, SITE)?;
    let sizes = [planted.length_m(), planted.width_m(), truth.perimeter_m()];
    let white = Errors { fading: None, white_sd_m: 1.0 };
    let unit = at_best(shape, &Way { errors: white, ..*way })?;
    let mut tallies: [Tally; 3] = std::array::from_fn(|_| Tally::default());
    for run in 0..runs {
        let mut random = Random::named(seed, &format!("{name}/{}/{run}", way.name));
        let read = surveyed(&truth, way, &mut random);
        for (by, tally) in [By::Forced, By::Chosen, By::Textbook].into_iter().zip(&mut tallies) {
            match ground(&read, &options(way, model, by)) {
                Ok(fit) => {
                    // s₀²(JᵀJ)⁻¹ for errors of one metre, times s₀ and t.
                    let (n, dof) = (fit.curve.residuals.len() as f64, fit.curve.dof);
                    let (s0, t) = (fit.curve.rms_m * (n / dof).sqrt(), t_quantile(0.975, dof));
                    let half = (by == By::Textbook).then(|| unit.map(|u| u / 1.96 * s0 * t));
                    tally.add(&fit, half, sizes, model)?;
                }
                Err(_) => tally.refused += 1,
            }
        }
    }
    Ok(tallies)
}

/// The reference's half-widths for a cell, m, averaged over eight places to start from.
///
/// # Errors
/// Never for the cells of the table.
pub fn at_best(shape: usize, way: &Way) -> Result<[f64; 3], Failure> {
    let truth = Truth::new(SHAPES[shape].1, SITE)?;
    let mut sum = [0.0; 3];
    let starts = 8;
    for k in 0..starts {
        let lap = Lap { start_m: 460.0 * k as f64 / starts as f64, ..Lap::of_the_lines(way.points) };
        let points = lap.points(&truth, &mut Random::new(0));
        let mut times = vec![0.0];
        for pair in points.windows(2) {
            times.push(times[times.len() - 1] + pair[0].distance_to(pair[1]) / PACE_M_S);
        }
        let one = reference::half_widths(&truth, &points, &times, &way.errors)?;
        for (sum, v) in sum.iter_mut().zip(one) {
            *sum += v / starts as f64;
        }
    }
    Ok(sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_seed_counts_the_same() {
        assert_eq!(count(0, &ways()[3], 5, 1).unwrap(), count(0, &ways()[3], 5, 1).unwrap());
    }
}
