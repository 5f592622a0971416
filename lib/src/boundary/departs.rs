//! Where a boundary departs from its best ellipse, and where it is straight.
//!
//! A departure is the signed distance of a point of the line from the best ellipse,
//! positive outside it. A stretch with departures of half a metre or more is reported.
//!
//! A straight is where the line hardly bends over any 10 m, for 20 m or more. On an
//! ellipse cut by a chord it is the chord itself, exactly. On a freeform its length is
//! known to about the spacing of the control points, some 7 m, because four control
//! points must be in line before anything between them is straight. If a survey scatters
//! by more than some 5 cm over 10 m of line, a straight may be missed,
//! or found with the wrong length.

use super::best_ellipse::weighed;
use super::line::LinePoint;
use super::{Boundary, NoEllipse, Side};
use crate::frame::Ground;
use crate::geometry::{ClosedCurve, Ellipse, Shape};
use crate::numeric::sort_by;

/// The least departure from the best ellipse that is reported, m: common practice, no source.
/// Less is within the wander of a painted line, and does not matter to someone running along it.
pub const DEPARTURE_M: f64 = 0.5;

/// Steps along the line, m. Where the curvatures of line and ellipse differ by up to 0.05 per
/// metre, the departure between two steps is within 0.05/8 m of linear.
const STEP_M: f64 = 1.0;
/// Curvature is averaged over this length of line, m. A shorter window responds to each
/// control point of a freeform; a longer one blurs the ends of a straight.
const WINDOW_M: f64 = 10.0;
/// A line with less than this share of the curvature of a circle of its size is straight:
/// at a radius of 70 m, 18 mm off a chord of 10 m, as much as a string line sways.
const STRAIGHT_SHARE: f64 = 0.1;
/// The shortest straight that is reported, m: two control points alone make a shorter one.
const STRAIGHT_LEAST_M: f64 = 20.0;

/// What a line does along a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum StretchKind {
    /// It is straight.
    Straight,
    /// It lies inside the best ellipse.
    Inside,
    /// It lies outside the best ellipse.
    Outside,
}

impl StretchKind {
    /// Its name in JSON.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Straight => "straight",
            Self::Inside => "inside",
            Self::Outside => "outside",
        }
    }
}

/// A stretch of one boundary line that is straight, or departs from the best ellipse.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// What the line does.
    pub kind: StretchKind,
    /// Which line.
    pub side: Side,
    /// Chainage where it starts, m.
    pub from_m: f64,
    /// Chainage where it ends, m, greater than `from_m`, because a stretch lies on one line.
    pub to_m: f64,
    /// The largest departure in it, m, positive outside the best ellipse.
    pub most_m: f64,
    /// Chainage of that departure, m.
    pub most_at_m: f64,
    /// How precisely the length is known even where the line is known exactly, m.
    pub length_known_to_m: f64,
}

impl Stretch {
    /// Its length along the line, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.to_m - self.from_m
    }
}

/// A boundary's best ellipse, with its straights and all stretches that depart from the ellipse.
#[derive(Debug, Clone, PartialEq)]
pub struct Departures {
    /// The best ellipse.
    pub ellipse: Ellipse<Ground>,
    /// Straights, longest first, then stretches off the ellipse, largest departure first;
    /// equals are in order of chainage. A stretch that lies mostly within a straight is left out.
    pub stretches: Vec<Stretch>,
}

/// One line, sampled at steps along it.
struct Walked {
    side: Side,
    s: Vec<f64>,
    points: Vec<LinePoint>,
    departures: Vec<f64>,
}

