//! Checks before and after the fit: points far off, repeated points, points on a line, gaps.

use super::{FitError, SetAside, Why};
use crate::frame::Local;
use crate::geometry::Point;
use crate::survey::Observed;

/// Farthest that a point may lie from the middle of the survey, m: somewhat more than three times the
/// half-length of the longest lawful ground.
const FAR_M: f64 = 1_000.0;
/// Points lie on a straight line if the standard deviation across it over that along it is at most this.
/// 0.02 is a bend of 3 m in 60. A lawful oval has over 0.5, a quarter of one over 0.1.
const LINE_RATIO: f64 = 0.02;
/// Coverage (definitions): the largest gap seen from the centre, scoring ends left out, degrees.
pub(super) const GAP_LIMIT_DEG: f64 = 160.0;

/// Refuses points that are not numbers or lie far off.
pub(super) fn refuse_strays(points: &[(usize, &Observed)]) -> Result<(), FitError> {
    if let Some((_, bad)) = points.iter().find(|(_, p)| !p.at.is_finite()) {
        return Err(FitError::NotFinite { place: bad.place.clone() });
    }
    let median = |pick: fn(Point<Local>) -> f64| {
        let mut v: Vec<f64> = points.iter().map(|(_, p)| pick(p.at)).collect();
        v.sort_by(f64::total_cmp);
        v.get(v.len() / 2).copied().unwrap_or(0.0)
    };
    let middle = Point::new(median(|p| p.x), median(|p| p.y));
    let farthest =
        points.iter().max_by(|a, b| a.1.at.distance_to(middle).total_cmp(&b.1.at.distance_to(middle)));
    match farthest {
        Some((_, p)) if p.at.distance_to(middle) > FAR_M => Err(FitError::FarApart {
            place: p.place.clone(),
            distance_m: p.at.distance_to(middle),
            limit_m: FAR_M,
        }),
        _ => Ok(()),
    }
}

/// Removes points that repeat an earlier one to the last digit.
pub(super) fn set_repeats_aside<'a>(
    points: Vec<(usize, &'a Observed)>,
    set_aside: &mut Vec<SetAside>,
) -> Vec<(usize, &'a Observed)> {
    let mut seen: Vec<(u64, u64, usize)> = Vec::with_capacity(points.len());
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by(|&i, &j| {
        let (a, b) = (points[i].1.at, points[j].1.at);
        a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)).then(i.cmp(&j))
    });
    let mut repeated = vec![None; points.len()];
    for &i in &order {
        let p = points[i].1.at;
        // Adding zero turns −0 into 0, which is the same place.
        let key = ((p.x + 0.0).to_bits(), (p.y + 0.0).to_bits());
        match seen.last() {
            Some(&(x, y, first)) if (x, y) == key => repeated[i] = Some(first),
            _ => seen.push((key.0, key.1, i)),
        }
    }
    let mut kept = Vec::with_capacity(points.len());
    for (i, point) in points.iter().enumerate() {
        match repeated[i] {
            Some(first) => set_aside
                .push(SetAside { index: point.0, why: Why::Repeats { of: points[first].1.place.clone() } }),
            None => kept.push(*point),
        }
    }
    kept
}

/// Are the points on a line?
pub(super) fn on_a_line(points: &[Point<Local>]) -> bool {
    let n = points.len() as f64;
    let (mx, my) = (points.iter().map(|p| p.x).sum::<f64>() / n, points.iter().map(|p| p.y).sum::<f64>() / n);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in points {
        let (x, y) = (p.x - mx, p.y - my);
        xx += x * x;
        xy += x * y;
        yy += y * y;
    }
    let (mean, half) = (0.5 * (xx + yy), (0.5 * (xx - yy)).hypot(xy));
    // Small eigenvalue by the product, since the difference loses its digits.
    let small = ((xx * yy - xy * xy) / (mean + half)).max(0.0);
    small.sqrt() <= LINE_RATIO * (mean + half).sqrt()
}

/// The largest gap between neighbouring directions from the centre, without the parts of it that fall on
/// scoring ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gap {
    pub(super) gap_deg: f64,
    /// Directions of its two sides, degrees counter-clockwise from +x of the plane.
    pub(super) from_deg: f64,
    pub(super) to_deg: f64,
}

