//! Times in files, as seconds from 1970-01-01 UTC: RFC 3339, common variants of it, and
//! counts of seconds or milliseconds. Dates in another order
//! (14/03/2026) are ambiguous and are not read.

use crate::units::{Day, Problem, print};

/// Counts above this are milliseconds: as seconds it would be the year 5138, and as
/// milliseconds it is 1973, before any satellite fix.
const MILLISECONDS_FROM: f64 = 1e11;

/// Leap years from year 1 to the year before this one.
fn leap_years_before(year: u16) -> i32 {
    let y = i32::from(year) - 1;
    y / 4 - y / 100 + y / 400
}

/// Days from 1970-01-01 to a day.
fn days(day: Day) -> i32 {
    365 * (i32::from(day.year()) - 1970) + leap_years_before(day.year()) - leap_years_before(1970)
        + i32::from(day.ordinal())
        - 1
}

/// A number of exactly two digits.
fn pair(text: &str) -> Option<f64> {
    (text.len() == 2 && text.bytes().all(|b| b.is_ascii_digit())).then(|| text.parse().ok())?
}

/// Reads `2026-03-14T09:26:53.5+11:00`. The seconds, their fraction and the zone may be
/// missing, a blank may replace the T, and slashes the hyphens. Without a zone it is taken
/// as UTC: only differences matter, and a file keeps to one zone.
pub(super) fn civil(text: &str) -> Option<f64> {
    let text = text.trim();
    let (date, rest) = (text.get(..10)?, text.get(10..)?);
    if !date.bytes().all(|b| b.is_ascii_digit() || b"-/".contains(&b)) {
        return None;
    }
    let day: Day = date.replace('/', "-").parse().ok()?;
    let rest = rest.strip_prefix(['T', 't', ' '])?.trim_start();
    let end = rest.find(|c: char| !c.is_ascii_digit() && !":.,".contains(c)).unwrap_or(rest.len());
    let (clock, zone) = rest.split_at(end);
    let mut parts = clock.split(':');
    let (hours, minutes) = (pair(parts.next()?)?, pair(parts.next()?)?);
    let seconds = match parts.next() {
        None => 0.0,
        Some(s) => pair(s.get(..2)?)? + fraction(s.get(2..)?)?,
    };
    // Second 60 is a leap second.
    if parts.next().is_some() || hours > 23.0 || minutes > 59.0 || seconds >= 61.0 {
        return None;
    }
    Some(f64::from(days(day)) * 86_400.0 + hours * 3_600.0 + minutes * 60.0 + seconds - offset(zone.trim())?)
}

/// A fraction such as `.25`; an empty text is 0.
fn fraction(text: &str) -> Option<f64> {
    let Some(digits) = text.strip_prefix(['.', ',']) else { return text.is_empty().then_some(0.0) };
    let all = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
    all.then(|| format!("0.{digits}").parse().ok())?
}

/// The offset from UTC in seconds, positive east, of `Z`, `+10:30`, `+1030` or `+10`.
fn offset(zone: &str) -> Option<f64> {
    if ["", "Z", "z", "UTC", "GMT"].contains(&zone) {
        return Some(0.0);
    }
    let sign = if zone.starts_with('-') { -1.0 } else { 1.0 };
    let figures = zone.strip_prefix(['+', '-'])?;
    let hours = pair(figures.get(..2)?)?;
    let rest = figures.get(2..)?;
    let minutes = if rest.is_empty() { 0.0 } else { pair(rest.strip_prefix(':').unwrap_or(rest))? };
    (hours < 24.0 && minutes < 60.0).then_some(sign * (hours * 3_600.0 + minutes * 60.0))
}

/// A count of seconds, or of milliseconds where it is too large for seconds.
pub(super) fn count(value: f64) -> Option<f64> {
    let seconds = if value.abs() > MILLISECONDS_FROM { value / 1_000.0 } else { value };
    // About the end of the calendar that `civil` reads.
    (seconds.abs() < 7.3e9).then_some(seconds)
}

/// Reads times and remembers what could not be read, for one warning.
#[derive(Default)]
pub(super) struct Clock {
    bad: usize,
    first: Option<(String, String)>,
}

