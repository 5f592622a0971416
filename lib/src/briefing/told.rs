//! What is told of a station beside its place: of two on a side which it is, and what it lies beside.

use super::along::FromPost;
use super::moment::{MomentAnswer, Placed};
use crate::boundary::{End, Side};
use crate::frame::Ground as GroundFrame;
use crate::geometry::Point;
use crate::ground::Oval;
use crate::officiate::{Reason, ShortSide, Station};
use crate::venue::Venue;

/// A place nearer to the line than this is on it, m.
pub const ON_THE_LINE_M: f64 = 0.25;

impl FromPost {
    /// The part of the line that a place is beside, from the nearer behind post of its side.
    #[must_use]
    pub fn beside(oval: &Oval, p: Point<GroundFrame>) -> (Side, Self) {
        let b = oval.boundary();
        let near = b.nearest(p);
        let to = |end| b.to_post_m(near.chainage_m, end).unwrap_or(f64::INFINITY);
        let end = if to(End::A) <= to(End::B) { End::A } else { End::B };
        (near.side, Self { end, metres: to(end) })
    }
}

impl Placed {
    /// The place beside it on its line, from the nearer behind post.
    #[must_use]
    pub fn from_post(&self, oval: &Oval) -> FromPost {
        let length = oval.boundary().line_length_m(self.station.side);
        FromPost::from_a(length, self.from_a.value())
    }

    /// Is it in from the line where the square's side is, and is the square painted?
    #[must_use]
    pub fn is_beside_its_square(&self, venue: &Venue) -> bool {
        let half = venue.ground.oval().square_half_m();
        let along = self.station.point.x.abs();
        venue.document.surroundings.painted.square && half.is_some_and(|h| along <= h + ON_THE_LINE_M)
    }
}

impl MomentAnswer {
    fn of_side(&self, side: Side) -> impl Iterator<Item = &Placed> {
        self.stations.iter().filter(move |p| p.station.side == side)
    }

    /// Of two on a side, whose end this station is; `None` where one is alone on it.
    #[must_use]
    pub fn end_of_pair(&self, p: &Placed) -> Option<End> {
        let mut both = self.of_side(p.station.side);
        let (first, _) = (both.next()?, both.next()?);
        Some(if std::ptr::eq(first, p) { End::A } else { End::B })
    }

    /// Along the line between the two of a side, m; `None` where one is alone on it.
    #[must_use]
    pub fn apart_m(&self, side: Side) -> Option<f64> {
        let mut both = self.of_side(side);
        let (first, second) = (both.next()?, both.next()?);
        Some((first.from_a.value() - second.from_a.value()).abs())
    }

    /// Does an official who watches a crossing stand on its long side, where neither side is as short?
    #[must_use]
    pub fn is_on_the_long_side(&self, s: &Station) -> bool {
        let (Some(c), Reason::Watch(_)) = (self.positions.crossing, s.reason) else { return false };
        let Some(ShortSide::Toward(end)) = self.query.moment.short else { return false };
        (s.point - c.point).dot(c.tangent_to(end)) < -ON_THE_LINE_M
    }
}
