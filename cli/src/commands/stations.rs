//! `ovalpeg stations`.

use anyhow::{Context as _, Result, anyhow, bail};
use ovalpeg::boundary::{End, Side};
use ovalpeg::briefing::{
    BallAt, Briefing, CameFrom, MomentQuery, ZoneSizes, answer, bearings, briefing, cautions_beside,
    phase_sheet,
};
use ovalpeg::export::{
    CARD_COLUMNS, moment_json, moment_text, phase_sheet_json, phase_sheet_text, stations_json, stations_text,
};
use ovalpeg::frame::Ground;
use ovalpeg::geometry::Point;
use ovalpeg::ground::{NamedSpot, SpotRef};
use ovalpeg::officiate::{Crew, Group, Moment, NoPositions, Phase};
use ovalpeg::units::Day;
use ovalpeg::units::print::fixed;
use ovalpeg::venue::{Venue, read_official};

use super::{day_of, venue_of};
use crate::args::{PhaseName, StationsArgs};
use crate::output::{self, Width};
use crate::spot_args::{end, placed, preferred, side};

pub(super) fn run(args: &StationsArgs, width: Width) -> Result<()> {
    let paper = width.paper(CARD_COLUMNS, args.ascii);
    let venue = venue_of(&args.venue)?;
    let day = day_of(&args.venue)?;
    let (declination, cautions) = bearings(&venue, day);
    let cautions = cautions_beside(&venue, cautions);
    if args.sheet {
        let mut all = Vec::new();
        for (title, moment) in phase_sheet(&venue) {
            let query = query_of(args, &venue, moment)?;
            // A phase without an answer on this ground is left out, with a warning.
            match answer(&venue, declination.as_ref(), &query) {
                Ok(a) => all.push((title, a)),
                Err(e) => output::note(&format!("warning: {title}: {e}")),
            }
        }
        return output::print(&if args.json {
            phase_sheet_json(&venue, &all, &cautions)
        } else {
            phase_sheet_text(&venue, &all, &cautions, paper)
        });
    }
    let name = args.phase.unwrap_or(PhaseName::Bounce);
    refuse_unasked(args, name)?;
    let ball = args.ball.as_deref().map(|text| placed(&venue, "--ball", text, None)).transpose()?;
    let mut query = query_of(args, &venue, moment_of(args, &venue, name, ball.map(|b| b.0))?)?;
    if let (true, Some((_, at))) = (query.moment.phase.needs_ball(), ball) {
        query.ball_at = at;
    }
    let plain = name == PhaseName::Bounce && args.crew == 2 && args.from.is_empty();
    if plain && args.time.is_none() && !args.json {
        let b = with_cautions(&venue, day);
        if b.start.is_none() {
            return Err(NoPositions::NothingPainted)
                .with_context(|| format!("no stations for that at {}", venue.document.name));
        }
        return output::print(&stations_text(&venue, &b, paper));
    }
    let found = answer(&venue, declination.as_ref(), &query)
        .with_context(|| format!("no stations for that at {}", venue.document.name))?;
    output::print(&match (args.json, plain) {
        (true, true) => {
            let zones = ZoneSizes::of(&venue.ground);
            stations_json(&venue, &found, &with_cautions(&venue, day), zones.as_ref())
        }
        (true, false) => moment_json(&venue, &found, &cautions),
        (false, _) => moment_text(&venue, &found, &cautions, paper),
    })
}

/// The briefing, with cautions also for what a card says in rows of its own.
fn with_cautions(venue: &Venue, day: Day) -> Briefing {
    let mut b = briefing(venue, day);
    b.cautions = cautions_beside(venue, b.cautions);
    b
}

/// Refuses an option that the phase does not use: it was meant for another phase, and must not be ignored
/// silently.
fn refuse_unasked(args: &StationsArgs, name: PhaseName) -> Result<()> {
    use PhaseName::{AfterGoal, Bounce, KickIn, OnTheFull, Play, SetKick, ThrowIn};
    let with_ball: &[PhaseName] = &[Play, SetKick, ThrowIn, OnTheFull];
    let after: &[PhaseName] = &[AfterGoal];
    let checks: [(&str, bool, &[PhaseName]); 6] = [
        ("--ball", args.ball.is_some(), with_ball),
        ("--goal", args.goal.is_some(), &[SetKick, KickIn, AfterGoal]),
        ("--prefer", args.prefer.is_some(), with_ball),
        ("--group", !args.group.is_empty(), after),
        ("--collects", args.collects.is_some(), after),
        ("--umpire", args.umpire.is_some(), after),
    ];
    for (option, given, phases) in checks {
        if given && !phases.contains(&name) {
            let list: Vec<String> = phases.iter().map(|p| id(*p)).collect();
            let here = if args.phase.is_none() && name == Bounce {
                "without --phase it is the bounce".to_owned()
            } else {
                format!("--phase {} has no use for it", id(name))
            };
            bail!("{option} goes with --phase {}: {here}", list.join(", "));
        }
    }
    Ok(())
}

fn moment_of(
    args: &StationsArgs,
    venue: &Venue,
    name: PhaseName,
    ball: Option<Point<Ground>>,
) -> Result<Moment> {
    let ball = || ball.ok_or_else(|| anyhow!("--phase {} needs --ball, as in --ball 20,50", id(name)));
    let goal = || -> Result<End> {
        let [a, b] = &venue.document.names.ends;
        let text =
            args.goal.as_deref().ok_or_else(|| anyhow!("--phase {} needs --goal: {a} or {b}", id(name)))?;
        end(venue, "--goal", text)
    };
    let oval = venue.ground.oval();
    Ok(match name {
        PhaseName::Bounce => Moment::new(Phase::Bounce, Point::ORIGIN),
        PhaseName::Play => Moment::new(Phase::Play, ball()?),
        PhaseName::SetKick => Moment::new(Phase::SetKick(goal()?), ball()?),
        PhaseName::ThrowIn => Moment::new(Phase::ThrowIn, ball()?),
        PhaseName::OnTheFull => Moment::new(Phase::OnTheFull, ball()?),
        PhaseName::KickIn => {
            let at = goal()?;
            Moment::new(Phase::KickIn(at), oval.goal(at))
        }
        PhaseName::AfterGoal => {
            let at = goal()?;
            Moment::new(Phase::AfterGoal(at), oval.goal(at))
        }
    })
}

