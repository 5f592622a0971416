//! The adjustment of notebooks against a second method on random networks: numerical derivatives, and
//! every step and the covariance from the singular values of the weighted Jacobian, where the library
//! takes written derivatives and Cholesky with the null space added.

use nalgebra::{DMatrix, DVector};
use ovalpeg::network::{Network, NetworkOptions, adjust};
use ovalpeg::survey::{Hand, Notebook, Quantity, Tape};
use ovalpeg_tests::network::{mark, measure};
use ovalpeg_tests::random::Random;

use crate::support::close;

/// What all observations should read over their standard deviations, minus what they read.
fn misfits(book: &Notebook, free: &[usize], x: &DVector<f64>) -> DVector<f64> {
    let place = |m: usize| match free.iter().position(|&f| f == m) {
        Some(i) => [x[2 * i], x[2 * i + 1]],
        None => book.marks[m].at.map(|p| [p.x, p.y]).unwrap(),
    };
    let k = |t: Option<usize>| t.map_or(0.0, |t| x[2 * free.len() + t]);
    let mut out = Vec::new();
    for m in &book.measures {
        let reads = match m.quantity {
            Quantity::Distance { from, to } => {
                let (a, b) = (place(from), place(to));
                ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2)).sqrt()
            }
            Quantity::Chainage { base, mark } | Quantity::Offset { base, mark } => {
                let [a, b] = base.map(place);
                let p = place(mark);
                let angle = (b[1] - a[1]).atan2(b[0] - a[0]);
                let (e, n) = (p[0] - a[0], p[1] - a[1]);
                match m.quantity {
                    Quantity::Chainage { .. } => e * angle.cos() + n * angle.sin(),
                    _ => n * angle.cos() - e * angle.sin(),
                }
            }
            Quantity::GoalToGoal | Quantity::WingToWing => unreachable!(),
        };
        out.push((reads * (1.0 - k(m.tape)) - m.value_m) / m.sd_m);
    }
    for (i, m) in book.marks.iter().enumerate() {
        if let (Some(at), Some(sd)) = (m.at, m.at_sd_m)
            && sd > 0.0
        {
            let p = place(i);
            out.extend([(p[0] - at.x) / sd, (p[1] - at.y) / sd]);
        }
    }
    for (t, tape) in book.tapes.iter().enumerate() {
        out.push(k(Some(t)) / tape.scale_sd);
    }
    DVector::from_vec(out)
}

/// Differences of fourth order.
fn jacobian(f: impl Fn(&DVector<f64>) -> DVector<f64>, x: &DVector<f64>, steps: &[f64]) -> DMatrix<f64> {
    let columns: Vec<DVector<f64>> = (0..x.len())
        .map(|j| {
            let slope = |h: f64| {
                let (mut up, mut down) = (x.clone(), x.clone());
                up[j] += h;
                down[j] -= h;
                (f(&up) - f(&down)) / (2.0 * h)
            };
            (slope(0.5 * steps[j]) * 4.0 - slope(steps[j])) / 3.0
        })
        .collect();
    DMatrix::from_columns(&columns)
}

/// The second method: coordinates, cofactors and redundancy numbers.
fn second(book: &Notebook, start: &[[f64; 2]]) -> (DVector<f64>, DMatrix<f64>, DVector<f64>, Vec<usize>) {
    let free: Vec<usize> = (0..book.marks.len()).filter(|&m| book.marks[m].at_sd_m != Some(0.0)).collect();
    let mut x = DVector::zeros(2 * free.len() + book.tapes.len());
    for (i, &m) in free.iter().enumerate() {
        x[2 * i] = start[m][0];
        x[2 * i + 1] = start[m][1];
    }
    let steps: Vec<f64> = (0..x.len()).map(|j| if j < 2 * free.len() { 2e-2 } else { 1e-4 }).collect();
    // A tape's scale is small: its column is brought to the size of the others.
    let unit = DVector::from_fn(x.len(), |j, _| if j < 2 * free.len() { 1.0 } else { 1e-3 });
    let f = |x: &DVector<f64>| misfits(book, &free, x);
    let scaled = |x: &DVector<f64>| jacobian(f, x, &steps) * DMatrix::from_diagonal(&unit);
    // Gauss–Newton from the truth: residuals of a few standard deviations gain three digits a step.
    for _ in 0..8 {
        let step = scaled(&x).pseudo_inverse(1e-6).unwrap() * f(&x);
        x -= step.component_mul(&unit);
    }
    let j = scaled(&x);
    let inverse = j.clone().pseudo_inverse(1e-6).unwrap();
    let hat = &j * &inverse;
    let d = DMatrix::from_diagonal(&unit);
    let q = &d * &inverse * inverse.transpose() * &d;
    let redundancy = DVector::from_fn(hat.nrows(), |i, _| 1.0 - hat[(i, i)]);
    (x, q, redundancy, free)
}

