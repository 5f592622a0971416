//! Looking for guesses: in the files, and in the ground that came of them.

use super::rounded::step_m;
use super::{Doubt, Doubted, Source};
use crate::frame::{Geodetic, Local, State, Zone};
use crate::geometry::Point;
use crate::ground::Ground;
use crate::survey::{LocalSurvey, Position, Role, Survey};
use crate::units::print::fixed;
use crate::units::{Measured, Problem, Remedy, Setting};

/// Plane coordinates in these ranges look like eastings and northings of Australia, m.
const EASTINGS_M: std::ops::RangeInclusive<f64> = 100_000.0..=900_000.0;
const NORTHINGS_M: std::ops::RangeInclusive<f64> = 4_500_000.0..=9_500_000.0;
/// Australia and its islands, degrees.
const LATITUDES_DEG: std::ops::RangeInclusive<f64> = -56.0..=-8.0;
const LONGITUDES_DEG: std::ops::RangeInclusive<f64> = 72.0..=170.0;
/// A place farther from a zone's meridian than this is far outside it, degrees: zones are 3° to either
/// side, and towns on an edge are surveyed in the neighbour's zone.
const OUTSIDE_ZONE_DEG: f64 = 3.5;
/// The points' hull takes up this share of the rectangle about it, or they lie round no oval: an ellipse
/// takes up 0.79, a stadium 0.82, a superellipse of exponent 3 0.88, a rectangle all of it, a triangle half.
const OVAL_SHARE: std::ops::RangeInclusive<f64> = 0.70..=0.93;

/// Doubts of one file; `sd_m`: how good its points are said to be.
pub(super) fn of_source(source: &Source, survey: &Survey, sd_m: Option<f64>) -> Vec<Doubted> {
    let mut all = Vec::new();
    let mut add = |doubt, problem: Problem| all.push(Doubted { doubt, problem: problem.at(source.name()) });
    if let (Some(step), Some(sd)) = (step_m(survey), said_sd(survey, sd_m))
        && step > sd
    {
        add(
            Doubt::Grid,
            Problem::new(format!(
                "its coordinates are rounded to steps of {} m, and its points are said to be good to {} m: the rounding is in the ±",
                rounded(step),
                rounded(sd)
            ))
            .hint("export it with more decimals"),
        );
    }
    let looks_like_grid = |o: &Position| matches!(o, Position::Plane(p) if EASTINGS_M.contains(&p.x) && NORTHINGS_M.contains(&p.y));
    if !survey.observations.is_empty() && survey.observations.iter().all(|o| looks_like_grid(&o.position)) {
        add(
            Doubt::Plane,
            Problem::new("its x and y look like eastings and northings of the map grid, whose metres are not the ground's")
                .hint("name the columns easting and northing, and say the zone"),
        );
    }
    if let Some(g) = middle(survey) {
        let (lat, lon) = (g.latitude_deg(), g.longitude_deg());
        if !LATITUDES_DEG.contains(&lat) || !LONGITUDES_DEG.contains(&lon) {
            let lost = LATITUDES_DEG.contains(&-lat) && LONGITUDES_DEG.contains(&lon);
            let why = if lost { ": the minus sign of the latitude is lost" } else { "" };
            add(
                Doubt::Place,
                Problem::new(format!(
                    "latitude {}, longitude {} is not in Australia{why}",
                    fixed(lat, 4),
                    fixed(lon, 4)
                ))
                .hint(if lost {
                    "put the minus sign back"
                } else {
                    "look at the coordinates"
                }),
            );
        }
        let outside = outside_zone(source, survey, &g);
        let abroad = source.state.filter(|s| !s.may_hold(&g));
        if let (None, Some(state)) = (&outside, abroad) {
            let on_grid = survey.observations.iter().any(|o| matches!(o.position, Position::Grid(_)));
            add(if on_grid { Doubt::Zone } else { Doubt::Place }, outside_state(state, &g));
        }
        if let Some(problem) = outside {
            add(Doubt::Zone, problem);
        }
    }
    all
}

/// How good a file's points are said to be, m: the best of their own, or what was said of all.
fn said_sd(survey: &Survey, sd_m: Option<f64>) -> Option<f64> {
    survey.observations.iter().filter_map(|o| o.sd_m).min_by(f64::total_cmp).or(sd_m)
}

fn rounded(m: f64) -> String {
    fixed(m, if m < 0.1 { 3 } else { 1 })
}

