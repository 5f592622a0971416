//! What a plan of a ground shows, as places of the ground frame: the line with its run-off and its ±, markings,
//! fence, hazards, landmarks, norths. How it is drawn, and at what size, is no matter of a briefing.

use super::Briefing;
use super::watch::Thing;
use crate::boundary::{End, Side};
use crate::frame::Ground as GroundFrame;
use crate::geometry::{Point, Vector};
use crate::ground::{FencePart, Mark, MarkKind, Oval, WhereSeen};
use crate::units::Measured;
use crate::venue::Venue;

/// A place of the boundary, and what there is outside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgePoint {
    /// The line that it is on; `None` on a scoring end.
    pub side: Option<Side>,
    /// The place.
    pub at: Point<GroundFrame>,
    /// Outward unit normal there.
    pub normal: Vector<GroundFrame>,
    /// Straight out to the fence, m; `None` where it was not surveyed.
    pub fence_m: Option<f64>,
    /// Is the fence nearer than the rule set warns at?
    pub tight: bool,
    /// Half of the 95 % interval of where the line is, along the normal, m; nought where none of it could be seen
    /// on any paper.
    pub half_width_m: f64,
}

/// A painted line or another code's, as points.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnMark {
    /// What it is: the Laws' word, or another mark's own name.
    pub name: String,
    /// What kind, where it belongs to another code.
    pub other: Option<MarkKind>,
    /// Its points, in order; a closed one ends where it starts.
    pub points: Vec<Point<GroundFrame>>,
}

/// A hazard with its number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnHazard {
    /// Its index in the venue file.
    pub index: usize,
    /// Its number on a plan: that of its row under WATCH; those that are on no row follow.
    pub number: usize,
    /// Its middle.
    pub at: Point<GroundFrame>,
    /// Its radius, m.
    pub radius_m: f64,
    /// Does it stand in a row of WATCH?
    pub watched: bool,
}

/// A landmark as seen from the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnLandmark {
    /// Its index in the venue file.
    pub index: usize,
    /// Where it stands; `None`: far off, on a bearing.
    pub at: Option<Point<GroundFrame>>,
    /// From the centre toward it.
    pub toward: Vector<GroundFrame>,
}

/// A stretch of fence, or spots, under WATCH, with its number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnStretch {
    /// The number of its row.
    pub number: usize,
    /// The place of the line at its middle.
    pub at: Point<GroundFrame>,
    /// Outward unit normal there.
    pub normal: Vector<GroundFrame>,
    /// Straight out to the fence there, m, where it was surveyed.
    pub fence_m: Option<f64>,
}

/// What a plan shows beside what the briefing has already.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The boundary all round, from end A's left behind post anticlockwise seen from above, and back to it.
    pub edge: Vec<EdgePoint>,
    /// The fence's own line, where it was surveyed.
    pub fence: Vec<Point<GroundFrame>>,
    /// Markings, and what else is marked.
    pub marks: Vec<DrawnMark>,
    /// Goal posts and behind posts, end A's first: behind, goal, goal, behind from left to right.
    pub posts: Vec<Point<GroundFrame>>,
    /// Hazards, in the order of their numbers.
    pub hazards: Vec<DrawnHazard>,
    /// Landmarks, in the venue file's order.
    pub landmarks: Vec<DrawnLandmark>,
    /// Stretches of fence under WATCH, in the order of their rows.
    pub stretches: Vec<DrawnStretch>,
    /// True north.
    pub north: Vector<GroundFrame>,
    /// Magnetic north on the day, where declination is known.
    pub magnetic: Option<Vector<GroundFrame>>,
}

/// Points of the line are no farther apart than this, m: at 1 : 500 they are 4 mm apart, and the line between them
/// is 2 cm off a curve of 25 m radius.
const STEP_M: f64 = 2.0;
/// A line whose size is known better than this shows none of its ± on paper, m: 0.25 mm at 1 : 1,000.
const SEEN_M: f64 = 0.25;

