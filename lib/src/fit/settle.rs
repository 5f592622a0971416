//! Adjusts the tape notebooks of a survey. The marks of each become points with a joint covariance, and its
//! lengths of the whole ground join those of the other sources.
//!
//! A mark with the same name as a loose point of another source takes that point's coordinates as an
//! observation. So posts good to a centimetre hold a tape network in place, and a tape network improves posts
//! by phone.

use std::collections::BTreeMap;

use super::FitOptions;
use crate::network::{
    Blunder, Network, NetworkDatum, NetworkError, NetworkOptions, Stopped, adjust_without_blunders,
};
use crate::numeric::Covariance;
use crate::survey::{Bears, GroundSpan, LocalSurvey, Notebook, Observed, Quantity, Role, Shared, SharedTape};
use crate::units::Problem;
use crate::units::print::for_terminal;

/// Least standard deviation of a settled mark, m. It only starts the fit; the mark's weight comes from its
/// network's covariance.
const LEAST_SD_M: f64 = 1e-4;

/// An adjusted notebook.
#[derive(Debug, Clone, PartialEq)]
pub struct SettledBook {
    /// Its index among the survey's sources.
    pub source: usize,
    /// The notebook, with the coordinates that other sources gave its marks.
    pub book: Notebook,
    /// Its adjustment.
    pub network: Network,
    /// Readings that contradicted the rest and were left out, in the order in which they were found.
    pub set_aside: Vec<Blunder>,
    /// Why no more were left out.
    pub stopped: Stopped,
    /// Marks whose coordinates came from points of other sources, and where those points are in their files.
    pub joined: Vec<(usize, String)>,
    /// Factor by which a fit multiplies the network's standard deviations: m0 where the residuals are larger
    /// than chance allows, else 1.
    pub sd_factor: f64,
}

/// A survey whose notebooks have been adjusted, and the results of those adjustments.
#[derive(Debug, Clone, PartialEq)]
pub struct Settled {
    /// The survey without its notebooks; their marks are points of it now.
    pub survey: LocalSurvey,
    /// Each notebook that has marks.
    pub books: Vec<SettledBook>,
    /// What the user should know.
    pub warnings: Vec<Problem>,
}

/// Why a notebook can't be adjusted.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum SettleError {
    /// Its measures fix no network.
    Network(NetworkError),
    /// It contradicts the other sources.
    Beside(Problem),
}

impl std::fmt::Display for SettleError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Network(e) => e.fmt(f),
            Self::Beside(p) => p.fmt(f),
        }
    }
}

impl std::error::Error for SettleError {}

/// Adjusts every notebook of a survey. A survey without notebooks comes back unchanged.
///
/// # Errors
/// [`SettleError`], naming the mark or the measure.
///
/// # Examples
/// ```
/// use ovalpeg::fit::{FitOptions, settle};
/// use ovalpeg::survey::{ReadOptions, read};
/// let book = b"peg 1 is at 0, 0\npeg 2 is at 30, 0\nbase peg 1 to peg 2\nat 10 left 20, sd 0.02: line 1\n";
/// let survey = read(book, &ReadOptions::default())?.value;
/// let settled = settle(survey.to_local(survey.plane()?)?, &FitOptions::with_end_width(19.2))?;
/// let line_1 = &settled.survey.points[0];
/// assert!((line_1.at.x - 10.0).abs() < 1e-9 && (line_1.at.y - 20.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn settle(mut survey: LocalSurvey, options: &FitOptions) -> Result<Settled, SettleError> {
    let mut books = Vec::new();
    let mut warnings = Vec::new();
    let notebooks = std::mem::take(&mut survey.books);
    refuse_shared_marks(&survey, &notebooks)?;
    for (source, book) in notebooks {
        let before = survey.tapes.len();
        survey.spans.extend(spans(&book, before));
        survey.tapes.extend(book.tapes.iter().map(|t| t.name.clone()));
        let of_marks =
            book.measures.iter().any(|m| !matches!(m.quantity, Quantity::GoalToGoal | Quantity::WingToWing));
        if of_marks {
            books.push(one(source, book, before, &mut survey, options, &mut warnings)?);
        } else if let Some(mark) = book.marks.first() {
            warnings.push(
                Problem::new(format!("no measure reaches '{}': not used", for_terminal(&mark.name)))
                    .at(mark.place.clone()),
            );
        }
    }
    Ok(Settled { survey, books, warnings })
}

