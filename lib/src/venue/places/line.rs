//! Reads places that are on a boundary line, or given relative to it.

use super::answer::{SaidPlace, Where};
use super::not_read::NotRead;
use super::reading::{Measure, Reading, quarter};
use super::token::Word;
use crate::boundary::{End, Side};
use crate::ground::{NamedSpot, SpotRef};
use crate::units::print::fixed;
use crate::venue::Names;

/// How far past its neighbouring spots a named spot's part of the line reaches, m: cards name a whole stretch
/// by one spot.
const SLACK_M: f64 = 5.0;

/// The roles of a distance along the line: from a post, or without a word.
const ALONG: [Option<Word>; 3] = [Some(Word::Along), Some(Word::From), None];
/// The roles of a distance off the line.
const OFF: [Option<Word>; 5] =
    [Some(Word::Outside), Some(Word::Inside), Some(Word::Behind), Some(Word::Out), Some(Word::Off)];

pub(super) fn on_the_line(r: &Reading<'_>) -> Result<SaidPlace, NotRead> {
    if let Some(stretch) = across_the_middle(r)? {
        return Ok(stretch);
    }
    let words = [Word::Along, Word::From, Word::Line, Word::Step]
        .into_iter()
        .chain(OFF.into_iter().flatten())
        .collect::<Vec<_>>();
    r.only(&words, &[&ALONG[..], &OFF[..]].concat(), true)?;
    let (along, off) = (r.one(&ALONG)?, r.one(&OFF)?);
    let spots = r.spots();
    if spots.len() > 1 {
        return Err(NotRead::Jumbled(format!("{} and {} are two spots", spots[0].name(), spots[1].name())));
    }
    if off.is_some_and(Measure::is_stretch) {
        return Err(NotRead::Jumbled("a stretch off the line is no place".to_owned()));
    }
    let mut name = spots.first().copied();
    let mut along = along;
    // `25 m` on its own is the named spot of that name.
    if let Some(m) = along
        && name.is_none()
        && m.role.is_none()
        && m.unit
        && !m.is_stretch()
        && m.value().fract() == 0.0
        && NamedSpot::find_labelled(
            &format!("{} m", fixed(m.value(), 0)),
            r.venue.document.practice.goal_range_m.value,
        ) == Some(NamedSpot::GoalRange)
    {
        (name, along) = (Some(NamedSpot::GoalRange), None);
    }
    if name.is_none() && along.is_none() {
        return Err(nothing_named(r));
    }
    if let Some(m) = along.filter(|m| m.role == Some(Word::From) && !m.has_post()) {
        return Err(NotRead::Missing(format!(
            "{} m from what? A behind post, a goal or the centre is what places are told from",
            fixed(m.value(), 0)
        )));
    }
    let (end, side) = (r.end()?, r.side()?);
    let a_wing = name == Some(NamedSpot::Wing) && along.is_none();
    let (Some(side), Some(end)) = (side, end.or(a_wing.then_some(End::A))) else {
        return Err(ambiguous(&r.venue.document.names, side, end, name, along));
    };
    let practice = &r.venue.document.practice;
    let reference = match (along, name) {
        // A step from the post along the line, the station where there is no room behind the post.
        (None, Some(NamedSpot::Post)) if r.has(Word::Step) => {
            SpotRef::FromPost { side, end, metres: practice.post_beside_m.value }
        }
        _ if r.has(Word::Step) => {
            return Err(NotRead::Jumbled("a step is told from a behind post".to_owned()));
        }
        (Some(m), _) => SpotRef::FromPost { side, end, metres: m.value() },
        (None, Some(name)) => SpotRef::Named { side, end, name },
        (None, None) => return Err(nothing_named(r)),
    };
    if let (Some(m), Some(name)) = (along, name) {
        belongs(r, side, end, name, m)?;
    }
    let taken_as =
        along.filter(|m| m.is_stretch()).map(|m| middle_words(&r.venue.document.names, side, end, m.value()));
    let Some(off) = off else { return Ok(SaidPlace { at: Where::Spot(reference), taken_as }) };
    if off.role == Some(Word::Behind) && name != Some(NamedSpot::Post) {
        return Err(NotRead::Jumbled("only a post has a behind".to_owned()));
    }
    let range = practice.goal_range_m.value;
    let spot = r.venue.ground.oval().spot(reference, range).map_err(NotRead::NoSpot)?;
    let out_m = if off.role == Some(Word::Inside) { -off.value() } else { off.value() };
    Ok(SaidPlace { at: Where::Ground(spot.point + spot.normal * out_m), taken_as })
}

