//! `ovalpeg call`.

use std::io::{BufRead as _, IsTerminal as _, stdin, stdout};

use anyhow::{Result, anyhow, bail};
use ovalpeg::export::{call_json, call_text, calls_json, calls_text};
use ovalpeg::ground::Arcs;
use ovalpeg::officiate::ball_over;
use ovalpeg::rules::{Happened, LastDisposal, Off, Sure, call};
use ovalpeg::units::Call;
use ovalpeg::units::print::measured_roughly;

use crate::args::{Answer, CallArgs, OffName};
use crate::spot_args::place;
use crate::{output, store};

pub(super) fn run(args: &CallArgs) -> Result<()> {
    if args.table {
        return output::print(&if args.json { calls_json() } else { calls_text(args.ascii) });
    }
    let happened = if let (Some(venue), Some(ball)) = (&args.venue, &args.ball) {
        judged(args, venue, ball)?
    } else if args.over.is_none() && args.off.is_none() {
        if !stdin().is_terminal() || !stdout().is_terminal() {
            bail!("nobody to ask: say what happened, as in --over yes --off kick --bounced no, or --table");
        }
        asked(args)?
    } else {
        said(args)
    };
    let row = call(&happened);
    output::print(&if args.json { call_json(row) } else { call_text(row, args.ascii) })
}

fn sure(a: Answer) -> Sure {
    match a {
        Answer::Yes => Sure::Yes,
        Answer::No => Sure::No,
        Answer::Unsure => Sure::Unsure,
    }
}

fn off(name: OffName) -> Off {
    match name {
        OffName::Kick => Off::Kick,
        OffName::Hand => Off::Hand,
        OffName::BelowKnee => Off::BelowKnee,
        OffName::AboveKnee => Off::AboveKnee,
        OffName::Ruck => Off::Ruck,
        OffName::KickIn => Off::KickIn,
        OffName::Body => Off::Body,
    }
}

/// What was not said: a ball over, kicked, that nobody touched and that bounced.
fn said(args: &CallArgs) -> Happened {
    Happened {
        wholly_over: args.over.map_or(Sure::Yes, sure),
        off: args.off.map_or(Off::Kick, off),
        touched: args.touched.map_or(Sure::No, sure),
        bounced: args.bounced.map_or(Sure::Yes, sure),
        behind_post: args.behind_post,
        shepherded: args.shepherded,
        insufficient_intent: args.insufficient_intent,
        between_arcs: args.between_arcs,
        law: if args.last_disposal { LastDisposal::BetweenArcs } else { LastDisposal::NotStated },
    }
}

/// By a venue's own line: is the ball over, and where?
fn judged(args: &CallArgs, venue: &str, ball: &str) -> Result<Happened> {
    let venue = store::load(&store::folder(&args.venues.venues, venue)?)?;
    let oval = venue.ground.oval();
    let at = place(&venue, ball)?;
    let across = args.across.unwrap_or(venue.document.practice.ball_across_m.value);
    if !(0.0..=1.0).contains(&across) {
        bail!("--across {across}: a ball is 0 to 1 m across");
    }
    let found = ball_over(&venue.ground, oval.plan().to_local(at), 0.5 * across).ok_or_else(|| {
        anyhow!("the ball at {ball} is behind a scoring end: that is the goal umpire's, not the line's")
    })?;
    let clear = measured_roughly(&found.clear_m, "m", 2);
    output::note(&format!("the ball's nearest part is {clear} beyond the line's outer edge"));
    let crossed = oval.boundary().nearest(at).point;
    Ok(Happened {
        wholly_over: match found.out {
            Call::Yes => Sure::Yes,
            Call::No => Sure::No,
            Call::TooClose => Sure::Unsure,
        },
        between_arcs: oval.arcs(crossed) == Arcs::Between,
        law: if args.last_disposal { LastDisposal::BetweenArcs } else { venue.document.rules.last_disposal },
        ..said(args)
    })
}

/// Tries at one question.
const TRIES: usize = 3;

fn ask<T>(question: &str, parse: impl Fn(&str) -> Option<T>) -> Result<T> {
    for _ in 0..TRIES {
        output::print(&format!("{question} "))?;
        let mut line = String::new();
        if stdin().lock().read_line(&mut line)? == 0 {
            bail!("no answer");
        }
        if let Some(found) = parse(line.trim()) {
            return Ok(found);
        }
    }
    bail!("no answer that is known: {question}")
}

fn yes_no_unsure(text: &str) -> Option<Sure> {
    match text.to_lowercase().chars().next()? {
        'y' => Some(Sure::Yes),
        'n' => Some(Sure::No),
        'u' | '?' => Some(Sure::Unsure),
        _ => None,
    }
}

fn asked(args: &CallArgs) -> Result<Happened> {
    let mut h = said(args);
    let tell = |question: &str| ask(&format!("{question} [y, n, unsure]"), yes_no_unsure);
    h.wholly_over = tell("All of the ball beyond the line's outer edge?")?;
    if h.wholly_over != Sure::Yes {
        return Ok(h);
    }
    let list: Vec<String> =
        Off::ALL.iter().enumerate().map(|(i, o)| format!("  {} {}", i + 1, o.words())).collect();
    h.off = ask(
        &format!("How did it leave the last player?\n{}\n[1-{}]", list.join("\n"), Off::ALL.len()),
        |t| t.parse::<usize>().ok().and_then(|n| Off::ALL.get(n.checked_sub(1)?).copied()),
    )?;
    h.touched = tell("Touched or smothered by another player on the way?")?;
    h.bounced = tell("Did it meet the ground first?")?;
    h.behind_post = tell("Did it hit the behind post?")? == Sure::Yes;
    h.between_arcs = tell("Did it cross between the arcs?")? == Sure::Yes;
    if h.between_arcs && tell("Does the competition have last disposal there?")? == Sure::Yes {
        h.law = LastDisposal::BetweenArcs;
        h.shepherded = tell("Did an opponent shepherd it over?")? == Sure::Yes;
    }
    if tell("Not enough done to keep it in (the field umpire's call)?")? == Sure::Yes {
        h.insufficient_intent = true;
    }
    Ok(h)
}
