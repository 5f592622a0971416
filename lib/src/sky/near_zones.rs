//! A small table of time zones for a phone page, where the world's zones would take most of the download:
//! Australia, its islands, and neighbours that play the game. It has the rules since [`SINCE`] and no earlier
//! changes, which matter to no coming match. A test compares it with the IANA database.

use super::TimeOfDay;
use crate::units::Day;

/// Describes the zone names that are accepted, for the message about an unknown one.
#[cfg(not(feature = "world-zones"))]
pub(super) const HELD: &str = "a name of the IANA database, of those held here: Australia's and its neighbours', as Australia/Melbourne";

/// The first year in which every zone here has its present rules: Norfolk Island's daylight saving began in
/// October 2019 (IANA database).
const SINCE: u16 = 2020;

/// The rules of one zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rules {
    /// Minutes that standard time is ahead of UTC.
    standard_min: i32,
    saving: Option<Saving>,
}

/// Daylight saving in a southern summer, over the turn of the year.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Saving {
    /// Minutes that the clocks are put forward.
    by_min: i32,
    /// Month and day: the clocks go forward on the first Sunday on or after it, at [`FORWARD_MIN`].
    from: (u8, u8),
    /// Month and day: the clocks go back on the first Sunday on or after it.
    to: (u8, u8),
    /// When the clocks go back, minutes from midnight by the clock put forward.
    back_min: i32,
}

/// When the clocks go forward, minutes from midnight: at two o'clock in every zone here.
const FORWARD_MIN: i32 = 2 * 60;

const DAY_MIN: i32 = 24 * 60;

/// From the first Sunday of October to the first Sunday of April.
const SUMMER: Saving = Saving { by_min: 60, from: (10, 1), to: (4, 1), back_min: 3 * 60 };
/// Half an hour forward, and back at two by the clock put forward.
const LORD_HOWE: Saving = Saving { by_min: 30, back_min: 2 * 60, ..SUMMER };
/// From the last Sunday of September.
const NEW_ZEALAND: Saving = Saving { from: (9, 24), ..SUMMER };

/// The zone of a name in the IANA database, or of an older name that the
/// database keeps; `None` if it is not here.
pub(super) fn find(name: &str) -> Option<Rules> {
    let (hours, minutes, saving) = match name.to_ascii_lowercase().as_str() {
        "australia/perth" | "australia/west" => (8, 0, None),
        "australia/eucla" => (8, 45, None),
        "australia/darwin" | "australia/north" => (9, 30, None),
        "australia/adelaide" | "australia/south" | "australia/broken_hill" | "australia/yancowinna" => {
            (9, 30, Some(SUMMER))
        }
        "australia/brisbane" | "australia/queensland" | "australia/lindeman" => (10, 0, None),
        "australia/sydney"
        | "australia/act"
        | "australia/canberra"
        | "australia/nsw"
        | "australia/melbourne"
        | "australia/victoria"
        | "australia/hobart"
        | "australia/tasmania"
        | "australia/currie"
        | "antarctica/macquarie" => (10, 0, Some(SUMMER)),
        "australia/lord_howe" | "australia/lhi" => (10, 30, Some(LORD_HOWE)),
        "indian/christmas" => (7, 0, None),
        "indian/cocos" => (6, 30, None),
        "pacific/auckland" | "nz" => (12, 0, Some(NEW_ZEALAND)),
        "pacific/nauru" => (12, 0, None),
        "pacific/norfolk" => (11, 0, Some(SUMMER)),
        "pacific/port_moresby" => (10, 0, None),
        _ => return None,
    };
    Some(Rules { standard_min: 60 * hours + minutes, saving })
}

