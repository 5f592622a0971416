//! Crews of three and four: two officials on one line, 50 to 60 m apart along it, the ball between them.

use super::Case;
use super::kick_in::kick_in;
use super::play::{Moment, NoPositions, Positions, partner_post, positions, positions_anyway, short_of};
use super::post::post_station;
use super::scene::Scene;
use super::stand::in_goal_range;
use super::start::start;
use super::station::{Phase, Reason, Station};
use crate::boundary::{End, Side};
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::{Oval, Spot, SpotRef};
use crate::rules::Practice;

/// How many officials there are, and on which lines there are two.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Crew {
    /// One on each line.
    Two,
    /// Two on this line, one on the other.
    Three(Side),
    /// Two on each line.
    Four,
}

impl Crew {
    /// Are there two on this line?
    #[must_use]
    pub fn is_pair(self, side: Side) -> bool {
        match self {
            Self::Two => false,
            Self::Three(with_two) => with_two == side,
            Self::Four => true,
        }
    }
}

/// The positions of a crew: what a crew of two would do, and everybody's stations. The left line's stations
/// come first, and on each line the one toward end A.
///
/// A *pair* is two officials on one line, [`Practice::pair_m`] apart along it with the ball between them. The
/// spacing is kept as far as the line is long enough.
/// - Play in goal range, or a shot at goal: one is at the post, the partner at the spacing from there.
/// - A kick-in: one is where the arc meets the line, the partner at the spacing from there.
/// - Play near their line: the one on the short side backs away from the crossing as in a crew of two, and
///   the partner keeps the spacing.
/// - A throw-in, or a ball out on the full: the one who stood nearer goes to the spot. That is
///   [`Moment::nearer`], or else the one on the short side, who watched it from 15 m. The partner keeps the
///   spacing on the other side of the spot, or is at the post where the spot is in goal range.
/// - A throw-in from inside an arc: of the pair on the other line, the one toward that goal is at the post.
///
/// # Errors
/// [`NoPositions`].
pub fn crew_positions(
    scene: Scene<'_>,
    crew: Crew,
    moment: &Moment,
) -> Result<(Positions, Vec<Station>), NoPositions> {
    let two = positions(scene, moment)?;
    with_pairs(scene, crew, moment, two)
}

/// As [`crew_positions`], without the check that the ball is where the phase allows it.
pub(crate) fn crew_positions_anyway(
    scene: Scene<'_>,
    crew: Crew,
    moment: &Moment,
) -> Result<(Positions, Vec<Station>), NoPositions> {
    let two = positions_anyway(scene, moment)?;
    with_pairs(scene, crew, moment, two)
}

fn with_pairs(
    scene: Scene<'_>,
    crew: Crew,
    moment: &Moment,
    two: Positions,
) -> Result<(Positions, Vec<Station>), NoPositions> {
    let mut all = Vec::with_capacity(4);
    for side in Side::BOTH {
        if crew.is_pair(side) {
            all.extend(pair(scene, moment, &two, side)?);
        } else {
            all.push(*two.of(side));
        }
    }
    Ok((two, all))
}

/// A boundary line measured in metres from end A's post, whichever way its chainage runs.
struct Along<'a> {
    oval: &'a Oval,
    side: Side,
    length: f64,
}

impl Along<'_> {
    fn at(&self, from_a_m: f64) -> Point<Ground> {
        let b = self.oval.boundary();
        b.at(b.chainage_from_post_m(self.side, End::A, from_a_m.clamp(0.0, self.length))).point
    }

    /// Metres from end A's post to the place of the line nearest to a point.
    fn beside(&self, p: Point<Ground>) -> f64 {
        self.of(self.oval.boundary().nearest(p).chainage_m)
    }

    fn of(&self, chainage_m: f64) -> f64 {
        self.oval.boundary().to_post_m(chainage_m, End::A).unwrap_or(0.0)
    }
}

