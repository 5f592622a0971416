//! Differences between two grounds with their uncertainty, and their significance.

use super::family::{NORMAL_DOF, dof_of_ratio, p_of_each, p_of_square, p_of_t, square_of_p, t_of_p, welch};
use crate::ground::Effects;
use crate::units::{Bearing, Measured, TrueBearing};

/// A number of both grounds, and its change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// On the old ground.
    pub old: Measured,
    /// On the new ground.
    pub new: Measured,
    /// New minus old.
    pub difference: Measured,
    /// The least difference that would have been significant, in the number's unit.
    pub least: f64,
    /// The probability of so great a difference by chance alone.
    pub p: f64,
    /// Is the difference significant?
    pub found: bool,
}

impl Change {
    /// The change of a bearing, from a change of angles that are measured from the bearing `old`.
    pub(super) fn turned_from(self, old: TrueBearing) -> Option<Self> {
        let at = |turn: &Measured| {
            let deg = old.turned(turn.value()).ok()?.degrees();
            Measured::new(deg, turn.sd(), turn.half_width()).ok()
        };
        Some(Self { old: at(&self.old)?, new: at(&self.new)?, ..self })
    }
}

/// A place of both grounds, and how it moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Displacement {
    /// How far it moved eastward, m.
    pub east: Measured,
    /// How far it moved northward, m.
    pub north: Measured,
    /// How far it moved, m, with the uncertainty along that direction.
    pub distance: Measured,
    /// The true bearing of the move; `None` where it did not move at all.
    pub bearing: Option<TrueBearing>,
    /// The least distance that would have been significant in every direction, m.
    pub least_m: f64,
    /// The probability of so great a displacement by chance alone.
    pub p: f64,
    /// Is the displacement significant?
    pub found: bool,
}

/// A difference smaller than this, m or degrees, may be rounding. It is added as an error to every test, so
/// that grounds without uncertainty can be compared too.
const FLOOR: f64 = 1e-6;

/// All differences, and the effect of each independent error of either survey on them.
pub(super) struct Ledger<'a> {
    old: &'a Effects,
    new: &'a Effects,
    ratios: [f64; 2],
    dofs: [f64; 2],
    place_sds: [f64; 2],
    /// Standard deviation of an independent error of each answer.
    own: Vec<f64>,
}

impl<'a> Ledger<'a> {
    pub(super) fn new(
        old: &'a Effects,
        new: &'a Effects,
        ratios: [f64; 2],
        place_sds: [f64; 2],
        own: Vec<f64>,
    ) -> Self {
        Self { old, new, ratios, dofs: ratios.map(dof_of_ratio), place_sds, own }
    }

    /// Is the answer finite on every oval?
    pub(super) fn is_finite(&self, i: usize) -> bool {
        [self.old, self.new]
            .iter()
            .all(|e| e.values[i].is_finite() && e.steps.iter().all(|s| s[i].is_finite()))
    }

    fn difference(&self, i: usize) -> f64 {
        self.new.values[i] - self.old.values[i]
    }

    /// Covariances of two answers: on the old ground, and on the new.
    fn covariances(&self, i: usize, j: usize) -> [f64; 2] {
        [self.old, self.new].map(|e| e.steps.iter().map(|s| s[i] * s[j]).sum())
    }

    /// The p at which to make each test of a family of `single` numbers and `planar` displacements.
    pub(super) fn p_of_each(&self, single: &[usize], planar: usize, level: f64) -> f64 {
        let steps = |i: usize| {
            let shared = self.old.steps.iter().chain(&self.new.steps).map(move |s| s[i]);
            // An answer's independent error affects no other answer.
            shared.chain(single.iter().map(move |&j| if i == j { self.own[i] } else { 0.0 })).collect()
        };
        // A test without any error can raise no false alarm.
        let tests: Vec<Vec<f64>> = single
            .iter()
            .map(|&i| steps(i))
            .filter(|t: &Vec<f64>| t.iter().any(|v| v.abs() > FLOOR))
            .collect();
        p_of_each(&tests, planar, level)
    }

    fn measured(&self, i: usize, ground: usize) -> Option<Measured> {
        let values = if ground == 0 { self.old } else { self.new };
        let sd = self.covariances(i, i)[ground].sqrt();
        Measured::new(values.values[i], sd, self.ratios[ground] * sd).ok()
    }

    /// The difference of a single number.
    pub(super) fn change(&self, i: usize, p_of_each: f64) -> Option<Change> {
        let [old, new] = self.covariances(i, i);
        let own = self.own[i] * self.own[i];
        let (value, sd) = (self.difference(i), (old + new + own).sqrt());
        let dof = welch(&[(old, self.dofs[0]), (new, self.dofs[1]), (own, NORMAL_DOF)]);
        let tested = sd.hypot(FLOOR);
        let p = p_of_t(value / tested, dof);
        Some(Change {
            old: self.measured(i, 0)?,
            new: self.measured(i, 1)?,
            difference: Measured::new(value, sd, t_of_p(0.05, dof) * sd).ok()?,
            least: t_of_p(p_of_each, dof) * tested,
            p,
            found: p < p_of_each,
        })
    }

    /// The displacement whose east and north are the `i`th answer and the next.
    pub(super) fn displacement(&self, i: usize, p_of_each: f64) -> Option<Displacement> {
        let (east, north) = (self.difference(i), self.difference(i + 1));
        let [ee, nn, en] = [(i, i), (i + 1, i + 1), (i, i + 1)].map(|(a, b)| self.covariances(a, b));
        let place: f64 = self.place_sds.iter().map(|s| s * s).sum();
        let (see, snn, sen) = (ee[0] + ee[1] + place, nn[0] + nn[1] + place, en[0] + en[1]);
        let dof =
            welch(&[(ee[0] + nn[0], self.dofs[0]), (ee[1] + nn[1], self.dofs[1]), (2.0 * place, NORMAL_DOF)]);
        let floor = FLOOR * FLOOR;
        let (a, b) = (see + floor, snn + floor);
        let determinant = a * b - sen * sen;
        let square = (east * east * b - 2.0 * east * north * sen + north * north * a) / determinant;
        let p = p_of_square(square.max(0.0), dof);
        let half = t_of_p(0.05, dof);
        let measured = |value: f64, variance: f64| {
            let sd = variance.max(0.0).sqrt();
            Measured::new(value, sd, half * sd).ok()
        };
        let distance = east.hypot(north);
        let widest = 0.5 * (a + b) + (0.25 * (a - b) * (a - b) + sen * sen).sqrt();
        let bearing = if distance > 0.0 { Bearing::of_step(east, north).ok() } else { None };
        let along = bearing.map_or(widest, |w: TrueBearing| {
            let (e, n) = w.step();
            e * e * see + 2.0 * e * n * sen + n * n * snn
        });
        Some(Displacement {
            east: measured(east, see)?,
            north: measured(north, snn)?,
            distance: measured(distance, along)?,
            bearing,
            least_m: (square_of_p(p_of_each, dof) * widest).sqrt(),
            p,
            found: p < p_of_each,
        })
    }
}
