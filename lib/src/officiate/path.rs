//! The shortest path from one place to another round groups of players, each a disc.
//!
//! Like a rope pulled taut, such a path consists of straight pieces tangent to discs and of arcs round them.
//! So it is a path through a graph. Its nodes are the two places and the tangent points: of the two tangents
//! from a place to a disc, and of the four common tangents of two discs. E. W. Dijkstra's search (Numerische
//! Mathematik 1, 1959) finds the shortest.

use std::f64::consts::{PI, TAU};

use crate::boundary::End;
use crate::frame::Ground;
use crate::geometry::{Point, Vector, distance_to_segment};
use crate::numeric::sort_by;

/// A group of players to keep clear of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Group {
    /// Its middle.
    pub at: Point<Ground>,
    /// The distance to keep from its middle, m.
    pub radius_m: f64,
}

/// A way across the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// Its corners from start to end; arcs in steps of at most 10°.
    pub points: Vec<Point<Ground>>,
    /// Its length, m, measured along true arcs and not along their chords.
    pub length_m: f64,
}

impl Way {
    /// The end in whose half it ends.
    #[must_use]
    pub fn ends_toward(&self) -> Option<End> {
        self.points.last().map(|p| if p.x >= 0.0 { End::A } else { End::B })
    }

    /// Straight from one place to another.
    #[must_use]
    pub fn straight(from: Point<Ground>, to: Point<Ground>) -> Self {
        Self { points: vec![from, to], length_m: from.distance_to(to) }
    }

    /// This way and then another, which starts where this one ends.
    #[must_use]
    pub fn then(mut self, next: Self) -> Self {
        self.points.extend(next.points.into_iter().skip(1));
        self.length_m += next.length_m;
        self
    }
}

/// The greatest number of groups; a match has thirty-six players.
pub const MOST_GROUPS: usize = 24;
/// Tolerance for rounding, m: a place this little inside a disc is on its edge.
const TOUCH_M: f64 = 1e-9;
/// Extra cost of a metre of path for each metre that it is nearer to `shun`. It is so small that it decides
/// only between paths whose lengths differ by less than some 0.05 mm: of those the one away from `shun` wins.
const SHUN: f64 = 1e-9;
/// From this distance on, `shun` adds no cost, m.
const FAR_M: f64 = 1000.0;

/// Why there is no way.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum NoWay {
    /// More groups than this can be gone round.
    TooMany {
        /// How many.
        groups: usize,
    },
    /// A number is not finite, or a radius is negative.
    NotFinite,
    /// One of the two places lies inside a group.
    Inside {
        /// Which group, from 0.
        group: usize,
    },
    /// A group stands where the field umpire waits for the ball.
    OnFieldUmpire {
        /// Which group, from 0.
        group: usize,
    },
    /// The groups close the way off.
    Closed,
}

impl std::fmt::Display for NoWay {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::TooMany { groups } => {
                write!(f, "{groups} groups of players, and at most {MOST_GROUPS} can be gone round")
            }
            Self::NotFinite => f.write_str("a group's place or size is not a number"),
            Self::Inside { group } => write!(f, "the way starts or ends inside group {}", group + 1),
            Self::OnFieldUmpire { group } => write!(
                f,
                "group {} stands where the field umpire waits for the ball: say on which side they wait instead",
                group + 1
            ),
            Self::Closed => f.write_str("the groups of players close the way off"),
        }
    }
}

impl std::error::Error for NoWay {}

#[derive(Clone, Copy)]
struct Node {
    at: Point<Ground>,
    /// The disc that it lies on, and the angle there, anticlockwise from +x.
    on: Option<(usize, f64)>,
}

/// The shortest way round the groups; of two equally short, the one farther from `shun`.
///
/// # Errors
/// [`NoWay`].
///
/// # Examples
/// ```
/// use ovalpeg::geometry::Point;
/// use ovalpeg::officiate::{Group, way_round};
/// let group = Group { at: Point::new(0.0, 0.0), radius_m: 5.0 };
/// let way = way_round(Point::new(-13.0, 0.0), Point::new(13.0, 0.0), &[group], Point::new(0.0,
/// 9.0)).unwrap(); // Two tangents of 12 m and the arc between them, on the side away from (0, 9).
/// assert!((way.length_m - (24.0 + 5.0 * (std::f64::consts::PI - 2.0 * (5.0f64 / 13.0).acos()))).abs() <
/// 1e-9); assert!(way.points.iter().all(|p| p.y <= 1e-9));
/// ```
pub fn way_round(
    from: Point<Ground>,
    to: Point<Ground>,
    groups: &[Group],
    shun: Point<Ground>,
) -> Result<Way, NoWay> {
    check_groups(groups)?;
    if !(from.is_finite() && to.is_finite() && shun.is_finite()) {
        return Err(NoWay::NotFinite);
    }
    for (group, g) in groups.iter().enumerate() {
        if [from, to].iter().any(|p| p.distance_to(g.at) < g.radius_m - TOUCH_M) {
            return Err(NoWay::Inside { group });
        }
    }
    let search = Search { groups, shun };
    let (nodes, lines) = search.graph(from, to);
    search.shortest(&nodes, &lines)
}

