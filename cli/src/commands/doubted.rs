//! The doubts about a registration. It is refused until a person has settled them.

use std::path::Path;

use anyhow::{Error, Result};
use ovalpeg::boundary::Spread;
use ovalpeg::frame::LocalPlane;
use ovalpeg::ground::Ground;
use ovalpeg::solve::{Doubt, Doubted, Solved};
use ovalpeg::units::{Day, Problem, Refused};
use ovalpeg::venue::{Document, date_doubt, near_doubt, overlap_share, planes_apart_m, registered_fit};

use crate::args::RegisterArgs;
use crate::store;
use crate::words::worded;

/// Two grounds whose datum points are farther apart than this are not tested for an overlap, m: no ground is
/// that long.
const NEIGHBOURS_M: f64 = 1_000.0;

/// The doubts that were found, when all of them are settled.
pub(super) struct Looked {
    /// All doubts, about the survey and about the registration; a person accepted every one.
    pub(super) doubts: Vec<Doubted>,
    /// Warnings about the registration itself.
    pub(super) notes: Vec<Problem>,
}

/// Checks the survey's own doubts, the grounds registered near it, and its day. The two days are the survey's
/// and today; `replaced` is the day of the survey that it replaces.
///
/// # Errors
/// The doubts that nobody has accepted.
pub(super) fn look(
    args: &RegisterArgs,
    solved: &Solved,
    [surveyed, today]: [Day; 2],
    replaced: Option<Day>,
) -> Result<Looked> {
    let (mut beside, unseen) = neighbours(&args.venues.venues, &args.id, solved);
    beside.extend(date_doubt(surveyed, today, replaced));
    let notes = beside.iter().map(|d| worded(&d.problem)).chain(unseen).collect();
    let doubts: Vec<Doubted> = solved.doubts().iter().cloned().chain(beside).collect();
    refuse_unsettled(&doubts, &args.survey.options.accept)?;
    Ok(Looked { doubts, notes })
}

/// Doubts about registered grounds that overlap this one, and notes on those that could not be checked.
fn neighbours(venues: &Path, id: &str, solved: &Solved) -> (Vec<Doubted>, Vec<Problem>) {
    let plane = solved.prepared().survey().plane;
    let (mut doubts, mut notes) = (Vec::new(), Vec::new());
    if plane.datum_point().is_none() {
        return (doubts, notes);
    }
    for other in store::known(venues).into_iter().filter(|other| other != id) {
        let folder = venues.join(&other);
        // A venue that can't be read is reported when it is opened, not here.
        let Ok(text) = store::text(&folder) else { continue };
        let Ok(document) = Document::read(&text, &mut |name| store::named(&folder, name)) else { continue };
        if planes_apart_m(&plane, &document.plane).is_none_or(|m| m > NEIGHBOURS_M) {
            continue;
        }
        match share(&document, &folder, solved.ground(), &plane) {
            Some(share) => doubts.extend(near_doubt(&document.name, &other, share)),
            None => notes.push(Problem::new(format!(
                "{} ({other}) lies near, and its fit can't be read: whether the two overlap is not known",
                document.name
            ))),
        }
    }
    (doubts, notes)
}

fn share(document: &Document, folder: &Path, ground: &Ground, plane: &LocalPlane) -> Option<f64> {
    let fit = registered_fit(document, |name| store::named(folder, name)).ok()?;
    // Only the place matters here, not its uncertainty.
    let there = Ground::new(&fit.outline, &Spread::none(), document.rules.clone()).ok()?;
    overlap_share((ground, plane), (&there, &document.plane))
}

/// Refuses to go on while a doubt is not accepted: it may change numbers, or register one ground twice.
fn refuse_unsettled(doubts: &[Doubted], accept: &[Doubt]) -> Result<()> {
    let open: Vec<Problem> = doubts
        .iter()
        .filter(|d| !accept.contains(&d.doubt))
        .map(|d| {
            let p = worded(&d.problem);
            let settle = format!("--accept {} if it is right", d.doubt.id());
            let hint = p.remedy().map_or(settle.clone(), |remedy| format!("{remedy}, or {settle}"));
            p.hint(hint)
        })
        .collect();
    if open.is_empty() {
        return Ok(());
    }
    Err(Error::new(Refused::new(open))
        .context("this survey leaves something to be guessed at, so nothing was written"))
}

/// The names of the accepted doubts for the venue file, each once.
pub(super) fn accepted(doubts: &[Doubted]) -> Vec<String> {
    let mut all: Vec<Doubt> = doubts.iter().map(|d| d.doubt).collect();
    all.sort();
    all.dedup();
    all.into_iter().map(|d| d.id().to_owned()).collect()
}
