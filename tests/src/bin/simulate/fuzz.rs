//! Fuzzes the readers for any number of runs.
//!
//! `simulate fuzz [--target csv] [--runs 20000] [--seed 1] [--most 10]`: one target, or all; how many inputs
//! for each; the seed, which decides the inputs; and after how many failures to stop.

use std::io::Write as _;

use ovalpeg_tests::Failure;
use ovalpeg_tests::fuzz::{self, Target};

/// What the command line asks for.
struct Asked {
    target: Option<String>,
    runs: usize,
    seed: u64,
    most: usize,
}

fn asked(arguments: &[&str]) -> Result<Asked, Failure> {
    let mut asked = Asked { target: None, runs: 20_000, seed: 1, most: 10 };
    for pair in arguments.chunks(2) {
        match *pair {
            ["--target", name] => asked.target = Some(name.into()),
            ["--runs", n] => asked.runs = n.parse()?,
            ["--seed", n] => asked.seed = n.parse()?,
            ["--most", n] => asked.most = n.parse()?,
            _ => {
                return Err(
                    "usage: simulate fuzz [--target NAME] [--runs 20000] [--seed 1] [--most 10]".into()
                );
            }
        }
    }
    Ok(asked)
}

pub(crate) fn run(arguments: &[&str]) -> Result<(), Failure> {
    let asked = asked(arguments)?;
    let targets = match &asked.target {
        Some(name) => vec![Target::find(name)?],
        None => Target::all()?,
    };
    // Print only where it panicked: the message is printed with the input.
    std::panic::set_hook(Box::new(|panic| {
        if let Some(at) = panic.location() {
            let _ = writeln!(std::io::stderr(), "panicked at {at}");
        }
    }));
    let mut out = std::io::stdout().lock();
    let mut failed = false;
    for target in targets {
        let start = std::time::Instant::now();
        let broken = fuzz::run(&target, asked.runs, asked.seed, asked.most)?;
        let (name, runs, seconds) = (target.name(), asked.runs, start.elapsed().as_secs());
        writeln!(out, "{name}: {} of {runs} inputs failed, in {seconds} s", broken.len())?;
        for b in &broken {
            failed = true;
            writeln!(out, "{b}\n")?;
        }
        out.flush()?;
    }
    if failed { Err("promises were broken".into()) } else { Ok(()) }
}
