//! The error of a walk, as its residuals show it.

/// The error of a walk, as its residuals show it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WalkError {
    /// Standard deviation of one fix along the normal, m.
    pub sd_m: f64,
    /// The error's correlation time at a steady walk, s.
    pub lasts_s: f64,
    /// The error's correlation length along the walk, m.
    pub lasts_m: f64,
    /// Share of the variance that is white.
    pub white_share: f64,
    /// Weight of independent errors.
    pub white_only_weight: f64,
    /// How many fixes of walks showed this.
    pub fixes: usize,
}

impl WalkError {
    /// Does no error run on from one point to the next, as far as the residuals tell?
    #[must_use]
    pub fn is_white(&self) -> bool {
        self.white_only_weight > 0.5
    }

    /// About how many independent points the walk is worth over a path of `length_m`:
    /// one for each 2·lasts_m, the integral scale of an exponential correlation.
    #[must_use]
    pub fn effective_points(&self, length_m: f64, n: usize) -> f64 {
        if self.lasts_m > 0.0 { (length_m / (2.0 * self.lasts_m)).clamp(1.0, n as f64) } else { n as f64 }
    }
}
