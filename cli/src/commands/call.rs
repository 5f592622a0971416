//! `ovalpeg call`.

use std::io::{BufRead as _, IsTerminal as _, stdin, stdout};

use anyhow::{Result, anyhow, bail};
use ovalpeg::export::{CARD_COLUMNS, call_json, call_text, calls_json, calls_text};
use ovalpeg::ground::Arcs;
use ovalpeg::officiate::{ball_over, in_goal_range};
use ovalpeg::rules::{CallRow, LastDisposal, Off, Question, Sure, Told};
use ovalpeg::units::print::{fixed, measured_roughly};
use ovalpeg::units::{Call, Measured, Problem, Refused};
use ovalpeg::venue::Venue;

use crate::args::{Answer, CallArgs, OffName};
use crate::output::{self, Width};
use crate::spot_args::place;
use crate::store;

pub(super) fn run(args: &CallArgs, width: Width) -> Result<()> {
    let paper = width.paper(CARD_COLUMNS, args.ascii);
    if args.table {
        return output::print(&if args.json { calls_json() } else { calls_text(paper) });
    }
    let mut told = said(args);
    let mut seen = None;
    let mut throw_ins = true;
    if let (Some(venue), Some(ball)) = (&args.venue, &args.ball) {
        let venue = store::load(&store::folder(&args.venues.venues, venue)?)?;
        throw_ins = venue.document.rules.throw_ins;
        seen = Some(judge(&mut told, args, &venue, ball)?);
    }
    if told.contradicts_itself() {
        bail!("--behind-post and --between-arcs yes: the behind posts stand inside the arcs");
    }
    let terminal = stdin().is_terminal() && stdout().is_terminal();
    // A person who answers anything would mention a post that was hit or a field umpire's call.
    if !terminal || told != Told::default() {
        told.behind_post.get_or_insert(false);
        told.insufficient_intent.get_or_insert(false);
    }
    let row = if terminal {
        asked(&mut told)?
    } else {
        told.call().map_err(|open| {
            let ask = |q| Problem::new(format!("{} Say it with {}", words(q), option(q)));
            anyhow::Error::new(Refused::new(open.into_iter().map(ask).collect())).context(
                "the call hangs on this, and nobody is there to ask (--table prints the whole table):",
            )
        })?
    };
    if let Some(seen) = seen {
        output::note(&seen);
    }
    output::print(&if args.json { call_json(row, throw_ins) } else { call_text(row, throw_ins, paper) })
}

/// A question as it is put to an official.
fn words(q: Question) -> &'static str {
    match q {
        Question::Over => "all of the ball beyond the line's outer edge?",
        Question::Off => "how did it leave the last player?",
        Question::Touched => "touched or smothered by another player on the way?",
        Question::Bounced => "did it meet the ground first?",
        Question::BehindPost => "did it hit the behind post?",
        Question::BetweenArcs => "did it cross between the arcs?",
        Question::LastDisposal => "does the competition have last disposal there?",
        Question::Shepherded => "did an opponent shepherd it over?",
        Question::Intent => "not enough done to keep it in (the field umpire's call)?",
    }
}

