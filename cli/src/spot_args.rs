//! Options that name a spot.

use anyhow::{Result, anyhow, bail};
use clap::Args;
use ovalpeg::boundary::{End, Side};
use ovalpeg::briefing::BallAt;
use ovalpeg::frame::{Datum, Degrees, Geodetic, Ground, Local};
use ovalpeg::geometry::Point;
use ovalpeg::ground::{NoSpot, SpotRef};
use ovalpeg::units::print::fixed;
use ovalpeg::venue::{NotRead, Venue, Where, read_end, read_place, read_side};

use crate::output;

#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
#[group(required = true, multiple = true)]
pub(crate) struct SpotArgs {
    /// A place on or near the line, in words as printed; or a chainage.
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

/// A place farther outside the line than this is refused, m: at most, officials run in from the door of their
/// rooms.
const FAR_M: f64 = 100.0;
/// A place farther inside the line than this names no spot of it, m.
const INSIDE_M: f64 = 40.0;
/// A place on Earth farther from the ground than this is refused, m: a number is mistyped, or their order is
/// wrong.
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

/// Refuses a place that is too far from the boundary line to name a spot of it.
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

/// A place given in metres in the ground frame; `option` names the option in messages.
fn metres(venue: &Venue, option: &str, x: f64, y: f64) -> Result<Point<Ground>> {
    let p = Point::new(x, y);
    if !p.is_finite() {
        bail!("{option}: {x},{y} are not two numbers of metres");
    }
    let oval = venue.ground.oval();
    let d = oval.boundary().outside_m(p).abs();
    // A longitude and a latitude of Australia, taken as metres, would not even be far off the ground.
    let swapped = d > 20.0 && (110.0..155.0).contains(&x) && (-45.0..-9.0).contains(&y);
    if !oval.boundary().contains(p) && (d > FAR_M || d.is_nan() || swapped) {
        let away = if d < 1e6 { format!("{} m", fixed(d, 0)) } else { "more than 1000 km".to_owned() };
        let hint = if swapped { SWAPPED } else { "" };
        bail!("{option}: that place is {away} outside the boundary of {}{hint}", venue.document.name);
    }
    Ok(p)
}

/// The hint where the two numbers would be right the other way round.
const SWAPPED: &str = "; are latitude and longitude swapped? Latitude comes first";

/// A place on Earth, which must be at the venue.
fn on_earth(venue: &Venue, option: &str, latitude: f64, longitude: f64) -> Result<Point<Local>> {
    let d = &venue.document;
    let local = |latitude, longitude| -> Result<Point<Local>> {
        let place = Geodetic::new(Degrees { latitude, longitude }, 0.0, Datum::Gda2020)
            .map_err(|e| anyhow!("{option}: {e}"))?;
        d.plane
            .to_local(&place)
            .ok_or_else(|| anyhow!(
                    "{option}: 100 m and more from the centre is off any ground, and {} has no place on Earth that a latitude could name",
                    d.name
                ))
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

/// A place on the ground: metres `20,-35`, `latitude,longitude`, or a place in words; `option` names the
/// option in messages.
pub(crate) fn place(venue: &Venue, option: &str, text: &str) -> Result<Point<Ground>> {
    Ok(placed(venue, option, text, None)?.0)
}

/// As [`place`], with how it was given. `side` applies where the words name no side.
pub(crate) fn placed(
    venue: &Venue,
    option: &str,
    text: &str,
    side: Option<Side>,
) -> Result<(Point<Ground>, BallAt)> {
    let oval = venue.ground.oval();
    let numbers: Vec<Option<f64>> = text.split(',').map(|t| t.trim().parse().ok()).collect();
    if let [Some(a), Some(b)] = numbers[..] {
        // No ground reaches 100 m from its axis, and no longitude in Australia is below 100°.
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
    match said(venue, option, text, side)? {
        Where::Spot(reference) => Ok((spot_point(venue, option, reference)?, BallAt::Spot(reference))),
        Where::Ground(p) => Ok((metres(venue, option, p.x, p.y)?, BallAt::Ground)),
        Where::Local(local) => {
            let p = oval.plan().to_ground(local);
            Ok((metres(venue, option, p.x, p.y)?, BallAt::Local(local)))
        }
    }
}

/// A place in words. Where a stretch was taken as its middle, a note says so.
fn said(venue: &Venue, option: &str, text: &str, side: Option<Side>) -> Result<Where> {
    let found = read_place(venue, text, side).map_err(|e| anyhow!("{option} {text}: {e}"))?;
    if let Some(taken_as) = found.taken_as {
        output::note(&format!("{option} {text}: taken as {taken_as}"));
    }
    Ok(found.at)
}

fn spot_point(venue: &Venue, option: &str, reference: SpotRef) -> Result<Point<Ground>> {
    let range = venue.document.practice.goal_range_m.value;
    let spot = venue.ground.oval().spot(reference, range).map_err(|e| match e {
        NoSpot::OnScoringEnd { end, .. } => anyhow!(
            "{option}: between the {} behind posts there is no boundary line: no ball is thrown in there",
            venue.document.names.end(end)
        ),
        e => anyhow!("{option}: no such spot at {}: {e}", venue.document.name),
    })?;
    Ok(spot.point)
}

/// From this value on the second number is a longitude, degrees.
const LONGITUDES_FROM: f64 = 100.0;

/// A side by its name.
pub(crate) fn side(venue: &Venue, option: &str, text: &str) -> Result<Side> {
    let d = &venue.document;
    let [l, r] = &d.names.sides;
    read_side(&d.names, text).map_err(|e| match e {
        NotRead::Missing(_) => {
            anyhow!("{option} {text}: not a side of {}: {l} (left) or {r} (right)", d.name)
        }
        e => anyhow!("{option} {text}: {e}"),
    })
}

/// An end by its name.
pub(crate) fn end(venue: &Venue, option: &str, text: &str) -> Result<End> {
    let d = &venue.document;
    let [a, b] = &d.names.ends;
    read_end(&d.names, text).map_err(|e| match e {
        NotRead::Missing(_) => anyhow!("{option} {text}: not an end of {}: {a} (A) or {b} (B)", d.name),
        e => anyhow!("{option} {text}: {e}"),
    })
}

/// The end to back toward where the sides are too close to call: end A unless the option says otherwise.
pub(crate) fn preferred(venue: &Venue, prefer: Option<&str>) -> Result<End> {
    prefer.map_or(Ok(End::A), |text| end(venue, "--prefer", text))
}

/// A chainage, or a place in words near the line.
fn at_text(venue: &Venue, option: &str, text: &str) -> Result<SpotRef> {
    if let Ok(chainage) = text.trim().parse::<f64>() {
        if !chainage.is_finite() {
            bail!("{option}: the chainage {text} is not a number");
        }
        return Ok(SpotRef::Chainage(chainage));
    }
    match said(venue, option, text, None)? {
        Where::Spot(reference) => Ok(reference),
        Where::Ground(p) => {
            near_the_line(venue, p)?;
            Ok(SpotRef::Near(p))
        }
        Where::Local(local) => {
            near_the_line(venue, venue.ground.oval().plan().to_ground(local))?;
            Ok(SpotRef::NearLocal(local))
        }
    }
}
