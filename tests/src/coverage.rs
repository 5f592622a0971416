//! Simulates how often the 95 % interval of a fit holds the truth.
//!
//! Grounds of three shapes are surveyed in four ways without posts. Each survey goes through `solve` as a
//! file with its method given, and has the steady errors that the method allows for: of distance from the
//! line, and of scale. It is solved twice: with the true shape forced, and with the shape chosen by the fit.
//! For comparison there is the textbook's interval (least squares of the true shape with independent errors),
//! for the same survey without its steady errors, which the textbook doesn't know. And there is the [best
//! possible interval](crate::reference).

use ovalpeg::boundary::{Outline, Side};
use ovalpeg::fit::{Fit, FitOptions, ground};
use ovalpeg::geometry::Model;
use ovalpeg::rules::Method;
use ovalpeg::solve::{SolveError, solve};
use ovalpeg::survey::LocalSurvey;

use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::Failure;
use crate::door::{by, options};
use crate::random::Random;
use crate::reference;
use crate::truth::{Shape, Site, Truth, half_end_m};
use crate::walk::{Fading, Lap, Steady, phone, rtk, survey};

/// The grounds: name, true shape, and the fit's name for it.
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
    /// The correlated error of a phone: standard deviation in each coordinate, m, and correlation time, s.
    pub fading: Option<(f64, f64)>,
    /// Standard deviation of white noise in each coordinate, m.
    pub white_sd_m: f64,
    /// Standard deviation of how far outside the line the whole survey is, m.
    pub off_line_sd_m: f64,
    /// Standard deviation of how much too large the whole survey is, as a ratio.
    pub scale_sd: f64,
}

impl Errors {
    /// Only white noise, with this standard deviation in each coordinate, m.
    #[must_use]
    pub fn white(white_sd_m: f64) -> Self {
        Self { fading: None, white_sd_m, off_line_sd_m: 0.0, scale_sd: 0.0 }
    }

    /// Covariance of two residuals, m², taken `apart_s` seconds apart. `normals` is the dot product of the
    /// two normals; `outs_m2` is the product of the two points' distances from the centre along their
    /// normals.
    #[must_use]
    pub fn covariance(&self, apart_s: f64, normals: f64, outs_m2: f64, same: bool) -> f64 {
        let white = if same { self.white_sd_m * self.white_sd_m } else { 0.0 };
        let steady = self.off_line_sd_m.powi(2) + self.scale_sd.powi(2) * outs_m2;
        let fading = self.fading.map_or(0.0, |(sd, tau)| sd * sd * (-apart_s.abs() / tau).exp() * normals);
        white + steady + fading
    }
}

/// A way of surveying.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    /// Its printed name.
    pub name: &'static str,
    /// How many points of the line.
    pub points: usize,
    /// Its errors.
    pub errors: Errors,
    /// The method that the file is given.
    pub method: Method,
}

/// The ways of surveying in the table.
#[must_use]
pub fn ways() -> [Way; 4] {
    let way = |name, method: Method, points, fading, white_sd_m| {
        let (off_line_sd_m, scale_sd) = (method.line_offset_sd_m().value, method.scale_sd().value);
        Way { name, points, errors: Errors { fading, white_sd_m, off_line_sd_m, scale_sd }, method }
    };
    [
        way("(a) phone 1.5 m, 20 s, + 0.3 m", Method::Phone, FIXES, Some((1.5, 20.0)), 0.3),
        way("(b) phone 1.5 m, 60 s, + 0.3 m", Method::Phone, FIXES, Some((1.5, 60.0)), 0.3),
        way("(c) RTK 0.02 m", Method::Rtk, FIXES, None, 0.02),
        way("(d) trace, 40 vertices, 0.6 m", Method::Trace, 40, None, 0.6),
    ]
}

/// The results of one way of fitting a cell's surveys.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tally {
    /// Surveys fitted.
    pub fitted: usize,
    /// Surveys that the fit refused.
    pub refused: usize,
    /// How many intervals hold the true length, width and perimeter.
    pub held: [usize; 3],
    /// Sums of half-widths, m.
    pub half_m: [f64; 3],
    /// Sums of errors, m.
    pub error_m: [f64; 3],
    /// How often each shape was chosen, in the order of [`Model::ALL`].
    pub taken: [usize; 4],
    /// How often the true shape was neither chosen nor reported as possible.
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

    /// Adds a survey, with the given half-widths, or else the fit's own.
    fn add(
        &mut self,
        fit: Option<&Fit>,
        half: Option<[f64; 3]>,
        planted: [f64; 3],
        model: Model,
    ) -> Result<(), Failure> {
        let Some(fit) = fit else {
            self.refused += 1;
            return Ok(());
        };
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

/// Length, width and perimeter of an outline, m; width and perimeter are NaN where it has no boundary.
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

/// Overall width of an outline, m; NaN where it has no boundary.
#[must_use]
pub fn width_m(outline: &Outline) -> f64 {
    sizes(outline)[1]
}

/// The site of every simulated ground.
const SITE: Site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 0.0, axis_deg: 20.0 };

