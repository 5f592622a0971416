//! Simulates how often a comparison of two surveys claims a change, where there is none and where there is a
//! small one.
//!
//! The ground is an ellipse, 160 × 130 m. Each survey has the errors of its method, including those that
//! residuals can't show: of place, of scale, and of distance from the line. It goes through `solve` as a file
//! with its method given. Not simulated are errors that two surveys share, as two traces of one image do.

use ovalpeg::boundary::Side;
use ovalpeg::compare::{CompareOptions, Comparison, Known, Planes, compare};
use ovalpeg::frame::Local;
use ovalpeg::geometry::Vector;
use ovalpeg::rules::Method;
use ovalpeg::solve::{SolveError, Solved, solve};

use crate::Failure;
use crate::door::{by, options};
use crate::random::Random;
use crate::truth::{Shape, Site, Truth};
use crate::walk::{Fading, Lap, Steady, phone, posts, rtk};

/// The simulated change between the two surveys.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Planted {
    /// How far the ground moved east, m.
    pub east_m: f64,
    /// How far it turned clockwise, degrees.
    pub turned_deg: f64,
    /// How much longer it became, m.
    pub longer_m: f64,
    /// How much wider it became, m.
    pub wider_m: f64,
}

/// The line that is surveyed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Painted {
    /// An ellipse.
    Ellipse,
    /// Four arcs of circles: half a metre and more off any ellipse here and there.
    FourArcs,
    /// An ellipse with one side cut straight, 3 m in.
    Cut,
}

/// A row of the table: pairs of surveys of one kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pairs {
    /// The row's printed name.
    pub name: &'static str,
    /// The methods of the old and the new survey.
    pub methods: [Method; 2],
    /// What changed between them.
    pub planted: Planted,
    /// The line that is surveyed.
    pub painted: Painted,
    /// Correlation time of a phone's error, s.
    pub lasts_s: f64,
}

/// How many comparisons claimed each kind of change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Claims {
    /// Pairs compared.
    pub compared: usize,
    /// Pairs of which one survey was refused, as surveys of a nearly round line without posts are.
    pub refused: usize,
    /// Any change at all.
    pub any: usize,
    /// The centre moved.
    pub moved: usize,
    /// The goal axis turned.
    pub turned: usize,
    /// Length.
    pub length: usize,
    /// Width, or a half-width.
    pub width: usize,
    /// A goal moved.
    pub goals: usize,
    /// A stretch of line lies elsewhere.
    pub line: usize,
}

const LENGTH_M: f64 = 160.0;
const WIDTH_M: f64 = 130.0;
const SITE: Site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 0.0, axis_deg: 20.0 };
/// Correlation times of a phone's error, s: the short and the long one in the table of coverage.
const LASTS_S: [f64; 2] = [20.0, 60.0];

/// The rows of the table.
#[must_use]
pub fn pairs() -> Vec<Pairs> {
    use Method::{Phone, Rtk, Trace};
    let none = Planted::default();
    let [short, long] = LASTS_S;
    let unchanged =
        |name, methods| Pairs { name, methods, planted: none, painted: Painted::Ellipse, lasts_s: short };
    let slow = |name, methods| Pairs { lasts_s: long, ..unchanged(name, methods) };
    let changed = |name, planted| Pairs { planted, ..unchanged(name, [Rtk, Rtk]) };
    let other = |name, painted| Pairs { painted, ..unchanged(name, [Rtk, Rtk]) };
    vec![
        unchanged("unchanged: RTK, RTK", [Rtk, Rtk]),
        unchanged("unchanged: phone, phone, 20 s", [Phone, Phone]),
        slow("unchanged: phone, phone, 60 s", [Phone, Phone]),
        unchanged("unchanged: trace, RTK", [Trace, Rtk]),
        unchanged("unchanged: phone, RTK, 20 s", [Phone, Rtk]),
        slow("unchanged: phone, RTK, 60 s", [Phone, Rtk]),
        other("unchanged: RTK, RTK, four arcs", Painted::FourArcs),
        other("unchanged: RTK, RTK, cut side", Painted::Cut),
        changed("moved 1 m: RTK, RTK", Planted { east_m: 1.0, ..none }),
        changed("turned 1°: RTK, RTK", Planted { turned_deg: 1.0, ..none }),
        changed("1 m longer: RTK, RTK", Planted { longer_m: 1.0, ..none }),
        changed("1 m wider: RTK, RTK", Planted { wider_m: 1.0, ..none }),
    ]
}

/// Points on the lines, unevenly spaced from a random start: no two surveys take the same points.
fn anywhere(points: usize, random: &mut Random) -> Lap {
    Lap { start_m: 460.0 * random.uniform(), uneven: 0.6, ..Lap::of_the_lines(points) }
}

