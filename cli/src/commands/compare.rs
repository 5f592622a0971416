//! `ovalpeg compare`.

use std::path::{Path, PathBuf};

use anyhow::{Context, Error, Result, anyhow, bail};
use ovalpeg::compare::{CompareError, CompareOptions, Comparison, Known, Planes, compare};
use ovalpeg::export::{CompareSide, CompareTold, REPORT_COLUMNS, compare_json, compare_report};
use ovalpeg::frame::LocalPlane;
use ovalpeg::ground::Ground;
use ovalpeg::rules::RuleSet;
use ovalpeg::solve::{Prepared, prepare};
use ovalpeg::survey::is_notebook;
use ovalpeg::units::print::fixed;
use ovalpeg::units::{Problem, Refused};
use ovalpeg::venue::{Names, Venue, ground_trouble};

use super::Outcome;
use super::fit::warnings_of;
use crate::args::CompareArgs;
use crate::output::{self, Width};
use crate::store;
use crate::survey_args::{SurveyArgs, SurveyOptions, bytes_of, unsolved};

/// One of the two things to compare, as named on the command line.
enum Named {
    Venue(Box<Venue>),
    Survey(Vec<PathBuf>),
}

/// One of the two things to compare, with its ground.
struct Sided {
    told: CompareSide,
    ground: Ground,
    plane: LocalPlane,
    misfit_m: f64,
    /// Is it a tape network without a known north, or without known left and right?
    free: bool,
    names: Option<Names>,
    warnings: Vec<Problem>,
}

pub(super) fn run(args: &CompareArgs, width: Width) -> Result<Outcome> {
    let old = named(args, &args.old, &args.old_with, "--old-with")?;
    let new = named(args, &args.new, &args.new_with, "--new-with")?;
    let (old, new) = both(args, old, new)?;
    let (found, more) = compared(args, &old, &new)?;
    // Ends and sides are the old ground's. A venue's names are preferred to compass directions.
    let names = match (&old.names, &new.names) {
        (Some(names), _) => names.clone(),
        (None, Some(names)) if found.end_for_end => names.end_for_end(),
        (None, Some(names)) => names.clone(),
        (None, None) => Names::by_compass(old.ground.oval().plan().axis().degrees()),
    };
    let warnings: Vec<Problem> = more.into_iter().chain(old.warnings).chain(new.warnings).collect();
    let told = CompareTold { old: &old.told, new: &new.told, names: &names, warnings: &warnings };
    output::print(&if args.json {
        compare_json(&told, &found)
    } else {
        compare_report(&told, &found, width.paper(REPORT_COLUMNS, args.ascii))
    })?;
    Ok(if found.changed() { Outcome::Findings } else { Outcome::Done })
}

fn named(args: &CompareArgs, name: &str, with: &[PathBuf], option: &str) -> Result<Named> {
    let path = Path::new(name);
    // A pipe or a device is taken for a survey, and is refused when it is read.
    let file = path.exists() && !path.is_dir() && path.file_name().is_none_or(|f| f != store::VENUE_FILE);
    if name == "-" || file {
        return Ok(Named::Survey(std::iter::once(path.to_owned()).chain(with.iter().cloned()).collect()));
    }
    let folder = store::folder(&args.venues.venues, name)
        .map_err(|e| anyhow!("{name} is no file of a survey, and {e}"))?;
    if !with.is_empty() {
        bail!("{option} is for a survey, and {name} is a venue");
    }
    Ok(Named::Venue(Box::new(store::load(&folder)?)))
}

/// Both grounds. A survey is brought into the venue's plane, and of two surveys the new one into the old
/// one's plane, where both planes are of the same kind.
fn both(args: &CompareArgs, old: Named, new: Named) -> Result<(Sided, Sided)> {
    let venue_rules = [&old, &new].into_iter().find_map(|n| match n {
        Named::Venue(v) => Some(v.document.rules.clone()),
        Named::Survey(_) => None,
    });
    if venue_rules.is_some() && args.options.rules.is_some() {
        bail!("--rules is for surveys alone: the venue has its own");
    }
    let rules = venue_rules.map_or_else(|| args.options.rule_set(&args.venues.venues), Ok)?;
    let place_sds = match args.place_sd[..] {
        [] => [None, None],
        [both] => [Some(both); 2],
        [old, new] => [Some(old), Some(new)],
        _ => bail!("--place-sd is given {} times: once for both, or once for each", args.place_sd.len()),
    };
    let [old_sd, new_sd] = place_sds;
    Ok(match (old, new) {
        (Named::Venue(old), Named::Venue(new)) => (of_venue(*old, old_sd), of_venue(*new, new_sd)),
        (Named::Venue(old), Named::Survey(new)) => {
            let old = of_venue(*old, old_sd);
            let new = of_survey(new, args.options.clone(), Some(old.plane), &rules, new_sd)?;
            (old, new)
        }
        (Named::Survey(old), Named::Venue(new)) => {
            let new = of_venue(*new, new_sd);
            (of_survey(old, args.options.clone(), Some(new.plane), &rules, old_sd)?, new)
        }
        (Named::Survey(old), Named::Survey(new)) => {
            let stdin = |files: &[PathBuf]| files.iter().any(|f| f.as_os_str() == "-");
            if stdin(&old) && stdin(&new) {
                bail!("standard input can't be both surveys");
            }
            let [first, second] = shared_out(&args.options, located(&old)?, located(&new)?)?;
            let old = of_survey(old, first, None, &rules, old_sd)?;
            let new = of_survey(new, second, Some(old.plane), &rules, new_sd)?;
            (old, new)
        }
    })
}

