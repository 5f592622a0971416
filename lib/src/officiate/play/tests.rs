//! Every phase on grounds with closed forms, and what is refused.

use super::super::scene::Scene;
use super::*;
use crate::boundary::Outline;
use crate::geometry::Vector;
use crate::ground::Surroundings;
use crate::ground::{Fence, NamedSpot, oval_for_tests as oval};
use crate::rules::RuleSet;

fn asked(o: &Oval, phase: Phase, x: f64, y: f64) -> Positions {
    positions(
        Scene { oval: o, around: &Surroundings::default(), practice: &Practice::default() },
        &Moment::new(phase, Point::new(x, y)),
    )
    .unwrap()
}

fn post_of(o: &Oval, side: Side, end: End) -> Point<Ground> {
    post_station(
        Scene { oval: o, around: &Surroundings::default(), practice: &Practice::default() },
        side,
        end,
    )
    .point
}

/// Both lines on a circle of radius 75 m.
fn circle() -> (f64, Oval) {
    let r = 75.0;
    let half = (r * r - 9.6f64 * 9.6).sqrt();
    let outline = Outline::from_parameters(&[0.0, 0.0, r, r, 0.0, 0.0, 0.0, 0.0, half]).unwrap();
    (r, Oval::new(&outline, RuleSet::laws()).unwrap())
}

#[test]
fn in_the_corridor_both_are_level_with_the_ball() {
    let (r, o) = circle();
    // Common practice, no source: level with the ball, on opposite sides, each on the line.
    for (x, y) in [(0.0, 0.0), (12.0, -12.0), (-40.0, 12.0)] {
        let p = asked(&o, Phase::Play, x, y);
        assert_eq!(p.case, Case::Corridor);
        for s in p.stations {
            assert!((s.point.x - x).abs() < 1e-9);
            assert!((s.point.y - s.side.sign() * (r * r - x * x).sqrt()).abs() < 1e-9);
            assert!(s.facing.angle_to_deg(Point::new(x, y) - s.point) < 1e-6);
        }
    }
}

#[test]
fn near_a_line_one_backs_away_and_the_other_comes_in() {
    let (r, o) = circle();
    let p = asked(&o, Phase::Play, 20.0, 50.0);
    assert_eq!(p.case, Case::NearLine(Side::Left));
    let crossing = p.crossing.unwrap();
    // The nearest point of a circle is on the ball's own radius.
    let at = Point::new(20.0, 50.0);
    let out = (at - Point::ORIGIN).unit().unwrap();
    assert!(crossing.point.distance_to(Point::ORIGIN + out * r) < 1e-9);
    // Common practice, no source: 15 m back, on the short side, on the tangent.
    let near = p.of(Side::Left);
    assert!((near.point.distance_to(crossing.point) - 15.0).abs() < 1e-9);
    assert!((near.point - crossing.point).dot(out).abs() < 1e-9 && near.point.x > crossing.point.x);
    assert!(near.view.unwrap().can_tell_m().unwrap() < 1e-9);
    // In as far as the square's side, never over it.
    let far = p.of(Side::Right);
    assert_eq!((far.point.x, far.point.y), (20.0, -25.5));
    // Near a pocket the ball is near a line.
    let narrow = asked(&o, Phase::Play, 66.0, 26.0);
    assert!(matches!(narrow.case, Case::NearLine(_)));
    // Past the beginning of goal range, on the own line.
    let line = (r * r - 66.0f64 * 66.0).sqrt();
    assert!((narrow.of(Side::Right).point.y + line).abs() < 1e-9);
}

#[test]
fn a_ball_near_the_line_by_the_pocket_has_its_official_backing_away() {
    // A ball 2 m from the line, no farther off the axis than the square: an official level with it would
    // stand on top of it.
    let o = oval(165.0, 135.0);
    let inside = o.boundary().at(o.boundary().nearest(Point::new(71.0, 32.0)).chainage_m);
    let ball = inside.point - inside.normal * 2.0;
    for (p, near) in [(ball, true), (Point::new(55.0, 20.0), false)] {
        let got = asked(&o, Phase::Play, p.x, p.y);
        assert_eq!(matches!(got.case, Case::NearLine(Side::Left)), near, "{p:?} {:?}", got.case);
        let d = got.of(Side::Left).point.distance_to(p);
        assert!(d > 10.0, "{d}");
    }
}

#[test]
fn within_twenty_five_metres_of_goal_both_are_at_the_posts() {
    let o = oval(165.0, 135.0);
    // Common practice, no source: 25 m from the goal line's middle.
    for (x, y, posts) in [(82.5 - 24.9, 0.0, true), (82.5 - 25.1, 0.0, false), (-70.0, 20.0, true)] {
        let p = asked(&o, Phase::Play, x, y);
        let end = if x > 0.0 { End::A } else { End::B };
        assert_eq!(p.case == Case::GoalRange(end), posts, "{x}");
        if posts {
            for s in p.stations {
                assert_eq!(s.reason, Reason::Post);
                let corner = o.boundary().corner(s.side, end);
                assert!((s.point.distance_to(corner) - 1.0).abs() < 1e-9);
            }
        }
    }
}

