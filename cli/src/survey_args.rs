//! Options of a survey, and reading and fitting it.

use std::io::Read;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use clap::Args;
use ovalpeg::fit::{FitOptions, Noise};
use ovalpeg::frame::{Datum, LocalPlane, Zone};
use ovalpeg::rules::{Method, RuleSet};
use ovalpeg::survey::{LocalSurvey, MAX_BYTES, Patterns, ReadOptions, Survey, read};
use ovalpeg::units::Problem;

#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
pub(crate) struct SurveyArgs {
    /// The survey: KML, KMZ, GPX, GeoJSON or CSV, or - for standard input.
    #[arg(value_name = "SURVEY")]
    pub(crate) survey: PathBuf,
    /// How it was surveyed: rtk, phone, trace (off an image) or tape. Sets the
    /// standard deviations, and the errors that residuals can't show.
    #[arg(long, value_parser = method)]
    pub(crate) method: Option<Method>,
    /// One standard deviation of a point, metres, where the file gives none.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) sigma: Option<f64>,
    /// Datum of the coordinates: gda2020, gda94 or wgs84.
    #[arg(long, value_parser = datum)]
    pub(crate) datum: Option<Datum>,
    /// MGA zone of eastings and northings.
    #[arg(long, value_parser = zone)]
    pub(crate) zone: Option<Zone>,
    /// Height of the ground above the ellipsoid, metres [default: the file's, else 0].
    #[arg(long, value_name = "M", value_parser = height)]
    pub(crate) height: Option<f64>,
    /// Features whose name, folder or code holds this are the boundary, and nothing else is.
    #[arg(long, value_name = "TEXT")]
    pub(crate) boundary: Vec<String>,
    /// Features that are goal posts.
    #[arg(long, value_name = "TEXT")]
    pub(crate) goal_posts: Vec<String>,
    /// Features that are behind posts.
    #[arg(long, value_name = "TEXT")]
    pub(crate) behind_posts: Vec<String>,
    /// Features to leave out.
    #[arg(long, value_name = "TEXT")]
    pub(crate) ignore: Vec<String>,
    /// Rule set: laws, reduced-senior or juniors-u12 [default: laws].
    #[arg(long, value_name = "SET", value_parser = rules)]
    pub(crate) rules: Option<RuleSet>,
}

fn method(text: &str) -> Result<Method, String> {
    Method::find(text).ok_or_else(|| "one of rtk, phone, trace, tape".to_owned())
}

fn datum(text: &str) -> Result<Datum, String> {
    Datum::find(text).ok_or_else(|| "one of gda2020, gda94, wgs84".to_owned())
}

fn zone(text: &str) -> Result<Zone, String> {
    text.parse()
        .map_err(|_| "a whole number".to_owned())
        .and_then(|n| Zone::new(n).map_err(|e| e.to_string()))
}

fn rules(text: &str) -> Result<RuleSet, String> {
    RuleSet::find(text).ok_or_else(|| {
        let known: Vec<_> = RuleSet::all().iter().map(|r| r.id).collect();
        format!("one of {}", known.join(", "))
    })
}

fn positive(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(v) if v > 0.0 && v < 1e4 => Ok(v),
        _ => Err("a number of metres above nought".to_owned()),
    }
}

fn height(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(v) if (-1_000.0..=9_000.0).contains(&v) => Ok(v),
        _ => Err("a height in metres, -1000 to 9000".to_owned()),
    }
}

/// A survey as read from disk.
pub(crate) struct Loaded {
    pub(crate) name: String,
    pub(crate) bytes: Vec<u8>,
    pub(crate) survey: Survey,
    pub(crate) warnings: Vec<Problem>,
}

impl SurveyArgs {
    pub(crate) fn load(&self) -> Result<Loaded> {
        let name = self.survey.display().to_string();
        let bytes = bytes_of(&self.survey)?;
        let options = self.read_options();
        let read = read(&bytes, &options)
            .map_err(|e| anyhow::anyhow!("{e}"))
            .with_context(|| format!("the survey {name} can't be used"))?;
        let mut warnings = read.warnings;
        if self.method.is_none() {
            warnings.push(
                Problem::new("no survey method was named: errors that residuals can't show (scale, standing off the line) are not in the ±")
                    .hint("--method rtk, phone, trace or tape"),
            );
        }
        Ok(Loaded { name, bytes, survey: read.value, warnings })
    }

    fn read_options(&self) -> ReadOptions {
        let mut patterns = Patterns::default();
        patterns.ignore.clone_from(&self.ignore);
        patterns.goal_posts.clone_from(&self.goal_posts);
        patterns.behind_posts.clone_from(&self.behind_posts);
        patterns.boundary.clone_from(&self.boundary);
        let mut options = ReadOptions::default();
        options.datum = self.datum;
        options.zone = self.zone;
        options.height_m = self.height;
        options.patterns = patterns;
        options
    }

    /// Everything in one plane: the survey's own, or the one given.
    pub(crate) fn local(&self, loaded: &Loaded, plane: Option<LocalPlane>) -> Result<LocalSurvey> {
        let context = || format!("the survey {} can't be used", loaded.name);
        let plane = match plane {
            Some(p) => p,
            None => loaded.survey.plane().map_err(|e| anyhow::anyhow!("{e}")).with_context(context)?,
        };
        loaded.survey.to_local(plane).map_err(|e| anyhow::anyhow!("{e}")).with_context(context)
    }

    /// The rule set that was named, else the Laws.
    pub(crate) fn rule_set(&self) -> RuleSet {
        self.rules.clone().unwrap_or_else(RuleSet::laws)
    }

    pub(crate) fn fit_options(&self, rules: &RuleSet) -> FitOptions {
        let mut options = FitOptions::with_end_width(rules.end_width_m());
        options.noise = match self.method {
            None => Noise { point_sd_m: self.sigma, ..Noise::default() },
            Some(m) => Noise {
                point_sd_m: Some(self.sigma.unwrap_or(m.point_sd_m().value)),
                line_offset_sd_m: m.line_offset_sd_m().value,
                scale_sd: m.scale_sd().value,
                runs_on: m.error_runs_on(),
            },
        };
        options
    }
}

fn bytes_of(path: &Path) -> Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let limit = MAX_BYTES as u64 + 1;
    if path.as_os_str() == "-" {
        std::io::stdin().lock().take(limit).read_to_end(&mut bytes).context("reading standard input")?;
        return Ok(bytes);
    }
    if path.is_dir() {
        bail!("{} is a folder, not a survey file", path.display());
    }
    let file = std::fs::File::open(path)
        .with_context(|| format!("the survey {} can't be opened", path.display()))?;
    file.take(limit)
        .read_to_end(&mut bytes)
        .with_context(|| format!("the survey {} can't be read", path.display()))?;
    Ok(bytes)
}
