//! Civil time at a ground: time zones with daylight saving, and the instants that local times mean.

use super::zones::{self, Rules};
use crate::units::Day;

/// A time zone by its name in the IANA database: `Australia/Melbourne`.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    name: String,
    rules: Rules,
}

/// A time of day, to the minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct TimeOfDay {
    minutes: u16,
}

/// A moment, seconds from 1970-01-01T00:00:00Z, leap seconds not counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Instant {
    unix_s: i64,
}

/// Why there is no such time.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum NoTime {
    /// No time of day: wants hours and minutes, as 14:10.
    NotATime(String),
    /// No zone of this name.
    NoZone(String),
    /// The zone has no answer for that day.
    OutOfRange,
}

impl std::fmt::Display for NoTime {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotATime(text) => write!(f, "'{text}' is no time of day: hours and minutes, as 14:10"),
            Self::NoZone(name) => {
                write!(f, "'{name}' is no time zone: {}", zones::HELD)
            }
            Self::OutOfRange => f.write_str("the time zone has no answer for that day"),
        }
    }
}

impl std::error::Error for NoTime {}

/// Minutes of a day.
const DAY_MIN: u16 = 24 * 60;

impl TimeOfDay {
    /// A time of day from hours and minutes.
    ///
    /// # Errors
    /// [`NoTime::NotATime`] past 23:59.
    pub fn new(hour: u16, minute: u16) -> Result<Self, NoTime> {
        if hour > 23 || minute > 59 {
            return Err(NoTime::NotATime(format!("{hour}:{minute:02}")));
        }
        Ok(Self { minutes: hour * 60 + minute })
    }

    /// The time of day `minutes` later; after midnight it starts again at 0:00.
    #[must_use]
    pub fn later(self, minutes: u16) -> Self {
        Self { minutes: (self.minutes + minutes % DAY_MIN) % DAY_MIN }
    }

    /// Minutes from midnight.
    #[must_use]
    pub fn minutes(self) -> u16 {
        self.minutes
    }
}

impl std::str::FromStr for TimeOfDay {
    type Err = NoTime;

    /// `14:10`, `14.10`, `9:05`.
    fn from_str(text: &str) -> Result<Self, NoTime> {
        let not = || NoTime::NotATime(text.to_owned());
        let (h, m) = text.trim().split_once([':', '.']).ok_or_else(not)?;
        let number = |s: &str, longest| {
            let fits = (1..=longest).contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit());
            if fits { s.parse::<u16>().map_err(|_| not()) } else { Err(not()) }
        };
        if m.len() != 2 {
            return Err(not());
        }
        Self::new(number(h, 2)?, number(m, 2)?).map_err(|_| not())
    }
}

impl std::fmt::Display for TimeOfDay {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{:02}", self.minutes / 60, self.minutes % 60)
    }
}

impl Zone {
    /// The zone of this name. Without the feature `world-zones` only the zones of Australia and its
    /// neighbours are known, with their rules since 2020; earlier days are [`NoTime::OutOfRange`].
    ///
    /// # Errors
    /// [`NoTime::NoZone`] for an unknown name.
    pub fn find(name: &str) -> Result<Self, NoTime> {
        let rules = zones::find(name).ok_or_else(|| NoTime::NoZone(name.to_owned()))?;
        Ok(Self { name: name.to_owned(), rules })
    }

    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The instant `minutes_on` minutes after a local day and time. A time that daylight saving skips counts
    /// as an hour later; a time that occurs twice is taken as the first.
    ///
    /// # Errors
    /// [`NoTime::OutOfRange`] for a day that the zone's rules do not cover.
    ///
    /// # Examples
    /// ```
    /// use ovalpeg::{sky::{TimeOfDay, Zone}, units::Day};
    /// let zone = Zone::find("Australia/Melbourne")?;
    /// let at = zone.instant(Day::new(2026, 6, 20)?, TimeOfDay::new(14, 30)?, 0)?;
    /// assert_eq!(at.to_string(), "2026-06-20T04:30:00Z");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn instant(&self, day: Day, time: TimeOfDay, minutes_on: u16) -> Result<Instant, NoTime> {
        let unix_s = self.rules.unix_s(day, time).ok_or(NoTime::OutOfRange)?;
        Ok(Instant { unix_s: unix_s + 60 * i64::from(minutes_on) })
    }
}