#[test]
fn a_set_kick_and_a_set_shot() {
    let o = oval(165.0, 135.0);
    // Common practice, no source: 35 m ahead toward the goal attacked.
    let p = asked(&o, Phase::SetKick(End::A), -20.0, 10.0);
    assert_eq!(p.case, Case::SetKick);
    for s in p.stations {
        assert!((s.point.x - 15.0).abs() < 1e-9 && s.reason == Reason::Ahead);
        assert!(o.boundary().nearest(s.point).signed_distance_m.abs() < 1e-9);
    }
    // Near a line both are ahead of it: the far one in beside the square.
    let p = asked(&o, Phase::SetKick(End::A), -20.0, 40.0);
    assert!((p.of(Side::Right).point.x - 15.0).abs() < 1e-9 && p.of(Side::Right).point.y == -25.5);
    assert!((p.of(Side::Left).point.x - 15.0).abs() < 1e-9);
    // From the pocket at the other end too: nobody is left behind the kick.
    let p = asked(&o, Phase::SetKick(End::A), -75.0, 28.0);
    assert!(p.stations.iter().all(|s| (s.point.x + 40.0).abs() < 1e-9), "{:?}", p.stations);
    assert!(p.of(Side::Right).point.y < -25.5 && p.of(Side::Left).reason == Reason::Ahead);
    // Where the line 35 m ahead is in goal range, the post station: from x = 26 the line at 61 is not,
    // and past 75 it is.
    let goal = o.goal(End::A);
    for x in [-20.0, 10.0, 20.0, 26.0] {
        let p = asked(&o, Phase::SetKick(End::A), x, 0.0);
        let line = o.boundary().level_with(Side::Left, x + 35.0);
        let at_post = line.distance_to(goal) <= 25.0;
        assert_eq!(p.of(Side::Left).reason == Reason::Post, at_post, "{x}");
    }
    // A set shot: within 55 m of the goal attacked.
    for (x, shot) in [(82.5 - 54.9, true), (82.5 - 55.1, false)] {
        let p = asked(&o, Phase::SetKick(End::A), x, 0.0);
        assert_eq!(p.case == Case::SetShot(End::A), shot);
        if shot {
            assert_eq!(p.of(Side::Left).point, post_of(&o, Side::Left, End::A));
        }
    }
    // A kick out from in front of the other goal: goal range counts in general play only.
    let p = asked(&o, Phase::SetKick(End::A), -70.0, 0.0);
    assert_eq!(p.case, Case::SetKick);
    assert!(p.stations.iter().all(|s| (s.point.x + 35.0).abs() < 1e-9));
}

#[test]
fn a_throw_in_and_a_ball_on_the_full() {
    let o = oval(165.0, 135.0);
    let wing: Point<Ground> = Point::new(5.0, 70.0);
    let p = asked(&o, Phase::ThrowIn, wing.x, wing.y);
    let spot = p.crossing.unwrap();
    assert_eq!(p.of(Side::Left).point, spot.point);
    assert_eq!(p.of(Side::Left).facing, super::super::throw_in(&Practice::default(), &spot).face);
    assert_eq!(p.of(Side::Right).reason, Reason::In);
    // Inside the arc the other official goes to the far post, wherever in it that is.
    for (x, y) in [(78.0, 15.0), (66.0, 42.0)] {
        let p = asked(&o, Phase::ThrowIn, x, y);
        assert!(matches!(p.crossing.unwrap().arcs, Arcs::Inside(End::A)));
        assert_eq!(p.of(Side::Right).point, post_of(&o, Side::Right, End::A));
    }
    // Unless the practice says otherwise: then in goal range only.
    let mut practice = Practice::default();
    practice.partner_to_post.value = 0.0;
    let m = Moment::new(Phase::ThrowIn, Point::new(66.0, 42.0));
    let p = positions(Scene { oval: &o, around: &Surroundings::default(), practice: &practice }, &m).unwrap();
    assert!(matches!(p.of(Side::Right).reason, Reason::In | Reason::Level));
    assert_eq!(asked(&o, Phase::OnTheFull, wing.x, wing.y).of(Side::Left).reason, Reason::PointOut);
}

#[test]
fn a_kick_in_by_the_arcs_ends() {
    let o = oval(165.0, 135.0);
    for end in End::BOTH {
        let p = asked(&o, Phase::KickIn(end), f64::NAN, 0.0);
        for s in p.stations {
            let named = SpotRef::Named { side: s.side, end, name: NamedSpot::ArcEnd };
            assert_eq!(s.point, o.spot(named, 25.0).unwrap().point);
        }
    }
}

