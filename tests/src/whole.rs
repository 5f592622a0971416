//! The whole way of a survey, from bytes to every text that a person may read of it: reading,
//! cleaning, settling, fitting, registering, opening again; and the cards of what was opened.
//!
//! What the program does with files is done here with bytes, so that thousands of surveys can
//! be taken all the way.

use ovalpeg::briefing::{MomentQuery, Summary, When, answer, briefing, phase_sheet};
use ovalpeg::export::{FitSource, FitTold, card, card_json, fit_json, fit_report, long_card};
use ovalpeg::fit::{Fit, FitOptions, Noise, ground, settle};
use ovalpeg::ground::Ground;
use ovalpeg::rules::{Edge, Method, RuleSet};
use ovalpeg::survey::{CleanOptions, Cleaned, Format, ReadOptions, Role, Survey, clean, read};
use ovalpeg::units::{Day, Problem, Warned};
use ovalpeg::venue::{FitFile, Names, Registered, Registration, Said, SurveyBytes, Venue, open, register};

/// Points of a line of which its residuals can tell whether errors run on: as the program has it.
const ASKED_FROM: usize = 24;

/// What is said of a survey beside its file.
#[derive(Debug, Clone, Default)]
pub struct Beside {
    /// What the reader is told.
    pub read: ReadOptions,
    /// How it was surveyed.
    pub method: Option<Method>,
    /// One standard deviation of a point, m.
    pub sigma_m: Option<f64>,
}

/// A text that a person may read, or a program.
#[derive(Debug, Clone)]
pub struct Text {
    /// What it is: `report`, `fit.json`, `card`, …
    pub name: &'static str,
    /// The text itself.
    pub text: String,
    /// Is it JSON?
    pub json: bool,
}

/// What came of a survey that could be taken all the way.
#[derive(Debug, Clone)]
pub struct Whole {
    /// The fit.
    pub fit: Fit,
    /// The venue, registered and opened again.
    pub venue: Venue,
    /// What is told of the fit, and what is kept of it.
    pub texts: Vec<Text>,
}

/// Where the way ended, and the words for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ended {
    /// The file was refused.
    Unread(String),
    /// No ground came of it.
    Unfitted(String),
    /// A venue was registered that does not open: always wrong.
    Unopened(String),
}

impl Ended {
    /// The words.
    #[must_use]
    pub fn words(&self) -> &str {
        match self {
            Self::Unread(text) | Self::Unfitted(text) | Self::Unopened(text) => text,
        }
    }
}

/// The day of every card.
///
/// # Errors
/// None: 2026-08-01 is a day.
fn day() -> Result<Day, Ended> {
    Day::new(2026, 8, 1).map_err(|e| Ended::Unopened(e.to_string()))
}

/// Takes a survey all the way.
///
/// # Errors
/// Where the way ended.
pub fn whole(bytes: &[u8], beside: &Beside) -> Result<Whole, Ended> {
    let Warned { value: survey, warnings } =
        read(bytes, &beside.read).map_err(|e| Ended::Unread(e.to_string()))?;
    fitted(bytes, &survey, warnings, beside)
}

