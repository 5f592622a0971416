//! Where a ground's line departs from its best-fit ellipse, by how much with its ±, in words.
//!
//! The ± of a departure is that of one place, given by its distance along the line from a post. On each oval
//! one standard deviation away, the same place is compared with that oval's own best ellipse. So an error
//! that moves or stretches the whole ground does not count as a departure.

use super::place::{Place, nearest_place};
use crate::boundary::{Boundary, DEPARTURE_M, Departures, End, NoEllipse, Side, Stretch, StretchKind};
use crate::ground::{Ground, NamedSpot, Oval};
use crate::numeric::sort_by_key;
use crate::units::Measured;
use crate::units::print::{fixed, measured_roughly};
use crate::venue::Names;

/// The spacing of the points on a line through which the best ellipse of an oval one standard deviation away
/// is fitted, m. Compared with 1 m, the ± changes by up to a fiftieth of itself (with 4 m: a hundredth), in
/// an eighth of the time.
const PAIR_STEP_M: f64 = 8.0;
/// That fit stops when a step is shorter than this, m: then a hundredth of a millimetre is left.
const PAIR_SMALL_M: f64 = 1e-4;
/// A departure of less than this many standard deviations may be the survey's own error.
const SURE_SD: f64 = 2.0;
/// The most rows that a card gives to stretches off the ellipse. Straights are always given.
const ROWS: usize = 3;
/// Departures at spots of the same name that differ by no more than this are one row, m: cards print
/// decimetres.
const ALIKE_M: f64 = 0.1;

/// A stretch that departs from the best ellipse, with its ±.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Departed {
    /// The stretch.
    pub stretch: Stretch,
    /// The largest departure in the stretch, m, positive outside the best ellipse.
    pub most: Measured,
    /// The length of a straight stretch, m. A chord's ± comes from the fit; that of a straight in a freeform
    /// line allows also for the spacing of its control points. `None` where the stretch is not straight.
    pub straight: Option<Measured>,
    /// Is it certain? A stretch is certain if its largest departure is at least two standard deviations, or
    /// if it is straight.
    pub sure: bool,
}

/// A place on a line that can be found on every oval: by its distance from the nearer post.
#[derive(Clone, Copy)]
struct Held {
    side: Side,
    end: End,
    metres: f64,
}

impl Held {
    fn at(b: &Boundary, side: Side, chainage_m: f64) -> Option<Self> {
        let (to_a, to_b) = (b.to_post_m(chainage_m, End::A)?, b.to_post_m(chainage_m, End::B)?);
        Some(if to_a <= to_b {
            Self { side, end: End::A, metres: to_a }
        } else {
            Self { side, end: End::B, metres: to_b }
        })
    }
}

impl Departed {
    /// Every stretch of a ground in order of importance: the straights, longest first, then the others that
    /// are certain, then those that are not, each by how far they are off the best ellipse.
    ///
    /// # Units
    /// Metres.
    ///
    /// # Errors
    /// [`NoEllipse`] where the boundary, or one a standard deviation away, has no best ellipse.
    pub fn all(ground: &Ground) -> Result<Vec<Self>, NoEllipse> {
        let b = ground.oval().boundary();
        let Departures { ellipse: near, stretches } = b.departures(DEPARTURE_M)?;
        if stretches.is_empty() {
            return Ok(Vec::new());
        }
        let places: Option<Vec<Held>> = stretches.iter().map(|s| Held::at(b, s.side, s.most_at_m)).collect();
        let places = places.ok_or(NoEllipse::NotFixed)?;
        let effects = ground.effects(|o| {
            let b = o.boundary();
            let ellipse = b.best_ellipse_near(&near, PAIR_STEP_M, PAIR_SMALL_M).ok()?;
            let mut all: Vec<f64> = places
                .iter()
                .map(|p| {
                    let point = b.at(b.chainage_from_post_m(p.side, p.end, p.metres)).point;
                    ellipse.foot(point).signed_distance_m
                })
                .collect();
            // On an oval one standard deviation away a chord may be gone: then its ± is its whole length.
            all.extend(stretches.iter().map(|s| built_length_m(o, s).unwrap_or(0.0)));
            Some(all)
        });
        let effects = effects.ok_or(NoEllipse::NotFixed)?;
        let ratio = ground.ratio();
        let sd = |i: usize| effects.steps.iter().map(|s| s[i] * s[i]).sum::<f64>().sqrt();
        let mut all = Vec::with_capacity(stretches.len());
        for (i, s) in stretches.iter().enumerate() {
            let most = Measured::new(s.most_m, sd(i), ratio * sd(i))?;
            let straight = if s.kind == StretchKind::Straight {
                let (sd, known_to) = (sd(stretches.len() + i), s.length_known_to_m);
                Some(Measured::new(s.length_m(), sd.hypot(known_to / ratio), (ratio * sd).hypot(known_to))?)
            } else {
                None
            };
            let sure = straight.is_some() || most.value().abs() >= SURE_SD * most.sd();
            all.push(Self { stretch: *s, most, straight, sure });
        }
        // A stable sort: apart from this the order stays.
        sort_by_key(&mut all, |d| !d.sure);
        Ok(all)
    }

