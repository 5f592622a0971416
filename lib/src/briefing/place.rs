//! Places of a boundary line by the names that people know.

use std::borrow::Cow;

use crate::boundary::{End, Side};
use crate::ground::{NamedSpot, Oval, SpotRef};
use crate::venue::Names;

/// A named spot in one quarter of the ground. A wing belongs to neither end, so there `end` means nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    pub(super) side: Side,
    pub(super) end: End,
    pub(super) name: NamedSpot,
    /// Goal range, which the name of one spot ("25 m") quotes, m.
    goal_range_m: f64,
}

/// The named spot nearest along the boundary for which `counts` holds; `None` on a ground that has none.
pub(super) fn nearest_of(
    oval: &Oval,
    goal_range_m: f64,
    chainage_m: f64,
    counts: impl Fn(NamedSpot) -> bool,
) -> Option<Place> {
    let around = oval.boundary().perimeter_m();
    let mut best: Option<(f64, Place)> = None;
    for side in Side::BOTH {
        for end in End::BOTH {
            for name in oval.named_spots().into_iter().filter(|n| counts(*n)) {
                let Ok(s) = oval.spot(SpotRef::Named { side, end, name }, goal_range_m) else { continue };
                let off = (s.chainage_m - chainage_m).rem_euclid(around);
                let off = off.min(around - off);
                if best.is_none_or(|(least, _)| off < least) {
                    best = Some((off, Place { side, end, name, goal_range_m }));
                }
            }
        }
    }
    best.map(|(_, place)| place)
}

/// The nearest of all named spots along the boundary.
pub(super) fn nearest_place(oval: &Oval, goal_range_m: f64, chainage_m: f64) -> Option<Place> {
    nearest_of(oval, goal_range_m, chainage_m, |_| true)
}

impl Place {
    /// The spot's name as printed on this ground.
    pub(super) fn label(self) -> Cow<'static, str> {
        self.name.label(self.goal_range_m)
    }

    /// The spot with its end and side: `Road wing`, `School/Road pocket`.
    pub(super) fn words(self, names: &Names) -> String {
        match self.name {
            NamedSpot::Wing => format!("{} wing", names.side(self.side)),
            _ => format!("{}/{} {}", names.end(self.end), names.side(self.side), self.label()),
        }
    }

    /// The spot without its side, where the line is named already: `wing`, `School pocket`.
    pub(super) fn on_its_side(self, names: &Names) -> String {
        match self.name {
            NamedSpot::Wing => "wing".to_owned(),
            _ => format!("{} {}", names.end(self.end), self.label()),
        }
    }
}
