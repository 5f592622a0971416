//! What a text is laid out for: how many columns, and which signs.

/// The columns of a text, and whether only plain ASCII will do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Paper {
    columns: usize,
    ascii: bool,
}

impl Paper {
    /// Fewer columns than this hold no table and few words.
    pub const LEAST: usize = 24;
    /// More than this no eye follows.
    pub const MOST: usize = 200;

    /// So many columns, held between [`Paper::LEAST`] and [`Paper::MOST`].
    ///
    /// # Units
    /// Columns of a terminal: `½` and `±` take one, a wide character two.
    ///
    /// # Examples
    /// ```
    /// use ovalpeg::export::Paper;
    /// assert_eq!(Paper::new(36, false).columns(), 36);
    /// assert_eq!(Paper::new(3, false).columns(), Paper::LEAST);
    /// ```
    #[must_use]
    pub fn new(columns: usize, ascii: bool) -> Self {
        Self { columns: columns.clamp(Self::LEAST, Self::MOST), ascii }
    }

    /// How many columns.
    #[must_use]
    pub fn columns(self) -> usize {
        self.columns
    }

    /// Plain ASCII only?
    #[must_use]
    pub fn ascii(self) -> bool {
        self.ascii
    }
}
