//! Simulated ways of surveying a ground, each with the errors that it is known for.
//!
//! Errors are two-dimensional and not along the normal alone: a fix is off as much along the line as across
//! it. Not simulated are multipath near stands, a walker who cuts corners, and an antenna carried beside the
//! line.

use ovalpeg::boundary::Side;
use ovalpeg::frame::Local;
use ovalpeg::geometry::{Point, Vector};
use ovalpeg::rules::Method;
use ovalpeg::survey::{LocalSurvey, Observed, Role};

use crate::random::Random;
use crate::truth::{Post, PostKind, Truth};

/// Where along the boundary points are taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lap {
    /// How many points.
    pub points: usize,
    /// Where the lap starts: a chainage, m, or where the goals are left out, metres along the two lines.
    pub start_m: f64,
    /// Does the lap go straight across the goals? If not, the goals are left out.
    pub over_goals: bool,
    /// How unevenly the points are spaced: each is moved along the line by up to half this share of the
    /// spacing.
    pub uneven: f64,
}

impl Lap {
    /// Evenly spaced points on the two lines, from end A's left behind post.
    #[must_use]
    pub fn of_the_lines(points: usize) -> Self {
        Self { points, start_m: 0.0, over_goals: false, uneven: 0.0 }
    }

    /// Evenly spaced points on the lines and the goal lines.
    #[must_use]
    pub fn over_the_goals(points: usize) -> Self {
        Self { over_goals: true, ..Self::of_the_lines(points) }
    }

    /// The true points, in the order walked: anticlockwise seen from above.
    pub fn points(&self, truth: &Truth, random: &mut Random) -> Vec<Point<Local>> {
        let (left, right) = (truth.line_length_m(Side::Left), truth.line_length_m(Side::Right));
        let path = if self.over_goals { truth.perimeter_m() } else { left + right };
        let step = path / self.points as f64;
        (0..self.points)
            .map(|i| {
                let moved = self.uneven * (random.uniform() - 0.5);
                let s = (self.start_m + (i as f64 + 0.5 + moved) * step).rem_euclid(path);
                truth.to_local(if self.over_goals {
                    truth.at_chainage(s)
                } else if s <= left {
                    truth.on_line(Side::Left, s)
                } else {
                    truth.on_line(Side::Right, right - (s - left))
                })
            })
            .collect()
    }
}

/// The error of a phone carried at a steady pace: a correlated part, called fading, and white noise.
///
/// The fading part is an isotropic Ornstein–Uhlenbeck process in the plane: normal
/// with `sd_m` in each coordinate, correlation e^(−t/τ) between fixes t apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fading {
    /// Standard deviation of the fading part in each coordinate, m.
    pub sd_m: f64,
    /// Correlation time of the fading part, after which its correlation is 1/e, s.
    pub tau_s: f64,
    /// Standard deviation of the white part in each coordinate, m.
    pub white_sd_m: f64,
    /// Walking pace, m/s.
    pub pace_m_s: f64,
}

/// White noise: normal with `sd` in each coordinate, m.
pub(crate) fn white(random: &mut Random, sd: f64) -> Vector<Local> {
    let x = random.normal();
    Vector::new(x, random.normal()) * sd
}

/// The error of a phone from fix to fix.
#[derive(Debug, Clone)]
pub(crate) struct Fade {
    now: Vector<Local>,
    sd_m: f64,
    tau_s: f64,
    white_sd_m: f64,
}

impl Fade {
    /// The error at the beginning of a walk.
    pub(crate) fn begin(error: &Fading, random: &mut Random) -> Self {
        let Fading { sd_m, tau_s, white_sd_m, .. } = *error;
        Self { now: white(random, sd_m), sd_m, tau_s, white_sd_m }
    }

    /// Advances the process by any length of time, exactly.
    pub(crate) fn pass(&mut self, seconds: f64, random: &mut Random) {
        let keep = (-seconds / self.tau_s).exp();
        self.now = self.now * keep + white(random, self.sd_m * (1.0 - keep * keep).sqrt());
    }

