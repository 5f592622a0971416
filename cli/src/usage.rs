//! The message for a command line that can't be read.

use clap::Parser as _;
use ovalpeg::units::print::for_terminal;

use crate::args::Cli;
use crate::output::note;

/// Prints what is wrong with the command line, or the help that was asked for, and returns the exit code.
pub(crate) fn code(e: &clap::Error) -> u8 {
    if e.use_stderr() {
        // Parse again with escaped arguments: the error is the same, but its message is safe for a terminal.
        let shown = std::env::args_os().map(|a| for_terminal(&a.to_string_lossy()));
        let again = Cli::try_parse_from(shown).err().filter(|again| again.kind() == e.kind());
        note(again.as_ref().unwrap_or(e).to_string().trim_end());
    } else {
        let _ = e.print();
    }
    u8::try_from(e.exit_code()).unwrap_or(2)
}
