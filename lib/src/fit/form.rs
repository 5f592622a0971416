//! The form of the curve that is adjusted: its parameters, and the curve that they give.

use std::sync::Arc;

use nalgebra::{Cholesky, DMatrix};

use super::observation::Observation;
use crate::frame::Local;
use crate::geometry::{ClosedCurve, CutEllipse, Ellipse, FourArc, Point, Shape, Spline, Vector};

/// The form of a curve in an adjustment.
///
/// The parameters are in radians and metres. An ellipse has x, y, two semi-axes in any order, and the turn of
/// the first. A four-arc oval adds the radius of the end arcs; a cut ellipse adds the direction and the
/// distance of the cut. A freeform line has its offsets from a fixed base instead.
#[derive(Debug, Clone, Default)]
pub(super) enum Form {
    #[default]
    Ellipse,
    FourArc,
    CutEllipse(Cut),
    Freeform(Box<Freeform>),
}

/// The prior on the direction in which an ellipse is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Cut {
    /// In any direction.
    Anywhere,
    /// Along the long axis, to its left (1) or its right (−1).
    Along(i8),
}

/// The base of a freeform line, and the priors on the smoothness of its offsets.
#[derive(Debug, Clone)]
pub(super) struct Freeform {
    pub(super) base: Ellipse<Local>,
    /// The priors on the offsets: see [`Smooth`].
    pub(super) smooths: Arc<Vec<Smooth>>,
    /// Index of the prior that is chosen, and the offsets' standard deviation with it.
    pub(super) chosen: (usize, f64),
    /// Matrix from offsets to the change of their least-squares ellipse.
    best_ellipse: Arc<DMatrix<f64>>,
}

/// Greatest depth of a cut in the prior, m: how deep a road cuts into an oval at most (common practice, no
/// source). The fit finds deeper cuts all the same.
const DEEPEST_M: f64 = 8.0;
/// A straight side follows a fence or a road, and goals are laid out along it. So this share of all cuts lies
/// along the axis with this standard deviation, degrees (common practice, no source); the rest lie in any
/// direction.
const ALONG: (f64, f64) = (0.5, 3.0);
/// The end arcs' radius over the shorter semi-axis, and its standard deviation (common practice, no source):
/// two thirds of painted ovals lie between 0.55 and 0.95.
const END_RADIUS: (f64, f64) = (0.75, 0.2);
/// Correlation lengths of the offsets along the line, m: from the bends of a pocket to whole flanks.
const LENGTHS_M: [f64; 2] = [20.0, 45.0];

/// The prior on a freeform line's offsets, for a standard deviation of one.
///
/// It is a Gaussian process along the base with the Matérn covariance of order 3/2, which allows kinks such
/// as those where a fence meets an oval. Distance is measured along the chord of a circle with the base's
/// perimeter, so that this is a covariance on a closed line too (C. E. Rasmussen and C. K. I. Williams,
/// Gaussian Processes for Machine Learning, 2006, section 4.2). Offsets that turn the base into another
/// ellipse have no prior: the process describes departures from the best ellipse.
///
/// With Q = K⁻¹ and E the five columns of offsets that make another ellipse, the precision
/// is P = Q − QE(EᵀQE)⁻¹EᵀQ.
#[derive(Debug, Clone)]
pub(super) struct Smooth {
    /// P.
    pub(super) precision: DMatrix<f64>,
    /// Rows L with LᵀL = P.
    pub(super) rows: DMatrix<f64>,
    /// ln |EᵀQE| − ln |Q|.
    pub(super) log_volume: f64,
}

impl Freeform {
    /// A freeform line on this base, with no smoothness chosen yet.
    pub(super) fn off(base: Ellipse<Local>) -> Option<Self> {
        let spline = Spline::new(base, &[0.0; Spline::<Local>::OFFSETS]).ok()?;
        let moves = ellipse_moves(&base, &spline);
        let smooths: Vec<Smooth> =
            LENGTHS_M.iter().filter_map(|&length| Smooth::new(&base, length, &moves)).collect();
        let best_ellipse = (moves.transpose() * &moves).cholesky()?.solve(&moves.transpose());
        let (smooths, best_ellipse) = (Arc::new(smooths), Arc::new(best_ellipse));
        (smooths.len() == LENGTHS_M.len()).then_some(Self { base, smooths, chosen: (0, 1.0), best_ellipse })
    }

    /// From offsets to changes of the x, y, semi-axes and turn of their best ellipse.
    pub(super) fn best_ellipse(&self) -> &DMatrix<f64> {
        &self.best_ellipse
    }
}

