//! How far apart two lines are.
//!
//! Of lists of points only: vertices alone are not the line, so fill long legs with
//! [`filled`] first.

use super::{Plane, Point};

/// Greatest distance from a point of `a` to the nearest of `b`; `None` where either is empty.
#[must_use]
pub fn directed_hausdorff_m<F: Plane>(a: &[Point<F>], b: &[Point<F>]) -> Option<f64> {
    if b.is_empty() {
        return None;
    }
    let nearest = |p: &Point<F>| b.iter().map(|q| p.distance_to(*q)).fold(f64::INFINITY, f64::min);
    a.iter().map(nearest).reduce(f64::max)
}

/// The same to the *line* through the points of `b`, legs and all.
#[must_use]
pub fn directed_hausdorff_to_line_m<F: Plane>(a: &[Point<F>], b: &[Point<F>]) -> Option<f64> {
    if b.len() < 2 {
        return directed_hausdorff_m(a, b);
    }
    let to_leg = |p: &Point<F>, leg: &[Point<F>]| {
        let (way, from) = (leg[1] - leg[0], *p - leg[0]);
        let square = way.dot(way);
        let share = if square > 0.0 { (from.dot(way) / square).clamp(0.0, 1.0) } else { 0.0 };
        p.distance_to(leg[0] + way * share)
    };
    let nearest = |p: &Point<F>| b.windows(2).map(|leg| to_leg(p, leg)).fold(f64::INFINITY, f64::min);
    a.iter().map(nearest).reduce(f64::max)
}

/// Hausdorff distance: the greater of both directions.
#[must_use]
pub fn hausdorff_m<F: Plane>(a: &[Point<F>], b: &[Point<F>]) -> Option<f64> {
    Some(directed_hausdorff_m(a, b)?.max(directed_hausdorff_m(b, a)?))
}

/// Discrete Fréchet distance: the shortest leash that two walkers need who each go from point to
/// point, never back (T. Eiter and H. Mannila, TU Wien, 1994). Memory grows with `b` alone.
#[must_use]
pub fn frechet_m<F: Plane>(a: &[Point<F>], b: &[Point<F>]) -> Option<f64> {
    let mut row: Vec<f64> = Vec::with_capacity(b.len());
    for (i, p) in a.iter().enumerate() {
        // Where the walker on `b` was one step before, with the one on `a` where he was, and now.
        let mut behind = f64::INFINITY;
        let mut left = f64::INFINITY;
        for (j, q) in b.iter().enumerate() {
            let here = p.distance_to(*q);
            let above = row.get(j).copied().unwrap_or(f64::INFINITY);
            let least = if i == 0 && j == 0 { 0.0 } else { above.min(left).min(behind) };
            behind = above;
            left = here.max(least);
            if i == 0 { row.push(left) } else { row[j] = left }
        }
    }
    row.last().copied()
}

/// The points with every leg cut into so many equal parts.
#[must_use]
pub fn filled<F: Plane>(points: &[Point<F>], parts: u32) -> Vec<Point<F>> {
    let parts = parts.max(1);
    let mut out: Vec<Point<F>> = points
        .windows(2)
        .flat_map(|leg| {
            (0..parts).map(move |i| leg[0] + (leg[1] - leg[0]) * (f64::from(i) / f64::from(parts)))
        })
        .collect();
    out.extend(points.last());
    out
}

#[cfg(test)]
mod tests {
    use super::super::contract::Test;
    use super::*;

    #[test]
    fn nothing_is_apart_from_nothing() {
        let p = [Point::<Test>::new(0.0, 0.0)];
        assert_eq!(hausdorff_m(&p, &[]), None);
        assert_eq!(frechet_m(&[], &p), None);
        assert_eq!((hausdorff_m(&p, &p), frechet_m(&p, &p)), (Some(0.0), Some(0.0)));
        assert_eq!(filled(&[p[0], Point::new(4.0, 0.0)], 4).len(), 5);
    }
}
