//! Puts a briefing together.

use super::cautions::{GOALS_ASSUMED, NO_PLACE, ONE_GOAL_ASSUMED, RUN_OFF_UNKNOWN};
use super::corridor::{Corridor, tight_corridors};
use super::kept::{kept, square_moved};
use super::other_marks::other_marks;
use super::posts::{PostStation, post_stations};
use super::unusual::{Unusual, unusual};
use super::walk_round::{WalkRound, walk_round};
use super::watch::{Named, Watch, watches};
use super::{CAUTIONS, Departed, Sizes, SpotRow, SunBriefing, spot_row};
use crate::boundary::{AxisFrom, End, Side};
use crate::ground::{Marking, NamedSpot, SpotRef};
use crate::officiate::{Start, start};
use crate::sky::{TimeOfDay, declination};
use crate::units::print::fixed;
use crate::units::{Day, Declination, TrueBearing};
use crate::venue::Venue;

/// When a card is for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct When {
    /// The day.
    pub day: Day,
    /// Under lights: only landmarks that can be seen at night are used.
    pub night: bool,
    /// When the match starts; `None` for the time in the venue file.
    pub start: Option<TimeOfDay>,
}

impl From<Day> for When {
    /// By day, at the venue's usual time.
    fn from(day: Day) -> Self {
        Self { day, night: false, start: None }
    }
}

/// Everything that a card says.
#[derive(Debug, Clone, PartialEq)]
pub struct Briefing {
    /// The day it is for.
    pub day: Day,
    /// Declination on that day, where it is known.
    pub declination: Option<Declination>,
    /// Bearings from the centre to end A, end B, left side, right side.
    pub facing: Option<[TrueBearing; 4]>,
    /// What to watch out for, most important first.
    pub watch: Vec<Watch>,
    /// Every stretch of line from which an official can't back away the full distance.
    pub corridors: Vec<Corridor>,
    /// Where to stand at each behind post.
    pub posts: Vec<PostStation>,
    /// The walk round on arrival.
    pub walk_round: WalkRound,
    /// Start stations; `None` where neither square nor arcs are painted.
    pub start: Option<Start>,
    /// The sun through the match, where the venue's zone and a start are known.
    pub sun: Option<SunBriefing>,
    /// Is the match under lights?
    pub night: bool,
    /// The named spots, quarter by quarter: A left, A right, B left, B right; the wing with end A.
    pub spots: Vec<(Side, End, NamedSpot, SpotRow)>,
    /// Sizes.
    pub sizes: Sizes,
    /// Where the line departs from its best ellipse, and where it is straight.
    pub departures: Vec<Departed>,
    /// Markings.
    pub markings: Vec<Marking>,
    /// Side of the interchange area.
    pub interchange: Side,
    /// What is unusual.
    pub unusual: Vec<Unusual>,
    /// Cautions.
    pub cautions: Vec<String>,
}

