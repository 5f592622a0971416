//! Simulated surveys of one ground from several sources: an image, a walk, posts, lengths, a tape.
#![allow(
    clippy::unwrap_used,
    clippy::missing_panics_doc,
    reason = "what is planted here is sound, and unwrap names its line"
)]

use std::fmt::Write as _;

use ovalpeg::geometry::Vector;
use ovalpeg::ground::Ground;
use ovalpeg::rules::{Method, RuleSet};
use ovalpeg::solve::{SolveOptions, Solved, Source, solve};
use ovalpeg::survey::LocalSurvey;

use crate::door::by;
use crate::random::Random;
use crate::truth::{Shape, Site, Truth};
use crate::walk::{Fading, Lap, phone, posts, survey, trace};

/// Goal line to goal line, m.
pub const LENGTH_M: f64 = 160.0;
/// Wing to wing, m.
pub const WIDTH_M: f64 = 130.0;

/// When a walk began, s from 1970: 14 March 2026, 09:26:53 UTC.
const START_S: f64 = 1_773_480_413.0;

/// The ground: an ellipse through its posts.
#[must_use]
pub fn truth() -> Truth {
    Truth::new(
        Shape::Ellipse { length_m: LENGTH_M, width_m: WIDTH_M },
        Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 150.0, axis_deg: 20.0 },
    )
    .unwrap()
}

/// A trace without posts, whose scale is too large by the ratio `scale` and whose place is off by `by`.
#[must_use]
pub fn traced(scale: f64, by: Vector<ovalpeg::frame::Local>, random: &mut Random) -> LocalSurvey {
    let t = truth();
    let line: Vec<_> =
        trace(&t, &Lap::of_the_lines(40), 0.6, scale, random).into_iter().map(|p| p + by).collect();
    survey(&t, &line, &[])
}

/// A lap by phone, a fix a second, with no posts.
#[must_use]
pub fn walked(random: &mut Random) -> LocalSurvey {
    let t = truth();
    let error = Fading { sd_m: 1.5, tau_s: 20.0, white_sd_m: 0.3, pace_m_s: 1.4 };
    let line = phone(&t, &Lap::of_the_lines(300), &error, random);
    let mut s = survey(&t, &line, &[]);
    for (i, p) in s.points.iter_mut().enumerate() {
        p.time_s = Some(START_S + i as f64);
    }
    s
}

/// Only the posts, each with this standard deviation.
#[must_use]
pub fn posts_alone(sd_m: f64, random: &mut Random) -> LocalSurvey {
    let t = truth();
    survey(&t, &[], &posts(&t, sd_m, random))
}

/// An image and posts by receiver, the most common combination.
#[must_use]
pub fn image_and_posts(image: &LocalSurvey, random: &mut Random) -> Vec<Source> {
    let found = posts_alone(0.02, random);
    vec![by(Method::Trace, "image.csv", image).unwrap(), by(Method::Rtk, "posts.csv", &found).unwrap()]
}

/// The ground of all these files together, by `solve`.
#[must_use]
pub fn solved(sources: Vec<Source>) -> Solved {
    solve(sources, &SolveOptions::new(RuleSet::laws())).unwrap()
}

/// A notebook with the ground's length and width, measured by a laser to 3 cm. A laser has no tape's scale
/// error, and none is simulated.
#[must_use]
pub fn lengths(goal_to_goal_m: Option<f64>, wing_to_wing_m: Option<f64>) -> Source {
    let mut text = String::from("laser L: sd 0.03\n");
    for (what, length_m) in [("goal to goal", goal_to_goal_m), ("wing to wing", wing_to_wing_m)] {
        if let Some(length_m) = length_m {
            writeln!(text, "{what}: {length_m}").unwrap();
        }
    }
    Source::new("tapes.txt", text)
}

/// Whether the 95 % intervals hold the true length and width, and their half-widths, m.
#[must_use]
pub fn held(ground: &Ground) -> ([bool; 2], [f64; 2]) {
    let length = ground.measure(|o| Some(o.length_m())).unwrap();
    let width = ground.measure(|o| Some(o.boundary().width_m())).unwrap();
    let in_it = |m: &ovalpeg::units::Measured, v| m.lo95() <= v && v <= m.hi95();
    ([in_it(&length, LENGTH_M), in_it(&width, WIDTH_M)], [length.half_width(), width.half_width()])
}

/// A notebook of the whole ground by one tape that is too long by the ratio `k`: a base line from post to
/// post, the boundary and the other posts by offsets, and if wanted both lengths.
pub fn taped(k: f64, with_spans: bool, random: &mut Random) -> Source {
    let t = truth();
    let mut read = |d: f64, sd: f64| d * (1.0 - k) + sd * random.normal();
    let mut text = String::from("tape A: 50 m, class III, sd 0.02\n");
    let half = LENGTH_M / 2.0;
    writeln!(text, "A BP L to B BP L: {:.5}", read(LENGTH_M, 0.02)).unwrap();
    writeln!(text, "base A BP L to B BP L").unwrap();
    // Looking from A to B, along −x, left is −y.
    let mut offset = |text: &mut String, x: f64, y: f64, name: &str| {
        let off = 9.6 - y;
        let (along, off) = (read(half - x, 0.02), read(off, 0.02));
        let side = if off > 0.0 { "left" } else { "right" };
        writeln!(text, "at {along:.5} {side} {:.5}, sd 0.02{name}", off.abs()).unwrap();
    };
    for (x, end) in [(half, "A"), (-half, "B")] {
        for (y, post) in [(3.2, "GP L"), (-3.2, "GP R"), (-9.6, "BP R")] {
            offset(&mut text, x, y, &format!(": {end} {post}"));
        }
    }
    for side in [ovalpeg::boundary::Side::Left, ovalpeg::boundary::Side::Right] {
        for i in 0..18 {
            let p = t.on_line(side, (f64::from(i) + 0.5) / 18.0 * t.line_length_m(side));
            offset(&mut text, p.x, p.y, "");
        }
    }
    if with_spans {
        writeln!(text, "goal to goal: {:.5}\nwing to wing: {:.5}", read(LENGTH_M, 0.02), read(WIDTH_M, 0.02))
            .unwrap();
    }
    Source::new("tapes.txt", text)
}
