//! What must hold of everything that a survey's reader is given.

use ovalpeg::survey::{Format, MAX_POINTS, Position, ReadOptions, Survey, read};
use ovalpeg::units::{Problem, Warned};

use crate::sound::{hold, trouble_of_words};
use crate::whole::{Beside, Ended, whole};

/// Surveys of more points are not taken further than their plane.
const FITTED: usize = 60;
/// Of the others, one in so many is fitted, by its bytes.
const ONE_IN: u64 = 16;

/// Is it read?
pub(super) fn takes(input: &[u8]) -> bool {
    read(input, &ReadOptions::default()).is_ok()
}

/// A refusal is in words, and a survey is of numbers.
///
/// # Errors
/// What does not hold.
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

/// Every number of a survey is one.
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

/// Points in are points counted: as many as rows in a table, no more than there are elements or
/// positions elsewhere.
fn counted(input: &[u8], survey: &Survey, warnings: &[Problem]) -> Result<(), String> {
    let text = String::from_utf8_lossy(input);
    let count = |what: &str| text.matches(what).count();
    let points = survey.observations.len();
    // What is not plain UTF-8 text can't be counted so simply.
    let plain = std::str::from_utf8(input).is_ok() && !text.starts_with('\u{feff}');
    let most = match survey.format {
        _ if !plain => return Ok(()),
        // Of a geometry a row may hold any number.
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

/// How many rows above the header were passed over.
fn titles(warnings: &[Problem]) -> usize {
    let told = warnings.iter().find(|w| w.message().contains(" above the header taken for a title"));
    told.and_then(|w| w.message().split(' ').next()?.parse().ok()).unwrap_or(0)
}

/// Rows of a table that say something, but for the header and the titles above it.
fn rows(text: &str, titles: usize) -> usize {
    let mut said =
        text.split(['\n', '\r']).filter(|r| !r.trim().is_empty() && !r.trim_start().starts_with('#'));
    let header = said.nth(titles).unwrap_or("");
    // The delimiter is one of these, and a row of nothing else is blank.
    let delimiter =
        [',', ';', '\t'].into_iter().max_by_key(|d| (header.matches(*d).count(), *d == ',')).unwrap_or(',');
    said.filter(|row| !row.starts_with('#') && !row.split(delimiter).all(|cell| cell.trim().is_empty()))
        .count()
}

/// A survey that was read is fitted, or not, in words; and what is told of it is of numbers.
fn further(input: &[u8]) -> Result<(), String> {
    match whole(input, &Beside::default()) {
        Ok(whole) => hold(&whole.texts, input),
        Err(Ended::Unopened(why)) => Err(format!("the venue does not open: {why}")),
        Err(e) => words(e.words()),
    }
}