    /// The fix that the phone records at a true place.
    pub(crate) fn seen(&self, truly: Point<Local>, random: &mut Random) -> Point<Local> {
        truly + self.now + white(random, self.white_sd_m)
    }
}

/// Points of the line by a receiver with white noise of `sd_m` in each coordinate.
pub fn rtk(truth: &Truth, lap: &Lap, sd_m: f64, random: &mut Random) -> Vec<Point<Local>> {
    lap.points(truth, random).into_iter().map(|p| p + white(random, sd_m)).collect()
}

/// The fixes of a phone on a walk round the line.
pub fn phone(truth: &Truth, lap: &Lap, error: &Fading, random: &mut Random) -> Vec<Point<Local>> {
    let path = lap.points(truth, random);
    let mut fade = Fade::begin(error, random);
    let mut before: Option<Point<Local>> = None;
    path.into_iter()
        .map(|p| {
            if let Some(b) = before {
                fade.pass(b.distance_to(p) / error.pace_m_s, random);
            }
            before = Some(p);
            fade.seen(p, random)
        })
        .collect()
}

/// The steady errors of a survey, which are the same at all its points, so that residuals can't show them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steady {
    /// The error of its place, m: the receiver's error at that hour, or the georeference of the image.
    pub shift: Vector<Local>,
    /// How much too large it is, as a ratio.
    pub scale: f64,
    /// How far outside the line its points are, m.
    pub off_line_m: f64,
}

impl Steady {
    /// Random steady errors with the method's standard deviations.
    pub fn of(method: Method, random: &mut Random) -> Self {
        let shift = white(random, method.place_sd_m().value);
        let scale = method.scale_sd().value * random.normal();
        Self { shift, scale, off_line_m: method.line_offset_sd_m().value * random.normal() }
    }

    /// A true post with the steady errors. There is no distance from the line at a post.
    #[must_use]
    pub fn post(&self, truth: &Truth, p: Point<Local>) -> Point<Local> {
        enlarged(truth, p, self.scale) + self.shift
    }

    /// A true point of the line with the steady errors. The distance from the line is applied straight out
    /// from the centre, which makes it at most a fortieth too small.
    #[must_use]
    pub fn line(&self, truth: &Truth, p: Point<Local>) -> Point<Local> {
        let out = (p - truth.plan().centre()).unit().unwrap_or(Vector::new(0.0, 0.0));
        self.post(truth, p + out * self.off_line_m)
    }

    /// A whole survey with the steady errors.
    #[must_use]
    pub fn survey(
        &self,
        truth: &Truth,
        line: &[Point<Local>],
        posts: &[(Post, Point<Local>)],
    ) -> LocalSurvey {
        let line: Vec<_> = line.iter().map(|&p| self.line(truth, p)).collect();
        let posts: Vec<_> = posts.iter().map(|&(post, p)| (post, self.post(truth, p))).collect();
        survey(truth, &line, &posts)
    }
}

/// Vertices clicked on an image: white noise of `sd_m` in each coordinate, and
/// the whole image too large by the ratio `scale`, about the ground's centre.
pub fn trace(truth: &Truth, lap: &Lap, sd_m: f64, scale: f64, random: &mut Random) -> Vec<Point<Local>> {
    rtk(truth, lap, sd_m, random).into_iter().map(|p| enlarged(truth, p, scale)).collect()
}

/// A point of an image that is too large by the ratio `scale`.
#[must_use]
pub fn enlarged(truth: &Truth, p: Point<Local>, scale: f64) -> Point<Local> {
    let centre = truth.plan().centre();
    centre + (p - centre) * (1.0 + scale)
}

/// The eight posts, each with white noise of `sd_m` in each coordinate.
pub fn posts(truth: &Truth, sd_m: f64, random: &mut Random) -> Vec<(Post, Point<Local>)> {
    truth.posts().into_iter().map(|post| (post, truth.to_local(post.at) + white(random, sd_m))).collect()
}

