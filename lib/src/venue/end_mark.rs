//! The end mark, the last line of a venue file, which shows that the file was not cut off.
//!
//! Most tables of a venue file are optional, so a file that ends early would look like a complete one without
//! its last hazards. From schema 2 on the last line says that nothing is missing. It is a TOML table and not
//! a comment, so that it survives tools that rewrite a file without its comments.

use crate::units::Problem;

/// Name of the table that serves as the end mark.
pub(super) const END_TABLE: &str = "end_of_file";

/// The last line of a venue file; only comments may follow it.
pub const END_MARK: &str = "[end_of_file]";

/// Hint beside the parser's message for a file without its mark.
pub(super) const NO_END: &str =
    "if the file was cut off, put the whole one back: from schema 2 on its last line is [end_of_file]";

/// The comment above the end mark in a file that the program writes.
pub(super) const END_COMMENT: &str =
    "# Keep this as the last line: a file that ends before it was cut off.\n";

/// The byte offset where the end mark's line starts; `None` unless the mark is the last line that is neither
/// blank nor a comment.
fn mark_at(text: &str) -> Option<usize> {
    let mut start = 0;
    let mut last = None;
    for line in text.split_inclusive('\n') {
        let bare = line.trim();
        if !bare.is_empty() && !bare.starts_with('#') {
            last = Some((start, bare));
        }
        start += line.len();
    }
    last.filter(|(_, line)| line.split('#').next().is_some_and(|l| l.trim_end() == END_MARK))
        .map(|(at, _)| at)
}

/// Does the text end with its mark?
///
/// In valid TOML such a last line can only be the table: inside a multi-line text or a list it would not be
/// the last line.
pub(super) fn is_whole(text: &str) -> bool {
    mark_at(text).is_some()
}

/// What is wrong with the end of a file of schema 2, if anything. `has_table` says whether the mark is
/// anywhere in the file.
pub(super) fn end_trouble(text: &str, has_table: bool) -> Option<Problem> {
    if is_whole(text) {
        return None;
    }
    Some(if has_table {
        Problem::new(format!("something stands below {END_MARK}, which is the last line of a venue file"))
            .hint(format!("move the line {END_MARK} to the end"))
    } else {
        Problem::new("the file ends before its end mark: it was cut off").hint(format!(
            "put the whole file back; if you wrote it by hand, add the line {END_MARK} at its end"
        ))
    })
}

/// A venue file with `more` added at its end, above the end mark.
///
/// # Examples
/// ```
/// use ovalpeg::venue::above_end_mark;
/// let text = "schema = 2\n\n[end_of_file]\n";
/// assert_eq!(above_end_mark(text, "[fence]\ndistance_m = 4.0\n"),
///            "schema = 2\n\n[fence]\ndistance_m = 4.0\n\n[end_of_file]\n");
/// ```
#[must_use]
pub fn above_end_mark(text: &str, more: &str) -> String {
    let Some(mark) = mark_at(text) else { return format!("{text}{more}") };
    // The comment that belongs to the mark stays with it.
    let at = text[..mark].strip_suffix(END_COMMENT).map_or(mark, str::len);
    let gap = if more.ends_with("\n\n") { "" } else { "\n" };
    format!("{}{more}{gap}{}", &text[..at], &text[at..])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_is_the_last_line_that_says_anything() {
        for whole in ["a = 1\n[end_of_file]\n", "[end_of_file]", "[end_of_file] # so\r\n\r\n# later\n"] {
            assert!(is_whole(whole), "{whole:?}");
        }
        for cut in
            ["", "a = 1\n", "[end_of_file", "[end_of_file]\n[[hazard]]\n", "# [end_of_file]\n", "[ends]\n"]
        {
            assert!(!is_whole(cut), "{cut:?}");
        }
        assert!(
            end_trouble("[end_of_file]\nx = 1\n", true).unwrap().message().contains("something stands below")
        );
        assert!(
            end_trouble("x = 1\n", false)
                .unwrap()
                .to_string()
                .contains("it was cut off (hint: put the whole")
        );
    }

    #[test]
    fn what_is_added_stands_above_the_mark_and_its_comment() {
        let text = format!("a = 1\n\n{END_COMMENT}{END_MARK}\n");
        let more = above_end_mark(&text, "[b]\n");
        assert_eq!(more, format!("a = 1\n\n[b]\n\n{END_COMMENT}{END_MARK}\n"));
        assert!(is_whole(&more));
        assert_eq!(above_end_mark("schema = 1\n", "[b]\n"), "schema = 1\n[b]\n");
    }
}
