//! Finds out which surveyed post is which: its end and side, from where the posts stand.

use super::observation::Of;
use super::{SetAside, Why};
use crate::frame::Local;
use crate::geometry::{Point, Vector};
use crate::survey::{Observed, Role};
use crate::units::Problem;
use crate::units::print::fixed;

/// A post with its place among the goals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Placed {
    /// Index in the survey.
    pub(super) index: usize,
    pub(super) at: Point<Local>,
    pub(super) sd: f64,
    /// ±1 along the axis.
    pub(super) end: f64,
    /// Distance to the left of the axis for a person who faces the +1 end, m.
    pub(super) offset: f64,
    pub(super) behind: bool,
    /// The source and frame that it belongs to.
    pub(super) of: Of,
}

/// Standard deviation of the posts' middle about the fitted centre line, m. It allows for a rough line.
const CENTRE_LINE_SD_M: f64 = 5.0;
/// Standard deviation of a post about its place among the other posts, m: paint, plumb, naming.
const SPACING_SD_M: f64 = 0.5;
/// Two assignments of the posts can be told apart if twice their log likelihoods differ by at least this.
const CLEAR_BY: f64 = 4.0;
/// A post that stands farther than this from where the other posts put it is wrongly placed or named in the
/// file, m: three standard deviations of spacing.
const OUT_OF_PLACE_M: f64 = 3.0 * SPACING_SD_M;
/// Most posts at one end that are assigned: four posts, each surveyed twice.
const MOST_AT_ONE_END: usize = 8;

/// The posts with their ends and sides, and the axis.
pub(super) struct Assigned {
    pub(super) posts: Vec<Placed>,
    /// Rough unit vector from the −1 end to the +1 end.
    pub(super) axis: Vector<Local>,
}

/// Assigns each post to an end and a side; `None` when that works for none of them.
pub(super) fn assign(
    posts: &[(usize, &Observed)],
    centre: Point<Local>,
    half_end: f64,
    sd_of: impl Fn(&Observed) -> f64,
    set_aside: &mut Vec<SetAside>,
    warnings: &mut Vec<Problem>,
) -> Option<Assigned> {
    let first = posts.first()?.1.at - centre;
    let ends: [Vec<&(usize, &Observed)>; 2] = [
        posts.iter().filter(|p| (p.1.at - centre).dot(first) >= 0.0).collect(),
        posts.iter().filter(|p| (p.1.at - centre).dot(first) < 0.0).collect(),
    ];
    let mean = |list: &[&(usize, &Observed)]| {
        let n = list.len() as f64;
        Point::new(
            list.iter().map(|p| p.1.at.x).sum::<f64>() / n,
            list.iter().map(|p| p.1.at.y).sum::<f64>() / n,
        )
    };
    let axis = if ends[1].is_empty() {
        (mean(&ends[0]) - centre).unit()?
    } else {
        (mean(&ends[0]) - mean(&ends[1])).unit()?
    };
    let left = axis.to_left();
    let mut placed = Vec::new();
    for (list, end) in ends.iter().zip([1.0, -1.0]) {
        if list.is_empty() {
            continue;
        }
        let mut list: Vec<&(usize, &Observed)> = list.clone();
        // While a post is out of place and at least two others remain, leave it out.
        let mut found = None;
        // Each round takes one out, so there are no more rounds than posts.
        for _ in 0..if list.len() <= MOST_AT_ONE_END { list.len() } else { 0 } {
            let across: Vec<f64> = list.iter().map(|p| (p.1.at - centre).dot(left)).collect();
            let reach: Vec<f64> = list
                .iter()
                .map(|p| if p.1.role == Role::BehindPost { half_end } else { half_end / 3.0 })
                .collect();
            let best = signs(&across, &reach);
            let allowed = list.iter().map(|p| 3.0 * sd_of(p.1)).fold(OUT_OF_PLACE_M, f64::max);
            match best {
                Some((signs, misfit)) if misfit <= allowed => {
                    found = Some((signs, reach));
                    break;
                }
                _ if list.len() > 2 => {
                    let worst = worst_post(&across, &reach);
                    let out = list.remove(worst);
                    warnings.push(
                        Problem::new(format!(
                            "this post stands {} m or more from where the others at its end put it: set aside",
                            fixed(OUT_OF_PLACE_M, 1)
                        ))
                        .at(out.1.place.clone())
                        .hint("is it named rightly, goal post or behind post, and typed rightly?"),
                    );
                    set_aside.push(SetAside { index: out.0, why: Why::PostOutOfPlace });
                }
                _ => break,
            }
        }
        let Some((signs, reach)) = found else {
            warnings.push(
                Problem::new(format!(
                    "the {} at one end can't be told apart and {} set aside",
                    crate::units::print::count(list.len(), "post"),
                    if list.len() == 1 { "is" } else { "are" }
                ))
                .at(list[0].1.place.clone())
                .hint("survey at least two posts at each end, named 'goal post' or 'behind post'"),
            );
            set_aside.extend(list.iter().map(|p| SetAside { index: p.0, why: Why::UnclearPost }));
            continue;
        };
        placed.extend(list.iter().enumerate().map(|(i, p)| Placed {
            index: p.0,
            at: p.1.at,
            sd: sd_of(p.1),
            end,
            offset: signs[i] * reach[i],
            behind: p.1.role == Role::BehindPost,
            of: Of::observed(p.1),
        }));
    }
    (!placed.is_empty()).then_some(Assigned { posts: placed, axis })
}

