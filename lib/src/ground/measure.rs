//! A ground with its uncertainty: every number measured on it has its ±.

use super::Oval;
use crate::boundary::{BoundaryError, Outline, Spread};
use crate::numeric::mean_square;
use crate::rules::RuleSet;
use crate::units::{Call, Measured};

/// A ground: the nominal oval, and for each independent source of error the pair
/// of ovals one standard deviation either way.
#[derive(Debug, Clone, PartialEq)]
pub struct Ground {
    oval: Oval,
    pairs: Vec<(Oval, Oval)>,
    ratio: f64,
}

/// Several numbers of a ground, and the effect of one standard deviation of each source of error on them.
#[derive(Debug, Clone, PartialEq)]
pub struct Effects {
    /// The numbers on the nominal oval.
    pub values: Vec<f64>,
    /// For each independent source of error, the change of each number by one standard deviation of it.
    pub steps: Vec<Vec<f64>>,
}

impl Ground {
    /// The ground of an outline and its spread under a rule set.
    ///
    /// # Errors
    /// [`BoundaryError`] when no boundary can be made of the outline, or of one a
    /// standard deviation away, because the survey hardly determines it.
    ///
    /// # Examples
    /// ```
    /// use ovalpeg::boundary::{Outline, Spread};
    /// use ovalpeg::ground::Ground;
    /// use ovalpeg::rules::RuleSet;
    /// let outline = Outline::from_parameters(&[0.0, 0.0, 83.35, 67.5, 12.0, 0.0, 0.0, 12.0, 82.5])?;
    /// let mut spread = Spread::none();
    /// spread.add_axis([0.0, 0.0, 0.0, 0.05, 0.0, 0.0, 0.0, 0.0, 0.0]);
    /// let ground = Ground::new(&outline, &spread, RuleSet::laws())?;
    /// let width = ground.measure(|oval| Some(oval.boundary().width_m())).unwrap();
    /// assert!((width.value() - 135.0).abs() < 1e-9 && (width.sd() - 0.10).abs() < 1e-9);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn new(outline: &Outline, spread: &Spread, rules: RuleSet) -> Result<Self, BoundaryError> {
        let oval = Oval::new(outline, rules)?;
        let pairs = spread
            .pairs(outline)?
            .iter()
            .map(|(plus, minus)| Ok((oval.like(plus)?, oval.like(minus)?)))
            .collect::<Result<Vec<_>, BoundaryError>>()?;
        Ok(Self { oval, pairs, ratio: spread.ratio() })
    }

    /// The nominal oval.
    #[must_use]
    pub fn oval(&self) -> &Oval {
        &self.oval
    }

    /// 95 % half-width divided by the standard deviation.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        self.ratio
    }

    /// A number with its uncertainty: sd² = Σ ½((f₊ − f)² + (f₋ − f)²), see
    /// [`Spread`]. `None` where `f` gives none on one of the ovals.
    #[must_use]
    pub fn measure(&self, f: impl Fn(&Oval) -> Option<f64>) -> Option<Measured> {
        self.measure_by(f, |plus, minus| plus - minus)
    }

    /// As [`Ground::measure`], for an angle in degrees: differences are taken the short way round.
    #[must_use]
    pub fn measure_deg(&self, f: impl Fn(&Oval) -> Option<f64>) -> Option<Measured> {
        self.measure_by(f, |plus, minus| {
            let d = (plus - minus).rem_euclid(360.0);
            if d > 180.0 { d - 360.0 } else { d }
        })
    }

    fn measure_by(
        &self,
        f: impl Fn(&Oval) -> Option<f64>,
        difference: impl Fn(f64, f64) -> f64,
    ) -> Option<Measured> {
        let value = f(&self.oval)?;
        let mut sum = 0.0;
        for (plus, minus) in &self.pairs {
            sum += mean_square(difference(f(plus)?, value), difference(f(minus)?, value));
        }
        let sd = sum.sqrt();
        Measured::new(value, sd, self.ratio * sd).ok()
    }

    /// As [`Ground::measure`] for several numbers at once, with one call of `f` for each oval.
    #[must_use]
    pub fn measure_all<const N: usize>(
        &self,
        f: impl Fn(&Oval) -> Option<[f64; N]>,
    ) -> Option<[Measured; N]> {
        let values = f(&self.oval)?;
        let mut sums = [0.0; N];
        for (plus, minus) in &self.pairs {
            let (plus, minus) = (f(plus)?, f(minus)?);
            for i in 0..N {
                sums[i] += mean_square(plus[i] - values[i], minus[i] - values[i]);
            }
        }
        let mut out = [Measured::exact(0.0).ok()?; N];
        for i in 0..N {
            let sd = sums[i].sqrt();
            out[i] = Measured::new(values[i], sd, self.ratio * sd).ok()?;
        }
        Some(out)
    }

    /// As [`Ground::measure_all`] for numbers of which some may be missing:
    /// a number that is missing on any of the ovals is `None`.
    #[must_use]
    pub fn measure_each<const N: usize>(
        &self,
        f: impl Fn(&Oval) -> Option<[Option<f64>; N]>,
    ) -> Option<[Option<Measured>; N]> {
        let values = f(&self.oval)?;
        let mut sums = values.map(|v| v.map(|_| 0.0));
        for (plus, minus) in &self.pairs {
            let (plus, minus) = (f(plus)?, f(minus)?);
            for i in 0..N {
                sums[i] = match (sums[i], values[i], plus[i], minus[i]) {
                    (Some(sum), Some(v), Some(p), Some(m)) => Some(sum + mean_square(p - v, m - v)),
                    _ => None,
                };
            }
        }
        let mut out = [None; N];
        for i in 0..N {
            out[i] = values[i].zip(sums[i]).and_then(|(v, sum): (f64, f64)| {
                let sd = sum.sqrt();
                Measured::new(v, sd, self.ratio * sd).ok()
            });
        }
        Some(out)
    }

    /// Several numbers with the effect of each independent source of error on them, for numbers
    /// whose errors are correlated: their covariance is Σ step·stepᵀ.
    ///
    /// `None` where `f` gives none on one of the ovals, or a different count of numbers.
    #[must_use]
    pub fn effects(&self, f: impl Fn(&Oval) -> Option<Vec<f64>>) -> Option<Effects> {
        let values = f(&self.oval)?;
        let mut steps = Vec::with_capacity(self.pairs.len());
        for (plus, minus) in &self.pairs {
            let (plus, minus) = (f(plus)?, f(minus)?);
            if plus.len() != values.len() || minus.len() != values.len() {
                return None;
            }
            steps.push(plus.iter().zip(&minus).map(|(p, m)| 0.5 * (p - m)).collect());
        }
        Some(Effects { values, steps })
    }

    /// Is the number above zero, below it, or too close to call?
    /// `None` where `f` gives none on one of the ovals.
    #[must_use]
    pub fn call(&self, f: impl Fn(&Oval) -> Option<f64>) -> Option<Call> {
        Some(self.measure(f)?.above(0.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::oval::tests::outline;

    #[test]
    fn a_call_near_a_limit_is_too_close() {
        let mut spread = Spread::none();
        spread.add_axis([0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.2]);
        let g = Ground::new(&outline(135.3, 120.0), &spread, RuleSet::laws()).unwrap();
        let over = |limit: f64| g.call(move |o| Some(o.length_m() - limit)).unwrap();
        assert_eq!(over(135.0), Call::TooClose);
        assert_eq!(over(134.0), Call::Yes);
        assert_eq!(over(137.0), Call::No);
    }

    #[test]
    fn effects_hold_what_measuring_one_by_one_says() {
        let mut spread = Spread::none();
        spread.add_axis([0.0, 0.0, 0.3, 0.0, 0.0, 0.0, 0.0, 0.0, 0.2]);
        spread.add_axis([0.0, 0.0, 0.0, -0.1, 0.0, 0.0, 0.0, 0.0, 0.05]);
        let g = Ground::new(&outline(165.0, 135.0), &spread, RuleSet::laws()).unwrap();
        let width = |o: &Oval| Some(o.boundary().width_m());
        let e = g.effects(|o| Some(vec![o.length_m(), width(o)?])).unwrap();
        let sd = |i: usize| e.steps.iter().map(|s| s[i] * s[i]).sum::<f64>().sqrt();
        let (l, w) = (g.measure(|o| Some(o.length_m())).unwrap(), g.measure(width).unwrap());
        assert_eq!([e.values[0], e.values[1]], [l.value(), w.value()]);
        assert!((sd(0) - l.sd()).abs() < 1e-12 && (sd(1) - w.sd()).abs() < 1e-12);
        assert!(g.effects(|o| (o.length_m() < 165.1).then(Vec::new)).is_none());
    }

    #[test]
    fn each_number_stands_by_itself() {
        let mut spread = Spread::none();
        spread.add_axis([0.0, 0.0, 0.3, 0.0, 0.0, 0.0, 0.0, 0.0, 0.2]);
        let g = Ground::new(&outline(165.0, 135.0), &spread, RuleSet::laws()).unwrap();
        let width = |o: &Oval| o.boundary().width_m();
        // The second number is missing on one oval of the pair, the third on all ovals.
        let [w, half, none] =
            g.measure_each(|o| Some([Some(width(o)), (o.length_m() < 165.1).then_some(1.0), None])).unwrap();
        assert_eq!(w, g.measure(|o| Some(width(o))));
        assert!(half.is_none() && none.is_none());
    }

    #[test]
    fn angles_take_the_short_way() {
        let mut spread = Spread::none();
        spread.add_axis([0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0]);
        let g = Ground::new(&outline(165.0, 135.0), &spread, RuleSet::laws()).unwrap();
        // The axis bears 0°: its pair bears 1° and 359°.
        let m = g.measure_deg(|o| Some(o.plan().axis().degrees())).unwrap();
        assert!((m.sd() - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_ground_of_any_shape_has_its_plus_minus() {
        for (name, outline) in crate::boundary::outlines_for_tests() {
            let n = outline.parameters().len();
            let mut spread = Spread::none();
            // Only the four parameters of the goals vary, by 0.03 m or degrees each.
            for i in n - 4..n {
                spread.add_axis((0..n).map(|j| if i == j { 0.03 } else { 0.0 }).collect::<Vec<_>>());
            }
            let g = Ground::new(&outline, &spread, RuleSet::laws()).unwrap();
            let length = g.measure(|o| Some(o.length_m())).unwrap();
            assert!((length.value() - 165.0).abs() < 1e-9 && (length.sd() - 0.06).abs() < 1e-9, "{name}");
            // The x of a fixed point of the plane changes with the goals' midpoint alone.
            let place = outline.plan().centre();
            let x = g.measure(|o| Some(o.plan().to_ground(place).x)).unwrap();
            assert!((x.sd() - 0.03).abs() < 1e-9, "{name}");
            // The half-width changes with the midpoint too, and by 0.03° at up to 40 m along the axis.
            let side = crate::boundary::Side::Left;
            let half = g.measure(|o| Some(o.boundary().half_width_m(side))).unwrap();
            assert!(half.sd() > 0.03 - 1e-6 && half.sd() < 0.037, "{name} {}", half.sd());
        }
    }

    #[test]
    fn a_freeforms_offsets_reach_its_sizes() {
        let outlines = crate::boundary::outlines_for_tests();
        let (_, outline) = outlines.iter().find(|(name, _)| *name == "freeform without offsets").unwrap();
        let n = outline.parameters().len();
        let mut spread = Spread::none();
        // All offsets together move the whole line out by 0.05 m.
        spread.add_axis((0..n).map(|j| if j < n - 4 { 0.05 } else { 0.0 }).collect::<Vec<_>>());
        let g = Ground::new(outline, &spread, RuleSet::laws()).unwrap();
        let width = g.measure(|o| Some(o.boundary().width_m())).unwrap();
        // Where the normals of neighbouring control points differ by δ, the line moves less by a
        // share of δ²/6; at the wings δ is 0.08.
        assert!((width.sd() - 0.1 * (1.0 - 0.0795f64.powi(2) / 6.0)).abs() < 1e-6, "{}", width.sd());
        // A parallel curve is longer by 2π times the step, less such a share; δ is 0.1 on average.
        let closed = |o: &crate::ground::Oval| {
            use crate::geometry::ClosedCurve;
            Some(o.boundary().curve(crate::boundary::Side::Left).perimeter_m())
        };
        let around = g.measure(closed).unwrap();
        assert!((around.sd() - 0.05 * std::f64::consts::TAU).abs() < 1e-3, "{}", around.sd());
    }
}
