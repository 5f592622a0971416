//! The fit itself: from a survey in the local plane to a ground: goals, goal-line
//! fixes, posts, and the spread of all of it.

use super::clock::Clock;
use super::conflict::{Doubts, Tested, Trial};
use super::curve_fit::{Indexed, Screened, curve_of, residuals, rms, screen};
use super::geometric::Adjusted;
use super::goal_line::{Goals, on_goal_line};
use super::joint::{Attempt, Setting};
use super::screening::{GAP_LIMIT_DEG, Gap, largest_gap, rough_centre};
use super::shifts::{shifts, spans};
use super::sources::Commons;
use super::system::{Of, WITH_GOALS, ellipse_of, post_place};
use super::to_spread::{
    half_length, in_degrees, length_and_width, long_axis_first, nine, off_the_line, outline_of, unseen_errors,
};
use super::walk::Part;
use super::{
    AxisFrom, Curve, Fit, FitError, FitOptions, PostFit, Residual, SetAside, Why, axis, misfit, walk,
};
use crate::boundary::Spread;
use crate::frame::Local;
use crate::geometry::{Ellipse, Point, Vector};
use crate::numeric::t_quantile;
use crate::survey::{LocalSurvey, Observed};
use crate::units::Problem;

/// Scatter over half-width beyond which points lie round no oval: ten times the
/// worst phone walk of a small ground.
const SCATTER_LIMIT: f64 = 0.15;
/// How far a width of the curve is off where the line is no ellipse, as one standard
/// deviation over the root mean square residual. On ovals cut 1 to 5 m by a straight
/// side the width came out up to 4 times that residual too large; at 1.5 the 95 %
/// interval just holds that.
const MISFIT_SHARE: f64 = 1.5;
/// Rounds of telling goal line from boundary: two settle it, a tie could swing for ever.
const GOAL_LINE_ROUNDS: usize = 10;
/// Lengths outside this make one ask whether the file is in metres.
const PLAUSIBLE_LENGTH_M: std::ops::RangeInclusive<f64> = 60.0..=300.0;

/// Everything between the screened points and the adjusted goals.
struct Working<'a> {
    line: Vec<Indexed<'a>>,
    attempt: Attempt,
    goals: Goals,
}

impl Working<'_> {
    /// Where a point of the line has the curve, after what its source is off by.
    fn put_right(
        &self,
        options: &FitOptions,
        p: &[f64],
        o: &Observed,
        ellipse: &Ellipse<Local>,
    ) -> Point<Local> {
        let inside = options.noise_of(o.source).inside_m;
        self.attempt.system.put_right(p, ellipse, Of::observed(o), inside, o.at)
    }
}

fn goals_of(adjusted: &Adjusted, end_width: f64) -> Result<Goals, FitError> {
    let p = &adjusted.parameters;
    let half_end = 0.5 * end_width;
    if adjusted.shape == WITH_GOALS {
        return Ok(Goals {
            centre: Point::new(p[5], p[6]),
            axis: Vector::at_angle(p[7]),
            half_length: p[8],
            half_end,
        });
    }
    let e = ellipse_of(p).ok_or(FitError::NotAnOval)?;
    let [half, ..] = half_length(e.semi_major_m(), e.semi_minor_m(), end_width)
        .ok_or(FitError::TooSmall { width_m: 2.0 * e.semi_minor_m(), end_width_m: end_width })?;
    Ok(Goals { centre: e.centre(), axis: Vector::at_angle(e.turn_rad()), half_length: half, half_end })
}

