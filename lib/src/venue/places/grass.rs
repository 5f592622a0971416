//! Reads places that are given relative to the markings inside the line: centre, goals, squares, arcs.

use super::answer::{SaidPlace, Where};
use super::not_read::NotRead;
use super::reading::{Measure, Reading, quarter};
use super::token::Word;
use crate::boundary::{End, Side};
use crate::frame::Ground as GroundFrame;
use crate::geometry::Point;
use crate::ground::Parting;
use crate::officiate::start;
use crate::units::print::fixed;

fn at(x: f64, y: f64) -> Result<SaidPlace, NotRead> {
    Ok(SaidPlace { at: Where::Ground(Point::<GroundFrame>::new(x, y)), taken_as: None })
}

/// An ambiguity: the same words for both ends, or both sides.
fn each<T: Copy>(all: [T; 2], words: impl Fn(T) -> String) -> NotRead {
    NotRead::Ambiguous { could: all.map(words).to_vec() }
}

fn no_side(r: &Reading<'_>) -> NotRead {
    let names = &r.venue.document.names;
    each(Side::BOTH, |s| format!("the {} side", names.side(s)))
}

fn no_end(r: &Reading<'_>) -> NotRead {
    let names = &r.venue.document.names;
    each(End::BOTH, |e| format!("the {} end", names.end(e)))
}

/// How far a place lies to the left of the goal axis, m; 0 where no distance was given.
fn across(r: &Reading<'_>, m: Option<&Measure>) -> Result<f64, NotRead> {
    let Some(m) = m else { return Ok(0.0) };
    let side = r.side()?.ok_or_else(|| no_side(r))?;
    Ok(side.sign() * m.value())
}

/// The roles of a distance across the ground: toward a side, or off the axis.
const ACROSS: [Option<Word>; 2] = [Some(Word::To), Some(Word::Off)];

/// A place relative to the centre: along the goal axis, then across it.
pub(super) fn from_centre(r: &Reading<'_>) -> Result<SaidPlace, NotRead> {
    use Word::{Along, Axis, Centre, From, Middle, Off, Out, To};
    r.only(&[Along, Axis, Centre, From, Middle, Off, Out, To], &[Some(From), Some(To), Some(Off)], false)?;
    let mut along = None;
    let mut to_side = None;
    for m in &r.measures {
        let is_across = m.role == Some(Off) || (m.side().is_some() && m.end().is_none());
        let slot = if is_across { &mut to_side } else { &mut along };
        if slot.replace(m).is_some() {
            return Err(NotRead::Jumbled("two distances go the same way there".to_owned()));
        }
    }
    if to_side.is_none() && r.named_side()?.is_some() && along.is_none() {
        return Err(NotRead::Missing("that is no whole place: how far to that side?".to_owned()));
    }
    let x = match along {
        None if r.end()?.is_some() && to_side.is_none() => {
            return Err(NotRead::Missing("that is no whole place: how far toward that end?".to_owned()));
        }
        None => 0.0,
        Some(m) => r.end()?.ok_or_else(|| no_end(r))?.sign() * m.value(),
    };
    at(x, across(r, to_side)?)
}

/// A place on the centre circle, at a side, where the field umpire may wait; without a side, the centre.
pub(super) fn circle(r: &Reading<'_>) -> Result<SaidPlace, NotRead> {
    r.only(&[Word::Circle, Word::Centre], &[], false)?;
    if r.end()?.is_some() {
        return Err(NotRead::Jumbled("the centre circle has no end".to_owned()));
    }
    let radius = r.venue.ground.oval().centre_circle_m();
    at(0.0, r.named_side()?.map_or(0.0, |s| s.sign() * radius))
}

