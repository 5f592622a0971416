//! Fuzzing: every reader gets good files that were damaged in thousands of ways, and must read them or refuse
//! them with a message.
//!
//! A run is a number of inputs from a seed, the same on every machine. `mutate` makes the inputs from the
//! files in `tests/fuzz/<target>`, good ones and bad ones.

mod files;
mod kmz;
mod mutate;
mod reader;
mod target;
mod venue;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

pub use mutate::Mutator;
pub use target::Target;

use ovalpeg::units::print::cut;

use crate::Failure;
use crate::random::Random;

/// The longest time that an input may take: a hundred times that of a slow input, so that a busy machine
/// causes no failure.
const LONGEST: Duration = Duration::from_secs(20);
/// How many characters of a failing input are shown.
const SHOWN: usize = 2_000;
/// The most steps in shortening a failing input.
const SHORTENED: usize = 2_000;

/// An input that failed.
#[derive(Debug, Clone)]
pub struct Broken {
    /// Which of the run's inputs it is.
    pub number: usize,
    /// The input, as short as it could be made.
    pub input: Vec<u8>,
    /// What is wrong.
    pub why: String,
}

/// What is wrong with how a target handles an input, if anything: a panic, too long a time, or a broken
/// promise of the target.
#[must_use]
pub fn trouble(target: &Target, input: &[u8]) -> Option<String> {
    let start = Instant::now();
    let held = catch_unwind(AssertUnwindSafe(|| target.holds(input)));
    let took = start.elapsed();
    match held {
        Err(panic) => {
            let said = panic.downcast_ref::<String>().map(String::as_str);
            let said = said.or_else(|| panic.downcast_ref::<&str>().copied());
            Some(format!("it panics: {}", said.unwrap_or("with no words")))
        }
        Ok(Err(why)) => Some(why),
        Ok(Ok(())) if took > LONGEST => Some(format!("it takes {} s", took.as_secs())),
        Ok(Ok(())) => None,
    }
}

impl std::fmt::Display for Broken {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        writeln!(f, "input {}: {}", self.number, self.why)?;
        write!(f, "{} bytes: {}", self.input.len(), cut(&String::from_utf8_lossy(&self.input), SHOWN))
    }
}

/// Gives a target its seeds, and then `runs` inputs made from them. Stops after `most` failures.
///
/// # Errors
/// Where the seeds can't be read.
pub fn run(target: &Target, runs: usize, seed: u64, most: usize) -> Result<Vec<Broken>, Failure> {
    let seeds = target.seeds()?;
    let mut broken = Vec::new();
    for (number, input) in seeds.iter().enumerate() {
        if let Some(why) = trouble(target, input) {
            broken.push(Broken { number, input: input.clone(), why });
        }
    }
    let mutator = Mutator::new(&seeds, target.words(), |seed| target.takes(seed));
    let mut random = Random::named(seed, target.name());
    for number in 0..runs {
        if broken.len() >= most {
            break;
        }
        let input = target.finish(mutator.input(&mut random), &mut random)?;
        if let Some(why) = trouble(target, &input) {
            let (input, why) = shortened(target, input, why);
            broken.push(Broken { number, input, why });
        }
    }
    Ok(broken)
}

/// Shortens a failing input: leaves out pieces as long as it still fails.
fn shortened(target: &Target, mut input: Vec<u8>, mut why: String) -> (Vec<u8>, String) {
    let start = Instant::now();
    let mut piece = input.len() / 2;
    let mut steps = 0;
    while piece > 0 && steps < SHORTENED && start.elapsed() < LONGEST {
        let mut at = 0;
        while at < input.len() && steps < SHORTENED {
            steps += 1;
            let mut less = input.clone();
            less.drain(at..(at + piece).min(input.len()));
            match trouble(target, &less) {
                Some(same) => (input, why) = (less, same),
                None => at += piece,
            }
        }
        piece /= 2;
    }
    (input, why)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every seed, and a few inputs for each target; the slow tests take thousands.
    #[test]
    fn every_target_keeps_its_promises_for_a_while() {
        for target in Target::all().unwrap() {
            let runs = if target.is_slow() { 5 } else { 150 };
            let broken = run(&target, runs, 1, 1).unwrap();
            assert!(broken.is_empty(), "{}, {}", target.name(), broken[0]);
        }
    }

    #[test]
    fn what_fails_is_made_short() {
        // A planted fault: any text with a tilde fails.
        let target = Target::planted(|input| !input.contains(&b'~'));
        let broken = run(&target, 5_000, 3, 2).unwrap();
        assert_eq!(broken.len(), 2);
        assert!(broken.iter().all(|b| b.input == b"~"), "{broken:?}");
        assert!(run(&Target::planted(|_| true), 100, 3, 1).unwrap().is_empty());
    }
}
