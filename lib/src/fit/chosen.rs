//! Which shape was chosen, and how likely each is.

use crate::geometry::Model;

/// A shape this many times less likely than another is ruled out (H. Jeffreys, Theory of
/// Probability, 1961, appendix B, has 10 to 32 for strong evidence; from memory).
pub(super) const TOLD_APART: f64 = 20.0;

/// Which shape was chosen, and how likely each is.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// The shape that was chosen.
    pub model: Model,
    /// Did the user ask for it?
    pub forced: bool,
    /// Every shape that was tried, the simplest first.
    pub candidates: Vec<Candidate>,
}

/// A shape that was tried.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// The shape.
    pub model: Model,
    /// Its probability among the shapes that were compared, 0 to 1. `None` where such a curve fits but could
    /// not be compared, since the points are too few.
    pub weight: Option<f64>,
    /// Root mean square residual, m; `None` where no such curve fits.
    pub rms_m: Option<f64>,
}

impl Choice {
    /// A choice of one shape alone.
    #[must_use]
    pub fn of(model: Model) -> Self {
        Self { model, forced: true, candidates: vec![Candidate { model, weight: Some(1.0), rms_m: None }] }
    }

    /// How many times likelier the chosen shape is than `other`; below 1 where it is less likely. `None`
    /// where one of the two was not tried or not compared, infinity where `other` has a probability of 0.
    #[must_use]
    pub fn times_likelier_than(&self, other: Model) -> Option<f64> {
        let times = self.weight_of(self.model)? / self.weight_of(other)?;
        // Both probabilities may be 0.
        (!times.is_nan()).then_some(times)
    }

    /// The likeliest shape that was tried beside the one that was taken, with how many times likelier that
    /// one is.
    #[must_use]
    pub fn next_likeliest(&self) -> Option<(Model, f64)> {
        let others = self.candidates.iter().filter(|o| o.model != self.model && o.rms_m.is_some());
        let (model, _) =
            others.filter_map(|o| Some((o.model, o.weight?))).max_by(|a, b| a.1.total_cmp(&b.1))?;
        Some((model, self.times_likelier_than(model)?))
    }

    fn weight_of(&self, model: Model) -> Option<f64> {
        self.candidates.iter().find(|c| c.model == model)?.weight
    }

    /// Shapes that fit but could not be compared with the chosen one, the simplest first.
    #[must_use]
    pub fn not_compared(&self) -> Vec<Model> {
        let taken = self.weight_of(self.model).is_some();
        self.candidates
            .iter()
            .filter(|c| c.model != self.model && c.rms_m.is_some() && !(taken && c.weight.is_some()))
            .map(|c| c.model)
            .collect()
    }

    /// Shapes that the survey can't tell from the chosen one, the likeliest first.
    #[must_use]
    pub fn also_possible(&self) -> Vec<Model> {
        let Some(taken) = self.weight_of(self.model) else { return Vec::new() };
        let mut others: Vec<(Model, f64)> = self
            .candidates
            .iter()
            .filter_map(|c| Some((c.model, c.weight?)))
            .filter(|(model, weight)| *model != self.model && weight * TOLD_APART > taken)
            .collect();
        others.sort_by(|a, b| b.1.total_cmp(&a.1));
        others.into_iter().map(|c| c.0).collect()
    }
}
