//! Surveys that fix nothing, or hardly anything, or far too much: every one of them ends in words
//! that say what happened, or in a report, a JSON and a venue without a number that is none.
//!
//! Few points, points on a line, in one place, in two; ovals of a metre and of ten kilometres;
//! exact points and points said to be known to 0.1 mm or 100 m; posts alone, posts in one place.

use std::fmt::Write as _;

use ovalpeg::rules::Method;
use ovalpeg_tests::sound::{no_number, trouble_of_words, troubles};
use ovalpeg_tests::whole::{Beside, Ended, Whole, cards, whole};

/// A place of a curve for a parameter from 0 to 2π, m.
type Curve = fn(f64) -> [f64; 2];

fn ellipse(t: f64) -> [f64; 2] {
    [80.0 * t.cos(), 65.0 * t.sin()]
}

fn circle(t: f64) -> [f64; 2] {
    [70.0 * t.cos(), 70.0 * t.sin()]
}

/// Hardly wider than a scoring end.
fn narrow(t: f64) -> [f64; 2] {
    [150.0 * t.cos(), 11.0 * t.sin()]
}

/// One side straight.
fn cut(t: f64) -> [f64; 2] {
    [80.0 * t.cos(), (65.0 * t.sin()).min(58.0)]
}

/// Fuller at its four quarters than an ellipse, as ovals of four arcs are.
fn full(t: f64) -> [f64; 2] {
    let power = |v: f64| v.signum() * v.abs().powf(0.9);
    [80.0 * power(t.cos()), 65.0 * power(t.sin())]
}

/// Like no oval that anyone paints.
fn lobed(t: f64) -> [f64; 2] {
    let r = 1.0 + 0.05 * (3.0 * t).sin();
    [80.0 * r * t.cos(), 65.0 * r * t.sin()]
}

fn square(t: f64) -> [f64; 2] {
    let m = t.cos().abs().max(t.sin().abs());
    [70.0 * t.cos() / m, 70.0 * t.sin() / m]
}

fn line(t: f64) -> [f64; 2] {
    [30.0 * t, 10.0 * t]
}

fn nearly_a_line(t: f64) -> [f64; 2] {
    [30.0 * t, 10.0 * t + 0.01 * (7.0 * t).sin()]
}

fn parabola(t: f64) -> [f64; 2] {
    let x = 20.0 * (t - 3.0);
    [x, 0.02 * x * x]
}

fn hyperbola(t: f64) -> [f64; 2] {
    let u = 0.5 * (t - 3.1);
    [40.0 * u.cosh(), 40.0 * u.sinh()]
}

fn two_places(t: f64) -> [f64; 2] {
    let far = if (t * 100.0).rem_euclid(2.0) < 1.0 { 0.0 } else { 150.0 };
    [far + 0.5 * (13.0 * t).sin(), 0.5 * (17.0 * t).cos()]
}

fn cross(t: f64) -> [f64; 2] {
    let along = 80.0 * (2.0 * t).sin();
    if (t * 10.0).rem_euclid(2.0) < 1.0 { [along, 0.0] } else { [0.0, along] }
}

fn one_place(_: f64) -> [f64; 2] {
    [3.0, 4.0]
}

fn half(t: f64) -> [f64; 2] {
    ellipse(0.5 * t)
}

fn spiral(t: f64) -> [f64; 2] {
    let r = 20.0 + 10.0 * t;
    [r * t.cos(), r * t.sin()]
}

/// Curves that close, with the half-length of a ground on them whose goals lie along x.
const CLOSED: [(&str, Curve, f64); 7] = [
    // a√(1 − (9.6/b)²).
    ("ellipse", ellipse, 79.122_66),
    ("circle", circle, 69.338_59),
    ("narrow", narrow, 73.231),
    ("cut", cut, 79.122_66),
    ("full", full, 79.5),
    ("lobed", lobed, 79.0),
    ("square", square, 70.0),
];

