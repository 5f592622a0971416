//! How many planted defects the steps find, and how many clean fixes they take for
//! defects.
//!
//! Four ovals (100 × 80 m to 185 × 155 m, one with straight wings and corners; the
//! ellipses cut straight across their scoring ends), both directions, 1 to 3 m/s, errors
//! that last 20 to 60 s, at three levels; a fix each second and each 5 s, with times and
//! without; 52 walks of each. Spurs and ways to the line are planted from 1 m off it on,
//! and one fix of a pause is kept, so that not all can be found: at a fix each 5 s, up to
//! 15 m apart, one of few is at stake.

use super::planted::{Kit, Oval, Planted, Steps};
use super::{CleanOptions, Cleaning, Finding, clean};
use crate::frame::LocalPlane;
use crate::geometry::{Point, Vector};
use crate::numeric::Draws;
use crate::survey::LocalSurvey;
use std::f64::consts::TAU;

const SEEDS: u64 = 52;
/// Fading and white part of the error, m.
const ERRORS: [(f64, f64); 3] = [(0.0, 0.02), (0.5, 0.2), (1.5, 0.3)];

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

/// A planted walk, and what the report should say of it.
struct Walk {
    planted: Planted,
    anticlockwise: bool,
    laps: usize,
}

fn walk(defect: Defect, oval: &Oval, kit: Kit, random: &mut Draws) -> Walk {
    let lap = oval.length_m();
    let s0 = random.between(0.0, lap);
    let sign = if random.uniform() < 0.5 { 1.0 } else { -1.0 };
    let to = |m: f64| s0 + sign * m;
    let mut steps = Steps::new();
    let mut laps = 1;
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
            laps = if random.uniform() < 0.5 { 2 } else { 3 };
            steps.line(oval, to(0.0), to(lap * laps as f64), None);
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
            laps = 2;
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
    Walk { planted, anticlockwise: sign > 0.0, laps }
}

/// Anything between square and 30° to either side, from a number.
fn random_angle(from: f64) -> f64 {
    (from * 7.77) % 60.0 - 30.0
}

fn options() -> CleanOptions {
    CleanOptions { walked: true, ..CleanOptions::default() }
}

/// What was found of what was planted, summed over walks.
#[derive(Debug, Default, Clone, Copy)]
struct Rates {
    planted: u32,
    found: u32,
    clean: u32,
    wrong: u32,
    /// Walks of which a second cleaning sets aside more.
    again: u32,
    /// Walks whose direction, or whose number of laps, is told wrong.
    turned: u32,
    counted: u32,
}

impl Rates {
    fn add(&mut self, defect: Defect, walk: &Walk) {
        let cleaned = clean(walk.planted.survey(), &options());
        for (p, what) in cleaned.survey.points.iter().zip(&walk.planted.planted) {
            let (is, said) = (what.is_some(), p.cleaned.is_some());
            self.planted += u32::from(is);
            self.found += u32::from(is && said);
            self.clean += u32::from(!is);
            self.wrong += u32::from(!is && said);
        }
        let direction = cleaned.report.iter().find_map(|s| match s.finding {
            Finding::Direction { anticlockwise } => Some(anticlockwise),
            _ => None,
        });
        self.turned += u32::from(direction != Some(walk.anticlockwise));
        let laps = cleaned.report.iter().find_map(|s| match s.finding {
            Finding::Laps { whole, .. } => Some(whole),
            _ => None,
        });
        // A walk that ends short may be told as a lap or as open.
        let open = matches!(defect, Defect::Short | Defect::ShortApproach);
        self.counted += u32::from(!open && laps != Some(walk.laps));
        let kept = cleaned.survey.points.into_iter().filter(|p| p.cleaned.is_none()).collect();
        let again = clean(LocalSurvey::new(LocalPlane::own(), kept), &options());
        self.again += u32::from(again.survey.points.iter().any(|p| p.cleaned.is_some()));
    }
}

fn ovals() -> [Oval; 4] {
    [
        Oval::ellipse(160.0, 130.0),
        Oval::ellipse(100.0, 80.0),
        Oval::ellipse(185.0, 155.0),
        Oval::straight_sided(),
    ]
}

fn rates(defect: Defect, error: (f64, f64), kit: (f64, bool, f64), seeds: u64) -> Rates {
    rates_of(defect, &ovals().each_ref(), error, kit, seeds)
}