fn work<'a>(
    s: &Screened<'a>,
    setting: &Setting<'_>,
    set_aside: &mut Vec<SetAside>,
    warnings: &mut Vec<Problem>,
) -> Result<Working<'a>, FitError> {
    let mut off = vec![false; s.line.len()];
    for round in 0..GOAL_LINE_ROUNDS {
        let line: Vec<Indexed<'a>> =
            s.line.iter().zip(&off).filter(|(_, off)| !**off).map(|(p, _)| *p).collect();
        // Set-asides and warnings of the last round are those that count.
        let (mut aside, mut notes) = (Vec::new(), Vec::new());
        let attempt = setting.attempt(&line, &s.posts, &mut aside, &mut notes)?;
        let adjusted = &attempt.adjusted;
        let goals = goals_of(adjusted, setting.options.end_width_m)?;
        let ellipse = ellipse_of(&adjusted.parameters).ok_or(FitError::NotAnOval)?;
        let all: Vec<Point<Local>> = s
            .line
            .iter()
            .map(|p| {
                let inside = setting.options.noise_of(p.1.source).inside_m;
                attempt.system.put_right(&adjusted.parameters, &ellipse, Of::observed(p.1), inside, p.1.at)
            })
            .collect();
        let next = on_goal_line(&all, &ellipse, goals);
        if next == off || round + 1 == GOAL_LINE_ROUNDS {
            set_aside.append(&mut aside);
            warnings.append(&mut notes);
            let crossing = s.line.iter().zip(&off).filter(|(_, off)| **off);
            set_aside.extend(crossing.map(|(p, _)| SetAside { index: p.0, why: Why::OnGoalLine }));
            return Ok(Working { line, attempt, goals });
        }
        off = next;
    }
    Err(FitError::DidNotConverge { after: GOAL_LINE_ROUNDS, last_step_m: f64::NAN })
}

fn refused_gap(gap: Gap) -> FitError {
    // Counter-clockwise from `from` to `to`, so clockwise it starts at `to`.
    FitError::Gap {
        gap_deg: gap.gap_deg,
        limit_deg: GAP_LIMIT_DEG,
        from_deg: 90.0 - gap.to_deg,
        to_deg: 90.0 - gap.from_deg,
    }
}

/// An arc too short to fix any ellipse fails in many ways, and one cause is behind
/// them all: most of the boundary is missing. Say that, unless it is a hyperbola.
fn or_a_gap(e: FitError, s: &Screened<'_>) -> FitError {
    if !matches!(e, FitError::Open | FitError::TooSmall { .. } | FitError::DidNotConverge { .. }) {
        return e;
    }
    let points: Vec<Point<Local>> = s.line.iter().map(|p| p.1.at).collect();
    match rough_centre(&points).map(|c| largest_gap(c, &points, &[])) {
        Some(gap) if gap.gap_deg > GAP_LIMIT_DEG => refused_gap(gap),
        _ => e,
    }
}

