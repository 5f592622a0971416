//! The sun in words: where it is low, and whose eyes it is in.

use super::words::{QUARTERS, and, end_name, quarter_on, spot_name};
use crate::boundary::{End, Side};
use crate::briefing::{Briefing, Look};
use crate::ground::NamedSpot;
use crate::units::print::{compass_point, fixed};
use crate::venue::Venue;

/// What is said of the sun: where and when, and then what it is in the way of.
pub(super) struct SunWords {
    pub(super) when: String,
    /// Each after its own word: `watching`, `throwing`.
    pub(super) eyes: Vec<String>,
    /// Which way to stand where either will do.
    pub(super) prefer: Option<String>,
}

/// The sun through the match; for one line's official what concerns that line. `None` where it is not known.
pub(super) fn sun_words(venue: &Venue, b: &Briefing, line: Option<Side>) -> Option<SunWords> {
    let s = b.sun.as_ref()?;
    let (first, last) = (s.times.first()?, s.times.last()?);
    // Where nothing is thrown in nobody faces for it.
    let asked = |l: &Look| venue.document.rules.throw_ins || !matches!(l, Look::Face(..));
    let mine = |l: &Look| asked(l) && line.is_none_or(|line| side_of(l) == line);
    let glared: Vec<_> = s.times.iter().filter(|t| t.glare.iter().any(mine)).collect();
    let (Some(from), Some(to)) = (glared.first(), glared.last()) else {
        let high = venue.document.practice.glare_high_deg.value;
        let text = if s.times.iter().all(|t| t.sun.high_deg < 0.0) {
            "down all match".to_owned()
        } else if s.times.iter().all(|t| t.sun.high_deg > high) {
            format!("over {}° high all match, in nobody's eyes", fixed(high, 0))
        } else if line.is_some() {
            "not in your eyes".to_owned()
        } else {
            "low for a while, in nobody's eyes".to_owned()
        };
        let when = format!("{text} ({} to {})", first.time, last.time);
        return Some(SunWords { when, eyes: Vec::new(), prefer: None });
    };
    let (low, end) = (compass_point(from.sun.bearing.degrees()), compass_point(to.sun.bearing.degrees()));
    let way = if low == end { low.to_owned() } else { format!("{low} to {end}") };
    let looks: Vec<Look> = s.looks().into_iter().filter(mine).collect();
    let mut eyes = Vec::new();
    for (what, of) in [("watching", watched as fn(&Look) -> Option<Spot>), ("throwing", faced)] {
        let text = spots(venue, &looks, line, of);
        if !text.is_empty() {
            eyes.push(format!("{what} {text}"));
        }
    }
    let posts: Vec<String> = End::BOTH
        .into_iter()
        .filter(|e| looks.iter().any(|l| matches!(l, Look::Post(_, at) if at == e)))
        .map(|e| end_name(venue, e))
        .collect();
    if !posts.is_empty() {
        eyes.push(format!("downfield from the posts at {}", and(&posts)));
    }
    let starts: Vec<String> = QUARTERS
        .iter()
        .filter(|&&(end, side)| looks.iter().any(|l| start_at(l) == Some((end, side))))
        .map(|&(end, side)| quarter_on(venue, end, side, line))
        .collect();
    if !starts.is_empty() {
        eyes.push(format!("start at {}", starts.join(", ")));
    }
    let prefer = s.times.iter().rev().find_map(|t| t.prefer);
    Some(SunWords {
        when: format!("low in the {way}, {} to {}", from.time, to.time),
        eyes,
        prefer: prefer.map(|e| format!("Where either side will do, stand toward {}.", end_name(venue, e))),
    })
}

/// A named spot of one quarter.
type Spot = (Side, End, NamedSpot);

fn side_of(l: &Look) -> Side {
    match *l {
        Look::Watch(s, ..) | Look::Face(s, ..) | Look::Post(s, _) => s,
        Look::StartDown(s, _) | Look::StartAcross(s, _) => s,
    }
}

fn watched(l: &Look) -> Option<Spot> {
    if let Look::Watch(s, e, n) = *l { Some((s, e, n)) } else { None }
}

fn faced(l: &Look) -> Option<Spot> {
    if let Look::Face(s, e, n) = *l { Some((s, e, n)) } else { None }
}

fn start_at(l: &Look) -> Option<(End, Side)> {
    match *l {
        Look::StartDown(s, e) | Look::StartAcross(s, e) => Some((e, s)),
        _ => None,
    }
}

/// `CREEK/PAVILION 25 m, pocket; SILO/ROAD flank`.
fn spots(venue: &Venue, looks: &[Look], line: Option<Side>, of: fn(&Look) -> Option<Spot>) -> String {
    let mut text: Vec<String> = Vec::new();
    for (end, side) in QUARTERS {
        let here: Vec<NamedSpot> =
            looks.iter().filter_map(of).filter(|(s, e, _)| (*s, *e) == (side, end)).map(|s| s.2).collect();
        // From the post to the wing, whatever the order in which the sun finds them.
        let at: Vec<usize> =
            (0..NamedSpot::ALL.len()).filter(|&i| here.contains(&NamedSpot::ALL[i])).collect();
        let (Some(&first), Some(&last)) = (at.first(), at.last()) else { continue };
        let name = |i: usize| spot_name(venue, NamedSpot::ALL[i]);
        let names = match at.len() {
            // Three in a row and more are from one to the other.
            n if n > 2 && last - first + 1 == n => format!("{} to {}", name(first), name(last)),
            _ => at.iter().map(|&i| name(i)).collect::<Vec<_>>().join(", "),
        };
        text.push(format!("{} {names}", quarter_on(venue, end, side, line)));
    }
    text.join("; ")
}
