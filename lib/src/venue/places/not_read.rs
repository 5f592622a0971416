//! Why words could not be read as a place.

use crate::ground::NoSpot;
use crate::venue::Names;

/// Why words could not be read as a place, an end or a side.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum NotRead {
    /// A word that is not used to describe places here.
    Unknown {
        /// The word.
        word: String,
        /// What the ends and sides are called.
        names: Names,
    },
    /// The words may mean several places.
    Ambiguous {
        /// Each place, in words that mean only that one.
        could: Vec<String>,
    },
    /// Something is missing: what it is.
    Missing(String),
    /// The parts contradict each other: why.
    Jumbled(String),
    /// There is no such spot.
    NoSpot(NoSpot),
}

impl std::fmt::Display for NotRead {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Unknown { word, names } => {
                let ([a, b], [l, r]) = (&names.ends, &names.sides);
                write!(
                    f,
                    "'{word}' is not a side ({l}, {r}, left, right), an end ({a}, {b}, A, B), a named spot, a number of metres, nor a word that places are told by"
                )
            }
            Self::Ambiguous { could } => write!(f, "that may be {}: say which", could.join(", or ")),
            Self::Missing(why) | Self::Jumbled(why) => f.write_str(why),
            Self::NoSpot(e) => e.fmt(f),
        }
    }
}

impl std::error::Error for NotRead {}
