//! Stretches of line from which an official can't back away the full distance.

use crate::boundary::{End, Side};
use crate::ground::{FencePart, SpotRef};
use crate::officiate::{
    Limit, Scene, Stand, StandKind, in_goal_range, is_cut_short, long_first, stand, sure_post_station,
};
use crate::rules::Practice;
use crate::venue::Venue;

/// Where an official stands for the crossings of a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// Back on the short side, but less far back or closer to the line than usual.
    Short,
    /// The short side has a place, but the view from the long side is so much better that it is named first.
    LongFirst,
    /// On the long side: the short side has no clear place.
    Long,
    /// Nowhere outside the line.
    Nowhere,
    /// At the behind post.
    AtPost,
}

/// A stretch of a boundary line, within the half next to one end, along which the same thing keeps officials
/// from backing away the full distance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corridor {
    /// Which line.
    pub side: Side,
    /// The end from whose behind post distances are measured.
    pub end: End,
    /// What stops officials, at its tightest.
    pub limit: Limit,
    /// Where the stretch begins, m along the line from that post.
    pub from_m: f64,
    /// Where it ends, m along the line from that post.
    pub to_m: f64,
    /// Where to stand instead.
    pub stands: Stands,
    /// The least and the most distance back to stand at, m: along the line, or along the tangent where the
    /// place is on it. `None` at the post, and where there is no place.
    pub back_m: Option<[f64; 2]>,
    /// The least and the most distance outside the line to stand at, m.
    pub wide_m: [f64; 2],
    /// The least and the most distance outside the line of the usual stand, if there were room for it, m.
    pub free_wide_m: [f64; 2],
    /// The least distance back at which a stand on the tangent is possible, m; `None` where no crossing of
    /// the stretch has one.
    pub least_back_m: Option<f64>,
    /// Is there a crossing for which no stand on the tangent is possible?
    pub blocked: bool,
    /// For those crossings, the largest angle between the tangent and the line of sight, degrees.
    pub off_tangent_deg: f64,
    /// Does the stretch reach the middle of the line?
    pub to_the_middle: bool,
}

impl Corridor {
    /// How much of practice's distance back is missing at its worst, m.
    #[must_use]
    pub fn missing_m(&self, practice: &Practice) -> f64 {
        practice.back_m.value - self.least_back_m.filter(|_| !self.blocked).unwrap_or(0.0)
    }
}

/// Do two limits `apart_m` metres apart along the line belong to one stretch? A surveyed fence continues from
/// one metre to the next.
fn same(a: Limit, b: Limit, apart_m: f64) -> bool {
    let on_line = |l| matches!(l, Limit::Fence { part: FencePart::Line, .. });
    apart_m <= GAP_M && a == b || apart_m <= 1.5 * PACE_M && on_line(a) && on_line(b)
}

/// The longest gap with room enough inside one stretch, m: nobody notices five paces at a run.
const GAP_M: f64 = 5.0;

/// The tighter of two limits of one stretch.
fn nearer(a: Limit, b: Limit) -> Limit {
    match (a, b) {
        (Limit::Fence { distance_m: x, .. }, Limit::Fence { distance_m: y, .. }) if y < x => b,
        _ => a,
    }
}

/// The step along the line in which stretches are found, m.
pub(super) const PACE_M: f64 = 1.0;

