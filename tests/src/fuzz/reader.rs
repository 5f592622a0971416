//! What must hold for every input of a survey's reader.

use ovalpeg::survey::{Format, MAX_POINTS, Position, ReadOptions, Survey, read};
use ovalpeg::units::{Problem, Warned};

use crate::sound::{hold, trouble_of_words};
use crate::whole::{Beside, Ended, whole};

/// A survey with more points than this is not fitted.
const FITTED: usize = 60;
/// Of the other surveys one in this many is fitted; a hash of its bytes decides.
const ONE_IN: u64 = 16;

/// Does the reader accept the input?
pub(super) fn takes(input: &[u8]) -> bool {
    read(input, &ReadOptions::default()).is_ok()
}

/// Checks that a refusal has a sound message, and that a survey contains only finite numbers.
///
/// # Errors
/// What is wrong.
pub(super) fn holds(input: &[u8]) -> Result<(), String> {
    let Warned { value: survey, warnings } = match read(input, &ReadOptions::default()) {
        Ok(read) => read,
        Err(e) => return words(&e.to_string()),
    };
    warnings.iter().try_for_each(|w| words(&w.to_string()))?;
    numbers(&survey)?;
    counted(input, &survey, &warnings)?;
    if let Ok(plane) = survey.plane()
        && let Ok(local) = survey.to_local(plane)
    {
        if local.points.len() != survey.observations.len() {
            return Err(format!("{} points became {}", survey.observations.len(), local.points.len()));
        }
        if let Some(p) = local.points.iter().find(|p| !p.at.is_finite()) {
            return Err(format!("{} has no place in the plane", p.place));
        }
    }
    let few = survey.observations.len() <= FITTED && survey.book.as_ref().is_none_or(|b| b.marks.len() <= 20);
    if few && hash(input).is_multiple_of(ONE_IN) {
        return further(input);
    }
    Ok(())
}

fn words(text: &str) -> Result<(), String> {
    trouble_of_words(text)
        .map_or(Ok(()), |why| Err(format!("{why}: {}", text.chars().take(300).collect::<String>())))
}

/// FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo).
fn hash(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |h, b| (h ^ u64::from(*b)).wrapping_mul(0x0000_0100_0000_01b3))
}

/// Checks that every number of a survey is finite and in its range.
fn numbers(survey: &Survey) -> Result<(), String> {
    if survey.observations.len() > MAX_POINTS {
        return Err(format!("{} points", survey.observations.len()));
    }
    for o in &survey.observations {
        let list = match o.position {
            Position::Geodetic(g) => [g.latitude_deg(), g.longitude_deg(), g.height_m()],
            Position::Grid(g) => [g.easting_m(), g.northing_m(), 0.0],
            Position::Plane(p) => [p.x, p.y, 0.0],
        };
        let beside = [o.sd_m, o.time_s];
        if let Some(v) = list.into_iter().chain(beside.into_iter().flatten()).find(|v| !v.is_finite()) {
            return Err(format!("{}: {v} was accepted", o.place));
        }
        if let Position::Geodetic(g) = o.position
            && !(g.latitude_deg().abs() <= 90.0 && g.longitude_deg().abs() <= 180.0)
        {
            return Err(format!("{}: {} {} was accepted", o.place, g.latitude_deg(), g.longitude_deg()));
        }
        if o.sd_m.is_some_and(|sd| sd <= 0.0) || o.place.is_empty() {
            return Err(format!("'{}': sd {:?}", o.place, o.sd_m));
        }
    }
    match survey.height_m {
        Some(h) if !h.is_finite() => Err(format!("height {h} was accepted")),
        _ => Ok(()),
    }
}

/// Checks the number of points: in a table as many as it has rows, elsewhere at most as many as there are
/// elements or positions.
fn counted(input: &[u8], survey: &Survey, warnings: &[Problem]) -> Result<(), String> {
    let text = String::from_utf8_lossy(input);
    let count = |what: &str| text.matches(what).count();
    let points = survey.observations.len();
    // Text that is not plain UTF-8 can't be counted in this simple way.
    let plain = std::str::from_utf8(input).is_ok() && !text.starts_with('\u{feff}');
    let most = match survey.format {
        _ if !plain => return Ok(()),
        // A row with a geometry may hold any number of points.
        Format::Csv if holds_geometries(&text) => text.len(),
        Format::Csv if !text.contains('"') => {
            let left_out = warnings.iter().filter(|w| w.message().ends_with("is left out")).count();
            let rows = rows(&text, titles(warnings));
            return if rows == points + left_out {
                Ok(())
            } else {
                Err(format!("{rows} rows became {points} points, and {left_out} were left out"))
            };
        }
        Format::Gpx => count("trkpt") + count("wpt") + count("rtept"),
        Format::GeoJson => count("["),
        Format::Kml => count(",") + count("coord"),
        Format::Csv | Format::Kmz | Format::Notebook => return Ok(()),
    };
    if points > most { Err(format!("{points} points of {most} places at most")) } else { Ok(()) }
}

/// May a table's rows be geometries, as well-known text?
fn holds_geometries(text: &str) -> bool {
    let upper = text.to_uppercase();
    ["POINT", "LINESTRING", "POLYGON", "COLLECTION"].iter().any(|kind| upper.contains(kind))
}

/// How many rows above the header were skipped as titles.
fn titles(warnings: &[Problem]) -> usize {
    let told = warnings.iter().find(|w| w.message().contains(" above the header taken for a title"));
    told.and_then(|w| w.message().split(' ').next()?.parse().ok()).unwrap_or(0)
}

/// The number of rows of a table that are not blank, a comment, the header, or a title above it.
fn rows(text: &str, titles: usize) -> usize {
    let mut said =
        text.split(['\n', '\r']).filter(|r| !r.trim().is_empty() && !r.trim_start().starts_with('#'));
    let header = said.nth(titles).unwrap_or("");
    // The delimiter is one of these. A row that has only delimiters is blank.
    let delimiter =
        [',', ';', '\t'].into_iter().max_by_key(|d| (header.matches(*d).count(), *d == ',')).unwrap_or(',');
    said.filter(|row| !row.starts_with('#') && !row.split(delimiter).all(|cell| cell.trim().is_empty()))
        .count()
}

/// Fits a survey that was read: it must either fit, with only finite numbers in every text, or be refused
/// with a sound message.
fn further(input: &[u8]) -> Result<(), String> {
    match whole(input, &Beside::default()) {
        Ok(whole) => hold(&whole.texts, input),
        Err(Ended::Unopened(why)) => Err(format!("the venue does not open: {why}")),
        Err(e) => words(e.words()),
    }
}
