//! The options of a survey of one or several sources, and reading its files.

use std::io::Read;
use std::path::{Path, PathBuf};

use anyhow::{Context, Error, Result, anyhow, bail};
use clap::Args;
use ovalpeg::frame::{Datum, State, Zone};
use ovalpeg::geometry::Model;
use ovalpeg::rules::{Edge, Method, RuleSet, line_width_m};
use ovalpeg::solve::{Doubt, SolveError, SolveOptions, Source};
use ovalpeg::survey::{Cleaning, MAX_BYTES, Patterns, Trim, is_notebook};
use ovalpeg::units::print::for_terminal;
use ovalpeg::units::ranges::{HEIGHT_M, LINE_WIDTH_M, MGA_ZONE, SIGMA_M, SURVEYS};

use crate::store;
use crate::words::Unfitted;

#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
pub(crate) struct SurveyArgs {
    /// The survey: GPX, KML, KMZ, GeoJSON, CSV or a tape notebook; several are
    /// adjusted as one. - is standard input.
    #[arg(value_name = "SURVEY", required = true)]
    pub(crate) surveys: Vec<PathBuf>,
    #[command(flatten)]
    pub(crate) options: SurveyOptions,
}

/// Everything of a survey but its files.
#[derive(Debug, Clone, Args)]
#[command(allow_negative_numbers = true)]
pub(crate) struct SurveyOptions {
    /// How it was surveyed: rtk, phone, trace (off an image) or tape. Sets the
    /// standard deviations, and the errors that residuals can't show. Once for all,
    /// or once for each survey in their order (tape notebooks may be passed over);
    /// likewise --sigma, --datum, --zone, --edge and --line-width.
    #[arg(long, value_parser = method)]
    pub(crate) method: Vec<Method>,
    /// One standard deviation of a point, metres, where the file gives none.
    #[arg(long, value_name = "M", value_parser = sigma)]
    pub(crate) sigma: Vec<f64>,
    /// Datum of the coordinates: gda2020, gda94 or wgs84.
    #[arg(long, value_parser = datum)]
    pub(crate) datum: Vec<Datum>,
    /// MGA zone of eastings and northings.
    #[arg(long, value_parser = zone)]
    pub(crate) zone: Vec<Zone>,
    /// State or territory that the ground lies in: coordinates elsewhere are told.
    #[arg(long, value_parser = state)]
    pub(crate) state: Option<State>,
    /// Height of the ground above the ellipsoid, metres [default: the file's, else 0].
    #[arg(long, value_name = "M", value_parser = height)]
    pub(crate) height: Option<f64>,
    /// Which edge of the painted line was surveyed: outer, centre or inner [default: outer].
    #[arg(long, value_parser = edge)]
    pub(crate) edge: Vec<Edge>,
    /// Width of the painted line, metres, for --edge centre and inner [default: 0.05].
    #[arg(long, value_name = "M", value_parser = line_width)]
    pub(crate) line_width: Vec<f64>,
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
    /// The shape of the line: ellipse, four-arc, cut-ellipse (one straight side) or
    /// freeform [default: the simplest that the survey does not rule out].
    #[arg(long, value_name = "SHAPE", value_parser = shape)]
    pub(crate) shape: Option<Model>,
    /// A step of track cleaning to leave out: spikes, pauses, spurs, approach, overlap or all.
    #[arg(long, value_name = "STEP", value_parser = steps)]
    pub(crate) keep: Vec<Steps>,
    /// How much to cut off both ends of a walk before it is cleaned: 40 m, 120 s, 3 min,
    /// or one for each end: "3 min, 40 m".
    #[arg(long, value_name = "CUT", value_parser = trim)]
    pub(crate) trim: Option<Trim>,
    /// A guess that you have looked at and accept: grid, plane, place, zone, shape, size, near or date.
    #[arg(long, value_name = "NAME", value_parser = doubt)]
    pub(crate) accept: Vec<Doubt>,
    /// Rule set: a name that `ovalpeg rules` lists, or a league's NAME.rules.toml [default: laws].
    #[arg(long, value_name = "SET")]
    pub(crate) rules: Option<String>,
}