impl Drawing {
    /// What a plan of a venue shows.
    #[must_use]
    pub fn of(venue: &Venue, b: &Briefing) -> Self {
        let oval = venue.ground.oval();
        let here = |b| oval.plan().direction(b);
        // A bearing of nought is a bearing.
        let north = crate::units::TrueBearing::from_degrees(0.0).map(here).unwrap_or(Vector::new(1.0, 0.0));
        // Magnetic north bears the declination from true north, east positive.
        let magnetic =
            b.declination.and_then(|d| crate::units::TrueBearing::from_degrees(d.east_deg()).ok()).map(here);
        let around = &venue.document.surroundings;
        Self {
            edge: edge(venue, b),
            fence: around.fence.line.iter().map(|p| oval.plan().to_ground(*p)).collect(),
            marks: marks(venue, b),
            posts: End::BOTH.into_iter().flat_map(|end| posts(oval, end)).collect(),
            hazards: hazards(venue, b),
            landmarks: landmarks(venue),
            stretches: stretches(venue, b),
            north,
            magnetic,
        }
    }
}

fn posts(oval: &Oval, end: End) -> [Point<GroundFrame>; 4] {
    let [l, r] = Side::BOTH;
    [oval.behind_post(l, end), oval.goal_post(l, end), oval.goal_post(r, end), oval.behind_post(r, end)]
}

/// So many equal parts of a length.
fn parts(length_m: f64) -> u32 {
    // A boundary is under 2 km round, so the cast is exact.
    (length_m / STEP_M).ceil().clamp(1.0, 1000.0) as u32
}

fn edge(venue: &Venue, b: &Briefing) -> Vec<EdgePoint> {
    let oval = venue.ground.oval();
    let (line, fence) = (oval.boundary(), venue.document.surroundings.fence.on(oval));
    let warn = venue.document.rules.run_off_warn_m.value;
    let rough = [&b.sizes.length, &b.sizes.width]
        .into_iter()
        .any(|m: &Option<Measured>| m.is_none_or(|m| m.half_width() > SEEN_M));
    let mut out = Vec::new();
    for (side, from, to) in [(Side::Left, End::A, End::B), (Side::Right, End::B, End::A)] {
        let length = line.line_length_m(side);
        let n = parts(length);
        for i in 0..=n {
            let metres = length * f64::from(i) / f64::from(n);
            let at = line.at(line.chainage_from_post_m(side, from, metres));
            let fence_m = fence.distance_at(at.chainage_m);
            let half_width_m = if rough { half_width(venue, side, from, metres) } else { 0.0 };
            out.push(EdgePoint {
                side: Some(side),
                at: at.point,
                normal: at.normal,
                fence_m,
                tight: fence_m.is_some_and(|d| d < warn),
                half_width_m,
            });
        }
        // The scoring end from this line's last post to the other line's first.
        let (a, z) = (line.corner(side, to), line.corner(side.other(), to));
        let middle = line.at(0.5
            * (line.chainage_from_post_m(side, to, 0.0)
                + match side {
                    Side::Left => line.chainage_from_post_m(Side::Right, to, 0.0),
                    Side::Right => line.perimeter_m(),
                }));
        let fence_m = fence.distance_at(middle.chainage_m);
        for p in [a, a.midpoint(z), z] {
            out.push(EdgePoint {
                side: None,
                at: p,
                normal: Vector::new(to.sign(), 0.0),
                fence_m,
                tight: fence_m.is_some_and(|d| d < warn),
                half_width_m: 0.0,
            });
        }
    }
    out
}

/// The line's own ± at a place of it, across itself.
fn half_width(venue: &Venue, side: Side, end: End, metres: f64) -> f64 {
    let there = |o: &Oval| o.boundary().at(o.boundary().chainage_from_post_m(side, end, metres));
    let at = there(venue.ground.oval());
    // Seen from the nominal ground's own frame: on each oval the place is brought into the plane and back.
    let plan = venue.ground.oval().plan();
    venue
        .ground
        .measure(|o| Some((plan.to_ground(o.plan().to_local(there(o).point)) - at.point).dot(at.normal)))
        .map_or(0.0, |m| m.half_width())
}

fn marks(venue: &Venue, b: &Briefing) -> Vec<DrawnMark> {
    let oval = venue.ground.oval();
    let around = &venue.document.surroundings;
    let mut out = Vec::new();
    for marking in &b.markings {
        let painted = match marking.name {
            "centre square" => around.painted.square,
            "50 m arc" | "arc" => around.painted.arcs,
            _ => true,
        };
        let points = points_of(oval, marking.mark);
        if painted && points.len() > 1 {
            let moved = marking.name == "centre square" && around.square_at.is_moved();
            let points =
                if moved { points.into_iter().map(|p| moved_square(venue, p)).collect() } else { points };
            out.push(DrawnMark { name: marking.name.to_owned(), other: None, points });
        }
    }
    out.extend(around.other_marks.iter().map(|m| DrawnMark {
        name: m.name.clone(),
        other: Some(m.kind),
        points: m.points(oval),
    }));
    out
}

