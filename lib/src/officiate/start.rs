//! Start stations for two officials, at the centre bounce and every restart.

use super::scene::Scene;
use super::sight::look;
use crate::boundary::{End, Side};
use crate::frame::Ground;
use crate::geometry::{Point, Vector, distance_to_segment};
use crate::ground::{ArcAndSquare, Hazard, Oval, Painted, Parting, Surroundings};
use crate::rules::Sourced;

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

/// What an official at a start station looks along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SightAlong {
    /// The square's side line.
    SquareSide,
    /// The arc's top.
    ArcTop,
    /// The zone line.
    ZoneLine,
}

impl SightAlong {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::SquareSide => "the square's side line",
            Self::ArcTop => "the arc's top",
            Self::ZoneLine => "the zone line",
        }
    }
}

/// A line of sight from a start station along something that is marked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sight {
    /// Along what.
    pub along: SightAlong,
    /// Unit vector of the line of sight.
    pub look: Vector<Ground>,
    /// Distance between the station and the marking, m: how far the station is off the marking's line.
    pub beside_m: f64,
    /// Angle between the line of sight and the marking's direction, degrees.
    pub off_deg: f64,
    /// The nearest hazard in the line of sight, by its index.
    pub crosses: Option<usize>,
}

/// What gives a start station's distance from the goal axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StartBy {
    /// Just outside the square's side line, or the extension of that line.
    SquareSide {
        /// Metres from the goal axis.
        y_m: f64,
        /// Metres goal-side of the square's corner; 0 where the arc's top lies inside the square.
        beyond_corner_m: f64,
    },
    /// On the official's own line: there is no square, or it does not fit.
    OwnLine,
}

/// The start stations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Metres from the centre along the goal axis.
    pub x_m: f64,
    /// What gives their distance from the goal axis.
    pub by: StartBy,
    /// On a short ground, where the arc's top lies inside the square: the angle at the square's corner
    /// between its end edge and the direction to the arc's top, degrees.
    pub arc_top_angle_deg: Option<f64>,
    /// How arc and square lie; `None` where there is no square, or a zone line in place of an arc.
    pub arc_and_square: Option<ArcAndSquare>,
    /// Which of the ground's markings are painted, so that one can line up on them.
    pub painted: Painted,
    /// In the order left A, left B, right A, right B.
    at: [Point<Ground>; 4],
}

/// How many players must be in each place when play starts, both teams together; `None` where the rule set
/// does not say, or the ground has no such place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Counts {
    /// Inside each arc.
    pub in_arc: Option<u32>,
    /// Of them, in the goal square.
    pub in_goal_square: Option<u32>,
    /// In the square.
    pub in_square: Option<u32>,
    /// On each wing.
    pub on_wing: Option<u32>,
    /// In each end zone.
    pub in_end_zone: Option<u32>,
    /// In the middle zone.
    pub in_middle_zone: Option<u32>,
}

impl Start {
    /// Metres from the goal axis; `None` where the station is on the own line.
    #[must_use]
    pub fn y_m(&self) -> Option<f64> {
        match self.by {
            StartBy::SquareSide { y_m, .. } => Some(y_m),
            StartBy::OwnLine => None,
        }
    }

    /// Metres goal-side of the square's corner; 0 level with it, or where there is no square.
    #[must_use]
    pub fn beyond_corner_m(&self) -> f64 {
        match self.by {
            StartBy::SquareSide { beyond_corner_m, .. } => beyond_corner_m,
            StartBy::OwnLine => 0.0,
        }
    }

    /// The station on one side toward one end; the partner's station is diagonally opposite.
    #[must_use]
    pub fn station(&self, side: Side, end: End) -> Point<Ground> {
        self.at[2 * usize::from(side == Side::Right) + usize::from(end == End::B)]
    }

    /// The direction in which the official at a station faces: down the square's side line, or from the own
    /// line to the centre.
    #[must_use]
    pub fn facing(&self, side: Side, end: End) -> Vector<Ground> {
        let down = Vector::new(-end.sign(), 0.0);
        match self.by {
            StartBy::SquareSide { .. } => down,
            StartBy::OwnLine => look(self.station(side, end), Point::ORIGIN, down),
        }
    }

