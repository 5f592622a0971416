//! Options of a survey, of one source or several, and reading it.

use std::io::Read;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};
use clap::Args;
use ovalpeg::fit::{FitOptions, Noise};
use ovalpeg::frame::{Datum, LocalPlane, Zone};
use ovalpeg::geometry::Model;
use ovalpeg::rules::{
    Edge, Method, RuleSet, line_width_m, line_width_sd_m, mark_on_line_sd_m, wgs84_as_gda2020_sd_m,
};
use ovalpeg::survey::{
    CleanOptions, Cleaned, Cleaning, Format, LocalSurvey, MAX_BYTES, Patterns, Position, ReadOptions, Role,
    Step, Survey, clean, is_notebook, no_heights, plane_of, read,
};
use ovalpeg::units::Problem;
use ovalpeg::units::print::for_terminal;
use ovalpeg::units::ranges::{HEIGHT_M, LINE_WIDTH_M, MGA_ZONE, SIGMA_M, SURVEYS};

use crate::store;

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
    /// Rule set: a name that `ovalpeg rules` lists, or a league's NAME.rules.toml [default: laws].
    #[arg(long, value_name = "SET")]
    pub(crate) rules: Option<String>,
}

impl SurveyOptions {
    /// The rule set that was named, else the Laws.
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

fn sigma(text: &str) -> Result<f64, String> {
    SIGMA_M.parse(text).map_err(|p| p.to_string())
}

fn line_width(text: &str) -> Result<f64, String> {
    LINE_WIDTH_M.parse(text).map_err(|p| p.to_string())
}

fn height(text: &str) -> Result<f64, String> {
    HEIGHT_M.parse(text).map_err(|p| p.to_string())
}

/// Points of a line of which its residuals can tell whether errors run on.
const ASKED_FROM: usize = 24;

/// One file of a survey, as read.
pub(crate) struct Source {
    pub(crate) name: String,
    pub(crate) bytes: Vec<u8>,
    pub(crate) survey: Survey,
    /// How it was surveyed; a notebook says so itself.
    pub(crate) method: Option<Method>,
    pub(crate) edge: Edge,
    pub(crate) line_width_m: f64,
    pub(crate) sigma_m: Option<f64>,
    pub(crate) datum: Option<Datum>,
    pub(crate) zone: Option<Zone>,
}

/// A survey as read from disk.
pub(crate) struct Loaded {
    pub(crate) sources: Vec<Source>,
    pub(crate) warnings: Vec<Problem>,
}

impl Loaded {
    /// What messages call it.
    pub(crate) fn name(&self) -> String {
        self.sources.iter().map(|s| s.name.as_str()).collect::<Vec<_>>().join(" with ")
    }
}

/// Where a file stands among all of a survey's files, and among those with coordinates.
#[derive(Clone, Copy)]
struct Turn {
    all: (usize, usize),
    located: (usize, usize),
    notebook: bool,
}

impl Turn {
    /// What an option says of this file: said once it holds for all, else for each in turn,
    /// with notebooks or without.
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
    pub(crate) fn load(&self) -> Result<Loaded> {
        if let Err(p) = SURVEYS.check(self.surveys.len()) {
            bail!("{p}");
        }
        let files: Vec<(String, Vec<u8>)> = self
            .surveys
            .iter()
            .map(|path| Ok((path.display().to_string(), bytes_of(path)?)))
            .collect::<Result<_>>()?;
        for (i, (name, bytes)) in files.iter().enumerate() {
            if let Some((other, _)) = files[..i].iter().find(|f| f.1 == *bytes) {
                bail!("{other} and {name} are the same file: its points would count twice. Leave one out");
            }
        }
        let several = files.len() > 1;
        let notebooks: Vec<bool> = files.iter().map(|f| is_notebook(&f.1)).collect();
        let located = notebooks.iter().filter(|n| !**n).count();
        if located == 0
            && !(self.options.sigma.is_empty()
                && self.options.datum.is_empty()
                && self.options.zone.is_empty())
        {
            bail!("--sigma, --datum and --zone say nothing of a tape notebook: write sd behind its measures");
        }
        let mut sources = Vec::new();
        let mut warnings = Vec::new();
        for (k, (name, bytes)) in files.into_iter().enumerate() {
            let notebook = notebooks[k];
            let before = notebooks[..k].iter().filter(|n| !**n).count();
            let turn = Turn { all: (k, notebooks.len()), located: (before, located), notebook };
            let datum = turn.pick(&self.options.datum, "--datum")?;
            let zone = turn.pick(&self.options.zone, "--zone")?;
            let options = self.read_options(datum, zone);
            let read = read(&bytes, &options).with_context(|| format!("the survey {name} can't be used"))?;
            warnings.extend(read.warnings.into_iter().map(|w| if several { in_file(&w, &name) } else { w }));
            let (method, sigma_m) =
                (turn.pick(&self.options.method, "--method")?, turn.pick(&self.options.sigma, "--sigma")?);
            let source = Source {
                // A notebook's measures bring their own.
                method: method.filter(|_| !notebook),
                sigma_m: sigma_m.filter(|_| !notebook),
                edge: turn.pick(&self.options.edge, "--edge")?.unwrap_or_default(),
                line_width_m: turn
                    .pick(&self.options.line_width, "--line-width")?
                    .unwrap_or(line_width_m().value),
                datum,
                zone,
                name,
                bytes,
                survey: read.value,
            };
            if several && !notebook {
                self.refuse_unweighed(&source)?;
            }
            if !notebook && source.method.is_none() {
                warnings.push(
                    Problem::new(format!(
                        "no survey method was named{}: errors that residuals can't show (scale, standing off the line) are not in the ±",
                        if several { format!(" for {}", source.name) } else { String::new() }
                    ))
                    .hint("--method rtk, phone, trace or tape"),
                );
            }
            sources.push(source);
        }
        let surveys: Vec<&Survey> = sources.iter().map(|s| &s.survey).collect();
        let earth = |s: &Survey| s.observations.iter().any(|o| !matches!(o.position, Position::Plane(_)));
        if several && surveys.iter().any(|s| earth(s)) && surveys.iter().all(|s| s.height_m.is_none()) {
            warnings.push(no_heights());
        }
        self.patterns(false)
            .refuse_unmatched(&surveys)
            .with_context(|| "the surveys can't be used together".to_owned())?;
        Ok(Loaded { sources, warnings })
    }

