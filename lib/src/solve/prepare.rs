//! From files to a survey that can be fitted: read, brought into one plane, walks cleaned, notebooks
//! adjusted.

use super::day::local_day;
use super::doubts::{of_shape, of_source};
use super::noise::noise;
use super::rounded::{rounding_sd_m, step_m};
use super::{Doubted, SolveError, SolveOptions, Source};
use crate::fit::{Curve, FitOptions, Noise, SettledBook, curve, settle};
use crate::frame::{Local, LocalPlane};
use crate::geometry::Shape;
use crate::rules::{Method, mark_on_line_sd_m};
use crate::survey::{
    CleanOptions, Cleaned, Cleaning, Format, LocalSurvey, Patterns, Position, ReadOptions, Role, Step,
    Survey, clean, clean_again, is_notebook, no_heights, plane_of, read,
};
use crate::units::ranges::{HEIGHT_M, SURVEYS};
use crate::units::{Day, Problem, Remedy, Setting, Warned};

/// A survey ready to be fitted, and what there is to tell of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Prepared {
    sources: Vec<(Source, Survey)>,
    survey: LocalSurvey,
    steps: Vec<Step>,
    books: Vec<SettledBook>,
    warnings: Vec<Problem>,
    doubts: Vec<Doubted>,
    fit_options: FitOptions,
    options: SolveOptions,
}

impl Prepared {
    /// The files with what was read of each.
    pub fn sources(&self) -> impl Iterator<Item = (&Source, &Survey)> {
        self.sources.iter().map(|(source, survey)| (source, survey))
    }

    /// What messages call them all.
    #[must_use]
    pub fn name(&self) -> String {
        names(self.sources.iter().map(|(s, _)| s))
    }

    /// The survey in its plane, its marks points.
    #[must_use]
    pub fn survey(&self) -> &LocalSurvey {
        &self.survey
    }

    /// What track cleaning found.
    #[must_use]
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// The tape notebooks, adjusted.
    #[must_use]
    pub fn books(&self) -> &[SettledBook] {
        &self.books
    }

    /// What the person should know.
    #[must_use]
    pub fn warnings(&self) -> &[Problem] {
        &self.warnings
    }

    /// What the files leave to be guessed at, accepted or not.
    #[must_use]
    pub fn doubts(&self) -> &[Doubted] {
        &self.doubts
    }

    /// What was asked.
    #[must_use]
    pub fn options(&self) -> &SolveOptions {
        &self.options
    }

    /// Was one of the files walked with a phone?
    pub(super) fn is_walked(&self) -> bool {
        self.sources.iter().any(|(source, _)| source.method == Some(Method::Phone))
    }

    pub(super) fn fit_options(&self) -> &FitOptions {
        &self.fit_options
    }

    /// The same with what lies off the line that was fitted to it cleaned too; `None` where nothing does, and of
    /// several sources, which may each lie beside the line as a whole.
    pub(super) fn cleaned_again(&self, line: &Shape<Local>) -> Option<Self> {
        let [(source, _)] = &self.sources[..] else { return None };
        let options = clean_options(source, &self.options)?;
        let mut survey = self.survey.clone();
        let more = clean_again(&mut survey, line, &options);
        if more.is_empty() {
            return None;
        }
        let mut again = Self { survey, ..self.clone() };
        again.steps.extend(more);
        Some(again)
    }

    /// The one error in place of a survey that is one source, m; several sources carry their places'
    /// errors in the fit itself.
    #[must_use]
    pub fn place_sd_m(&self) -> f64 {
        match &self.fit_options.sources[..] {
            [only] => only.shift_sd_m,
            _ => 0.0,
        }
    }

    /// The standard deviation of a point of a survey that is one source, m.
    #[must_use]
    pub fn point_sd_m(&self) -> Option<f64> {
        match &self.fit_options.sources[..] {
            [only] => only.point_sd_m,
            _ => None,
        }
    }

    /// The local day of the latest walk among the files, by its own clock and place; `None` where none has a
    /// clock.
    #[must_use]
    pub fn local_day(&self) -> Option<Day> {
        self.sources.iter().filter_map(|(_, survey)| local_day(survey)).max()
    }

