//! A fit as a report for the terminal.

use super::lines::{left, wrap};
use crate::briefing::Sizes;
use crate::fit::{AxisFrom, Curve, Fit, Residual};
use crate::survey::LocalSurvey;
use crate::units::print::{PlusMinus, compass_point, count, fixed, for_terminal, measured};
use crate::units::{Measured, Problem};

/// What the report calls the survey.
#[derive(Debug, Clone, Copy)]
pub struct FitNames<'a> {
    /// The file, as given.
    pub file: &'a str,
    /// Its format.
    pub format: &'a str,
}

/// Columns of the report.
const WIDTH: usize = 76;
/// Columns of the residual plot: one for each 7.5° round the curve.
const PLOT_COLUMNS: usize = 48;
/// Rows of the plot above and below the line.
const PLOT_ROWS: i32 = 4;

fn head(names: FitNames<'_>, survey: &LocalSurvey) -> String {
    format!("Survey {} ({}, {})", for_terminal(names.file), names.format, count(survey.points.len(), "point"))
}

fn row(out: &mut Vec<String>, label: &str, text: &str) {
    out.extend(wrap(text, &format!("  {}", left(label, 14)), WIDTH));
}

fn size(out: &mut Vec<String>, label: &str, m: Option<&Measured>, unit: &str) {
    row(out, label, &m.map_or("not for sure".to_owned(), |m| measured(m, unit, PlusMinus::Unicode)));
}

/// Report on a fitted ground.
#[must_use]
pub fn fit_report(
    names: FitNames<'_>,
    fit: &Fit,
    sizes: &Sizes,
    survey: &LocalSurvey,
    read_warnings: &[Problem],
) -> String {
    let mut out = vec![head(names, survey)];
    size(&mut out, "length", sizes.length.as_ref(), "m");
    size(&mut out, "width", sizes.width.as_ref(), "m");
    if let (Some(l), Some(r)) = (&sizes.half_width_left, &sizes.half_width_right) {
        let half = |m: &Measured| measured(m, "m", PlusMinus::Unicode);
        row(&mut out, "half-widths", &format!("left {}, right {}", half(l), half(r)));
    }
    size(&mut out, "perimeter", sizes.perimeter.as_ref(), "m");
    size(&mut out, "area", sizes.area.as_ref(), "m²");
    if let Some(axis) = &sizes.axis_deg {
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
    points(&mut out, &fit.curve, survey);
    if !fit.posts.is_empty() {
        let worst = fit.posts.iter().map(|p| p.miss_m).fold(0.0, f64::max);
        row(
            &mut out,
            "posts",
            &format!("{} used, at most {} m from their places", fit.posts.len(), fixed(worst, 2)),
        );
    }
    if let Some(w) = fit.walk {
        let n = fit.curve.residuals.len();
        let around = sizes.perimeter.map_or(0.0, |p| p.value());
        row(
            &mut out,
            "the walk",
            &format!(
                "an error lasts about {} m of walk, so {} are worth about {} independent ones",
                fixed(w.lasts_m, 0),
                count(n, "fix").replace("fixs", "fixes"),
                fixed(w.effective_points(around, n), 0)
            ),
        );
    }
    departures(&mut out, fit);
    finish(out, &fit.curve, read_warnings)
}

fn departures(out: &mut Vec<String>, fit: &Fit) {
    if fit.walk.is_some() {
        return;
    }
    for d in fit.curve.departures().iter().take(3) {
        row(
            out,
            "departs",
            &format!(
                "{} m {} than the ellipse to the {} of the centre",
                fixed(d.mean_m.abs(), 1),
                if d.mean_m < 0.0 { "flatter" } else { "fuller" },
                compass_point(d.bearing_deg)
            ),
        );
    }
}

/// Report on a curve alone.
#[must_use]
pub fn curve_report(
    names: FitNames<'_>,
    curve: &Curve,
    survey: &LocalSurvey,
    read_warnings: &[Problem],
) -> String {
    let mut out = vec![head(names, survey)];
    let e = &curve.ellipse;
    let ratio = crate::numeric::t_quantile(0.975, curve.dof);
    let pm = |value: f64, i: usize, unit: &str| {
        let sd = curve.covariance.sd(i);
        Measured::new(value, sd, ratio * sd)
            .map_or_else(|_| fixed(value, 3), |m| measured(&m, unit, PlusMinus::Unicode))
    };
    row(&mut out, "curve", "an ellipse, with no goal lines looked for");
    row(&mut out, "centre", &format!("x {}, y {}", pm(e.centre().x, 0, "m"), pm(e.centre().y, 1, "m")));
    row(
        &mut out,
        "semi-axes",
        &format!("{} and {}", pm(e.semi_major_m(), 2, "m"), pm(e.semi_minor_m(), 3, "m")),
    );
    let long = (90.0 - e.turn_deg()).rem_euclid(180.0);
    let axis = if curve.axis_fixed { pm(long, 4, "°") } else { "not fixed: a circle".to_owned() };
    row(&mut out, "long axis", &axis);
    points(&mut out, curve, survey);
    finish(out, curve, read_warnings)
}

fn points(out: &mut Vec<String>, curve: &Curve, survey: &LocalSurvey) {
    row(out, "points", &format!("{} used, {} set aside", curve.residuals.len(), curve.set_aside.len()));
    for a in curve.set_aside.iter().take(6) {
        row(out, "", &format!("{}: {}", for_terminal(&survey.points[a.index].place), a.why));
    }
    if curve.set_aside.len() > 6 {
        row(out, "", &format!("and {} more", curve.set_aside.len() - 6));
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

fn finish(mut out: Vec<String>, curve: &Curve, read_warnings: &[Problem]) -> String {
    out.extend(plot(&curve.residuals));
    for w in read_warnings.iter().chain(&curve.warnings) {
        out.extend(wrap(&w.to_string(), "  note  ", WIDTH));
    }
    out.push(String::new());
    out.join("\n")
}

/// Residuals round the curve: mean and range in each direction.
fn plot(residuals: &[Residual]) -> Vec<String> {
    let top = residuals.iter().map(|r| r.residual_m.abs()).fold(0.0, f64::max);
    if top <= 0.0 {
        return Vec::new();
    }
    let mut columns: Vec<Vec<f64>> = vec![Vec::new(); PLOT_COLUMNS];
    for r in residuals {
        // In 0..48 by the remainder, so the cast is exact.
        columns[((r.bearing_deg / 360.0 * PLOT_COLUMNS as f64) as usize) % PLOT_COLUMNS].push(r.residual_m);
    }
    // −4..=4 by the definition of `top`, so the cast is exact.
    let level = |v: f64| (v / top * f64::from(PLOT_ROWS)).round() as i32;
    let mut out =
        vec![format!("  residuals round the curve, outside the line up (top row {} m)", fixed(top, 3))];
    for at in (-PLOT_ROWS..=PLOT_ROWS).rev() {
        let cells: String = columns
            .iter()
            .map(|c| {
                let (Some(lo), Some(hi)) =
                    (c.iter().copied().reduce(f64::min), c.iter().copied().reduce(f64::max))
                else {
                    return if at == 0 { '.' } else { ' ' };
                };
                let mean = level(c.iter().sum::<f64>() / c.len() as f64);
                if at == mean {
                    'o'
                } else if (level(lo)..=level(hi)).contains(&at) {
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
        out.push(format!("  {mark} {}", cells.trim_end()));
    }
    out.push("    N           E           S           W          N".to_owned());
    out
}
