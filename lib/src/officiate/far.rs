//! The official on the far side of play, who comes in from the line to shorten the next run, and the test
//! for whether play is near a line.

use super::station::{Reason, Station};
use crate::boundary::{End, Side};
use crate::frame::Ground;
use crate::geometry::Point;
use crate::ground::Oval;
use crate::rules::Practice;

/// A place in from the line by less than this counts as on the line, m.
const ON_LINE_M: f64 = 0.5;

/// Is the ball near a line? It is where it is farther off the goal axis than the square, or within 20 m of a
/// line (on a narrow ground, within a quarter of the width).
pub(super) fn is_near_line(oval: &Oval, practice: &Practice, ball: Point<Ground>) -> bool {
    if oval.square_half_m().is_some_and(|half| ball.y.abs() > half) {
        return true;
    }
    let strip = practice.near_line_m.value.min(practice.near_line_share.value * oval.boundary().width_m());
    // `outside_m` is negative inside. A ball that has just crossed is near the line too.
    oval.boundary().outside_m(ball) >= -strip
}

/// The place farthest in from the official's own line at a given x.
///
/// Between the square's corners it is just outside the square's side line. From a corner it runs straight to
/// the point of the own line that is level with the beginning of goal range. Beyond that, and where there is
/// no square, it is on the own line.
pub(super) fn far_in(oval: &Oval, practice: &Practice, side: Side, x_m: f64) -> Point<Ground> {
    let post = |end| oval.boundary().corner(side, end).x;
    let x = x_m.clamp(post(End::B).min(post(End::A)), post(End::A).max(post(End::B)));
    let line = |x: f64| (side.sign() * oval.boundary().level_with(side, x).y).max(0.0);
    let Some(half) = oval.square_half_m() else { return Point::new(x, side.sign() * line(x)) };
    let beside = half + practice.square_clear_m.value;
    let sign = if x >= 0.0 { 1.0 } else { -1.0 };
    let out = oval.half_length_m() - practice.goal_range_m.value;
    let y = if x.abs() <= half {
        beside.min(line(x))
    } else if x.abs() < out {
        let (from, to) = (beside.min(line(sign * half)), line(sign * out));
        from + (to - from) * (x.abs() - half) / (out - half)
    } else {
        line(x)
    };
    // Where the boundary is concave, the straight part could lie outside it.
    Point::new(x, side.sign() * y.min(line(x)))
}

/// The station of the official on `side` for a ball in general play or at the other line.
///
/// It is on the official's own line, level with the ball. As the ball goes from a quarter to a half of the
/// square's side off the goal axis toward the other line, the station moves in proportion to [`far_in`].
pub(super) fn far_out(oval: &Oval, practice: &Practice, side: Side, ball: Point<Ground>) -> Station {
    let line = oval.boundary().level_with(side, ball.x);
    let away = -side.sign() * ball.y;
    let share = oval.square_half_m().map_or(0.0, |half| ((away - 0.5 * half) / (0.5 * half)).clamp(0.0, 1.0));
    if share <= 0.0 {
        return Station::new(side, line, ball, Reason::Level);
    }
    let inmost = far_in(oval, practice, side, ball.x);
    let point = line + (inmost - line) * share;
    // So short a distance is not called "in".
    let reason = if point.distance_to(line) < ON_LINE_M { Reason::Level } else { Reason::In };
    Station::new(side, point, ball, reason)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::oval_for_tests as oval;

    #[test]
    fn near_a_line_is_beyond_the_square_or_within_twenty_metres() {
        let (o, p) = (oval(165.0, 135.0), Practice::default());
        // From the definitions: a ball 2 m from the line by the pocket, no farther off the axis than the
        // square.
        assert!(is_near_line(&o, &p, Point::new(76.4, 24.8)));
        assert!(!is_near_line(&o, &p, Point::new(0.0, 25.0)) && is_near_line(&o, &p, Point::new(0.0, 25.1)));
        // Where the line is 20 m off the ball's place on its own normal.
        let b = o.boundary();
        let at = b.at(b.chainage_from_post_m(Side::Left, End::A, 14.0));
        let inside = |m: f64| at.point - at.normal * m;
        assert!(inside(20.1).y.abs() < 25.0);
        assert!(is_near_line(&o, &p, inside(19.9)) && !is_near_line(&o, &p, inside(20.1)));
        // A quarter of the width on a narrow ground: 15 m of 60.
        let small = oval(90.0, 60.0);
        assert!(is_near_line(&small, &p, Point::new(0.0, 15.1)));
        assert!(!is_near_line(&small, &p, Point::new(0.0, 14.9)));
    }

    #[test]
    fn in_along_the_square_and_straight_on_to_goal_range() {
        let (o, p) = (oval(165.0, 135.0), Practice::default());
        let at = |x: f64| far_in(&o, &p, Side::Right, x);
        assert_eq!((at(0.0).y, at(25.0).y), (-25.5, -25.5));
        // From the corner to the line level with the beginning of goal range: halfway on, halfway out.
        let out = 82.5 - 25.0;
        let line = o.boundary().level_with(Side::Right, out).y;
        let half_way = 0.5 * (25.0 + out);
        assert!((at(half_way).y - 0.5 * (-25.5 + line)).abs() < 1e-9);
        assert!((at(-half_way).y - at(half_way).y).abs() < 1e-6);
        for x in [out, 70.0, 80.0] {
            assert!((at(x).y - o.boundary().level_with(Side::Right, x).y).abs() < 1e-9);
        }
    }

    #[test]
    fn comes_in_evenly_as_the_ball_goes_to_the_other_line() {
        let (o, p) = (oval(165.0, 135.0), Practice::default());
        let y = |ball_y: f64| far_out(&o, &p, Side::Left, Point::new(10.0, ball_y)).point.y;
        let line = o.boundary().level_with(Side::Left, 10.0).y;
        // From S/4 = 12.5 to S/2 = 25 m toward the right line.
        for (ball, share) in
            [(20.0, 0.0), (0.0, 0.0), (-12.5, 0.0), (-18.75, 0.5), (-25.0, 1.0), (-60.0, 1.0)]
        {
            assert!((y(ball) - (line + (25.5 - line) * share)).abs() < 1e-9, "{ball}");
        }
    }
}
