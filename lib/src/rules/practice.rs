//! The umpiring distances that no law fixes, as named defaults. They belong to a rule set, and a
//! league or a venue may change them. Unless a row cites a source, it is "common practice, no source".

use super::table::numbers;
use super::{By, NotSet, Sourced, Standing};

const fn common(value: f64) -> Sourced {
    Sourced::practice(value)
}

numbers! {
    /// Distances and limits of an official's practice.
    pub struct Practice {
        /// Back from the crossing point along the tangent.
        back_m: common(15.0), 0.5 to 50, "m";
        /// Ball this near a goal line's midpoint: be at the behind posts.
        goal_range_m: common(25.0), 0.5 to 60, "m";
        /// On a short ground goal range is no more than this share of the length.
        goal_range_share: common(0.2), 0.05 to 1, "";
        /// A place is near a line when it is no farther from one than this, or than the share of the width.
        near_line_m: common(20.0), 0 to 100, "m";
        /// The same as a share of the ground's width, where that is less.
        near_line_share: common(0.25), 0 to 0.5, "";
        /// Beyond the behind post along the normal.
        at_post_m: common(1.0), 0 to 10, "m";
        /// Clearance from fence and hazards at the behind post.
        post_clear_m: common(0.5), 0 to 5, "m";
        /// With less room than this behind the post, the station is beside it on the line.
        post_least_m: common(0.3), 0 to 5, "m";
        /// From the behind post along the line, where there is no room behind it.
        post_beside_m: common(0.5), 0 to 5, "m";
        /// Half-width of the corridor walked when backing away.
        corridor_m: common(1.0), 0 to 10, "m";
        /// The shortest way back that gives a view along the tangent.
        back_least_m: common(8.0), 0 to 50, "m";
        /// Two views of the line that differ by no more than this count as equally good.
        shift_alike_m: common(0.3), 0 to 5, "m";
        /// The long side is said first where its view is better by this.
        long_first_m: common(0.5), 0 to 5, "m";
        /// Outside the square's side line.
        square_clear_m: common(0.5), 0 to 10, "m";
        /// A square whose corner is less than this inside the line does not fit.
        square_inside_m: common(3.0), 0 to 20, "m";
        /// An arc whose top would be this near the ground's centre is left out.
        arc_centre_m: common(5.0), 0 to 30, "m";
        /// Length of a throw-in.
        throw_m: common(15.0), 0.5 to 40, "m";
        /// A throw-in lands at least this far off the goal axis.
        throw_clear_m: common(15.0), 0 to 60, "m";
        /// Distances along the line that differ by less are "either side".
        either_m: common(5.0), 0 to 100, "m";
        /// Length of a kick, for kicks behind.
        kick_m: common(50.0), 0.5 to 100, "m";
        /// Ahead of a set kick.
        set_kick_m: common(35.0), 0 to 100, "m";
        /// On a short ground one is no farther ahead of a set kick than this share of the length.
        set_kick_share: common(0.3), 0.05 to 1, "";
        /// A set kick this near the goal attacked is a set shot.
        set_shot_m: common(55.0), 0 to 100, "m";
        /// On a short ground a set shot is no farther than this share of the length.
        set_shot_share: common(0.42), 0.05 to 1, "";
        /// One fist at arm's length.
        fist_deg: common(10.0), 0.5 to 20, "°";
        /// A landmark further off the line to face than this, one and a half fists, is no use.
        backsight_limit_deg: common(15.0), 0 to 90, "°";
        /// A landmark known by bearing only must be at least this far.
        bearing_only_m: common(1000.0), 0 to 10_000, "m";
        /// Where the second carrier waits after a goal, out from the goal square.
        relay_wait_m: common(10.0), 0 to 50, "m";
        /// Kept clear of a group of players at the hand-over.
        group_clear_m: common(0.5), 0 to 10, "m";
        /// The farthest that a group of players moves the hand-over.
        hand_over_shift_m: common(20.0), 0 to 50, "m";
        /// At a throw-in inside an arc the partner goes to the far behind post: 1 yes, 0 no.
        partner_to_post: common(1.0), 0 to 1, "";
        /// As near as this to where it went over on the full: run up and point it out.
        on_full_run_m: common(15.0), 0 to 200, "m";
        /// Between two officials on one line.
        pair_m: Sourced::new(55.0, "AFL four-umpire positioning guidelines (50 to 60 m)", Standing::Sure), 0 to 100, "m";
        /// Height of an official's eyes.
        eye_m: common(1.7), 0.5 to 2.5, "m";
        /// Height of a ball where it crosses, for what can be seen of it.
        ball_height_m: common(1.0), 0 to 10, "m";
        /// A ball across its waist.
        ball_across_m: Sourced::from_memory(0.17), 0 to 1, "m";
        /// From the first to the last of a quarter, time on included.
        quarter_min: common(30.0), 0 to 60, "min";
        /// After the first and third quarters.
        short_break_min: common(6.0), 0 to 60, "min";
        /// At half time.
        long_break_min: common(20.0), 0 to 120, "min";
        /// Walking.
        walk_m_s: common(1.5), 0.5 to 12, "m/s";
        /// Running.
        run_m_s: common(3.5), 0.5 to 12, "m/s";
        /// Sprinting.
        sprint_m_s: common(6.0), 0.5 to 12, "m/s";
        /// Running backwards.
        backward_m_s: common(2.5), 0.5 to 12, "m/s";
        /// Look and sun nearer than this in plan: glare.
        glare_deg: common(30.0), 0 to 90, "°";
        /// A sun higher than this is in nobody's eyes.
        glare_high_deg: common(25.0), 0 to 90, "°";
    }
}