fn id(name: PhaseName) -> String {
    use clap::ValueEnum as _;
    name.to_possible_value().map_or_else(String::new, |v| v.get_name().to_owned())
}

fn query_of(args: &StationsArgs, venue: &Venue, moment: Moment) -> Result<MomentQuery> {
    let side_or = |option: &str, text: &Option<String>, or: Side| {
        text.as_deref().map_or(Ok(or), |t| side(venue, option, t))
    };
    let mut query = MomentQuery::new(moment);
    query.moment.prefer = preferred(venue, args.prefer.as_deref())?;
    query.night = args.night;
    query.crew = match args.crew {
        2 => Crew::Two,
        3 => Crew::Three(side_or("--pair-side", &args.pair_side, Side::Left)?),
        _ => Crew::Four,
    };
    if args.crew != 3 && args.pair_side.is_some() {
        bail!("--pair-side says where two of three are: it goes with --crew 3");
    }
    for text in &args.from {
        let coming = coming_from(venue, query.crew, text)?;
        if query.from.iter().any(|f| (f.side, f.end) == (coming.side, coming.end)) {
            bail!("--from {text}: {} is given a place twice", whose(venue, coming.side, coming.end));
        }
        query.from.push(coming);
    }
    for text in &args.group {
        let numbers: Vec<f64> = text.split(',').filter_map(|t| t.trim().parse().ok()).collect();
        match (&numbers[..], text.split(',').count()) {
            (&[_, _, r], 3) if !(r > 0.0 && r < 100.0) => {
                bail!("--group {text}: a group's radius is more than 0 and less than 100 m")
            }
            (&[x, y, radius_m], 3) => query.groups.push(Group { at: Point::new(x, y), radius_m }),
            _ => bail!("--group {text}: middle and radius in metres, as in --group 0,0,8"),
        }
    }
    query.collects = side_or("--collects", &args.collects, Side::Left)?;
    query.umpire = side_or("--umpire", &args.umpire, query.collects.other())?;
    if let Some(time) = args.time {
        let zone = venue.document.match_times.zone.as_ref().ok_or_else(|| {
            anyhow!(
                "--time needs to know the time zone: add timezone = \"Australia/Melbourne\", or the ground's own, to venue.toml"
            )
        })?;
        query.when = Some(zone.instant(day_of(&args.venue)?, time, 0)?);
    }
    Ok(query)
}

/// Which official, in words: `the Road side's official`, `the Road side's official at the Silo end`.
fn whose(venue: &Venue, side: Side, end: Option<End>) -> String {
    let names = &venue.document.names;
    let at = end.map_or_else(String::new, |e| format!(" at the {} end", names.end(e)));
    format!("the {} side's official{at}", names.side(side))
}

/// Where one official comes from: `Road:10,-60`, or where two are on a side, `Road/Silo:10,-60`.
fn coming_from(venue: &Venue, crew: Crew, text: &str) -> Result<CameFrom> {
    let names = &venue.document.names;
    let (head, at) = text.split_once(':').ok_or_else(|| {
        anyhow!("--from {text}: side and place, as in --from {}:10,60", names.side(Side::Left))
    })?;
    let (side, end) = read_official(names, head).map_err(|e| anyhow!("--from {text}: {e}"))?;
    let [a, b] = End::BOTH.map(|e| format!("{}/{}", names.side(side), names.end(e)));
    match (crew.is_pair(side), end) {
        (true, None) => bail!(
            "--from {text}: two are on the {} side, so say which by the end: {a}:{at} or {b}:{at}",
            names.side(side)
        ),
        (false, Some(_)) => {
            bail!("--from {text}: one is on the {0} side, so no end tells which: {0}:{at}", names.side(side))
        }
        _ => {}
    }
    let (p, given) = placed(venue, "--from", at.trim(), Some(side))?;
    if p.y * side.sign() < 0.0 {
        let (there, here) = (names.side(side.other()), names.side(side));
        let head = head.trim();
        bail!(
            "--from {text}: that place is on the {there} side; on the {here} side it is --from \"{head}:{}\"",
            mirrored(venue, p, given)
        );
    }
    Ok(CameFrom { side, end, at: p })
}

/// The mirror image of a place across the goal axis, as it can be typed.
fn mirrored(venue: &Venue, p: Point<Ground>, given: BallAt) -> String {
    let names = &venue.document.names;
    let quarter = |side: Side, end| format!("{}/{}", names.end(end), names.side(side.other()));
    match given {
        BallAt::Spot(SpotRef::Named { side, name: NamedSpot::Wing, .. }) => {
            format!("{} wing", names.side(side.other()))
        }
        BallAt::Spot(SpotRef::Named { side, end, name }) => format!("{} {}", quarter(side, end), name.name()),
        BallAt::Spot(SpotRef::FromPost { side, end, metres }) => {
            format!("{} {} m from post", quarter(side, end), plain(metres))
        }
        _ => format!("{},{}", plain(p.x), plain(-p.y)),
    }
}

/// Metres, rounded to a decimetre, without a trailing `.0`.
fn plain(m: f64) -> String {
    fixed(m, 1).trim_end_matches(".0").to_owned()
}