/// Takes a survey that was read the rest of the way.
///
/// # Errors
/// Where the way ended.
pub fn fitted(
    bytes: &[u8],
    survey: &Survey,
    warnings: Vec<Problem>,
    beside: &Beside,
) -> Result<Whole, Ended> {
    let unfitted = |e: &dyn std::fmt::Display| Ended::Unfitted(e.to_string());
    let mut local = survey.plane().and_then(|p| survey.to_local(p)).map_err(|e| unfitted(&e))?;
    let walked = beside.method == Some(Method::Phone);
    if walked && survey.format == Format::Csv {
        local.points.iter_mut().filter(|p| p.role == Role::Line).for_each(|p| p.path = Some(0));
    }
    let mut how = CleanOptions::default();
    how.walked = walked;
    let cleaned =
        if beside.method == Some(Method::Trace) { Cleaned::untouched(local) } else { clean(local, &how) };
    let rules = RuleSet::laws();
    let mut options = FitOptions::with_end_width(rules.end_width_m());
    options.sources = vec![noise(survey, beside)];
    let settled = settle(cleaned.survey, &options).map_err(|e| unfitted(&e))?;
    let mut fit = ground(&settled.survey, &options).map_err(|e| unfitted(&e))?;
    if !fit.outline.plan().points_north() {
        fit = fit.end_for_end().map_err(|e| unfitted(&e))?;
    }
    let made = Ground::new(&fit.outline, &fit.spread, rules.clone()).map_err(|e| unfitted(&e))?;
    let summary = Summary::of(&made);
    let source =
        [FitSource { file: "survey", format: survey.format.id(), points: survey.observations.len() }];
    let warnings: Vec<Problem> = warnings.into_iter().chain(settled.warnings).collect();
    let told = FitTold {
        sources: &source,
        survey: &settled.survey,
        steps: &cleaned.report,
        books: &settled.books,
        warnings: &warnings,
    };
    let mut texts = vec![
        Text { name: "report", text: fit_report(&told, &fit, &summary), json: false },
        Text { name: "fit.json", text: fit_json(&told, &fit, &summary), json: true },
    ];
    let files = registered(bytes, survey, &settled.survey.plane, &fit, &rules, beside)?;
    let venue = opened(&files)?;
    for (name, bytes) in &files.files[1..] {
        let text = String::from_utf8_lossy(bytes).into_owned();
        let json = name.ends_with(".json");
        texts.push(Text { name: if json { "kept fit" } else { "venue.toml" }, text, json });
    }
    Ok(Whole { fit, venue, texts })
}

/// What is known of the errors beforehand: as the program has it.
fn noise(survey: &Survey, beside: &Beside) -> Noise {
    let method = beside.method;
    let line = survey.observations.iter().filter(|o| o.role == Role::Line).count();
    Noise {
        point_sd_m: beside.sigma_m.or(method.map(|m| m.point_sd_m().value)),
        line_offset_sd_m: method.map_or(0.0, |m| m.line_offset_sd_m().value),
        scale_sd: method.map_or(0.0, |m| m.scale_sd().value),
        runs_on: method.map_or(line >= ASKED_FROM, Method::error_runs_on),
        shift_sd_m: method.map_or(0.0, |m| m.place_sd_m().value),
        inside_m: 0.0,
    }
}

fn registered(
    bytes: &[u8],
    survey: &Survey,
    plane: &ovalpeg::frame::LocalPlane,
    fit: &Fit,
    rules: &RuleSet,
    beside: &Beside,
) -> Result<Registered, Ended> {
    let kept = FitFile::of(fit, rules.end_width_m());
    let surveys = [SurveyBytes {
        bytes,
        ending: survey.format.id(),
        method: beside.method,
        edge: Edge::Outer,
        line_width_m: None,
        said: Said { sigma_m: beside.sigma_m, ..Said::default() },
    }];
    Ok(register(&Registration {
        id: "whole",
        name: "Whole",
        names: &Names::by_compass(fit.outline.plan().axis().degrees()),
        plane: *plane,
        surveys: &surveys,
        keep: &[],
        shape: None,
        surveyed: day()?,
        fit: &kept,
        rules,
    }))
}

/// Opens what was registered.
///
/// # Errors
/// Why it does not open.
pub fn opened(files: &Registered) -> Result<Venue, Ended> {
    let get = |name: &str| {
        let found = files.files.iter().find(|(n, _)| n == name);
        found.map(|(_, bytes)| bytes.clone()).ok_or_else(|| format!("there is no {name}"))
    };
    let text = get("venue.toml").and_then(|b| String::from_utf8(b).map_err(|e| e.to_string()));
    text.and_then(|text| open(&text, get).map_err(|e| e.to_string())).map_err(Ended::Unopened)
}

/// Everything that is told of a venue: cards, and every phase of play.
///
/// # Errors
/// None but a day that is none.
pub fn cards(venue: &Venue) -> Result<Vec<Text>, Ended> {
    let b = briefing(venue, When { day: day()?, night: false, start: None });
    let phases: Vec<_> = phase_sheet(venue)
        .into_iter()
        .filter_map(|(title, moment)| {
            let query = MomentQuery::new(moment);
            Some((title, answer(venue, b.declination.as_ref(), &query).ok()?))
        })
        .collect();
    Ok(vec![
        Text { name: "card", text: card(venue, &b, false), json: false },
        Text { name: "long card", text: long_card(venue, &b, false), json: false },
        Text { name: "card.json", text: card_json(venue, &b, &phases), json: true },
    ])
}
