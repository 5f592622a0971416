//! Names and small numbers as every text says them.

use std::borrow::Cow;

use crate::boundary::{End, Side};
use crate::ground::NamedSpot;
use crate::officiate::Limit;
use crate::units::Day;
pub(super) use crate::units::print::halves;
use crate::units::print::{fixed, for_terminal};
use crate::venue::Venue;

/// The four quarters, end A's first and the left one first.
pub(super) const QUARTERS: [(End, Side); 4] =
    [(End::A, Side::Left), (End::A, Side::Right), (End::B, Side::Left), (End::B, Side::Right)];

pub(super) fn end_name(venue: &Venue, e: End) -> String {
    for_terminal(venue.document.names.end(e)).to_uppercase()
}

pub(super) fn side_name(venue: &Venue, s: Side) -> String {
    for_terminal(venue.document.names.side(s)).to_uppercase()
}

/// `SILO/PAVILION`.
pub(super) fn quarter(venue: &Venue, end: End, side: Side) -> String {
    format!("{}/{}", end_name(venue, end), side_name(venue, side))
}

/// A quarter where the line is known or not: `SILO/PAVILION`, `SILO`.
pub(super) fn quarter_on(venue: &Venue, end: End, side: Side, line: Option<Side>) -> String {
    if line.is_some() { end_name(venue, end) } else { quarter(venue, end, side) }
}

/// A named spot as this ground prints it.
pub(super) fn spot_name(venue: &Venue, name: NamedSpot) -> Cow<'static, str> {
    name.label(venue.document.practice.goal_range_m.value)
}

pub(super) fn hazard_name(venue: &Venue, index: usize) -> String {
    for_terminal(&venue.document.surroundings.hazards[index].name)
}

pub(super) fn landmark_name(venue: &Venue, index: usize) -> String {
    for_terminal(&venue.document.surroundings.landmarks[index].name)
}

/// A distance of practice: to half a metre where it is that, else to a decimetre.
pub(super) fn practised(m: f64) -> String {
    if (m * 2.0).fract() == 0.0 { halves(m) } else { fixed(m, 1) }
}

/// What keeps somebody from a place.
pub(super) fn limit_words(venue: &Venue, limit: Limit) -> String {
    match limit {
        Limit::Fence { distance_m, .. } => format!("fence {} m", fixed(down(distance_m), 1)),
        Limit::Hazard(i) => hazard_name(venue, i),
    }
}

/// Metres as they are known, a whole number without its nought: `1`, `0.7`.
pub(super) fn tenths(m: f64) -> String {
    fixed(m, 1).trim_end_matches(".0").to_owned()
}

/// Of room the tenths that there are for sure: 0.45 m is no half metre.
fn down(m: f64) -> f64 {
    (m * 10.0 + 1e-9).floor() / 10.0
}

/// Metres of room, never rounded up.
pub(super) fn tenths_down(m: f64) -> String {
    tenths(down(m))
}

/// `½f`, `1½f`, `2f`.
pub(super) fn half_fists(halves: u32) -> String {
    match (halves / 2, halves % 2) {
        (0, _) => "½f".to_owned(),
        (n, 0) => format!("{n}f"),
        (n, _) => format!("{n}½f"),
    }
}

/// `1 Aug 2026`.
pub(super) fn day(d: Day) -> String {
    format!("{} {}", d.day(), d.month_and_year())
}

/// With a small letter first.
pub(super) fn small(text: &str) -> String {
    let mut c = text.chars();
    c.next().map_or_else(String::new, |f| f.to_lowercase().chain(c).collect())
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn and(list: &[String]) -> String {
    match list {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_metres_are_said_as_people_say_them() {
        assert_eq!([0.0, 0.3, 1.0, 1.3, 7.49].map(halves), ["0", "½", "1", "1½", "7½"]);
        assert_eq!([1.0, 0.72].map(tenths), ["1", "0.7"]);
    }

    #[test]
    fn lists_end_with_and() {
        let list = |all: &[&str]| and(&all.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>());
        assert_eq!((list(&["a"]), list(&["a", "b", "c"])), ("a".into(), "a, b and c".into()));
    }
}