    /// Beside another survey, how much one is to be trusted must be known, and so must
    /// its datum where it may be metres off.
    fn refuse_unweighed(&self, s: &Source) -> Result<()> {
        let own_sds = s.survey.observations.iter().all(|o| o.sd_m.is_some());
        if s.method.is_none() && s.sigma_m.is_none() && !own_sds {
            bail!(
                "{} is adjusted beside other surveys, and nothing says how much it is to be trusted: say --method for each, in their order",
                s.name
            );
        }
        let grid = s.survey.observations.iter().any(|o| matches!(o.position, Position::Grid(_)));
        // A GeoJSON file with grid coordinates names their system itself.
        let stated = s.survey.format == Format::GeoJson;
        if grid && s.datum.is_none() && !stated {
            bail!(
                "{} has grid coordinates, and nothing says whether they are MGA2020 or MGA94, 1.8 m apart: beside another survey that matters. Say --datum gda2020 or --datum gda94",
                s.name
            );
        }
        Ok(())
    }

    fn patterns(&self, in_several: bool) -> Patterns {
        let mut patterns = Patterns::default();
        patterns.ignore.clone_from(&self.options.ignore);
        patterns.goal_posts.clone_from(&self.options.goal_posts);
        patterns.behind_posts.clone_from(&self.options.behind_posts);
        patterns.boundary.clone_from(&self.options.boundary);
        patterns.in_several = in_several;
        patterns
    }

    fn read_options(&self, datum: Option<Datum>, zone: Option<Zone>) -> ReadOptions {
        let mut options = ReadOptions::default();
        options.datum = datum;
        options.zone = zone;
        options.height_m = self.options.height;
        options.patterns = self.patterns(self.surveys.len() > 1);
        options
    }

