//! Reads a place, an end, a side or an official from words.

use super::answer::{SaidPlace, Where};
use super::grass::{arc, circle, from_centre, from_goal, goal_square, own_line, square, start_station};
use super::line::on_the_line;
use super::not_read::NotRead;
use super::reading::Reading;
use super::things::thing;
use super::token::{First, Token, Word, tokens};
use crate::boundary::{End, Side};
use crate::venue::{Names, Venue};

/// Reads a place from words: every place that cards and stations print, as printed. `side` applies where the
/// words name no side.
///
/// Case, hyphens, slashes, commas, articles, `end`, `side`, `line` and how metres are written make no
/// difference. A name may be shortened where no other name begins alike. A stretch (`20-34 m from post`) is
/// read as its middle, and [`SaidPlace::taken_as`] says so.
///
/// # Errors
/// [`NotRead`], with what the words could mean where that is several places.
pub fn read_place(venue: &Venue, text: &str, side: Option<Side>) -> Result<SaidPlace, NotRead> {
    let why = match whole(venue, text, side) {
        Ok(found) => return Ok(found),
        Err(why) => why,
    };
    // A heading such as `ROAD, SILO end: 71 m along …` names the official and not the place.
    let headed = text.split_once(':').and_then(|(heading, rest)| {
        let (side, _) = read_official(&venue.document.names, heading).ok()?;
        Some((rest, Some(side)))
    });
    let (text, side) = headed.unwrap_or((text, side));
    if let (true, Ok(found)) = (headed.is_some(), whole(venue, text, side)) {
        return Ok(found);
    }
    // In `level with the ball, on the line (93 m along …)` the first part depends on where that ball was:
    // skip it.
    let Some(rest) = after_the_ball(text) else { return Err(why) };
    whole(venue, rest, side).map_err(|_| {
        NotRead::Missing(format!(
            "a place that is told from a ball or a kick is no place by itself: say it from what stays, as 20 m from the {} goal",
            venue.document.names.end(End::A)
        ))
    })
}

/// The text after `level with the ball,` or `35 m ahead of the kick,`.
fn after_the_ball(text: &str) -> Option<&str> {
    let (first, rest) = text.split_once(',')?;
    let says = |word: &str| first.split_whitespace().any(|w| w.eq_ignore_ascii_case(word));
    ((says("level") && says("ball")) || (says("ahead") && says("kick"))).then_some(rest)
}

fn whole(venue: &Venue, text: &str, side: Option<Side>) -> Result<SaidPlace, NotRead> {
    let names = &venue.document.names;
    let read = |first| {
        let tokens = tokens(names, text, first)?;
        place(&Reading::new(venue, &tokens, side))
    };
    // A word that is also the name of an end or a side is first tried as the name.
    read(First::Names).or_else(|why| {
        let is_name =
            matches!(tokens(names, text, First::Names).as_deref(), Ok([Token::End(_) | Token::Side(_)]));
        match thing(venue, text).filter(|_| !is_name) {
            Some(found) => found.map(|at| SaidPlace { at: Where::Local(at), taken_as: None }),
            None => read(First::Words).map_err(|_| why),
        }
    })
}

fn place(r: &Reading<'_>) -> Result<SaidPlace, NotRead> {
    if r.is_empty() {
        return Err(NotRead::Missing("that names no place".to_owned()));
    }
    r.whole()?;
    // By what the place is relative to. A corner is always the square's.
    if r.has(Word::Own) {
        own_line(r)
    } else if r.has(Word::Square) || r.has(Word::Corner) {
        square(r)
    } else if r.has(Word::GoalSquare) || r.has(Word::KickOff) {
        goal_square(r)
    } else if r.has(Word::Start) {
        start_station(r)
    } else if r.has(Word::Arc) {
        arc(r)
    } else if r.has(Word::Circle) {
        circle(r)
    } else if r.has(Word::Goal) {
        from_goal(r)
    } else if r.has(Word::Centre) || r.has(Word::Middle) {
        from_centre(r)
    } else {
        on_the_line(r)
    }
}

/// Reads an end: `Silo`, `SILO end`, `the Silo goal`, `A`.
///
/// # Errors
/// [`NotRead`].
pub fn read_end(names: &Names, text: &str) -> Result<End, NotRead> {
    let found = only_name(names, text, &[Word::Goal], |t| match t {
        Token::End(e) => Some(e),
        _ => None,
    })?;
    let [a, b] = &names.ends;
    found.ok_or_else(|| NotRead::Missing(format!("that is no end of this ground: {a} (A) or {b} (B)")))
}

/// Reads a side: `Road`, `ROAD side`, `the Road line`, `left`.
///
/// # Errors
/// [`NotRead`].
pub fn read_side(names: &Names, text: &str) -> Result<Side, NotRead> {
    let found = only_name(names, text, &[Word::Line, Word::Circle], |t| match t {
        Token::Side(s) => Some(s),
        _ => None,
    })?;
    let [l, r] = &names.sides;
    found
        .ok_or_else(|| NotRead::Missing(format!("that is no side of this ground: {l} (left) or {r} (right)")))
}

/// Reads which official: a side, and where two are on one side, the end too: `Road`, `Road/Silo`.
///
/// # Errors
/// [`NotRead`].
pub fn read_official(names: &Names, text: &str) -> Result<(Side, Option<End>), NotRead> {
    let (mut side, mut end) = (None, None);
    let mut whole = true;
    for token in tokens(names, text, First::Names)? {
        whole &= match token {
            Token::Side(s) => side.replace(s).is_none(),
            Token::End(e) => end.replace(e).is_none(),
            Token::Word(Word::Line) => true,
            _ => false,
        };
    }
    if let (Some(side), true) = (side, whole) {
        return Ok((side, end));
    }
    let ([a, _], [l, _]) = (&names.ends, &names.sides);
    Err(NotRead::Missing(format!(
        "an official is told by the side, and of two on one side by the end too: {l}, or {l}/{a}"
    )))
}

/// The one end or side that the text names, with no more than the words given besides; `None` where it names
/// none, or says anything else.
fn only_name<T: PartialEq>(
    names: &Names,
    text: &str,
    words: &[Word],
    name: impl Fn(Token) -> Option<T>,
) -> Result<Option<T>, NotRead> {
    let mut found = None;
    for token in tokens(names, text, First::Names)? {
        match (name(token), token) {
            (Some(n), _) if found.as_ref().is_none_or(|f| *f == n) => found = Some(n),
            (None, Token::Word(w)) if words.contains(&w) => {}
            _ => return Ok(None),
        }
    }
    Ok(found)
}