/// And those that do not.
const OPEN: [(&str, Curve); 9] = [
    ("line", line),
    ("nearly a line", nearly_a_line),
    ("parabola", parabola),
    ("hyperbola", hyperbola),
    ("two places", two_places),
    ("cross", cross),
    ("one place", one_place),
    ("half", half),
    ("spiral", spiral),
];

/// One survey.
struct Case {
    name: String,
    text: String,
    beside: Beside,
}

/// How points are made of a curve.
#[derive(Clone, Copy)]
struct Made {
    points: usize,
    scale: f64,
    /// Size of a made-up scatter, m.
    off_m: f64,
    /// What the file says of each point: its standard deviation, one after the other.
    sds_m: &'static [f64],
    /// How often each is there.
    times: usize,
}

const PLAIN: Made = Made { points: 12, scale: 1.0, off_m: 0.0, sds_m: &[], times: 1 };

impl Made {
    fn rows(self, curve: Curve, posts: &[(f64, f64, &str)]) -> String {
        let mut text = String::from(if self.sds_m.is_empty() { "x,y,code\n" } else { "x,y,code,sigma\n" });
        let mut sds = self.sds_m.iter().cycle();
        let mut row = |x: f64, y: f64, code: &str| {
            match sds.next() {
                Some(sd) => writeln!(text, "{x},{y},{code},{sd}"),
                None => writeln!(text, "{x},{y},{code}"),
            }
            .unwrap();
        };
        for i in 0..self.points {
            let [x, y] = curve(std::f64::consts::TAU * (i as f64 + 0.3) / self.points as f64);
            let off = self.off_m * ((i * i) as f64 * 1.7).sin();
            for _ in 0..self.times {
                row(self.scale * x + off, self.scale * y - off, "");
            }
        }
        posts.iter().for_each(|(x, y, code)| row(*x, *y, code));
        text
    }
}

/// The posts of a ground along x.
fn posts(half_length_m: f64) -> Vec<(f64, f64, &'static str)> {
    let across = [(9.6, "BP"), (3.2, "GP"), (-3.2, "GP"), (-9.6, "BP")];
    let end = |x: f64| across.map(|(y, code)| (x, y, code));
    [end(half_length_m), end(-half_length_m)].concat()
}

/// All eight in one place.
fn coincident() -> Vec<(f64, f64, &'static str)> {
    posts(79.1).into_iter().map(|(_, _, code)| (79.1, 0.0, code)).collect()
}

fn sigma(sigma_m: f64) -> Beside {
    Beside { sigma_m: Some(sigma_m), ..Beside::default() }
}

fn by(method: Method) -> Beside {
    Beside { method: Some(method), ..Beside::default() }
}

#[derive(Default)]
struct Cases(Vec<Case>);

impl Cases {
    fn add(&mut self, name: impl Into<String>, text: String, beside: Beside) {
        self.0.push(Case { name: name.into(), text, beside });
    }
}

/// Every curve that closes, by few points.
fn few_points(all: &mut Cases) {
    for (name, curve, half_m) in CLOSED {
        for points in 5..=8 {
            for off_m in [0.0, 0.03] {
                let made = Made { points, off_m, ..PLAIN };
                let what = format!("{name} of {points}, scatter {off_m}");
                all.add(&what, made.rows(curve, &[]), Beside::default());
                all.add(format!("{what}, posts"), made.rows(curve, &posts(half_m)), Beside::default());
            }
        }
    }
}

/// Everything with standard deviations that are out of all proportion.
fn odd_deviations(all: &mut Cases) {
    let curves = CLOSED.iter().map(|(n, c, h)| (*n, *c, *h)).chain(OPEN.map(|(n, c)| (n, c, 79.1)));
    for (name, curve, half_m) in curves {
        for points in [6, 9] {
            let made = Made { points, off_m: 0.03, ..PLAIN };
            for sigma_m in [0.0001, 100.0] {
                let what = format!("{name} of {points}, known to {sigma_m}");
                all.add(&what, made.rows(curve, &[]), sigma(sigma_m));
                all.add(format!("{what}, posts"), made.rows(curve, &posts(half_m)), sigma(sigma_m));
            }
            let mixed = Made { sds_m: &[0.0001, 100.0, 1.0], ..made };
            all.add(
                format!("{name} of {points}, mixed"),
                mixed.rows(curve, &posts(half_m)),
                Beside::default(),
            );
        }
    }
}

