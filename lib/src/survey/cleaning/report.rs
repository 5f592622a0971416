//! What cleaning says of a walk: each thing found, in a sentence for the person who walked it.

use super::laps::Laps;
use super::{Cleaning, Found};
use crate::units::print;

/// What a step of the report is about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Finding {
    /// Fixes were set aside.
    SetAside(Cleaning),
    /// Which way round the walk went, seen from above. Nothing is set aside.
    Direction {
        /// Against the clock?
        anticlockwise: bool,
    },
    /// How often the walk went round. Nothing is set aside.
    Laps {
        /// Whole laps, one that falls a little short of closing included; 0 where the walk doesn't close.
        whole: usize,
        /// How far it went past its beginning, m.
        past_m: f64,
        /// From where it left the line to where it began on it, m.
        gap_m: f64,
        /// How far apart the laps lie, the middle value, m; an honest measure of the walk's error.
        apart_m: Option<f64>,
    },
}

/// One thing found in a walk.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Step {
    /// What it is.
    pub finding: Finding,
    /// The first of its points in the survey; for direction and laps the walk's first.
    pub first: usize,
    /// The last of its points; others in between may be kept.
    pub last: usize,
    /// How many points it concerns: those set aside, or the walk's.
    pub count: usize,
    /// Where the first of them was read.
    pub place: String,
    /// How far, m: a spike's jump, a spur one way, the length of an approach or an overlap.
    pub metres: Option<f64>,
    /// How long, s: a pause, where the fixes have times.
    pub seconds: Option<f64>,
    /// All of it in words.
    pub sentence: String,
}

/// A length as a person says it.
fn length(m: f64) -> String {
    format!("{} m", print::fixed(m, if m < 9.95 { 1 } else { 0 }))
}

fn fixes(n: usize) -> String {
    if n == 1 { "1 fix".to_owned() } else { format!("{n} fixes") }
}

/// What was set aside, in words.
pub(super) fn set_aside(found: &Found, count: usize, place: &str) -> String {
    let place = print::for_terminal(place);
    let (n, far) = (fixes(count), length(found.metres.unwrap_or(0.0)));
    match (found.step, found.at_start) {
        (Cleaning::Spike, _) if count == 1 => format!("1 fix {far} off the walk, {place}: left out"),
        (Cleaning::Spike, _) => format!("a jump of {n} {far} off the walk, from {place}: left out"),
        (Cleaning::Pause, _) => {
            let long = found.seconds.map_or(String::new(), |s| format!("{} s, ", print::fixed(s, 0)));
            format!("standing still ({long}{}) at {place}: one fix kept, {count} left out", fixes(count + 1))
        }
        (Cleaning::Spur, _) if found.elsewhere => {
            format!("a detour of {n}, {far} off the line, from {place}: left out")
        }
        (Cleaning::Spur, _) => format!("a spur of {n}, {far} out and back, from {place}: left out"),
        (Cleaning::Approach, true) => format!("the way to the line, {n}, {far}, from {place}: left out"),
        (Cleaning::Approach, false) => {
            format!("the way off the line, {n}, {far}, from {place}: left out")
        }
        (Cleaning::Trim, start) => {
            format!("{} at the {}, {n}, from {place}: cut off, as asked", asked(found), end(start))
        }
        (Cleaning::Overlap, _) => {
            format!("{far} walked again past the whole laps, {n}, from {place}: left out")
        }
    }
}

fn end(at_start: bool) -> &'static str {
    if at_start { "start" } else { "end" }
}

/// What was asked to be cut off.
fn asked(found: &Found) -> String {
    match found.seconds {
        Some(s) => format!("{} s", print::fixed(s, 0)),
        None => length(found.metres.unwrap_or(0.0)),
    }
}

/// That seconds were asked of a walk that has none.
pub(super) fn untrimmed(found: &Found) -> String {
    format!(
        "{} at the {}: nothing is cut off, as the fixes have no times or the walk is too short; metres can be asked for",
        asked(found),
        end(found.at_start)
    )
}

/// Which way round, in words.
pub(super) fn direction(anticlockwise: bool) -> String {
    format!("walked {} seen from above", if anticlockwise { "anticlockwise" } else { "clockwise" })
}

/// How often round, in words.
pub(super) fn laps(laps: &Laps) -> String {
    if laps.whole == 0 {
        return format!("the walk does not close: it ends {} from where it began", length(laps.gap_m));
    }
    let mut text = print::count(laps.whole, "lap");
    if laps.past_m > 0.0 {
        text += &format!(" and {} more", length(laps.past_m));
    } else {
        text += &format!(", ending {} from where it began", length(laps.gap_m));
    }
    if laps.whole > 1 {
        text += "; all are used";
        if let Some(apart) = laps.apart_m {
            text += &format!(", and they lie {} from each other (median)", length(apart));
        }
    }
    text
}
