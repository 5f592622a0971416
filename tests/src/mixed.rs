//! Simulated surveys of one ground by several sources: an image, a walk, posts, lengths, a tape.
#![allow(
    clippy::unwrap_used,
    clippy::missing_panics_doc,
    reason = "what is planted here is sound, and unwrap names its line"
)]

use std::fmt::Write as _;

use ovalpeg::fit::{Fit, FitOptions, Noise};
use ovalpeg::geometry::Vector;
use ovalpeg::ground::Ground;
use ovalpeg::rules::{Method, RuleSet};
use ovalpeg::survey::{GroundSpan, LocalSurvey, ReadOptions, read as read_survey};

use crate::random::Random;
use crate::truth::{Shape, Site, Truth};
use crate::walk::{Fading, Lap, phone, posts, survey, trace};

/// Goal line to goal line, m.
pub const LENGTH_M: f64 = 160.0;
/// Wing to wing, m.
pub const WIDTH_M: f64 = 130.0;

/// The ground: an ellipse through its posts.
#[must_use]
pub fn truth() -> Truth {
    Truth::new(
        Shape::Ellipse { length_m: LENGTH_M, width_m: WIDTH_M },
        Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 150.0, axis_deg: 20.0 },
    )
    .unwrap()
}

/// What a method says of its errors.
#[must_use]
pub fn noise(m: Method) -> Noise {
    Noise {
        point_sd_m: Some(m.point_sd_m().value),
        line_offset_sd_m: m.line_offset_sd_m().value,
        scale_sd: m.scale_sd().value,
        runs_on: m.error_runs_on(),
        shift_sd_m: m.place_sd_m().value,
        inside_m: 0.0,
    }
}

/// A trace whose scale and place are off, with no posts.
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
        p.time_s = Some(i as f64);
    }
    s
}

/// The posts and nothing else, m.
#[must_use]
pub fn posts_alone(sd_m: f64, random: &mut Random) -> LocalSurvey {
    let t = truth();
    survey(&t, &[], &posts(&t, sd_m, random))
}

/// Several sources as one survey, each by its name.
#[must_use]
pub fn together(list: Vec<(&str, LocalSurvey)>) -> LocalSurvey {
    LocalSurvey::together(truth().plane(), list.into_iter().map(|(n, s)| (n.to_owned(), s)).collect())
}

/// How to fit sources of these methods.
#[must_use]
pub fn options(sources: &[Method]) -> FitOptions {
    let mut o = FitOptions::with_end_width(19.2);
    o.sources = sources.iter().map(|&m| noise(m)).collect();
    o
}

/// A taped length, to 3 cm.
#[must_use]
pub fn span(wing_to_wing: bool, value_m: f64) -> GroundSpan {
    GroundSpan { wing_to_wing, value_m, sd_m: 0.03, tape: None, place: "tapes.txt, line 2".into() }
}

/// Does the 95 % interval hold the length, and the width? And their half-widths.
#[must_use]
pub fn held(fit: &Fit) -> ([bool; 2], [f64; 2]) {
    let g = Ground::new(&fit.outline, &fit.spread, RuleSet::laws()).unwrap();
    let length = g.measure(|o| Some(o.length_m())).unwrap();
    let width = g.measure(|o| Some(o.boundary().width_m())).unwrap();
    let in_it = |m: &ovalpeg::units::Measured, v| m.lo95() <= v && v <= m.hi95();
    ([in_it(&length, LENGTH_M), in_it(&width, WIDTH_M)], [length.half_width(), width.half_width()])
}

/// A notebook of the whole ground by one tape that is too long by `k`: a braced base line
/// from post to post, the boundary and the other posts by offsets, and both lengths.
pub fn taped(k: f64, with_spans: bool, random: &mut Random) -> LocalSurvey {
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
    let survey = read_survey(text.as_bytes(), &ReadOptions::default()).unwrap().value;
    survey.to_local(survey.plane().unwrap()).unwrap()
}
