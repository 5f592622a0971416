//! The csv reader of a header and its rows, and which cell of a row is its name.

use super::csv_head::Columns;
use super::features::short;
use super::roles::{Says, says};
use crate::units::Problem;

/// A csv reader for a header and its rows.
pub(super) fn reader(body: &str, delimiter: u8) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .flexible(true)
        .from_reader(body.as_bytes())
}

/// The problem of an open quote, which makes several rows the text of one cell.
pub(super) fn quote_open(lines: usize) -> Problem {
    let over = if lines > 0 { format!(", and its cell runs over {lines} lines") } else { String::new() };
    Problem::new(format!("a quote (\") is opened and not closed{over}"))
        .hint("take it out, or close it in its own row")
}

/// A row's code or name. The name replaces the code where only the name says that it is a post. A remark
/// counts only where it says that it is a post.
pub(super) fn name(record: &csv::StringRecord, columns: &Columns) -> String {
    let text = |c: Option<usize>| short(c.and_then(|c| record.get(c)).unwrap_or(""));
    let post = |t: &str| matches!(says(t), Says::GoalPost | Says::BehindPost);
    let (code, name, remark) = (text(columns.code), text(columns.name), text(columns.remark));
    if code.is_empty() {
        if columns.remark.is_some() {
            return Some(remark).filter(|r| post(r)).unwrap_or_default();
        }
        return name;
    }
    if says(&code) == Says::SomethingElse && post(&name) { name } else { code }
}