    /// The lines of sight from a station: down the square's side line to its far corner, and along the arc's
    /// top or the zone line. What is not marked is left out. On a short ground, where the station is level
    /// with the square's corner and the arc's top lies inside the square, the arc's top is seen at an angle
    /// ([`Sight::off_deg`]).
    #[must_use]
    pub fn sights(&self, oval: &Oval, around: &Surroundings, side: Side, end: End) -> Vec<Sight> {
        let at = self.station(side, end);
        let across = Vector::new(0.0, -side.sign());
        let down = Vector::new(-end.sign(), 0.0);
        // The nearest hazard in the line of sight up to what is looked at: the side line's far end, or the
        // arc's top.
        let crosses = |to: Point<Ground>| {
            let hits = |h: &Hazard| distance_to_segment(oval.plan().to_ground(h.at), at, to) <= h.radius_m;
            let away = |i: usize| oval.plan().to_ground(around.hazards[i].at).distance_to(at);
            (0..around.hazards.len())
                .filter(|&i| hits(&around.hazards[i]))
                .min_by(|&i, &j| away(i).total_cmp(&away(j)))
        };
        let mut all = Vec::with_capacity(2);
        if let (true, Some(half)) = (self.painted.square, oval.square_half_m()) {
            all.push(Sight {
                along: SightAlong::SquareSide,
                look: down,
                beside_m: at.y.abs() - half,
                off_deg: 0.0,
                crosses: crosses(Point::new(-end.sign() * half, at.y)),
            });
        }
        let along = match oval.parting() {
            Parting::Arc { .. } if self.painted.arcs => SightAlong::ArcTop,
            Parting::ZoneLine { .. } => SightAlong::ZoneLine,
            Parting::Arc { .. } | Parting::GoalRange { .. } => return all,
        };
        let top = Point::new(end.sign() * oval.arc_top_m(), 0.0);
        let to_top = look(at, top, across);
        all.push(Sight {
            along,
            look: to_top,
            beside_m: (at.x - top.x).abs(),
            off_deg: to_top.angle_to_deg(across),
            crosses: crosses(top),
        });
        all
    }

    /// The numbers of players that the officials check before play starts.
    #[must_use]
    pub fn counts(&self, oval: &Oval) -> Counts {
        let r = oval.rules();
        // Whole numbers of players, both teams together.
        let both = |n: f64| (2.0 * n).round().clamp(0.0, 1000.0) as u32;
        let of = |number: Sourced, there: bool| number.given().filter(|_| there).map(both);
        let arcs = matches!(oval.parting(), Parting::Arc { .. });
        let zones = matches!(oval.parting(), Parting::ZoneLine { .. });
        let square = oval.square_half_m().is_some();
        Counts {
            in_arc: of(r.start_in_arc, arcs),
            in_goal_square: of(r.start_in_goal_square, arcs),
            in_square: of(r.start_in_square, square),
            on_wing: of(r.start_on_wing, square),
            in_end_zone: of(r.start_in_end_zone, zones),
            in_middle_zone: of(r.start_in_middle_zone, zones),
        }
    }

    /// Both diagonals, each the two officials' stations.
    #[must_use]
    pub fn diagonals(&self) -> [[(Side, End); 2]; 2] {
        [[(Side::Left, End::A), (Side::Right, End::B)], [(Side::Right, End::A), (Side::Left, End::B)]]
    }
}

/// The start stations: |x| = max(L/2 − R, S/2) and |y| = S/2 + 0.5, where L is the ground's length, R the
/// arc's radius and S the square's side. The two officials are diagonally opposite.
///
/// Without a square, or with one that does not fit, the stations are on the official's own line, level with
/// the arc's top or the zone line. Where no arcs are painted, they are level with the square's corner. Where
/// no square is painted, they are level with the arc's top, and S/2 is paced from the goal axis. `None` where
/// neither is painted, so that nothing is there to find a station by.
#[must_use]
pub fn start(scene: Scene<'_>) -> Option<Start> {
    let Scene { oval, around, practice } = scene;
    let top = oval.arc_top_m();
    let is_arc = matches!(oval.parting(), Parting::Arc { .. });
    let painted = Painted {
        square: around.painted.square && oval.square_half_m().is_some(),
        arcs: around.painted.arcs && is_arc,
    };
    if is_arc && !painted.square && !painted.arcs {
        return None;
    }
    // The edge of goal range is not painted: it is paced from the posts. Where the square is not painted
    // either, the station is on the own line.
    let half = oval.square_half_m().filter(|_| painted.square || painted.arcs);
    let Some(s) = half else {
        let level = |side, end: End| oval.boundary().level_with(side, end.sign() * top);
        return Some(Start {
            x_m: top,
            by: StartBy::OwnLine,
            arc_top_angle_deg: None,
            arc_and_square: None,
            painted,
            at: stations(level),
        });
    };
    let x_m = match (painted.square, is_arc && !painted.arcs) {
        (true, false) => top.max(s),
        (true, true) => s,
        (false, _) => top,
    };
    let y_m = s + practice.square_clear_m.value;
    Some(Start {
        x_m,
        by: StartBy::SquareSide { y_m, beyond_corner_m: (x_m - s).max(0.0) },
        arc_top_angle_deg: (painted.arcs && x_m > top).then(|| ((s - top) / s).atan().to_degrees()),
        arc_and_square: oval.arc_and_square(),
        painted,
        at: stations(|side, end| Point::new(end.sign() * x_m, side.sign() * y_m)),
    })
}