/// The same round these ovals in turn.
fn rates_of(
    defect: Defect,
    ovals: &[&Oval],
    error: (f64, f64),
    (every_s, timed, apart_m): (f64, bool, f64),
    seeds: u64,
) -> Rates {
    let mut rates = Rates::default();
    for seed in 0..seeds {
        let mut random = Draws::of_many(seed);
        let kit = Kit {
            every_s,
            pace: random.between(1.0, 3.0),
            sd_m: error.0,
            white_m: error.1,
            tau_s: random.between(20.0, 60.0),
            timed,
            apart_m,
        };
        rates.add(defect, &walk(defect, ovals[seed as usize % ovals.len()], kit, &mut random));
    }
    rates
}

/// At least these shares are found, at a fix a second and at one each 5 s; a clean fix is set
/// aside once in a hundred at most, direction and laps are told right, and cleaning again finds
/// nothing. The floors lie a hair below the least that was measured of any error and clock; the
/// walks are the same on every run.
fn holds(defect: Defect, least: [f64; 2]) {
    for error in ERRORS {
        for (every_s, timed) in [(1.0, true), (5.0, true), (1.0, false), (5.0, false)] {
            // Without times at the worst error only: little but pauses asks for them.
            let untimed_twice = !timed && error != ERRORS[2];
            // Six fixes are no pause where nothing says how long they took.
            let too_few = !timed && every_s > 1.0 && matches!(defect, Defect::Pause30);
            if untimed_twice || too_few {
                continue;
            }
            let r = rates(defect, error, (every_s, timed, 0.0), SEEDS);
            let least = least[usize::from(every_s > 1.0)];
            let told = format!("{defect:?} {error:?} {every_s} {timed}: {r:?}");
            assert!(f64::from(r.found) >= least * f64::from(r.planted), "{told}");
            assert!(f64::from(r.wrong) <= 0.01 * f64::from(r.clean), "{told}");
            assert_eq!((r.again, r.turned, r.counted), (0, 0, 0), "{told}");
        }
    }
}

/// A few walks of every kind, at the middle error: what each step is for works, and little else is set aside.
/// Of four walks a fix or two next to the line weigh more than of fifty: the floor is lower than theirs.
#[test]
fn a_few_walks_of_every_kind() {
    for defect in [
        Defect::None,
        Defect::Spike,
        Defect::SpikeRun,
        Defect::Pause30,
        Defect::Pause300,
        Defect::Spur,
        Defect::SpurIn,
        Defect::ApproachOut,
        Defect::ApproachIn,
        Defect::ThereAndBack,
        Defect::Overlap,
        Defect::Laps,
        Defect::Short,
        Defect::ShortApproach,
        Defect::TipPause,
        Defect::All,
    ] {
        let r = rates(defect, ERRORS[1], (1.0, true, 0.0), 4);
        let told = format!("{defect:?}: {r:?}");
        assert!(f64::from(r.found) >= 0.85 * f64::from(r.planted), "{told}");
        assert!(f64::from(r.wrong) <= 0.01 * f64::from(r.clean), "{told}");
        assert_eq!((r.again, r.turned, r.counted), (0, 0, 0), "{told}");
    }
}

// Each with the shares measured, lowest and highest over the errors, and the clean fixes set aside.

/// 1.000; 1.000. Clean: none; 0.04 %.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn spikes() {
    holds(Defect::Spike, [1.0, 1.0]);
}

/// 1.000; 0.954 to 0.959: five fixes 15 m apart are a fifth of a small lap. Clean: none; 0.53 %.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn jumps_of_two_to_five_fixes() {
    holds(Defect::SpikeRun, [1.0, 0.95]);
}

/// 0.943 to 0.963 of at most 0.967; 0.724 to 0.734 of at most 0.83. Clean: 0.21 %; none.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn pauses_of_half_a_minute() {
    holds(Defect::Pause30, [0.94, 0.72]);
}

/// 0.993 to 0.996; 0.972 to 0.976. Clean: 0.24 %; 0.08 %.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn pauses_of_five_minutes() {
    holds(Defect::Pause300, [0.99, 0.97]);
}

/// 0.940 to 0.945; 0.873 to 0.876. Clean: 0.07 %; 0.08 %.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn spurs_outward() {
    holds(Defect::Spur, [0.94, 0.87]);
}

/// 0.932 to 0.945; 0.807 to 0.815. Clean: 0.10 %; none.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn spurs_inward() {
    holds(Defect::SpurIn, [0.93, 0.8]);
}

/// 0.970 to 0.979; 0.943 to 0.951. Clean: 0.12 %; 0.04 %.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn standing_at_the_end_of_a_spur() {
    holds(Defect::TipPause, [0.97, 0.94]);
}

