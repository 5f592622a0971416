//! A fit as a report for the terminal.

use super::super::Paper;
use super::super::lines::{Sheet, left};
use crate::briefing::Summary;
use crate::fit::{AxisFrom, Common, Curve, Fit, Residual, SettledBook, Why};
use crate::solve::{Prepared, Source};
use crate::survey::{LocalSurvey, Step, Survey};
use crate::units::print::{PlusMinus, compass_point, count, fixed, for_terminal, measured};
use crate::units::{Measured, Problem};

/// One file of a survey, as a report calls it.
#[derive(Debug, Clone, Copy)]
pub(super) struct FitSource<'a> {
    /// The file, as given.
    pub(super) file: &'a str,
    /// Its format.
    pub(super) format: &'a str,
    /// Points that it holds.
    pub(super) points: usize,
}

/// Everything beside the fit that a report tells.
#[derive(Debug, Clone)]
pub struct FitTold<'a> {
    pub(super) sources: Vec<FitSource<'a>>,
    pub(super) survey: &'a LocalSurvey,
    pub(super) steps: &'a [Step],
    pub(super) books: &'a [SettledBook],
    pub(super) warnings: &'a [Problem],
}

impl<'a> FitTold<'a> {
    /// What is told of a survey's files, and what the person should know from before the fit.
    #[must_use]
    pub fn of(prepared: &'a Prepared, warnings: &'a [Problem]) -> Self {
        let source = |(source, survey): (&'a Source, &'a Survey)| FitSource {
            file: source.name(),
            format: survey.format.id(),
            points: survey.observations.len(),
        };
        Self {
            sources: prepared.sources().map(source).collect(),
            survey: prepared.survey(),
            steps: prepared.steps(),
            books: prepared.books(),
            warnings,
        }
    }
}

/// Most columns of the residual plot: one for each 7.5° round the curve.
const PLOT_COLUMNS: usize = 48;
/// Rows of the plot above and below the line.
const PLOT_ROWS: i32 = 4;

/// The sources, with their counts.
fn head(told: &FitTold<'_>, paper: Paper) -> Sheet {
    let mut out = Sheet::new(paper);
    if let [only] = &told.sources[..] {
        out.wrap(&format!("Survey {}", of_source(told, 0, only)), "");
    } else {
        out.wrap(&format!("Survey of {} sources, adjusted as one", told.sources.len()), "");
        for (i, s) in told.sources.iter().enumerate() {
            out.wrap(&of_source(told, i, s), "  ");
        }
    }
    out
}

fn of_source(told: &FitTold<'_>, i: usize, s: &FitSource<'_>) -> String {
    let book = told.books.iter().find(|b| b.source == i);
    let counted = match book {
        Some(b) => format!(
            "tape notebook, {} between {}",
            count(b.book.measures.len(), "measure"),
            count(b.book.marks.len(), "mark")
        ),
        None if s.format == "txt" => "tape notebook".to_owned(),
        None => format!("{}, {}", s.format, count(s.points, "point")),
    };
    format!("{} ({counted})", for_terminal(s.file))
}

fn row(out: &mut Sheet, label: &str, text: &str) {
    out.wrap(text, &format!("  {}", left(label, 14)));
}

fn size(out: &mut Sheet, label: &str, m: Option<&Measured>, unit: &str) {
    row(out, label, &m.map_or("not for sure".to_owned(), |m| measured(m, unit, PlusMinus::Unicode)));
}