impl Boundary {
    /// Where the boundary departs from its best ellipse by `least_m` or more, and where it
    /// is straight. For an ellipse the result is empty.
    ///
    /// # Units
    /// Metres; chainages as in [`Boundary`].
    ///
    /// # Errors
    /// [`NoEllipse`] when no best ellipse is found.
    ///
    /// # Examples
    /// ```
    /// use ovalpeg::boundary::{Boundary, DEPARTURE_M, Side, StretchKind};
    /// use ovalpeg::geometry::{CutEllipse, Ellipse, Point, Shape};
    /// let whole = Ellipse::new(Point::ORIGIN, [83.35, 67.5], 0.0)?;
    /// // A road 60 m to the left of the centre.
    /// let cut = CutEllipse::new(whole, 90.0, 60.0)?;
    /// let b = Boundary::on_curve(Shape::CutEllipse(cut), 82.5, 19.2)?;
    /// let first = b.departures(DEPARTURE_M)?.stretches[0];
    /// assert_eq!((first.kind, first.side), (StretchKind::Straight, Side::Left));
    /// let [p, q] = cut.chord();
    /// assert!((first.length_m() - p.distance_to(q)).abs() < 1e-9);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn departures(&self, least_m: f64) -> Result<Departures, NoEllipse> {
        if let Some(e) = self.ellipse() {
            return Ok(Departures { ellipse: *e, stretches: Vec::new() });
        }
        let mut lines: Vec<Walked> = Side::BOTH.into_iter().map(|side| self.walked(side)).collect();
        let all: Vec<_> =
            lines.iter().flat_map(|w| weighed(&w.s, w.points.iter().map(|p| p.point))).collect();
        let ellipse = self.nearest_ellipse(&all)?;
        let mut straights = Vec::new();
        let mut off = Vec::new();
        let bend = STRAIGHT_SHARE * std::f64::consts::TAU / ellipse.perimeter_m();
        for w in &mut lines {
            w.departures = w.points.iter().map(|p| ellipse.foot(p.point).signed_distance_m).collect();
            let found = match self.curve(w.side) {
                Shape::CutEllipse(_) => self.exact_straights(w.side),
                _ => w.straights(bend),
            };
            let known_to = match self.curve(w.side) {
                Shape::CutEllipse(_) => 0.0,
                Shape::Freeform(spline) => spline.perimeter_m() / spline.offsets_m().len() as f64,
                _ => STEP_M,
            };
            for [from, to] in found.into_iter().filter(|[a, b]| b - a >= STRAIGHT_LEAST_M) {
                straights.push(w.stretch(self, StretchKind::Straight, [from, to], known_to));
            }
            for ends in w.beyond(least_m) {
                let s = w.stretch(self, StretchKind::Outside, ends, STEP_M);
                let kind = if s.most_m < 0.0 { StretchKind::Inside } else { StretchKind::Outside };
                off.push(Stretch { kind, ..s });
            }
        }
        off.retain(|s| {
            let within = |t: &Stretch| (s.to_m.min(t.to_m) - s.from_m.max(t.from_m)).max(0.0);
            straights.iter().all(|t| within(t) <= 0.5 * s.length_m())
        });
        // Compared to the millimetre, so that rounding does not decide the order of symmetric stretches.
        let mm = |v: f64| (v * 1e3).round();
        let order = |a: (f64, f64), b: (f64, f64)| mm(b.0).total_cmp(&mm(a.0)).then(a.1.total_cmp(&b.1));
        sort_by(&mut straights, |a, b| order((a.length_m(), a.from_m), (b.length_m(), b.from_m)));
        sort_by(&mut off, |a, b| order((a.most_m.abs(), a.from_m), (b.most_m.abs(), b.from_m)));
        straights.append(&mut off);
        Ok(Departures { ellipse, stretches: straights })
    }

    /// The exact straights of the line on `side`, such as the chord of a cut ellipse: start
    /// and end chainages, in order. Parts that only bend very little do not count.
    #[must_use]
    pub fn built_straights_m(&self, side: Side) -> Vec<[f64; 2]> {
        let found = match self.curve(side) {
            Shape::CutEllipse(_) => self.exact_straights(side),
            _ => Vec::new(),
        };
        found.into_iter().map(|ends| ends.map(|s| self.chainage_of(side, s))).collect()
    }

    /// The pieces between corners with zero curvature, as distances along the line.
    fn exact_straights(&self, side: Side) -> Vec<[f64; 2]> {
        let line = self.line(side);
        let mut ends = vec![0.0];
        ends.extend(line.corners());
        ends.push(line.length());
        ends.windows(2)
            .map(|w| [w[0], w[1]])
            .filter(|[a, b]| b > a && line.at(0.5 * (a + b)).curvature == 0.0)
            .collect()
    }

    fn walked(&self, side: Side) -> Walked {
        let line = self.line(side);
        let s = line.stations(STEP_M);
        let points = s.iter().map(|&s| line.at(s)).collect();
        Walked { side, s, points, departures: Vec::new() }
    }
}

