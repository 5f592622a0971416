//! The only place that writes to the terminal, and that asks how wide it is.

use std::io::{self, IsTerminal as _, Write};

use ovalpeg::export::Paper;

/// How many columns text has: as asked for, else `COLUMNS`, else the terminal's. `None`: nothing says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Width(Option<usize>);

impl Width {
    /// `asked`: the option, where it was given.
    pub(crate) fn found(asked: Option<u16>) -> Self {
        let said = || std::env::var("COLUMNS").ok();
        let terminal = || {
            let out = io::stdout();
            out.is_terminal().then(|| terminal_size::terminal_size_of(&out)).flatten().map(|(w, _)| w.0)
        };
        Self(first_of(asked, said, terminal))
    }

    /// The paper for text that has so many columns where nothing says otherwise.
    pub(crate) fn paper(self, otherwise: usize, ascii: bool) -> Paper {
        Paper::new(self.0.unwrap_or(otherwise), ascii)
    }

    /// Under so many columns, for sure?
    pub(crate) fn is_under(self, columns: usize) -> bool {
        self.0.is_some_and(|w| w < columns)
    }
}

/// The first that says a number of columns; what is no number, or nought, says nothing.
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

/// Writes to standard output.
pub(crate) fn print(text: &str) -> anyhow::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(())
}

/// Writes a line to standard error; a closed one is nobody's loss.
pub(crate) fn note(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{text}");
}

/// `error:` and why, each cause on lines of its own.
pub(crate) fn error(e: &anyhow::Error) {
    let mut text = format!("error: {e}");
    for cause in e.chain().skip(1) {
        for line in cause.to_string().lines() {
            text.push_str("\n  ");
            text.push_str(line);
        }
    }
    note(&text);
}

pub(crate) fn is_broken_pipe(e: &anyhow::Error) -> bool {
    e.chain().any(|c| c.downcast_ref::<io::Error>().is_some_and(|e| e.kind() == io::ErrorKind::BrokenPipe))
}

#[cfg(test)]
mod tests {
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
}
