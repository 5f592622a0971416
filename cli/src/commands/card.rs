//! `ovalpeg card`.

use anyhow::Result;
use ovalpeg::briefing::briefing;
use ovalpeg::export::{card, card_json, long_card};

use super::{day_of, shown, venue_of};
use crate::args::CardArgs;
use crate::output;

pub(super) fn run(args: &CardArgs) -> Result<()> {
    let venue = venue_of(&args.venue)?;
    let b = briefing(&venue, day_of(&args.venue)?);
    output::print(&if args.json {
        card_json(&venue, &b)
    } else if args.long {
        shown(long_card(&venue, &b), args.ascii)
    } else {
        shown(card(&venue, &b), args.ascii)
    })
}
