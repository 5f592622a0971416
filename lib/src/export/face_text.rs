//! What to face from every spot of a line: names whole, as columns where they fit, else as a list.

use super::lines::{Sheet, left, wide, wrap};
use super::words::{QUARTERS, end_name, half_fists, landmark_name, quarter, side_name, spot_name};
use crate::boundary::{End, Side};
use crate::briefing::{Briefing, SpotRow};
use crate::ground::NamedSpot;
use crate::venue::Venue;

/// Columns of a spot's name and a blank.
const SPOT: usize = 8;
/// Blanks before it.
const MARGIN: usize = 2;
/// Names wrap in a column of no less than this.
const LEAST_CELL: usize = 16;

/// What to face: the landmark, and how far to its right or left the line to face lies.
pub(super) fn facing_words(venue: &Venue, row: &SpotRow) -> String {
    let Some(b) = &row.backsight else { return "none".to_owned() };
    let name = landmark_name(venue, b.landmark);
    match b.half_fists {
        0 => name,
        n => format!("{name}, {} {}", half_fists(n), if b.off_deg > 0.0 { "R" } else { "L" }),
    }
}

/// What the signs mean.
pub(super) const KEY: &str = "back to play. ½f R: half a fist at arm's length to the right of it";
/// Where nothing is known to face.
pub(super) const NO_LANDMARKS: &str = "back to play: no landmarks are recorded. Pick up the centre circle, turn your back on it, and find your own.";
/// What to do where there is none.
const NONE: &str = "none: pick up the centre circle, then turn";

/// The spots from a post to the flank that this ground has.
fn to_the_flank(venue: &Venue) -> Vec<NamedSpot> {
    venue.ground.oval().named_spots().into_iter().filter(|n| *n != NamedSpot::Wing).collect()
}

fn cell(venue: &Venue, b: &Briefing, side: Side, end: End, name: NamedSpot) -> String {
    b.row(side, end, name).map_or_else(|| "-".to_owned(), |r| facing_words(venue, r))
}

/// One line's spots, from end A's post to end B's.
pub(super) fn list(out: &mut Sheet, venue: &Venue, b: &Briefing, side: Side) {
    let row = |out: &mut Sheet, end: End, name: NamedSpot| {
        let label = format!("  {}", left(&spot_name(venue, name), SPOT));
        out.wrap(&cell(venue, b, side, end, name), &label);
    };
    out.line(&format!("{} end", end_name(venue, End::A)));
    for name in to_the_flank(venue) {
        row(out, End::A, name);
    }
    row(out, End::A, NamedSpot::Wing);
    out.line(&format!("{} end", end_name(venue, End::B)));
    for name in to_the_flank(venue).into_iter().rev() {
        row(out, End::B, name);
    }
}

/// Both lines: all quarters side by side where every name fits, else a line's two ends, else lists.
pub(super) fn both_lines(out: &mut Sheet, venue: &Venue, b: &Briefing) {
    let room = out.columns().saturating_sub(MARGIN + SPOT);
    let (four, two) = (room / 4, room / 2);
    let widest = QUARTERS
        .iter()
        .flat_map(|&(end, side)| NamedSpot::ALL.map(|n| wide(&out.signs(&cell(venue, b, side, end, n)))))
        .chain(QUARTERS.iter().map(|&(end, side)| wide(&out.signs(&quarter(venue, end, side)))))
        .max()
        .unwrap_or(0);
    if widest < four {
        columns(out, venue, b, &[Side::Left, Side::Right], four);
    } else if two > LEAST_CELL {
        for side in Side::BOTH {
            columns(out, venue, b, &[side], two);
        }
    } else {
        for side in Side::BOTH {
            out.line(&format!("{} line", side_name(venue, side)));
            list(out, venue, b, side);
        }
    }
    none(out, b, None);
}

/// How to do without, where some spot has nothing to face.
pub(super) fn none(out: &mut Sheet, b: &Briefing, line: Option<Side>) {
    if b.spots.iter().any(|(side, .., r)| line.is_none_or(|l| *side == l) && r.backsight.is_none()) {
        out.wrap(NONE, "  ");
    }
}

/// The ends of these lines side by side, each so many columns wide with the blank after it.
fn columns(out: &mut Sheet, venue: &Venue, b: &Briefing, sides: &[Side], cell_columns: usize) {
    let quarters: Vec<(End, Side)> = sides.iter().flat_map(|&s| End::BOTH.map(|e| (e, s))).collect();
    let heads: Vec<String> = quarters.iter().map(|&(end, side)| quarter(venue, end, side)).collect();
    match sides {
        // Long names: the line's own once, and then its ends.
        [side] if heads.iter().any(|h| wide(&out.signs(h)) >= cell_columns) => {
            out.line(&format!("  {} line", side_name(venue, *side)));
            let ends = End::BOTH.map(|e| format!("{} end", end_name(venue, e)));
            cells(out, "", ends.to_vec(), cell_columns);
        }
        _ => cells(out, "", heads, cell_columns),
    }
    for name in to_the_flank(venue) {
        let row = quarters.iter().map(|&(end, side)| cell(venue, b, side, end, name)).collect();
        cells(out, &spot_name(venue, name), row, cell_columns);
    }
    // The wing is one place: its name has both columns.
    let wings = sides.iter().map(|&s| cell(venue, b, s, End::A, NamedSpot::Wing)).collect();
    cells(out, NamedSpot::Wing.name(), wings, 2 * cell_columns);
}

/// Cells side by side, each wrapped in its columns.
fn cells(out: &mut Sheet, label: &str, row: Vec<String>, columns: usize) {
    let row: Vec<Vec<String>> = row.iter().map(|c| wrap(&out.signs(c), "", columns - 1)).collect();
    for i in 0..row.iter().map(Vec::len).max().unwrap_or(0) {
        let text: String = row.iter().map(|c| left(c.get(i).map_or("", String::as_str), columns)).collect();
        let label = if i == 0 { label } else { "" };
        out.line(&format!("  {}{}", left(label, SPOT), text.trim_end()));
    }
}
