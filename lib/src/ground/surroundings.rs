//! The surroundings of a ground: fence, hazards and landmarks. They are in the local
//! plane, so that each oval within the uncertainty sees them from its own position.

use super::{OtherMark, Oval, SquareAt};
use crate::frame::{Ground as GroundFrame, Local};
use crate::geometry::{Point, Vector};
use crate::units::TrueBearing;

/// Something that an official can line up on.
#[derive(Debug, Clone, PartialEq)]
pub struct Landmark {
    /// As printed.
    pub name: String,
    /// Where it is seen.
    pub seen: WhereSeen,
    /// Its width, m.
    pub width_m: f64,
    /// Height of its top above the ground, m; `None` where not known.
    pub height_m: Option<f64>,
    /// Can it be seen at night?
    pub at_night: bool,
}

/// Where a landmark is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WhereSeen {
    /// At this place.
    At(Point<Local>),
    /// Far away, on this bearing from anywhere on the ground.
    Bearing(TrueBearing),
}

/// Something to trip over or run into.
#[derive(Debug, Clone, PartialEq)]
pub struct Hazard {
    /// As printed.
    pub name: String,
    /// Its middle.
    pub at: Point<Local>,
    /// Its radius, m.
    pub radius_m: f64,
}

/// A stretch of line where the fence is nearer than elsewhere.
#[derive(Debug, Clone, PartialEq)]
pub struct TightFence {
    /// Where it was measured.
    pub at: Point<Local>,
    /// From the line to the fence there, m.
    pub distance_m: f64,
    /// Length of line that it holds for, m, half either way.
    pub along_m: f64,
}

/// The fence: its distances from the line, or its own surveyed line, or both.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Fence {
    /// Distance all round, m; `None` where not surveyed.
    pub distance_m: Option<f64>,
    /// Stretches where it is nearer.
    pub tight: Vec<TightFence>,
    /// Corners of the fence's own line; a closed line repeats its first corner. Fewer than two are no line.
    pub line: Vec<Point<Local>>,
}

/// The measurement that gives the fence's distance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FencePart {
    /// The distance all round.
    AllRound,
    /// A tight stretch, by its index.
    Tight(usize),
    /// The surveyed line.
    Line,
}

/// A surveyed fence farther away than this does not limit the run-off, m.
const FENCE_REACH_M: f64 = 100.0;

/// Which of the markings that officials line up on are painted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Painted {
    /// The centre square.
    pub square: bool,
    /// The arcs.
    pub arcs: bool,
}

impl Default for Painted {
    /// Both are painted.
    fn default() -> Self {
        Self { square: true, arcs: true }
    }
}

/// Everything round a ground, and what is painted on it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Surroundings {
    /// Which of square and arcs are painted.
    pub painted: Painted,
    /// Where the centre square is painted.
    pub square_at: SquareAt,
    /// Other codes' lines and areas, in the venue file's order.
    pub other_marks: Vec<OtherMark>,
    /// Landmarks, in the venue file's order.
    pub landmarks: Vec<Landmark>,
    /// Hazards, in the venue file's order.
    pub hazards: Vec<Hazard>,
    /// The fence.
    pub fence: Fence,
}

impl Landmark {
    /// Unit vector from `p` to the landmark, and half of its angular width,
    /// degrees; `None` where `p` is at the landmark.
    #[must_use]
    pub fn sight(&self, oval: &Oval, p: Point<GroundFrame>) -> Option<(Vector<GroundFrame>, f64)> {
        match self.seen {
            WhereSeen::Bearing(b) => Some((oval.plan().direction(b), 0.0)),
            WhereSeen::At(at) => {
                let v = oval.plan().to_ground(at) - p;
                let half = (0.5 * self.width_m / v.length()).atan().to_degrees();
                v.unit().map(|u| (u, half))
            }
        }
    }
}

/// A fence on one oval, with its tight stretches placed along the line.
#[derive(Debug, Clone, PartialEq)]
pub struct FenceOn<'a> {
    fence: &'a Fence,
    oval: &'a Oval,
    /// Chainage of each tight stretch's middle.
    middles: Vec<f64>,
    around: f64,
    /// The surveyed line in the ground frame.
    line: Vec<Point<GroundFrame>>,
}