impl Walked {
    /// The stretch between two distances along the line, with its largest departure.
    fn stretch(&self, b: &Boundary, kind: StretchKind, [from, to]: [f64; 2], known_to: f64) -> Stretch {
        let (mut most_m, mut most_at) = (0.0f64, from);
        for (&s, &d) in self.s.iter().zip(&self.departures) {
            if (from..=to).contains(&s) && d.abs() > most_m.abs() {
                (most_m, most_at) = (d, s);
            }
        }
        let chainage = |s: f64| b.chainage_of(self.side, s);
        Stretch {
            kind,
            side: self.side,
            from_m: chainage(from),
            to_m: chainage(to),
            most_m,
            most_at_m: chainage(most_at),
            length_known_to_m: known_to,
        }
    }

    /// Where the departure is `least` or more, with one sign throughout each stretch.
    fn beyond(&self, least: f64) -> Vec<[f64; 2]> {
        let d = &self.departures;
        let out = |i: usize, sign: f64| d[i] * sign >= least;
        let mut found = Vec::new();
        for sign in [1.0, -1.0] {
            let mut from = None;
            for i in 0..d.len() {
                let crossing = |i: usize| {
                    let (a, b) = (d[i - 1] * sign, d[i] * sign);
                    // At a corner two samples may coincide.
                    let share = if a == b { 0.0 } else { (least - a) / (b - a) };
                    self.s[i - 1] + share * (self.s[i] - self.s[i - 1])
                };
                match (from, out(i, sign)) {
                    (None, true) => from = Some(if i == 0 { self.s[0] } else { crossing(i) }),
                    (Some(start), false) => {
                        found.push([start, crossing(i)]);
                        from = None;
                    }
                    _ => {}
                }
            }
            if let (Some(start), Some(&end)) = (from, self.s.last()) {
                found.push([start, end]);
            }
        }
        found
    }

    /// Where the curvature averaged over the window is at most `bend`, per metre. Pieces less
    /// than a window apart are joined if the same holds for them together.
    fn straights(&self, bend: f64) -> Vec<[f64; 2]> {
        let n = self.s.len();
        let length = self.s.last().copied().unwrap_or(0.0);
        // Half a window, in steps: about 5.
        let half = (0.5 * WINDOW_M / (length / (n - 1).max(1) as f64)).round().clamp(1.0, 1e6) as usize;
        let turn = |i: usize, j: usize| {
            let (a, b) = (self.points[i].tangent, self.points[j].tangent);
            a.cross(b).atan2(a.dot(b))
        };
        let straight = |i: usize, j: usize| turn(i, j).abs() <= bend * (self.s[j] - self.s[i]);
        let mut runs: Vec<(usize, usize)> = Vec::new();
        for i in half..n.saturating_sub(half) {
            let (from, to) = (i - half, i + half);
            if !straight(from, to) {
                continue;
            }
            match runs.last_mut() {
                Some(last)
                    if from <= last.1 + 2 * half
                        && straight(last.0, to)
                        && self.near_chord(last.0, to, bend) =>
                {
                    last.1 = to;
                }
                _ => runs.push((from, to)),
            }
        }
        // At either end of a straight, the window reaches into the curve by that share of its length.
        let over = STRAIGHT_SHARE * WINDOW_M;
        let at = |i: usize| self.s[i];
        runs.into_iter()
            .map(|(i, j)| {
                [if i == 0 { at(0) } else { at(i) + over }, if j + 1 == n { at(j) } else { at(j) - over }]
            })
            .collect()
    }