/// Offsets that make another ellipse of the base: a column each for x, y, the semi-axes and the turn.
fn ellipse_moves(base: &Ellipse<Local>, spline: &Spline<Local>) -> DMatrix<f64> {
    let k = spline.offsets_m().len();
    let mut moves = DMatrix::zeros(k, 5);
    for i in 0..k {
        let t = std::f64::consts::TAU * i as f64 / k as f64;
        let foot = base.foot(base.at_parameter(t));
        for (j, m) in base.normal_motion(&foot).iter().enumerate() {
            moves[(i, j)] = *m;
        }
    }
    moves
}

impl Smooth {
    fn new(base: &Ellipse<Local>, length_m: f64, moves: &DMatrix<f64>) -> Option<Self> {
        let k = moves.nrows();
        let around = base.perimeter_m();
        let step = std::f64::consts::TAU / k as f64;
        let arcs: Vec<f64> = (0..k).map(|i| base.arc(step * i as f64)).collect();
        let covariance = DMatrix::from_fn(k, k, |i, j| {
            let chord = around / std::f64::consts::PI
                * (std::f64::consts::PI * (arcs[i] - arcs[j]) / around).sin().abs();
            let x = 3f64.sqrt() * chord / length_m;
            (1.0 + x) * (-x).exp()
        });
        let factor = covariance.cholesky()?;
        let q = factor.inverse();
        let qe = &q * moves;
        let eqe = (moves.transpose() * &qe).cholesky()?;
        let p = &q - &qe * eqe.solve(&qe.transpose());
        let p = (&p + p.transpose()) * 0.5;
        let eigen = nalgebra::SymmetricEigen::try_new(p.clone(), f64::EPSILON, 10_000)?;
        let largest = eigen.eigenvalues.amax();
        let kept: Vec<usize> = (0..k).filter(|&i| eigen.eigenvalues[i] > 1e-10 * largest).collect();
        let rows = DMatrix::from_fn(kept.len(), k, |r, c| {
            eigen.eigenvalues[kept[r]].sqrt() * eigen.eigenvectors[(c, kept[r])]
        });
        Some(Self { precision: p, rows, log_volume: log_det(&eqe) + log_det(&factor) })
    }
}

/// Logarithm of the determinant of the matrix that has this Cholesky factor.
pub(super) fn log_det(factor: &Cholesky<f64, nalgebra::Dyn>) -> f64 {
    2.0 * factor.l_dirty().diagonal().iter().map(|d| d.ln()).sum::<f64>()
}

pub(super) fn ellipse_of(p: &[f64]) -> Option<Ellipse<Local>> {
    Ellipse::from_radians(Point::new(p[0], p[1]), [p[2], p[3]], p[4]).ok()
}

impl Form {
    #[cfg(test)]
    pub(super) fn model(&self) -> crate::geometry::Model {
        use crate::geometry::Model;
        match self {
            Self::Ellipse => Model::Ellipse,
            Self::FourArc => Model::FourArc,
            Self::CutEllipse(_) => Model::CutEllipse,
            Self::Freeform(_) => Model::Freeform,
        }
    }

    /// Number of parameters.
    pub(super) fn count(&self) -> usize {
        match self {
            Self::Ellipse => 5,
            Self::FourArc => 6,
            Self::CutEllipse(_) => 7,
            Self::Freeform(_) => Spline::<Local>::OFFSETS,
        }
    }

    /// Number of parameters that have no prior.
    pub(super) fn free(&self) -> usize {
        if matches!(self, Self::Freeform(_)) { 5 } else { self.count() }
    }

    /// The curve; `None` where the parameters give none. Except for the ellipse, the first semi-axis must be
    /// the longer.
    pub(super) fn curve(&self, p: &[f64]) -> Option<Shape<Local>> {
        if let Self::Ellipse = self {
            return ellipse_of(p).map(Shape::Ellipse);
        }
        if let Self::Freeform(f) = self {
            return Spline::new(f.base, p.get(..self.count())?).ok().map(Shape::Freeform);
        }
        if p[2] < p[3] {
            return None;
        }
        if let Self::FourArc = self {
            let centre = Point::new(p[0], p[1]);
            return FourArc::new(centre, [p[2], p[3]], p[5], p[4].to_degrees()).ok().map(Shape::FourArc);
        }
        CutEllipse::new(ellipse_of(p)?, p[5].to_degrees(), p[6]).ok().map(Shape::CutEllipse)
    }

    /// Logarithm of the prior density of the parameters that an ellipse does not have, apart from the prior
    /// in [`Form::known`]: the cut is up to [`DEEPEST_M`] deep, along either side or in any direction.
    pub(super) fn log_prior(&self, p: &[f64]) -> f64 {
        let known = self.known(p).map_or(0.0, |(_, sd)| -(sd * std::f64::consts::TAU.sqrt()).ln());
        known
            + match self {
                Self::CutEllipse(Cut::Along(_)) => (0.5 * ALONG.0 / DEEPEST_M).ln(),
                Self::CutEllipse(Cut::Anywhere) => {
                    ((1.0 - ALONG.0) / (std::f64::consts::TAU * DEEPEST_M)).ln()
                }
                _ => 0.0,
            }
    }

