//! Tests whether the goal axis is known well enough for a card.

use super::FitError;
use super::error::Posts;
use crate::units::Problem;

/// The axis must be known this well by the points' own scatter, one standard
/// deviation, degrees.
const AXIS_SD_LIMIT_DEG: f64 = 2.0;
/// With the error of a walk counted in, the axis must be known this well, degrees.
/// Autocorrelated errors blur the axis far more than the length (2° to 3° on 160 × 130 m by phone, where the
/// length is good to 4 m). So a limit of 2° here would refuse half of all phone walks, and keep those whose
/// error only looks small. Beyond 6° the axis could be anywhere within 12° and more.
const WALK_AXIS_SD_LIMIT_DEG: f64 = 6.0;
/// How true a painted line is to any oval, m: on a ground whose semi-axes differ by
/// Δ, a paint error of this size with two bulges turns the longer axis by paint/Δ
/// radians, whatever the survey's precision (r ≈ r₀ + Δ/2·cos 2φ, turned by ε/Δ).
/// Common practice, no source.
const PAINT_M: f64 = 0.05;

/// What is known of the axis, standard deviations in degrees.
#[derive(Debug, Clone, Copy)]
pub(super) struct Axis {
    /// Standard deviation of the axis with all errors included.
    pub(super) own_deg: f64,
    /// Standard deviation of the curve's longer axis by the points' own scatter.
    pub(super) textbook_deg: f64,
    pub(super) semi_axes_differ_m: f64,
    /// The posts' role. Where none were used, the axis is the curve's longer one.
    pub(super) posts: Posts,
    /// Is the axis fixed at all? On a circle without posts it is not.
    pub(super) fixed: bool,
    /// Was a walk's autocorrelated error included?
    pub(super) walked: bool,
}

impl Axis {
    /// Tests the axis, and gives a warning where it is rough. `ratio` is the 95 % half-width over one
    /// standard deviation.
    ///
    /// # Errors
    /// [`FitError::NoAxis`] where the axis is not known well enough.
    pub(super) fn known(&self, ratio: f64) -> Result<Option<Problem>, FitError> {
        let paint_deg = (PAINT_M / self.semi_axes_differ_m).min(1.0).to_degrees();
        let (textbook, honest) = match (self.posts != Posts::Used, self.walked) {
            (true, _) => (self.textbook_deg.hypot(paint_deg), self.own_deg.hypot(paint_deg)),
            (false, false) => (self.own_deg, self.own_deg),
            (false, true) => (0.0, self.own_deg),
        };
        let limits = [(textbook, AXIS_SD_LIMIT_DEG), (honest, WALK_AXIS_SD_LIMIT_DEG)];
        if let Some(&(sd, limit_deg)) = limits.iter().find(|(sd, limit)| !self.fixed || sd > limit) {
            return Err(FitError::NoAxis { sd_deg: self.fixed.then_some(sd), limit_deg, posts: self.posts });
        }
        Ok((honest > AXIS_SD_LIMIT_DEG).then(|| {
            Problem::new(format!(
                "this walk knows the way the goals face to ± {}° only",
                crate::units::print::fixed(ratio * honest, 0)
            ))
            .hint("survey the posts too: lengths are known better than that, bearings are not")
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paint_alone_hides_the_axis_of_a_nearly_round_ground() {
        let axis = Axis {
            own_deg: 0.01,
            textbook_deg: 0.01,
            semi_axes_differ_m: 1.0,
            posts: Posts::None,
            fixed: true,
            walked: false,
        };
        // 5 cm over a metre is 2.9°.
        assert!(
            matches!(axis.known(2.0), Err(FitError::NoAxis { sd_deg: Some(sd), .. }) if (sd - 2.865).abs() < 0.01)
        );
        assert!(matches!(Axis { semi_axes_differ_m: 15.0, ..axis }.known(2.0), Ok(None)));
        assert!(matches!(Axis { posts: Posts::Used, ..axis }.known(2.0), Ok(None)));
        assert!(matches!(
            Axis { fixed: false, ..axis }.known(2.0),
            Err(FitError::NoAxis { sd_deg: None, .. })
        ));
        let walk = Axis { own_deg: 3.0, semi_axes_differ_m: 15.0, walked: true, ..axis };
        assert!(matches!(walk.known(2.0), Ok(Some(_))));
    }
}
