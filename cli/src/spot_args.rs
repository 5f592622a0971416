//! Options that name a spot.

use anyhow::{Result, anyhow, bail};
use clap::Args;
use ovalpeg::boundary::{End, Side};
use ovalpeg::briefing::BallAt;
use ovalpeg::frame::{Datum, Degrees, Geodetic, Ground};
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

/// A place farther than this from the line is no spot on it, m.
const FAR_M: f64 = 100.0;

impl SpotArgs {
    pub(crate) fn reference(&self, venue: &Venue) -> Result<SpotRef> {
        if let Some(at) = &self.at {
            return at_text(venue, at);
        }
        let oval = venue.ground.oval();
        let near = |p| {
            let d = oval.boundary().nearest(p).signed_distance_m.abs();
            if d.is_finite() && d <= FAR_M {
                Ok(())
            } else {
                Err(anyhow!(
                    "that place is {} m from the boundary line of {}",
                    fixed(d, 0),
                    venue.document.name
                ))
            }
        };
        if let (Some(latitude), Some(longitude)) = (self.lat, self.lon) {
            let place = Geodetic::new(Degrees { latitude, longitude }, 0.0, Datum::Gda2020).map_err(|e| {
                anyhow!(if (96.0..=169.0).contains(&latitude.abs()) {
                    format!("{e}; are --lat and --lon swapped?")
                } else {
                    e.to_string()
                })
            })?;
            let local = venue.document.plane.to_local(&place).ok_or_else(|| {
                anyhow!("{} has no place on Earth: use --at, or --x and --y", venue.document.name)
            })?;
            near(oval.plan().to_ground(local))?;
            return Ok(SpotRef::NearLocal(local));
        }
        if let (Some(x), Some(y)) = (self.x, self.y) {
            let p = Point::new(x, y);
            near(p)?;
            return Ok(SpotRef::Near(p));
        }
        bail!("no spot: give --at, or --lat and --lon, or --x and --y")
    }
}

/// A place on the ground: metres `20,-35`, `latitude,longitude`, or a spot of the line.
pub(crate) fn place(venue: &Venue, text: &str) -> Result<Point<Ground>> {
    Ok(placed(venue, text)?.0)
}

/// As [`place`], with how it was given.
pub(crate) fn placed(venue: &Venue, text: &str) -> Result<(Point<Ground>, BallAt)> {
    let oval = venue.ground.oval();
    let numbers: Vec<Option<f64>> = text.split(',').map(|t| t.trim().parse().ok()).collect();
    if let [Some(a), Some(b)] = numbers[..] {
        // No ground is a hundred metres from its axis, and no longitude of Australia is below that.
        if f64::abs(b) < LONGITUDES_FROM {
            let p = Point::new(a, b);
            return if p.is_finite() {
                Ok((p, BallAt::Ground))
            } else {
                Err(anyhow!("the place {text} is not two numbers"))
            };
        }
        let at = Geodetic::new(Degrees { latitude: a, longitude: b }, 0.0, Datum::Gda2020)
            .map_err(|e| anyhow!("the place {text}: {e}"))?;
        let local = venue.document.plane.to_local(&at).ok_or_else(|| {
            anyhow!("{} has no place on Earth: give metres, as 20,-35", venue.document.name)
        })?;
        return Ok((oval.plan().to_ground(local), BallAt::Local(local)));
    }
    let range = venue.document.practice.goal_range_m.value;
    let reference = at_text(venue, text)?;
    let spot =
        oval.spot(reference, range).map_err(|e| anyhow!("no such spot at {}: {e}", venue.document.name))?;
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
fn at_text(venue: &Venue, text: &str) -> Result<SpotRef> {
    if let Ok(chainage) = text.trim().parse::<f64>() {
        if !chainage.is_finite() {
            bail!("the chainage {text} is not a number");
        }
        return Ok(SpotRef::Chainage(chainage));
    }
    let names = &venue.document.names;
    let (mut side, mut end, mut name, mut metres): (Option<Side>, Option<End>, _, _) =
        (None, None, None, None);
    for part in text.split(',').map(str::trim) {
        if let Some(s) = names.find_side(part).filter(|_| side.is_none()) {
            side = Some(s);
        } else if let Some(e) = names.find_end(part).filter(|_| end.is_none()) {
            end = Some(e);
        } else if let Some(n) = NamedSpot::find(part).filter(|_| name.is_none()) {
            name = Some(n);
        } else if let Some(m) = part.parse::<f64>().ok().filter(|m: &f64| m.is_finite() && metres.is_none()) {
            metres = Some(m);
        } else {
            let [a, b] = &names.ends;
            let [l, r] = &names.sides;
            bail!(
                "'{part}' in --at {text} is not a side ({l}, {r}, left, right), an end ({a}, {b}, A, B), a named spot or a number of metres"
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
            "--at {text} needs a side, an end, and metres from the behind post or a named spot, as in left,A,35"
        ),
    }
}
