//! Built-in rule sets beside today's Laws: older editions, reduced and junior grounds, nine-a-side.
//!
//! Leagues differ, so each is a preset with its source. A preset claims only what its source states. The
//! other numbers are those of the Laws, marked as not stated for these rules, or are absent.

use std::borrow::Cow;

use super::{Grounds, Restart, RuleSet, Source, Sourced, Standing};

const NINETIES: &str = "1990s edition";
const KICK_IN_2019: Source = Source::new("AFL kick-in sheet").year(2019);
const MEMORY: Source = Source::new("from memory");
const COUNCIL: Source = Source::new("a Queensland council's field dimensions sheet");
const REGIONAL: Source = Source::new("a Queensland regional league's rules (under 10)");
const APPENDIX_U10: Source =
    Source::new("junior rules appendix (under 9, under 10); a Queensland council's sheet");
const APPENDIX_U12: Source = Source::new("junior rules appendix (under 11, under 12)");
const NINE: Source = Source::new("nine-a-side rules of the Australian Capital Territory");
const CLUB_THROW: Source = Source::new("5 to 8 m: a Queensland club's guide for juniors and volunteers");

impl RuleSet {
    /// Every built-in rule set.
    #[must_use]
    pub fn all() -> Vec<Self> {
        vec![
            RuleSet::laws(),
            RuleSet::laws_2019(),
            RuleSet::laws_1990s(),
            RuleSet::reduced_senior(),
            RuleSet::juniors_u12(),
            RuleSet::juniors_u10(),
            RuleSet::juniors_u10_regional(),
            RuleSet::nine_a_side(),
        ]
    }

    /// The built-in rule set of this short name.
    #[must_use]
    pub fn find(id: &str) -> Option<Self> {
        Self::all().into_iter().find(|set| set.id == id)
    }
}

fn named(id: &'static str, name: &'static str) -> RuleSet {
    RuleSet {
        id: Cow::Borrowed(id),
        name: Cow::Borrowed(name),
        based_on: Some(Cow::Borrowed("laws")),
        ..RuleSet::laws()
    }
}

impl RuleSet {
    /// The same set with every number marked as taken over from the Laws ([`Standing::NotStated`]).
    fn taken_over(mut self) -> Self {
        for row in Self::ROWS {
            if let Some(slot) = self.slot(row.key) {
                *slot = slot.taken_over();
            }
        }
        let b = &mut self.because;
        for grounds in [&mut b.throw_ins, &mut b.restart] {
            grounds.standing = Standing::NotStated;
        }
        self
    }

    /// The same set with a least length and width, m, from one source, and no greatest.
    fn at_least(mut self, length_m: f64, width_m: f64, source: Source) -> Self {
        const NO_MOST: &str = "not stated how large it may be";
        self.length_min_m = Sourced::of(length_m, source, Standing::Sure);
        self.width_min_m = Sourced::of(width_m, source, Standing::Sure);
        self.length_max_m = Sourced::absent(NO_MOST);
        self.width_max_m = Sourced::absent(NO_MOST);
        self
    }

    /// The same set without the numbers of players in each area when play starts.
    fn uncounted(mut self) -> Self {
        const NOT_STATED: &str = "not stated for these rules: ask the league";
        for key in ["start_in_arc", "start_in_goal_square", "start_in_square", "start_on_wing"] {
            if let Some(slot) = self.slot(key) {
                *slot = Sourced::absent(NOT_STATED);
            }
        }
        self
    }

    /// The Laws with the kick-in mark of 2019, 10 m from the kick-off line: not every league adopted the
    /// change of 2021.
    #[must_use]
    pub fn laws_2019() -> Self {
        let mut set = named("laws-2019", "Laws of Australian Football with the kick-in of 2019");
        set.kick_in_mark_m = Sourced::of(10.0, KICK_IN_2019, Standing::Sure);
        set.restart = Restart::Bounce;
        set.because.restart = Grounds::new(MEMORY, Standing::FromMemory);
        set
    }

    /// The edition of the 1990s, with its square of 45 m.
    #[must_use]
    pub fn laws_1990s() -> Self {
        const LAW_1_1_2: Source = Source::new("Laws of Australian Football, Law 1.1.2").edition(NINETIES);
        const LAW_1_5: Source = Source::new("Laws of Australian Football, Law 1.5").edition(NINETIES);
        const LATER: &str = "from memory: a later addition";
        const NO_COUNTS: &str = "from memory: starting positions came in 2019";
        let mut set = named("laws-1990s", "Laws of Australian Football, edition of the 1990s").taken_over();
        set.square_side_m = Sourced::of(45.0, LAW_1_1_2, Standing::Sure);
        set.inner_circle_diameter_m = Sourced::of(3.0, LAW_1_1_2, Standing::Sure);
        set.outer_circle_diameter_m = Sourced::absent(LATER);
        // At most 2 m past the 3 m circle on each side.
        set.dividing_line_m = Sourced::of(7.0, LAW_1_1_2, Standing::Sure);
        set.goal_square_depth_m = Sourced::of(9.0, LAW_1_5, Standing::Sure);
        set.kick_in_mark_m = Sourced::from_memory(5.0);
        set.start_in_arc = Sourced::absent(NO_COUNTS);
        set.start_in_goal_square = Sourced::absent(NO_COUNTS);
        set.start_on_wing = Sourced::absent(NO_COUNTS);
        set.start_in_square = Sourced::from_memory(4.0);
        set.restart = Restart::Bounce;
        set.because.restart = Grounds::new(MEMORY, Standing::FromMemory);
        set
    }