/// Report on a fitted ground.
#[must_use]
pub fn fit_report(told: &FitTold<'_>, fit: &Fit, summary: &Summary, paper: Paper) -> String {
    let sizes = &summary.sizes;
    let survey = told.survey;
    let mut out = head(told, paper);
    size(&mut out, "length", sizes.length.as_ref(), "m");
    size(&mut out, "width", sizes.width.as_ref(), "m");
    if let (Some(l), Some(r)) = (&sizes.half_width_left, &sizes.half_width_right) {
        let half = |m: &Measured| measured(m, "m", PlusMinus::Unicode);
        row(&mut out, "half-widths", &format!("left {}, right {}", half(l), half(r)));
    }
    size(&mut out, "perimeter", sizes.perimeter.as_ref(), "m");
    size(&mut out, "area", sizes.area.as_ref(), "m²");
    if survey.untold.north {
        row(
            &mut out,
            "goal axis",
            "not known: nothing in the notebook tells where north is, and N, E, S and W below are any four ways. Add a line such as: peg 7 to peg 8 bears 347",
        );
    } else if let Some(axis) = &sizes.axis_deg {
        let from = match fit.axis_from {
            AxisFrom::Posts => "by the posts",
            AxisFrom::PostsAtOneEnd => "by the posts at one end, the other end assumed",
            AxisFrom::LongAxis => "assumed: the longer axis, goal lines where the curve is one end wide",
        };
        row(
            &mut out,
            "goal axis",
            &format!("{} true, to the end nearer north; {from}", measured(axis, "°", PlusMinus::Unicode)),
        );
    }
    row(&mut out, "± is", "half the width of the 95 % interval");
    row(&mut out, "shape", &super::shape_words::choice(&fit.choice));
    for text in &summary.rows {
        row(&mut out, "departs", text);
    }
    for gap in fit.unsurveyed.iter().take(4) {
        row(&mut out, "NOT SURVEYED", &super::shape_words::unsurveyed(gap, fit.spread.ratio()));
    }
    for c in &fit.conflicts {
        row(&mut out, "CONFLICT", &sentence(&c.text));
    }
    for r in &fit.readings {
        row(&mut out, "STANDS OFF", &sentence(&r.text));
    }
    points(&mut out, &fit.curve, survey);
    if !fit.posts.is_empty() {
        row(
            &mut out,
            "posts",
            &format!(
                "{} used, at most {} m from their places",
                fit.posts.len(),
                fixed(fit.worst_post_m(), 2)
            ),
        );
    }
    if let Some(w) = fit.walk {
        let n = w.fixes;
        let around = sizes.perimeter.map_or(0.0, |p| p.value());
        row(
            &mut out,
            "the walk",
            &if w.is_white() {
                "no error runs on from one point to the next, as far as the residuals tell".to_owned()
            } else {
                format!(
                    "an error lasts about {} m of walk, so {} are worth about {} independent ones",
                    fixed(w.lasts_m, 0),
                    count(n, "fix").replace("fixs", "fixes"),
                    fixed(w.effective_points(around, n), 0)
                )
            },
        );
    }
    spans(&mut out, fit, survey);
    shifts(&mut out, fit, survey);
    for b in told.books {
        super::network_text::in_a_fit(&mut |label, text| row(&mut out, label, text), b);
    }
    departures(&mut out, fit);
    track(&mut out, told.steps);
    finish(out, &fit.curve, told.warnings)
}

/// A sentence with a capital and a full stop.
fn sentence(text: &str) -> String {
    let mut c = text.chars();
    let first = c.next().map_or_else(String::new, |f| f.to_uppercase().collect());
    format!("{first}{}.", c.as_str())
}

fn spans(out: &mut Sheet, fit: &Fit, survey: &LocalSurvey) {
    for s in &fit.spans {
        let Some(span) = survey.spans.get(s.index) else { continue };
        row(
            out,
            "measured",
            &format!(
                "{} {} m ({}), here {} m{}",
                if span.wing_to_wing { "wing to wing" } else { "goal to goal" },
                fixed(span.value_m, 2),
                for_terminal(&span.place),
                fixed(s.adjusted_m, 2),
                if s.used { "" } else { ": LEFT OUT" }
            ),
        );
    }
}

/// What a source is off by as a whole, where that stands out from its own doubt.
fn shifts(out: &mut Sheet, fit: &Fit, survey: &LocalSurvey) {
    for s in &fit.shifts {
        if !s.stands_out() || matches!(s.what, Common::Tape { .. }) {
            continue;
        }
        let doubt = |unit: f64, decimals| fixed(s.half_width() * unit, decimals);
        let (size, side) = match s.what {
            Common::Scale { .. } => (
                format!("{} % ± {}", fixed(s.value.abs() * 100.0, 2), doubt(100.0, 2)),
                if s.value > 0.0 { "too large" } else { "too small" },
            ),
            Common::Place { .. } => (
                format!("{} m ± {}", fixed(s.value.abs(), 2), doubt(1.0, 2)),
                match (s.north, s.value > 0.0) {
                    (false, true) => "too far east",
                    (false, false) => "too far west",
                    (true, true) => "too far north",
                    (true, false) => "too far south",
                },
            ),
            _ => (
                format!("{} m ± {}", fixed(s.value.abs(), 2), doubt(1.0, 2)),
                if s.value > 0.0 { "outside the line" } else { "inside the line" },
            ),
        };
        row(out, "put right", &format!("{}: {size} {side}", s.what.in_words(survey)));
    }
}

/// What track cleaning found.
fn track(out: &mut Sheet, steps: &[Step]) {
    const MOST: usize = 12;
    for (i, s) in steps.iter().take(MOST).enumerate() {
        row(out, if i == 0 { "track" } else { "" }, &s.sentence);
    }
    if steps.len() > MOST {
        row(out, "", &format!("and {} more", steps.len() - MOST));
    }
}

fn departures(out: &mut Sheet, fit: &Fit) {
    for d in fit.departures.iter().take(3) {
        row(
            out,
            "departs",
            &format!(
                "{} m {} than the fitted line to the {} of the centre",
                fixed(d.mean_m.abs(), 1),
                if d.mean_m < 0.0 { "flatter" } else { "fuller" },
                compass_point(d.bearing_deg)
            ),
        );
    }
}

