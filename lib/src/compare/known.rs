//! What is known of a survey beside its ground: one rule, whether it comes as files or as a venue.

use super::misfit_m;
use crate::frame::Datum;
use crate::solve::{Solved, place_sd_m};
use crate::venue::{Document, Venue};

/// What is known of a survey beside its ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Known {
    /// Steady error of its place in each of east and north, one standard deviation, m.
    pub place_sd_m: f64,
    /// How far its line departs from the shape that was fitted to it, root mean square, m: see
    /// [`misfit_m`](super::misfit_m()).
    pub misfit_m: f64,
}

impl Known {
    /// Of a survey that was solved.
    #[must_use]
    pub fn of_survey(solved: &Solved) -> Self {
        let (fit, prepared) = (solved.fit(), solved.prepared());
        let of_points = prepared.point_sd_m().filter(|_| fit.walk.is_none());
        Self {
            place_sd_m: prepared.place_sd_m(),
            misfit_m: of_points.map_or(0.0, |sd| misfit_m(fit.curve.rms_m, sd, fit.curve.residuals.len())),
        }
    }

    /// Of a venue: as it was registered, else by what its file says of the survey.
    #[must_use]
    pub fn of_venue(venue: &Venue) -> Self {
        let (d, fit) = (&venue.document, &venue.fit);
        // A walk's residuals run on, and say little of the shape.
        let of_points = point_sd_m(d).filter(|_| fit.error_lasts_m.is_none());
        Self {
            place_sd_m: d.place_sd_m.unwrap_or_else(|| place_said_m(d)),
            misfit_m: of_points.map_or(0.0, |sd| misfit_m(fit.rms_m, sd, fit.points_used)),
        }
    }
}

/// For a venue that was registered before its place's error was kept: by method and datum. A file whose datum
/// nobody said, and that is in no grid, is taken for a receiver's, which errs to the rougher.
fn place_said_m(d: &Document) -> f64 {
    // Several sources adjusted as one carry their places' errors in the fit itself.
    let [only] = &d.surveys[..] else { return 0.0 };
    let geodetic =
        d.plane.datum_point().is_some() && only.said.zone.is_none() && !only.file.ends_with(".txt");
    place_sd_m(only.method, geodetic && matches!(only.said.datum, None | Some(Datum::Wgs84)))
}

fn point_sd_m(d: &Document) -> Option<f64> {
    let [only] = &d.surveys[..] else { return None };
    d.point_sd_m.or(only.said.sigma_m).or(only.method.map(|m| m.point_sd_m().value))
}
