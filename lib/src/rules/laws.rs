//! Rule sets: limits, sizes of markings, run-off and starting positions, with the numbers of the Laws.

use std::borrow::Cow;

use super::table::numbers;
use super::{Change, Grounds, LastDisposal, Practice, Restart, Source, Sourced, Standing};
use crate::units::print::plain;

pub(super) const LAW_3_2: Source =
    Source::new("Laws of Australian Football, Law 3.2(a)").edition("2010s editions");
pub(super) const SHORT_LAWS: Source = Source::new("Laws of Australian Football, short version 3.2.1(a), (b)");
pub(super) const WA_GUIDE: Source =
    Source::new("Western Australian Government, Sports Dimensions Guide, football (Australian rules)");
const ARC: Source = Source::new(
    "an encyclopaedia's article citing the Laws; Western Australian Government, Sports Dimensions Guide",
);
const RUN_OFF: Source = Source::new(
    "an encyclopaedia's article citing the Laws; Western Australian Government, Sports Dimensions Guide (new grounds)",
);
pub(super) const STARTS: Source = Source::new("AFL rule changes").year(2019);
const IN_GOAL_SQUARE: Source =
    Source::new("AFL rule changes; not required in the top competition since 2026").year(2019);
const KICK_IN: Source =
    Source::new("AFL announcement for the 2021 season, reported by clubs and leagues").year(2021);
const DICTIONARY: Source = Source::new("a sports dictionary; role sheets");
const RESTARTS: Source =
    Source::new("AFL announcements: a ball-up in the top competition since 2026, elsewhere by the league")
        .year(2026);
const NOT_SAID: Source = Source::new("the league has not said");
const PRACTICE: Source = Source::new("common practice, no source");

/// The sources of the parts of a rule set that are not numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Because {
    /// Does a place on the arc count as inside it?
    pub on_arc_is_inside: Grounds,
    /// Is a ball over the line thrown in?
    pub throw_ins: Grounds,
    /// Last disposal out of bounds.
    pub last_disposal: Grounds,
    /// How play restarts.
    pub restart: Grounds,
}

const fn sure(value: f64, source: Source) -> Sourced {
    Sourced::of(value, source, Standing::Sure)
}

const ZONES: &str = "not stated: arcs and a square part the ground";

