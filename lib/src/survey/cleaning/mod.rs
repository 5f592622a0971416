//! Track cleaning: what in a walk is not the line is set aside, never deleted, and each
//! thing set aside is reported with its place.
//!
//! A **walk** is a path of line points with times, or without times one whose fixes lie
//! as close as a receiver takes them (30 or more, 2 m apart or less in the middle); paths
//! of one source that go on where the receiver was lost (2 minutes; without times 50 m) are
//! one walk. Loose points, posts, and rings and lines drawn by hand pass untouched. A
//! drawn line of vertices every metre looks like a walk, and a walk without times at a fix
//! each 5 s looks drawn: [`CleanOptions::walked`] and [`CleanOptions::steps`] decide.
//!
//! The steps are taken in the order of [`Cleaning::ALL`], each on what the ones before it
//! left, and again until nothing more is found, so that a cleaned walk is clean.
//! Every limit stands beside its reason in the step's file, is common practice and has no
//! source: they are tuned on simulated walks, at 1 to 3 m/s, a fix each 1 to 5 s, with errors
//! up to 1.5 m that last 20 s and more. Each file's head says what its step does not find.
//! Beyond that: multipath that shifts a whole stretch is not seen, nor a walk beside the line.

mod again;
mod laps;
#[cfg(test)]
mod measured;
mod off;
mod pause;
#[cfg(test)]
mod planted;
mod report;
mod spike;
mod spur;
mod track;
mod trim;
mod way;

pub(crate) use again::clean_again;
pub use report::{Finding, Step};
pub use trim::{Cut, Trim};

use super::{Cleaning, LocalSurvey, Observed};
use laps::Laps;
use track::Fix;

/// Most times that the steps are taken in turn: a bound on walks that are all defects. No simulated
/// walk has more to find after it.
const ROUNDS: usize = 6;
/// A walk has gone round when it has made this much of a turn about its middle.
const WENT_ROUND: f64 = 0.5;

/// What to clean.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct CleanOptions {
    /// The steps to take, in any order.
    pub steps: Vec<Cleaning>,
    /// Were all paths walked, those too that look drawn?
    pub walked: bool,
    /// What is cut off both ends of each walk before.
    pub trim: Option<Trim>,
}

impl Default for CleanOptions {
    /// All steps.
    fn default() -> Self {
        Self { steps: Cleaning::ALL.to_vec(), walked: false, trim: None }
    }
}

/// A cleaned survey.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Cleaned {
    /// The same points in the same order; those set aside say by which step.
    pub survey: LocalSurvey,
    /// Everything found, a walk at a time: direction and laps, then what was set aside, in
    /// the order of the points.
    pub report: Vec<Step>,
}

impl Cleaned {
    /// A survey that nobody walked, as it is.
    #[must_use]
    pub fn untouched(survey: LocalSurvey) -> Self {
        Self { survey, report: Vec::new() }
    }
}

/// Sets aside what in a survey's walks is not the line.
///
/// # Examples
/// ```
/// use ovalpeg::survey::{CleanOptions, Finding, LocalSurvey, Observed, Role, clean};
/// use ovalpeg::{frame::LocalPlane, geometry::Point};
/// // A lap of 400 fixes, one a second, of which one jumps 60 m away.
/// let points = (0..400).map(|i| {
///     let (s, c) = (f64::from(i) / 400.0 * std::f64::consts::TAU).sin_cos();
///     let at = if i == 99 { Point::new(0.0, 125.0) } else { Point::new(80.0 * c, 65.0 * s) };
///     let place = format!("Track 1, point {}", i + 1);
///     Observed { place, time_s: Some(f64::from(i)), path: Some(0), ..Observed::new(at, Role::Line) }
/// });
/// let cleaned = clean(LocalSurvey::new(LocalPlane::own(), points.collect()), &CleanOptions::default());
/// let said: Vec<&str> = cleaned.report.iter().map(|s| s.sentence.as_str()).collect();
/// assert_eq!(said, [
///     "walked anticlockwise seen from above",
///     "1 lap, ending 1.0 m from where it began",
///     "1 fix 60 m off the walk, Track 1, point 100: left out",
/// ]);
/// assert!(cleaned.survey.points[99].cleaned.is_some());
/// ```
#[must_use]
pub fn clean(mut survey: LocalSurvey, options: &CleanOptions) -> Cleaned {
    let mut report = Vec::new();
    for walk in track::walks(&survey.points, options.walked) {
        clean_walk(&mut survey.points, walk, options, &mut report);
    }
    Cleaned { survey, report }
}

