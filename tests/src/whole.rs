//! Takes a survey all the way: reads, cleans, fits and registers it, opens the venue again, and makes its
//! cards and every other text that a person may read.
//!
//! The program does this with files. Here it is done with bytes, so that thousands of surveys can be tested.

use ovalpeg::briefing::{MomentQuery, Summary, When, ZoneSizes, answer, briefing, phase_sheet};
use ovalpeg::export::{
    CARD_COLUMNS, FitTold, Paper, REPORT_COLUMNS, card, card_json, fit_json, fit_report, long_card,
};
use ovalpeg::fit::Fit;
use ovalpeg::rules::{Edge, Method, RuleSet};
use ovalpeg::solve::{SolveError, SolveOptions, Solved, Source, solve};
use ovalpeg::survey::ReadOptions;
use ovalpeg::units::{Day, Problem};
use ovalpeg::venue::{
    FitFile, Names, Registered, Registration, Said, SurveyBytes, Venue, above_end_mark, ground_trouble, open,
    register,
};

/// The options that a person gives with a survey's file.
#[derive(Debug, Clone, Default)]
pub struct Beside {
    /// Options for the reader.
    pub read: ReadOptions,
    /// How it was surveyed.
    pub method: Option<Method>,
    /// Standard deviation of a point, m.
    pub sigma_m: Option<f64>,
}

/// A text that a person or a program may read.
#[derive(Debug, Clone)]
pub struct Text {
    /// What it is: `report`, `fit.json`, `card`, …
    pub name: &'static str,
    /// The text itself.
    pub text: String,
    /// Is it JSON?
    pub json: bool,
}

/// The results of a survey that could be taken all the way.
#[derive(Debug, Clone)]
pub struct Whole {
    /// The fit.
    pub fit: Fit,
    /// The venue, registered and opened again.
    pub venue: Venue,
    /// The texts: reports of the fit, and the files of the venue.
    pub texts: Vec<Text>,
}

/// At which step a survey failed, with the message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ended {
    /// The file was refused.
    Unread(String),
    /// No ground could be fitted, or the ground can't be registered.
    Unfitted(String),
    /// A registered venue does not open, which is always an error of the library.
    Unopened(String),
}

impl std::fmt::Display for Ended {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.words())
    }
}

impl std::error::Error for Ended {}

impl Ended {
    /// The message.
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
/// At which step it failed.
pub fn whole(bytes: &[u8], beside: &Beside) -> Result<Whole, Ended> {
    let source = Source::new("survey", bytes)
        .method(beside.method)
        .sd_m(beside.sigma_m)
        .datum(beside.read.datum)
        .zone(beside.read.zone);
    let rules = RuleSet::laws();
    let mut options = SolveOptions::new(rules.clone());
    options.height_m = beside.read.height_m;
    options.patterns = beside.read.patterns.clone();
    let solved = solve(vec![source], &options).map_err(|e| match e {
        SolveError::Source { why, .. } => Ended::Unread(why.to_string()),
        SolveError::Notebooks { why, .. } => Ended::Unfitted(why.to_string()),
        SolveError::Fit { why, .. } => Ended::Unfitted(why.to_string()),
        other => Ended::Unfitted(other.to_string()),
    })?;
    let (fit, prepared) = (solved.fit(), solved.prepared());
    let unsound = ground_trouble(solved.ground());
    if let Some(first) = unsound.first() {
        return Err(Ended::Unfitted(first.to_string()));
    }
    let warnings: Vec<Problem> = prepared
        .warnings()
        .iter()
        .cloned()
        .chain(solved.doubts().iter().map(|d| d.problem.clone()))
        .collect();
    let told = FitTold::of(prepared, &warnings);
    let summary = Summary::of(solved.ground());
    let paper = Paper::new(REPORT_COLUMNS, false);
    let mut texts = vec![
        Text { name: "report", text: fit_report(&told, fit, &summary, paper), json: false },
        Text { name: "fit.json", text: fit_json(&told, fit, &summary), json: true },
    ];
    let files = registered(bytes, &solved, &FitFile::of(fit, rules.end_width_m()), beside)?;
    let venue = opened(&files, "")?;
    for (name, bytes) in &files.files[1..] {
        let text = String::from_utf8_lossy(bytes).into_owned();
        let json = name.ends_with(".json");
        texts.push(Text { name: if json { "kept fit" } else { "venue.toml" }, text, json });
    }
    Ok(Whole { fit: fit.clone(), venue, texts })
}

/// Registers a survey of one file with its fit.
///
/// # Errors
/// Why it makes no venue.
pub fn registered(
    bytes: &[u8],
    solved: &Solved,
    kept: &FitFile,
    beside: &Beside,
) -> Result<Registered, Ended> {
    let (fit, prepared) = (solved.fit(), solved.prepared());
    let ending = prepared.sources().next().map_or("csv", |(_, survey)| survey.format.id());
    let surveys = [SurveyBytes {
        bytes,
        ending,
        method: beside.method,
        edge: Edge::Outer,
        line_width_m: None,
        said: Said { sigma_m: beside.sigma_m, ..Said::default() },
    }];
    register(&Registration {
        id: "whole",
        name: "Whole",
        names: &Names::by_compass(fit.outline.plan().axis().degrees()),
        plane: prepared.survey().plane,
        surveys: &surveys,
        keep: &[],
        trim: None,
        accepted: &[],
        shape: None,
        surveyed: day()?,
        place_sd_m: prepared.place_sd_m(),
        point_sd_m: prepared.point_sd_m(),
        fit: kept,
        rules: &prepared.options().rules,
    })
    .map_err(|e| Ended::Unopened(e.to_string()))
}

/// Opens a registered venue, with `more` added to its venue file.
///
/// # Errors
/// Why it does not open.
pub fn opened(files: &Registered, more: &str) -> Result<Venue, Ended> {
    let get = |name: &str| {
        let found = files.files.iter().find(|(n, _)| n == name);
        found.map(|(_, bytes)| bytes.clone()).ok_or_else(|| format!("there is no {name}"))
    };
    let text = get("venue.toml").and_then(|b| String::from_utf8(b).map_err(|e| e.to_string()));
    let text = text.map(|text| if more.is_empty() { text } else { above_end_mark(&text, more) });
    text.and_then(|text| open(&text, get).map_err(|e| e.to_string())).map_err(Ended::Unopened)
}

/// The cards of a venue, and its phases of play.
///
/// # Errors
/// None, since the day of the cards is valid.
pub fn cards(venue: &Venue) -> Result<Vec<Text>, Ended> {
    let b = briefing(venue, When { day: day()?, night: false, start: None });
    let phases: Vec<_> = phase_sheet(venue)
        .into_iter()
        .filter_map(|(title, moment)| {
            let query = MomentQuery::new(moment);
            Some((title, answer(venue, b.declination.as_ref(), &query).ok()?))
        })
        .collect();
    let (zones, paper) = (ZoneSizes::of(&venue.ground), Paper::new(CARD_COLUMNS, false));
    Ok(vec![
        Text { name: "card", text: card(venue, &b, paper), json: false },
        Text { name: "long card", text: long_card(venue, &b, zones.as_ref(), paper), json: false },
        Text { name: "card.json", text: card_json(venue, &b, &phases), json: true },
    ])
}