fn of_venue(venue: Venue, place_sd: Option<f64>) -> Sided {
    let known = Known::of_venue(&venue);
    let d = venue.document;
    let mut warnings = Vec::new();
    if let [only] = &d.surveys[..]
        && only.method.is_none()
    {
        warnings.push(Problem::new(format!(
            "no survey method is kept for {}: errors that residuals can't show are not in the ±",
            d.name
        )));
    }
    warnings.extend(departs(&d.name, known.misfit_m));
    Sided {
        told: CompareSide {
            name: d.name,
            venue: Some(d.id),
            surveyed: Some(d.surveyed),
            place_sd_m: place_sd.unwrap_or(known.place_sd_m),
        },
        ground: venue.ground,
        plane: d.plane,
        misfit_m: known.misfit_m,
        free: false,
        names: Some(d.names),
        warnings,
    }
}

/// The least misfit that is worth a warning, m: the width of a painted line.
const MISFIT_TOLD_M: f64 = 0.1;

fn departs(name: &str, misfit_m: f64) -> Option<Problem> {
    (misfit_m >= MISFIT_TOLD_M).then(|| {
        Problem::new(format!(
            "the line of {name} lies off the shape that was fitted by {} m (root mean square) beyond its points' scatter: that is in the ± of widths and line, and a change that this shape can't take up is not seen",
            fixed(misfit_m, 2)
        ))
    })
}

fn of_survey(
    surveys: Vec<PathBuf>,
    options: SurveyOptions,
    plane: Option<LocalPlane>,
    rules: &RuleSet,
    place_sd: Option<f64>,
) -> Result<Sided> {
    let args = SurveyArgs { surveys, options };
    let solved = in_plane(&args, plane, rules)?.solve().map_err(unsolved)?;
    let (fit, prepared) = (solved.fit(), solved.prepared());
    let name = prepared.name();
    let mut warnings: Vec<Problem> = warnings_of(&solved)
        .iter()
        .chain(&ground_trouble(solved.ground()))
        .chain(&fit.curve.warnings)
        .map(|w| in_file(w, &name))
        .collect();
    let known = Known::of_survey(&solved);
    warnings.extend(departs(&name, known.misfit_m));
    let untold = &prepared.survey().untold;
    Ok(Sided {
        told: CompareSide {
            name,
            venue: None,
            surveyed: None,
            place_sd_m: place_sd.unwrap_or(known.place_sd_m),
        },
        plane: prepared.survey().plane,
        misfit_m: known.misfit_m,
        free: untold.north || untold.hand,
        names: None,
        warnings,
        ground: solved.ground().clone(),
    })
}

/// A survey in the given plane; in its own where only one of the two planes has a place on the Earth.
fn in_plane(args: &SurveyArgs, plane: Option<LocalPlane>, rules: &RuleSet) -> Result<Prepared> {
    let mut options = args.solving(rules.clone());
    let sources = args.sources()?;
    let own = prepare(sources.clone(), &options).map_err(unsolved)?;
    match plane {
        Some(p) if on_earth(p) == on_earth(own.survey().plane) => {
            options.plane = Some(p);
            prepare(sources, &options).map_err(unsolved)
        }
        _ => Ok(own),
    }
}

/// A warning with the file's name put before its place.
fn in_file(w: &Problem, name: &str) -> Problem {
    let place = match w.place() {
        Some(p) if p == name => name.to_owned(),
        Some(p) => format!("{name}, {p}"),
        None => name.to_owned(),
    };
    let p = Problem::new(w.message()).at(place);
    match w.remedy() {
        Some(hint) => p.hint(hint),
        None => p,
    }
}

