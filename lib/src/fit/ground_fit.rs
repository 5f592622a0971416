//! The fit itself: from a survey in the local plane to a ground with its goals, goal-line fixes and posts,
//! and the spread of all of it.

use super::clock::Clock;
use super::conflict::{Doubts, Tested, Trial};
use super::curve_fit::{curve_of, residuals, rms};
use super::error::Posts;
use super::follow::follow;
use super::form::Form;
use super::goal_line::{Goals, on_goal_line};
use super::joint::{Attempt, Setting, Start};
use super::linear::Group;
use super::observation::{GOALS, Of};
use super::places::Indexed;
use super::screened::Screened;
use super::screening::{GAP_LIMIT_DEG, Gap, largest_gap, rough_centre};
use super::shifts::{shifts, spans};
use super::sources::Commons;
use super::starts::Try;
use super::system::post_place;
use super::to_spread::{
    directions, in_degrees, length_and_width, long_axis_first, off_the_line, outline_of, unseen_errors,
    with_goals,
};
use super::walk::{Part, Walk};
use super::{
    AxisFrom, Curve, Fit, FitError, FitOptions, PostFit, Residual, SetAside, Why, axis, misfit, walk,
};
use crate::boundary::{Outline, Spread};
use crate::frame::Local;
use crate::geometry::{Model, Point, Shape, Vector};
use crate::numeric::t_quantile;
use crate::survey::{LocalSurvey, Observed};
use crate::units::Problem;

/// Largest scatter as a share of the half-width. With more, the points follow no oval. It is ten times that
/// of the worst phone walk of a small ground.
const SCATTER_LIMIT: f64 = 0.15;
/// Standard deviation of a width where the line is not of the fitted shape, as a multiple of the root mean
/// square residual. On ovals cut 1 to 5 m by a straight side the width came out up to 4 times that residual
/// too large; at 1.5 the 95 % interval just holds that.
const MISFIT_SHARE: f64 = 1.5;
/// Fewest points on a straight side, and its least length, m. A cut with fewer points or a shorter chord fits
/// the noise of a few neighbours, or no point at all.
const CUT_POINTS: usize = 3;
const CUT_LEAST_M: f64 = 20.0;
/// A point farther from the chord than this is on another part of the line, m.
const CUT_BESIDE_M: f64 = 15.0;
/// A walk of fewer laps than this counts as one lap.
const ONE_LAP: f64 = 1.5;
/// Rounds of separating goal-line fixes from the boundary: two settle it, but a tie could alternate for ever.
const GOAL_LINE_ROUNDS: usize = 10;
/// For a length outside this range, ask whether the file is in metres.
const PLAUSIBLE_LENGTH_M: std::ops::RangeInclusive<f64> = 60.0..=300.0;

/// Everything between the screened points and the adjusted goals.
struct Working<'a> {
    line: Vec<Indexed<'a>>,
    attempt: Attempt,
    goals: Goals,
}

impl Working<'_> {
    /// A point of the line, corrected for the common errors of its source.
    fn put_right(&self, options: &FitOptions, p: &[f64], o: &Observed, curve: &Shape<Local>) -> Point<Local> {
        let inside = options.noise_of(o.source).inside_m;
        self.attempt.system.put_right(p, curve, Of::observed(o), inside, o.at)
    }
}

fn goals_of(attempt: &Attempt, end_width: f64) -> Result<Goals, FitError> {
    let (p, form) = (&attempt.adjusted.parameters, &attempt.system.form);
    let k = form.count();
    let [x, y, turn, half_length] = match attempt.system.goals() {
        Some(from) => [p[from], p[from + 1], p[from + 2], p[from + 3]],
        None => follow(form, &p[..k], end_width).ok_or_else(|| too_small(attempt, end_width))?.goals,
    };
    let (centre, axis) = (Point::new(x, y), Vector::at_angle(turn));
    Ok(Goals { centre, axis, half_length, half_end: 0.5 * end_width })
}

fn too_small(attempt: &Attempt, end_width_m: f64) -> FitError {
    let p = &attempt.alone.parameters;
    FitError::TooSmall { width_m: 2.0 * p[2].min(p[3]), end_width_m }
}