/// A place relative to a goal line's middle: out into the ground, then across.
pub(super) fn from_goal(r: &Reading<'_>) -> Result<SaidPlace, NotRead> {
    use Word::{Behind, From, Goal, Middle, Off, Out, To};
    let roles = [Some(From), Some(Out), Some(Behind), Some(To), Some(Off)];
    r.only(&[Behind, From, Goal, Middle, Off, Out, To], &roles, false)?;
    let out = r.one(&[Some(From), Some(Out), Some(Behind)])?;
    let names = &r.venue.document.names;
    let Some(end) = r.end()? else {
        let so_far = out.map_or_else(String::new, |m| format!("{} m from ", fixed(m.value(), 0)));
        return Err(each(End::BOTH, |e| format!("{so_far}the {} goal", names.end(e))));
    };
    let out_m = out.map_or(0.0, |m| if m.role == Some(Behind) { -m.value() } else { m.value() });
    let to_side = r.one(&ACROSS)?;
    if to_side.is_none() && r.named_side()?.is_some() {
        return Err(NotRead::Missing("that is no whole place: how far to that side?".to_owned()));
    }
    at(end.sign() * (r.venue.ground.oval().half_length_m() - out_m), across(r, to_side)?)
}

/// The goal square's middle, or the middle of its kick-off line.
pub(super) fn goal_square(r: &Reading<'_>) -> Result<SaidPlace, NotRead> {
    use Word::{GoalSquare, KickOff, Line, Middle, Top};
    r.only(&[GoalSquare, KickOff, Line, Middle, Top], &[], false)?;
    let names = &r.venue.document.names;
    let end = r.end()?.ok_or_else(|| each(End::BOTH, |e| format!("the {} goal square", names.end(e))))?;
    let oval = r.venue.ground.oval();
    let depth = oval.rules().goal_square_depth_m.given().ok_or_else(|| has_no("goal square"))?;
    let out_m = if r.has(KickOff) || r.has(Top) { depth } else { 0.5 * depth };
    at(end.sign() * (oval.half_length_m() - out_m), 0.0)
}

fn has_no(what: &str) -> NotRead {
    NotRead::Missing(format!("this ground has no {what}"))
}

/// The top of an arc, or a place level with it.
pub(super) fn arc(r: &Reading<'_>) -> Result<SaidPlace, NotRead> {
    use Word::{Arc, Axis, Level, Off, Top};
    let Parting::Arc { .. } = r.venue.ground.oval().parting() else { return Err(has_no("arcs")) };
    r.only(&[Arc, Axis, Level, Off, Top], &[Some(Off)], false)?;
    let names = &r.venue.document.names;
    let Some(end) = r.end()? else {
        return Err(each(End::BOTH, |e| format!("the top of the {} arc", names.end(e))));
    };
    if !r.has(Top) {
        let mut could = vec![format!("the top of the {} arc", names.end(end))];
        could.extend(Side::BOTH.map(|s| format!("{} arc end", quarter(names, s, end))));
        return Err(NotRead::Ambiguous { could });
    }
    at(end.sign() * r.venue.ground.oval().arc_top_m(), across(r, r.one(&[Some(Off)])?)?)
}

/// A place on an official's own line, level with the zone line or what takes its place: the start station on
/// a ground without a square.
pub(super) fn own_line(r: &Reading<'_>) -> Result<SaidPlace, NotRead> {
    use Word::{Arc, Centre, From, Goal, Level, Line, Own, Top, Zone};
    r.only(&[Arc, Centre, From, Goal, Level, Line, Own, Top, Zone], &[Some(From)], false)?;
    let (Some(end), Some(side)) = (r.end()?, r.side()?) else { return Err(which_start(r)) };
    let oval = r.venue.ground.oval();
    let told =
        r.measures.iter().map(|m| if m.has(Goal) { oval.half_length_m() - m.value() } else { m.value() });
    let told: Vec<f64> = told.collect();
    // A distance from the centre and one from the goal must give the same place.
    if told.windows(2).any(|w| (w[0] - w[1]).abs() > 1.0) {
        return Err(NotRead::Jumbled("two places on that line are told".to_owned()));
    }
    let x = told.first().copied().unwrap_or(oval.arc_top_m());
    let p = oval.boundary().level_with(side, end.sign() * x);
    at(p.x, p.y)
}