/// 0.968 to 0.974; 0.885 to 0.893. Clean: 0.06 %; none.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn the_way_from_outside_and_an_overlap() {
    holds(Defect::ApproachOut, [0.965, 0.885]);
}

/// 0.966 to 0.975; 0.903. Clean: 0.08 %; 0.04 %.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn the_way_across_the_ground_and_an_overlap() {
    holds(Defect::ApproachIn, [0.965, 0.9]);
}

/// 0.995 to 0.999; 0.943 to 0.950. Clean: 0.05 %; none.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn the_way_there_and_back() {
    holds(Defect::ThereAndBack, [0.99, 0.94]);
}

/// 0.979 to 0.994; 0.873 to 0.881. Clean: 0.04 %; none.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn the_way_to_a_line_that_does_not_close() {
    holds(Defect::ShortApproach, [0.975, 0.87]);
}

/// 0.947 to 0.956; 0.809 to 0.817: the fix nearest the start is kept, past it or not. Clean: 0.02 %; none.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn the_overlap_of_one_lap() {
    holds(Defect::Overlap, [0.945, 0.8]);
}

/// 0.941 to 0.949; 0.789. Clean: 0.04 %; none.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn two_and_three_laps_and_an_overlap() {
    holds(Defect::Laps, [0.94, 0.785]);
}

/// 0.973 to 0.979; 0.897 to 0.910. Clean: 0.18 %; 0.10 %.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn all_at_once_over_two_laps() {
    holds(Defect::All, [0.97, 0.89]);
}

#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn a_walk_that_stops_short_is_untouched() {
    for error in ERRORS {
        for kit in [(1.0, true, 0.0), (5.0, true, 0.0), (5.0, false, 0.0)] {
            let r = rates(Defect::Short, error, kit, SEEDS);
            assert_eq!((r.wrong, r.turned), (0, 0), "{error:?} {kit:?} {r:?}");
        }
    }
}

/// The scoring ends of three of the ovals are crossed in a straight line, and stay. Of 4,000 walks
/// of just one lap at each error none had a spike, a pause or a spur; at 1.5 m 60 seemed to go
/// 3.5 m or more past their beginning, as such errors make one end of a lap do.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn a_clean_walk_is_untouched() {
    for error in ERRORS {
        // Each second, each 5 s, and each 5 m.
        for kit in
            [(1.0, true, 0.0), (5.0, true, 0.0), (1.0, false, 0.0), (5.0, false, 0.0), (1.0, true, 5.0)]
        {
            let r = rates(Defect::None, error, kit, 2 * SEEDS);
            assert_eq!((r.turned, r.counted), (0, 0), "{error:?} {kit:?} {r:?}");
            let most = if error == ERRORS[2] { 0.001 } else { 0.0 };
            assert!(f64::from(r.wrong) <= most * f64::from(r.clean), "{error:?} {kit:?} {r:?}");
        }
    }
}

/// Of 400 walks at 1.5 m, 3 of the first oval lost a fix or more, 6 of the second and 3 of the third.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn a_clean_walk_of_a_line_cut_straight_is_untouched() {
    for oval in [Oval::cut(165.0, 135.0, 4.0), Oval::cut(165.0, 135.0, 8.0), Oval::cut(110.0, 90.0, 8.0)] {
        for error in ERRORS {
            for kit in [(1.0, true, 0.0), (5.0, true, 0.0), (5.0, false, 0.0)] {
                let r = rates_of(Defect::None, &[&oval], error, kit, 2 * SEEDS);
                let most = if error == ERRORS[2] { 0.001 } else { 0.0 };
                assert!(f64::from(r.wrong) <= most * f64::from(r.clean), "{error:?} {kit:?} {r:?}");
            }
        }
    }
}

/// A fix each 5 m. Found, of the three errors: spurs 0.887 to 0.899, the way there and back 0.950 to
/// 0.964, overlap 0.900 to 0.902. Clean: 0.05 %.
#[test]
#[ignore = "slow tier: see DEVELOPERS.md"]
fn fixes_by_distance() {
    for (defect, least) in [(Defect::Spur, 0.88), (Defect::ThereAndBack, 0.945), (Defect::Overlap, 0.895)] {
        for error in ERRORS {
            let r = rates(defect, error, (1.0, true, 5.0), SEEDS);
            assert!(f64::from(r.found) >= least * f64::from(r.planted), "{defect:?} {error:?} {r:?}");
            assert!(f64::from(r.wrong) <= 0.01 * f64::from(r.clean), "{defect:?} {error:?} {r:?}");
            assert_eq!((r.again, r.turned, r.counted), (0, 0, 0), "{defect:?} {error:?} {r:?}");
        }
    }
}
