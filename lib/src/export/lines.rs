//! Lines of text: wrapping and columns, counted as a terminal shows them.

use unicode_width::UnicodeWidthChar;

use super::{Paper, to_ascii};

/// Columns that a text takes: a combining character none, a wide one two.
pub(super) fn wide(text: &str) -> usize {
    text.chars().map(|c| c.width().unwrap_or(0)).sum()
}

/// The first part of a text that takes no more than so many columns, at least a character, and the rest.
fn broken(text: &str, columns: usize) -> (&str, &str) {
    let mut used = 0;
    for (i, c) in text.char_indices() {
        used += c.width().unwrap_or(0);
        if used > columns && i > 0 {
            return text.split_at(i);
        }
    }
    (text, "")
}

/// Does this word belong on the line of the one before it: a unit with its number, a ± with both?
fn sticks(before: &str, word: &str) -> bool {
    let bare = word.trim_end_matches([',', ';', ':', '.', ')', '|']);
    let unit = matches!(bare, "m" | "m²" | "%" | "f" | "R" | "L" | "°");
    let numeric = before.ends_with(|c: char| c.is_ascii_digit() || matches!(c, '½' | 'f' | '°'));
    // "1 1/2" is what plain ASCII makes of "1½".
    let half = word.starts_with("1/2") && before.ends_with(|c: char| c.is_ascii_digit());
    before.ends_with('±') || before == "+/-" || word == "±" || word == "+/-" || half || (unit && numeric)
}

/// A blank that no line is broken at.
pub(super) const TIE: char = '\u{a0}';

