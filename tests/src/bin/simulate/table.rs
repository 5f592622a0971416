//! The command line of a program that prints a table.

use ovalpeg_tests::Failure;

/// What the command line asks for.
pub(crate) struct Asked {
    /// Runs for each row.
    pub(crate) runs: usize,
    row: String,
}

impl Asked {
    /// Is the row of this name asked for?
    pub(crate) fn wants(&self, name: &str) -> bool {
        name.ends_with(&self.row)
    }
}

/// Reads the command line: `--runs N`, and `--row TEXT` for only those rows whose names end in the text.
pub(crate) fn asked(arguments: &[&str], program: &str, otherwise: usize) -> Result<Asked, Failure> {
    let mut asked = Asked { runs: otherwise, row: String::new() };
    for pair in arguments.chunks(2) {
        match *pair {
            ["--runs", n] => {
                asked.runs = n.parse().map_err(|_| format!("--runs {n} is not a number of runs"))?;
            }
            ["--row", end] => asked.row = end.into(),
            _ => return Err(format!("usage: simulate {program} [--runs {otherwise}] [--row TEXT]").into()),
        }
    }
    Ok(asked)
}
