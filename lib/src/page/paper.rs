//! Sizes of paper.

/// A size of paper (ISO 216).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm.
    A4,
    /// 148 by 210 mm.
    A5,
    /// 105 by 148 mm.
    A6,
}

impl Paper {
    /// All of them, largest first.
    pub const ALL: [Self; 3] = [Self::A4, Self::A5, Self::A6];

    /// Width and height, upright, mm.
    #[must_use]
    pub const fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::A5 => (148.0, 210.0),
            Self::A6 => (105.0, 148.0),
        }
    }

    /// Its name: `A4`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::A5 => "A5",
            Self::A6 => "A6",
        }
    }
}
