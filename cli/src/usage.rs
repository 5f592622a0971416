//! What is said of a command line that can't be read.

use clap::Parser as _;
use ovalpeg::units::print::for_terminal;

use crate::args::Cli;
use crate::output::note;

/// What is wrong with the command line as typed, or the help that was asked for. The exit code.
pub(crate) fn code(e: &clap::Error) -> u8 {
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
