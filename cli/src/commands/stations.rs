//! `ovalpeg stations`.

use anyhow::{Context as _, Result, anyhow, bail};
use ovalpeg::boundary::{End, Side};
use ovalpeg::briefing::{
    Briefing, CameFrom, MomentQuery, ZoneSizes, answer, bearings, briefing, cautions_beside, phase_sheet,
};
use ovalpeg::export::{
    CARD_COLUMNS, moment_json, moment_text, phase_sheet_json, phase_sheet_text, stations_json, stations_text,
};
use ovalpeg::geometry::Point;
use ovalpeg::officiate::{Crew, Group, Moment, NoPositions, Phase};
use ovalpeg::units::Day;
use ovalpeg::venue::Venue;

use super::{day_of, venue_of};
use crate::args::{PhaseName, StationsArgs};
use crate::output::{self, Width};
use crate::spot_args::{end, place, placed, preferred, side};

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
            // A phase that this ground has no answer for is left out and said so.
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
    let mut query = query_of(args, &venue, moment_of(args, &venue, name)?)?;
    if let (true, Some(text)) = (query.moment.phase.needs_ball(), &args.ball) {
        query.ball_at = placed(&venue, "--ball", text)?.1;
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

/// The briefing, with what a card says in rows of its own among its cautions.
fn with_cautions(venue: &Venue, day: Day) -> Briefing {
    let mut b = briefing(venue, day);
    b.cautions = cautions_beside(venue, b.cautions);
    b
}

/// An option that a phase has no use for was meant for another: nothing is left out in silence.
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

fn moment_of(args: &StationsArgs, venue: &Venue, name: PhaseName) -> Result<Moment> {
    let ball = || -> Result<Point<ovalpeg::frame::Ground>> {
        let text = args
            .ball
            .as_deref()
            .ok_or_else(|| anyhow!("--phase {} needs --ball, as in --ball 20,50", id(name)))?;
        place(venue, "--ball", text)
    };
    let goal = || -> Result<End> {
        let [a, b] = &venue.document.names.ends;
        let text =
            args.goal.as_deref().ok_or_else(|| anyhow!("--phase {} needs --goal: {a} or {b}", id(name)))?;
        end(venue, text)
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
    let side_or = |text: &Option<String>, or: Side| text.as_deref().map_or(Ok(or), |t| side(venue, t));
    let mut query = MomentQuery::new(moment);
    query.moment.prefer = preferred(venue, args.prefer.as_deref())?;
    query.night = args.night;
    query.crew = match args.crew {
        2 => Crew::Two,
        3 => Crew::Three(side_or(&args.pair_side, Side::Left)?),
        _ => Crew::Four,
    };
    if args.crew != 3 && args.pair_side.is_some() {
        bail!("--pair-side says where two of three are: it goes with --crew 3");
    }
    if args.crew != 2 && !args.from.is_empty() {
        bail!("--from goes with two officials: leave out --crew {}", args.crew);
    }
    for text in &args.from {
        let (of, at) = text.split_once(':').ok_or_else(|| {
            anyhow!("--from {text}: side and place, as in --from {}:10,60", venue.document.names.sides[0])
        })?;
        let of = side(venue, of.trim())?;
        if query.from.iter().any(|f| f.side == of) {
            bail!(
                "--from {text}: the {} side's official is given a place twice",
                venue.document.names.side(of)
            );
        }
        query.from.push(CameFrom { side: of, end: None, at: place(venue, "--from", at)? });
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
    query.collects = side_or(&args.collects, Side::Left)?;
    query.umpire = side_or(&args.umpire, query.collects.other())?;
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
