//! An adjusted tape network as JSON.

use serde::Serialize;

use super::super::json::{Number, SCHEMA, pretty};
use super::curve_json::significant;
use super::network_text::{blunders, measure_name, reading_name, reading_place};
use crate::fit::SettledBook;
use crate::network::{Adjusted, Blunder, ErrorEllipse, NetworkDatum, Observed, Verdict};
use crate::units::Problem;

/// Coordinates and residuals are kept to a nanometre: they are compared, not printed.
const DECIMALS: i32 = 9;
/// Digits of statistics and covariances.
const DIGITS: i32 = 12;

fn number(v: f64) -> Number {
    significant(v, DIGITS)
}

/// The ellipse of a mark: one standard deviation, and what holds it with 95 %.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct EllipseRow {
    semi_major_sd_m: Number,
    semi_minor_sd_m: Number,
    semi_major_95_m: Number,
    semi_minor_95_m: Number,
    bearing_deg: Number,
}

fn ellipse(e: &ErrorEllipse) -> EllipseRow {
    // By the standard deviations given.
    let [major_95, minor_95] = e.axes_95_m(1.0).map(number);
    EllipseRow {
        semi_major_sd_m: number(e.semi_major_m),
        semi_minor_sd_m: number(e.semi_minor_m),
        semi_major_95_m: major_95,
        semi_minor_95_m: minor_95,
        bearing_deg: Number::to(e.bearing_deg, 6).wrapped(180.0),
    }
}

/// An adjusted mark.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct MarkRow<'a> {
    name: &'a str,
    x_m: Number,
    y_m: Number,
    sd_x_m: Number,
    sd_y_m: Number,
    /// Of x, of y, and of both together.
    covariance_m2: [Number; 3],
    ellipse: EllipseRow,
    fixed: bool,
    from_another_survey: bool,
}

fn marks(b: &SettledBook) -> Vec<MarkRow<'_>> {
    let marks = b.book.marks.iter().zip(&b.network.marks).enumerate();
    marks
        .map(|(i, (mark, at))| {
            let (xx, yy, xy) = b.network.mark_covariance(i);
            MarkRow {
                name: &mark.name,
                x_m: Number::to(at.at.x, DECIMALS),
                y_m: Number::to(at.at.y, DECIMALS),
                sd_x_m: number(at.sd_x_m),
                sd_y_m: number(at.sd_y_m),
                covariance_m2: [xx, yy, xy].map(number),
                ellipse: ellipse(&at.ellipse),
                fixed: mark.at_sd_m == Some(0.0),
                from_another_survey: b.joined.iter().any(|j| j.0 == i),
            }
        })
        .collect()
}

/// A reading, and what the adjustment makes of it.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ReadingRow {
    what: String,
    kind: &'static str,
    place: String,
    read: Number,
    sd: Number,
    adjusted: Number,
    adjusted_sd: Number,
    residual: Number,
    redundancy: Number,
    standardised: Option<Number>,
    tau: Option<Number>,
    detectable: Option<Number>,
    too_long_by: Option<Number>,
}

fn reading(b: &SettledBook, o: &Adjusted) -> ReadingRow {
    ReadingRow {
        what: reading_name(&b.book, o.what),
        kind: match o.what {
            Observed::Measure(_) => "measure",
            Observed::East(_) | Observed::North(_) => "coordinate",
            Observed::Scale(_) => "tape scale",
        },
        place: reading_place(b, o.what),
        read: number(o.read_m),
        sd: number(o.sd_m),
        adjusted: number(o.adjusted_m),
        adjusted_sd: number(o.adjusted_sd_m),
        residual: number(o.residual_m),
        redundancy: number(o.redundancy),
        standardised: o.w.map(number),
        tau: o.tau.map(number),
        detectable: o.detectable_m.map(number),
        too_long_by: o.error_m.map(number),
    }
}

