//! A start for networks whose marks can't be placed one after another: classical
//! multidimensional scaling (W. S. Torgerson, Psychometrika 17, 1952) of the shortest paths along
//! the ties. Between marks without a tie, a path is somewhat longer than the straight line.

use nalgebra::{Cholesky, DMatrix, SymmetricEigen};

use super::equations::{Kind, Model, Place, State, length, minus};

/// A tie may be a false short cut when the next shortest path between its ends is this many times longer. In
/// a braced square the path round a corner is 1.4 times as long as the diagonal.
const SHORT_CUT: f64 = 1.5;
/// How many short cuts are left out, one at a time.
const MOST_CUTS: usize = 12;

/// Approximate states: from all ties, then without each suspected short cut in turn, the greatest first. A
/// tie booked to a wrong mark spoils every path through it.
pub(super) fn scalings(model: &Model) -> impl Iterator<Item = State> + '_ {
    let mut cuts: Vec<(f64, usize)> = Vec::new();
    for (i, o) in model.obs.iter().enumerate() {
        if let Kind::Distance(a, b) = o.kind {
            let ratio = round_about(model, i, a, b) / o.value;
            if ratio > SHORT_CUT {
                cuts.push((ratio, i));
            }
        }
    }
    cuts.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let without = std::iter::once(usize::MAX).chain(cuts.into_iter().take(MOST_CUTS).map(|c| c.1));
    without.filter_map(|i| scaling(model, i))
}

/// The shortest path between two marks along ties, without one of them
/// (E. W. Dijkstra, Numerische Mathematik 1, 1959).
fn round_about(model: &Model, without: usize, from: usize, to: usize) -> f64 {
    let n = model.marks();
    let mut way = vec![f64::INFINITY; n];
    let mut done = vec![false; n];
    way[from] = 0.0;
    // One mark is done each time.
    for _ in 0..n {
        let Some(m) = (0..n).filter(|&m| !done[m]).min_by(|&a, &b| way[a].total_cmp(&way[b])) else { break };
        if m == to || way[m].is_infinite() {
            break;
        }
        done[m] = true;
        for &i in model.touching[m].iter().filter(|&&i| i != without) {
            if let Kind::Distance(a, b) = model.obs[i].kind {
                let next = if a == m { b } else { a };
                way[next] = way[next].min(way[m] + model.obs[i].value);
            }
        }
    }
    way[to]
}

/// An approximate state without one observation; `None` where the ties don't join all marks,
/// or the eigenvalues don't converge.
fn scaling(model: &Model, without: usize) -> Option<State> {
    let n = model.marks();
    let mut way = shortest_ways(model, without);
    if way.iter().any(|d| !d.is_finite()) {
        return None;
    }
    let plain = way.clone();
    way.apply(|d| *d *= *d);
    // Double centring: −½ J D² J.
    let rows: Vec<f64> = (0..n).map(|i| way.row(i).mean()).collect();
    let all = way.mean();
    let product = DMatrix::from_fn(n, n, |i, j| -0.5 * (way[(i, j)] - rows[i] - rows[j] + all));
    let eigen = SymmetricEigen::try_new(product, 1e-12, 10_000)?;
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&i, &j| eigen.eigenvalues[j].total_cmp(&eigen.eigenvalues[i]));
    let axis = |rank: usize, mark: usize| {
        order.get(rank).map_or(0.0, |&k| eigen.eigenvalues[k].max(0.0).sqrt() * eigen.eigenvectors[(mark, k)])
    };
    let at: Vec<Place> = (0..n).map(|m| [axis(0, m), axis(1, m)]).collect();
    let at = majorised(&plain, &tied(model, without), at)?;
    Some(State { at, k: vec![0.0; model.scale_column.len()] })
}

/// Which pairs of marks have a tie, without one observation.
fn tied(model: &Model, without: usize) -> DMatrix<bool> {
    let n = model.marks();
    let mut out = DMatrix::from_element(n, n, false);
    for (i, o) in model.obs.iter().enumerate() {
        if let Kind::Distance(a, b) = o.kind
            && i != without
        {
            out[(a, b)] = true;
            out[(b, a)] = true;
        }
    }
    out
}

/// Rounds of majorisation: each reduces the stress, and the first few dozen remove most of it.
const ROUNDS: usize = 60;
/// Weight of a path along several ties relative to that of a tie: a path is too long by its bends.
const WAY: f64 = 0.03;

