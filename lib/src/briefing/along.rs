//! Places and stretches of a boundary line, given by distance from its behind posts.

use super::place::{Place, nearest_of};
use crate::boundary::{End, Side};
use crate::ground::{NamedSpot, Oval};

/// A place on a boundary line, by distance from its nearer behind post.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FromPost {
    /// The nearer end along the line.
    pub end: End,
    /// Metres along the line from that end's behind post.
    pub metres: f64,
}

/// A stretch of a boundary line; its two ends may be the same place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineStretch {
    /// Which line.
    pub side: Side,
    /// Its end nearer end A's post.
    pub from: FromPost,
    /// Its end nearer end B's post.
    pub to: FromPost,
    /// Its length, m.
    pub length_m: f64,
    /// The named spot nearest to its middle.
    pub near: Option<NamedSpot>,
}

impl LineStretch {
    /// The stretch between two distances along the line from end A's post, clamped to the line.
    pub(super) fn from_a(oval: &Oval, goal_range_m: f64, side: Side, from_a_m: f64, to_a_m: f64) -> Self {
        let length = oval.boundary().line_length_m(side);
        let (a, z) = (from_a_m.clamp(0.0, length), to_a_m.clamp(0.0, length));
        let middle = oval.boundary().chainage_from_post_m(side, End::A, 0.5 * (a + z));
        Self {
            side,
            from: FromPost::from_a(length, a),
            to: FromPost::from_a(length, z),
            length_m: z - a,
            near: near(oval, goal_range_m, middle).map(|p| p.name),
        }
    }

    /// The end in whose half of the line all of the stretch lies, if it lies in one.
    #[must_use]
    pub fn end(&self) -> Option<End> {
        (self.from.end == self.to.end).then_some(self.from.end)
    }
}

impl FromPost {
    /// The place `metres` from end A's post on a line of this length. The middle counts to end A.
    pub(super) fn from_a(length_m: f64, metres: f64) -> Self {
        if metres <= 0.5 * length_m {
            Self { end: End::A, metres }
        } else {
            Self { end: End::B, metres: length_m - metres }
        }
    }

    /// Metres from end A's post, on a line of this length.
    pub(super) fn to_a_m(self, length_m: f64) -> f64 {
        match self.end {
            End::A => self.metres,
            End::B => length_m - self.metres,
        }
    }
}

/// The named spot that describes where a thing beside the line is. "25 m" is never used: two numbers of
/// metres side by side would mislead.
pub(super) fn near(oval: &Oval, goal_range_m: f64, chainage_m: f64) -> Option<Place> {
    nearest_of(oval, goal_range_m, chainage_m, |n| n != NamedSpot::GoalRange)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::oval_for_tests as oval;

    #[test]
    fn a_stretch_is_told_from_the_nearer_posts() {
        let o = oval(165.0, 135.0);
        let length = o.boundary().line_length_m(Side::Right);
        let s = LineStretch::from_a(&o, 25.0, Side::Right, 0.5 * length - 12.0, 0.5 * length + 10.0);
        assert_eq!((s.from.end, s.to.end, s.end(), s.near), (End::A, End::B, None, Some(NamedSpot::Wing)));
        assert!((s.to.metres - (0.5 * length - 10.0)).abs() < 1e-9 && (s.length_m - 22.0).abs() < 1e-9);
        assert!((s.to.to_a_m(length) - 0.5 * length - 10.0).abs() < 1e-9);
        let near = LineStretch::from_a(&o, 25.0, Side::Left, -4.0, 13.0);
        assert_eq!((near.end(), near.from.metres), (Some(End::A), 0.0));
    }
}
