//! Simulates a phone walk that starts and ends at the pavilion: the way to the line, one lap or two with
//! pauses, a stop to talk and a detour, and the way back.
//!
//! Each fix records the walker's true place and the part of the walk. So the same walk can be trimmed as a
//! careful person would trim it, and the fixes that cleaning keeps can be compared with the line.

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

/// Distance between two places of a way, m: a walker takes a seventh of a second for it.
const STEP_M: f64 = 0.2;
/// Number of points of the line from which distances are computed.
const LINE_POINTS: usize = 4_000;

/// Seeds on which nothing was tuned: the limits are tested on them.
pub const UNSEEN: std::ops::Range<u64> = 40_000..40_400;
/// The farthest that a fix that cleaning keeps may be off the line, m.
pub const MOST_OFF_M: f64 = 6.0;
/// The most that a size may differ from that of the same walk trimmed by hand, as a share of its ±.
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
    /// Where the phone says the walker is.
    pub at: Point<Local>,
    /// Where the walker truly is.
    pub truly: Point<Local>,
    /// Time since the walk's start, s.
    pub time_s: f64,
    /// What the walker was doing.
    pub part: Part,
}

/// A walk with the ways to the line and back.
#[derive(Debug, Clone)]
pub struct Walk {
    /// The ground that was walked.
    pub truth: Truth,
    /// What the phone recorded, in order.
    pub fixes: Vec<Fix>,
    line: Vec<Point<Local>>,
}

/// A way as it is walked: its places, each with its part of the walk and how long the walker stands there, s.
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

    /// A place `out_m` outside the line at a chainage (inside where negative).
    fn off(&self, chainage_m: f64, out_m: f64) -> Point<Ground> {
        let at = |s: f64| self.truth.at_chainage(s);
        let along = at(chainage_m + 1.0) - at(chainage_m - 1.0);
        let out = along.unit().map_or(Vector::new(0.0, 0.0), Vector::to_right);
        at(chainage_m) + out * out_m
    }
}

/// A random ground of a realistic shape: an ellipse, four arcs, or an ellipse with one side cut by a road.
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
        // What happens on the lap, in order.
        let mut done_m = 0.0;
        let events = 1 + r.next_u64() % 3;
        for k in 0..=events {
            let to_m = whole_m * ((k + 1) as f64 - r.between(0.2, 0.8)) / (events + 1) as f64;
            way.along(joins_m + sign * done_m, joins_m + sign * to_m);
            done_m = to_m;
            match (k, r.next_u64() % 3) {
                // Most walks have a detour.
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
                // A stop to talk, a step off the line.
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

    /// Some of its fixes as a table, as a phone app exports one: x and y in metres, and the time.
    #[must_use]
    pub fn csv<'f>(&self, fixes: impl Iterator<Item = &'f Fix>) -> Vec<u8> {
        let mut text = String::from("x,y,time\n");
        for f in fixes {
            text += &format!("{:.3},{:.3},{:.1}\n", f.at.x, f.at.y, 1_773_480_413.0 + f.time_s);
        }
        text.into_bytes()
    }

    /// The fixes that a careful person keeps: those on the line.
    pub fn trimmed(&self) -> impl Iterator<Item = &Fix> {
        self.fixes.iter().filter(|f| f.part == Part::Line)
    }
}

/// A solved walk, compared with the same walk trimmed by hand.
#[derive(Debug, Clone)]
pub struct Judged {
    /// The greatest distance from the line of a fix that cleaning kept, m.
    pub off_m: f64,
    /// The differences in length and in width at the wings, as shares of their ±; or why one of the two walks
    /// was refused.
    pub differ: Result<[f64; 2], String>,
    /// The report of cleaning, a sentence for each step.
    pub said: Vec<String>,
}

impl Judged {
    /// Solves both walks.
    ///
    /// # Errors
    /// None for a simulated walk.
    pub fn of(walk: &Walk) -> Result<Self, Failure> {
        let options = SolveOptions::new(RuleSet::laws());
        let whole = prepare(vec![source(walk.csv(walk.fixes.iter()))], &options)?;
        let own = whole.clone().solve();
        // As they were fitted, where they were.
        let whole = own.as_ref().map_or(&whole, Solved::prepared);
        let kept = whole.survey().points.iter().zip(&walk.fixes).filter(|(p, _)| p.cleaned.is_none());
        let off_m = kept.map(|(_, f)| walk.off_line_m(f)).fold(0.0, f64::max);
        let said = whole.steps().iter().map(|s| s.sentence.clone()).collect();
        let sized = |solved: &Solved| sizes(solved).ok_or_else(|| Failure::from("a ground without sizes"));
        let hand = solve(vec![source(walk.csv(walk.trimmed()))], &options);
        let differ = || -> Result<[f64; 2], Failure> {
            let (hand, own) = (sized(&hand?)?, sized(&own?)?);
            Ok([0, 1].map(|i| (hand[i].value() - own[i].value()).abs() / hand[i].half_width()))
        };
        let differ = differ();
        Ok(Self { off_m, differ: differ.map_err(|e| e.to_string()), said })
    }

    /// Does a size differ by more than [`MOST_OF_HALF_WIDTH`]?
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

/// The fixes that the phone records: about one each second, with a correlated error and white noise.
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
        // A walk takes some two thousand seconds, so this ends.
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

    /// A short form of the slow test of the same name, on seeds on which the limits of cleaning were tuned.
    #[test]
    fn walks_from_the_pavilion_fit_as_when_trimmed_by_hand() {
        for seed in 0..3 {
            let judged = Judged::of(&Walk::of(seed).unwrap()).unwrap();
            assert!(judged.off_m <= MOST_OFF_M, "{seed}: {judged:?}");
            assert!(judged.differ.is_ok() && !judged.differs(), "{seed}: {judged:?}");
        }
    }
}