    /// One stretch as a sentence without its full stop, with the place in the names of ends and sides:
    /// `Road side: straight for 62 m ± 1, Silo flank to School flank`, `Creek/Road pocket: 2.3 m ± 0.3 inside
    /// its best ellipse, over 31 m`.
    ///
    /// `goal_range_m` is the practice that gives the named spot "25 m" its name.
    #[must_use]
    pub fn words(&self, oval: &Oval, names: &Names, goal_range_m: f64) -> String {
        let place = |chainage_m: f64| nearest_place(oval, goal_range_m, chainage_m);
        let s = &self.stretch;
        if let Some(length) = &self.straight {
            return match (place(s.from_m), place(s.to_m)) {
                (Some(a), Some(b)) if a != b => format!(
                    "{} side: straight for {}, {} to {}",
                    names.side(s.side),
                    shown(length, 0),
                    a.on_its_side(names),
                    b.on_its_side(names)
                ),
                (Some(a), _) => format!("{}: straight for {}", a.words(names), shown(length, 0)),
                _ => format!("{} side: straight for {}", names.side(s.side), shown(length, 0)),
            };
        }
        let place = place(s.most_at_m)
            .map_or_else(|| format!("{} side", names.side(s.side)), |place| place.words(names));
        self.off(&place)
    }

    fn off(&self, place: &str) -> String {
        let Ok(most) = Measured::new(self.most.value().abs(), self.most.sd(), self.most.half_width()) else {
            return place.to_owned();
        };
        format!(
            "{place}: {} {} its best ellipse, over {} m{}",
            shown(&most, 1),
            if self.most.value() < 0.0 { "inside" } else { "outside" },
            fixed(self.stretch.length_m(), 0),
            if self.sure { "" } else { ": too close to call" }
        )
    }

    /// The rows of a card: every straight, and at most three of the other stretches that are certain, most
    /// important first. Equal departures at spots of the same name, as in the four quarters of a symmetric
    /// ground, share one row.
    #[must_use]
    pub fn rows(all: &[Self], oval: &Oval, names: &Names, goal_range_m: f64) -> Vec<String> {
        let words = |d: &Self| d.words(oval, names, goal_range_m);
        let mut rows: Vec<String> = all.iter().filter(|d| d.straight.is_some()).map(words).collect();
        let mut left: Vec<(Self, Option<Place>)> = all
            .iter()
            .filter(|d| d.straight.is_none() && d.sure)
            .map(|d| (*d, nearest_place(oval, goal_range_m, d.stretch.most_at_m)))
            .collect();
        for _ in 0..ROWS {
            let Some(&(first, place)) = left.first() else { break };
            let Some(at) = place else {
                rows.push(words(&first));
                left.remove(0);
                continue;
            };
            let alike = |(d, place): &(Self, Option<Place>)| {
                d.stretch.kind == first.stretch.kind
                    && place.is_some_and(|p| p.name == at.name)
                    && (d.most.value() - first.most.value()).abs() <= ALIKE_M
            };
            let mut places: Vec<Place> = Vec::new();
            for p in left.iter().filter(|d| alike(d)).filter_map(|d| d.1) {
                if !places.contains(&p) {
                    places.push(p);
                }
            }
            rows.push(first.off(&together(&places, names)));
            left.retain(|d| !alike(d));
        }
        rows
    }
}

