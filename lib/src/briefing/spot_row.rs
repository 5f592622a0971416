//! All that is known about one spot: where it is, the throw-in, where to stand, what to face.

use crate::boundary::End;
use crate::frame::{Geodetic, Ground as GroundFrame};
use crate::geometry::{Point, Vector};
use crate::ground::{Arcs, Ground, NoSpot, Oval, Spot, SpotRef};
use crate::numeric::sort_by_key;
use crate::officiate::{
    Backsight, Lengths, Scene, ShortSide, Sides, Stand, StandKind, ThrowIn, backsight, hazards_beside,
    long_first, short_of, sides_of, stand, sure_post_station, throw_in,
};
use crate::units::{Declination, MagneticBearing, Measured, TrueBearing};
use crate::venue::Venue;

/// A direction as true and magnetic bearings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Facing {
    /// From true north.
    pub true_bearing: TrueBearing,
    /// From magnetic north, where declination is known.
    pub magnetic: Option<MagneticBearing>,
}

/// The answer for one spot.
#[derive(Debug, Clone, PartialEq)]
pub struct SpotRow {
    /// The spot.
    pub spot: Spot,
    /// Its place on Earth, where the venue has one.
    pub place: Option<Geodetic>,
    /// The throw-in.
    pub throw: ThrowIn,
    /// The direction of the throw.
    pub aim: Facing,
    /// The direction that the thrower faces, back to play.
    pub face: Facing,
    /// Short side and distances to the posts.
    pub sides: Sides,
    /// Where to stand.
    pub stand: Stand,
    /// The stand on the long side, where the view from there is so much better that it is named first.
    pub stand_long: Option<Stand>,
    /// Chainage with its ±.
    pub chainage: Measured,
    /// Distance along the line to the nearer post, with its ±.
    pub from_post: Measured,
    /// Bearing of the aim with its ±, degrees.
    pub aim_deg: Measured,
    /// How far outside the line to stand, with its ±.
    pub outside_line: Measured,
    /// How far off the tangent an official would look with both feet on the line, with its ±, degrees.
    pub chord_angle: Option<Measured>,
    /// Distance from the corridor's outer edge to the fence at the full distance back, with its ±; `None`
    /// where the fence was not surveyed or nobody backs away.
    pub spare_run_off: Option<Measured>,
    /// The landmark to face.
    pub backsight: Option<Backsight>,
    /// The landmark across the ground in the direction of the throw, to look for before turning round.
    pub pick_up: Option<Backsight>,
    /// Hazards at the spot or at the stand, by index.
    pub beside: Vec<usize>,
}

pub(super) fn facing(
    oval: &Oval,
    direction: Vector<GroundFrame>,
    declination: Option<&Declination>,
) -> Option<Facing> {
    let true_bearing = oval.plan().bearing(direction).ok()?;
    Some(Facing { true_bearing, magnetic: declination.map(|d| d.magnetic(true_bearing)) })
}

/// The same number with this much more standard deviation.
fn widened(m: &Measured, sd: f64, ratio: f64) -> Option<Measured> {
    Measured::new(m.value(), m.sd().hypot(sd), m.half_width().hypot(ratio * sd)).ok()
}