/// The words of a text, those that belong together tied.
fn words(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut before = "";
    let apart = |c: char| c.is_whitespace() && c != TIE;
    for word in text.split(apart).filter(|w| !w.is_empty()) {
        match out.last_mut() {
            Some(last) if sticks(before, word) => {
                last.push(TIE);
                last.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
        before = word;
    }
    out
}

/// A line as it is printed: no blanks at its end, and ties are blanks.
fn printed(line: &str) -> String {
    line.replace(TIE, " ").trim_end().to_owned()
}

/// A text beside its label has at least so many columns; else the label stands on a line of its own.
const LEAST_TEXT: usize = 12;

/// Wraps text to `columns`; the first line starts with `first`, the others with blanks as wide. Where
/// that leaves no room for words, `first` has lines of its own. A word wider than a line is broken, and
/// nothing is cut.
pub(super) fn wrap(text: &str, first: &str, columns: usize) -> Vec<String> {
    if wide(first) + LEAST_TEXT > columns {
        let label = first.trim();
        let margin = " ".repeat((wide(first) - wide(first.trim_start())).min(4));
        if label.is_empty() {
            return fill(text, &margin, columns);
        }
        let mut lines = fill(label, &margin, columns);
        lines.extend(fill(text, &format!("{margin}  "), columns));
        return lines;
    }
    fill(text, first, columns)
}

fn fill(text: &str, first: &str, columns: usize) -> Vec<String> {
    let indent = wide(first);
    let mut lines = Vec::new();
    let mut line = first.to_owned();
    let mut empty = true;
    for word in &words(text) {
        let mut word = word.as_str();
        while !word.is_empty() {
            let used = wide(&line);
            if used + usize::from(!empty) + wide(word) <= columns {
                if !empty {
                    line.push(' ');
                }
                line.push_str(word);
                empty = false;
                break;
            }
            if empty {
                let (head, rest) = broken(word, columns.saturating_sub(used).max(1));
                line.push_str(head);
                word = rest;
                empty = false;
                if word.is_empty() {
                    break;
                }
            }
            lines.push(std::mem::replace(&mut line, " ".repeat(indent)));
            empty = true;
        }
    }
    if !empty || lines.is_empty() {
        lines.push(line);
    }
    lines.iter().map(|l| printed(l)).collect()
}

/// A text page in the making: its columns, and whether only plain ASCII will do.
/// Signs are replaced before lines are laid out, since `½` and `1/2` differ in width.
pub(super) struct Sheet {
    lines: Vec<String>,
    parts: Vec<Part>,
    paper: Paper,
}

/// One thing that a sheet says, whatever its columns: what a page of another kind lays out anew.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Part {
    /// Words on their own.
    Line(String),
    /// Two things side by side.
    Ends(String, String),
    /// Words behind a label; without one they go on with what stands above.
    Said {
        /// `WATCH`, or a sign such as `!`.
        label: String,
        /// The words.
        text: String,
    },
    /// A rule across.
    Rule,
}

impl Sheet {
    pub(super) fn new(paper: Paper) -> Self {
        Self { lines: Vec::new(), parts: Vec::new(), paper }
    }

    /// How many columns it has.
    pub(super) fn columns(&self) -> usize {
        self.paper.columns()
    }

    /// How many lines it has so far.
    pub(super) fn height(&self) -> usize {
        self.lines.len()
    }

    /// The text in this sheet's signs.
    pub(super) fn signs(&self, text: &str) -> String {
        if !self.paper.ascii() {
            return text.to_owned();
        }
        // What was tied stays so.
        text.split(TIE).map(to_ascii).collect::<Vec<_>>().join(&TIE.to_string())
    }

    /// A line as it is, blanks at its end taken off; one that does not fit is wrapped.
    pub(super) fn line(&mut self, text: &str) {
        self.parts.push(Part::Line(text.trim().to_owned()));
        self.lay(text);
    }

    fn lay(&mut self, text: &str) {
        let text = self.signs(text).replace(TIE, " ");
        let text = text.trim_end();
        if wide(text) <= self.columns() {
            self.lines.push(text.to_owned());
        } else {
            let body = text.trim_start();
            let margin = " ".repeat((wide(text) - wide(body)).min(self.columns() / 4));
            self.lines.extend(fill(body, &margin, self.columns()));
        }
    }

    /// A paragraph: the first line starts with `first`, the others with blanks as wide.
    pub(super) fn wrap(&mut self, text: &str, first: &str) {
        self.say(first, text);
        self.lines.extend(wrap(&self.signs(text), &self.signs(first), self.columns()));
    }

    /// A paragraph whose first line starts with `first`, and the others with so many blanks.
    pub(super) fn hang(&mut self, first: &str, text: &str, blanks: usize) {
        self.say(first, text);
        let (label, text) = (self.signs(first), self.signs(text));
        self.lines.extend(hanging(&label, &text, blanks, self.columns()));
    }

    /// Do two texts go on one line?
    pub(super) fn beside(&self, left: &str, right: &str) -> bool {
        wide(&self.signs(left)) + wide(&self.signs(right)) + 2 <= self.columns()
    }

    /// Two texts on one line, the second to the right edge where it fits, else on a line of its own.
    pub(super) fn ends(&mut self, left: &str, right: &str) {
        self.parts.push(Part::Ends(left.trim().to_owned(), right.trim().to_owned()));
        let [l, r] = [left, right].map(|t| self.signs(t).replace(TIE, " "));
        if self.beside(left, right) {
            let gap = " ".repeat(self.columns() - wide(&l) - wide(&r));
            self.lines.push(format!("{l}{gap}{r}").trim_end().to_owned());
        } else {
            self.lay(&l);
            self.lay(&r);
        }
    }

    fn say(&mut self, label: &str, text: &str) {
        self.parts.push(Part::Said { label: label.trim().to_owned(), text: text.to_owned() });
    }

    /// A rule across.
    pub(super) fn rule(&mut self, c: char) {
        self.parts.push(Part::Rule);
        self.lines.push(c.to_string().repeat(self.columns()));
    }

    /// What it says, part by part.
    #[cfg(feature = "page")]
    pub(super) fn parts(self) -> Vec<Part> {
        self.parts
    }

    /// The text, ending in a newline.
    pub(super) fn text(self) -> String {
        self.lines.join("\n") + "\n"
    }
}

/// Each line of a text, wrapped where it is too long for the paper.
#[must_use]
pub fn paragraphs(text: &str, paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    for line in text.lines() {
        out.line(line);
    }
    out.text()
}

/// The first line starts with `first`, the others with so many blanks.
fn hanging(first: &str, text: &str, blanks: usize, columns: usize) -> Vec<String> {
    let (head, margin) = (wide(first), " ".repeat(blanks));
    if head <= blanks || head + LEAST_TEXT > columns {
        return wrap(text, first, columns);
    }
    // What fits beside the label is laid out first, and the rest below it.
    let all = words(text);
    let mut line = first.to_owned();
    let mut taken = 0;
    for word in &all {
        let gap = usize::from(taken > 0);
        if wide(&line) + gap + wide(word) > columns {
            break;
        }
        line.push_str(&" ".repeat(gap));
        line.push_str(word);
        taken += 1;
    }
    let mut lines = vec![printed(&line)];
    if taken < all.len() {
        lines.extend(fill(&all[taken..].join(" "), &margin, columns));
    }
    lines
}

/// The text in at least `width` columns, to the left.
pub(super) fn left(text: &str, width: usize) -> String {
    text.to_owned() + &" ".repeat(width.saturating_sub(wide(text)))
}

/// The text in at least `width` columns, to the right.
pub(super) fn right(text: &str, width: usize) -> String {
    " ".repeat(width.saturating_sub(wide(text))) + text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wraps_and_never_runs_over() {
        let lines = wrap("the fence is 2.4 m away and supercalifragilistic", "WATCH ", 20);
        assert_eq!(lines[0], "WATCH the fence is");
        assert!(lines.iter().all(|l| wide(l) <= 20), "{lines:?}");
        assert!(lines[1].starts_with("      2.4"));
        let letters: String = lines.concat().chars().filter(|c| !c.is_whitespace()).collect();
        assert_eq!(letters, "WATCHthefenceis2.4mawayandsupercalifragilistic");
    }

    #[test]
    fn numbers_keep_their_units() {
        assert_eq!(wrap("length 165.0 m ± 0.3 (95 %).", "", 14), ["length", "165.0 m ± 0.3", "(95 %)."]);
        assert_eq!(wrap("stand back 15 m, then out", "", 14), ["stand back", "15 m, then out"]);
        assert_eq!(wrap("about 165.0 m +/- 0.3 long", "", 15), ["about", "165.0 m +/- 0.3", "long"]);
        assert_eq!(wrap("a line 1 1/2 f R", "", 11), ["a line", "1 1/2 f R"]);
    }

    #[test]
    fn columns_are_counted_as_a_terminal_shows_them() {
        assert_eq!((wide("1½ m ± 3"), wide("東の塔"), wide("e\u{301}")), (8, 6, 1));
        assert_eq!(left("½ abc", 7), "½ abc  ");
        assert_eq!(right("東", 3), " 東");
        // A wide name breaks where it must and loses nothing.
        let lines = wrap("東の大きな給水塔の北側", "", 9);
        assert!(lines.iter().all(|l| wide(l) <= 9), "{lines:?}");
        assert_eq!(lines.concat(), "東の大きな給水塔の北側");
    }

    #[test]
    fn what_is_tied_stays_on_one_line() {
        assert_eq!(wrap("pocket\u{a0}2, arc\u{a0}1½", "", 13), ["pocket 2,", "arc 1½"]);
    }

    #[test]
    fn a_label_too_wide_stands_alone() {
        assert_eq!(
            wrap("about 4 m", "half-width Grandstand   ", 24),
            ["half-width Grandstand", "  about 4 m"]
        );
        assert_eq!(wrap("about 4 m", &" ".repeat(20), 24), ["    about 4 m"]);
    }

    #[test]
    fn a_label_may_hang_over_its_text() {
        let mut out = Sheet::new(Paper::new(24, false));
        out.hang("START  ", "level with the top of the arc, pocket\u{a0}2", 2);
        assert_eq!(out.text(), "START  level with the\n  top of the arc,\n  pocket 2\n");
    }
}
