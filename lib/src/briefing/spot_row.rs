//! All that is known of one spot: where it is, the throw-in, where to stand, what to face.

use crate::boundary::End;
use crate::frame::{Geodetic, Ground as GroundFrame};
use crate::geometry::{Point, Vector};
use crate::ground::{Arcs, NoSpot, Oval, Spot, SpotRef};
use crate::officiate::{
    Backsight, ShortSide, Sides, Stand, ThrowIn, backsight, chord_angle_deg, sides, stand, throw_in,
};
use crate::units::{Declination, MagneticBearing, Measured, TrueBearing};
use crate::venue::Venue;

/// A direction as bearings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Facing {
    /// From true north.
    pub true_bearing: TrueBearing,
    /// From magnetic north, where declination is known.
    pub magnetic: Option<MagneticBearing>,
}

/// One spot, answered.
#[derive(Debug, Clone, PartialEq)]
pub struct SpotRow {
    /// The spot.
    pub spot: Spot,
    /// Its place on Earth, where the venue has one.
    pub place: Option<Geodetic>,
    /// The throw-in.
    pub throw: ThrowIn,
    /// Its aim.
    pub aim: Facing,
    /// What the thrower faces, back to play.
    pub face: Facing,
    /// Short side and distances to the posts.
    pub sides: Sides,
    /// Where to stand.
    pub stand: Stand,
    /// Chainage with its ±.
    pub chainage: Measured,
    /// Distance along the line to the nearer post, with its ±.
    pub from_post: Measured,
    /// Bearing of the aim with its ±, degrees.
    pub aim_deg: Measured,
    /// How far outside the line to stand, with its ±.
    pub outside_line: Measured,
    /// The angle one would be off with feet on the line, with its ±, degrees.
    pub chord_angle: Option<Measured>,
    /// From the corridor's outer edge to the fence, with its ±, for the full
    /// distance back; `None` where the fence was not surveyed or nobody backs away.
    pub spare_run_off: Option<Measured>,
    /// The landmark to face.
    pub backsight: Option<Backsight>,
    /// The landmark across the ground that the throw goes toward: to be picked up before turning.
    pub pick_up: Option<Backsight>,
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

/// Everything about one spot of a venue. `preferred` is the end to back toward
/// where either will do; at `night` only landmarks that show then are faced.
///
/// # Errors
/// [`NoSpot`] when the reference is no spot of this ground, or not one for sure
/// within its uncertainty.
pub fn spot_row(
    venue: &Venue,
    declination: Option<&Declination>,
    reference: SpotRef,
    preferred: End,
    night: bool,
) -> Result<SpotRow, NoSpot> {
    let (ground, practice) = (&venue.ground, &venue.document.practice);
    let around = &venue.document.surroundings;
    let oval = ground.oval();
    let range = practice.goal_range_m.value;
    let spot = oval.spot(reference, range)?;
    let sides = sides(ground, practice, reference).ok_or(NoSpot::NotForSure)?;
    let toward = sides.short.or(preferred);
    let throw = throw_in(practice, &spot);
    let stood = stand(oval, around, practice, &spot, toward);
    let (aim, face) = (facing(oval, throw.aim, declination), facing(oval, throw.face, declination));
    let (aim, face) = (aim.ok_or(NoSpot::NotFinite)?, face.ok_or(NoSpot::NotFinite)?);

    let back = practice.back_m.value;
    let all = ground.measure_all(|o| {
        let s = o.spot_held(reference, range).ok()?;
        let aimed = o.plan().bearing(throw_in(practice, &s).aim).ok()?;
        let w = stand(o, around, practice, &s, toward);
        let full = o.boundary().nearest(s.point + s.tangent_to(toward) * back);
        Some([
            s.chainage_m,
            s.to_post_m(spot.end),
            // About the nominal bearing, so that north is no seam.
            aim.true_bearing.turn_to(aimed),
            w.outside_line_m,
            full.signed_distance_m,
        ])
    });
    let [chainage, from_post, turn, outside_line, full] = all.ok_or(NoSpot::NotForSure)?;
    // On its own, since it may be there on one oval of a pair and not on the other.
    let chord = ground.measure(|o| {
        let s = o.spot_held(reference, range).ok()?;
        chord_angle_deg(o, practice, &s, toward)
    });
    // Where the line departs from the model, so does how far outside it one stands.
    let doubt = 0.5 * venue.departure_toward(spot.point).abs();
    let outside_line = widened(&outside_line, doubt, ground.ratio()).ok_or(NoSpot::NotForSure)?;
    let full = widened(&full, doubt, ground.ratio()).ok_or(NoSpot::NotForSure)?;
    let aim_deg = Measured::new(aim.true_bearing.degrees(), turn.sd(), turn.half_width())
        .map_err(|_| NoSpot::NotFinite)?;
    let backs_away = !matches!(stood.kind, crate::officiate::StandKind::Post);
    let end_of_walk = oval.boundary().nearest(spot.point + spot.tangent_to(toward) * back).chainage_m;
    let spare_run_off =
        around.fence.distance_at(oval, end_of_walk).filter(|_| backs_away).and_then(|fence| {
            Measured::new(fence - practice.corridor_m.value - full.value(), full.sd(), full.half_width()).ok()
        });
    Ok(SpotRow {
        place: venue.document.plane.to_geodetic(oval.plan().to_local(spot.point)),
        backsight: backsight(oval, around, practice, spot.point, throw.face, night),
        pick_up: backsight(oval, around, practice, spot.point, throw.aim, night),
        chord_angle: stood.chord_angle_deg.and(chord),
        spot,
        throw,
        aim,
        face,
        sides,
        stand: stood,
        chainage,
        from_post,
        aim_deg,
        outside_line,
        spare_run_off,
    })
}

impl SpotRow {
    /// Between the arcs?
    #[must_use]
    pub fn between_arcs(&self) -> bool {
        self.spot.arcs == Arcs::Between
    }

    /// Is the short side a matter of choice?
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
