//! The points of a survey that a fit uses: its line without repeats and outliers, and its posts. Also the
//! points that were set aside.

use super::outliers::isolated;
use super::places::Indexed;
use super::screening::{on_a_line, refuse_strays, set_repeats_aside};
use super::starts::CutSearch;
use super::{FitError, FoundRun, SetAside, Why};
use crate::frame::Local;
use crate::geometry::Point;
use crate::survey::{LocalSurvey, Role};

/// Parameters of an ellipse.
pub(super) const PARAMETERS: usize = 5;

fn pick<'a>(survey: &'a LocalSurvey, roles: &[Role]) -> Vec<Indexed<'a>> {
    survey.points.iter().enumerate().filter(|(_, p)| roles.contains(&p.role) && p.cleaned.is_none()).collect()
}

/// Line points after screening.
#[derive(Clone)]
pub(super) struct Screened<'a> {
    pub(super) line: Vec<Indexed<'a>>,
    pub(super) posts: Vec<Indexed<'a>>,
    pub(super) set_aside: Vec<SetAside>,
    /// Stretches that depart from the rest of the line. Their points are still in `line`.
    pub(super) runs: Vec<FoundRun>,
    /// Cache of the cuts that were found on the line.
    pub(super) search: CutSearch,
}

pub(super) fn screen(survey: &LocalSurvey) -> Result<Screened<'_>, FitError> {
    let posts = pick(survey, &[Role::GoalPost, Role::BehindPost]);
    let line = pick(survey, &[Role::Line]);
    let have = line.len();
    refuse_strays(&[line.clone(), posts.clone()].concat())?;
    let mut set_aside: Vec<SetAside> = survey
        .points
        .iter()
        .enumerate()
        .filter_map(|(index, p)| p.cleaned.map(|step| SetAside { index, why: Why::Cleaned(step) }))
        .collect();
    let line = set_repeats_aside(line, &mut set_aside);
    let (line, runs) = set_blunders_aside(line, &posts, &mut set_aside);
    let behind = posts.iter().filter(|p| p.1.role == Role::BehindPost).count();
    if line.len() + behind <= PARAMETERS {
        return Err(FitError::TooFewPoints { have, different: line.len(), need: PARAMETERS + 1 });
    }
    let mut all: Vec<Point<Local>> = line.iter().map(|p| p.1.at).collect();
    all.extend(posts.iter().map(|p| p.1.at));
    if on_a_line(&all) {
        return Err(FitError::OnALine);
    }
    Ok(Screened { line, posts, set_aside, runs, search: CutSearch::default() })
}

/// Removes the outliers from the line, and finds the stretches that depart from it.
fn set_blunders_aside<'a>(
    mut line: Vec<Indexed<'a>>,
    posts: &[Indexed<'_>],
    set_aside: &mut Vec<SetAside>,
) -> (Vec<Indexed<'a>>, Vec<FoundRun>) {
    let posts: Vec<Point<Local>> = posts.iter().map(|p| p.1.at).collect();
    let found = isolated(&line, &posts);
    let index = |position: usize| line[position].0;
    let runs = found
        .runs
        .iter()
        .filter_map(|run| {
            let points: Vec<usize> = run.positions.iter().map(|&i| index(i)).collect();
            Some(FoundRun {
                from: *points.first()?,
                to: *points.last()?,
                points,
                length_m: run.length_m,
                mean_m: run.mean_m,
                most_m: run.most_m,
            })
        })
        .collect();
    set_aside.extend(
        found.blunders.iter().map(|b| SetAside {
            index: index(b.position),
            why: Why::OffTheRest { distance_m: b.distance_m },
        }),
    );
    let mut out = vec![false; line.len()];
    found.blunders.iter().for_each(|b| out[b.position] = true);
    let mut out = out.into_iter();
    line.retain(|_| !out.next().unwrap_or(false));
    (line, runs)
}
