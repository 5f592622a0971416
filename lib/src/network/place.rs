//! Placing marks one after another. Each measure to placed marks puts a mark on a line of
//! position: a circle or a straight line. A mark goes where two such lines meet, and all its
//! measures judge the choice, so that one gross error is outvoted.

use super::equations::{Kind, Model, Obs, Place, State, cross, dot, length, minus, plus, times, unit};
use super::hands::Hands;

/// Most lines of position of one mark that are intersected with each other: 8 make 28 pairs,
/// enough to include a good crossing.
const MOST_LINES: usize = 8;
/// Losses that differ by less than this count as equal: a measure costs from 0 to 1, and the
/// noise of a measure that fits costs some hundredths.
const ALIKE: f64 = 0.1;
/// Rounds over all marks that move each to where it fits the others best.
const SWEEPS: usize = 3;

/// A line of position: where a mark may be by one measure to placed marks.
#[derive(Debug, Clone, Copy)]
enum Line {
    Circle { centre: Place, radius: f64 },
    Straight { point: Place, along: Place },
}

impl Line {
    /// Direction of the line at a place on it.
    fn direction(self, at: Place) -> Place {
        match self {
            Self::Circle { centre, .. } => {
                let u = unit(minus(at, centre));
                [-u[1], u[0]]
            }
            Self::Straight { along, .. } => along,
        }
    }

    /// Where two lines meet: two places, one where they only come near each other,
    /// none where they are parallel or concentric.
    fn meet(self, other: Self) -> [Option<Place>; 2] {
        match (self, other) {
            (Self::Circle { centre: c1, radius: r1 }, Self::Circle { centre: c2, radius: r2 }) => {
                let d = length(minus(c2, c1));
                if d < 1e-6 {
                    return [None; 2];
                }
                let along = ((r1 * r1 - r2 * r2 + d * d) / (2.0 * d)).clamp(-r1, r1);
                let u = unit(minus(c2, c1));
                either_side(plus(c1, times(u, along)), [-u[1], u[0]], r1 * r1 - along * along)
            }
            (Self::Circle { centre, radius }, Self::Straight { point, along })
            | (Self::Straight { point, along }, Self::Circle { centre, radius }) => {
                let foot = plus(point, times(along, dot(minus(centre, point), along)));
                let off = minus(foot, centre);
                either_side(foot, along, radius * radius - dot(off, off))
            }
            (Self::Straight { point: p, along: u }, Self::Straight { point: q, along: v }) => {
                let sine = cross(u, v);
                if sine.abs() < 1e-6 {
                    return [None; 2];
                }
                [Some(plus(p, times(u, cross(minus(q, p), v) / sine))), None]
            }
        }
    }
}

fn either_side(foot: Place, across: Place, squared: f64) -> [Option<Place>; 2] {
    if squared > 0.0 {
        let h = times(across, squared.sqrt());
        [Some(plus(foot, h)), Some(minus(foot, h))]
    } else {
        [Some(foot), None]
    }
}

/// A candidate place for a mark.
#[derive(Debug, Clone, Copy)]
struct Choice {
    at: Place,
    /// Measures that agree with it.
    agree: usize,
    loss: f64,
    /// Sine of the angle at which the two lines cross.
    crossing: f64,
    /// Another place fits as well.
    either: bool,
}

/// A network under construction.
pub(super) struct Placer<'a> {
    model: &'a Model,
    hands: &'a Hands,
    state: State,
    placed: Vec<bool>,
    /// Of two equal places for the first mark, take the one below the base line: the mirror image.
    mirrored: bool,
}

/// Allowed misfit of a reading at approximate places, because errors add up from mark to mark.
fn slack(obs: &Obs) -> f64 {
    5.0 * obs.sd + 0.01 * obs.value.abs()
}

