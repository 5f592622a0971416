//! What a comparison needs to know about a survey besides its ground, whether it comes as files or as a
//! venue.

use super::misfit_m;
use crate::frame::Datum;
use crate::solve::{Solved, place_sd_m};
use crate::venue::{Document, Venue};

/// What a comparison needs to know about a survey besides its ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Known {
    /// Steady error of its place in each of east and north, one standard deviation, m.
    pub place_sd_m: f64,
    /// How far its line departs from the shape that was fitted to it, root mean square, m: see
    /// [`misfit_m`](super::misfit_m()).
    pub misfit_m: f64,
}

impl Known {
    /// For a survey that was solved.
    #[must_use]
    pub fn of_survey(solved: &Solved) -> Self {
        let (fit, prepared) = (solved.fit(), solved.prepared());
        let of_points = prepared.point_sd_m().filter(|_| fit.walk.is_none());
        Self {
            place_sd_m: prepared.place_sd_m(),
            misfit_m: of_points.map_or(0.0, |sd| misfit_m(fit.curve.rms_m, sd, fit.curve.residuals.len())),
        }
    }

    /// For a venue: as registered, or else derived from what its file says about the survey.
    #[must_use]
    pub fn of_venue(venue: &Venue) -> Self {
        let (d, fit) = (&venue.document, &venue.fit);
        // The residuals of a walk are autocorrelated, and say little about the shape.
        let of_points = point_sd_m(d).filter(|_| fit.error_lasts_m.is_none());
        Self {
            place_sd_m: d.place_sd_m.unwrap_or_else(|| place_said_m(d)),
            misfit_m: of_points.map_or(0.0, |sd| misfit_m(fit.rms_m, sd, fit.points_used)),
        }
    }
}

/// The error of the place by method and datum, for a venue that was registered before this number was kept. A
/// file without a datum and not in a grid is taken to come from a receiver, which has the larger error.
fn place_said_m(d: &Document) -> f64 {
    // Where several sources were adjusted together, the fit's spread contains the errors of their places.
    let [only] = &d.surveys[..] else { return 0.0 };
    let geodetic =
        d.plane.datum_point().is_some() && only.said.zone.is_none() && !only.file.ends_with(".txt");
    place_sd_m(only.method, geodetic && matches!(only.said.datum, None | Some(Datum::Wgs84)))
}

fn point_sd_m(d: &Document) -> Option<f64> {
    let [only] = &d.surveys[..] else { return None };
    d.point_sd_m.or(only.said.sigma_m).or(only.method.map(|m| m.point_sd_m().value))
}
