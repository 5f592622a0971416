//! Why words say no place.

use crate::ground::NoSpot;
use crate::venue::Names;

/// Why words say no place, or no end or side.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum NotRead {
    /// A word that no place here is told by.
    Unknown {
        /// The word.
        word: String,
        /// What the ends and sides are called.
        names: Names,
    },
    /// They may mean several places: each, in words that mean it alone.
    Ambiguous {
        /// What they could mean.
        could: Vec<String>,
    },
    /// They do not say it whole: what they lack.
    Missing(String),
    /// Their parts do not go together: why.
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
