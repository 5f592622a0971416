//! Marks that the measures do not determine (they are loose), or determine badly.

use nalgebra::DMatrix;

use super::equations::{Kind, Model, State, cross, minus, unit};
use super::error::NetworkError;
use super::least_squares::{Normal, weakest_motion};
use super::result::ErrorEllipse;
use super::words;
use crate::survey::Notebook;

/// How far marks are moved to see whether the network is loose only in that particular figure, m.
const ASIDE_M: f64 = 0.5;

/// Refuses a network in which marks can move without changing any measure.
pub(super) fn nothing_is_loose(book: &Notebook, model: &Model, s: &State) -> Result<(), NetworkError> {
    let (matrix, _) = model.normal(s, |_| 1.0);
    match Normal::new(model, s, &matrix, 0.0) {
        Some(_) => Ok(()),
        None => Err(loose_or_bent(book, model, s)),
    }
}

/// The error for a singular network. If it is still singular with the marks moved a little, a mark is loose.
/// Otherwise the measures do determine it, but the readings put it exactly where two possible figures
/// coincide, where a small error moves it far.
fn loose_or_bent(book: &Notebook, model: &Model, s: &State) -> NetworkError {
    let found = loose(book, model, s);
    let mut aside = s.clone();
    for (m, p) in aside.at.iter_mut().enumerate().filter(|(m, _)| model.column[*m].is_some()) {
        // Arbitrary directions, a golden angle apart.
        let angle = 2.4 * m as f64;
        *p = [p[0] + ASIDE_M * angle.cos(), p[1] + ASIDE_M * angle.sin()];
    }
    let (matrix, _) = model.normal(&aside, |_| 1.0);
    match (found, Normal::new(model, &aside, &matrix, 0.0)) {
        (NetworkError::Loose { mark, .. }, Some(_)) => {
            let at = book.marks.iter().position(|m| m.name == mark).unwrap_or(0);
            NetworkError::BadShape {
                mark,
                semi_major_m: f64::INFINITY,
                bearing_deg: weakest_motion(model, s)
                    .zip(model.column[at])
                    .map_or(0.0, |(w, c)| w[c].atan2(w[c + 1]).to_degrees().rem_euclid(180.0)),
                sd_m: model.median_sd(at),
                limit: f64::INFINITY,
            }
        }
        (found, _) => found,
    }
}

/// Refuses a mark whose error ellipse exceeds the accepted ratio.
pub(super) fn all_are_fixed_well(
    book: &Notebook,
    model: &Model,
    s: &State,
    limit: f64,
) -> Result<(), NetworkError> {
    let (matrix, _) = model.normal(s, |_| 1.0);
    let Some(normal) = Normal::new(model, s, &matrix, 0.0) else {
        return Err(loose_or_bent(book, model, s));
    };
    let q = normal.cofactors();
    if let Some((mark, ellipse, sd)) = worst(model, s, &q, limit) {
        // In a free network, a far mark that can swing makes all the others look badly determined too:
        // look first for one that swings by itself.
        let mark = alone(model, &matrix, limit).unwrap_or(mark);
        if let Some(e) = in_line(book, model, s, mark) {
            return Err(e);
        }
        return Err(NetworkError::BadShape {
            mark: words::name(book, mark),
            semi_major_m: ellipse.semi_major_m,
            bearing_deg: ellipse.bearing_deg,
            sd_m: sd,
            limit,
        });
    }
    Ok(())
}

/// Names the marks that can move.
fn loose(book: &Notebook, model: &Model, s: &State) -> NetworkError {
    let Some(weak) = weakest_motion(model, s) else {
        return NetworkError::DidNotConverge { after: 10_000, last_step_m: f64::NAN, worst: None };
    };
    let moves: Vec<f64> =
        model.column.iter().map(|c| c.map_or(0.0, |c| weak[c].hypot(weak[c + 1]))).collect();
    let most = moves.iter().copied().fold(0.0, f64::max);
    // The first of those that move the most.
    let mark = moves.iter().position(|&v| v > 0.999 * most).unwrap_or(0);
    let (matrix, _) = model.normal(s, |_| 1.0);
    if let Some(mark) = alone(model, &matrix, 1e3) {
        return in_line(book, model, s, mark)
            .unwrap_or(NetworkError::Loose { mark: words::name(book, mark), with: Vec::new() });
    }
    if let Some(e) = in_line(book, model, s, mark) {
        return e;
    }
    let with = (0..moves.len())
        .filter(|&m| m != mark && moves[m] >= 0.5 * most)
        .map(|m| words::name(book, m))
        .collect();
    NetworkError::Loose { mark: words::name(book, mark), with }
}

