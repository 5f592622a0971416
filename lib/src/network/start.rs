//! Approximate coordinates of a network, robust against one gross error or a poor start. It
//! tries many constructions, improves each by a robust search,
//! and keeps the best by a robust score.
//!
//! It does not always find the best. Where each mark is tied only to its next two neighbours in a
//! row, so that the triangles are flat, a tie booked to a wrong mark led to a wrong figure in one
//! notebook of fifteen. In braced squares it did so in none of hundreds.

use super::equations::{Kind, Model, Place, State, length, minus};
use super::hands::Hands;
use super::least_squares::{Loss, settle};
use super::mds::scalings;
use super::motion::{Motion, given_pairs};
use super::place::Placer;
use super::sides::{better, cost, flips};
use super::statistics::degrees;

/// Steps allowed to a robust search; from a good start it takes 5 to 10.
const STEPS: usize = 30;
/// A network with more unknowns is large: its many ties make wrong first constructions rare, and
/// the cost of each grows with the cube of its size.
const LARGE: usize = 150;
/// A misfit beyond this many standard deviations is not noise.
const OUTLIER: f64 = 5.0;
/// With this many degrees of freedom or more, a single misfit is more likely due
/// to a wrong reading than to a wrong figure.
const ENOUGH_CHECKS: usize = 6;
/// Base lines that constructions start from: first a few, then many, if none of the few gives a
/// figure with hardly any misfits.
const BASES: [usize; 2] = [4, 40];
/// How many of those constructions are improved by the robust search.
const SETTLED: [usize; 2] = [4, 8];

/// The robust start of a network. `warm` is a state that fitted before;
/// without `hard` only a few base lines are tried.
pub(super) fn find(model: &Model, hands: &Hands, warm: Option<&State>, hard: bool) -> State {
    let mut search = Search { model, hands, best: None };
    if let Some(s) = warm.or(given(model).as_ref()) {
        search.settle(s);
        search.improve();
    }
    for (bases, most) in BASES.into_iter().zip(SETTLED) {
        if search.is_good() {
            break;
        }
        let mut built = constructions(model, hands, bases);
        built.sort_by(|a, b| cost(model, hands, a).total_cmp(&cost(model, hands, b)));
        let mut last = f64::INFINITY;
        let mut settled = 0;
        for s in &built {
            // The same figure, found from another base line.
            let now = cost(model, hands, s);
            if (now - last).abs() < 1e-6 * now.abs() {
                continue;
            }
            last = now;
            search.settle(s);
            search.improve();
            settled += 1;
            if search.is_good() || settled >= most || (model.unknowns > LARGE && settled >= 2) {
                break;
            }
        }
        if !search.is_good() && bases == BASES[0] {
            for s in scalings(model).take(if model.unknowns > LARGE { 1 } else { usize::MAX }) {
                for image in [mirror_free(&s), s] {
                    search.settle(&on_given(model, &image));
                }
                search.improve();
                if search.is_good() {
                    break;
                }
            }
        }
        if model.unknowns > LARGE || !hard {
            break;
        }
    }
    search.improve();
    search.best.unwrap_or_else(|| State {
        at: vec![[0.0; 2]; model.marks()],
        k: vec![0.0; model.scale_column.len()],
    })
}

/// The given coordinates, if all marks have some.
fn given(model: &Model) -> Option<State> {
    let at: Vec<Place> = model.given.iter().copied().collect::<Option<_>>()?;
    Some(State { at, k: vec![0.0; model.scale_column.len()] })
}

struct Search<'a> {
    model: &'a Model,
    hands: &'a Hands,
    best: Option<State>,
}