impl<'a> Placer<'a> {
    /// Starts from some marks with their places.
    pub(super) fn new(model: &'a Model, hands: &'a Hands, seed: &[(usize, Place)], mirrored: bool) -> Self {
        let mut out = Self {
            model,
            hands,
            state: State { at: vec![[0.0; 2]; model.marks()], k: vec![0.0; model.scale_column.len()] },
            placed: vec![false; model.marks()],
            mirrored,
        };
        for &(m, at) in seed {
            out.state.at[m] = at;
            out.placed[m] = true;
        }
        out
    }

    /// Starts from a whole state in which the marks in `anew` will be placed again.
    pub(super) fn again(model: &'a Model, hands: &'a Hands, state: State, anew: &[bool]) -> Self {
        let placed = anew.iter().map(|a| !a).collect();
        Self { model, hands, state, placed, mirrored: false }
    }

    /// Starts from a whole state.
    pub(super) fn from_state(model: &'a Model, hands: &'a Hands, state: State) -> Self {
        let placed = vec![true; model.marks()];
        Self { model, hands, state, placed, mirrored: false }
    }

    /// The line of position of a mark by one measure, if the measure's other marks are placed.
    fn line(&self, obs: &Obs, mark: usize) -> Option<Line> {
        let at = |m: usize| (self.placed[m] && m != mark).then(|| self.state.at[m]);
        match obs.kind {
            Kind::Distance(a, b) => {
                let centre = at(if a == mark { b } else { a })?;
                Some(Line::Circle { centre, radius: obs.value })
            }
            Kind::Chainage([a, b], p) if p == b => {
                let centre = at(if a == mark { b } else { a })?;
                Some(Line::Circle { centre, radius: obs.value.abs() })
            }
            Kind::Chainage([a, b], p) if p == mark => {
                let (a, b) = (at(a)?, at(b)?);
                let u = unit(minus(b, a));
                Some(Line::Straight { point: plus(a, times(u, obs.value)), along: [-u[1], u[0]] })
            }
            Kind::Offset([a, b], p) if p == mark => {
                let (a, b) = (at(a)?, at(b)?);
                let u = unit(minus(b, a));
                Some(Line::Straight { point: plus(a, times([-u[1], u[0]], obs.value)), along: u })
            }
            _ => None,
        }
    }

    /// The total loss of a mark's measures when it stands at `at` (each between 0 and 1), and how many agree.
    fn judge(&mut self, mark: usize, at: Place) -> (f64, usize) {
        let kept = std::mem::replace(&mut self.state.at[mark], at);
        let (mut loss, mut agree) = (0.0, 0);
        for &i in &self.model.touching[mark] {
            let obs = &self.model.obs[i];
            if obs.marks().all(|m| m == mark || self.placed[m]) {
                let miss = ((obs.value - self.model.reads(obs, &self.state)) / slack(obs)).powi(2);
                loss += miss / (1.0 + miss);
                agree += usize::from(miss < 1.0);
            }
        }
        // A side that the notebook gives outweighs any measure.
        loss += 100.0 * self.hands.broken_at(mark, &self.state.at, |m| m == mark || self.placed[m]) as f64;
        self.state.at[mark] = kept;
        (loss, agree)
    }

    /// Of two places that fit the measures equally, is the first the likelier? An approximate place that was
    /// given decides. Otherwise it is the one farther from marks without a tie to it,
    /// because people tape what is near.
    fn likelier(&self, mark: usize, one: Place, other: Place) -> bool {
        if let Some(given) = self.model.given[mark] {
            return length(minus(one, given)) < length(minus(other, given));
        }
        let mut tied = vec![false; self.placed.len()];
        for &i in &self.model.touching[mark] {
            self.model.obs[i].marks().for_each(|m| tied[m] = true);
        }
        let nearest = |at: Place| {
            (0..tied.len())
                .filter(|&m| self.placed[m] && !tied[m])
                .map(|m| length(minus(self.state.at[m], at)))
                .fold(f64::INFINITY, f64::min)
        };
        let (a, b) = (nearest(one), nearest(other));
        // All placed marks are tied to it: take the place above the base line,
        // unless the mirror image is wanted.
        if a.is_infinite() && b.is_infinite() {
            return (one[1] >= other[1]) != self.mirrored;
        }
        a >= b
    }