/// The option that answers a question beforehand.
fn option(q: Question) -> String {
    match q {
        Question::Over => "--over yes, no or unsure".to_owned(),
        Question::Off => format!("--off {}", Off::ALL.map(Off::id).join(", ")),
        Question::Touched => "--touched yes, no or unsure".to_owned(),
        Question::Bounced => "--bounced yes, no or unsure".to_owned(),
        Question::BehindPost => "--behind-post".to_owned(),
        Question::BetweenArcs => "--between-arcs yes or no".to_owned(),
        Question::LastDisposal => "--last-disposal yes or no".to_owned(),
        Question::Shepherded => "--shepherded yes or no".to_owned(),
        Question::Intent => "--insufficient-intent".to_owned(),
    }
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

/// What the options say. A flag that was not given leaves its question open.
fn said(args: &CallArgs) -> Told {
    let flag = |given: bool| given.then_some(true);
    // The table has no "unsure" for these questions, so it counts as no.
    let yes = |answer: Option<Answer>| answer.map(|a| matches!(a, Answer::Yes));
    Told {
        wholly_over: args.over.map(sure),
        off: args.off.map(off),
        touched: args.touched.map(sure),
        bounced: args.bounced.map(sure),
        behind_post: flag(args.behind_post),
        between_arcs: yes(args.between_arcs),
        law: yes(args.last_disposal)
            .map(|law| if law { LastDisposal::BetweenArcs } else { LastDisposal::No }),
        shepherded: yes(args.shepherded),
        insufficient_intent: flag(args.insufficient_intent),
    }
}

/// Answers by a venue's own line whether the ball is over, and where it crossed. Returns in words how far
/// from the line it was.
fn judge(told: &mut Told, args: &CallArgs, venue: &Venue, ball: &str) -> Result<String> {
    let oval = venue.ground.oval();
    let at = place(venue, "--ball", ball)?;
    let across = args.across.unwrap_or(venue.document.practice.ball_across_m.value);
    if !(0.0..=1.0).contains(&across) {
        bail!("--across {across}: a ball is 0 to 1 m across");
    }
    let found = ball_over(&venue.ground, oval.plan().to_local(at), 0.5 * across).ok_or_else(|| {
        anyhow!("the ball at {ball} is behind a scoring end: that is the goal umpire's, not the line's")
    })?;
    // The direction is in words, since a sign may be misread.
    let c = &found.clear_m;
    let near = measured_roughly(&Measured::new(c.value().abs(), c.sd(), c.half_width())?, "m", 2);
    let way = if c.value() < 0.0 { "short of" } else { "beyond" };
    let seen = format!("the ball's near edge is {near}\n{way} the line's outer edge");
    let crossed = oval.boundary().nearest(at).point;
    // Out of goal range nothing can hit a behind post, so the question is not asked.
    if in_goal_range(oval, &venue.document.practice, crossed).is_none() {
        if told.behind_post == Some(true) {
            let range = fixed(venue.document.practice.goal_range_m.value, 0);
            bail!("--behind-post: the ball at {ball} crossed more than {range} m from either goal");
        }
        told.behind_post = Some(false);
    }
    told.wholly_over = Some(match found.out {
        Call::Yes => Sure::Yes,
        Call::No => Sure::No,
        Call::TooClose => Sure::Unsure,
    });
    // Without arcs in the rules nothing is between them.
    let has_arcs = venue.document.rules.arc_radius_m.given().is_some();
    told.between_arcs = Some(has_arcs && oval.arcs(crossed) == Arcs::Between);
    told.law = told.law.or(match venue.document.rules.last_disposal {
        LastDisposal::NotStated => None,
        stated => Some(stated),
    });
    Ok(seen)
}

/// How often one question is asked before the program gives up.
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
        output::print("One of the answers in brackets, please.\n")?;
    }
    bail!("no answer that is known: {question}")
}

fn yes_no_unsure(text: &str) -> Option<Sure> {
    match text.to_lowercase().chars().next()? {
        'y' => Some(Sure::Yes),
        'n' => Some(Sure::No),
        'u' => Some(Sure::Unsure),
        _ => None,
    }
}

/// Asks only what the call depends on.
fn asked(told: &mut Told) -> Result<&'static CallRow> {
    for _ in 0..=Question::ALL.len() {
        let q = match told.call() {
            Ok(row) => return Ok(row),
            Err(open) => open.first().copied().unwrap_or(Question::Over),
        };
        let mut text = words(q).to_owned();
        text.get_mut(..1).map(str::make_ascii_uppercase).unwrap_or_default();
        if q == Question::Off {
            let list: Vec<String> =
                Off::ALL.iter().enumerate().map(|(i, o)| format!("  {} {}", i + 1, o.words())).collect();
            let n = Off::ALL.len();
            told.off = Some(ask(&format!("{text}\n{}\n[1-{n}]", list.join("\n")), |t| {
                let by_number = t.parse::<usize>().ok().and_then(|n| Off::ALL.get(n.checked_sub(1)?));
                by_number.or_else(|| Off::ALL.iter().find(|o| t == o.id() || t == o.words())).copied()
            })?);
            continue;
        }
        let answer = ask(&format!("{text} [y, n, unsure]"), yes_no_unsure)?;
        // The table has no "unsure" for most questions, so it counts as no.
        let yes = Some(answer == Sure::Yes);
        match q {
            Question::Over => told.wholly_over = Some(answer),
            Question::Touched => told.touched = Some(answer),
            Question::Bounced => told.bounced = Some(answer),
            Question::BehindPost => told.behind_post = yes,
            Question::BetweenArcs => told.between_arcs = yes,
            Question::LastDisposal => {
                told.law =
                    Some(if answer == Sure::Yes { LastDisposal::BetweenArcs } else { LastDisposal::No });
            }
            Question::Shepherded => told.shepherded = yes,
            Question::Intent => told.insufficient_intent = yes,
            Question::Off => {}
        }
    }
    bail!("the table of calls asks without end: please report it")
}
