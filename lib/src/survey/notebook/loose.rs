//! Rewrites looser forms of a notebook's lines into the standard form that the reader knows: `A - B` for
//! `A to B`, `=` or nothing for the colon, `L` and `R` for the sides, an offset without `at`, and decimal
//! commas. What is ambiguous stays as it is, and the reader refuses it.

use super::words::split_word;

/// A line in the standard form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Plain {
    pub(super) text: String,
    /// A decimal comma was read as a point.
    pub(super) commas: bool,
}

/// A word for a side of a base line: is it the left one? `None` for any other word.
pub(super) fn side(word: &str) -> Option<bool> {
    match word.to_lowercase().trim_end_matches('.') {
        "left" | "l" | "lt" | "lhs" => Some(true),
        "right" | "r" | "rt" | "rhs" => Some(false),
        _ => None,
    }
}

/// Rewrites a line into the standard form.
pub(super) fn plain(line: &str) -> Plain {
    let line = line.strip_prefix(['•', '*']).unwrap_or(line).trim_start();
    let place = ["at", "near"].iter().any(|w| {
        split_word(line, "is").is_some_and(|(_, what)| what.to_lowercase().starts_with(&format!("{w} ")))
    });
    if place {
        // Coordinates: a comma may separate the two numbers.
        return Plain { text: line.to_owned(), commas: false };
    }
    let (text, commas) = with_points(line);
    Plain { text: offset(&text).unwrap_or_else(|| tie(&text)), commas }
}

/// Replaces decimal commas by points: in `62,40` and `0,02`, but not in `1,234`, which may be thousands, nor
/// in `62,31 C`, where a temperature follows the comma. The second value says whether there were any.
fn with_points(line: &str) -> (String, bool) {
    let words: Vec<&str> = line.split(' ').collect();
    let mut commas = false;
    let out: Vec<String> = words
        .iter()
        .enumerate()
        .map(|(i, word)| {
            let next = words.get(i + 1).copied().unwrap_or("");
            let degrees = ["c", "°c", "c,", "°c,"].contains(&next.to_lowercase().as_str());
            match word.split_once(',') {
                Some((before, after)) if !degrees && is_decimal(before, after) => {
                    commas = true;
                    format!("{before}.{after}")
                }
                _ => (*word).to_owned(),
            }
        })
        .collect();
    (out.join(" "), commas)
}

/// Are these the parts of a number with a decimal comma, perhaps with a unit or punctuation after it?
fn is_decimal(before: &str, after: &str) -> bool {
    let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    let bare = before.strip_prefix('-').unwrap_or(before);
    let end = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
    let (decimals, rest) = after.split_at(end);
    let thousands = bare.len() == 1 && bare != "0" && decimals.len() == 3;
    digits(bare)
        && digits(decimals)
        && !thousands
        && ["", "m", ",", ":", ")", ";", "m,", "m:"].contains(&rest)
}

/// An offset such as `20.00 L 31.40` or `at 20.00, R31.40` in the standard form.
fn offset(line: &str) -> Option<String> {
    let (head, rest) = line.split_once(':').map_or((line, None), |(h, r)| (h, Some(r)));
    let mut words: Vec<&str> = head.split_whitespace().filter(|w| !["m", "m,"].contains(w)).collect();
    if words.first().is_some_and(|w| w.eq_ignore_ascii_case("at")) {
        words.remove(0);
    }
    let (along, more) = words.split_first()?;
    let along = along.trim_end_matches(',').trim_end_matches('m');
    along.parse::<f64>().ok()?;
    let (first, more) = more.split_first()?;
    // The side, by itself or joined to its number.
    let digit = first.find(|c: char| c.is_ascii_digit()).filter(|&at| at > 0);
    let (word, number) = first.split_at(digit.unwrap_or(first.len()));
    let side = if side(word)? { "left" } else { "right" };
    let tail: Vec<&str> =
        std::iter::once(number).filter(|n| !n.is_empty()).chain(more.iter().copied()).collect();
    let rest = rest.map(|r| format!(":{r}")).unwrap_or_default();
    Some(format!("at {along} {side} {}{rest}", tail.join(" ")))
}

/// A tie, or another line about two marks, in the standard form: with `to`, and a colon before the number.
fn tie(line: &str) -> String {
    let first = line.split_whitespace().next().unwrap_or("").to_lowercase();
    if ["tape", "laser", "with", "at"].contains(&first.as_str()) {
        return line.to_owned();
    }
    let (head, rest) = match line.split_once(':').or_else(|| line.split_once('=')) {
        Some((head, rest)) => (head.trim(), Some(rest.trim())),
        None => (line, None),
    };
    let head = with_to(head);
    match (rest, split_word(&head, "to")) {
        (Some(rest), _) => format!("{head}: {rest}"),
        (None, Some((_, to)))
            if split_word(&head, "is").is_none() && split_word(&head, "bears").is_none() =>
        {
            number_behind(&head, to).unwrap_or(head)
        }
        (None, _) => head,
    }
}