    /// The best place of a mark among the intersections of its lines.
    fn best(&mut self, mark: usize) -> Option<Choice> {
        let lines: Vec<Line> = self.model.touching[mark]
            .iter()
            .filter_map(|&i| self.line(&self.model.obs[i], mark))
            .take(MOST_LINES)
            .collect();
        let mut found: Vec<Choice> = Vec::new();
        for (i, a) in lines.iter().enumerate() {
            for b in &lines[i + 1..] {
                for at in a.meet(*b).into_iter().flatten() {
                    let (loss, agree) = self.judge(mark, at);
                    let crossing = cross(a.direction(at), b.direction(at)).abs();
                    found.push(Choice { at, agree, loss, crossing, either: false });
                }
            }
        }
        let least = found.iter().map(|c| c.loss).fold(f64::INFINITY, f64::min);
        // Among places with equal losses, take the one whose lines cross best.
        let mut best = found
            .iter()
            .filter(|c| c.loss <= least + ALIKE)
            .copied()
            .reduce(|a, b| if b.crossing > a.crossing { b } else { a })?;
        let reach = self.model.touching[mark].iter().map(|&i| slack(&self.model.obs[i])).fold(0.0, f64::max);
        let rivals: Vec<Choice> = found
            .iter()
            .filter(|c| c.loss <= least + ALIKE && length(minus(c.at, best.at)) > 3.0 * reach)
            .copied()
            .collect();
        for mut rival in rivals {
            best.either = true;
            rival.either = true;
            if self.likelier(mark, rival.at, best.at) {
                best = rival;
            }
        }
        Some(best)
    }

    /// Priority of a mark: the more measures agree on one place, the sooner it is placed.
    fn rank(choice: &Choice) -> f64 {
        let agreed = choice.agree as f64 - 5.0 * choice.loss + choice.crossing;
        match (choice.either, choice.agree) {
            (false, 3..) => 1000.0 + agreed,
            (false, _) => 500.0 + agreed,
            (true, _) => agreed,
        }
    }

    /// Places all marks; the second value says whether every mark had two lines or more.
    pub(super) fn run(mut self) -> (State, bool) {
        let n = self.placed.len();
        let mut choices: Vec<Option<Choice>> = (0..n).map(|_| None).collect();
        let mut stale = vec![true; n];
        let mut whole = true;
        // One mark is placed each time.
        for _ in 0..n {
            for m in 0..n {
                if !self.placed[m] && std::mem::replace(&mut stale[m], false) {
                    choices[m] = self.best(m);
                }
            }
            let ready = (0..n)
                .filter(|&m| !self.placed[m])
                .filter_map(|m| choices[m].map(|c| (m, c)))
                .max_by(|a, b| Self::rank(&a.1).total_cmp(&Self::rank(&b.1)).then(b.0.cmp(&a.0)));
            let (mark, at) = match ready {
                Some((m, c)) => (m, c.at),
                None => match self.makeshift() {
                    Some(found) => {
                        whole = false;
                        found
                    }
                    None => break,
                },
            };
            self.state.at[mark] = at;
            self.placed[mark] = true;
            for &i in &self.model.touching[mark] {
                self.model.obs[i].marks().for_each(|m| stale[m] = true);
            }
        }
        self.sweep();
        (self.state, whole)
    }

    /// A guess for a mark with too few lines: on its only line, away from the rest.
    fn makeshift(&self) -> Option<(usize, Place)> {
        let n = self.placed.iter().filter(|p| **p).count().max(1) as f64;
        let sum = (0..self.placed.len())
            .filter(|&m| self.placed[m])
            .fold([0.0; 2], |s, m| plus(s, self.state.at[m]));
        let middle = times(sum, 1.0 / n);
        let mut last = None;
        for m in (0..self.placed.len()).filter(|&m| !self.placed[m]) {
            let line = self.model.touching[m].iter().find_map(|&i| self.line(&self.model.obs[i], m));
            match line {
                Some(Line::Circle { centre, radius }) => {
                    return Some((m, plus(centre, times(unit(minus(centre, middle)), radius))));
                }
                Some(Line::Straight { point, .. }) => return Some((m, point)),
                None => last = last.or(Some((m, plus(middle, [10.0 + m as f64, 0.0])))),
            }
        }
        last
    }