/// The middle of what a file surveys on the Earth.
fn middle(survey: &Survey) -> Option<Geodetic> {
    let mut places: Vec<Geodetic> = survey
        .observations
        .iter()
        .filter_map(|o| match o.position {
            Position::Geodetic(g) => Some(g),
            Position::Grid(g) => g.geodetic().ok(),
            Position::Plane(_) => None,
        })
        .collect();
    places.sort_by(|a, b| a.latitude_deg().total_cmp(&b.latitude_deg()));
    places.get(places.len() / 2).copied()
}

fn outside_zone(source: &Source, survey: &Survey, at: &Geodetic) -> Option<Problem> {
    let said: Zone = survey
        .observations
        .iter()
        .find_map(|o| match o.position {
            Position::Grid(g) => Some(g.zone()),
            _ => None,
        })
        .or(source.said_zone())?;
    let off = at.longitude_deg() - said.central_meridian_deg();
    (off.abs() > OUTSIDE_ZONE_DEG).then(|| {
        Problem::new(format!(
            "it lies {}° of longitude from the meridian of zone {}, and a zone is 3° to either side",
            fixed(off.abs(), 1),
            said.number()
        ))
        .hint("look at the zone and at the eastings")
    })
}

fn outside_state(state: State, at: &Geodetic) -> Problem {
    let zone = Zone::of(at).map_or_else(|_| String::new(), |z| format!(", in {}", z.described()));
    let (lat, lon) = (fixed(at.latitude_deg(), 4), fixed(at.longitude_deg(), 4));
    Problem::new(format!("latitude {lat}, longitude {lon} is not in {}{zone}", state.name()))
        .hint("look at the zone, the coordinates and the state")
}

/// Do the points of the line lie round an oval?
pub(super) fn of_shape(survey: &LocalSurvey) -> Option<Doubted> {
    let line: Vec<Point<Local>> =
        survey.points.iter().filter(|p| p.role == Role::Line && p.cleaned.is_none()).map(|p| p.at).collect();
    let share = share_of_rectangle(&line)?;
    (!OVAL_SHARE.contains(&share)).then(|| {
        let like = if share > *OVAL_SHARE.end() {
            "a rectangle: a pitch of another code, or a fence?"
        } else {
            "no oval: a corner cut, or a part not surveyed?"
        };
        Doubted {
            doubt: Doubt::Shape,
            problem: Problem::new(format!(
                "the points take up {} % of the rectangle about them, like {like} An oval takes up 70 to 93 %",
                fixed(100.0 * share, 0)
            ))
            .hint("survey the boundary line itself"),
        }
    })
}

/// The share of the least rectangle about some points that their hull takes up.
fn share_of_rectangle(points: &[Point<Local>]) -> Option<f64> {
    let hull = hull(points);
    if hull.len() < 3 {
        return None;
    }
    let area = crate::geometry::ring_area(&hull).abs();
    // The least rectangle has a side along one of the hull's (H. Freeman and R. Shapira, Communications of
    // the ACM 18, 1975; from memory).
    let least = (0..hull.len())
        .filter_map(|i| {
            let u = (hull[(i + 1) % hull.len()] - hull[i]).unit()?;
            let extent = |f: &dyn Fn(&Point<Local>) -> f64| {
                let (lo, hi) = hull
                    .iter()
                    .map(f)
                    .fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)));
                hi - lo
            };
            let along = extent(&|p| (*p - hull[0]).dot(u));
            let across = extent(&|p| u.cross(*p - hull[0]));
            Some(along * across)
        })
        .min_by(f64::total_cmp)?;
    (least > 0.0).then_some(area / least)
}

