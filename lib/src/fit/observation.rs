//! The observations that are adjusted: points, posts, lengths, and prior values of parameters.

use crate::frame::Local;
use crate::geometry::{Point, Vector};
use crate::survey::Observed;

/// Parameters of the goals.
pub(super) const GOALS: usize = 4;

/// One observation with its standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Observation {
    /// A point of a surveyed line that lies `inside` metres inside the true one.
    OnLine { at: Point<Local>, sd: f64, inside: f64, of: Of },
    /// A surveyed post: `end` ±1 along the goal axis, `offset` left of it.
    Post { at: Point<Local>, end: f64, offset: f64, sd: f64, of: Of },
    /// The line passes this place of the goals.
    LineAtPost { end: f64, offset: f64, sd: f64 },
    /// A measured length of the whole ground.
    Span { kind: Span, value: f64, sd: f64, tape: Option<usize> },
    /// A parameter of a source has this prior value, with its standard deviation.
    Prior { parameter: usize, value: f64, sd: f64 },
    /// The angle between two directions among the parameters has this prior value, with its standard
    /// deviation.
    Turn { from: usize, to: usize, value: f64, sd: f64 },
}

/// Whose scale and offset a point has, and whose place on the Earth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Of {
    pub(super) source: usize,
    pub(super) frame: usize,
}

impl Of {
    pub(super) fn observed(o: &Observed) -> Self {
        Self { source: o.source, frame: o.frame }
    }
}

/// A length of the whole ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Span {
    GoalToGoal,
    WingToWing,
}

impl Observation {
    pub(super) fn moved(self, by: Vector<Local>) -> Self {
        match self {
            Self::OnLine { at, sd, inside, of } => Self::OnLine { at: at + by, sd, inside, of },
            Self::Post { at, end, offset, sd, of } => Self::Post { at: at + by, end, offset, sd, of },
            Self::LineAtPost { .. } | Self::Span { .. } | Self::Prior { .. } | Self::Turn { .. } => self,
        }
    }
}
