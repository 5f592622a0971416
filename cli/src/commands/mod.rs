//! The commands, one file each.

mod adjust;
mod call;
mod card;
mod compare;
mod doubted;
mod fit;
mod register;
mod rehearse;
mod rules;
mod stations;
mod throw_in;

use anyhow::{Context, Result};
use ovalpeg::units::Day;
use ovalpeg::venue::Venue;

use crate::args::{Cli, Command, VenueArgs};
use crate::output::Width;
use crate::store;

/// The exit code of a command that could run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// 0: done, without findings.
    Done,
    /// 1: done, with findings.
    Findings,
}

pub(crate) fn run(cli: Cli) -> Result<Outcome> {
    let width = Width::found(cli.width);
    match cli.command {
        Command::Compare(a) => return compare::run(&a, width),
        Command::Fit(a) => fit::run(&a, width),
        Command::Adjust(a) => adjust::run(&a, width),
        Command::Register(a) => register::run(&a, width),
        Command::Card(a) => card::run(&a, width),
        Command::ThrowIn(a) => throw_in::run(&a, width),
        Command::Stations(a) => stations::run(&a, width),
        Command::Call(a) => call::run(&a, width),
        Command::Rules(a) => rules::run(&a, width),
    }?;
    Ok(Outcome::Done)
}

/// Today's date in UTC. The local date may differ, but declination changes by only 0.0001° in those hours.
fn today() -> Result<Day> {
    let now = time::OffsetDateTime::now_utc();
    let year = u16::try_from(now.year()).context("the clock's year")?;
    Ok(Day::new(year, u8::from(now.month()), now.day())?)
}

fn day_of(args: &VenueArgs) -> Result<Day> {
    args.date.map_or_else(today, Ok)
}

fn venue_of(args: &VenueArgs) -> Result<Venue> {
    store::load(&store::folder(&args.venues.venues, &args.venue)?)
}