/// One fit with the doubts so far, and how every length and common error stands in it.
pub(super) fn once(
    survey: &LocalSurvey,
    options: &FitOptions,
    doubts: &Doubts,
) -> Result<(Fit, Vec<Tested>), FitError> {
    let mut s = screen(survey)?;
    let mut set_aside = s.set_aside.clone();
    s.posts.retain(|p| {
        let out = doubts.posts_out.contains(&p.0);
        if out {
            set_aside.push(SetAside { index: p.0, why: Why::PostOutOfPlace });
        }
        !out
    });
    let mut warnings = Vec::new();
    let commons = Commons::of(survey, options, &doubts.widened);
    let setting = Setting {
        survey,
        options,
        commons: &commons,
        spans: doubts.spans(survey),
        post_sds: &doubts.posts_wider,
    };
    let w = work(&s, &setting, &mut set_aside, &mut warnings).map_err(|e| or_a_gap(e, &s))?;
    let (adjusted, shape) = (&w.attempt.adjusted, w.attempt.adjusted.shape);
    let points: Vec<Point<Local>> = w.line.iter().map(|p| p.1.at).collect();

    let half_angle = (w.goals.half_end / w.goals.half_length).atan().to_degrees();
    let facing = w.goals.axis.y.atan2(w.goals.axis.x).to_degrees();
    let gap = largest_gap(
        w.goals.centre,
        &points,
        &[(facing.rem_euclid(360.0), half_angle), ((facing + 180.0).rem_euclid(360.0), half_angle)],
    );
    if gap.gap_deg > GAP_LIMIT_DEG {
        return Err(refused_gap(gap));
    }
    set_aside.sort_by_key(|a| a.index);
    let mut curve = curve_of(adjusted, &w.line, set_aside, gap.gap_deg, |o, e| {
        w.put_right(options, &adjusted.parameters, o, e)
    })?;
    if curve.rms_m > SCATTER_LIMIT * curve.ellipse.semi_minor_m() {
        let e = FitError::Scattered { rms_m: curve.rms_m, semi_minor_m: curve.ellipse.semi_minor_m() };
        return Err(or_a_blunder(e, &curve, survey));
    }
    let dof = curve.dof;
    let (cofactor, _) = adjusted.cofactor();
    let mut full = adjusted.parameters.clone();
    // Where sources meet, or a tape's own scale is in the covariance, standard deviations are
    // what they are: chance that makes few residuals small must not make a tape better.
    let alone = commons.is_empty() && survey.shared.is_empty();
    let unit = if alone { curve.s0 } else { curve.s0.max(1.0) };
    let mut covariance = &cofactor * (unit * unit);
    let mut parts =
        vec![Part { weight: 1.0, step: vec![0.0; full.len()], base: full.clone(), covariance: cofactor }];
    let mut ratio = t_quantile(0.975, dof);
    let mut walk_error = None;
    let sources = w.line.iter().map(|p| p.1.source + 1).max().unwrap_or(0);
    let running: Vec<bool> = (0..sources).map(|i| options.noise_of(i).runs_on).collect();
    if running.contains(&true) {
        let end = options.end_width_m;
        let own: Vec<Indexed<'_>> = w
            .line
            .iter()
            .copied()
            .filter(|p| !survey.shared.iter().any(|s| s.points.contains(&p.0)))
            .collect();
        // Beside other sources the walk's error is looked at where the line alone has it.
        let mut apart = full.clone();
        apart[..w.attempt.alone.len()].copy_from_slice(&w.attempt.alone);
        let apart = (!commons.is_empty()).then_some(apart.as_slice());
        let found = Clock::of(&own, running, &curve.ellipse).and_then(|clock| {
            walk::average(&full, apart, &w.attempt.system, &clock, |p| length_and_width(p, shape, end))
        });
        match found {
            Some(found) => {
                full = found.parameters;
                covariance = found.covariance;
                ratio = found.ratio;
                walk_error = Some(found.error);
                parts = found.parts;
            }
            None => warnings.push(Problem::new(
                "too few fixes to tell how long the walk's error lasts: the ± leaves it out",
            )),
        }
    }
    let trial = Trial {
        system: &w.attempt.system,
        commons: &commons,
        spans: &setting.spans,
        span_places: &w.attempt.span_places,
        posts: &w.attempt.post_places,
        shape,
    };
    let tested = trial.test(&parts, unit.max(1.0));
    let shifts = shifts(&commons, &full, &covariance, shape);
    let spans = spans(survey, &setting.spans, &full[..shape], options.end_width_m);
    let covariance = covariance.view((0, 0), (shape, shape)).into_owned();
    let (mut p, m) = long_axis_first(full[..shape].to_vec(), covariance);
    let (nine, m) = match nine(&mut p, m, options.end_width_m) {
        Some(found) => found,
        None => {
            return Err(FitError::TooSmall {
                width_m: 2.0 * curve.ellipse.semi_minor_m(),
                end_width_m: options.end_width_m,
            });
        }
    };
    let assumed = w.attempt.assigned.is_none();
    let axis = axis::Axis {
        // Posts fix the axis themselves; without them it is the curve's, as true as paint is.
        own_deg: m[(7, 7)].max(0.0).sqrt().to_degrees(),
        textbook_deg: curve.covariance.sd(4),
        semi_axes_differ_m: (nine[2] - nine[3]).abs(),
        assumed,
        fixed: !assumed || curve.axis_fixed,
        walked: walk_error.is_some(),
    };
    match axis.known(ratio) {
        Ok(warning) => warnings.extend(warning),
        Err(e) => return Err(or_a_blunder(e, &curve, survey)),
    }
    let outline = outline_of(&nine)?;
    // Refuse here what no boundary can be made of.
    outline.boundary(options.end_width_m).map_err(FitError::Posts)?;
    let covariance = in_degrees(&m, &[4, 7]).ok_or(FitError::NotAnOval)?;
    let ratio = if ratio.is_finite() { ratio.clamp(1.0, 1000.0) } else { 1000.0 };
    let mut spread = Spread::from_covariance(&covariance, ratio)
        .ok()
        .flatten()
        .ok_or(FitError::DidNotConverge { after: 0, last_step_m: f64::NAN })?;
    if commons.is_empty() {
        // One source: nothing in the survey can show these.
        let noise = options.noise_of(w.line.first().map_or(0, |p| p.1.source));
        unseen_errors(&mut spread, &nine, options.end_width_m, noise, assumed);
    }
    if walk_error.is_some() {
        // The residuals shown are those of the outline that is used.
        curve.ellipse = *outline.ellipse().unwrap_or(&curve.ellipse);
        curve.residuals = residuals(&curve.ellipse, &w.line, |o, e| w.put_right(options, &full, o, e));
        curve.rms_m = rms(curve.residuals.iter().map(|r| r.residual_m));
    }
    // What a walk's running error does to its residuals says nothing of the shape.
    let runs = |r: &Residual| walk_error.is_some() && options.noise_of(survey.points[r.index].source).runs_on;
    let still: Vec<Residual> = curve.residuals.iter().copied().filter(|r| !runs(r)).collect();
    let departures = misfit::departures(&curve.ellipse, &still);
    if !departures.is_empty() {
        // The line is no ellipse: its residuals are not scatter but shape, and the
        // curve's widths are off by about as much.
        let off_m = rms(still.iter().map(|r| r.residual_m));
        off_the_line(&mut spread, &nine, options.end_width_m, MISFIT_SHARE * off_m, assumed);
        warnings.push(Problem::new(format!(
            "the line is not an ellipse: it departs from one by {} m on the whole, and the ± is widened by that",
            crate::units::print::fixed(off_m, 1)
        )));
    }
    for r in misfit::blunders(&still).iter().take(3) {
        warnings.push(
            Problem::new(format!(
                "this point lies {} m off the line, far more than the rest do",
                crate::units::print::fixed(r.residual_m.abs(), 1)
            ))
            .at(survey.points[r.index].place.clone())
            .hint("mistyped, or a spike? Mend it or take it out: it moves the ground"),
        );
    }
    if !PLAUSIBLE_LENGTH_M.contains(&(2.0 * outline.half_length_m())) {
        warnings.push(
            Problem::new(format!(
                "the ground comes out {} m long",
                crate::units::print::fixed(2.0 * outline.half_length_m(), 0)
            ))
            .hint("are the coordinates in metres?"),
        );
    }
    let both = w
        .attempt
        .assigned
        .as_ref()
        .is_some_and(|a| [1.0, -1.0].iter().all(|e| a.posts.iter().any(|p| p.end == *e)));
    curve.warnings = warnings;
    let system = &w.attempt.system;
    let fit = Fit {
        axis_from: match (assumed, both) {
            (true, _) => AxisFrom::LongAxis,
            (false, true) => AxisFrom::Posts,
            (false, false) => AxisFrom::PostsAtOneEnd,
        },
        posts: w.attempt.assigned.map_or_else(Vec::new, |a| {
            a.posts
                .iter()
                .map(|p| PostFit {
                    index: p.index,
                    behind: p.behind,
                    miss_m: system
                        .corrected(&full, p.of, p.at)
                        .distance_to(post_place(&nine, p.end, p.offset)),
                })
                .collect()
        }),
        curve,
        outline,
        spread,
        walk: walk_error,
        shifts,
        spans,
        conflicts: Vec::new(),
        departures,
    };
    Ok((fit, tested))
}