/// The length of the straight part of an oval's shape that is nearest to a stretch, on the same line; `None`
/// where the shape has none.
fn built_length_m(oval: &Oval, s: &Stretch) -> Option<f64> {
    let middle = |from: f64, to: f64| 0.5 * (from + to);
    let off = |t: &[f64; 2]| (middle(t[0], t[1]) - middle(s.from_m, s.to_m)).abs();
    oval.boundary()
        .built_straights_m(s.side)
        .into_iter()
        .min_by(|a, b| off(a).total_cmp(&off(b)))
        .map(|[from, to]| to - from)
}

/// Several spots of the same name in a few words: `Every pocket`, `Both Road flanks`, `Silo/Road pocket`.
fn together(places: &[Place], names: &Names) -> String {
    let [first, .., last] = places else {
        return places.first().map_or_else(String::new, |p| p.words(names));
    };
    let spots = match first.name {
        NamedSpot::GoalRange => format!("{} spots", first.label()),
        _ => format!("{}s", first.label()),
    };
    match (first.name, places.len()) {
        (NamedSpot::Wing, _) => "Both wings".to_owned(),
        (_, 4) => format!("Every {}", first.label()),
        (_, 2) if first.side == last.side => format!("Both {} {spots}", names.side(first.side)),
        (_, 2) if first.end == last.end => format!("Both {} {spots}", names.end(first.end)),
        _ => places.iter().map(|p| p.words(names)).collect::<Vec<_>>().join(", "),
    }
}