numbers! {
    /// The numbers of a code of laws or a competition.
    ///
    /// The default of each row is the Laws' own for senior grounds. What a set does not have is
    /// [`Standing::Absent`]: ask [`Sourced::given`], or the ground, whether there is room for it.
    pub struct RuleSet {
        /// Least length, goal line to goal line.
        length_min_m: sure(135.0, LAW_3_2), 30 to 300, "m", optional;
        /// Greatest length.
        length_max_m: sure(185.0, LAW_3_2), 30 to 300, "m", optional;
        /// Least width.
        width_min_m: sure(110.0, LAW_3_2), 20 to 250, "m", optional;
        /// Greatest width.
        width_max_m: sure(155.0, LAW_3_2), 20 to 250, "m", optional;
        /// Between neighbouring posts; three such gaps make the scoring end.
        post_gap_m: sure(6.4, SHORT_LAWS), 2 to 12, "m";
        /// Goal square, out from the goal line.
        goal_square_depth_m: sure(9.0, WA_GUIDE), 1 to 20, "m";
        /// Radius of the arc about the middle of the goal line.
        arc_radius_m: Sourced::of(50.0, ARC, Standing::Likely), 10 to 80, "m", optional;
        /// Side of the centre square.
        square_side_m: sure(50.0, WA_GUIDE), 5 to 80, "m", optional;
        /// End zones, out from the goal lines, where play is in zones and not by arcs and a square.
        zone_depth_m: Sourced::absent(ZONES), 5 to 100, "m", optional;
        /// Diameter of the inner centre circle.
        inner_circle_diameter_m: sure(3.0, WA_GUIDE), 0.5 to 20, "m", optional;
        /// Diameter of the outer centre circle.
        outer_circle_diameter_m: sure(10.0, WA_GUIDE), 1 to 40, "m", optional;
        /// The line through the centre circles, parallel with the goal lines; drawn to the outer circle.
        dividing_line_m: Sourced::from_memory(10.0), 1 to 40, "m", optional;
        /// Interchange area, along the line.
        interchange_m: sure(15.0, WA_GUIDE), 1 to 60, "m", optional;
        /// Preferred run-off from line to fence.
        run_off_m: Sourced::of(5.0, RUN_OFF, Standing::Likely), 0 to 30, "m";
        /// Run-off below which a card warns.
        run_off_warn_m: sure(3.0, WA_GUIDE), 0 to 30, "m";
        /// From the kick-off line to the mark of a kick-in; the protected area reaches as far.
        kick_in_mark_m: sure(15.0, KICK_IN), 1 to 50, "m";
        /// Players of a side inside each arc when play starts.
        start_in_arc: sure(6.0, STARTS), 0 to 30, "players", optional;
        /// Of them, in each goal square.
        start_in_goal_square: sure(1.0, IN_GOAL_SQUARE), 0 to 30, "players", optional;
        /// Players of a side in the centre square when play starts.
        start_in_square: sure(4.0, STARTS), 0 to 30, "players", optional;
        /// Players of a side on each wing when play starts.
        start_on_wing: sure(1.0, STARTS), 0 to 30, "players", optional;
        /// Players of a side in each end zone when play starts.
        start_in_end_zone: Sourced::absent(ZONES), 0 to 30, "players", optional;
        /// Players of a side in the middle zone when play starts.
        start_in_middle_zone: Sourced::absent(ZONES), 0 to 30, "players", optional;
    }
    also {
        /// Short name, as a venue file writes it.
        pub id: Cow<'static, str> = Cow::Borrowed("laws"),
        /// Name for people.
        pub name: Cow<'static, str> = Cow::Borrowed("Laws of Australian Football, senior grounds"),
        /// Short name of the set that this one is based on; `None` for the Laws themselves.
        pub based_on: Option<Cow<'static, str>> = None,
        /// Does a place on the arc count as inside it?
        pub on_arc_is_inside: bool = true,
        /// Is a ball over the line thrown in? Nine-a-side has no throw-ins.
        pub throw_ins: bool = true,
        /// Last disposal out of bounds.
        pub last_disposal: LastDisposal = LastDisposal::NotStated,
        /// How play starts and restarts in the middle.
        pub restart: Restart = Restart::Either,
        /// The sources of the four fields above.
        pub because: Because = Because {
            on_arc_is_inside: Grounds::new(PRACTICE, Standing::CommonPractice),
            throw_ins: Grounds::new(DICTIONARY, Standing::Likely),
            last_disposal: Grounds::new(NOT_SAID, Standing::NotStated),
            restart: Grounds::new(RESTARTS, Standing::Sure),
        },
        /// The umpiring distances, before they are adapted to a short ground by [`Practice::on_ground`].
        pub practice: Practice = Practice::COMMON,
        /// What a league's own file changed in the set that this one is based on, and why.
        pub changes: Vec<Change> = Vec::new(),
    }
}

impl RuleSet {
    /// The Laws of Australian Football for senior grounds, as they are today.
    #[must_use]
    pub const fn laws() -> Self {
        Self::defaults()
    }

    /// Width of the scoring end, behind post to behind post: three gaps, m.
    #[must_use]
    pub fn end_width_m(&self) -> f64 {
        3.0 * self.post_gap_m.value
    }

    /// Distance from the goal line to the mark of a kick-in, m.
    #[must_use]
    pub fn kick_in_mark_from_goal_m(&self) -> f64 {
        self.goal_square_depth_m.value + self.kick_in_mark_m.value
    }

    /// What is wrong if two numbers contradict each other: a least above its greatest, and the like.
    #[must_use]
    pub fn trouble(&self) -> Option<String> {
        for (least, most) in [
            ("length_min_m", "length_max_m"),
            ("width_min_m", "width_max_m"),
            ("inner_circle_diameter_m", "outer_circle_diameter_m"),
            ("run_off_warn_m", "run_off_m"),
            ("start_in_goal_square", "start_in_arc"),
        ] {
            let value = |key| self.get(key).and_then(Sourced::given);
            if let (Some(a), Some(b)) = (value(least), value(most))
                && a > b
            {
                return Some(format!("{least} is {}, more than {most}, which is {}", plain(a), plain(b)));
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_gaps_make_the_end() {
        assert!((RuleSet::laws().end_width_m() - 19.2).abs() < 1e-12);
    }

    #[test]
    fn an_override_says_that_it_is_one() {
        let mut set = RuleSet::laws();
        assert!(set.set("square_side_m", 45.0));
        assert_eq!(set.square_side_m.standing, Standing::Override);
        assert!(!set.set("square", 45.0));
    }

    #[test]
    fn numbers_that_contradict_each_other_are_told() {
        assert_eq!(RuleSet::laws().trouble(), None);
        let mut set = RuleSet::laws();
        assert!(set.set("length_min_m", 190.0));
        let why = set.trouble().unwrap();
        assert_eq!(why, "length_min_m is 190, more than length_max_m, which is 185");
    }
}