/// `ends`: directions of the scoring ends' middles and half the angle they take up, degrees.
pub(super) fn largest_gap(centre: Point<Local>, points: &[Point<Local>], ends: &[(f64, f64)]) -> Gap {
    let mut directions: Vec<f64> =
        points.iter().map(|p| *p - centre).map(|v| v.y.atan2(v.x).to_degrees().rem_euclid(360.0)).collect();
    directions.sort_by(f64::total_cmp);
    let n = directions.len();
    (0..n)
        .map(|i| {
            let from = directions[i];
            let to = directions[(i + 1) % n] + if i + 1 == n { 360.0 } else { 0.0 };
            let on_ends: f64 = ends
                .iter()
                .flat_map(|&(middle, half)| {
                    [-360.0, 0.0, 360.0].map(|turn| (middle + turn - half, middle + turn + half))
                })
                .map(|(lo, hi)| (hi.min(to) - lo.max(from)).max(0.0))
                .sum();
            Gap { gap_deg: to - from - on_ends, from_deg: from, to_deg: to }
        })
        .max_by(|a, b| a.gap_deg.total_cmp(&b.gap_deg))
        .unwrap_or(Gap { gap_deg: 360.0, from_deg: 0.0, to_deg: 360.0 })
}

/// Centre of the circle nearest to the points in the algebraic sense (I. Kåsa, IEEE
/// Trans. IM-25, 1976; citation from memory): good enough to look round from where
/// no ellipse was found. `None` for points on a line.
pub(super) fn rough_centre(points: &[Point<Local>]) -> Option<Point<Local>> {
    let n = points.len() as f64;
    let (mx, my) = (points.iter().map(|p| p.x).sum::<f64>() / n, points.iter().map(|p| p.y).sum::<f64>() / n);
    let (mut xx, mut xy, mut yy, mut zx, mut zy) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for p in points {
        let (x, y) = (p.x - mx, p.y - my);
        let z = x * x + y * y;
        xx += x * x;
        xy += x * y;
        yy += y * y;
        zx += z * x;
        zy += z * y;
    }
    // x² + y² = 2ax + 2by + c, in the least-squares sense.
    let det = 2.0 * (xx * yy - xy * xy);
    (det.abs() > 1e-9 * (xx + yy).powi(2))
        .then(|| Point::new(mx + (zx * yy - zy * xy) / det, my + (zy * xx - zx * xy) / det))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_gap_leaves_out_the_scoring_ends() {
        let points: Vec<_> = (0..=20)
            .map(|i| (f64::from(i) * 10.0).to_radians())
            .map(|a| Point::new(a.cos(), a.sin()))
            .collect();
        let bare = largest_gap(Point::ORIGIN, &points, &[]);
        assert!((bare.gap_deg - 160.0).abs() < 1e-9);
        assert!((bare.from_deg - 200.0).abs() < 1e-9);
        let less = largest_gap(Point::ORIGIN, &points, &[(270.0, 6.6), (90.0, 6.6)]);
        assert!((less.gap_deg - (160.0 - 13.2)).abs() < 1e-9);
    }

    #[test]
    fn the_rough_centre_of_a_circle_is_its_centre() {
        let arc: Vec<_> = (0..9)
            .map(|i| f64::from(i) * 0.1)
            .map(|a| Point::new(5.0 + 70.0 * a.cos(), 70.0 * a.sin() - 3.0))
            .collect();
        assert!(rough_centre(&arc).unwrap().distance_to(Point::new(5.0, -3.0)) < 1e-8);
        let row: Vec<_> = (0..9).map(|i| Point::new(f64::from(i), f64::from(i))).collect();
        assert!(rough_centre(&row).is_none());
    }

    #[test]
    fn a_bent_row_is_not_a_line_and_a_noisy_one_is() {
        let arc: Vec<_> =
            (0..9).map(|i| f64::from(i) * 0.15).map(|a| Point::new(80.0 * a.cos(), 65.0 * a.sin())).collect();
        assert!(!on_a_line(&arc));
        let row: Vec<_> = (0..9).map(|i| Point::new(f64::from(i) * 10.0, f64::from(i % 2) * 0.4)).collect();
        assert!(on_a_line(&row));
    }
}