fn stations(at: impl Fn(Side, End) -> Point<Ground>) -> [Point<Ground>; 4] {
    [at(Side::Left, End::A), at(Side::Left, End::B), at(Side::Right, End::A), at(Side::Right, End::B)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::{outline_for_tests, oval_for_tests as oval};
    use crate::rules::Practice;
    use crate::rules::RuleSet;

    #[test]
    fn level_with_the_arc_top_outside_the_square() {
        let s = start(Scene {
            oval: &oval(158.0, 128.0),
            around: &Surroundings::default(),
            practice: &Practice::default(),
        })
        .unwrap();
        let StartBy::SquareSide { y_m, beyond_corner_m } = s.by else { panic!() };
        assert!((s.x_m - 29.0).abs() < 1e-9 && (beyond_corner_m - 4.0).abs() < 1e-9);
        assert!((y_m - 25.5).abs() < 1e-12);
        assert!(s.arc_top_angle_deg.is_none());
        let [[(a, e), (b, f)], _] = s.diagonals();
        assert_eq!((Diagonal::First.end_of(a), Diagonal::First.end_of(b)), (e, f));
        let (p, q) = (s.station(a, e), s.station(b, f));
        assert!((p.x + q.x).abs() < 1e-12 && (p.y + q.y).abs() < 1e-12);
    }

    #[test]
    fn a_short_ground_gives_the_angle_to_the_arc_top() {
        // From the definitions: 14.6° at L = 137 m.
        let s = start(Scene {
            oval: &oval(137.0, 112.0),
            around: &Surroundings::default(),
            practice: &Practice::default(),
        })
        .unwrap();
        assert!((s.x_m - 25.0).abs() < 1e-12);
        assert!((s.arc_top_angle_deg.unwrap() - 14.6).abs() < 0.05);
    }

    #[test]
    fn both_looks_run_along_the_paint_on_a_long_ground() {
        let o = oval(158.0, 128.0);
        let s = start(Scene { oval: &o, around: &Surroundings::default(), practice: &Practice::default() })
            .unwrap();
        for side in Side::BOTH {
            for end in End::BOTH {
                let [down, across] = s.sights(&o, &Surroundings::default(), side, end)[..] else { panic!() };
                assert_eq!((down.crosses, across.crosses), (None, None));
                assert!((down.beside_m - 0.5).abs() < 1e-12 && down.look.x * end.sign() < 0.0);
                // Level with the top: along the arc's own direction there.
                assert!(across.off_deg < 1e-9 && across.beside_m < 1e-9);
                assert!(across.look.y * side.sign() < 0.0);
            }
        }
        let short = oval(137.0, 112.0);
        let bare = Surroundings::default();
        let askew = start(Scene { oval: &short, around: &bare, practice: &Practice::default() })
            .unwrap()
            .sights(&short, &bare, Side::Left, End::A)[1];
        // atan(6.5 / 25.5): from half a metre outside the square's side.
        assert!((askew.off_deg - (6.5f64 / 25.5).atan().to_degrees()).abs() < 1e-9);
    }

    #[test]
    fn a_hazard_in_a_look_is_told() {
        let o = oval(158.0, 128.0);
        let hazard =
            |x, y| Hazard { name: "cover".into(), at: o.plan().to_local(Point::new(x, y)), radius_m: 1.0 };
        // One in the line of sight down the left side line, one in that along the arc's top of end A, and one
        // beyond both.
        let around = Surroundings {
            hazards: vec![hazard(-10.0, 26.0), hazard(29.3, 12.0), hazard(40.0, 26.0)],
            ..Surroundings::default()
        };
        let s = start(Scene { oval: &o, around: &around, practice: &Practice::default() }).unwrap();
        let crosses =
            |side, end| s.sights(&o, &around, side, end).iter().map(|l| l.crosses).collect::<Vec<_>>();
        assert_eq!(crosses(Side::Left, End::A), [Some(0), Some(1)]);
        assert_eq!(crosses(Side::Left, End::B), [Some(0), None]);
        assert_eq!(crosses(Side::Right, End::A), [None, None]);
    }

    #[test]
    fn thirty_six_players_make_the_count() {
        // AFL rule changes, 2019: six a side inside each arc, four in the square, the wings.
        let o = oval(158.0, 128.0);
        let c = start(Scene { oval: &o, around: &Surroundings::default(), practice: &Practice::default() })
            .unwrap()
            .counts(&o);
        let want = Counts {
            in_arc: Some(12),
            in_goal_square: Some(2),
            in_square: Some(8),
            on_wing: Some(2),
            ..Counts::default()
        };
        assert_eq!(c, want);
        assert_eq!(2 * 12 + 8 + 2 * 2, 36);
    }

    #[test]
    fn what_is_not_painted_is_not_lined_up_on() {
        let o = oval(158.0, 128.0);
        let on = |square, arcs| {
            let around = Surroundings { painted: Painted { square, arcs }, ..Surroundings::default() };
            start(Scene { oval: &o, around: &around, practice: &Practice::default() })
        };
        assert!((on(true, false).unwrap().x_m - 25.0).abs() < 1e-12);
        assert!((on(false, true).unwrap().x_m - 29.0).abs() < 1e-9);
        assert!(on(false, false).is_none());
    }

    fn with(length: f64, width: f64, rules: RuleSet) -> (Oval, Start) {
        let o = Oval::new(&outline_for_tests(length, width), rules).unwrap();
        let practice = o.rules().practice.clone();
        let s = start(Scene { oval: &o, around: &Surroundings::default(), practice: &practice }).unwrap();
        (o, s)
    }

    #[test]
    fn without_a_square_one_starts_on_the_own_line_level_with_the_zone_line() {
        let (o, s) = with(100.0, 50.0, RuleSet::nine_a_side());
        assert_eq!(s.by, StartBy::OwnLine);
        for side in Side::BOTH {
            for end in End::BOTH {
                let at = s.station(side, end);
                // Zones of 30, 40 and 30 m: the line is 20 m from the centre.
                assert!((at.x - end.sign() * 20.0).abs() < 1e-6, "{}", at.x);
                assert!(o.boundary().outside_m(at).abs() < 1e-6 && at.y * side.sign() > 0.0);
                let sights = s.sights(&o, &Surroundings::default(), side, end);
                assert_eq!(sights.iter().map(|l| l.along).collect::<Vec<_>>(), [SightAlong::ZoneLine]);
                assert!(s.facing(side, end).angle_to_deg(Point::ORIGIN - at) < 1e-9);
            }
        }
        assert_eq!(s.counts(&o), Counts::default(), "no count of eighteen a side for nine");
        // What a league says is counted.
        let mut rules = RuleSet::nine_a_side();
        assert!(rules.set("start_in_end_zone", 3.0) && rules.set("start_in_middle_zone", 3.0));
        let (o, s) = with(100.0, 50.0, rules);
        let c = s.counts(&o);
        assert_eq!((c.in_end_zone, c.in_middle_zone, c.in_arc), (Some(6), Some(6), None));
    }

    #[test]
    fn a_square_that_does_not_fit_leaves_the_own_line() {
        let (o, s) = with(90.0, 60.0, RuleSet::laws());
        assert_eq!(s.by, StartBy::OwnLine);
        let at = s.station(Side::Right, End::B);
        // Goal range's circle: 18 m of 90.
        assert!((at.x + 27.0).abs() < 1e-6 && o.boundary().outside_m(at).abs() < 1e-6);
        assert!(s.sights(&o, &Surroundings::default(), Side::Right, End::B).is_empty());
        assert_eq!(s.counts(&o), Counts::default());
    }

    #[test]
    fn a_square_on_a_ground_too_short_for_arcs_keeps_its_side_line() {
        let (o, s) = with(100.0, 80.0, RuleSet::laws());
        // Level with the top of goal range's circle, 20 m of 100, past the square's corner at 25.
        assert!((s.x_m - 30.0).abs() < 1e-9);
        assert_eq!(s.by, StartBy::SquareSide { y_m: 25.5, beyond_corner_m: s.x_m - 25.0 });
        let sights = s.sights(&o, &Surroundings::default(), Side::Left, End::A);
        assert_eq!(sights.iter().map(|l| l.along).collect::<Vec<_>>(), [SightAlong::SquareSide]);
        let c = s.counts(&o);
        assert_eq!((c.in_arc, c.in_square), (None, Some(8)));
    }
}