/// Where one point lies off far more than the rest, that is what to say.
fn or_a_blunder(e: FitError, curve: &Curve, survey: &LocalSurvey) -> FitError {
    match curve.blunders().first() {
        Some(r) => {
            FitError::Blunder { place: survey.points[r.index].place.clone(), distance_m: r.residual_m.abs() }
        }
        None => e,
    }
}

#[cfg(test)]
mod tests {
    use super::super::ground;
    use super::*;
    use crate::boundary::Outline;
    use crate::frame::LocalPlane;
    use crate::survey::Role;

    fn observed(at: Point<Local>, role: Role) -> Observed {
        Observed { place: "line 2".into(), ..Observed::new(at, role) }
    }

    fn survey(points: Vec<Observed>) -> LocalSurvey {
        LocalSurvey::new(LocalPlane::own(), points)
    }

    /// A 165 × 135 m ground whose axis bears 30°, at (10, 20).
    fn truth() -> Outline {
        let b = 67.5;
        let a = 82.5 / (1.0 - (9.6f64 / b).powi(2)).sqrt();
        Outline::from_parameters(&[10.0, 20.0, a, b, 30.0, 10.0, 20.0, 30.0, 82.5]).unwrap()
    }

    fn line(o: &Outline, n: u32) -> Vec<Observed> {
        (0..n)
            .map(|i| {
                o.ellipse().unwrap().at_parameter(f64::from(i) / f64::from(n) * std::f64::consts::TAU + 0.01)
            })
            .filter(|p| o.plan().to_ground(*p).y.abs() > 9.6)
            .map(|p| observed(p, Role::Line))
            .collect()
    }

