//! Start stations for two officials: the bounce and every restart.

use super::sight::look;
use crate::boundary::{End, Side};
use crate::frame::Ground;
use crate::geometry::{Point, Vector, distance_to_segment};
use crate::ground::{ArcAndSquare, Hazard, Oval, Painted, Surroundings};
use crate::rules::Practice;

/// Which two of the four start stations the officials take, diagonally opposite.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Diagonal {
    /// The left line's official toward end A, the right line's toward end B.
    First,
    /// The left line's official toward end B, the right line's toward end A.
    Second,
}

impl Diagonal {
    /// Toward which end the official of a side stands.
    #[must_use]
    pub fn end_of(self, side: Side) -> End {
        if (self == Self::First) == (side == Side::Left) { End::A } else { End::B }
    }
}

/// A look from a start station along something that is painted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sight {
    /// Unit vector of the look.
    pub look: Vector<Ground>,
    /// What is looked along is so far off the look at its near end, m.
    pub beside_m: f64,
    /// And the look is so far off its direction, degrees.
    pub off_deg: f64,
    /// The hazard, by its number, that lies in the look, the nearest of them.
    pub crosses: Option<usize>,
}

/// The start stations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Metres from the centre along the goal axis.
    pub x_m: f64,
    /// Metres from the goal axis.
    pub y_m: f64,
    /// Metres goal-side of the square's corner; 0 where the arc's top lies inside the square.
    pub beyond_corner_m: f64,
    /// On a short ground, the angle from the station to the arc's top, degrees
    /// from the square's end edge.
    pub arc_top_angle_deg: Option<f64>,
    /// How arc and square lie.
    pub arc_and_square: ArcAndSquare,
    /// What is painted to line up on.
    pub painted: Painted,
}

/// Players that must be there when play starts, both sides together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counts {
    /// Inside each arc.
    pub in_arc: u32,
    /// In the square.
    pub in_square: u32,
    /// On each wing.
    pub on_wing: u32,
}

impl Start {
    /// The station on one side toward one end; the partner's has the other side and the other end.
    #[must_use]
    pub fn station(&self, side: Side, end: End) -> Point<Ground> {
        Point::new(end.sign() * self.x_m, side.sign() * self.y_m)
    }

    /// The two looks from a station: down the square's side line to its far corner, and along the
    /// arc's top. On a short ground, where the station is level with the square's corner and the top
    /// lies inside, the look at the top is off the top's own direction: an arc seen askew.
    #[must_use]
    pub fn sights(&self, oval: &Oval, around: &Surroundings, side: Side, end: End) -> [Sight; 2] {
        let at = self.station(side, end);
        let half = 0.5 * oval.rules().square_side_m.value;
        let top = Point::new(end.sign() * (oval.half_length_m() - oval.rules().arc_radius_m.value), 0.0);
        let across = Vector::new(0.0, -side.sign());
        let down = Vector::new(-end.sign(), 0.0);
        let to_top = look(at, top, across);
        // As far as what is looked at: the far end of the side line, and the arc's top.
        let crosses = |to: Point<Ground>| {
            let hits = |h: &Hazard| distance_to_segment(oval.plan().to_ground(h.at), at, to) <= h.radius_m;
            let away = |i: usize| oval.plan().to_ground(around.hazards[i].at).distance_to(at);
            (0..around.hazards.len())
                .filter(|&i| hits(&around.hazards[i]))
                .min_by(|&i, &j| away(i).total_cmp(&away(j)))
        };
        let far_corner = Point::new(-end.sign() * half, at.y);
        [
            Sight { look: down, beside_m: at.y.abs() - half, off_deg: 0.0, crosses: crosses(far_corner) },
            Sight {
                look: to_top,
                beside_m: (at.x - top.x).abs(),
                off_deg: to_top.angle_to_deg(across),
                crosses: crosses(top),
            },
        ]
    }

    /// What the official at a station counts: players inside the arc of that end, on that side's wing,
    /// and whoever stands over the square's side line there.
    #[must_use]
    pub fn counts(&self, oval: &Oval) -> Counts {
        let r = oval.rules();
        // Whole numbers of players, both sides together.
        let both = |n: f64| (2.0 * n).round().clamp(0.0, 1000.0) as u32;
        Counts {
            in_arc: both(r.start_in_arc.value),
            in_square: both(r.start_in_square.value),
            on_wing: both(r.start_on_wing.value),
        }
    }

    /// Both diagonals, each the two officials' stations.
    #[must_use]
    pub fn diagonals(&self) -> [[(Side, End); 2]; 2] {
        [[(Side::Left, End::A), (Side::Right, End::B)], [(Side::Right, End::A), (Side::Left, End::B)]]
    }
}

