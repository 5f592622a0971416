//! The parameters and equations of the adjustment.
//!
//! The parameters are those of the curve, as its [`Form`] has them. Where there are goals, their midpoint x
//! and y, the turn of the axis to end A and the half-length follow. Where several sources are adjusted
//! together, the common errors of each source follow (its scale, its place, and the distance of its line from
//! the true one), each with its standard deviation as an observation of its own.
//!
//! The derivative of a signed distance d = n·(p − f) by a parameter q is
//! −n·∂f/∂q at the fixed foot (the foot's own slide along the curve is square to
//! n), so the Jacobian is exact (Gander, Golub and Strebel 1994, section 4; Ahn,
//! Rauh and Warnecke, Pattern Recognition 34, 2001, 2283–2303).

use nalgebra::DMatrix;

use super::form::Form;
use super::observation::{GOALS, Observation, Of};
use super::span;
use crate::frame::Local;
use crate::geometry::{ClosedCurve, Point, Shape, Vector};

/// Points whose errors are correlated, as those of one tape network are.
///
/// Their equations are multiplied by the inverse of `factor`, the lower Cholesky factor of the covariance of
/// their residuals, which makes them independent.
#[derive(Debug, Clone)]
pub(super) struct Block {
    pub(super) members: Vec<Observation>,
    pub(super) factor: DMatrix<f64>,
    /// For each tape that other measures share: its number, the scale at which the members' places are given,
    /// and the derivative of each equation's residual by that scale.
    pub(super) tapes: Vec<(usize, f64, Vec<f64>)>,
}

/// Indices of a source's own parameters, if it has any.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Slots {
    /// Scale, and the point about which it acts.
    pub(super) scale: Option<(usize, Point<Local>)>,
    /// Shift to the east; the shift to the north is the next parameter.
    pub(super) shift: Option<usize>,
    /// Distance of its line from the true one, positive outside.
    pub(super) offset: Option<usize>,
}

/// Everything that is adjusted together.
#[derive(Debug, Clone, Default)]
pub(super) struct System {
    pub(super) observations: Vec<Observation>,
    pub(super) blocks: Vec<Block>,
    /// By source.
    pub(super) slots: Vec<Slots>,
    /// Parameters of tapes, by their number.
    pub(super) tapes: Vec<Option<usize>>,
    /// Width of a scoring end, m: spans need it where no posts fix the goal lines.
    pub(super) end_width_m: f64,
    /// The form of the curve.
    pub(super) form: Form,
}

/// What an equation describes, for callers that give it a new weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Seen {
    /// A fix of a source's line: its standard deviation and the line's normal there.
    Fix { sd: f64, normal: Vector<Local>, source: usize },
    /// Any other observation, by its index in `observations`.
    Other(usize),
    /// A member of a block.
    Shared,
    /// The prior on a freeform line's smoothness.
    Smooth,
}

/// Where the goals (midpoint, turn, half-length) put a post: midpoint + end·half·u + offset·v.
pub(super) fn post_place(goals: &[f64], end: f64, offset: f64) -> Point<Local> {
    let u = Vector::at_angle(goals[2]);
    Point::new(goals[0], goals[1]) + u * (end * goals[3]) + u.to_left() * offset
}

/// Derivatives of a post's place along `unit` by the four parameters of the goals.
fn post_motion(goals: &[f64], end: f64, offset: f64, unit: Vector<Local>) -> [f64; GOALS] {
    let u = Vector::<Local>::at_angle(goals[2]);
    [unit.x, unit.y, unit.dot(u.to_left() * (end * goals[3]) - u * offset), unit.dot(u * end)]
}

