//! The survey and fit that a venue or a configuration names.

use super::document_parts::{file, hash};
use super::surveys::{self, SurveyFile};
use super::table::{Source, Table};
use crate::geometry::Model;
use crate::units::ranges::{BEARING_DEG, PLACE_SD_M, SIGMA_M, SURVEYS_WITH};
use crate::units::{Day, Problem};

/// A survey and its fit, as a venue file names them.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// The survey's files: one, or several that were adjusted together.
    pub surveys: Vec<SurveyFile>,
    /// The day of the survey.
    pub surveyed: Day,
    /// Steady error of its place in each of east and north, one standard deviation, m.
    pub place_sd_m: Option<f64>,
    /// Standard deviation of a point, m.
    pub point_sd_m: Option<f64>,
    /// The fit's file name.
    pub fit_file: String,
    /// Its SHA-256.
    pub fit_sha256: String,
    /// The true bearing to end A, degrees, from the summary for people.
    pub axis_said_deg: Option<f64>,
}

/// Reads `[survey]` and `[fit]` of a venue or a configuration.
pub(super) fn fitted(t: &mut Table<'_, '_>, s: &mut Source) -> Option<Fitted> {
    let survey = t.must_table(s, "survey").map(|t| survey(t, s));
    let fit = t.must_table(s, "fit").map(|t| fit(t, s));
    let (surveys, surveyed, [place_sd_m, point_sd_m]) = survey??;
    let (fit_file, fit_sha256, axis_said_deg) = fit??;
    Some(Fitted { surveys, surveyed, place_sd_m, point_sd_m, fit_file, fit_sha256, axis_said_deg })
}

/// The survey's files (the first in `[survey]` itself), its day, and the standard deviations of its place and
/// of a point.
fn survey(mut t: Table<'_, '_>, s: &mut Source) -> Option<(Vec<SurveyFile>, Day, [Option<f64>; 2])> {
    let first = surveys::read(&mut t, s);
    let day = t.must_day(s, "date");
    let sds = [("place_sd_m", &PLACE_SD_M), ("point_sd_m", &SIGMA_M)]
        .map(|(key, range)| if t.since(s, 2, key) { t.number(s, key, range) } else { None });
    // How the walk was cleaned, for anyone who fits the file again.
    t.texts(s, "keep");
    t.text(s, "trim");
    t.texts(s, "accepted");
    // Which shape was asked for.
    if let Some(id) = t.text(s, "shape")
        && Model::find(&id).is_none()
    {
        s.problem(
            t.offset,
            Problem::new(format!("shape '{id}' is not known"))
                .hint(format!("one of {}", Model::ALL.map(Model::id).join(", "))),
        );
    }
    let mut all = vec![first];
    for mut with in t.tables(s, "with", SURVEYS_WITH) {
        all.push(surveys::read(&mut with, s));
        with.finish(s);
    }
    t.finish(s);
    Some((all.into_iter().collect::<Option<_>>()?, day?, sds))
}

fn fit(mut t: Table<'_, '_>, s: &mut Source) -> Option<(String, String, Option<f64>)> {
    let (file, sha) = (file(&mut t, s), hash(&mut t, s));
    // The summary is for people; the fit file is what counts.
    for key in ["model", "length", "width", "points"] {
        t.text(s, key);
    }
    let axis = t.text(s, "axis").and_then(|a| a.split('°').next()?.trim().parse::<f64>().ok());
    t.finish(s);
    Some((file?, sha?, axis.filter(|deg| BEARING_DEG.contains(*deg))))
}