/// Rewrites `A - B` and `A → B` as `A to B`, where there is exactly one dash or arrow between two names.
fn with_to(head: &str) -> String {
    if split_word(head, "to").is_some() {
        return head.to_owned();
    }
    let lower = head.to_lowercase();
    if ["wing-wing", "goal-goal"].contains(&lower.as_str()) {
        return lower.replace('-', " to ");
    }
    let spaced = head.replace("->", " → ").replace(['–', '—'], " – ").replace('→', " → ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let marks: Vec<usize> = (0..words.len()).filter(|&i| ["-", "–", "→"].contains(&words[i])).collect();
    match marks.as_slice() {
        [one] if *one > 0 && one + 1 < words.len() => {
            format!("{} to {}", words[..*one].join(" "), words[one + 1..].join(" "))
        }
        _ => head.to_owned(),
    }
}

/// Puts a colon before the number at the end of a tie, if the number is not part of the second
/// mark's name: it has decimals or a unit.
fn number_behind(head: &str, to: &str) -> Option<String> {
    let words: Vec<&str> = to.split_whitespace().collect();
    let at = match words.as_slice() {
        [_, .., number, "m"] if number.parse::<f64>().is_ok() => words.len() - 2,
        [_, .., number] => {
            let bare = number.trim_end_matches('m');
            let sure = bare.contains('.') || bare.len() < number.len();
            (sure && bare.parse::<f64>().is_ok()).then_some(words.len() - 1)?
        }
        _ => return None,
    };
    let number = words.get(at..)?.join(" ");
    let before = head.trim_end().strip_suffix(words.last()?)?;
    let before = if words.len() - at == 2 { before.trim_end().strip_suffix(words.get(at)?)? } else { before };
    Some(format!("{}: {number}", before.trim_end()))
}

/// First words of texts that are not remarks: units, and words that start another reading.
const NO_REMARKS: &[&str] = &[
    "ft", "foot", "feet", "yd", "yds", "yard", "yards", "in", "inch", "inches", "mm", "cm", "dm", "km",
    "chain", "chains", "link", "links", "pace", "paces", "step", "steps", "or", "plus", "minus", "less",
    "sd", "with", "rise", "left", "right", "l", "r", "c",
];

/// Is this a remark: words without numbers, which do not start with a unit?
pub(super) fn is_remark(text: &str) -> bool {
    let allowed = |c: char| c.is_alphabetic() || c.is_whitespace() || ".,!?'\"()[]-–/&".contains(c);
    let words = || text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    text.chars().all(allowed)
        && words().next().is_some()
        && !words().next().is_some_and(|w| NO_REMARKS.contains(&w.to_lowercase().as_str()))
}

/// The number of a reading and the remark after it, as in `62.40 m (checked)`.
pub(super) fn reading_and_remark(text: &str) -> (&str, &str) {
    let text = text.trim();
    let end = text.find(|c: char| c.is_whitespace() || c == '(' || c == '[').unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    let rest = rest.trim_start();
    let unit = ["metres", "meters", "metre", "meter", "m"]
        .into_iter()
        .find(|u| {
            rest.get(..u.len()).is_some_and(|r| r.eq_ignore_ascii_case(u))
                && !rest[u.len()..].starts_with(char::is_alphanumeric)
        })
        .map_or(0, str::len);
    (number, rest[unit..].trim_start_matches('.').trim_start())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn looser_lines_become_the_one_writing() {
        for (loose, want) in [
            ("wing - wing: 131.20", "wing to wing: 131.20"),
            ("wing–wing 131.20", "wing to wing: 131.20"),
            ("goal-goal: 162.4", "goal to goal: 162.4"),
            ("peg 7 – NE goal post: 62.40", "peg 7 to NE goal post: 62.40"),
            ("peg 7 -> peg 8 = 62,40 m", "peg 7 to peg 8: 62.40 m"),
            ("peg 7 → peg 8 62.40 m", "peg 7 to peg 8: 62.40 m"),
            ("peg 7 to peg 8 62 m", "peg 7 to peg 8: 62 m"),
            ("base NW post — SW post", "base NW post to SW post"),
            ("• A to B: 5.0", "A to B: 5.0"),
            ("20.00 L 31.40", "at 20.00 left 31.40"),
            ("at 20,5 m R 31,40 m: gate", "at 20.5 right 31.40: gate"),
            ("at 20.00, r31.40", "at 20.00 right 31.40"),
            ("a to b: 30,25, sd 0,01, 31 C", "a to b: 30.25, sd 0.01, 31 C"),
        ] {
            assert_eq!(plain(loose).text, want, "{loose}");
        }
    }

    #[test]
    fn what_is_the_one_writing_or_may_be_two_things_stays() {
        for same in [
            "peg 7 to peg 8",
            "NE-goal post to peg 7: 62.40",
            "a to b: 62,31 C",
            "a to b: 1,234",
            "peg 7 is at 10,20",
            "peg 7 is near -10, 20",
            "a - b - c: 5",
            "tape A: 50 m, class III",
            "at 20.00 left 31.40: gate corner, sd 0.02",
            "peg 9 is left of peg 7 to peg 8",
            "peg 7 to peg 8 bears 347.5",
            "peg 7 to peg 9",
        ] {
            assert_eq!(plain(same), Plain { text: same.to_owned(), commas: false }, "{same}");
        }
    }

    #[test]
    fn remarks_are_words_and_nothing_that_may_be_measured() {
        for (text, number, remark) in [
            ("62.40 (checked)", "62.40", "(checked)"),
            ("62.40 m by the gate", "62.40", "by the gate"),
            ("62.40m", "62.40m", ""),
            ("62.40 metres", "62.40", ""),
            ("62.40 more or so", "62.40", "more or so"),
        ] {
            assert_eq!(reading_and_remark(text), (number, remark), "{text}");
            assert!(remark.is_empty() || is_remark(remark), "{text}");
        }
        for no in ["ft", "or 62.70", "± 0.02", "+ 3", "(2nd)", "chains", "(in)", ""] {
            assert!(!is_remark(no), "{no}");
        }
    }
}
