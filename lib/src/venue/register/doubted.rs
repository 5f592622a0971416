//! Doubts about a registration itself: whether the ground is registered already, and whether the survey's day
//! is plausible.

use crate::solve::{Doubt, Doubted};
use crate::units::print::fixed;
use crate::units::{Day, Problem};

/// Two grounds that share more than this part of the smaller one are probably the same ground.
const NEAR_SHARE: f64 = 0.5;
/// How far ahead of today a survey's day may be, days: the clock and the ground may be in different time
/// zones.
const AHEAD_DAYS: i32 = 1;

/// The doubt that another venue's ground lies in the same place. `share` comes from
/// [`overlap_share`](super::overlap_share).
#[must_use]
pub fn near_doubt(name: &str, id: &str, share: f64) -> Option<Doubted> {
    (share > NEAR_SHARE).then(|| Doubted {
        doubt: Doubt::Near,
        problem: Problem::new(format!(
            "this ground overlaps {name}, registered as {id}, by {} % of the smaller of the two",
            fixed(100.0 * share, 0)
        ))
        .hint("if it is the same ground, put the survey into that venue"),
    })
}

/// The doubt that a survey's day lies ahead of today, or before the day of the survey that it replaces.
#[must_use]
pub fn date_doubt(surveyed: Day, today: Day, replaced: Option<Day>) -> Option<Doubted> {
    let ahead = surveyed.days_from_1970() - today.days_from_1970();
    let problem = if ahead > AHEAD_DAYS {
        Problem::new(format!("the survey is of {surveyed}, {ahead} days ahead of today, {today}"))
            .hint("say the day on which it was surveyed")
    } else {
        let before = replaced.filter(|before| surveyed < *before)?;
        Problem::new(format!(
            "the survey is of {surveyed}, and the one that it is to replace is later, of {before}"
        ))
        .hint("say the day on which it was surveyed")
    };
    Some(Doubted { doubt: Doubt::Date, problem })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_than_half_of_the_smaller_is_near() {
        assert_eq!(near_doubt("X", "x", 0.5), None);
        let d = near_doubt("Marrow Plains", "marrow-plains", 0.934).unwrap();
        assert_eq!(d.doubt, Doubt::Near);
        assert!(d.problem.message().contains("Marrow Plains, registered as marrow-plains, by 93 %"));
    }

    #[test]
    fn a_day_is_doubted_more_than_a_day_ahead_or_before_what_it_replaces() {
        let day = |m, d| Day::new(2026, m, d).unwrap();
        let today = day(7, 31);
        assert_eq!(date_doubt(day(8, 1), today, None), None);
        let ahead = date_doubt(day(8, 2), today, None).unwrap();
        assert_eq!(ahead.problem.message(), "the survey is of 2026-08-02, 2 days ahead of today, 2026-07-31");
        assert_eq!(date_doubt(day(3, 14), today, Some(day(3, 14))), None);
        let older = date_doubt(day(3, 13), today, Some(day(3, 14))).unwrap();
        assert_eq!(older.doubt, Doubt::Date);
        assert!(older.problem.message().contains("is later, of 2026-03-14"));
    }
}
