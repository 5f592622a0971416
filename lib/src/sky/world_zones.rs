//! Every time zone of the IANA database.

use jiff::tz::TimeZone;

/// By a name of the database; `None`: there is none.
pub(super) fn find(name: &str) -> Option<TimeZone> {
    TimeZone::get(name).ok()
}

/// What is held, for who asked for a zone that is not.
pub(super) const HELD: &str = "a name of the IANA database, as Australia/Melbourne";
