//! Degenerate surveys, which fix no ground, or hardly one.
//!
//! They have few points, or points on a line, in one place or in two; ovals of a metre or ten kilometres;
//! exact points, or points with standard deviations of 0.1 mm or 100 m; posts alone, or posts in one place.

use ovalpeg::rules::Method;

use crate::random::Random;
use crate::sound::{no_number, trouble_of_words, troubles};
use crate::whole::{Beside, Ended, Whole, cards, whole};

/// The point of a curve at a parameter from 0 to 2π, m.
pub type Curve = fn(f64) -> [f64; 2];

/// An oval of 160 × 130 m, without goal lines.
#[must_use]
pub fn ellipse(t: f64) -> [f64; 2] {
    [80.0 * t.cos(), 65.0 * t.sin()]
}

/// A circle of 140 m across.
#[must_use]
pub fn circle(t: f64) -> [f64; 2] {
    [70.0 * t.cos(), 70.0 * t.sin()]
}

/// An ellipse hardly wider than a scoring end.
fn narrow(t: f64) -> [f64; 2] {
    [150.0 * t.cos(), 11.0 * t.sin()]
}

/// An ellipse with one straight side.
fn cut(t: f64) -> [f64; 2] {
    [80.0 * t.cos(), (65.0 * t.sin()).min(58.0)]
}

/// Fuller at its four quarters than an ellipse, as ovals of four arcs are.
fn full(t: f64) -> [f64; 2] {
    let power = |v: f64| v.signum() * v.abs().powf(0.9);
    [80.0 * power(t.cos()), 65.0 * power(t.sin())]
}

/// A three-lobed curve, unlike any real oval.
fn lobed(t: f64) -> [f64; 2] {
    let r = 1.0 + 0.05 * (3.0 * t).sin();
    [80.0 * r * t.cos(), 65.0 * r * t.sin()]
}

fn square(t: f64) -> [f64; 2] {
    let m = t.cos().abs().max(t.sin().abs());
    [70.0 * t.cos() / m, 70.0 * t.sin() / m]
}

/// A straight line.
#[must_use]
pub fn line(t: f64) -> [f64; 2] {
    [30.0 * t, 10.0 * t]
}

/// A line with a wave of one centimetre.
#[must_use]
pub fn nearly_a_line(t: f64) -> [f64; 2] {
    [30.0 * t, 10.0 * t + 0.01 * (7.0 * t).sin()]
}

fn parabola(t: f64) -> [f64; 2] {
    let x = 20.0 * (t - 3.0);
    [x, 0.02 * x * x]
}

/// One branch of a hyperbola.
#[must_use]
pub fn hyperbola(t: f64) -> [f64; 2] {
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

/// The same place throughout.
#[must_use]
pub fn one_place(_: f64) -> [f64; 2] {
    [3.0, 4.0]
}

/// One half of the ellipse.
#[must_use]
pub fn half(t: f64) -> [f64; 2] {
    ellipse(0.5 * t)
}

fn spiral(t: f64) -> [f64; 2] {
    let r = 20.0 + 10.0 * t;
    [r * t.cos(), r * t.sin()]
}

/// Closed curves, with the half-length of a ground on them whose goals lie along x.
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

/// Open curves.
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
#[derive(Debug, Clone)]
pub struct Case {
    /// What it is.
    pub name: String,
    text: String,
    beside: Beside,
}

impl Case {
    /// How it ends.
    ///
    /// # Errors
    /// Where its way ended.
    pub fn ends(&self) -> Result<Whole, Ended> {
        whole(self.text.as_bytes(), &self.beside)
    }
}

/// What is wrong with the result of a case.
#[must_use]
pub fn wrong(ended: &Result<Whole, Ended>) -> Vec<String> {
    match ended {
        Ok(whole) => whole.texts.iter().flat_map(troubles).collect(),
        Err(Ended::Unopened(why)) => vec![format!("the venue does not open: {why}")],
        Err(e) => no_number(e.words()).into_iter().chain(trouble_of_words(e.words())).collect(),
    }
}

/// The results of some surveys.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Endings {
    /// How many surveys there were.
    pub surveys: usize,
    /// How many of them gave a ground.
    pub fitted: usize,
    /// What is wrong, each problem with its survey.
    pub wrongs: Vec<String>,
}