impl Default for Practice {
    fn default() -> Self {
        Self::COMMON
    }
}

impl Practice {
    /// The practice of senior grounds.
    pub const COMMON: Self = Self::defaults();

    /// Replaces one number by its key in a venue file; `false` when there is no such key, or the value is
    /// outside its bounds.
    pub fn set(&mut self, key: &str, value: f64) -> bool {
        self.put(key, value, By::Venue).is_ok()
    }

    /// Replaces one number by its key, for a league or a venue.
    ///
    /// # Errors
    /// [`NotSet`], and nothing is changed.
    pub fn put(&mut self, key: &str, value: f64, by: By) -> Result<(), NotSet> {
        Self::row(key).ok_or(NotSet::NoSuchKey)?.holds(value)?;
        let slot = self.slot(key).ok_or(NotSet::NoSuchKey)?;
        *slot = by.number(*slot, value);
        Ok(())
    }

    /// The practice on a ground of this length. On a short ground goal range, a set shot and the distance
    /// ahead of a set kick are shares of the length. Numbers that a
    /// league or a venue has set stay as they are.
    ///
    /// # Examples
    /// ```
    /// use ovalpeg::rules::Practice;
    /// assert_eq!(Practice::default().on_ground(165.0), Practice::default());
    /// assert_eq!(Practice::default().on_ground(100.0).goal_range_m.value, 20.0);
    /// ```
    #[must_use]
    pub fn on_ground(&self, length_m: f64) -> Self {
        let mut on = self.clone();
        for (number, share) in [
            (&mut on.goal_range_m, self.goal_range_share),
            (&mut on.set_shot_m, self.set_shot_share),
            (&mut on.set_kick_m, self.set_kick_share),
        ] {
            let most = share.value * length_m;
            if number.standing == Standing::CommonPractice && most < number.value {
                *number =
                    Sourced::new(most, "a share of a short ground's length, no source", number.standing);
            }
        }
        on
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn defaults_are_marked_as_practice_and_overrides_as_overrides() {
        let mut p = Practice::default();
        // Common practice, no source: 15 m back, 25 m goal range, 1 m at the post.
        assert_eq!((p.back_m.value, p.goal_range_m.value, p.at_post_m.value), (15.0, 25.0, 1.0));
        assert_eq!(p.back_m.standing, Standing::CommonPractice);
        assert!(p.set("back_m", 12.0));
        assert_eq!((p.back_m.value, p.back_m.standing), (12.0, Standing::Override));
        assert!(!p.set("unknown", 1.0));
    }

    #[test]
    fn a_number_out_of_its_bounds_is_refused_in_words() {
        let mut p = Practice::default();
        let why = |p: &mut Practice, v| p.put("back_m", v, By::Venue).unwrap_err().to_string();
        assert_eq!(why(&mut p, 1500.0), "back_m is 1500, outside 0.5 to 50 m");
        assert_eq!(why(&mut p, f64::NAN), "back_m is not a number");
        assert_eq!(p, Practice::default());
        assert!(p.set("kick_m", 50.0) && !p.set("kick_m", 0.0));
    }

    #[test]
    fn every_default_is_within_its_own_bounds_and_has_a_meaning() {
        assert_eq!(Practice::default().entries().count(), Practice::ROWS.len());
        for (row, number) in Practice::default().entries() {
            assert!(row.holds(number.value).is_ok() && !row.what.is_empty(), "{}", row.key);
            assert!(!number.source.is_empty() && !row.optional, "{}", row.key);
        }
    }

    #[test]
    fn on_a_short_ground_distances_are_shares_of_its_length() {
        // From the definitions: min(25, L/5), min(55, 0.42 L), min(35, 0.3 L).
        for length in [90.0, 100.0, 110.0, 116.0, 124.0, 130.0, 137.0, 185.0] {
            let p = Practice::default().on_ground(length);
            let all = [p.goal_range_m, p.set_shot_m, p.set_kick_m].map(|n| n.value);
            let want = [25f64.min(length / 5.0), 55f64.min(0.42 * length), 35f64.min(0.3 * length)];
            for (got, want) in all.iter().zip(want) {
                // Rounding of one product.
                assert!((got - want).abs() < 1e-12, "{length}");
            }
        }
        let mut set = Practice::default();
        assert!(set.set("goal_range_m", 24.0));
        assert_eq!(set.on_ground(90.0).goal_range_m.value, 24.0, "what was written stays");
    }
}
