//! Floor 11: a sheet of paper laid out: strokes, areas and texts at their places, in millimetres from the top left
//! corner, x right and y **down**. Every screen and print is made from this one list, so that no two can differ.
//!
//! [`Page`] holds [`Item`]s; a [`Group`] of them has a name, a title and a description, from which come the ids of an
//! SVG, the tags of a PDF and the order in which a page is read aloud: the order of the list is both the order of
//! drawing and the order of reading. Texts are measured here, with the two fonts that come along, and nowhere else.

mod bounds;
mod boxed;
mod colour;
mod font;
mod group;
mod impose;
mod mark;
mod paper;
mod path;
mod plan;
mod sheet;
mod spoken;
mod text;

pub use colour::Colour;
pub use font::Weight;
pub use group::{Group, Id, Item, Role};
pub use impose::{SheetSide, four_up};
pub use mark::{Area, Dash, Ends, Stroke};
pub use paper::Paper;
pub use path::{Path, Step};
pub use plan::plan;
pub use sheet::Page;
pub use spoken::spoken;
pub use text::{Anchor, Glyph, Run, Text, TextBox};

/// Millimetres of a typographic point (1/72 inch).
pub const MM_PER_PT: f64 = 25.4 / 72.0;
