//! All that is known of one spot: where it is, the throw-in, where to stand, what to face.

use crate::boundary::End;
use crate::frame::{Geodetic, Ground as GroundFrame};
use crate::geometry::{Point, Vector};
use crate::ground::{Arcs, Ground, NoSpot, Oval, Spot, SpotRef, Surroundings};
use crate::numeric::sort_by_key;
use crate::officiate::{
    Backsight, ShortSide, Sides, Stand, StandKind, ThrowIn, backsight, hazards_beside, lengths, long_first,
    short_of, sides_of, stand, sure_post_station, throw_in,
};
use crate::rules::Practice;
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
    /// The stand on the long side, where it sees so much better that it is said first.
    pub stand_long: Option<Stand>,
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
    /// Hazards at the spot or at the stand, by their numbers.
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
    let throw = throw_in(practice, &spot);
    let (aim, face) = (facing(oval, throw.aim, declination), facing(oval, throw.face, declination));
    let (aim, face) = (aim.ok_or(NoSpot::NotFinite)?, face.ok_or(NoSpot::NotFinite)?);

    let back = practice.back_m.value;
    // The stand's side needs the sides first; a spot costs more than what is asked of it, so it is
    // found once on each oval, and both ways along the line are asked.
    let ways = ground.measure_each(|o| {
        let s = o.spot_held(reference, range).ok()?;
        let aimed = o.plan().bearing(throw_in(practice, &s).aim).ok()?;
        let [to_a, to_b, difference] = lengths(&s);
        let seen = |toward: End| {
            let w = stand(o, around, practice, &s, toward);
            // Nobody backs away from the post, and with room for it all the stand is the full distance back.
            let full = match w.kind {
                StandKind::Post | StandKind::BesidePost => None,
                StandKind::Tangent { back_m } if back_m >= back => Some(w.outside_line_m),
                _ => Some(o.boundary().outside_m(s.point + s.tangent_to(toward) * back)),
            };
            [Some(w.outside_line_m), full, w.chord_angle_deg]
        };
        let likely = short_of(practice, &spot);
        let [a, b] = End::BOTH.map(|e| {
            if likely == ShortSide::Either || likely == ShortSide::Toward(e) { seen(e) } else { [None; 3] }
        });
        Some([
            Some(s.chainage_m),
            Some(s.to_post_m(spot.end)),
            // About the nominal bearing, so that north is no seam.
            Some(aim.true_bearing.turn_to(aimed)),
            Some(to_a),
            Some(to_b),
            Some(difference),
            a[0],
            a[1],
            a[2],
            b[0],
            b[1],
            b[2],
        ])
    });
    let [chainage, from_post, turn, to_a, to_b, difference, a0, a1, a2, b0, b1, b2] =
        ways.ok_or(NoSpot::NotForSure)?;
    let sure = |m: Option<Measured>| m.ok_or(NoSpot::NotForSure);
    let (chainage, from_post, turn) = (sure(chainage)?, sure(from_post)?, sure(turn)?);
    let sides = sides_of(practice, sure(to_a)?, sure(to_b)?, sure(difference)?);
    let toward = sides.short.or(preferred);
    let mut stood = stand(oval, around, practice, &spot, toward);
    if stood.kind == StandKind::BesidePost {
        let sure = sure_post_station(ground, around, practice, spot.side, spot.end);
        stood = Stand { chord_angle_deg: stood.chord_angle_deg, ..sure };
    }
    let stand_long = long_first(oval, around, practice, &spot, &stood);
    let [outside_line, full, chord] = if toward == End::A { [a0, a1, a2] } else { [b0, b1, b2] };
    let (outside_line, full, chord) = match outside_line {
        Some(_) => (outside_line, full, chord),
        // The survey can't tell which side is short, and the other one is preferred.
        None => one_way(ground, around, practice, reference, toward)?,
    };
    let outside_line = sure(outside_line)?;
    // Where the line departs from the model, so does how far outside it one stands.
    let doubt = 0.5 * venue.departure_toward(spot.point).abs();
    let outside_line = widened(&outside_line, doubt, ground.ratio()).ok_or(NoSpot::NotForSure)?;
    let full = full.and_then(|f| widened(&f, doubt, ground.ratio()));
    let aim_deg = Measured::new(aim.true_bearing.degrees(), turn.sd(), turn.half_width())
        .map_err(|_| NoSpot::NotFinite)?;
    let at_the_post = stood.kind.is_at_post() || stood.kind == StandKind::NoPlace;
    let spare_run_off = full.filter(|_| !at_the_post).and_then(|full| {
        let end_of_walk = oval.boundary().nearest(spot.point + spot.tangent_to(toward) * back).chainage_m;
        let fence = around.fence.distance_at(oval, end_of_walk)?;
        Measured::new(fence - practice.corridor_m.value - full.value(), full.sd(), full.half_width()).ok()
    });
    let mut beside = [spot.point, stood.point].map(|p| hazards_beside(oval, around, practice, p)).concat();
    sort_by_key(&mut beside, |hazard| *hazard);
    beside.dedup();
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
        beside,
        stand_long,
        stand: stood,
        chainage,
        from_post,
        aim_deg,
        outside_line,
        spare_run_off,
    })
}

/// Outside the line, that of the full distance back, and the chord's angle.
type Seen = (Option<Measured>, Option<Measured>, Option<Measured>);

fn one_way(
    ground: &Ground,
    around: &Surroundings,
    practice: &Practice,
    reference: SpotRef,
    toward: End,
) -> Result<Seen, NoSpot> {
    let found = ground.measure_each(|o| {
        let s = o.spot_held(reference, practice.goal_range_m.value).ok()?;
        let w = stand(o, around, practice, &s, toward);
        let full = o.boundary().nearest(s.point + s.tangent_to(toward) * practice.back_m.value);
        Some([Some(w.outside_line_m), Some(full.signed_distance_m), w.chord_angle_deg])
    });
    let [outside, full, chord] = found.ok_or(NoSpot::NotForSure)?;
    Ok((outside, full, chord))
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