/// Signed distance of `at` from the curve, and the normal at the foot. Writes the gradient by the curve's
/// parameters to the front of `row`.
fn distance(p: &[f64], curve: &Shape<Local>, at: Point<Local>, row: &mut [f64]) -> (f64, Vector<Local>) {
    let foot = curve.foot(at);
    let n = foot.normal;
    let Shape::Ellipse(_) = curve else {
        for (r, motion) in row.iter_mut().zip(curve.normal_motion(&foot)) {
            *r = -motion;
        }
        return (foot.signed_distance_m, n);
    };
    let (s, c) = p[4].sin_cos();
    // The foot in the axes of the *parameters*, whose first need not be the longer.
    let r = foot.point - Point::new(p[0], p[1]);
    let (u, v) = (c * r.x + s * r.y, -s * r.x + c * r.y);
    let along = Vector::<Local>::new(c, s);
    let across = Vector::<Local>::new(-s, c);
    let gradient = [
        -n.x,
        -n.y,
        -n.dot(along) * (u / p[2]),
        -n.dot(across) * (v / p[3]),
        // ∂f/∂turn is the radius vector turned a quarter.
        -n.dot(r.to_left()),
    ];
    row[..gradient.len()].copy_from_slice(&gradient);
    (foot.signed_distance_m, n)
}

impl System {
    /// A system of points on a line and posts only, without common errors of a source.
    pub(super) fn of(observations: Vec<Observation>, end_width_m: f64) -> Self {
        Self { observations, end_width_m, ..Self::default() }
    }

    /// Adds the prior on the curve's parameters, in place of an earlier one.
    pub(super) fn known(&mut self, known: Option<(Observation, f64)>) {
        let count = self.form.count();
        let last = |o: &Observation| match o {
            Observation::Prior { parameter, .. } => *parameter < count,
            Observation::Turn { .. } => true,
            _ => false,
        };
        if self.observations.last().is_some_and(last) {
            self.observations.pop();
        }
        self.observations.extend(known.map(|k| k.0));
    }

    /// Number of parameters of the curve, and of the goals where posts were surveyed.
    pub(super) fn shape(&self) -> usize {
        self.form.count() + if self.goals().is_some() { GOALS } else { 0 }
    }

    /// Index of the goals' first parameter, if there are goals.
    pub(super) fn goals(&self) -> Option<usize> {
        let goals = |o: &Observation| matches!(o, Observation::Post { .. } | Observation::LineAtPost { .. });
        self.observations.iter().any(goals).then(|| self.form.count())
    }

    /// The same system about another origin; `None` where that overflows.
    pub(super) fn moved(&self, by: Vector<Local>) -> Option<Self> {
        Some(Self {
            observations: self.observations.iter().map(|o| o.moved(by)).collect(),
            blocks: self
                .blocks
                .iter()
                .map(|b| Block {
                    members: b.members.iter().map(|o| o.moved(by)).collect(),
                    factor: b.factor.clone(),
                    tapes: b.tapes.clone(),
                })
                .collect(),
            slots: self
                .slots
                .iter()
                .map(|s| Slots { scale: s.scale.map(|(i, c)| (i, c + by)), ..*s })
                .collect(),
            tapes: self.tapes.clone(),
            end_width_m: self.end_width_m,
            form: self.form.moved(by)?,
        })
    }

    fn slots(&self, of: Of) -> Slots {
        let at = |i: usize| self.slots.get(i).copied().unwrap_or_default();
        Slots { shift: at(of.frame).shift, ..at(of.source) }
    }

    /// A source's point, corrected for the source's shift and scale error.
    pub(super) fn corrected(&self, p: &[f64], of: Of, at: Point<Local>) -> Point<Local> {
        let s = self.slots(of);
        let mut q = at;
        if let Some(i) = s.shift {
            q = q - Vector::new(p[i], p[i + 1]);
        }
        if let Some((i, centre)) = s.scale {
            q = q - (at - centre) * p[i];
        }
        q
    }

    /// A point of a line, corrected for the source's shift and scale error, and then moved square to the
    /// curve by the distance of the source's line from the true one. Its distance from the curve is then its
    /// residual.
    pub(super) fn put_right(
        &self,
        p: &[f64],
        curve: &Shape<Local>,
        of: Of,
        inside: f64,
        at: Point<Local>,
    ) -> Point<Local> {
        let q = self.corrected(p, of, at);
        let off = self.slots(of).offset.map_or(0.0, |i| p[i]);
        q + curve.foot(q).normal * (inside - off)
    }

