//! Guesses that would change numbers: each is told, and a venue is not registered until it is settled.

use crate::units::Problem;

/// What a survey leaves to be guessed at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Doubt {
    /// Coordinates are rounded more coarsely than they are said to be good.
    Grid,
    /// Plane coordinates look like a map grid.
    Plane,
    /// The place is not in Australia: a minus sign may be lost.
    Place,
    /// The survey lies far outside the zone that was said.
    Zone,
    /// The points lie round no oval.
    Shape,
    /// The ground is smaller or larger than its rule set allows.
    Size,
    /// Another registered ground lies in the same place.
    Near,
    /// The survey's day can't be.
    Date,
}

impl Doubt {
    /// Every doubt, in the order in which a survey is looked at.
    pub const ALL: [Self; 8] =
        [Self::Grid, Self::Plane, Self::Place, Self::Zone, Self::Shape, Self::Size, Self::Near, Self::Date];

    /// Its name, as a person accepts it and a venue file keeps it.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Grid => "grid",
            Self::Plane => "plane",
            Self::Place => "place",
            Self::Zone => "zone",
            Self::Shape => "shape",
            Self::Size => "size",
            Self::Near => "near",
            Self::Date => "date",
        }
    }

    /// The doubt of this name.
    #[must_use]
    pub fn find(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|d| d.id() == id)
    }
}

/// A doubt with what gave rise to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubted {
    /// Which.
    pub doubt: Doubt,
    /// What was found, where, and what settles it beside accepting it.
    pub problem: Problem,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_doubt_is_found_by_its_name() {
        for d in Doubt::ALL {
            assert_eq!(Doubt::find(d.id()), Some(d));
        }
        assert_eq!(Doubt::find("anything"), None);
    }
}