    /// A curve alone, with no goal lines, through the points of one file.
    ///
    /// # Errors
    /// [`SolveError::CurveOfMore`], [`SolveError::Fit`].
    pub fn curve(&self) -> Result<Curve, SolveError> {
        if self.sources.len() > 1 || !self.books.is_empty() {
            return Err(SolveError::CurveOfMore { names: self.name() });
        }
        curve(&self.survey, &self.fit_options).map_err(|why| SolveError::Fit {
            names: self.name(),
            why: Box::new(why),
            steps: self.steps.clone(),
            walked: self.is_walked(),
        })
    }
}

/// Reads, cleans and settles a survey's files.
///
/// # Errors
/// [`SolveError`], naming the file.
pub fn prepare(sources: Vec<Source>, options: &SolveOptions) -> Result<Prepared, SolveError> {
    let Warned { value: mut sources, mut warnings } = read_all(sources, options)?;
    let mut doubts = Vec::new();
    let mut noises = Vec::new();
    for (source, survey) in &mut sources {
        let mut of = noise(source, survey);
        doubts.extend(of_source(source, survey, of.point_sd_m));
        round(survey, &mut of);
        noises.push(of);
    }
    let names = names(sources.iter().map(|(s, _)| s));
    let plane = match options.plane {
        Some(plane) => plane,
        None => {
            let surveys: Vec<&Survey> = sources.iter().map(|(_, survey)| survey).collect();
            plane_of(&surveys).map_err(|why| SolveError::Source { name: names.clone(), why })?
        }
    };
    let (local, steps) = in_plane(&sources, plane, options)?;
    let mut fit_options = FitOptions::with_end_width(options.rules.end_width_m());
    fit_options.mark_sd_m = mark_on_line_sd_m().value;
    fit_options.shape = options.shape;
    fit_options.sources = noises;
    let settled =
        settle(local, &fit_options).map_err(|why| SolveError::Notebooks { names, why: Box::new(why) })?;
    warnings.extend(settled.warnings);
    doubts.extend(of_shape(&settled.survey));
    Ok(Prepared {
        sources,
        survey: settled.survey,
        steps,
        books: settled.books,
        warnings,
        doubts,
        fit_options,
        options: options.clone(),
    })
}

/// Coordinates that are rounded more coarsely than they are said to be good carry the rounding in their
/// standard deviations.
fn round(survey: &mut Survey, of: &mut Noise) {
    let Some(step) = step_m(survey) else { return };
    let with = |sd: f64| if step > sd { sd.hypot(rounding_sd_m(step)) } else { sd };
    of.point_sd_m = of.point_sd_m.map(with);
    for o in &mut survey.observations {
        o.sd_m = o.sd_m.map(with);
    }
}

fn names<'a>(sources: impl Iterator<Item = &'a Source>) -> String {
    sources.map(Source::name).collect::<Vec<_>>().join(" with ")
}

/// Every file as read.
fn read_all(
    sources: Vec<Source>,
    options: &SolveOptions,
) -> Result<Warned<Vec<(Source, Survey)>>, SolveError> {
    if sources.is_empty() {
        return Err(SolveError::Nothing);
    }
    SURVEYS.check(sources.len()).map_err(SolveError::together)?;
    for source in &sources {
        let height = options.height_m.map_or(Ok(0.0), |h| HEIGHT_M.check(h));
        source
            .check()
            .and(height.map(|_| ()))
            .map_err(|p| SolveError::Source { name: source.name.clone(), why: p.into() })?;
    }
    for (i, s) in sources.iter().enumerate() {
        if let Some(other) = sources[..i].iter().find(|o| o.bytes == s.bytes) {
            return Err(SolveError::together(Problem::new(format!(
                "{} and {} are the same file: its points would count twice. Leave one out",
                other.name, s.name
            ))));
        }
    }
    let several = sources.len() > 1;
    let mut warnings = Vec::new();
    let mut all: Vec<(Source, Survey)> = Vec::new();
    for mut source in sources {
        let notebook = is_notebook(&source.bytes);
        if notebook {
            // A notebook's measures bring their own.
            (source.method, source.sd_m) = (None, None);
        }
        let patterns = Patterns { in_several: several, ..options.patterns.clone() };
        let (datum, zone, height_m) = (source.datum, source.zone, options.height_m);
        let how = ReadOptions { datum, zone, height_m, patterns };
        let found =
            read(&source.bytes, &how).map_err(|why| SolveError::Source { name: source.name.clone(), why })?;
        // What is said of a line names its file, and with several so does everything.
        let named = |w: Problem| {
            if several || w.place().is_some() { w.in_file(&source.name) } else { w }
        };
        warnings.extend(found.warnings.into_iter().map(named));
        let survey = found.value;
        if several && !notebook {
            refuse_unweighed(&source, &survey)?;
        }
        if !notebook && source.method.is_none() {
            let of = if several { format!(" for {}", source.name) } else { String::new() };
            warnings.push(
                Problem::new(format!(
                    "no survey method was named{of}: errors that residuals can't show (scale, standing off the line) are not in the ±"
                ))
                .settle(Remedy::say(Setting::Method).one_of(Method::ALL.map(Method::id))),
            );
        }
        all.push((source, survey));
    }
    let earth = |s: &Survey| s.observations.iter().any(|o| !matches!(o.position, Position::Plane(_)));
    let surveys: Vec<&Survey> = all.iter().map(|(_, survey)| survey).collect();
    if several && surveys.iter().any(|s| earth(s)) && surveys.iter().all(|s| s.height_m.is_none()) {
        warnings.push(no_heights());
    }
    let alone = Patterns { in_several: false, ..options.patterns.clone() };
    alone.refuse_unmatched(&surveys).map_err(|why| SolveError::Together { why })?;
    Ok(Warned { value: all, warnings })
}

