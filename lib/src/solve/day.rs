//! The day on which a walk was recorded, where it was.

use crate::frame::Geodetic;
use crate::survey::{Format, Observation, Position, Survey};
use crate::units::Day;

/// Seconds of a day.
const DAY_S: f64 = 86_400.0;
/// Seconds by which the sun's noon is earlier for each degree of longitude eastward.
const SECONDS_PER_DEGREE: f64 = 240.0;

/// The local day of a file's first fix; `None` without a clock, or where it can't be told.
///
/// A receiver records UTC, and a Saturday morning in the east is still Friday there. Local is the sun's
/// mean time at the fix's own longitude, which differs from a state's clock by an hour and a half at most
/// (daylight saving), so that the day is the state's own from 1:30 to 22:30.
///
/// A table's times may be written in any zone. Where one is not stated they are read as UTC, so its day
/// counts only where it is the same both ways.
pub(super) fn local_day(survey: &Survey) -> Option<Day> {
    let first = survey
        .observations
        .iter()
        .filter_map(|o| Some((o.time_s?, longitude(o)?)))
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    let (utc_s, longitude_deg) = first;
    let local = day_of(utc_s + longitude_deg * SECONDS_PER_DEGREE)?;
    (survey.format != Format::Csv || day_of(utc_s)? == local).then_some(local)
}

fn longitude(o: &Observation) -> Option<f64> {
    let place: Geodetic = match o.position {
        Position::Geodetic(g) => g,
        Position::Grid(g) => g.geodetic().ok()?,
        Position::Plane(_) => return None,
    };
    Some(place.longitude_deg())
}

fn day_of(seconds: f64) -> Option<Day> {
    let days = (seconds / DAY_S).floor();
    // Far inside an i32 by the range of days.
    (days.abs() < 1e6).then(|| Day::of_days_from_1970(days as i32).ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{ReadOptions, read};

    fn day(text: &str) -> Option<String> {
        let survey = read(text.as_bytes(), &ReadOptions::default()).unwrap().value;
        local_day(&survey).map(|d| d.to_string())
    }

    fn gpx(time: &str, lon: f64) -> String {
        format!(
            "<gpx xmlns='http://www.topografix.com/GPX/1/1' version='1.1' creator='t'><trk><trkseg>\
             <trkpt lat='-37' lon='{lon}'><time>{time}</time></trkpt>\
             <trkpt lat='-37.001' lon='{lon}'><time>{time}</time></trkpt></trkseg></trk></gpx>"
        )
    }

    #[test]
    fn a_saturday_morning_in_the_east_is_no_friday() {
        // 08:30 on 14 March by Melbourne's summer clock is 21:30 of the 13th by UTC.
        assert_eq!(day(&gpx("2026-03-13T21:30:00Z", 145.0)).unwrap(), "2026-03-14");
        // 17:00 of the 14th in Perth.
        assert_eq!(day(&gpx("2026-03-14T09:00:00Z", 116.0)).unwrap(), "2026-03-14");
        assert_eq!(day("lat,lon\n-37,145\n-37.001,145\n"), None);
    }

    #[test]
    fn a_tables_day_counts_only_where_its_zone_does_not_matter() {
        let csv = |time: &str| format!("lat,lon,time\n-37,145,{time}\n-37.001,145,{time}\n");
        assert_eq!(day(&csv("2026-03-14 10:00:00")).unwrap(), "2026-03-14");
        assert_eq!(day(&csv("2026-03-14 20:00:00")), None);
    }
}
