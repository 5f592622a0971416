//! `ovalpeg card`.

use anyhow::Result;
use ovalpeg::briefing::{MomentQuery, When, answer, briefing, phase_sheet};
use ovalpeg::export::{CARD_COLUMNS, card, card_json, long_card};

use super::{day_of, venue_of};
use crate::args::CardArgs;
use crate::output::{self, Width};

pub(super) fn run(args: &CardArgs, width: Width) -> Result<()> {
    let venue = venue_of(&args.venue)?;
    let b = briefing(&venue, When { day: day_of(&args.venue)?, night: args.night, start: args.start });
    output::print(&if args.json {
        let mut phases = Vec::new();
        for (title, moment) in phase_sheet(&venue) {
            let query = MomentQuery { night: args.night, ..MomentQuery::new(moment) };
            // What this ground has no answer for is left out: `stations --sheet` says why.
            phases.extend(answer(&venue, b.declination.as_ref(), &query).ok().map(|a| (title, a)));
        }
        card_json(&venue, &b, &phases)
    } else if args.long {
        long_card(&venue, &b, width.paper(CARD_COLUMNS, args.ascii))
    } else {
        card(&venue, &b, width.paper(CARD_COLUMNS, args.ascii))
    })
}