/// Beside another survey, how much one is to be trusted must be known, and so must its datum where it
/// may be metres off.
fn refuse_unweighed(source: &Source, survey: &Survey) -> Result<(), SolveError> {
    let own_sds = survey.observations.iter().all(|o| o.sd_m.is_some());
    if source.method.is_none() && source.sd_m.is_none() && !own_sds {
        return Err(SolveError::together(
            Problem::new(format!(
                "{} is adjusted beside other surveys, and nothing says how much it is to be trusted",
                source.name
            ))
            .hint("for each, in their order")
            .settle(Remedy::say(Setting::Method).one_of(Method::ALL.map(Method::id))),
        ));
    }
    let grid = survey.observations.iter().any(|o| matches!(o.position, Position::Grid(_)));
    // A GeoJSON file with grid coordinates names their system itself, and a table may.
    let stated = survey.format == Format::GeoJson || survey.names_datum;
    if grid && source.datum.is_none() && !stated {
        return Err(SolveError::together(
            Problem::new(format!(
                "{} has grid coordinates, and nothing says whether they are MGA2020 or MGA94, 1.8 m apart: beside another survey that matters",
                source.name
            ))
            .settle(Remedy::say(Setting::Datum).one_of(["gda2020", "gda94"])),
        ));
    }
    Ok(())
}

/// Everything in one plane, its walks cleaned, and what cleaning found.
fn in_plane(
    sources: &[(Source, Survey)],
    plane: LocalPlane,
    asked: &SolveOptions,
) -> Result<(LocalSurvey, Vec<Step>), SolveError> {
    let mut locals = Vec::new();
    let mut steps = Vec::new();
    for (source, survey) in sources {
        let mut local =
            survey.to_local(plane).map_err(|why| SolveError::Source { name: source.name.clone(), why })?;
        let walked = source.method == Some(Method::Phone);
        if walked && survey.format == Format::Csv {
            // The rows of a walk are a walk, with a clock or without.
            local.points.iter_mut().filter(|p| p.role == Role::Line).for_each(|p| p.path = Some(0));
        }
        let cleaned = match clean_options(source, asked) {
            Some(options) => clean(local, &options),
            None => Cleaned::untouched(local),
        };
        steps.extend(cleaned.report.into_iter().map(|mut step| {
            if sources.len() > 1 {
                step.sentence = format!("{}: {}", source.name, step.sentence);
            }
            step
        }));
        locals.push((source.name.clone(), cleaned.survey));
    }
    let survey = match <[(String, LocalSurvey); 1]>::try_from(locals) {
        Ok([(_, one)]) => one,
        Err(several) => LocalSurvey::together(plane, several),
    };
    Ok((survey, steps))
}

/// How a source's walks are cleaned; `None`: nobody walked an image.
fn clean_options(source: &Source, asked: &SolveOptions) -> Option<CleanOptions> {
    let steps = Cleaning::ALL.into_iter().filter(|c| !asked.keep.contains(c)).collect();
    let walked = source.method == Some(Method::Phone);
    (source.method != Some(Method::Trace)).then_some(CleanOptions { walked, steps, trim: asked.trim })
}