/// A corner of the centre square where it is painted.
fn moved_square(venue: &Venue, p: Point<GroundFrame>) -> Point<GroundFrame> {
    let at = venue.document.surroundings.square_at;
    // Clockwise seen from above is against the frame's own sense.
    Point::ORIGIN + Vector::new(at.along_m, at.across_m) + (p - Point::ORIGIN).turned_deg(-at.turn_deg)
}

fn points_of(oval: &Oval, mark: Mark) -> Vec<Point<GroundFrame>> {
    let round = |centre: Point<GroundFrame>, from: Vector<GroundFrame>, turn_deg: f64| {
        let n = parts(from.length() * turn_deg.to_radians()).max(24);
        (0..=n).map(|i| centre + from.turned_deg(turn_deg * f64::from(i) / f64::from(n))).collect()
    };
    match mark {
        Mark::Post(_) => Vec::new(),
        Mark::Segment(a, z) => vec![a, z],
        Mark::Circle { centre, radius_m } => round(centre, Vector::new(radius_m, 0.0), 360.0),
        Mark::Arc { centre, from, to, .. } => {
            let (a, z) = (from - centre, to - centre);
            let turn = a.cross(z).atan2(a.dot(z)).to_degrees().rem_euclid(360.0);
            round(centre, a, turn)
        }
        Mark::Along { from_m, to_m } => {
            let n = parts(to_m - from_m);
            let at = |i: u32| from_m + (to_m - from_m) * f64::from(i) / f64::from(n);
            (0..=n).map(|i| oval.boundary().at(at(i)).point).collect()
        }
    }
}

fn hazards(venue: &Venue, b: &Briefing) -> Vec<DrawnHazard> {
    let plan = venue.ground.oval().plan();
    let all = &venue.document.surroundings.hazards;
    let row = |hazard: usize| {
        b.watch.iter().position(|w| matches!(w.thing, Thing::Hazard { index, .. } if index == hazard))
    };
    let drawn = |index: usize, number: usize, watched: bool| DrawnHazard {
        index,
        number,
        at: plan.to_ground(all[index].at),
        radius_m: all[index].radius_m,
        watched,
    };
    let mut out: Vec<DrawnHazard> =
        (0..all.len()).filter_map(|i| Some(drawn(i, row(i)? + 1, true))).collect();
    crate::numeric::sort_by_key(&mut out, |h| h.number);
    let rest: Vec<usize> = (0..all.len()).filter(|i| row(*i).is_none()).collect();
    out.extend(rest.into_iter().enumerate().map(|(n, i)| drawn(i, b.watch.len() + 1 + n, false)));
    out
}

fn landmarks(venue: &Venue) -> Vec<DrawnLandmark> {
    let oval = venue.ground.oval();
    let all = venue.document.surroundings.landmarks.iter().enumerate();
    all.filter_map(|(index, l)| {
        let at = match l.seen {
            WhereSeen::At(at) => Some(oval.plan().to_ground(at)),
            WhereSeen::Bearing(_) => None,
        };
        Some(DrawnLandmark { index, at, toward: l.sight(oval, Point::ORIGIN)?.0 })
    })
    .collect()
}