/// The post without which the others have the smallest misfit.
fn worst_post(across: &[f64], reach: &[f64]) -> usize {
    let without = |k: usize| {
        let keep = |v: &[f64]| -> Vec<f64> {
            v.iter().enumerate().filter(|(i, _)| *i != k).map(|(_, x)| *x).collect()
        };
        signs(&keep(across), &keep(reach)).map_or(f64::INFINITY, |(_, misfit)| misfit)
    };
    (0..across.len()).min_by(|&i, &j| without(i).total_cmp(&without(j))).unwrap_or(0)
}

/// The side of each post, and the largest misfit. The signs are those for which `across` is nearest to
/// `sign · reach` plus one common shift. `None` when two choices are about equally good.
fn signs(across: &[f64], reach: &[f64]) -> Option<(Vec<f64>, f64)> {
    let n = across.len();
    let mut scored: Vec<(f64, Vec<f64>, f64)> = (0u32..1 << n)
        .map(|bits| {
            let signs: Vec<f64> = (0..n).map(|i| if bits >> i & 1 == 1 { 1.0 } else { -1.0 }).collect();
            let misses: Vec<f64> = (0..n).map(|i| across[i] - signs[i] * reach[i]).collect();
            // The shift that balances spacing and centre line.
            let (wp, wc) = (SPACING_SD_M.powi(-2), CENTRE_LINE_SD_M.powi(-2));
            let shift = wp * misses.iter().sum::<f64>() / (wp * n as f64 + wc);
            let score = wp * misses.iter().map(|m| (m - shift).powi(2)).sum::<f64>() + wc * shift * shift;
            let worst = misses.iter().map(|m| (m - shift).abs()).fold(0.0, f64::max);
            (score, signs, worst)
        })
        .collect();
    scored.sort_by(|a, b| a.0.total_cmp(&b.0));
    if scored.len() > 1 && scored[1].0 - scored[0].0 < CLEAR_BY {
        return None;
    }
    scored.into_iter().next().map(|(_, signs, worst)| (signs, worst))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_posts_tell_their_sides_even_off_the_centre_line() {
        // Behind and goal post of the left, 4 m off the expected line.
        let (s, worst) = signs(&[13.6, 7.2], &[9.6, 3.2]).unwrap();
        assert_eq!(s, [1.0, 1.0]);
        assert!(worst < 0.2);
        let (s, _) = signs(&[-9.4, -3.1, 3.3, 9.7], &[9.6, 3.2, 3.2, 9.6]).unwrap();
        assert_eq!(s, [-1.0, -1.0, 1.0, 1.0]);
    }

    #[test]
    fn the_post_out_of_place_is_the_one_without_which_the_rest_stand() {
        let across = [-9.6, -3.2, 3.2, 5.7];
        assert_eq!(worst_post(&across, &[9.6, 3.2, 3.2, 9.6]), 3);
    }

    #[test]
    fn one_goal_post_alone_is_unclear() {
        assert!(signs(&[0.4], &[3.2]).is_none());
    }
}
