//! A robust start: an ellipse through most of the points, which blunders don't move.
//!
//! Six points, one from each sixth of the way round, give an ellipse. Of many such ellipses the one nearest
//! to three quarters of all points is kept (least k-th residual: P. J. Rousseeuw, Least median of squares
//! regression, JASA 79, 1984; from memory). It is then refitted to the points near it until these no longer
//! change (the concentration steps of P. J. Rousseeuw and K. Van Driessen, Computing LTS regression for large
//! data sets, Data Mining and Knowledge Discovery 12, 2006; from memory). The random draws have a fixed seed,
//! so the same points always give the same ellipse.
//!
//! The ellipse comes from the direct fit. It is good enough for screening, but never an answer.

use super::direct;
use crate::frame::Local;
use crate::geometry::{Ellipse, Point};
use crate::numeric::Draws;

/// Draws of six points: with a fifth of them blunders a draw is clean once in four, so
/// all are spoilt once in 10^13.
const DRAWS: usize = 100;
/// Most points by which a draw is judged.
const JUDGES: usize = 240;
/// Most points that the concentration steps use.
const MOST: usize = 2000;
/// Share of the points that must lie near the ellipse.
const NEAR_SHARE: f64 = 0.75;
/// Most concentration steps; about six are usual.
const STEPS: usize = 20;
/// A point within this many standard deviations is near.
const NEAR: f64 = 3.0;
/// A point within this distance is near too, m: so small an error harms no fit of a ground.
const NEAR_LEAST_M: f64 = 0.1;
/// Fewest points among which an outlier can be found.
pub(super) const FEWEST: usize = 9;
/// 1/Φ⁻¹(¾): the standard deviation of a normal error over its median size.
pub(super) const MAD: f64 = 1.4826;

/// A robust ellipse, and the scatter of the points about it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Steady {
    pub(super) ellipse: Ellipse<Local>,
    /// Robust standard deviation of the points about it, m.
    pub(super) scatter_m: f64,
}

/// The median of some values (the upper one of two); `None` where there are none.
pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    let n = values.len();
    if n == 0 {
        return None;
    }
    let (_, m, _) = values.select_nth_unstable_by(n / 2, f64::total_cmp);
    Some(*m)
}

/// Robust standard deviation about zero.
pub(super) fn about_nought(values: impl Iterator<Item = f64>) -> Option<f64> {
    median(&mut values.map(f64::abs).collect::<Vec<_>>()).map(|m| MAD * m)
}

/// Every k-th, so that at most `most` remain.
fn thinned<T: Copy>(list: &[T], most: usize) -> Vec<T> {
    let step = list.len().div_ceil(most).max(1);
    list.iter().copied().step_by(step).collect()
}

/// Points in order of their direction from their median.
fn round(points: &[Point<Local>]) -> Vec<Point<Local>> {
    let middle = |pick: fn(&Point<Local>) -> f64| {
        median(&mut points.iter().map(pick).collect::<Vec<_>>()).unwrap_or(0.0)
    };
    let (x, y) = (middle(|p| p.x), middle(|p| p.y));
    let mut order: Vec<(f64, Point<Local>)> = points.iter().map(|p| ((p.y - y).atan2(p.x - x), *p)).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    order.into_iter().map(|o| o.1).collect()
}

/// The k-th smallest distance from an ellipse, to first order.
fn kth(e: &Ellipse<Local>, judges: &[Point<Local>]) -> f64 {
    let (c, long) = (e.centre(), crate::geometry::Vector::at_angle(e.turn_rad()));
    let (a, b) = (e.semi_major_m(), e.semi_minor_m());
    let mut off: Vec<f64> = judges
        .iter()
        .map(|p| {
            let d = *p - c;
            let (u, v) = (long.dot(d), long.cross(d));
            let f = (u / a).powi(2) + (v / b).powi(2) - 1.0;
            // Sampson's distance: the conic's value over the length of its gradient.
            f.abs() / (2.0 * (u / (a * a)).hypot(v / (b * b))).max(1e-9)
        })
        .collect();
    let k = ((NEAR_SHARE * off.len() as f64) as usize).min(off.len().saturating_sub(1));
    if off.is_empty() {
        return f64::INFINITY;
    }
    *off.select_nth_unstable_by(k, f64::total_cmp).1
}