/// The convex hull, anticlockwise (A. M. Andrew, Information Processing Letters 9, 1979; from memory).
fn hull(points: &[Point<Local>]) -> Vec<Point<Local>> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let half = |list: &mut dyn Iterator<Item = Point<Local>>| {
        let mut chain: Vec<Point<Local>> = Vec::new();
        for p in list {
            while chain.len() > 1 {
                let (a, b) = (chain[chain.len() - 2], chain[chain.len() - 1]);
                if (b - a).cross(p - b) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut lower = half(&mut sorted.iter().copied());
    lower.extend(half(&mut sorted.iter().rev().copied()));
    lower
}

/// Is the ground for sure smaller or larger than its rule set allows?
pub(super) fn of_size(ground: &Ground) -> Option<Doubted> {
    let r = ground.oval().rules();
    let length = ground.measure(|o| Some(o.length_m()));
    let width = ground.measure(|o| Some(o.boundary().width_m()));
    let told = |what: &str, m: Option<Measured>, least: f64, most: f64| {
        let m = m?;
        let limit = if m.hi95() < least {
            format!("at least {}", fixed(least, 1))
        } else if most > 0.0 && m.lo95() > most {
            format!("at most {}", fixed(most, 1))
        } else {
            return None;
        };
        Some(format!(
            "{} m ± {} {what}, and {} asks for {limit} m",
            fixed(m.value(), 1),
            fixed(m.half_width(), 1),
            r.name
        ))
    };
    let all: Vec<String> = [
        told("long", length, r.length_min_m.value, r.length_max_m.value),
        told("wide", width, r.width_min_m.value, r.width_max_m.value),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!all.is_empty()).then(|| Doubted {
        doubt: Doubt::Size,
        problem: Problem::new(all.join("; ")).settle(Remedy::say(Setting::Rules)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::{Method, RuleSet};
    use crate::solve::{SolveOptions, Solved, solve};

    /// Points of a closed curve round a place, as latitudes and longitudes.
    fn geodetic(lat: f64, lon: f64, decimals: usize, at: impl Fn(f64) -> (f64, f64)) -> String {
        let mut csv = String::from("lat,lon\n");
        for i in 0..60 {
            let (x, y) = at(f64::from(i) * std::f64::consts::TAU / 60.0 + 0.01);
            let (dlat, dlon) = (y / 110_900.0, x / (111_300.0 * lat.to_radians().cos()));
            csv += &format!("{:.decimals$},{:.decimals$}\n", lat + dlat, lon + dlon);
        }
        csv
    }

    fn ellipse(a: f64, b: f64) -> impl Fn(f64) -> (f64, f64) {
        move |t| (b * t.cos(), a * t.sin())
    }

    fn solved(csv: &str, method: Method) -> Solved {
        solve(vec![Source::new("s.csv", csv).method(method)], &SolveOptions::new(RuleSet::laws())).unwrap()
    }

    fn doubts(csv: &str, method: Method) -> Vec<Doubt> {
        solved(csv, method).doubts().iter().map(|d| d.doubt).collect()
    }

    #[test]
    fn a_good_survey_leaves_no_doubt() {
        assert_eq!(doubts(&geodetic(-36.7, 144.9, 8, ellipse(83.3, 67.5)), Method::Rtk), []);
        assert_eq!(doubts(&geodetic(-36.7, 144.9, 6, ellipse(83.3, 67.5)), Method::Trace), []);
    }

    #[test]
    fn coordinates_coarser_than_their_sd_are_told_and_join_it() {
        let fine = solved(&geodetic(-36.7, 144.9, 8, ellipse(83.3, 67.5)), Method::Rtk);
        let coarse = solved(&geodetic(-36.7, 144.9, 6, ellipse(83.3, 67.5)), Method::Rtk);
        assert_eq!(coarse.doubts().iter().map(|d| d.doubt).collect::<Vec<_>>(), [Doubt::Grid]);
        // A step of 0.1112 m takes 0.0321 m, one standard deviation, off each coordinate beside RTK's 0.02 m.
        assert!((coarse.prepared().point_sd_m().unwrap() - 0.02f64.hypot(0.0321)).abs() < 1e-4);
        assert_eq!(fine.prepared().point_sd_m(), Some(0.02));
    }

    #[test]
    fn a_lost_minus_sign_is_told() {
        let d = solved(&geodetic(36.7, 144.9, 8, ellipse(83.3, 67.5)), Method::Rtk);
        let [only] = d.doubts() else { panic!("{:?}", d.doubts()) };
        assert_eq!(only.doubt, Doubt::Place);
        assert!(only.problem.message().contains("minus sign"), "{}", only.problem);
    }

    #[test]
    fn plane_coordinates_of_a_grid_are_told() {
        let mut csv = String::from("x,y\n");
        for i in 0..40 {
            let t = f64::from(i) * std::f64::consts::TAU / 40.0;
            csv += &format!("{:.3},{:.3}\n", 322_500.0 + 67.5 * t.cos(), 5_812_200.0 + 83.3 * t.sin());
        }
        assert_eq!(doubts(&csv, Method::Rtk), [Doubt::Plane]);
    }

    #[test]
    fn a_survey_outside_its_zone_is_told() {
        // 900 km east of a zone's false origin is 4° or more beyond its meridian in the south.
        let mut csv = String::from("easting,northing,zone\n");
        for i in 0..40 {
            let t = f64::from(i) * std::f64::consts::TAU / 40.0;
            csv += &format!("{:.3},{:.3},55\n", 900_000.0 + 67.5 * t.cos(), 5_812_200.0 + 83.3 * t.sin());
        }
        assert_eq!(doubts(&csv, Method::Rtk), [Doubt::Zone]);
    }

    #[test]
    fn a_state_holds_a_zone_to_account_and_never_picks_it() {
        let mut csv = String::from("easting,northing\n");
        for i in 0..40 {
            let t = f64::from(i) * std::f64::consts::TAU / 40.0;
            csv += &format!("{:.3},{:.3}\n", 322_500.0 + 67.5 * t.cos(), 5_812_200.0 + 83.3 * t.sin());
        }
        let doubts = |zone: u8, state: Option<State>| {
            let source = Source::new("s.csv", csv.as_str())
                .method(Method::Rtk)
                .zone(Zone::new(zone).unwrap())
                .state(state);
            let solved = solve(vec![source], &SolveOptions::new(RuleSet::laws())).unwrap();
            solved.doubts().iter().map(|d| (d.doubt, d.problem.to_string())).collect::<Vec<_>>()
        };
        // Easting 322,500 is 2° west of its meridian: in Victoria by zone 55, and by zone 54 in South Australia.
        assert_eq!(doubts(55, Some(State::Vic)), []);
        assert_eq!(doubts(54, Some(State::Sa)), []);
        assert_eq!(doubts(54, None), []);
        let [(Doubt::Zone, told)] = &doubts(54, Some(State::Vic))[..] else {
            panic!("{:?}", doubts(54, Some(State::Vic)))
        };
        assert!(told.contains("is not in Victoria, in zone 54, meridian 141° E: Adelaide"), "{told}");
        // Without a zone nothing is fitted, whatever the state.
        let source = Source::new("s.csv", csv.as_str()).method(Method::Rtk).state(State::Act);
        let e = solve(vec![source], &SolveOptions::new(RuleSet::laws())).unwrap_err().to_string();
        assert!(
            e.contains("nothing says their zone") && e.contains("zone 56, meridian 153° E: Sydney"),
            "{e}"
        );
    }

    #[test]
    fn a_pitch_of_another_code_is_no_oval() {
        // Round a rectangle of 150 × 120 m by its perimeter.
        let pitch = |t: f64| {
            let s = (t / std::f64::consts::TAU).rem_euclid(1.0) * 540.0;
            match s {
                s if s < 120.0 => (-60.0 + s, -75.0),
                s if s < 270.0 => (60.0, -75.0 + (s - 120.0)),
                s if s < 390.0 => (60.0 - (s - 270.0), 75.0),
                s => (-60.0, 75.0 - (s - 390.0)),
            }
        };
        let csv = geodetic(-36.7, 144.9, 8, pitch);
        let local =
            crate::survey::read(csv.as_bytes(), &crate::survey::ReadOptions::default()).unwrap().value;
        let local = local.to_local(local.plane().unwrap()).unwrap();
        assert_eq!(of_shape(&local).map(|d| d.doubt), Some(Doubt::Shape));
        // A stadium is an oval: two half circles and two straights.
        let stadium = |t: f64| {
            let (c, s) = (t.cos(), t.sin());
            (60.0 * c, 60.0 * s + 20.0 * s.signum())
        };
        let csv = geodetic(-36.7, 144.9, 8, stadium);
        let local =
            crate::survey::read(csv.as_bytes(), &crate::survey::ReadOptions::default()).unwrap().value;
        let local = local.to_local(local.plane().unwrap()).unwrap();
        assert_eq!(of_shape(&local), None);
    }

    #[test]
    fn a_ground_too_small_for_its_rules_is_told() {
        assert_eq!(doubts(&geodetic(-36.7, 144.9, 8, ellipse(55.0, 40.0)), Method::Rtk), [Doubt::Size]);
        let mut options = SolveOptions::new(RuleSet::juniors_u12());
        let csv = geodetic(-36.7, 144.9, 8, ellipse(57.0, 43.0));
        let s = || vec![Source::new("s.csv", csv.as_str()).method(Method::Rtk)];
        assert_eq!(solve(s(), &options).unwrap().doubts(), []);
        // What is accepted is still there, and settled.
        options.rules = RuleSet::laws();
        options.accept = vec![Doubt::Size];
        let accepted = solve(s(), &options).unwrap();
        assert_eq!((accepted.doubts().len(), accepted.unsettled().count()), (1, 0));
    }
}