impl SurveyOptions {
    /// The rule set that was named, or else the Laws.
    pub(crate) fn rule_set(&self, venues: &Path) -> Result<RuleSet> {
        let Some(name) = &self.rules else { return Ok(RuleSet::laws()) };
        store::rule_set(venues, name).with_context(|| format!("--rules '{}'", for_terminal(name)))
    }
}

/// One step of track cleaning, or all of them.
#[derive(Debug, Clone)]
pub(crate) struct Steps(Vec<Cleaning>);

fn steps(text: &str) -> Result<Steps, String> {
    if text == "all" {
        return Ok(Steps(Cleaning::ALL.to_vec()));
    }
    Cleaning::find(text)
        .map(|c| Steps(vec![c]))
        .ok_or_else(|| "one of spikes, pauses, spurs, approach, overlap, all".to_owned())
}

fn method(text: &str) -> Result<Method, String> {
    Method::find(text).ok_or_else(|| "one of rtk, phone, trace, tape".to_owned())
}

fn doubt(text: &str) -> Result<Doubt, String> {
    Doubt::find(text).ok_or_else(|| format!("one of {}", Doubt::ALL.map(Doubt::id).join(", ")))
}

fn shape(text: &str) -> Result<Model, String> {
    Model::find(text).ok_or_else(|| format!("one of {}", Model::ALL.map(Model::id).join(", ")))
}

fn datum(text: &str) -> Result<Datum, String> {
    Datum::find(text).ok_or_else(|| "one of gda2020, gda94, wgs84".to_owned())
}

fn edge(text: &str) -> Result<Edge, String> {
    Edge::find(text).ok_or_else(|| "one of outer, centre, inner".to_owned())
}

fn zone(text: &str) -> Result<Zone, String> {
    let wrong = || format!("an MGA zone is a whole number, {MGA_ZONE}");
    text.parse().ok().and_then(|n| Zone::new(n).ok()).ok_or_else(wrong)
}

fn state(text: &str) -> Result<State, String> {
    State::find(text).ok_or_else(|| format!("one of {}", State::ALL.map(State::id).join(", ")))
}

fn trim(text: &str) -> Result<Trim, String> {
    text.parse::<Trim>().map_err(|p| p.to_string())
}

fn sigma(text: &str) -> Result<f64, String> {
    SIGMA_M.parse(text).map_err(|p| p.to_string())
}

fn line_width(text: &str) -> Result<f64, String> {
    LINE_WIDTH_M.parse(text).map_err(|p| p.to_string())
}

fn height(text: &str) -> Result<f64, String> {
    HEIGHT_M.parse(text).map_err(|p| p.to_string())
}

/// A file's position and the count, among all of a survey's files and among those with coordinates.
#[derive(Clone, Copy)]
struct Turn {
    all: (usize, usize),
    located: (usize, usize),
    notebook: bool,
}

impl Turn {
    /// An option's value for this file. Given once, it holds for all files; otherwise there must be one for
    /// each file, or one for each file that is not a notebook.
    fn pick<T: Copy>(self, list: &[T], option: &str) -> Result<Option<T>> {
        let n = list.len();
        if n <= 1 {
            return Ok(list.first().copied());
        }
        if n == self.all.1 {
            return Ok(list.get(self.all.0).copied());
        }
        if n == self.located.1 {
            return Ok(if self.notebook { None } else { list.get(self.located.0).copied() });
        }
        bail!(
            "{option} is given {n} times for {} surveys: give it once for all, or once for each in their order",
            self.all.1
        )
    }
}

