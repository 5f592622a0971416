//! What to face when throwing in: the landmark nearest to the direction in which the thrower faces.

use super::scene::Scene;
use crate::frame::Ground;
use crate::geometry::{Point, Vector};

/// The landmark to face from a spot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Backsight {
    /// Index among the landmarks.
    pub landmark: usize,
    /// From the landmark's middle to the direction to face, degrees, positive to the right.
    pub off_deg: f64,
    /// Half the angle that the landmark takes up, degrees.
    pub half_width_deg: f64,
    /// The same angle in half fists at arm's length; 0 where the direction to face falls on the landmark.
    pub half_fists: u32,
}

impl Backsight {
    /// The offset in fists at arm's length, to the half.
    #[must_use]
    pub fn fists(&self) -> f64 {
        f64::from(self.half_fists) / 2.0
    }
}

/// The landmark nearest to the direction `face` as seen from `p`; `None` where the nearest is too far off to
/// be of use (the practice's `backsight_limit_deg`). At `night` only landmarks that can be seen then count.
#[must_use]
pub fn backsight(scene: Scene<'_>, p: Point<Ground>, face: Vector<Ground>, night: bool) -> Option<Backsight> {
    let Scene { oval, around, practice } = scene;
    around
        .landmarks
        .iter()
        .enumerate()
        .filter(|(_, l)| l.at_night || !night)
        .filter_map(|(landmark, l)| {
            let (sight, half_width_deg) = l.sight(oval, p)?;
            // Counter-clockwise from the sight to the face is to the left.
            let off_deg = -sight.cross(face).atan2(sight.dot(face)).to_degrees();
            let beyond = (off_deg.abs() - half_width_deg).max(0.0);
            // In 0..=36 half fists for any practice, so the cast is exact.
            let half_fists =
                if beyond > 0.0 { (2.0 * off_deg.abs() / practice.fist_deg.value).round() as u32 } else { 0 };
            Some(Backsight { landmark, off_deg, half_width_deg, half_fists })
        })
        // The limit holds for the angle from the landmark's middle, which is what the card says. A landmark
        // that the direction to face falls on always counts.
        .filter(|b| b.half_fists == 0 || b.off_deg.abs() <= practice.backsight_limit_deg.value)
        .min_by(|a, b| a.off_deg.abs().total_cmp(&b.off_deg.abs()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::Surroundings;
    use crate::ground::{Landmark, WhereSeen, oval_for_tests as oval};
    use crate::rules::Practice;

    fn with(points: &[(f64, f64)]) -> Surroundings {
        // The plan of the test ground faces north: ground (x, y) is local (−y, x).
        Surroundings {
            landmarks: points
                .iter()
                .map(|&(x, y)| Landmark {
                    name: "silo".into(),
                    seen: WhereSeen::At(Point::new(-y, x)),
                    width_m: 4.0,
                    height_m: None,
                    at_night: false,
                })
                .collect(),
            ..Surroundings::default()
        }
    }

    #[test]
    fn says_how_far_right_or_left_in_half_fists() {
        let o = oval(165.0, 135.0);
        let p = Point::new(0.0, 67.5);
        let face = Vector::new(0.0, 1.0);
        // Facing +y, +x is to the right. A silo 100 m out and 17.6 m to the left: 10° off.
        let b = backsight(
            Scene { oval: &o, around: &with(&[(-17.633, 167.5)]), practice: &Practice::default() },
            p,
            face,
            false,
        )
        .unwrap();
        assert!((b.off_deg - 10.0).abs() < 0.01, "face lies to the right of the silo");
        assert_eq!(b.half_fists, 2);
        let on = backsight(
            Scene { oval: &o, around: &with(&[(1.0, 167.5)]), practice: &Practice::default() },
            p,
            face,
            false,
        )
        .unwrap();
        assert_eq!(on.half_fists, 0);
        assert!(
            backsight(
                Scene { oval: &o, around: &with(&[(100.0, 100.0)]), practice: &Practice::default() },
                p,
                face,
                false
            )
            .is_none()
        );
    }

    #[test]
    fn a_landmark_more_than_a_fist_and_a_half_off_is_none() {
        let o = oval(165.0, 135.0);
        let (p, face) = (Point::new(0.0, 67.5), Vector::new(0.0, 1.0));
        // 100 m out: 14.9° and 15.1° to the left, and 4 m wide, so that its edge is within 15° either way.
        let found = |off: f64| {
            let x = -100.0 * off.to_radians().tan();
            backsight(
                Scene { oval: &o, around: &with(&[(x, 167.5)]), practice: &Practice::default() },
                p,
                face,
                false,
            )
        };
        assert_eq!(found(14.9).map(|b| b.half_fists), Some(3));
        assert!(found(15.1).is_none());
    }

    #[test]
    fn the_nearest_to_the_line_wins() {
        let o = oval(165.0, 135.0);
        let b = backsight(
            Scene {
                oval: &o,
                around: &with(&[(-30.0, 167.5), (8.0, 120.0)]),
                practice: &Practice::default(),
            },
            Point::new(0.0, 67.5),
            Vector::new(0.0, 1.0),
            false,
        );
        assert_eq!(b.unwrap().landmark, 1);
    }
}
