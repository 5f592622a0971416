//! A day of the Gregorian calendar, without a clock or a time zone.

use std::fmt;
use std::ops::RangeInclusive;
use std::str::FromStr;

use super::Invalid;

/// A civil day, 1900 to 2199.
///
/// # Examples
/// ```
/// use ovalpeg::units::Day;
/// let day: Day = "2026-03-14".parse()?;
/// assert_eq!(day.ordinal(), 73);
/// # Ok::<(), ovalpeg::units::Invalid>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day {
    year: u16,
    month: u8,
    day: u8,
}

/// The years that a [`Day`] may lie in.
const YEARS: RangeInclusive<u16> = 1900..=2199;

fn is_leap(year: u16) -> bool {
    year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400))
}

fn month_length(year: u16, month: u8) -> u8 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if is_leap(year) => 29,
        2 => 28,
        _ => 31,
    }
}

/// Days from 1970-01-01 to the first of January.
fn new_year(year: u16) -> i32 {
    // Every fourth year is a leap year, but of the century years only every fourth.
    let days = |before: i32| 365 * before + before / 4 - before / 100 + before / 400;
    days(i32::from(year) - 1) - days(1969)
}

impl Day {
    /// A day by its year, month (1 to 12) and day of the month (from 1).
    ///
    /// # Errors
    /// [`Invalid::NotADay`] outside 1900–2199 or off the calendar.
    pub fn new(year: u16, month: u8, day: u8) -> Result<Self, Invalid> {
        if YEARS.contains(&year)
            && (1..=12).contains(&month)
            && (1..=month_length(year, month)).contains(&day)
        {
            Ok(Self { year, month, day })
        } else {
            Err(Invalid::NotADay { got: format!("{year:04}-{month:02}-{day:02}") })
        }
    }

    /// The year.
    #[must_use]
    pub fn year(self) -> u16 {
        self.year
    }

    /// The month, 1 to 12.
    #[must_use]
    pub fn month(self) -> u8 {
        self.month
    }

    /// Day of the month, from 1.
    #[must_use]
    pub fn day(self) -> u8 {
        self.day
    }

    /// Day of the year, from 1.
    #[must_use]
    pub fn ordinal(self) -> u16 {
        (1..self.month).map(|m| u16::from(month_length(self.year, m))).sum::<u16>() + u16::from(self.day)
    }

    /// Days since 1970-01-01, negative before it.
    #[must_use]
    pub fn days_from_1970(self) -> i32 {
        new_year(self.year) + i32::from(self.ordinal()) - 1
    }

    /// The day that is `days` days after 1970-01-01, or before it where `days` is negative.
    ///
    /// # Errors
    /// [`Invalid::NotADay`] outside 1900–2199.
    pub fn of_days_from_1970(days: i32) -> Result<Self, Invalid> {
        let year = YEARS.rev().find(|y| new_year(*y) <= days);
        let found = year.and_then(|year| {
            let mut left = days - new_year(year);
            for month in 1..=12 {
                let length = i32::from(month_length(year, month));
                if left < length {
                    return Self::new(year, month, u8::try_from(left + 1).ok()?).ok();
                }
                left -= length;
            }
            None
        });
        found.ok_or_else(|| Invalid::NotADay { got: format!("{days} days from 1970-01-01") })
    }

    /// `Mar 2026`, as on a card.
    #[must_use]
    pub fn month_and_year(self) -> String {
        const NAMES: [&str; 12] =
            ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
        format!("{} {}", NAMES[usize::from(self.month) - 1], self.year)
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl FromStr for Day {
    type Err = Invalid;

    fn from_str(s: &str) -> Result<Self, Invalid> {
        let bad = || Invalid::NotADay { got: s.to_owned() };
        let mut parts = s.trim().split('-');
        let (Some(y), Some(m), Some(d), None) = (parts.next(), parts.next(), parts.next(), parts.next())
        else {
            return Err(bad());
        };
        if (y.len(), m.len(), d.len()) != (4, 2, 2) {
            return Err(bad());
        }
        Self::new(y.parse().map_err(|_| bad())?, m.parse().map_err(|_| bad())?, d.parse().map_err(|_| bad())?)
            .map_err(|_| bad())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_and_prints_iso_days_only() {
        assert_eq!("2028-02-29".parse::<Day>().unwrap().to_string(), "2028-02-29");
        for bad in ["2027-02-29", "2026-3-14", "14/03/2026", "2026-13-01", "", "2026-03-14-1", "20x6-01-01"] {
            assert!(bad.parse::<Day>().is_err(), "{bad}");
        }
    }

    #[test]
    fn the_last_day_of_a_leap_year_is_366() {
        assert_eq!(Day::new(2028, 12, 31).unwrap().ordinal(), 366);
        assert_eq!(Day::new(2100, 12, 31).unwrap().ordinal(), 365); // a century, not a leap year
    }

    #[test]
    fn days_from_1970_go_there_and_back_for_every_day() {
        let mut day = Day::new(1900, 1, 1).unwrap();
        let mut n = day.days_from_1970();
        assert_eq!(Day::new(1970, 1, 1).unwrap().days_from_1970(), 0);
        // RFC 3339's example of a time, 1985-04-12T23:20:50.52Z,
        // is 482,196,050.52 s (5,580 days) after 1970-01-01.
        assert_eq!(Day::new(1985, 4, 12).unwrap().days_from_1970(), 5_580);
        for _ in 0..109_571 {
            assert_eq!(Day::of_days_from_1970(n), Ok(day));
            n += 1;
            day = Day::new(day.year, day.month, day.day + 1)
                .or_else(|_| Day::new(day.year, day.month + 1, 1))
                .or_else(|_| Day::new(day.year + 1, 1, 1))
                .unwrap();
            assert_eq!(day.days_from_1970(), n);
        }
        assert!(Day::of_days_from_1970(-25_568).is_err() && Day::of_days_from_1970(i32::MAX).is_err());
    }
}