/// Are there few enough groups, and are their numbers usable?
pub(super) fn check_groups(groups: &[Group]) -> Result<(), NoWay> {
    if groups.len() > MOST_GROUPS {
        return Err(NoWay::TooMany { groups: groups.len() });
    }
    let good = |g: &Group| g.at.is_finite() && g.radius_m.is_finite() && g.radius_m >= 0.0;
    if groups.iter().all(good) { Ok(()) } else { Err(NoWay::NotFinite) }
}

struct Search<'a> {
    groups: &'a [Group],
    shun: Point<Ground>,
}

impl Search<'_> {
    fn clear(&self, a: Point<Ground>, b: Point<Ground>) -> bool {
        self.groups.iter().all(|g| distance_to_segment(g.at, a, b) >= g.radius_m - TOUCH_M)
    }

    fn on(&self, disc: usize, angle: f64) -> Node {
        let g = &self.groups[disc];
        Node { at: g.at + Vector::at_angle(angle) * g.radius_m, on: Some((disc, angle.rem_euclid(TAU))) }
    }

    /// The graph's nodes, the two places first, and the straight pieces between nodes as pairs of indices.
    fn graph(&self, from: Point<Ground>, to: Point<Ground>) -> (Vec<Node>, Vec<(usize, usize)>) {
        let mut nodes = vec![Node { at: from, on: None }, Node { at: to, on: None }];
        let mut lines = Vec::new();
        if self.clear(from, to) {
            lines.push((0, 1));
        }
        let mut join = |nodes: &mut Vec<Node>, a: Option<usize>, list: [Node; 2]| {
            let clear = self.clear(a.map_or(list[0].at, |i| nodes[i].at), list[1].at);
            if clear {
                let first = a.unwrap_or_else(|| {
                    nodes.push(list[0]);
                    nodes.len() - 1
                });
                nodes.push(list[1]);
                lines.push((first, nodes.len() - 1));
            }
        };
        for i in 0..self.groups.len() {
            let g = self.groups[i];
            for (place, p) in [from, to].into_iter().enumerate() {
                let v = p - g.at;
                // Seen from the disc's middle, a tangent touches acos(r/d) to either side of the place.
                let half = (g.radius_m / v.length()).clamp(-1.0, 1.0).acos();
                let angle = v.y.atan2(v.x);
                for turn in [half, -half] {
                    let n = self.on(i, angle + turn);
                    join(&mut nodes, Some(place), [n, n]);
                }
            }
            for j in i + 1..self.groups.len() {
                let h = self.groups[j];
                let v = h.at - g.at;
                let (d, angle) = (v.length(), v.y.atan2(v.x));
                // Outer tangents touch both discs at the same angle, inner ones at opposite angles.
                for (sum, flip) in [(g.radius_m - h.radius_m, 0.0), (g.radius_m + h.radius_m, PI)] {
                    if d <= sum.abs() {
                        continue;
                    }
                    let half = (sum / d).acos();
                    for turn in [half, -half] {
                        let a = self.on(i, angle + turn);
                        let b = self.on(j, angle + turn + flip);
                        join(&mut nodes, None, [a, b]);
                    }
                }
            }
        }
        (nodes, lines)
    }

    /// Is the arc of a disc that starts at `angle` and turns anticlockwise by `turn` clear of the other
    /// discs?
    fn arc_clear(&self, disc: usize, angle: f64, turn: f64) -> bool {
        let g = &self.groups[disc];
        self.groups.iter().enumerate().filter(|(i, _)| *i != disc).all(|(_, h)| {
            let v = h.at - g.at;
            let d = v.length();
            if d >= g.radius_m + h.radius_m - TOUCH_M || d + h.radius_m <= g.radius_m {
                return true;
            }
            if d + g.radius_m <= h.radius_m {
                return false;
            }
            // The part of this circle inside the other disc: `half` to either side of `middle`.
            let cos = (d * d + g.radius_m * g.radius_m - h.radius_m * h.radius_m) / (2.0 * d * g.radius_m);
            let half = cos.clamp(-1.0, 1.0).acos();
            let middle = v.y.atan2(v.x);
            let start = (middle - half - angle).rem_euclid(TAU);
            // The arc is clear where that part begins after the arc's end and stops before the arc's start.
            start >= turn - 1e-9 && start + 2.0 * half <= TAU + 1e-9
        })
    }

    /// Cost of a piece: its length, and a very little for being near `shun`.
    fn cost(&self, length: f64, middle: Point<Ground>) -> f64 {
        length * (1.0 + SHUN * (FAR_M - middle.distance_to(self.shun)).max(0.0))
    }

    fn shortest(&self, nodes: &[Node], lines: &[(usize, usize)]) -> Result<Way, NoWay> {
        // Per node: the other node, the cost, the length, and an arc's turn (0 for a straight piece).
        let mut edges: Vec<Vec<(usize, f64, f64, f64)>> = vec![Vec::new(); nodes.len()];
        for &(a, b) in lines {
            let length = nodes[a].at.distance_to(nodes[b].at);
            let cost = self.cost(length, nodes[a].at.midpoint(nodes[b].at));
            edges[a].push((b, cost, length, 0.0));
            edges[b].push((a, cost, length, 0.0));
        }
        for disc in 0..self.groups.len() {
            let mut on: Vec<(f64, usize)> = (0..nodes.len())
                .filter_map(|i| nodes[i].on.filter(|o| o.0 == disc).map(|o| (o.1, i)))
                .collect();
            sort_by(&mut on, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            for k in 0..on.len() {
                let ((angle, a), (next, b)) = (on[k], on[(k + 1) % on.len()]);
                let turn = if on.len() < 2 { continue } else { (next - angle).rem_euclid(TAU) };
                if !self.arc_clear(disc, angle, turn) {
                    continue;
                }
                let r = self.groups[disc].radius_m;
                let middle = self.groups[disc].at + Vector::at_angle(angle + 0.5 * turn) * r;
                let cost = self.cost(r * turn, middle);
                edges[a].push((b, cost, r * turn, turn));
                edges[b].push((a, cost, r * turn, -turn));
            }
        }
        let mut best = vec![f64::INFINITY; nodes.len()];
        let mut came: Vec<Option<(usize, f64, f64)>> = vec![None; nodes.len()];
        let mut done = vec![false; nodes.len()];
        best[0] = 0.0;
        // Each round settles one node.
        for _ in 0..nodes.len() {
            let next = (0..nodes.len())
                .filter(|&i| !done[i] && best[i].is_finite())
                .min_by(|&i, &j| best[i].total_cmp(&best[j]));
            let Some(i) = next else { break };
            done[i] = true;
            for &(j, cost, length, turn) in &edges[i] {
                if best[i] + cost < best[j] {
                    best[j] = best[i] + cost;
                    came[j] = Some((i, length, turn));
                }
            }
        }
        let mut back = Vec::new();
        let mut at = 1;
        for _ in 0..nodes.len() {
            let Some((before, length, turn)) = came[at] else { break };
            back.push((before, at, length, turn));
            at = before;
        }
        if at != 0 || back.is_empty() {
            return Err(NoWay::Closed);
        }
        let mut way = Way { points: vec![nodes[0].at], length_m: 0.0 };
        for &(a, b, length, turn) in back.iter().rev() {
            way.length_m += length;
            if let (true, Some((disc, angle))) = (turn != 0.0, nodes[a].on) {
                let g = self.groups[disc];
                // At most a whole turn, so a few dozen steps.
                let steps = (turn.abs() / (PI / 18.0)).ceil() as u32;
                way.points.extend((1..steps).map(|k| {
                    g.at + Vector::at_angle(angle + turn * f64::from(k) / f64::from(steps)) * g.radius_m
                }));
            }
            way.points.push(nodes[b].at);
        }
        Ok(way)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64) -> Point<Ground> {
        Point::new(x, y)
    }

    fn group(x: f64, y: f64, radius_m: f64) -> Group {
        Group { at: p(x, y), radius_m }
    }

    const NOBODY: Point<Ground> = Point::new(0.0, 500.0);

    #[test]
    fn straight_where_nothing_is_in_the_way() {
        let w = way_round(p(0.0, 0.0), p(30.0, 40.0), &[group(0.0, 30.0, 5.0)], NOBODY).unwrap();
        assert_eq!((w.points.len(), w.length_m), (2, 50.0));
    }

    #[test]
    fn round_one_disc_by_closed_form_and_away_from_what_is_shunned() {
        // Tangent length 12, arc 5(π − 2 acos(5/13)): the same both ways round.
        let want = 24.0 + 5.0 * (PI - 2.0 * (5.0f64 / 13.0).acos());
        for (shun, sign) in [(20.0, -1.0), (-20.0, 1.0)] {
            let w = way_round(p(-13.0, 0.0), p(13.0, 0.0), &[group(0.0, 0.0, 5.0)], p(0.0, shun)).unwrap();
            assert!((w.length_m - want).abs() < 1e-9);
            assert!(w.points.iter().all(|q| q.y * sign >= -1e-9), "{shun}");
        }
        // With the disc off the straight line, the shorter way is taken, wherever `shun` is.
        let w = way_round(p(-13.0, 0.0), p(13.0, 0.0), &[group(0.0, 0.01, 5.0)], p(0.0, -20.0)).unwrap();
        assert!(w.points.iter().all(|q| q.y <= 1e-9));
    }

    #[test]
    fn between_two_discs_by_the_inner_tangent() {
        // A gap of 2 m between discs of 4: straight through it.
        let two = [group(0.0, 5.0, 4.0), group(0.0, -5.0, 4.0)];
        let w = way_round(p(-20.0, 0.0), p(20.0, 0.0), &two, NOBODY).unwrap();
        assert!((w.length_m - 40.0).abs() < 1e-12);
        // Overlapping discs form a wall: the way goes round its nearer end.
        let wall = [group(0.0, 3.9, 4.0), group(0.0, -3.9, 4.0), group(0.0, 11.5, 4.0)];
        let w = way_round(p(-20.0, 0.0), p(20.0, 0.0), &wall, NOBODY).unwrap();
        assert!(w.length_m > 40.0 && w.points.iter().any(|q| q.y < -7.7));
    }

    #[test]
    fn never_inside_and_never_longer_than_by_a_grid() {
        // Second method: the shortest way over the corners of polygons round the discs is a little longer,
        // and the way itself touches discs but never enters them.
        let discs =
            [group(0.0, 0.0, 6.0), group(9.0, 7.0, 4.0), group(12.0, -6.0, 5.0), group(-9.0, 8.0, 5.0)];
        let (a, b) = (p(-20.0, 3.0), p(25.0, 1.0));
        let w = way_round(a, b, &discs, NOBODY).unwrap();
        for pair in w.points.windows(2) {
            for g in &discs {
                // A chord of 10° runs at most r(1 − cos 5°) inside its arc.
                let inside = g.radius_m - distance_to_segment(g.at, pair[0], pair[1]);
                assert!(inside < g.radius_m * (1.0 - 5.0f64.to_radians().cos()) + 1e-9);
            }
        }
        // Corners of circumscribed 90-gons, joined where clear: at most 1/cos 2° longer.
        let mut corners = vec![a, b];
        for g in &discs {
            for k in 0..90 {
                let r = g.radius_m / 2.0f64.to_radians().cos();
                corners.push(g.at + Vector::at_angle(TAU * f64::from(k) / 90.0) * (r * (1.0 + 1e-9)));
            }
        }
        let clear = |p, q| discs.iter().all(|g| distance_to_segment(g.at, p, q) >= g.radius_m - 1e-9);
        let n = corners.len();
        let mut best = vec![f64::INFINITY; n];
        let mut done = vec![false; n];
        best[0] = 0.0;
        for _ in 0..n {
            let i = (0..n).filter(|&i| !done[i]).min_by(|&i, &j| best[i].total_cmp(&best[j])).unwrap();
            done[i] = true;
            for j in 0..n {
                let far = corners[i].distance_to(corners[j]);
                if best[i] + far < best[j] && clear(corners[i], corners[j]) {
                    best[j] = best[i] + far;
                }
            }
        }
        assert!(w.length_m <= best[1] + 1e-9 && best[1] <= w.length_m * 1.001, "{} {}", w.length_m, best[1]);
    }

    #[test]
    fn refusals() {
        let at = |list: &[Group]| way_round(p(-20.0, 0.0), p(20.0, 0.0), list, NOBODY);
        assert_eq!(at(&[group(-20.0, 1.0, 3.0)]), Err(NoWay::Inside { group: 0 }));
        assert_eq!(at(&[group(f64::NAN, 1.0, 3.0)]), Err(NoWay::NotFinite));
        assert!(matches!(at(&[group(0.0, 0.0, 1.0); 25]), Err(NoWay::TooMany { groups: 25 })));
        // Twelve overlapping discs round the start.
        let ring: Vec<Group> = (0..12)
            .map(|k| Group {
                at: p(-20.0, 0.0) + Vector::at_angle(TAU * f64::from(k) / 12.0) * 8.0,
                radius_m: 3.0,
            })
            .collect();
        assert_eq!(at(&ring), Err(NoWay::Closed));
    }
}
