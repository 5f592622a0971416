//! Where an official stands at each behind post.

use crate::boundary::{End, Side};
use crate::ground::Oval;
use crate::officiate::{Limit, Stand, StandKind, sure_post_station};
use crate::venue::Venue;

/// Where an official stands at a behind post.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AtPost {
    /// This far behind the post, m.
    Behind(f64),
    /// This far from the post along the line, m: there is no room behind it.
    Along(f64),
    /// No place there is safe.
    Nowhere,
}

/// The station at one behind post.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PostStation {
    /// The post's side.
    pub side: Side,
    /// The post's end.
    pub end: End,
    /// Where to stand at it.
    pub stands: AtPost,
    /// What keeps an official from the full distance.
    pub limit: Option<Limit>,
}

impl AtPost {
    /// A station at a behind post, relative to that post.
    #[must_use]
    pub fn of(oval: &Oval, side: Side, s: &Stand) -> Self {
        match s.kind {
            StandKind::Post => Self::Behind(s.outside_line_m),
            StandKind::BesidePost => Self::Along(s.point.distance_to(oval.behind_post(side, s.toward))),
            _ => Self::Nowhere,
        }
    }
}

/// All four stations, end A's first, and at each end the left one first.
pub(super) fn post_stations(venue: &Venue) -> Vec<PostStation> {
    let oval = venue.ground.oval();
    let mut all = Vec::with_capacity(4);
    for end in End::BOTH {
        for side in Side::BOTH {
            let s = sure_post_station(&venue.ground, venue.scene(), side, end);
            all.push(PostStation { side, end, stands: AtPost::of(oval, side, &s), limit: s.limit });
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::outline_for_tests as outline;
    use crate::venue::for_tests::{tight, venue};

    /// The stations with a fence at this distance from the line at one post, and 6 m from it elsewhere.
    fn beside_a_fence_of(distance_m: f64) -> Vec<PostStation> {
        let o = outline(165.0, 135.0);
        let fence = "\n[fence]\ndistance_m = 6.0\n".to_owned();
        let near = tight(&o, (Side::Right, End::B), 1.0, distance_m, 8.0);
        post_stations(&venue(&o, &(fence + &near)).0)
    }

    #[test]
    fn each_post_is_told_as_it_is_computed() {
        // Common practice, no source: 1 m behind the post and half a metre clear of the fence; where that
        // leaves less than 0.3 m, half a metre along the line, clear of it too.
        for (fence, want) in [(1.2, "0.7 behind"), (0.7, "0.5 along"), (0.3, "nowhere")] {
            for p in beside_a_fence_of(fence) {
                let tight = (p.side, p.end) == (Side::Right, End::B);
                let said = match p.stands {
                    AtPost::Behind(m) => format!("{m:.1} behind"),
                    AtPost::Along(m) => format!("{m:.1} along"),
                    AtPost::Nowhere => "nowhere".to_owned(),
                };
                assert_eq!(said, if tight { want } else { "1.0 behind" }, "{fence} {p:?}");
                assert_eq!(p.limit.is_some(), tight, "{p:?}");
            }
        }
    }
}
