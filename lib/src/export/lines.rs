//! Lines of text: wrapping and columns, counted in characters.

use super::to_ascii;

/// Does this word belong on the line of the one before it: a unit with its number, a ± with both?
fn sticks(before: &str, word: &str) -> bool {
    let bare = word.trim_end_matches([',', ';', ':', '.', ')', '|']);
    let unit = matches!(bare, "m" | "m²" | "%" | "f" | "R" | "L" | "°");
    let numeric = before.ends_with(|c: char| c.is_ascii_digit() || matches!(c, '½' | 'f' | '°'));
    before.ends_with('±') || word == "±" || (unit && numeric)
}

/// The words of a text, those that belong together still joined by a blank.
fn words(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut before = "";
    for word in text.split_whitespace() {
        match out.last_mut() {
            Some(last) if sticks(before, word) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
        before = word;
    }
    out
}

/// Wraps text to `width` columns; the first line starts with `first`, the others
/// with blanks as wide.
pub(super) fn wrap(text: &str, first: &str, width: usize) -> Vec<String> {
    let indent = first.chars().count();
    let mut lines = Vec::new();
    let mut line = first.to_owned();
    let mut empty = true;
    for word in &words(text) {
        let mut word = word.as_str();
        loop {
            let used = line.chars().count();
            let gap = usize::from(!empty);
            let long = word.chars().count();
            if used + gap + long <= width {
                if !empty {
                    line.push(' ');
                }
                line.push_str(word);
                empty = false;
                break;
            }
            if empty {
                // A word wider than the line is cut: nothing may run over the edge.
                let room = width.saturating_sub(used).max(1);
                let cut = word.char_indices().nth(room).map_or(word.len(), |(i, _)| i);
                line.push_str(&word[..cut]);
                word = &word[cut..];
                if word.is_empty() {
                    empty = false;
                    break;
                }
            }
            lines.push(std::mem::replace(&mut line, " ".repeat(indent)));
            empty = true;
        }
    }
    if !empty || lines.is_empty() {
        lines.push(line.trim_end().to_owned());
    }
    lines
}

/// A text page in the making: its columns, and whether only plain ASCII will do.
/// Signs are replaced before lines are laid out, since `½` and `1/2` differ in width.
pub(super) struct Sheet {
    lines: Vec<String>,
    columns: usize,
    ascii: bool,
}

impl Sheet {
    pub(super) fn new(columns: usize, ascii: bool) -> Self {
        Self { lines: Vec::new(), columns, ascii }
    }

    /// The text in this sheet's signs.
    pub(super) fn signs(&self, text: &str) -> String {
        if self.ascii { to_ascii(text) } else { text.to_owned() }
    }

    /// A line as it is, blanks at its end taken off.
    pub(super) fn line(&mut self, text: &str) {
        self.lines.push(self.signs(text).trim_end().to_owned());
    }

    /// A paragraph: the first line starts with `first`, the others with blanks as wide.
    pub(super) fn wrap(&mut self, text: &str, first: &str) {
        self.lines.extend(wrap(&self.signs(text), &self.signs(first), self.columns));
    }

    /// A rule across.
    pub(super) fn rule(&mut self, c: char) {
        self.lines.push(c.to_string().repeat(self.columns));
    }

    /// The text, ending in a newline.
    pub(super) fn text(self) -> String {
        self.lines.join("\n") + "\n"
    }
}

/// The text in exactly `width` columns, to the left; cut when longer.
pub(super) fn left(text: &str, width: usize) -> String {
    let cut: String = text.chars().take(width).collect();
    let gap = width - cut.chars().count();
    cut + &" ".repeat(gap)
}

/// The text in at least `width` columns, to the right.
pub(super) fn right(text: &str, width: usize) -> String {
    let gap = width.saturating_sub(text.chars().count());
    " ".repeat(gap) + text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wraps_and_never_runs_over() {
        let lines = wrap("the fence is 2.4 m away and supercalifragilistic", "WATCH ", 20);
        assert_eq!(lines[0], "WATCH the fence is");
        assert!(lines.iter().all(|l| l.chars().count() <= 20), "{lines:?}");
        assert!(lines[1].starts_with("      2.4"));
        let letters: String = lines.concat().chars().filter(|c| !c.is_whitespace()).collect();
        assert_eq!(letters, "WATCHthefenceis2.4mawayandsupercalifragilistic");
    }

    #[test]
    fn numbers_keep_their_units() {
        assert_eq!(wrap("length 165.0 m ± 0.3 (95 %).", "", 14), ["length", "165.0 m ± 0.3", "(95 %)."]);
        assert_eq!(wrap("stand back 15 m, then out", "", 14), ["stand back", "15 m, then out"]);
    }

    #[test]
    fn columns() {
        assert_eq!(left("½ abc", 3), "½ a");
        assert_eq!(right("7", 3), "  7");
    }
}
