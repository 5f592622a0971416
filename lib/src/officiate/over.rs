//! Is all of the ball over the line?

use crate::frame::Local;
use crate::geometry::Point;
use crate::ground::{Ground, Oval};
use crate::units::{Call, Measured};

/// A ball beside a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BallOver {
    /// From the line's outer edge to the nearest part of the ball, m; positive where all of the ball is over.
    pub clear_m: Measured,
    /// Is the ball out, given how well the line is known?
    pub out: Call,
}

/// Is a ball of this radius, with its middle over `at`, wholly beyond the outer edge of a boundary line?
///
/// A ball is out only when all of it is beyond that edge; any part on or above the line is in (AFL New
/// Zealand youth rules; USAFL boundary sheet). `None` where the place is behind a scoring end, which is no
/// boundary line, and where the radius is not from 0 to 1 m.
#[must_use]
pub fn ball_over(ground: &Ground, at: Point<Local>, radius_m: f64) -> Option<BallOver> {
    if !(0.0..=1.0).contains(&radius_m) || !at.is_finite() {
        return None;
    }
    let clear = |o: &Oval| {
        let p = o.plan().to_ground(at);
        o.boundary().outside_m(p) - radius_m
    };
    let oval = ground.oval();
    let p = oval.plan().to_ground(at);
    if oval.is_behind_goal(p) {
        return None;
    }
    let clear_m = ground.measure(|o| Some(clear(o)))?;
    Some(BallOver { clear_m, out: clear_m.above(0.0) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::Spread;
    use crate::ground::outline_for_tests;
    use crate::rules::RuleSet;

    #[test]
    fn all_of_the_ball_must_be_over() {
        let g = Ground::new(&outline_for_tests(165.0, 135.0), &Spread::none(), RuleSet::laws()).unwrap();
        let at = |out: f64| g.oval().plan().to_local(Point::new(0.0, 67.5 + out));
        let over = |out: f64, radius| ball_over(&g, at(out), radius).unwrap();
        assert!((over(0.3, 0.1).clear_m.value() - 0.2).abs() < 1e-9);
        assert_eq!(over(0.11, 0.1).out, Call::Yes);
        assert_eq!(over(0.09, 0.1).out, Call::No);
        assert_eq!(over(-1.0, 0.1).out, Call::No);
        let behind = g.oval().plan().to_local(Point::new(84.0, 3.0));
        assert_eq!(ball_over(&g, behind, 0.1), None);
        assert_eq!(ball_over(&g, at(0.0), f64::NAN), None);
    }

    #[test]
    fn a_line_that_is_not_known_leaves_it_open() {
        let mut spread = Spread::none();
        // A standard deviation of 0.1 m in the half-width.
        spread.add_axis([0.0, 0.0, 0.0, 0.1, 0.0, 0.0, 0.0, 0.0, 0.0]);
        let g = Ground::new(&outline_for_tests(165.0, 135.0), &spread, RuleSet::laws()).unwrap();
        let at = |out: f64| g.oval().plan().to_local(Point::new(0.0, 67.5 + out));
        assert_eq!(ball_over(&g, at(0.2), 0.1).unwrap().out, Call::TooClose);
        assert_eq!(ball_over(&g, at(0.4), 0.1).unwrap().out, Call::Yes);
    }
}
