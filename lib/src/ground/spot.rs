//! Spots: places on a boundary line. They are kept as references, which each oval resolves.

use std::borrow::Cow;

use super::{Oval, Parting};
use crate::boundary::{End, Place, Side};
use crate::frame::{Ground as GroundFrame, Local};
use crate::geometry::{Point, Vector};
use crate::units::print::fixed;

/// A reference to a place on the line, which has a meaning on every oval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SpotRef {
    /// Metres from end A's left behind post, anticlockwise.
    Chainage(f64),
    /// Metres along the line from a behind post.
    FromPost {
        /// Which line.
        side: Side,
        /// Which end's post.
        end: End,
        /// Metres from it.
        metres: f64,
    },
    /// A named spot.
    Named {
        /// Which line.
        side: Side,
        /// Toward which end; irrelevant for the wing.
        end: End,
        /// Which spot.
        name: NamedSpot,
    },
    /// The point of the lines nearest to a place on the ground.
    Near(Point<GroundFrame>),
    /// The point of the lines nearest to a place in the local plane.
    NearLocal(Point<Local>),
}

/// The named spots of a quarter of the boundary, from the post to the wing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum NamedSpot {
    /// The behind post.
    Post,
    /// Where the line is at goal range (25 m) from the goal line's midpoint.
    GoalRange,
    /// Halfway along the line from post to arc end.
    Pocket,
    /// Where the 50 m arc meets the line.
    ArcEnd,
    /// Halfway along the line from arc end to wing.
    Flank,
    /// Where the line crosses x = 0.
    Wing,
}

impl NamedSpot {
    /// All named spots, from the post to the wing.
    pub const ALL: [Self; 6] =
        [Self::Post, Self::GoalRange, Self::Pocket, Self::ArcEnd, Self::Flank, Self::Wing];

    /// As printed.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Post => "post",
            Self::GoalRange => "25 m",
            Self::Pocket => "pocket",
            Self::ArcEnd => "arc end",
            Self::Flank => "flank",
            Self::Wing => "wing",
        }
    }

    /// Its name as printed on a ground with this goal range: on a short ground the second spot is `20 m`.
    #[must_use]
    pub fn label(self, goal_range_m: f64) -> Cow<'static, str> {
        match self {
            Self::GoalRange => Cow::Owned(format!("{} m", fixed(goal_range_m, 0))),
            _ => Cow::Borrowed(self.name()),
        }
    }

    /// The spot of this name, as typed: `arc end`, `arc-end`, `25 m`, `25m`.
    #[must_use]
    pub fn find(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|n| plain(n.name()) == plain(text))
    }

    /// As [`NamedSpot::find`], and also by the label that is printed for this goal range.
    #[must_use]
    pub fn find_labelled(text: &str, goal_range_m: f64) -> Option<Self> {
        Self::find(text)
            .or_else(|| Self::ALL.into_iter().find(|n| plain(&n.label(goal_range_m)) == plain(text)))
    }
}

/// Only the letters and digits, in lower case.
fn plain(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase()
}

/// Whether a spot is inside an arc, and which.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Arcs {
    /// Outside both arcs, or what takes their place.
    Between,
    /// Inside the arc of this end (the nearer, where inside both).
    /// The rule set says whether a place on the arc counts.
    Inside(End),
}

/// A place on a boundary line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Which line.
    pub side: Side,
    /// The nearer end along the line; end A where both are equally near.
    pub end: End,
    /// Metres along the line to the nearer behind post.
    pub from_post_m: f64,
    /// Metres along the line to end A's behind post.
    pub to_a_m: f64,
    /// Metres along the line to end B's behind post.
    pub to_b_m: f64,
    /// Chainage, m.
    pub chainage_m: f64,
    /// The point.
    pub point: Point<GroundFrame>,
    /// Unit tangent, in the direction of growing chainage.
    pub tangent: Vector<GroundFrame>,
    /// Outward unit normal.
    pub normal: Vector<GroundFrame>,
    /// Whether it is inside an arc, and which.
    pub arcs: Arcs,
}