/// Refuses a mark that two notebooks name: it is one mark, and belongs in one network.
fn refuse_shared_marks(survey: &LocalSurvey, books: &[(usize, Notebook)]) -> Result<(), SettleError> {
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    for (source, book) in books {
        for mark in &book.marks {
            let before = *first.entry(Notebook::key(&mark.name)).or_insert(*source);
            if before != *source {
                let other = survey.sources.get(before).map_or_else(String::new, |n| for_terminal(n));
                return Err(SettleError::Beside(
                    Problem::new(format!("'{}' is a mark of {other} too", for_terminal(&mark.name)))
                        .at(mark.place.clone())
                        .hint("put both notebooks into one file, or give different marks different names"),
                ));
            }
        }
    }
    Ok(())
}

/// A notebook's lengths of the whole ground. `before` is the number of tapes in the notebooks before this
/// one.
fn spans(book: &Notebook, before: usize) -> impl Iterator<Item = GroundSpan> {
    book.measures.iter().filter_map(move |m| {
        let wing_to_wing = match m.quantity {
            Quantity::WingToWing => true,
            Quantity::GoalToGoal => false,
            _ => return None,
        };
        Some(GroundSpan {
            wing_to_wing,
            value_m: m.value_m,
            sd_m: m.sd_m,
            tape: m.tape.and_then(|t| Some((before + t, book.tapes.get(t)?.scale_sd))),
            place: m.place.clone(),
        })
    })
}

/// The last part of a name that starts with its folders.
fn own_name(name: &str) -> &str {
    name.rsplit('/').next().unwrap_or(name)
}

/// Index of a mark, and index of the point whose coordinates it takes.
type Joined = (usize, usize);

/// Gives marks the coordinates of the loose points of the same name. The scale error of a point's source is
/// added to the point's standard deviation, since a tape does not share it.
fn join(book: &mut Notebook, survey: &LocalSurvey, options: &FitOptions) -> Result<Vec<Joined>, SettleError> {
    let mut named: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (k, p) in survey.points.iter().enumerate() {
        if p.path.is_none() && p.cleaned.is_none() && !p.name.is_empty() {
            named.entry(Notebook::key(own_name(&p.name))).or_default().push(k);
        }
    }
    let mut joined: Vec<Joined> = Vec::new();
    for (i, mark) in book.marks.iter_mut().enumerate().filter(|(_, m)| m.at.is_none()) {
        let here = || mark.place.clone();
        match named.get(&Notebook::key(&mark.name)).map(Vec::as_slice) {
            None | Some([]) => {}
            Some([k]) => {
                let p = &survey.points[*k];
                if let Some(&(_, other)) = joined.first()
                    && survey.points[other].source != p.source
                {
                    return Err(SettleError::Beside(
                        Problem::new(format!(
                            "'{}' is a point of another survey than the marks before it: two surveys differ in place as a whole, and a network can hang on one only",
                            for_terminal(&mark.name)
                        ))
                        .at(here())
                        .hint("name marks after the points of one survey"),
                    ));
                }
                joined.push((i, *k));
            }
            Some([a, b, ..]) => {
                return Err(SettleError::Beside(
                    Problem::new(format!(
                        "'{}' may be the point at {} or that at {}: they have one name",
                        for_terminal(&mark.name),
                        survey.points[*a].place,
                        survey.points[*b].place
                    ))
                    .at(here())
                    .hint("give each point a name of its own"),
                ));
            }
        }
    }
    let middle = |of: fn(&Observed) -> f64| {
        joined.iter().map(|j| of(&survey.points[j.1])).sum::<f64>() / joined.len().max(1) as f64
    };
    let centre = crate::geometry::Point::new(middle(|p| p.at.x), middle(|p| p.at.y));
    for &(i, k) in &joined {
        let p = &survey.points[k];
        let noise = options.noise_of(p.source);
        let sd = p.sd_m.or(noise.point_sd_m).unwrap_or(options.post_sd_m);
        let mark = &mut book.marks[i];
        mark.at = Some(p.at);
        mark.at_sd_m = Some(sd.hypot(noise.scale_sd * p.at.distance_to(centre)));
    }
    Ok(joined)
}