    /// Everything in one plane (the survey's own, or the one given), its walks cleaned,
    /// and what cleaning found.
    pub(crate) fn local(
        &self,
        loaded: &Loaded,
        plane: Option<LocalPlane>,
    ) -> Result<(LocalSurvey, Vec<Step>)> {
        let context = || format!("the survey {} can't be used", loaded.name());
        let plane = match plane {
            Some(p) => p,
            None => {
                let surveys: Vec<&Survey> = loaded.sources.iter().map(|s| &s.survey).collect();
                plane_of(&surveys).with_context(context)?
            }
        };
        let mut locals = Vec::new();
        let mut found = Vec::new();
        for s in &loaded.sources {
            let mut local =
                s.survey.to_local(plane).with_context(|| format!("the survey {} can't be used", s.name))?;
            let walked = s.method == Some(Method::Phone);
            if walked && s.survey.format == Format::Csv {
                // The rows of a walk are a walk, with a clock or without.
                local.points.iter_mut().filter(|p| p.role == Role::Line).for_each(|p| p.path = Some(0));
            }
            let mut options = CleanOptions::default();
            options.walked = walked;
            options.steps = self.cleaning();
            // Nobody walked an image.
            let cleaned = if s.method == Some(Method::Trace) {
                Cleaned::untouched(local)
            } else {
                clean(local, &options)
            };
            found.extend(cleaned.report.into_iter().map(|mut step| {
                if loaded.sources.len() > 1 {
                    step.sentence = format!("{}: {}", s.name, step.sentence);
                }
                step
            }));
            locals.push((s.name.clone(), cleaned.survey));
        }
        let survey = match <[(String, LocalSurvey); 1]>::try_from(locals) {
            Ok([(_, one)]) => one,
            Err(several) => LocalSurvey::together(plane, several),
        };
        Ok((survey, found))
    }

    /// The steps of track cleaning that are taken.
    fn cleaning(&self) -> Vec<Cleaning> {
        Cleaning::ALL.into_iter().filter(|c| !self.options.keep.iter().any(|k| k.0.contains(c))).collect()
    }

    /// The steps of track cleaning that are left out.
    pub(crate) fn kept(&self) -> impl Iterator<Item = Cleaning> {
        Cleaning::ALL.into_iter().filter(|c| self.options.keep.iter().any(|k| k.0.contains(c)))
    }

    /// The rule set that was named, else the Laws.
    pub(crate) fn rule_set(&self, venues: &Path) -> Result<RuleSet> {
        self.options.rule_set(venues)
    }

    pub(crate) fn fit_options(&self, rules: &RuleSet, loaded: &Loaded) -> FitOptions {
        let mut options = FitOptions::with_end_width(rules.end_width_m());
        options.mark_sd_m = mark_on_line_sd_m().value;
        options.shape = self.options.shape;
        options.sources = loaded.sources.iter().map(Source::noise).collect();
        options
    }
}

impl Source {
    /// What is known of its errors beforehand.
    fn noise(&self) -> Noise {
        let share = self.edge.inside_share();
        let width_sd = share * line_width_sd_m().value;
        let earth = self.survey.observations.iter().any(|o| matches!(o.position, Position::Geodetic(_)));
        let datum_sd = if earth && matches!(self.datum, None | Some(Datum::Wgs84)) {
            wgs84_as_gda2020_sd_m().value
        } else {
            0.0
        };
        let method = self.method;
        let line = self.survey.observations.iter().filter(|o| o.role == Role::Line).count();
        Noise {
            point_sd_m: self.sigma_m.or(method.map(|m| m.point_sd_m().value)),
            line_offset_sd_m: method.map_or(0.0, |m| m.line_offset_sd_m().value).hypot(width_sd),
            scale_sd: method.map_or(0.0, |m| m.scale_sd().value),
            // Nobody said how it was surveyed, so the residuals are asked whether errors run on.
            runs_on: method.map_or(line >= ASKED_FROM, Method::error_runs_on),
            shift_sd_m: method.map_or(0.0, |m| m.place_sd_m().value).hypot(datum_sd),
            inside_m: share * self.line_width_m,
        }
    }
}

/// A warning with its file's name before its place.
pub(crate) fn in_file(w: &Problem, name: &str) -> Problem {
    let place = w.place().map_or_else(|| name.to_owned(), |p| format!("{name}, {p}"));
    let p = Problem::new(w.message()).at(place);
    match w.remedy() {
        Some(hint) => p.hint(hint),
        None => p,
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