/// Every stretch where something cuts the way back short. An official backs away from wherever the ball
/// crosses, so the worst of a stretch counts, not what holds at a named spot in it.
pub(super) fn tight_corridors(venue: &Venue) -> Vec<Corridor> {
    let scene = venue.scene();
    let Scene { oval, around, practice } = scene;
    let mut all: Vec<Corridor> = Vec::new();
    if around.hazards.is_empty() && !around.fence.is_known() {
        return all;
    }
    for end in End::BOTH {
        for side in Side::BOTH {
            let half = 0.5 * oval.boundary().line_length_m(side);
            // A lawful half-line is under 150 m, so the cast is exact.
            for i in 0..=(half / PACE_M) as u32 {
                let metres = f64::from(i) * PACE_M;
                let at = SpotRef::FromPost { side, end, metres };
                let Ok(spot) = oval.spot(at, practice.goal_range_m.value) else { continue };
                // Usually there is room, and this test is cheaper than the stand itself.
                if !is_cut_short(scene, &spot, end) {
                    continue;
                }
                let at_post =
                    in_goal_range(oval, practice, spot.point).is_some() || metres < practice.back_m.value;
                let s = if at_post {
                    sure_post_station(&venue.ground, scene, side, end)
                } else {
                    stand(scene, &spot, end)
                };
                let Some(limit) = s.limit else { continue };
                let long = long_first(scene, &spot, &s).filter(|_| !at_post);
                let free =
                    oval.boundary().outside_m(spot.point + spot.tangent_to(end) * practice.back_m.value);
                let last = metres + PACE_M > half;
                let crossing = Crossing { side, end, metres, at_post, last, free_wide_m: free.max(0.0) };
                let one = Corridor::of(&crossing, &s, limit, long.as_ref());
                match all.iter_mut().rev().find(|t| t.goes_on(&one)) {
                    Some(known) => known.join(&one),
                    None => all.push(one),
                }
            }
        }
    }
    all
}

/// A place of the line where a ball may cross.
struct Crossing {
    side: Side,
    end: End,
    metres: f64,
    at_post: bool,
    /// How far outside the line the stand at the full distance back would be, m.
    free_wide_m: f64,
    /// Is it the last step before the middle of the line?
    last: bool,
}

impl Corridor {
    /// The stretch of one crossing.
    fn of(c: &Crossing, s: &Stand, limit: Limit, long: Option<&Stand>) -> Self {
        let stands = match s.kind {
            _ if c.at_post => Stands::AtPost,
            StandKind::NoPlace => Stands::Nowhere,
            _ if s.toward != c.end => Stands::Long,
            _ if long.is_some() => Stands::LongFirst,
            _ => Stands::Short,
        };
        // Of the two places, the one that is named first.
        let said = long.filter(|_| stands == Stands::LongFirst).unwrap_or(s);
        let back = |kind: StandKind| match kind {
            StandKind::Tangent { back_m } | StandKind::AlongLine { back_m, .. } => Some([back_m; 2]),
            StandKind::Post | StandKind::BesidePost | StandKind::NoPlace => None,
        };
        Self {
            side: c.side,
            end: c.end,
            limit,
            from_m: c.metres,
            to_m: c.metres,
            stands,
            back_m: back(said.kind),
            wide_m: [said.outside_line_m; 2],
            free_wide_m: [c.free_wide_m; 2],
            least_back_m: if let StandKind::Tangent { back_m } = s.kind { Some(back_m) } else { None },
            blocked: matches!(s.kind, StandKind::AlongLine { .. }) || stands == Stands::Nowhere,
            off_tangent_deg: match s.kind {
                StandKind::AlongLine { off_tangent_deg, .. } => off_tangent_deg,
                _ => 0.0,
            },
            to_the_middle: c.last,
        }
    }

    /// Does the next crossing belong to the same stretch?
    fn goes_on(&self, next: &Self) -> bool {
        (self.side, self.end, self.stands) == (next.side, next.end, next.stands)
            && same(self.limit, next.limit, next.from_m - self.to_m)
    }

    fn join(&mut self, next: &Self) {
        let range = |[a, b]: [f64; 2], [c, d]: [f64; 2]| [a.min(c), b.max(d)];
        self.to_m = next.to_m;
        self.limit = nearer(self.limit, next.limit);
        self.back_m = self.back_m.zip(next.back_m).map(|(a, b)| range(a, b));
        self.wide_m = range(self.wide_m, next.wide_m);
        self.free_wide_m = range(self.free_wide_m, next.free_wide_m);
        self.least_back_m = match (self.least_back_m, next.least_back_m) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        self.blocked |= next.blocked;
        self.off_tangent_deg = self.off_tangent_deg.max(next.off_tangent_deg);
        self.to_the_middle |= next.to_the_middle;
    }
}
