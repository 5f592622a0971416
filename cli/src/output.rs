//! The only place that writes to the terminal.

use std::io::{self, Write};

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
