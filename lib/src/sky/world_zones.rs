//! Every time zone of the IANA database.

use jiff::civil::date;
use jiff::tz::TimeZone;

use super::TimeOfDay;
use crate::units::Day;

/// What is held, for who asked for a zone that is not.
pub(super) const HELD: &str = "a name of the IANA database, as Australia/Melbourne";

/// The rules of one zone, as long as they are known.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rules(TimeZone);

/// By a name of the database; `None`: there is none.
pub(super) fn find(name: &str) -> Option<Rules> {
    TimeZone::get(name).ok().map(Rules)
}

impl Rules {
    /// Seconds from 1970-01-01T00:00:00Z; of a time that comes twice the first, and of one that is skipped an
    /// hour later. `None`: out of the database's range.
    pub(super) fn unix_s(&self, day: Day, time: TimeOfDay) -> Option<i64> {
        let (year, hour, minute) = (day.year(), time.minutes() / 60, time.minutes() % 60);
        let of_day = |v: u16| i8::try_from(v).ok();
        let civil = date(year.cast_signed(), day.month().cast_signed(), day.day().cast_signed());
        let civil = civil.at(of_day(hour)?, of_day(minute)?, 0, 0);
        Some(self.0.to_timestamp(civil).ok()?.as_second())
    }
}