    /// Does the line between two samples stay as near to its chord as an arc of this curvature
    /// would? Needed because a line that bends to and fro may turn by nothing in total.
    fn near_chord(&self, i: usize, j: usize, bend: f64) -> bool {
        let (p, q) = (self.points[i].point, self.points[j].point);
        let length = self.s[j] - self.s[i];
        let Some(across) = (q - p).to_left().unit() else { return false };
        let most = bend * length * length / 8.0;
        self.points[i..=j].iter().all(|r| (r.point - p).dot(across).abs() <= most)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::{End, outlines_for_tests};
    use crate::geometry::{CutEllipse, FourArc, Point, Spline};

    const HALF: f64 = 82.5;

    /// The ellipse through the posts of a 165 × 135 m ground.
    fn base() -> Ellipse<Ground> {
        let a = HALF / (1.0 - (9.6f64 / 67.5).powi(2)).sqrt();
        Ellipse::new(Point::ORIGIN, [a, 67.5], 0.0).unwrap()
    }

    fn on(shape: Shape<Ground>) -> Boundary {
        Boundary::on_curve(shape, HALF, 19.2).unwrap()
    }

    /// A boundary cut on the right by a chord of this length: half of it is a·√(1 − (d/b)²).
    fn cut(chord_m: f64) -> Boundary {
        let e = base();
        let d = e.semi_minor_m() * (1.0 - (0.5 * chord_m / e.semi_major_m()).powi(2)).sqrt();
        on(Shape::CutEllipse(CutEllipse::new(e, 270.0, d).unwrap()))
    }

    fn freeform(offsets: &[f64]) -> Boundary {
        on(Shape::Freeform(Spline::new(base(), offsets).unwrap()))
    }

    fn found(b: &Boundary) -> Vec<Stretch> {
        b.departures(DEPARTURE_M).unwrap().stretches
    }

    fn straights(b: &Boundary) -> Vec<Stretch> {
        found(b).into_iter().filter(|s| s.kind == StretchKind::Straight).collect()
    }

    #[test]
    fn an_ellipse_has_none_of_either() {
        for axes in [[83.3, 67.5], [93.0, 55.5], [70.0, 70.0]] {
            let e = Ellipse::new(Point::ORIGIN, axes, 0.0).unwrap();
            let half = 0.99 * axes[0];
            let b = Boundary::on_ellipse(e, half, 19.2).unwrap();
            assert!(found(&b).is_empty());
            // A freeform without offsets is that ellipse to 0.03 mm, so it has none either.
            let s = Shape::Freeform(Spline::new(e, &[0.0; 64]).unwrap());
            let b = Boundary::on_curve(s, half, 19.2).unwrap();
            assert!(found(&b).is_empty(), "{axes:?} {:?}", found(&b));
            assert!(b.departures(1e-3).unwrap().stretches.is_empty());
        }
    }

    #[test]
    fn a_chord_is_a_straight_to_its_corners() {
        let b = cut(62.0);
        let all = found(&b);
        let first = all[0];
        assert_eq!((first.kind, first.side), (StretchKind::Straight, Side::Right));
        // A closed form, to the rounding of 500 m of line.
        assert!((first.length_m() - 62.0).abs() < 1e-8, "{}", first.length_m());
        assert_eq!(straights(&b).len(), 1);
        assert_eq!(b.built_straights_m(Side::Right), vec![[first.from_m, first.to_m]]);
        assert!(b.built_straights_m(Side::Left).is_empty());
        // The boundary is symmetric, so the results must be too.
        let wing = b.wing_chainage_m(Side::Right).unwrap();
        assert!((0.5 * (first.from_m + first.to_m) - wing).abs() < 1e-7);
        for s in &all[1..] {
            let twin = |t: &&Stretch| {
                t.kind == s.kind
                    && t.side == s.side
                    && (t.most_m - s.most_m).abs() < 1e-6
                    && (t.length_m() - s.length_m()).abs() < 1e-5
            };
            let mirrored = |t: &&Stretch| {
                let middle = b.chainage_from_post_m(s.side, End::A, 0.5 * b.line_length_m(s.side));
                (0.5 * (s.from_m + t.to_m) - middle).abs() < 1e-5
            };
            assert!(all.iter().filter(twin).any(|t| mirrored(&t)), "{s:?}");
        }
    }

    #[test]
    fn departures_are_distances_from_the_best_ellipse() {
        for (name, o) in outlines_for_tests() {
            let b = o.boundary(19.2).unwrap();
            let d = b.departures(0.3).unwrap();
            for s in &d.stretches {
                let p = b.at(s.most_at_m).point;
                let nearest = (0..7200)
                    .map(|i| d.ellipse.at_parameter(f64::from(i) * std::f64::consts::TAU / 7200.0))
                    .map(|q| q.distance_to(p))
                    .fold(f64::INFINITY, f64::min);
                // Samples are 7 cm apart, so one lies within half of that of the foot, which at 0.3 m or
                // more changes the distance by 2 mm at most.
                assert!((nearest - s.most_m.abs()).abs() < 2e-3, "{name} {s:?} {nearest}");
                let out = (p - d.ellipse.centre()).length()
                    > (d.ellipse.foot(p).point - d.ellipse.centre()).length();
                assert_eq!(out, s.most_m > 0.0, "{name}");
                if s.kind != StretchKind::Straight {
                    assert_eq!(out, s.kind == StretchKind::Outside, "{name}");
                    // At an end that is not a post, the departure is the limit,
                    // to the precision of a step of one metre.
                    for end in [s.from_m, s.to_m] {
                        let at_post = End::BOTH
                            .iter()
                            .any(|&e| (end - b.chainage_from_post_m(s.side, e, 0.0)).abs() < 1e-6);
                        let here = d.ellipse.foot(b.at(end).point).signed_distance_m.abs();
                        assert!(at_post || (here - 0.3).abs() < 0.05 / 8.0, "{name} {s:?} {here}");
                    }
                }
            }
        }
    }

    #[test]
    fn four_arcs_depart_alike_in_every_quarter() {
        let o = FourArc::new(Point::ORIGIN, [83.35, 65.0], 38.0, 0.0).unwrap();
        let b = on(Shape::FourArc(o));
        let d = b.departures(DEPARTURE_M).unwrap();
        assert!(!d.stretches.is_empty());
        for s in &d.stretches {
            // Mirroring in the goal axis keeps the end and changes the side.
            let there = b.at(s.most_at_m).point;
            let mirrored = d.stretches.iter().any(|t| {
                t.kind == s.kind && {
                    let p = b.at(t.most_at_m).point;
                    // A sample is within a metre of another's mirror image.
                    (p.x - there.x).abs() < 1.0
                        && (p.y + there.y).abs() < 1.0
                        && (t.most_m - s.most_m).abs() < 1e-6
                        && (t.length_m() - s.length_m()).abs() < 1e-5
                }
            });
            assert!(mirrored, "{s:?} {:?}", d.stretches);
        }
        // By symmetry the best ellipse lies on the oval's own axes.
        assert!(d.ellipse.centre().distance_to(Point::ORIGIN) < 1e-6);
        let turn = d.ellipse.turn_deg();
        assert!(turn.min(180.0 - turn) < 1e-6);
        // On the axes the departure is the difference of the semi-axes.
        let wing = b.at(b.wing_chainage_m(Side::Left).unwrap()).point;
        let off = d.ellipse.foot(wing).signed_distance_m;
        assert!((off - (65.0 - d.ellipse.semi_minor_m())).abs() < 1e-6);
    }

    #[test]
    fn a_planted_pocket_is_found_where_it_was_put() {
        // Five control points of the first quarter are moved inward, by up to 2.5 m.
        let mut offsets = vec![0.0; 64];
        let plant = [(5, -1.2), (6, -2.2), (7, -2.5), (8, -2.2), (9, -1.2)];
        for (i, d) in plant {
            offsets[i] = d;
        }
        let b = freeform(&offsets);
        let all = found(&b);
        let s = all[0];
        assert_eq!((s.kind, s.side), (StretchKind::Inside, Side::Left));
        // The knot at control point 7 is (δ₆ + 4δ₇ + δ₈)/6 = 2.4 m inside the base. The best
        // ellipse follows: on a circle its five modes are 1, cos, sin, cos 2 and sin 2, so a dent
        // of area A draws it in by (1 + 2 + 2)·A/P at the dent. That is 0.7 m; an oval is not a
        // circle and the dent is not a point, hence the tolerance of a tenth of it and a little.
        let area = freeform(&[0.0; 64]).area_m2() - b.area_m2();
        let drawn = 5.0 * area / b.perimeter_m();
        assert!((s.most_m + 2.4 - drawn).abs() < 0.1, "{} {drawn}", s.most_m);
        let planted = b.nearest(base().at_parameter(7.0 / 64.0 * std::f64::consts::TAU)).chainage_m;
        assert!((s.most_at_m - planted).abs() < 2.0, "{} {planted}", s.most_at_m);
        // Five points some 7 m apart, and about half a spacing at either end.
        assert!(s.length_m() > 26.0 && s.length_m() < 48.0, "{}", s.length_m());
        assert!(straights(&b).is_empty(), "{all:?}");
        // Mirrored in the goal axis, the result is mirrored too.
        let mut other = vec![0.0; 64];
        for (i, d) in plant {
            other[64 - i] = d;
        }
        let mirror = found(&freeform(&other));
        assert_eq!(mirror.len(), all.len());
        assert_eq!((mirror[0].kind, mirror[0].side), (StretchKind::Inside, Side::Right));
        assert!((mirror[0].most_m - s.most_m).abs() < 1e-6);
        assert!((mirror[0].length_m() - s.length_m()).abs() < 1e-5);
    }

    #[test]
    fn a_freeforms_straight_is_found_to_its_control_spacing() {
        for which in [11..=21, 13..=20, 42..=51usize] {
            let mut offsets = vec![0.0; 64];
            let s = Spline::new(base(), &offsets).unwrap();
            let points = s.control_points();
            let (first, last) = (points[*which.start()], points[*which.end()]);
            let across = (last - first).to_right();
            for i in which.clone() {
                offsets[i] -= (points[i] - first).dot(across) / s.control_normals()[i].dot(across);
            }
            let spline = Spline::new(base(), &offsets).unwrap();
            // The spans from the second point to the last but one are exactly straight.
            let exact = spline
                .at_parameter(*which.start() as f64 + 1.0)
                .distance_to(spline.at_parameter(*which.end() as f64 - 1.0));
            let b = freeform(&offsets);
            let found = straights(&b);
            assert_eq!(found.len(), 1, "{which:?}");
            let spacing = found[0].length_known_to_m;
            assert!((6.5..8.0).contains(&spacing));
            assert!((found[0].length_m() - exact).abs() < spacing, "{} {exact}", found[0].length_m());
        }
    }

    #[test]
    fn a_straight_hides_in_roughness_beyond_its_limit_only() {
        // The straight of the first case above, with offsets of ± 1 cm in turn: a curvature of
        // 4·0.01/7² = 0.0008 per metre to and fro, which averages out over 10 m.
        let mut offsets = vec![0.0; 64];
        let s = Spline::new(base(), &offsets).unwrap();
        let points = s.control_points();
        let across = (points[21] - points[11]).to_right();
        for i in 11..=21 {
            offsets[i] -= (points[i] - points[11]).dot(across) / s.control_normals()[i].dot(across);
        }
        let smooth = straights(&freeform(&offsets))[0].length_m();
        for (i, d) in offsets.iter_mut().enumerate() {
            *d += if i % 2 == 0 { 0.01 } else { -0.01 };
        }
        let rough = straights(&freeform(&offsets));
        assert_eq!(rough.len(), 1);
        assert!((rough[0].length_m() - smooth).abs() < rough[0].length_known_to_m);
    }

    #[test]
    fn a_dent_that_bends_to_and_fro_is_no_straight() {
        for (name, o) in outlines_for_tests() {
            let b = o.boundary(19.2).unwrap();
            let with =
                ["cut on the left", "cut across a flank", "cut from a post", "freeform with a straight"];
            assert_eq!(!straights(&b).is_empty(), with.contains(&name), "{name} {:?}", straights(&b));
        }
    }
}