/// A stretch that is given from both posts of a line: `ROAD wing, 91 m from SILO post to 103 m from CREEK
/// post`.
fn across_the_middle(r: &Reading<'_>) -> Result<Option<SaidPlace>, NotRead> {
    let [first, second] = &r.measures[..] else { return Ok(None) };
    let told = |m: &Measure| m.role == Some(Word::From) && m.has_post() && !m.is_stretch();
    let (Some(from), Some(to)) = (first.end(), second.end()) else { return Ok(None) };
    if !(told(first) && told(second) && first.has(Word::To) && from != to) {
        return Ok(None);
    }
    r.only(&[Word::From, Word::To, Word::Line], &[Some(Word::From)], true)?;
    let names = &r.venue.document.names;
    let Some(side) = r.side()? else {
        let could = Side::BOTH.map(|s| format!("that stretch of the {} line", names.side(s)));
        return Err(NotRead::Ambiguous { could: could.to_vec() });
    };
    let length = r.venue.ground.oval().boundary().line_length_m(side);
    let metres = 0.5 * (first.value() + length - second.value());
    let middle = Measure { from: metres, to: metres, unit: true, role: None, tail: Vec::new() };
    for name in r.spots() {
        belongs(r, side, from, name, &middle)?;
    }
    let taken_as = Some(middle_words(names, side, from, metres));
    Ok(Some(SaidPlace { at: Where::Spot(SpotRef::FromPost { side, end: from, metres }), taken_as }))
}

fn middle_words(names: &Names, side: Side, end: End, metres: f64) -> String {
    format!("the middle of that stretch, {} {} m from the post", quarter(names, side, end), fixed(metres, 1))
}

fn nothing_named(r: &Reading<'_>) -> NotRead {
    let names = &r.venue.document.names;
    NotRead::Missing(format!(
        "that is no whole place: it needs a side, an end, and metres from the behind post or a named spot, as in left,A,35 or {} pocket",
        quarter(names, Side::Left, End::A)
    ))
}

/// An ambiguity: every quarter that the words may mean.
fn ambiguous(
    names: &Names,
    side: Option<Side>,
    end: Option<End>,
    name: Option<NamedSpot>,
    along: Option<&Measure>,
) -> NotRead {
    let mut could = Vec::new();
    for e in End::BOTH.into_iter().filter(|e| end.is_none_or(|known| known == *e)) {
        for s in Side::BOTH.into_iter().filter(|s| side.is_none_or(|known| known == *s)) {
            let text = match (along, name) {
                (Some(m), _) if m.is_stretch() => {
                    format!("{} {} to {} m from post", quarter(names, s, e), fixed(m.from, 0), fixed(m.to, 0))
                }
                (Some(m), _) => format!("{} {} m from post", quarter(names, s, e), fixed(m.value(), 0)),
                (None, Some(NamedSpot::Wing)) => format!("{} wing", names.side(s)),
                (None, Some(n)) => format!("{} {}", quarter(names, s, e), n.name()),
                (None, None) => quarter(names, s, e),
            };
            if !could.contains(&text) {
                could.push(text);
            }
        }
    }
    NotRead::Ambiguous { could }
}

/// Refuses a distance along the line that contradicts the named spot given with it: it must lie between that
/// spot's neighbours.
fn belongs(r: &Reading<'_>, side: Side, end: End, name: NamedSpot, m: &Measure) -> Result<(), NotRead> {
    let oval = r.venue.ground.oval();
    let range = r.venue.document.practice.goal_range_m.value;
    let at = |name| {
        let spot = oval.spot(SpotRef::Named { side, end, name }, range).ok()?;
        Some(spot.to_post_m(end))
    };
    let (before, after) = match name {
        NamedSpot::Post => (NamedSpot::Post, NamedSpot::Pocket),
        NamedSpot::GoalRange | NamedSpot::Pocket => (NamedSpot::Post, NamedSpot::ArcEnd),
        NamedSpot::ArcEnd => (NamedSpot::Pocket, NamedSpot::Flank),
        NamedSpot::Flank => (NamedSpot::ArcEnd, NamedSpot::Wing),
        NamedSpot::Wing => (NamedSpot::Flank, NamedSpot::Wing),
    };
    let (Some(least), Some(most)) = (at(before), at(after)) else { return Ok(()) };
    // The wing reaches as far past the middle as before it.
    let most = if name == NamedSpot::Wing { most + (most - least) } else { most };
    let within = |v: f64| (least - SLACK_M..=most + SLACK_M).contains(&v);
    if within(m.from) && within(m.to) {
        return Ok(());
    }
    Err(NotRead::Jumbled(format!(
        "{} m from the {} post is not at the {}, which is {} to {} m from it",
        fixed(m.value(), 0),
        r.venue.document.names.end(end),
        name.name(),
        fixed(least, 0),
        fixed(most, 0)
    )))
}