/// Report on a curve alone.
#[must_use]
pub fn curve_report(told: &FitTold<'_>, curve: &Curve, paper: Paper) -> String {
    let survey = told.survey;
    let mut out = head(told, paper);
    let (values, known) = (curve.parameters(), curve.measured_parameters());
    let pm = |i: usize, unit: &str| {
        known[i].map_or_else(|| fixed(values[i], 3), |m| measured(&m, unit, PlusMinus::Unicode))
    };
    row(&mut out, "curve", "an ellipse, with no goal lines looked for");
    row(&mut out, "centre", &format!("x {}, y {}", pm(0, "m"), pm(1, "m")));
    row(&mut out, "semi-axes", &format!("{} and {}", pm(2, "m"), pm(3, "m")));
    let axis = if curve.axis_fixed { pm(4, "°") } else { "not fixed: a circle".to_owned() };
    row(&mut out, "long axis", &axis);
    points(&mut out, curve, survey);
    track(&mut out, told.steps);
    finish(out, curve, told.warnings)
}

fn points(out: &mut Sheet, curve: &Curve, survey: &LocalSurvey) {
    row(out, "points", &format!("{} used, {} set aside", curve.residuals.len(), curve.set_aside.len()));
    // What track cleaning left out has lines of its own; many of a kind are told once.
    let mut kinds: Vec<(String, Vec<&str>)> = Vec::new();
    blunders(out, curve, survey);
    for a in &curve.set_aside {
        if matches!(a.why, Why::Cleaned(_) | Why::OffTheRest { .. }) {
            continue;
        }
        let (why, place) = (a.why.to_string(), survey.points[a.index].place.as_str());
        match kinds.iter_mut().find(|k| k.0 == why) {
            Some(kind) => kind.1.push(place),
            None => kinds.push((why, vec![place])),
        }
    }
    const MOST: usize = 3;
    for (i, (why, places)) in kinds.iter().enumerate() {
        if i == 2 * MOST {
            row(out, "", "and more");
            break;
        }
        match places.as_slice() {
            few if few.len() <= MOST => {
                few.iter().for_each(|p| row(out, "", &format!("{}: {why}", for_terminal(p))));
            }
            many => row(
                out,
                "",
                &format!("{}: {why}, the first {}", count(many.len(), "point"), for_terminal(many[0])),
            ),
        }
    }
    let largest = curve.largest().map_or(String::new(), |r: Residual| {
        format!(
            ", largest {} m {} at {} ({} of the centre)",
            fixed(r.residual_m.abs(), 3),
            if r.residual_m < 0.0 { "inside" } else { "outside" },
            for_terminal(&survey.points[r.index].place),
            compass_point(r.bearing_deg)
        )
    });
    row(out, "residuals", &format!("root mean square {} m{largest}", fixed(curve.rms_m, 3)));
}

/// Points that stand off their neighbours, the worst first, each by its place.
fn blunders(out: &mut Sheet, curve: &Curve, survey: &LocalSurvey) {
    const MOST: usize = 10;
    let found = curve.off_the_rest();
    for &(index, distance_m) in found.iter().take(MOST) {
        let why = Why::OffTheRest { distance_m };
        let place = for_terminal(&survey.points[index].place);
        row(out, "", &format!("{place}: {why}: mistyped, or a spike? left out"));
    }
    if found.len() > MOST {
        row(out, "", &format!("and {} more that stand off their neighbours", found.len() - MOST));
    }
}

fn finish(mut out: Sheet, curve: &Curve, read_warnings: &[Problem]) -> String {
    plot(&mut out, curve);
    for w in read_warnings.iter().chain(&curve.warnings) {
        out.wrap(&for_terminal(&w.to_string()), "  note  ");
    }
    out.text()
}

/// Residuals round the curve: mean and range in each direction.
fn plot(out: &mut Sheet, curve: &Curve) {
    let top = curve.largest().map_or(0.0, |r| r.residual_m.abs());
    if top <= 0.0 {
        return;
    }
    // Four quarters of as many columns, and the N that closes them.
    let wide = PLOT_COLUMNS.min((out.columns() - 5) / 4 * 4);
    let columns = curve.residuals_round(wide);
    // −4..=4 by the definition of `top`, so the cast is exact.
    let level = |v: f64| (v / top * f64::from(PLOT_ROWS)).round() as i32;
    out.wrap(&format!("residuals round the curve, outside the line up (top row {} m)", fixed(top, 3)), "  ");
    for at in (-PLOT_ROWS..=PLOT_ROWS).rev() {
        let cells: String = columns
            .iter()
            .map(|c| {
                let Some(c) = c else { return if at == 0 { '.' } else { ' ' } };
                if at == level(c.mean_m) {
                    'o'
                } else if (level(c.least_m)..=level(c.most_m)).contains(&at) {
                    '|'
                } else if at == 0 {
                    '-'
                } else {
                    ' '
                }
            })
            .collect();
        let mark = match at {
            PLOT_ROWS => "+",
            0 => "0",
            a if a == -PLOT_ROWS => "-",
            _ => " ",
        };
        out.line(&format!("  {mark} {cells}"));
    }
    let quarter = wide / 4;
    let points: String = ["N", "E", "S"].iter().map(|p| left(p, quarter)).collect();
    out.line(&format!("    {points}{}N", left("W", quarter - 1)));
}
