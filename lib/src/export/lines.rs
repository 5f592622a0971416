//! Lines of text: wrapping and columns, counted in characters.

/// Wraps text to `width` columns; the first line starts with `first`, the others
/// with blanks as wide.
pub(super) fn wrap(text: &str, first: &str, width: usize) -> Vec<String> {
    let indent = first.chars().count();
    let mut lines = Vec::new();
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text.split_whitespace() {
        let mut word = word;
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
    fn columns() {
        assert_eq!(left("½ abc", 3), "½ a");
        assert_eq!(right("7", 3), "  7");
    }
}
