//! What a fit's report says of the ground beside the fit itself.

use super::{Departed, Sizes};
use crate::ground::Ground;
use crate::venue::Names;

/// Sizes, and where the line departs from its best ellipse, by the compass for want of names.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// Sizes with their ±.
    pub sizes: Sizes,
    /// Every departure.
    pub departures: Vec<Departed>,
    /// Those worth a line, in words.
    pub rows: Vec<String>,
}

impl Summary {
    /// Of a ground that is not registered yet.
    #[must_use]
    pub fn of(ground: &Ground) -> Self {
        // Without a best ellipse nothing departs from it.
        let departures = Departed::all(ground).unwrap_or_default();
        let names = Names::by_compass(ground.oval().plan().axis().degrees());
        let range = ground.oval().rules().practice.goal_range_m.value;
        let rows = Departed::rows(&departures, ground.oval(), &names, range);
        Self { sizes: Sizes::of(ground), departures, rows }
    }
}
