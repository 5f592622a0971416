//! Where a line is not what it was fitted with: stretches off the ellipse, and points
//! that are mistyped.

use crate::frame::Local;
use crate::geometry::{ClosedCurve as _, Point, Shape};

/// How far a point is from the fitted line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residual {
    /// Index in the survey.
    pub index: usize,
    /// Metres, positive outside.
    pub residual_m: f64,
    /// Bearing from the curve's centre to the point, degrees.
    pub bearing_deg: f64,
}

/// A stretch where the line departs from the fitted curve by more than the points' scatter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Departure {
    /// Bearing from the centre to the stretch's middle, degrees.
    pub bearing_deg: f64,
    /// Middle of the stretch on the curve.
    pub at: Point<Local>,
    /// Median residual of its points, m, positive outside the curve.
    pub mean_m: f64,
}

/// Number of sectors round the curve; the median residual of each is taken. A sector is 15° wide, about 20 m
/// of line.
const SECTORS: usize = 24;
/// A sector with fewer points than this is left out.
const SECTOR_LEAST: usize = 3;
/// Smallest departure that is reported, m.
const DEPARTURE_LEAST_M: f64 = 0.5;
/// A departure is reported only where it is larger than this many standard errors of the sector's median.
const DEPARTURE_SIGMAS: f64 = 4.0;

/// A residual larger than this many times the median size is an outlier: by chance, one point in 10^7 is.
const BLUNDER_TIMES: f64 = 8.0;

/// Points that lie much farther off the line than the rest do, largest first: mistyped points, or spikes.
/// Empty where there are more than a tenth of the points: then the shape is wrong, not the points.
pub(super) fn blunders(residuals: &[Residual]) -> Vec<Residual> {
    let mut sizes: Vec<f64> = residuals.iter().map(|r| r.residual_m.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let middle = sizes.get(sizes.len() / 2).copied().unwrap_or(0.0);
    let limit = (BLUNDER_TIMES * middle).max(DEPARTURE_LEAST_M);
    let mut found: Vec<Residual> = residuals.iter().copied().filter(|r| r.residual_m.abs() > limit).collect();
    found.sort_by(|a, b| b.residual_m.abs().total_cmp(&a.residual_m.abs()));
    if found.len() * 10 > residuals.len() { Vec::new() } else { found }
}

/// Where the line departs from the fitted curve: sectors whose median residual is at least half a metre and
/// four of its standard errors. The scatter is taken from neighbours round the curve. The worst comes first.
/// With autocorrelated errors (a phone walk) this would report noise, so use it only for other surveys.
pub(super) fn departures(curve: &Shape<Local>, residuals: &[Residual]) -> Vec<Departure> {
    let mut sectors: Vec<Vec<&Residual>> = vec![Vec::new(); SECTORS];
    for r in residuals {
        // In 0..24 by the remainder, so the cast is exact.
        sectors[((r.bearing_deg / 360.0 * SECTORS as f64) as usize) % SECTORS].push(r);
    }
    let full: Vec<&Vec<&Residual>> = sectors.iter().filter(|s| s.len() >= SECTOR_LEAST).collect();
    // Medians, so that one mistyped point makes no departure of its sector.
    let median = |mut v: Vec<f64>| {
        v.sort_by(f64::total_cmp);
        let n = v.len();
        if n == 0 { 0.0 } else { 0.5 * (v[n / 2] + v[(n - 1) / 2]) }
    };
    let middle_of = |s: &[&Residual]| median(s.iter().map(|r| r.residual_m).collect());
    // Scatter from neighbours round the curve, which share their shape and not their
    // error: |rᵢ − rᵢ₊₁| has a median of 0.9539 standard deviations (√2 · 0.6745).
    let mut round: Vec<&Residual> = residuals.iter().collect();
    round.sort_by(|a, b| a.bearing_deg.total_cmp(&b.bearing_deg));
    let steps: Vec<f64> = round.windows(2).map(|p| (p[0].residual_m - p[1].residual_m).abs()).collect();
    if steps.is_empty() {
        return Vec::new();
    }
    let sd = median(steps) / 0.9539;
    let mut found: Vec<Departure> = full
        .iter()
        .filter_map(|s| {
            let m = middle_of(s);
            // A median's standard error is √(π/2) times a mean's.
            let error = 1.2533 * sd / (s.len() as f64).sqrt();
            let enough = m.abs() >= DEPARTURE_LEAST_M && m.abs() > DEPARTURE_SIGMAS * error;
            let middle = s.get(s.len() / 2)?;
            let bearing = middle.bearing_deg;
            let (sin, cos) = bearing.to_radians().sin_cos();
            let far = curve.centre() + crate::geometry::Vector::new(sin, cos) * curve.semi_axes_m()[0];
            enough.then(|| Departure { bearing_deg: bearing, at: curve.foot(far).point, mean_m: m })
        })
        .collect();
    found.sort_by(|a, b| b.mean_m.abs().total_cmp(&a.mean_m.abs()));
    found
}