/// A number of metres with its ±, where it has one.
fn shown(m: &Measured, decimals: usize) -> String {
    if m.half_width() > 0.0 {
        measured_roughly(m, "m", decimals)
    } else {
        format!("{} m", fixed(m.value(), decimals))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::{Outline, Spread};
    use crate::frame::{Local, Plan};
    use crate::geometry::{CutEllipse, Ellipse, FourArc, Point, Shape, Spline};
    use crate::rules::RuleSet;
    use crate::units::Bearing;

    const HALF: f64 = 82.5;

    /// Ends Silo (east) and School, sides Shed (left of the way to the silo) and Road.
    fn names() -> Names {
        Names { ends: ["Silo".into(), "School".into()], sides: ["Shed".into(), "Road".into()] }
    }

    fn base() -> Ellipse<Local> {
        let a = HALF / (1.0 - (9.6f64 / 67.5).powi(2)).sqrt();
        Ellipse::new(Point::ORIGIN, [a, 67.5], 0.0).unwrap()
    }

    fn outline(shape: Shape<Local>) -> Outline {
        let plan = Plan::new(Point::ORIGIN, Bearing::from_degrees(90.0).unwrap()).unwrap();
        Outline::new(shape, plan, HALF).unwrap()
    }

    /// A ground whose parameters are independent, each with this standard deviation.
    fn ground(shape: Shape<Local>, sd: f64) -> Ground {
        let o = outline(shape);
        let n = o.parameters().len();
        let mut spread = Spread::none();
        for i in 0..n {
            spread.add_axis((0..n).map(|j| if i == j { sd } else { 0.0 }).collect::<Vec<_>>());
        }
        Ground::new(&o, &spread, RuleSet::laws()).unwrap()
    }

    fn cut(chord_m: f64) -> Shape<Local> {
        let e = base();
        let d = e.semi_minor_m() * (1.0 - (0.5 * chord_m / e.semi_major_m()).powi(2)).sqrt();
        Shape::CutEllipse(CutEllipse::new(e, 270.0, d).unwrap())
    }

    fn pocket() -> Shape<Local> {
        let mut offsets = vec![0.0; 64];
        for (i, d) in [(3, -1.5), (4, -2.8), (5, -3.2), (6, -2.8), (7, -1.5)] {
            offsets[i] = d;
        }
        Shape::Freeform(Spline::new(base(), &offsets).unwrap())
    }

    fn rows(g: &Ground) -> Vec<String> {
        Departed::rows(&Departed::all(g).unwrap(), g.oval(), &names(), 25.0)
    }

    #[test]
    fn a_road_side_is_said_to_be_straight() {
        let g = ground(cut(62.0), 0.01);
        let all = Departed::all(&g).unwrap();
        assert!(
            rows(&g)[0].starts_with("Road side: straight for 62 m ± 1, School flank to Silo flank"),
            "{:?}",
            rows(&g)
        );
        // Its two bulges are mirror images, and one row.
        assert!(rows(&g)[1].starts_with("Both Road flanks: 1.6 m ± 0.1 outside"), "{:?}", rows(&g));
        // The chord's ± by a second method, from its length 2a·√(1 − (d/b)²): only a, b and d matter. The
        // cut's direction and the other parameters have no effect, by symmetry.
        let chord = |a: f64, b: f64, d: f64| 2.0 * a * (1.0 - (d / b).powi(2)).sqrt();
        let (a, b) = (base().semi_major_m(), 67.5);
        let d = b * (1.0 - (31.0 / a).powi(2)).sqrt();
        let h = 0.01;
        let by = [
            chord(a + h, b, d) - chord(a - h, b, d),
            chord(a, b + h, d) - chord(a, b - h, d),
            chord(a, b, d + h) - chord(a, b, d - h),
        ];
        let sd = by.iter().map(|v| (0.5 * v).powi(2)).sum::<f64>().sqrt();
        let straight = all[0].straight.unwrap();
        assert!((straight.value() - 62.0).abs() < 1e-8);
        // The two directions, with standard deviations of 0.01°, act in second order only.
        assert!((straight.sd() - sd).abs() < 1e-3 * sd, "{} {sd}", straight.sd());
    }

    #[test]
    fn a_pocket_is_named_with_its_plus_minus() {
        let g = ground(pocket(), 0.05);
        let first = &rows(&g)[0];
        assert!(first.starts_with("Silo/Shed pocket: 2.") && first.contains(" m ± 0."), "{first}");
        assert!(first.contains(" inside its best ellipse, over "), "{first}");
        let all = Departed::all(&g).unwrap();
        assert!(all[0].sure);
        // One place of a cubic spline whose offsets are independent, each with a standard deviation of 0.05
        // m: at a knot 0.05·√(1 + 16 + 1)/6, half-way between two 0.05·√(2·23² + 2)/48. The best ellipse
        // takes up some 5 parameters' share of 64.
        let sd = all[0].most.sd();
        assert!(sd > 0.95 * 0.05 * 0.678 - 0.003 && sd < 0.05 * 0.708, "{sd}");
    }

    #[test]
    fn what_moves_the_whole_line_is_no_departure() {
        let o = outline(pocket());
        let n = o.parameters().len();
        let mut spread = Spread::none();
        // First all offsets together, and then the goals.
        spread.add_axis((0..n).map(|j| if j < n - 4 { 0.5 } else { 0.0 }).collect::<Vec<_>>());
        spread.add_axis((0..n).map(|j| if j == n - 4 { 0.5 } else { 0.0 }).collect::<Vec<_>>());
        let g = Ground::new(&o, &spread, RuleSet::laws()).unwrap();
        let most = Departed::all(&g).unwrap()[0].most;
        // A curve parallel to an ellipse at distance d is no ellipse, but it departs from one only by terms
        // of the order of d²κ, 3 cm at 3 m. Goals that are off by half a metre move the place along the dent
        // by as much, and there the dent's depth changes by a few cm only.
        assert!(most.sd() < 0.05, "{}", most.sd());
    }

    #[test]
    fn a_rough_survey_can_not_tell() {
        let g = ground(pocket(), 3.0 * 0.8);
        let all = Departed::all(&g).unwrap();
        assert!(all.iter().all(|d| !d.sure) && rows(&g).is_empty(), "{all:?}");
        assert!(all[0].words(g.oval(), &names(), 25.0).ends_with("too close to call"));
    }

    #[test]
    fn four_arcs_say_the_four_quarters_in_one_row() {
        let o = FourArc::new(Point::ORIGIN, [83.35, 65.0], 38.0, 0.0).unwrap();
        let g = ground(Shape::FourArc(o), 0.01);
        let all = Departed::all(&g).unwrap();
        let rows = rows(&g);
        assert!(all.len() >= 4 && rows.len() < all.len(), "{rows:?}");
        // By symmetry no place can be named alone.
        assert!(rows.iter().all(|r| r.starts_with("Every ") || r.starts_with("Both wings")), "{rows:?}");
    }

    #[test]
    fn an_ellipse_says_nothing() {
        let g = ground(Shape::Ellipse(base()), 0.05);
        assert!(Departed::all(&g).unwrap().is_empty() && rows(&g).is_empty());
    }

    #[test]
    fn names_by_the_compass_serve_too() {
        let g = ground(cut(62.0), 0.01);
        let all = Departed::all(&g).unwrap();
        // The axis bears 90°: left is north.
        let said = all[0].words(g.oval(), &Names::by_compass(90.0), 25.0);
        assert!(said.starts_with("South side: straight for 62 m"), "{said}");
    }
}
