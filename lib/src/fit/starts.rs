//! Where the search for an optimum of each form starts, from the ellipse nearest to the line.

use std::cell::RefCell;
use std::f64::consts::FRAC_PI_2;

use super::form::{Cut, Form, Freeform};
use super::geometric::adjust;
use super::observation::Observation;
use super::system::System;
use crate::frame::Local;
use crate::geometry::{Ellipse, Model, Vector};

/// End radii that a four-arc oval is started from, over its shorter semi-axis.
const END_RADII: [f64; 3] = [0.55, 0.75, 0.92];
/// Directions in which a cut is looked for, 15° apart: a chord of 40 m spans 30°.
const DIRECTIONS: usize = 24;
/// Depth that a cut is started from, m: a chord of some 46 m on a lawful oval.
const DEPTH_M: f64 = 3.0;
/// Cosine of the angle below which two cuts are one: 10°.
const SAME_CUT: f64 = 0.985;
/// Sides of the long axis that a cut may lie along.
const SIDES: [i8; 2] = [1, -1];
/// Number of points on which the directions are compared.
const POINTS: usize = 96;
/// Depths that a cut along a side is started from, m.
const DEPTHS_M: [f64; 2] = [2.0, 5.0];
/// Most cuts in any direction that are tried on all points. A noisy line may look cut in several places.
pub(super) const CUTS: usize = 3;

/// A shape to try, and the number of the start to try it from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Try {
    pub(super) model: Model,
    pub(super) start: usize,
}

impl Try {
    /// Everything that is tried, the simplest first.
    pub(super) fn all() -> impl Iterator<Item = Self> {
        Model::ALL.into_iter().flat_map(Self::of)
    }

    /// The prior on the direction of the cut that is tried.
    pub(super) fn cut(self) -> Cut {
        SIDES.get(self.start).map_or(Cut::Anywhere, |side| Cut::Along(*side))
    }

    /// Everything that is tried of one shape.
    pub(super) fn of(model: Model) -> impl Iterator<Item = Self> {
        let starts = if model == Model::CutEllipse { SIDES.len() + CUTS } else { 1 };
        (0..starts).map(move |start| Self { model, start })
    }
}

/// Cache of the cuts in any direction that were found on a line. Every such try needs the same search, and it
/// takes longer than a fit.
#[derive(Debug, Clone, Default)]
pub(super) struct CutSearch(RefCell<Option<Found>>);

#[derive(Debug, Clone)]
struct Found {
    ellipse: Ellipse<Local>,
    line: Vec<Observation>,
    cuts: Vec<Vec<f64>>,
}

impl CutSearch {
    fn of(&self, ellipse: &Ellipse<Local>, five: &[f64], line: &[Observation]) -> Vec<Vec<f64>> {
        let mut last = self.0.borrow_mut();
        match &*last {
            Some(f) if f.ellipse == *ellipse && f.line == line => f.cuts.clone(),
            _ => {
                let cuts = cuts(ellipse, five, line);
                *last = Some(Found { ellipse: *ellipse, line: line.to_vec(), cuts: cuts.clone() });
                cuts
            }
        }
    }
}

/// The starts of one try: each a form with its parameters. The caller takes the best optimum. `ellipse` fits
/// the line, `line` holds its points. The list is empty where there is no such start.
pub(super) fn starts(
    tried: Try,
    ellipse: &Ellipse<Local>,
    line: &[Observation],
    search: &CutSearch,
) -> Vec<(Form, Vec<f64>)> {
    let c = ellipse.centre();
    let (a, b) = (ellipse.semi_major_m(), ellipse.semi_minor_m());
    let five = vec![c.x, c.y, a, b, ellipse.turn_rad()];
    match tried.model {
        Model::FourArc => END_RADII
            .iter()
            .map(|r| {
                let mut p = five.clone();
                p.push(r * b);
                (Form::FourArc, p)
            })
            .collect(),
        Model::CutEllipse => match tried.cut() {
            Cut::Along(side) => DEPTHS_M
                .iter()
                .map(|depth| {
                    let mut p = five.clone();
                    p.extend([five[4] + f64::from(side) * FRAC_PI_2, b - depth.min(0.2 * b)]);
                    (Form::CutEllipse(tried.cut()), p)
                })
                .collect(),
            Cut::Anywhere => search
                .of(ellipse, &five, line)
                .into_iter()
                .skip(tried.start - SIDES.len())
                .take(1)
                .map(|p| (Form::CutEllipse(Cut::Anywhere), p))
                .collect(),
        },
        Model::Freeform => Freeform::off(*ellipse)
            .map(|f| {
                let form = Form::Freeform(Box::new(f));
                let p = vec![0.0; form.count()];
                (form, p)
            })
            .into_iter()
            .collect(),
        Model::Ellipse => vec![(Form::Ellipse, five)],
    }
}

/// Are these two the same cut? Two cuts within 10° of each other are on the same side of a ground.
pub(super) fn same_cut(p: &[f64], q: &[f64]) -> bool {
    (Vector::<Local>::at_angle(p[5]).dot(Vector::at_angle(q[5]))) > SAME_CUT
}

/// The likeliest cuts, found with a few of the points.
fn cuts(ellipse: &Ellipse<Local>, five: &[f64], line: &[Observation]) -> Vec<Vec<f64>> {
    let step = line.len().div_ceil(POINTS).max(1);
    let some = System {
        form: Form::CutEllipse(Cut::Anywhere),
        ..System::of(line.iter().copied().step_by(step).collect(), 0.0)
    };
    let reach = 4.0 * ellipse.semi_major_m();
    let mut found: Vec<(f64, Vec<f64>)> = (0..DIRECTIONS)
        .filter_map(|i| {
            // Directions count from the long axis, so that the search does not depend on the survey's
            // orientation.
            let direction = ellipse.turn_rad() + std::f64::consts::TAU * i as f64 / DIRECTIONS as f64;
            let mut p = five.to_vec();
            let depth = DEPTH_M.min(0.2 * ellipse.semi_minor_m());
            p.extend([direction, ellipse.support_m(Vector::at_angle(direction)) - depth]);
            let fitted = adjust(&p, &some, reach).ok()?;
            Some((fitted.sum, fitted.parameters))
        })
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut apart: Vec<Vec<f64>> = Vec::new();
    for (_, p) in found {
        if apart.len() < CUTS && !apart.iter().any(|q| same_cut(p.as_slice(), q)) {
            apart.push(p);
        }
    }
    apart
}