/// A free network, turned so that one of its bearings equals the measured one.
fn turned(mut n: Network, bears: &Bears) -> Network {
    let (a, b) = (n.marks[bears.from].at, n.marks[bears.to].at);
    let now = (b - a).x.atan2((b - a).y).to_degrees();
    // Clockwise.
    let turn_deg = bears.true_deg - now;
    let (s, c) = turn_deg.to_radians().sin_cos();
    let turn = |x: f64, y: f64| (c * x + s * y, c * y - s * x);
    for mark in &mut n.marks {
        let v = mark.at - a;
        let (x, y) = turn(v.x, v.y);
        mark.at = a + crate::geometry::Vector::new(x, y);
        mark.ellipse.bearing_deg = (mark.ellipse.bearing_deg + turn_deg).rem_euclid(180.0);
    }
    let size = 2 * n.marks.len();
    let mut rows: Vec<Vec<f64>> =
        (0..size).map(|i| (0..size).map(|j| n.covariance.get(i, j)).collect()).collect();
    // R Σ Rᵀ: columns of each mark's pair, then rows.
    for row in &mut rows {
        for pair in row.chunks_exact_mut(2) {
            (pair[0], pair[1]) = turn(pair[0], pair[1]);
        }
    }
    for k in (0..size).step_by(2) {
        let (upper, lower) = rows.split_at_mut(k + 1);
        for (x, y) in upper[k].iter_mut().zip(&mut lower[0]) {
            (*x, *y) = turn(*x, *y);
        }
    }
    if let Some(covariance) = Covariance::from_rows(size, &rows.concat()) {
        for (i, mark) in n.marks.iter_mut().enumerate() {
            (mark.sd_x_m, mark.sd_y_m) = (covariance.sd(2 * i), covariance.sd(2 * i + 1));
        }
        n.covariance = covariance;
    }
    for tape in &mut n.tapes {
        for pair in tape.with_marks.chunks_exact_mut(2) {
            (pair[0], pair[1]) = turn(pair[0], pair[1]);
        }
    }
    n
}