fn pair(scene: Scene<'_>, moment: &Moment, two: &Positions, side: Side) -> Result<[Station; 2], NoPositions> {
    let Scene { oval, practice, .. } = scene;
    let along = Along { oval, side, length: oval.boundary().line_length_m(side) };
    let (ball, apart) = (moment.ball, practice.pair_m.value.min(along.length));
    let station = |from_a: f64, reason| Station::new(side, along.at(from_a), ball, reason);
    // In order from end A: the lead official at this end's post or arc end, and the partner on from there.
    let behind = |end: End, lead: Station, from_a: f64| {
        let partner = station(from_a + end.sign() * apart, Reason::Partner);
        if end == End::A { [lead, partner] } else { [partner, lead] }
    };
    let at_post = |end: End| {
        let post = Station::at_post(side, &post_station(scene, side, end), ball);
        behind(end, post, if end == End::A { 0.0 } else { along.length })
    };
    match (moment.phase, two.case) {
        (Phase::Bounce, _) => {
            let s = start(scene).ok_or(NoPositions::NothingPainted)?;
            Ok(End::BOTH.map(|end| Station {
                facing: s.facing(side, end),
                ..Station::new(side, s.station(side, end), Point::ORIGIN, Reason::Start)
            }))
        }
        (Phase::KickIn(end), _) => {
            let at = oval.arc_end_m(side, end).ok_or(NoPositions::NoArcEnd(side))?;
            let lead =
                Station::new(side, oval.boundary().at(at).point, kick_in(oval, end).from, Reason::ArcEnd);
            Ok(behind(end, lead, along.of(at)))
        }
        (Phase::AfterGoal(end), _) | (_, Case::GoalRange(end) | Case::SetShot(end)) => Ok(at_post(end)),
        (Phase::ThrowIn | Phase::OnTheFull, _) => {
            let spot = oval
                .spot_held(SpotRef::Near(ball), practice.goal_range_m.value)
                .map_err(|_| NoPositions::NoSpot)?;
            if let Some(end) = partner_post(oval, practice, moment.phase, &spot).filter(|_| spot.side != side)
            {
                return Ok(at_post(end));
            }
            match in_goal_range(oval, practice, spot.point) {
                // One at the spot and one at the post, a few steps from it: the spacing is not kept here.
                Some(end) => {
                    let post = Station::at_post(side, &post_station(scene, side, end), spot.point);
                    let lead = *two.of(side);
                    Ok(if end == End::A { [post, lead] } else { [lead, post] })
                }
                None if spot.side == side => {
                    let lead = *two.of(side);
                    // The one who stood nearer goes to the spot. The partner stays on the other side of it,
                    // at the spacing or at the line's end.
                    let toward = nearer(practice, moment, &spot).other();
                    let room = spot.to_post_m(toward).min(apart);
                    let partner = station(spot.to_a_m - toward.sign() * room, Reason::Partner);
                    Ok(if toward == End::A { [partner, lead] } else { [lead, partner] })
                }
                None => Ok(spread(oval, &along, spot.point.x, apart, station)),
            }
        }
        (Phase::SetKick(end), _) => {
            // One is ahead of the kick and the partner behind it, so that the ball is between them.
            let x = ball.x + end.sign() * practice.set_kick_m.value;
            let front = along.beside(oval.boundary().level_with(side, x));
            let line = along.at(front);
            if x.abs() >= oval.half_length_m() || in_goal_range(oval, practice, line) == Some(end) {
                return Ok(at_post(end));
            }
            Ok(behind(end, station(front, Reason::Ahead), front))
        }
        (Phase::Play, Case::NearLine(near)) if near == side => {
            // The lead stands as in a crew of two; the partner is at the spacing on the long side, with the
            // crossing between them.
            let lead = *two.of(side);
            let at_post = matches!(lead.reason, Reason::Watch(kind) if kind.is_at_post());
            let toward = match (two.crossing, at_post) {
                (Some(spot), true) => spot.end,
                (Some(spot), false) if (lead.point - spot.point).dot(spot.tangent_to(End::A)) >= 0.0 => {
                    End::A
                }
                (Some(_), false) => End::B,
                (None, _) => return Ok(spread(oval, &along, ball.x, apart, station)),
            };
            Ok(behind(toward, lead, along.beside(lead.point)))
        }
        (Phase::Play, _) => Ok(spread(oval, &along, ball.x, apart, station)),
    }
}

/// The official of a pair who goes to a spot, by the end toward which they stood. Where the moment does not
/// say, it is the one on the short side, who watched the ball cross.
fn nearer(practice: &Practice, moment: &Moment, spot: &Spot) -> End {
    let short = || moment.short.unwrap_or_else(|| short_of(practice, spot)).or(moment.prefer);
    moment.nearer.unwrap_or_else(short)
}