#[test]
fn four_fold_symmetric_in_every_phase() {
    let o = oval(160.0, 130.0);
    let mut answered = 0;
    for phase in [Phase::Play, Phase::ThrowIn, Phase::SetKick(End::A), Phase::OnTheFull] {
        for (x, y) in [(10.0, 40.0), (50.0, 3.0), (3.0, 63.0), (62.0, 38.0), (75.0, 8.0), (-31.0, 58.0)] {
            let from = |phase, x, y| {
                let m = Moment::new(phase, Point::new(x, y));
                positions(
                    Scene { oval: &o, around: &Surroundings::default(), practice: &Practice::default() },
                    &m,
                )
            };
            let Ok(here) = from(phase, x, y) else {
                // A crossing far inside the boundary is refused, so it is refused in the opposite quarter
                // too.
                assert!(from(phase, -x, -y).is_err());
                continue;
            };
            answered += 1;
            for (sx, sy) in [(-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)] {
                let turned = match phase {
                    Phase::SetKick(end) if sx < 0.0 => Phase::SetKick(end.other()),
                    other => other,
                };
                let there = asked(&o, turned, sx * x, sy * y);
                for side in Side::BOTH {
                    let mirrored = if sy < 0.0 { side.other() } else { side };
                    let (a, b) = (here.of(side), there.of(mirrored));
                    let want = Point::new(sx * a.point.x, sy * a.point.y);
                    assert!(b.point.distance_to(want) < 1e-6, "{phase:?} {x} {y} {sx} {sy}");
                    let looks = Vector::new(sx * a.facing.x, sy * a.facing.y);
                    assert!(b.facing.angle_to_deg(looks) < 1e-6, "{phase:?} {x} {y}");
                }
            }
        }
    }
    assert!(answered >= 18, "{answered}");
}

#[test]
fn always_legal() {
    // Outside the line when watching a crossing, never over the square, never beyond the fence.
    let around = Surroundings {
        fence: Fence { distance_m: Some(3.0), ..Fence::default() },
        ..Surroundings::default()
    };
    for (l, w) in [(165.0, 135.0), (137.0, 112.0), (185.0, 110.0)] {
        let o = oval(l, w);
        for i in -20..=20 {
            for j in -20..=20 {
                let ball = Point::new(f64::from(i) * l / 40.0, f64::from(j) * w / 40.0);
                if !o.boundary().contains(ball) {
                    continue;
                }
                for phase in [Phase::Play, Phase::SetKick(End::A), Phase::SetKick(End::B), Phase::ThrowIn] {
                    let m = Moment::new(phase, ball);
                    let p = match positions(
                        Scene { oval: &o, around: &around, practice: &Practice::default() },
                        &m,
                    ) {
                        Err(NoPositions::BallIn { by_m }) if phase == Phase::ThrowIn && by_m > 20.0 => {
                            continue;
                        }
                        p => p.unwrap(),
                    };
                    for s in p.stations {
                        let d = o.boundary().nearest(s.point).signed_distance_m;
                        assert!(d <= 3.0 + 1e-9, "{ball:?} {s:?}");
                        assert!(s.point.x.abs() > 25.0 || s.point.y.abs() > 25.0, "in the square: {s:?}");
                        if matches!(s.reason, Reason::Watch(_)) {
                            assert!(d >= -1e-9, "{ball:?} {s:?}");
                        }
                        assert!((s.facing.length() - 1.0).abs() < 1e-9);
                    }
                }
            }
        }
    }
}

#[test]
fn continuous_along_the_line_but_where_a_rule_switches() {
    // A ball a metre inside the line is moved along it by 0.1 m at a time. Nobody moves by more than five
    // times as much, except where goal range or a crossing within 15 m of the post puts an official at the
    // post, and where the short side changes.
    let o = oval(165.0, 135.0);
    let practice = Practice::default();
    let length = o.boundary().line_length_m(Side::Left);
    let mut before: Option<(Positions, f64)> = None;
    let (mut switches, step) = (0, 0.1);
    let mut s = 0.0;
    while s <= length {
        let at = o.spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres: s }, 25.0).unwrap();
        let m = Moment::new(Phase::Play, at.point - at.normal);
        let now =
            positions(Scene { oval: &o, around: &Surroundings::default(), practice: &practice }, &m).unwrap();
        if let Some((was, _)) = before {
            let moved = |side| now.of(side).point.distance_to(was.of(side).point);
            let most = moved(Side::Left).max(moved(Side::Right));
            let kind = |p: &Positions| (p.case, std::mem::discriminant(&p.of(Side::Left).reason));
            let toward = |p: &Positions| p.crossing.map(|c| short_of(&practice, &c).or(End::A));
            let post = |p: &Positions| p.of(Side::Left).reason == Reason::Watch(StandKind::Post);
            if kind(&now) != kind(&was) || toward(&now) != toward(&was) || post(&now) != post(&was) {
                switches += 1;
            } else {
                assert!(most < 5.0 * step, "{s} {most}");
            }
        }
        before = Some((now, s));
        s += step;
    }
    // A switch for goal range and one for a crossing within 15 m of the post, at either end, and one where
    // the short side changes from A to B; a tight corridor near a post may add some.
    assert!((3..=9).contains(&switches), "{switches}");
}

