//! A phone walk that starts and ends standing at the pavilion: the way to the line, one lap or two with
//! pauses, a stop to talk and a detour, and the way back.
//!
//! Each fix knows where the walker truly was and on what part of the way, so that the same walk can be
//! trimmed as a careful hand would, and so that what cleaning keeps can be held against the line.

use ovalpeg::boundary::Side;
use ovalpeg::frame::{Ground, Local};
use ovalpeg::geometry::{Point, Vector, distance_to_segment};
use ovalpeg::rules::{Method, RuleSet};
use ovalpeg::solve::{SolveOptions, Solved, Source, prepare, solve};
use ovalpeg::units::Measured;

use crate::Failure;
use crate::random::Random;
use crate::truth::{Shape, Site, Truth};
use crate::walk::{Fade, Fading};

/// Between the places of a way, m: what a walker makes in a seventh of a second.
const STEP_M: f64 = 0.2;
/// Points of the line that a distance from it is asked of.
const LINE_POINTS: usize = 4_000;

/// Seeds that nothing was tuned on: the limits are held there.
pub const UNSEEN: std::ops::Range<u64> = 20_000..20_400;
/// Farthest off the line that a fix may be that cleaning keeps, m.
pub const MOST_OFF_M: f64 = 6.0;
/// Most that a size may differ from that of the same walk trimmed by hand, of its ±.
pub const MOST_OF_HALF_WIDTH: f64 = 0.5;

/// What the walker was doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Standing at the pavilion, and the ways there and back.
    Away,
    /// On the line, walking or standing.
    Line,
    /// Off the line in the middle of the walk.
    Detour,
}

/// A fix of the phone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fix {
    /// What the phone says.
    pub at: Point<Local>,
    /// Where the walker truly was.
    pub truly: Point<Local>,
    /// When, s from the walk's start.
    pub time_s: f64,
    /// What the walker was doing.
    pub part: Part,
}

/// A walk with its ends.
#[derive(Debug, Clone)]
pub struct Walk {
    /// The ground that was walked.
    pub truth: Truth,
    /// What the phone saved, in order.
    pub fixes: Vec<Fix>,
    line: Vec<Point<Local>>,
}

/// A way as it is walked: places, what each is, and how long the walker stands there.
struct Way<'a> {
    truth: &'a Truth,
    places: Vec<(Point<Ground>, Part, f64)>,
}

impl Way<'_> {
    fn go(&mut self, to: Point<Ground>, part: Part) {
        let Some(&(from, ..)) = self.places.last() else { return self.places.push((to, part, 0.0)) };
        // Some thousand steps at most, so the cast is exact.
        let n = (from.distance_to(to) / STEP_M).ceil() as usize;
        self.places.extend((1..=n).map(|k| (from + (to - from) * (k as f64 / n as f64), part, 0.0)));
    }

    fn along(&mut self, from_m: f64, to_m: f64) {
        let n = ((to_m - from_m).abs() / STEP_M).ceil() as usize;
        for k in 0..=n {
            let s = from_m + (to_m - from_m) * k as f64 / n.max(1) as f64;
            self.places.push((self.truth.at_chainage(s), Part::Line, 0.0));
        }
    }

    fn stand(&mut self, seconds: f64) {
        if let Some(last) = self.places.last_mut() {
            last.2 += seconds;
        }
    }

    /// A place so far outside the line (inside where negative).
    fn off(&self, chainage_m: f64, out_m: f64) -> Point<Ground> {
        let at = |s: f64| self.truth.at_chainage(s);
        let along = at(chainage_m + 1.0) - at(chainage_m - 1.0);
        let out = along.unit().map_or(Vector::new(0.0, 0.0), Vector::to_right);
        at(chainage_m) + out * out_m
    }
}

/// One of a thousand grounds that clubs have: ellipses, four arcs, one side cut by a road.
fn ground(random: &mut Random) -> Result<Truth, Failure> {
    let length_m = random.between(145.0, 180.0);
    let width_m = length_m * random.between(0.74, 0.86);
    let shape = match random.next_u64() % 5 {
        0 => Shape::FourArc { length_m, width_m, end_radius_m: width_m * random.between(0.36, 0.42) },
        1 => Shape::Cut {
            length_m,
            half_width_m: 0.5 * width_m,
            cut_m: random.between(1.0, 4.0),
            side: if random.next_u64().is_multiple_of(2) { Side::Left } else { Side::Right },
        },
        _ => Shape::Ellipse { length_m, width_m },
    };
    let axis_deg = random.between(-40.0, 60.0).rem_euclid(360.0);
    let site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 200.0, axis_deg };
    Ok(Truth::new(shape, site)?)
}

