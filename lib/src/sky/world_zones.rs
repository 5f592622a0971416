//! Every time zone of the IANA database.

use jiff::civil::date;
use jiff::tz::TimeZone;

use super::TimeOfDay;
use crate::units::Day;

/// Describes the zone names that are accepted, for the message about an unknown one.
pub(super) const HELD: &str = "a name of the IANA database, as Australia/Melbourne";

/// The rules of one zone, for all years of the database.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rules(TimeZone);

/// The zone of a name in the database; `None` if there is none.
pub(super) fn find(name: &str) -> Option<Rules> {
    TimeZone::get(name).ok().map(Rules)
}

impl Rules {
    /// Seconds from 1970-01-01T00:00:00Z of a local day and time; `None` outside the database's range. For a
    /// time that occurs twice it is the first; a time that is skipped counts as an hour later.
    pub(super) fn unix_s(&self, day: Day, time: TimeOfDay) -> Option<i64> {
        let (year, hour, minute) = (day.year(), time.minutes() / 60, time.minutes() % 60);
        let of_day = |v: u16| i8::try_from(v).ok();
        let civil = date(year.cast_signed(), day.month().cast_signed(), day.day().cast_signed());
        let civil = civil.at(of_day(hour)?, of_day(minute)?, 0, 0);
        Some(self.0.to_timestamp(civil).ok()?.as_second())
    }
}
