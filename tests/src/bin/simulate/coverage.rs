//! Prints how often the 95 % interval of a fit holds the true length, width and perimeter, as a Markdown
//! table.
//!
//! `simulate coverage [--runs 400] [--ground 'straight side'] [--survey a]`: every ground and survey, or only
//! those with that name and letter. The seed is fixed, so the table can be reproduced.

use std::io::Write as _;

use ovalpeg::units::print::fixed;
use ovalpeg_tests::Failure;
use ovalpeg_tests::coverage::{SHAPES, Tally, at_best, count, ways};

const SEED: u64 = 160_130;
/// A cell whose intervals hold the truth less often than this, %, is marked.
const LEAST: f64 = 92.0;
/// A cell whose half-width is more than this many times the reference's is marked.
const WIDEST: f64 = 1.6;

fn triple(v: [f64; 3], decimals: usize) -> String {
    v.map(|v| fixed(v, decimals)).join(" / ")
}

pub(crate) fn run(arguments: &[&str]) -> Result<(), Failure> {
    let Asked { runs, ground, survey } = asked(arguments)?;
    let mut out = std::io::stdout().lock();
    writeln!(
        out,
        "| ground | survey | fit | 95 % holds | mean half-width, m | over the best | mean error, m | refused | taken E / 4 / C / F | missed |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |"
    )?;
    for (shape, (name, ..)) in SHAPES.iter().enumerate() {
        for way in ways() {
            if !(name.contains(&ground) && way.name.contains(&survey)) {
                continue;
            }
            let best = at_best(shape, &way)?;
            let tallies = count(shape, &way, runs, SEED)?;
            for (by, t) in ["forced", "chosen", "textbook"].iter().zip(&tallies) {
                row(&mut out, &[name, way.name, by], t, best)?;
            }
            out.flush()?;
        }
    }
    Ok(())
}

/// What the command line asks for.
struct Asked {
    runs: usize,
    /// Texts that the names of grounds and surveys must contain.
    ground: String,
    survey: String,
}

fn asked(arguments: &[&str]) -> Result<Asked, Failure> {
    let mut asked = Asked { runs: 400, ground: String::new(), survey: String::new() };
    for pair in arguments.chunks(2) {
        match *pair {
            ["--runs", n] => asked.runs = n.parse().map_err(|_| format!("--runs {n} is no number"))?,
            ["--ground", name] => asked.ground = name.into(),
            ["--survey", letter] => asked.survey = format!("({letter})"),
            _ => return Err("usage: simulate coverage [--runs 400] [--ground NAME] [--survey LETTER]".into()),
        }
    }
    Ok(asked)
}

fn row(out: &mut impl std::io::Write, names: &[&str; 3], t: &Tally, best: [f64; 3]) -> Result<(), Failure> {
    let (share, half) = (t.share(), t.mean_half_m());
    let ratio: [f64; 3] = std::array::from_fn(|i| half[i] / best[i]);
    let textbook = names[2] == "textbook";
    let low = !textbook && share.iter().any(|s| *s < LEAST);
    let wide = !textbook && ratio.iter().any(|r| *r > WIDEST);
    writeln!(
        out,
        "| {} | {} | {} | {}{} | {} | {}{} | {} | {} | {} | {} |",
        names[0],
        names[1],
        names[2],
        triple(share, 1),
        if low { " **low**" } else { "" },
        triple(half, if half[0] < 0.1 { 3 } else { 2 }),
        triple(ratio, 2),
        if wide { " **wide**" } else { "" },
        triple(t.mean_error_m(), if half[0] < 0.1 { 3 } else { 2 }),
        t.refused,
        t.taken.map(|n| n.to_string()).join(" / "),
        if names[2] == "chosen" { t.missed.to_string() } else { "–".into() },
    )?;
    Ok(())
}