fn stretches(venue: &Venue, b: &Briefing) -> Vec<DrawnStretch> {
    let oval = venue.ground.oval();
    let fence = venue.document.surroundings.fence.on(oval);
    let mut out = Vec::new();
    let mut push = |number: usize, chainage_m: f64| {
        let at = oval.boundary().at(chainage_m);
        let nearest = fence.nearest_at(at.chainage_m).filter(|(_, part)| *part != FencePart::AllRound);
        let fence_m = nearest.map(|(d, _)| d).or_else(|| fence.distance_at(at.chainage_m));
        out.push(DrawnStretch { number, at: at.point, normal: at.normal, fence_m });
    };
    for (row, w) in b.watch.iter().enumerate() {
        match &w.thing {
            Thing::Fence { along, .. } => {
                for s in along {
                    let length = oval.boundary().line_length_m(s.side);
                    let middle = 0.5 * (s.from.to_a_m(length) + s.to.to_a_m(length));
                    push(row + 1, oval.boundary().chainage_from_post_m(s.side, End::A, middle));
                }
            }
            Thing::MayBeNear { spots, .. } => {
                for (side, end, name) in spots {
                    if let Some(found) = b.row(*side, *end, *name) {
                        push(row + 1, found.spot.chainage_m);
                    }
                }
            }
            Thing::Hazard { .. } | Thing::NotSurveyed => {}
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::briefing::briefing;
    use crate::ground::outline_for_tests as outline;
    use crate::units::Day;
    use crate::venue::for_tests::{hazard, landmark, tight, venue};

    fn of(more: &str) -> (Venue, Briefing, Drawing) {
        let v = venue(&outline(165.0, 135.0), more).0;
        let b = briefing(&v, Day::new(2026, 8, 1).unwrap());
        let d = Drawing::of(&v, &b);
        (v, b, d)
    }

    #[test]
    fn the_edge_runs_once_round_and_knows_what_is_outside() {
        let o = outline(165.0, 135.0);
        let near = tight(&o, (Side::Left, End::A), 50.0, 2.4, 40.0);
        let (v, _, d) = of(&format!("\n[fence]\ndistance_m = 6.0\n{near}"));
        let around = v.ground.oval().boundary().perimeter_m();
        let length: f64 = d.edge.windows(2).map(|w| w[0].at.distance_to(w[1].at)).sum();
        // Chords of 2 m on a curve of 60 m radius are short of it by 5e-5 of themselves.
        assert!((length - around).abs() < 1e-4 * around, "{length} {around}");
        assert!(d.edge[0].at.distance_to(d.edge[d.edge.len() - 1].at) < 1e-6);
        let tight: Vec<_> = d.edge.iter().filter(|p| p.tight).collect();
        assert!(tight.iter().all(|p| p.side == Some(Side::Left) && p.fence_m == Some(2.4)));
        // 40 m of it, found at points 2 m apart.
        assert!((19..=21).contains(&tight.len()), "{}", tight.len());
        assert!(d.edge.iter().all(|p| p.tight || p.fence_m == Some(6.0)));
        // A centimetre of ± is not to be seen at any scale of a card.
        assert!(d.edge.iter().all(|p| p.half_width_m == 0.0));
    }

    #[test]
    fn hazards_have_the_numbers_of_their_rows_and_the_rest_follow() {
        let o = outline(165.0, 135.0);
        let far = "\n[[hazard]]\nname = \"pile\"\nx_m = 150\ny_m = 0\nradius_m = 1\n";
        let more = far.to_owned()
            + &hazard(&o, "bench", (Side::Left, End::A), 30.0, 3.0)
            + &hazard(&o, "tap", (Side::Right, End::A), 60.0, 1.2);
        let (_, b, d) = of(&("\n[fence]\ndistance_m = 6.0\n".to_owned() + &more));
        assert_eq!(b.watch.len(), 2);
        let numbers: Vec<_> = d.hazards.iter().map(|h| (h.number, h.index, h.watched)).collect();
        // The tap is in somebody's way, so it comes first; the pile is far from the line.
        assert_eq!(numbers, [(1, 2, true), (2, 1, true), (3, 0, false)]);
    }

    #[test]
    fn north_is_where_the_axis_says_and_landmarks_where_they_stand() {
        let o = outline(165.0, 135.0);
        let (v, _, d) = of(&landmark(&o, "gum", (Side::Left, End::A), 60.0, 40.0));
        // The axis of the test ground bears north.
        assert!((d.north - Vector::new(1.0, 0.0)).length() < 1e-9 && d.magnetic.is_none());
        let [gum] = &d.landmarks[..] else { panic!("{d:?}") };
        let at = gum.at.unwrap();
        assert!((v.ground.oval().boundary().outside_m(at) - 40.0).abs() < 0.5, "{at:?}");
        assert!(at.y > 0.0 && gum.toward.cross(at - Point::ORIGIN).abs() < 1e-6);
    }

    #[test]
    fn what_is_not_painted_is_not_drawn_and_a_moved_square_is_drawn_where_it_is() {
        let square = |d: &Drawing| -> Vec<Point<GroundFrame>> {
            d.marks.iter().filter(|m| m.name == "centre square").flat_map(|m| m.points.clone()).collect()
        };
        assert_eq!(square(&of("").2).len(), 8);
        let moved = square(&of("[centre_square]\nalong_m = 3\n").2);
        assert!(moved.iter().all(|p| (p.x - 28.0).abs() < 1e-9 || (p.x + 22.0).abs() < 1e-9), "{moved:?}");
        assert!(square(&of("[painted]\nsquare = false\n").2).is_empty());
    }
}
