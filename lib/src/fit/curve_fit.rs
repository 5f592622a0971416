//! A curve from points alone: screening, the start, the optimum, its covariance.

use std::collections::BTreeMap;

use super::circle::nearest_circle;
use super::form::ellipse_of;
use super::geometric::{Adjusted, NoOptimum, adjust};
use super::observation::{Observation, Of};
use super::places::Indexed;
use super::screened::{PARAMETERS, screen};
use super::screening::{GAP_LIMIT_DEG, largest_gap, on_a_line};
use super::system::System;
use super::to_spread::{in_degrees, long_axis_first};
use super::{Curve, FitError, FitOptions, Residual, SetAside, direct};
use crate::frame::Local;
use crate::geometry::{ClosedCurve as _, Point, Shape};
use crate::survey::{LocalSurvey, Observed};
use crate::units::Problem;

pub(super) fn reach(points: &[Point<Local>]) -> f64 {
    let Some(&first) = points.first() else { return 0.0 };
    points.iter().map(|p| p.distance_to(first)).fold(0.0, f64::max)
}

/// Standard deviations of the line's points: their own, their source's, or 1, where the unit of weight is
/// found from the residuals. Also, whether all are known.
pub(super) fn sds(line: &[Indexed<'_>], options: &FitOptions) -> (Vec<f64>, bool) {
    // A point without one gets the median of its own source.
    let mut own: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for p in line {
        own.entry(p.1.source).or_default().extend(p.1.sd_m);
    }
    let middle: BTreeMap<usize, f64> = own
        .into_iter()
        .filter_map(|(source, mut list)| {
            list.sort_by(f64::total_cmp);
            Some((source, *list.get(list.len() / 2)?))
        })
        .collect();
    let mut known = true;
    let sds = line
        .iter()
        .map(|p| {
            let given = p.1.sd_m.or(options.noise_of(p.1.source).point_sd_m);
            given.or(middle.get(&p.1.source).copied()).unwrap_or_else(|| {
                known = false;
                1.0
            })
        })
        .collect();
    (sds, known)
}

pub(super) fn on_line(line: &[Indexed<'_>], sds: &[f64], options: &FitOptions) -> Vec<Observation> {
    line.iter()
        .zip(sds)
        .map(|(p, &sd)| Observation::OnLine {
            at: p.1.at,
            sd,
            inside: options.noise_of(p.1.source).inside_m,
            of: Of::observed(p.1),
        })
        .collect()
}

/// Fits an ellipse to points: a direct start, then the orthogonal-distance optimum.
pub(super) fn fit_points(
    points: &[Point<Local>],
    observations: Vec<Observation>,
) -> Result<Adjusted, FitError> {
    let Some(start) = direct::direct(points) else { return Err(no_ellipse(points)) };
    let c = start.centre();
    let p = [c.x, c.y, start.semi_major_m(), start.semi_minor_m(), start.turn_rad()];
    let adjusted =
        adjust(&p, &System::of(observations, 0.0), reach(points)).map_err(|e| no_fit(e, points))?;
    let ellipse = ellipse_of(&adjusted.parameters).ok_or(FitError::Open)?;
    if direct::is_hyperbola(points, rms(points.iter().map(|&p| ellipse.foot(p).signed_distance_m))) {
        // Many hyperbolas pass through points on a line.
        return Err(if on_a_line(points) { FitError::OnALine } else { FitError::NotAnOval });
    }
    Ok(adjusted)
}

pub(super) fn no_fit(e: NoOptimum, points: &[Point<Local>]) -> FitError {
    match e {
        NoOptimum::Unbounded => no_ellipse(points),
        NoOptimum::DidNotConverge { after, last_step_m } => FitError::DidNotConverge { after, last_step_m },
    }
}

/// Why there is no best ellipse: the points lie on a line, or a hyperbola is less than half as far from them
/// as a circle, or the points hardly bend.
fn no_ellipse(points: &[Point<Local>]) -> FitError {
    if on_a_line(points) {
        return FitError::OnALine;
    }
    let off_circle = nearest_circle(points).map_or(f64::INFINITY, |c| c.rms_m);
    if direct::is_hyperbola(points, off_circle) { FitError::NotAnOval } else { FitError::Open }
}

pub(super) fn rms(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let n = values.len().max(1) as f64;
    (values.map(|v| v * v).sum::<f64>() / n).sqrt()
}

/// The ellipse of an adjustment, with its residuals and textbook covariance.
pub(super) fn curve_of(
    adjusted: &Adjusted,
    line: &[Indexed<'_>],
    set_aside: Vec<SetAside>,
    gap_deg: f64,
    place: impl Fn(&Observed, &Shape<Local>) -> Point<Local>,
) -> Result<Curve, FitError> {
    let dof = adjusted.dof();
    let s0 = (adjusted.sum / dof.max(1.0)).sqrt();
    let (cofactor, free) = adjusted.cofactor();
    let ellipse_part = cofactor.view((0, 0), (PARAMETERS, PARAMETERS)).into_owned() * (s0 * s0);
    let (p, covariance) = long_axis_first(adjusted.parameters[..PARAMETERS].to_vec(), ellipse_part);
    let ellipse = ellipse_of(&p).ok_or(FitError::Open)?;
    let residuals = residuals(&Shape::Ellipse(ellipse), line, place);
    let curve = Curve {
        ellipse,
        covariance: in_degrees(&covariance, &[4]).ok_or(FitError::HardlyFixed { points: line.len() })?,
        s0,
        dof,
        axis_fixed: free == 0,
        rms_m: rms(residuals.iter().map(|r| r.residual_m)),
        residuals,
        set_aside,
        runs: Vec::new(),
        gap_deg,
        warnings: Vec::new(),
    };
    Ok(curve)
}

/// Residuals of points, each corrected by `place` first.
pub(super) fn residuals(
    curve: &Shape<Local>,
    line: &[Indexed<'_>],
    place: impl Fn(&Observed, &Shape<Local>) -> Point<Local>,
) -> Vec<Residual> {
    line.iter()
        .map(|(index, p)| {
            let at = place(p, curve);
            let v = at - curve.centre();
            Residual {
                index: *index,
                residual_m: curve.foot(at).signed_distance_m,
                bearing_deg: v.x.atan2(v.y).to_degrees().rem_euclid(360.0),
            }
        })
        .collect()
}

/// Fits the curve alone, without goals and ends. It may have any size and may be round.
///
/// # Errors
/// [`FitError`].
///
/// # Examples
/// ```
/// use ovalpeg::fit::{FitOptions, curve};
/// use ovalpeg::survey::{ReadOptions, read};
/// let csv = b"x,y\n80,0\n0,65\n-80,0\n0,-65\n48,52\n-48,-52\n64,-39\n";
/// let survey = read(csv, &ReadOptions::default())?.value;
/// let local = survey.to_local(survey.plane()?)?;
/// let fitted = curve(&local, &FitOptions::with_end_width(19.2))?;
/// assert!((fitted.ellipse.semi_major_m() - 80.0).abs() < 1e-6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn curve(survey: &LocalSurvey, options: &FitOptions) -> Result<Curve, FitError> {
    let s = screen(survey)?;
    let points: Vec<Point<Local>> = s.line.iter().map(|p| p.1.at).collect();
    if points.len() <= PARAMETERS {
        return Err(FitError::TooFewPoints {
            have: points.len(),
            different: points.len(),
            need: PARAMETERS + 1,
        });
    }
    let (sds, _) = sds(&s.line, options);
    let adjusted = fit_points(&points, on_line(&s.line, &sds, options))?;
    let centre = ellipse_of(&adjusted.parameters).ok_or(FitError::Open)?.centre();
    let gap = largest_gap(centre, &points, &[]);
    let mut curve = curve_of(&adjusted, &s.line, s.set_aside, gap.gap_deg, |p, e| {
        p.at + e.foot(p.at).normal * options.noise_of(p.source).inside_m
    })?;
    curve.runs = s.runs;
    if gap.gap_deg > GAP_LIMIT_DEG {
        curve.warnings.push(Problem::new(format!(
            "no points over {}° seen from the centre: the curve is guessed there",
            crate::units::print::fixed(gap.gap_deg, 0)
        )));
    }
    Ok(curve)
}