    fn posts(o: &Outline) -> Vec<Observed> {
        let mut v = Vec::new();
        for x in [o.half_length_m(), -o.half_length_m()] {
            for (y, role) in [
                (9.6, Role::BehindPost),
                (3.2, Role::GoalPost),
                (-3.2, Role::GoalPost),
                (-9.6, Role::BehindPost),
            ] {
                v.push(observed(o.plan().to_local(Point::new(x, y)), role));
            }
        }
        v
    }

    fn fit(points: Vec<Observed>) -> Result<Fit, FitError> {
        ground(&survey(points), &FitOptions::with_end_width(19.2))
    }

    #[test]
    fn recovers_a_planted_ground_without_posts() {
        let f = fit(line(&truth(), 80)).unwrap();
        assert_eq!(f.axis_from, AxisFrom::LongAxis);
        // Exact points, double precision.
        assert!((2.0 * f.outline.half_length_m() - 165.0).abs() < 1e-8);
        assert!((f.outline.plan().axis().degrees() % 180.0 - 30.0).abs() < 1e-8);
    }

    #[test]
    fn posts_fix_length_axis_and_centre_of_a_round_ground() {
        let e = Outline::from_parameters(&[0.0, 0.0, 70.3, 70.2, 75.0, 0.2, -0.1, 20.0, 69.6]).unwrap();
        // Exact points fix the ellipse's axis, but no paint is that true to it.
        assert!(matches!(fit(line(&e, 60)), Err(FitError::NoAxis { .. })));
        let mut noisy = line(&e, 60);
        for (i, p) in noisy.iter_mut().enumerate() {
            let k = if i % 2 == 0 { 0.1 } else { -0.1 };
            p.at = p.at + (p.at - Point::ORIGIN) * (k / 70.0);
        }
        assert!(matches!(fit(noisy.clone()), Err(FitError::NoAxis { .. })));
        noisy.extend(posts(&e));
        let f = fit(noisy).unwrap();
        assert_eq!(f.axis_from, AxisFrom::Posts);
        assert!((f.outline.plan().axis().degrees() % 180.0 - 20.0).abs() < 0.05);
        assert!((f.outline.half_length_m() - 69.6).abs() < 0.02);
    }

