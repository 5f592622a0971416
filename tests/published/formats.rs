//! One invented ground in twelve files of seven writers, in `tests/samples`: every file
//! gives the same points, the same ground, and the ground that was planted.
//!
//! The oracle of the coordinates is `truth.csv`, made by PROJ's topocentric frame (see
//! `make.py` there); that of the sizes is the plan that it was made from. `check.py`
//! there has independent readers count and compare the same files.

use std::path::Path;

use ovalpeg::fit::Fit;
use ovalpeg::frame::{Datum, Degrees, Geodetic, Ground, Local, LocalPlane};
use ovalpeg::geometry::Point;
use ovalpeg::rules::RuleSet;
use ovalpeg::solve::{SolveOptions, Source, solve};
use ovalpeg::survey::{Format, Position, ReadOptions, Role, Survey, read};
use ovalpeg::units::Warned;

use crate::support::close;

/// What was planted, as in `make.py`.
const LENGTH_M: f64 = 165.0;
const WIDTH_M: f64 = 135.0;
const AXIS_DEG: f64 = 20.0;
const HEIGHT_M: f64 = 61.0;
const LINE: usize = 48;
const POSTS: usize = 8;

struct Sample {
    file: &'static str,
    format: Format,
    /// How many paths the line is drawn as.
    paths: usize,
    /// Does every point of the line have its time?
    timed: bool,
    /// Has the file heights?
    heights: bool,
    /// Half the last digit that the file carries, times √2, and the arithmetic, m.
    rounding_m: f64,
}

/// Twelve decimals of a degree are 0.1 µm; a micrometre covers the arithmetic of eleven.
const FINE_M: f64 = 1e-6;

#[rustfmt::skip]
const SAMPLES: [Sample; 12] = [
    Sample { file: "gpxpy.gpx", format: Format::Gpx, paths: 2, timed: true, heights: true, rounding_m: FINE_M },
    Sample { file: "gdal.gpx", format: Format::Gpx, paths: 0, timed: false, heights: true, rounding_m: FINE_M },
    Sample { file: "simplekml-track.kml", format: Format::Kml, paths: 1, timed: true, heights: true, rounding_m: FINE_M },
    Sample { file: "simplekml.kmz", format: Format::Kmz, paths: 1, timed: false, heights: true, rounding_m: FINE_M },
    Sample { file: "fastkml.kml", format: Format::Kml, paths: 1, timed: false, heights: true, rounding_m: FINE_M },
    Sample { file: "gdal.kml", format: Format::Kml, paths: 1, timed: false, heights: true, rounding_m: FINE_M },
    Sample { file: "gdal.geojson", format: Format::GeoJson, paths: 1, timed: false, heights: true, rounding_m: FINE_M },
    // Four decimals of a metre.
    Sample { file: "gdal-mga2020.geojson", format: Format::GeoJson, paths: 1, timed: false, heights: true, rounding_m: 8e-5 },
    Sample { file: "geojson.geojson", format: Format::GeoJson, paths: 1, timed: true, heights: true, rounding_m: FINE_M },
    // Five decimals of a metre.
    Sample { file: "shapely-mga94.geojson", format: Format::GeoJson, paths: 0, timed: false, heights: false, rounding_m: 8e-6 },
    Sample { file: "pandas.csv", format: Format::Csv, paths: 1, timed: true, heights: true, rounding_m: FINE_M },
    Sample { file: "pandas-mga2020.csv", format: Format::Csv, paths: 0, timed: false, heights: true, rounding_m: 8e-6 },
];

