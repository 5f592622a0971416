//! Mirror images. A network of distances alone fits as well when it is reflected as a whole.
//! A part that is joined to the rest by two marks only can be folded over the line between
//! them. A side, an offset, a third tie or an approximate place tells which image is meant.

use super::check::parts;
use super::equations::{Kind, Model, Place, State, cross, dot, length, minus, unit};
use super::error::NetworkError;
use super::hands::Hands;
use super::least_squares::robust_score;
use super::motion::{Motion, given_pairs, line_through, mirror, reflected};
use super::result::NetworkDatum;
use super::words;
use crate::survey::Notebook;

/// Two states whose robust scores differ by less than this fit equally well: a reading that
/// prefers one at the 0.1 % level (χ²₁ = 10.83) makes a difference of ln(1 + 10.83) = 2.47.
const ALIKE: f64 = 2.47;
/// What a broken side costs: more than [`ALIKE`], so that a side chooses between two images, and less than
/// the 13 or so of a gross error, so that where a side contradicts the measures the side is called wrong.
const SIDE: f64 = 8.0;
/// Given places decide between two states when their sum of squared distances is this many times smaller.
const NEARER: f64 = 4.0;

/// Which of two states is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Compared {
    First,
    Second,
    Alike,
}

fn compared(model: &Model, hands: &Hands, a: &State, b: &State) -> Compared {
    let gain = cost(model, hands, b) - cost(model, hands, a);
    if gain.abs() > ALIKE {
        return if gain > 0.0 { Compared::First } else { Compared::Second };
    }
    let (one, other) = (far_from_given(model, a), far_from_given(model, b));
    // Below a square centimetre both are at the given places.
    if other > NEARER * one + 1e-4 {
        Compared::First
    } else if one > NEARER * other + 1e-4 {
        Compared::Second
    } else {
        Compared::Alike
    }
}

/// The robust score, plus the cost of broken sides.
pub(super) fn cost(model: &Model, hands: &Hands, s: &State) -> f64 {
    robust_score(model, s) + SIDE * hands.broken(&s.at) as f64
}

/// Is the first state clearly better than the second?
pub(super) fn better(model: &Model, hands: &Hands, a: &State, b: &State) -> bool {
    match compared(model, hands, a, b) {
        Compared::First => true,
        Compared::Second => false,
        // Equally good, but a lower cost still counts if the difference is not rounding.
        Compared::Alike => cost(model, hands, a) < cost(model, hands, b) - 1e-3,
    }
}

/// Sum of squared distances from the given places, after the best rigid motion unless the network is held.
fn far_from_given(model: &Model, s: &State) -> f64 {
    let pairs = given_pairs(model, s, |_| true);
    let held = pairs.len() >= 2 && super::least_squares::datum(model, s) == NetworkDatum::Held;
    let motion = (!held).then(|| Motion::nearest(&pairs));
    pairs
        .iter()
        .map(|(p, q)| {
            let p = motion.map_or(*p, |m| m.place(*p));
            dot(minus(p, *q), minus(p, *q))
        })
        .sum()
}

/// A line over which parts of the network can be folded.
pub(super) struct Flip {
    /// The marks that define the line.
    on: Vec<usize>,
    line: [Place; 2],
    /// The parts that can be folded over it, each in the notebook's order.
    pub(super) parts: Vec<Vec<usize>>,
}

impl Flip {
    /// The state with one part folded over.
    pub(super) fn flipped(&self, s: &State, part: &[usize]) -> State {
        reflected(s, self.line, part)
    }

    /// How far a mark is off the line, m.
    fn off(&self, s: &State, mark: usize) -> f64 {
        cross(unit(minus(self.line[1], self.line[0])), minus(s.at[mark], self.line[0])).abs()
    }

    /// Does a part have a mark off the line by more than its errors? Otherwise folding changes nothing.
    fn is_off(&self, model: &Model, s: &State, part: &[usize]) -> bool {
        part.iter().any(|&m| 2.0 * self.off(s, m) > apart(model, m))
    }
}

/// Two places of a mark nearer than this are the same, m: five standard deviations of its measures.
fn apart(model: &Model, mark: usize) -> f64 {
    0.01 + 5.0 * model.median_sd(mark)
}

