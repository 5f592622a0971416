//! `ovalpeg register`.

use std::path::Path;

use anyhow::{Context, Error, Result, anyhow, bail};
use ovalpeg::briefing::Summary;
use ovalpeg::compare::{TURNED_DEG, gap};
use ovalpeg::export::{FitTold, REPORT_COLUMNS, fit_json, fit_report, paragraphs};
use ovalpeg::fit::Fit;
use ovalpeg::frame::{LocalPlane, Plan, Zone};
use ovalpeg::geometry::Point;
use ovalpeg::rules::{Edge, Method, RuleSet};
use ovalpeg::solve::{Facing, Prepared, Solved, Source, prepare};
use ovalpeg::survey::{Format, Survey};
use ovalpeg::units::print::{compass_point, fixed, for_terminal};
use ovalpeg::units::ranges::{TEXT_CHARS, text_trouble};
use ovalpeg::units::{Day, Problem, Refused, TrueBearing};
use ovalpeg::venue::{
    Document, FitFile, Names, Registered, Registration, SCHEMA, Said, SurveyBytes, ground_trouble,
    id_trouble, register, registered_fit, replace,
};

use super::doubted::{Looked, accepted, look};
use super::fit::warnings_of;
use super::rehearse::rehearse;
use super::today;
use crate::args::RegisterArgs;
use crate::output::{self, Width};
use crate::store;
use crate::survey_args::unsolved;

pub(super) fn run(args: &RegisterArgs, width: Width) -> Result<()> {
    let target = args.venues.venues.join(&args.id);
    refuse_args(args, &target)?;
    // An existing venue fixes the plane and which end is A.
    let before = if args.replace { Some(Before::read(&target)?) } else { None };
    let named = args.survey.rule_set(&args.venues.venues)?;
    store::rules_lie_beside(&args.venues.venues, &named)?;
    let rules = before.as_ref().map_or(&named, |b| &b.document.rules);
    let solved = solved(args, before.as_ref(), rules)?;
    let (fit, prepared) = (solved.fit(), solved.prepared());
    let by_clock = prepared.local_day();
    let surveyed = args.surveyed.or(by_clock).map_or_else(today, Ok)?;
    let replaced = before.as_ref().map(|b| b.document.surveyed);
    let Looked { doubts, notes } = look(args, &solved, [surveyed, today()?], replaced)?;
    let mut warnings = warnings_of(&solved);
    warnings.extend(notes);
    if let Some(day) = by_clock.filter(|day| *day != surveyed) {
        warnings.push(Problem::new(format!(
            "the walk was recorded on {day} by its own clock, and {surveyed} is kept as --surveyed says"
        )));
    }
    if let Some(before) = &before {
        before.same_ground(fit, prepared.survey().plane)?;
        warnings.extend(before.lost.iter().chain(&before.stale).cloned());
    }
    let axis = fit.outline.plan().axis();
    let names = match &before {
        Some(b) => b.document.names.clone(),
        None => names(args, axis.degrees())?,
    };
    let kept = Kept { names: &names, accepted: &accepted(&doubts), surveyed, rules };
    let made = kept.made(args, &solved, before.as_ref(), &target)?;
    rehearse(&made.venue, today()?)
        .context("this survey makes no venue that can be used, so nothing was written")?;
    let told = FitTold::of(prepared, &warnings);
    let summary = Summary::of(solved.ground());
    let report = if args.json {
        fit_json(&told, fit, &summary)
    } else {
        let paper = width.paper(REPORT_COLUMNS, false);
        let next = ending(args, &target, &names, axis.degrees());
        format!("{}\n{}", fit_report(&told, fit, &summary, paper), paragraphs(&next, paper))
    };
    // From here on only the disk can fail.
    let Some(done) = written(args, before.as_ref(), &target, &made)? else { return output::print(&report) };
    output::print(&report).with_context(|| {
        store::Wrote(format!("{done} {}, and this report of it could not be printed", target.display()))
    })
}

/// The survey's ground, in the plane of the existing venue if there is one, with the same end A.
fn solved(args: &RegisterArgs, before: Option<&Before>, rules: &RuleSet) -> Result<Solved> {
    let mut options = args.survey.solving(rules.clone());
    options.plane = before.map(|b| b.document.plane);
    if let Some(axis) = before.and_then(|b| b.axis) {
        options.facing = Facing::Registered(axis);
    }
    let prepared = prepare(args.survey.sources()?, &options).map_err(unsolved)?;
    refuse_untold(&prepared)?;
    let solved = prepared.solve().map_err(unsolved)?;
    let unsound = ground_trouble(solved.ground());
    if !unsound.is_empty() {
        return Err(
            Error::new(Refused::new(unsound)).context("no ground that can be kept, so nothing was written")
        );
    }
    Ok(solved)
}

/// What a registration keeps besides its survey and fit.
struct Kept<'a> {
    names: &'a Names,
    accepted: &'a [String],
    surveyed: Day,
    rules: &'a RuleSet,
}

