//! An adjusted tape network as a report for the terminal.

use super::super::Paper;
use super::super::lines::{Sheet, left, wide};
use super::super::table::Table;
use crate::fit::SettledBook;
use crate::network::{Blunder, NetworkDatum, Observed, Stopped, Verdict, blunder_in_words};
use crate::survey::{Notebook, Quantity};
use crate::units::Problem;
use crate::units::print::{count, fixed, for_terminal};

/// A measure as a person says it: `NE goal post to peg 7`.
pub(super) fn measure_name(book: &Notebook, index: usize) -> String {
    let Some(m) = book.measures.get(index) else { return String::new() };
    let name = |i: usize| book.marks.get(i).map_or_else(String::new, |m| for_terminal(&m.name));
    match m.quantity {
        Quantity::Distance { from, to } => format!("{} to {}", name(from), name(to)),
        Quantity::Chainage { base, mark } => {
            format!("{} along {} to {}", name(mark), name(base[0]), name(base[1]))
        }
        Quantity::Offset { base, mark } => {
            format!("{} off {} to {}", name(mark), name(base[0]), name(base[1]))
        }
        Quantity::GoalToGoal => "goal to goal".to_owned(),
        Quantity::WingToWing => "wing to wing".to_owned(),
    }
}

/// What an observation of the adjustment is of, in words.
pub(super) fn reading_name(book: &Notebook, what: Observed) -> String {
    let mark = |i: usize| book.marks.get(i).map_or_else(String::new, |m| for_terminal(&m.name));
    match what {
        Observed::Measure(i) => measure_name(book, i),
        Observed::East(i) => format!("x of {}", mark(i)),
        Observed::North(i) => format!("y of {}", mark(i)),
        Observed::Scale(i) => {
            format!("scale of tape {}", book.tapes.get(i).map_or_else(String::new, |t| for_terminal(&t.name)))
        }
    }
}

/// Where it stands in the notebook.
pub(super) fn reading_place(b: &SettledBook, what: Observed) -> String {
    let book = &b.book;
    let place = match what {
        Observed::East(i) | Observed::North(i) if b.joined.iter().any(|j| j.0 == i) => {
            b.joined.iter().find(|j| j.0 == i).map(|j| &j.1)
        }
        Observed::Measure(i) => book.measures.get(i).map(|m| &m.place),
        Observed::East(i) | Observed::North(i) => book.marks.get(i).map(|m| &m.place),
        Observed::Scale(i) => book.tapes.get(i).map(|t| &t.place),
    };
    place.map_or_else(String::new, |p| for_terminal(p))
}

/// Each blunder in a sentence: those left out, then the one that is left.
pub(super) fn blunders(b: &SettledBook) -> Vec<String> {
    let said = |x: &Blunder| {
        format!("{} ({})", for_terminal(&blunder_in_words(&b.book, x)), reading_place(b, x.what))
    };
    let statistic = |x: &Blunder| {
        format!("its statistic is {}, over {}", fixed(x.statistic.abs(), 1), fixed(x.critical, 2))
    };
    let mut out: Vec<String> =
        b.set_aside.iter().map(|x| format!("{}: {}. It is LEFT OUT", said(x), statistic(x))).collect();
    match &b.stopped {
        Stopped::Clean => {}
        Stopped::CantTell(x) => out.push(format!(
            "{}: {}. Measure one of them again; nothing is left out",
            said(x),
            statistic(x)
        )),
        Stopped::Holds { blunder, why } => out.push(format!(
            "{}: {}. It is kept, since without it {}",
            said(blunder),
            statistic(blunder),
            for_terminal(&why.to_string())
        )),
        Stopped::TooMany(x) => out.push(format!(
            "{}: {}. It is kept: a tenth of the measures is left out already, and that many are no blunders. Are the standard deviations right?",
            said(x),
            statistic(x)
        )),
        Stopped::NotAMeasure(x) => out.push(format!(
            "{}: {}. It is kept: are the coordinates and the tape what the notebook says?",
            said(x),
            statistic(x)
        )),
    }
    out
}

fn datum(b: &SettledBook) -> String {
    let joined = b.joined.len();
    match b.network.datum {
        NetworkDatum::Held if joined > 0 => {
            format!("held by {} of the other surveys", count(joined, "point"))
        }
        NetworkDatum::Held => "held by the marks whose coordinates are given".to_owned(),
        NetworkDatum::Pivot => "held at one mark; which way it is turned is not known".to_owned(),
        NetworkDatum::Free if b.book.marks.iter().filter(|m| m.at.is_some()).count() >= 2 => {
            "a free network: shape and size only, placed on the coordinates given as near".to_owned()
        }
        NetworkDatum::Free if b.book.marks.iter().any(|m| m.at.is_some()) => {
            "a free network: shape and size only, placed on the mark whose coordinates are given as near"
                .to_owned()
        }
        NetworkDatum::Free => "a free network: shape and size only, placed on its first marks".to_owned(),
    }
}

