//! Changing a rule set by its keys, from a league's own file and from a venue's file on top of it.

use super::{
    By, Change, Choice, Grounds, LastDisposal, NotSet, Practice, Reason, Restart, RuleSet, Setting, Sourced,
    Standing,
};

impl RuleSet {
    /// Replaces one number by its key in a venue file; `false` when there is no such key, or the value is
    /// outside its bounds.
    pub fn set(&mut self, key: &str, value: f64) -> bool {
        Self::row(key).is_some() && self.put(key, &Setting::Number(value), By::Venue).is_ok()
    }

    /// Replaces the value of a key: a number of the rules or of practice, or a [`Choice`].
    ///
    /// # Errors
    /// [`NotSet`], and nothing is changed.
    ///
    /// # Examples
    /// ```
    /// use ovalpeg::rules::{By, RuleSet, Setting};
    /// let mut rules = RuleSet::laws();
    /// rules.put("square_side_m", &Setting::None, By::League)?;
    /// assert_eq!(rules.square_side_m.given(), None);
    /// assert!(rules.put("length_min_m", &Setting::Number(1350.0), By::League).is_err());
    /// # Ok::<(), ovalpeg::rules::NotSet>(())
    /// ```
    pub fn put(&mut self, key: &str, setting: &Setting, by: By) -> Result<(), NotSet> {
        if let Some(row) = Self::row(key) {
            let slot = self.slot(key).ok_or(NotSet::NoSuchKey)?;
            *slot = match setting {
                Setting::Number(value) => {
                    row.holds(*value)?;
                    by.number(*slot, *value)
                }
                Setting::None if row.optional => {
                    Sourced { standing: Standing::Absent, ..by.number(*slot, 0.0) }
                }
                Setting::None => return Err(NotSet::Needed(row)),
                _ => return Err(NotSet::NoNumber(row)),
            };
            return Ok(());
        }
        if let Some(row) = Practice::row(key) {
            return match setting {
                Setting::Number(value) => self.practice.put(key, *value, by),
                Setting::None => Err(NotSet::Needed(row)),
                _ => Err(NotSet::NoNumber(row)),
            };
        }
        let choice = Choice::ALL.into_iter().find(|c| c.key() == key).ok_or(NotSet::NoSuchKey)?;
        self.choose(choice, setting, by)
    }

    fn choose(&mut self, choice: Choice, setting: &Setting, by: By) -> Result<(), NotSet> {
        let grounds = by.grounds();
        match (choice, setting) {
            (Choice::OnTheArcIsInside, Setting::Flag(yes)) => {
                (self.on_arc_is_inside, self.because.on_arc_is_inside) = (*yes, grounds);
            }
            (Choice::ThrowIns, Setting::Flag(yes)) => {
                (self.throw_ins, self.because.throw_ins) = (*yes, grounds)
            }
            (Choice::LastDisposal, Setting::Flag(yes)) => {
                let law = if *yes { LastDisposal::BetweenArcs } else { LastDisposal::No };
                (self.last_disposal, self.because.last_disposal) = (law, grounds);
            }
            (Choice::Restart, Setting::Word(word)) => {
                let restart = Restart::find(word).ok_or(NotSet::NoSuchChoice(choice))?;
                (self.restart, self.because.restart) = (restart, grounds);
            }
            _ => return Err(NotSet::NoSuchChoice(choice)),
        }
        Ok(())
    }

    /// As [`RuleSet::put`] by a league; the old value and the reason are kept in [`RuleSet::changes`].
    ///
    /// # Errors
    /// [`NotSet`], and nothing is changed.
    pub fn change(&mut self, key: &str, setting: &Setting, reason: &Reason) -> Result<(), NotSet> {
        let was = self.shown(key).ok_or(NotSet::NoSuchKey)?.1;
        self.put(key, setting, By::League)?;
        let (key, now) = self.shown(key).ok_or(NotSet::NoSuchKey)?;
        let Reason { why, source, year } = reason.clone();
        self.changes.push(Change { key, was, now, why, source, year });
        Ok(())
    }

    /// The source of a number with its edition and year; for a number that a league set, the league's reason.
    #[must_use]
    pub fn cite(&self, key: &str) -> String {
        let number = self.get(key).or_else(|| self.practice.get(key));
        let change = self.changes.iter().find(|c| c.key == key);
        match (number, change) {
            (Some(n), Some(c)) if n.standing == Standing::League => format!("{}: {}", self.name, c.why),
            (Some(n), _) => n.cite(),
            (None, _) => String::new(),
        }
    }