impl Search<'_> {
    /// Improves a state by the robust search and keeps it if it beats the best so far.
    fn settle(&mut self, start: &State) {
        let s = settle(self.model, start, Loss::Robust, STEPS).state;
        if self.best.as_ref().is_none_or(|b| better(self.model, self.hands, &s, b)) {
            self.best = Some(s);
        }
    }

    fn outliers(&self, s: &State) -> Vec<usize> {
        (0..self.model.obs.len()).filter(|&i| self.model.misfit(i, s).abs() > OUTLIER).collect()
    }

    /// Is the best state good: no side is broken, and no reading is an outlier? Where many readings check
    /// each other, a few outliers are allowed: a wrong figure seldom misfits only one reading in a hundred.
    fn is_good(&self) -> bool {
        self.best.as_ref().is_some_and(|s| {
            let dof = degrees(self.model, s);
            let few = if dof >= ENOUGH_CHECKS { 1 + dof / 100 } else { 0 };
            self.hands.broken(&s.at) == 0 && self.outliers(s).len() <= few
        })
    }

    /// Folds parts over, moves single marks, and places the marks of outliers again, while that helps.
    fn improve(&mut self) {
        // Each round must improve the score; more than a few folds are rare.
        const ROUNDS: usize = 6;
        for _ in 0..ROUNDS {
            let Some(now) = self.best.clone() else { return };
            let (model, hands) = (self.model, self.hands);
            let folded = flips(model, &now).into_iter().find_map(|f| {
                f.parts.iter().map(|p| f.flipped(&now, p)).find(|s| better(model, hands, s, &now))
            });
            if let Some(s) = folded {
                self.settle(&s);
            }
            let outliers = self.outliers(&now);
            if outliers.len() > 1 || hands.broken(&now.at) > 0 {
                let mut placer = Placer::from_state(model, hands, now.clone());
                if placer.sweep() {
                    self.settle(&placer.into_state());
                }
                let mut anew = vec![false; model.marks()];
                for i in outliers {
                    model.obs[i].marks().filter(|&m| !model.anchored(m)).for_each(|m| anew[m] = true);
                }
                if anew.iter().filter(|a| !**a).count() >= 2 {
                    self.settle(&Placer::again(model, hands, now.clone(), &anew).run().0);
                }
            }
            if self.best.as_ref() == Some(&now) {
                return;
            }
        }
    }
}

/// States built mark by mark from several seeds, each with its mirror image.
fn constructions(model: &Model, hands: &Hands, most: usize) -> Vec<State> {
    let mut out = Vec::new();
    let held: Vec<(usize, Place)> = (0..model.marks())
        .filter(|&m| model.anchored(m))
        .filter_map(|m| model.given[m].map(|g| (m, g)))
        .collect();
    let known: Vec<(usize, Place)> =
        (0..model.marks()).filter_map(|m| model.given[m].map(|g| (m, g))).collect();
    for seed in [&held, &known] {
        if seed.len() >= 2 {
            for mirrored in [false, true] {
                out.push(Placer::new(model, hands, seed, mirrored).run().0);
            }
        }
    }
    for (a, b, d) in bases(model, most) {
        for mirrored in [false, true] {
            let seed = [(a, [0.0, 0.0]), (b, [d, 0.0])];
            let (s, _) = Placer::new(model, hands, &seed, mirrored).run();
            if held.is_empty() {
                out.push(s);
            } else {
                // The held marks may tell the two images apart.
                out.push(on_given(model, &mirror_free(&s)));
                out.push(on_given(model, &s));
            }
        }
    }
    out
}

/// The mirror image of a state, in any line.
fn mirror_free(s: &State) -> State {
    State { at: s.at.iter().map(|p| [p[0], -p[1]]).collect(), k: s.k.clone() }
}

/// A state moved onto the held marks, which get their given places.
fn on_given(model: &Model, s: &State) -> State {
    let pairs = given_pairs(model, s, |m| model.anchored(m));
    if pairs.is_empty() {
        return s.clone();
    }
    let motion = Motion::nearest(&pairs);
    let mut out = s.clone();
    for (m, p) in out.at.iter_mut().enumerate() {
        *p = match (model.anchored(m), model.given[m]) {
            (true, Some(g)) => g,
            _ => motion.place(*p),
        };
    }
    out
}