/// The briefing of a venue for a day.
///
/// # Examples
/// See the crate's own example.
#[must_use]
pub fn briefing(venue: &Venue, when: impl Into<When>) -> Briefing {
    let When { day, night, start: match_start } = when.into();
    let d = &venue.document;
    let (declination, mut cautions) = bearings(venue, day);
    let oval = venue.ground.oval();
    let mut spots = Vec::new();
    let mut lost: Vec<String> = Vec::new();
    for end in End::BOTH {
        for side in Side::BOTH {
            for name in oval.named_spots() {
                if name == NamedSpot::Wing && end == End::B {
                    continue;
                }
                match spot_row(venue, declination.as_ref(), SpotRef::Named { side, end, name }, End::A, night)
                {
                    Ok(row) => spots.push((side, end, name, row)),
                    Err(_) => {
                        lost.push(format!("{}/{} {}", d.names.end(end), d.names.side(side), name.name()))
                    }
                }
            }
        }
    }
    if !lost.is_empty() {
        cautions.push(format!("Not on this ground, or not for sure: {}.", lost.join(", ")));
    }
    let start = start(venue.scene());
    if start.is_none() {
        cautions.push("Neither the square nor the arcs are painted: no start stations.".to_owned());
    }
    let sizes = Sizes::of(&venue.ground);
    let axis = oval.plan().axis();
    let facing = [0.0, 180.0, -90.0, 90.0].map(|turn| axis.turned(turn));
    let facing = match facing {
        [Ok(a), Ok(b), Ok(left), Ok(right)] => Some([a, b, left, right]),
        _ => None,
    };
    let interchange = d.interchange.unwrap_or_else(|| western(axis));
    let named: Vec<Named<'_>> = spots
        .iter()
        .map(|(side, end, name, row)| Named { side: *side, end: *end, name: *name, row })
        .collect();
    let corridors = tight_corridors(venue);
    let watch = watches(venue, &named, &corridors);
    let walk_round = walk_round(venue, &watch, &named);
    let departures = Departed::all(&venue.ground);
    let mut unusual = unusual(venue, &sizes, start.as_ref(), &departures);
    unusual.extend(d.notes.iter().cloned().map(Unusual::on_the_line));
    unusual.extend(kept(d, day));
    unusual.extend(other_marks(venue, &spots, start.as_ref()));
    let sun = SunBriefing::of(venue, day, match_start, &spots, start.as_ref());
    Briefing {
        day,
        sun,
        night,
        declination,
        facing,
        watch,
        corridors,
        posts: post_stations(venue),
        walk_round,
        start,
        sizes,
        departures: departures.unwrap_or_default(),
        markings: oval.markings(interchange),
        interchange,
        unusual,
        cautions,
        spots,
    }
}

/// Declination at a venue on a day, and the cautions that belong to every answer about it.
#[must_use]
pub fn bearings(venue: &Venue, day: Day) -> (Option<Declination>, Vec<String>) {
    let mut cautions: Vec<String> = CAUTIONS.iter().map(|c| (*c).to_owned()).collect();
    let (fitted, ruled) = (venue.fit.end_width_m, venue.document.rules.end_width_m());
    if (fitted - ruled).abs() > 1e-6 {
        cautions.push(format!(
            "Fitted with scoring ends of {} m, and the rules say {} m: register the survey again.",
            fixed(fitted, 1),
            fixed(ruled, 1)
        ));
    }
    let found = match venue.document.plane.datum_point() {
        None => {
            cautions.push(NO_PLACE.into());
            None
        }
        Some(at) => match declination(&at, day) {
            Ok(found) => Some(found),
            Err(why) => {
                cautions.push(format!("No compass bearings: {why}."));
                None
            }
        },
    };
    (found, cautions)
}

/// Cautions beside an answer for one spot or moment: those of [`bearings`], and what a card has rows of its
/// own for, such as assumed goals and a run-off that nobody surveyed.
#[must_use]
pub fn cautions_beside(venue: &Venue, bearings: Vec<String>) -> Vec<String> {
    let mut all = bearings;
    match venue.fit.axis_from {
        AxisFrom::LongAxis => all.insert(0, GOALS_ASSUMED.into()),
        AxisFrom::PostsAtOneEnd => all.insert(0, ONE_GOAL_ASSUMED.into()),
        AxisFrom::Posts => {}
    }
    let d = &venue.document;
    all.extend(square_moved(&d.surroundings, &d.names).map(|text| text + "."));
    if !d.surroundings.fence.is_known() {
        all.insert(0, RUN_OFF_UNKNOWN.into());
    }
    all
}

/// The side nearer west: benches there look away from the afternoon sun (Western
/// Australian Government, Sports Dimensions Guide; a Queensland council's guide).
fn western(axis: TrueBearing) -> Side {
    // The left side is 90° anticlockwise of the axis, so it lies west where the axis points north.
    if axis.step().1 >= 0.0 { Side::Left } else { Side::Right }
}

impl Briefing {
    /// The row of a named spot.
    #[must_use]
    pub fn row(&self, side: Side, end: End, name: NamedSpot) -> Option<&SpotRow> {
        let end = if name == NamedSpot::Wing { End::A } else { end };
        self.spots.iter().find(|(s, e, n, _)| (*s, *e, *n) == (side, end, name)).map(|(.., row)| row)
    }
}
