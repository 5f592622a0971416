//! Simulated walks for tests.
//!
//! The walker goes round a line at a steady pace; what is planted is known fix by fix. The
//! error is that of the simulator of surveys: an isotropic Ornstein–Uhlenbeck process in
//! the plane and white noise.

use std::f64::consts::TAU;

use super::Cleaning;
use crate::frame::{Local, LocalPlane};
use crate::geometry::{Point, Vector};
use crate::numeric::Draws;
use crate::survey::{LocalSurvey, Observed, Role};

/// Between the places of a line, m: what a walker at 1 m/s makes between two fixes of a 5 Hz receiver.
const STEP_M: f64 = 0.2;

/// Noise of this standard deviation in each coordinate, m.
fn noise(random: &mut Draws, sd: f64) -> Vector<Local> {
    let [x, y] = random.normals();
    Vector::new(x, y) * sd
}

/// A closed line by its points every 20 cm or so, anticlockwise.
pub(super) struct Oval {
    points: Vec<Point<Local>>,
    step_m: f64,
}

impl Oval {
    fn through(corners: &[Point<Local>]) -> Self {
        let next = |i: usize| corners[(i + 1) % corners.len()];
        let length: f64 = (0..corners.len()).map(|i| corners[i].distance_to(next(i))).sum();
        let n = (length / STEP_M) as usize;
        let step_m = length / n as f64;
        let (mut points, mut i, mut done) = (Vec::new(), 0, 0.0);
        for k in 0..n {
            let want = k as f64 * step_m;
            while want > done + corners[i].distance_to(next(i)) && i + 1 < corners.len() {
                done += corners[i].distance_to(next(i));
                i += 1;
            }
            let side = next(i) - corners[i];
            points.push(corners[i] + side * ((want - done) / side.length()));
        }
        Self { points, step_m }
    }

    /// An ellipse whose ends are cut straight where it is 19.2 m wide, as across the scoring ends.
    pub(super) fn ellipse(length_m: f64, width_m: f64) -> Self {
        let (a, b) = (length_m / 2.0, width_m / 2.0);
        let cut = a * (1.0 - (9.6 / b).powi(2)).sqrt();
        let corners: Vec<Point<Local>> = (0..2000)
            .map(|i| f64::from(i) / 2000.0 * TAU)
            .map(|t| Point::new((a * t.cos()).clamp(-cut, cut), b * t.sin()))
            .collect();
        Self::through(&corners)
    }

    /// An ellipse whose right wing is cut straight, as along a road, so far inside its widest.
    pub(super) fn cut(length_m: f64, width_m: f64, cut_m: f64) -> Self {
        let (a, b) = (length_m / 2.0, width_m / 2.0);
        let corners: Vec<Point<Local>> = (0..2000)
            .map(|i| f64::from(i) / 2000.0 * TAU)
            .map(|t| Point::new(a * t.cos(), (b * t.sin()).max(cut_m - b)))
            .collect();
        Self::through(&corners)
    }

    /// Two straight wings of 70 m, one end round, one end with corners.
    pub(super) fn straight_sided() -> Self {
        let mut corners = vec![Point::new(-35.0, -60.0), Point::new(35.0, -60.0)];
        corners.extend((1..500).map(|i| {
            Point::new(35.0, 0.0) + Vector::at_angle((f64::from(i) / 500.0 - 0.5) * TAU / 2.0) * 60.0
        }));
        corners.extend(
            [(35.0, 60.0), (-35.0, 60.0), (-75.0, 30.0), (-75.0, -30.0)].map(|(x, y)| Point::new(x, y)),
        );
        Self::through(&corners)
    }

    pub(super) fn length_m(&self) -> f64 {
        self.points.len() as f64 * self.step_m
    }

    pub(super) fn at(&self, s: f64) -> Point<Local> {
        let n = self.points.len() as i64;
        self.points[((s / self.step_m).round() as i64).rem_euclid(n) as usize]
    }