impl Walk {
    /// The walk of a seed.
    ///
    /// # Errors
    /// None: every ground that is drawn closes.
    pub fn of(seed: u64) -> Result<Self, Failure> {
        let mut random = Random::named(seed, "pavilion");
        let r = &mut random;
        let truth = ground(r)?;
        let lap_m = truth.perimeter_m();
        let mut way = Way { truth: &truth, places: Vec::new() };
        let pavilion_m = r.between(0.0, lap_m);
        let sign = if r.next_u64().is_multiple_of(2) { 1.0 } else { -1.0 };
        let out_m = r.between(10.0, 40.0);
        let joins_m = pavilion_m + r.between(-20.0, 20.0);
        let laps = if r.next_u64().is_multiple_of(5) { 2.0 } else { 1.0 };
        let whole_m = laps * lap_m + r.between(-8.0, 25.0);

        way.go(way.off(pavilion_m, out_m), Part::Away);
        way.stand(r.between(30.0, 300.0));
        way.go(truth.at_chainage(joins_m), Part::Away);
        // In order along the lap: a place for each of what happens.
        let mut done_m = 0.0;
        let events = 1 + r.next_u64() % 3;
        for k in 0..=events {
            let to_m = whole_m * ((k + 1) as f64 - r.between(0.2, 0.8)) / (events + 1) as f64;
            way.along(joins_m + sign * done_m, joins_m + sign * to_m);
            done_m = to_m;
            match (k, r.next_u64() % 3) {
                // The detour, on most walks.
                (0, 0 | 1) => {
                    let far_m =
                        r.between(7.0, 25.0) * if r.next_u64().is_multiple_of(3) { -1.0 } else { 1.0 };
                    let (out, back) = (r.between(0.0, 20.0), r.between(0.0, 30.0));
                    let there = joins_m + sign * done_m;
                    way.go(way.off(there + sign * out.min(back), far_m), Part::Detour);
                    way.stand(if r.next_u64().is_multiple_of(2) { r.between(5.0, 40.0) } else { 0.0 });
                    way.go(way.off(there + sign * back, far_m), Part::Detour);
                    way.go(truth.at_chainage(there + sign * back), Part::Detour);
                    done_m += back;
                }
                // A stop to talk, a step beside the line.
                (_, 0) => {
                    let there = joins_m + sign * done_m;
                    let aside = way.off(there, r.between(-3.0, 3.0));
                    way.go(aside, Part::Line);
                    way.stand(r.between(30.0, 180.0));
                    way.go(truth.at_chainage(there), Part::Line);
                }
                _ => way.stand(r.between(10.0, 60.0)),
            }
        }
        way.along(joins_m + sign * done_m, joins_m + sign * whole_m.max(done_m));
        let again = way.off(pavilion_m + r.between(-3.0, 3.0), out_m + r.between(-3.0, 3.0));
        way.go(again, Part::Away);
        way.stand(r.between(30.0, 300.0));
        let places = way.places;
        let fixes = recorded(&truth, &places, r);
        let line = (0..LINE_POINTS)
            .map(|k| truth.to_local(truth.at_chainage(lap_m * k as f64 / LINE_POINTS as f64)))
            .collect();
        Ok(Self { truth, fixes, line })
    }

    /// How far the walker truly was off the line at a fix, m.
    #[must_use]
    pub fn off_line_m(&self, fix: &Fix) -> f64 {
        let next = self.line.iter().cycle().skip(1);
        self.line
            .iter()
            .zip(next)
            .map(|(a, b)| distance_to_segment(fix.truly, *a, *b))
            .fold(f64::INFINITY, f64::min)
    }

    /// Some of its fixes as a table that a phone's program exports: x, y in metres and the time.
    #[must_use]
    pub fn csv<'f>(&self, fixes: impl Iterator<Item = &'f Fix>) -> Vec<u8> {
        let mut text = String::from("x,y,time\n");
        for f in fixes {
            text += &format!("{:.3},{:.3},{:.1}\n", f.at.x, f.at.y, 1_773_480_413.0 + f.time_s);
        }
        text.into_bytes()
    }

    /// The fixes that a careful hand keeps: those on the line.
    pub fn trimmed(&self) -> impl Iterator<Item = &Fix> {
        self.fixes.iter().filter(|f| f.part == Part::Line)
    }
}

