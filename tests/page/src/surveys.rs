//! Answers questions about surveys: fits, adjusts, registers and compares them.

use ovalpeg::briefing::Summary;
use ovalpeg::compare::{CompareOptions, Known, Planes, compare};
use ovalpeg::export::{
    CompareSide, CompareTold, FitTold, Paper, REPORT_COLUMNS, compare_json, compare_report, curve_json,
    curve_report, fit_json, fit_report, network_json, network_report,
};
use ovalpeg::rules::{Edge, Method, RuleSet};
use ovalpeg::solve::{Prepared, SolveOptions, Source, prepare};
use ovalpeg::units::{Day, Problem};
use ovalpeg::venue::{
    FitFile, Names, Registration, Said, SurveyBytes, Venue, date_doubt, ground_trouble, near_doubt,
    overlap_share, register, replace,
};

use crate::Files;
use crate::questions::{text, venue_of};

/// The answer; `None` where the words are no question of this module.
pub(crate) fn answer(files: &Files, words: &[&str]) -> Option<Result<String, String>> {
    Some(match words {
        ["curve", file, method] => curve(files, file, method),
        ["adjust", file] => adjust(files, file),
        ["fit", file, method] => fit(files, file, method),
        ["register", id, file, method, day] => registered(files, id, [file, method, day], None),
        ["replace", file, method, day] => {
            venue_of(files).and_then(|v| registered(files, &v.document.id, [file, method, day], Some(&v)))
        }
        ["compare", file, method] => compared(files, file, method),
        _ => return None,
    })
}

fn paper() -> Paper {
    Paper::new(REPORT_COLUMNS, false)
}

/// A survey, prepared for its fit, in the plane of the venue if one is given.
fn prepared(files: &Files, [file, method]: [&str; 2], venue: Option<&Venue>) -> Result<Prepared, String> {
    let bytes = files.get(file).ok_or_else(|| format!("there is no {file}"))?;
    let source = Source::new(file, bytes.clone()).method(Method::find(method));
    let mut options = SolveOptions::new(RuleSet::laws());
    options.plane = venue.map(|v| v.document.plane);
    prepare(vec![source], &options).map_err(text)
}

/// The two texts of a report on a survey.
fn told(prepared: &Prepared, warnings: &[Problem], report: impl Fn(&FitTold<'_>) -> [String; 2]) -> String {
    report(&FitTold::of(prepared, warnings)).concat()
}

fn curve(files: &Files, file: &str, method: &str) -> Result<String, String> {
    let prepared = prepared(files, [file, method], None)?;
    let found = prepared.curve().map_err(text)?;
    Ok(told(&prepared, prepared.warnings(), |told| {
        [curve_report(told, &found, paper()), curve_json(told, &found)]
    }))
}

fn adjust(files: &Files, file: &str) -> Result<String, String> {
    let prepared = prepared(files, [file, "tape"], None)?;
    let reports =
        prepared.books().iter().map(|book| network_report(file, book, prepared.warnings(), paper()));
    Ok(reports.collect::<String>() + &network_json(prepared.books(), prepared.warnings()))
}

fn fit(files: &Files, file: &str, method: &str) -> Result<String, String> {
    let solved = prepared(files, [file, method], None)?.solve().map_err(text)?;
    let mut warnings = solved.prepared().warnings().to_vec();
    warnings.extend(solved.doubts().iter().map(|d| d.problem.clone()));
    warnings.extend(ground_trouble(solved.ground()));
    let summary = Summary::of(solved.ground());
    Ok(told(solved.prepared(), &warnings, |told| {
        [fit_report(told, solved.fit(), &summary, paper()), fit_json(told, solved.fit(), &summary)]
    }))
}

/// Registers a survey as a new venue, or in an existing one: the names of the files, and the text of the
/// venue file.
fn registered(
    files: &Files,
    id: &str,
    [file, method, day]: [&str; 3],
    before: Option<&Venue>,
) -> Result<String, String> {
    let solved = prepared(files, [file, method], before)?.solve().map_err(text)?;
    let (fit, prepared) = (solved.fit(), solved.prepared());
    let surveyed: Day = day.parse().map_err(text)?;
    let mut doubts: Vec<_> = solved.unsettled().cloned().collect();
    doubts.extend(date_doubt(surveyed, surveyed, before.map(|v| v.document.surveyed)));
    if let Some(v) = before {
        let share =
            overlap_share((solved.ground(), &prepared.survey().plane), (&v.ground, &v.document.plane));
        doubts.extend(share.and_then(|share| near_doubt(&v.document.name, &v.document.id, share)));
    }
    let kept = FitFile::of(fit, RuleSet::laws().end_width_m());
    let surveys: Vec<SurveyBytes<'_>> = prepared
        .sources()
        .map(|(source, survey)| SurveyBytes {
            bytes: source.bytes(),
            ending: survey.format.id(),
            method: source.said_method(),
            edge: Edge::Outer,
            line_width_m: None,
            said: Said::default(),
        })
        .collect();
    let registration = Registration {
        id,
        name: id,
        names: &Names::by_compass(fit.outline.plan().axis().degrees()),
        plane: prepared.survey().plane,
        surveys: &surveys,
        keep: &[],
        trim: None,
        accepted: &[],
        shape: None,
        surveyed,
        place_sd_m: prepared.place_sd_m(),
        point_sd_m: prepared.point_sd_m(),
        fit: &kept,
        rules: &RuleSet::laws(),
    };
    let get = |name: &str| files.get(name).cloned().ok_or_else(|| format!("there is no {name}"));
    let made = match before {
        None => register(&registration),
        Some(_) => {
            let there = String::from_utf8(get("venue.toml")?).map_err(text)?;
            replace(&there, &registration, &mut |name| get(name))
        }
    }
    .map_err(text)?;
    let mut out: String = doubts.iter().map(|d| format!("# {}\n", d.problem)).collect();
    for (name, bytes) in &made.files {
        out += &format!("# {name}: {} bytes\n", bytes.len());
    }
    Ok(out
        + &made
            .files
            .last()
            .map_or_else(String::new, |(_, bytes)| String::from_utf8_lossy(bytes).into_owned()))
}

/// The comparison of the venue with a new survey.
fn compared(files: &Files, file: &str, method: &str) -> Result<String, String> {
    let venue = venue_of(files)?;
    let solved = prepared(files, [file, method], Some(&venue))?.solve().map_err(text)?;
    let (was, is) = (Known::of_venue(&venue), Known::of_survey(&solved));
    let options = CompareOptions {
        planes: Planes::One,
        old_place_sd_m: was.place_sd_m,
        new_place_sd_m: is.place_sd_m,
        old_misfit_m: was.misfit_m,
        new_misfit_m: is.misfit_m,
    };
    let found = compare(&venue.ground, solved.ground(), &options).map_err(text)?;
    let d = &venue.document;
    let side = |name: &str, place_sd_m| CompareSide {
        name: name.to_owned(),
        venue: None,
        surveyed: None,
        place_sd_m,
    };
    let (old, new) = (side(&d.name, was.place_sd_m), side(file, is.place_sd_m));
    let told = CompareTold { old: &old, new: &new, names: &d.names, warnings: &[] };
    Ok(compare_report(&told, &found, paper()) + &compare_json(&told, &found))
}