/// Everything about one spot of a venue. `preferred` is the end to back toward where the sides are too close
/// to call; at `night` only landmarks that can be seen then are used.
///
/// # Errors
/// [`NoSpot`] where the reference names no spot of this ground, or may name none within the ground's
/// uncertainty.
pub fn spot_row(
    venue: &Venue,
    declination: Option<&Declination>,
    reference: SpotRef,
    preferred: End,
    night: bool,
) -> Result<SpotRow, NoSpot> {
    let (ground, scene) = (&venue.ground, venue.scene());
    let Scene { oval, practice, .. } = scene;
    let spot = oval.spot(reference, practice.goal_range_m.value)?;
    let throw = throw_in(practice, &spot);
    let (aim, face) = (facing(oval, throw.aim, declination), facing(oval, throw.face, declination));
    let (aim, face) = (aim.ok_or(NoSpot::NotFinite)?, face.ok_or(NoSpot::NotFinite)?);

    let measured = Across { scene, reference }.measure(ground, &spot, aim.true_bearing)?;
    let sure = |m: Option<Measured>| m.ok_or(NoSpot::NotForSure);
    let turn = sure(measured.turn)?;
    let lengths = Lengths {
        to_a: sure(measured.to_a)?,
        to_b: sure(measured.to_b)?,
        difference: sure(measured.difference)?,
    };
    let sides = sides_of(practice, &lengths);
    let toward = sides.short.or(preferred);
    let mut stood = stand(scene, &spot, toward);
    if stood.kind == StandKind::BesidePost {
        let sure = sure_post_station(ground, scene, spot.side, spot.end);
        stood = Stand { chord_angle_deg: stood.chord_angle_deg, ..sure };
    }
    let stand_long = long_first(scene, &spot, &stood);
    let mut seen = if toward == End::A { measured.stand_a } else { measured.stand_b };
    if seen.outside_line.is_none() {
        // The stand was measured on the likely short side only, but the survey can't tell which side is short
        // and the other one is preferred.
        seen = Across { scene, reference }.one_way(ground, toward)?;
    }
    // Where the line departs from the model, the stand's distance outside the line is less certain.
    let doubt = 0.5 * venue.departure_toward(spot.point).abs();
    let outside_line = widened(&sure(seen.outside_line)?, doubt, ground.ratio()).ok_or(NoSpot::NotForSure)?;
    let full = seen.full.and_then(|f| widened(&f, doubt, ground.ratio()));
    let aim_deg = Measured::new(aim.true_bearing.degrees(), turn.sd(), turn.half_width())
        .map_err(|_| NoSpot::NotFinite)?;
    let at_the_post = stood.kind.is_at_post() || stood.kind == StandKind::NoPlace;
    let spare_run_off = full.filter(|_| !at_the_post).and_then(|full| spare(scene, &spot, toward, full));
    let mut beside = [spot.point, stood.point].map(|p| hazards_beside(scene, p)).concat();
    sort_by_key(&mut beside, |hazard| *hazard);
    beside.dedup();
    Ok(SpotRow {
        place: venue.document.plane.to_geodetic(oval.plan().to_local(spot.point)),
        backsight: backsight(scene, spot.point, throw.face, night),
        pick_up: backsight(scene, spot.point, throw.aim, night),
        chord_angle: stood.chord_angle_deg.and(seen.chord_deg),
        spot,
        throw,
        aim,
        face,
        sides,
        beside,
        stand_long,
        stand: stood,
        chainage: sure(measured.chainage)?,
        from_post: sure(measured.from_post)?,
        aim_deg,
        outside_line,
        spare_run_off,
    })
}

/// The run-off to spare at the full distance back, m; negative where there is too little.
fn spare(scene: Scene<'_>, spot: &Spot, toward: End, full: Measured) -> Option<Measured> {
    let end_of_walk = spot.point + spot.tangent_to(toward) * scene.practice.back_m.value;
    let chainage_m = scene.oval.boundary().nearest(end_of_walk).chainage_m;
    let fence = scene.around.fence.distance_at(scene.oval, chainage_m)?;
    let left = fence - scene.practice.corridor_m.value - full.value();
    Measured::new(left, full.sd(), full.half_width()).ok()
}

/// A spot, found anew on the nominal oval and on each oval one standard deviation away.
struct Across<'a> {
    scene: Scene<'a>,
    reference: SpotRef,
}

/// What is measured of a spot. `T` is a number on one oval, or a number with its ± from all of them.
struct Ways<T> {
    chainage: T,
    from_post: T,
    /// The angle from the nominal bearing to the aim: a bearing itself would jump by 360° at north.
    turn: T,
    to_a: T,
    to_b: T,
    /// `to_a` − `to_b`.
    difference: T,
    stand_a: Seen<T>,
    stand_b: Seen<T>,
}

/// What is measured of a stand.
struct Seen<T> {
    outside_line: T,
    /// How far outside the line a stand at the full distance back would be.
    full: T,
    /// The angle between the chord and the tangent.
    chord_deg: T,
}

impl Seen<Option<f64>> {
    const NONE: Self = Self { outside_line: None, full: None, chord_deg: None };
}

impl<T> Seen<T> {
    fn of([outside_line, full, chord_deg]: [T; 3]) -> Self {
        Self { outside_line, full, chord_deg }
    }

    fn list(self) -> [T; 3] {
        [self.outside_line, self.full, self.chord_deg]
    }
}