/// Two stations `apart` metres apart along the line, with the place level with `x_m` midway between them,
/// moved along where the line ends.
fn spread(
    oval: &Oval,
    along: &Along<'_>,
    x_m: f64,
    apart: f64,
    station: impl Fn(f64, Reason) -> Station,
) -> [Station; 2] {
    let middle = along.beside(oval.boundary().level_with(along.side, x_m));
    let first = (middle - 0.5 * apart).clamp(0.0, along.length - apart);
    [station(first, Reason::Partner), station(first + apart, Reason::Partner)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::Surroundings;
    use crate::ground::oval_for_tests as oval;

    fn ask(o: &Oval, crew: Crew, phase: Phase, x: f64, y: f64) -> Vec<Station> {
        let m = Moment::new(phase, Point::new(x, y));
        crew_positions(
            Scene { oval: o, around: &Surroundings::default(), practice: &Practice::default() },
            crew,
            &m,
        )
        .unwrap()
        .1
    }

    fn from_a(o: &Oval, p: Point<Ground>) -> f64 {
        o.boundary().to_post_m(o.boundary().nearest(p).chainage_m, End::A).unwrap()
    }

    #[test]
    fn a_pair_keeps_its_distance_with_the_ball_between() {
        let o = oval(165.0, 135.0);
        for phase in [Phase::Play, Phase::SetKick(End::A), Phase::SetKick(End::B), Phase::KickIn(End::B)] {
            for x in [-45.0, -10.0, 0.0, 20.0] {
                let all = ask(&o, Crew::Four, phase, x, 5.0);
                assert_eq!(all.len(), 4);
                for pair in all.chunks(2) {
                    assert_eq!(pair[0].side, pair[1].side);
                    let (a, b) = (from_a(&o, pair[0].point), from_a(&o, pair[1].point));
                    // AFL four-umpire positioning guidelines: 50 to 60 m apart on one side.
                    assert!((b - a - 55.0).abs() < 1e-6, "{phase:?} {x} {a} {b}");
                    // A set shot has one at the post, wherever the ball is.
                    let shot = pair.iter().any(|s| s.reason == Reason::Post);
                    let between = pair[1].point.x <= x && x <= pair[0].point.x;
                    assert!(between || matches!(phase, Phase::KickIn(_)) || shot, "{phase:?} {x}");
                }
            }
        }
    }

    #[test]
    fn one_is_at_the_post_when_play_is_near_goal() {
        let o = oval(165.0, 135.0);
        for (phase, x) in
            [(Phase::Play, 70.0), (Phase::SetKick(End::A), 40.0), (Phase::AfterGoal(End::A), 0.0)]
        {
            for pair in ask(&o, Crew::Four, phase, x, 0.0).chunks(2) {
                assert_eq!(pair[0].reason, Reason::Post, "{phase:?}");
                assert!((from_a(&o, pair[1].point) - 55.0).abs() < 1e-6);
            }
        }
        let all = ask(&o, Crew::Four, Phase::Play, -70.0, 0.0);
        assert_eq!((all[1].reason, all[3].reason), (Reason::Post, Reason::Post));
    }

    #[test]
    fn three_are_a_pair_and_one_alone_and_two_are_as_ever() {
        let o = oval(165.0, 135.0);
        let three = ask(&o, Crew::Three(Side::Right), Phase::Play, 0.0, 0.0);
        assert_eq!(three.iter().filter(|s| s.side == Side::Right).count(), 2);
        assert_eq!(three[0].reason, Reason::Level);
        let two = ask(&o, Crew::Two, Phase::Play, 0.0, 0.0);
        assert_eq!(two.len(), 2);
    }

    #[test]
    fn the_thrower_is_at_the_spot_and_the_others_are_spread() {
        let o = oval(165.0, 135.0);
        let all = ask(&o, Crew::Four, Phase::ThrowIn, 30.0, 62.0);
        let at = all.iter().position(|s| s.reason == Reason::ThrowIn).unwrap();
        assert_eq!(all[at].side, Side::Left);
        let (a, b) = (from_a(&o, all[0].point), from_a(&o, all[1].point));
        assert!((b - a - 55.0).abs() < 1e-6 && b - a > 0.0);
    }

    #[test]
    fn the_throwers_partner_keeps_the_distance() {
        let o = oval(165.0, 135.0);
        for metres in [30.0, 49.0, 56.0, 100.0] {
            let at = o.spot(SpotRef::FromPost { side: Side::Left, end: End::B, metres }, 25.0).unwrap();
            let all = ask(&o, Crew::Four, Phase::ThrowIn, at.point.x, at.point.y);
            let (a, b) = (from_a(&o, all[0].point), from_a(&o, all[1].point));
            assert!((b - a - 55.0).abs() < 1e-6, "{metres} {a} {b}");
            assert!(all[..2].iter().any(|s| s.reason == Reason::ThrowIn));
        }
    }

    #[test]
    fn who_stood_nearer_goes_to_the_spot() {
        let o = oval(165.0, 135.0);
        let at = o.spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres: 60.0 }, 25.0).unwrap();
        for phase in [Phase::ThrowIn, Phase::OnTheFull] {
            // In play the short-side one, toward end A, watched it from 15 m. That one goes to the spot, and
            // the partner hardly moves.
            let near = Point::new(at.point.x, at.point.y) - at.normal * 2.0;
            let before = ask(&o, Crew::Four, Phase::Play, near.x, near.y);
            let after = ask(&o, Crew::Four, phase, at.point.x, at.point.y);
            assert_ne!(after[0].reason, Reason::Partner, "{phase:?}");
            assert!(before[0].point.distance_to(after[0].point) < 20.0);
            assert!(before[1].point.distance_to(after[1].point) < 20.0);
            // Where the other is known to have stood nearer, that one goes.
            let m = Moment { nearer: Some(End::B), ..Moment::new(phase, at.point) };
            let all = crew_positions(
                Scene { oval: &o, around: &Surroundings::default(), practice: &Practice::default() },
                Crew::Four,
                &m,
            )
            .unwrap()
            .1;
            assert_eq!(all[0].reason, Reason::Partner);
            assert_ne!(all[1].reason, Reason::Partner);
            let (a, b) = (from_a(&o, all[0].point), from_a(&o, all[1].point));
            assert!((b - a - 55.0).abs() < 1e-6 && (b - 60.0).abs() < 1e-6, "{a} {b}");
        }
    }

    #[test]
    fn near_goal_the_throwers_partner_is_at_the_post() {
        let o = oval(165.0, 135.0);
        for end in End::BOTH {
            let all = ask(&o, Crew::Four, Phase::ThrowIn, end.sign() * 78.0, 18.0);
            for side in Side::BOTH {
                let post = post_station(
                    Scene { oval: &o, around: &Surroundings::default(), practice: &Practice::default() },
                    side,
                    end,
                );
                let here = all.iter().filter(|s| s.side == side);
                assert_eq!(here.filter(|s| s.point == post.point).count(), 1, "{side:?} {end:?}");
            }
            assert_eq!(all.iter().filter(|s| s.reason == Reason::ThrowIn).count(), 1);
        }
    }

    #[test]
    fn near_a_line_the_short_side_one_sees_along_it() {
        let o = oval(165.0, 135.0);
        let m = Moment::new(Phase::Play, Point::new(25.0, 55.0));
        let ask = |crew| {
            crew_positions(
                Scene { oval: &o, around: &Surroundings::default(), practice: &Practice::default() },
                crew,
                &m,
            )
            .unwrap()
        };
        let (two, all) = ask(Crew::Four);
        let lead = two.of(Side::Left);
        assert!(matches!(lead.reason, Reason::Watch(_)) && all[0] == *lead);
        assert!(all[0].view.unwrap().can_tell_m().unwrap() < 1e-9);
        // The partner keeps the distance along the line, the crossing between them.
        let (a, b) = (from_a(&o, all[0].point), from_a(&o, all[1].point));
        let crossing = two.crossing.unwrap().to_post_m(End::A);
        assert!((b - a - 55.0).abs() < 1e-6 && a < crossing && crossing < b);
    }

    #[test]
    fn inside_the_arc_the_far_sides_goal_end_one_is_at_the_post() {
        let o = oval(165.0, 135.0);
        // Inside the arc and out of goal range.
        let all = ask(&o, Crew::Four, Phase::ThrowIn, 66.0, 42.0);
        assert!(in_goal_range(&o, &Practice::default(), Point::new(66.0, 42.0)).is_none());
        let post = post_station(
            Scene { oval: &o, around: &Surroundings::default(), practice: &Practice::default() },
            Side::Right,
            End::A,
        );
        assert_eq!((all[2].side, all[2].point), (Side::Right, post.point));
    }
}
