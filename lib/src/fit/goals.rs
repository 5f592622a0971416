//! The goals in the adjustment: posts as observations beside the line's points.

use super::geometric::Adjusted;
use super::observation::Observation;
use super::places::Indexed;
use super::posts::Assigned;
use super::{FitOptions, SetAside, Why};
use crate::frame::Local;
use crate::geometry::{Ellipse, Point};
use crate::units::Problem;

/// A post farther off the curve than this is not a post of this ground, m. A true one stands within a metre
/// of the curve through the behind posts; the limit is wide, since a line by phone is rough.
const POST_OFF_LINE_M: f64 = 10.0;

/// The posts that stand near the line. The others are set aside, each with a warning.
pub(super) fn near_the_line<'a>(
    posts: &[Indexed<'a>],
    ellipse: &Ellipse<Local>,
    set_aside: &mut Vec<SetAside>,
    warnings: &mut Vec<Problem>,
) -> Vec<Indexed<'a>> {
    let mut near = Vec::new();
    for post in posts {
        let off = ellipse.foot(post.1.at).signed_distance_m.abs();
        if off <= POST_OFF_LINE_M {
            near.push(*post);
            continue;
        }
        set_aside.push(SetAside { index: post.0, why: Why::PostOutOfPlace });
        warnings.push(
            Problem::new(format!(
                "this post stands {} m from the line: set aside",
                crate::units::print::fixed(off, 1)
            ))
            .at(post.1.place.clone())
            .hint("is it a post of this ground, and typed rightly?"),
        );
    }
    near
}

/// Starting values of the goals: midpoint, turn of the axis, half-length.
pub(super) fn start_of_goals(start: &Adjusted, assigned: &Assigned) -> [f64; 4] {
    let u = assigned.axis;
    let centre = Point::new(start.parameters[0], start.parameters[1]);
    // Where each end's posts put the goal line; an end without posts mirrors the other about the curve.
    let reach_of = |end: f64| {
        let here: Vec<f64> =
            assigned.posts.iter().filter(|p| p.end == end).map(|p| (p.at - centre).dot(u) * end).collect();
        (!here.is_empty()).then(|| here.iter().sum::<f64>() / here.len() as f64)
    };
    let (far, near) = (reach_of(1.0), reach_of(-1.0));
    let (far, near) = (far.or(near).unwrap_or(0.0), near.or(far).unwrap_or(0.0));
    let across: f64 = assigned.posts.iter().map(|p| (p.at - centre).dot(u.to_left()) - p.offset).sum::<f64>()
        / assigned.posts.len() as f64;
    let g = centre + u * (0.5 * (far - near)) + u.to_left() * across;
    [g.x, g.y, u.y.atan2(u.x), 0.5 * (far + near)]
}

/// The observations that the line passes through the behind posts.
///
/// The standard deviation of this observation is that of the line itself, and never less than that of paint
/// and post. With a tighter one, an ellipse through four symmetric posts would be forced to be symmetric,
/// which would hide a lopsided ground.
pub(super) fn line_at_posts(line_sds: &[f64], options: &FitOptions) -> impl Iterator<Item = Observation> {
    let mut sds = line_sds.to_vec();
    sds.sort_by(f64::total_cmp);
    let line_sd = sds.get(sds.len() / 2).copied().unwrap_or(0.0);
    let sd = line_sd.max(options.post_sd_m);
    let half_end = 0.5 * options.end_width_m;
    [1.0, -1.0]
        .into_iter()
        .flat_map(move |end| [half_end, -half_end].map(|offset| Observation::LineAtPost { end, offset, sd }))
}
