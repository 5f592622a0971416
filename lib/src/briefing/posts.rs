//! Where an official stands at each behind post, as computed for that post.

use crate::boundary::{End, Side};
use crate::ground::Oval;
use crate::officiate::{Limit, Stand, StandKind, sure_post_station};
use crate::venue::Venue;

/// How one stands at a behind post.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AtPost {
    /// So far behind it, m.
    Behind(f64),
    /// So far from it along the line, m: there is no room behind it.
    Along(f64),
    /// No safe place.
    Nowhere,
}

/// The station at one behind post.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PostStation {
    /// Which line's post.
    pub side: Side,
    /// At which end.
    pub end: End,
    /// How one stands at it.
    pub stands: AtPost,
    /// What keeps one from the full distance.
    pub limit: Option<Limit>,
}

impl AtPost {
    /// A station at a behind post, told from that post.
    #[must_use]
    pub fn of(oval: &Oval, side: Side, s: &Stand) -> Self {
        match s.kind {
            StandKind::Post => Self::Behind(s.outside_line_m),
            StandKind::BesidePost => Self::Along(s.point.distance_to(oval.behind_post(side, s.toward))),
            _ => Self::Nowhere,
        }
    }
}

/// All four, end A's first and the left one first.
pub(super) fn post_stations(venue: &Venue) -> Vec<PostStation> {
    let (oval, d) = (venue.ground.oval(), &venue.document);
    let mut all = Vec::with_capacity(4);
    for end in End::BOTH {
        for side in Side::BOTH {
            let s = sure_post_station(&venue.ground, &d.surroundings, &d.practice, side, end);
            all.push(PostStation { side, end, stands: AtPost::of(oval, side, &s), limit: s.limit });
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Vector;
    use crate::ground::outline_for_tests as outline;
    use crate::venue::for_tests::{tight, venue};

    #[test]
    fn each_post_is_told_as_it_is_computed() {
        let o = outline(165.0, 135.0);
        let fence = "\n[fence]\ndistance_m = 6.0\n".to_owned();
        let v = venue(&o, &(fence + &tight(&o, (Side::Right, End::B), 1.0, 0.6, 8.0))).0;
        for p in post_stations(&v) {
            let d = &v.document;
            let want = post_station(v.ground.oval(), &d.surroundings, &d.practice, p.side, p.end);
            let tight = (p.side, p.end) == (Side::Right, End::B);
            match p.stands {
                // Common practice, no source: 1 m behind the post, where nothing is in the way.
                AtPost::Behind(m) if !tight => assert!((m - 1.0).abs() < 1e-9, "{p:?}"),
                AtPost::Behind(m) => assert!((m - want.outside_line_m).abs() < 1e-9 && m < 0.61, "{p:?}"),
                AtPost::Along(_) | AtPost::Nowhere => assert!(tight, "{p:?}"),
            }
            assert_eq!(p.limit, want.limit);
            assert_eq!(p.limit.is_some(), tight, "{p:?}");
        }
    }

    #[test]
    fn behind_a_post_and_beside_it_are_told_apart() {
        let v = venue(&outline(165.0, 135.0), "").0;
        let oval = v.ground.oval();
        let line = oval.boundary().at(oval.boundary().chainage_from_post_m(Side::Left, End::A, 0.0));
        let of = |away: Vector<Ground>| {
            AtPost::of(oval, Side::Left, End::A, oval.behind_post(Side::Left, End::A) + away)
        };
        let AtPost::Behind(m) = of(line.normal * 0.7) else { panic!() };
        assert!((m - 0.7).abs() < 1e-9);
        let AtPost::Along(m) = of(line.tangent * 0.5) else { panic!() };
        assert!((m - 0.5).abs() < 1e-9);
        assert_eq!(of(line.normal * 0.0), AtPost::Nowhere);
    }
}
