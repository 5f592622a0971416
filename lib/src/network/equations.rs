//! The observation equations of a tape network: what each measure should read at
//! given coordinates, and how that changes with them.
//!
//! | measure | should read |
//! | --- | --- |
//! | distance a–b | (1 − k) · length of b − a |
//! | chainage of p along A→B | (1 − k) · u · (p − A), u the unit vector of B − A |
//! | offset of p from A→B, left positive | (1 − k) · u × (p − A) |
//! | coordinate | x, or y |
//! | scale of a tape | k, read as 0 ± its standard deviation |
//!
//! k is the ratio by which the tape is too long; such a tape reads short. Coordinates are
//! kept relative to an origin near the marks, so that map coordinates of millions of
//! metres cost no digits.

use nalgebra::{DMatrix, DVector};

use super::result::Observed;
use crate::survey::{Notebook, Quantity};

/// Coordinates relative to the model's origin, m.
pub(super) type Place = [f64; 2];

/// How a mark's coordinates are known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Held {
    /// Fixed.
    Fixed,
    /// Observed: they are observations of the adjustment too.
    Observed,
    /// Given as approximate coordinates.
    Start,
    /// Not given.
    No,
}

/// What an observation measures, with the indices of its marks or its tape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    Distance(usize, usize),
    Chainage([usize; 2], usize),
    Offset([usize; 2], usize),
    X(usize),
    Y(usize),
    Scale(usize),
}

/// One observation.
#[derive(Debug, Clone, Copy)]
pub(super) struct Obs {
    pub(super) what: Observed,
    pub(super) kind: Kind,
    pub(super) value: f64,
    pub(super) sd: f64,
    /// The tape, if its scale is unknown.
    pub(super) tape: Option<usize>,
}

impl Obs {
    /// The marks that it involves.
    pub(super) fn marks(&self) -> impl Iterator<Item = usize> {
        let (list, n) = match self.kind {
            Kind::Distance(a, b) => ([a, b, 0], 2),
            Kind::Chainage([a, b], p) | Kind::Offset([a, b], p) => ([a, b, p], if p == b { 2 } else { 3 }),
            Kind::X(m) | Kind::Y(m) => ([m, 0, 0], 1),
            Kind::Scale(_) => ([0; 3], 0),
        };
        list.into_iter().take(n)
    }
}

/// The coordinates of all marks, and each tape's scale.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct State {
    pub(super) at: Vec<Place>,
    pub(super) k: Vec<f64>,
}

/// A linearised observation: its computed value, and its derivatives by the unknowns.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    pub(super) reads: f64,
    entries: [(usize, f64); 7],
    len: usize,
}

impl Row {
    fn new(reads: f64) -> Self {
        Self { reads, entries: [(0, 0.0); 7], len: 0 }
    }

    fn push(&mut self, column: Option<usize>, slope: f64) {
        let Some(column) = column else { return };
        // If a mark occurs twice in a measure (as the far end of its own base line), its derivatives add up.
        for e in &mut self.entries[..self.len] {
            if e.0 == column {
                e.1 += slope;
                return;
            }
        }
        self.entries[self.len] = (column, slope);
        self.len += 1;
    }

    fn push_mark(&mut self, column: Option<usize>, slope: Place) {
        self.push(column, slope[0]);
        self.push(column.map(|c| c + 1), slope[1]);
    }

    /// The derivatives that may differ from zero, as pairs of unknown and derivative.
    pub(super) fn entries(&self) -> &[(usize, f64)] {
        &self.entries[..self.len]
    }

    /// Product of two rows with a symmetric matrix between them: rᵀ Q r′.
    pub(super) fn through(&self, q: &DMatrix<f64>, other: &Self) -> f64 {
        let mut sum = 0.0;
        for &(i, a) in self.entries() {
            for &(j, b) in other.entries() {
                sum += a * q[(i, j)] * b;
            }
        }
        sum
    }
}

/// A network as unknowns and observations.
#[derive(Debug, Clone)]
pub(super) struct Model {
    /// Subtracted from all coordinates.
    pub(super) origin: Place,
    pub(super) held: Vec<Held>,
    /// Given coordinates, relative to the origin.
    pub(super) given: Vec<Option<Place>>,
    /// First unknown of each mark; `None` for fixed ones.
    pub(super) column: Vec<Option<usize>>,
    /// Unknown of each tape's scale; `None` for tapes without an unknown scale.
    pub(super) scale_column: Vec<Option<usize>>,
    pub(super) unknowns: usize,
    pub(super) obs: Vec<Obs>,
    /// Indices of the observations that involve each mark.
    pub(super) touching: Vec<Vec<usize>>,
}