/// A step: what it finds in a walk.
type Finder = fn(&[Fix]) -> Vec<Found>;

/// What one step sets aside in one place; fixes by their position in the walk as it then was.
#[derive(Debug, Clone, PartialEq)]
struct Found {
    step: Cleaning,
    drop: Vec<usize>,
    metres: Option<f64>,
    seconds: Option<f64>,
    /// Is an approach the one at the start?
    at_start: bool,
    /// Does a spur come back to the line elsewhere than it left it?
    elsewhere: bool,
}

impl Found {
    fn new(step: Cleaning, drop: Vec<usize>) -> Self {
        Self { step, drop, metres: None, seconds: None, at_start: false, elsewhere: false }
    }

    fn metres(self, m: f64) -> Self {
        Self { metres: Some(m), ..self }
    }

    fn seconds(self, s: Option<f64>) -> Self {
        Self { seconds: s, ..self }
    }
}

fn clean_walk(points: &mut [Observed], mut walk: Vec<Fix>, options: &CleanOptions, report: &mut Vec<Step>) {
    let steps = &options.steps;
    let whole = walk.clone();
    let mut set_aside: Vec<Step> = Vec::new();
    if let Some(trim) = options.trim {
        let found = trim::find(&walk, trim);
        let untold = found.iter().filter(|f| f.drop.is_empty() && f.seconds.is_some());
        set_aside.extend(untold.filter_map(|f| untrimmed(points, &walk, f)));
        apply(points, &mut walk, found, &mut set_aside);
    }
    // Direction and laps are of the walk before its ends are set aside.
    let mut told = None;
    for _ in 0..ROUNDS {
        let before = walk.len();
        let finders: [(Cleaning, Finder); 3] =
            [(Cleaning::Spike, spike::find), (Cleaning::Pause, pause::find), (Cleaning::Spur, spur::find)];
        for (step, find) in finders {
            if steps.contains(&step) {
                let found = find(&walk);
                apply(points, &mut walk, found, &mut set_aside);
            }
        }
        let laps = laps::find(&walk);
        let found = ends(&laps, walk.len(), steps);
        told.get_or_insert_with(|| (laps, laps::turns(&walk)));
        apply(points, &mut walk, found, &mut set_aside);
        let cut = cut_before(points, &walk);
        let found = off::find(&walk, &cut).into_iter().filter(|f| steps.contains(&f.step)).collect();
        apply(points, &mut walk, found, &mut set_aside);
        if walk.len() == before {
            break;
        }
    }
    if let Some((laps, turns)) = told {
        report.extend(of_the_whole(points, &whole, &laps, turns));
    }
    set_aside.sort_by_key(|s| (s.first, s.last));
    report.append(&mut set_aside);
}

/// A stretch off the line, the fixes from one to before another: at an end of the walk the way there or away, else a
/// detour.
fn off_line(fixes: &[Fix], from: usize, end: usize, far_m: f64) -> Found {
    let drop: Vec<usize> = (from..end).collect();
    if from == 0 || end == fixes.len() {
        let length: f64 = fixes[from..end].windows(2).map(|w| w[0].at.distance_to(w[1].at)).sum();
        let found = Found::new(Cleaning::Approach, drop).metres(length);
        return Found { at_start: from == 0, ..found };
    }
    Found { elsewhere: true, ..Found::new(Cleaning::Spur, drop).metres(far_m) }
}