/// How a walk went through the door, beside the same walk trimmed by hand.
#[derive(Debug, Clone)]
pub struct Judged {
    /// How far the kept fix that is farthest off the line is off it, m.
    pub off_m: f64,
    /// How much length and width at the wings differ, of their ±; or why one of the two was refused.
    pub differ: Result<[f64; 2], String>,
    /// What cleaning said.
    pub said: Vec<String>,
}

impl Judged {
    /// Both walks through the door.
    ///
    /// # Errors
    /// None that a simulated walk has: its table is read.
    pub fn of(walk: &Walk) -> Result<Self, Failure> {
        let whole = prepare(vec![source(walk.csv(walk.fixes.iter()))], &SolveOptions::new(RuleSet::laws()))?;
        let kept = whole.survey().points.iter().zip(&walk.fixes).filter(|(p, _)| p.cleaned.is_none());
        let off_m = kept.map(|(_, f)| walk.off_line_m(f)).fold(0.0, f64::max);
        let sizes = |csv| -> Result<[Measured; 2], Failure> {
            let solved = solve(vec![source(csv)], &SolveOptions::new(RuleSet::laws()))?;
            sizes(&solved).ok_or_else(|| "a ground without sizes".into())
        };
        let differ = sizes(walk.csv(walk.trimmed())).and_then(|hand| {
            let own = sizes(walk.csv(walk.fixes.iter()))?;
            Ok([0, 1].map(|i| (hand[i].value() - own[i].value()).abs() / hand[i].half_width()))
        });
        let said = whole.steps().iter().map(|s| s.sentence.clone()).collect();
        Ok(Self { off_m, differ: differ.map_err(|e| e.to_string()), said })
    }

    /// Is a size off by more than the most?
    #[must_use]
    pub fn differs(&self) -> bool {
        self.differ.as_ref().is_ok_and(|d| d.iter().any(|share| *share > MOST_OF_HALF_WIDTH))
    }
}

fn source(csv: Vec<u8>) -> Source {
    Source::new("walk", csv).method(Method::Phone)
}

fn sizes(solved: &Solved) -> Option<[Measured; 2]> {
    let ground = solved.ground();
    Some([ground.measure(|o| Some(o.length_m()))?, ground.measure(|o| o.width_at_wings_m())?])
}

/// What the phone saves: a fix each second or so, with an error that fades and white noise.
fn recorded(truth: &Truth, places: &[(Point<Ground>, Part, f64)], r: &mut Random) -> Vec<Fix> {
    let pace = r.between(1.0, 1.7);
    let every_s = if r.next_u64().is_multiple_of(4) { r.between(2.0, 4.0) } else { 1.0 };
    let (sd_m, white_sd_m, tau_s) = (r.between(0.5, 1.6), r.between(0.1, 0.4), r.between(15.0, 60.0));
    let mut fade = Fade::begin(&Fading { sd_m, tau_s, white_sd_m, pace_m_s: pace }, r);
    let (mut now, mut next) = (0.0, 0.0);
    let mut fixes = Vec::new();
    for (k, &(at, part, stands_s)) in places.iter().enumerate() {
        let step_m = places.get(k + 1).map_or(0.0, |n| n.0.distance_to(at));
        now += stands_s + step_m / pace;
        // A walk is some two thousand seconds long, so the fixes are.
        while next <= now {
            fade.pass(every_s, r);
            let truly = truth.to_local(at);
            fixes.push(Fix { at: fade.seen(truly, r), truly, time_s: next, part });
            next += every_s;
        }
    }
    fixes
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A short form of the slow test of the same name, on seeds that the limits of cleaning were tuned on.
    #[test]
    fn walks_from_the_pavilion_fit_as_when_trimmed_by_hand() {
        for seed in 0..3 {
            let judged = Judged::of(&Walk::of(seed).unwrap()).unwrap();
            assert!(judged.off_m <= MOST_OFF_M, "{seed}: {judged:?}");
            assert!(judged.differ.is_ok() && !judged.differs(), "{seed}: {judged:?}");
        }
    }
}
