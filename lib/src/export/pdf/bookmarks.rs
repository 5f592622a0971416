//! The list of what is where, beside the pages.

use krilla::outline::{Outline, OutlineNode};

use super::links::Spot;

/// A line of the list.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bookmark {
    /// How deep it lies: 0 for a page.
    pub(super) level: u16,
    pub(super) title: String,
    pub(super) spot: Spot,
}

/// The tree of a list: each line lies in the last one before it that is less deep.
pub(super) fn outline(list: Vec<Bookmark>) -> Outline {
    let mut outline = Outline::new();
    // The branch that is being grown, its stem first.
    let mut branch: Vec<(u16, OutlineNode)> = Vec::new();
    for Bookmark { level, title, spot } in list {
        fold(&mut branch, level, &mut outline);
        // Pages lie open, and what is in them folded.
        branch.push((level, OutlineNode::new(title, spot.destination()).with_open(level == 0)));
    }
    fold(&mut branch, 0, &mut outline);
    outline
}

/// Puts what is as deep as this or deeper into what holds it.
fn fold(branch: &mut Vec<(u16, OutlineNode)>, level: u16, outline: &mut Outline) {
    while let Some((_, node)) = branch.pop_if(|(deep, _)| *deep >= level) {
        match branch.last_mut() {
            Some((_, stem)) => stem.push_child(node),
            None => outline.push_child(node),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_line_lies_in_the_last_that_is_less_deep() {
        let line = |(level, title): (u16, &str)| Bookmark {
            level,
            title: title.to_owned(),
            spot: Spot { page: 0, down_mm: 0.0 },
        };
        let list = [(0, "front"), (2, "WATCH"), (1, "FACE"), (2, "silo"), (0, "back"), (1, "plan")].map(line);
        let tree = format!("{:?}", outline(list.into()));
        let mut depth = 0_i32;
        let mut seen = Vec::new();
        for (i, c) in tree.char_indices() {
            depth += i32::from(c == '[') - i32::from(c == ']');
            if let Some(rest) = tree[i..].strip_prefix("text: \"") {
                seen.push((depth, rest.split('"').next().unwrap_or_default()));
            }
        }
        // The library writes what lies in a line before the line itself.
        let want = [(2, "WATCH"), (3, "silo"), (2, "FACE"), (1, "front"), (2, "plan"), (1, "back")];
        assert_eq!(seen, want, "{tree}");
    }
}
