//! Tests the ± of everything that a card derives from a fit, by simulation.
//!
//! Surveys of one ground go through `solve` as files with their method given, and have the steady errors that
//! the method allows for. Each becomes a venue, and its card and the stations in a few phases are made as
//! JSON, as the program prints them. For every number with a standard deviation the runs give how that
//! standard deviation compares with the true scatter, and how often the 95 % interval holds the true ground's
//! number. The list of numbers is read from the JSON, so that none with a ± is left out.

use std::collections::BTreeMap;

use ovalpeg::boundary::{End, Side, Spread};
use ovalpeg::briefing::{MomentQuery, answer, bearings, briefing};
use ovalpeg::export::{card_json, moment_json};
use ovalpeg::geometry::{Model, Point};
use ovalpeg::officiate::{Moment, Phase};
use ovalpeg::rules::Method;
use ovalpeg::solve::solve;
use ovalpeg::survey::LocalSurvey;
use ovalpeg::units::Day;
use ovalpeg::venue::{FitFile, Venue};
use serde_json::Value;

use crate::Failure;
use crate::door::{by, options};
use crate::random::Random;
use crate::truth::{Shape, Site, Truth};
use crate::walk::{Lap, Steady, posts, rtk, survey};
use crate::whole::{Beside, opened, registered};

/// A ground and how it is surveyed.
#[derive(Debug, Clone, Copy)]
pub struct Cell {
    /// Its printed name.
    pub name: &'static str,
    shape: Shape,
    model: Model,
    method: Method,
    points: usize,
    post_sd_m: f64,
}

/// The cells of the table.
#[must_use]
pub fn cells() -> [Cell; 6] {
    let ellipse = Shape::Ellipse { length_m: 160.0, width_m: 130.0 };
    let arcs = Shape::FourArc { length_m: 160.0, width_m: 130.0, end_radius_m: 50.0 };
    let cut = Shape::Cut { length_m: 160.0, half_width_m: 65.0, cut_m: 4.0, side: Side::Right };
    let (rtk, trace) = (Method::Rtk, Method::Trace);
    let cell = |name, shape, model, method, points, post_sd_m| Cell {
        name,
        shape,
        model,
        method,
        points,
        post_sd_m,
    };
    [
        cell("ellipse, RTK 0.02 m, posts 0.05 m", ellipse, Model::Ellipse, rtk, 90, 0.05),
        cell("ellipse, trace 0.6 m, no posts", ellipse, Model::Ellipse, trace, 40, f64::NAN),
        cell("four arcs, RTK 0.02 m, no posts", arcs, Model::FourArc, rtk, 90, f64::NAN),
        cell("four arcs, trace 0.6 m, no posts", arcs, Model::FourArc, trace, 60, f64::NAN),
        cell("four arcs, RTK 0.02 m, posts 0.05 m", arcs, Model::FourArc, rtk, 90, 0.05),
        cell("straight side, RTK 0.02 m, posts 0.05 m", cut, Model::CutEllipse, rtk, 90, 0.05),
    ]
}

/// The results for one number over the runs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tally {
    /// How many runs have the number.
    pub runs: usize,
    /// Sum of errors, then sum of their squares.
    error: f64,
    square: f64,
    /// Sum of the standard deviations claimed.
    claimed: f64,
    /// How many intervals hold the true number.
    pub held: usize,
    /// The largest standard deviation claimed.
    most: f64,
}

impl Tally {
    /// Mean standard deviation claimed over the true scatter; NaN where both are 0.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        let n = self.runs as f64;
        let scatter = ((self.square - self.error * self.error / n) / (n - 1.0)).max(0.0).sqrt();
        self.claimed / n / scatter
    }

    /// Share of intervals that hold the true number, %.
    #[must_use]
    pub fn share(&self) -> f64 {
        100.0 * self.held as f64 / self.runs.max(1) as f64
    }

    /// Is it the same number on every ground, as settings are?
    #[must_use]
    pub fn is_fixed(&self) -> bool {
        self.most < 1e-6 && self.square < 1e-12 * self.runs as f64
    }
}

const SITE: Site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 0.0, axis_deg: 20.0 };

/// The venue of a survey, by `solve`. Its ends are those of the true ground, whose end A is also the one
/// nearer north.
fn venue_of(truth: &Truth, drawn: &LocalSurvey, cell: &Cell, exact: bool) -> Result<Venue, Failure> {
    let mut options = options(truth);
    options.shape = Some(cell.model);
    let file = by(cell.method, "survey.csv", drawn)?;
    let bytes = file.bytes().to_vec();
    let solved = solve(vec![file], &options)?;
    let mut kept = FitFile::of(solved.fit(), options.rules.end_width_m());
    if exact {
        kept.spread = Spread::none();
    }
    let beside = Beside { method: Some(cell.method), ..Beside::default() };
    let files = registered(&bytes, &solved, &kept, &beside)?;
    Ok(opened(&files, "\n[fence]\ndistance_m = 4.5\n")?)
}

