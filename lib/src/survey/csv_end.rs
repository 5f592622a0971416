//! Signs in the last row of a CSV text that the file was cut off.
//!
//! A file that was cut at the end of a line shows no sign. One that was cut within a row does: the
//! row has fewer cells than any other, or the last line has no line end and its last cell is shorter
//! than in any other row. The latter may be chance, so that row is used as it stands.

use crate::units::print::{self, quoted};

/// Fewest rows before the last that show how long a cell usually is.
const ROWS: usize = 3;

/// A whole number with at least this many digits must be a grid coordinate.
const GRID_DIGITS: usize = 5;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Holds {
    Number,
    Time,
    Text,
}

/// Collects facts about the rows, to judge the last one by the others.
pub(super) struct End {
    /// Whether the text ends with a line end, or its last line can't be judged.
    closed: bool,
    /// The column of the last line's last cell.
    column: usize,
    holds: Holds,
    rows: usize,
    fewest_cells: usize,
    /// Of that column, over all rows before the last.
    fewest_decimals: usize,
    fewest_chars: usize,
    never_empty: bool,
}

/// Number of digits after the decimal point or comma.
fn decimals(cell: &str) -> usize {
    cell.split_once(['.', ',']).map_or(0, |(_, behind)| behind.bytes().take_while(u8::is_ascii_digit).count())
}

impl End {
    /// Starts with a text; `holds` says what each column is.
    pub(super) fn of(text: &str, delimiter: u8, holds: impl Fn(usize) -> Holds) -> Self {
        let last = text.rsplit(['\n', '\r']).next().unwrap_or("");
        let column = last.bytes().filter(|&b| b == delimiter).count();
        Self {
            // Delimiters in quotes do not end a cell, so a last line with quotes is not judged.
            closed: last.is_empty() || last.contains('"'),
            column,
            holds: holds(column),
            rows: 0,
            fewest_cells: usize::MAX,
            fewest_decimals: usize::MAX,
            fewest_chars: usize::MAX,
            never_empty: true,
        }
    }

    /// Takes note of a row, which may not be the last.
    pub(super) fn row(&mut self, cells: &csv::StringRecord) {
        self.rows += 1;
        self.fewest_cells = self.fewest_cells.min(cells.len());
        if !self.closed {
            let cell = cells.get(self.column).unwrap_or("");
            self.never_empty &= !cell.is_empty();
            if !cell.is_empty() {
                self.fewest_decimals = self.fewest_decimals.min(decimals(cell));
                self.fewest_chars = self.fewest_chars.min(cell.chars().count());
            }
        }
    }

    /// Why the last row seems to be cut off, if it does; `columns` is the number of cells in the header.
    pub(super) fn cut(&self, last: &csv::StringRecord, columns: usize) -> Option<String> {
        let cells = last.len();
        if cells < columns.min(self.fewest_cells) {
            let want = columns.min(self.fewest_cells);
            let others = if self.rows == 0 { "the header has" } else { "no row before it has fewer than" };
            return Some(format!("the last row has {}, and {others} {want}", print::count(cells, "cell")));
        }
        if self.closed || self.rows < ROWS || cells != self.column + 1 {
            return None;
        }
        let cell = last.get(self.column).unwrap_or("");
        if cell.is_empty() {
            return self.never_empty.then(|| "the last cell is empty, and in no other row it is".to_owned());
        }
        let shorter = match self.holds {
            // Numbers of one column usually have the same number of decimals, and whole numbers of a
            // grid the same number of digits.
            Holds::Number => {
                let whole = self.fewest_decimals == 0 && self.fewest_chars >= GRID_DIGITS;
                decimals(cell) < self.fewest_decimals || (whole && cell.chars().count() < self.fewest_chars)
            }
            Holds::Time => cell.chars().count() < self.fewest_chars,
            Holds::Text => false,
        };
        shorter.then(|| format!("the last cell {} is shorter than in any other row", quoted(cell)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(text: &str) -> Option<String> {
        let holds = |c| [Holds::Number, Holds::Number, Holds::Text, Holds::Time][c];
        let mut end = End::of(text, b',', holds);
        let rows: Vec<csv::StringRecord> =
            text.lines().map(|l| l.split(',').collect::<Vec<_>>().into()).collect();
        let (last, others) = rows.split_last().unwrap();
        others[1..].iter().for_each(|r| end.row(r));
        end.cut(last, rows[0].len())
    }

    #[test]
    fn whole_files_are_not_suspected() {
        for text in [
            "x,y,code\n1.25,2.50,a\n3.25,4.50,b\n5.25,6.50,c\n7.25,8.50,d\n",
            // The last line has no line end, but no other sign.
            "x,y,code\n1.25,2.50,a\n3.25,4.50,b\n5.25,6.50,c\n7.25,8.50,d",
            "x,y\n1.25,2.50\n3.25,4.5\n5.25,6.25\n7.25,8.5",
            "x,y\n1,2\n3,4\n5,6\n7,8",
            // Every row leaves its empty cells out.
            "x,y,code\n1,2\n3,4\n5,6\n",
            // Too few to judge by.
            "x,y\n1.25,2.50\n3.25,4.5",
            // With a line end, a number may have fewer digits by chance.
            "x,y\n1.25,2.50\n3.25,4.51\n5.25,6.25\n7.25,8.5\n",
        ] {
            assert_eq!(cut(text), None, "{text}");
        }
    }

    #[test]
    fn what_is_missing_is_said() {
        for (text, want) in [
            ("x,y,code\n1,2,a\n3,4,b\n5", "1 cell, and no row before it has fewer than 3"),
            ("x,y,code\n1,2,a\n3,4,b\n5,6\n", "2 cells, and no row before it has fewer than 3"),
            ("x,y,code\n1", "1 cell, and the header has 3"),
            ("x,y\n1.25,2.50\n3.25,4.51\n5.25,6.25\n7.25,8.", "'8.' is shorter"),
            ("x,y\n1.25,2.50\n3.25,4.51\n5.25,6.25\n7.25,-", "'-' is shorter"),
            ("x,y\n322511,5812242\n322512,5812241\n322509,5812238\n322507,5812", "'5812' is shorter"),
            ("x,y\n1.25,2.50\n3.25,4.51\n5.25,6.25\n7.25,", "the last cell is empty"),
            (
                "x,y,c,t\n1,2,,2026-03-14T01:00Z\n3,4,,2026-03-14T01:01Z\n5,6,,2026-03-14T01:02Z\n7,8,,2026-03-14T0",
                "'2026-03-14T0' is shorter",
            ),
        ] {
            assert!(cut(text).is_some_and(|c| c.contains(want)), "{want}: {:?}", cut(text));
        }
    }
}