/// Of each fix, was a way off the line set aside just before it?
fn cut_before(points: &[Observed], walk: &[Fix]) -> Vec<bool> {
    let off = |i: usize| points.get(i).is_some_and(|p| p.cleaned == Some(Cleaning::Spur));
    std::iter::once(false)
        .chain(walk.windows(2).map(|w| (w[0].index + 1..w[1].index).any(off)))
        .take(walk.len())
        .collect()
}

/// What is said of seconds that can't be cut off, as there are no times.
fn untrimmed(points: &[Observed], walk: &[Fix], found: &Found) -> Option<Step> {
    let index = if found.at_start { walk.first()?.index } else { walk.last()?.index };
    Some(Step {
        finding: Finding::SetAside(Cleaning::Trim),
        first: index,
        last: index,
        count: 0,
        place: points.get(index).map(|p| p.place.clone()).unwrap_or_default(),
        metres: None,
        seconds: found.seconds,
        sentence: report::untrimmed(found),
    })
}

/// What lies before, after and past the laps.
fn ends(laps: &Laps, len: usize, steps: &[Cleaning]) -> Vec<Found> {
    let to = Found { at_start: true, ..Found::new(Cleaning::Approach, (0..laps.first.min(len)).collect()) };
    let past = Found::new(Cleaning::Overlap, (laps.closes + 1..(laps.last + 1).min(len)).collect());
    let from = Found::new(Cleaning::Approach, (laps.last + 1..len).collect());
    [to.metres(laps.to_line_m), past.metres(laps.past_m), from.metres(laps.from_line_m)]
        .into_iter()
        .filter(|f| steps.contains(&f.step))
        .collect()
}

/// Marks what was found, takes it out of the walk and puts it into the report.
fn apply(points: &mut [Observed], walk: &mut Vec<Fix>, found: Vec<Found>, report: &mut Vec<Step>) {
    let mut drop = vec![false; walk.len()];
    for f in found {
        let fresh: Vec<usize> = f
            .drop
            .iter()
            .copied()
            .filter(|&i| drop.get_mut(i).is_some_and(|d| !std::mem::replace(d, true)))
            .collect();
        let indices: Vec<usize> = fresh.iter().map(|&i| walk[i].index).collect();
        for &index in &indices {
            if let Some(point) = points.get_mut(index) {
                point.cleaned = Some(f.step);
            }
        }
        let (Some(&first), Some(&last)) = (indices.first(), indices.last()) else { continue };
        let place = points.get(first).map(|p| p.place.clone()).unwrap_or_default();
        report.push(Step {
            finding: Finding::SetAside(f.step),
            first,
            last,
            count: indices.len(),
            metres: f.metres,
            seconds: f.seconds,
            sentence: report::set_aside(&f, indices.len(), &place),
            place,
        });
    }
    let mut gone = drop.into_iter();
    walk.retain(|_| !gone.next().unwrap_or(false));
}

/// Direction and laps, of a walk that went round.
fn of_the_whole(points: &[Observed], walk: &[Fix], laps: &Laps, turns: f64) -> Vec<Step> {
    let (Some(first), Some(last)) = (walk.first(), walk.last()) else { return Vec::new() };
    let step = |finding, sentence| Step {
        finding,
        first: first.index,
        last: last.index,
        count: walk.len(),
        place: points.get(first.index).map(|p| p.place.clone()).unwrap_or_default(),
        metres: None,
        seconds: None,
        sentence,
    };
    let mut out = Vec::new();
    if turns.abs() >= WENT_ROUND {
        let anticlockwise = turns > 0.0;
        out.push(step(Finding::Direction { anticlockwise }, report::direction(anticlockwise)));
    }
    let &Laps { whole, past_m, gap_m, apart_m, .. } = laps;
    out.push(step(Finding::Laps { whole, past_m, gap_m, apart_m }, report::laps(laps)));
    out
}

#[cfg(test)]
mod tests {
    use super::planted::{Kit, Oval, Planted, Steps};
    use super::*;
    use crate::frame::LocalPlane;
    use crate::geometry::{Point, Vector};
    use crate::numeric::Draws;
    use crate::survey::Role;

