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
