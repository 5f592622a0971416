//! Marks and readings in words. Names are as in the notebook, unescaped: the caller
//! escapes the whole sentence before it is printed.

use super::result::{Blunder, Observed};
use crate::survey::{Notebook, Quantity};
use crate::units::print::fixed;

/// A mark's name.
pub(super) fn name(book: &Notebook, mark: usize) -> String {
    book.marks[mark].name.clone()
}

/// A name in lower case without blanks, with characters that look alike replaced by one of them.
fn plain(name: &str) -> Vec<char> {
    let same = |c: char| match c {
        'o' => '0',
        'l' | 'i' | '|' => '1',
        other => other,
    };
    name.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).map(same).collect()
}

/// Do two names differ by one letter, added, missing or changed? A different digit means another mark: `peg
/// 1` is not a slip for `peg 2`.
fn one_letter(a: &[char], b: &[char]) -> bool {
    let head = a.iter().zip(b).take_while(|(x, y)| x == y).count();
    let (a, b) = (&a[head..], &b[head..]);
    let tail = a.iter().rev().zip(b.iter().rev()).take_while(|(x, y)| x == y).count();
    let (a, b) = (&a[..a.len() - tail], &b[..b.len() - tail]);
    a.len() <= 1 && b.len() <= 1 && a.iter().chain(b).all(|c| !c.is_ascii_digit())
}

/// Marks whose names look like this one's; those that differ only in blanks and case come first.
pub(super) fn alike(book: &Notebook, mark: usize) -> Vec<usize> {
    let this = plain(&book.marks[mark].name);
    let others = || (0..book.marks.len()).filter(|&m| m != mark);
    let same = others().filter(|&m| plain(&book.marks[m].name) == this);
    // Among names of one or two letters, almost all differ by one.
    let near = others().filter(|&m| {
        let other = plain(&book.marks[m].name);
        other != this && this.len().min(other.len()) >= 3 && one_letter(&this, &other)
    });
    same.chain(near).collect()
}

/// Another mark's name that this one may be a slip for.
pub(super) fn meant(book: &Notebook, mark: usize) -> Option<String> {
    alike(book, mark).first().map(|&m| name(book, m))
}

/// A reading: `the 62.40 m from NE goal post to peg 7`.
pub(super) fn reading(book: &Notebook, what: Observed) -> String {
    let mark = |m: usize| book.marks.get(m).map_or("?", |m| m.name.as_str());
    match what {
        Observed::Measure(i) => {
            let Some(m) = book.measures.get(i) else { return "?".to_owned() };
            let read = fixed(m.read_m, 2);
            match m.quantity {
                Quantity::Distance { from, to } => {
                    format!("the {read} m from {} to {}", mark(from), mark(to))
                }
                Quantity::Chainage { base: [a, b], mark: p } => {
                    format!("the chainage {read} m of {} along {} to {}", mark(p), mark(a), mark(b))
                }
                Quantity::Offset { base: [a, b], mark: p } => {
                    let side = if m.read_m < 0.0 { "right" } else { "left" };
                    let size = fixed(m.read_m.abs(), 2);
                    format!(
                        "the offset {size} m {side} of {} from the line {} to {}",
                        mark(p),
                        mark(a),
                        mark(b)
                    )
                }
                Quantity::GoalToGoal => format!("the {read} m from goal to goal"),
                Quantity::WingToWing => format!("the {read} m from wing to wing"),
            }
        }
        Observed::East(m) => format!("the x coordinate of {}", mark(m)),
        Observed::North(m) => format!("the y coordinate of {}", mark(m)),
        Observed::Scale(t) => {
            format!("the scale of {}", book.tapes.get(t).map_or("?", |t| t.name.as_str()))
        }
    }
}

/// A blunder in a sentence: `the 62.40 m from NE goal post to peg 7 is 0.50 m too long`. Names are
/// as the notebook has them; pass the sentence through
/// [`for_terminal`](crate::units::print::for_terminal) before it is printed.
#[must_use]
pub fn blunder_in_words(book: &Notebook, blunder: &Blunder) -> String {
    let size = blunder.too_long_m;
    let offset = match blunder.what {
        Observed::Measure(i) => {
            book.measures.get(i).is_some_and(|m| matches!(m.quantity, Quantity::Offset { .. }))
        }
        _ => false,
    };
    let way = match blunder.what {
        _ if offset => ["too far left", "too far right"],
        Observed::Measure(_) => ["too long", "too short"],
        Observed::East(_) | Observed::North(_) | Observed::Scale(_) => ["too large", "too small"],
    };
    let way = way[usize::from(size < 0.0)];
    let wrong = match blunder.what {
        Observed::Scale(_) => format!("{} mm in 100 m {way}", fixed(size.abs() * 1e5, 0)),
        _ => format!("{} m {way}", fixed(size.abs(), 2)),
    };
    let first = format!("{} is {wrong}", reading(book, blunder.what));
    if blunder.alike.is_empty() {
        return first;
    }
    // A few are enough to check; in a weak network the list may hold all readings.
    const MOST: usize = 3;
    let mut others: Vec<String> = blunder.alike.iter().take(MOST).map(|&o| reading(book, o)).collect();
    if blunder.alike.len() > MOST {
        others.push(format!("{} more", blunder.alike.len() - MOST));
    }
    format!(
        "{first}; or it is {}, which can't be told from it: tape them again, or add ties",
        others.join(", or ")
    )
}

#[cfg(test)]
mod tests {
    use super::super::support::{book, chainage, distance, offset};
    use super::*;

    #[test]
    fn says_what_is_wrong_and_by_how_much() {
        let mut b = book(3);
        b.marks[0].name = "NE goal post".into();
        b.marks[2].name = "peg 7".into();
        b.measures = vec![distance(0, 2, 62.4), offset([0, 1], 2, -4.1), chainage([0, 1], 2, 31.2)];
        let mut blunder = Blunder {
            what: Observed::Measure(0),
            read_m: 62.4,
            too_long_m: 0.5,
            statistic: -9.0,
            critical: 3.29,
            alike: vec![],
        };
        assert_eq!(
            blunder_in_words(&b, &blunder),
            "the 62.40 m from NE goal post to peg 7 is 0.50 m too long"
        );
        blunder.what = Observed::Measure(1);
        blunder.too_long_m = -1.0;
        assert_eq!(
            blunder_in_words(&b, &blunder),
            "the offset 4.10 m right of peg 7 from the line NE goal post to m1 is 1.00 m too far right"
        );
        blunder.alike = vec![Observed::Measure(2)];
        assert!(
            blunder_in_words(&b, &blunder)
                .contains("or it is the chainage 31.20 m of peg 7 along NE goal post to m1, which can't")
        );
    }

    #[test]
    fn names_that_look_alike() {
        let mut b = book(2);
        for (one, other, want) in [
            ("peg4", "peg 4", true),
            ("Peg l", "Peg 1", true),
            ("peg 1O", "peg 10", true),
            ("pgg 4", "peg 4", true),
            ("pe 4", "peg 4", true),
            ("peg 4", "peg 5", false),
            ("peg 4", "peg 14", false),
            ("A", "B", false),
            ("centre", "peg 4", false),
        ] {
            b.marks[0].name = one.into();
            b.marks[1].name = other.into();
            assert_eq!(meant(&b, 0).is_some(), want, "{one} {other}");
        }
    }
}
