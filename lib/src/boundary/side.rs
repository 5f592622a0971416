//! The two sides and the two ends of a ground.

use std::fmt;

/// A boundary line, named for a person at the centre who faces end A.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// y > 0.
    Left,
    /// y < 0.
    Right,
}

/// A scoring end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum End {
    /// x > 0: the end nearer true north when the venue was registered.
    A,
    /// x < 0.
    B,
}

impl Side {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::Left, Self::Right];

    /// Sign of y on this side.
    #[must_use]
    pub fn sign(self) -> f64 {
        match self {
            Self::Left => 1.0,
            Self::Right => -1.0,
        }
    }

    /// The opposite side.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

impl End {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::A, Self::B];

    /// Sign of x at this end.
    #[must_use]
    pub fn sign(self) -> f64 {
        match self {
            Self::A => 1.0,
            Self::B => -1.0,
        }
    }

    /// The opposite end.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::A => Self::B,
            Self::B => Self::A,
        }
    }
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Left => "left",
            Self::Right => "right",
        })
    }
}

impl fmt::Display for End {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::A => "A",
            Self::B => "B",
        })
    }
}