    /// The prior on one parameter as an observation, with its standard deviation. It is needed because a
    /// nearly round line, for example, does not fix its end radius.
    pub(super) fn known(&self, p: &[f64]) -> Option<(Observation, f64)> {
        match self {
            Self::FourArc => {
                let (middle, sd) = (END_RADIUS.0 * p[3], END_RADIUS.1 * p[3]);
                Some((Observation::Prior { parameter: 5, value: middle, sd }, sd))
            }
            Self::CutEllipse(Cut::Along(side)) => {
                let sd = ALONG.1.to_radians();
                let value = f64::from(*side) * std::f64::consts::FRAC_PI_2;
                Some((Observation::Turn { from: 4, to: 5, value, sd }, sd))
            }
            _ => None,
        }
    }

    /// The same form about another origin.
    pub(super) fn moved(&self, by: Vector<Local>) -> Option<Self> {
        Some(match self {
            Self::Freeform(f) => {
                let e = &f.base;
                let axes = [e.semi_major_m(), e.semi_minor_m()];
                let base = Ellipse::from_radians(e.centre() + by, axes, e.turn_rad()).ok()?;
                Self::Freeform(Box::new(Freeform { base, ..(**f).clone() }))
            }
            other => other.clone(),
        })
    }

    /// Index of the first parameter of each place, which moves with the origin.
    pub(super) fn moves(&self) -> &'static [usize] {
        if matches!(self, Self::Freeform(_)) { &[] } else { &[0] }
    }

    /// Indices of the parameters that are directions.
    pub(super) fn directions(&self) -> &'static [usize] {
        match self {
            Self::Ellipse | Self::FourArc => &[4],
            Self::CutEllipse(_) => &[4, 5],
            Self::Freeform(_) => &[],
        }
    }

    /// Indices of the parameters that grow by as much as the whole line moves outward.
    pub(super) fn sizes(&self) -> &'static [usize] {
        const OFFSETS: [usize; 64] = {
            let mut all = [0; 64];
            let mut i = 0;
            while i < all.len() {
                all[i] = i;
                i += 1;
            }
            all
        };
        match self {
            Self::Ellipse => &[2, 3],
            Self::FourArc => &[2, 3, 5],
            Self::CutEllipse(_) => &[2, 3, 6],
            Self::Freeform(_) => &OFFSETS,
        }
    }

    /// The place that the curve lies round, and its longer semi-axis, m.
    pub(super) fn about(&self, p: &[f64]) -> (Point<Local>, f64) {
        match self {
            Self::Freeform(f) => (f.base.centre(), f.base.semi_major_m()),
            _ => (Point::new(p[0], p[1]), p[2].abs().max(p[3].abs())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_makes_another_ellipse_costs_nothing_and_what_does_not_costs() {
        let base = Ellipse::new(Point::new(3.0, 4.0), [80.0, 65.0], 20.0).unwrap();
        let f = Freeform::off(base).unwrap();
        let spline = Spline::new(base, &[0.0; 64]).unwrap();
        let moves = ellipse_moves(&base, &spline);
        for s in f.smooths.iter() {
            // To the rounding of an inverse whose condition is some 1e4.
            assert!((&s.precision * &moves).amax() < 1e-6 * s.precision.amax() * moves.amax());
            assert_eq!(s.rows.nrows(), 59);
            assert!((s.rows.transpose() * &s.rows - &s.precision).amax() < 1e-8 * s.precision.amax());
            let bump = nalgebra::DVector::from_fn(64, |i, _| if i == 10 { 1.0 } else { 0.0 });
            assert!((bump.transpose() * &s.precision * &bump)[(0, 0)] > 1.0);
        }
    }

    #[test]
    fn each_form_makes_its_curve() {
        let p = [1.0, 2.0, 80.0, 65.0, 0.3, 50.0];
        assert!(matches!(Form::FourArc.curve(&p), Some(Shape::FourArc(_))));
        assert!(Form::FourArc.curve(&[1.0, 2.0, 60.0, 65.0, 0.3, 50.0]).is_none());
        let cut = [1.0, 2.0, 80.0, 65.0, 0.3, 1.9, 60.0];
        assert!(matches!(Form::CutEllipse(Cut::Anywhere).curve(&cut), Some(Shape::CutEllipse(_))));
        let base = Ellipse::new(Point::new(3.0, 4.0), [80.0, 65.0], 20.0).unwrap();
        let form = Form::Freeform(Box::new(Freeform::off(base).unwrap()));
        assert_eq!(form.curve(&[0.0; 64]).unwrap().kind(), form.model());
        let there = form.moved(Vector::new(10.0, 0.0)).unwrap();
        assert!((there.about(&[]).0.x - 13.0).abs() < 1e-12);
    }
}