/// The mark that is worst determined even if all others are held fixed, if its ellipse exceeds the limit.
/// That ellipse comes from the inverse of its own block of the normal matrix.
fn alone(model: &Model, matrix: &DMatrix<f64>, limit: f64) -> Option<usize> {
    let mut found: Option<(f64, usize)> = None;
    for (m, c) in model.column.iter().enumerate() {
        let Some(c) = *c else { continue };
        let (xx, xy, yy) = (matrix[(c, c)], matrix[(c, c + 1)], matrix[(c + 1, c + 1)]);
        // The smaller eigenvalue of the block, computed from its determinant.
        let large = 0.5 * (xx + yy) + 0.5 * (xx - yy).hypot(2.0 * xy);
        let small = (xx * yy - xy * xy) / large;
        let ratio = 1.0 / (small.max(0.0).sqrt() * model.median_sd(m));
        if (ratio > limit || ratio.is_nan()) && found.is_none_or(|f| ratio > f.0) {
            found = Some((ratio, m));
        }
    }
    found.map(|f| f.1)
}

/// The error for a mark whose only two ties lie along one line.
fn in_line(book: &Notebook, model: &Model, s: &State, mark: usize) -> Option<NetworkError> {
    let mut ends: Vec<usize> = Vec::new();
    for &i in &model.touching[mark] {
        let Kind::Distance(a, b) = model.obs[i].kind else { return None };
        ends.push(if a == mark { b } else { a });
    }
    ends.sort_unstable();
    ends.dedup();
    let &[a, b] = ends.as_slice() else { return None };
    // The ties cross at less than five degrees.
    let sine = cross(unit(minus(s.at[a], s.at[mark])), unit(minus(s.at[b], s.at[mark]))).abs();
    (sine < 0.087).then(|| NetworkError::InLine {
        mark: words::name(book, mark),
        with: [a, b].map(|m| words::name(book, m)),
    })
}

/// The mark whose ellipse is largest compared with its measures, if it exceeds the limit.
fn worst(model: &Model, s: &State, q: &DMatrix<f64>, limit: f64) -> Option<(usize, ErrorEllipse, f64)> {
    let shape = without_common_errors(model, s, q);
    let mut found: Option<(f64, usize, ErrorEllipse, f64)> = None;
    for m in (0..model.marks()).filter(|&m| model.column[m].is_some()) {
        let sd = model.median_sd(m);
        let i = 2 * m;
        let e = ErrorEllipse::new(shape[(i, i)], shape[(i + 1, i + 1)], shape[(i, i + 1)]);
        let ratio = e.semi_major_m / sd;
        if (ratio > limit || ratio.is_nan()) && found.as_ref().is_none_or(|f| ratio > f.0) {
            found = Some((ratio, m, e, sd));
        }
    }
    found.map(|(_, m, e, sd)| (m, e, sd))
}

/// Covariance of all marks without the common shift, turn and scale: coordinates that were observed
/// roughly, or a tape of unknown scale, say nothing about a mark's ties (S-transformation of
/// W. Baarda, S-transformations and criterion matrices, 1973; from memory).
fn without_common_errors(model: &Model, s: &State, q: &DMatrix<f64>) -> DMatrix<f64> {
    let n = model.marks();
    let mut all = DMatrix::zeros(2 * n, 2 * n);
    let index = |m: usize, axis: usize| model.column[m].map(|c| c + axis);
    for a in 0..2 * n {
        for b in 0..2 * n {
            if let (Some(i), Some(j)) = (index(a / 2, a % 2), index(b / 2, b % 2)) {
                all[(a, b)] = q[(i, j)];
            }
        }
    }
    let stretched = model.scale_column.iter().any(Option::is_some);
    let observed = model.obs.iter().any(|o| matches!(o.kind, Kind::X(_)));
    if !stretched && !observed {
        return all;
    }
    let mean = s.at.iter().fold([0.0; 2], |t, p| [t[0] + p[0] / n as f64, t[1] + p[1] / n as f64]);
    let mut g = DMatrix::zeros(2 * n, if stretched { 4 } else { 3 });
    for (m, p) in s.at.iter().enumerate() {
        let d = minus(*p, mean);
        let rows = [[1.0, 0.0, -d[1], d[0]], [0.0, 1.0, d[0], d[1]]];
        for (axis, row) in rows.iter().enumerate() {
            for c in 0..g.ncols() {
                g[(2 * m + axis, c)] = row[c];
            }
        }
    }
    // The columns are orthogonal, because they are taken about the mean.
    for mut column in g.column_iter_mut() {
        let norm = column.norm();
        if norm > 0.0 {
            column /= norm;
        }
    }
    // S Q Sᵀ with S = I − GGᵀ, without forming S.
    let qg = &all * &g;
    let gqg = g.transpose() * &qg;
    &all - &qg * g.transpose() - &g * qg.transpose() + &g * gqg * g.transpose()
}