/// |x| = max(L/2 − R, S/2), |y| = S/2 + 0.5, diagonally opposite.
///
/// Where no arcs are painted the square's corner is what one can find; where no square is, the arc's top, the
/// side line paced from the goal axis. `None` where neither is painted: nothing to find a station by.
#[must_use]
pub fn start(oval: &Oval, around: &Surroundings, practice: &Practice) -> Option<Start> {
    let r = oval.rules();
    let s = 0.5 * r.square_side_m.value;
    let top = oval.half_length_m() - r.arc_radius_m.value;
    let painted = around.painted;
    let x_m = match (painted.square, painted.arcs) {
        (true, true) => top.max(s),
        (true, false) => s,
        (false, true) => top,
        (false, false) => return None,
    };
    Some(Start {
        x_m,
        y_m: s + practice.square_clear_m.value,
        beyond_corner_m: (x_m - s).max(0.0),
        arc_top_angle_deg: (painted.arcs && x_m > top).then(|| ((s - top) / s).atan().to_degrees()),
        arc_and_square: oval.arc_and_square(),
        painted,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::oval_for_tests as oval;

    #[test]
    fn level_with_the_arc_top_outside_the_square() {
        let s = start(&oval(158.0, 128.0), &Surroundings::default(), &Practice::default()).unwrap();
        assert!((s.x_m - 29.0).abs() < 1e-9 && (s.beyond_corner_m - 4.0).abs() < 1e-9);
        assert!((s.y_m - 25.5).abs() < 1e-12);
        assert!(s.arc_top_angle_deg.is_none());
        let [[(a, e), (b, f)], _] = s.diagonals();
        assert_eq!((Diagonal::First.end_of(a), Diagonal::First.end_of(b)), (e, f));
        let (p, q) = (s.station(a, e), s.station(b, f));
        assert!((p.x + q.x).abs() < 1e-12 && (p.y + q.y).abs() < 1e-12);
    }

    #[test]
    fn a_short_ground_gives_the_angle_to_the_arc_top() {
        // From the definitions: 14.6° at L = 137 m.
        let s = start(&oval(137.0, 112.0), &Surroundings::default(), &Practice::default()).unwrap();
        assert!((s.x_m - 25.0).abs() < 1e-12);
        assert!((s.arc_top_angle_deg.unwrap() - 14.6).abs() < 0.05);
    }

    #[test]
    fn both_looks_run_along_the_paint_on_a_long_ground() {
        let o = oval(158.0, 128.0);
        let s = start(&o, &Surroundings::default(), &Practice::default()).unwrap();
        for side in Side::BOTH {
            for end in End::BOTH {
                let [down, across] = s.sights(&o, &Surroundings::default(), side, end);
                assert_eq!((down.crosses, across.crosses), (None, None));
                assert!((down.beside_m - 0.5).abs() < 1e-12 && down.look.x * end.sign() < 0.0);
                // Level with the top: along the arc's own direction there.
                assert!(across.off_deg < 1e-9 && across.beside_m < 1e-9);
                assert!(across.look.y * side.sign() < 0.0);
            }
        }
        let short = oval(137.0, 112.0);
        let bare = Surroundings::default();
        let [_, askew] =
            start(&short, &bare, &Practice::default()).unwrap().sights(&short, &bare, Side::Left, End::A);
        // atan(6.5 / 25.5): from half a metre outside the square's side.
        assert!((askew.off_deg - (6.5f64 / 25.5).atan().to_degrees()).abs() < 1e-9);
    }

    #[test]
    fn a_hazard_in_a_look_is_told() {
        let o = oval(158.0, 128.0);
        let hazard =
            |x, y| Hazard { name: "cover".into(), at: o.plan().to_local(Point::new(x, y)), radius_m: 1.0 };
        // In the look down the left side line, in that along the arc's top of end A, and beyond both.
        let around = Surroundings {
            hazards: vec![hazard(-10.0, 26.0), hazard(29.3, 12.0), hazard(40.0, 26.0)],
            ..Surroundings::default()
        };
        let s = start(&o, &around, &Practice::default()).unwrap();
        let crosses = |side, end| s.sights(&o, &around, side, end).map(|l| l.crosses);
        assert_eq!(crosses(Side::Left, End::A), [Some(0), Some(1)]);
        assert_eq!(crosses(Side::Left, End::B), [Some(0), None]);
        assert_eq!(crosses(Side::Right, End::A), [None, None]);
    }

    #[test]
    fn thirty_six_players_make_the_count() {
        // AFL rule changes, 2019: six a side inside each arc, four in the square, the wings.
        let o = oval(158.0, 128.0);
        let c = start(&o, &Surroundings::default(), &Practice::default()).unwrap().counts(&o);
        assert_eq!((c.in_arc, c.in_square, c.on_wing), (12, 8, 2));
        assert_eq!(2 * c.in_arc + c.in_square + 2 * c.on_wing, 36);
    }

    #[test]
    fn what_is_not_painted_is_not_lined_up_on() {
        let o = oval(158.0, 128.0);
        let on = |square, arcs| {
            let around = Surroundings { painted: Painted { square, arcs }, ..Surroundings::default() };
            start(&o, &around, &Practice::default())
        };
        assert!((on(true, false).unwrap().x_m - 25.0).abs() < 1e-12);
        assert!((on(false, true).unwrap().x_m - 29.0).abs() < 1e-9);
        assert!(on(false, false).is_none());
    }
}