impl FenceOn<'_> {
    /// Distance from the line to the fence at a chainage, m, and the measurement that gives it;
    /// `None` where the fence was not surveyed.
    #[must_use]
    pub fn nearest_at(&self, chainage_m: f64) -> Option<(f64, FencePart)> {
        self.fence
            .tight
            .iter()
            .enumerate()
            .zip(&self.middles)
            .filter(|((_, t), middle)| {
                let off = (chainage_m - *middle).rem_euclid(self.around);
                off.min(self.around - off) <= 0.5 * t.along_m
            })
            .map(|((i, t), _)| (t.distance_m, FencePart::Tight(i)))
            .chain(self.fence.distance_m.map(|d| (d, FencePart::AllRound)))
            .chain(self.surveyed_at(chainage_m).map(|d| (d, FencePart::Line)))
            .min_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// A lower bound of the fence's distance within `reach_m` either way of a chainage, m; `None` where
    /// the fence's own line was surveyed, since that may be nearer.
    #[must_use]
    pub fn least_about(&self, chainage_m: f64, reach_m: f64) -> Option<f64> {
        if self.line.len() > 1 {
            return None;
        }
        let near = self.fence.tight.iter().zip(&self.middles).filter(|(t, middle)| {
            let off = (chainage_m - *middle).rem_euclid(self.around);
            off.min(self.around - off) <= 0.5 * t.along_m + reach_m
        });
        let all = self.fence.distance_m.unwrap_or(f64::INFINITY);
        Some(near.map(|(t, _)| t.distance_m).fold(all, f64::min))
    }

    /// Distance along the outward normal to the surveyed fence, m;
    /// zero where the fence stands on the line or inside it.
    fn surveyed_at(&self, chainage_m: f64) -> Option<f64> {
        if self.line.len() < 2 {
            return None;
        }
        let at = self.oval.boundary().at(chainage_m);
        // The ray starts inside the line, so that it meets a fence inside the line too.
        let from = at.point - at.normal * FENCE_REACH_M.min(0.25 * self.around / std::f64::consts::TAU);
        let inside = (at.point - from).length();
        self.line
            .windows(2)
            .filter_map(|w| {
                let (d, away) = (w[1] - w[0], w[0] - from);
                let across = at.normal.cross(d);
                // from + t·n = w₀ + u·d
                let (t, u) = (away.cross(d) / across, away.cross(at.normal) / across);
                (t.is_finite() && t >= 0.0 && (0.0..=1.0).contains(&u)).then_some(t - inside)
            })
            .filter(|t| *t <= FENCE_REACH_M)
            .map(|t| t.max(0.0))
            .min_by(f64::total_cmp)
    }

    /// Chainages where the fence's distance may jump: the two ends of each tight stretch.
    #[must_use]
    pub fn edges(&self) -> Vec<f64> {
        let ends = |(t, middle): (&TightFence, &f64)| {
            [-0.5, 0.5].map(|half| (middle + half * t.along_m).rem_euclid(self.around))
        };
        self.fence.tight.iter().zip(&self.middles).flat_map(ends).collect()
    }

    /// The distance of [`FenceOn::nearest_at`] alone.
    #[must_use]
    pub fn distance_at(&self, chainage_m: f64) -> Option<f64> {
        self.nearest_at(chainage_m).map(|(d, _)| d)
    }
}

impl Fence {
    /// The fence on an oval.
    #[must_use]
    pub fn on<'a>(&'a self, oval: &'a Oval) -> FenceOn<'a> {
        let b = oval.boundary();
        FenceOn {
            fence: self,
            oval,
            line: self.line.iter().map(|p| oval.plan().to_ground(*p)).collect(),
            middles: self.tight.iter().map(|t| b.nearest(oval.plan().to_ground(t.at)).chainage_m).collect(),
            around: b.perimeter_m(),
        }
    }

    /// Distance from the line to the fence at a chainage, m; `None` where it was not surveyed.
    #[must_use]
    pub fn distance_at(&self, oval: &Oval, chainage_m: f64) -> Option<f64> {
        self.on(oval).distance_at(chainage_m)
    }

    /// Was any distance surveyed?
    #[must_use]
    pub fn is_known(&self) -> bool {
        self.distance_m.is_some() || !self.tight.is_empty() || self.line.len() > 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::Side;
    use crate::ground::oval::tests::oval;

    #[test]
    fn the_nearest_measured_fence_counts_over_its_stretch() {
        let o = oval(165.0, 135.0);
        let wing = o.boundary().wing_chainage_m(Side::Left).unwrap();
        let at = o.plan().to_local(o.boundary().at(wing).point);
        let fence = Fence {
            distance_m: Some(4.0),
            tight: vec![TightFence { at, distance_m: 2.0, along_m: 20.0 }],
            ..Fence::default()
        };
        assert_eq!(fence.distance_at(&o, wing + 9.9), Some(2.0));
        assert_eq!(fence.distance_at(&o, wing + 10.1), Some(4.0));
        assert_eq!(Fence::default().distance_at(&o, wing), None);
    }

    #[test]
    fn a_surveyed_fence_is_as_far_as_straight_out_from_the_line() {
        let o = oval(165.0, 135.0);
        let to_local = |x, y| o.plan().to_local(Point::new(x, y));
        // A straight fence, 60 m long and 2 m beyond the wing: nearest at x = 0,
        // farther where the line curves away.
        let y = o.boundary().half_width_m(Side::Left) + 2.0;
        let line = vec![to_local(-30.0, y), to_local(30.0, y)];
        let fence = Fence { line, ..Fence::default() };
        let wing = o.boundary().wing_chainage_m(Side::Left).unwrap();
        assert!((fence.distance_at(&o, wing).unwrap() - 2.0).abs() < 1e-9);
        let at = o.boundary().at(wing + 20.0);
        let want = (y - at.point.y) / at.normal.y;
        assert!((fence.distance_at(&o, wing + 20.0).unwrap() - want).abs() < 1e-9 && want > 4.0);
        // Past its ends nothing is known. A fence inside the line leaves no run-off.
        assert_eq!(fence.distance_at(&o, wing + 60.0), None);
        let inside = Fence { line: vec![to_local(-30.0, y - 5.0), to_local(30.0, y - 5.0)], ..fence };
        assert_eq!(inside.distance_at(&o, wing), Some(0.0));
    }
}
