//! Is a text a tape notebook? The majority of its lines decides, not the first: a notebook may start with
//! a title or an error, and the title of a table may look like a line of a notebook.

use super::loose::{plain, side};
use super::words::{split_word, without_comment};
use crate::survey::csv_head;

/// How many lines are examined, which is enough for any file.
const LOOKED_AT: usize = 400;

/// Is this text a tape notebook, by the majority of its lines?
pub(in crate::survey) fn is_notebook(text: &str) -> bool {
    let lines = text.lines().map(without_comment).filter(|l| !l.is_empty()).take(LOOKED_AT);
    let (mut notes, mut rows, mut first) = (0usize, 0usize, None);
    for line in lines {
        let note = !is_row(line) && is_note(line);
        first.get_or_insert(note);
        notes += usize::from(note);
        rows += usize::from(!note && is_row(line));
    }
    notes > rows || (notes == rows && notes > 0 && first == Some(true))
}

/// Does a line look like a line of a notebook?
fn is_note(line: &str) -> bool {
    let line = &plain(line).text;
    let (head, rest) = line.split_once(':').unwrap_or((line, ""));
    let mut words = head.split_whitespace();
    let first = words.next().unwrap_or("").to_lowercase();
    let alone = |list: &[&str]| list.contains(&first.as_str());
    alone(&["tape", "laser"]) && !rest.is_empty()
        || alone(&["with"]) && rest.is_empty()
        || alone(&["base"]) && split_word(head, "to").is_some()
        || alone(&["at"]) && words.nth(1).is_some_and(|w| side(w).is_some())
        || split_word(head, "to").is_some() && !rest.is_empty()
        || ["is", "bears"].iter().any(|w| split_word(line, w).is_some())
}

/// Does a line look like the header of a table, or like a row with two numbers or more?
fn is_row(line: &str) -> bool {
    let number = |cell: &str| {
        let cell = cell.trim().trim_matches('"');
        cell.starts_with(|c: char| c.is_ascii_digit() || c == '-' || c == '+')
            && cell.replace(',', ".").parse::<f64>().is_ok()
    };
    csv_head::is_header(line)
        || [',', ';', '\t'].iter().any(|d| line.split(*d).filter(|cell| number(cell)).count() >= 2)
            && (!line.contains(':') || split_word(line, "to").is_none())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_notebook_is_told_from_a_table() {
        for yes in ["# x\n\ntape A: 50 m\n", "NE post to peg: 4\n", "peg is at 0, 0\n", "base a to b\n"] {
            assert!(is_notebook(yes), "{yes}");
        }
        for no in ["x,y\n1,2\n", "lat;lon\n", "base,x,y\n", "easting,northing,code\n", "", "<kml/>"] {
            assert!(!is_notebook(no), "{no}");
        }
    }

    #[test]
    fn most_lines_tell_and_not_the_first() {
        for yes in [
            "Emu Flat Oval, taped 14 March 2026\nA to B: 62.40\nB to C: 30.25\n",
            "A, B, C\nwing - wing: 131.2\ngoal – goal: 162.4\n",
            "Emu Flat\nbase N - S\n20.00 L 31.40\n40.00 R 38.25\n",
            "tape A: 50 m\nx\ny\n",
        ] {
            assert!(is_notebook(yes), "{yes}");
        }
        for no in [
            "Base line to the north is the fence\nx,y,code\n1,2,BL\n3,4,BL\n",
            "with tape\nx;y\n1;2\n3;4\n",
            "x,y,note\n1,2,gate is open\n3,4,it is wet\n",
            "hello\nworld\n",
        ] {
            assert!(!is_notebook(no), "{no}");
        }
    }
}