    /// Calls `emit(seen, residual, gradient)` for every scalar equation, each divided by its standard
    /// deviation. `None` when the parameters give no curve.
    pub(super) fn each_equation(&self, p: &[f64], mut emit: impl FnMut(Seen, f64, &[f64])) -> Option<()> {
        let curve = self.form.curve(p)?;
        let from = self.form.count();
        let goals = p.get(from..from + GOALS).unwrap_or_default();
        let mut row = vec![0.0; p.len()];
        for (i, o) in self.observations.iter().enumerate() {
            match *o {
                Observation::OnLine { at, sd, inside, of } => {
                    let (r, normal) = self.line_row(p, &curve, at, of, inside, &mut row);
                    scale(&mut row, 1.0 / sd);
                    emit(Seen::Fix { sd, normal, source: of.source }, r / sd, &row);
                }
                Observation::Post { at, end, offset, sd, of } => {
                    for unit in [Vector::new(1.0, 0.0), Vector::new(0.0, 1.0)] {
                        let r = self.post_row(p, at, end, offset, of, unit, &mut row);
                        scale(&mut row, 1.0 / sd);
                        emit(Seen::Other(i), r / sd, &row);
                    }
                }
                Observation::LineAtPost { end, offset, sd } => {
                    let at = post_place(goals, end, offset);
                    row.fill(0.0);
                    let (d, n) = distance(p, &curve, at, &mut row);
                    row[from..from + GOALS].copy_from_slice(&post_motion(goals, end, offset, n));
                    scale(&mut row, 1.0 / sd);
                    emit(Seen::Other(i), d / sd, &row);
                }
                Observation::Span { kind, value, sd, tape } => {
                    let shape = self.shape();
                    let (length, by) =
                        span::length_and_gradient(kind, &self.form, &p[..shape], self.end_width_m)?;
                    let slot = tape.and_then(|t| self.tapes.get(t).copied().flatten());
                    // A tape too long by k reads a length short by k of it.
                    let k = slot.map_or(0.0, |i| p[i]);
                    row.fill(0.0);
                    for (r, g) in row.iter_mut().zip(by) {
                        *r = -g * (1.0 - k);
                    }
                    if let Some(i) = slot {
                        row[i] = length;
                    }
                    scale(&mut row, 1.0 / sd);
                    emit(Seen::Other(i), (value - length * (1.0 - k)) / sd, &row);
                }
                Observation::Prior { parameter, value, sd } => {
                    row.fill(0.0);
                    row[parameter] = 1.0 / sd;
                    emit(Seen::Other(i), (p[parameter] - value) / sd, &row);
                }
                Observation::Turn { from, to, value, sd } => {
                    row.fill(0.0);
                    (row[from], row[to]) = (-1.0 / sd, 1.0 / sd);
                    let off = p[to] - p[from] - value;
                    let turns = (off / std::f64::consts::TAU).round();
                    emit(Seen::Other(i), (off - turns * std::f64::consts::TAU) / sd, &row);
                }
            }
        }
        for block in &self.blocks {
            self.whitened(p, &curve, block, &mut emit)?;
        }
        if let Form::Freeform(f) = &self.form {
            let (which, sd) = f.chosen;
            let smooth = f.smooths.get(which)?;
            for r in 0..smooth.rows.nrows() {
                row.fill(0.0);
                let mut miss = 0.0;
                for (i, (to, c)) in row.iter_mut().zip(&p[..from]).enumerate() {
                    *to = smooth.rows[(r, i)] / sd;
                    miss += *to * c;
                }
                emit(Seen::Smooth, miss, &row);
            }
        }
        Some(())
    }

    /// Row and residual of a point on the line, m.
    fn line_row(
        &self,
        p: &[f64],
        curve: &Shape<Local>,
        at: Point<Local>,
        of: Of,
        inside: f64,
        row: &mut [f64],
    ) -> (f64, Vector<Local>) {
        row.fill(0.0);
        let (d, n) = distance(p, curve, self.corrected(p, of, at), row);
        let s = self.slots(of);
        self.source_columns(s, at, n, row);
        let off = s.offset.map_or(0.0, |i| {
            row[i] = -1.0;
            p[i]
        });
        (in_own_scale(p, s, d + inside - off, row), n)
    }

