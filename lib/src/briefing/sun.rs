//! The sun through a match: where it is in each quarter, and in whose eyes.

use super::SpotRow;
use crate::boundary::{End, Side};
use crate::frame::Ground as GroundFrame;
use crate::geometry::Vector;
use crate::ground::NamedSpot;
use crate::officiate::{SightAlong, StandKind, Start, Sun, in_glare};
use crate::sky::{SunPosition, TimeOfDay, sun};
use crate::units::Day;
use crate::venue::Venue;

/// A direction in which an official has to look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// From the stand to a spot where a ball may cross.
    Watch(Side, End, NamedSpot),
    /// Facing to throw, back to play.
    Face(Side, End, NamedSpot),
    /// From the behind post downfield.
    Post(Side, End),
    /// From a start station down the square's side.
    StartDown(Side, End),
    /// From a start station along the arc's top.
    StartAcross(Side, End),
}

/// The sun at one moment of a match.
#[derive(Debug, Clone, PartialEq)]
pub struct SunAt {
    /// Quarter, 1 to 4.
    pub quarter: u8,
    /// Is this the start of the quarter? If not, it is the end.
    pub at_start: bool,
    /// Local time of day.
    pub time: TimeOfDay,
    /// The sun's position.
    pub sun: SunPosition,
    /// The looks with the sun in the official's eyes.
    pub glare: Vec<Look>,
    /// The end to stand toward where the sides are too close to call, so as to have the sun behind.
    pub prefer: Option<End>,
}

/// The sun through a match.
#[derive(Debug, Clone, PartialEq)]
pub struct SunBriefing {
    /// Name of the time zone.
    pub zone: String,
    /// Start and end of each quarter.
    pub times: Vec<SunAt>,
}

/// Quarters of a match (Laws; from memory).
const QUARTERS: u8 = 4;

/// A look with its direction.
type Looks = Vec<(Look, Vector<GroundFrame>)>;

impl SunBriefing {
    /// The sun through a match at a venue; `None` where its place, zone or start is not known.
    #[must_use]
    pub(super) fn of(
        venue: &Venue,
        day: Day,
        start_at: Option<TimeOfDay>,
        spots: &[(Side, End, NamedSpot, SpotRow)],
        start: Option<&Start>,
    ) -> Option<Self> {
        let d = &venue.document;
        let (zone, place) = (d.match_times.zone.as_ref()?, d.plane.datum_point()?);
        let first = start_at.or(d.match_times.start)?;
        let looks = looks(venue, spots, start);
        let oval = venue.ground.oval();
        // Practices are a few hundred minutes at the most.
        let minutes = |v: f64| v.round().clamp(0.0, 600.0) as u16;
        let p = &d.practice;
        let (quarter, short, long) =
            (minutes(p.quarter_min.value), minutes(p.short_break_min.value), minutes(p.long_break_min.value));
        let mut times = Vec::with_capacity(8);
        let mut on = 0;
        for q in 1..=QUARTERS {
            for at_start in [true, false] {
                let position = sun(&place, zone.instant(day, first, on).ok()?).ok()?;
                let seen =
                    Sun { toward: oval.plan().direction(position.bearing), high_deg: position.high_deg };
                let glare: Vec<Look> =
                    looks.iter().filter(|(_, v)| in_glare(p, *v, &seen)).map(|(look, _)| *look).collect();
                times.push(SunAt {
                    quarter: q,
                    at_start,
                    time: first.later(on),
                    sun: position,
                    prefer: prefer(venue, spots, &seen),
                    glare,
                });
                on += if at_start {
                    quarter
                } else if q == 2 {
                    long
                } else {
                    short
                };
            }
        }
        Some(Self { zone: zone.name().to_owned(), times })
    }

    /// The first and the last of the times at which a look has the sun in it.
    #[must_use]
    pub fn glare_of(&self, look: Look) -> Option<(TimeOfDay, TimeOfDay)> {
        let mut with = self.times.iter().filter(|t| t.glare.contains(&look));
        let first = with.next()?;
        Some((first.time, with.next_back().unwrap_or(first).time))
    }

    /// Every look that has the sun in it at some time.
    #[must_use]
    pub fn looks(&self) -> Vec<Look> {
        let mut all: Vec<Look> = Vec::new();
        for look in self.times.iter().flat_map(|t| &t.glare) {
            if !all.contains(look) {
                all.push(*look);
            }
        }
        all
    }
}

fn looks(venue: &Venue, spots: &[(Side, End, NamedSpot, SpotRow)], start: Option<&Start>) -> Looks {
    let (oval, around) = (venue.ground.oval(), &venue.document.surroundings);
    let mut all: Looks = Vec::new();
    for (side, end, name, row) in spots {
        if let Some(watch) = (row.spot.point - row.stand.point).unit() {
            all.push((Look::Watch(*side, *end, *name), watch));
        }
        if venue.document.rules.throw_ins {
            all.push((Look::Face(*side, *end, *name), row.throw.face));
        }
    }
    for side in Side::BOTH {
        for end in End::BOTH {
            all.push((Look::Post(side, end), Vector::new(-end.sign(), 0.0)));
            for sight in start.map(|s| s.sights(oval, around, side, end)).unwrap_or_default() {
                let look = match sight.along {
                    SightAlong::SquareSide => Look::StartDown(side, end),
                    SightAlong::ArcTop | SightAlong::ZoneLine => Look::StartAcross(side, end),
                };
                all.push((look, sight.look));
            }
        }
    }
    all
}

/// The end to stand toward at spots where the sides are too close to call: the one whose view the sun spoils
/// at fewer of them; `None` where it spoils both alike.
fn prefer(venue: &Venue, spots: &[(Side, End, NamedSpot, SpotRow)], seen: &Sun) -> Option<End> {
    let p = &venue.document.practice;
    let spoilt = |toward: End| {
        spots
            .iter()
            .filter(|(.., row)| row.either() && row.stand.kind != StandKind::Post)
            .filter(|(.., row)| in_glare(p, -row.spot.tangent_to(toward), seen))
            .count()
    };
    let [a, b] = End::BOTH.map(spoilt);
    match a.cmp(&b) {
        std::cmp::Ordering::Less => Some(End::A),
        std::cmp::Ordering::Greater => Some(End::B),
        std::cmp::Ordering::Equal => None,
    }
}
