//! Simulated tape networks: marks round an oval, ties between them with noise, and blunders in the ties.

use ovalpeg::frame::Local;
use ovalpeg::geometry::Point;
use ovalpeg::network::{Network, NetworkOptions, Observed, adjust};
use ovalpeg::survey::{Hand, Mark, Measure, Notebook, Quantity, Role};

use crate::Failure;
use crate::random::Random;

/// Pairs of marks that are tied, by index.
pub type Pairs = Vec<(usize, usize)>;

/// A square's corners, of 40 × 30 m.
pub const SQUARE: [[f64; 2]; 4] = [[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]];
/// Its sides and diagonals.
pub const BRACED: [(usize, usize); 6] = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)];
/// Standard deviation of a reading where nothing else is given, m.
pub const READING_SD_M: f64 = 0.02;

/// A mark that is no post and no point of the line.
#[must_use]
pub fn mark(name: &str, at: Option<[f64; 2]>, at_sd_m: Option<f64>) -> Mark {
    let at = at.map(|[x, y]| Point::<Local>::new(x, y));
    Mark { name: name.into(), role: Role::Unused, at, at_sd_m, place: name.into() }
}

/// A reading that needed no correction.
#[must_use]
pub fn measure(quantity: Quantity, value_m: f64, sd_m: f64, tape: Option<usize>) -> Measure {
    Measure { quantity, read_m: value_m, value_m, sd_m, tape, place: "page 1".into() }
}

/// A notebook with this many marks without coordinates, `m0`, `m1`, …
#[must_use]
pub fn book(marks: usize) -> Notebook {
    let marks = (0..marks).map(|i| mark(&format!("m{i}"), None, None)).collect();
    Notebook { marks, ..Notebook::default() }
}

/// Gives a mark coordinates, which are fixed where their standard deviation is 0.
pub fn place(book: &mut Notebook, mark: usize, at: [f64; 2], sd_m: Option<f64>) {
    book.marks[mark].at = Some(Point::new(at[0], at[1]));
    book.marks[mark].at_sd_m = sd_m;
}

/// Adds ties between marks at these places, with normal errors of standard deviation `sd_m`; exact where that
/// is 0.
pub fn ties(book: &mut Notebook, at: &[[f64; 2]], pairs: &[(usize, usize)], sd_m: f64, random: &mut Random) {
    for &(from, to) in pairs {
        let error_m = if sd_m > 0.0 { sd_m * random.normal() } else { 0.0 };
        let said_m = if sd_m > 0.0 { sd_m } else { READING_SD_M };
        let tie = Quantity::Distance { from, to };
        book.measures.push(measure(tie, apart_m(at[from], at[to]) + error_m, said_m, None));
    }
}

/// A notebook with only ties, with errors as in [`ties`].
#[must_use]
pub fn noisy(at: &[[f64; 2]], pairs: &[(usize, usize)], sd_m: f64, random: &mut Random) -> Notebook {
    let mut b = book(at.len());
    ties(&mut b, at, pairs, sd_m, random);
    b
}

/// A notebook with only ties, without errors.
#[must_use]
pub fn exact(at: &[[f64; 2]], pairs: &[(usize, usize)]) -> Notebook {
    noisy(at, pairs, 0.0, &mut Random::new(0))
}

/// Twenty marks round an oval of 165 by 135 m, and the ties between them. There are ten pairs, each with a
/// peg on the line and one some 25 m inside. Neighbouring pairs are braced, each inner peg is tied to the
/// next but one, and inner pegs are tied across the ground where they are 75 to 90 m apart.
#[must_use]
pub fn oval() -> (Vec<[f64; 2]>, Pairs) {
    let mut at = Vec::new();
    for i in 0..10 {
        let t = (f64::from(i) + 0.3) / 10.0 * std::f64::consts::TAU;
        at.push([82.5 * t.cos(), 67.5 * t.sin()]);
        at.push([57.0 * t.cos(), 44.0 * t.sin()]);
    }
    let mut pairs: Pairs = Vec::new();
    for i in 0..10 {
        let (p, q, r, s) = (2 * i, 2 * i + 1, (2 * i + 2) % 20, (2 * i + 3) % 20);
        pairs.extend([(p, q), (p, r), (q, s), (p, s), (q, r), (q, (2 * i + 5) % 20)]);
    }
    for i in 0..10 {
        for j in i + 3..10 {
            let (p, q) = (2 * i + 1, 2 * j + 1);
            if j < i + 8 && (75.0..90.0).contains(&apart_m(at[p], at[q])) {
                pairs.push((p, q));
            }
        }
    }
    (at, pairs)
}