/// A post's chainage printed to a decimetre may lie past the post by up to this, m.
const ROUNDED_M: f64 = 0.06;

/// Why there is no such spot.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum NoSpot {
    /// A chainage that falls between the posts.
    OnScoringEnd {
        /// Which end.
        end: End,
        /// The chainage, m.
        chainage_m: f64,
    },
    /// A chainage below zero or beyond the boundary's length.
    OffTheBoundary {
        /// The chainage, m.
        chainage_m: f64,
        /// Length of lines and scoring ends, m.
        around_m: f64,
    },
    /// A distance from a post below zero or beyond the line's length.
    OffTheLine {
        /// Metres asked for.
        metres: f64,
        /// Length of the line, m.
        length_m: f64,
    },
    /// The ground has no such named spot (the arc does not meet the line).
    NotOnThisGround(NamedSpot),
    /// The rule set has no arcs, so there are no arc ends.
    NoArcs,
    /// An oval within the survey's uncertainty has no such spot.
    NotForSure,
    /// Not a number.
    NotFinite,
}

impl std::fmt::Display for NoSpot {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::OnScoringEnd { end, chainage_m } => write!(
                f,
                "chainage {} m falls on the scoring end {end}, between the behind posts, where there is no boundary line",
                fixed(*chainage_m, 2)
            ),
            Self::OffTheBoundary { chainage_m, around_m } => write!(
                f,
                "chainage {} m is off the boundary, which is {} m round",
                fixed(*chainage_m, 2),
                fixed(*around_m, 2)
            ),
            Self::OffTheLine { metres, length_m } => write!(
                f,
                "{} m from the post is off the line, which is {} m long",
                fixed(*metres, 2),
                fixed(*length_m, 2)
            ),
            Self::NotOnThisGround(name) => write!(f, "this ground has no spot '{}'", name.name()),
            Self::NoArcs => f.write_str("these rules have no arcs, so no arc ends"),
            Self::NotForSure => f.write_str("the survey is too rough to answer for this spot"),
            Self::NotFinite => f.write_str("the spot is not a number"),
        }
    }
}

impl std::error::Error for NoSpot {}

/// A place within this of an arc is on it, m.
const ON_ARC_M: f64 = 1e-9;

impl Oval {
    /// Resolves a reference on this oval. `goal_range_m` is the distance
    /// of the named spot [`NamedSpot::GoalRange`].
    ///
    /// # Errors
    /// [`NoSpot`] when the reference is not a place on a boundary line.
    pub fn spot(&self, reference: SpotRef, goal_range_m: f64) -> Result<Spot, NoSpot> {
        let b = self.boundary();
        let chainage = match reference {
            SpotRef::Chainage(c) if c.is_finite() => self.chainage_held(c)?,
            SpotRef::FromPost { side, end, metres } if metres.is_finite() => {
                let length_m = b.line_length_m(side);
                if !(0.0..=length_m).contains(&metres) {
                    return Err(NoSpot::OffTheLine { metres, length_m });
                }
                b.chainage_from_post_m(side, end, metres)
            }
            SpotRef::Named { name: NamedSpot::ArcEnd, .. } if self.rules().arc_radius_m.given().is_none() => {
                return Err(NoSpot::NoArcs);
            }
            SpotRef::Named { side, end, name } => {
                self.named(side, end, name, goal_range_m).ok_or(NoSpot::NotOnThisGround(name))?
            }
            SpotRef::Near(p) if p.is_finite() => b.nearest(p).chainage_m,
            SpotRef::NearLocal(p) if p.is_finite() => b.nearest(self.plan().to_ground(p)).chainage_m,
            _ => return Err(NoSpot::NotFinite),
        };
        self.spot_at(chainage)
    }

