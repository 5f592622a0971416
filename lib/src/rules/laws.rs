//! Rule sets: limits, sizes of markings, run-off.

use super::{Practice, Sourced, Standing};

/// Where a competition gives a free kick for the last disposal out of bounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LastDisposal {
    /// Free kick where the ball crossed between the two 50 m arcs.
    BetweenArcs,
    /// No such law here.
    No,
    /// The league has not said.
    NotStated,
}

/// The numbers of a code of laws or a competition.
#[derive(Debug, Clone, PartialEq)]
pub struct RuleSet {
    /// Short name, as a venue file writes it.
    pub id: &'static str,
    /// Name for people.
    pub name: &'static str,
    /// Least length, goal line to goal line, m.
    pub length_min_m: Sourced,
    /// Greatest length, m.
    pub length_max_m: Sourced,
    /// Least width, m.
    pub width_min_m: Sourced,
    /// Greatest width, m.
    pub width_max_m: Sourced,
    /// Between neighbouring posts, m: three such gaps make the end.
    pub post_gap_m: Sourced,
    /// Goal square, out from the goal line, m.
    pub goal_square_depth_m: Sourced,
    /// Radius of the arc about the middle of the goal line, m. May be absent: ask the ground, `Oval::parting`.
    pub arc_radius_m: Sourced,
    /// Side of the centre square, m. May be absent: ask the ground, `Oval::square_half_m`.
    pub square_side_m: Sourced,
    /// End zones, out from the goal lines, m, where play is in zones and not by arcs and a square.
    pub zone_depth_m: Sourced,
    /// Diameter of the inner centre circle, m.
    pub inner_circle_diameter_m: Sourced,
    /// Diameter of the outer centre circle, m.
    pub outer_circle_diameter_m: Sourced,
    /// Interchange area, along the line, m.
    pub interchange_m: Sourced,
    /// Preferred run-off from line to fence, m.
    pub run_off_m: Sourced,
    /// Run-off below which a card warns, m.
    pub run_off_warn_m: Sourced,
    /// From the kick-off line to the mark of a kick-in, m; the protected area reaches as far.
    pub kick_in_mark_m: Sourced,
    /// Players of a side inside each arc when play starts.
    pub start_in_arc: Sourced,
    /// Players of a side in the centre square when play starts.
    pub start_in_square: Sourced,
    /// Players of a side on each wing when play starts.
    pub start_on_wing: Sourced,
    /// Does a place on the arc count as inside it? (Common practice, no source.)
    pub on_arc_is_inside: bool,
    /// Is a ball over the line thrown in? Nine-a-side has no throw-ins.
    pub throw_ins: bool,
    /// Last disposal out of bounds.
    pub last_disposal: LastDisposal,
    /// The distances of its officials, on a ground of any length: see [`Practice::on_ground`].
    pub practice: Practice,
}

const LAW_3_2: &str = "Laws of Australian Football, Law 3.2(a), 2010s editions";
const WA_GUIDE: &str = "Western Australian Government, Sports Dimensions Guide, football (Australian rules)";
const STARTS: &str = "AFL rule changes, 2019";
const SHORT_LAWS: &str = "Laws of Australian Football, short version 3.2.1(a), (b)";

impl RuleSet {
    /// The Laws of Australian Football for senior grounds.
    #[must_use]
    pub const fn laws() -> Self {
        Self {
            id: "laws",
            name: "Laws of Australian Football, senior grounds",
            length_min_m: Sourced::new(135.0, LAW_3_2, Standing::Sure),
            length_max_m: Sourced::new(185.0, LAW_3_2, Standing::Sure),
            width_min_m: Sourced::new(110.0, LAW_3_2, Standing::Sure),
            width_max_m: Sourced::new(155.0, LAW_3_2, Standing::Sure),
            post_gap_m: Sourced::new(6.4, SHORT_LAWS, Standing::Sure),
            goal_square_depth_m: Sourced::new(9.0, WA_GUIDE, Standing::Sure),
            arc_radius_m: Sourced::new(
                50.0,
                "an encyclopaedia's article citing the Laws; Western Australian Government, Sports Dimensions Guide",
                Standing::Likely,
            ),
            square_side_m: Sourced::new(50.0, WA_GUIDE, Standing::Sure),
            zone_depth_m: Sourced::absent("arcs and a square part the ground"),
            inner_circle_diameter_m: Sourced::new(3.0, WA_GUIDE, Standing::Sure),
            outer_circle_diameter_m: Sourced::new(10.0, WA_GUIDE, Standing::Sure),
            interchange_m: Sourced::new(15.0, WA_GUIDE, Standing::Sure),
            run_off_m: Sourced::new(
                5.0,
                "an encyclopaedia's article citing the Laws; Western Australian Government, Sports Dimensions Guide (new grounds)",
                Standing::Likely,
            ),
            run_off_warn_m: Sourced::new(3.0, WA_GUIDE, Standing::Sure),
            kick_in_mark_m: Sourced::new(10.0, "AFL kick-in sheet, 2019", Standing::Sure),
            start_in_arc: Sourced::new(6.0, STARTS, Standing::Sure),
            start_in_square: Sourced::new(4.0, STARTS, Standing::Sure),
            start_on_wing: Sourced::new(1.0, STARTS, Standing::Sure),
            on_arc_is_inside: true,
            throw_ins: true,
            last_disposal: LastDisposal::NotStated,
            practice: Practice::COMMON,
        }
    }