fn test(b: &SettledBook) -> String {
    let n = &b.network;
    let g = &n.global;
    let Some(m0) = n.m0 else { return "no measure checks another: a blunder would not show".to_owned() };
    let verdict = match g.verdict {
        Verdict::Untested => "not tested",
        Verdict::Agrees => "the residuals are what the standard deviations say",
        Verdict::TooSmall => "smaller than the standard deviations say: they are too careful",
        Verdict::TooLarge => "larger than the standard deviations say: a blunder, or they are too small",
    };
    format!(
        "{} the rest; m0 {}; sum of squares {}, 95 % lie in {} to {}: {verdict}",
        if n.dof == 1 { "1 measure checks".to_owned() } else { format!("{} check", count(n.dof, "measure")) },
        fixed(m0, 2),
        fixed(g.sum_of_squares, 2),
        fixed(g.low, 2),
        fixed(g.high, 2)
    )
}

/// Lines for a report of the whole fit.
pub(super) fn in_a_fit(row: &mut impl FnMut(&str, &str), b: &SettledBook) {
    row("tapes", &test(b));
    for text in blunders(b) {
        row("BLUNDER", &text);
    }
}

/// A whole adjusted network.
#[must_use]
pub fn network_report(file: &str, b: &SettledBook, warnings: &[Problem], paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    out.wrap(
        &format!(
            "Tape notebook {} ({} between {})",
            for_terminal(file),
            count(b.book.measures.len(), "measure"),
            count(b.book.marks.len(), "mark")
        ),
        "",
    );
    let mut row = |label: &str, text: &str| out.wrap(text, &format!("  {}", left(label, 10)));
    row("placed", &datum(b));
    row("checked", &test(b));
    for text in blunders(b) {
        row("BLUNDER", &text);
    }
    for t in &b.network.tapes {
        let name = b.book.tapes.get(t.tape).map_or("", |t| t.name.as_str());
        row(
            "tape",
            &format!(
                "{}: {} % ± {} too {}",
                for_terminal(name),
                fixed(t.too_long.abs() * 100.0, 3),
                fixed(t.half_width() * 100.0, 3),
                if t.too_long < 0.0 { "short" } else { "long" }
            ),
        );
    }
    marks(&mut out, b);
    measures(&mut out, b);
    for w in warnings {
        out.wrap(&for_terminal(&w.to_string()), "  note  ");
    }
    out.text()
}

fn marks(out: &mut Sheet, b: &SettledBook) {
    let names: Vec<String> = b.book.marks.iter().map(|m| for_terminal(&m.name)).collect();
    let table = Table {
        margin: 2,
        label: widest(&names, 24),
        cells: &[("x m", 12), ("y m", 12), ("95 % within m", 16), ("worst along", 14)],
    };
    out.line("");
    table.head(out, "mark");
    for (name, n) in names.iter().zip(&b.network.marks) {
        let (within, along) = if n.ellipse.semi_major_m > 0.0 {
            let [long, short] = n.ellipse.axes_95_m(b.sd_factor).map(|a| fixed(a, 3));
            (format!("{long} x {short}"), format!("{}°", fixed(n.ellipse.bearing_deg, 0)))
        } else {
            ("fixed".to_owned(), String::new())
        };
        table.row(out, name, &[&fixed(n.at.x, 3), &fixed(n.at.y, 3), &within, &along]);
    }
}

fn measures(out: &mut Sheet, b: &SettledBook) {
    let names: Vec<String> = b.network.observations.iter().map(|o| reading_name(&b.book, o.what)).collect();
    let table = Table {
        margin: 2,
        label: widest(&names, 30),
        cells: &[("read m", 12), ("residual m", 13), ("redundancy", 12), ("w", 7)],
    };
    out.line("");
    table.head(out, "reading");
    for (o, name) in b.network.observations.iter().zip(&names) {
        let decimals = if matches!(o.what, Observed::Scale(_)) { 6 } else { 3 };
        let cells = [
            fixed(o.read_m, decimals),
            fixed(o.residual_m, decimals),
            fixed(o.redundancy, 3),
            o.w.map_or_else(|| "-".to_owned(), |w| fixed(w, 2)),
        ];
        table.row(out, name, &cells.each_ref().map(String::as_str));
    }
}

/// Columns for the widest of these names; a wider one than `most` has a line of its own.
fn widest(names: &[String], most: usize) -> usize {
    names.iter().map(|n| wide(n)).max().unwrap_or(0).clamp(7, most)
}