impl Model {
    /// The model of a checked notebook, without the measures set aside.
    pub(super) fn new(book: &Notebook, set_aside: &[usize]) -> Self {
        let given_at: Vec<_> = book.marks.iter().filter_map(|m| m.at).collect();
        let n = given_at.len().max(1) as f64;
        let origin =
            [given_at.iter().map(|p| p.x).sum::<f64>() / n, given_at.iter().map(|p| p.y).sum::<f64>() / n];
        let mut unknowns = 0;
        let (mut held, mut given, mut column, mut obs) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for (i, mark) in book.marks.iter().enumerate() {
            let at = mark.at.map(|p| [p.x - origin[0], p.y - origin[1]]);
            let how = match (at, mark.at_sd_m) {
                (None, _) => Held::No,
                (Some(_), None) => Held::Start,
                (Some(_), Some(sd)) if sd > 0.0 => Held::Observed,
                (Some(_), Some(_)) => Held::Fixed,
            };
            if let (Held::Observed, Some(p), Some(sd)) = (how, at, mark.at_sd_m) {
                for (axis, kind) in [Kind::X(i), Kind::Y(i)].into_iter().enumerate() {
                    let what = if axis == 0 { Observed::East(i) } else { Observed::North(i) };
                    obs.push(Obs { what, kind, value: p[axis], sd, tape: None });
                }
            }
            given.push(at);
            held.push(how);
            column.push((how != Held::Fixed).then_some(unknowns));
            unknowns += if how == Held::Fixed { 0 } else { 2 };
        }
        let mut measures = Vec::new();
        for (i, m) in book.measures.iter().enumerate() {
            let kind = match m.quantity {
                Quantity::Distance { from, to } => Kind::Distance(from, to),
                Quantity::Chainage { base, mark } => Kind::Chainage(base, mark),
                Quantity::Offset { base, mark } => Kind::Offset(base, mark),
                Quantity::GoalToGoal | Quantity::WingToWing => continue,
            };
            if set_aside.contains(&i) {
                continue;
            }
            let tape = m.tape.filter(|&t| book.tapes[t].scale_sd > 0.0);
            measures.push(Obs { what: Observed::Measure(i), kind, value: m.value_m, sd: m.sd_m, tape });
        }
        let mut scale_column = vec![None; book.tapes.len()];
        for (t, tape) in book.tapes.iter().enumerate() {
            if measures.iter().any(|o| o.tape == Some(t)) {
                scale_column[t] = Some(unknowns);
                unknowns += 1;
                let kind = Kind::Scale(t);
                obs.push(Obs { what: Observed::Scale(t), kind, value: 0.0, sd: tape.scale_sd, tape: None });
            }
        }
        measures.extend(obs);
        let mut touching = vec![Vec::new(); book.marks.len()];
        for (i, o) in measures.iter().enumerate() {
            for m in o.marks() {
                touching[m].push(i);
            }
        }
        Self { origin, held, given, column, scale_column, unknowns, obs: measures, touching }
    }

    /// The same model without one observation. The unknowns stay,
    /// even one that only this observation determined.
    pub(super) fn without(&self, index: usize) -> Self {
        let mut out = self.clone();
        out.obs.remove(index);
        for list in &mut out.touching {
            list.retain(|&i| i != index);
            for i in list.iter_mut().filter(|i| **i > index) {
                *i -= 1;
            }
        }
        out
    }

    pub(super) fn marks(&self) -> usize {
        self.held.len()
    }

    /// Is a mark fixed or observed?
    pub(super) fn anchored(&self, mark: usize) -> bool {
        matches!(self.held[mark], Held::Fixed | Held::Observed)
    }

    /// Median standard deviation of the observations that involve a mark, m; NaN where there are none.
    pub(super) fn median_sd(&self, mark: usize) -> f64 {
        let mut sds: Vec<f64> = self.touching[mark].iter().map(|&i| self.obs[i].sd).collect();
        sds.sort_by(f64::total_cmp);
        sds.get(sds.len() / 2).copied().unwrap_or(f64::NAN)
    }

