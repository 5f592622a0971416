//! The umpiring distances that no law fixes: named, editable defaults, each
//! "common practice, no source".

use super::{Sourced, Standing};

/// Distances and limits of an official's practice.
#[derive(Debug, Clone, PartialEq)]
pub struct Practice {
    /// Back from the crossing point along the tangent, m.
    pub back_m: Sourced,
    /// Ball this near a goal line's midpoint: be at the behind posts, m.
    pub goal_range_m: Sourced,
    /// Beyond the behind post along the normal, m.
    pub at_post_m: Sourced,
    /// Half-width of the corridor walked when backing away, m.
    pub corridor_m: Sourced,
    /// Backing away less than this is no view along the tangent, m.
    pub back_least_m: Sourced,
    /// Outside the square's side line, m.
    pub square_clear_m: Sourced,
    /// Length of a throw-in, m.
    pub throw_m: Sourced,
    /// A throw-in lands at least this far off the goal axis, m.
    pub throw_clear_m: Sourced,
    /// Distances along the line that differ by less are "either side", m.
    pub either_m: Sourced,
    /// Length of a kick, for kicks behind, m.
    pub kick_m: Sourced,
    /// Ahead of a set kick, m.
    pub set_kick_m: Sourced,
    /// A set kick this near the goal attacked is a set shot, m.
    pub set_shot_m: Sourced,
    /// One fist at arm's length, degrees.
    pub fist_deg: Sourced,
    /// A landmark further off the line to face than this is no use, degrees.
    pub backsight_limit_deg: Sourced,
    /// A landmark known by bearing only must be at least this far, m.
    pub bearing_only_m: Sourced,
    /// Where the second carrier waits after a goal, out from the goal square, m.
    pub relay_wait_m: Sourced,
    /// As near as this to where it went over on the full: run up and point it out, m.
    pub on_full_run_m: Sourced,
    /// Between two officials on one line, m.
    pub pair_m: Sourced,
    /// Height of an official's eyes, m.
    pub eye_m: Sourced,
    /// Height of a ball where it crosses, for what can be seen of it, m.
    pub ball_height_m: Sourced,
    /// A ball across its waist, m.
    pub ball_across_m: Sourced,
    /// From the first to the last of a quarter, time on included, min.
    pub quarter_min: Sourced,
    /// After the first and third quarters, min.
    pub short_break_min: Sourced,
    /// At half time, min.
    pub long_break_min: Sourced,
    /// Walking, m/s.
    pub walk_m_s: Sourced,
    /// Running, m/s.
    pub run_m_s: Sourced,
    /// Sprinting, m/s.
    pub sprint_m_s: Sourced,
    /// Running backwards, m/s.
    pub backward_m_s: Sourced,
    /// Look and sun nearer than this in plan: glare, degrees.
    pub glare_deg: Sourced,
    /// A sun higher than this is in nobody's eyes, degrees.
    pub glare_high_deg: Sourced,
}

impl Default for Practice {
    fn default() -> Self {
        Self {
            back_m: Sourced::practice(15.0),
            goal_range_m: Sourced::practice(25.0),
            at_post_m: Sourced::practice(1.0),
            corridor_m: Sourced::practice(1.0),
            back_least_m: Sourced::practice(8.0),
            square_clear_m: Sourced::practice(0.5),
            throw_m: Sourced::practice(15.0),
            throw_clear_m: Sourced::practice(15.0),
            either_m: Sourced::practice(5.0),
            kick_m: Sourced::practice(50.0),
            set_kick_m: Sourced::practice(35.0),
            set_shot_m: Sourced::practice(55.0),
            fist_deg: Sourced::practice(10.0),
            backsight_limit_deg: Sourced::practice(25.0),
            bearing_only_m: Sourced::practice(1000.0),
            relay_wait_m: Sourced::practice(10.0),
            on_full_run_m: Sourced::practice(15.0),
            pair_m: Sourced::new(55.0, "AFL four-umpire positioning guidelines (50 to 60 m)", Standing::Sure),
            eye_m: Sourced::practice(1.7),
            ball_height_m: Sourced::practice(1.0),
            ball_across_m: Sourced::new(0.17, "from memory", Standing::FromMemory),
            quarter_min: Sourced::practice(30.0),
            short_break_min: Sourced::practice(6.0),
            long_break_min: Sourced::practice(20.0),
            walk_m_s: Sourced::practice(1.5),
            run_m_s: Sourced::practice(3.5),
            sprint_m_s: Sourced::practice(6.0),
            backward_m_s: Sourced::practice(2.5),
            glare_deg: Sourced::practice(30.0),
            glare_high_deg: Sourced::practice(25.0),
        }
    }
}

impl Practice {
    /// Replaces one number by its key in a venue file; `false` when there is no such key.
    pub fn set(&mut self, key: &str, value: f64) -> bool {
        let Some(slot) = self.slot(key) else { return false };
        *slot = slot.overridden(value);
        true
    }