/// Twelve marks strewn over an oval's square, tied where 75 m will do.
fn random(seed: u64, held: usize, tapes: bool) -> (Notebook, Vec<[f64; 2]>) {
    let mut random = Random::new(seed);
    let at: Vec<[f64; 2]> = (0..12)
        .map(|i| {
            let (row, column) = (i / 4, i % 4);
            [
                40.0 * f64::from(column) + 8.0 * random.between(-1.0, 1.0),
                45.0 * f64::from(row) + 8.0 * random.between(-1.0, 1.0),
            ]
        })
        .collect();
    let mut book = Notebook::default();
    for i in 0..12 {
        book.marks.push(mark(&format!("m{i}"), None, None));
    }
    if tapes {
        for name in ["steel", "fibre"] {
            book.tapes.push(Tape { name: name.into(), scale_sd: 4e-4, place: "page 1".into() });
        }
    }
    for i in 0..12 {
        for j in 0..i {
            let d = (at[i][0] - at[j][0]).hypot(at[i][1] - at[j][1]);
            if d < 75.0 {
                let sd = 0.005 + 2e-4 * d;
                let tape = tapes.then_some((i + j) % 2);
                let tie = Quantity::Distance { from: i, to: j };
                book.measures.push(measure(tie, d + sd * random.normal(), sd, tape));
            }
        }
    }
    for p in [5, 6] {
        let base = [0, 3];
        let (u, w) = ([at[3][0] - at[0][0], at[3][1] - at[0][1]], [at[p][0] - at[0][0], at[p][1] - at[0][1]]);
        let l = u[0].hypot(u[1]);
        let (c, o) = ((u[0] * w[0] + u[1] * w[1]) / l, (u[0] * w[1] - u[1] * w[0]) / l);
        book.measures.push(measure(
            Quantity::Chainage { base, mark: p },
            c + 0.02 * random.normal(),
            0.02,
            None,
        ));
        book.measures.push(measure(
            Quantity::Offset { base, mark: p },
            o + 0.02 * random.normal(),
            0.02,
            None,
        ));
    }
    for (m, p) in at.iter().enumerate().take(held) {
        // The first fixed, the next observed.
        let sd = if m == 0 { 0.0 } else { 0.05 };
        let there = [p[0] + sd * random.normal(), p[1] + sd * random.normal()];
        book.marks[m] = mark(&format!("m{m}"), Some(there), Some(sd));
    }
    book.hands = vec![Hand { mark: 11, of: [0, 3], left: true }];
    (book, at)
}

fn compare(book: &Notebook, at: &[[f64; 2]], found: &Network) {
    let (x, q, redundancy, free) = second(book, at);
    let held = book.marks.iter().filter(|m| m.at_sd_m.is_some()).count();
    for (i, o) in found.observations.iter().enumerate() {
        // Differences of fourth order at 2 cm steps: some 1e-11 of a derivative; a few 1e-10 of what is made of them.
        close(&format!("redundancy {i}"), o.redundancy, redundancy[i], 1e-9);
    }
    if held >= 2 {
        for (i, &m) in free.iter().enumerate() {
            close(&format!("x {m}"), found.marks[m].at.x, x[2 * i], 1e-9);
            close(&format!("y {m}"), found.marks[m].at.y, x[2 * i + 1], 1e-9);
            for (j, &n) in free.iter().enumerate() {
                let cov = found.covariance.get(2 * m, 2 * n + 1);
                close(&format!("covariance {m} {n}"), cov, q[(2 * i, 2 * j + 1)], 1e-12);
            }
        }
    } else {
        // Placed otherwise, a free network has the same figure and the same trace.
        let trace = |c: &dyn Fn(usize) -> f64| (0..2 * at.len()).map(c).sum::<f64>();
        if held == 0 {
            close("trace", trace(&|i| found.covariance.get(i, i)), trace(&|i| q[(i, i)]), 1e-12);
            let side = |p: [f64; 2], q: [f64; 2]| (p[0] - q[0]).hypot(p[1] - q[1]);
            for m in 1..at.len() {
                let ours = found.marks[m].at.distance_to(found.marks[0].at);
                close(&format!("side {m}"), ours, side([x[2 * m], x[2 * m + 1]], [x[0], x[1]]), 1e-9);
            }
        }
    }
    for (t, tape) in found.tapes.iter().enumerate() {
        close("scale", tape.too_long, x[2 * free.len() + t], 1e-11);
    }
}

#[test]
fn random_networks_by_singular_values() {
    for seed in 1..=6 {
        for (held, tapes) in [(3, false), (3, true), (0, false), (0, true), (1, false)] {
            let (book, at) = random(seed, held, tapes);
            let found = adjust(&book, &NetworkOptions::default()).unwrap();
            compare(&book, &at, &found);
        }
    }
}
