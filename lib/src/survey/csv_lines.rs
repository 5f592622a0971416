//! Lines of a CSV text: where a row begins, and where an open quote swallows rows.

/// Line numbers by byte offset. The csv crate's own count does not skip
/// blank lines and comments before a record.
pub(super) struct LineCounter<'a> {
    bytes: &'a [u8],
    offset: usize,
    line: usize,
}

impl<'a> LineCounter<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        Self { bytes: text.as_bytes(), offset: 0, line: 1 }
    }

    /// The line of the first record that starts at or after `byte`. An offset may be before an
    /// earlier one, since this skips blank rows that the csv crate takes for records.
    pub(super) fn at(&mut self, byte: u64) -> usize {
        let byte = usize::try_from(byte).unwrap_or(usize::MAX).min(self.bytes.len());
        if let Some(passed) = self.bytes.get(self.offset..byte) {
            self.line += passed.iter().filter(|&&b| b == b'\n').count();
            self.offset = byte;
        }
        while let Some(end) = self.bytes[self.offset..].iter().position(|&b| b == b'\n') {
            let row = self.bytes[self.offset..self.offset + end].trim_ascii();
            if !row.is_empty() && !row.starts_with(b"#") {
                break;
            }
            self.offset += end + 1;
            self.line += 1;
        }
        self.line
    }
}

/// Is a quote that opens a cell still open at the end of this text, which starts with a row?
pub(super) fn quote_stays_open(text: &str, delimiter: u8) -> bool {
    let mut open = false;
    let mut cell_begins = true;
    for b in text.bytes() {
        match b {
            // Two quotes inside a cell close and open it again, which has no effect.
            b'"' if open || cell_begins => {
                open = !open;
                cell_begins = false;
            }
            _ if open => {}
            b'\n' | b'\r' => cell_begins = true,
            _ => cell_begins = b == delimiter,
        }
    }
    open
}

/// The number of lines of a cell, if it has swallowed rows: after the first line, a line has a
/// delimiter. An open quote makes rows the text of one cell.
pub(super) fn swallowed(cell: &str, delimiter: u8) -> Option<usize> {
    let lines = cell.lines().count();
    (lines > 1 && cell.lines().skip(1).any(|l| l.bytes().any(|b| b == delimiter))).then_some(lines)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_counted_past_blanks_and_comments() {
        let text = "x,y\n\n# c\n1,2\n \n\n3,4\n";
        let mut lines = LineCounter::new(text);
        let at = |part: &str| text.find(part).unwrap() as u64;
        assert_eq!(lines.at(at("1,2")), 4);
        // A blank row is skipped, and the next offset may be before the line that was reached.
        assert_eq!(lines.at(at(" \n")), 7);
        assert_eq!(lines.at(at(" \n") + 2), 7);
        assert_eq!(lines.at(u64::MAX), 8);
    }

    #[test]
    fn a_quote_opens_at_the_start_of_a_cell_alone() {
        for (text, open) in [
            ("1,2,\"a\"\n", false),
            ("1,2,\"a \"\"big\"\" one\"", false),
            ("1,2,5\" pipe\n3,4", false),
            ("1,2,\"a\n3,4,b\n", true),
            ("\"x,y\n1,2\n", true),
        ] {
            assert_eq!(quote_stays_open(text, b','), open, "{text:?}");
        }
        assert_eq!(swallowed("two\nlines", b','), None);
        assert_eq!(swallowed("north\n1,2,b\n3,4,", b','), Some(3));
    }
}
