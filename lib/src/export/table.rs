//! A table that is one where it fits, and a list where it does not.

use super::lines::{Sheet, left, right, wide};

/// A table: a label to the left, and cells to the right, each under its head.
pub(super) struct Table<'a> {
    /// Blanks before the label.
    pub(super) margin: usize,
    /// Columns of the label.
    pub(super) label: usize,
    /// Heads and columns of the cells.
    pub(super) cells: &'a [(&'a str, usize)],
}

impl Table<'_> {
    fn fits(&self, out: &Sheet) -> bool {
        self.margin + self.label + self.cells.iter().map(|c| c.1).sum::<usize>() <= out.columns()
    }

    /// The head, where there are columns for it.
    pub(super) fn head(&self, out: &mut Sheet, label: &str) {
        if self.fits(out) {
            let heads: Vec<&str> = self.cells.iter().map(|c| c.0).collect();
            self.row(out, label, &heads);
        } else if !label.is_empty() {
            out.line(&format!("{}{label}", " ".repeat(self.margin)));
        }
    }

    /// A row. A label wider than its column has a line of its own; where the table does not fit, each
    /// cell stands behind its head. Empty cells are left out there.
    pub(super) fn row(&self, out: &mut Sheet, label: &str, cells: &[&str]) {
        // Signs first: the columns are counted in what is printed.
        let margin = " ".repeat(self.margin);
        let label = out.signs(label);
        let cells: Vec<String> = cells.iter().map(|c| out.signs(c)).collect();
        if !self.fits(out) {
            out.line(&format!("{margin}{label}"));
            let said: Vec<String> = cells
                .iter()
                .zip(self.cells)
                .filter(|(cell, _)| !cell.is_empty())
                .map(|(cell, (head, _))| format!("{head} {cell}"))
                .collect();
            if !said.is_empty() {
                out.wrap(&said.join("; "), &format!("{margin}  "));
            }
            return;
        }
        let row: String =
            cells.iter().zip(self.cells).map(|(cell, (_, width))| right(cell, *width)).collect();
        if wide(&label) > self.label {
            out.line(&format!("{margin}{label}"));
            out.line(&format!("{margin}{}{row}", left("", self.label)));
        } else {
            out.line(&format!("{margin}{}{row}", left(&label, self.label)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Paper;
    use super::*;

    const T: Table<'_> = Table { margin: 0, label: 10, cells: &[("old", 8), ("new", 8)] };

    fn made(columns: usize) -> String {
        let mut out = Sheet::new(Paper::new(columns, false));
        T.head(&mut out, "");
        T.row(&mut out, "length", &["160 m", "161 m"]);
        T.row(&mut out, "half-width Grandstand", &["", "64 m"]);
        out.text()
    }

    #[test]
    fn a_table_where_it_fits_and_a_list_where_not() {
        assert_eq!(
            made(30),
            "               old     new\nlength       160 m   161 m\nhalf-width Grandstand\n                      64 m\n"
        );
        assert_eq!(made(24), "length\n  old 160 m; new 161 m\nhalf-width Grandstand\n  new 64 m\n");
    }
}