/// A survey in the local plane, made directly from points.
#[must_use]
pub fn survey(truth: &Truth, line: &[Point<Local>], posts: &[(Post, Point<Local>)]) -> LocalSurvey {
    let line = line.iter().map(|&at| (at, Role::Line));
    let posts = posts.iter().map(|&(post, at)| {
        (at, if post.kind == PostKind::Behind { Role::BehindPost } else { Role::GoalPost })
    });
    let points = line
        .chain(posts)
        .enumerate()
        .map(|(i, (at, role))| Observed { place: format!("point {}", i + 1), ..Observed::new(at, role) })
        .collect();
    LocalSurvey::new(truth.plane(), points)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::truth::{Shape, Site};

    fn truth() -> Truth {
        let site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 200.0, axis_deg: 20.0 };
        Truth::new(Shape::Ellipse { length_m: 160.0, width_m: 130.0 }, site).unwrap()
    }

    /// Coordinates of what was added to the true points.
    fn errors(lap: &Lap, found: &[Point<Local>]) -> Vec<Vector<Local>> {
        let exact = lap.points(&truth(), &mut Random::new(0));
        found.iter().zip(&exact).map(|(f, e)| *f - *e).collect()
    }

    #[test]
    fn white_noise_has_its_standard_deviation_and_no_memory() {
        let lap = Lap::of_the_lines(20_000);
        let e = errors(&lap, &rtk(&truth(), &lap, 0.02, &mut Random::new(11)));
        let n = e.len() as f64;
        for pick in [|v: &Vector<Local>| v.x, |v: &Vector<Local>| v.y] {
            let variance = e.iter().map(|v| pick(v).powi(2)).sum::<f64>() / n;
            let next = e.windows(2).map(|w| pick(&w[0]) * pick(&w[1])).sum::<f64>() / n / variance;
            // Five standard errors of each: √(2/n) of a variance, 1/√n of a correlation.
            assert!((variance / 0.0004 - 1.0).abs() < 5.0 * (2.0 / n).sqrt(), "{variance}");
            assert!(next.abs() < 5.0 / n.sqrt(), "{next}");
        }
    }

    #[test]
    fn a_phones_error_has_the_size_and_memory_that_it_claims() {
        let error = Fading { sd_m: 1.5, tau_s: 20.0, white_sd_m: 0.3, pace_m_s: 1.4 };
        let lap = Lap::over_the_goals(328);
        let walks = 600;
        let truth = truth();
        // Fixes are about 1 s apart. The spacing is even except for the corners at the posts.
        let lag = 14;
        let (mut variance, mut covariance, mut cross) = (0.0, 0.0, 0.0);
        for seed in 0..walks {
            let e = errors(&lap, &phone(&truth, &lap, &error, &mut Random::new(seed)));
            let n = e.len() as f64;
            variance += e.iter().map(|v| v.dot(*v)).sum::<f64>() / (2.0 * n);
            let pairs = e.len() - lag;
            covariance += (0..pairs).map(|i| e[i].dot(e[i + lag])).sum::<f64>() / (2.0 * pairs as f64);
            cross += e.iter().map(|v| v.x * v.y).sum::<f64>() / n;
        }
        let walks = walks as f64;
        let (variance, covariance, cross) = (variance / walks, covariance / walks, cross / walks);
        let seconds = lag as f64 * truth.perimeter_m() / 328.0 / 1.4;
        // A walk lasts 16 τ, so it is worth about 8 independent values in each coordinate. 600 walks have
        // 9,600 in both coordinates, and five standard errors of a variance are 5·√(2/9600) = 7 %.
        let tolerance = 5.0 * (2.0f64 / 9600.0).sqrt();
        assert!((variance / (1.5f64.powi(2) + 0.3f64.powi(2)) - 1.0).abs() < tolerance, "{variance}");
        let expected = 1.5f64.powi(2) * (-seconds / 20.0).exp();
        assert!((covariance - expected).abs() < tolerance * 2.25, "{covariance} {expected}");
        // Isotropic: the two coordinates are uncorrelated.
        assert!(cross.abs() < tolerance * 2.25, "{cross}");
    }

    #[test]
    fn who_stands_off_the_line_has_the_steady_error_that_was_drawn() {
        let (t, lap) = (truth(), Lap::of_the_lines(80));
        let curve = crate::reference::curve(&t).unwrap();
        let steady = Steady { shift: Vector::new(0.0, 0.0), scale: 0.0, off_line_m: 0.3 };
        for p in lap.points(&t, &mut Random::new(0)) {
            // The direction from the centre and the normal differ by an angle whose tangent is at most
            // (a² − b²)/2ab: 12.43°, whose cosine is 0.9766.
            let out = ovalpeg::geometry::ClosedCurve::foot(&curve, steady.line(&t, p)).signed_distance_m;
            assert!((0.2929..=0.3001).contains(&out), "{out}");
            let moved = Steady { shift: Vector::new(1.0, -2.0), scale: 0.01, off_line_m: 0.3 };
            let want = p + (p - t.plan().centre()) * 0.01 + Vector::new(1.0, -2.0);
            assert!(moved.post(&t, p).distance_to(want) < 1e-12);
        }
        // The variances are those of the method, to five standard errors of a variance.
        let mut random = Random::new(5);
        let n = 4000;
        let (mut off, mut east) = (0.0, 0.0);
        for _ in 0..n {
            let s = Steady::of(Method::Trace, &mut random);
            off += (s.off_line_m / Method::Trace.line_offset_sd_m().value).powi(2) / f64::from(n);
            east += (s.shift.x / Method::Trace.place_sd_m().value).powi(2) / f64::from(n);
        }
        let five = 5.0 * (2.0 / f64::from(n)).sqrt();
        assert!((off - 1.0).abs() < five && (east - 1.0).abs() < five, "{off} {east}");
    }

    #[test]
    fn an_image_that_is_too_large_enlarges_the_ground() {
        let (t, lap) = (truth(), Lap::of_the_lines(48));
        let plain = trace(&t, &lap, 0.0, 0.0, &mut Random::new(3));
        let large = trace(&t, &lap, 0.0, 0.01, &mut Random::new(3));
        for (p, q) in plain.iter().zip(&large) {
            let ratio = q.distance_to(t.plan().centre()) / p.distance_to(t.plan().centre());
            assert!((ratio - 1.01).abs() < 1e-12);
        }
    }

    #[test]
    fn a_lap_over_the_goals_walks_the_straight_goal_line() {
        let t = truth();
        let on_goal = |lap: &Lap| {
            let points = lap.points(&t, &mut Random::new(0));
            points
                .iter()
                .map(|p| t.plan().to_ground(*p))
                .filter(|p| p.y.abs() < 9.5)
                .inspect(|p| assert!((p.x.abs() - 80.0).abs() < 1e-9))
                .count()
        };
        // 38 m of goal line in 460 m of lap, a point every 1.4 m.
        assert!((26..=28).contains(&on_goal(&Lap::over_the_goals(328))));
        assert_eq!(on_goal(&Lap::of_the_lines(328)), 0);
    }

    #[test]
    fn the_same_seed_gives_the_same_bits_and_another_does_not() {
        let error = Fading { sd_m: 1.2, tau_s: 20.0, white_sd_m: 0.3, pace_m_s: 1.4 };
        let lap = Lap { uneven: 0.4, ..Lap::over_the_goals(50) };
        let walk = |seed| phone(&truth(), &lap, &error, &mut Random::new(seed));
        let bits =
            |w: Vec<Point<Local>>| w.iter().map(|p| (p.x.to_bits(), p.y.to_bits())).collect::<Vec<_>>();
        assert_eq!(bits(walk(9)), bits(walk(9)));
        assert_ne!(bits(walk(9)), bits(walk(10)));
    }

    #[test]
    fn all_eight_posts_stand_within_their_error() {
        let found = posts(&truth(), 0.02, &mut Random::new(4));
        assert_eq!(found.len(), 8);
        for (post, at) in found {
            // Six standard deviations.
            assert!(truth().to_local(post.at).distance_to(at) < 0.12);
        }
    }
}