    #[test]
    fn a_lap_over_the_goals_is_not_biased() {
        let o = truth();
        let mut points = line(&o, 80);
        for x in [82.5, -82.5] {
            for i in -3..=3 {
                points.push(observed(o.plan().to_local(Point::new(x, f64::from(i) * 3.0)), Role::Line));
            }
        }
        let f = fit(points).unwrap();
        assert_eq!(f.curve.set_aside.iter().filter(|a| a.why == Why::OnGoalLine).count(), 14);
        // methods: the bias is below 1e-11 m; 1e-8 m is the rounding of the adjustment.
        assert!((2.0 * f.outline.half_length_m() - 165.0).abs() < 1e-8);
    }

    #[test]
    fn a_wide_ground_with_posts_keeps_its_goal_axis() {
        // 135 m long and 155 m wide is lawful: the goals are across the long axis.
        let (half, b) = (67.5f64, 77.5);
        let a = half / (1.0 - (9.6f64 / b).powi(2)).sqrt();
        let o = Outline::from_parameters(&[0.0, 0.0, a, b, 0.0, 0.0, 0.0, 0.0, half]).unwrap();
        let mut points = line(&o, 80);
        points.extend(posts(&o));
        let f = fit(points).unwrap();
        assert!((2.0 * f.outline.half_length_m() - 135.0).abs() < 1e-6);
        let boundary = f.outline.boundary(19.2).unwrap();
        assert!((boundary.width_m() - 155.0).abs() < 1e-6);
    }

    #[test]
    fn forty_posts_at_one_end_are_set_aside_in_no_time() {
        let mut points = line(&truth(), 80);
        for i in 0..40 {
            let at = truth().plan().to_local(Point::new(82.5, f64::from(i % 5) - 2.0));
            points.push(observed(at, Role::GoalPost));
        }
        let f = fit(points).unwrap();
        assert_eq!(f.curve.set_aside.iter().filter(|a| a.why == Why::UnclearPost).count(), 40);
        assert_eq!(f.axis_from, AxisFrom::LongAxis);
    }

    #[test]
    fn posts_do_not_hide_a_lopsided_ground() {
        // The curve 1.5 m off the goal axis: left 69, right 66. Posts are good to 0.05 m, the
        // line to 0.6 m: tied to the posts as closely as they are known, it came out symmetric.
        let o = truth();
        let v = o.plan().to_local(Point::new(0.0, 1.5)) - o.plan().to_local(Point::ORIGIN);
        let mut points: Vec<_> = line(&o, 120)
            .into_iter()
            .enumerate()
            .map(|(i, mut p)| {
                let wobble = 0.6 * (i as f64 * 2.4).sin();
                p.at = p.at + v + (p.at - Point::new(10.0, 20.0)) * (wobble / 75.0);
                p
            })
            .collect();
        points.extend(posts(&o));
        let f = fit(points).unwrap();
        let b = f.outline.boundary(19.2).unwrap();
        use crate::boundary::Side;
        let lopsided = (b.half_width_m(Side::Left) - b.half_width_m(Side::Right)).abs();
        assert!((2.0..3.5).contains(&lopsided), "{lopsided}");
    }

