//! What a fit's report says about the ground, apart from the fit itself.

use super::{Departed, Sizes};
use crate::ground::Ground;
use crate::venue::Names;

/// Sizes, and where the line departs from its best ellipse. Places are given by compass direction, since the
/// ends and sides have no names yet.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// Sizes with their ±.
    pub sizes: Sizes,
    /// Every departure.
    pub departures: Vec<Departed>,
    /// The departures worth a row, in words.
    pub rows: Vec<String>,
}

impl Summary {
    /// The summary of a ground that is not registered yet.
    #[must_use]
    pub fn of(ground: &Ground) -> Self {
        // Without a best ellipse there are no departures.
        let departures = Departed::all(ground).unwrap_or_default();
        let names = Names::by_compass(ground.oval().plan().axis().degrees());
        let range = ground.oval().rules().practice.goal_range_m.value;
        let rows = Departed::rows(&departures, ground.oval(), &names, range);
        Self { sizes: Sizes::of(ground), departures, rows }
    }
}