impl Kept<'_> {
    /// The venue, made and opened in memory.
    fn made(
        &self,
        args: &RegisterArgs,
        solved: &Solved,
        before: Option<&Before>,
        target: &Path,
    ) -> Result<Registered> {
        let prepared = solved.prepared();
        let fit = FitFile::of(solved.fit(), self.rules.end_width_m());
        let surveys: Vec<SurveyBytes<'_>> = prepared.sources().map(|(s, read)| bytes_of(s, read)).collect();
        let keep: Vec<String> = args.survey.kept().map(|c| c.id().to_owned()).collect();
        let trim = args.survey.options.trim.map(|t| t.to_string());
        let new_name = || args.name.clone().unwrap_or_else(|| title(&args.id));
        let registration = Registration {
            id: &args.id,
            name: &before.map_or_else(new_name, |b| b.document.name.clone()),
            names: self.names,
            plane: prepared.survey().plane,
            surveys: &surveys,
            keep: &keep,
            trim: trim.as_deref(),
            accepted: self.accepted,
            shape: args.survey.options.shape,
            surveyed: self.surveyed,
            place_sd_m: prepared.place_sd_m(),
            point_sd_m: prepared.point_sd_m(),
            fit: &fit,
            rules: self.rules,
        };
        match before {
            None => register(&registration),
            Some(b) => replace(&b.text, &registration, &mut |name| store::named(target, name)),
        }
        .context("this survey makes no venue that opens again, so nothing was written")
    }
}

/// Writes the venue, and says what was done; `None` where the venue was already as it should be.
fn written(
    args: &RegisterArgs,
    before: Option<&Before>,
    target: &Path,
    made: &Registered,
) -> Result<Option<&'static str>> {
    let Some(before) = before else {
        store::create(&mut store::Real, &args.venues.venues, &args.id, &made.files)?;
        return Ok(Some("the venue was written to"));
    };
    let done = store::update(&mut store::Real, target, &before.text, &made.files)?;
    for name in done.mended {
        output::note(&format!("put right: {} was not what its name says", shown(&target.join(name))));
    }
    Ok(done.changed.then_some("the new survey was put into"))
}

/// Refuses arguments that can't work, before a survey is read.
fn refuse_args(args: &RegisterArgs, target: &Path) -> Result<()> {
    if let Some(trouble) = id_trouble(&args.id) {
        bail!("{}", trouble.about("--id"));
    }
    if let Some(trouble) = args.name.as_deref().and_then(|name| text_trouble(name, TEXT_CHARS)) {
        bail!("{}", trouble.about("--name"));
    }
    if !args.replace {
        return store::refuse_taken(target);
    }
    let file = target.join(store::VENUE_FILE);
    if !target.exists() {
        bail!("there is no venue {} to replace the survey of: leave --replace out", target.display());
    }
    if args.name.is_some() || args.ends.is_some() || args.sides.is_some() {
        bail!("--name, --ends and --sides are for a new venue: edit {} instead", file.display());
    }
    if args.survey.options.rules.is_some() {
        bail!("--rules is for a new venue: edit [rules] in {} instead", file.display());
    }
    Ok(())
}

/// Refuses a survey that does not fix north, or left and right: a card depends on both.
fn refuse_untold(prepared: &Prepared) -> Result<()> {
    if prepared.survey().untold.north {
        bail!(
            "nothing in {} tells where north is, and a card is all bearings: add a line such as 'peg 7 to peg 8 bears 347', or name two marks after points of a survey with coordinates",
            prepared.name()
        );
    }
    if prepared.survey().untold.hand {
        bail!(
            "nothing in {} tells the ground from its mirror image, and a card would swap left and right: add a line such as 'peg 9 is left of peg 7 to peg 8'",
            prepared.name()
        );
    }
    Ok(())
}

/// The venue that gets a new survey: its file, and its old fit as far as it can be read.
struct Before {
    text: String,
    document: Document,
    /// The ground frame of the registered fit, if it can be read.
    plan: Option<Plan>,
    /// Bearing to end A, from the fit, or else from the summary for people.
    axis: Option<TrueBearing>,
    /// A warning where the registered fit can't be read: how end A was found instead.
    lost: Option<Problem>,
    /// Warnings about what was written for the old survey, so that a person checks it.
    stale: Vec<Problem>,
}

/// A ground whose centre is farther than this from the datum point is another ground, m: the datum point is
/// in the middle of a survey.
const FAR_M: f64 = 300.0;

impl Before {
    /// Reads the existing venue. Only the venue file must be readable: the new survey replaces the rest.
    fn read(target: &Path) -> Result<Self> {
        let text = store::text(target)?;
        let document = Document::read(&text, &mut |name| store::named(target, name))
            .map_err(Refused::new)
            .with_context(|| format!("{} can't be changed", target.join(store::VENUE_FILE).display()))?;
        let fit = registered_fit(&document, |name| store::named(target, name));
        let plan = fit.as_ref().ok().map(|f| *f.outline.plan());
        let said = document.axis_said_deg.and_then(|deg| TrueBearing::from_degrees(deg).ok());
        let axis = plan.as_ref().map(|p| p.axis()).or(said);
        let lost = fit.err().map(|why| {
            let how = match axis {
                Some(axis) => format!("end A is the end toward {axis}, as [fit] says"),
                None => "end A is the end nearer true north, for [fit] does not say".to_owned(),
            };
            Problem::new(format!("the registered fit can't be read: {how} ({why})"))
        });
        let stale = stale(&document);
        Ok(Self { text, document, plan, axis, lost, stale })
    }

