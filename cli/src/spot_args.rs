//! Options that name a spot.

use anyhow::{Result, anyhow, bail};
use clap::Args;
use ovalpeg::boundary::{End, Side};
use ovalpeg::briefing::BallAt;
use ovalpeg::frame::{Datum, Degrees, Geodetic, Ground, Local};
use ovalpeg::geometry::Point;
use ovalpeg::ground::{NamedSpot, SpotRef};
use ovalpeg::units::print::fixed;
use ovalpeg::venue::Venue;

#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
#[group(required = true, multiple = true)]
pub(crate) struct SpotArgs {
    /// Chainage; or side, end and metres or a named spot.
    #[arg(long, value_name = "SPOT", conflicts_with_all = ["lat", "lon", "x", "y"])]
    at: Option<String>,
    /// Latitude of a place near the line, degrees.
    #[arg(long, requires = "lon", conflicts_with_all = ["x", "y"])]
    lat: Option<f64>,
    /// Longitude of a place near the line, degrees.
    #[arg(long, requires = "lat")]
    lon: Option<f64>,
    /// Metres toward end A from the centre.
    #[arg(long, requires = "y")]
    x: Option<f64>,
    /// Metres to the left of the goal axis, facing end A.
    #[arg(long, requires = "x")]
    y: Option<f64>,
}

/// A place farther than this from the line is on no ground, m: officials run in from a rooms' door at the most.
const FAR_M: f64 = 100.0;
/// And a place inside it by more is no spot on the line, m.
const INSIDE_M: f64 = 40.0;
/// A place on Earth farther than this is another town's, m: a slip in a number or in their order.
const ELSEWHERE_M: f64 = 1000.0;

impl SpotArgs {
    pub(crate) fn reference(&self, venue: &Venue) -> Result<SpotRef> {
        if let Some(at) = &self.at {
            return at_text(venue, "--at", at);
        }
        let oval = venue.ground.oval();
        if let (Some(latitude), Some(longitude)) = (self.lat, self.lon) {
            let local = on_earth(venue, "--lat and --lon", latitude, longitude)?;
            near_the_line(venue, oval.plan().to_ground(local))?;
            return Ok(SpotRef::NearLocal(local));
        }
        if let (Some(x), Some(y)) = (self.x, self.y) {
            let p = metres(venue, "--x and --y", x, y)?;
            near_the_line(venue, p)?;
            return Ok(SpotRef::Near(p));
        }
        bail!("no spot: give --at, or --lat and --lon, or --x and --y")
    }
}

/// Is a place so near a boundary line that it names a spot of it?
fn near_the_line(venue: &Venue, p: Point<Ground>) -> Result<()> {
    let oval = venue.ground.oval();
    let name = &venue.document.name;
    if oval.is_behind_goal(p) {
        bail!(
            "that place is behind a scoring end of {name}, where no boundary line is: nothing is thrown in there"
        );
    }
    let d = oval.boundary().outside_m(p).abs();
    if d > if oval.boundary().contains(p) { INSIDE_M } else { FAR_M } {
        bail!("that place is {} m from the boundary line of {name}: give one near it", fixed(d, 0));
    }
    Ok(())
}

/// Metres in the ground frame; `option`: where they were given.
fn metres(venue: &Venue, option: &str, x: f64, y: f64) -> Result<Point<Ground>> {
    let p = Point::new(x, y);
    if !p.is_finite() {
        bail!("{option}: {x},{y} are not two numbers of metres");
    }
    let oval = venue.ground.oval();
    let d = oval.boundary().outside_m(p).abs();
    // A longitude and a latitude of Australia make metres that are not even far off.
    let swapped = d > 20.0 && (110.0..155.0).contains(&x) && (-45.0..-9.0).contains(&y);
    if !oval.boundary().contains(p) && (d > FAR_M || d.is_nan() || swapped) {
        let away = if d < 1e6 { format!("{} m", fixed(d, 0)) } else { "more than 1000 km".to_owned() };
        let hint = if swapped { SWAPPED } else { "" };
        bail!("{option}: that place is {away} outside the boundary of {}{hint}", venue.document.name);
    }
    Ok(p)
}

/// What is asked where they would be right the other way round.
const SWAPPED: &str = "; are latitude and longitude swapped? Latitude comes first";

/// A place on Earth, which must be at the venue.
fn on_earth(venue: &Venue, option: &str, latitude: f64, longitude: f64) -> Result<Point<Local>> {
    let d = &venue.document;
    let local = |latitude, longitude| -> Result<Point<Local>> {
        let place = Geodetic::new(Degrees { latitude, longitude }, 0.0, Datum::Gda2020)
            .map_err(|e| anyhow!("{option}: {e}"))?;
        d.plane
            .to_local(&place)
            .ok_or_else(|| anyhow!("{} has no place on Earth: give metres from its centre", d.name))
    };
    let here = venue.ground.oval().plan().centre();
    let found = local(latitude, longitude).map(|p| (p, p.distance_to(here)));
    if let Ok((p, away)) = found
        && away <= ELSEWHERE_M
    {
        return Ok(p);
    }
    let swapped = local(longitude, latitude).is_ok_and(|p| p.distance_to(here) <= ELSEWHERE_M);
    let hint = if swapped { SWAPPED } else { "" };
    match found {
        Ok((_, away)) => {
            let hint = if hint.is_empty() { "; metres are less than 100 to a side" } else { hint };
            bail!("{option}: that place is {} km from {}{hint}", fixed(away / 1000.0, 0), d.name)
        }
        Err(e) => bail!("{e}{hint}"),
    }
}

