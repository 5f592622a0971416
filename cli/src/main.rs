//! The program `ovalpeg`: arguments, files, exit codes. The library computes and lays out everything that it
//! prints.

mod args;
mod commands;
mod output;
mod spot_args;
mod store;
mod survey_args;
mod usage;
mod words;

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    let cli = match args::Cli::try_parse() {
        Ok(cli) => cli,
        Err(e) => return ExitCode::from(usage::code(&e)),
    };
    match commands::run(cli) {
        Ok(commands::Outcome::Done) => ExitCode::SUCCESS,
        Ok(commands::Outcome::Findings) => ExitCode::from(1),
        // A reader that closed the pipe early (`| head`) has what it wanted.
        Err(e) if output::is_broken_pipe(&e) => ExitCode::SUCCESS,
        Err(e) => {
            output::error(&e);
            ExitCode::from(if e.downcast_ref::<store::Wrote>().is_some() { 3 } else { 2 })
        }
    }
}
