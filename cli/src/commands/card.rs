//! `ovalpeg card`.

use anyhow::Result;
use ovalpeg::briefing::{When, briefing};
use ovalpeg::export::{card, card_json, long_card};

use super::{day_of, venue_of};
use crate::args::CardArgs;
use crate::output;

pub(super) fn run(args: &CardArgs) -> Result<()> {
    let venue = venue_of(&args.venue)?;
    let b = briefing(&venue, When { day: day_of(&args.venue)?, night: args.night, start: args.start });
    output::print(&if args.json {
        card_json(&venue, &b)
    } else if args.long {
        long_card(&venue, &b, args.ascii)
    } else {
        card(&venue, &b, args.ascii)
    })
}
