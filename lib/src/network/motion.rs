//! Rigid motions of a whole network, and its mirror image.

use super::equations::{Model, Place, State, cross, dot, length, minus, plus, times, unit};
use super::result::NetworkDatum;

/// A rigid motion: a turn, then a shift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Motion {
    cos: f64,
    sin: f64,
    /// The centre of the turn.
    from: Place,
    /// Where the motion puts that centre.
    to: Place,
}

impl Motion {
    /// The motion that brings the first places of the pairs nearest to the second, by least squares: a
    /// turn about their means. With one pair it is a shift. Afterwards
    /// Σ q × (p − q) = 0 about the means, and Σ (p − q) = 0.
    pub(super) fn nearest(pairs: &[(Place, Place)]) -> Self {
        let n = pairs.len().max(1) as f64;
        let mean =
            |pick: fn(&(Place, Place)) -> Place| times(pairs.iter().map(pick).fold([0.0; 2], plus), 1.0 / n);
        Self::about(mean(|p| p.0), mean(|p| p.1), pairs)
    }

    /// The motion that puts `from` on `to`, with the turn that brings the pairs nearest.
    pub(super) fn about(from: Place, to: Place, pairs: &[(Place, Place)]) -> Self {
        let (mut c, mut s) = (0.0, 0.0);
        for (p, q) in pairs {
            let (a, b) = (minus(*p, from), minus(*q, to));
            c += dot(a, b);
            s += cross(a, b);
        }
        let size = c.hypot(s);
        let (cos, sin) = if size > 0.0 { (c / size, s / size) } else { (1.0, 0.0) };
        Self { cos, sin, from, to }
    }

    pub(super) fn place(&self, p: Place) -> Place {
        plus(self.to, self.turned(minus(p, self.from)))
    }

    /// A vector turned by the motion.
    pub(super) fn turned(&self, d: Place) -> Place {
        [self.cos * d[0] - self.sin * d[1], self.sin * d[0] + self.cos * d[1]]
    }
}

/// Pairs of a state's place and the given place, for the marks that have one and pass.
pub(super) fn given_pairs(model: &Model, s: &State, pass: impl Fn(usize) -> bool) -> Vec<(Place, Place)> {
    (0..model.marks()).filter(|&m| pass(m)).filter_map(|m| model.given[m].map(|g| (s.at[m], g))).collect()
}

/// The motion that puts a state where its datum requires; `None` if it is held there already.
pub(super) fn to_datum(model: &Model, s: &State, datum: NetworkDatum) -> Option<Motion> {
    let given = given_pairs(model, s, |_| true);
    match datum {
        NetworkDatum::Held => None,
        NetworkDatum::Pivot => {
            let pivot = (0..model.marks()).find(|&m| model.anchored(m))?;
            let (from, to) = (s.at[pivot], s.at[pivot]);
            Some(if given.len() >= 2 {
                Motion::about(from, to, &given)
            } else {
                Motion::about(from, to, &[(next(model, s, pivot)?, plus(to, [1.0, 0.0]))])
            })
        }
        NetworkDatum::Free => Some(match given.len() {
            0 | 1 => {
                let (first, to) = match (0..model.marks()).find(|&m| model.given[m].is_some()) {
                    Some(m) => (m, model.given[m]?),
                    None => (0, [0.0; 2]),
                };
                Motion::about(*s.at.get(first)?, to, &[(next(model, s, first)?, plus(to, [1.0, 0.0]))])
            }
            _ => Motion::nearest(&given),
        }),
    }
}

/// The place of the first mark of the notebook that does not coincide with this one.
fn next(model: &Model, s: &State, from: usize) -> Option<Place> {
    (0..model.marks()).map(|m| s.at[m]).find(|p| length(minus(*p, s.at[from])) > 1e-6)
}

/// Reflects some marks in the line through two places.
pub(super) fn reflected(s: &State, line: [Place; 2], marks: &[usize]) -> State {
    let u = unit(minus(line[1], line[0]));
    let mut out = s.clone();
    for &m in marks {
        let d = minus(s.at[m], line[0]);
        out.at[m] = plus(line[0], minus(times(u, 2.0 * dot(d, u)), d));
    }
    out
}

/// The best-fitting line of some places: their mean, and a second point one metre along the line.
pub(super) fn line_through(places: &[Place]) -> [Place; 2] {
    let n = places.len().max(1) as f64;
    let mean = times(places.iter().copied().fold([0.0; 2], plus), 1.0 / n);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in places {
        let d = minus(*p, mean);
        xx += d[0] * d[0];
        xy += d[0] * d[1];
        yy += d[1] * d[1];
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    [mean, plus(mean, [angle.cos(), angle.sin()])]
}

/// The mirror image of a whole network, about the line of the held marks, or any line if none is held.
pub(super) fn mirror(model: &Model, s: &State) -> State {
    let held: Vec<Place> = (0..model.marks()).filter(|&m| model.anchored(m)).map(|m| s.at[m]).collect();
    let line = match held.as_slice() {
        [] => [[0.0, 0.0], [1.0, 0.0]],
        [one] => [*one, plus(*one, [1.0, 0.0])],
        _ => line_through(&held),
    };
    let movable: Vec<usize> = (0..model.marks()).filter(|&m| model.column[m].is_some()).collect();
    reflected(s, line, &movable)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_motion_finds_a_planted_one() {
        let places = [[0.0, 0.0], [10.0, 1.0], [3.0, 8.0]];
        let (c, s) = (0.6, 0.8);
        let pairs: Vec<_> =
            places.iter().map(|p| (*p, [c * p[0] - s * p[1] + 5.0, s * p[0] + c * p[1] - 2.0])).collect();
        let m = Motion::nearest(&pairs);
        for (p, q) in pairs {
            assert!(length(minus(m.place(p), q)) < 1e-13);
        }
    }

    #[test]
    fn a_reflection_twice_is_none() {
        let s = State { at: vec![[3.0, 7.0], [1.0, 1.0]], k: vec![] };
        let line = [[1.0, 2.0], [4.0, 3.0]];
        let once = reflected(&s, line, &[0]);
        assert_eq!(once.at[1], s.at[1]);
        assert!(length(minus(once.at[0], s.at[0])) > 1.0);
        assert!(length(minus(reflected(&once, line, &[0]).at[0], s.at[0])) < 1e-14);
    }

    #[test]
    fn a_line_through_places() {
        let [a, b] = line_through(&[[0.0, 1.0], [2.0, 3.0], [4.0, 5.0]]);
        assert_eq!(a, [2.0, 3.0]);
        assert!((cross(minus(b, a), [1.0, 1.0])).abs() < 1e-15);
    }
}