/// Moves marks so that ties fit well and paths roughly, by relative errors. In classical scaling, ties count
/// for little because they are short (J. de Leeuw, Applications of convex analysis to multidimensional
/// scaling, 1977; from memory).
fn majorised(way: &DMatrix<f64>, tied: &DMatrix<bool>, mut at: Vec<Place>) -> Option<Vec<Place>> {
    let n = at.len();
    let weight = DMatrix::from_fn(n, n, |i, j| {
        if i == j {
            return 0.0;
        }
        (if tied[(i, j)] { 1.0 } else { WAY }) / way[(i, j)].powi(2)
    });
    let mut v = -weight.clone();
    for i in 0..n {
        v[(i, i)] = weight.row(i).sum();
    }
    // The null space is a common shift of all marks. A constant makes the
    // matrix regular; the shift does not matter.
    let fill = v.trace() / n as f64;
    v.add_scalar_mut(fill / n as f64);
    let cholesky = Cholesky::new(v)?;
    for _ in 0..ROUNDS {
        let mut right = DMatrix::zeros(n, 2);
        for i in 0..n {
            for j in 0..n {
                let d = minus(at[i], at[j]);
                let l = length(d);
                if i != j && l > 1e-9 {
                    let pull = weight[(i, j)] * way[(i, j)] / l;
                    right[(i, 0)] += pull * d[0];
                    right[(i, 1)] += pull * d[1];
                }
            }
        }
        cholesky.solve_mut(&mut right);
        for (i, p) in at.iter_mut().enumerate() {
            *p = [right[(i, 0)], right[(i, 1)]];
        }
    }
    Some(at)
}

/// The shortest path between any two marks along the measures
/// (R. W. Floyd, Communications of the ACM 5, 1962).
fn shortest_ways(model: &Model, without: usize) -> DMatrix<f64> {
    let n = model.marks();
    let mut way = DMatrix::from_element(n, n, f64::INFINITY);
    way.fill_diagonal(0.0);
    let mut tie = |a: usize, b: usize, d: f64| {
        if d < way[(a, b)] {
            way[(a, b)] = d;
            way[(b, a)] = d;
        }
    };
    for (i, o) in model.obs.iter().enumerate() {
        match o.kind {
            _ if i == without => {}
            Kind::Distance(a, b) => tie(a, b, o.value),
            Kind::Chainage([a, b], p) if p == b => tie(a, b, o.value.abs()),
            // A chainage with the offset from the same base line gives
            // the distance from the base line's start.
            Kind::Chainage(base, p) => {
                let off = model.obs.iter().find_map(|q| match q.kind {
                    Kind::Offset(same, mark) if same == base && mark == p => Some(q.value),
                    _ => None,
                });
                tie(base[0], p, o.value.hypot(off.unwrap_or(0.0)));
            }
            _ => {}
        }
    }
    for a in 0..n {
        for b in 0..a {
            if let (true, true, Some(p), Some(q)) =
                (model.anchored(a), model.anchored(b), model.given[a], model.given[b])
            {
                tie(a, b, length(minus(p, q)));
            }
        }
    }
    for k in 0..n {
        for i in 0..n {
            let first = way[(i, k)];
            if first.is_finite() {
                for j in 0..n {
                    let through = first + way[(k, j)];
                    if through < way[(i, j)] {
                        way[(i, j)] = through;
                    }
                }
            }
        }
    }
    way
}

#[cfg(test)]
mod tests {
    use super::super::support::{book, ties};
    use super::*;

    /// With every distance measured the scaling is exact, up to a rigid motion and a reflection.
    #[test]
    fn all_distances_give_the_figure_back() {
        let at = [[0.0, 0.0], [40.0, 5.0], [33.0, 41.0], [-7.0, 22.0], [12.0, 60.0]];
        let mut b = book(5);
        let pairs: Vec<(usize, usize)> = (0..5).flat_map(|i| (0..i).map(move |j| (i, j))).collect();
        ties(&mut b, &at, &pairs);
        let s = scaling(&Model::new(&b, &[]), usize::MAX).unwrap();
        for (i, j) in pairs {
            let (got, want) = (length(minus(s.at[i], s.at[j])), length(minus(at[i], at[j])));
            // The error of squares of 70 m after an eigenvalue iteration to 1e-12.
            assert!((got - want).abs() < 1e-6, "{got} {want}");
        }
    }

    #[test]
    fn parts_that_no_tie_joins_have_no_scaling() {
        let mut b = book(4);
        ties(&mut b, &[[0.0, 0.0], [1.0, 0.0], [5.0, 0.0], [6.0, 1.0]], &[(0, 1), (2, 3)]);
        assert!(scalings(&Model::new(&b, &[])).next().is_none());
    }
}
