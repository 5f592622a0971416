//! The plan: one ground on one page, for an official who has two minutes, wet hands or the sun on a phone.
//!
//! What is read first stands first: WATCH across the top, each thing with the number that it has on the plan. The
//! goal axis runs up the page, for that is how one stands to a ground, and north turns with it. Why marks look as
//! they do:
//!
//! - The *line* is the widest black there is: all that is said here is said of it.
//! - A *spot* is a dot on the line, its name and figure beside it with the figure nearest to the line, in the order
//!   in which one runs past them, so that a column can be read like a table without looking at the ground.
//! - The short bar from a spot is where one backs away to: its length and side are true to scale.
//! - The *arrow* from a spot points to what is faced with one's back to play, and that is named under the spot:
//!   nobody has to follow a line across the page.
//! - Danger is said three times over, for eyes without red and for paper without colour: red, a triangle or a hatch,
//!   and a number that WATCH has too. Nothing else is red.
//! - Blue is for eyes: arrows, landmarks, the compass. Grey is paint and fence. All of them differ in lightness.
//! - *Start* stations are full where one pair stands and hollow where the other does: the two are never mixed.
//!
//! A label never lies on another, on the line or off the page: beside the ground by `column`, else beside its mark
//! by `near`. A spot is always named. What has no room is told by its number, and at last by its place in words.

mod block;
mod column;
mod foot;
mod grass;
mod head;
mod look;
mod near;
mod rim;
mod sheet;
mod space;
mod view;
mod words;

use super::{Page, Paper};
use crate::briefing::{Briefing, Drawing};
use crate::units::Invalid;
use crate::venue::Venue;

/// The plan of a venue on one side of a sheet of paper, upright.
///
/// Groups on it have these names: `title`, `watch` and `watch-1` and on for its rows, `plan`, `line`,
/// `spot-left-a-pocket` and the like for spots, `hazard-1`, `landmark-1`, `start-left-a`, `dial`, `scale`, `foot`.
///
/// # Errors
/// [`Invalid`] where something of the venue has no place on a page: a number that is none.
pub fn plan(venue: &Venue, b: &Briefing, paper: Paper) -> Result<Page, Invalid> {
    let d = Drawing::of(venue, b);
    sheet::sheet(venue, b, &d, paper)
}
