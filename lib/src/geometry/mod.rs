//! Floor 1: plane geometry in a typed frame. Metres, y up, angles counter-clockwise
//! from +x in radians inside the room and in degrees at its doors.

mod ellipse;
mod point;
mod segment;

pub use ellipse::{Ellipse, Foot};
pub use point::{Plane, Point, Vector};
pub use segment::{distance_to_segment, ring_area};
