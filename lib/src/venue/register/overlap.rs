//! How much one ground overlaps another. This finds a ground that is registered twice, under two names.

use geo::{Area, BooleanOps, LineString, Polygon};

use crate::frame::{Local, LocalPlane};
use crate::geometry::Point;
use crate::ground::Ground;

/// Steps along a boundary, m. The chords of an arc of radius 60 m lie 2²/(8 · 60) m inside it, a hundredth of
/// a metre: negligible beside half of the area.
const STEP_M: f64 = 2.0;

/// Grounds whose datum points are farther apart than this don't overlap, m: a datum point is in the middle of
/// its survey, and no ground is that long.
const APART_M: f64 = 1_000.0;

/// The share of the smaller ground's area that lies on the other, 0 to 1; each ground comes with its plane.
/// `None` where one of the planes has no place on the Earth, so that they can't be related.
#[must_use]
pub fn overlap_share(a: (&Ground, &LocalPlane), b: (&Ground, &LocalPlane)) -> Option<f64> {
    let apart = planes_apart_m(a.1, b.1)?;
    if apart > APART_M {
        return Some(0.0);
    }
    let here = polygon(a.0, Some);
    let there = polygon(b.0, |p| a.1.to_local(&b.1.to_geodetic(p)?))?;
    let here = here?;
    let smaller = here.unsigned_area().min(there.unsigned_area());
    let share = here.intersection(&there).unsigned_area() / smaller;
    share.is_finite().then(|| share.clamp(0.0, 1.0))
}

/// The distance between the datum points of two planes, m; `None` where one has no place on the Earth.
#[must_use]
pub fn planes_apart_m(a: &LocalPlane, b: &LocalPlane) -> Option<f64> {
    a.datum_point()?;
    // A datum point that this plane can't represent lies beyond its horizon.
    Some(a.to_local(&b.datum_point()?).map_or(f64::INFINITY, |p| p.distance_to(Point::ORIGIN)))
}

fn polygon(ground: &Ground, to: impl Fn(Point<Local>) -> Option<Point<Local>>) -> Option<Polygon<f64>> {
    let oval = ground.oval();
    let ring: Option<Vec<(f64, f64)>> = oval
        .boundary()
        .ring(STEP_M)
        .into_iter()
        .map(|p| to(oval.plan().to_local(p)).map(|q| (q.x, q.y)))
        .collect();
    Some(Polygon::new(LineString::from(ring?), Vec::new()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::{Outline, Spread};
    use crate::frame::{Datum, Degrees, Geodetic};
    use crate::rules::RuleSet;

    fn ground(x: f64, y: f64, turn: f64) -> Ground {
        let o = Outline::from_parameters(&[x, y, 83.35, 67.5, turn, x, y, turn, 82.5]).unwrap();
        Ground::new(&o, &Spread::none(), RuleSet::laws()).unwrap()
    }

    fn plane(latitude: f64, longitude: f64) -> LocalPlane {
        let at = Geodetic::new(Degrees { latitude, longitude }, 100.0, Datum::Gda2020).unwrap();
        LocalPlane::at(at).unwrap()
    }

    #[test]
    fn a_ground_lies_on_itself_and_not_on_one_far_off() {
        let p = plane(-36.7, 144.9);
        let here = ground(0.0, 0.0, 12.0);
        let share = |other: &Ground, q: &LocalPlane| overlap_share((&here, &p), (other, q)).unwrap();
        assert!((share(&here, &p) - 1.0).abs() < 1e-9);
        assert_eq!(share(&ground(300.0, 0.0, 12.0), &p), 0.0);
        assert_eq!(share(&here, &plane(-36.8, 144.9)), 0.0);
        assert_eq!(share(&here, &plane(36.7, -35.0)), 0.0);
        assert_eq!(overlap_share((&here, &p), (&here, &LocalPlane::own())), None);
    }

    /// Two equal ellipses a distance d apart along their axis share (2/π)(acos t − t√(1 − t²)) of their area,
    /// with t = d/2a: the same as two unit circles, scaled by (a, b).
    #[test]
    fn a_shift_leaves_the_share_that_two_circles_have() {
        let p = plane(-36.7, 144.9);
        let here = ground(0.0, 0.0, 0.0);
        for d in [10.0, 40.0, 67.0, 120.0] {
            let t = d / (2.0 * 83.35_f64);
            let want = 2.0 / std::f64::consts::PI * (t.acos() - t * (1.0 - t * t).sqrt());
            let got = overlap_share((&here, &p), (&ground(0.0, d, 0.0), &p)).unwrap();
            // The straight scoring ends cut half a metre of 19.2 m off each end: 10 of 17,600 m².
            assert!((got - want).abs() < 2e-3, "{d}: {got} {want}");
        }
    }

    #[test]
    fn planes_of_two_datum_points_are_joined_by_the_earth() {
        // A ten-thousandth of a degree of latitude is 11.1 m.
        let (p, q) = (plane(-36.7, 144.9), plane(-36.7001, 144.9));
        let (here, there) = (ground(0.0, 0.0, 12.0), ground(0.0, 11.1, 12.0));
        let share = overlap_share((&here, &p), (&there, &q)).unwrap();
        assert!(share > 0.999, "{share}");
        assert!((planes_apart_m(&p, &q).unwrap() - 11.1).abs() < 0.05);
    }

    #[test]
    fn of_a_small_ground_in_a_large_one_all_overlaps() {
        let small = Outline::from_parameters(&[5.0, 5.0, 45.0, 35.0, 70.0, 5.0, 5.0, 70.0, 43.0]).unwrap();
        let small = Ground::new(&small, &Spread::none(), RuleSet::laws()).unwrap();
        let p = plane(-36.7, 144.9);
        let share = overlap_share((&ground(0.0, 0.0, 12.0), &p), (&small, &p)).unwrap();
        assert!((share - 1.0).abs() < 1e-6, "{share}");
    }
}
