//! `ovalpeg register`.

use anyhow::{Context, Result, anyhow, bail};
use ovalpeg::compare::gap;
use ovalpeg::export::{REPORT_COLUMNS, fit_json, fit_report, paragraphs};
use ovalpeg::fit::Fit;
use ovalpeg::frame::Zone;
use ovalpeg::rules::{Edge, Method};
use ovalpeg::survey::Format;
use ovalpeg::units::print::{compass_point, fixed};
use ovalpeg::venue::{
    FitFile, Names, Registration, Said, SurveyBytes, Venue, is_valid_id, register, replace,
};

use super::prepare::{prepare, sources};
use super::{fit::fitted, today};
use crate::args::RegisterArgs;
use crate::output::{self, Width};
use crate::store;
use crate::survey_args::Source;

pub(super) fn run(args: &RegisterArgs, width: Width) -> Result<()> {
    if !is_valid_id(&args.id) {
        bail!(
            "--id '{}' is not a short name: lower-case letters, digits and hyphens, as in marrow-plains",
            args.id
        );
    }
    let target = args.venues.venues.join(&args.id);
    if target.exists() && !args.replace {
        bail!(
            "{} is there already, and is left as it is: choose another --id, or say --replace to put this survey into it",
            target.display()
        );
    }
    if args.replace && !target.exists() {
        bail!("there is no venue {} to replace the survey of: leave --replace out", target.display());
    }
    if args.replace && (args.name.is_some() || args.ends.is_some() || args.sides.is_some()) {
        bail!(
            "--name, --ends and --sides are for a new venue: edit {} instead",
            target.join(store::VENUE_FILE).display()
        );
    }
    if args.replace && args.survey.options.rules.is_some() {
        bail!(
            "--rules is for a new venue: edit [rules] in {} instead",
            target.join(store::VENUE_FILE).display()
        );
    }
    // The venue that is there fixes the plane and which end is A.
    let before = if args.replace { Some((store::text(&target)?, store::load(&target)?)) } else { None };
    let loaded = args.survey.load()?;
    let named = args.survey.rule_set(&args.venues.venues)?;
    store::rules_lie_beside(&args.venues.venues, &named)?;
    let rules = before.as_ref().map_or(&named, |(_, v)| &v.document.rules);
    let plane = before.as_ref().map(|(_, v)| v.document.plane);
    let prepared = prepare(&args.survey, &loaded, plane, rules)?;
    let untold = prepared.survey.untold;
    if untold.north {
        bail!(
            "nothing in {} tells where north is, and a card is all bearings: add a line such as 'peg 7 to peg 8 bears 347', or name two marks after points of a survey with coordinates",
            loaded.name()
        );
    }
    if untold.hand {
        bail!(
            "nothing in {} tells the ground from its mirror image, and a card would swap left and right: add a line such as 'peg 9 is left of peg 7 to peg 8'",
            loaded.name()
        );
    }
    let (fit, summary) = fitted(&args.survey, rules, &loaded, &prepared.survey, |fit| {
        Ok(match &before {
            None => fit.outline.plan().points_north(),
            Some((_, v)) => v.ground.oval().plan().axis().turn_to(fit.outline.plan().axis()).abs() <= 90.0,
        })
    })?;
    if let Some((_, v)) = &before {
        same_ground(v, &fit)?;
    }
    let axis = fit.outline.plan().axis();
    let names = match &before {
        Some((_, v)) => v.document.names.clone(),
        None => names(args, axis.degrees())?,
    };
    let kept = FitFile::of(&fit, rules.end_width_m());
    let surveys: Vec<SurveyBytes<'_>> = loaded.sources.iter().map(bytes_of).collect();
    let keep: Vec<String> = args.survey.kept().map(|c| c.id().to_owned()).collect();
    let registration = Registration {
        id: &args.id,
        name: &before.as_ref().map_or_else(
            || args.name.clone().unwrap_or_else(|| title(&args.id)),
            |(_, v)| v.document.name.clone(),
        ),
        names: &names,
        plane: prepared.survey.plane,
        surveys: &surveys,
        keep: &keep,
        shape: args.survey.options.shape,
        surveyed: args.surveyed.map_or_else(today, Ok)?,
        fit: &kept,
        rules,
    };
    match &before {
        None => {
            store::create(&args.venues.venues, &args.id, &register(&registration))?;
        }
        Some((text, _)) => {
            let files = replace(text, &registration)
                .map_err(|problems| {
                    anyhow!("{}", problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
                })
                .with_context(|| format!("{} can't be changed", target.join(store::VENUE_FILE).display()))?;
            store::update(&target, text, &files)?;
        }
    }
    let sources = sources(&loaded);
    let told = prepared.told(&sources);
    if args.json {
        return output::print(&fit_json(&told, &fit, &summary));
    }
    let paper = width.paper(REPORT_COLUMNS, false);
    let report = fit_report(&told, &fit, &summary, paper);
    let next = format!(
        "Registered in {}: {} end to the {}, {} side on the left facing it.\n{} {}, then: ovalpeg card {}\n",
        target.display(),
        names.ends[0],
        compass_point(axis.degrees()),
        names.sides[0],
        if args.replace {
            "Look over fence, landmarks and hazards in its"
        } else {
            "Now add fence, landmarks and hazards to its"
        },
        store::VENUE_FILE,
        args.id
    );
    output::print(&format!("{report}\n{}", paragraphs(&next, paper)))
}

/// A file as it is kept.
fn bytes_of(s: &Source) -> SurveyBytes<'_> {
    SurveyBytes {
        bytes: &s.bytes,
        ending: s.survey.format.id(),
        method: if s.survey.format == Format::Notebook { Some(Method::Tape) } else { s.method },
        edge: s.edge,
        line_width_m: (s.edge != Edge::Outer).then_some(s.line_width_m),
        said: Said { datum: s.datum, zone: s.zone.map(Zone::number), sigma_m: s.sigma_m },
    }
}

/// A new survey of a ground lies where the old one does, and faces the same way.
fn same_ground(venue: &Venue, fit: &Fit) -> Result<()> {
    let gap = gap(venue.ground.oval().plan(), fit.outline.plan());
    if gap.is_another_ground() {
        bail!(
            "this survey's ground lies {} m from the one registered as {} and faces {}° away from it: another ground? Register it under an --id of its own",
            fixed(gap.moved_m, 0),
            venue.document.name,
            fixed(gap.turned_deg, 0)
        );
    }
    Ok(())
}

/// `marrow-plains` as `Marrow Plains`.
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