fn work<'a>(
    s: &Screened<'a>,
    setting: &Setting<'_>,
    crossing: Option<&[usize]>,
    set_aside: &mut Vec<SetAside>,
    warnings: &mut Vec<Problem>,
) -> Result<Working<'a>, FitError> {
    let mut off: Vec<bool> = s.line.iter().map(|p| crossing.is_some_and(|c| c.contains(&p.0))).collect();
    let mut near: Option<Start> = None;
    for round in 0..GOAL_LINE_ROUNDS {
        let line: Vec<Indexed<'a>> =
            s.line.iter().zip(&off).filter(|(_, off)| !**off).map(|(p, _)| *p).collect();
        // Only the points set aside and the warnings of the last round count.
        let (mut aside, mut notes) = (Vec::new(), Vec::new());
        let attempt = setting.attempt(&line, &s.posts, near.as_ref(), &mut aside, &mut notes)?;
        let (adjusted, form) = (&attempt.adjusted, &attempt.system.form);
        let goals = goals_of(&attempt, setting.options.end_width_m)?;
        let curve = form.curve(&adjusted.parameters).ok_or(FitError::Open)?;
        near = Some((form.clone(), adjusted.parameters[..form.count()].to_vec()));
        let all: Vec<Point<Local>> = s
            .line
            .iter()
            .map(|p| {
                let inside = setting.options.noise_of(p.1.source).inside_m;
                attempt.system.put_right(&adjusted.parameters, &curve, Of::observed(p.1), inside, p.1.at)
            })
            .collect();
        let next = if crossing.is_some() { off.clone() } else { on_goal_line(&all, &curve, goals) };
        if next == off || round + 1 == GOAL_LINE_ROUNDS {
            set_aside.append(&mut aside);
            warnings.append(&mut notes);
            let crossing = s.line.iter().zip(&off).filter(|(_, off)| **off);
            set_aside.extend(crossing.map(|(p, _)| SetAside { index: p.0, why: Why::OnGoalLine }));
            return Ok(Working { line, attempt, goals });
        }
        off = next;
    }
    Err(FitError::NoAnswer { what: "which points lie on the goal lines" })
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

/// Replaces an error by the one cause behind it, if there is one: most of the boundary is missing. An arc too
/// short to fix any ellipse fails in many ways.
fn or_a_gap(e: FitError, s: &Screened<'_>) -> FitError {
    if !matches!(
        e,
        FitError::Open
            | FitError::TooSmall { .. }
            | FitError::DidNotConverge { .. }
            | FitError::NoAnswer { .. }
    ) {
        return e;
    }
    let points: Vec<Point<Local>> = s.line.iter().map(|p| p.1.at).collect();
    match rough_centre(&points).map(|c| largest_gap(c, &points, &[])) {
        Some(gap) if gap.gap_deg > GAP_LIMIT_DEG => refused_gap(gap),
        _ => e,
    }
}

/// The fit of one shape, with what is needed to compare it with others.
pub(super) struct Once {
    pub(super) fit: Fit,
    /// Test of every length, post and common error against the fit.
    pub(super) tested: Vec<Tested>,
    /// Logarithm of the survey's marginal likelihood under this form, averaged over the kinds of error.
    pub(super) log_evidence: f64,
    pub(super) form: Form,
    /// Is all of the line one lap of a walk? Then bends of the line can't be told from the walk's error.
    pub(super) one_lap: bool,
    /// Parameters of curve and goals, radians.
    pub(super) parameters: Vec<f64>,
}

/// The fixes whose errors share an unknown scale, which is estimated from their residuals.
struct Chosen {
    clock: Option<Clock>,
    alone: bool,
}

impl Chosen {
    fn group(&self) -> Group<'_> {
        match &self.clock {
            Some(clock) => Group::Walks(clock),
            None if self.alone => Group::Line,
            None => Group::None,
        }
    }
}