    /// The distinct named spots of this oval, from the post to the wing. Without arcs there are no arc ends;
    /// where the circle of goal range takes the arc's place, its ends are the arc ends.
    #[must_use]
    pub fn named_spots(&self) -> Vec<NamedSpot> {
        use NamedSpot::{ArcEnd, Flank, GoalRange, Pocket, Post, Wing};
        match self.parting() {
            Parting::Arc { .. } => NamedSpot::ALL.to_vec(),
            Parting::ZoneLine { .. } => NamedSpot::ALL.into_iter().filter(|name| *name != ArcEnd).collect(),
            // The pocket is halfway from the post to goal range.
            Parting::GoalRange { .. } => vec![Post, Pocket, GoalRange, Flank, Wing],
        }
    }

    /// Checks that a typed chainage is within the boundary's length, and moves one that is past
    /// a post by no more than rounding to the post.
    fn chainage_held(&self, c: f64) -> Result<f64, NoSpot> {
        let b = self.boundary();
        let around_m = b.perimeter_m();
        if !(-ROUNDED_M..=around_m + ROUNDED_M).contains(&c) {
            return Err(NoSpot::OffTheBoundary { chainage_m: c, around_m });
        }
        if let Place::ScoringEnd(end) = b.at(c).place {
            let posts = Side::BOTH.map(|side| b.chainage_from_post_m(side, end, 0.0));
            let off = |post: f64| ((c - post).rem_euclid(around_m)).min((post - c).rem_euclid(around_m));
            if let Some(post) = posts.into_iter().find(|p| off(*p) <= ROUNDED_M) {
                return Ok(post);
            }
        }
        Ok(c)
    }

    /// As [`Oval::spot`], but a place past a behind post is moved to the post. A spot near a
    /// post on the nominal oval may be past it on an oval one standard deviation away.
    ///
    /// # Errors
    /// [`NoSpot`] for a named spot that this oval does not have, a chainage off the boundary,
    /// or a number that is not finite.
    pub fn spot_held(&self, reference: SpotRef, goal_range_m: f64) -> Result<Spot, NoSpot> {
        match (self.spot(reference, goal_range_m), reference) {
            (Err(NoSpot::OffTheLine { metres, length_m }), SpotRef::FromPost { side, end, .. }) => {
                let metres = metres.clamp(0.0, length_m);
                self.spot(SpotRef::FromPost { side, end, metres }, goal_range_m)
            }
            (Err(NoSpot::OnScoringEnd { chainage_m, .. }), _) => {
                let past = self.boundary().at(chainage_m).point;
                self.spot_at(self.boundary().nearest(past).chainage_m)
            }
            (found, _) => found,
        }
    }

    fn named(&self, side: Side, end: End, name: NamedSpot, goal_range_m: f64) -> Option<f64> {
        let b = self.boundary();
        let post = b.chainage_from_post_m(side, end, 0.0);
        let midway = |from: f64, to: f64| from + 0.5 * (to - from);
        match name {
            NamedSpot::Post => Some(post),
            NamedSpot::GoalRange => b.circle_crossing_m(side, end, self.goal(end), goal_range_m),
            NamedSpot::Pocket => Some(midway(post, self.arc_end_m(side, end)?)),
            NamedSpot::ArcEnd => self.arc_end_m(side, end),
            NamedSpot::Flank => Some(midway(self.arc_end_m(side, end)?, self.wing_m(side)?)),
            NamedSpot::Wing => self.wing_m(side),
        }
    }

    fn spot_at(&self, chainage_m: f64) -> Result<Spot, NoSpot> {
        let b = self.boundary();
        let p = b.at(chainage_m);
        let side = match p.place {
            Place::Line(side) => side,
            Place::ScoringEnd(end) => return Err(NoSpot::OnScoringEnd { end, chainage_m: p.chainage_m }),
        };
        let to = |end| b.to_post_m(chainage_m, end).ok_or(NoSpot::NotFinite);
        let (to_a_m, to_b_m) = (to(End::A)?, to(End::B)?);
        let end = if to_a_m <= to_b_m { End::A } else { End::B };
        Ok(Spot {
            side,
            end,
            from_post_m: to_a_m.min(to_b_m),
            to_a_m,
            to_b_m,
            chainage_m: p.chainage_m,
            point: p.point,
            tangent: p.tangent,
            normal: p.normal,
            arcs: self.arcs(p.point),
        })
    }

