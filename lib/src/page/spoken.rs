//! A title or a description, made safe to hand to a reader's ear or to a window's frame.

use super::text::{acts, number_of};

/// Characters that no XML may hold, not even escaped (Extensible Markup Language 1.0, *Char*), beyond those that act.
fn no_xml(c: char) -> bool {
    matches!(c, '\u{fffe}' | '\u{ffff}')
}

/// A text for a title, a bookmark or a description: what acts without being seen (controls, bidirectional marks,
/// joiners) by its number, `[U+202E]`, ends of lines and tabs as spaces, and all else as it is.
///
/// # Examples
/// ```
/// assert_eq!(ovalpeg::page::spoken("a\u{202e}b\nc 中"), "a[U+202E]b c 中");
/// ```
#[must_use]
pub fn spoken(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' => out.push(' '),
            c if acts(c) || no_xml(c) => {
                out.push('[');
                out.push_str(&number_of(c));
                out.push(']');
            }
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_in_a_title_acts_on_what_is_about_it() {
        for c in [
            '\u{202e}', '\u{2066}', '\u{200f}', '\u{61c}', '\0', '\u{7f}', '\u{feff}', '\u{fffe}', '\u{ffff}',
        ] {
            let shown = spoken(&format!("a{c}b"));
            assert_eq!(shown, format!("a[U+{:04X}]b", u32::from(c)));
        }
        assert_eq!(spoken("<b>\"a\" & שלום 中 😀"), "<b>\"a\" & שלום 中 😀");
    }
}