/// A place relative to the centre square: its middle, a corner, or beside its side line.
pub(super) fn square(r: &Reading<'_>) -> Result<SaidPlace, NotRead> {
    use Word::{Arc, Corner, From, GoalSide, Inside, Level, Line, Middle, Outside, Past, Square, To, Top};
    let roles = [Some(Outside), Some(Inside), Some(Past), Some(GoalSide), Some(From)];
    r.only(
        &[Arc, Corner, From, GoalSide, Inside, Level, Line, Middle, Outside, Past, Square, To, Top],
        &roles,
        false,
    )?;
    let names = &r.venue.document.names;
    let half = r.venue.ground.oval().square_half_m().ok_or_else(|| has_no("centre square"))?;
    let (end, side) = (r.end()?, r.side()?);
    let alone = r.measures.is_empty() && ![Corner, Line, Arc, Top].iter().any(|w| r.has(*w));
    if alone && end.is_none() && r.named_side()?.is_none() {
        return at(0.0, 0.0);
    }
    let Some(side) = side else {
        let ends: Vec<End> = end.map_or(End::BOTH.to_vec(), |e| vec![e]);
        let could = ends
            .iter()
            .flat_map(|&e| Side::BOTH.map(|s| format!("by the square's {} corner", quarter(names, s, e))));
        return Err(NotRead::Ambiguous { could: could.collect() });
    };
    let toward = || {
        let corner = |e| format!("by the square's {} corner", quarter(names, side, e));
        end.ok_or_else(|| each(End::BOTH, corner)).map(End::sign)
    };
    let past = r.one(&[Some(Past), Some(GoalSide)])?;
    let from_middle = r.one(&[Some(From)])?;
    let x = match (past, from_middle) {
        (Some(_), Some(_)) => {
            return Err(NotRead::Jumbled("from its middle, or past its corner: one of the two".to_owned()));
        }
        (Some(m), None) => toward()? * (half + m.value()),
        (None, Some(m)) if m.has(Middle) => toward()? * m.value(),
        (None, Some(_)) => {
            return Err(NotRead::Missing(
                "that is no whole place: it needs metres from the middle of the side line".to_owned(),
            ));
        }
        (None, None) if r.has(Corner) => toward()? * half,
        (None, None) if r.has(Middle) => 0.0,
        (None, None) if r.has(Top) => toward()? * r.venue.ground.oval().arc_top_m(),
        (None, None) => {
            return Err(NotRead::Missing(
                "that is no whole place: how far along the square's side line, from its middle or past its corner?".to_owned(),
            ));
        }
    };
    let outside = r.one(&[Some(Outside), Some(Inside)])?;
    let out_m = outside.map_or(0.0, |m| if m.role == Some(Inside) { -m.value() } else { m.value() });
    at(x, side.sign() * (half + out_m))
}

/// A start station.
pub(super) fn start_station(r: &Reading<'_>) -> Result<SaidPlace, NotRead> {
    r.only(&[Word::Start], &[], false)?;
    let Some(s) = start(r.venue.scene()) else {
        return Err(NotRead::Missing("nothing is painted here to start by".to_owned()));
    };
    let (Some(end), Some(side)) = (r.end()?, r.side()?) else { return Err(which_start(r)) };
    let p = s.station(side, end);
    at(p.x, p.y)
}

fn which_start(r: &Reading<'_>) -> NotRead {
    let names = &r.venue.document.names;
    let all = End::BOTH.iter().flat_map(|e| Side::BOTH.map(|s| (*e, s)));
    NotRead::Ambiguous { could: all.map(|(e, s)| format!("{} start", quarter(names, s, e))).collect() }
}