    /// Outward, square to the line.
    pub(super) fn outward(&self, s: f64) -> Vector<Local> {
        (self.at(s + 2.0) - self.at(s - 2.0)).unit().unwrap().to_right()
    }
}

/// How a walk is recorded.
#[derive(Debug, Clone, Copy)]
pub(super) struct Kit {
    pub(super) every_s: f64,
    pub(super) pace: f64,
    pub(super) sd_m: f64,
    pub(super) white_m: f64,
    pub(super) tau_s: f64,
    pub(super) timed: bool,
    /// A fix nearer than this to the one saved before is not saved, m.
    pub(super) apart_m: f64,
}

/// A walk as it was walked: places 20 cm apart, what each is planted as, and how long the walker stood there.
pub(super) struct Steps {
    places: Vec<(Point<Local>, Option<Cleaning>, f64)>,
}

impl Steps {
    pub(super) fn new() -> Self {
        Self { places: Vec::new() }
    }

    /// Along the line from `from` to `to`, metres anticlockwise; `to` before `from` is clockwise.
    pub(super) fn line(&mut self, oval: &Oval, from: f64, to: f64, what: Option<Cleaning>) {
        let n = ((to - from).abs() / oval.step_m).round() as usize;
        for k in 0..n {
            let s = from + (to - from) * k as f64 / n as f64;
            self.places.push((oval.at(s), what, 0.0));
        }
    }

    pub(super) fn straight(&mut self, from: Point<Local>, to: Point<Local>, what: Cleaning) {
        let n = (from.distance_to(to) / STEP_M) as usize;
        for k in 0..n {
            self.places.push((from + (to - from) * (k as f64 / n as f64), Some(what), 0.0));
        }
    }

    pub(super) fn stand(&mut self, seconds: f64) {
        if let Some(last) = self.places.last_mut() {
            last.2 += seconds;
        }
    }

    /// What the receiver saves. Standing is planted as a pause.
    pub(super) fn recorded(&self, kit: Kit, random: &mut Draws) -> Planted {
        let (mut points, mut planted) = (Vec::new(), Vec::new());
        let mut error = noise(random, kit.sd_m);
        let keep = (-kit.every_s / kit.tau_s).exp();
        let (mut now, mut next) = (0.0, random.between(0.0, kit.every_s));
        for (k, &(at, what, stand)) in self.places.iter().enumerate() {
            let step = self.places.get(k + 1).map_or(STEP_M, |n| n.0.distance_to(at));
            for (seconds, what) in [(stand, Some(Cleaning::Pause)), (step / kit.pace, what)] {
                now += seconds;
                while next < now {
                    error = error * keep + noise(random, kit.sd_m * (1.0 - keep * keep).sqrt());
                    let fix = at + error + noise(random, kit.white_m);
                    let now_s = next;
                    next += kit.every_s;
                    if points.last().is_some_and(|p: &Observed| p.at.distance_to(fix) < kit.apart_m) {
                        continue;
                    }
                    points.push(Observed {
                        place: format!("Track 1, point {}", points.len() + 1),
                        path: Some(0),
                        time_s: kit.timed.then_some(1.7e9 + now_s),
                        ..Observed::new(fix, Role::Line)
                    });
                    planted.push(what);
                }
            }
        }
        Planted { points, planted }
    }
}

/// A recorded walk, and what each fix is.
pub(super) struct Planted {
    pub(super) points: Vec<Observed>,
    pub(super) planted: Vec<Option<Cleaning>>,
}

impl Planted {
    pub(super) fn spike(&mut self, at: usize, fixes: usize, away: Vector<Local>) {
        for i in at..at + fixes {
            self.points[i].at = self.points[i].at + away;
            self.planted[i] = Some(Cleaning::Spike);
        }
    }

    pub(super) fn survey(&self) -> LocalSurvey {
        LocalSurvey::new(LocalPlane::own(), self.points.clone())
    }
}
