//! Runs from one station to the next: the way, its length, and how long it takes.

use super::clearance::Limit;
use super::path::Way;
use super::round_square::round_square;
use super::scene::Scene;
use crate::boundary::End;
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::Oval;
use crate::rules::Practice;

/// A run from one place to another.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Its way.
    pub way: Way,
    /// The pieces that are run backwards: past the kicker at a set kick, and to the arc after a behind.
    pub backwards: Vec<[Point<Ground>; 2]>,
}

/// How much of a run is run backwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Backwards {
    /// None of it to speak of.
    None,
    /// So much at its end, m.
    Last(f64),
    /// As good as all of it.
    All,
}

/// A piece of a run shorter than this is none, m.
const PIECE_M: f64 = 0.5;

/// Something beside the backward part of a run, which the runner can't see without turning to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnAndLook {
    /// What it is.
    pub what: Limit,
    /// The place of the run nearest to it.
    pub at: Point<Ground>,
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

/// Where both places are within this of the same line, m, the way between them goes along it.
const BESIDE_M: f64 = 6.0;
/// The spacing of the corners of a way along the line, m.
const STEP_M: f64 = 5.0;

/// The way that an official takes from one place to another: along the line where both are beside the same
/// line, or else straight, with a detour by the square's corners where it would lead through the square.
#[must_use]
pub fn way(oval: &Oval, practice: &Practice, from: Point<Ground>, to: Point<Ground>) -> Way {
    let b = oval.boundary();
    let (a, z) = (b.nearest(from), b.nearest(to));
    let beside = |d: f64| d.abs() <= BESIDE_M;
    let along = z.chainage_m - a.chainage_m;
    if a.side != z.side || !beside(a.signed_distance_m) || !beside(z.signed_distance_m) {
        return match oval.square_half_m() {
            Some(half) => round_square(half + practice.square_clear_m.value, from, to),
            None => Way::straight(from, to),
        };
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

/// The run to a place ahead of a set kick: forward until level with the kicker, then backwards, so that
/// the ball is always seen. `toward` is the end that is kicked toward.
#[must_use]
pub fn run_past(way: Way, kicker: Point<Ground>, toward: End) -> Run {
    let past = |p: Point<Ground>| (p.x - kicker.x) * toward.sign();
    let mut backwards = Vec::new();
    for pair in way.points.windows(2) {
        let (p, q) = (pair[0], pair[1]);
        let (a, b) = (past(p), past(q));
        // Where this piece comes level with the kicker.
        let level = || p + (q - p) * (a / (a - b));
        match (a > 0.0, b > 0.0) {
            (true, true) => backwards.push([p, q]),
            (false, true) => backwards.push([level(), q]),
            (true, false) => backwards.push([p, level()]),
            (false, false) => {}
        }
    }
    Run { way, backwards }
}

/// The point of the segment from `a` to `b` that is nearest to `p`.
fn nearest_of(a: Point<Ground>, b: Point<Ground>, p: Point<Ground>) -> Point<Ground> {
    let d = b - a;
    let along = d.dot(d);
    let t = if along > 0.0 { ((p - a).dot(d) / along).clamp(0.0, 1.0) } else { 0.0 };
    a + d * t
}

impl Run {
    /// A run with no part of it backwards.
    #[must_use]
    pub fn forward(way: Way) -> Self {
        Self { way, backwards: Vec::new() }
    }

    /// A run that is all backwards.
    #[must_use]
    pub fn backward(way: Way) -> Self {
        let backwards = way.points.windows(2).map(|p| [p[0], p[1]]).collect();
        Self { way, backwards }
    }

    /// How much of it is run backwards, m.
    #[must_use]
    pub fn backward_m(&self) -> f64 {
        self.backwards.iter().map(|[a, b]| a.distance_to(*b)).sum()
    }

    /// The same, as it is told.
    #[must_use]
    pub fn backwards(&self) -> Backwards {
        match self.backward_m() {
            back if back > self.way.length_m - PIECE_M => Backwards::All,
            back if back > PIECE_M => Backwards::Last(back),
            _ => Backwards::None,
        }
    }

    /// What stands within a corridor's half-width of the backward part: each hazard once, and the fence once,
    /// where it leaves the least room.
    #[must_use]
    pub fn turn_and_look(&self, scene: Scene<'_>) -> Vec<TurnAndLook> {
        let Scene { oval, around, practice } = scene;
        let within = practice.corridor_m.value;
        let mut all = Vec::new();
        for (i, h) in around.hazards.iter().enumerate() {
            let at = oval.plan().to_ground(h.at);
            let nearest = self
                .backwards
                .iter()
                .map(|[a, b]| nearest_of(*a, *b, at))
                .min_by(|p, q| p.distance_to(at).total_cmp(&q.distance_to(at)));
            if let Some(p) = nearest.filter(|p| p.distance_to(at) <= h.radius_m + within) {
                all.push(TurnAndLook { what: Limit::Hazard(i), at: p });
            }
        }
        let fence = around.fence.is_known().then(|| around.fence.on(oval));
        let mut tightest: Option<(f64, TurnAndLook)> = None;
        for [a, b] in &self.backwards {
            // A piece is as long as the ground at most.
            let steps = a.distance_to(*b).ceil().clamp(1.0, 400.0) as u32;
            for k in 0..=steps {
                let p = *a + (*b - *a) * (f64::from(k) / f64::from(steps));
                let n = oval.boundary().nearest(p);
                let Some((distance_m, part)) = fence.as_ref().and_then(|f| f.nearest_at(n.chainage_m)) else {
                    continue;
                };
                let room = distance_m - n.signed_distance_m;
                if room <= within && tightest.is_none_or(|(least, _)| room < least) {
                    tightest = Some((room, TurnAndLook { what: Limit::Fence { distance_m, part }, at: p }));
                }
            }
        }
        all.extend(tightest.map(|(_, t)| t));
        all
    }

    /// How long it takes.
    #[must_use]
    pub fn times(&self, practice: &Practice) -> Times {
        let backward = self.backward_m();
        let forward = (self.way.length_m - backward).max(0.0);
        let back = backward / practice.backward_m_s.value;
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
    use crate::ground::Surroundings;
    use crate::ground::{Fence, Hazard, SpotRef, oval_for_tests as oval};

    fn at(o: &Oval, metres: f64) -> Point<Ground> {
        o.spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres }, 25.0).unwrap().point
    }

    #[test]
    fn along_the_line_beside_it_and_straight_across() {
        let (o, p) = (oval(165.0, 135.0), Practice::default());
        // Along 60 m of the line in chords of 5 m. Each chord is shorter than its arc by 5³/24R²:
        // millimetres.
        let w = way(&o, &p, at(&o, 30.0), at(&o, 90.0));
        assert!((w.length_m - 60.0).abs() < 0.02 && w.length_m <= 60.0);
        let far =
            o.spot(SpotRef::FromPost { side: Side::Right, end: End::A, metres: 5.0 }, 25.0).unwrap().point;
        assert_eq!(way(&o, &p, at(&o, 5.0), far).points.len(), 2, "between the posts, not round the ground");
    }

    #[test]
    fn a_run_goes_round_the_square_and_never_through_it() {
        let (o, p) = (oval(165.0, 135.0), Practice::default());
        let w = way(&o, &p, Point::new(5.0, 60.0), Point::new(5.0, -60.0));
        // Common practice, no source: half a metre outside the square's side.
        assert_eq!(w.points[1..3], [Point::new(25.5, 25.5), Point::new(25.5, -25.5)]);
    }

    #[test]
    fn backwards_once_past_the_kicker() {
        let o = oval(165.0, 135.0);
        let post = at(&o, 0.0);
        let p = Practice::default();
        let run = run_past(way(&o, &p, Point::new(20.0, 25.5), post), Point::new(40.0, 10.0), End::A);
        // Over the square's corner at (25.5, 25.5), then straight on to the post.
        let last = run.way.points.windows(2).last().unwrap();
        let share = (post.x - 40.0) / (post.x - last[0].x);
        assert!((run.backward_m() - share * last[0].distance_to(post)).abs() < 1e-9);
        let t = run.times(&p);
        let forward = run.way.length_m - run.backward_m();
        assert!((t.run_s - (forward / 3.5 + run.backward_m() / 2.5)).abs() < 1e-9);
        assert!(t.sprint_s < t.run_s && t.run_s < t.walk_s);
    }

    #[test]
    fn what_stands_beside_a_backward_run_is_told_with_where() {
        let (o, p) = (oval(165.0, 135.0), Practice::default());
        let hazard = |x: f64, y: f64| Hazard {
            name: "tap".into(),
            at: o.plan().to_local(Point::new(x, y)),
            radius_m: 0.2,
        };
        let around = Surroundings {
            hazards: vec![hazard(50.0, 1.1), hazard(50.0, 1.3), hazard(30.0, 0.0)],
            ..Surroundings::default()
        };
        // Forward to x = 40, backwards from there: what lies beside the forward part is seen.
        let run = run_past(
            Way::straight(Point::new(28.0, 0.0), Point::new(60.0, 0.0)),
            Point::new(40.0, 9.0),
            End::A,
        );
        let told = run.turn_and_look(Scene { oval: &o, around: &around, practice: &p });
        assert_eq!(told.len(), 1);
        assert_eq!(told[0].what, Limit::Hazard(0));
        assert!(told[0].at.distance_to(Point::new(50.0, 0.0)) < 1e-9);
        // A fence 0.8 m off the line beside a run along it.
        let fenced = Surroundings {
            fence: Fence { distance_m: Some(0.8), ..Fence::default() },
            ..Surroundings::default()
        };
        let along = Run::backward(way(&o, &p, at(&o, 60.0), at(&o, 40.0)));
        assert!(matches!(
            along.turn_and_look(Scene { oval: &o, around: &fenced, practice: &p })[..],
            [TurnAndLook { what: Limit::Fence { .. }, .. }]
        ));
        assert!(
            Run::forward(along.way.clone())
                .turn_and_look(Scene { oval: &o, around: &fenced, practice: &p })
                .is_empty()
        );
    }
}