    const KIT: Kit =
        Kit { every_s: 1.0, pace: 1.4, sd_m: 0.0, white_m: 0.02, tau_s: 20.0, timed: true, apart_m: 0.0 };

    /// From outside to the line, a lap with a pause, a spur and a spike, and 34 m more.
    fn all() -> Planted {
        let oval = Oval::ellipse(160.0, 130.0);
        let mut steps = Steps::new();
        let out = |s: f64, m: f64| oval.at(s) + oval.outward(s) * m;
        steps.straight(out(100.0, 60.0), oval.at(100.0), Cleaning::Approach);
        steps.line(&oval, 100.0, 200.0, None);
        steps.stand(35.0);
        steps.line(&oval, 200.0, 300.0, None);
        steps.straight(oval.at(300.0), out(300.0, 23.0), Cleaning::Spur);
        steps.straight(out(300.0, 23.0), oval.at(300.0), Cleaning::Spur);
        steps.line(&oval, 300.0, 134.0 + oval.length_m(), None);
        let mut walk = steps.recorded(KIT, &mut Draws::of_many(8));
        walk.spike(300, 1, Vector::new(30.0, -40.0));
        walk
    }

    fn set_aside(cleaned: &Cleaned, step: Cleaning) -> usize {
        cleaned.survey.points.iter().filter(|p| p.cleaned == Some(step)).count()
    }

    #[test]
    fn every_removal_is_told_with_its_place_and_size() {
        let cleaned = clean(all().survey(), &CleanOptions::default());
        let said: Vec<&str> = cleaned.report.iter().map(|s| s.sentence.as_str()).collect();
        // To a fix (1.4 m): 60 m there, 35 s, 23 m out, 50 m off and 34 m past as planted.
        assert_eq!(
            said,
            [
                "walked anticlockwise seen from above",
                "1 lap and 32 m more",
                "the way to the line, 43 fixes, 61 m, from Track 1, point 1: left out",
                "standing still (34 s, 35 fixes) at Track 1, point 115: one fix kept, 34 left out",
                "a spur of 29 fixes, 22 m out and back, from Track 1, point 224: left out",
                "1 fix 49 m off the walk, Track 1, point 301: left out",
                "32 m walked again past the whole laps, 23 fixes, from Track 1, point 439: left out",
            ]
        );
        for step in Cleaning::ALL {
            let told: Vec<&Step> =
                cleaned.report.iter().filter(|s| s.finding == Finding::SetAside(step)).collect();
            assert_eq!(told.iter().map(|s| s.count).sum::<usize>(), set_aside(&cleaned, step), "{step:?}");
            assert_eq!(told.len(), 1, "{step:?}");
            assert_eq!(told[0].place, cleaned.survey.points[told[0].first].place);
        }
    }

    #[test]
    fn a_step_left_out_sets_nothing_aside() {
        for step in Cleaning::ALL {
            let steps = Cleaning::ALL.into_iter().filter(|&s| s != step).collect();
            let cleaned = clean(all().survey(), &CleanOptions { steps, ..CleanOptions::default() });
            for s in Cleaning::ALL {
                assert_eq!(set_aside(&cleaned, s) == 0, s == step, "{step:?} left out, {s:?}");
            }
        }
        let none = clean(all().survey(), &CleanOptions { steps: Vec::new(), ..CleanOptions::default() });
        assert_eq!(none.survey, all().survey());
        // Direction and laps are told all the same.
        assert_eq!(none.report.len(), 2);
    }

    #[test]
    fn what_was_set_aside_stays_so_and_posts_and_drawn_rings_are_untouched() {
        let once = clean(all().survey(), &CleanOptions::default()).survey;
        let twice = clean(once.clone(), &CleanOptions::default());
        assert_eq!(once, twice.survey);

        let mut points = all().points;
        for p in &mut points {
            p.role = Role::GoalPost;
        }
        // A drawn ring, closed by its first vertex, that starts with a spike.
        points.extend(
            [(0.0, 0.0), (300.0, 0.0), (80.0, 60.0), (0.0, 90.0), (0.0, 0.0)]
                .map(|(x, y)| Observed { path: Some(9), ..Observed::new(Point::new(x, y), Role::Line) }),
        );
        let survey = LocalSurvey::new(LocalPlane::own(), points);
        let cleaned = clean(survey.clone(), &CleanOptions::default());
        assert_eq!((cleaned.survey, cleaned.report), (survey, Vec::new()));
    }