impl SurveyArgs {
    /// The files, each with its options.
    pub(crate) fn sources(&self) -> Result<Vec<Source>> {
        if let Err(p) = SURVEYS.check(self.surveys.len()) {
            bail!("{p}");
        }
        let files: Vec<(String, Vec<u8>)> = self
            .surveys
            .iter()
            .map(|path| Ok((path.display().to_string(), bytes_of(path)?)))
            .collect::<Result<_>>()?;
        let notebooks: Vec<bool> = files.iter().map(|f| is_notebook(&f.1)).collect();
        let located = notebooks.iter().filter(|n| !**n).count();
        let o = &self.options;
        if located == 0 && !(o.sigma.is_empty() && o.datum.is_empty() && o.zone.is_empty()) {
            bail!("--sigma, --datum and --zone say nothing of a tape notebook: write sd behind its measures");
        }
        let mut sources = Vec::new();
        for (k, (name, bytes)) in files.into_iter().enumerate() {
            let before = notebooks[..k].iter().filter(|n| !**n).count();
            let turn = Turn { all: (k, notebooks.len()), located: (before, located), notebook: notebooks[k] };
            let width = turn.pick(&o.line_width, "--line-width")?.unwrap_or(line_width_m().value);
            let source = Source::new(name, bytes)
                .method(turn.pick(&o.method, "--method")?)
                .sd_m(turn.pick(&o.sigma, "--sigma")?)
                .datum(turn.pick(&o.datum, "--datum")?)
                .zone(turn.pick(&o.zone, "--zone")?)
                .state(o.state)
                .edge(turn.pick(&o.edge, "--edge")?.unwrap_or_default(), width);
            sources.push(source);
        }
        Ok(sources)
    }

    /// The options for `solve`.
    pub(crate) fn solving(&self, rules: RuleSet) -> SolveOptions {
        let mut options = SolveOptions::new(rules);
        options.height_m = self.options.height;
        options.patterns = self.patterns();
        options.keep = self.kept().collect();
        options.trim = self.options.trim;
        options.shape = self.options.shape;
        options.accept.clone_from(&self.options.accept);
        options
    }

    fn patterns(&self) -> Patterns {
        let mut patterns = Patterns::default();
        patterns.ignore.clone_from(&self.options.ignore);
        patterns.goal_posts.clone_from(&self.options.goal_posts);
        patterns.behind_posts.clone_from(&self.options.behind_posts);
        patterns.boundary.clone_from(&self.options.boundary);
        patterns
    }

    /// The steps of track cleaning that are left out.
    pub(crate) fn kept(&self) -> impl Iterator<Item = Cleaning> {
        Cleaning::ALL.into_iter().filter(|c| self.options.keep.iter().any(|k| k.0.contains(c)))
    }

    /// The rule set that was named, or else the Laws.
    pub(crate) fn rule_set(&self, venues: &Path) -> Result<RuleSet> {
        self.options.rule_set(venues)
    }
}

/// The error message for a survey without a ground: the file first, and the reason beneath.
pub(crate) fn unsolved(e: SolveError) -> Error {
    let remedies = e.settled_by();
    match e {
        SolveError::Source { name, why } => {
            Error::new(why).context(format!("the survey {name} can't be used"))
        }
        SolveError::Together { why } => Error::new(why).context("the surveys can't be used together"),
        SolveError::Notebooks { names, why } => {
            Error::new(*why).context(format!("the survey {names} can't be used"))
        }
        SolveError::Fit { names, why, steps, .. } => {
            let found = steps.into_iter().map(|s| s.sentence).collect();
            Error::new(Unfitted { why: *why, remedies, found })
                .context(format!("no ground could be fitted to {names}"))
        }
        SolveError::TooUncertain { names, why } => {
            anyhow!("within its uncertainty {why}").context(format!("no ground could be fitted to {names}"))
        }
        SolveError::CurveOfMore { names } => anyhow!(
            "--curve-only fits the points of one file as they are: leave it out to adjust {names} as one"
        ),
        other => Error::new(other),
    }
}

pub(crate) fn bytes_of(path: &Path) -> Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let limit = MAX_BYTES as u64 + 1;
    if path.as_os_str() == "-" {
        std::io::stdin().lock().take(limit).read_to_end(&mut bytes).context("reading standard input")?;
        return Ok(bytes);
    }
    store::read(path, MAX_BYTES).map_err(|why| {
        let hint = if why.contains("a pipe") { ": give what it holds as standard input, with -" } else { "" };
        anyhow!("the survey {} can't be read: {why}{hint}", path.display())
    })
}