    /// What is wrong with these numbers together, if anything.
    #[must_use]
    pub fn trouble(&self) -> Option<String> {
        for (key, number) in [
            ("back_m", self.back_m),
            ("goal_range_m", self.goal_range_m),
            ("throw_m", self.throw_m),
            ("kick_m", self.kick_m),
            ("fist_deg", self.fist_deg),
            ("eye_m", self.eye_m),
            ("walk_m_s", self.walk_m_s),
            ("run_m_s", self.run_m_s),
            ("sprint_m_s", self.sprint_m_s),
            ("backward_m_s", self.backward_m_s),
        ] {
            if number.value < 0.5 {
                return Some(format!("{key} is {}, and must be at least 0.5", number.value));
            }
        }
        // Numbers beyond these are slips: no distance of an official is longer than a ground is wide.
        for (key, number, most) in [
            ("back_m", self.back_m, 50.0),
            ("back_least_m", self.back_least_m, 50.0),
            ("goal_range_m", self.goal_range_m, 60.0),
            ("at_post_m", self.at_post_m, 10.0),
            ("corridor_m", self.corridor_m, 10.0),
            ("square_clear_m", self.square_clear_m, 10.0),
            ("throw_m", self.throw_m, 40.0),
            ("throw_clear_m", self.throw_clear_m, 60.0),
            ("either_m", self.either_m, 100.0),
            ("kick_m", self.kick_m, 100.0),
            ("set_kick_m", self.set_kick_m, 100.0),
            ("set_shot_m", self.set_shot_m, 100.0),
            ("fist_deg", self.fist_deg, 20.0),
            ("backsight_limit_deg", self.backsight_limit_deg, 90.0),
            ("relay_wait_m", self.relay_wait_m, 50.0),
            ("on_full_run_m", self.on_full_run_m, 200.0),
            ("pair_m", self.pair_m, 100.0),
            ("eye_m", self.eye_m, 2.5),
            ("ball_height_m", self.ball_height_m, 10.0),
            ("ball_across_m", self.ball_across_m, 1.0),
            ("quarter_min", self.quarter_min, 60.0),
            ("short_break_min", self.short_break_min, 60.0),
            ("long_break_min", self.long_break_min, 120.0),
            ("walk_m_s", self.walk_m_s, 12.0),
            ("run_m_s", self.run_m_s, 12.0),
            ("sprint_m_s", self.sprint_m_s, 12.0),
            ("backward_m_s", self.backward_m_s, 12.0),
            ("glare_deg", self.glare_deg, 90.0),
            ("glare_high_deg", self.glare_high_deg, 90.0),
        ] {
            if number.value > most {
                return Some(format!("{key} is {}, and must be at most {most}", number.value));
            }
        }
        None
    }

    fn slot(&mut self, key: &str) -> Option<&mut Sourced> {
        Some(match key {
            "back_m" => &mut self.back_m,
            "goal_range_m" => &mut self.goal_range_m,
            "at_post_m" => &mut self.at_post_m,
            "corridor_m" => &mut self.corridor_m,
            "back_least_m" => &mut self.back_least_m,
            "square_clear_m" => &mut self.square_clear_m,
            "throw_m" => &mut self.throw_m,
            "throw_clear_m" => &mut self.throw_clear_m,
            "either_m" => &mut self.either_m,
            "kick_m" => &mut self.kick_m,
            "set_kick_m" => &mut self.set_kick_m,
            "set_shot_m" => &mut self.set_shot_m,
            "fist_deg" => &mut self.fist_deg,
            "backsight_limit_deg" => &mut self.backsight_limit_deg,
            "bearing_only_m" => &mut self.bearing_only_m,
            "relay_wait_m" => &mut self.relay_wait_m,
            "on_full_run_m" => &mut self.on_full_run_m,
            "pair_m" => &mut self.pair_m,
            "eye_m" => &mut self.eye_m,
            "ball_height_m" => &mut self.ball_height_m,
            "ball_across_m" => &mut self.ball_across_m,
            "quarter_min" => &mut self.quarter_min,
            "short_break_min" => &mut self.short_break_min,
            "long_break_min" => &mut self.long_break_min,
            "walk_m_s" => &mut self.walk_m_s,
            "run_m_s" => &mut self.run_m_s,
            "sprint_m_s" => &mut self.sprint_m_s,
            "backward_m_s" => &mut self.backward_m_s,
            "glare_deg" => &mut self.glare_deg,
            "glare_high_deg" => &mut self.glare_high_deg,
            _ => return None,
        })
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
        assert!(p.trouble().is_none());
        assert!(p.set("kick_m", 0.0) && p.trouble().is_some());
        assert!(p.set("kick_m", 50.0) && p.trouble().is_none());
        assert!(p.set("back_m", 1500.0) && p.trouble().is_some_and(|t| t.contains("at most 50")));
    }
}