fn one(
    source: usize,
    mut book: Notebook,
    tapes_before: usize,
    survey: &mut LocalSurvey,
    options: &FitOptions,
    warnings: &mut Vec<Problem>,
) -> Result<SettledBook, SettleError> {
    let beside = survey.points.iter().any(|p| p.source != source);
    if survey.plane.datum_point().is_some()
        && let Some(mark) = book.marks.iter().find(|m| m.at.is_some())
    {
        return Err(SettleError::Beside(
            Problem::new(format!(
                "'{}' has x and y, and nothing ties them to the Earth, where the other surveys are",
                for_terminal(&mark.name)
            ))
            .at(mark.place.clone())
            .hint("leave its coordinates out, and give it the name of a point of the other survey"),
        ));
    }
    let joined = join(&mut book, survey, options)?;
    if beside && book.marks.iter().filter(|m| m.at_sd_m.is_some()).count() < 2 {
        return Err(SettleError::Beside(
            Problem::new(format!(
                "nothing places the marks of {} among the other surveys' points: {}",
                survey.sources.get(source).map_or_else(|| "the notebook".to_owned(), |n| for_terminal(n)),
                if joined.is_empty() {
                    "none of them has the name of such a point"
                } else {
                    "only one has the name of such a point"
                }
            ))
            .hint("name two marks and two points alike; 'goal to goal' and 'wing to wing' need no marks"),
        ));
    }
    let clean = adjust_without_blunders(&book, &NetworkOptions::default()).map_err(SettleError::Network)?;
    let network = clean.network;
    let turned_freely = matches!(network.datum, NetworkDatum::Free | NetworkDatum::Pivot);
    let network = match (&book.bears, turned_freely) {
        (Some(b), true) => turned(network, b),
        (None, true) => {
            survey.untold.north = true;
            network
        }
        _ => network,
    };
    survey.untold.hand |= network.hand_assumed;
    if network.hand_assumed {
        warnings.push(
            Problem::new("nothing in the notebook tells the network from its mirror image: left and right may be swapped")
                .hint("add a line such as: peg 3 is left of peg 1 to peg 2"),
        );
    }
    // The residuals' own standard deviation is used, where it is larger than chance allows.
    let factor: f64 = match network.global.verdict {
        crate::network::Verdict::TooLarge => network.m0.map_or(1.0, |m| (m * m).max(1.0)),
        _ => 1.0,
    };
    // The whole network is in the frame of the points that fix it.
    let frame = joined.first().map_or(source, |j| survey.points[j.1].frame);
    let from = survey.points.len();
    let mut used = Vec::new();
    for (i, (mark, found)) in book.marks.iter().zip(&network.marks).enumerate() {
        let other = joined.iter().find(|j| j.0 == i).map(|j| survey.points[j.1].clone());
        let role = match (mark.role, &other) {
            (Role::Unused, Some(o)) => o.role,
            (role, _) => role,
        };
        if role == Role::Unused {
            continue;
        }
        used.push(i);
        let sd = (0.5 * (found.sd_x_m.powi(2) + found.sd_y_m.powi(2)) * factor).sqrt();
        survey.points.push(Observed {
            sd_m: Some(sd.max(LEAST_SD_M)),
            name: mark.name.clone(),
            place: mark.place.clone(),
            source,
            frame,
            ..Observed::new(found.at, role)
        });
    }
    for &(_, k) in &joined {
        // The mark replaces the point.
        survey.points[k].role = Role::Unused;
    }
    if !used.is_empty() {
        let pick = |n: usize| 2 * used[n / 2] + n % 2;
        let n = 2 * used.len();
        let tapes: Vec<SharedTape> = network
            .tapes
            .iter()
            .filter(|t| {
                t.sd > 0.0
                    && survey.spans.iter().any(|s| s.tape.is_some_and(|u| u.0 == tapes_before + t.tape))
            })
            .map(|t| SharedTape {
                tape: tapes_before + t.tape,
                too_long: t.too_long,
                sd: t.sd * factor.sqrt(),
                moves: (0..n).map(|i| t.with_marks[pick(i)] / (t.sd * t.sd)).collect(),
            })
            .collect();
        // The covariance with those tapes' scales fixed: Σ − g gᵀ/σ², where g is the covariance of places and
        // scale. The correlation between the scales of two tapes is slight, and is left out.
        let held =
            |i: usize, j: usize| -> f64 { tapes.iter().map(|t| t.moves[i] * t.moves[j] * t.sd * t.sd).sum() };
        let rows: Vec<f64> = (0..n)
            .flat_map(|i| (0..n).map(move |j| (i, j)))
            .map(|(i, j)| network.covariance.get(pick(i), pick(j)) * factor - held(i, j))
            .collect();
        if let Some(covariance) = Covariance::from_rows(n, &rows) {
            survey.shared.push(Shared { points: (from..from + used.len()).collect(), covariance, tapes });
        }
    }
    Ok(SettledBook {
        source,
        book,
        network,
        set_aside: clean.set_aside,
        stopped: clean.stopped,
        joined: joined.into_iter().map(|(i, k)| (i, survey.points[k].place.clone())).collect(),
        sd_factor: factor.sqrt(),
    })
}