#[test]
fn the_long_side_is_told_of_where_the_fence_or_the_sun_spoils_the_short() {
    let o = oval(165.0, 135.0);
    let at = o.spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres: 70.0 }, 25.0).unwrap();
    let back = o.spot(SpotRef::FromPost { side: Side::Left, end: End::A, metres: 57.0 }, 25.0).unwrap();
    let tight =
        crate::ground::TightFence { at: o.plan().to_local(back.point), distance_m: 1.0, along_m: 24.0 };
    let around = Surroundings {
        fence: Fence { distance_m: Some(5.0), tight: vec![tight], ..Fence::default() },
        ..Surroundings::default()
    };
    let mut m = Moment::new(Phase::Play, at.point - at.normal * 3.0);
    let told = |around: &Surroundings, m: &Moment| {
        let p = positions(Scene { oval: &o, around, practice: &Practice::default() }, m).unwrap();
        (p.better.map(|b| (b.end, b.why)), p.of(Side::Left).point)
    };
    let (better, place) = told(&around, &m);
    assert_eq!(better, Some((End::B, BetterBy::View)));
    // The view is better by half a metre or more, so the long side is named first.
    let first = positions(Scene { oval: &o, around: &around, practice: &Practice::default() }, &m)
        .unwrap()
        .better
        .and_then(|b| b.first)
        .unwrap();
    assert!(matches!(first.kind, StandKind::Tangent { back_m } if back_m == 15.0) && first.toward == End::B);
    // Only reported: the stand itself is still on the short side.
    assert!(place.x > at.point.x);
    assert_eq!(told(&Surroundings::default(), &m).0, None);
    // From the short side an official looks toward end B, so a sun there is in their eyes.
    m.sun = Some(Sun { toward: at.tangent_to(End::B), high_deg: 12.0 });
    assert_eq!(told(&Surroundings::default(), &m).0, Some((End::B, BetterBy::Sun)));
    m.sun = Some(Sun { toward: at.tangent_to(End::A), high_deg: 12.0 });
    assert_eq!(told(&Surroundings::default(), &m).0, None);
}

#[test]
fn refusals_say_why() {
    let o = oval(165.0, 135.0);
    let ask = |phase, x, y| {
        positions(
            Scene { oval: &o, around: &Surroundings::default(), practice: &Practice::default() },
            &Moment::new(phase, Point::new(x, y)),
        )
    };
    assert_eq!(ask(Phase::Play, f64::NAN, 0.0).unwrap_err(), NoPositions::NotFinite);
    assert!(matches!(ask(Phase::Play, 0.0, 75.0), Err(NoPositions::BallOut { .. })));
    // On the goal line, and a step behind it, people point at the line.
    assert!(ask(Phase::Play, 82.5, 0.0).is_ok() && ask(Phase::Play, 83.4, 2.0).is_ok());
    assert_eq!(ask(Phase::Play, 85.0, 2.0).unwrap_err(), NoPositions::BehindGoal(End::A));
    assert!(ask(Phase::Play, 0.0, 68.0).is_ok() && ask(Phase::ThrowIn, 0.0, 75.0).is_ok());
    // A ball that crossed is near a line, and not behind a goal.
    assert_eq!(ask(Phase::ThrowIn, 85.0, 2.0).unwrap_err(), NoPositions::BehindGoal(End::A));
    assert_eq!(ask(Phase::OnTheFull, -83.0, 0.0).unwrap_err(), NoPositions::BehindGoal(End::B));
    assert!(matches!(ask(Phase::ThrowIn, 0.0, 0.0), Err(NoPositions::BallIn { .. })));
    // Nine a side has no throw-ins.
    let outline = crate::ground::outline_for_tests(165.0, 135.0);
    let nine = Oval::new(&outline, RuleSet::nine_a_side()).unwrap();
    let m = Moment::new(Phase::ThrowIn, Point::new(0.0, 67.0));
    let none = positions(
        Scene { oval: &nine, around: &Surroundings::default(), practice: &Practice::default() },
        &m,
    );
    assert_eq!(none.unwrap_err(), NoPositions::NoThrowIns);
}
