//! `ovalpeg stations`.

use anyhow::{Context as _, Result, anyhow, bail};
use ovalpeg::boundary::{End, Side};
use ovalpeg::briefing::{MomentQuery, ZoneSizes, answer, bearings, briefing, phase_sheet};
use ovalpeg::export::{
    moment_json, moment_text, phase_sheet_json, phase_sheet_text, stations_json, stations_text,
};
use ovalpeg::geometry::Point;
use ovalpeg::officiate::{Crew, Group, Moment, Phase};
use ovalpeg::venue::Venue;

use super::{day_of, venue_of};
use crate::args::{PhaseName, StationsArgs};
use crate::output;
use crate::spot_args::{end, place, placed, preferred, side};

pub(super) fn run(args: &StationsArgs) -> Result<()> {
    let venue = venue_of(&args.venue)?;
    let day = day_of(&args.venue)?;
    let (declination, cautions) = bearings(&venue, day);
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
            phase_sheet_text(&venue, &all, &cautions, args.ascii)
        });
    }
    let name = args.phase.unwrap_or(PhaseName::Bounce);
    let plain = args.crew == 2 && args.from.is_empty();
    if name == PhaseName::Bounce && plain {
        unasked(args)?;
        let b = briefing(&venue, day);
        let zones = ZoneSizes::of(&venue.ground);
        return output::print(&if args.json {
            stations_json(&venue, &b, zones.as_ref())
        } else {
            stations_text(&venue, &b, zones.as_ref(), args.ascii)
        });
    }
    let mut query = query_of(args, &venue, moment_of(args, &venue, name)?)?;
    if let (true, Some(text)) = (query.moment.phase.needs_ball(), &args.ball) {
        query.ball_at = placed(&venue, text)?.1;
    }
    let found = answer(&venue, declination.as_ref(), &query)
        .with_context(|| format!("no stations for that at {}", venue.document.name))?;
    output::print(&if args.json {
        moment_json(&venue, &found, &cautions)
    } else {
        moment_text(&venue, &found, &cautions, args.ascii)
    })
}

/// Options that mean nothing at a bounce.
fn unasked(args: &StationsArgs) -> Result<()> {
    if args.ball.is_some() || args.goal.is_some() {
        bail!("--ball and --goal belong to a phase: say which with --phase, as in --phase play --ball 20,50");
    }
    Ok(())
}

fn moment_of(args: &StationsArgs, venue: &Venue, name: PhaseName) -> Result<Moment> {
    let ball = || -> Result<Point<ovalpeg::frame::Ground>> {
        let text = args
            .ball
            .as_deref()
            .ok_or_else(|| anyhow!("--phase {} needs --ball, as in --ball 20,50", id(name)))?;
        place(venue, text)
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
    if args.crew != 2 && !args.from.is_empty() {
        bail!("--from goes with two officials: leave out --crew {}", args.crew);
    }
    for text in &args.from {
        let (of, at) = text.split_once(':').ok_or_else(|| {
            anyhow!("--from {text}: side and place, as in --from {}:10,60", venue.document.names.sides[0])
        })?;
        query.from.push((side(venue, of.trim())?, place(venue, at)?));
    }
    for text in &args.group {
        let numbers: Vec<f64> = text.split(',').filter_map(|t| t.trim().parse().ok()).collect();
        match (&numbers[..], text.split(',').count()) {
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
