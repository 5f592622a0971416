//! A label beside its mark: the first free place of 24 directions at each of 8 distances, the nearest first.

use super::space::{Place, Space};
use crate::page::TextBox;

/// Directions and distances that are tried.
const WAYS: u32 = 24;
const DISTANCES: u32 = 8;
/// From one distance to the next, mm.
const STEP: f64 = 1.1;
/// Free about a label, mm.
const CLEAR: f64 = 0.35;

/// A free place for a label of this size beside a mark of this radius, within a frame; what is taken with it.
/// Where it lies off the mark a leader goes to it.
pub(super) fn beside(
    mark: Place,
    radius: f64,
    size: (f64, f64),
    frame: &TextBox,
    space: &mut Space,
) -> Option<(TextBox, Option<(Place, Place)>)> {
    for distance in 0..DISTANCES {
        for way in 0..WAYS {
            // To the right first, then by turns above and below.
            let half = f64::from(way.div_ceil(2)) * if way % 2 == 0 { 1.0 } else { -1.0 };
            let (s, c) = (half * 360.0 / f64::from(WAYS)).to_radians().sin_cos();
            let off = radius + 0.5 + STEP * f64::from(distance);
            // The label's nearest point lies so far off the mark in that direction.
            let (x, y) = (
                mark.0 + off * c + 0.5 * size.0 * c.signum() * lean(c),
                mark.1 + off * s + 0.5 * size.1 * s.signum() * lean(s),
            );
            let wanted = TextBox {
                left: x - 0.5 * size.0,
                top: y - 0.5 * size.1,
                right: x + 0.5 * size.0,
                bottom: y + 0.5 * size.1,
            };
            let inside = wanted.left >= frame.left
                && wanted.right <= frame.right
                && wanted.top >= frame.top
                && wanted.bottom <= frame.bottom;
            if !inside || !space.is_free(&wanted.grown(CLEAR)) {
                continue;
            }
            let near = (mark.0.clamp(wanted.left, wanted.right), mark.1.clamp(wanted.top, wanted.bottom));
            let from = (mark.0 + radius * c, mark.1 + radius * s);
            let leader = (distance > 1).then_some((from, near));
            // A leader through another label would name that, and one across another could be either's.
            if leader.is_some_and(|(a, z)| space.meets_box(a, z) || space.crosses_line(a, z)) {
                continue;
            }
            space.take_box(wanted);
            if let Some((a, z)) = leader {
                space.take_line(&[a, z]);
            }
            return Some((wanted, leader));
        }
    }
    None
}

/// How far a label leans out in a direction: wholly along an axis, not at all across it.
fn lean(part: f64) -> f64 {
    (part.abs() * 1.5).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: TextBox = TextBox { left: 0.0, top: 0.0, right: 100.0, bottom: 100.0 };

    #[test]
    fn the_first_label_stands_to_the_right_and_the_next_elsewhere() {
        let mut space = Space::default();
        space.take_round((50.0, 50.0), 1.0);
        let (first, leader) = beside((50.0, 50.0), 1.0, (10.0, 3.0), &FRAME, &mut space).unwrap();
        assert!(first.left > 51.0 && first.left < 52.0 && leader.is_none(), "{first:?}");
        let (second, _) = beside((50.0, 50.0), 1.0, (10.0, 3.0), &FRAME, &mut space).unwrap();
        assert!(!second.meets(&first));
    }

    #[test]
    fn a_label_stays_within_its_frame_and_off_lines_or_has_no_place() {
        let mut space = Space::default();
        let (found, _) = beside((99.0, 1.0), 1.0, (10.0, 3.0), &FRAME, &mut space).unwrap();
        assert!(found.right <= 100.0 && found.top >= 0.0);
        let mut space = Space::default();
        for i in 0..60 {
            let y = 35.0 + 0.5 * f64::from(i);
            space.take_line(&[(30.0, y), (70.0, y)]);
        }
        assert!(beside((50.0, 50.0), 1.0, (10.0, 3.0), &FRAME, &mut space).is_none());
    }
}
