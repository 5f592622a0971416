//! Start stations in words.

use super::layout_words::{elsewhere, elsewhere_place, missing_short};
use super::words::{half_fists, halves, practised, small};
use crate::ground::ArcAndSquare;
use crate::officiate::Start;
use crate::units::print::fixed;
use crate::venue::Venue;

/// Where to start, in sentences.
pub(super) fn start_words(venue: &Venue, start: Option<&Start>) -> String {
    let p = &venue.document.practice;
    let outside = practised(p.square_clear_m.value);
    let Some(s) = start else {
        return "Neither the square nor the arcs are painted: ask where to start.".to_owned();
    };
    if let Some(words) = elsewhere(venue, s) {
        return words;
    }
    if !s.painted.arcs {
        return format!("No arcs are painted. At the square's corner, {outside} m outside its side.");
    }
    if !s.painted.square {
        return format!(
            "No square is painted. Level with the arc's top, {} m off the goal axis.",
            fixed(s.y_m().unwrap_or_default(), 1)
        );
    }
    match (s.arc_and_square, s.arc_top_angle_deg) {
        (Some(ArcAndSquare::Apart(gap)), _) if gap >= 0.5 => format!(
            "Level with the arc's top, {outside} m outside the square's side and {} m past its corner.",
            halves(s.beyond_corner_m())
        ),
        (Some(ArcAndSquare::Apart(_)), _) => format!(
            "Level with the arc's top, which is level with the square's corner: {outside} m outside its side."
        ),
        (_, angle) => format!(
            "At the square's corner, {outside} m outside its side. Short ground: the arc's top is inside the square, {} in from its end edge. Look down the square's side; the arc's top is a glance, not a line.",
            fists(angle.unwrap_or(0.0) / p.fist_deg.value)
        ),
    }
}

/// The same in as few words as can be.
pub(super) fn start_short(venue: &Venue, start: Option<&Start>) -> String {
    let outside = practised(venue.document.practice.square_clear_m.value);
    let Some(s) = start else { return "no square, no arcs: ask where.".to_owned() };
    if let Some(place) = elsewhere_place(venue, s) {
        return missing_short(venue).to_owned() + &small(&place);
    }
    if !s.painted.arcs {
        return format!("square's corner, {outside} m outside its side.");
    }
    if !s.painted.square {
        return format!(
            "level with the arc's top, {} m off the goal axis.",
            fixed(s.y_m().unwrap_or_default(), 1)
        );
    }
    match s.arc_and_square {
        Some(ArcAndSquare::Apart(gap)) if gap >= 0.5 => format!(
            "level with the arc's top: {outside} m outside square, {} m past corner.",
            halves(s.beyond_corner_m())
        ),
        Some(ArcAndSquare::Apart(_)) => {
            format!("level with the arc's top: square's corner, {outside} m outside.")
        }
        _ => format!(
            "square's corner, {outside} m outside. The arc's top is inside the square: a glance only."
        ),
    }
}

/// To half a fist and at least a half.
fn fists(n: f64) -> String {
    // A handful of fists, so the cast is exact.
    half_fists(((n * 2.0).round() as u32).max(1))
}
