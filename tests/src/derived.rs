//! The ± of everything that a card derives from a fit, against simulation.
//!
//! Surveys of one ground are fitted, each fit is made a venue, and its card and a few moments of a
//! match are made as JSON, as the program prints them. Every number there that carries a standard
//! deviation is followed over the runs: what it claims beside how it really scatters, and how often its
//! 95 % interval holds the same number of the ground as planted. The list is read off the JSON, so
//! that nothing with a ± is left out.

use std::collections::BTreeMap;

use ovalpeg::boundary::{End, Side, Spread};
use ovalpeg::briefing::{MomentQuery, answer, bearings, briefing};
use ovalpeg::export::{card_json, moment_json};
use ovalpeg::fit::{FitOptions, Noise, ground};
use ovalpeg::geometry::{Model, Point};
use ovalpeg::officiate::{Moment, Phase};
use ovalpeg::rules::{Edge, Method, RuleSet};
use ovalpeg::solve::place_sd_m;
use ovalpeg::survey::LocalSurvey;
use ovalpeg::units::Day;
use ovalpeg::venue::{
    FitFile, Names, Registration, Said, SurveyBytes, Venue, above_end_mark, open, register,
};
use serde_json::Value;

use crate::Failure;
use crate::random::Random;
use crate::truth::{Shape, Site, Truth, half_end_m};
use crate::walk::{Lap, posts, rtk, survey};

/// A ground and how it is surveyed.
#[derive(Debug, Clone, Copy)]
pub struct Cell {
    /// As printed.
    pub name: &'static str,
    shape: Shape,
    model: Model,
    points: usize,
    line_sd_m: f64,
    post_sd_m: f64,
}

/// The cells of the table.
#[must_use]
pub fn cells() -> [Cell; 6] {
    let ellipse = Shape::Ellipse { length_m: 160.0, width_m: 130.0 };
    let arcs = Shape::FourArc { length_m: 160.0, width_m: 130.0, end_radius_m: 50.0 };
    let cut = Shape::Cut { length_m: 160.0, half_width_m: 65.0, cut_m: 4.0, side: Side::Right };
    let cell = |name, shape, model, points, line_sd_m, post_sd_m| Cell {
        name,
        shape,
        model,
        points,
        line_sd_m,
        post_sd_m,
    };
    [
        cell("ellipse, RTK 0.02 m, posts 0.05 m", ellipse, Model::Ellipse, 90, 0.02, 0.05),
        cell("ellipse, trace 0.6 m, no posts", ellipse, Model::Ellipse, 40, 0.6, f64::NAN),
        cell("four arcs, RTK 0.02 m, no posts", arcs, Model::FourArc, 90, 0.02, f64::NAN),
        cell("four arcs, trace 0.6 m, no posts", arcs, Model::FourArc, 60, 0.6, f64::NAN),
        cell("four arcs, RTK 0.02 m, posts 0.05 m", arcs, Model::FourArc, 90, 0.02, 0.05),
        cell("straight side, RTK 0.02 m, posts 0.05 m", cut, Model::CutEllipse, 90, 0.02, 0.05),
    ]
}

/// What became of one number over the runs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tally {
    /// Runs that have the number.
    pub runs: usize,
    /// Sum of errors, and of their squares.
    error: f64,
    square: f64,
    /// Sum of the standard deviations claimed.
    claimed: f64,
    /// Intervals that hold the planted number.
    pub held: usize,
    /// The largest standard deviation claimed.
    most: f64,
}

impl Tally {
    /// Mean standard deviation claimed over the scatter that is; not a number where neither is.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        let n = self.runs as f64;
        let scatter = ((self.square - self.error * self.error / n) / (n - 1.0)).max(0.0).sqrt();
        self.claimed / n / scatter
    }

    /// Intervals that hold, %.
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

fn venue_of(truth: &Truth, read: &LocalSurvey, cell: &Cell, exact: bool) -> Result<Venue, Failure> {
    let end_width = 2.0 * half_end_m();
    let mut options = FitOptions::with_end_width(end_width);
    options.noise = Noise { point_sd_m: Some(cell.line_sd_m), ..Noise::default() };
    options.shape = Some(cell.model);
    let mut fit = ground(read, &options)?;
    // Ends as planted: a fit without posts calls either A.
    if fit.outline.plan().axis().turn_to(truth.plan().axis()).abs() > 90.0 {
        fit = fit.end_for_end()?;
    }
    let mut file = FitFile::of(&fit, end_width);
    if exact {
        file.spread = Spread::none();
    }
    let names = Names { ends: ["Silo".into(), "School".into()], sides: ["Shed".into(), "Road".into()] };
    let rules = RuleSet::laws();
    let bytes = SurveyBytes {
        bytes: b"x,y\n",
        ending: "csv",
        method: Some(Method::Rtk),
        edge: Edge::Outer,
        line_width_m: None,
        said: Said::default(),
    };
    let made = register(&Registration {
        keep: &[],
        trim: None,
        accepted: &[],
        shape: None,
        id: "planted",
        name: "Planted Oval",
        names: &names,
        plane: truth.plane(),
        surveys: &[bytes],
        surveyed: Day::new(2026, 3, 14)?,
        place_sd_m: place_sd_m(Some(Method::Rtk), false),
        point_sd_m: None,
        fit: &file,
        rules: &rules,
    })?;
    let get = |name: &str| {
        let found = made.files.iter().find(|(n, _)| n == name);
        found.map(|(_, b)| b.clone()).ok_or_else(|| "no such file".to_owned())
    };
    let text = above_end_mark(&String::from_utf8(get("venue.toml")?)?, "\n[fence]\ndistance_m = 4.5\n");
    Ok(open(&text, get)?)
}

/// A measured number by its path in the JSON.
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
    // Declination has a ± of its own, which no survey moves; of departures each run may find others.
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
    let surveyed = |line_sd: f64, post_sd: f64, points: usize, random: &mut Random| {
        let line = rtk(&truth, &Lap::of_the_lines(points), line_sd, random);
        let marks = if with_posts { posts(&truth, post_sd, random) } else { Vec::new() };
        survey(&truth, &line, &marks)
    };
    // The planted numbers: of a survey without error, four times as dense.
    let mut exact = Random::new(seed);
    let planted = numbers(&venue_of(&truth, &surveyed(0.0, 0.0, 360, &mut exact), cell, true)?)?;
    let mut tallies: BTreeMap<String, Tally> = BTreeMap::new();
    for run in 0..runs {
        let mut random = Random::named(seed, &format!("{}/{run}", cell.name));
        let read = surveyed(cell.line_sd_m, cell.post_sd_m, cell.points, &mut random);
        let found = numbers(&venue_of(&truth, &read, cell, false)?)?;
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