    /// A reduced senior oval, at least 145 × 110 m.
    #[must_use]
    pub fn reduced_senior() -> Self {
        let mut set = named("reduced-senior", "reduced senior oval");
        set.length_min_m = Sourced::of(145.0, COUNCIL, Standing::Sure);
        set.width_min_m = Sourced::of(110.0, COUNCIL, Standing::Sure);
        set
    }

    /// What junior sets have in common: numbers taken over from the Laws,
    /// no starting positions, shorter throws.
    fn juniors(id: &'static str, name: &'static str) -> Self {
        let mut set = named(id, name).taken_over().uncounted();
        // The middle of the guide's range.
        set.practice.throw_m = Sourced::of(6.5, CLUB_THROW, Standing::Likely);
        set
    }

    /// Juniors under 11 and under 12, at least 110 × 80 m.
    #[must_use]
    pub fn juniors_u12() -> Self {
        Self::juniors("juniors-u12", "juniors, under 11 and under 12").at_least(110.0, 80.0, APPENDIX_U12)
    }

    /// Juniors under 9 and under 10, at least 100 × 80 m.
    #[must_use]
    pub fn juniors_u10() -> Self {
        Self::juniors("juniors-u10", "juniors, under 9 and under 10").at_least(100.0, 80.0, APPENDIX_U10)
    }

    /// Juniors under 10 of a regional league, at least 90 × 60 m.
    #[must_use]
    pub fn juniors_u10_regional() -> Self {
        Self::juniors("juniors-u10-regional", "juniors, under 10, of a regional league")
            .at_least(90.0, 60.0, REGIONAL)
    }

    /// Nine a side on a rectangle of at least 100 × 50 m in zones of 30, 40 and 30 m, with no throw-ins.
    #[must_use]
    pub fn nine_a_side() -> Self {
        const ZONES: &str = "not stated: play is in zones of 30, 40 and 30 m";
        let mut set =
            named("nine-a-side", "nine a side").taken_over().uncounted().at_least(100.0, 50.0, NINE);
        set.zone_depth_m = Sourced::of(30.0, NINE, Standing::Sure);
        for key in [
            "square_side_m",
            "arc_radius_m",
            "start_in_end_zone",
            "start_in_middle_zone",
            "start_in_arc",
            "start_in_goal_square",
            "start_in_square",
            "start_on_wing",
        ] {
            if let Some(slot) = set.slot(key) {
                *slot = Sourced::absent(ZONES);
            }
        }
        set.throw_ins = false;
        set.because.throw_ins = Grounds::new(MEMORY, Standing::FromMemory);
        set
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::LastDisposal;
    use crate::rules::laws::STARTS;

    #[test]
    fn every_set_is_found_by_its_name() {
        let all = RuleSet::all();
        for set in &all {
            assert_eq!(RuleSet::find(&set.id).as_ref(), Some(set));
            assert_eq!(all.iter().filter(|other| other.id == set.id).count(), 1);
        }
        assert!(RuleSet::find("other").is_none());
    }

    #[test]
    fn every_number_is_within_bounds_and_says_where_it_comes_from() {
        for set in RuleSet::all() {
            assert_eq!(set.trouble(), None, "{}", set.id);
            assert_eq!(set.entries().count(), RuleSet::ROWS.len());
            for (row, n) in set.entries() {
                assert!(!n.source.is_empty() && !row.what.is_empty(), "{} {}", set.id, row.key);
                match n.given() {
                    Some(v) => assert!(row.holds(v).is_ok(), "{} {}", set.id, row.key),
                    // A number that is absent belongs to an optional row.
                    None => assert!(row.optional && n.value == 0.0, "{} {}", set.id, row.key),
                }
                // A number without a source is not marked as read in one.
                if matches!(n.standing, Standing::Sure | Standing::Likely) {
                    assert!(!n.source.contains("no source") && !n.source.contains("memory"), "{}", row.key);
                }
            }
        }
    }

    #[test]
    fn no_key_stands_twice() {
        let mut keys: Vec<&str> = RuleSet::ROWS
            .iter()
            .chain(crate::rules::Practice::ROWS)
            .map(|row| row.key)
            .chain(crate::rules::Choice::ALL.map(crate::rules::Choice::key))
            .collect();
        let n = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), n);
    }

    #[test]
    fn a_preset_claims_only_what_its_source_states() {
        for set in [RuleSet::juniors_u12(), RuleSet::juniors_u10(), RuleSet::juniors_u10_regional()] {
            let sure: Vec<&str> =
                set.entries().filter(|(_, n)| n.standing == Standing::Sure).map(|(row, _)| row.key).collect();
            assert_eq!(sure, ["length_min_m", "width_min_m"], "{}", set.id);
            assert_eq!(set.last_disposal, LastDisposal::NotStated);
            assert_eq!(set.start_in_arc.given(), None, "nobody counts eighteen a side for juniors");
        }
        let nine = RuleSet::nine_a_side();
        let sure: Vec<&str> =
            nine.entries().filter(|(_, n)| n.standing == Standing::Sure).map(|(row, _)| row.key).collect();
        assert_eq!(sure, ["length_min_m", "width_min_m", "zone_depth_m"]);
    }

    #[test]
    fn starting_positions_make_eighteen() {
        // AFL rule changes, 2019: six in each arc, four in the square, one on each wing.
        let l = RuleSet::laws();
        let all = 2.0 * l.start_in_arc.value + l.start_in_square.value + 2.0 * l.start_on_wing.value;
        assert_eq!((all, l.start_in_arc.year), (18.0, STARTS.year));
    }
}