    /// A reduced senior oval, 145 × 110 m.
    #[must_use]
    pub const fn reduced_senior() -> Self {
        const COUNCIL: &str = "a Queensland council's field dimensions sheet";
        let mut set = Self::laws();
        set.id = "reduced-senior";
        set.name = "reduced senior oval";
        set.length_min_m = Sourced::new(145.0, COUNCIL, Standing::Sure);
        set.width_min_m = Sourced::new(110.0, COUNCIL, Standing::Sure);
        set
    }

    /// Juniors under 11 and under 12: 110 × 80 m at the least.
    #[must_use]
    pub const fn juniors_u12() -> Self {
        const APPENDIX: &str = "junior rules appendix (under 11, under 12)";
        let mut set = Self::laws();
        set.id = "juniors-u12";
        set.name = "juniors, under 11 and under 12";
        set.length_min_m = Sourced::new(110.0, APPENDIX, Standing::Sure);
        set.width_min_m = Sourced::new(80.0, APPENDIX, Standing::Sure);
        set
    }

    /// Nine a side on a rectangle of 100 × 50 m, with no throw-ins.
    #[must_use]
    pub const fn nine_a_side() -> Self {
        const NINE: &str = "nine-a-side rules of the Australian Capital Territory";
        let mut set = Self::laws();
        set.id = "nine-a-side";
        set.name = "nine a side";
        set.length_min_m = Sourced::new(100.0, NINE, Standing::Sure);
        set.width_min_m = Sourced::new(50.0, NINE, Standing::Sure);
        set.zone_depth_m = Sourced::new(30.0, NINE, Standing::Sure);
        const ZONES: &str = "not stated: play is in zones of 30, 40 and 30 m";
        set.square_side_m = Sourced::absent(ZONES);
        set.arc_radius_m = Sourced::absent(ZONES);
        set.start_in_arc = Sourced::absent(ZONES);
        set.start_in_square = Sourced::absent(ZONES);
        set.start_on_wing = Sourced::absent(ZONES);
        // That nobody throws in there is from memory.
        set.throw_ins = false;
        set
    }

    /// Every built-in rule set.
    #[must_use]
    pub fn all() -> [Self; 4] {
        [Self::laws(), Self::reduced_senior(), Self::juniors_u12(), Self::nine_a_side()]
    }

    /// The rule set of this short name.
    #[must_use]
    pub fn find(id: &str) -> Option<Self> {
        Self::all().into_iter().find(|set| set.id == id)
    }

    /// Behind post to behind post across the scoring end: three gaps, m.
    #[must_use]
    pub fn end_width_m(&self) -> f64 {
        3.0 * self.post_gap_m.value
    }

    /// Replaces one number by its key in a venue file; `false` when there is no such key.
    pub fn set(&mut self, key: &str, value: f64) -> bool {
        let Some(slot) = self.slot(key) else { return false };
        *slot = slot.overridden(value);
        true
    }

    fn slot(&mut self, key: &str) -> Option<&mut Sourced> {
        Some(match key {
            "length_min_m" => &mut self.length_min_m,
            "length_max_m" => &mut self.length_max_m,
            "width_min_m" => &mut self.width_min_m,
            "width_max_m" => &mut self.width_max_m,
            "post_gap_m" => &mut self.post_gap_m,
            "goal_square_depth_m" => &mut self.goal_square_depth_m,
            "arc_radius_m" => &mut self.arc_radius_m,
            "square_side_m" => &mut self.square_side_m,
            "zone_depth_m" => &mut self.zone_depth_m,
            "inner_circle_diameter_m" => &mut self.inner_circle_diameter_m,
            "outer_circle_diameter_m" => &mut self.outer_circle_diameter_m,
            "interchange_m" => &mut self.interchange_m,
            "run_off_m" => &mut self.run_off_m,
            "run_off_warn_m" => &mut self.run_off_warn_m,
            "kick_in_mark_m" => &mut self.kick_in_mark_m,
            "start_in_arc" => &mut self.start_in_arc,
            "start_in_square" => &mut self.start_in_square,
            "start_on_wing" => &mut self.start_on_wing,
            _ => return None,
        })
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
    fn every_set_is_found_by_its_name() {
        for set in RuleSet::all() {
            assert_eq!(RuleSet::find(set.id).unwrap(), set);
        }
        assert!(RuleSet::find("other").is_none());
    }
}
