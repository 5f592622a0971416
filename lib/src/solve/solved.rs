//! A survey, solved: the ground, and what there is to tell of how it came about.

use super::doubts::of_size;
use super::prepare::Prepared;
use super::{Doubted, Facing, SolveError, SolveOptions, Source, prepare};
use crate::fit::{Fit, ground};
use crate::ground::Ground;

/// Most times that a walk is cleaned anew by the line that was fitted to it: no simulated walk needs more than one.
const SECOND_LOOKS: usize = 2;

/// A ground with its honest ±, and its report.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    ground: Ground,
    fit: Fit,
    prepared: Prepared,
    doubts: Vec<Doubted>,
}

impl Solved {
    /// The ground.
    #[must_use]
    pub fn ground(&self) -> &Ground {
        &self.ground
    }

    /// The fit that it stands on.
    #[must_use]
    pub fn fit(&self) -> &Fit {
        &self.fit
    }

    /// What was left to be guessed at, accepted or not: in the files, and in the ground that came of them.
    #[must_use]
    pub fn doubts(&self) -> &[Doubted] {
        &self.doubts
    }

    /// The doubts that nobody has accepted.
    pub fn unsettled(&self) -> impl Iterator<Item = &Doubted> {
        let accepted = &self.prepared.options().accept;
        self.doubts.iter().filter(|d| !accepted.contains(&d.doubt))
    }

    /// The survey as it was fitted, with what was found before.
    #[must_use]
    pub fn prepared(&self) -> &Prepared {
        &self.prepared
    }
}

impl Prepared {
    /// Fits a ground, and turns it so that end A is the one that was asked for.
    ///
    /// # Errors
    /// [`SolveError::Fit`], [`SolveError::TooUncertain`].
    pub fn solve(self) -> Result<Solved, SolveError> {
        let mut fit = self.fitted()?;
        // What lies off the fitted line is cleaned too, and the rest fitted anew. Without an answer the first stands.
        let mut prepared = self;
        for _ in 0..SECOND_LOOKS {
            let Some(again) = prepared.cleaned_again(fit.outline.shape()) else { break };
            let Ok(better) = again.fitted() else { break };
            (prepared, fit) = (again, better);
        }
        prepared.turned(fit)
    }

    fn fitted(&self) -> Result<Fit, SolveError> {
        ground(self.survey(), self.fit_options()).map_err(|why| SolveError::Fit {
            names: self.name(),
            why: Box::new(why),
            steps: self.steps().to_vec(),
            walked: self.is_walked(),
        })
    }

    /// With end A where it was asked for.
    fn turned(self, mut fit: Fit) -> Result<Solved, SolveError> {
        let plan = fit.outline.plan();
        let right_way = match self.options().facing {
            Facing::ByDefinition => plan.points_north(),
            Facing::Registered(axis) => axis.turn_to(plan.axis()).abs() <= 90.0,
        };
        let uncertain = |why| SolveError::TooUncertain { names: self.name(), why };
        if !right_way {
            fit = fit.end_for_end().map_err(|e| uncertain(e.into()))?;
        }
        let ground =
            Ground::new(&fit.outline, &fit.spread, self.options().rules.clone()).map_err(uncertain)?;
        let doubts = self.doubts().iter().cloned().chain(of_size(&ground)).collect();
        Ok(Solved { ground, fit, prepared: self, doubts })
    }
}

/// Solves a survey: reads its files, cleans walks, adjusts notebooks, weighs the sources and fits.
///
/// # Errors
/// [`SolveError`].
///
/// # Examples
/// ```
/// use ovalpeg::rules::{Method, RuleSet};
/// use ovalpeg::solve::{SolveOptions, Source, solve};
///
/// let mut csv = String::from("x,y\n");
/// for i in 0..40 {
///     let t = f64::from(i) * 9.0_f64.to_radians();
///     csv += &format!("{:.3},{:.3}\n", 67.5 * t.cos(), 83.3 * t.sin());
/// }
/// let trace = Source::new("trace.csv", csv).method(Method::Trace);
/// let solved = solve(vec![trace], &SolveOptions::new(RuleSet::laws()))?;
/// let length = solved.ground().measure(|oval| Some(oval.length_m())).unwrap();
/// // An image's scale is known to half a per cent, and its ± says so.
/// assert!((length.value() - 164.8).abs() < 0.3 && length.half_width() > 1.5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn solve(sources: Vec<Source>, options: &SolveOptions) -> Result<Solved, SolveError> {
    prepare(sources, options)?.solve()
}
