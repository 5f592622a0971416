//! `ovalpeg card`.

use anyhow::{Result, bail};
use ovalpeg::boundary::Side;
use ovalpeg::briefing::{
    Briefing, MomentAnswer, MomentQuery, When, ZoneSizes, answer, briefing, phase_sheet,
};
use ovalpeg::export::{
    CARD_COLUMNS, SHORT_COLUMNS, card, card_html, card_json, long_card, page_svg, short_card,
};
use ovalpeg::page::{Page, Paper, plan};
use ovalpeg::venue::Venue;

use super::{day_of, venue_of};
use crate::args::{CardArgs, CardFormat, CardPaper, CardShow};
use crate::output::{self, Width};
use crate::spot_args::side;
use crate::store;

pub(super) fn run(args: &CardArgs, width: Width) -> Result<()> {
    let venue = venue_of(&args.venue)?;
    let face = Face::of(args, &venue, width)?;
    let b = briefing(&venue, When { day: day_of(&args.venue)?, night: args.night, start: args.start });
    let full = width.paper(CARD_COLUMNS, args.ascii);
    let text = match face {
        Face::Page => page_svg(&page_of(args, &venue, &b)?),
        Face::Phone(line) => card_html(&venue, &b, &phases(args, &venue, &b), line)?,
        Face::Json => card_json(&venue, &b, &phases(args, &venue, &b)),
        Face::Long => long_card(&venue, &b, ZoneSizes::of(&venue.ground).as_ref(), full),
        Face::Full => card(&venue, &b, full),
        Face::Short(line) => short_card(&venue, &b, line, width.paper(SHORT_COLUMNS, args.ascii)),
    };
    match &args.output {
        None => output::print(&text),
        Some(path) => {
            store::write_file(&mut store::Real, path, text.as_bytes(), args.replace)?;
            output::print(&format!("{}\n", path.display()))
        }
    }
}

/// Every phase that has an answer on this ground; why another has none is for `stations --sheet`.
fn phases(args: &CardArgs, venue: &Venue, b: &Briefing) -> Vec<(&'static str, MomentAnswer)> {
    let answered = |(title, moment)| {
        let query = MomentQuery { night: args.night, ..MomentQuery::new(moment) };
        answer(venue, b.declination.as_ref(), &query).ok().map(|a| (title, a))
    };
    phase_sheet(venue).into_iter().filter_map(answered).collect()
}

/// The page that was asked for.
fn page_of(args: &CardArgs, venue: &Venue, b: &Briefing) -> Result<Page> {
    let paper = match args.paper {
        CardPaper::A4 => Paper::A4,
        CardPaper::A5 => Paper::A5,
        CardPaper::A6 => Paper::A6,
    };
    Ok(match args.show {
        CardShow::Plan => plan(venue, b, paper)?,
    })
}

/// Which card is printed.
enum Face {
    /// A page, to be drawn.
    Page,
    /// A page for a phone, for the official of one line or for both.
    Phone(Option<Side>),
    Json,
    Long,
    Full,
    /// For the official of one line, or `None` for both lines.
    Short(Option<Side>),
}

impl Face {
    fn of(args: &CardArgs, venue: &Venue, width: Width) -> Result<Self> {
        let line = args.line.as_deref().map(|name| side(venue, "--line", name)).transpose()?;
        Ok(if args.format == CardFormat::Svg {
            if line.is_some() {
                bail!("a plan shows both lines: leave --line out, or ask for --format html");
            }
            Self::Page
        } else if args.format == CardFormat::Html {
            Self::Phone(line)
        } else if args.json {
            Self::Json
        } else if args.long {
            Self::Long
        } else if line.is_some() {
            Self::Short(line)
        } else if args.short || (width.is_under(CARD_COLUMNS) && !args.full) {
            Self::Short(None)
        } else {
            Self::Full
        })
    }
}
