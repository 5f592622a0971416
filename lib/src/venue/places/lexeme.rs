//! Cuts a text into words and numbers, however it is punctuated.

/// A word, a number, or a hyphen between numbers.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Lexeme {
    /// A word in lower case, and as it was written.
    Word(String, String),
    /// A number, and as it was written.
    Number(f64, String),
    /// A hyphen between two numbers.
    Dash,
}

impl Lexeme {
    /// As it was written.
    pub(super) fn written(&self) -> &str {
        match self {
            Self::Word(_, w) | Self::Number(_, w) => w,
            Self::Dash => "-",
        }
    }

    /// Is it the same word or number, ignoring case?
    pub(super) fn same(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Word(a, _), Self::Word(b, _)) => a == b,
            (Self::Number(a, _), Self::Number(b, _)) => a.to_bits() == b.to_bits(),
            (Self::Dash, Self::Dash) => true,
            _ => false,
        }
    }
}

/// Lower case, with `Straße` and `STRASSE` the same. Upper case would do that too, but its table takes 15 kB of a page.
fn small(text: &str) -> String {
    text.to_lowercase().replace('ß', "ss")
}

fn is_dash(c: char) -> bool {
    matches!(c, '-' | '–' | '−')
}

/// Punctuation that only separates words.
fn is_mark(c: char) -> bool {
    c.is_whitespace() || matches!(c, ',' | '/' | ';' | ':' | '(' | ')' | '.' | '\'' | '’' | '"' | '&' | '+')
}

/// A number at the start of the text, and how many characters it takes.
fn number(c: &[char]) -> Option<(f64, usize)> {
    let digits = |from: usize| c[from..].iter().take_while(|c| c.is_ascii_digit()).count();
    let sign = usize::from(c.first().is_some_and(|c| is_dash(*c)));
    let mut n = sign + digits(sign);
    let whole = n > sign;
    if c.get(n) == Some(&'.') && digits(n + 1) > 0 {
        n += 1 + digits(n + 1);
    }
    let half = |at: usize| c.get(at) == Some(&'½');
    if n == sign {
        return half(n).then_some((if sign > 0 { -0.5 } else { 0.5 }, n + 1));
    }
    let text: String = c[sign..n].iter().collect();
    let mut value: f64 = text.parse().ok().filter(|v: &f64| v.is_finite())?;
    // `1½`; in plain ASCII `1/2` and `1 1/2`.
    if half(n) {
        (value, n) = (value + 0.5, n + 1);
    } else if whole && c[n..].starts_with(&[' ', '1', '/', '2']) && !ends_in_digit(c, n + 4) {
        (value, n) = (value + 0.5, n + 4);
    } else if text == "1" && c[n..].starts_with(&['/', '2']) && !ends_in_digit(c, n + 2) {
        (value, n) = (0.5, n + 2);
    }
    Some((if sign > 0 { -value } else { value }, n))
}

fn ends_in_digit(c: &[char], at: usize) -> bool {
    c.get(at).is_some_and(char::is_ascii_digit)
}

/// The length of a ± (or `+/-`) and its number at the start of the text: an uncertainty is not part of a
/// place.
fn doubt(c: &[char]) -> Option<usize> {
    let sign = match c {
        ['±', ..] => 1,
        ['+', '/', '-', ..] => 3,
        _ => return None,
    };
    let gap = c[sign..].iter().take_while(|c| c.is_whitespace()).count();
    Some(sign + gap + number(&c[sign + gap..]).map_or(0, |(_, n)| n))
}

/// Is the dash here between two numbers, as in `20-34` and `20 - 34`?
fn joins(c: &[char], at: usize) -> bool {
    let close = c[at - 1].is_ascii_digit() && ends_in_digit(c, at + 1);
    let apart = c[at - 1] == ' ' && c.get(at + 1) == Some(&' ') && ends_in_digit(c, at + 2);
    close || apart
}

/// The words and numbers of a text, in order.
pub(super) fn lexemes(text: &str) -> Vec<Lexeme> {
    let c: Vec<char> = text.chars().collect();
    let mut out = Vec::new();
    let mut i = 0;
    // Each pass takes at least one character.
    while i < c.len() {
        if let Some(n) = doubt(&c[i..]) {
            i += n;
        } else if is_dash(c[i]) && matches!(out.last(), Some(Lexeme::Number(..))) && joins(&c, i) {
            out.push(Lexeme::Dash);
            i += 1;
        } else if let Some((value, n)) = number(&c[i..]).filter(|_| i == 0 || !c[i - 1].is_alphabetic()) {
            out.push(Lexeme::Number(value, c[i..i + n].iter().collect()));
            i += n;
        } else if c[i].is_alphanumeric() {
            let n = c[i..].iter().take_while(|c| c.is_alphanumeric()).count();
            let word: String = c[i..i + n].iter().collect();
            out.push(Lexeme::Word(small(&word), word));
            i += n;
            // The possessive is ignored: `square's` is `square`.
            if matches!(c.get(i), Some('\'' | '’'))
                && matches!(c.get(i + 1), Some('s' | 'S'))
                && !c.get(i + 2).is_some_and(|c| c.is_alphanumeric())
            {
                i += 2;
            }
        } else {
            if !is_mark(c[i]) && !is_dash(c[i]) {
                out.push(Lexeme::Word(small(&c[i].to_string()), c[i].to_string()));
            }
            i += 1;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> Vec<String> {
        lexemes(text)
            .iter()
            .map(|l| match l {
                Lexeme::Word(w, _) => w.clone(),
                Lexeme::Number(n, _) => format!("{n}"),
                Lexeme::Dash => "-".to_owned(),
            })
            .collect()
    }

    #[test]
    fn punctuation_and_capitals_say_nothing() {
        for text in ["SILO/ROAD, pocket", "silo - road: Pocket", " Silo,Road , POCKET.", "Silo-Road (pocket)"]
        {
            assert_eq!(shown(text), ["silo", "road", "pocket"], "{text}");
        }
        assert_eq!(shown("the square's side"), ["the", "square", "side"]);
        assert_eq!(shown("STRASSE"), shown("Straße"));
    }

    #[test]
    fn numbers_in_every_dress() {
        assert_eq!(shown("20-34 m, 25m"), ["20", "-", "34", "m", "25", "m"]);
        assert_eq!(shown("20 - 34 m"), ["20", "-", "34", "m"]);
        assert_eq!(shown("½ m, 1½ m, 0.5 m"), ["0.5", "m", "1.5", "m", "0.5", "m"]);
        assert_eq!(shown("1/2 m, 1 1/2 m"), ["0.5", "m", "1.5", "m"]);
        assert_eq!(shown("left,A,-5"), ["left", "a", "-5"]);
        // A ± is not part of a place.
        assert_eq!(shown("71 m ± 1, 1.2 m +/- 0.1 outside"), ["71", "m", "1.2", "m", "outside"]);
        assert_eq!(shown("20/30"), ["20", "30"]);
    }

    #[test]
    fn any_text_at_all_comes_to_an_end() {
        for text in ["", "±", "-", "½", "\u{202e}", "+/-", "1/2", "a\u{0}b", "'s", "9999999999999999999999"]
        {
            assert!(lexemes(text).len() <= text.chars().count(), "{text}");
        }
    }
}