    /// Moves each mark to where it fits all others best; returns whether any moved.
    pub(super) fn sweep(&mut self) -> bool {
        let mut moved = false;
        for _ in 0..SWEEPS {
            let mut again = false;
            for m in (0..self.placed.len()).filter(|&m| !self.model.anchored(m)) {
                let (now, _) = self.judge(m, self.state.at[m]);
                if let Some(c) = self.best(m)
                    && c.loss < now - ALIKE
                {
                    self.state.at[m] = c.at;
                    again = true;
                }
            }
            moved |= again;
            if !again {
                break;
            }
        }
        moved
    }

    pub(super) fn into_state(self) -> State {
        self.state
    }
}

#[cfg(test)]
mod tests {
    use super::super::support::{book, chainage, distance, offset, ties};
    use super::*;

    #[test]
    fn lines_meet_where_they_should() {
        let one = Line::Circle { centre: [0.0, 0.0], radius: 5.0 };
        let other = Line::Circle { centre: [6.0, 0.0], radius: 5.0 };
        let [a, b] = one.meet(other);
        assert_eq!((a.unwrap(), b.unwrap()), ([3.0, 4.0], [3.0, -4.0]));
        let wall = Line::Straight { point: [3.0, 9.0], along: [0.0, 1.0] };
        let [a, _] = one.meet(wall);
        assert_eq!(a.unwrap(), [3.0, 4.0]);
        let floor = Line::Straight { point: [-2.0, 4.0], along: [1.0, 0.0] };
        assert_eq!(wall.meet(floor)[0].unwrap(), [3.0, 4.0]);
        // Too far apart to meet: one place between them.
        let far = Line::Circle { centre: [20.0, 0.0], radius: 5.0 };
        let [a, b] = one.meet(far);
        assert!(b.is_none() && (a.unwrap()[0] - 5.0).abs() < 6.0);
    }

    #[test]
    fn chainage_and_offset_place_a_mark_at_once() {
        let mut b = book(3);
        b.measures = vec![distance(0, 1, 50.0), chainage([0, 1], 2, 20.0), offset([0, 1], 2, -7.0)];
        let model = Model::new(&b, &[]);
        let hands = Hands::default();
        let (s, whole) = Placer::new(&model, &hands, &[(0, [0.0, 0.0]), (1, [50.0, 0.0])], false).run();
        assert!(whole);
        assert!(length(minus(s.at[2], [20.0, -7.0])) < 1e-12);
    }

    /// The last mark has five ties, one of them wrong by 30 m: the four that agree win.
    #[test]
    fn a_gross_error_is_outvoted() {
        let at = [[0.0, 0.0], [60.0, 0.0], [60.0, 45.0], [0.0, 45.0], [30.0, 70.0], [22.0, 31.0]];
        let mut b = book(6);
        ties(&mut b, &at, &[(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3), (2, 4), (3, 4), (1, 4)]);
        ties(&mut b, &at, &[(5, 0), (5, 1), (5, 2), (5, 3), (5, 4)]);
        b.measures[9].value_m += 30.0;
        let model = Model::new(&b, &[]);
        let hands = Hands::default();
        let seed = [(0, at[0]), (1, at[1]), (2, at[2])];
        let (s, _) = Placer::new(&model, &hands, &seed, false).run();
        for (m, p) in at.iter().enumerate() {
            assert!(length(minus(s.at[m], *p)) < 1e-9, "{m}: {:?}", s.at[m]);
        }
    }
}