/// All lines over which a part can be folded: through two marks that separate the network, and
/// through the neighbours of a mark where these lie in a straight line.
pub(super) fn flips(model: &Model, s: &State) -> Vec<Flip> {
    let mut out = Vec::new();
    let n = model.marks();
    let add = |on: Vec<usize>, out: &mut Vec<Flip>| {
        let places: Vec<Place> = on.iter().map(|&m| s.at[m]).collect();
        let line = match places.as_slice() {
            [a, b] if length(minus(*b, *a)) > 1e-6 => [*a, *b],
            [_, _] => return,
            _ => line_through(&places),
        };
        let mut flip = Flip { parts: Vec::new(), on, line };
        // A part with a fixed mark off the line can't be folded.
        let is_free = |m: usize| model.column[m].is_some() || flip.off(s, m) <= 0.01;
        let beside = parts(model, &flip.on);
        let folds = |p: &[usize]| flip.is_off(model, s, p) && p.iter().all(|&m| is_free(m));
        flip.parts = beside.into_iter().filter(|p| folds(p)).collect();
        if !flip.parts.is_empty() {
            out.push(flip);
        }
    };
    let near = neighbours(model);
    let anchored: Vec<usize> = (0..n).filter(|&m| model.anchored(m)).collect();
    for a in 0..n {
        for b in parting(&near, &anchored, a) {
            if b > a {
                add(vec![a, b], &mut out);
            }
        }
    }
    for (m, near) in near.into_iter().enumerate() {
        if near.len() >= 3 && !model.anchored(m) {
            let places: Vec<Place> = near.iter().map(|&i| s.at[i]).collect();
            let [p, q] = line_through(&places);
            let u = minus(q, p);
            let reach = cross(u, minus(s.at[m], p)).abs();
            // Neighbours that are off the line by a twentieth of the
            // mark's own distance tell the sides apart.
            if places.iter().all(|at| cross(u, minus(*at, p)).abs() < 0.05 * reach) {
                add(near, &mut out);
            }
        }
    }
    out
}

/// For each mark, the marks that share a measure with it.
fn neighbours(model: &Model) -> Vec<Vec<usize>> {
    (0..model.marks())
        .map(|mark| {
            let mut near: Vec<usize> = model.touching[mark]
                .iter()
                .flat_map(|&i| model.obs[i].marks())
                .filter(|&m| m != mark)
                .collect();
            near.sort_unstable();
            near.dedup();
            near
        })
        .collect()
}

/// Marks that together with `a` separate the network into parts. Anchored marks count as joined
/// to each other, through an extra node for the plane. (R. E. Tarjan, SIAM Journal on Computing 1,
/// 1972: articulation points by low links.)
fn parting(near: &[Vec<usize>], anchored: &[usize], a: usize) -> Vec<usize> {
    let n = near.len();
    // The plane is node n.
    let mut held = vec![false; n];
    anchored.iter().for_each(|&m| held[m] = true);
    // The i-th node that a node is joined to.
    let joined = |m: usize, i: usize| -> Option<usize> {
        if m == n {
            anchored.get(i).copied()
        } else {
            near[m].get(i).copied().or((i == near[m].len() && held[m]).then_some(n))
        }
    };
    let mut order = vec![usize::MAX; n + 1];
    let mut low = vec![usize::MAX; n + 1];
    let mut cut = vec![false; n + 1];
    let mut clock = 0;
    for root in (0..n).filter(|&m| m != a) {
        if order[root] != usize::MAX {
            continue;
        }
        let mut children = 0;
        // Node, its parent, and how many of its edges are done.
        let mut stack = vec![(root, usize::MAX, 0usize)];
        order[root] = clock;
        low[root] = clock;
        clock += 1;
        // Every node is pushed once, and every edge is visited twice.
        while let Some((m, parent, done)) = stack.last_mut() {
            let (m, parent) = (*m, *parent);
            if let Some(next) = joined(m, *done) {
                *done += 1;
                if next == a {
                    continue;
                }
                if order[next] == usize::MAX {
                    order[next] = clock;
                    low[next] = clock;
                    clock += 1;
                    if m == root {
                        children += 1;
                    }
                    stack.push((next, m, 0));
                } else if next != parent {
                    low[m] = low[m].min(order[next]);
                }
            } else {
                stack.pop();
                if let Some((above, ..)) = stack.last() {
                    low[*above] = low[*above].min(low[m]);
                    if *above != root && low[m] >= order[*above] {
                        cut[*above] = true;
                    }
                }
            }
        }
        cut[root] |= children > 1;
    }
    (0..n).filter(|&m| cut[m]).collect()
}

/// Chooses between a network and its mirror image; the second value says whether the choice was assumed.
pub(super) fn image(
    book: &Notebook,
    model: &Model,
    hands: &Hands,
    s: State,
    datum: NetworkDatum,
) -> Result<(State, bool), NetworkError> {
    let other = mirror(model, &s);
    let moved = |m: usize| length(minus(s.at[m], other.at[m])) > apart(model, m);
    let moves = (0..s.at.len()).any(moved);
    let chosen = match compared(model, hands, &s, &other) {
        _ if !moves => return Ok((s, false)),
        Compared::First => return Ok((s, false)),
        Compared::Second => return Ok((other, false)),
        Compared::Alike if datum == NetworkDatum::Held => {
            let held: Vec<usize> = (0..model.marks()).filter(|&m| model.anchored(m)).collect();
            let line =
                [held.first(), held.last()].map(|m| m.map_or_else(String::new, |&m| words::name(book, m)));
            let marks = (0..model.marks()).filter(|&m| moved(m)).map(|m| words::name(book, m)).collect();
            return Err(NetworkError::TwoPlaces { marks, whole: true, line });
        }
        Compared::Alike => {
            if runs_anticlockwise(&s) {
                s
            } else {
                other
            }
        }
    };
    Ok((chosen, true))
}