/// A place on the ground: metres `20,-35`, `latitude,longitude`, or a spot of the line; `option`: where
/// it was given.
pub(crate) fn place(venue: &Venue, option: &str, text: &str) -> Result<Point<Ground>> {
    Ok(placed(venue, option, text)?.0)
}

/// As [`place`], with how it was given.
pub(crate) fn placed(venue: &Venue, option: &str, text: &str) -> Result<(Point<Ground>, BallAt)> {
    let oval = venue.ground.oval();
    let numbers: Vec<Option<f64>> = text.split(',').map(|t| t.trim().parse().ok()).collect();
    if let [Some(a), Some(b)] = numbers[..] {
        // No ground is a hundred metres from its axis, and no longitude of Australia is below that.
        if (LONGITUDES_FROM..=180.0).contains(&f64::abs(b)) {
            let local = on_earth(venue, option, a, b)?;
            return Ok((oval.plan().to_ground(local), BallAt::Local(local)));
        }
        return Ok((metres(venue, option, a, b)?, BallAt::Ground));
    }
    if let [Some(_)] = numbers[..] {
        bail!(
            "{option} {text} is one number: give metres toward {} and to its left, as 20,-35",
            venue.document.names.ends[0]
        );
    }
    let range = venue.document.practice.goal_range_m.value;
    let reference = at_text(venue, option, text)?;
    let spot = oval
        .spot(reference, range)
        .map_err(|e| anyhow!("{option}: no such spot at {}: {e}", venue.document.name))?;
    Ok((spot.point, BallAt::Spot(reference)))
}

/// A second number from here on is a longitude, degrees.
const LONGITUDES_FROM: f64 = 100.0;

/// A side by its name.
pub(crate) fn side(venue: &Venue, text: &str) -> Result<Side> {
    venue.document.names.find_side(text).ok_or_else(|| {
        let [l, r] = &venue.document.names.sides;
        anyhow!("'{text}' is not a side of {}: {l} (left) or {r} (right)", venue.document.name)
    })
}

/// An end by its name.
pub(crate) fn end(venue: &Venue, text: &str) -> Result<End> {
    venue.document.names.find_end(text).ok_or_else(|| no_end(venue, text))
}

/// The end to back toward where either will do: end A unless said.
pub(crate) fn preferred(venue: &Venue, prefer: Option<&str>) -> Result<End> {
    match prefer {
        None => Ok(End::A),
        Some(text) => end(venue, text),
    }
}

fn no_end(venue: &Venue, text: &str) -> anyhow::Error {
    let [a, b] = &venue.document.names.ends;
    anyhow!("'{text}' is not an end of {}: {a} (A) or {b} (B)", venue.document.name)
}

/// `123.4`, `left,A,35`, `Road,Silo,pocket`, `left,wing`; side and end in either order.
fn at_text(venue: &Venue, option: &str, text: &str) -> Result<SpotRef> {
    if let Ok(chainage) = text.trim().parse::<f64>() {
        if !chainage.is_finite() {
            bail!("{option}: the chainage {text} is not a number");
        }
        return Ok(SpotRef::Chainage(chainage));
    }
    let names = &venue.document.names;
    let (mut side, mut end, mut name, mut metres): (Option<Side>, Option<End>, _, _) =
        (None, None, None, None);
    let range = venue.document.practice.goal_range_m.value;
    for part in text.split(',').map(str::trim) {
        if let Some(s) = names.find_side(part).filter(|_| side.is_none()) {
            side = Some(s);
        } else if let Some(e) = names.find_end(part).filter(|_| end.is_none()) {
            end = Some(e);
        } else if let Some(n) = NamedSpot::find_labelled(part, range).filter(|_| name.is_none()) {
            name = Some(n);
        } else if let Some(m) = part.parse::<f64>().ok().filter(|m: &f64| m.is_finite() && metres.is_none()) {
            metres = Some(m);
        } else {
            let [a, b] = &names.ends;
            let [l, r] = &names.sides;
            bail!(
                "'{part}' in {option} {text} is not a side ({l}, {r}, left, right), an end ({a}, {b}, A, B), a named spot or a number of metres"
            );
        }
    }
    match (side, end, name, metres) {
        (Some(side), end, Some(NamedSpot::Wing), None) => {
            Ok(SpotRef::Named { side, end: end.unwrap_or(End::A), name: NamedSpot::Wing })
        }
        (Some(side), Some(end), Some(name), None) => Ok(SpotRef::Named { side, end, name }),
        (Some(side), Some(end), None, Some(metres)) => Ok(SpotRef::FromPost { side, end, metres }),
        _ => bail!(
            "{option} {text} needs a side, an end, and metres from the behind post or a named spot, as in left,A,35"
        ),
    }
}