    /// The key as a static string, and its value as printed.
    fn shown(&self, key: &str) -> Option<(&'static str, String)> {
        let numbers = self.entries().chain(self.practice.entries());
        if let Some((row, n)) = numbers.into_iter().find(|(row, _)| row.key == key) {
            return Some((row.key, row.shown(n)));
        }
        let choice = Choice::ALL.into_iter().find(|c| c.key() == key)?;
        Some((choice.key(), choice.words(self).to_owned()))
    }

    /// Every key that a file may set: those of the rules first, then practice, then the choices.
    pub fn keys() -> impl Iterator<Item = &'static str> {
        Self::ROWS
            .iter()
            .chain(Practice::ROWS)
            .map(|row| row.key)
            .chain(Choice::ALL.into_iter().map(Choice::key))
    }
}

impl Choice {
    /// What a rule set has for this choice, in words.
    #[must_use]
    pub fn words(self, rules: &RuleSet) -> &'static str {
        let yes_or_no = |yes: bool| if yes { "yes" } else { "no" };
        match self {
            Self::OnTheArcIsInside => yes_or_no(rules.on_arc_is_inside),
            Self::ThrowIns => yes_or_no(rules.throw_ins),
            Self::LastDisposal => match rules.last_disposal {
                LastDisposal::BetweenArcs => "yes",
                LastDisposal::No => "no",
                LastDisposal::NotStated => "not stated",
            },
            Self::Restart => rules.restart.words(),
        }
    }

    /// Where that comes from.
    #[must_use]
    pub fn grounds(self, rules: &RuleSet) -> Grounds {
        let because = &rules.because;
        match self {
            Self::OnTheArcIsInside => because.on_arc_is_inside,
            Self::ThrowIns => because.throw_ins,
            Self::LastDisposal => because.last_disposal,
            Self::Restart => because.restart,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reason() -> Reason {
        Reason { why: "older grounds".into(), source: Some("by-law 7".into()), year: Some(2026) }
    }

    #[test]
    fn a_change_says_what_it_was_and_why() {
        let mut set = RuleSet::laws();
        set.change("length_min_m", &Setting::Number(130.0), &reason()).unwrap();
        set.change("square_side_m", &Setting::None, &reason()).unwrap();
        set.change("back_m", &Setting::Number(12.0), &reason()).unwrap();
        set.change("restart", &Setting::Word("ball-up".into()), &reason()).unwrap();
        let told: Vec<_> = set.changes.iter().map(|c| (c.key, c.was.as_str(), c.now.as_str())).collect();
        let want = [
            ("length_min_m", "135 m", "130 m"),
            ("square_side_m", "50 m", "none"),
            ("back_m", "15 m", "12 m"),
            ("restart", "ball-up or bounce", "ball-up"),
        ];
        assert_eq!(told, want);
        assert_eq!(set.length_min_m.standing, Standing::League);
        assert_eq!(set.cite("length_min_m"), "Laws of Australian Football, senior grounds: older grounds");
        assert_eq!(set.cite("length_max_m"), RuleSet::laws().length_max_m.cite());
        assert_eq!((set.restart, set.because.restart.standing), (Restart::BallUp, Standing::League));
    }

    #[test]
    fn what_may_not_be_written_changes_nothing() {
        let mut set = RuleSet::laws();
        for (key, setting, want) in [
            ("length_min_m", Setting::Number(1350.0), "length_min_m is 1350, outside 30 to 300 m"),
            ("post_gap_m", Setting::None, "post_gap_m can't be left out"),
            ("back_m", Setting::Flag(true), "back_m is not a number"),
            (
                "restart",
                Setting::Word("throw".into()),
                "restart is one of \"bounce\", \"ball-up\", \"ball-up or bounce\"",
            ),
            ("throw_ins", Setting::Number(1.0), "throw_ins is true or false"),
            ("lenght_min_m", Setting::Number(130.0), "there is no such key"),
        ] {
            assert_eq!(set.change(key, &setting, &reason()).unwrap_err().to_string(), want);
        }
        assert_eq!(set, RuleSet::laws());
    }
}