/// Are the first three marks that are not in line in anticlockwise order?
fn runs_anticlockwise(s: &State) -> bool {
    let n = s.at.len();
    // Three marks count as in line up to a height of a hundredth of the longer of two sides.
    let turn = |i: usize, j: usize, k: usize| {
        let (a, b) = (minus(s.at[j], s.at[i]), minus(s.at[k], s.at[i]));
        let area = cross(a, b);
        let side = dot(a, a).max(dot(b, b));
        (area.abs() > 0.01 * side).then_some(area > 0.0)
    };
    for k in 2..n {
        for j in 1..k {
            for i in 0..j {
                if let Some(left) = turn(i, j, k) {
                    return left;
                }
            }
        }
    }
    true
}

/// Refuses a network with a part that fits as well on either side of a line while the rest stays.
pub(super) fn no_part_has_two_places(
    book: &Notebook,
    model: &Model,
    hands: &Hands,
    s: &State,
) -> Result<(), NetworkError> {
    for flip in flips(model, s) {
        // With only one part off the line, folding it mirrors the whole network, which `image` deals with.
        let beside = parts(model, &flip.on).iter().filter(|p| flip.is_off(model, s, p)).count();
        if beside < 2 {
            continue;
        }
        let loose = flip.parts.iter().any(|part| {
            compared(model, hands, s, &flip.flipped(s, part)) == Compared::Alike
                && !offset_over(model, &flip, part)
        });
        if loose {
            // Names the part that no offset places; of several the smallest, and of equal ones the last.
            let mut all: Vec<Vec<usize>> =
                parts(model, &flip.on).into_iter().filter(|p| flip.is_off(model, s, p)).collect();
            if all.iter().any(|p| !offset_over(model, &flip, p)) {
                all.retain(|p| !offset_over(model, &flip, p));
            }
            let least = all.iter().map(Vec::len).min().unwrap_or(0);
            let part = all.iter().rfind(|p| p.len() == least).cloned().unwrap_or_default();
            let ends = [flip.on.first(), flip.on.last()];
            return Err(NetworkError::TwoPlaces {
                marks: part.iter().map(|&m| words::name(book, m)).collect(),
                whole: false,
                line: ends.map(|m| m.map_or_else(String::new, |&m| words::name(book, m))),
            });
        }
    }
    Ok(())
}

/// Does an offset from this same line tell the sides of a part apart?
fn offset_over(model: &Model, flip: &Flip, part: &[usize]) -> bool {
    part.iter().any(|&m| {
        model.touching[m].iter().any(|&i| {
            let o = &model.obs[i];
            matches!(o.kind, Kind::Offset(base, p) if p == m && base.iter().all(|b| flip.on.contains(b)) && o.value.abs() > 3.0 * o.sd)
        })
    })
}

#[cfg(test)]
mod tests {
    use super::super::support::{book, place, ties};
    use super::*;

    const AT: [[f64; 2]; 5] = [[0.0, 0.0], [40.0, 0.0], [38.0, 30.0], [2.0, 27.0], [20.0, -25.0]];

    fn state() -> State {
        State { at: AT.to_vec(), k: vec![] }
    }

    #[test]
    fn a_mark_on_two_ties_can_be_folded() {
        let mut b = book(5);
        ties(&mut b, &AT, &[(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3), (4, 0), (4, 1)]);
        let model = Model::new(&b, &[]);
        let e = no_part_has_two_places(&b, &model, &Hands::default(), &state()).unwrap_err();
        assert!(e.to_string().contains("m4 fits as well on either side of the line from m0 to m1"), "{e}");
        // A third tie removes the ambiguity.
        ties(&mut b, &AT, &[(4, 2)]);
        let model = Model::new(&b, &[]);
        assert!(no_part_has_two_places(&b, &model, &Hands::default(), &state()).is_ok());
    }

    #[test]
    fn a_place_to_start_from_decides() {
        let mut b = book(5);
        ties(&mut b, &AT, &[(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3), (4, 0), (4, 1)]);
        for (m, p) in AT.iter().enumerate() {
            place(&mut b, m, [p[0] + 1.0, p[1] - 2.0], None);
        }
        let model = Model::new(&b, &[]);
        assert!(no_part_has_two_places(&b, &model, &Hands::default(), &state()).is_ok());
    }

    #[test]
    fn pairs_that_part_a_chain() {
        // Two braced squares that share a side.
        let at = [[0.0, 0.0], [0.0, 30.0], [30.0, 0.0], [30.0, 30.0], [60.0, 0.0], [60.0, 30.0]];
        let mut b = book(6);
        ties(&mut b, &at, &[(0, 1), (0, 2), (1, 3), (0, 3), (1, 2), (2, 3)]);
        ties(&mut b, &at, &[(2, 4), (3, 5), (2, 5), (3, 4), (4, 5)]);
        let model = Model::new(&b, &[]);
        let near = neighbours(&model);
        assert_eq!(parting(&near, &[], 2), [3]);
        assert!(parting(&near, &[], 0).is_empty());
        let s = State { at: at.to_vec(), k: vec![] };
        let e = no_part_has_two_places(&b, &model, &Hands::default(), &s).unwrap_err();
        assert!(e.to_string().contains("m4 and m5 fit as well"), "{e}");
    }
}
