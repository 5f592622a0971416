//! Makes the registered fit from a fit.

use super::super::{FitFile, LineGap, LineOff};
use crate::fit::Fit;

impl FitFile {
    /// What a venue keeps of a fit that was made with scoring ends of this width.
    #[must_use]
    pub fn of(fit: &Fit, end_width_m: f64) -> Self {
        let largest = fit.curve.largest();
        Self {
            outline: fit.outline.clone(),
            spread: fit.spread.clone(),
            axis_from: fit.axis_from,
            end_width_m,
            points_used: fit.curve.residuals.len(),
            points_set_aside: fit.curve.set_aside.len(),
            rms_m: fit.curve.rms_m,
            largest_m: largest.map_or(0.0, |r| r.residual_m),
            largest_bearing_deg: largest.map_or(0.0, |r| r.bearing_deg),
            post_miss_m: fit.posts.iter().map(|p| p.miss_m).fold(0.0, f64::max),
            departures: fit
                .departures
                .iter()
                .map(|d| LineOff { bearing_deg: d.bearing_deg, mean_m: d.mean_m })
                .collect(),
            error_lasts_m: fit.walk.map(|w| w.lasts_m),
            conflicts: fit
                .conflicts
                .iter()
                .map(|c| c.text.clone())
                .chain(fit.readings.iter().map(|r| r.text.clone()))
                .collect(),
            also_possible: fit.choice.also_possible(),
            unsurveyed: fit
                .unsurveyed
                .iter()
                .map(|u| LineGap { length_m: u.length_m, bearing_deg: u.bearing_deg, sd_m: u.sd_m })
                .collect(),
        }
    }
}