/// Seconds of a day.
const DAY_S: i64 = 86_400;
/// Julian date of 1970-01-01T00:00:00Z.
const UNIX_EPOCH_JD: f64 = 2_440_587.5;

impl Instant {
    /// An instant from seconds since 1970-01-01T00:00:00Z.
    #[must_use]
    pub fn from_unix_s(unix_s: i64) -> Self {
        Self { unix_s }
    }

    /// Julian date, UT.
    #[must_use]
    pub fn julian_date(self) -> f64 {
        UNIX_EPOCH_JD + self.unix_s as f64 / DAY_S as f64
    }
}

impl std::fmt::Display for Instant {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (days, s) = (self.unix_s.div_euclid(DAY_S), self.unix_s.rem_euclid(DAY_S));
        match i32::try_from(days).ok().and_then(|days| Day::of_days_from_1970(days).ok()) {
            Some(day) => write!(f, "{day}T{:02}:{:02}:{:02}Z", s / 3600, s / 60 % 60, s % 60),
            None => write!(f, "{} s from 1970", self.unix_s),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_as_people_type_them() {
        let t: TimeOfDay = "14:10".parse().unwrap();
        assert_eq!((t.minutes(), t.to_string()), (850, "14:10".to_owned()));
        assert_eq!("2.05".parse::<TimeOfDay>().unwrap().to_string(), "2:05");
        assert_eq!(t.later(11 * 60).to_string(), "1:10");
        for bad in ["", "14", "24:00", "14:60", "14:5", "+1:20", "a:bc", "14:10:00"] {
            assert!(bad.parse::<TimeOfDay>().is_err(), "{bad}");
        }
        assert!(Zone::find("Australia/Nowhere").unwrap_err().to_string().contains("Australia/Melbourne"));
    }

    #[test]
    fn daylight_saving_as_the_database_has_it() {
        // Melbourne: UTC+10, and +11 from the first Sunday of October (2026-10-04) at 2:00.
        let zone = Zone::find("Australia/Melbourne").unwrap();
        let at = |m, d, h, min| {
            let day = Day::new(2026, m, d).unwrap();
            zone.instant(day, TimeOfDay::new(h, min).unwrap(), 0).unwrap().to_string()
        };
        assert_eq!(at(10, 3, 14, 0), "2026-10-03T04:00:00Z");
        assert_eq!(at(10, 4, 14, 0), "2026-10-04T03:00:00Z");
        // 2:30 is skipped, so it counts as 3:30.
        assert_eq!(at(10, 4, 2, 30), at(10, 4, 3, 30));
        // No daylight saving in Brisbane, half an hour in Darwin.
        let brisbane = Zone::find("Australia/Brisbane").unwrap();
        let noon = TimeOfDay::new(12, 0).unwrap();
        let of = |z: &Zone| z.instant(Day::new(2026, 12, 1).unwrap(), noon, 30).unwrap().to_string();
        assert_eq!(of(&brisbane), "2026-12-01T02:30:00Z");
        assert_eq!(of(&Zone::find("Australia/Darwin").unwrap()), "2026-12-01T03:00:00Z");
    }

    #[test]
    fn a_moment_is_written_as_days_hours_and_seconds_before_1970_too() {
        // RFC 3339's example of a time, without its half second.
        assert_eq!(Instant::from_unix_s(482_196_050).to_string(), "1985-04-12T23:20:50Z");
        assert_eq!(Instant::from_unix_s(-1).to_string(), "1969-12-31T23:59:59Z");
        assert_eq!(Instant::from_unix_s(i64::MAX).to_string(), "9223372036854775807 s from 1970");
    }
}
