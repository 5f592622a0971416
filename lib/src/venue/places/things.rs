//! Finds a venue's hazards and landmarks by their names.

use super::lexeme::{Lexeme, lexemes};
use super::not_read::NotRead;
use super::reading::quarter;
use crate::frame::Local;
use crate::geometry::Point;
use crate::ground::{SpotRef, WhereSeen};
use crate::units::print::fixed;
use crate::venue::Venue;

/// The hazard or landmark of this name, with or without `the`; `None` where there is none.
pub(super) fn thing(venue: &Venue, text: &str) -> Option<Result<Point<Local>, NotRead>> {
    let said = bare(text);
    if said.is_empty() {
        return None;
    }
    let around = &venue.document.surroundings;
    let hazards = around.hazards.iter().map(|h| (&h.name, h.at));
    let landmarks = around.landmarks.iter().filter_map(|l| match l.seen {
        WhereSeen::At(at) => Some((&l.name, at)),
        WhereSeen::Bearing(_) => None,
    });
    let is = |name: &str| {
        let name = bare(name);
        name.len() == said.len() && name.iter().zip(&said).all(|(a, b)| a.same(b))
    };
    let found: Vec<_> = hazards.chain(landmarks).filter(|(name, _)| is(name)).collect();
    match found[..] {
        [] => None,
        [(_, at)] => Some(Ok(at)),
        _ => {
            let could = found.iter().map(|(name, at)| format!("the {name} {}", beside(venue, *at)));
            Some(Err(NotRead::Ambiguous { could: could.collect() }))
        }
    }
}

fn bare(text: &str) -> Vec<Lexeme> {
    let mut all = lexemes(text);
    if matches!(all.first(), Some(Lexeme::Word(w, _)) if w == "the") {
        all.remove(0);
    }
    all
}

/// Where it is along the line, in words.
fn beside(venue: &Venue, at: Point<Local>) -> String {
    let range = venue.document.practice.goal_range_m.value;
    match venue.ground.oval().spot(SpotRef::NearLocal(at), range) {
        Ok(s) => format!(
            "by {} {} m from post",
            quarter(&venue.document.names, s.side, s.end),
            fixed(s.from_post_m, 0)
        ),
        Err(_) => "behind a goal".to_owned(),
    }
}