impl Rules {
    /// Seconds from 1970-01-01T00:00:00Z of a local day and time; `None` before [`SINCE`]. For a time that
    /// occurs twice it is the first; a time that is skipped counts as an hour
    /// later (half an hour on Lord Howe Island).
    pub(super) fn unix_s(self, day: Day, time: TimeOfDay) -> Option<i64> {
        if day.year() < SINCE {
            return None;
        }
        let clock_min = day.days_from_1970() * DAY_MIN + i32::from(time.minutes());
        let forward_min = match self.saving {
            Some(saving) if saving.holds(day.year(), clock_min)? => saving.by_min,
            _ => 0,
        };
        Some(60 * i64::from(clock_min - self.standard_min - forward_min))
    }
}

impl Saving {
    /// Are the clocks forward when they show `clock_min` minutes after 1970-01-01T00:00?
    /// A skipped time counts as standard time.
    fn holds(self, year: u16, clock_min: i32) -> Option<bool> {
        let midnight = |(month, day)| Some(DAY_MIN * sunday_from(Day::new(year, month, day).ok()?));
        let begins = midnight(self.from)? + FORWARD_MIN + self.by_min;
        let ends = midnight(self.to)? + self.back_min;
        Some(clock_min < ends || clock_min >= begins)
    }
}

/// Days from 1970-01-01, a Thursday, to the first Sunday on or after a day.
fn sunday_from(day: Day) -> i32 {
    let days = day.days_from_1970();
    days + (3 - days).rem_euclid(7)
}

#[cfg(test)]
mod tests {
    use super::super::world_zones;
    use super::*;

    /// Every name above, as the database writes it.
    const HELD: [&str; 30] = [
        "Australia/Adelaide",
        "Australia/South",
        "Australia/Brisbane",
        "Australia/Queensland",
        "Australia/Broken_Hill",
        "Australia/Yancowinna",
        "Australia/Darwin",
        "Australia/North",
        "Australia/Eucla",
        "Australia/Hobart",
        "Australia/Tasmania",
        "Australia/Currie",
        "Australia/Lindeman",
        "Australia/Lord_Howe",
        "Australia/LHI",
        "Australia/Melbourne",
        "Australia/Victoria",
        "Australia/Perth",
        "Australia/West",
        "Australia/Sydney",
        "Australia/ACT",
        "Australia/Canberra",
        "Australia/NSW",
        "Antarctica/Macquarie",
        "Indian/Christmas",
        "Indian/Cocos",
        "Pacific/Auckland",
        "Pacific/Nauru",
        "Pacific/Norfolk",
        "Pacific/Port_Moresby",
    ];

    #[test]
    fn each_zone_held_is_the_databases_own_from_2020_to_2037() {
        let days = Day::new(SINCE, 1, 1).unwrap().days_from_1970()
            ..=Day::new(2037, 12, 31).unwrap().days_from_1970();
        for name in HELD {
            let (held, whole) = (find(name).unwrap(), world_zones::find(name).unwrap());
            for day in days.clone().map(|d| Day::of_days_from_1970(d).unwrap()) {
                // These include the minutes before and after each change of the clocks.
                let around = [0, 89, 90, 119, 120, 149, 150, 179, 180, 181, 720, 1439];
                for time in around.map(|m| TimeOfDay::new(m / 60, m % 60).unwrap()) {
                    assert_eq!(held.unix_s(day, time), whole.unix_s(day, time), "{name} {day} {time}");
                }
            }
        }
    }

    #[test]
    fn a_day_before_the_rules_that_are_held_has_no_answer_and_no_wrong_one() {
        let noon = TimeOfDay::new(12, 0).unwrap();
        let at = |year| find("Australia/Melbourne").unwrap().unix_s(Day::new(year, 12, 31).unwrap(), noon);
        assert_eq!((at(2019), at(2020)), (None, Some(1_609_376_400)));
    }

    #[test]
    fn every_zone_of_australia_that_the_database_has_is_held() {
        let mut n = 0;
        for name in jiff::tz::db().available() {
            if name.as_str().starts_with("Australia/") {
                assert!(find(name.as_str()).is_some() && HELD.contains(&name.as_str()), "{name} is not held");
                n += 1;
            }
        }
        assert_eq!(n, 23);
        assert!(find("Europe/London").is_none());
    }
}