    /// Refuses a new survey whose ground lies elsewhere than the old one, or faces another way.
    fn same_ground(&self, fit: &Fit, plane: LocalPlane) -> Result<()> {
        let (moved_m, turned_deg) = match (&self.plan, self.axis) {
            (Some(plan), _) => {
                let gap = gap(plan, fit.outline.plan());
                if !gap.is_another_ground() {
                    return Ok(());
                }
                (gap.moved_m, gap.turned_deg)
            }
            (None, axis) => {
                let new = fit.outline.plan();
                // The origin lies on the ground only in a plane with a place on the Earth.
                let from = if plane.datum_point().is_some() { Point::ORIGIN } else { new.centre() };
                let turn = axis.map_or(0.0, |a| a.turn_to(new.axis()).abs());
                let (moved, turn) = (new.centre().distance_to(from), turn.min(180.0 - turn));
                if moved <= FAR_M && turn <= TURNED_DEG {
                    return Ok(());
                }
                (moved, turn)
            }
        };
        bail!(
            "this survey's ground lies {} m from the one registered as {} and faces {}° away from it: another ground? Register it under an --id of its own",
            fixed(moved_m, 0),
            self.document.name,
            fixed(turned_deg, 0)
        );
    }
}

/// Warnings about what was written for the survey that is replaced, and about a newer schema.
fn stale(document: &Document) -> Vec<Problem> {
    let mut out = Vec::new();
    if !document.record.is_empty() {
        out.push(
            Problem::new(format!("[record] was written for the survey of {}", document.surveyed))
                .hint("look over who measured and approved, and until when"),
        );
    }
    if document.outdated().is_some() {
        out.push(Problem::new(format!(
            "the venue's file was of schema {}: it is brought to schema {SCHEMA}, and what people wrote in it stays",
            document.schema
        )));
    }
    out
}

/// The end of a report: where the venue is kept, and what to do next.
fn ending(args: &RegisterArgs, target: &Path, names: &Names, axis_deg: f64) -> String {
    format!(
        "Registered in {}: {} end to the {}, {} side on the left facing it.\n{} {}, then: ovalpeg card {}\n",
        shown(target),
        for_terminal(&names.ends[0]),
        compass_point(axis_deg),
        for_terminal(&names.sides[0]),
        if args.replace {
            "Look over fence, landmarks and hazards in its"
        } else {
            "Now add fence, landmarks and hazards to its"
        },
        store::VENUE_FILE,
        args.id
    )
}

/// A path, escaped for a terminal.
fn shown(path: &Path) -> String {
    for_terminal(&path.display().to_string())
}

/// A survey file as the venue keeps it.
fn bytes_of<'a>(s: &'a Source, read: &Survey) -> SurveyBytes<'a> {
    let edge = s.said_edge();
    SurveyBytes {
        bytes: s.bytes(),
        ending: read.format.id(),
        method: if read.format == Format::Notebook { Some(Method::Tape) } else { s.said_method() },
        edge,
        line_width_m: (edge != Edge::Outer).then_some(s.said_line_width_m()),
        said: Said { datum: s.said_datum(), zone: s.said_zone().map(Zone::number), sigma_m: s.said_sd_m() },
    }
}

/// A name made from an id: `marrow-plains` becomes `Marrow Plains`.
fn title(id: &str) -> String {
    id.split('-')
        .map(|w| {
            let mut c = w.chars();
            c.next().map_or_else(String::new, |f| f.to_uppercase().chain(c).collect())
        })
        .collect::<Vec<String>>()
        .join(" ")
}

fn names(args: &RegisterArgs, axis_deg: f64) -> Result<Names> {
    let by_compass = Names::by_compass(axis_deg);
    let ends = match &args.ends {
        Some(text) => two(text, "--ends")?,
        None => by_compass.ends,
    };
    let sides = match &args.sides {
        Some(text) => two(text, "--sides")?,
        None => by_compass.sides,
    };
    let names = Names { ends, sides };
    match names.trouble() {
        Some(trouble) => bail!("{trouble}: give --ends and --sides short names of their own"),
        None => Ok(names),
    }
}

fn two(text: &str, option: &str) -> Result<[String; 2]> {
    let parts: Vec<String> = text.split(',').map(|p| p.trim().to_owned()).collect();
    let [a, b] = <[String; 2]>::try_from(parts)
        .map_err(|_| anyhow!("{option} '{text}' is not two names with a comma between"))?;
    Ok([a, b])
}