    #[test]
    fn a_receiver_that_lost_its_fix_walks_on() {
        let oval = Oval::ellipse(160.0, 130.0);
        let mut steps = Steps::new();
        steps.line(&oval, 0.0, oval.length_m(), None);
        let mut points = steps.recorded(KIT, &mut Draws::of_many(2)).points;
        points.drain(100..130);
        for p in &mut points[100..] {
            p.path = Some(1);
        }
        let cleaned = clean(LocalSurvey::new(LocalPlane::own(), points), &CleanOptions::default());
        assert!(cleaned.survey.points.iter().all(|p| p.cleaned.is_none()));
        assert!(matches!(cleaned.report[1].finding, Finding::Laps { whole: 1, .. }));
        assert_eq!(cleaned.report.len(), 2);
    }

    mod never_panics {
        use super::*;
        use proptest::prelude::*;

        fn coordinate() -> impl Strategy<Value = f64> {
            prop_oneof![
                8 => -100.0..100.0f64,
                2 => (-3i32..3).prop_map(f64::from),
                1 => any::<f64>(),
                1 => Just(f64::NAN),
            ]
        }

        fn point() -> impl Strategy<Value = Observed> {
            let time =
                prop_oneof![3 => (0.0..300.0f64).prop_map(Some), 1 => Just(None), 1 => Just(Some(f64::NAN))];
            (coordinate(), coordinate(), time, 0..3usize, 0..2usize).prop_map(
                |(x, y, time_s, path, source)| Observed {
                    time_s,
                    path: Some(path),
                    source,
                    ..Observed::new(Point::new(x, y), Role::Line)
                },
            )
        }

        proptest! {
            #[test]
            fn on_any_points(points in proptest::collection::vec(point(), 0..120), walked: bool, order: bool) {
                let mut points = points;
                if order {
                    points.sort_by(|a, b| a.time_s.unwrap_or(0.0).total_cmp(&b.time_s.unwrap_or(0.0)));
                }
                let options = CleanOptions { walked, ..CleanOptions::default() };
                let before = LocalSurvey::new(LocalPlane::own(), points);
                let cleaned = clean(before.clone(), &options);
                // The same points in the same order, and as many told as set aside.
                prop_assert_eq!(before.points.len(), cleaned.survey.points.len());
                let same = |(a, b): (&Observed, &Observed)| {
                    (a.at.x.to_bits(), a.at.y.to_bits(), a.path) == (b.at.x.to_bits(), b.at.y.to_bits(), b.path)
                };
                prop_assert!(before.points.iter().zip(&cleaned.survey.points).all(same));
                let aside = cleaned.survey.points.iter().filter(|p| p.cleaned.is_some()).count();
                let told = cleaned.report.iter().filter(|s| matches!(s.finding, Finding::SetAside(_)));
                prop_assert_eq!(aside, told.map(|s| s.count).sum::<usize>());
                let again = clean(before, &options);
                prop_assert_eq!(again.report, cleaned.report);
            }

            #[test]
            fn on_a_straight_line_and_in_one_place(n in 0..200u32, step in 0.0..20.0f64, timed: bool) {
                let points = (0..n).map(|i| Observed {
                    time_s: timed.then_some(f64::from(i)),
                    path: Some(0),
                    ..Observed::new(Point::new(step * f64::from(i), 0.0), Role::Line)
                });
                let survey = LocalSurvey::new(LocalPlane::own(), points.collect());
                let cleaned = clean(survey, &CleanOptions { walked: true, ..CleanOptions::default() });
                prop_assert!(cleaned.survey.points.iter().all(|p| p.cleaned.is_none()));
            }
        }
    }
}