    #[test]
    fn each_refusal_says_what_to_do() {
        let o = truth();
        let all = line(&o, 80);
        assert!(matches!(fit(all[..4].to_vec()), Err(FitError::TooFewPoints { have: 4, .. })));
        let same = vec![all[0].clone(); 30];
        assert!(matches!(fit(same), Err(FitError::TooFewPoints { have: 30, different: 1, .. })));
        let row: Vec<_> =
            (0..20).map(|i| observed(Point::new(f64::from(i), 3.0 * f64::from(i)), Role::Line)).collect();
        assert!(matches!(fit(row), Err(FitError::OnALine)));
        let mut far = all.clone();
        far[7].at = Point::new(30_000.0, 0.0);
        let e = fit(far).unwrap_err();
        assert!(matches!(e, FitError::FarApart { .. }) && e.to_string().contains("km from the rest"));
        let mut nan = all.clone();
        nan[3].at = Point::new(f64::NAN, 0.0);
        assert!(matches!(fit(nan), Err(FitError::NotFinite { .. })));
        let hyperbola: Vec<_> = (-15..=15)
            .flat_map(|i| {
                let t = f64::from(i) * 0.1;
                [1.0, -1.0].map(|s| observed(Point::new(s * 40.0 * t.cosh(), 40.0 * t.sinh()), Role::Line))
            })
            .collect();
        assert!(matches!(fit(hyperbola), Err(FitError::NotAnOval)));
        let short: Vec<_> = all[..14].to_vec();
        let e = fit(short).unwrap_err();
        assert!(matches!(e, FitError::Gap { .. }), "a short arc: {e}");
        // The south-west half is missing: the axis bears 30°.
        let part: Vec<_> = all.iter().filter(|p| o.plan().to_ground(p.at).x > 0.0).cloned().collect();
        let e = fit(part).unwrap_err();
        assert!(matches!(e, FitError::Gap { .. }), "{e}");
        assert!(
            e.to_string().contains("from the SE clockwise round to the NW")
                || e.to_string().contains("from the E clockwise round to the W"),
            "{e}"
        );
    }

    #[test]
    fn unseen_errors_widen_and_never_narrow() {
        let mut points = line(&truth(), 80);
        for (i, p) in points.iter_mut().enumerate() {
            let k = [0.02, -0.01, 0.015, -0.025][i % 4];
            p.at = p.at + (p.at - Point::new(10.0, 20.0)) * (k / 75.0);
        }
        let mut options = FitOptions::with_end_width(19.2);
        let plain = ground(&survey(points.clone()), &options).unwrap();
        options.noise.scale_sd = 0.005;
        let scaled = ground(&survey(points), &options).unwrap();
        let length = |o: &Outline| 2.0 * o.half_length_m();
        let (a, b) = (
            plain.spread.sd_of(&plain.outline, length).unwrap(),
            scaled.spread.sd_of(&scaled.outline, length).unwrap(),
        );
        // 0.5 % of 165 m is 0.825 m, in quadrature.
        assert!((b - a.hypot(0.825)).abs() < 1e-3, "{a} {b}");
    }

    mod never_panics {
        use super::*;
        use proptest::prelude::*;

        fn role() -> impl Strategy<Value = Role> {
            prop_oneof![9 => Just(Role::Line), 1 => Just(Role::GoalPost), 1 => Just(Role::BehindPost)]
        }

        proptest! {
            /// Any points at all end in a fit or a sentence; a fit's numbers are numbers.
            #[test]
            fn on_any_points(points in proptest::collection::vec((-200.0..200.0f64, -200.0..200.0f64, role()), 0..24)) {
                let points = points.into_iter().map(|(x, y, r)| observed(Point::new(x, y), r)).collect();
                let survey = survey(points);
                let options = FitOptions::with_end_width(19.2);
                match ground(&survey, &options) {
                    Ok(f) => prop_assert!(f.outline.half_length_m().is_finite() && f.curve.rms_m.is_finite()),
                    Err(e) => prop_assert!(!e.to_string().is_empty()),
                }
                let _ = crate::fit::curve(&survey, &options);
            }

            /// A grid of whole metres: repeats, rows and circles come up often.
            #[test]
            fn on_few_coordinates(points in proptest::collection::vec((-3..=3i8, -3..=3i8), 0..20)) {
                let points = points.into_iter().map(|(x, y)| observed(Point::new(f64::from(x), f64::from(y)), Role::Line)).collect();
                let survey = survey(points);
                let _ = ground(&survey, &FitOptions::with_end_width(0.5));
                let _ = crate::fit::curve(&survey, &FitOptions::with_end_width(19.2));
            }
        }
    }
}
