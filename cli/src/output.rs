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

use clap::Parser as _;
use ovalpeg::units::print::for_terminal;

use crate::args::Cli;

/// Writes to standard output.
pub(crate) fn print(text: &str) -> anyhow::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(())
}

/// Writes lines to standard error; a closed one is nobody's loss. What arguments and files brought
/// into them is shown and not obeyed: this is the one way to standard error.
pub(crate) fn note(text: &str) {
    let shown: Vec<String> = text.lines().map(for_terminal).collect();
    let _ = writeln!(io::stderr().lock(), "{}", shown.join("\n"));
}

/// `error:` and why, each cause on lines of its own. Further lines are set in, so that none of what an
/// argument brought can stand for a message of the program.
pub(crate) fn error(e: &anyhow::Error) {
    let mut text = String::from("error: ");
    let mut first = true;
    for cause in e.chain() {
        for line in cause.to_string().lines() {
            if !std::mem::take(&mut first) {
                text.push_str("\n  ");
            }
            text.push_str(line);
        }
    }
    note(&text);
}

/// What is wrong with the command line as typed, or the help that was asked for. The exit code.
pub(crate) fn usage(e: &clap::Error) -> u8 {
    if e.use_stderr() {
        // Asked again with the arguments as they are shown, the same is wrong with them.
        let shown = std::env::args_os().map(|a| for_terminal(&a.to_string_lossy()));
        let again = Cli::try_parse_from(shown).err().filter(|again| again.kind() == e.kind());
        note(again.as_ref().unwrap_or(e).to_string().trim_end());
    } else {
        let _ = e.print();
    }
    u8::try_from(e.exit_code()).unwrap_or(2)
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