    /// The computed value of an observation.
    pub(super) fn reads(&self, obs: &Obs, s: &State) -> f64 {
        let scale = 1.0 - obs.tape.map_or(0.0, |t| s.k[t]);
        match obs.kind {
            Kind::Distance(a, b) => scale * length(minus(s.at[b], s.at[a])),
            Kind::Chainage([a, b], p) => {
                let base = minus(s.at[b], s.at[a]);
                scale * dot(base, minus(s.at[p], s.at[a])) / length(base).max(TINY)
            }
            Kind::Offset([a, b], p) => {
                let base = minus(s.at[b], s.at[a]);
                scale * cross(base, minus(s.at[p], s.at[a])) / length(base).max(TINY)
            }
            Kind::X(m) => s.at[m][0],
            Kind::Y(m) => s.at[m][1],
            Kind::Scale(t) => s.k[t],
        }
    }

    /// Reading minus computed value, in standard deviations.
    pub(super) fn misfit(&self, i: usize, s: &State) -> f64 {
        let o = &self.obs[i];
        (o.value - self.reads(o, s)) / o.sd
    }

    /// The computed value of an observation, with its derivatives.
    pub(super) fn row(&self, i: usize, s: &State) -> Row {
        let o = &self.obs[i];
        let scale = 1.0 - o.tape.map_or(0.0, |t| s.k[t]);
        let mut row = Row::new(self.reads(o, s));
        match o.kind {
            Kind::Distance(a, b) => {
                let u = unit(minus(s.at[b], s.at[a]));
                row.push_mark(self.column[a], times(u, -scale));
                row.push_mark(self.column[b], times(u, scale));
            }
            Kind::Chainage([a, b], p) => {
                let base = minus(s.at[b], s.at[a]);
                let (u, l) = (unit(base), length(base).max(TINY));
                let n = [-u[1], u[0]];
                // Turning the base line by dφ changes the chainage by offset · dφ.
                let turn = times(n, scale * dot(n, minus(s.at[p], s.at[a])) / l);
                row.push_mark(self.column[p], times(u, scale));
                row.push_mark(self.column[b], turn);
                row.push_mark(self.column[a], minus(times(u, -scale), turn));
            }
            Kind::Offset([a, b], p) => {
                let base = minus(s.at[b], s.at[a]);
                let (u, l) = (unit(base), length(base).max(TINY));
                let n = [-u[1], u[0]];
                // Turning the base line by dφ changes the offset by −chainage · dφ.
                let turn = times(n, -scale * dot(u, minus(s.at[p], s.at[a])) / l);
                row.push_mark(self.column[p], times(n, scale));
                row.push_mark(self.column[b], turn);
                row.push_mark(self.column[a], minus(times(n, -scale), turn));
            }
            Kind::X(m) => row.push(self.column[m], 1.0),
            Kind::Y(m) => row.push(self.column[m].map(|c| c + 1), 1.0),
            Kind::Scale(t) => row.push(self.scale_column[t], 1.0),
        }
        if let Some(t) = o.tape {
            // Minus the value without the scale: the reading is (1 − k) times that. 1 − k is near 1.
            row.push(self.scale_column[t], -row.reads / scale);
        }
        row
    }

    /// Normal matrix JᵀPJ and right side JᵀPl. Each weight is multiplied by
    /// `factor` of the misfit in standard deviations.
    pub(super) fn normal(&self, s: &State, factor: impl Fn(f64) -> f64) -> (DMatrix<f64>, DVector<f64>) {
        let mut matrix = DMatrix::zeros(self.unknowns, self.unknowns);
        let mut right = DVector::zeros(self.unknowns);
        for (i, o) in self.obs.iter().enumerate() {
            let row = self.row(i, s);
            let miss = o.value - row.reads;
            let weight = factor(miss / o.sd) / (o.sd * o.sd);
            for &(a, slope) in row.entries() {
                right[a] += weight * slope * miss;
                for &(b, other) in row.entries() {
                    matrix[(a, b)] += weight * slope * other;
                }
            }
        }
        (matrix, right)
    }

    /// Adds the second derivatives of the distances to the normal matrix, −Σ P l ∇²f. With them
    /// Gauss–Newton becomes Newton's method, which does not slow down where a
    /// misfit is large compared with its distance.
    pub(super) fn add_bend(&self, s: &State, matrix: &mut DMatrix<f64>) {
        for o in &self.obs {
            let Kind::Distance(a, b) = o.kind else { continue };
            let d = minus(s.at[b], s.at[a]);
            let (u, l) = (unit(d), length(d).max(TINY));
            // ∇² of a length is (I − uuᵀ)/length, with the opposite sign in the block between its two ends.
            let bend = -(o.value - self.reads(o, s)) / (o.sd * o.sd) / l;
            for (i, m) in [a, b].into_iter().enumerate() {
                for (j, n) in [a, b].into_iter().enumerate() {
                    let (Some(c), Some(e)) = (self.column[m], self.column[n]) else { continue };
                    let sign = if i == j { bend } else { -bend };
                    for p in 0..2 {
                        for q in 0..2 {
                            let across = f64::from(u8::from(p == q)) - u[p] * u[q];
                            matrix[(c + p, e + q)] += sign * across;
                        }
                    }
                }
            }
        }
    }