fn bytes(file: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(file);
    std::fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn survey(sample: &Sample) -> Warned<Survey> {
    let mut options = ReadOptions::default();
    options.height_m = (!sample.heights).then_some(HEIGHT_M);
    read(&bytes(sample.file), &options).unwrap_or_else(|e| panic!("{}: {e}", sample.file))
}

/// The plane that the ground was planted in.
fn plane() -> LocalPlane {
    let at = Degrees { latitude: -34.2, longitude: 142.1 };
    LocalPlane::at(Geodetic::new(at, HEIGHT_M, Datum::Gda2020).unwrap()).unwrap()
}

/// Code and place in that plane of every point of `truth.csv`, which is split here by
/// hand and not by the library's reader.
fn truth() -> Vec<(String, Point<Local>)> {
    String::from_utf8(bytes("truth.csv"))
        .unwrap()
        .lines()
        .skip(1)
        .map(|row| {
            let [code, lat, lon] = row.split(',').collect::<Vec<_>>()[..] else { panic!("{row}") };
            let at = Degrees { latitude: lat.parse().unwrap(), longitude: lon.parse().unwrap() };
            let at = Geodetic::new(at, HEIGHT_M, Datum::Gda2020).unwrap();
            (code.to_owned(), plane().to_local(&at).unwrap())
        })
        .collect()
}

fn role(code: &str) -> Role {
    match code.get(..2) {
        None => Role::Line,
        Some("GP") => Role::GoalPost,
        Some("BP") => Role::BehindPost,
        Some(_) => Role::Unused,
    }
}

/// The ground of a file, by the file's own plane.
fn fitted(sample: &Sample) -> (Fit, LocalPlane) {
    let mut options = SolveOptions::new(RuleSet::laws());
    options.height_m = (!sample.heights).then_some(HEIGHT_M);
    let solved = solve(vec![Source::new(sample.file, bytes(sample.file))], &options).unwrap();
    (solved.fit().clone(), solved.prepared().survey().plane)
}

/// Middles of the two goal lines in the planted plane, the northern first, through latitude and longitude.
fn goals((fit, own): &(Fit, LocalPlane)) -> [Point<Local>; 2] {
    [1.0, -1.0].map(|end| {
        let at = Point::<Ground>::new(end * fit.outline.half_length_m(), 0.0);
        let earth = own.to_geodetic(fit.outline.plan().to_local(at)).unwrap();
        plane().to_local(&earth).unwrap()
    })
}

/// The planted plan in its plane.
#[test]
fn the_truth_is_the_plan() {
    let truth = truth();
    assert_eq!(truth.len(), LINE + POSTS + 1);
    let (sin, cos) = AXIS_DEG.to_radians().sin_cos();
    let a = LENGTH_M / 2.0 / (1.0 - (19.2 / WIDTH_M).powi(2)).sqrt();
    for (code, p) in &truth {
        let (along, left) = (p.x * sin + p.y * cos, p.y * sin - p.x * cos);
        match role(code) {
            Role::Line => {
                let r = (along / a).hypot(left / (WIDTH_M / 2.0));
                // Twelve decimals of a degree are 0.1 µm of 67 m.
                close(&format!("{code}: on the ellipse"), r, 1.0, 1e-8);
            }
            Role::GoalPost => close(code, left.abs(), 3.2, FINE_M),
            Role::BehindPost => close(code, left.abs(), 9.6, FINE_M),
            Role::Unused => close(code, along, 20.0, FINE_M),
        }
        if role(code) == Role::GoalPost || role(code) == Role::BehindPost {
            close(code, along.abs(), LENGTH_M / 2.0, FINE_M);
        }
    }
}

#[test]
fn every_file_gives_every_point_with_its_role_and_place() {
    let truth = truth();
    for sample in &SAMPLES {
        let Warned { value: survey, warnings } = survey(sample);
        let file = sample.file;
        assert_eq!(survey.format, sample.format, "{file}");
        assert_eq!(survey.observations.len(), truth.len(), "{file}");
        close(&format!("{file}: height"), survey.height_m.unwrap(), HEIGHT_M, 0.0);
        let mut paths = std::collections::BTreeSet::new();
        let mut line = truth.iter().filter(|(code, _)| code.is_empty());
        for o in &survey.observations {
            let place = format!("{file}, {}", o.place);
            // The line in its order, wherever the file has it; the rest by its name.
            let found = match o.role {
                Role::Line => line.next(),
                _ => truth.iter().find(|(code, _)| !code.is_empty() && o.name.ends_with(code.as_str())),
            };
            let (code, want) = found.unwrap_or_else(|| panic!("{place}: {} is not in the truth", o.name));
            assert_eq!(o.role, role(code), "{place}");
            let at = match o.position {
                Position::Geodetic(g) => g,
                Position::Grid(g) => g.geodetic().unwrap(),
                Position::Plane(_) => panic!("{place}: not a place on Earth"),
            };
            let miss = plane().to_local(&at).unwrap().distance_to(*want);
            close(&place, miss, 0.0, sample.rounding_m);
            if o.role == Role::Line {
                paths.extend(o.path);
                assert_eq!(o.path.is_some(), sample.paths > 0, "{place}");
                assert_eq!(o.time_s.is_some(), sample.timed, "{place}");
            } else {
                assert_eq!(o.path, None, "{place}");
            }
        }
        assert!(line.next().is_none(), "{file}");
        assert_eq!(paths.len(), sample.paths, "{file}");
        if sample.timed {
            let times: Vec<f64> = survey
                .observations
                .iter()
                .filter(|o| o.role == Role::Line)
                .filter_map(|o| o.time_s)
                .collect();
            // From 2026-03-14 22:00 UTC, day 20526 from 1970, every 5 s.
            for (i, t) in times.iter().enumerate() {
                close(&format!("{file}: time"), *t, 20_526.0 * 86_400.0 + 79_200.0 + 5.0 * i as f64, 0.0);
            }
        }
        // The canteen is reported, and nothing is said to be unreadable.
        assert!(warnings.iter().any(|w| w.message().contains("Canteen")), "{file}");
        assert!(!warnings.iter().any(|w| w.message().contains("understood")), "{file}: {warnings:?}");
    }
}

#[test]
fn every_file_gives_the_planted_ground_and_all_give_the_same() {
    let all: Vec<(&Sample, (Fit, LocalPlane))> = SAMPLES.iter().map(|s| (s, fitted(s))).collect();
    let (sin, cos) = AXIS_DEG.to_radians().sin_cos();
    // Rounding of 48 points and 8 posts averages out below that of one; the datum point's
    // rounding to 0.1 m of height is 2.6 µm of length.
    let tolerance = 1e-4;
    for (sample, fit) in &all {
        let file = sample.file;
        let outline = &fit.0.outline;
        close(&format!("{file}: length"), 2.0 * outline.half_length_m(), LENGTH_M, tolerance);
        close(&format!("{file}: width"), outline.boundary(19.2).unwrap().width_m(), WIDTH_M, tolerance);
        for (end, goal) in [1.0, -1.0].into_iter().zip(goals(fit)) {
            let want = Point::new(end * LENGTH_M / 2.0 * sin, end * LENGTH_M / 2.0 * cos);
            close(&format!("{file}: goal"), goal.distance_to(want), 0.0, tolerance);
        }
        assert_eq!(fit.0.posts.len(), POSTS, "{file}");
        for (other, second) in &all {
            let pair = format!("{file} and {}", other.file);
            // A millimetre is what anyone could see; see above for what to expect.
            let miss = 2.0 * (outline.half_length_m() - second.0.outline.half_length_m());
            close(&format!("{pair}: length"), miss, 0.0, 0.001);
            let [mine, theirs] = [goals(fit), goals(second)];
            for (p, q) in mine.into_iter().zip(theirs) {
                close(&format!("{pair}: goal"), p.distance_to(q), 0.0, 0.001);
            }
        }
    }
}