impl Clock {
    /// Reads a date and time, or a count. An empty text is `None` without a warning.
    pub(super) fn read(&mut self, text: &str, place: impl FnOnce() -> String) -> Option<f64> {
        let text = text.trim();
        if text.is_empty() {
            return None;
        }
        let time = civil(text).or_else(|| text.parse().ok().and_then(count));
        if time.is_none() {
            self.bad += 1;
            self.first.get_or_insert_with(|| (text.chars().take(print::QUOTED_CHARS + 1).collect(), place()));
        }
        time
    }

    /// The warning, if any time could not be read.
    pub(super) fn report(self) -> Option<Problem> {
        let (text, place) = self.first?;
        let more = if self.bad > 1 { format!(", and {} more like it", self.bad - 1) } else { String::new() };
        Some(
            Problem::new(format!("{} is not a date and a time{more}", print::quoted(&text)))
                .at(place)
                .hint("times are written as 2026-03-14T09:26:53Z; the points are read without"),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn known_moments() {
        // Well-known Unix times, such as 1e9 s and the last second in 32 bits.
        for (text, want) in [
            ("1970-01-01T00:00:00Z", 0.0),
            ("2001-09-09T01:46:40Z", 1e9),
            ("2038-01-19T03:14:07Z", 2_147_483_647.0),
            ("1969-12-31T23:59:59Z", -1.0),
        ] {
            assert_eq!(civil(text), Some(want), "{text}");
        }
    }

    #[test]
    fn every_day_follows_the_one_before() {
        let mut last = None;
        for year in 1900..=2199 {
            for month in 1..=12 {
                for day in 1..=31 {
                    let Ok(d) = Day::new(year, month, day) else { continue };
                    assert!(last.is_none_or(|l| days(d) == l + 1), "{d}");
                    last = Some(days(d));
                }
            }
        }
        // The 230 years from 1970 have 56 leap days: every fourth year makes 57, and 2100 is not one.
        assert_eq!(last, Some(230 * 365 + 56 - 1));
    }

    #[test]
    fn what_programs_make_of_it() {
        let want = civil("2026-03-14T09:26:53Z");
        assert!(want.is_some());
        for text in [
            "2026-03-14T09:26:53",
            "2026-03-14 09:26:53",
            "2026/03/14 09:26:53+00",
            "2026-03-14t09:26:53.000z",
            "2026-03-14T19:56:53+10:30",
            "2026-03-14T19:56:53+1030",
            "2026-03-13T23:26:53-10",
            "2026-03-14 09:26:53 UTC",
            " 2026-03-14T09:26:53,0Z\n",
        ] {
            assert_eq!(civil(text), want, "{text}");
        }
        assert_eq!(civil("2026-03-14T09:26:53.25Z"), want.map(|t| t + 0.25));
        assert_eq!(civil("2026-03-14T09:26"), want.map(|t| t - 53.0));
    }

    #[test]
    fn what_is_no_time_is_counted_and_said_once() {
        let mut clock = Clock::default();
        for text in [
            "2026-13-01T00:00:00Z",
            "2026-03-14",
            "14/03/2026 09:26",
            "2026-03-14T24:00:00Z",
            "2026-03-14T09:60Z",
            "2026-03-14T09:26:53.Z",
            "2026-03-14T09:26:53+1",
            "2026-03-14T+9:26Z",
            "2026-+3-14T09:26Z",
            "2026-03-14é09:26",
            "soon",
            "NaN",
            "1e30",
        ] {
            assert_eq!(clock.read(text, || "line 2".into()), None, "{text}");
        }
        assert_eq!(clock.read("", || "line 3".into()), None);
        let said = clock.report().unwrap().to_string();
        assert!(said.starts_with("line 2: '2026-13-01T00:00:00Z'") && said.contains("12 more"), "{said}");
    }

    #[test]
    fn counts_are_seconds_or_milliseconds() {
        let mut clock = Clock::default();
        assert_eq!(clock.read("1000000000", String::new), Some(1e9));
        assert_eq!(clock.read("1000000000500", String::new), Some(1e9 + 0.5));
        assert!(clock.report().is_none());
    }
}