fn on_earth(plane: LocalPlane) -> bool {
    plane.datum_point().is_some()
}

/// The comparison, and warnings about its planes.
fn compared(args: &CompareArgs, old: &Sided, new: &Sided) -> Result<(Comparison, Vec<Problem>)> {
    let mut options = CompareOptions {
        planes: Planes::Apart,
        old_place_sd_m: old.told.place_sd_m,
        new_place_sd_m: new.told.place_sd_m,
        old_misfit_m: old.misfit_m,
        new_misfit_m: new.misfit_m,
    };
    let apart = |options: &CompareOptions, why: &str| {
        let note = Problem::new(format!(
            "{why}: place and turn can't be compared; sizes and line are, with the goals laid on each other, end for end as the planes have them"
        ));
        Ok((ask(old, new, &CompareOptions { planes: Planes::Apart, ..*options })?, vec![note]))
    };
    if args.apart {
        return apart(&options, "the two are taken as having no origin in common");
    }
    if old.free || new.free {
        return apart(&options, "a notebook of the two does not tell where north is, or left from right");
    }
    if on_earth(old.plane) != on_earth(new.plane) {
        return apart(&options, "one of the two has a place on the Earth and the other a plane of its own");
    }
    options.planes =
        if old.plane == new.plane { Planes::One } else { Planes::Two { old: old.plane, new: new.plane } };
    let own = !on_earth(old.plane);
    match compare(&old.ground, &new.ground, &options) {
        Ok(found) if own => Ok((
            found,
            vec![
                Problem::new("both have x and y of their own, which are taken as counting from one origin")
                    .hint("--apart if they don't"),
            ],
        )),
        Err(CompareError::AnotherGround(gap)) if own => {
            apart(&options, &format!("the x and y of the two count from different origins ({gap})"))
        }
        Err(CompareError::AnotherGround(gap)) => {
            let places = Refused::new(vec![Problem::new(place(old)), Problem::new(place(new))]);
            Err(Error::new(places).context(format!("these are not two surveys of one ground: {gap}")))
        }
        _ => Ok((ask(old, new, &options)?, Vec::new())),
    }
}

fn ask(old: &Sided, new: &Sided, options: &CompareOptions) -> Result<Comparison> {
    compare(&old.ground, &new.ground, options)
        .with_context(|| format!("{} and {} can't be compared", old.told.name, new.told.name))
}

/// Where a ground is, so that a person can look it up.
fn place(side: &Sided) -> String {
    let plan = side.ground.oval().plan();
    let at = side.plane.to_geodetic(plan.centre()).map_or_else(
        || format!("x {} y {} m", fixed(plan.centre().x, 1), fixed(plan.centre().y, 1)),
        |g| format!("latitude {} longitude {}", fixed(g.latitude_deg(), 6), fixed(g.longitude_deg(), 6)),
    );
    format!("{}: centre at {at}, goal axis {}°", side.told.name, fixed(plan.axis().degrees(), 1))
}

/// How many of these files are surveys of points. Notebooks don't count, since they give their own errors.
fn located(files: &[PathBuf]) -> Result<usize> {
    let mut n = 0;
    for file in files {
        // Standard input can be read only once, later; it counts as points.
        n += usize::from(file.as_os_str() == "-" || !is_notebook(&bytes_of(file)?));
    }
    Ok(n)
}

/// The options of each of the two surveys, where an option may be given once for all files or once for each.
fn shared_out(options: &SurveyOptions, old: usize, new: usize) -> Result<[SurveyOptions; 2]> {
    fn split<T: Clone>(list: &[T], old: usize, new: usize, option: &str) -> Result<[Vec<T>; 2]> {
        if list.len() < 2 {
            return Ok([list.to_vec(), list.to_vec()]);
        }
        if list.len() != old + new {
            bail!(
                "{option} is given {} times for {} surveys (notebooks not counted): give it once for all, or once for each, the old survey's first",
                list.len(),
                old + new
            );
        }
        Ok([list[..old].to_vec(), list[old..].to_vec()])
    }
    let (mut first, mut second) = (options.clone(), options.clone());
    [first.method, second.method] = split(&options.method, old, new, "--method")?;
    [first.sigma, second.sigma] = split(&options.sigma, old, new, "--sigma")?;
    [first.datum, second.datum] = split(&options.datum, old, new, "--datum")?;
    [first.zone, second.zone] = split(&options.zone, old, new, "--zone")?;
    [first.edge, second.edge] = split(&options.edge, old, new, "--edge")?;
    [first.line_width, second.line_width] = split(&options.line_width, old, new, "--line-width")?;
    Ok([first, second])
}