/// Fits one form, with the doubts so far. `crossing` holds the points that lie on a goal line, where these
/// are known already: all shapes must be compared on the same points.
pub(super) fn once(
    survey: &LocalSurvey,
    screened: &Screened<'_>,
    options: &FitOptions,
    doubts: &Doubts,
    tried: Try,
    crossing: Option<&[usize]>,
) -> Result<Once, FitError> {
    let model = tried.model;
    let mut s = screened.clone();
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
        tried,
        search: &screened.search,
    };
    let w = work(&s, &setting, crossing, &mut set_aside, &mut warnings).map_err(|e| or_a_gap(e, &s))?;
    let system = &w.attempt.system;
    let (adjusted, form) = (&w.attempt.adjusted, &system.form);
    let (end, shape) = (options.end_width_m, adjusted.shape);
    too_short_a_cut(&w)?;
    let gap = coverage(&w);
    if gap.gap_deg > GAP_LIMIT_DEG {
        return Err(refused_gap(gap));
    }
    set_aside.sort_by_key(|a| a.index);
    let whole = if model == Model::Ellipse { adjusted } else { &w.attempt.alone };
    let mut curve = curve_of(whole, &w.line, set_aside, gap.gap_deg, |o, e| {
        w.put_right(options, &adjusted.parameters, o, e)
    })?;
    if curve.rms_m > SCATTER_LIMIT * curve.ellipse.semi_minor_m() {
        let e = FitError::Scattered { rms_m: curve.rms_m, semi_minor_m: curve.ellipse.semi_minor_m() };
        return Err(or_a_blunder(e, &curve, survey));
    }
    // Where several sources meet, or a tape's own scale is in the covariance, standard deviations are not
    // reduced: a few residuals that are small by chance must not make a tape seem better.
    let alone = commons.is_empty() && survey.shared.is_empty();
    let chosen = chosen(&w, survey, options, &curve, alone, &mut warnings);
    let mixed = mixture(&w, &commons, &chosen, end);
    let log_evidence =
        mixed.as_ref().map_or(f64::NEG_INFINITY, |m| m.log_evidence) + form.log_prior(&adjusted.parameters);
    let (cofactor, _) = adjusted.cofactor();
    let mut full = adjusted.parameters.clone();
    let s0 = (adjusted.sum / adjusted.dof().max(1.0)).sqrt();
    let unit = if alone { s0 } else { s0.max(1.0) };
    let mut covariance = &cofactor * (unit * unit);
    let mut ratio = t_quantile(0.975, adjusted.dof());
    let mut parts =
        vec![Part { weight: 1.0, step: vec![0.0; full.len()], base: full.clone(), covariance: cofactor }];
    let mut walk_error = None;
    if model != Model::Ellipse {
        (curve.s0, curve.dof) = (s0 * w.attempt.unit_m, adjusted.dof());
    }
    // A freeform line's smoothness is averaged over too, whatever the errors.
    let averaged = chosen.clock.is_some() || model == Model::Freeform;
    match mixed {
        Some(found) if averaged => {
            full = found.parameters;
            covariance = found.covariance;
            ratio = found.ratio;
            walk_error = found.error;
            parts = found.parts;
            curve.s0 = found.scale;
        }
        None if averaged && model != Model::Ellipse => {
            let why = "its points are too few to tell how sure it is";
            return Err(FitError::NotThisShape { shape: model, why });
        }
        None if averaged => {
            warnings.push(Problem::new(
                "too few fixes to tell how long the walk's error lasts: the ± leaves it out",
            ));
        }
        _ => {}
    }
    let trial = Trial {
        system,
        commons: &commons,
        spans: &setting.spans,
        span_places: &w.attempt.span_places,
        posts: &w.attempt.post_places,
        shape,
    };
    let suspects = !(commons.is_empty() && setting.spans.is_empty() && w.attempt.post_places.is_empty());
    let tested = if suspects { trial.test(&parts, unit.max(1.0)) } else { Vec::new() };
    let shifts = shifts(&commons, &full, &covariance, shape);
    let spans = spans(survey, &setting.spans, form, &full[..shape], end);
    let covariance = covariance.view((0, 0), (shape, shape)).into_owned();
    let (mut p, m) = match form {
        Form::Ellipse => long_axis_first(full[..shape].to_vec(), covariance),
        _ => (full[..shape].to_vec(), covariance),
    };
    let m = with_goals(form, &mut p, m, end).ok_or_else(|| too_small(&w.attempt, end))?;
    let k = form.count();
    let assumed = w.attempt.assigned.is_none();
    let axis = axis::Axis {
        // Posts fix the axis. Without them it is the curve's long axis, and `known` adds the error of the
        // paint.
        own_deg: m[(k + 2, k + 2)].max(0.0).sqrt().to_degrees(),
        textbook_deg: curve.covariance.sd(4),
        semi_axes_differ_m: curve.ellipse.semi_major_m() - curve.ellipse.semi_minor_m(),
        posts: match (assumed, screened.posts.is_empty()) {
            (false, _) => Posts::Used,
            (true, false) => Posts::Unused,
            (true, true) => Posts::None,
        },
        fixed: !assumed || curve.axis_fixed,
        walked: walk_error.is_some(),
    };
    match axis.known(ratio) {
        Ok(warning) => warnings.extend(warning),
        Err(e) => return Err(or_a_blunder(e, &curve, survey)),
    }
    // Refuse a fit here if no boundary can be made of it.
    let no_ground = |e| if assumed { FitError::NoGround(e) } else { FitError::Posts(e) };
    let outline = outline_of(form, &p).map_err(no_ground)?;
    outline.boundary(end).map_err(no_ground)?;
    let hardly_fixed = FitError::HardlyFixed { points: w.line.len() };
    let Some(covariance) = in_degrees(&m, &directions(form)) else { return Err(hardly_fixed) };
    let ratio = if ratio.is_finite() { ratio.clamp(1.0, 1000.0) } else { 1000.0 };
    let Some(mut spread) = Spread::from_covariance(&covariance, ratio).ok().flatten() else {
        return Err(hardly_fixed);
    };
    if commons.is_empty() {
        // With one source, nothing in the survey can show these errors.
        let noise = options.noise_of(w.line.first().map_or(0, |p| p.1.source));
        unseen_errors(&mut spread, form, &p, end, noise, assumed);
    }
    if walk_error.is_some() || model != Model::Ellipse {
        // Report the residuals of the outline that is used.
        curve.ellipse = *outline.ellipse().unwrap_or(&curve.ellipse);
        curve.residuals = residuals(outline.shape(), &w.line, |o, c| w.put_right(options, &full, o, c));
        curve.rms_m = rms(curve.residuals.iter().map(|r| r.residual_m));
    }
    // Autocorrelated residuals of a walk say nothing about the shape.
    let runs = |r: &Residual| walk_error.is_some() && options.noise_of(survey.points[r.index].source).runs_on;
    let still: Vec<Residual> = curve.residuals.iter().copied().filter(|r| !runs(r)).collect();
    let departures = misfit::departures(outline.shape(), &still);
    if !departures.is_empty() {
        // The residuals come from the line's shape, not from scatter, and the widths are off by about as
        // much.
        let off_m = rms(still.iter().map(|r| r.residual_m));
        off_the_line(&mut spread, form, &p, end, MISFIT_SHARE * off_m, assumed);
        warnings.push(Problem::new(format!(
            "the line is not {}: it departs from one by {} m on the whole, and the ± is widened by that",
            model.in_words(),
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
    let goals = &p[k..k + GOALS];
    let both = w
        .attempt
        .assigned
        .as_ref()
        .is_some_and(|a| [1.0, -1.0].iter().all(|e| a.posts.iter().any(|p| p.end == *e)));
    curve.warnings = warnings;
    curve.runs.clone_from(&s.runs);
    // Where the survey hardly fixes a shape, the parameters one standard deviation away may give none.
    let off = |hi: &Outline, lo: &Outline| {
        model == Model::Ellipse || hi.boundary(end).and(lo.boundary(end)).is_ok()
    };
    if !spread.pairs(&outline).is_ok_and(|pairs| pairs.iter().all(|(hi, lo)| off(hi, lo))) {
        return Err(hardly_fixed);
    }
    let fit = Fit {
        axis_from: match (assumed, both) {
            (true, _) => AxisFrom::LongAxis,
            (false, true) => AxisFrom::Posts,
            (false, false) => AxisFrom::PostsAtOneEnd,
        },
        posts: w.attempt.assigned.as_ref().map_or_else(Vec::new, |a| {
            a.posts
                .iter()
                .map(|p| PostFit {
                    index: p.index,
                    behind: p.behind,
                    miss_m: system
                        .corrected(&full, p.of, p.at)
                        .distance_to(post_place(goals, p.end, p.offset)),
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
        unsurveyed: Vec::new(),
        readings: Vec::new(),
        choice: super::Choice::of(model),
    };
    let still = w.line.iter().any(|p| !options.noise_of(p.1.source).runs_on);
    let one_lap = chosen.clock.as_ref().is_some_and(|c| c.laps < ONE_LAP && !still);
    Ok(Once { one_lap, fit, tested, log_evidence, form: form.clone(), parameters: p })
}

/// Refuses a cut on whose chord hardly any point lies: it is no straight side, and would fit any gap.
fn too_short_a_cut(w: &Working<'_>) -> Result<(), FitError> {
    let system = &w.attempt.system;
    let Some(Shape::CutEllipse(cut)) = system.form.curve(&w.attempt.adjusted.parameters) else {
        return Ok(());
    };
    let [from, to] = cut.chord();
    let along = to - from;
    let on = w.line.iter().filter(|p| {
        let at = system.corrected(&w.attempt.adjusted.parameters, Of::observed(p.1), p.1.at) - from;
        // The point is beside the chord, not on the other side of the ground.
        (0.0..=along.dot(along)).contains(&at.dot(along))
            && at.cross(along).abs() < CUT_BESIDE_M * along.length()
    });
    if on.count() < CUT_POINTS || along.length() < CUT_LEAST_M {
        let why = "no stretch of the line is straight over 20 m and three points";
        return Err(FitError::NotThisShape { shape: Model::CutEllipse, why });
    }
    Ok(())
}

/// The largest gap that the line's points leave, seen from between the goals.
fn coverage(w: &Working<'_>) -> Gap {
    let points: Vec<Point<Local>> = w.line.iter().map(|p| p.1.at).collect();
    let half_angle = (w.goals.half_end / w.goals.half_length).atan().to_degrees();
    let facing = w.goals.axis.y.atan2(w.goals.axis.x).to_degrees();
    let ends = [facing, facing + 180.0].map(|a| (a.rem_euclid(360.0), half_angle));
    largest_gap(w.goals.centre, &points, &ends)
}

/// Chooses the fixes whose errors share an unknown scale: those of walks, or the whole line where it is
/// alone.
fn chosen(
    w: &Working<'_>,
    survey: &LocalSurvey,
    options: &FitOptions,
    curve: &Curve,
    alone: bool,
    warnings: &mut Vec<Problem>,
) -> Chosen {
    let sources = w.line.iter().map(|p| p.1.source + 1).max().unwrap_or(0);
    let running: Vec<bool> = (0..sources).map(|i| options.noise_of(i).runs_on).collect();
    if !running.contains(&true) {
        return Chosen { clock: None, alone };
    }
    let own: Vec<Indexed<'_>> =
        w.line.iter().copied().filter(|p| !survey.shared.iter().any(|s| s.points.contains(&p.0))).collect();
    let stated = |i: usize| options.noise_of(i).point_sd_m.unwrap_or(0.0);
    let least = (0..sources).filter(|&i| running[i]).map(stated).fold(f64::INFINITY, f64::min);
    let clock = Clock::of(&own, running, &curve.ellipse);
    let clock = clock.map(|c| c.with_stated(least));
    if clock.is_none() {
        warnings
            .push(Problem::new("too few fixes to tell how long the walk's error lasts: the ± leaves it out"));
    }
    Chosen { clock, alone }
}

/// The average over the possible kinds of error and, for a freeform line, over its smoothness.
fn mixture(w: &Working<'_>, commons: &Commons, chosen: &Chosen, end: f64) -> Option<Walk> {
    let (system, full) = (&w.attempt.system, &w.attempt.adjusted.parameters);
    let shape = system.shape();
    // With other sources, the kinds of error are weighed at the parameters that the line alone gives.
    let apart = (!commons.is_empty() && matches!(system.form, Form::Ellipse)).then(|| {
        let mut apart = full.clone();
        let alone = &w.attempt.alone.parameters;
        apart[..alone.len()].copy_from_slice(alone);
        apart
    });
    walk::average(full, apart.as_deref(), system, chosen.group(), |p| {
        length_and_width(&system.form, p, shape, end)
    })
}

/// Replaces an error by the one that names an outlier, where one point lies much farther off than the rest.
fn or_a_blunder(e: FitError, curve: &Curve, survey: &LocalSurvey) -> FitError {
    match curve.blunders().first() {
        Some(r) => {
            FitError::Blunder { place: survey.points[r.index].place.clone(), distance_m: r.residual_m.abs() }
        }
        None => e,
    }
}

#[cfg(test)]
mod tests;