/// Curves that don't close, with and without posts.
fn open_curves(all: &mut Cases) {
    for (name, curve) in OPEN {
        for points in [4, 7, 12] {
            let made = Made { points, ..PLAIN };
            for (with, posts) in
                [("", Vec::new()), (", posts", posts(79.1)), (", posts in one place", coincident())]
            {
                all.add(format!("{name} of {points}{with}"), made.rows(curve, &posts), Beside::default());
            }
        }
    }
}

/// A metre, ten kilometres, a million.
fn sizes(all: &mut Cases) {
    for (name, curve, _) in CLOSED {
        for scale in [0.006_25, 0.15, 4.0, 62.5, 6_250.0] {
            for points in [6, 10] {
                let made = Made { points, scale, ..PLAIN };
                all.add(
                    format!("{name} of {points}, times {scale}"),
                    made.rows(curve, &[]),
                    Beside::default(),
                );
            }
        }
    }
}

/// Points and posts that are there several times, alone, at one end, in one place.
fn repeats_and_posts(all: &mut Cases) {
    for (name, curve, half_m) in CLOSED {
        for points in [3, 6, 9] {
            for times in [2, 3] {
                let made = Made { points, times, ..PLAIN };
                all.add(
                    format!("{name} of {points}, {times} times"),
                    made.rows(curve, &[]),
                    Beside::default(),
                );
            }
        }
        let made = Made { points: 9, ..PLAIN };
        let whole = posts(half_m);
        all.add(format!("{name}, posts at one end"), made.rows(curve, &whole[..4]), Beside::default());
        all.add(format!("{name}, one goal post"), made.rows(curve, &whole[1..2]), Beside::default());
        all.add(format!("{name}, posts in one place"), made.rows(curve, &coincident()), Beside::default());
    }
    let none = Made { points: 0, ..PLAIN };
    for (name, list) in [
        ("posts alone", posts(79.1)),
        ("posts of one end alone", posts(79.1)[..4].to_vec()),
        ("posts in one place alone", coincident()),
        ("all posts on one line", posts(79.1).into_iter().map(|(x, y, c)| (x + y, 0.0, c)).collect()),
        ("posts twice", [posts(79.1), posts(79.1)].concat()),
        ("no points at all", Vec::new()),
    ] {
        all.add(name, none.rows(ellipse, &list), Beside::default());
    }
}

/// As each method says of them.
fn methods(all: &mut Cases) {
    for (name, curve, half_m) in CLOSED {
        for (method, points) in [(Method::Phone, 6), (Method::Phone, 9), (Method::Rtk, 7), (Method::Trace, 8)]
        {
            let made = Made { points, off_m: 0.03, ..PLAIN };
            let what = format!("{name} of {points} by {}", method.id());
            all.add(&what, made.rows(curve, &[]), by(method));
            all.add(format!("{what}, posts"), made.rows(curve, &posts(half_m)), by(method));
        }
    }
}

/// What is wrong with how a case ended.
fn wrong(ended: &Result<Whole, Ended>) -> Vec<String> {
    match ended {
        Ok(whole) => whole.texts.iter().flat_map(troubles).collect(),
        Err(Ended::Unopened(why)) => vec![format!("the venue does not open: {why}")],
        Err(e) => no_number(e.words()).into_iter().chain(trouble_of_words(e.words())).collect(),
    }
}

