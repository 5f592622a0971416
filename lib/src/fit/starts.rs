//! Where the search for an optimum of each form starts, from the ellipse nearest to the line.

use super::form::{Form, Freeform};
use super::geometric::adjust;
use super::system::{Observation, System};
use crate::frame::Local;
use crate::geometry::{Ellipse, Model, Vector};

/// End radii that a four-arc oval is started from, over its shorter semi-axis.
const END_RADII: [f64; 3] = [0.55, 0.75, 0.92];
/// Directions in which a cut is looked for, 15° apart: a chord of 40 m spans 30°.
const DIRECTIONS: usize = 24;
/// Depth that a cut is started from, m: a chord of some 46 m on a lawful oval.
const DEPTH_M: f64 = 3.0;
/// Points that the directions are compared on.
const POINTS: usize = 96;
/// Of the directions, those that are tried on all points.
const BEST: usize = 3;

/// Forms with starts, of which the best optimum is taken. `ellipse` fits the line, `line`
/// holds its points.
pub(super) fn starts(model: Model, ellipse: &Ellipse<Local>, line: &[Observation]) -> Vec<(Form, Vec<f64>)> {
    let c = ellipse.centre();
    let (a, b) = (ellipse.semi_major_m(), ellipse.semi_minor_m());
    let five = vec![c.x, c.y, a, b, ellipse.turn_rad()];
    match model {
        Model::FourArc => END_RADII
            .iter()
            .map(|r| {
                let mut p = five.clone();
                p.push(r * b);
                (Form::FourArc, p)
            })
            .collect(),
        Model::CutEllipse => cuts(ellipse, &five, line).into_iter().map(|p| (Form::CutEllipse, p)).collect(),
        Model::Freeform => Freeform::off(*ellipse)
            .map(|f| {
                let form = Form::Freeform(f);
                let p = vec![0.0; form.count()];
                (form, p)
            })
            .into_iter()
            .collect(),
        Model::Ellipse => vec![(Form::Ellipse, five)],
    }
}

/// The likeliest cuts by a few of the points.
fn cuts(ellipse: &Ellipse<Local>, five: &[f64], line: &[Observation]) -> Vec<Vec<f64>> {
    let step = line.len().div_ceil(POINTS).max(1);
    let some =
        System { form: Form::CutEllipse, ..System::of(line.iter().copied().step_by(step).collect(), 0.0) };
    let reach = 4.0 * ellipse.semi_major_m();
    let mut found: Vec<(f64, Vec<f64>)> = (0..DIRECTIONS)
        .filter_map(|i| {
            let direction = std::f64::consts::TAU * i as f64 / DIRECTIONS as f64;
            let mut p = five.to_vec();
            let depth = DEPTH_M.min(0.2 * ellipse.semi_minor_m());
            p.extend([direction, ellipse.support_m(Vector::at_angle(direction)) - depth]);
            let fitted = adjust(&p, &some, reach).ok()?;
            Some((fitted.sum, fitted.parameters))
        })
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.dedup_by(|a, b| (a.0 - b.0).abs() < 1e-6 * b.0);
    found.truncate(BEST);
    found.into_iter().map(|f| f.1).collect()
}