/// An ellipse that three quarters of the points lie near; `None` where there is none.
pub(super) fn steady(points: &[Point<Local>]) -> Option<Steady> {
    if points.len() < FEWEST {
        return None;
    }
    let order = round(points);
    let judges = thinned(&order, JUDGES);
    let n = order.len();
    let mut draws = Draws::new(1);
    let mut best: Option<(f64, Ellipse<Local>)> = None;
    for _ in 0..DRAWS {
        let first = draws.below(n);
        let six: [Point<Local>; 6] = std::array::from_fn(|k| {
            let (lo, hi) = (k * n / 6, ((k + 1) * n / 6).max(k * n / 6 + 1));
            order[(first + lo + draws.below(hi - lo)) % n]
        });
        let Some(e) = direct::direct(&six) else { continue };
        let off = kth(&e, &judges);
        if best.is_none_or(|b| off < b.0) {
            best = Some((off, e));
        }
    }
    // All of them at once is a draw too, and the best one of a clean survey.
    if let Some(e) = direct::direct(&judges) {
        let off = kth(&e, &judges);
        if best.is_none_or(|b| off < b.0) {
            best = Some((off, e));
        }
    }
    let mut ellipse = best?.1;
    let used = thinned(&order, MOST);
    let mut kept = 0;
    for _ in 0..STEPS {
        let off: Vec<f64> = used.iter().map(|&p| ellipse.foot(p).signed_distance_m).collect();
        let limit = (NEAR * about_nought(off.iter().copied())?).max(NEAR_LEAST_M);
        let near: Vec<Point<Local>> =
            used.iter().zip(&off).filter(|(_, r)| r.abs() <= limit).map(|(p, _)| *p).collect();
        let Some(next) = direct::direct(&near) else { break };
        ellipse = next;
        if near.len() == kept {
            break;
        }
        kept = near.len();
    }
    let scatter_m = about_nought(used.iter().map(|&p| ellipse.foot(p).signed_distance_m))?;
    scatter_m.is_finite().then_some(Steady { ellipse, scatter_m })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn planted() -> Ellipse<Local> {
        Ellipse::new(Point::new(30.0, -12.0), [82.0, 66.0], 25.0).unwrap()
    }

    #[test]
    fn a_quarter_of_blunders_does_not_move_it() {
        let e = planted();
        let points: Vec<_> = (0..60)
            .map(|i| {
                let t = f64::from(i) * 0.1047;
                // Every fourth point is off by 5 to 60 m, all to one side of the plane.
                let wrong = if i % 4 == 0 { 5.0 + f64::from(i) } else { 0.0 };
                e.at_parameter(t) + crate::geometry::Vector::new(wrong, 0.4 * wrong)
            })
            .collect();
        let found = steady(&points).unwrap();
        // The rest are exact: 1e-6 m is the direct fit's rounding.
        assert!((found.ellipse.semi_major_m() - 82.0).abs() < 1e-6);
        assert!((found.ellipse.semi_minor_m() - 66.0).abs() < 1e-6);
        assert!(found.scatter_m < 1e-6);
    }

    #[test]
    fn too_few_points_and_rows_have_none() {
        let e = planted();
        let few: Vec<_> = (0..8).map(|i| e.at_parameter(f64::from(i))).collect();
        assert!(steady(&few).is_none());
        let row: Vec<_> = (0..30).map(|i| Point::new(f64::from(i), 2.0 * f64::from(i))).collect();
        assert!(steady(&row).is_none());
    }
}