#[test]
fn every_degenerate_survey_ends_in_words_or_in_numbers() {
    let mut cases = Cases::default();
    few_points(&mut cases);
    odd_deviations(&mut cases);
    open_curves(&mut cases);
    sizes(&mut cases);
    repeats_and_posts(&mut cases);
    methods(&mut cases);
    let (mut fitted, mut wrongs) = (0, Vec::new());
    for case in &cases.0 {
        let ended = whole(case.text.as_bytes(), &case.beside);
        fitted += usize::from(ended.is_ok());
        let mut here = wrong(&ended);
        // A card takes as long as a fit: some are enough.
        if let (Ok(whole), 0) = (&ended, fitted % 5) {
            here.extend(cards(&whole.venue).unwrap().iter().flat_map(troubles));
        }
        wrongs.extend(here.into_iter().map(|why| format!("{}: {why}", case.name)));
    }
    assert!(wrongs.is_empty(), "{} of {}:\n{}", wrongs.len(), cases.0.len(), wrongs.join("\n"));
    // Both ways are trodden.
    assert!(fitted > 100 && cases.0.len() - fitted > 100, "{fitted} of {}", cases.0.len());
}

/// The report of a survey, or the words of its refusal.
fn told(text: &str) -> String {
    match whole(text.as_bytes(), &Beside::default()) {
        // As one line: a report is wrapped.
        Ok(whole) => whole.texts[0].text.split_whitespace().collect::<Vec<_>>().join(" "),
        Err(e) => e.words().to_owned(),
    }
}

/// Every refusal says what happened, and no other thing.
#[test]
fn each_error_says_what_happened() {
    for (curve, points, posts, want) in [
        (ellipse as Curve, 5, Vec::new(), "5 points on the line: too few"),
        (one_place, 9, Vec::new(), "only 1 of them different"),
        (line, 9, Vec::new(), "along a straight line"),
        (nearly_a_line, 9, Vec::new(), "along a straight line"),
        (line, 9, posts(79.1), "along a straight line"),
        (hyperbola, 9, Vec::new(), "bend away"),
        (half, 9, Vec::new(), "no points from the"),
        (circle, 9, Vec::new(), "survey the posts too"),
        (circle, 9, posts(120.0), "posts could not be used"),
    ] {
        let said = told(&Made { points, ..PLAIN }.rows(curve, &posts));
        assert!(said.contains(want), "{want}: {said}");
        assert_eq!(said.contains("bend away"), want == "bend away", "{said}");
    }
    let tiny = told(&Made { scale: 0.006_25, ..PLAIN }.rows(ellipse, &[]));
    assert!(tiny.contains("too small") && tiny.contains("in metres?"), "{tiny}");
    let huge = told(&Made { scale: 62.5, ..PLAIN }.rows(ellipse, &[]));
    assert!(huge.contains("km from the rest"), "{huge}");
}

/// Seven points have too few left over to weigh an oval of four arcs, and six any shape at all.
#[test]
fn shapes_that_could_not_be_compared_are_said() {
    for (points, off_m) in [(6, 0.0), (6, 0.03), (7, 0.0), (7, 0.03), (8, 0.03)] {
        for posts in [Vec::new(), posts(79.122_66)] {
            let said = told(&Made { points, off_m, ..PLAIN }.rows(ellipse, &posts));
            assert!(said.contains("shape an ellipse"), "{said}");
            assert!(!said.contains("times likelier"), "{said}");
            let none = said.contains("no other shape fits");
            assert!(none || said.contains("too few points to compare it with"), "{said}");
        }
    }
}

/// A curve that passes its points to the last digit is as likely as can be, and no more.
#[test]
fn exact_points_are_the_shape_that_they_were_made_of() {
    for points in [9, 12, 24] {
        for posts in [Vec::new(), posts(79.122_66)] {
            let text = Made { points, ..PLAIN }.rows(ellipse, &posts);
            let whole = whole(text.as_bytes(), &Beside::default()).unwrap();
            assert_eq!(whole.fit.choice.model, ovalpeg::geometry::Model::Ellipse);
            // 2a√(1 − (9.6/b)²); the posts stand where five decimals put them.
            let want = 160.0 * (1.0 - (9.6f64 / 65.0).powi(2)).sqrt();
            let length = 2.0 * whole.fit.outline.half_length_m();
            assert!((length - want).abs() < 2e-5, "{length}");
        }
    }
}