/// Adds the line that tells the oval from its mirror image.
#[must_use]
pub fn sided(mut b: Notebook) -> Notebook {
    b.hands = vec![Hand { mark: 8, of: [0, 4], left: true }];
    b
}

/// The distance between two places, m.
#[must_use]
pub fn apart_m(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// The greatest distance of an adjusted network's marks from the truth, m, after the best-fitting shift and
/// rotation. With places as complex numbers relative to their means, the rotation is the argument of Σ q·p̄.
#[must_use]
pub fn far_m(found: &Network, at: &[[f64; 2]]) -> f64 {
    let n = at.len() as f64;
    let middle = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        points.fold([0.0; 2], |sum, p| [sum[0] + p[0] / n, sum[1] + p[1] / n])
    };
    let here: Vec<[f64; 2]> = found.marks.iter().map(|m| [m.at.x, m.at.y]).collect();
    let (from, to) = (middle(&mut here.iter().copied()), middle(&mut at.iter().copied()));
    let minus = |a: [f64; 2], b: [f64; 2]| [a[0] - b[0], a[1] - b[1]];
    let (mut cos, mut sin) = (0.0, 0.0);
    for (p, q) in here.iter().zip(at) {
        let (p, q) = (minus(*p, from), minus(*q, to));
        cos += p[0] * q[0] + p[1] * q[1];
        sin += p[0] * q[1] - p[1] * q[0];
    }
    let size = cos.hypot(sin);
    let (cos, sin) = (cos / size, sin / size);
    here.iter()
        .zip(at)
        .map(|(p, q)| {
            let (p, q) = (minus(*p, from), minus(*q, to));
            apart_m([cos * p[0] - sin * p[1], sin * p[0] + cos * p[1]], q)
        })
        .fold(0.0, f64::max)
}

/// Counts the notebooks of the oval in which the adjustment names the one wrong reading.
///
/// The blunder is, in turn, at least twice the size that a test finds with probability 0.8, or 10 m, or 100
/// m, or a tie booked to another mark. It is always in a reading with a redundancy of 0.2 or more.
///
/// # Errors
/// Where a network can't be adjusted.
pub fn blunders_named(notebooks: usize, seed: u64) -> Result<usize, Failure> {
    let (at, pairs) = oval();
    let rows = adjust(&exact(&at, &pairs), &NetworkOptions::default())?.observations;
    let mut random = Random::named(seed, "blunders");
    let (mut named, mut tried) = (0, 0);
    // Twice as many draws as notebooks are enough: few readings have a redundancy below 0.2.
    for _ in 0..2 * notebooks {
        let index = random.below(pairs.len());
        let to = random.below(at.len());
        let (from, was) = pairs[index];
        if rows[index].redundancy < 0.2 || to == from || to == was || tried == notebooks {
            continue;
        }
        let mut b = noisy(&at, &pairs, READING_SD_M, &mut random);
        let sign = if random.uniform() < 0.5 { -1.0 } else { 1.0 };
        let least_m =
            rows[index].detectable_m.ok_or("a reading that is checked by others has a least size")?;
        let reading = &mut b.measures[index];
        match tried % 4 {
            0 => reading.value_m += sign * least_m * random.between(2.0, 12.0),
            1 => reading.value_m = (reading.value_m + sign * 10.0).abs(),
            2 => reading.value_m += 100.0,
            _ => reading.quantity = Quantity::Distance { from, to },
        }
        tried += 1;
        let found = adjust(&b, &NetworkOptions::default())?;
        named += usize::from(found.blunder.is_some_and(|f| f.what == Observed::Measure(index)));
    }
    if tried < notebooks {
        return Err(format!("only {tried} notebooks of {notebooks} were drawn").into());
    }
    Ok(named)
}
