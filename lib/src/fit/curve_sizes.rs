//! What a fitted curve measures, with its textbook ±, and how its points lie round it.

use super::report::{Curve, Why};
use crate::frame::Local;
use crate::geometry::{Ellipse, Point};
use crate::numeric::t_quantile;
use crate::units::Measured;

/// Residuals seen from the centre in one direction, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Toward {
    /// The least.
    pub least_m: f64,
    /// Their mean.
    pub mean_m: f64,
    /// The most.
    pub most_m: f64,
}

impl Curve {
    /// Direction of the long axis, degrees clockwise from +y, in [0, 180).
    #[must_use]
    pub fn long_axis_deg(&self) -> f64 {
        (90.0 - self.ellipse.turn_deg()).rem_euclid(180.0)
    }

    /// The centre's x and y, the two semi-axes (m) and the direction of the long axis (degrees), in the
    /// order of the covariance.
    #[must_use]
    pub fn parameters(&self) -> [f64; 5] {
        let (e, centre) = (&self.ellipse, self.ellipse.centre());
        [centre.x, centre.y, e.semi_major_m(), e.semi_minor_m(), self.long_axis_deg()]
    }

    /// The same with their ±; `None` for those that the points leave open.
    #[must_use]
    pub fn measured_parameters(&self) -> [Option<Measured>; 5] {
        let values = self.parameters();
        std::array::from_fn(|i| self.measured(values[i], self.covariance.sd(i)))
    }

    /// The whole curve's length, m.
    #[must_use]
    pub fn perimeter(&self) -> Option<Measured> {
        self.of_axes(|e| e.perimeter_m())
    }

    /// The area within it, m².
    #[must_use]
    pub fn area(&self) -> Option<Measured> {
        self.of_axes(|e| e.area_m2())
    }

    fn measured(&self, value: f64, sd: f64) -> Option<Measured> {
        Measured::new(value, sd, t_quantile(0.975, self.dof) * sd).ok()
    }

    /// A number that only the semi-axes change, by its gradient.
    fn of_axes(&self, number: impl Fn(Ellipse<Local>) -> f64) -> Option<Measured> {
        let of = |axes: [f64; 2]| Ellipse::new(Point::ORIGIN, axes, 0.0).map_or(f64::NAN, &number);
        let axes = [self.ellipse.semi_major_m(), self.ellipse.semi_minor_m()];
        let mut gradient = [0.0; 5];
        for i in 0..2 {
            let h = 1e-5 * axes[i];
            let (mut lo, mut hi) = (axes, axes);
            lo[i] -= h;
            hi[i] += h;
            gradient[2 + i] = (of(hi) - of(lo)) / (2.0 * h);
        }
        self.measured(of(axes), self.covariance.variance_of(&gradient).max(0.0).sqrt())
    }

    /// Points that stand off their neighbours and were not used, by their numbers, with how far off they
    /// stand, m, the farthest first.
    #[must_use]
    pub fn off_the_rest(&self) -> Vec<(usize, f64)> {
        let mut found: Vec<(usize, f64)> = self
            .set_aside
            .iter()
            .filter_map(|a| match a.why {
                Why::OffTheRest { distance_m } => Some((a.index, distance_m)),
                _ => None,
            })
            .collect();
        found.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        found
    }

    /// Residuals by their direction from the centre: so many equal parts of the round, clockwise from
    /// north; `None` where a part has no point.
    #[must_use]
    pub fn residuals_round(&self, parts: usize) -> Vec<Option<Toward>> {
        let mut within: Vec<Vec<f64>> = vec![Vec::new(); parts];
        for r in &self.residuals {
            // Under the number of parts by the remainder, so the cast is exact.
            within[((r.bearing_deg / 360.0 * parts as f64) as usize) % parts].push(r.residual_m);
        }
        within.iter().map(|of| Toward::of(of)).collect()
    }
}

impl Toward {
    fn of(residuals: &[f64]) -> Option<Self> {
        let all = || residuals.iter().copied();
        Some(Self {
            least_m: all().reduce(f64::min)?,
            mean_m: all().sum::<f64>() / residuals.len() as f64,
            most_m: all().reduce(f64::max)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::Residual;
    use crate::numeric::Covariance;

    fn circle_of(radius: f64, sd: f64) -> Curve {
        let mut entries = [0.0; 25];
        // The two semi-axes, independent of each other.
        (entries[12], entries[18]) = (sd * sd, sd * sd);
        Curve {
            ellipse: Ellipse::new(Point::ORIGIN, [radius, radius], 30.0).unwrap(),
            covariance: Covariance::from_rows(5, &entries).unwrap(),
            s0: 1.0,
            dof: 1e9,
            axis_fixed: false,
            rms_m: 0.0,
            residuals: Vec::new(),
            set_aside: Vec::new(),
            runs: Vec::new(),
            gap_deg: 0.0,
            warnings: Vec::new(),
        }
    }

    #[test]
    fn the_sizes_of_a_circle_have_the_errors_of_its_two_radii() {
        use std::f64::consts::{PI, SQRT_2};
        let c = circle_of(70.0, 0.02);
        let (perimeter, area) = (c.perimeter().unwrap(), c.area().unwrap());
        assert!((perimeter.value() - 2.0 * PI * 70.0).abs() < 1e-9);
        assert!((area.value() - PI * 4900.0).abs() < 1e-8);
        // Each semi-axis alone moves the one by π, and the other by π r; a differential of 1e-5 of a
        // radius is good for some eight digits.
        assert!((perimeter.sd() / (PI * SQRT_2 * 0.02) - 1.0).abs() < 1e-6, "{perimeter:?}");
        assert!((area.sd() / (PI * 70.0 * SQRT_2 * 0.02) - 1.0).abs() < 1e-6, "{area:?}");
        // Many degrees of freedom: the normal quantile, to its third decimal.
        assert!((area.half_width() / area.sd() - 1.96).abs() < 1e-3);
        assert!((c.long_axis_deg() - 60.0).abs() < 1e-12);
        let [.., semi_minor, _] = c.measured_parameters();
        assert!((semi_minor.unwrap().sd() - 0.02).abs() < 1e-15);
    }

    #[test]
    fn residuals_are_told_by_their_direction_and_an_empty_one_has_none() {
        let mut c = circle_of(70.0, 0.02);
        let at = |bearing_deg, residual_m| Residual { index: 0, residual_m, bearing_deg };
        c.residuals = vec![at(10.0, 0.5), at(80.0, -0.1), at(200.0, 0.25)];
        let round = c.residuals_round(4);
        assert_eq!(round[0], Some(Toward { least_m: -0.1, mean_m: 0.2, most_m: 0.5 }));
        assert_eq!(round.iter().map(Option::is_some).collect::<Vec<_>>(), [true, false, true, false]);
    }
}
