//! A tape notebook as data: marks, tapes, and measures between marks. The reader makes
//! it; an adjustment finds the coordinates of the marks.

use crate::frame::Local;
use crate::geometry::Point;
use crate::survey::Role;

/// A named mark: a peg, a post, a point of the line.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Its name, as first written.
    pub name: String,
    /// What it is.
    pub role: Role,
    /// Its coordinates, if the notebook or another source gives any.
    pub at: Option<Point<Local>>,
    /// One standard deviation in each coordinate, m. `Some(0.0)` holds the mark fixed. With
    /// `None` the coordinates are only approximate, and not an observation.
    pub at_sd_m: Option<f64>,
    /// Where in the notebook it is first named.
    pub place: String,
}

/// A tape, or another instrument whose readings share a scale error.
#[derive(Debug, Clone, PartialEq)]
pub struct Tape {
    /// Its name.
    pub name: String,
    /// Scale error common to all its readings, one standard deviation, as a ratio; 0 for none.
    pub scale_sd: f64,
    /// Where in the notebook it is described.
    pub place: String,
}

/// What was measured. Marks are indices into [`Notebook::marks`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// A distance between two marks: a tie.
    Distance {
        /// One mark.
        from: usize,
        /// The other.
        to: usize,
    },
    /// Chainage of a mark: how far along the base line, from its first mark toward its second.
    Chainage {
        /// First and second mark of the base line.
        base: [usize; 2],
        /// The mark that is measured.
        mark: usize,
    },
    /// Offset of a mark from the base line, positive to the left of a person who looks from
    /// its first mark to its second.
    Offset {
        /// First and second mark of the base line.
        base: [usize; 2],
        /// The mark that is measured.
        mark: usize,
    },
    /// From the middle of one goal line to that of the other: the ground's length.
    GoalToGoal,
    /// Across the ground on the line midway between the goals.
    WingToWing,
}

/// One measure with its standard deviation.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// What was measured.
    pub quantity: Quantity,
    /// The reading, m.
    pub read_m: f64,
    /// The reading corrected for slope, temperature and the tape's standard length, m.
    pub value_m: f64,
    /// One standard deviation of the reading, m, without the error of the tape's scale.
    pub sd_m: f64,
    /// The tape, an index into [`Notebook::tapes`].
    pub tape: Option<usize>,
    /// Where in the notebook.
    pub place: String,
}

/// The side of a line that a mark is on, which tells a network from its mirror image.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hand {
    /// The mark.
    pub mark: usize,
    /// The two marks of the line; the side is that of a person who looks from the first to the second.
    pub of: [usize; 2],
    /// Whether it is on the left; otherwise it is on the right.
    pub left: bool,
}

/// The true bearing from one mark to another, which gives a free network its orientation.
#[derive(Debug, Clone, PartialEq)]
pub struct Bears {
    /// The mark that it is measured from.
    pub from: usize,
    /// The mark that it is measured to.
    pub to: usize,
    /// Degrees clockwise from true north.
    pub true_deg: f64,
    /// Where in the notebook.
    pub place: String,
}

/// A whole notebook.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Notebook {
    /// Marks in the order in which they are first named.
    pub marks: Vec<Mark>,
    /// Tapes.
    pub tapes: Vec<Tape>,
    /// Measures in their order.
    pub measures: Vec<Measure>,
    /// Sides.
    pub hands: Vec<Hand>,
    /// A bearing, if there is one.
    pub bears: Option<Bears>,
}

impl Notebook {
    /// A mark's index in [`Notebook::marks`] by its name, whatever the case and the separators.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<usize> {
        let key = Self::key(name);
        self.marks.iter().position(|m| Self::key(&m.name) == key)
    }

    /// The key of a name, which is the same for all its spellings:
    /// lower case, with single blanks for separators.
    #[must_use]
    pub fn key(name: &str) -> String {
        name.split(|c: char| c.is_whitespace() || c == '_' || c == '-')
            .filter(|w| !w.is_empty())
            .collect::<Vec<_>>()
            .join(" ")
            .to_lowercase()
    }
}