/// Collects every measured number of the JSON by its path.
fn measured(value: &Value, path: &str, out: &mut BTreeMap<String, [f64; 4]>) {
    match value {
        Value::Object(map) => {
            let number = |key: &str| map.get(key).and_then(Value::as_f64);
            if let (Some(v), Some(sd), Some(lo), Some(hi)) =
                (number("value"), number("sd"), number("lo95"), number("hi95"))
            {
                out.insert(path.to_owned(), [v, sd, lo, hi]);
                return;
            }
            for (key, inner) in map {
                measured(inner, &format!("{path}/{key}"), out);
            }
        }
        Value::Array(list) => {
            for (i, inner) in list.iter().enumerate() {
                measured(inner, &format!("{path}/{i}"), out);
            }
        }
        _ => {}
    }
}

fn numbers(venue: &Venue) -> Result<BTreeMap<String, [f64; 4]>, Failure> {
    let day = Day::new(2026, 8, 1)?;
    let mut out = BTreeMap::new();
    let card: Value = serde_json::from_str(&card_json(venue, &briefing(venue, day), &[]))?;
    measured(&card, "card", &mut out);
    // Declination has a ± that no survey changes, and each run may find other departures.
    out.retain(|path, _| !path.contains("declination") && !path.contains("departures"));
    let (declination, cautions) = bearings(venue, day);
    for (name, phase, x, y) in [
        ("middle", Phase::Play, 10.0, 5.0),
        ("near a line", Phase::Play, 25.0, 48.0),
        ("set kick", Phase::SetKick(End::A), -10.0, 3.0),
        ("throw-in", Phase::ThrowIn, 30.0, -58.0),
        ("kick-in", Phase::KickIn(End::B), 0.0, 0.0),
    ] {
        let query = MomentQuery::new(Moment::new(phase, Point::new(x, y)));
        let found = answer(venue, declination.as_ref(), &query)?;
        measured(&serde_json::from_str(&moment_json(venue, &found, &cautions))?, name, &mut out);
    }
    Ok(out)
}

/// Simulates a cell.
///
/// # Errors
/// Never for the cells of the table.
pub fn count(cell: &Cell, runs: usize, seed: u64) -> Result<BTreeMap<String, Tally>, Failure> {
    let truth = Truth::new(cell.shape, SITE)?;
    let with_posts = cell.post_sd_m.is_finite();
    let line_and_posts = |line_sd_m: f64, post_sd_m: f64, points: usize, random: &mut Random| {
        let line = rtk(&truth, &Lap::of_the_lines(points), line_sd_m, random);
        (line, if with_posts { posts(&truth, post_sd_m, random) } else { Vec::new() })
    };
    // The true numbers come from a survey without errors, four times as dense.
    let (line, marks) = line_and_posts(0.0, 0.0, 360, &mut Random::new(seed));
    let planted = numbers(&venue_of(&truth, &survey(&truth, &line, &marks), cell, true)?)?;
    let mut tallies: BTreeMap<String, Tally> = BTreeMap::new();
    for run in 0..runs {
        let mut random = Random::named(seed, &format!("{}/{run}", cell.name));
        let line_sd_m = cell.method.point_sd_m().value;
        let (line, marks) = line_and_posts(line_sd_m, cell.post_sd_m, cell.points, &mut random);
        let drawn = Steady::of(cell.method, &mut random).survey(&truth, &line, &marks);
        let found = numbers(&venue_of(&truth, &drawn, cell, false)?)?;
        for (path, [value, sd, lo, hi]) in found {
            let Some(true_value) = planted.get(&path).map(|p| p[0]) else { continue };
            let degrees = path.ends_with("deg");
            let short = |d: f64| if degrees { (d + 180.0).rem_euclid(360.0) - 180.0 } else { d };
            let error = short(value - true_value);
            let t = tallies.entry(path).or_default();
            t.runs += 1;
            t.error += error;
            t.square += error * error;
            t.claimed += sd;
            t.most = t.most.max(sd);
            // JSON rounds to a tenth of a millimetre.
            t.held += usize::from((lo - value - 1e-4..=hi - value + 1e-4).contains(&-error));
        }
    }
    Ok(tallies)
}