/// Base lines to start from, with their lengths: ties, and base lines of chainages and offsets.
/// Those whose ends share many neighbours come first, then the longest.
/// No mark is used twice while others are left.
fn bases(model: &Model, most: usize) -> Vec<(usize, usize, f64)> {
    let n = model.marks();
    let mut near = vec![std::collections::BTreeSet::<usize>::new(); n];
    let mut measured: Vec<(usize, usize, f64)> = Vec::new();
    for o in &model.obs {
        match o.kind {
            Kind::Distance(a, b) => measured.push((a, b, o.value)),
            Kind::Chainage([a, b], p) if p == b => measured.push((a, b, o.value.abs())),
            Kind::Chainage([a, b], _) => {
                // A base line that was not measured is about as long as its longest chainage, or longer.
                let long = model
                    .obs
                    .iter()
                    .filter(|q| matches!(q.kind, Kind::Chainage(base, _) if base == [a, b]))
                    .map(|q| q.value.abs())
                    .fold(1.0, f64::max);
                let held = model.given[a].zip(model.given[b]).map(|(p, q)| length(minus(p, q)));
                if !measured.iter().any(|m| (m.0, m.1) == (a, b)) {
                    measured.push((a, b, held.unwrap_or(long)));
                }
            }
            _ => {}
        }
        let touched: Vec<usize> = o.marks().collect();
        for &a in &touched {
            near[a].extend(touched.iter().filter(|&&b| b != a));
        }
    }
    let mut ranked: Vec<(usize, usize, usize, f64)> = measured
        .into_iter()
        .map(|(a, b, d)| (near[a].intersection(&near[b]).count().min(4), a, b, d))
        .collect();
    ranked.sort_by(|x, y| y.0.cmp(&x.0).then(y.3.total_cmp(&x.3)).then((x.1, x.2).cmp(&(y.1, y.2))));
    let mut out: Vec<(usize, usize, f64)> = Vec::new();
    for fresh in [true, false] {
        for &(_, a, b, d) in &ranked {
            let used = |m: usize| out.iter().any(|o| o.0 == m || o.1 == m);
            let again = out.iter().any(|o| (o.0.min(o.1), o.0.max(o.1)) == (a.min(b), a.max(b)));
            if out.len() < most && !again && !(fresh && (used(a) || used(b))) {
                out.push((a, b, d));
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::least_squares::sum_of_squares;
    use super::super::support::{book, offset, place, ties};
    use super::*;

    fn found(b: &crate::survey::Notebook) -> (Model, State) {
        let model = Model::new(b, &[]);
        let s = find(&model, &Hands::new(b, &model), None, true);
        (model, s)
    }

    /// A ring of braced squares, no coordinates, no sides.
    #[test]
    fn a_ring_of_braced_quads_from_ties_alone() {
        let n = 10;
        let at: Vec<Place> = (0..2 * n)
            .map(|i| {
                let t = (i / 2) as f64 / n as f64 * std::f64::consts::TAU;
                let r = if i % 2 == 0 { 1.0 } else { 0.75 };
                [80.0 * r * t.cos(), 65.0 * r * t.sin()]
            })
            .collect();
        let mut b = book(2 * n);
        for i in 0..n {
            let (p, q, r, s) = (2 * i, 2 * i + 1, (2 * i + 2) % (2 * n), (2 * i + 3) % (2 * n));
            ties(&mut b, &at, &[(p, q), (p, r), (q, s), (p, s), (q, r)]);
        }
        let (model, s) = found(&b);
        assert!(sum_of_squares(&model, &s) < 1e-3, "{}", sum_of_squares(&model, &s));
    }

    /// The graph K₃,₃ has no triangle: no mark has two placed neighbours until one is guessed.
    #[test]
    fn a_frame_without_triangles() {
        let at = [[0.0, 0.0], [30.0, 5.0], [55.0, -4.0], [3.0, 38.0], [26.0, 51.0], [61.0, 33.0]];
        let mut b = book(6);
        let pairs: Vec<_> = (0..3).flat_map(|i| (3..6).map(move |j| (i, j))).collect();
        ties(&mut b, &at, &pairs);
        let (model, s) = found(&b);
        // Nine ties, nine unknowns: any true solution has no misfit.
        assert!(sum_of_squares(&model, &s) < 1e-6, "{}", sum_of_squares(&model, &s));
    }

    /// Offsets tell the images apart, and fixed marks hold the rest.
    #[test]
    fn offsets_and_fixed_marks_are_both_heeded() {
        let at = [[100.0, 50.0], [160.0, 50.0], [120.0, 80.0], [140.0, 20.0], [150.0, 75.0]];
        let mut b = book(5);
        ties(&mut b, &at, &[(0, 1), (0, 2), (1, 2), (0, 3), (1, 3), (2, 3), (4, 1), (4, 2), (4, 0)]);
        b.measures.push(offset([0, 1], 2, 30.0));
        place(&mut b, 0, at[0], Some(0.0));
        place(&mut b, 1, at[1], Some(0.0));
        let (model, s) = found(&b);
        for (m, p) in at.iter().enumerate() {
            let there = [s.at[m][0] + model.origin[0], s.at[m][1] + model.origin[1]];
            assert!(length(minus(there, *p)) < 1e-5, "{m}: {there:?}");
        }
    }
}
