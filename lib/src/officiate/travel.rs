//! From one place to the next: how far, which way, how long it takes.

use super::path::Way;
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::Oval;
use crate::rules::Practice;

/// A run from one place to another.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Its way.
    pub way: Way,
    /// How much of it, at its end, is run backwards: past the kicker of a set shot, m.
    pub backward_m: f64,
}

/// Times of a run, s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Times {
    /// At a walk.
    pub walk_s: f64,
    /// At a run, the backward part at its own speed.
    pub run_s: f64,
    /// At a sprint, the backward part at its own speed.
    pub sprint_s: f64,
}

/// Both places so near the line, m, and the way between them goes along it.
const BESIDE_M: f64 = 6.0;
/// Along the line a way has a corner every so many metres.
const STEP_M: f64 = 5.0;

/// The way that an official takes: along the line where both places are beside the same one, else
/// straight.
#[must_use]
pub fn way(oval: &Oval, from: Point<Ground>, to: Point<Ground>) -> Way {
    let b = oval.boundary();
    let (a, z) = (b.nearest(from), b.nearest(to));
    let beside = |d: f64| d.abs() <= BESIDE_M;
    let along = z.chainage_m - a.chainage_m;
    if a.side != z.side || !beside(a.signed_distance_m) || !beside(z.signed_distance_m) {
        return Way::straight(from, to);
    }
    // At most a line's length in steps of 5 m.
    let steps = (along.abs() / STEP_M).ceil().clamp(1.0, 200.0) as u32;
    let mut points = vec![from];
    for k in 1..steps {
        let t = f64::from(k) / f64::from(steps);
        let on = b.at(a.chainage_m + along * t);
        let out = a.signed_distance_m + (z.signed_distance_m - a.signed_distance_m) * t;
        points.push(on.point + on.normal * out);
    }
    points.push(to);
    let length_m = points.windows(2).map(|p| p[0].distance_to(p[1])).sum();
    Way { points, length_m }
}

/// The run to a behind post for a set shot: forward until level with the kicker, then backwards, so that
/// the ball is always seen. `toward_x` is the sign of the goal's x.
#[must_use]
pub fn run_to_post(
    oval: &Oval,
    from: Point<Ground>,
    post: Point<Ground>,
    kicker: Point<Ground>,
    toward_x: f64,
) -> Run {
    let way = way(oval, from, post);
    let past = |p: Point<Ground>| (p.x - kicker.x) * toward_x;
    let mut backward_m = 0.0;
    for pair in way.points.windows(2) {
        let (a, b) = (past(pair[0]), past(pair[1]));
        let length = pair[0].distance_to(pair[1]);
        // The share of this piece that lies past the kicker.
        let share = match (a > 0.0, b > 0.0) {
            (true, true) => 1.0,
            (false, false) => 0.0,
            _ => a.max(b) / (a - b).abs(),
        };
        backward_m += share * length;
    }
    Run { way, backward_m }
}

impl Run {
    /// A run with no part of it backwards.
    #[must_use]
    pub fn forward(way: Way) -> Self {
        Self { way, backward_m: 0.0 }
    }

    /// How long it takes.
    #[must_use]
    pub fn times(&self, practice: &Practice) -> Times {
        let forward = (self.way.length_m - self.backward_m).max(0.0);
        let back = self.backward_m / practice.backward_m_s.value;
        Times {
            walk_s: self.way.length_m / practice.walk_m_s.value,
            run_s: forward / practice.run_m_s.value + back,
            sprint_s: forward / practice.sprint_m_s.value + back,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::{End, Side};
    use crate::ground::{SpotRef, oval_for_tests as oval};

    fn at(o: &Oval, metres: f64) -> Point<Ground> {
        o.spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres }, 25.0).unwrap().point
    }

    #[test]
    fn along_the_line_beside_it_and_straight_across() {
        let o = oval(165.0, 135.0);
        // 60 m of a line whose chords of 5 m fall short by 5³/24R² each: millimetres.
        let w = way(&o, at(&o, 30.0), at(&o, 90.0));
        assert!((w.length_m - 60.0).abs() < 0.02 && w.length_m <= 60.0);
        let across = way(&o, at(&o, 30.0), Point::new(0.0, 0.0));
        assert_eq!(across.points.len(), 2);
        let far =
            o.spot(SpotRef::FromPost { side: Side::Right, end: End::A, metres: 5.0 }, 25.0).unwrap().point;
        assert_eq!(way(&o, at(&o, 5.0), far).points.len(), 2, "between the posts, not round the ground");
    }

    #[test]
    fn backwards_once_past_the_kicker() {
        let o = oval(165.0, 135.0);
        let post = at(&o, 0.0);
        let kicker = Point::new(40.0, 10.0);
        let run = run_to_post(&o, Point::new(20.0, 25.5), post, kicker, 1.0);
        // Straight from x = 20 to 82.5: 42.5 of 62.5 lie past x = 40.
        assert!((run.backward_m / run.way.length_m - 42.5 / 62.5).abs() < 1e-9);
        let t = run.times(&Practice::default());
        let forward = run.way.length_m - run.backward_m;
        assert!((t.run_s - (forward / 3.5 + run.backward_m / 2.5)).abs() < 1e-9);
        assert!(t.sprint_s < t.run_s && t.run_s < t.walk_s);
    }
}