    /// Row and residual of a post along a unit vector, m.
    #[allow(clippy::too_many_arguments, reason = "one row of the Jacobian and all that it is made of")]
    fn post_row(
        &self,
        p: &[f64],
        at: Point<Local>,
        end: f64,
        offset: f64,
        of: Of,
        unit: Vector<Local>,
        row: &mut [f64],
    ) -> f64 {
        let from = self.form.count();
        let goals = &p[from..from + GOALS];
        let miss = self.corrected(p, of, at) - post_place(goals, end, offset);
        row.fill(0.0);
        for (r, motion) in row[from..].iter_mut().zip(post_motion(goals, end, offset, unit)) {
            *r = -motion;
        }
        let s = self.slots(of);
        self.source_columns(s, at, unit, row);
        in_own_scale(p, s, miss.dot(unit), row)
    }

    /// Derivatives of a point's corrected place along `unit` by its source's parameters.
    fn source_columns(&self, s: Slots, at: Point<Local>, unit: Vector<Local>, row: &mut [f64]) {
        if let Some(i) = s.shift {
            row[i] = -unit.x;
            row[i + 1] = -unit.y;
        }
        if let Some((i, centre)) = s.scale {
            row[i] = -unit.dot(at - centre);
        }
    }

    /// Residuals and rows of a block's members, m, before they are made independent.
    fn members(&self, p: &[f64], curve: &Shape<Local>, block: &Block) -> Vec<(f64, Vec<f64>)> {
        let mut list = Vec::new();
        let mut row = vec![0.0; p.len()];
        for o in &block.members {
            match *o {
                Observation::OnLine { at, inside, of, .. } => {
                    let (r, _) = self.line_row(p, curve, at, of, inside, &mut row);
                    list.push((r, row.clone()));
                }
                Observation::Post { at, end, offset, of, .. } => {
                    for unit in [Vector::new(1.0, 0.0), Vector::new(0.0, 1.0)] {
                        let r = self.post_row(p, at, end, offset, of, unit, &mut row);
                        list.push((r, row.clone()));
                    }
                }
                _ => {}
            }
        }
        list
    }

    fn whitened(
        &self,
        p: &[f64],
        curve: &Shape<Local>,
        block: &Block,
        emit: &mut impl FnMut(Seen, f64, &[f64]),
    ) -> Option<()> {
        let mut rows = self.members(p, curve, block);
        for (tape, given, moves) in &block.tapes {
            let Some(i) = self.tapes.get(*tape).copied().flatten() else { continue };
            for ((r, row), by) in rows.iter_mut().zip(moves) {
                *r += by * (p[i] - given);
                row[i] += by;
            }
        }
        let (n, k) = (rows.len(), p.len());
        if n != block.factor.nrows() {
            return None;
        }
        let mut m = DMatrix::from_fn(n, k + 1, |i, j| if j < k { rows[i].1[j] } else { rows[i].0 });
        block.factor.solve_lower_triangular_mut(&mut m).then_some(())?;
        let mut row = vec![0.0; k];
        for i in 0..n {
            for (j, r) in row.iter_mut().enumerate() {
                *r = m[(i, j)];
            }
            emit(Seen::Shared, m[(i, k)], &row);
        }
        Some(())
    }
}

/// A residual and its row in the source's own scale. The correction by 1 − k shrinks a source with its
/// errors; without undoing that, a large scale would make any misfit small.
fn in_own_scale(p: &[f64], s: Slots, r: f64, row: &mut [f64]) -> f64 {
    let Some((i, _)) = s.scale else { return r };
    let grow = 1.0 / (1.0 - p[i]);
    scale(row, grow);
    row[i] += r * grow * grow;
    r * grow
}

fn scale(row: &mut [f64], by: f64) {
    row.iter_mut().for_each(|v| *v *= by);
}

#[cfg(test)]
mod tests {
    use super::super::observation::Span;
    use super::*;