    /// Whether a point is inside an arc (or what takes its place), and which. For a ball, ask for the point
    /// where it crossed the line, not where it was kicked.
    #[must_use]
    pub fn arcs(&self, p: Point<GroundFrame>) -> Arcs {
        let (a, b) = (self.within_end_m(p, End::A), self.within_end_m(p, End::B));
        let nearer = if a >= b { End::A } else { End::B };
        if a.max(b) >= self.on_arc_m() { Arcs::Inside(nearer) } else { Arcs::Between }
    }

    /// Least depth within an arc that counts as inside it, m: just below or above zero, as the rule set says
    /// for a place on the arc. Arc ends are found to 1e-10 m along the line.
    pub(super) fn on_arc_m(&self) -> f64 {
        if self.rules().on_arc_is_inside { -ON_ARC_M } else { ON_ARC_M }
    }
}

impl Spot {
    /// Unit tangent toward the behind post at `end`.
    #[must_use]
    pub fn tangent_to(&self, end: End) -> Vector<GroundFrame> {
        match (self.side, end) {
            (Side::Left, End::B) | (Side::Right, End::A) => self.tangent,
            (Side::Left, End::A) | (Side::Right, End::B) => -self.tangent,
        }
    }

    /// Metres along the line to the behind post at `end`.
    #[must_use]
    pub fn to_post_m(&self, end: End) -> f64 {
        match end {
            End::A => self.to_a_m,
            End::B => self.to_b_m,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::oval::tests::oval;

    #[test]
    fn named_spots_by_their_definitions() {
        let o = oval(165.0, 135.0);
        for side in Side::BOTH {
            for end in End::BOTH {
                let at = |name| o.spot(SpotRef::Named { side, end, name }, 25.0).unwrap();
                assert!(at(NamedSpot::Post).from_post_m.abs() < 1e-9);
                assert!((at(NamedSpot::GoalRange).point.distance_to(o.goal(end)) - 25.0).abs() < 1e-8);
                assert!(
                    (at(NamedSpot::Pocket).from_post_m - 0.5 * at(NamedSpot::ArcEnd).from_post_m).abs()
                        < 1e-8
                );
                let (arc, wing) = (at(NamedSpot::ArcEnd).from_post_m, at(NamedSpot::Wing).from_post_m);
                assert!((at(NamedSpot::Flank).from_post_m - 0.5 * (arc + wing)).abs() < 1e-8);
                assert_eq!(at(NamedSpot::ArcEnd).arcs, Arcs::Inside(end));
                assert_eq!(at(NamedSpot::Flank).arcs, Arcs::Between);
                assert_eq!(at(NamedSpot::Pocket).end, end);
            }
        }
    }

    #[test]
    fn tangents_point_to_their_posts() {
        let o = oval(165.0, 135.0);
        for side in Side::BOTH {
            let s = o.spot(SpotRef::FromPost { side, end: End::A, metres: 100.0 }, 25.0).unwrap();
            assert!(s.tangent_to(End::A).x > 0.0 && s.tangent_to(End::B).x < 0.0);
            assert!((s.to_a_m - 100.0).abs() < 1e-9);
        }
    }

    #[test]
    fn places_that_are_no_spots() {
        let o = oval(165.0, 135.0);
        let c = o.boundary().line_length_m(Side::Left) + 9.0;
        assert!(matches!(o.spot(SpotRef::Chainage(c), 25.0), Err(NoSpot::OnScoringEnd { end: End::B, .. })));
        let off = SpotRef::FromPost { side: Side::Left, end: End::A, metres: 300.0 };
        assert!(matches!(o.spot(off, 25.0), Err(NoSpot::OffTheLine { .. })));
        assert!(matches!(o.spot(SpotRef::Chainage(f64::NAN), 25.0), Err(NoSpot::NotFinite)));
    }

    #[test]
    fn just_past_a_post_is_held_at_it() {
        let o = oval(165.0, 135.0);
        let length = o.boundary().line_length_m(Side::Left);
        let past = SpotRef::FromPost { side: Side::Left, end: End::A, metres: length + 0.1 };
        assert!(o.spot_held(past, 25.0).unwrap().from_post_m.abs() < 1e-9);
        assert!(matches!(o.spot(SpotRef::Chainage(1e9), 25.0), Err(NoSpot::OffTheBoundary { .. })));
        assert!(matches!(o.spot(SpotRef::Chainage(-12.0), 25.0), Err(NoSpot::OffTheBoundary { .. })));
        // A post's chainage printed to a decimetre still means the post.
        for end in End::BOTH {
            for side in Side::BOTH {
                let post = o.boundary().chainage_from_post_m(side, end, 0.0);
                let printed = (post * 10.0).round() / 10.0;
                let s = o.spot(SpotRef::Chainage(printed), 25.0).unwrap();
                assert!(s.from_post_m < 0.06, "{side} {end}");
            }
        }
        let s = o.spot_held(SpotRef::Chainage(length + 0.1), 25.0).unwrap();
        assert_eq!((s.side, s.end), (Side::Left, End::B));
        assert!(s.from_post_m.abs() < 1e-6);
    }

    #[test]
    fn names_as_people_type_them() {
        assert_eq!(NamedSpot::find("Arc-End"), Some(NamedSpot::ArcEnd));
        assert_eq!(NamedSpot::find("25m"), Some(NamedSpot::GoalRange));
        assert_eq!(NamedSpot::find("somewhere"), None);
        // The label that a short ground prints.
        assert_eq!(NamedSpot::GoalRange.label(20.0), "20 m");
        assert_eq!(NamedSpot::find_labelled("20 m", 20.0), Some(NamedSpot::GoalRange));
        assert_eq!(NamedSpot::find_labelled("20 m", 25.0), None);
    }

    #[test]
    fn without_arcs_there_are_no_arc_ends_and_asked_for_they_are_refused_in_words() {
        let rules = crate::rules::RuleSet::nine_a_side();
        let o = Oval::new(&crate::ground::oval::tests::outline(100.0, 50.0), rules).unwrap();
        assert!(!o.named_spots().contains(&NamedSpot::ArcEnd));
        let at = |name| o.spot(SpotRef::Named { side: Side::Left, end: End::A, name }, 20.0);
        let why = at(NamedSpot::ArcEnd).unwrap_err();
        assert_eq!(why.to_string(), "these rules have no arcs, so no arc ends");
        // Pocket and flank are measured to the zone line, 20 m from the centre.
        let post = at(NamedSpot::Pocket).unwrap().from_post_m;
        let line = o.boundary().to_post_m(o.arc_end_m(Side::Left, End::A).unwrap(), End::A).unwrap();
        assert!((post - 0.5 * line).abs() < 1e-9);
        assert_eq!(at(NamedSpot::Pocket).unwrap().arcs, Arcs::Inside(End::A));
        assert_eq!(at(NamedSpot::Flank).unwrap().arcs, Arcs::Between);
        // Where the circle of goal range takes the arc's place, its end is the arc end.
        let o = Oval::new(&crate::ground::oval::tests::outline(100.0, 80.0), crate::rules::RuleSet::laws())
            .unwrap();
        let at = |name| o.spot(SpotRef::Named { side: Side::Left, end: End::A, name }, 20.0).unwrap();
        assert!((at(NamedSpot::ArcEnd).from_post_m - at(NamedSpot::GoalRange).from_post_m).abs() < 1e-9);
        let along: Vec<f64> = o.named_spots().into_iter().map(|name| at(name).from_post_m).collect();
        assert!(along.is_sorted() && along.len() == 5, "{along:?}");
    }
}
