//! A day of the Gregorian calendar, without a clock or a time zone.

use std::fmt;
use std::str::FromStr;

use jiff::civil;

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

/// What moments in files are counted from.
const EPOCH: civil::Date = civil::date(1970, 1, 1);

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

impl Day {
    /// # Errors
    /// [`Invalid::NotADay`] outside 1900–2199 or off the calendar.
    pub fn new(year: u16, month: u8, day: u8) -> Result<Self, Invalid> {
        if (1900..=2199).contains(&year)
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

    /// Days from 1970-01-01.
    #[must_use]
    pub fn days_from_1970(self) -> i32 {
        // In range by this type's own, so the casts are exact and the difference is some 84,000 at most.
        let day = civil::date(self.year.cast_signed(), self.month.cast_signed(), self.day.cast_signed());
        day.duration_since(EPOCH).as_hours().div_euclid(24) as i32
    }

    /// The day so many days from 1970-01-01.
    ///
    /// # Errors
    /// [`Invalid::NotADay`] outside 1900–2199.
    pub fn of_days_from_1970(days: i32) -> Result<Self, Invalid> {
        let wrong = || Invalid::NotADay { got: format!("{days} days from 1970-01-01") };
        let span = jiff::Span::new().try_days(days).map_err(|_| wrong())?;
        let day = EPOCH.checked_add(span).map_err(|_| wrong())?;
        let year = u16::try_from(day.year()).map_err(|_| wrong())?;
        Self::new(year, day.month().cast_unsigned(), day.day().cast_unsigned()).map_err(|_| wrong())
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
        // RFC 3339's own example of a moment, 1985-04-12T23:20:50.52Z, is 482,196,050.52 s (5,580 days) on.
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