/// One survey of a ground with all errors of its method, solved; `None` where it is refused.
fn surveyed(
    truth: &Truth,
    (method, lasts_s): (Method, f64),
    moved: Vector<Local>,
    random: &mut Random,
) -> Result<Option<Solved>, Failure> {
    let sd = method.point_sd_m().value;
    let line = match method {
        Method::Phone => {
            let lap = Lap { start_m: 460.0 * random.uniform(), ..Lap::over_the_goals(328) };
            phone(
                truth,
                &lap,
                &Fading { sd_m: sd, tau_s: lasts_s, white_sd_m: 0.2 * sd, pace_m_s: 1.4 },
                random,
            )
        }
        Method::Trace => rtk(truth, &anywhere(40, random), sd, random),
        Method::Rtk | Method::Tape => rtk(truth, &anywhere(90, random), sd, random),
    };
    let found = if method == Method::Phone { Vec::new() } else { posts(truth, sd, random) };
    let mut steady = Steady::of(method, random);
    steady.shift = steady.shift + moved;
    let file = by(method, method.id(), &steady.survey(truth, &line, &found))?;
    match solve(vec![file], &options(truth)) {
        Ok(solved) => Ok(Some(solved)),
        Err(SolveError::Fit { .. } | SolveError::TooUncertain { .. }) => Ok(None),
        Err(e) => Err(e.into()),
    }
}

/// The comparisons of a row; `None` for a pair of which one survey was refused.
///
/// # Errors
/// Never for the rows of the table.
pub fn comparisons(pairs: &Pairs, runs: usize, seed: u64) -> Result<Vec<Option<Comparison>>, Failure> {
    let p = &pairs.planted;
    let shape = |longer: f64, wider: f64| {
        let (length_m, width_m) = (LENGTH_M + longer, WIDTH_M + wider);
        match pairs.painted {
            Painted::Ellipse => Shape::Ellipse { length_m, width_m },
            Painted::FourArcs => Shape::FourArc { length_m, width_m, end_radius_m: 46.0 },
            Painted::Cut => {
                Shape::Cut { length_m, half_width_m: 0.5 * width_m, cut_m: 3.0, side: Side::Right }
            }
        }
    };
    let before = Truth::new(shape(0.0, 0.0), SITE)?;
    let after =
        Truth::new(shape(p.longer_m, p.wider_m), Site { axis_deg: SITE.axis_deg + p.turned_deg, ..SITE })?;
    (0..runs)
        .map(|run| {
            let mut random = Random::named(seed, &format!("{}/{run}", pairs.name));
            let old =
                surveyed(&before, (pairs.methods[0], pairs.lasts_s), Vector::new(0.0, 0.0), &mut random)?;
            let new =
                surveyed(&after, (pairs.methods[1], pairs.lasts_s), Vector::new(p.east_m, 0.0), &mut random)?;
            let (Some(old), Some(new)) = (old, new) else { return Ok(None) };
            let [of_old, of_new] = [&old, &new].map(Known::of_survey);
            let options = CompareOptions {
                planes: Planes::One,
                old_place_sd_m: of_old.place_sd_m,
                new_place_sd_m: of_new.place_sd_m,
                old_misfit_m: of_old.misfit_m,
                new_misfit_m: of_new.misfit_m,
            };
            Ok(Some(compare(old.ground(), new.ground(), &options)?))
        })
        .collect()
}

/// Counts the claims of a row.
///
/// # Errors
/// Never for the rows of the table.
pub fn count(pairs: &Pairs, runs: usize, seed: u64) -> Result<Claims, Failure> {
    let mut n = Claims::default();
    for found in comparisons(pairs, runs, seed)? {
        let Some(c) = found else {
            n.refused += 1;
            continue;
        };
        n.compared += 1;
        let place = c.place.as_ref();
        let add = |count: &mut usize, found: bool| *count += usize::from(found);
        add(&mut n.any, c.changed());
        add(&mut n.moved, place.is_some_and(|p| p.centre.found));
        add(&mut n.turned, place.is_some_and(|p| p.axis_deg.found));
        add(&mut n.goals, place.is_some_and(|p| p.goal_a.found || p.goal_b.found));
        add(&mut n.length, c.length.found);
        add(&mut n.width, [&c.width, &c.half_width_left, &c.half_width_right].iter().any(|c| c.found));
        add(&mut n.line, !c.stretches.is_empty());
    }
    Ok(n)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEED: u64 = 6;

    fn row(name: &str) -> Pairs {
        pairs().into_iter().find(|p| p.name.starts_with(name)).unwrap()
    }

    #[test]
    fn what_is_found_is_what_was_planted_in_three_pairs() {
        let c = comparisons(&row("1 m longer"), 3, SEED).unwrap();
        for c in c.into_iter().flatten() {
            let d = c.length.difference;
            // Four standard deviations: exceeded by one of the three pairs in one of 5,000 seeds.
            assert!((d.value() - 1.0).abs() < 4.0 * d.sd() && d.sd() < 0.08, "{d:?}");
        }
    }
}