/// Takes surveys all the way from file to card. A card takes as long as a fit, so only every `nth` ground
/// gets one.
///
/// # Errors
/// None, since the day of the cards is valid.
pub fn endings(cases: impl IntoIterator<Item = Case>, nth: usize) -> Result<Endings, Ended> {
    let mut all = Endings::default();
    for case in cases {
        let ended = case.ends();
        all.surveys += 1;
        all.fitted += usize::from(ended.is_ok());
        let mut here = wrong(&ended);
        if let (Ok(whole), true) = (&ended, all.fitted.is_multiple_of(nth)) {
            here.extend(cards(&whole.venue)?.iter().flat_map(troubles));
        }
        all.wrongs.extend(here.into_iter().map(|why| format!("{}: {why}", case.name)));
    }
    Ok(all)
}

/// How points are made from a curve.
#[derive(Debug, Clone, Copy)]
pub struct Made {
    /// How many.
    pub points: usize,
    /// Scale factor.
    pub scale: f64,
    /// Size of a deterministic scatter, m.
    pub off_m: f64,
    /// The standard deviations that the file gives its points, in turn; empty for none.
    pub sds_m: &'static [f64],
    /// How often each point is repeated.
    pub times: usize,
}

/// A dozen points without changes.
pub const PLAIN: Made = Made { points: 12, scale: 1.0, off_m: 0.0, sds_m: &[], times: 1 };

impl Made {
    /// The file.
    #[must_use]
    pub fn rows(self, curve: Curve, posts: &[(f64, f64, &str)]) -> String {
        let mut text = String::from(if self.sds_m.is_empty() { "x,y,code\n" } else { "x,y,code,sigma\n" });
        let mut sds = self.sds_m.iter().cycle();
        let mut row = |x: f64, y: f64, code: &str| {
            text.push_str(&match sds.next() {
                Some(sd) => format!("{x},{y},{code},{sd}\n"),
                None => format!("{x},{y},{code}\n"),
            });
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
#[must_use]
pub fn posts(half_length_m: f64) -> Vec<(f64, f64, &'static str)> {
    let across = [(9.6, "BP"), (3.2, "GP"), (-3.2, "GP"), (-9.6, "BP")];
    let end = |x: f64| across.map(|(y, code)| (x, y, code));
    [end(half_length_m), end(-half_length_m)].concat()
}

/// All eight posts in one place.
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

/// Every closed curve with few points.
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

/// Every curve with absurd standard deviations.
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

/// Open curves, with and without posts.
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

/// Ovals of a metre, ten kilometres and a thousand kilometres.
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

/// Repeated points, and posts that are repeated, alone, at one end, or in one place.
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

/// Surveys with a method given.
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

/// Some hundreds of cases: each kind of trouble with every curve.
#[must_use]
pub fn table() -> Vec<Case> {
    let mut cases = Cases::default();
    few_points(&mut cases);
    odd_deviations(&mut cases);
    open_curves(&mut cases);
    sizes(&mut cases);
    repeats_and_posts(&mut cases);
    methods(&mut cases);
    cases.0
}

/// A random case, which combines these troubles.
#[must_use]
pub fn by_chance(random: &mut Random) -> Case {
    let mut one_of = |n: usize| random.below(n);
    let (name, curve, half_m) = match one_of(CLOSED.len() + OPEN.len()) {
        i if i < CLOSED.len() => CLOSED[i],
        i => (OPEN[i - CLOSED.len()].0, OPEN[i - CLOSED.len()].1, 79.1),
    };
    let made = Made {
        points: one_of(16),
        scale: [1.0, 1.0, 1.0, 0.3, 0.006_25, 5.0, 62.5][one_of(7)],
        off_m: [0.0, 1e-9, 0.001, 0.03, 3.0][one_of(5)],
        sds_m: [&[][..], &[], &[0.0001], &[100.0], &[0.0001, 100.0, 1.0]][one_of(5)],
        times: [1, 1, 1, 2, 3][one_of(5)],
    };
    let all = posts(half_m);
    let posts = match one_of(7) {
        0 | 1 => all,
        2 => all[..4].to_vec(),
        3 => all[one_of(8)..].to_vec(),
        4 => coincident(),
        5 => all.into_iter().map(|(x, y, code)| (y, x, code)).collect(),
        _ => Vec::new(),
    };
    let beside = Beside {
        method: [None, None, Some(Method::Phone), Some(Method::Rtk), Some(Method::Trace)][one_of(5)],
        sigma_m: [None, None, Some(0.0001), Some(0.02), Some(100.0)][one_of(5)],
        ..Beside::default()
    };
    let name = format!("{name}, {made:?}, {} posts, {beside:?}", posts.len());
    Case { name, text: made.rows(curve, &posts), beside }
}