impl<T> Ways<T> {
    fn of([chainage, from_post, turn, to_a, to_b, difference, a0, a1, a2, b0, b1, b2]: [T; 12]) -> Self {
        let (stand_a, stand_b) = (Seen::of([a0, a1, a2]), Seen::of([b0, b1, b2]));
        Self { chainage, from_post, turn, to_a, to_b, difference, stand_a, stand_b }
    }

    fn list(self) -> [T; 12] {
        let ([a0, a1, a2], [b0, b1, b2]) = (self.stand_a.list(), self.stand_b.list());
        let Self { chainage, from_post, turn, to_a, to_b, difference, .. } = self;
        [chainage, from_post, turn, to_a, to_b, difference, a0, a1, a2, b0, b1, b2]
    }
}

impl Across<'_> {
    fn spot_on(&self, oval: &Oval) -> Option<Spot> {
        oval.spot_held(self.reference, self.scene.practice.goal_range_m.value).ok()
    }

    /// Everything measured of the spot. Finding the spot on an oval is the costly part, so it is found once
    /// on each and everything is measured there. Which side is short is known only afterwards, so the stand
    /// is measured on each side that may be short.
    fn measure(
        &self,
        ground: &Ground,
        spot: &Spot,
        aim: TrueBearing,
    ) -> Result<Ways<Option<Measured>>, NoSpot> {
        let practice = self.scene.practice;
        let likely = short_of(practice, spot);
        let found = ground.measure_each(|o| {
            let s = self.spot_on(o)?;
            let aimed = o.plan().bearing(throw_in(practice, &s).aim).ok()?;
            let Lengths { to_a, to_b, difference } = Lengths::of(&s);
            let seen = |toward: End| {
                let asked = likely == ShortSide::Either || likely == ShortSide::Toward(toward);
                if asked { self.seen(o, &s, toward) } else { Seen::NONE }
            };
            let ways = Ways {
                chainage: Some(s.chainage_m),
                from_post: Some(s.to_post_m(spot.end)),
                turn: Some(aim.turn_to(aimed)),
                to_a: Some(to_a),
                to_b: Some(to_b),
                difference: Some(difference),
                stand_a: seen(End::A),
                stand_b: seen(End::B),
            };
            Some(ways.list())
        });
        found.map(Ways::of).ok_or(NoSpot::NotForSure)
    }

    fn seen(&self, oval: &Oval, s: &Spot, toward: End) -> Seen<Option<f64>> {
        let back = self.scene.practice.back_m.value;
        let w = stand(self.scene.on(oval), s, toward);
        // Nobody backs away at the post. Where there is room, the stand is at the full distance back.
        let full = match w.kind {
            StandKind::Post | StandKind::BesidePost => None,
            StandKind::Tangent { back_m } if back_m >= back => Some(w.outside_line_m),
            _ => Some(oval.boundary().outside_m(s.point + s.tangent_to(toward) * back)),
        };
        Seen { outside_line: Some(w.outside_line_m), full, chord_deg: w.chord_angle_deg }
    }

    /// What is measured of the stand on one side.
    fn one_way(&self, ground: &Ground, toward: End) -> Result<Seen<Option<Measured>>, NoSpot> {
        let back = self.scene.practice.back_m.value;
        let found = ground.measure_each(|o| {
            let s = self.spot_on(o)?;
            let w = stand(self.scene.on(o), &s, toward);
            let full = o.boundary().nearest(s.point + s.tangent_to(toward) * back);
            Some([Some(w.outside_line_m), Some(full.signed_distance_m), w.chord_angle_deg])
        });
        found.map(Seen::of).ok_or(NoSpot::NotForSure)
    }
}

impl SpotRow {
    /// Is the spot between the arcs?
    #[must_use]
    pub fn between_arcs(&self) -> bool {
        self.spot.arcs == Arcs::Between
    }

    /// Is the short side too close to call?
    #[must_use]
    pub fn either(&self) -> bool {
        self.sides.short == ShortSide::Either
    }

    /// The place of a point of the ground, where the venue has one.
    #[must_use]
    pub fn geodetic(venue: &Venue, p: Point<GroundFrame>) -> Option<Geodetic> {
        venue.document.plane.to_geodetic(venue.ground.oval().plan().to_local(p))
    }
}
