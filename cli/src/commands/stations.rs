//! `ovalpeg stations`.

use anyhow::Result;
use ovalpeg::briefing::briefing;
use ovalpeg::export::{stations_json, stations_text};

use super::{day_of, venue_of};
use crate::args::StationsArgs;
use crate::output;

pub(super) fn run(args: &StationsArgs) -> Result<()> {
    let venue = venue_of(&args.venue)?;
    let b = briefing(&venue, day_of(&args.venue)?);
    output::print(&if args.json { stations_json(&venue, &b) } else { stations_text(&venue, &b, args.ascii) })
}