/// One survey of a ground, along the lines from a random start: without its steady errors, and with them.
fn surveyed(truth: &Truth, way: &Way, random: &mut Random) -> [LocalSurvey; 2] {
    let lap = Lap { start_m: 460.0 * random.uniform(), ..Lap::of_the_lines(way.points) };
    let Errors { fading, white_sd_m, .. } = way.errors;
    let line = match fading {
        Some((sd_m, tau_s)) => {
            phone(truth, &lap, &Fading { sd_m, tau_s, white_sd_m, pace_m_s: PACE_M_S }, random)
        }
        None => rtk(truth, &lap, white_sd_m, random),
    };
    [survey(truth, &line, &[]), Steady::of(way.method, random).survey(truth, &line, &[])]
}

/// A survey through `solve`; `None` where no ground can be fitted.
fn through_the_door(
    truth: &Truth,
    way: &Way,
    drawn: &LocalSurvey,
    shape: Option<Model>,
) -> Result<Option<Fit>, Failure> {
    let mut options = options(truth);
    options.shape = shape;
    match solve(vec![by(way.method, "survey.csv", drawn)?], &options) {
        Ok(solved) => Ok(Some(solved.fit().clone())),
        Err(SolveError::Fit { .. } | SolveError::TooUncertain { .. }) => Ok(None),
        Err(e) => Err(e.into()),
    }
}

/// The fit alone, with independent errors, whose standard deviation may be given. It doesn't go through
/// `solve`, which always allows for steady errors: those would hide how well the fit itself does. With no
/// standard deviation and a forced shape it is the textbook's fit.
fn independent(drawn: &LocalSurvey, point_sd_m: Option<f64>, shape: Option<Model>) -> Option<Fit> {
    let mut options = FitOptions::with_end_width(2.0 * half_end_m());
    options.noise.point_sd_m = point_sd_m;
    options.shape = shape;
    ground(drawn, &options).ok()
}

/// The true ground of a shape, and its length, width and perimeter, m.
fn planted(shape: usize) -> Result<(Truth, [f64; 3]), Failure> {
    let planted = SHAPES[shape].1;
    let truth = Truth::new(planted, SITE)?;
    let sizes = [planted.length_m(), planted.width_m(), truth.perimeter_m()];
    Ok((truth, sizes))
}

/// The random numbers of one run of a cell.
fn stream(shape: usize, way: &Way, run: usize, seed: u64) -> Random {
    Random::named(seed, &format!("{}/{}/{run}", SHAPES[shape].0, way.name))
}

/// Simulates `runs` surveys of a ground, and fits them in three ways: shape forced, shape chosen, and by the
/// textbook.
///
/// A fit without posts is refused where the curve's long axis is not known well enough. The walks that pass
/// are those whose errors look small, so the refusals are counted.
///
/// # Errors
/// Never for the cells of the table.
pub fn count(shape: usize, way: &Way, runs: usize, seed: u64) -> Result<[Tally; 3], Failure> {
    let model = SHAPES[shape].2;
    let (truth, sizes) = planted(shape)?;
    let unit = at_best(shape, &Way { errors: Errors::white(1.0), ..*way })?;
    let mut tallies: [Tally; 3] = std::array::from_fn(|_| Tally::default());
    for run in 0..runs {
        let [shown, whole] = surveyed(&truth, way, &mut stream(shape, way, run, seed));
        let [forced, chosen, textbook] = &mut tallies;
        for (shape, tally) in [(Some(model), forced), (None, chosen)] {
            let fit = through_the_door(&truth, way, &whole, shape)?;
            tally.add(fit.as_ref(), None, sizes, model)?;
        }
        let fit = independent(&shown, None, Some(model));
        let half = match &fit {
            Some(fit) => {
                // The half-widths for errors of 1 m, from (JᵀJ)⁻¹, scaled by s₀ and with t in place of 1.96.
                let (n, dof) = (fit.curve.residuals.len() as f64, fit.curve.dof);
                let t = StudentsT::new(0.0, 1.0, dof)?.inverse_cdf(0.975);
                let s0 = fit.curve.rms_m * (n / dof).sqrt();
                Some(unit.map(|u| u / 1.96 * s0 * t))
            }
            None => None,
        };
        textbook.add(fit.as_ref(), half, sizes, model)?;
    }
    Ok(tallies)
}

/// The same surveys without their steady errors, by the fit alone with the white noise's standard deviation
/// given: with the shape forced, and chosen.
///
/// # Errors
/// Never for the cells of the table.
pub fn count_independent(shape: usize, way: &Way, runs: usize, seed: u64) -> Result<[Tally; 2], Failure> {
    let model = SHAPES[shape].2;
    let (truth, sizes) = planted(shape)?;
    let mut tallies: [Tally; 2] = std::array::from_fn(|_| Tally::default());
    for run in 0..runs {
        let [shown, _] = surveyed(&truth, way, &mut stream(shape, way, run, seed));
        for (shape, tally) in [Some(model), None].into_iter().zip(&mut tallies) {
            let fit = independent(&shown, Some(way.errors.white_sd_m), shape);
            tally.add(fit.as_ref(), None, sizes, model)?;
        }
    }
    Ok(tallies)
}

/// The reference's half-widths for a cell, m, averaged over eight starting places.
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
