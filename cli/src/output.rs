//! The only place that writes to the terminal, or asks for its width. Control characters from files and
//! arguments are escaped, so that a terminal shows them and never obeys them.

use std::error::Error;
use std::io::{self, IsTerminal as _, Write};

use ovalpeg::export::Paper;
use ovalpeg::units::Refused;
use ovalpeg::units::print::for_terminal;

use crate::words::{Unfitted, worded};

/// How many columns text has: by the option, or else `COLUMNS`, or else the terminal. `None` where none of
/// them says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Width(Option<usize>);

impl Width {
    /// Finds the width; `asked` is the option, where it was given.
    pub(crate) fn found(asked: Option<u16>) -> Self {
        let said = || std::env::var("COLUMNS").ok();
        let terminal = || {
            let out = io::stdout();
            out.is_terminal().then(|| terminal_size::terminal_size_of(&out)).flatten().map(|(w, _)| w.0)
        };
        Self(first_of(asked, said, terminal))
    }

    /// The paper for a text, with `otherwise` columns where the width is not known.
    pub(crate) fn paper(self, otherwise: usize, ascii: bool) -> Paper {
        Paper::new(self.0.unwrap_or(otherwise), ascii)
    }

    /// Is the width known, and under this many columns?
    pub(crate) fn is_under(self, columns: usize) -> bool {
        self.0.is_some_and(|w| w < columns)
    }
}

/// The first of the three that gives a number of columns. Anything that is not a positive number is passed
/// over.
fn first_of(
    asked: Option<u16>,
    said: impl FnOnce() -> Option<String>,
    terminal: impl FnOnce() -> Option<u16>,
) -> Option<usize> {
    asked
        .or_else(|| said().and_then(|text| text.trim().parse().ok()).filter(|n| *n > 0))
        .or_else(|| terminal().filter(|n| *n > 0))
        .map(usize::from)
}

/// A text with its lines kept, and control characters within a line escaped. Exporters escape their input
/// already, new lines included; this is a second line of defence.
fn shown(text: &str) -> String {
    text.split('\n').map(for_terminal).collect::<Vec<_>>().join("\n")
}

/// Writes to standard output.
pub(crate) fn print(text: &str) -> anyhow::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(shown(text).as_bytes())?;
    out.flush()?;
    Ok(())
}

/// Writes lines to standard error; failure is ignored.
pub(crate) fn note(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{}", shown(text));
}

/// Writes `error:` and the reasons, each cause on lines of its own.
pub(crate) fn error(e: &anyhow::Error) {
    note(&all_lines(e));
}

fn all_lines(e: &anyhow::Error) -> String {
    let lines: Vec<String> = e.chain().flat_map(lines).collect();
    format!("error: {}", lines.join("\n  "))
}

/// The lines of one cause. Only a list of problems has several. In any other message a new line comes from
/// quoted input, and is escaped so that it can't look like a line of ours.
fn lines(cause: &(dyn Error + 'static)) -> Vec<String> {
    if let Some(refused) = cause.downcast_ref::<Refused>() {
        return refused.problems().iter().map(|p| worded(p).to_string()).collect();
    }
    if let Some(unfitted) = cause.downcast_ref::<Unfitted>() {
        return unfitted.lines().iter().map(|l| for_terminal(l)).collect();
    }
    vec![for_terminal(&cause.to_string())]
}

pub(crate) fn is_broken_pipe(e: &anyhow::Error) -> bool {
    e.chain().any(|c| c.downcast_ref::<io::Error>().is_some_and(|e| e.kind() == io::ErrorKind::BrokenPipe))
}

#[cfg(test)]
mod tests {
    use anyhow::anyhow;
    use ovalpeg::units::Problem;

    use super::*;

    #[test]
    fn columns_are_as_asked_else_as_said_else_the_terminals() {
        let of =
            |asked, said: Option<&str>, terminal| first_of(asked, || said.map(str::to_owned), || terminal);
        assert_eq!(of(Some(30), Some("60"), Some(80)), Some(30));
        assert_eq!(of(None, Some("60"), Some(80)), Some(60));
        assert_eq!(of(None, None, Some(80)), Some(80));
        assert_eq!(of(None, None, None), None);
        for nothing in ["", "wide", "0", "-3"] {
            assert_eq!(of(None, Some(nothing), Some(80)), Some(80), "{nothing}");
        }
        assert_eq!(of(None, None, Some(0)), None);
    }

    #[test]
    fn text_has_its_own_columns_where_nothing_says() {
        assert_eq!(Width(None).paper(49, false).columns(), 49);
        assert_eq!(Width(Some(80)).paper(49, false).columns(), 80);
        assert!(Width(Some(48)).is_under(49) && !Width(Some(49)).is_under(49) && !Width(None).is_under(49));
    }

    #[test]
    fn what_a_message_quotes_is_one_line_and_never_obeyed() {
        let e = anyhow!("no file 'a\u{1b}[2J\nerror: all is well\u{202e}'").context("reading \u{9b}31m");
        let text = all_lines(&e);
        let want = "error: reading \\u{9b}31m\n  no file 'a\\u{1b}[2J\\u{a}error: all is well\\u{202e}'";
        assert_eq!(text, want);
    }

    #[test]
    fn a_list_of_problems_keeps_its_lines() {
        let list = Refused::new(vec![Problem::new("one\ntwo").at("line 1"), Problem::new("three")]);
        let text = all_lines(&anyhow::Error::new(list).context("it can't be used"));
        assert_eq!(text, "error: it can't be used\n  line 1: one\\u{a}two\n  three");
    }
}
