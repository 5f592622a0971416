//! `ovalpeg card`.

use anyhow::{Result, bail};
use ovalpeg::boundary::Side;
use ovalpeg::briefing::{
    Briefing, MomentAnswer, MomentQuery, When, ZoneSizes, answer, briefing, phase_sheet,
};
use ovalpeg::export::{
    CARD_COLUMNS, Imprint, SHORT_COLUMNS, card, card_html, card_json, long_card, page_svg, pdf, png,
    short_card,
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
    let made = match face {
        Face::Page(Drawn::Svg) => page_svg(&page_of(args, &venue, &b)?).into_bytes(),
        Face::Page(Drawn::Pdf) => {
            let page = page_of(args, &venue, &b)?;
            let imprint = Imprint::new(page.title(), page.description(), b.day)?;
            pdf(&[page], &imprint)?
        }
        Face::Page(Drawn::Png) => png(&page_of(args, &venue, &b)?, DOTS_PER_INCH)?,
        Face::Phone(line) => card_html(&venue, &b, &phases(args, &venue, &b), line)?.into_bytes(),
        Face::Json => card_json(&venue, &b, &phases(args, &venue, &b)).into_bytes(),
        Face::Long => long_card(&venue, &b, ZoneSizes::of(&venue.ground).as_ref(), full).into_bytes(),
        Face::Full => card(&venue, &b, full).into_bytes(),
        Face::Short(line) => {
            short_card(&venue, &b, line, width.paper(SHORT_COLUMNS, args.ascii)).into_bytes()
        }
    };
    match (&args.output, std::str::from_utf8(&made)) {
        (Some(path), _) => {
            store::write_file(&mut store::Real, path, &made, args.replace)?;
            output::print(&format!("{}\n", path.display()))
        }
        (None, Ok(text)) => output::print(text),
        (None, Err(_)) => bail!("no terminal shows such a file: say where to write it, as -o card.pdf"),
    }
}

/// What a picture is printed with at home; a screen has less.
const DOTS_PER_INCH: f64 = 200.0;

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
    Page(Drawn),
    /// A page for a phone, for the official of one line or for both.
    Phone(Option<Side>),
    Json,
    Long,
    Full,
    /// For the official of one line, or `None` for both lines.
    Short(Option<Side>),
}

/// What a page is drawn as.
enum Drawn {
    Svg,
    Pdf,
    Png,
}

impl Face {
    fn of(args: &CardArgs, venue: &Venue, width: Width) -> Result<Self> {
        let line = args.line.as_deref().map(|name| side(venue, "--line", name)).transpose()?;
        let drawn = match args.format {
            CardFormat::Text => None,
            CardFormat::Html => return Ok(Self::Phone(line)),
            CardFormat::Svg => Some(Drawn::Svg),
            CardFormat::Pdf => Some(Drawn::Pdf),
            CardFormat::Png => Some(Drawn::Png),
        };
        if drawn.is_some() && line.is_some() {
            bail!("a plan shows both lines: leave --line out, or ask for --format html");
        }
        Ok(if let Some(drawn) = drawn {
            Self::Page(drawn)
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