    /// The state moved by a step of the unknowns.
    pub(super) fn moved(&self, s: &State, step: &DVector<f64>) -> State {
        let mut out = s.clone();
        for (m, c) in self.column.iter().enumerate() {
            if let Some(c) = *c {
                out.at[m][0] += step[c];
                out.at[m][1] += step[c + 1];
            }
        }
        for (t, c) in self.scale_column.iter().enumerate() {
            if let Some(c) = *c {
                out.k[t] += step[c];
            }
        }
        out
    }

    /// Half the diagonal of the bounding box of all marks, m; at least 1.
    pub(super) fn extent(&self, s: &State) -> f64 {
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for p in &s.at {
            for axis in 0..2 {
                low[axis] = low[axis].min(p[axis]);
                high[axis] = high[axis].max(p[axis]);
            }
        }
        (0.5 * length(minus(high, low))).max(1.0)
    }
}

/// A vector shorter than this has no direction, m.
const TINY: f64 = 1e-9;

pub(super) fn minus(a: Place, b: Place) -> Place {
    [a[0] - b[0], a[1] - b[1]]
}

pub(super) fn plus(a: Place, b: Place) -> Place {
    [a[0] + b[0], a[1] + b[1]]
}

pub(super) fn times(a: Place, k: f64) -> Place {
    [a[0] * k, a[1] * k]
}

pub(super) fn dot(a: Place, b: Place) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// Positive where `b` lies counter-clockwise of `a`.
pub(super) fn cross(a: Place, b: Place) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

pub(super) fn length(a: Place) -> f64 {
    a[0].hypot(a[1])
}

/// The same direction with length 1; +x for a vector without a direction.
pub(super) fn unit(a: Place) -> Place {
    let l = length(a);
    if l > TINY { times(a, 1.0 / l) } else { [1.0, 0.0] }
}

#[cfg(test)]
mod tests {
    use super::super::support::{book, chainage, distance, offset};
    use super::*;

    /// Derivatives against central differences, at arbitrary coordinates.
    #[test]
    fn derivatives_are_those_of_what_is_read() {
        let mut b = book(4);
        b.measures = vec![
            distance(0, 1, 50.0),
            chainage([0, 1], 2, 20.0),
            offset([0, 1], 2, -7.0),
            chainage([3, 1], 1, 40.0),
            offset([2, 3], 0, 4.0),
        ];
        b.tapes.push(crate::survey::Tape { name: "steel".into(), scale_sd: 1e-4, place: String::new() });
        for m in &mut b.measures {
            m.tape = Some(0);
        }
        let model = Model::new(&b, &[]);
        let at = vec![[1.0, 2.0], [48.0, 11.0], [22.0, -6.0], [15.0, 31.0]];
        let s = State { at, k: vec![2e-3] };
        for i in 0..model.obs.len() {
            let row = model.row(i, &s);
            for unknown in 0..model.unknowns {
                let h = 1e-5;
                let mut step = DVector::zeros(model.unknowns);
                step[unknown] = h;
                let up = model.reads(&model.obs[i], &model.moved(&s, &step));
                step[unknown] = -h;
                let down = model.reads(&model.obs[i], &model.moved(&s, &step));
                let slope = row.entries().iter().find(|e| e.0 == unknown).map_or(0.0, |e| e.1);
                // Rounding of differences over 2e-5 of readings near 50: 1e-14 · 50 / 1e-5 = 5e-8.
                assert!((slope - (up - down) / (2.0 * h)).abs() < 1e-7, "{i} {unknown}");
            }
        }
    }

    #[test]
    fn chainage_runs_along_and_offset_is_positive_to_the_left() {
        let mut b = book(3);
        b.measures = vec![chainage([0, 1], 2, 0.0), offset([0, 1], 2, 0.0)];
        let model = Model::new(&b, &[]);
        let s = State { at: vec![[10.0, 10.0], [10.0, 60.0], [7.0, 30.0]], k: vec![] };
        assert_eq!(model.reads(&model.obs[0], &s), 20.0);
        assert_eq!(model.reads(&model.obs[1], &s), 3.0);
    }
}
