//! Walks with planted defects, and how many of them the steps find.
//!
//! The walker goes round a line at a steady pace; what is planted is known fix by fix. The
//! error is that of the simulator of surveys: an isotropic Ornstein–Uhlenbeck process in
//! the plane and white noise.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use super::{CleanOptions, Cleaned, Cleaning, Finding, clean};
use crate::frame::{Local, LocalPlane};
use crate::geometry::{Point, Vector};
use crate::survey::{LocalSurvey, Observed, Role};

/// SplitMix64 with Box and Muller's normal deviates: repeatable, and good enough for noise.
pub(super) struct Random(u64);

impl Random {
    pub(super) fn new(seed: u64) -> Self {
        // A step between, so that neighbouring seeds do not share a stream.
        let mut seeded = Self(seed);
        seeded.uniform();
        Self(seeded.0 ^ seeded.uniform().to_bits())
    }

    pub(super) fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    fn vector(&mut self, sd: f64) -> Vector<Local> {
        let r = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        Vector::at_angle(self.uniform() * TAU) * (r * sd)
    }
}

/// A closed line by its points every 5 cm or so, anticlockwise.
pub(super) struct Oval {
    points: Vec<Point<Local>>,
    step_m: f64,
}

impl Oval {
    fn through(corners: &[Point<Local>]) -> Self {
        let next = |i: usize| corners[(i + 1) % corners.len()];
        let length: f64 = (0..corners.len()).map(|i| corners[i].distance_to(next(i))).sum();
        let n = (length / 0.05) as usize;
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
    fn outward(&self, s: f64) -> Vector<Local> {
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
}

/// A walk as it was walked: places 5 cm apart, what each is planted as, and how long the walker stood there.
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
        let n = (from.distance_to(to) / 0.05) as usize;
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
    pub(super) fn recorded(&self, kit: Kit, random: &mut Random) -> Planted {
        let (mut points, mut planted) = (Vec::new(), Vec::new());
        let mut error = random.vector(kit.sd_m);
        let keep = (-kit.every_s / kit.tau_s).exp();
        let (mut now, mut next) = (0.0, random.between(0.0, kit.every_s));
        for (k, &(at, what, stand)) in self.places.iter().enumerate() {
            let step = self.places.get(k + 1).map_or(0.05, |n| n.0.distance_to(at));
            for (seconds, what) in [(stand, Some(Cleaning::Pause)), (step / kit.pace, what)] {
                now += seconds;
                while next < now {
                    error = error * keep + random.vector(kit.sd_m * (1.0 - keep * keep).sqrt());
                    let fix = at + error + random.vector(kit.white_m);
                    points.push(Observed {
                        place: format!("Track 1, point {}", points.len() + 1),
                        path: Some(0),
                        time_s: kit.timed.then_some(1.7e9 + next),
                        ..Observed::new(fix, Role::Line)
                    });
                    planted.push(what);
                    next += kit.every_s;
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

    pub(super) fn cleaned(&self) -> Cleaned {
        clean(LocalSurvey::new(LocalPlane::own(), self.points.clone()), &options())
    }
}

fn options() -> CleanOptions {
    CleanOptions { walked: true, ..CleanOptions::default() }
}

#[derive(Debug, Default, Clone, Copy)]
struct Rates {
    walks: u32,
    planted: u32,
    found: u32,
    clean: u32,
    wrong: u32,
    wrong_walks: u32,
    missed_walks: u32,
    again: u32,
    worst: f64,
}

impl Rates {
    fn add(&mut self, walk: &Planted, oval: &Oval) {
        let cleaned = walk.cleaned();
        let (mut planted, mut found, mut wrong) = (0, 0, 0);
        for (p, what) in cleaned.survey.points.iter().zip(&walk.planted) {
            planted += u32::from(what.is_some());
            if what.is_some()
                && p.cleaned.is_none()
                && !matches!(what, Some(Cleaning::Pause | Cleaning::Overlap))
            {
                let d = oval.points.iter().map(|q| q.distance_to(p.at)).fold(1e9, f64::min);
                self.worst = if d > self.worst { d } else { self.worst };
            }
            found += u32::from(what.is_some() && p.cleaned.is_some());
            self.clean += u32::from(what.is_none());
            wrong += u32::from(what.is_none() && p.cleaned.is_some());
        }
        self.walks += 1;
        self.planted += planted;
        self.found += found;
        self.wrong += wrong;
        self.wrong_walks += u32::from(wrong > 0);
        self.missed_walks += u32::from(found * 2 < planted);
        let kept = cleaned.survey.points.into_iter().filter(|p| p.cleaned.is_none()).collect();
        let again = clean(LocalSurvey::new(LocalPlane::own(), kept), &options());
        self.again += u32::from(again.survey.points.iter().any(|p| p.cleaned.is_some()));
    }
}

#[derive(Debug, Clone, Copy)]
enum Defect {
    None,
    Spike,
    SpikeRun,
    Pause30,
    Pause300,
    Spur,
    SpurIn,
    ApproachOut,
    ApproachIn,
    ThereAndBack,
    Overlap,
    Laps,
    Short,
    ShortApproach,
    TipPause,
    All,
}

fn walk(defect: Defect, oval: &Oval, kit: Kit, random: &mut Random) -> Planted {
    let lap = oval.length_m();
    let s0 = random.between(0.0, lap);
    let sign = if random.uniform() < 0.5 { 1.0 } else { -1.0 };
    let to = |m: f64| s0 + sign * m;
    let mut steps = Steps::new();
    let spur = |steps: &mut Steps, out: f64, at: f64| {
        let base = oval.at(to(at));
        let tip = base + oval.outward(to(at)).turned_deg(random_angle(at)) * out;
        let off = base + (tip - base) * (1.0 / out.abs());
        // The metre at the base is the base.
        steps.line(oval, to(at), to(at + 0.06), None);
        steps.straight(off, tip, Cleaning::Spur);
        steps.straight(tip, off, Cleaning::Spur);
    };
    match defect {
        Defect::None | Defect::Spike | Defect::SpikeRun => steps.line(oval, to(0.0), to(lap), None),
        Defect::Pause30 | Defect::Pause300 => {
            let at = random.between(30.0, lap - 30.0);
            steps.line(oval, to(0.0), to(at), None);
            steps.stand(if matches!(defect, Defect::Pause30) { 30.0 } else { 300.0 });
            steps.line(oval, to(at), to(lap), None);
        }
        Defect::Spur | Defect::SpurIn => {
            let at = random.between(30.0, lap - 30.0);
            steps.line(oval, to(0.0), to(at), None);
            let out = random.between(10.0, 40.0);
            spur(&mut steps, if matches!(defect, Defect::Spur) { out } else { -out.min(25.0) }, at);
            steps.line(oval, to(at), to(lap), None);
        }
        Defect::ApproachOut | Defect::ApproachIn | Defect::ThereAndBack => {
            let from = if matches!(defect, Defect::ApproachIn) {
                Point::new(random.between(-10.0, 10.0), random.between(-10.0, 10.0))
            } else {
                oval.at(s0) + oval.outward(s0).turned_deg(random.between(-30.0, 30.0)) * 60.0
            };
            let near = oval.at(s0) + (from - oval.at(s0)) * (1.0 / from.distance_to(oval.at(s0)));
            steps.straight(from, near, Cleaning::Approach);
            let past = random.between(0.0, 20.0);
            steps.line(oval, to(0.0), to(lap), None);
            if matches!(defect, Defect::ThereAndBack) {
                steps.straight(near, from, Cleaning::Approach);
            } else {
                steps.line(oval, to(lap), to(lap + past), Some(Cleaning::Overlap));
            }
        }
        Defect::Overlap => {
            steps.line(oval, to(0.0), to(lap), None);
            steps.line(oval, to(lap), to(lap + random.between(5.0, 80.0)), Some(Cleaning::Overlap));
        }
        Defect::Laps => {
            let laps = if random.uniform() < 0.5 { 2.0 } else { 3.0 };
            steps.line(oval, to(0.0), to(lap * laps), None);
            steps.line(oval, to(0.0), to(random.between(5.0, 80.0)), Some(Cleaning::Overlap));
        }
        Defect::ShortApproach => {
            let from = oval.at(s0) + oval.outward(s0).turned_deg(random.between(-30.0, 30.0)) * 60.0;
            let near = oval.at(s0) + (from - oval.at(s0)) * (1.0 / from.distance_to(oval.at(s0)));
            steps.straight(from, near, Cleaning::Approach);
            steps.line(oval, to(0.0), to(lap - random.between(3.0, 25.0)), None);
        }
        Defect::TipPause => {
            let at = random.between(30.0, lap - 30.0);
            steps.line(oval, to(0.0), to(at), None);
            let out = random.between(10.0, 40.0);
            let base = oval.at(to(at));
            let tip = base + oval.outward(to(at)) * out;
            let off = base + (tip - base) * (1.0 / out.abs());
            steps.straight(off, tip, Cleaning::Spur);
            steps.stand(40.0);
            steps.straight(tip, off, Cleaning::Spur);
            steps.line(oval, to(at), to(lap), None);
        }
        Defect::All => {
            let from = oval.at(s0) + oval.outward(s0).turned_deg(random.between(-30.0, 30.0)) * 60.0;
            let near = oval.at(s0) + (from - oval.at(s0)) * (1.0 / from.distance_to(oval.at(s0)));
            steps.straight(from, near, Cleaning::Approach);
            steps.line(oval, to(0.0), to(lap * 0.3), None);
            steps.stand(60.0);
            steps.line(oval, to(lap * 0.3), to(lap * 0.6), None);
            spur(&mut steps, 20.0, lap * 0.6);
            steps.line(oval, to(lap * 0.6), to(lap * 2.0), None);
            let past = random.between(10.0, 60.0);
            steps.line(oval, to(0.0), to(past), Some(Cleaning::Overlap));
            let end = oval.at(to(past));
            let tip = end + oval.outward(to(past)) * 50.0;
            steps.straight(end + (tip - end) * 0.02, tip, Cleaning::Approach);
        }
        Defect::Short => steps.line(oval, to(0.0), to(lap - random.between(3.0, 60.0)), None),
    }
    let mut planted = steps.recorded(kit, random);
    let n = planted.points.len();
    match defect {
        Defect::Spike | Defect::All => {
            for k in 0..3 {
                let away = Vector::at_angle(random.uniform() * TAU) * random.between(20.0, 300.0);
                planted.spike((n / 4) * (k + 1) + (random.uniform() * n as f64 / 8.0) as usize, 1, away);
            }
        }
        Defect::SpikeRun => {
            let away = Vector::at_angle(random.uniform() * TAU) * random.between(20.0, 300.0);
            planted.spike(n / 2, 2 + (random.uniform() * 4.0) as usize, away);
        }
        _ => {}
    }
    planted
}

/// Anything between square and 30° to either side, from a number.
fn random_angle(from: f64) -> f64 {
    (from * 7.77) % 60.0 - 30.0
}

#[test]
fn tune() {
    use Defect::*;
    let ovals = [
        Oval::ellipse(160.0, 130.0),
        Oval::ellipse(100.0, 80.0),
        Oval::ellipse(185.0, 155.0),
        Oval::straight_sided(),
    ];
    for defect in [
        None,
        Spike,
        SpikeRun,
        Pause30,
        Pause300,
        Spur,
        SpurIn,
        ApproachOut,
        ApproachIn,
        ThereAndBack,
        Overlap,
        Laps,
        Short,
        ShortApproach,
        TipPause,
        All,
    ] {
        for (sd_m, white_m) in [(0.0, 0.02), (0.5, 0.2), (1.5, 0.3)] {
            for (every_s, timed) in [(1.0, true), (5.0, true), (1.0, false), (5.0, false)] {
                let mut r = Rates::default();
                let mut odd = Vec::new();
                for seed in 0..60 {
                    let mut random = Random::new(seed);
                    let kit = Kit {
                        every_s,
                        pace: random.between(1.0, 3.0),
                        sd_m,
                        white_m,
                        tau_s: random.between(20.0, 60.0),
                        timed,
                    };
                    let w = walk(defect, &ovals[seed as usize % 4], kit, &mut random);
                    let before = r;
                    r.add(&w, &ovals[seed as usize % 4]);
                    if r.wrong > before.wrong + 3
                        || r.missed_walks > before.missed_walks
                        || r.again > before.again
                    {
                        odd.push((seed, r.wrong - before.wrong));
                    }
                }
                eprintln!(
                    "{defect:?} {sd_m} {every_s} {timed}: found {:.3} wrong {:.4} (walks {} missed {} again {} worst {:.1}) of {}/{} {:?}",
                    f64::from(r.found) / f64::from(r.planted),
                    f64::from(r.wrong) / f64::from(r.clean),
                    r.wrong_walks,
                    r.missed_walks,
                    r.again,
                    r.worst,
                    r.planted,
                    r.clean,
                    odd
                );
            }
        }
    }
}
