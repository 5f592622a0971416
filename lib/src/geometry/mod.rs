//! Floor 1: plane geometry in a typed frame. Lengths are metres and angles are
//! counter-clockwise from +x. Public functions take degrees unless their name says radians.

mod arc_series;
mod curve;
mod cut_ellipse;
mod ellipse;
mod foot;
mod four_arc;
mod point;
mod segment;
mod shape;
mod span;
mod spline;

#[cfg(test)]
mod contract;

pub use curve::ClosedCurve;
pub use cut_ellipse::CutEllipse;
pub use ellipse::Ellipse;
pub use foot::Foot;
pub use four_arc::FourArc;
pub use point::{Plane, Point, Vector};
pub use segment::{distance_to_segment, ring_area};
pub use shape::{Model, Shape};
pub use spline::Spline;