    /// Every kind of observation at once, with every kind of parameter.
    pub(crate) fn everything() -> (System, Vec<f64>) {
        let p = vec![3.0, -2.0, 60.0, 75.0, 0.4, 2.0, -1.0, 0.5, 58.0, 0.003, 0.7, -0.4, 0.2, 0.001];
        let line = |x, y, source| Observation::OnLine {
            at: Point::new(x, y),
            sd: 0.5,
            inside: 0.1,
            of: Of { source, frame: 1 },
        };
        let post = Observation::Post {
            at: Point::new(55.0, 25.0),
            end: 1.0,
            offset: 9.6,
            sd: 0.1,
            of: Of { source: 1, frame: 1 },
        };
        let s = System {
            observations: vec![
                line(70.0, 20.0, 0),
                line(-40.0, 50.0, 1),
                post,
                Observation::LineAtPost { end: -1.0, offset: -9.6, sd: 0.2 },
                Observation::Span { kind: Span::GoalToGoal, value: 117.0, sd: 0.3, tape: Some(0) },
                Observation::Span { kind: Span::WingToWing, value: 120.0, sd: 0.3, tape: None },
                Observation::Prior { parameter: 9, value: 0.001, sd: 0.005 },
            ],
            blocks: vec![Block {
                members: vec![line(10.0, -70.0, 1), post],
                factor: DMatrix::from_row_slice(3, 3, &[0.3, 0.0, 0.0, 0.1, 0.4, 0.0, -0.2, 0.1, 0.5]),
                tapes: vec![(0, 0.002, vec![40.0, -10.0, 7.0])],
            }],
            slots: vec![
                Slots::default(),
                Slots { scale: Some((9, Point::new(1.0, 2.0))), shift: Some(10), offset: Some(12) },
            ],
            tapes: vec![Some(13)],
            end_width_m: 19.2,
            form: Form::Ellipse,
        };
        (s, p)
    }

    #[test]
    fn the_jacobian_is_the_derivative() {
        let (system, p) = everything();
        let values = |p: &[f64]| {
            let mut out = Vec::new();
            system.each_equation(p, |_, r, row| out.push((r, row.to_vec()))).unwrap();
            out
        };
        let here = values(&p);
        assert_eq!(here.len(), 2 + 2 + 1 + 2 + 1 + 3);
        for k in 0..p.len() {
            let h = 1e-5;
            let (mut lo, mut hi) = (p.clone(), p.clone());
            lo[k] -= h;
            hi[k] += h;
            let (lo, hi) = (values(&lo), values(&hi));
            for i in 0..here.len() {
                let numeric = (hi[i].0 - lo[i].0) / (2.0 * h);
                // Central difference: h² and rounding, times the weights.
                assert!((numeric - here[i].1[k]).abs() < 2e-5 * (1.0 + numeric.abs()), "{i} {k}");
            }
        }
    }

    #[test]
    fn moving_the_origin_moves_nothing_else() {
        let (system, p) = everything();
        let by = Vector::new(1e6, -2e6);
        let mut q = p.clone();
        for (i, v) in [(0, by.x), (1, by.y), (5, by.x), (6, by.y)] {
            q[i] += v;
        }
        let all = |s: &System, p: &[f64]| {
            let mut out = Vec::new();
            s.each_equation(p, |_, r, _| out.push(r)).unwrap();
            out
        };
        for (a, b) in all(&system, &p).iter().zip(all(&system.moved(by).unwrap(), &q)) {
            // 2e6 m to double precision, over the smallest standard deviation.
            assert!((a - b).abs() < 1e-7, "{a} {b}");
        }
    }

    #[test]
    fn a_diagonal_block_is_points_alone() {
        let (mut system, p) = everything();
        let members = system.blocks[0].members.clone();
        system.blocks[0].tapes.clear();
        system.blocks[0].factor = DMatrix::from_diagonal(&nalgebra::DVector::from_vec(vec![0.5, 0.1, 0.1]));
        let mut block = Vec::new();
        let mut apart = Vec::new();
        system
            .each_equation(&p, |seen, r, row| {
                if seen == Seen::Shared {
                    block.push((r, row.to_vec()));
                }
            })
            .unwrap();
        let alone = System { observations: members, blocks: Vec::new(), ..system };
        alone.each_equation(&p, |_, r, row| apart.push((r, row.to_vec()))).unwrap();
        assert_eq!(block.len(), apart.len());
        for (a, b) in block.iter().zip(&apart) {
            assert!((a.0 - b.0).abs() < 1e-12);
            assert!(a.1.iter().zip(&b.1).all(|(x, y)| (x - y).abs() < 1e-12));
        }
    }
}
