//! `ovalpeg throw-in`.

use anyhow::{Context, Result, bail};
use ovalpeg::briefing::{bearings, cautions_beside, spot_row};
use ovalpeg::export::{CARD_COLUMNS, throw_in_json, throw_in_text};
use ovalpeg::officiate::NoPositions;
use ovalpeg::units::print::for_terminal;

use super::{day_of, venue_of};
use crate::args::ThrowInArgs;
use crate::output::{self, Width};
use crate::spot_args::preferred;

pub(super) fn run(args: &ThrowInArgs, width: Width) -> Result<()> {
    let venue = venue_of(&args.venue)?;
    if !venue.document.rules.throw_ins {
        bail!(
            "no throw-in at {}: {}; where to stand to watch a ball near the line is in `ovalpeg stations --phase play`",
            for_terminal(&venue.document.name),
            NoPositions::NoThrowIns
        );
    }
    let day = day_of(&args.venue)?;
    let (declination, cautions) = bearings(&venue, day);
    let cautions = cautions_beside(&venue, cautions);
    let reference = args.spot.reference(&venue)?;
    let row = spot_row(
        &venue,
        declination.as_ref(),
        reference,
        preferred(&venue, args.prefer.as_deref())?,
        args.night,
    )
    .with_context(|| format!("no such spot at {}", venue.document.name))?;
    output::print(&if args.json {
        throw_in_json(&venue, day, &row, &cautions)
    } else {
        throw_in_text(&venue, &row, &cautions, args.long, width.paper(CARD_COLUMNS, args.ascii))
    })
}