/// How much too long a tape is, as a ratio.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct TapeRow<'a> {
    tape: Option<&'a str>,
    too_long: Number,
    sd: Number,
}

/// Do the residuals agree with the standard deviations given?
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct GlobalTestRow {
    sum_of_squares: Number,
    low: Number,
    high: Number,
    verdict: &'static str,
}

fn global_test(b: &SettledBook) -> GlobalTestRow {
    let g = &b.network.global;
    GlobalTestRow {
        sum_of_squares: number(g.sum_of_squares),
        low: number(g.low),
        high: number(g.high),
        verdict: match g.verdict {
            Verdict::Untested => "untested",
            Verdict::Agrees => "agrees",
            Verdict::TooSmall => "too small",
            Verdict::TooLarge => "too large",
        },
    }
}

/// A reading that is most likely wrong.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct BlunderRow {
    what: String,
    place: String,
    too_long_m: Number,
    statistic: Number,
}

fn blunder(b: &SettledBook, x: &Blunder) -> BlunderRow {
    BlunderRow {
        what: match x.what {
            Observed::Measure(i) => measure_name(&b.book, i),
            other => reading_name(&b.book, other),
        },
        place: reading_place(b, x.what),
        too_long_m: number(x.too_long_m),
        statistic: number(x.statistic),
    }
}

/// One that is left in, and the readings that it can't be told from.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SuspectRow {
    #[serde(flatten)]
    blunder: BlunderRow,
    critical: Number,
    alike: Vec<String>,
}

fn suspect(b: &SettledBook, x: &Blunder) -> SuspectRow {
    SuspectRow {
        blunder: blunder(b, x),
        critical: number(x.critical),
        alike: x.alike.iter().map(|&o| reading_name(&b.book, o)).collect(),
    }
}

/// An adjusted network.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct NetworkRow<'a> {
    placed: &'static str,
    hand_assumed: bool,
    degrees_of_freedom: usize,
    m0: Option<Number>,
    sd_factor_of_a_fit: Number,
    global_test: GlobalTestRow,
    marks: Vec<MarkRow<'a>>,
    readings: Vec<ReadingRow>,
    tapes: Vec<TapeRow<'a>>,
    set_aside: Vec<BlunderRow>,
    blunder: Option<SuspectRow>,
    in_words: Vec<String>,
}

/// A network as a row.
pub(super) fn network(b: &SettledBook) -> NetworkRow<'_> {
    let n = &b.network;
    let tapes = n.tapes.iter().map(|t| TapeRow {
        tape: b.book.tapes.get(t.tape).map(|t| t.name.as_str()),
        too_long: number(t.too_long),
        sd: number(t.sd),
    });
    NetworkRow {
        placed: match n.datum {
            NetworkDatum::Held => "held",
            NetworkDatum::Pivot => "pivot",
            NetworkDatum::Free => "free",
        },
        hand_assumed: n.hand_assumed,
        degrees_of_freedom: n.dof,
        m0: n.m0.map(number),
        sd_factor_of_a_fit: number(b.sd_factor),
        global_test: global_test(b),
        marks: marks(b),
        readings: n.observations.iter().map(|o| reading(b, o)).collect(),
        tapes: tapes.collect(),
        set_aside: b.set_aside.iter().map(|x| blunder(b, x)).collect(),
        blunder: n.blunder.as_ref().map(|x| suspect(b, x)),
        in_words: blunders(b),
    }
}

/// Adjusted networks, a notebook each: `adjust --json`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(in crate::export) struct NetworkDocument<'a> {
    schema: u32,
    networks: Vec<NetworkRow<'a>>,
    warnings: Vec<String>,
}

/// Adjusted networks, a notebook each.
#[must_use]
pub fn network_json(books: &[SettledBook], warnings: &[Problem]) -> String {
    pretty(&NetworkDocument {
        schema: SCHEMA,
        networks: books.iter().map(network).collect(),
        warnings: warnings.iter().map(Problem::to_string).collect(),
    })
}
